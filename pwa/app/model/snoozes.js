import { instantInNight } from '../../../schedule/civil/civil.js';

/** @import { Night } from './fold.js' */

/**
 * Until when a night's reminders were put off, in order, as Unix ms.
 * @param {Night|undefined} n
 * @returns {number[]}
 */
export function snoozes(n) {
  const said = (n?.entries ?? []).filter(e => e.kind === 'snooze');
  return said.map(e => instantInNight(e.night, e.body.until, e.zone)).sort((a, b) => a - b);
}
