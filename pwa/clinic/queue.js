// The order of the alert queue and what is new in it. Pure.

import { tr } from './text.js';

/** @import { Alert } from './api.js' */

const LEVELS = ['emergency', 'urgent', 'routine', 'note'];
/** Rules of `alerts/rules.json` whose advice begins with rinsing at once. */
const RINSED = ['chemical', 'now-chemical'];
const STATES = ['open', 'acknowledged', 'closed'];

/**
 * The queue's order: children before a drill, open before acknowledged before
 * closed, then by level, a chemical in the eye before other emergencies, since each minute of
 * rinsing counts, then the oldest first, closed ones newest first. Said on the page, so that nobody
 * has to guess.
 * @param {Alert[]} alerts
 * @returns {Alert[]}
 */
export function inOrder(alerts) {
  return [...alerts].sort(
    (a, b) =>
      Number(a.drill ?? false) - Number(b.drill ?? false) ||
      STATES.indexOf(a.state) - STATES.indexOf(b.state) ||
      LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) ||
      Number(RINSED.includes(b.rule)) - Number(RINSED.includes(a.rule)) ||
      (a.state === 'closed' ? -1 : 1) * (Date.parse(a.opened) - Date.parse(b.opened)),
  );
}

/**
 * @param {Alert[]} alerts
 * @returns {number} how many nobody has acknowledged; a drill is none
 */
export const unacknowledged = alerts => alerts.filter(a => a.state === 'open' && !a.drill).length;

/**
 * Emergencies that are open now and were none before: new, risen to one, or worse and
 * open again.
 * @param {Alert[]} before
 * @param {Alert[]} now
 * @returns {Alert[]}
 */
export function newEmergencies(before, now) {
  const known = new Set(before.filter(a => a.state === 'open' && a.level === 'emergency').map(a => a.id));
  return now.filter(a => a.level === 'emergency' && a.state === 'open' && !known.has(a.id));
}

/**
 * The window's title, so that a tab in the background shows what waits.
 * @param {number} waiting alerts nobody has acknowledged
 * @param {string} page
 */
export const windowTitle = (waiting, page) => `${waiting ? `(${waiting}) ` : ''}${page} · ${tr('Nightkeep clinic')}`;
