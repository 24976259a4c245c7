// What a reply of the server does to the log on this phone.
import { done } from './store.js';

/** @import { Entry } from '../model/entry.js' */
/** @import { LogRecord, Me, Place, RecordState, Reply, Verdict } from './log.js' */
/** @import { Store } from './store.js' */

const HEARD_MS = 60000; // how far behind the time of the last answer may stand that is kept

/** @type {Place} */
export const START = { epoch: '', cursor: 0, sum: '' };

/**
 * The rolling checksum of a family's log.
 * @param {string} before
 * @param {string} id
 * @returns {Promise<string>}
 */
export async function nextChecksum(before, id) {
  const bytes = new Uint8Array(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(`${before}\n${id}`)));
  return [...bytes.subarray(0, 8)].map(b => b.toString(16).padStart(2, '0')).join('');
}

/**
 * How far this phone has read with a reply, and whether its log is the server's.
 * @param {Place} before
 * @param {Reply} reply
 * @param {boolean} trust take the server's checksum although it does not match
 * @returns {Promise<{place: Place, matches: boolean}>} a log that does not match is read from the start
 */
async function readTo(before, reply, trust) {
  const restored = before.epoch !== '' && before.epoch !== reply.epoch;
  let sum = restored ? '' : before.sum;
  for (const e of reply.changes) sum = await nextChecksum(sum, e.id);
  const matches = trust || sum === (reply.checksum ?? sum);
  const { epoch, cursor } = reply;
  return {
    place: matches ? { epoch, cursor, sum: trust ? (reply.checksum ?? sum) : sum } : { ...START, epoch },
    matches,
  };
}

/**
 * Takes in a reply: verdicts, changes, place and counter in one transaction.
 * @param {Store} store
 * @param {() => number} now Unix ms
 * @param {{told: string}} last what was so when a reply was last taken in
 * @param {Reply} reply
 * @param {boolean} trust take the server's checksum although it does not match
 * @returns {Promise<'same'|'ok'|'again'>} same: it says nothing new, and nobody else wrote here, so that
 * nothing was written; again: the log did not match and is read anew from the start
 */
export async function settle(store, now, last, reply, trust) {
  const [me, before = START, heard = 0, dseq = 0] = await store.run(
    'readonly',
    /** @returns {Promise<[Me|undefined, Place|undefined, number|undefined, number|undefined]>} */
    async (_, meta) => [
      await done(meta.get('me')),
      await done(meta.get('place')),
      await done(meta.get('heard')),
      await done(meta.get('dseq')),
    ],
  );
  const told = JSON.stringify([reply.epoch, reply.cursor, reply.checksum, reply.alerts, before, dseq]);
  const age = now() - heard;
  if (told === last.told && !reply.verdicts?.length && !reply.changes.length && !trust && age >= 0 && age < HEARD_MS)
    return 'same';
  last.told = told;
  const { place, matches } = await readTo(before, reply, trust);
  // An older file that the server has not noticed has the same epoch, and another sum.
  const older = before.epoch !== '' && (before.epoch !== reply.epoch || !matches);
  const rare = older ? await import('./rare.js') : null;
  await store.run('readwrite', async (entries, meta) => {
    const at = /** @type {Place} */ ((await done(meta.get('place'))) ?? START);
    const moved = at.epoch !== before.epoch || at.cursor !== before.cursor; // by another tab
    if (rare && (at.epoch !== reply.epoch || !moved)) await rare.offerAgain(entries, meta, me ?? null);
    for (const v of reply.verdicts ?? []) await applyVerdict(entries, v);
    for (const e of reply.changes) {
      const unreadable = 'unreadable' in e && e.unreadable;
      await (unreadable ? again(entries, e.id) : put(entries, e, me?.device, now()));
    }
    if (matches && !reply.more) await handIn(entries);
    if (!moved) await done(meta.put(place, 'place'));
    await count(meta, reply, me?.device);
    await done(meta.put(reply.alerts ?? [], 'alerts'));
    await done(meta.put(now(), 'heard'));
    await done(meta.put((Date.parse(reply.now) || now()) - now(), 'skew'));
  });
  return matches ? 'ok' : 'again';
}

/**
 * Raises the device's counter above every number that the server knows of it.
 * @param {IDBObjectStore} meta
 * @param {Reply} reply
 * @param {string|undefined} device
 */
async function count(meta, reply, device) {
  const own = reply.changes.filter(e => e.dseq && e.device === device).map(e => e.dseq);
  const dseq = (await done(meta.get('dseq'))) ?? 0;
  await done(meta.put(Math.max(dseq, reply.watermark ?? 0, ...own), 'dseq'));
}

/**
 * Offers what the log, read to its end, does not hold any more: the phone that
 * wrote it may never come back.
 * @param {IDBObjectStore} entries
 */
async function handIn(entries) {
  const lost = /** @type {LogRecord[]} */ (await done(entries.index('state').getAll('missing')));
  for (const r of lost) await done(entries.put({ ...r, state: 'unsent' }));
}

/**
 * The server cannot read an entry any more. What this phone wrote is offered
 * again, so that it can mend it.
 * @param {IDBObjectStore} entries
 * @param {string} id
 */
async function again(entries, id) {
  const r = /** @type {LogRecord|undefined} */ (await done(entries.get(id)));
  if (r?.own) await done(entries.put({ ...r, state: 'unsent' }));
}

/** @type {Record<string, RecordState>} */
const AFTER = { accepted: 'sent', duplicate: 'sent', held: 'held', refused: 'refused' };

/**
 * @param {IDBObjectStore} entries
 * @param {Verdict} v
 */
async function applyVerdict(entries, v) {
  const r = /** @type {LogRecord|undefined} */ (await done(entries.get(v.id)));
  if (r?.state !== 'unsent' || !AFTER[v.verdict]) return;
  await done(entries.put({ ...r, state: AFTER[v.verdict], verdict: v }));
}

/**
 * @param {IDBObjectStore} entries
 * @param {Entry} e
 * @param {string|undefined} device
 * @param {number} now
 */
async function put(entries, e, device, now) {
  const r = /** @type {LogRecord|undefined} */ (await done(entries.get(e.id)));
  await done(
    entries.put({ id: e.id, entry: e, state: 'stored', own: r?.own ?? e.device === device, at: r?.at ?? now }),
  );
}
