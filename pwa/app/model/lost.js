// Lenses that were lost, with none in their place: the twin of LostLenses in
// server/internal/care/facts.go. Pure.
import { scheduleLog, spares } from './schedule-log.js';

/** @import { Night } from './fold.js' */

/** @typedef {{eye: 'right'|'left', on: string, spare?: boolean}} LostLens on: "YYYY-MM-DD"; spare: one for that eye is kept at home */

/**
 * The eyes that have no lens because it was lost.
 * @param {Night[]} nights of one wearer
 * @returns {LostLens[]}
 */
export function lostLenses(nights) {
  const said = nights
    .flatMap(n => n.entries.filter(e => e.kind === 'supply' && e.body.item === 'lens' && e.body.action !== 'kept'))
    .sort((a, b) => (a.hlc < b.hlc ? 1 : -1)); // the newest first
  if (!said.some(e => e.body.why === 'lost')) return [];
  const used = scheduleLog(nights, []).supplies.filter(x => x.item === 'lens');
  const kept = spares(nights);
  const of = (/** @type {string} */ eye) => (/** @type {{body: any}} */ e) =>
    [eye, 'both', undefined].includes(e.body.eye);
  return /** @type {('right'|'left')[]} */ (['right', 'left']).flatMap(eye => {
    if (used.some(x => x.eye === eye)) return [];
    const last = said.find(of(eye))?.body;
    return last?.why === 'lost' ? [{ eye, on: last.on, ...(kept.some(of(eye)) ? { spare: true } : {}) }] : [];
  });
}
