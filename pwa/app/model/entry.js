// Makes entries: the record every phone and the server agree on. Pure: the
// time, the zone, the counters and the random bytes are arguments.
import { isClock, nightOf, wallAt } from '../../../schedule/civil/civil.js';

/**
 * One entry of the log; see the table in server/internal/care/ENTRIES.md.
 * @typedef {object} Entry
 * @property {string} id UUIDv7
 * @property {string} wearer
 * @property {string} device
 * @property {number} dseq from 1, no gaps
 * @property {string} author
 * @property {string} kind
 * @property {string} night "YYYY-MM-DD"
 * @property {string} wall "YYYY-MM-DDTHH:MM:SS"
 * @property {string} zone IANA name
 * @property {number} offset minutes east of UTC
 * @property {string} hlc
 * @property {number} v body version
 * @property {string[]} [supersedes]
 * @property {string} [retracts]
 * @property {Record<string, any>} body
 * @property {number} [fseq] added by the server
 * @property {string} [recv] added by the server
 * @property {number} [skew_ms] added by the server
 * @property {string} [via] added by the server: the device that handed it in
 * @property {string} [first_recv] added by the server: the receipt before a restore
 * @property {{table?: number, right?: string, left?: string}} [judged] added by the server: what it said of wearing on receipt
 * @property {string} [by_name] of what the practice wrote: who
 * @property {string[]} [out] never stored: eyes of which a later word says that the lens is out, see asOfNow
 * @property {string} [mac] of what the practice wrote
 */

/**
 * What somebody wants to log.
 * @typedef {object} Draft
 * @property {string} wearer
 * @property {string} kind
 * @property {Record<string, any>} body
 * @property {string} [night] absent for the night of now
 * @property {string[]} [supersedes]
 * @property {string} [retracts]
 */

/**
 * @typedef {object} Pen who writes, where and when
 * @property {string} device
 * @property {string} author
 * @property {string} zone
 * @property {number} now Unix time in ms
 * @property {number} dseq
 * @property {string} hlc from nextClock
 * @property {Uint8Array} random 10 random bytes
 */

/** The newest version of the log this app reads. */
export const SCHEMA = 3;

/** The clocks of a night that a body says, by kind. @type {Record<string, string>} */
const CLOCKS = { insertion: 'at', removal: 'at', care: 'closed_at', snooze: 'until' };

/** Whether this app can read an entry: one that it cannot is shown as refused or held, and stops nothing else. @param {Pick<Entry, 'kind'|'body'>} e */
export function readable({ kind, body }) {
  const clock = body[CLOCKS[kind]];
  return clock === undefined || isClock(clock);
}

/** Kinds that came with a later version than the first. An entry says the version that brought its kind, so that an older server takes all it can. @type {Record<string, number>} */
const SINCE = {
  pause: 2,
  snooze: 2,
  cease: 3,
  resume: 3,
  'wear-start': 3,
  word: 3,
  visit: 3,
  reply: 3,
  read: 3,
  'check-open': 3,
  elsewhere: 3,
  taught: 3,
  learnt: 3,
};

/** The longest pause of reminders a family can set at once, nights (common practice). */
export const MAX_PAUSE_NIGHTS = 30;

/**
 * @param {Draft} draft
 * @param {Pen} pen
 * @returns {Entry}
 * @throws {RangeError} for a clock that is none: no phone could read it
 */
export function makeEntry(draft, pen) {
  if (!readable(draft)) throw new RangeError(`${draft.kind}: its time must be HH:MM`);
  const w = wallAt(pen.now, pen.zone);
  return {
    id: uuid7(pen.now, pen.random),
    wearer: draft.wearer,
    device: pen.device,
    dseq: pen.dseq,
    author: pen.author,
    kind: draft.kind,
    night: draft.night ?? nightOf(pen.now, pen.zone),
    wall: `${w.date}T${w.clock}:${w.seconds}`,
    zone: pen.zone,
    offset: w.offset,
    hlc: pen.hlc,
    v: SINCE[draft.kind] ?? 1,
    ...(draft.supersedes?.length ? { supersedes: draft.supersedes } : {}),
    ...(draft.retracts ? { retracts: draft.retracts } : {}),
    body: draft.body,
  };
}

/**
 * A UUID of version 7 (RFC 9562): 48 bits of time, then random bits.
 * @param {number} ms Unix time
 * @param {Uint8Array} random 10 bytes
 * @returns {string}
 */
export function uuid7(ms, random) {
  const time = Math.max(0, Math.floor(ms)).toString(16).padStart(12, '0').slice(-12);
  const b = [...random];
  b[0] = (b[0] & 0x0f) | 0x70;
  b[2] = (b[2] & 0x3f) | 0x80;
  const tail = b.map(x => x.toString(16).padStart(2, '0')).join('');
  return `${time.slice(0, 8)}-${time.slice(8)}-${tail.slice(0, 4)}-${tail.slice(4, 8)}-${tail.slice(8, 20)}`;
}

/**
 * The next reading of the hybrid logical clock: later than the clock, than the
 * last reading, and than every entry that is being corrected or withdrawn, even
 * one from a phone whose clock is wrong.
 * @param {number} now Unix time in ms
 * @param {string[]} seen earlier readings; "" for none
 * @returns {string} "<13-digit ms>-<4-digit counter>"
 */
export function nextClock(now, seen) {
  const last = seen.reduce((a, b) => (a > b ? a : b), '');
  const text = String(Math.max(0, Math.floor(now))).padStart(13, '0');
  if (text > last.slice(0, 13)) return `${text}-0000`;
  const count = Number(last.slice(14)) + 1;
  if (count <= 9999) return `${last.slice(0, 13)}-${String(count).padStart(4, '0')}`;
  return `${String(Number(last.slice(0, 13)) + 1).padStart(13, '0')}-0000`;
}

/**
 * Whether a was written after b: by clock, then by id.
 * @param {Entry} a
 * @param {Entry} b
 * @returns {boolean}
 */
export function after(a, b) {
  return a.hlc === b.hlc ? a.id > b.id : a.hlc > b.hlc;
}

/**
 * An entry and every earlier form of it, which would come back without it.
 * @param {Entry} e
 * @param {(id: string) => Entry|undefined} find
 * @returns {string[]} ids
 */
export function forms(e, find) {
  const ids = [e.id];
  for (let i = 0; i < ids.length; i++)
    for (const id of find(ids[i])?.supersedes ?? []) if (!ids.includes(id) && find(id)) ids.push(id);
  return ids;
}
