// What the schedule needs of the log: the twin of ScheduleLog in
// server/internal/care/facts.go. Pure.
import { facts } from './day.js';

/** @import { Night } from './fold.js' */
/** @import { Log, Supply, Visit } from '../../../schedule/due.js' */

/**
 * @param {Night[]} nights of one wearer
 * @param {Visit[]} visits
 * @returns {Log}
 */
export function scheduleLog(nights, visits) {
  /** @type {Log} */
  const log = { nights: [], supplies: [], lens_starts: [], visits, last_deposit: '', last_acuity: '' };
  for (const n of [...nights].sort((a, b) => (a.night < b.night ? -1 : 1))) {
    const f = facts(n);
    log.nights.push({ night: n.night, inserted: f.inserted, removed: f.removed, not_worn: f.notWorn, care: f.care, evening_sight: f.evening });
    if (n.items.get('care/deposit_removal')?.facts.some((x) => x.value === true)) log.last_deposit = n.night;
    for (const key of [...n.items.keys()].sort()) {
      const [kind, id] = key.split('/');
      if (kind === 'acuity-run') log.last_acuity = n.night;
      if (kind === 'supply') supply(log, id, n.items.get(key)?.facts[0].value);
    }
  }
  return log;
}

/**
 * A started thing is in use; the newest of its sort and eye takes the place of
 * the one before, except bottles, which each have a date of their own.
 * @param {Log} log
 * @param {string} id
 * @param {any} b body of the entry
 */
function supply(log, id, b) {
  const bottle = b.item === 'solution' || b.item === 'drops';
  const replaced = (/** @type {Supply} */ have) => have.item === b.item && (!b.eye || b.eye === 'both' || have.eye === b.eye) && have.started <= b.on
    && ((b.action === 'discarded' && (!b.label || b.label === have.label)) || (b.action === 'started' && !bottle));
  log.supplies = log.supplies.filter((have) => !replaced(have));
  if (b.action !== 'started') return;
  log.supplies.push({ id, item: b.item, started: b.on, discard_after_days: b.discard_after_days ?? 0, eye: b.eye ?? '', label: b.label ?? '' });
  if (b.item === 'lens') log.lens_starts.push(b.on);
}
