// Whom to call, and whether somebody answers now. Pure.
import { addDays, instantAt, wallAt, weekday } from '../../../schedule/civil/civil.js';

/** @typedef {import('../../api/types.js').components['schemas']['Contacts']} Contacts */

/** How many days ahead an opening is looked for, as on the server: over the longest holidays. */
const AHEAD = 60;

/**
 * @param {Contacts} c
 * @param {number} now Unix ms
 * @returns {{open: boolean, next: number|null}} next: when the clinic answers again
 */
export function answers(c, now) {
  const zone = c.zone || 'UTC';
  const w = wallAt(now, zone);
  const on = (/** @type {string} */ date) =>
    (c.closed ?? []).includes(date)
      ? []
      : (c.hours ?? []).filter(h => h.weekday === weekday(date)).sort((a, b) => (a.from < b.from ? -1 : 1));
  // Hours that end at 00:00 end with the day, as on the server.
  if (on(w.date).some(h => w.clock >= h.from && (h.to <= h.from || w.clock < h.to))) return { open: true, next: null };
  for (let ahead = 0; ahead <= AHEAD; ahead++) {
    const date = addDays(w.date, ahead);
    const h = on(date).find(x => ahead > 0 || x.from > w.clock);
    if (h) return { open: false, next: instantAt(date, h.from, zone) };
  }
  return { open: false, next: null };
}

/**
 * A telephone number in one piece, which no line breaks.
 * @param {string} number
 * @returns {string}
 */
export const unbroken = number => number.replace(/ /g, '\u00a0');
