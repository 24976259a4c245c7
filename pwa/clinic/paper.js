// What the review leaves to the screen when it is printed, so that two sheets
// always hold it: a count says how much, and nothing urgent is left out. Pure.

/** @import { Event, Point, Summary, SymptomRow } from './types.js' */

/** Points on paper, the most serious first, as they come. */
export const POINTS_ON_PAPER = 8;

/** Reports of symptoms on paper, the newest. */
export const REPORTS_ON_PAPER = 4;

/** Changes since the stretch before on paper, in their order. */
export const CHANGES_ON_PAPER = 4;

/** Pauses on paper, the latest. */
export const PAUSES_ON_PAPER = 4;

/** Points about a report that may be an emergency: always on paper. */
const NEVER_LEFT_OUT = ['alert-not-closed', 'symptoms', 'sore-eye-nights', 'water-contact'];

/**
 * @param {Pick<Point, 'rule'>[]} points in their order
 * @returns {boolean[]} for each point, whether paper shows it
 */
export function pointsOnPaper(points) {
  return points.map((p, i) => i < POINTS_ON_PAPER || NEVER_LEFT_OUT.includes(p.rule));
}

/** Characters of evidence on paper: two lines of a column. */
const EVIDENCE_ON_PAPER = 110;

/**
 * @param {Pick<Point, 'rule'|'evidence'>} point
 * @returns {string} its evidence as paper shows it: whole pieces, at least the
 * first, and that there is more; of alerts that are still open all
 */
export function evidenceOnPaper({ rule, evidence }) {
  if (rule === 'alert-not-closed' || evidence.length <= EVIDENCE_ON_PAPER) return evidence;
  const [first, ...rest] = evidence.split('; ');
  let out = first;
  for (const piece of rest) {
    if (out.length + piece.length + 2 > EVIDENCE_ON_PAPER) return `${out}; more on screen`;
    out += `; ${piece}`;
  }
  return out;
}

/**
 * @param {Pick<SymptomRow, 'night'>[]} reports oldest first
 * @param {Pick<Event, 'lane'|'date'|'level'>[]} timeline
 * @returns {boolean[]} for each report, whether paper shows it: the newest, and
 * each of a night whose evening or morning after brought an emergency or
 * urgent alert
 */
export function reportsOnPaper(reports, timeline) {
  const grave = timeline.filter((e) => e.lane === 'alert' && (e.level === 'emergency' || e.level === 'urgent')).map((e) => e.date);
  return reports.map((r, i) => i >= reports.length - REPORTS_ON_PAPER || grave.some((d) => d === r.night || dayBefore(d) === r.night));
}

/** @param {string} date */
const dayBefore = (date) => new Date(Date.parse(`${date}T00:00:00Z`) - 86400000).toISOString().slice(0, 10);

/** Characters in a line of half a sheet of Letter, at the usual size and at that of evidence. */
const LINE = 64;
const SMALL_LINE = 74;

/**
 * Lines of the first sheet that differ from one review to another, at the
 * usual size.
 * @param {Pick<Summary, 'points'|'changes'|'cannot_tell'|'pauses'>} sum
 */
function linesOfFirst({ points, changes, cannot_tell: cannot, pauses }) {
  const paper = pointsOnPaper(points);
  const each = points.filter((_, i) => paper[i]).map((p) => Math.ceil(p.text.length / LINE + evidenceOnPaper(p).length / SMALL_LINE));
  const half = Math.ceil(each.length / 2);
  const add = (/** @type {number[]} */ list) => list.reduce((n, x) => n + x, 0);
  const listed = (/** @type {string[]} */ texts) => texts.length && 2 + add(texts.map((t) => Math.ceil(t.length / LINE))) / 2; // under a heading, in two columns
  return Math.max(add(each.slice(0, half)), add(each.slice(half)))
    + listed(changes.slice(0, CHANGES_ON_PAPER).map((c) => `${c.text} (${c.before} → ${c.now})`)) + listed(cannot)
    + (pauses.length && 2 + Math.ceil(Math.min(pauses.length, PAUSES_ON_PAPER) / 2)); // in two columns, a line of the legend, and that there are more
}

/**
 * How each of the two sheets is set so that it holds what is on it: roomy has
 * larger words and charts, full is smaller. The limits are measured on Letter,
 * the lower of the two papers.
 * @param {Pick<Summary, 'points'|'changes'|'cannot_tell'|'pauses'|'symptoms'|'timeline'> & {trust: {words: string[]}}} sum
 * @returns {{first: ''|'full'|'roomy', second: ''|'full'|'roomy'}}
 */
export function roomOnPaper(sum) {
  const lines = linesOfFirst(sum);
  const reports = reportsOnPaper(sum.symptoms, sum.timeline).filter(Boolean).length;
  const notes = sum.trust.words.length;
  return {
    first: lines <= 9 ? 'roomy' : lines <= 18 ? '' : 'full',
    second: reports === 0 && notes <= 3 ? 'roomy' : reports <= REPORTS_ON_PAPER && notes <= 3 ? '' : 'full',
  };
}
