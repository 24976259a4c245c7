// The phone's log and its sync against a server that fails in every way: a
// request lost, a reply lost after the commit, answers 401, 413, 429 and 500,
// repeats, a restore from a backup. What is asserted is what a family relies
// on: an entry is on the server exactly once, or still on the phone.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import fc from 'fast-check';
import { IDBFactory } from 'fake-indexeddb';
import { openLog } from '../app/data/log.js';
import { adopt, discard, repair, undiscard } from '../app/data/rare.js';
import { openStore } from '../app/data/store.js';
import { choose, createSync } from '../app/data/sync.js';

/** @import { Entry } from '../app/model/entry.js' */
/** @import { Answer } from '../app/data/sync.js' */
/** @import { LogRecord } from '../app/data/log.js' */

/** @typedef {'ok'|'drop-request'|'drop-reply'|'twice'|'first-only'|'401'|'413'|'429'|'500'|'timeout'} Weather */

/** The stated rule of the checksum: the first 8 bytes of SHA-256 over what came before, a line feed and the id. @param {string} before @param {string} id */
const rolled = (before, id) => createHash('sha256').update(`${before}\n${id}`).digest('hex').slice(0, 16);

/** A server that keeps the contract and nothing else. */
class FakeServer {
  epoch = 'e1';
  /** @type {Entry[]} */ log = [];
  /** @type {number[]} */ batches = [];
  most = 50;
  page = 20;
  /** @param {any} req @returns {Answer} */
  answer(req) {
    if (req.entries.length > this.most)
      return { status: 413, body: { error: { code: 'too-large', message: '', field: '' } } };
    this.batches.push(req.entries.length);
    const after = req.epoch === this.epoch ? req.cursor : 0;
    if (after > this.log.length)
      return { status: 422, body: { error: { code: 'bad-cursor', message: '', field: 'cursor' } } };
    const verdicts = req.entries.map((/** @type {Entry} */ e) => this.take(e));
    const changes = this.log.slice(after, after + this.page);
    const cursor = after + changes.length;
    const checksum = this.log.slice(0, cursor).reduce((sum, e) => rolled(sum, e.id), '');
    const body = {
      verdicts,
      watermark: 0,
      epoch: this.epoch,
      cursor,
      changes: structuredClone(changes),
      more: cursor < this.log.length,
      checksum,
      alerts: [],
      now: new Date(0).toISOString(),
    };
    return { status: 200, body };
  }
  /** @param {Entry} e */
  take(e) {
    if (e.kind === 'bad') return { id: e.id, verdict: 'refused', code: 'unknown-kind', message: 'no', field: 'kind' };
    if (this.log.some(x => x.id === e.id)) return { id: e.id, verdict: 'duplicate' };
    this.log.push({ ...structuredClone(e), fseq: this.log.length + 1 });
    return { id: e.id, verdict: 'accepted' };
  }
}

/** A phone with its own database and a hand-turned clock. @param {FakeServer} server @param {string} device */
function phone(server, device = 'd1') {
  let now = 1_774_734_000_000;
  let seed = device.charCodeAt(1);
  /** @type {Weather[]} */
  const weather = [];
  /** @type {{at: number, job: () => void}[]} */
  let timers = [];
  const factory = new IDBFactory();
  const store = openStore(factory, () => {});
  const world = {
    now: () => now,
    random: (/** @type {number} */ n) =>
      Uint8Array.from({ length: n }, () => (seed = (seed * 1103515245 + 12345) & 0x7fffffff) >> 8),
  };
  const log = openLog(store, world);
  const post = async (/** @type {object} */ body) => {
    const copy = JSON.parse(JSON.stringify(body));
    switch (weather.shift() ?? 'ok') {
      case 'drop-request':
        throw new TypeError('network');
      case 'timeout':
        throw Object.assign(new Error('late'), { name: 'TimeoutError' });
      case 'drop-reply':
        server.answer(copy);
        throw new TypeError('network');
      case 'twice':
        server.answer(copy);
        return server.answer(copy);
      case 'first-only': // over the limits a server takes a report and says nothing of what came beside it
        return server.answer({ ...copy, entries: copy.entries.slice(0, 1) });
      case '401':
        return { status: 401, body: { error: {} } };
      case '413':
        return { status: 413, body: { error: {} } };
      case '429':
        return { status: 429, body: { error: {} }, retryAfter: 90_000 };
      case '500':
        return { status: 500, body: null };
      default:
        return server.answer(copy);
    }
  };
  const sync = createSync({
    log,
    post,
    now: world.now,
    chance: () => 0.5,
    visible: () => true,
    onState: () => {},
    onNews: () => {},
    later: (ms, job) => {
      const t = { at: now + ms, job };
      timers.push(t);
      return () => {
        timers = timers.filter(x => x !== t);
      };
    },
  });
  return {
    log,
    sync,
    store,
    weather,
    timers: () => timers,
    pass: (/** @type {number} */ ms) => {
      now += ms;
    },
    begin: () => log.set('me', { device, person: `p-${device}`, family: 'f1' }),
    write: (/** @type {number} */ n, kind = 'note', body = {}) =>
      log.append(
        Array.from({ length: n }, () => ({ wearer: 'w1', kind, body })),
        'Europe/Lisbon',
      ),
    /** Lets the next scheduled try happen. */
    turn: async () => {
      const next = timers.sort((a, b) => a.at - b.at).shift();
      assert.ok(next, 'nothing is scheduled although the screen is on');
      now = Math.max(now, next.at);
      next.job();
      await sync.flush();
    },
  };
}

const count = async (
  /** @type {ReturnType<typeof phone>} */ p,
  /** @type {import('../app/data/log.js').RecordState} */ state,
) => (await p.log.inState(state)).length;

test('the counter of a device has no gaps, whatever fails in between', async () => {
  const p = phone(new FakeServer());
  await p.begin();
  await p.write(2);
  await assert.rejects(
    p.log.append(
      [
        { wearer: 'w1', kind: 'note', body: {} },
        { wearer: 'w1', kind: 'note', body: { f: () => 0 } },
      ],
      'Europe/Lisbon',
    ),
  );
  await Promise.all([p.write(1), p.write(1)]);
  const list = await p.log.inState('unsent');
  assert.deepEqual(
    list.map(r => r.entry.dseq),
    [1, 2, 3, 4],
  );
});

for (const kind of /** @type {Weather[]} */ (['drop-request', 'drop-reply', 'timeout', '401', '429', '500', 'twice'])) {
  test(`after "${kind}" every entry is on the server once`, async () => {
    const server = new FakeServer();
    const p = phone(server);
    await p.begin();
    await p.write(3);
    p.weather.push(kind);
    await p.sync.flush();
    if (kind !== 'twice') {
      assert.equal(p.sync.state().phase, 'waiting');
      assert.equal(p.timers().length, 1, 'a queue that is not empty has a retry scheduled');
      assert.equal(await count(p, 'unsent'), 3, 'only a verdict takes an entry out of the queue');
      await p.turn();
    }
    assert.equal(server.log.length, 3);
    assert.equal(await count(p, 'unsent'), 0);
  });
}

test('a reply of 429 is not asked again before the time it names', async () => {
  const p = phone(new FakeServer());
  await p.begin();
  await p.write(1);
  p.weather.push('429');
  await p.sync.flush();
  assert.ok((p.sync.state().next ?? 0) >= 1_774_734_090_000);
});

test('what a throttled server says nothing of stays on the phone and is sent again', async () => {
  const server = new FakeServer();
  const p = phone(server);
  await p.begin();
  await p.write(1, 'symptoms');
  const [beside] = await p.write(1, 'note', { told: { right: 'stop' } });
  p.weather.push('first-only', '429');
  await p.sync.flush();
  assert.deepEqual(
    server.log.map(e => e.kind),
    ['symptoms'],
  );
  assert.deepEqual(
    (await p.log.inState('unsent')).map(r => r.id),
    [beside.id],
  );
  await p.turn();
  assert.equal(await count(p, 'unsent'), 0);
  assert.equal(server.log[1].id, beside.id);
});

test('413 halves the batch until it passes, and one bad entry stops nobody', async () => {
  const server = new FakeServer();
  server.most = 6;
  const p = phone(server);
  await p.begin();
  await p.write(20);
  await p.write(1, 'bad');
  await p.write(4);
  await p.sync.flush();
  assert.equal(server.log.length, 24);
  assert.ok(Math.max(...server.batches) <= 6);
  assert.equal(await count(p, 'refused'), 1);
  assert.equal((await p.log.inState('refused'))[0].verdict?.code, 'unknown-kind');
});

test('one entry that no request can carry goes to the list, not into the void', async () => {
  const server = new FakeServer();
  server.most = 0;
  const p = phone(server);
  await p.begin();
  const [r] = await p.write(1);
  await p.sync.flush();
  assert.deepEqual(
    (await p.log.inState('refused')).map(x => x.id),
    [r.id],
  );
  await discard(p.log, r.id);
  assert.equal(await count(p, 'refused'), 0);
  await undiscard(p.log, r.id);
  assert.equal(await count(p, 'refused'), 1);
});

test('a refused entry that was mended is sent anew', async () => {
  const server = new FakeServer();
  const p = phone(server);
  await p.begin();
  const [r] = await p.write(1, 'bad');
  await p.sync.flush();
  const record = (await p.log.all([])).records.find(x => x.id === r.id);
  assert.ok(record);
  await p.store.run('readwrite', async entries => {
    entries.put({ ...record, entry: { ...record.entry, kind: 'note' } });
  });
  await repair(p.log, r.id, { text: 'mended' }, 'Europe/Lisbon');
  await p.sync.flush();
  assert.deepEqual(
    server.log.map(e => e.body),
    [{ text: 'mended' }],
  );
});

test('symptom reports travel first and alone', async () => {
  const server = new FakeServer();
  const p = phone(server);
  await p.begin();
  await p.write(60);
  await p.write(1, 'symptoms', { right: { pain: 'persists' } });
  const first = choose(await p.log.inState('unsent'), 50);
  assert.deepEqual(
    first.map(r => r.entry.kind),
    ['symptoms'],
  );
  await p.sync.flush();
  assert.equal(server.log[0].kind, 'symptoms');
  assert.equal(server.log.length, 61);
});

test('a request holds at most 50 entries and 64 KiB', async () => {
  const p = phone(new FakeServer());
  await p.begin();
  await p.write(60);
  assert.equal(choose(await p.log.inState('unsent'), 50).length, 50);
  const q = phone(new FakeServer());
  await q.begin();
  await q.write(40, 'note', { text: 'x'.repeat(4000) });
  const list = choose(await q.log.inState('unsent'), 50);
  assert.ok(JSON.stringify(list.map(r => r.entry)).length <= 64 * 1024 + 2);
  assert.ok(list.length >= 12);
});

test('a log that does not match is read anew from the start', async () => {
  const server = new FakeServer();
  const a = phone(server, 'd1');
  await a.begin();
  await a.write(45);
  await a.sync.flush();
  await a.log.set('place', { epoch: 'e1', cursor: 30, sum: 'wrong' });
  await a.sync.flush();
  const place = await a.log.place();
  assert.equal(place.cursor, 45);
  assert.equal(
    place.sum,
    server.log.reduce((sum, e) => rolled(sum, e.id), ''),
  );
});

test('after a restore from an older backup everything written here is offered again', async () => {
  const server = new FakeServer();
  const p = phone(server);
  await p.begin();
  await p.write(10);
  await p.sync.flush();
  server.log = server.log.slice(0, 4);
  server.epoch = 'e2';
  await p.sync.flush();
  assert.equal(server.log.length, 10);
  assert.equal(await count(p, 'unsent'), 0);
});

test('an older file under the same epoch is found by the phone: what it wrote is offered again', async () => {
  for (const later of [0, 6, 9]) {
    const server = new FakeServer();
    const p = phone(server, 'd1');
    await p.begin();
    await p.write(10);
    await p.sync.flush();
    server.log = server.log.slice(0, 4); // put back, and the server has not noticed
    const other = phone(server, 'd2');
    await other.begin();
    await other.write(later); // so that the log is shorter than read, as long, and longer
    await other.sync.flush();
    await p.sync.flush();
    assert.equal(server.log.length, 10 + later, `${later} written since`);
    assert.equal(await count(p, 'unsent'), 0);
    assert.equal(await count(p, 'missing'), 0);
  }
});

test('after a restore what another phone wrote is handed in, if the log read to its end does not hold it', async () => {
  const server = new FakeServer();
  const lost = phone(server, 'd1');
  const p = phone(server, 'd2');
  await lost.begin();
  await p.begin();
  await lost.write(30);
  await lost.sync.flush();
  await p.sync.flush();
  assert.equal(await count(p, 'stored'), 30);
  const before = structuredClone(server.log);
  server.log = server.log.slice(0, 25); // more than one page of this server
  server.epoch = 'e2';
  server.batches.length = 0;
  await p.sync.flush();
  assert.deepEqual(
    server.log.map(e => [e.id, e.device, e.author, e.wall]),
    before.map(e => [e.id, e.device, e.author, e.wall]),
    'author, device and clock are those of the phone that wrote it',
  );
  assert.deepEqual(
    server.batches.filter(n => n > 0),
    [5],
    'only what was missing was offered',
  );
  assert.equal(await count(p, 'stored'), 30);
});

test('a phone that joined after the backup joins anew, and what it and others had sent is offered', async () => {
  const server = new FakeServer();
  const other = phone(server, 'd9');
  const p = phone(server, 'd1');
  await other.begin();
  await p.begin();
  await other.write(2);
  await other.sync.flush();
  await p.write(3);
  await p.sync.flush();
  const ids = new Set(server.log.map(e => e.id));
  server.log = [];
  server.epoch = 'e2';
  await p.log.become({ device: 'd5', person: 'p-d1', family: 'f1' });
  await p.sync.flush();
  assert.deepEqual(new Set(server.log.map(e => e.id)), ids);
  assert.deepEqual(server.log.map(e => e.device).sort(), ['d5', 'd5', 'd5', 'd9', 'd9']);
});

test('a phone lets go of a wearer who left the family, but not of what only it has', async () => {
  const server = new FakeServer();
  const p = phone(server);
  await p.begin();
  const [sent] = await p.write(3);
  await p.sync.flush();
  const [unsent] = await p.write(1);
  await p.log.forget([sent.entry.wearer]);
  assert.equal((await p.log.all([])).records.length, 4);
  await p.log.forget(['another']);
  assert.deepEqual(
    (await p.log.all([])).records.map(r => r.id),
    [unsent.id],
  );
});

test('a file of unsent entries is taken in once, under the new phone', async () => {
  const server = new FakeServer();
  const a = phone(server, 'd1');
  const b = phone(server, 'd2');
  await a.begin();
  await b.begin();
  await a.write(2);
  const file = (await a.log.inState('unsent')).map(r => r.entry);
  assert.equal(await adopt(b.log, file), 2);
  assert.equal(await adopt(b.log, file), 0);
  await b.sync.flush();
  assert.deepEqual(
    server.log.map(e => [e.id, e.device]),
    file.map(e => [e.id, 'd2']),
  );
});

test('a lost database connection is opened again', async () => {
  const p = phone(new FakeServer());
  await p.begin();
  p.store.close();
  await p.write(1);
  assert.equal(await count(p, 'unsent'), 1);
});

test('a correction is later than what it corrects, even from a phone two days ahead', async () => {
  const server = new FakeServer();
  const fast = phone(server, 'd1');
  const slow = phone(server, 'd2');
  await fast.begin();
  await slow.begin();
  fast.pass(48 * 3600_000);
  const [old] = await fast.write(1, 'evening-sight', { rating: 5 });
  await fast.sync.flush();
  await slow.sync.flush();
  const [r] = await slow.log.append(
    [{ wearer: 'w1', kind: 'evening-sight', supersedes: [old.id], body: { rating: 2 } }],
    'Europe/Lisbon',
  );
  assert.ok(r.entry.hlc > old.entry.hlc);
});

// Model test: what a family relies on, whatever the network does.
const weathers = fc.array(
  fc.constantFrom(
    .../** @type {Weather[]} */ (['ok', 'drop-request', 'drop-reply', 'twice', '401', '413', '429', '500', 'timeout']),
  ),
  { maxLength: 12 },
);
const deeds = fc.array(
  fc.record({
    who: fc.nat({ max: 1 }),
    what: fc.constantFrom('write', 'report', 'flush', 'bad', 'restore'),
    weather: weathers,
  }),
  { minLength: 1, maxLength: 12 },
);

test('nothing is lost and nothing doubled, and all phones end equal (300 random schedules)', async () => {
  await fc.assert(
    fc.asyncProperty(deeds, async list => {
      const server = new FakeServer();
      const phones = [phone(server, 'd1'), phone(server, 'd2')];
      await Promise.all(phones.map(p => p.begin()));
      /** @type {Set<string>} */
      const written = new Set();
      for (const d of list) {
        const p = phones[d.who];
        p.weather.push(...d.weather);
        if (d.what === 'write' || d.what === 'report')
          (await p.write(2, d.what === 'report' ? 'symptoms' : 'note')).forEach(r => written.add(r.id));
        if (d.what === 'bad') await p.write(1, 'bad');
        if (d.what === 'restore') {
          server.log = server.log.slice(0, server.log.length >> 1);
          server.epoch += 'x';
        }
        await p.sync.flush();
        const unsent = await p.log.inState('unsent');
        if (unsent.length) assert.ok(p.timers().length === 1, 'unsent entries without a scheduled retry');
        const known = new Set([
          ...server.log.map(e => e.id),
          ...(await Promise.all(phones.map(async x => (await x.log.all([])).records))).flat().map(r => r.id),
        ]);
        for (const id of written) assert.ok(known.has(id), 'an entry has vanished');
      }
      for (const p of [...phones, ...phones, ...phones]) {
        p.weather.length = 0;
        for (let i = 0; i < 3; i++) await p.sync.flush();
      }
      assert.deepEqual(new Set(server.log.map(e => e.id)), written);
      assert.equal(server.log.length, written.size, 'an entry is on the server twice');
      for (const p of phones) {
        assert.equal((await p.log.inState('unsent')).length, 0, 'the queue has not drained');
        const have = (await p.log.all([])).records
          .filter((/** @type {LogRecord} */ r) => r.entry.kind !== 'bad')
          .map(r => r.id);
        assert.deepEqual(new Set(have), written);
      }
    }),
    { numRuns: 300 },
  );
});

test('another person in the same browser sees nothing of the first, and the first loses nothing', async () => {
  const p = phone(new FakeServer(), 'd1');
  await p.begin();
  await p.write(2);
  assert.equal(await p.log.become({ device: 'd2', person: 'p2', family: 'f2' }), true);
  assert.deepEqual((await p.log.all([])).records, []);
  assert.equal(await p.log.become({ device: 'd1', person: 'p-d1', family: 'f1' }), true);
  const [r] = await p.write(1);
  assert.equal(await count(p, 'unsent'), 3);
  assert.equal(r.entry.dseq, 3);
});

test('the same person with a new invitation loses nothing, also after a restore', async () => {
  const server = new FakeServer();
  const p = phone(server, 'd1');
  await p.begin();
  await p.write(1);
  await p.sync.flush();
  assert.equal(server.log.length, 1);
  await p.write(2);
  assert.equal(await p.log.become({ device: 'd9', person: 'p-d1', family: 'f1' }), true);
  assert.equal((await p.log.all([])).records.length, 3);
  const unsent = await p.log.inState('unsent');
  assert.deepEqual(
    unsent.map(r => r.entry.device),
    ['d9', 'd9'],
  );
  assert.equal(new Set(unsent.map(r => r.entry.dseq)).size, 2);
});
