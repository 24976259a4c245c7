// The number of what is due on the app's icon, where the browser can show one.
import { about, chooses, sceneOf, wearerOf } from './app.js';
import { tasks } from './model/day.js';

/** @import { App } from './app.js' */

/** Tasks that somebody is to do now; the others say that there is nothing to do, or to do nothing. */
const DUE = ['in', 'out', 'look', 'care', 'evening', 'missed'];

/** How many tasks are due now for the children of whoever holds this phone. @param {App} app @returns {number} */
export function countDue(app) {
  const s = app.state;
  const all = chooses(s) ? (s.family?.wearers ?? []) : [wearerOf(s)].filter(w => !!w);
  return all
    .flatMap(w => {
      const { main, also } = tasks(sceneOf(about(app, w.id).state));
      return [main, ...also];
    })
    .filter(task => DUE.includes(task.kind)).length;
}

/** Keeps the icon's number as the log is. @param {App} app */
export function keepBadge(app) {
  if (!navigator.setAppBadge) return;
  let shown = -1;
  const show = () => {
    const n = app.state.phase === 'ready' ? countDue(app) : 0;
    if (n === shown) return;
    shown = n;
    void navigator.setAppBadge(n).catch(() => {}); // 0 takes it away (Badging API); not allowed is no fault
  };
  app.watch(show);
  show();
}
