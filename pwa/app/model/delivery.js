// Whether the clinic has an eye report. Pure.
import { levelRank } from '../../../alerts/evaluate.js';
import { about, outcome } from './report.js';

/** @import { LogRecord } from '../data/log.js' */
/** @import { Alert } from './report.js' */

/** @typedef {{key: string, name?: string, at?: number, kind: 'alarm'|'urgent'|'good'}} Delivery */

/**
 * Whether the clinic has a report. Never more hopeful than what the server has
 * said: the worst of the alerts it raised counts.
 * @param {LogRecord} r
 * @param {Alert[]} alerts
 * @param {number} now
 * @param {boolean} [cut] the server does not know this phone any more: what was only sent may be lost there
 * @returns {Delivery}
 */
export function delivery(r, alerts, now, cut) {
  if (r.state === 'unsent') return { key: cut ? 'delivery.shut' : 'delivery.phone', kind: 'alarm' };
  if (r.state === 'refused' || r.state === 'discarded' || r.state === 'held')
    return { key: 'delivery.refused', kind: 'alarm' };
  const at = r.entry.recv ? Date.parse(r.entry.recv) : r.at;
  const mine = about(r.entry, alerts);
  if (cut && mine.every(a => a.state === 'open')) return { key: 'delivery.cut', kind: 'alarm' };
  if (!mine.length)
    return {
      key: levelRank(outcome(r.entry).level) >= levelRank('routine') ? 'delivery.sent' : 'delivery.noalert',
      at,
      kind: 'urgent',
    };
  const open = mine.filter(a => a.state === 'open');
  if (open.length) {
    const since = Math.min(...open.map(a => Date.parse(a.opened)));
    // By the server's word, or by its minutes when it cannot be asked.
    if (open.some(a => a.lapsed || (a.lapses_at && now > Date.parse(a.lapses_at))))
      return { key: 'delivery.late', kind: 'alarm' };
    // The desk has phoned: no clinician has it.
    const desk = Math.max(0, ...open.map(a => (a.desk_at ? Date.parse(a.desk_at) : 0)));
    return desk
      ? { key: 'delivery.desk', at: desk, kind: 'urgent' }
      : { key: 'delivery.open', at: Math.max(since, at), kind: 'urgent' }; // an alert that was there before has this since then
  }
  const seen = mine.filter(a => a.state === 'acknowledged');
  // Read is not examined: it turns calm once somebody has spoken to the family.
  const [unspoken] = seen.filter(a => !a.spoken_at);
  if (unspoken)
    return {
      key: 'delivery.seen',
      name: unspoken.seen_by ?? '',
      at: Date.parse(unspoken.seen_at ?? ''),
      kind: 'urgent',
    };
  if (seen.length)
    return {
      key: 'delivery.spoken',
      name: seen[0].seen_by ?? '',
      at: Date.parse(seen[0].spoken_at ?? ''),
      kind: 'good',
    };
  return { key: 'delivery.closed', at: Math.max(...mine.map(a => Date.parse(a.closed_at ?? ''))), kind: 'good' };
}
