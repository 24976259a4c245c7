// Whether an eye that was reported as an emergency still waits to be examined. Pure.
import { outcome, serverTime, written } from './report.js';
import { EYES, eyesOf } from './wear.js';

/** @import { Entry } from './entry.js' */
/** @import { Eye, Wear } from './wear.js' */

/**
 * Whether a report is an emergency of an eye, or of none that it names, and nobody of
 * the practice has said since that the eye was examined.
 * @param {Entry} e
 * @param {Eye} eye
 * @param {Entry[]} said of the same wearer
 * @param {number} [skew] as of serverTime
 */
export function unexamined(e, eye, said, skew) {
  const grave =
    e.kind === 'symptoms' &&
    outcome(e).findings.some(f => f.state === 'fired' && f.level === 'emergency' && (!f.eye || f.eye === eye));
  const examined = (/** @type {Entry} */ x) =>
    (x.kind === 'resume' && /^examined/.test(x.body.basis)) || (x.kind === 'cease' && x.body.reason === 'examination');
  return grave && !said.some(x => examined(x) && eyesOf(x.body.eyes).includes(eye) && written(x) > serverTime(e, skew));
}

/**
 * Whether any was reported of which that is so.
 * @param {Entry[]} said of one wearer
 * @param {number} [skew] as of serverTime
 * @param {Wear} [wear] of those alone that hold their eye back
 */
export const waits = (said, skew, wear) =>
  said.some(e =>
    EYES.some(eye => (!wear || wear[eye].causes.some(c => c.id === e.id)) && unexamined(e, eye, said, skew)),
  );
