// The score of a wearer: every row a strip over one axis of time, night by
// night, or week by week when there are more nights than a screen has room for.
// Pure: what is drawn is worked out here, from the rows the tables list.

import { dateOf, dayNumber } from './format.js';
import { tr } from './text.js';

/** @import { NightRow, Summary } from './types.js' */

/** Most nights that are drawn one by one: on 600 px of a sheet each still has 5. */
export const MOST_NIGHTS = 120;

/**
 * One column: a night, or a week of them.
 * @typedef {object} Column
 * @property {string} from first night
 * @property {string} to last night
 * @property {number[]} at places of its nights in the summary
 */

/**
 * @param {NightRow[]} nights in order
 * @param {string} from first date of the axis
 * @param {string} to last date
 * @returns {{columns: Column[], weekly: boolean}}
 */
export function columnsOf(nights, from, to) {
  const first = dayNumber(from);
  const days = dayNumber(to) - first + 1;
  const weekly = days > MOST_NIGHTS;
  const step = weekly ? 7 : 1;
  /** @type {Column[]} */
  const columns = [];
  for (let d = first; d < first + days; d += step)
    columns.push({ from: dateOf(d), to: dateOf(Math.min(d + step, first + days) - 1), at: [] });
  nights.forEach((n, i) => {
    const column = columns[Math.floor((dayNumber(n.night) - first) / step)];
    if (column) column.at.push(i);
  });
  return { columns, weekly };
}

/**
 * What a night is drawn as; the same words everywhere.
 * @param {NightRow} n
 * @returns {'stopped'|'memory'|'worn'|'short'|'missed'|'differ'|'not-logged'}
 */
export function drawnAs(n) {
  if (n.held) return 'stopped'; // or at rest: its words say which
  if (n.status === 'not-logged' || n.status === 'missed') return n.status;
  if (n.memory && n.status !== 'differ') return 'memory';
  return n.status;
}

/** @param {string|undefined} clock HH:MM @returns {number|null} hours from midnight before the evening: noon is 12, seven in the morning 31 */
export function nightHours(clock) {
  const m = /^(\d\d):(\d\d)$/.exec(clock ?? '');
  if (!m) return null;
  const h = Number(m[1]) + Number(m[2]) / 60;
  return h < 12 ? h + 24 : h;
}

/**
 * @param {NightRow[]} nights
 * @returns {[number, number]} whole hours from and to that hold every insertion and removal, at least 20:00 to 08:00
 */
export function clockRange(nights) {
  let [low, high] = [20, 32];
  for (const n of nights) {
    const [a, b] = [nightHours(n.in), nightHours(n.out)];
    if (a !== null) low = Math.min(low, Math.floor(a));
    if (b !== null && b < 36) high = Math.max(high, Math.ceil(b));
  }
  return [low, high];
}

/**
 * Care items, the one left out most first; those never answered last.
 * @param {Summary} sum
 */
export function rankedCare(sum) {
  const answered = (/** @type {import('./types.js').Share} */ s) => s.done + s.not_done;
  return [...sum.care].sort(
    (a, b) =>
      Number(answered(b.share) > 0) - Number(answered(a.share) > 0) ||
      b.share.not_done - a.share.not_done ||
      a.share.share - b.share.share,
  );
}

/**
 * A percentage as far as the log bears it.
 * @param {{done: number, not_done: number, share: number}} s
 * @param {string} doubt of the log: none, some or much
 * @returns {string} "91 %", or "91 % as claimed" of a log in doubt
 */
export const percent = (s, doubt) =>
  s.done + s.not_done ? `${Math.round(100 * s.share)} %${doubt === 'none' ? '' : tr(' as claimed')}` : '';
