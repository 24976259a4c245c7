// Which lines of a night stand, and which are history. Pure.

/** @import { Entry } from './entry.js' */

/** What a cleaning or a morning check may say that no later word of the same night takes away: only mending that entry does. @type {Record<string, (x: any) => boolean>} */
const HARM = {
  tap_water: x => x,
  topping_off: x => x,
  water_contact: x => x,
  rinse: x => x === 'tap-water',
  moved: x => x !== 'freely',
  comfort: x => x < 4,
  redness: x => x > 0,
  drops: x => x,
};

/**
 * What stands of a night: a cleaning or a morning check of which the same person said
 * every part again later is history, as a second tab or phone makes one, or a removal
 * that was logged in the wrong evening, unless it says of
 * something harmful that the later one does not.
 * @param {Entry[]} entries of a night, newest first
 * @returns {Entry[]}
 */
export function standing(entries) {
  /** @type {Map<string, Record<string, unknown>>} what was said of the cleaning or the morning, by person */
  const said = new Map();
  return entries.filter(e => {
    if (!['care', 'morning'].includes(e.kind)) return true;
    const key = `${e.kind} ${e.author}`;
    const later = said.get(key);
    const body = /** @type {Record<string, unknown>} */ (e.body);
    said.set(key, { ...body, ...later });
    return !later || Object.entries(body).some(([k, v]) => !(k in later) || (HARM[k]?.(v) && later[k] !== v));
  });
}
