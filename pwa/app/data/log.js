// The log on this phone: what was written here, what the server has said about
// it, and what came from the family's other phones.
//
// Invariant: an entry leaves the queue only by a verdict of the server, and the
// device counter has no gaps because it is drawn in the transaction that
// stores the entry.
import { makeEntry, nextClock } from '../model/entry.js';
import { START, settle } from './settle.js';
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

/** @typedef {{now: () => number, random: (n: number) => Uint8Array}} World now: Unix ms; random: bytes */

/** @template T @param {Store} store @param {string} key @param {T} fallback @returns {Promise<T>} */
const get = (store, key, fallback) => store.run('readonly', async (_, meta) => (await done(meta.get(key))) ?? fallback);

/** @param {Store} store @param {string} key @param {unknown} value */
const set = (store, key, value) =>
  store.run('readwrite', async (_, meta) => {
    await done(meta.put(value, key));
  });

/** @param {Store} store @param {RecordState} state @returns {Promise<LogRecord[]>} by dseq */
async function inState(store, state) {
  const list = await store.run(
    'readonly',
    entries => /** @type {Promise<LogRecord[]>} */ (done(entries.index('state').getAll(state))),
  );
  return list.sort((a, b) => a.entry.dseq - b.entry.dseq);
}

/** @param {Store} store @param {string} id @param {(r: LogRecord) => LogRecord} to */
const change = (store, id, to) =>
  store.run('readwrite', async entries => {
    const r = await done(entries.get(id));
    if (r) await done(entries.put(to(r)));
  });

/**
 * Everything a start needs, in one transaction.
 * @param {Store} store
 * @param {string[]} keys
 * @returns {Promise<{values: any[], records: LogRecord[]}>} undefined for a key that has no value
 */
const all = (store, keys) =>
  store.run('readonly', async (entries, meta) => {
    const [records, ...values] = await Promise.all([done(entries.getAll()), ...keys.map(k => done(meta.get(k)))]);
    return { records, values };
  });

/** @param {Draft} draft @returns {string[]} ids of the entries it takes the place of, or takes back */
const named = draft => [...(draft.supersedes ?? []), draft.retracts ?? ''].filter(Boolean);

/**
 * The entries that drafts become: numbered without a gap, each later by its
 * clock than what it names. It touches nothing but the map of clocks.
 * @param {Draft[]} drafts
 * @param {{me: Me, dseq: number, hlc: string, clocks: Map<string, string>, zone: string}} from clocks: of named entries, by id
 * @param {World} world
 * @returns {LogRecord[]}
 */
function numbered(drafts, { me, dseq, hlc, clocks, zone }, world) {
  return drafts.map(draft => {
    const now = world.now();
    hlc = nextClock(now, [hlc, ...named(draft).map(id => clocks.get(id) ?? '')]);
    const random = world.random(10);
    const entry = makeEntry(draft, { device: me.device, author: me.person, zone, now, dseq: ++dseq, hlc, random });
    clocks.set(entry.id, hlc);
    return { id: entry.id, entry, state: 'unsent', own: true, at: now };
  });
}

/**
 * Writes drafts as entries, all or none, and resolves once they are durable.
 * @param {Store} store
 * @param {World} world
 * @param {Draft[]} drafts
 * @param {string} zone of the phone now
 * @returns {Promise<LogRecord[]>}
 */
const append = (store, world, drafts, zone) =>
  store.run('readwrite', async (entries, meta) => {
    // Asked all at once and written without waiting: each answer waited for is a
    // journey to the database and back, and the transaction tells of any failure.
    const [me, last, clock, ...found] = await Promise.all([
      done(meta.get('me')),
      done(meta.get('dseq')),
      done(meta.get('hlc')),
      ...drafts.flatMap(named).map(id => done(entries.get(id))),
    ]);
    if (!me) throw new Error('this phone has not joined a family yet');
    /** @type {Map<string, string>} */
    const clocks = new Map(found.flatMap((/** @type {LogRecord|undefined} */ r) => (r ? [[r.id, r.entry.hlc]] : [])));
    const out = numbered(drafts, { me, dseq: last ?? 0, hlc: clock ?? '', clocks, zone }, world);
    for (const record of out) entries.add(record);
    const end = out.at(-1)?.entry;
    if (end) {
      meta.put(end.dseq, 'dseq');
      meta.put(end.hlc, 'hlc');
    }
    return out;
  });

/**
 * Says who this browser is now. When it was somebody else before, what is
 * only here of theirs is laid aside, and comes back with them. The same
 * person with a new invitation keeps everything: what is not sent yet is
 * sent by the new device.
 * @param {Store} store
 * @param {Me} me
 * @returns {Promise<boolean>} whether this browser is another device now
 */
async function become(store, me) {
  const old = await get(store, 'me', /** @type {Me|null} */ (null));
  if (old?.device === me.device) return set(store, 'me', me).then(() => false);
  return (await import('./rare.js')).become(store, me);
}

/**
 * Lets go of what the server has about wearers who are not of this family
 * any more. What only this phone has stays.
 * @param {Store} store
 * @param {string[]} wearers of the family
 */
const forget = (store, wearers) =>
  store.run('readwrite', async entries => {
    for (const r of /** @type {LogRecord[]} */ (await done(entries.getAll()))) {
      if (!wearers.includes(r.entry.wearer) && (r.state === 'stored' || r.state === 'sent'))
        await done(entries.delete(r.id));
    }
  });

/**
 * @param {Store} store
 * @param {World} world
 */
export const openLog = (store, world) => {
  const last = { told: '' };
  return {
    /** @template T @param {string} key @param {T} fallback @returns {Promise<T>} */
    get: (key, fallback) => get(store, key, fallback),
    /** @param {string} key @param {unknown} value */
    set: (key, value) => set(store, key, value),
    /** @param {RecordState} state */
    inState: state => inState(store, state),
    /** @param {Draft[]} drafts @param {string} zone of the phone now */
    append: (drafts, zone) => append(store, world, drafts, zone),
    /** @param {Reply} reply @param {boolean} trust take the server's checksum although it does not match */
    settle: (reply, trust) => settle(store, world.now, last, reply, trust),
    /** @param {string[]} keys */
    all: keys => all(store, keys),
    /** @returns {Promise<Place>} */
    place: () => get(store, 'place', START),
    /** The server's log ends before what this phone has read of it. @returns {Promise<boolean>} whether it had read anything */
    startAnew: async () => (await import('./rare.js')).startAnew(store),
    /** @param {Me} me */
    become: me => become(store, me),
    /** @param {string[]} wearers of the family */
    forget: wearers => forget(store, wearers),
    /** Marks an entry refused that no request can carry. @param {string} id @param {Verdict} verdict */
    refuse: (id, verdict) => change(store, id, r => ({ ...r, state: 'refused', verdict })),
    /** For what is seldom done to the log, see rare.js. @param {string} id @param {(r: LogRecord) => LogRecord} to */
    change: (id, to) => change(store, id, to),
    store,
    now: world.now,
  };
};

/** @typedef {ReturnType<typeof openLog>} Log */
