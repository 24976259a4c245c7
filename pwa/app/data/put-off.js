// Puts tonight's reminders off from a notification, without opening the app.
import { nightOf, wallAt } from '../../../schedule/civil/civil.js';
import { SNOOZE_MINUTES } from '../model/past.js';

/** @import { Log } from './log.js' */
/** @typedef {{person: {wearer?: string, role: string}, wearers: {id: string, plan: unknown}[]}} Members the family as last heard */

/**
 * The children this phone reminds of: a teen's own, else all with a plan.
 * @param {Log} log
 */
export async function covered(log) {
  const family = await log.get('family', /** @type {Members|null} */ (null));
  const own = family?.person.role === 'teen' ? family.person.wearer : undefined;
  return (family?.wearers ?? []).filter(w => w.plan && (!own || w.id === own));
}

/**
 * Writes a snooze for each child this phone reminds of: the notification does not
 * say whose it was, and its button says that it is for all.
 * @param {Log} log
 * @param {number} now Unix ms
 * @param {string} zone
 * @returns {Promise<number>} how many were written
 */
export async function putOff(log, now, zone) {
  const whose = await covered(log);
  const night = nightOf(now, zone);
  const until = wallAt(now + SNOOZE_MINUTES * 60000, zone).clock;
  if (whose.length)
    await log.append(
      whose.map(w => ({ wearer: w.id, kind: 'snooze', night, body: { until } })),
      zone,
    );
  return whose.length;
}
