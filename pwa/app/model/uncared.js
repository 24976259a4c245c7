// Whether a lens was cleaned since it was last worn. Pure.
import { cared } from './day.js';
import { written } from './report.js';
import { eyesOf } from './wear.js';

/** @import { Entry } from './entry.js' */
/** @import { Night } from './fold.js' */
/** @import { Eye } from './wear.js' */

/**
 * The night in which the lens of an eye was last worn, when nobody has said that it was
 * cleaned since; "" when somebody has. A lens that is new was never worn. held: it was
 * released since, or water was said: whoever puts it in goes against that; after a usual
 * night it is asked, for what was not logged then may be known all the same.
 * @param {Night[]} nights of one wearer
 * @param {Entry[]} resumes of the same wearer
 * @param {Eye} eye
 * @returns {{night: string, held: boolean}} night: "YYYY-MM-DD" or ""
 */
export function uncared(nights, resumes, eye) {
  const sorted = [...nights].sort((a, b) => (a.night < b.night ? 1 : -1));
  const last = sorted.find(n => n.items.has(`insertion/${eye}`) || n.items.has(`removal/${eye}`));
  if (!last) return { night: '', held: false };
  const since = sorted.filter(n => n.night >= last.night);
  const said = (/** @type {string} */ kind) => since.flatMap(n => n.entries.filter(e => e.kind === kind));
  const wet = Math.max(0, ...said('symptoms').map(e => (e.body.water === 'yes' ? written(e) : 0)));
  const ins = last.entries.filter(e => e.kind === 'insertion' && eyesOf(e.body.eyes).includes(eye));
  const into = Math.max(0, ...ins.map(written));
  const cleaned = said('care').some(
    e =>
      (e.body.closed_at || e.body.rub) &&
      !e.body.tap_water &&
      written(e) > wet &&
      (e.night > last.night || cared(last)),
  );
  const renewed = said('supply').some(
    ({ body: b }) =>
      b.item === 'lens' && b.action === 'started' && b.on > last.night && [eye, 'both', undefined].includes(b.eye),
  );
  const released = resumes.some(r => eyesOf(r.body.eyes).includes(eye) && !r.body.new_lens && written(r) > into);
  return { night: cleaned || renewed ? '' : last.night, held: released || wet > 0 };
}
