// Which lines of a night stand, and which are history. Pure.

/** @import { Entry } from './entry.js' */

/** What a cleaning may say that no later word of the same night takes away: only mending that entry does. @type {Record<string, unknown>} */
const HARM = { tap_water: true, topping_off: true, water_contact: true, rinse: 'tap-water' };

/**
 * What stands of a night: a cleaning of which the same person said every part
 * again later is history, as a second tab or phone makes one, unless it says of
 * something harmful that the later one does not.
 * @param {Entry[]} entries of a night, newest first
 * @returns {Entry[]}
 */
export function standing(entries) {
  /** @type {Map<string, Record<string, unknown>>} what was said of the cleaning, by person */
  const said = new Map();
  return entries.filter(e => {
    if (e.kind !== 'care') return true;
    const later = said.get(e.author);
    const body = /** @type {Record<string, unknown>} */ (e.body);
    said.set(e.author, { ...body, ...later });
    return !later || Object.entries(body).some(([k, v]) => !(k in later) || (HARM[k] === v && later[k] !== v));
  });
}
