// What begins once the first screen is there. Fetched after the start.
import { keepBadge } from './badge.js';
import { tellLeft } from './data/left.js';
import { live } from './app.js';

/** @import { App } from './app.js' */

const WAITING_MS = 10000; // between questions for a plan that is not there yet, while the screen is on

/** @param {App} app */
export function after(app) {
  keepBadge(app);
  keepFamily(app);
  return tellLeft(app);
}

/**
 * Asks for what the practice has set as soon as a word of it is here, which may mean that
 * wear has ended or begins again; and, while a child has no plan, for that.
 * @param {App} app
 */
function keepFamily(app) {
  const ask = () => void app.refreshFamily().catch(() => {}); // the next look for news asks again
  const said = () => live(app.state).filter(e => e.by_name).length;
  let { records } = app.state;
  let heard = said();
  app.watch(() => {
    if (records === app.state.records) return;
    records = app.state.records;
    const before = heard;
    heard = said();
    if (heard !== before) ask();
  });
  setInterval(() => {
    const waits = app.state.family?.wearers.some(w => !w.plan);
    if (waits && document.visibilityState === 'visible') ask();
  }, WAITING_MS);
}
