// The log on this phone: what was written here, what the server has said about
// it, and what came from the family's other phones.
//
// Invariant: an entry leaves the queue only by a verdict of the server, and the
// device counter has no gaps because it is drawn in the transaction that
// stores the entry.
import { makeEntry, nextClock } from '../model/entry.js';
import { done } from './store.js';

/** @import { Draft, Entry } from '../model/entry.js' */
/** @import { Store } from './store.js' */

/**
 * unsent: only on this phone. sent: the server has it. stored: seen in the
 * family's log. held: kept by the server unread. refused: see verdict.
 * discarded: a refused one that somebody has put away. missing: another phone's,
 * not found so far in a log that was put back from a backup.
 * @typedef {'unsent'|'sent'|'stored'|'held'|'refused'|'discarded'|'missing'} RecordState
 */

/** @typedef {{id: string, verdict: string, code?: string, message?: string, field?: string}} Verdict */
/** @typedef {{id: string, entry: Entry, state: RecordState, own: boolean, verdict?: Verdict, at: number}} LogRecord at: when written or received, Unix ms */
/** @typedef {{device: string, person: string, family: string}} Me */
/**
 * @typedef {object} Reply what the server answers to a sync
 * @property {Verdict[]} verdicts
 * @property {number} watermark
 * @property {string} epoch
 * @property {number} cursor
 * @property {Entry[]} changes
 * @property {boolean} more
 * @property {string} checksum
 * @property {any[]} alerts
 * @property {string} now
 */
/** @typedef {{epoch: string, cursor: number, sum: string}} Place how far this phone has read */

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
 * @param {Store} store
 * @param {{now: () => number, random: (n: number) => Uint8Array}} world
 */
export function openLog(store, world) {
  let seen = ''; // what was so when a reply was last taken in

  /** @template T @param {string} key @param {T} fallback @returns {Promise<T>} */
  const get = (key, fallback) => store.run('readonly', async (_, meta) => (await done(meta.get(key))) ?? fallback);
  /** @param {string} key @param {unknown} value */
  const set = (key, value) =>
    store.run('readwrite', async (_, meta) => {
      await done(meta.put(value, key));
    });
  /** @returns {Promise<LogRecord[]>} */
  const records = () => store.run('readonly', entries => done(entries.getAll()));
  /** @param {RecordState} state @returns {Promise<LogRecord[]>} */
  const inState = async state => {
    const list = await store.run(
      'readonly',
      entries => /** @type {Promise<LogRecord[]>} */ (done(entries.index('state').getAll(state))),
    );
    return list.sort((a, b) => a.entry.dseq - b.entry.dseq);
  };
  /** @param {string} id @param {(r: LogRecord) => LogRecord} change */
  const change = (id, change) =>
    store.run('readwrite', async entries => {
      const r = await done(entries.get(id));
      if (r) await done(entries.put(change(r)));
    });

  /**
   * Writes drafts as entries, all or none, and resolves once they are durable.
   * @param {Draft[]} drafts
   * @param {string} zone of the phone now
   * @returns {Promise<LogRecord[]>}
   */
  const append = (drafts, zone) =>
    store.run('readwrite', async (entries, meta) => {
      // Asked all at once and written without waiting: each answer waited for is a
      // journey to the database and back, and the transaction tells of any failure.
      const named = drafts.flatMap(d => [...(d.supersedes ?? []), d.retracts ?? '']).filter(Boolean);
      const [me, last, clock, ...found] = await Promise.all([
        done(meta.get('me')),
        done(meta.get('dseq')),
        done(meta.get('hlc')),
        ...named.map(id => done(entries.get(id))),
      ]);
      if (!me) throw new Error('this phone has not joined a family yet');
      /** @type {Map<string, string>} */
      const clocks = new Map(found.flatMap((/** @type {LogRecord|undefined} */ r) => (r ? [[r.id, r.entry.hlc]] : [])));
      let dseq = last ?? 0;
      let hlc = clock ?? '';
      const out = [];
      for (const draft of drafts) {
        const now = world.now();
        hlc = nextClock(now, [
          hlc,
          ...[...(draft.supersedes ?? []), draft.retracts ?? ''].map(id => clocks.get(id) ?? ''),
        ]);
        const entry = makeEntry(draft, {
          device: me.device,
          author: me.person,
          zone,
          now,
          dseq: ++dseq,
          hlc,
          random: world.random(10),
        });
        clocks.set(entry.id, hlc);
        /** @type {LogRecord} */
        const record = { id: entry.id, entry, state: 'unsent', own: true, at: now };
        entries.add(record);
        out.push(record);
      }
      meta.put(dseq, 'dseq');
      meta.put(hlc, 'hlc');
      return out;
    });

  /**
   * Takes in a reply: verdicts, changes, place and counter in one transaction.
   * @param {Reply} reply
   * @param {boolean} trust take the server's checksum although it does not match
   * @returns {Promise<'same'|'ok'|'again'>} same: it says nothing new, and nobody else wrote here, so that
   * nothing was written; again: the log did not match and is read anew from the start
   */
  const settle = async (reply, trust) => {
    const [me, before, heard, count] = await Promise.all([
      get('me', /** @type {Me|null} */ (null)),
      get('place', START),
      get('heard', 0),
      get('dseq', 0),
    ]);
    const told = JSON.stringify([reply.epoch, reply.cursor, reply.checksum, reply.alerts, before, count]);
    const age = world.now() - heard;
    if (told === seen && !reply.verdicts?.length && !reply.changes.length && !trust && age >= 0 && age < HEARD_MS)
      return 'same';
    seen = told;
    const restored = before.epoch !== '' && before.epoch !== reply.epoch;
    let sum = restored ? '' : before.sum;
    for (const e of reply.changes) sum = await nextChecksum(sum, e.id);
    const matches = trust || sum === (reply.checksum ?? sum);
    if (trust) sum = reply.checksum ?? sum;
    const rare = restored ? await import('./rare.js') : null;
    await store.run('readwrite', async (entries, meta) => {
      const place = /** @type {Place} */ ((await done(meta.get('place'))) ?? START);
      if (rare && place.epoch !== reply.epoch) await rare.offerAgain(entries, meta, me);
      for (const v of reply.verdicts ?? []) await applyVerdict(entries, v);
      for (const e of reply.changes) {
        const unreadable = 'unreadable' in e && e.unreadable;
        await (unreadable ? again(entries, e.id) : put(entries, e, me?.device, world.now()));
      }
      if (matches && !reply.more) await handIn(entries);
      const moved = place.epoch !== before.epoch || place.cursor !== before.cursor; // by another tab
      if (!moved)
        await done(
          meta.put(
            matches ? { epoch: reply.epoch, cursor: reply.cursor, sum } : { ...START, epoch: reply.epoch },
            'place',
          ),
        );
      const own = reply.changes.filter(e => e.dseq && e.device === me?.device).map(e => e.dseq);
      const dseq = (await done(meta.get('dseq'))) ?? 0;
      await done(meta.put(Math.max(dseq, reply.watermark ?? 0, ...own), 'dseq'));
      await done(meta.put(reply.alerts ?? [], 'alerts'));
      await done(meta.put(world.now(), 'heard'));
      await done(meta.put((Date.parse(reply.now) || world.now()) - world.now(), 'skew'));
    });
    return matches ? 'ok' : 'again';
  };

  return {
    get,
    set,
    records,
    inState,
    append,
    settle,
    /**
     * Everything a start needs, in one transaction.
     * @param {string[]} keys
     * @returns {Promise<{values: any[], records: LogRecord[]}>} undefined for a key that has no value
     */
    all: keys =>
      store.run('readonly', async (entries, meta) => {
        const [records, ...values] = await Promise.all([done(entries.getAll()), ...keys.map(k => done(meta.get(k)))]);
        return { records, values };
      }),
    /** @returns {Promise<Place>} */
    place: () => get('place', START),
    /**
     * Says who this browser is now. When it was somebody else before, what is
     * only here of theirs is laid aside, and comes back with them. The same
     * person with a new invitation keeps everything: what is not sent yet is
     * sent by the new device.
     * @param {Me} me
     * @returns {Promise<boolean>} whether this browser is another device now
     */
    become: async me => {
      const old = await get('me', /** @type {Me|null} */ (null));
      if (old?.device === me.device) return set('me', me).then(() => false);
      return (await import('./rare.js')).become(store, me);
    },
    /**
     * Lets go of what the server has about wearers who are not of this family
     * any more. What only this phone has stays.
     * @param {string[]} wearers of the family
     */
    forget: wearers =>
      store.run('readwrite', async entries => {
        for (const r of /** @type {LogRecord[]} */ (await done(entries.getAll()))) {
          if (!wearers.includes(r.entry.wearer) && (r.state === 'stored' || r.state === 'sent'))
            await done(entries.delete(r.id));
        }
      }),
    /** A refused entry, put away; it stays on the phone. @param {string} id */
    discard: id => change(id, r => (r.state === 'refused' ? { ...r, state: 'discarded' } : r)),
    /** @param {string} id */
    undiscard: id => change(id, r => (r.state === 'discarded' ? { ...r, state: 'refused' } : r)),
    /** Marks an entry refused that no request can carry. @param {string} id @param {Verdict} verdict */
    refuse: (id, verdict) => change(id, r => ({ ...r, state: 'refused', verdict })),
    /** For what is seldom done to the log: see rare.js. */
    store,
    change,
    now: world.now,
  };
}

/** @typedef {ReturnType<typeof openLog>} Log */

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
