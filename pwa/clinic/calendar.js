// Nights laid out as a calendar: one column for each week, one row for each
// evening of it, Monday first. Pure.

import { addDays, dateOf, dayNumber, monthName } from './format.js';

/** @import { NightRow, PauseRow } from './types.js' */

/**
 * @typedef {object} Week
 * @property {string} monday
 * @property {string} label month name over the first week that begins in it, else empty
 * @property {(NightRow|null)[]} nights seven, null outside the range
 */

/**
 * @param {NightRow[]} nights in order
 * @param {string} [through] weeks up to this date, even beyond the last night
 * @returns {Week[]}
 */
export function weeks(nights, through = '') {
  if (!nights.length) return [];
  const byDay = new Map(nights.map(n => [dayNumber(n.night), n]));
  const first = mondayOf(dayNumber(nights[0].night));
  const end = dayNumber(nights[nights.length - 1].night);
  const last = through ? Math.max(end, dayNumber(through)) : end;
  /** @type {Week[]} */
  const out = [];
  let month = '';
  for (let monday = first; monday <= last; monday += 7) {
    const date = dateOf(monday);
    const name = monthName(date);
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
const mondayOf = day => day - ((day + 3) % 7);

/**
 * One mark for each status, told apart by its shape: filled, half, crossed,
 * empty, split. Used in the calendar, its legend and its table.
 * @type {Record<NightRow['status'], string>}
 */
export const MARK = { worn: '●', short: '◐', missed: '✕', 'not-logged': '·', differ: '≠' };

/** A pause in the table of nights: of what the practitioner agreed, or of the family's reminders alone. */
export const PAUSE_MARK = /** @type {const} */ ({ agreed: '‖', own: '⬚' });

/**
 * @param {PauseRow[]} pauses
 * @param {string} night
 * @returns {keyof typeof PAUSE_MARK|''} the pause of a night; an agreed one
 * counts before the family's own, because it says that no lens was planned
 */
export function pauseOf(pauses, night) {
  const on = pauses.filter(p => p.from <= night && night <= p.to);
  if (!on.length) return '';
  return on.some(p => p.agreed) ? 'agreed' : 'own';
}

/** Nights after today that a calendar and an axis look ahead for pauses: five weeks. */
export const AHEAD = 35;

/**
 * @param {PauseRow[]} pauses
 * @param {string} today
 * @returns {string} today, or the last night of the pauses that go on past it or are to come, at most five weeks ahead
 */
export function lastPaused(pauses, today) {
  const last = pauses.map(p => p.to).reduce((a, b) => (a > b ? a : b), today);
  const limit = addDays(today, AHEAD);
  return last > limit ? limit : last;
}
