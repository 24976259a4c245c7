// Whether a case, bottle or lens can have been begun on a date. Pure.
import { daysBetween, isDate } from '../../../schedule/civil/civil.js';

/** @import { Doubt } from './plausible.js' */

const OLD_DAYS = 180; // since something was begun; longer ago is asked about (our own limit)
const MAX_KEEP = 730; // days, as the log's schema has it

/**
 * Whether something can have been begun on a date, and keep so many days.
 * @param {string} on "" or "YYYY-MM-DD"
 * @param {string} days as typed
 * @param {string} today
 * @returns {Doubt|null}
 */
export function supplyDoubt(on, days, today) {
  if (!isDate(on)) return { key: 'doubt.date', firm: true };
  const year = Number(today.slice(0, 4));
  const meant = [year, year - 1]
    .map(y => `${y}${on.slice(4)}`)
    .find(d => isDate(d) && d <= today && d !== on && daysBetween(d, today) <= OLD_DAYS);
  const offer = meant
    ? { key: 'doubt.meant', date: meant, change: { on: meant } }
    : { key: 'doubt.meant', date: today, change: { on: today } };
  if (on > today) return { key: 'doubt.future', date: on, firm: true, offer };
  const n = Number(days);
  if (days !== '' && !(Number.isInteger(n) && n >= 1 && n <= MAX_KEEP)) return { key: 'doubt.days', firm: true };
  const kept = days === '' ? OLD_DAYS : Math.max(OLD_DAYS, n);
  return daysBetween(on, today) > kept ? { key: 'doubt.old', date: on, firm: false, offer } : null;
}
