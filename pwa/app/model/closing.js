// A cleaning that was logged in the afternoon after the night that ended is two entries:
// the case was closed in the night that has begun, where its soak is counted. For who
// reads and mends the log it is one care. Pure.
import { addDays } from '../../../schedule/civil/civil.js';

/** @import { Entry } from './entry.js' */

/**
 * Whether an entry is the closing of the case that was written with a cleaning.
 * @param {Entry} x
 * @param {Entry} care
 */
export const closes = (x, care) =>
  x.kind === 'care' &&
  care.kind === 'care' &&
  Object.keys(x.body).join() === 'closed_at' &&
  !care.body.closed_at &&
  x.wearer === care.wearer &&
  x.device === care.device &&
  x.dseq === care.dseq + 1 &&
  x.night === addDays(care.night, 1);

/**
 * What a cleaning is written as, mended: its closing stays in the night that it began
 * while its time is one of that afternoon, and is else one entry with it.
 * @param {Entry} closing
 * @param {Record<string, any>} body of the mended cleaning, with its closing
 * @param {boolean} afternoon
 * @returns {{night?: string, body: Record<string, any>, closes?: boolean}[]}
 */
export function apart(closing, { closed_at, ...rest }, afternoon) {
  if (!closed_at || !afternoon) return [{ body: { ...rest, ...(closed_at ? { closed_at } : {}) } }];
  return [{ body: rest }, { night: closing.night, body: { closed_at }, closes: true }];
}
