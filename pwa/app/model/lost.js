// Lenses that were lost, with none in their place: the twin of LostLenses in
// server/internal/care/facts.go. Pure.
import { scheduleLog } from './schedule-log.js';

/** @import { Night } from './fold.js' */

/**
 * The eyes that have no lens because it was lost.
 * @param {Night[]} nights of one wearer
 * @returns {{eye: 'right'|'left', on: string}[]} on: "YYYY-MM-DD"
 */
export function lostLenses(nights) {
  const used = scheduleLog(nights, []).supplies.filter(x => x.item === 'lens');
  const said = nights
    .flatMap(n => n.entries.filter(e => e.kind === 'supply' && e.body.item === 'lens' && e.body.action !== 'kept'))
    .sort((a, b) => (a.hlc < b.hlc ? 1 : -1)); // the newest first
  return /** @type {('right'|'left')[]} */ (['right', 'left']).flatMap(eye => {
    if (used.some(x => x.eye === eye)) return [];
    const last = said.find(e => [eye, 'both', undefined].includes(e.body.eye))?.body;
    return last?.why === 'lost' ? [{ eye, on: last.on }] : [];
  });
}
