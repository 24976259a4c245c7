// Whether an eye that was reported as an emergency still waits to be examined. Pure.
import { outcome, serverTime, written } from './report.js';
import { eyesOf } from './wear.js';

/** @import { Entry } from './entry.js' */
/** @import { Eye } from './wear.js' */

/**
 * Whether a report is an emergency of an eye, or of none that it names, and nobody of
 * the practice has said since that the eye was examined.
 * @param {Entry} e a report
 * @param {Eye} eye
 * @param {Entry[]} said of the same wearer
 * @param {number} [skew] as of serverTime
 */
export function unexamined(e, eye, said, skew) {
  const grave = outcome(e).findings.some(
    f => f.state === 'fired' && f.level === 'emergency' && (!f.eye || f.eye === eye),
  );
  const examined = (/** @type {Entry} */ x) =>
    (x.kind === 'resume' && /^examined/.test(x.body.basis)) || (x.kind === 'cease' && x.body.reason === 'examination');
  return grave && !said.some(x => examined(x) && eyesOf(x.body.eyes).includes(eye) && written(x) > serverTime(e, skew));
}
