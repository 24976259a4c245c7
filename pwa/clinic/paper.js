// What the review leaves to the screen when it is printed, so that two sheets
// always hold it: a count says how much, and nothing urgent is left out. Pure.

import { tr } from './text.js';

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
const NEVER_LEFT_OUT = ['alert-not-closed', 'wrote', 'symptoms', 'sore-eye-nights', 'water-contact'];

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
    if (out.length + piece.length + 2 > EVIDENCE_ON_PAPER) return tr('{out}; more on screen', { out });
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
  const grave = timeline
    .filter(e => e.lane === 'alert' && (e.level === 'emergency' || e.level === 'urgent'))
    .map(e => e.date);
  return reports.map(
    (r, i) => i >= reports.length - REPORTS_ON_PAPER || grave.some(d => d === r.night || dayBefore(d) === r.night),
  );
}

/** @param {string} date */
const dayBefore = date => new Date(Date.parse(`${date}T00:00:00Z`) - 86400000).toISOString().slice(0, 10);

/**
 * How the second sheet is set so that it holds what is on it.
 * @param {Pick<Summary, 'points'|'changes'|'symptoms'|'timeline'> & {trust: {words: string[]}}} sum
 * @returns {''|'full'|'roomy'}
 */
export function roomOnPaper(sum) {
  const reports = reportsOnPaper(sum.symptoms, sum.timeline).filter(Boolean).length;
  const weight =
    pointsOnPaper(sum.points).filter(Boolean).length +
    Math.min(sum.changes.length, CHANGES_ON_PAPER) +
    reports +
    sum.trust.words.length;
  return weight <= 6 ? 'roomy' : weight <= 14 ? '' : 'full';
}
