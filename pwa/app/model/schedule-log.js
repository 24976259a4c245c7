// What the schedule needs of the log: the twin of ScheduleLog in
// server/internal/care/facts.go. Pure.
import { cared, facts, removedAt, standing } from './day.js';

/** @import { Night } from './fold.js' */
/** @import { Log, Supply, Visit } from '../../../schedule/due.js' */

const REMOVALS = 3; // last nights logged of which the schedule is told when the lenses came out, and whether they went in again after; as the server's

/**
 * @param {Night[]} nights of one wearer
 * @param {Visit[]} visits
 * @returns {Log}
 */
export function scheduleLog(nights, visits) {
  /** @type {Log} */
  const log = {
    nights: [],
    supplies: [],
    lens_starts: [],
    visits,
    last_deposit: '',
    last_acuity: '',
    pauses: pauses(nights),
  };
  for (const [i, n] of [...nights].sort((a, b) => (a.night < b.night ? -1 : 1)).entries()) {
    const late = nights.length - i <= REMOVALS;
    const f = late ? { ...standing(n), care: cared(n) } : facts(n);
    const out = late ? removedAt(n, 'UTC') : undefined;
    log.nights.push({
      night: n.night,
      inserted: f.inserted,
      removed: f.removed,
      not_worn: f.notWorn,
      care: f.care,
      evening_sight: f.evening,
      ...(out === undefined ? {} : { removed_at: new Date(out).toISOString() }),
    });
    if (n.items.get('care/deposit_removal')?.facts.some(x => x.value === true)) log.last_deposit = n.night;
    for (const key of [...n.items.keys()].sort()) {
      const [kind, id] = key.split('/');
      if (kind === 'acuity-run') log.last_acuity = n.night;
      if (kind === 'supply') supply(log, id, n.items.get(key)?.facts[0].value);
    }
  }
  return log;
}

/**
 * The pauses of reminders that the family set, by their first night.
 * @param {Night[]} nights of one wearer
 * @returns {import('../../../schedule/due.js').Pause[]}
 */
export function pauses(nights) {
  const all = nights.flatMap(n =>
    n.entries.filter(e => e.kind === 'pause').map(e => ({ from: n.night, to: e.body.to, reason: e.body.reason })),
  );
  return all.filter(p => p.to >= p.from).sort((a, b) => (a.from < b.from ? -1 : 1));
}

/**
 * A started thing is in use; the newest of its sort and eye takes the place of
 * the one before, except bottles, which each have a date of their own. A spare
 * that is kept is not in use.
 * @param {Log} log
 * @param {string} id
 * @param {any} b body of the entry
 */
function supply(log, id, b) {
  const bottle = b.item === 'solution' || b.item === 'drops';
  for (const eye of eyesOf(b)) {
    const same = (/** @type {Supply} */ have) => have.item === b.item && have.eye === eye;
    const ends = (/** @type {Supply} */ have) =>
      b.action === 'discarded' && b.of
        ? have.id === b.of
        : have.started <= b.on &&
          ((b.action === 'discarded' && (!b.label || b.label === have.label)) || (b.action === 'started' && !bottle));
    log.supplies = log.supplies.filter(have => !(same(have) && ends(have)));
    if (b.action !== 'started' || (!bottle && log.supplies.some(same))) continue; // said late: a newer one is in use
    log.supplies.push({
      id,
      item: b.item,
      started: b.on,
      discard_after_days: b.discard_after_days ?? 0,
      eye,
      label: b.label ?? '',
    });
  }
  if (b.action === 'started' && b.item === 'lens') log.lens_starts.push(b.on);
}

/**
 * The eyes a thing is for, one by one, so that a new lens of one eye leaves the
 * other's as it was; nothing but a lens has an eye.
 * @param {any} b body of the entry
 */
function eyesOf(b) {
  if (b.item !== 'lens') return [''];
  return b.eye && b.eye !== 'both' ? [b.eye] : ['right', 'left'];
}

/**
 * The spares that are kept at home: neither in use yet nor thrown away, oldest
 * first.
 * @param {Night[]} nights of one wearer
 * @returns {{id: string, body: any}[]}
 */
export function spares(nights) {
  const all = nights.flatMap(n => n.entries.filter(e => e.kind === 'supply')).sort((a, b) => (a.hlc < b.hlc ? -1 : 1));
  const used = new Set(all.map(e => e.body.of).filter(Boolean));
  return all.filter(e => e.body.action === 'kept' && !used.has(e.id)).map(e => ({ id: e.id, body: e.body }));
}
