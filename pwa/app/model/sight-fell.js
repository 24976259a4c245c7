// Whether a sight test at home was so poor that the eye check is offered. Pure.
import { addTrial, HOME_TEST, LEAST_TRIALS, linesLess, newAcuity } from './acuity.js';
import { written } from './report.js';

/** @import { Entry } from './entry.js' */

/** Lines less than the best row of a chart from which the eye check is offered: our own limit, beyond what one test may be off. */
export const WORSE_LINES = 3;
const DAYS = 28; // how long a test speaks on the page of progress (ours)

/**
 * Of each eye the newest test of the last four weeks, where it came to so many lines less
 * and no eye report followed it: what the evenings say is then not all there is to say.
 * @param {Entry[]} entries of one wearer, that stand
 * @param {number} now Unix ms
 * @returns {{eye: 'right'|'left', at: number, lines: number}[]} at: when it was written, Unix ms
 */
export function sightFell(entries, now) {
  const of = (/** @type {string} */ kind) => entries.filter(e => e.kind === kind);
  const report = Math.max(0, ...of('symptoms').map(written));
  /** @type {('right'|'left')[]} */
  const eyes = ['right', 'left'];
  return eyes.flatMap(eye => {
    const last = of('acuity-run')
      .filter(e => e.body.eye === eye && e.body.trials.length >= LEAST_TRIALS)
      .reduce((/** @type {Entry|undefined} */ a, e) => (a && written(a) > written(e) ? a : e), undefined);
    if (!last || written(last) < report || now - written(last) > DAYS * 86400000) return [];
    const trials = /** @type {[number, number][]} */ (last.body.trials);
    const lines = linesLess(
      trials.reduce((a, [size, right]) => addTrial(a, { size, correct: !!right }), newAcuity(HOME_TEST)),
    );
    return lines >= WORSE_LINES ? [{ eye, at: written(last), lines }] : [];
  });
}
