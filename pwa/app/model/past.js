// What a night came to, for screens that are fetched later: see day.js. Pure.
import { addDays, nightOf, NIGHT_STARTS, wallAt } from '../../../schedule/civil/civil.js';
import { wearing } from '../../../schedule/due.js';
import { again, any, facts, removedAt } from './day.js';
import { fact } from './fold.js';
import { worn } from './stay.js';

/** @import { Plan } from '../../../schedule/due.js' */
/** @import { Scene } from './day.js' */
/** @import { Night } from './fold.js' */

export const SNOOZE_MINUTES = 30;
const MAX_SNOOZES = 3; // of one night; the server counts no more

/**
 * The clock time to which the night's reminders can be put off now; "" when
 * they cannot: too often already, or the quiet hours come first.
 * @param {Scene} s
 * @param {number} already times put off
 * @returns {string}
 */
export function snoozeTo(s, already) {
  if (!s.plan || already >= MAX_SNOOZES) return '';
  const to = wallAt(s.now + SNOOZE_MINUTES * 60000, s.zone).clock;
  const { quiet_from: from, quiet_to: until } = s.plan;
  const quiet = from < until ? to >= from && to < until : from > until && (to >= from || to < until);
  return quiet ? '' : to;
}

/**
 * The night a case was closed in. One closed this afternoon after the night that
 * ended was closed in the night that has begun: as a clock of the ended night it
 * would be yesterday's, and its soak long over.
 * @param {string} night whose care it is
 * @param {string} closed "HH:MM", or "" for not closed
 * @param {{date: string, clock: string}} now
 * @returns {string}
 */
export function nightClosed(night, closed, now) {
  const today = night === addDays(now.date, -1) && closed >= NIGHT_STARTS && closed <= now.clock;
  return today ? now.date : night;
}

/**
 * Hours from when the lenses came out until now; null when not logged.
 * @param {Scene} s
 * @returns {number|null}
 */
export function hoursOut(s) {
  const tonight = nightOf(s.now, s.zone);
  for (const night of [tonight, addDays(tonight, -1)]) {
    const out = removedAt(s.night(night), s.zone);
    if (out === undefined) continue;
    const hours = (s.now - out) / 3600000;
    if (hours >= 0 && hours <= 24) return Math.round(hours * 2) / 2;
  }
  return null;
}

/**
 * Whole minutes asleep in lenses by the two clocks of a night; null when not
 * both are logged.
 * @param {Night|undefined} n
 * @param {string} zone
 * @returns {number|null}
 */
export function minutesIn(n, zone) {
  if (!n || again(n)) return null; // they are in: nobody knows yet for how long
  for (const eye of ['right', 'left']) {
    const into = fact(n, `insertion/${eye}`);
    const out = fact(n, `removal/${eye}`);
    if (out?.slept_minutes !== undefined) return out.slept_minutes;
    if (!into?.at || !out?.at) continue;
    const m = worn(n.night, into, out, zone);
    if (m !== undefined) return Math.round(m);
  }
  return null;
}

/**
 * What a night comes to at a glance.
 * @param {Night|undefined} n
 * @param {Plan|null} plan
 * @param {string} night
 * @returns {'worn'|'half'|'not'|'unknown'|'planned'}
 */
export function glance(n, plan, night) {
  const f = facts(n);
  const both = any(n, 'insertion/left') && any(n, 'insertion/right');
  if (f.notWorn) return 'not';
  if (f.partly || (f.inserted && !both)) return 'half';
  if (both || f.removed) return 'worn';
  return plan && !wearing(plan, night) ? 'planned' : 'unknown';
}

/**
 * Whether illness was said of the night before, in a report, as a reason or as a
 * pause: whoever then logs a lens is asked whether it is over.
 * @param {Scene} s
 * @param {string} night
 */
export function wasIll(s, night) {
  const before = addDays(night, -1);
  return (
    !!s.night(before)?.entries.some(e => e.body.ill === 'yes' || (e.kind === 'not-worn' && e.body.reason === 'ill')) ||
    !!s.pauses?.some(p => p.reason === 'ill' && p.from <= before && p.to >= before)
  );
}
