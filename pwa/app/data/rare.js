// What is seldom done to the log: apart from log.js, which every start reads.
import { START } from './settle.js';
import { done } from './store.js';

/** @import { Entry } from '../model/entry.js' */
/** @import { Log, LogRecord, Me, Place, RecordState } from './log.js' */
/** @import { Store } from './store.js' */

/**
 * Says who this browser is now. When it was somebody else before, what is only
 * here of theirs is laid aside, and comes back with them. The same person with a
 * new invitation, or with a device made anew, keeps everything: what is not sent
 * yet is sent by the new device, which counts from 1.
 * @param {Store} store
 * @param {Me} me
 * @returns {Promise<boolean>} whether this browser is another device now
 */
export const become = (store, me) =>
  store.run('readwrite', async (entries, meta) => {
    const old = /** @type {Me|undefined} */ (await done(meta.get('me')));
    await done(meta.put(me, 'me'));
    if (!old || old.device === me.device) return false;
    if (old.person === me.person && old.family === me.family) {
      await done(meta.put(0, 'dseq'));
      await reauthor(
        entries,
        meta,
        me,
        r => r.state !== 'stored' && r.state !== 'sent',
        r => r.state,
      );
      const place = /** @type {Place} */ ((await done(meta.get('place'))) ?? START);
      await done(meta.put({ ...START, epoch: place.epoch }, 'place')); // read anew, and know a restore when there was one
      return true;
    }
    const mine = /** @type {LogRecord[]} */ (await done(entries.getAll())).filter(
      r => r.state !== 'stored' && r.state !== 'sent' && r.state !== 'missing',
    );
    await done(meta.put({ records: mine, dseq: (await done(meta.get('dseq'))) ?? 0 }, `aside/${old.device}`));
    const back = (await done(meta.get(`aside/${me.device}`))) ?? { records: [], dseq: 0 };
    await done(entries.clear());
    for (const r of back.records) await done(entries.put(r));
    for (const key of ['place', 'alerts', 'heard', 'wearer', `aside/${me.device}`]) await done(meta.delete(key));
    await done(meta.put(back.dseq, 'dseq'));
    return true;
  });

/** A refused entry, put away; it stays on the phone. @param {Log} log @param {string} id */
export const discard = (log, id) => log.change(id, r => (r.state === 'refused' ? { ...r, state: 'discarded' } : r));

/** @param {Log} log @param {string} id */
export const undiscard = (log, id) => log.change(id, r => (r.state === 'discarded' ? { ...r, state: 'refused' } : r));

/**
 * Writes a refused entry anew with a mended body.
 * @param {Log} log
 * @param {string} id
 * @param {Record<string, unknown>} body
 * @param {string} zone
 */
export async function repair({ store, append, change }, id, body, zone) {
  const r = await store.run('readonly', entries => /** @type {Promise<LogRecord|undefined>} */ (done(entries.get(id))));
  if (!r) return;
  const { wearer, kind, night, supersedes, retracts } = r.entry;
  await append([{ wearer, kind, night, body, supersedes, retracts }], zone);
  await change(id, x => ({ ...x, state: 'discarded' }));
}

/**
 * Takes in a file of another phone's unsent entries. They keep their id, night
 * and clock, and are sent by this phone.
 * @param {Log} log
 * @param {Entry[]} list
 * @returns {Promise<number>} how many were new here
 */
export const adopt = ({ store, now }, list) =>
  store.run('readwrite', async (entries, meta) => {
    const me = /** @type {Me|undefined} */ (await done(meta.get('me')));
    let dseq = (await done(meta.get('dseq'))) ?? 0;
    let count = 0;
    for (const e of list) {
      if (!me || (await done(entries.get(e.id)))) continue;
      await done(
        entries.add({
          id: e.id,
          entry: { ...e, device: me.device, dseq: ++dseq },
          state: 'unsent',
          own: true,
          at: now(),
        }),
      );
      count++;
    }
    await done(meta.put(dseq, 'dseq'));
    return count;
  });

/**
 * After a restore from a backup the server may have lost what it once took:
 * everything written here is offered again, also what an earlier device of the
 * same person wrote in this browser. What the family's other phones wrote is
 * missing until the log, read anew, shows it.
 * @param {IDBObjectStore} entries
 * @param {IDBObjectStore} meta
 * @param {Me|null} me
 */
export async function offerAgain(entries, meta, me) {
  const taken = (/** @type {LogRecord} */ r) => r.state === 'sent' || r.state === 'stored' || r.state === 'held';
  for (const r of /** @type {LogRecord[]} */ (await done(entries.getAll()))) {
    if (!taken(r)) continue;
    if (!r.own) await done(entries.put({ ...r, state: 'missing' }));
    else if (r.entry.device === me?.device) await done(entries.put({ ...r, state: 'unsent' }));
  }
  if (me) await reauthor(entries, meta, me, taken, () => 'unsent');
}

/**
 * Reads the log from its start and offers again what is written here: the
 * server's ends before the place that this phone has read to, so that an older
 * file was put back.
 * @param {Store} store
 * @returns {Promise<boolean>} whether there was a place; without one nothing is to be done
 */
export const startAnew = store =>
  store.run('readwrite', async (entries, meta) => {
    const at = /** @type {Place} */ ((await done(meta.get('place'))) ?? START);
    if (!at.cursor) return false;
    await offerAgain(entries, meta, (await done(meta.get('me'))) ?? null);
    await done(meta.put({ ...START, epoch: at.epoch }, 'place'));
    return true;
  });

/**
 * Lets this device send what an earlier device of the same person wrote here.
 * The entries keep their id, night and clock; the counter is this device's.
 * @param {IDBObjectStore} entries
 * @param {IDBObjectStore} meta
 * @param {Me} me
 * @param {(r: LogRecord) => boolean} which
 * @param {(r: LogRecord) => RecordState} state they are in afterwards
 */
async function reauthor(entries, meta, me, which, state) {
  let dseq = /** @type {number} */ ((await done(meta.get('dseq'))) ?? 0);
  const list = /** @type {LogRecord[]} */ (await done(entries.getAll()));
  list.sort((a, b) => a.entry.dseq - b.entry.dseq);
  for (const r of list) {
    if (!r.own || r.entry.device === me.device || !which(r)) continue;
    await done(entries.put({ ...r, state: state(r), entry: { ...r.entry, device: me.device, dseq: ++dseq } }));
  }
  await done(meta.put(dseq, 'dseq'));
}
