// The figures of the progress screen. Pure. A night nobody logged is unknown:
// never counted as worn, never as missed, and always said.
import { addDays } from '../../../schedule/civil/civil.js';
import { wearing } from '../../../schedule/due.js';
import { glance, minutesIn } from './day.js';
import { fact } from './fold.js';

/** @import { Night } from './fold.js' */
/** @import { Plan } from '../../../schedule/due.js' */

/**
 * @typedef {object} Progress
 * @property {number} planned nights the plan asked for, and others that were logged
 * @property {number} worn
 * @property {number} unknown not logged
 * @property {number} stopped nights on which no lens was allowed, which count nowhere else
 * @property {number} rested nights without lenses at rest, which stand apart
 * @property {number|null} hours mean hours in lenses over the nights with both times; null for none
 * @property {{night: string, rating: number, hours: number|null}[]} evenings hours since the lenses came out
 * @property {number|null} clear hours: the middle of those at which evening sight was still rated 4 or 5, so sight stayed clear at least so long; null for none
 */

/** The least rating that counts as clear: 4 is "nearly clear". Our own choice. */
export const CLEAR = 4;

/**
 * @param {(night: string) => Night|undefined} nightOf
 * @param {Plan|null} plan
 * @param {string} last the last night counted
 * @param {number} days
 * @param {string} zone
 * @param {(night: string) => 'stop'|'rest'|''} [held] what held every planned eye on a night: keeping to that is no missed night
 * @returns {Progress}
 */
export function progress(nightOf, plan, last, days, zone, held = () => '') {
  /** @type {Progress} */
  const p = { planned: 0, worn: 0, unknown: 0, stopped: 0, rested: 0, hours: null, evenings: [], clear: null };
  const minutes = [];
  for (let back = days - 1; back >= 0; back--) {
    const night = addDays(last, -back);
    const n = nightOf(night);
    const seen = glance(n, plan, night);
    const kept = seen !== 'worn' && seen !== 'half' && seen !== 'planned' && held(night);
    if (kept) p[kept === 'stop' ? 'stopped' : 'rested']++;
    if (!kept && seen !== 'planned' && (seen !== 'unknown' || (plan && wearing(plan, night)))) {
      p.planned++;
      if (seen === 'worn' || seen === 'half') p.worn++;
      if (seen === 'unknown') p.unknown++;
    }
    const m = minutesIn(n, zone);
    if (m !== null) minutes.push(m);
    const said = fact(n, 'evening-sight');
    if (said?.rating) p.evenings.push({ night, rating: said.rating, hours: said.hours_since_removal ?? null });
  }
  if (minutes.length) p.hours = minutes.reduce((a, b) => a + b, 0) / minutes.length / 60;
  p.clear = middle(p.evenings.flatMap(e => (e.rating >= CLEAR && e.hours !== null ? [e.hours] : [])));
  return p;
}

/** @param {number[]} list @returns {number|null} the median, of two middle ones the lower; null for none */
function middle(list) {
  return list.sort((a, b) => a - b)[Math.ceil(list.length / 2) - 1] ?? null;
}
