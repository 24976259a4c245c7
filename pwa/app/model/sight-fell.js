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

const LEAST_EVENINGS = 3; // before which there is no usual one (ours)
const BASELINE = 14; // evenings, as in the rules about the record
const MARKED = 2; // grades, as in the rule "evening-drop-marked"

/**
 * Whether an evening is rated far below what is usual for this child, by whatever scale:
 * asking costs a tap, and 1 to 5 mean the same on each. The rules about the record want fourteen evenings first; who rates one now
 * is asked sooner.
 * @param {Entry[]} entries of one wearer, that stand
 * @param {{night: string, rating: number}} evening
 */
export function eveningFell(entries, { night, rating }) {
  /** @type {Map<string, number>} the worst of each evening */
  const by = new Map();
  for (const e of entries)
    if (e.kind === 'evening-sight' && e.night < night) by.set(e.night, Math.min(by.get(e.night) ?? 5, e.body.rating));
  const before = [...by].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, r]) => r);
  const usual = before.slice(-BASELINE).sort((a, b) => a - b);
  if (usual.length < LEAST_EVENINGS) return false;
  return usual[usual.length >> 1] - rating >= MARKED;
}

/**
 * The last evening, where it fell and no eye report followed it.
 * @param {Entry[]} entries of one wearer, that stand
 * @param {number} now Unix ms
 * @returns {Entry|undefined}
 */
export function lastEveningFell(entries, now) {
  const evenings = entries.filter(e => e.kind === 'evening-sight');
  const last = evenings.reduce((/** @type {Entry|undefined} */ a, e) => (a && a.night >= e.night ? a : e), undefined);
  if (!last || now - written(last) > DAYS * 86400000) return undefined;
  const report = Math.max(0, ...entries.filter(e => e.kind === 'symptoms').map(written));
  const { rating } = last.body;
  return written(last) >= report && eveningFell(entries, { night: last.night, rating }) ? last : undefined;
}
