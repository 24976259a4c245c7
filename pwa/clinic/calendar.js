// Nights laid out as a calendar: one column for each week, one row for each
// evening of it, Monday first. Pure.

import { dateOf, dayNumber } from './format.js';

/** @import { NightRow } from './types.js' */

/**
 * @typedef {object} Week
 * @property {string} monday
 * @property {string} label month name over the first week that begins in it, else empty
 * @property {(NightRow|null)[]} nights seven, null outside the range
 */

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/**
 * @param {NightRow[]} nights in order
 * @returns {Week[]}
 */
export function weeks(nights) {
  if (!nights.length) return [];
  const byDay = new Map(nights.map((n) => [dayNumber(n.night), n]));
  const first = mondayOf(dayNumber(nights[0].night));
  const last = dayNumber(nights[nights.length - 1].night);
  /** @type {Week[]} */
  const out = [];
  let month = '';
  for (let monday = first; monday <= last; monday += 7) {
    const date = dateOf(monday);
    const name = MONTHS[+date.slice(5, 7) - 1];
    out.push({
      monday: date,
      label: name === month ? '' : name,
      nights: Array.from({ length: 7 }, (_, i) => byDay.get(monday + i) ?? null),
    });
    month = name;
  }
  return out;
}

/** @param {number} day days since 1970-01-01, a Thursday */
const mondayOf = (day) => day - ((day + 3) % 7);

/**
 * One mark for each status, told apart by its shape: filled, half, crossed,
 * empty, split. Used in the calendar, its legend and its table.
 * @type {Record<NightRow['status'], string>}
 */
export const MARK = { worn: '●', short: '◐', missed: '✕', 'not-logged': '·', differ: '≠' };
