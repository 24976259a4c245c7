// What the settings page works out: faults by field, gaps in order, slots for
// several days at once. Pure.

import { moment } from './format.js';
import { tr } from './text.js';

/** @import { Gap, Settings, Slot } from './api.js' */

/** Weekdays as people read a rota, from Monday; the numbers are the server's. */
export const WEEK = /** @type {[number, string][]} */ ([
  [1, tr('Monday')],
  [2, tr('Tuesday')],
  [3, tr('Wednesday')],
  [4, tr('Thursday')],
  [5, tr('Friday')],
  [6, tr('Saturday')],
  [0, tr('Sunday')],
]);

/** Days a slot can be added for in one go. */
export const DAY_SETS = /** @type {[string, number[]][]} */ ([
  [tr('Every day'), [1, 2, 3, 4, 5, 6, 0]],
  [tr('Monday to Friday'), [1, 2, 3, 4, 5]],
  [tr('Saturday and Sunday'), [6, 0]],
  ...WEEK.map(([n, name]) => [name, [n]]),
]);

/** What `toSend` sends more than once, by the one field that it is typed in. @type {Record<string, string>} */
const SAME = {
  'practice.contacts.clinic': 'practice.name',
  'practice.contacts.zone': 'practice.zone',
  'rota.zone': 'practice.zone',
};

/**
 * @param {string} message of a refusal: one fault a line, its field before a colon
 * @returns {Record<string, string>} what is wrong, by field
 */
export function faultsOf(message) {
  /** @type {Record<string, string>} */
  const out = {};
  for (const line of message.split('\n')) {
    const m = /^([a-z_.0-9]+): (.*)$/.exec(line);
    if (m) out[SAME[m[1]] ?? m[1]] ??= m[2];
  }
  return out;
}

/**
 * @param {Slot[]} slots
 * @param {number[]} days
 * @param {Omit<Slot, 'weekday'>} slot
 * @returns {Slot[]} with the slot on each of the days, from Monday on
 */
export function withSlots(slots, days, slot) {
  const order = WEEK.map(([n]) => n);
  return [...slots, ...days.map(weekday => ({ ...slot, weekday }))].sort(
    (a, b) => order.indexOf(a.weekday) - order.indexOf(b.weekday) || (a.from < b.from ? -1 : a.from > b.from ? 1 : 0),
  );
}

/**
 * @param {Gap} gap
 * @param {string} zone
 * @returns {string} such as "Mon 6 Apr, 08:00 to 09:00"
 */
export function gapWords(gap, zone) {
  const from = moment(gap.from, zone);
  const to = moment(gap.to, zone);
  const day = from.split(', ')[0];
  return tr('{from} to {more}', { from, more: to.startsWith(`${day}, `) ? to.slice(day.length + 2) : to });
}

/**
 * One name and one zone stand for the practice, its telephone hours and its rota.
 * @param {Settings} s
 * @returns {Settings} as it is sent
 */
export function toSend(s) {
  const { name, zone } = s.practice;
  return {
    practice: { ...s.practice, contacts: { ...s.practice.contacts, clinic: name, zone } },
    rota: { ...s.rota, zone },
    policy: s.policy,
    rule_settings: s.rule_settings,
    revision: s.revision,
  };
}

/**
 * What two people made of the same settings, put together: what only one of
 * them changed is taken from that one; what both changed stays as mine, and is
 * named. Lists count as one thing each.
 * @param {unknown} opened as both read it
 * @param {unknown} mine
 * @param {unknown} theirs as it is stored by now
 * @param {string} [path]
 * @returns {{value: unknown, taken: string[], both: string[]}} paths that were taken from them, and that both changed
 */
export function merge(opened, mine, theirs, path = '') {
  if (isRecord(opened) && isRecord(mine) && isRecord(theirs)) {
    const out = {
      value: /** @type {Record<string, unknown>} */ ({}),
      taken: /** @type {string[]} */ ([]),
      both: /** @type {string[]} */ ([]),
    };
    for (const key of new Set([...Object.keys(mine), ...Object.keys(theirs)])) {
      const part = merge(opened[key], mine[key], theirs[key], path ? `${path}.${key}` : key);
      if (part.value !== undefined) out.value[key] = part.value;
      out.taken.push(...part.taken);
      out.both.push(...part.both);
    }
    return out;
  }
  if (same(mine, theirs) || same(opened, theirs)) return { value: mine, taken: [], both: [] };
  return same(opened, mine) ? { value: theirs, taken: [path], both: [] } : { value: mine, taken: [], both: [path] };
}

/** @param {unknown} v @returns {v is Record<string, unknown>} */
const isRecord = v => typeof v === 'object' && v !== null && !Array.isArray(v);

/** @param {unknown} a @param {unknown} b */
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

/**
 * @param {string} path of a setting
 * @returns {string} such as "rota, slots"
 */
export const pathWords = path =>
  ({
    'rota.slots': tr('the rota'),
    'rota.off': tr('who is away'),
    'rota.dates': tr('single dates of the rota'),
    'rota.holidays': tr('holidays'),
    'rota.swaps': tr('swapped duties'),
  })[path] ??
  path
    .replace(/^(practice\.contacts|practice)\./, '')
    .replace(/\./g, ', ')
    .replace(/_/g, ' ');
