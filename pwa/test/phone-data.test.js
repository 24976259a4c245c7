// The data folder of the phone beside the sync: who the browser is, what is put back
// when the browser has cleared it, how the database fails, and what a request is.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { IDBFactory } from 'fake-indexeddb';
import { call, send } from '../app/data/api.js';
import { openLog } from '../app/data/log.js';
import { nextChecksum } from '../app/data/settle.js';
import { adopt } from '../app/data/rare.js';
import { done, openStore } from '../app/data/store.js';
import { createSync } from '../app/data/sync.js';

/** @import { ApiError } from '../app/data/api.js' */

const NOW = 1_774_734_000_000;
let byte = 0;
const world = { now: () => NOW, random: (/** @type {number} */ n) => Uint8Array.from({ length: n }, () => byte++) };

/** A log of its own. */
async function ownLog() {
  const log = openLog(
    openStore(new IDBFactory(), () => {}),
    world,
  );
  await log.set('me', { device: 'd1', person: 'p1', family: 'f1' });
  return log;
}
/** @typedef {Awaited<ReturnType<typeof ownLog>>} Log */

/** @param {Log} log @param {number} n */
const write = (log, n) =>
  log.append(
    Array.from({ length: n }, () => ({ wearer: 'w1', kind: 'note', body: {} })),
    'Europe/Lisbon',
  );

/** @param {object} more @returns {any} */
const reply = more => ({
  verdicts: [],
  watermark: 0,
  epoch: 'e1',
  cursor: 0,
  changes: [],
  more: false,
  checksum: '',
  alerts: [],
  now: '2026-03-28T21:40:00Z',
  ...more,
});

/** @param {Log} log what stands in it: state, device and number of each, by number */
const standing = async log =>
  (await log.all([])).records
    .map(r => /** @type {[string, string, number]} */ ([r.state, r.entry.device, r.entry.dseq]))
    .sort((a, b) => a[2] - b[2] || a[1].localeCompare(b[1]));

test('the same person with another device sends what is only here, and leaves the rest as it is', async () => {
  const log = await ownLog();
  const [a, b] = await write(log, 4);
  await log.settle(
    reply({
      verdicts: [{ id: a.id, verdict: 'accepted' }],
      changes: [b.entry, { ...b.entry, id: 'other', device: 'd7', dseq: 5 }],
    }),
    true,
  );
  await log.change('other', r => ({ ...r, state: 'missing' })); // as after a restore
  assert.equal(await log.become({ device: 'd2', person: 'p1', family: 'f1' }), true);
  assert.deepEqual(await standing(log), [
    ['sent', 'd1', 1],
    ['unsent', 'd2', 1], // in the order of writing
    ['stored', 'd1', 2],
    ['unsent', 'd2', 2],
    ['missing', 'd7', 5], // another phone's: whoever hands it in says so
  ]);
  const mine = (await log.inState('unsent')).map(r => r.id);
  assert.deepEqual(mine, [...mine].sort(), 'the first written goes first');
  const [next] = await write(log, 1);
  assert.equal(next.entry.dseq, 3, 'it counts on after what it took over');
  assert.deepEqual(await log.place(), { epoch: 'e1', cursor: 0, sum: '' }, 'read anew, and a restore is still known');
});

test('the same device again changes nothing', async () => {
  const log = await ownLog();
  await write(log, 2);
  assert.equal(await log.become({ device: 'd1', person: 'p1', family: 'f1' }), false);
  assert.deepEqual(await standing(log), [
    ['unsent', 'd1', 1],
    ['unsent', 'd1', 2],
  ]);
});

for (const [who, me] of /** @type {[string, any][]} */ ([
  ['somebody else of the family', { device: 'd2', person: 'p2', family: 'f1' }],
  ['the same id in another family', { device: 'd2', person: 'p1', family: 'f2' }],
])) {
  test(`${who} finds an empty log, and what was only here comes back with its writer`, async () => {
    const log = await ownLog();
    const [a, b, c, d] = await write(log, 4);
    await log.settle(reply({ verdicts: [{ id: a.id, verdict: 'accepted' }], changes: [b.entry], cursor: 7 }), true);
    await log.change(c.id, r => ({ ...r, state: 'missing' }));
    assert.equal(await log.become(me), true);
    assert.deepEqual((await log.all([])).records, []);
    assert.deepEqual(await log.place(), { epoch: '', cursor: 0, sum: '' });
    const [first] = await write(log, 1);
    assert.deepEqual([first.entry.dseq, first.entry.device], [1, 'd2'], 'a new device counts from 1');
    assert.equal(await log.become({ device: 'd1', person: 'p1', family: 'f1' }), true);
    assert.deepEqual(
      (await log.all([])).records.map(r => r.id),
      [d.id],
      'what the server has it reads anew; what is only here is back',
    );
    const [next] = await write(log, 1);
    assert.equal(next.entry.dseq, 5, 'it goes on counting where it was');
  });
}

test('who had written nothing comes back to a count that begins at 1', async () => {
  const log = await ownLog();
  await log.become({ device: 'd2', person: 'p2', family: 'f2' });
  await log.become({ device: 'd1', person: 'p1', family: 'f1' });
  const [first] = await write(log, 1);
  assert.equal(first.entry.dseq, 1);
});

test('a file of entries is taken in after what is here, each once, and only by somebody who has joined', async () => {
  const log = await ownLog();
  const [mine] = await write(log, 1);
  const list = /** @type {any[]} */ ([{ ...mine.entry }, { ...mine.entry, id: 'x1', device: 'd8', dseq: 40 }]);
  assert.equal(await adopt(log, list), 1, 'one is here already');
  assert.deepEqual(await standing(log), [
    ['unsent', 'd1', 1],
    ['unsent', 'd1', 2],
  ]);
  const nobody = openLog(
    openStore(new IDBFactory(), () => {}),
    world,
  );
  assert.equal(await adopt(nobody, list), 0);
});

test('what this phone has read is not put back by a slower reply of another tab', async () => {
  const log = await ownLog();
  const e = (/** @type {number} */ n) => ({ id: `e${n}`, device: 'd9', dseq: n });
  const one = await nextChecksum('', 'e1');
  const two = await nextChecksum(one, 'e2');
  await log.settle(reply({}), false); // the epoch is known
  let open = () => {};
  const gate = new Promise(resolve => {
    open = () => resolve(undefined);
  });
  const slow = openLog(
    {
      ...log.store,
      run: async (mode, job) => {
        if (mode === 'readwrite') await gate;
        return log.store.run(mode, job);
      },
    },
    world,
  );
  const late = slow.settle(reply({ changes: [e(1)], cursor: 1, checksum: one }), false);
  await slow.place(); // it has read where the phone stands
  await log.settle(reply({ changes: [e(1), e(2)], cursor: 2, checksum: two }), false);
  open();
  await late;
  assert.deepEqual(await log.place(), { epoch: 'e1', cursor: 2, sum: two });
});

test('the rolling checksum is the first eight bytes of SHA-256, as the server has it', async () => {
  const want = createHash('sha256').update('before\nid').digest('hex').slice(0, 16);
  assert.equal(await nextChecksum('before', 'id'), want);
});

test('an entry the server cannot read is offered again by who wrote it, and by nobody else', async () => {
  const log = await ownLog();
  const [a] = await write(log, 1);
  await log.settle(
    reply({ verdicts: [{ id: a.id, verdict: 'accepted' }], changes: [{ id: 'x', device: 'd9', dseq: 3 }] }),
    true,
  );
  await log.settle(
    reply({
      changes: [
        { id: a.id, fseq: 1, unreadable: true },
        { id: 'x', fseq: 2, unreadable: true },
        { id: 'y', fseq: 3, unreadable: false, device: 'd9', dseq: 4 },
      ],
    }),
    true,
  );
  assert.deepEqual(
    (await log.all([])).records.map(r => [r.id === a.id ? 'a' : r.id, r.state]).sort(),
    [
      ['a', 'unsent'],
      ['x', 'stored'],
      ['y', 'stored'],
    ].sort(),
  );
});

// The database.

test('a database is opened at version 1, filled again only after it was lost, and by what is missing', async () => {
  const factory = new IDBFactory();
  let filled = 0;
  const store = openStore(
    factory,
    () => {},
    async (entries, meta) => {
      filled++;
      await done(entries.put({ id: 'kept', state: 'unsent' }));
      await done(meta.put('v', 'k'));
    },
  );
  assert.deepEqual(await store.run('readonly', e => done(e.getAll())), []);
  assert.equal(filled, 0, 'nothing is lost at a first start');
  assert.deepEqual(
    (await factory.databases()).map(d => d.version),
    [1],
    'another version comes with what brings old phones up to it',
  );
  await new Promise(resolve => {
    factory.deleteDatabase('nightkeep').onsuccess = resolve; // as the browser clears it
  });
  const there = await store.run('readonly', e => done(e.getAll()));
  assert.deepEqual(
    there.map(r => r.id),
    ['kept'],
  );
  assert.equal(filled, 1);
  await store.run('readonly', e => done(e.getAll()));
  assert.equal(filled, 1, 'once');
});

test('what is only in memory goes back though the first new database is closed as well', async () => {
  const factory = new IDBFactory();
  let opened = 0;
  const clearing = /** @type {IDBFactory} */ ({
    open: (name, version) => {
      if (++opened !== 2) return factory.open(name, version);
      // As a browser does that is still clearing: an error event, and AbortError.
      const request = { error: new DOMException('The connection was closed.', 'AbortError'), onerror: () => {} };
      queueMicrotask(() => request.onerror());
      return request;
    },
  });
  /** @type {() => void} */
  let filled = () => {};
  const back = new Promise(resolve => {
    filled = () => resolve(undefined);
  });
  const store = openStore(
    clearing,
    () => {},
    async entries => {
      await done(entries.put({ id: 'kept', state: 'unsent' }));
      filled();
    },
  );
  await store.run('readonly', e => done(e.getAll()));
  factory.deleteDatabase('nightkeep');
  await back; // nobody wrote or read in between
  assert.equal(opened, 3);
  store.close();
});

test('a page that goes within a write holds nobody up, and writes it once it is back', async () => {
  const factory = new IDBFactory();
  const going = openStore(factory, () => {});
  /** @type {() => void} */
  let within = () => {};
  const begun = new Promise(resolve => {
    within = () => resolve(undefined);
  });
  let runs = 0;
  const written = going.run('readwrite', async (_, meta) => {
    meta.put(++runs, 'runs');
    for (let n = 0; n < 20; n++) {
      await done(meta.get('runs'));
      within();
    }
  });
  await begun;
  going.leave();
  const other = openStore(factory, () => {});
  assert.equal(await other.run('readonly', (_, meta) => done(meta.get('runs'))), undefined, 'nothing of half a write');
  going.back();
  await written;
  assert.equal(await other.run('readonly', (_, meta) => done(meta.get('runs'))), 2, 'begun anew');
  going.close();
  other.close();
});

test('a database that was deleted works on where nothing puts it back', async () => {
  const factory = new IDBFactory();
  const store = openStore(factory, () => {});
  await store.run('readonly', e => done(e.getAll()));
  await new Promise(resolve => {
    factory.deleteDatabase('nightkeep').onsuccess = resolve;
  });
  assert.deepEqual(await store.run('readonly', e => done(e.getAll())), []);
});

test('another tab with a newer version is told of, and it is not taken for a deletion', async () => {
  const factory = new IDBFactory();
  /** @type {string[]} */
  const told = [];
  let filled = 0;
  const store = openStore(
    factory,
    t => told.push(t),
    async () => {
      filled++;
    },
  );
  await store.run('readonly', e => done(e.getAll()));
  const newer = await new Promise(resolve => {
    const request = factory.open('nightkeep', 2);
    request.onsuccess = () => resolve(request.result);
  });
  assert.deepEqual([told.at(-1), filled], ['newer', 0]);
  await assert.rejects(
    store.run('readonly', e => done(e.getAll())),
    { name: 'VersionError' },
  );
  newer.close();
});

test('a job that fails writes nothing, says why, and is not tried twice', async () => {
  const store = openStore(new IDBFactory(), () => {});
  let tries = 0;
  for (const fault of [new Error('no'), new TypeError('no'), 'no error at all']) {
    tries = 0;
    await assert.rejects(
      store.run('readwrite', async entries => {
        tries++;
        entries.put({ id: 'half', state: 'unsent' });
        throw fault;
      }),
      (/** @type {unknown} */ e) => e === fault,
    );
    assert.equal(tries, 1);
  }
  assert.deepEqual(await store.run('readonly', e => done(e.getAll())), []);
});

test('a job whose connection was lost runs once more', async () => {
  const store = openStore(new IDBFactory(), () => {});
  for (const name of ['InvalidStateError', 'UnknownError', 'AbortError']) {
    let tries = 0;
    const got = await store.run('readwrite', async entries => {
      if (++tries === 1) throw new DOMException('lost', name);
      await done(entries.put({ id: name, state: 'unsent' }));
      return tries;
    });
    assert.equal(got, 2, name);
  }
  assert.equal((await store.run('readonly', e => done(e.getAll()))).length, 3);
});

// The requests.

/** @param {Response|Error} answer */
function server(answer) {
  /** @type {any[]} */
  const asked = [];
  globalThis.fetch = async (path, init) => {
    asked.push([path, init]);
    if (answer instanceof Error) throw answer;
    return answer;
  };
  return asked;
}

test('a request carries its body as JSON, is not cached and has a limit', async () => {
  const asked = server(new Response('{"a":1}', { status: 200 }));
  assert.deepEqual(await send('POST', '/x', { b: 2 }), { status: 200, body: { a: 1 }, retryAfter: undefined });
  const [path, { signal, ...rest }] = asked[0];
  assert.deepEqual(
    [path, rest],
    [
      '/x',
      {
        method: 'POST',
        body: '{"b":2}',
        headers: { 'Content-Type': 'application/json' },
        cache: 'no-store',
        credentials: 'same-origin',
      },
    ],
  );
  assert.ok(signal instanceof AbortSignal && !signal.aborted);
});

test('a request without a body sends none', async () => {
  const asked = server(new Response('', { status: 200 }));
  assert.deepEqual(await send('GET', '/y'), { status: 200, body: null, retryAfter: undefined });
  assert.deepEqual(['body' in asked[0][1], asked[0][1].headers, asked[0][1].method], [false, undefined, 'GET']);
});

test('a time to wait is told in milliseconds', async () => {
  server(new Response('', { status: 429, headers: { 'Retry-After': '7' } }));
  assert.equal((await send('GET', '/')).retryAfter, 7000);
  server(new Response('', { status: 429, headers: { 'Retry-After': '0' } }));
  assert.equal((await send('GET', '/')).retryAfter, undefined);
});

for (const [status, text, want] of /** @type {[number, string, any][]} */ ([
  [200, '{"a":1}', { a: 1 }],
  [299, '{"a":1}', { a: 1 }],
  [422, '{"error":{"code":"bad","message":"m","field":"f"}}', { status: 422, code: 'bad', message: 'm', field: 'f' }],
  [300, '{"a":1}', { status: 300, code: 'no-answer', message: '', field: '' }],
  [500, 'no json', { status: 500, code: 'no-answer', message: '', field: '' }],
])) {
  test(`a call that is answered ${status} ${text}`, async () => {
    const answer = new Response(text, { status: Math.max(200, status) });
    server(answer);
    const got = await call('GET', '/').catch(e => ({
      status: e.status,
      code: e.code,
      message: e.message,
      field: e.field,
    }));
    assert.deepEqual(got, want);
  });
}

test('a call without an answer says that there is no line', async () => {
  server(new TypeError('fetch failed'));
  await assert.rejects(call('GET', '/'), (/** @type {ApiError} */ e) => e.code === 'offline' && e.status === 0);
});

// What is put back after the browser has cleared it.

/** Loads again.js on a factory of its own. */
async function clearedPhone() {
  /** @type {any} */ (globalThis).indexedDB ??= new IDBFactory();
  const [{ keepCopy, comeBack }, { database }] = await Promise.all([
    import('../app/data/again.js'),
    import('../app/data/early.js'),
  ]);
  const store = openStore(new IDBFactory(), () => {});
  return { keepCopy, comeBack, database, store, log: openLog(store, world) };
}

/** @param {string} id @param {string} state @param {string} device @param {number} dseq */
const record = (id, state, device, dseq) => ({
  id,
  state,
  own: device === 'd1',
  entry: { id, device, dseq, hlc: `${dseq}-${id}` },
});

/** A page that shows four entries. */
const page = () =>
  /** @type {any} */ ({
    me: { device: 'd1', person: 'p1', family: 'f1' },
    family: { id: 'f1' },
    wearer: 'w1',
    alerts: [],
    heard: 5,
    skew: 6,
    cleared: 7,
    words: { lang: 'en' },
    records: new Map(
      [
        record('a', 'stored', 'd1', 1),
        record('b', 'sent', 'd1', 2),
        record('c', 'unsent', 'd1', 3),
        record('d', 'stored', 'd9', 40),
      ].map(r => [r.id, r]),
    ),
  });

test('a page that shows the log puts all of it back into an empty database, and counts on', async () => {
  const { keepCopy, database, store } = await clearedPhone();
  keepCopy(page());
  await store.run('readwrite', (e, m) => database.refill(e, m));
  const { entries, dseq, hlc, me, again, lang } = await store.run('readonly', async (e, m) => ({
    entries: (await done(e.getAllKeys())).join(''),
    dseq: await done(m.get('dseq')),
    hlc: await done(m.get('hlc')),
    me: await done(m.get('me')),
    again: await done(m.get('again')),
    lang: await done(m.get('lang')),
  }));
  assert.deepEqual([entries, dseq, hlc, me?.device, again, lang], ['abcd', 3, '40-d', 'd1', true, 'en']);
});

test('into a database that another page has filled it puts what only this phone has', async () => {
  const { keepCopy, database, store } = await clearedPhone();
  keepCopy(page());
  await store.run('readwrite', async (e, m) => {
    await done(m.put({ device: 'd5', person: 'p1', family: 'f1' }, 'me'));
    await done(m.put(9, 'dseq'));
    await done(e.put({ ...record('c', 'stored', 'd5', 1) }));
    await database.refill(e, m);
  });
  const after = await store.run('readonly', async (e, m) => ({
    states: (await done(e.getAll())).map(r => `${r.id} ${r.state}`),
    dseq: await done(m.get('dseq')),
  }));
  assert.deepEqual(after, { states: ['c stored'], dseq: 9 });
  await store.run('readwrite', async (e, m) => {
    await done(e.clear());
    await database.refill(e, m);
  });
  assert.deepEqual(await store.run('readonly', e => done(e.getAllKeys())), ['c']);
});

test('nothing is put back for somebody else, nor before anybody is known', async () => {
  const { keepCopy, database, store } = await clearedPhone();
  const s = page();
  keepCopy(s);
  await store.run('readwrite', async (e, m) => {
    await done(m.put({ device: 'd5', person: 'p2', family: 'f1' }, 'me'));
    await database.refill(e, m);
  });
  assert.deepEqual(await store.run('readonly', e => done(e.getAllKeys())), []);
  for (const gone of ['me', 'family']) {
    const half = page();
    half[gone] = null;
    keepCopy(half);
    await store.run('readwrite', async (e, m) => {
      await done(m.clear());
      await database.refill(e, m);
    });
    assert.deepEqual(await store.run('readonly', e => done(e.getAllKeys())), [], gone);
  }
});

test('a browser that comes back becomes a new device, and without a line it waits for one', async () => {
  const { comeBack, log } = await clearedPhone();
  const family = /** @type {any} */ ({ device: 'd1', person: { id: 'p1' }, family: { id: 'f1' } });
  server(new TypeError('no line'));
  await assert.rejects(comeBack(log, family), { code: 'offline' });
  assert.equal(
    (await log.get('cleared', 0)) > 0,
    true,
    'that the phone was cleared is said although the page ends now',
  );
  server(new Response('{"error":{"code":"too-many"}}', { status: 429 }));
  assert.equal(await comeBack(log, family), family, 'where the server makes none it stays the old one');
  await log.set('again', true);
  globalThis.fetch = async path =>
    new Response(
      path === '/api/family' ? JSON.stringify({ device: 'd2', person: { id: 'p1' }, family: { id: 'f1' } }) : '{}',
    );
  const anew = await comeBack(log, family);
  assert.equal(anew.device, 'd2');
  assert.deepEqual(await log.get('me', null), { device: 'd2', person: 'p1', family: 'f1' });
  assert.equal(await log.get('again', true), false);
});

test('a look asked for during a look is another look', async () => {
  const log = await ownLog();
  /** @type {(() => void)[]} */
  const gates = [];
  const sync = createSync({
    log,
    post: async () => {
      await new Promise(r => gates.push(() => r(undefined)));
      return { status: 200, body: reply({ checksum: undefined }) };
    },
    now: world.now,
    chance: () => 0.5,
    visible: () => true,
    later: () => () => {},
    onState: () => {},
    onNews: () => {},
  });
  const first = sync.flush();
  while (!gates.length) await new Promise(r => setImmediate(r));
  const second = sync.flush();
  gates[0]();
  while (gates.length < 2) await new Promise(r => setImmediate(r));
  gates[1]();
  await Promise.all([first, second]);
  assert.equal(gates.length, 2);
});
