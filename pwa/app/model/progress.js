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
 * @property {number} planned nights the plan asked for
 * @property {number} worn
 * @property {number} unknown not logged
 * @property {number|null} hours mean hours in lenses over the nights with both times; null for none
 * @property {{night: string, rating: number}[]} evenings
 */

/**
 * @param {(night: string) => Night|undefined} nightOf
 * @param {Plan|null} plan
 * @param {string} last the last night counted
 * @param {number} days
 * @param {string} zone
 * @returns {Progress}
 */
export function progress(nightOf, plan, last, days, zone) {
  /** @type {Progress} */
  const p = { planned: 0, worn: 0, unknown: 0, hours: null, evenings: [] };
  const minutes = [];
  for (let back = days - 1; back >= 0; back--) {
    const night = addDays(last, -back);
    const n = nightOf(night);
    const seen = glance(n, plan, night);
    if (seen !== 'planned' && (!plan || wearing(plan, night) || seen !== 'unknown')) {
      p.planned++;
      if (seen === 'worn' || seen === 'half') p.worn++;
      if (seen === 'unknown') p.unknown++;
    }
    const m = minutesIn(n, zone);
    if (m !== null) minutes.push(m);
    const rating = fact(n, 'evening-sight')?.rating;
    if (rating) p.evenings.push({ night, rating });
  }
  if (minutes.length) p.hours = minutes.reduce((a, b) => a + b, 0) / minutes.length / 60;
  return p;
}
