// The phone's log and sync under random schedules, beyond what sync.test.js
// walks through: two tabs on one database, pages that die in the middle of a
// request, lost connections to the database, requests that arrive after later
// ones, cut replies, clocks up to 48 h wrong, corrections and withdrawals. The
// server here follows the protocol in server/internal/care/ENTRIES.md and nothing more.
//
// NIGHTKEEP_RUNS sets how many schedules run, NIGHTKEEP_SEED which; without it
// they are the same each time, so that what they meet does not hang on luck. A
// failure prints its seed and path, which fc.assert takes to run it again.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import fc from 'fast-check';
import { IDBFactory } from 'fake-indexeddb';
import { openLog } from '../app/data/log.js';
import { openStore } from '../app/data/store.js';
import { createSync } from '../app/data/sync.js';
import { canonical, fold } from '../app/model/fold.js';

/** @import { Draft, Entry } from '../app/model/entry.js' */
/** @import { Answer } from '../app/data/sync.js' */
/** @import { Log } from '../app/data/log.js' */

const RUNS = Number(process.env.NIGHTKEEP_RUNS ?? 200);
const SEED = Number(process.env.NIGHTKEEP_SEED ?? 1);
const START = Date.UTC(2026, 2, 28, 22); // the evening before the clocks change in Europe
const FAULTS = /** @type {const} */ ([
  'ok',
  'ok',
  'lost',
  'reply lost',
  'twice',
  'late',
  'cut',
  'never',
  '401',
  '413',
  '429',
  '500',
]);
/** @typedef {typeof FAULTS[number]} Fault */

/** Equal for the same entry, whoever tells it. @param {Entry} e */
const content = ({ fseq, recv, skew_ms, via, first_recv, ...e }) => canonical(e); // eslint-disable-line no-unused-vars

/** @param {Map<string, any>} nights */
const plain = nights =>
  canonical(
    Object.fromEntries(
      [...nights].map(([k, n]) => [
        k,
        Object.fromEntries(
          [...n.items].map(([key, it]) => [key, [it.differ, it.facts.map((/** @type {any} */ f) => f.value)]]),
        ),
      ]),
    ),
  );

/** The server: one family's log, a verdict for each entry, changes by cursor. */
class Server {
  epoch = 'a';
  /** @type {Entry[]} */ log = [];
  /** @type {Map<string, Set<number>>} */ seqs = new Map();

  /** @param {any} req @param {string} device @returns {Answer} */
  answer(req, device) {
    const verdicts = req.entries.map((/** @type {Entry} */ e) => this.take(e, device));
    const after = req.epoch === this.epoch ? req.cursor : 0;
    const changes = structuredClone(this.log.slice(after, after + 7));
    const cursor = after + changes.length;
    const checksum = this.log
      .slice(0, cursor)
      .reduce((sum, e) => createHash('sha256').update(`${sum}\n${e.id}`).digest('hex').slice(0, 16), '');
    return {
      status: 200,
      body: {
        verdicts,
        watermark: this.watermark(device),
        epoch: this.epoch,
        cursor,
        changes,
        more: cursor < this.log.length,
        checksum,
        alerts: [],
        now: new Date(START).toISOString(),
      },
    };
  }

  /** Another device's entry is taken only after a restore, and only if it had been received. @param {Entry} e @param {string} device */
  take(e, device) {
    if (e.device !== device && (this.epoch === 'a' || !e.recv))
      return { id: e.id, verdict: 'refused', code: 'foreign-device', message: 'no', field: 'device' };
    const have = this.log.find(x => x.id === e.id);
    if (have)
      return content(have) === content(e)
        ? { id: e.id, verdict: 'duplicate' }
        : { id: e.id, verdict: 'refused', code: 'id-taken', message: 'no' };
    this.log.push({ ...structuredClone(e), fseq: this.log.length + 1, recv: new Date(START).toISOString() });
    this.seqs.set(e.device, (this.seqs.get(e.device) ?? new Set()).add(e.dseq));
    return { id: e.id, verdict: 'accepted' };
  }

  /** @param {string} device */
  watermark(device) {
    let top = 0;
    while (this.seqs.get(device)?.has(top + 1)) top++;
    return top;
  }

  /** Puts back a backup that holds the first n entries. @param {number} n */
  restore(n) {
    const old = this.log.slice(0, n);
    this.log = [];
    this.seqs.clear();
    this.epoch += 'a';
    for (const e of old) this.take(e, e.device);
  }
}

/** A network between phones and the server that does as it is told. @param {Server} server */
function network(server) {
  /** @type {Fault[]} */ const faults = [];
  /** @type {(() => void)[]} */ const late = [];
  /** @param {object} body @param {string} device @param {() => void} hang told when no answer will ever come @returns {Promise<Answer>} */
  const post = async (body, device, hang) => {
    const copy = JSON.parse(JSON.stringify(body));
    const fault = faults.shift() ?? 'ok';
    await new Promise(go => {
      setImmediate(go);
    }); // let others in between
    switch (fault) {
      case 'lost':
        throw new TypeError('network');
      case 'reply lost':
        server.answer(copy, device);
        throw new TypeError('network');
      case 'late':
        late.push(() => server.answer(copy, device));
        throw new TypeError('network');
      case 'cut':
        server.answer(copy, device);
        return { status: 200, body: null };
      case 'never':
        server.answer(copy, device);
        hang();
        return new Promise(() => {});
      case 'twice':
        server.answer(copy, device);
        return server.answer(copy, device);
      case '401':
      case '413':
      case '429':
      case '500':
        return { status: Number(fault), body: null };
      default:
        return server.answer(copy, device);
    }
  };
  const arrive = () => late.splice(0).forEach(go => go());
  return { faults, post, arrive };
}

/** A device: its database, its clock, and as many tabs as one opens. @param {ReturnType<typeof network>} net @param {string} id @param {number} off ms its clock is wrong by */
function device(net, id, off) {
  const factory = new IDBFactory();
  let now = START + off;
  let seed = off + id.charCodeAt(1);
  const world = {
    now: () => (now += 1000),
    random: (/** @type {number} */ n) =>
      Uint8Array.from({ length: n }, () => (seed = (Math.imul(seed, 1103515245) + 12345) & 0x7fffffff) >> 8),
  };
  const tab = () => {
    let hang = () => {};
    const hung = new Promise((/** @type {(v: void) => void} */ go) => {
      hang = go;
    });
    const store = openStore(factory, () => {});
    const log = openLog(store, world);
    const sync = createSync({
      log,
      post: body => net.post(body, id, () => hang()),
      now: world.now,
      chance: () => 0.5,
      visible: () => true,
      onState: () => {},
      onNews: () => {},
      later: () => () => {}, // the schedule below says when to try again
    });
    /** Sends and reads; false when no answer will ever come. */
    const flush = () => Promise.race([sync.flush().then(() => true), hung.then(() => false)]);
    return { store, log, flush };
  };
  return { id, tab, tabs: [tab()] };
}

const ZONES = ['Europe/Lisbon', 'Asia/Tokyo', 'Australia/Lord_Howe'];
const step = fc.record({
  who: fc.nat({ max: 1 }),
  tab: fc.nat({ max: 1 }),
  what: fc.constantFrom(
    'write',
    'write',
    'report',
    'correct',
    'withdraw',
    'sync',
    'sync',
    'both',
    'reload',
    'lose',
    'arrive',
    'restore',
    'restore',
    'gone',
  ),
  faults: fc.array(fc.constantFrom(...FAULTS), { maxLength: 5 }),
  pick: fc.nat(),
  zone: fc.constantFrom(...ZONES),
});
const hours = fc.integer({ min: -48, max: 48 });

/** @param {number} who @param {'write'|'sync'|'reload'|'restore'|'gone'} what @param {Fault[]} [faults] */
const deed = (who, what, faults = []) => ({ who, tab: 0, what, faults, pick: 0, zone: ZONES[0] });

/** What every run must meet, whichever schedules are drawn. @type {[ReturnType<typeof deed>[], number, number][]} */
const CASES = [
  // The second device's entry reaches the first, the server is put back to
  // before it, the second device is lost: the first hands the entry in.
  [[deed(1, 'write'), deed(1, 'sync'), deed(0, 'sync'), deed(0, 'restore'), deed(1, 'gone')], 0, 0],
  // A page that gets no answer, and one that is loaded anew.
  [[deed(0, 'write'), deed(0, 'sync', ['never']), deed(0, 'reload')], 0, 0],
];

/** What somebody would log. @param {string} what @param {number} pick @param {Entry[]} known @returns {Draft[]} */
function drafts(what, pick, known) {
  const target = known[pick % Math.max(1, known.length)];
  if (what === 'report') return [{ wearer: 'w1', kind: 'symptoms', body: { right: { pain: 'persists' } } }];
  if (what === 'correct' && target)
    return [
      { wearer: target.wearer, kind: target.kind, night: target.night, supersedes: [target.id], body: target.body },
    ];
  if (what === 'withdraw' && target)
    return [{ wearer: target.wearer, kind: 'retraction', night: target.night, retracts: target.id, body: {} }];
  return [
    { wearer: `w${pick % 2}`, kind: 'care', body: { rub: pick % 3 === 0 } },
    { wearer: 'w1', kind: 'evening-sight', body: { rating: 1 + (pick % 5) } },
  ];
}

/** @param {Log} log */
const entriesOf = async log => (await log.all([])).records.map(r => r.entry);

test(`nothing is lost, doubled or seen differently (${RUNS} random schedules)`, async () => {
  const met = { entries: 0, syncs: 0, stuck: 0, reloads: 0, restores: 0, gone: 0, handed: 0 };
  await fc.assert(
    fc.asyncProperty(fc.array(step, { minLength: 3, maxLength: 16 }), hours, hours, async (steps, off1, off2) => {
      const server = new Server();
      const net = network(server);
      let devices = [device(net, 'd1', off1 * 3600_000), device(net, 'd2', off2 * 3600_000)];
      devices[0].tabs.push(devices[0].tab());
      for (const d of devices) await d.tabs[0].log.set('me', { device: d.id, person: `p-${d.id}`, family: 'f1' });
      /** @type {Map<string, Entry>} */
      const written = new Map();
      /** A run that got no answer ends with its page: a new one is opened. @param {typeof devices[0]} d @param {number} i */
      const sync = async (d, i) => {
        met.syncs++;
        if (await d.tabs[i].flush()) return;
        met.stuck++;
        d.tabs[i] = d.tab();
      };
      const held = async () =>
        new Set([
          ...server.log.map(e => e.id),
          ...(await Promise.all(devices.map(x => entriesOf(x.tabs[0].log)))).flat().map(e => e.id),
        ]);
      /** What only a lost device had is lost with it. */
      const bury = async () => {
        const there = await held();
        for (const id of [...written.keys()]) if (!there.has(id)) written.delete(id);
      };
      for (const s of steps) {
        const d = devices[s.who] ?? devices[0];
        const i = s.tab % d.tabs.length;
        net.faults.push(...s.faults);
        switch (s.what) {
          case 'sync':
            await sync(d, i);
            break;
          case 'both':
            await Promise.all(d.tabs.map((_, k) => sync(d, k)));
            break;
          case 'reload':
            d.tabs[i].store.close();
            d.tabs[i] = d.tab();
            met.reloads++;
            break;
          case 'lose':
            d.tabs[i].store.close();
            break;
          case 'arrive':
            net.arrive();
            break;
          case 'restore':
            server.restore(s.pick % (server.log.length + 1));
            met.restores++;
            if (devices.length === 1) await bury();
            break;
          case 'gone': // the second device never comes back
            net.arrive();
            if (devices.length > 1) met.gone++;
            devices = devices.slice(0, 1);
            await bury();
            break;
          default:
            for (const r of await d.tabs[i].log.append(drafts(s.what, s.pick, await entriesOf(d.tabs[i].log)), s.zone))
              written.set(r.id, r.entry);
        }
        const there = await held();
        for (const id of written.keys()) assert.ok(there.has(id), `entry ${id} has vanished`);
      }
      net.faults.length = 0;
      net.arrive();
      for (let round = 0; round < 5; round++) for (const d of devices) await sync(d, 0);

      const want = plain(fold([...written.values()]));
      assert.deepEqual(
        server.log.map(e => e.id).sort(),
        [...written.keys()].sort(),
        'the server holds each entry once',
      );
      for (const e of server.log)
        assert.equal(content(e), content(/** @type {Entry} */ (written.get(e.id))), 'an entry was changed on its way');
      for (const d of devices) {
        const log = d.tabs[0].log;
        assert.equal((await log.inState('unsent')).length, 0, 'the queue has drained');
        assert.equal((await log.inState('refused')).length, 0, 'nothing good was refused');
        assert.equal(plain(fold(await entriesOf(log))), want, 'a phone sees other nights');
        const own = server.log
          .filter(e => e.device === d.id)
          .map(e => e.dseq)
          .sort((a, b) => a - b);
        assert.deepEqual(
          own,
          own.map((_, k) => k + 1),
          'the counter has a gap or a repeat',
        );
        assert.equal(server.watermark(d.id), own.length);
      }
      met.entries += written.size;
      met.handed +=
        server.log.filter(e => e.device === 'd2').length && devices.length === 1 && server.epoch !== 'a' ? 1 : 0;
    }),
    { numRuns: RUNS, seed: SEED, examples: CASES, includeErrorInReport: true },
  );
  if (process.env.NIGHTKEEP_VERBOSE) console.log(met);
  assert.ok(
    met.stuck > 0 && met.reloads > 0 && met.restores > 0 && met.gone > 0 && met.handed > 0,
    'the schedules no longer meet every case',
  );
});
