// What one tap on the board may log at once. Fetched with the first tap.
import { wallAt } from '../../../schedule/civil/civil.js';
import { sceneOf, tonight } from '../app.js';
import { insertedAt } from '../model/day.js';
import { wasIll } from '../model/past.js';
import { brief, LONG_MS } from '../model/plausible.js';
import { askCleaned, goesAgainst } from './against.js';
import { eyesIn, overdue, USUAL } from './home.js';

/** @import { App } from '../app.js' */
/** @import { Task } from '../model/day.js' */
/** @import { UsualKind } from './usual.js' */

/**
 * One tap says what one tap can know: lenses in or out, now. Whatever has more to
 * ask, or cannot be meant, opens its form.
 * @param {App} app @param {Task} task @param {(k: UsualKind) => void} setOpen
 */
export function press(app, task, setOpen) {
  const s = app.state;
  const usual = /** @type {{usual: UsualKind}} */ (USUAL[task.kind]).usual;
  const now = Date.now();
  const into = insertedAt(sceneOf(s).night(task.night), s.zone);
  const at = wallAt(now, s.zone).clock;
  const asked = {
    in:
      task.night !== tonight(s) ||
      at < '12:00' ||
      into ||
      wasIll(sceneOf(s), task.night) ||
      goesAgainst(s, eyesIn(app, task), task.night) ||
      askCleaned(s, eyesIn(app, task), task.night),
    out: task.urgent || task.unsaid || overdue(app, task) || !into || now - into > LONG_MS || brief(into, now),
  };
  if (asked[/** @type {'in'|'out'} */ (usual)] ?? true) return setOpen(usual);
  const kind = usual === 'in' ? 'insertion' : 'removal';
  void app.write([{ wearer: s.wearer, night: task.night, kind, body: { at, eyes: eyesIn(app, task) } }]);
}
