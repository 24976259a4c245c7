// When the phone asks again, how much it sends at once, and what it says is
// wrong. The waits are those that sync.js states: 2 s, doubling to 5 min, each
// shortened by chance to half at most; an idle look every 5 s, give or take a
// fifth: a stop reaches an open phone within seconds. The limits of a request
// are the server's: 50 entries, 64 KiB.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { IDBFactory } from 'fake-indexeddb';
import { openLog } from '../app/data/log.js';
import { putOff } from '../app/data/put-off.js';
import { openStore } from '../app/data/store.js';
import { choose, createSync } from '../app/data/sync.js';

/** @import { Answer } from '../app/data/sync.js' */

/** @param {number} n @param {number} [size] bytes of the body's text */
const unsent = (n, size = 0) =>
  Array.from(
    { length: n },
    (_, i) => /** @type {any} */ ({ id: `e${i}`, entry: { id: `e${i}`, kind: 'note', body: { t: 'x'.repeat(size) } } }),
  );

/** A sync over a queue that stands still unless an answer names its entries. */
function rig({ queue = unsent(1), chance = 0.5, visible = true } = {}) {
  /** @type {(Answer|Error)[]} */ const answers = [];
  /** @type {number[]} */ const asked = [];
  /** @type {string[]} */ const refused = [];
  /** @type {{ms: number, job: () => void}|null} */ let timer = null;
  /** @type {any[]} */ const settled = [];
  let match = 'ok';
  const log = {
    inState: async () => queue.filter(r => !refused.includes(r.id)),
    place: async () => ({ epoch: 'e1', cursor: 3, sum: '' }),
    settle: async (/** @type {any} */ reply, /** @type {boolean} */ trust) => {
      settled.push(trust);
      queue = queue.filter(r => !reply.verdicts.some((/** @type {any} */ v) => v.id === r.id));
      return match;
    },
    refuse: async (/** @type {string} */ id) => void refused.push(id),
  };
  const sync = createSync({
    log: /** @type {any} */ (log),
    now: () => 0,
    chance: () => chance,
    visible: () => visible,
    onState: () => {},
    onNews: () => {},
    later: (ms, job) => {
      timer = { ms, job };
      return () => {
        timer = null;
      };
    },
    post: async (/** @type {any} */ body) => {
      asked.push(body.entries.length);
      const a = answers.shift() ?? { status: 500, body: null };
      if (a instanceof Error) throw a;
      return a;
    },
  });
  return {
    sync,
    answers,
    asked,
    refused,
    settled,
    wait: () => timer?.ms,
    disagree: () => {
      match = 'again';
    },
    go: async () => {
      await sync.flush();
      return timer?.ms;
    },
  };
}

/** @param {string[]} ids @param {object} [more] @returns {Answer} */
const took = (ids, more = {}) => ({
  status: 200,
  body: { verdicts: ids.map(id => ({ id, verdict: 'accepted' })), more: false, ...more },
});
const late = () => Object.assign(new Error('late'), { name: 'TimeoutError' });

test('the wait doubles from two seconds to five minutes, and begins anew after an answer', async () => {
  for (const [chance, share] of [
    [0, 0.5],
    [0.5, 0.75],
    [1, 1],
  ]) {
    const r = rig({ chance });
    const waits = [];
    for (let i = 0; i < 12; i++) waits.push(await r.go());
    const whole = [2, 4, 8, 16, 32, 64, 128, 256, 300, 300, 300, 300];
    assert.deepEqual(
      waits,
      whole.map(s => s * 1000 * share),
    );
    r.answers.push(took([]));
    assert.equal(
      await r.go(),
      2000 * share,
      'an answer that says nothing of the entry is a failure, the first of its kind',
    );
  }
});

test('an answer that names a time is not asked again before it', async () => {
  const r = rig();
  r.answers.push({ status: 429, body: null, retryAfter: 90_000 }, { status: 503, body: null, retryAfter: 1 });
  assert.equal(await r.go(), 90_000);
  assert.equal(await r.go(), 3000);
});

test('it says what is wrong', async () => {
  /** @type {[Answer|Error, string][]} */
  const cases = [
    [{ status: 401, body: null }, 'signed-out'],
    [{ status: 403, body: null }, 'signed-out'],
    [{ status: 429, body: null }, 'limited'],
    [{ status: 500, body: null }, 'server'],
    [{ status: 402, body: null }, 'server'],
    [new TypeError('network'), 'offline'],
  ];
  for (const [answer, fault] of cases) {
    const r = rig();
    r.answers.push(answer);
    await r.go();
    assert.deepEqual([r.sync.state().phase, r.sync.state().fault], ['waiting', fault]);
  }
});

test('with nothing to send it looks every five seconds while it is seen, and not unseen', async () => {
  for (const [chance, ms] of [
    [0, 4000],
    [0.5, 5000],
    [1, 6000],
  ]) {
    const r = rig({ queue: [], chance });
    r.answers.push(took([]));
    assert.equal(Math.round((await r.go()) ?? 0), ms);
  }
  const hidden = rig({ queue: [], visible: false });
  hidden.answers.push(took([]));
  assert.equal(await hidden.go(), undefined);
  assert.deepEqual(hidden.sync.state(), { phase: 'idle', next: null, fault: '' });
});

test('a request that takes too long is halved down to one entry, and grows again with what is taken', async () => {
  const r = rig({ queue: unsent(200) });
  for (let i = 0; i < 8; i++) {
    r.answers.push(late());
    await r.go();
  }
  assert.deepEqual(r.asked, [50, 25, 12, 6, 3, 1, 1, 1]);
  r.asked.length = 0;
  let sent = 0;
  for (const n of [1, 2, 4, 8, 16, 32, 50, 50]) r.answers.push(took(Array.from({ length: n }, () => `e${sent++}`)));
  await r.go();
  assert.deepEqual(r.asked.slice(0, 8), [1, 2, 4, 8, 16, 32, 50, 50]);
});

test('one entry that is left is sent at once', async () => {
  const r = rig({ queue: unsent(2) });
  r.answers.push(took(['e0']), took(['e1']));
  await r.go();
  assert.deepEqual(r.asked, [2, 1]);
});

test('what no request can carry is refused by our server only', async () => {
  const tooLarge = { status: 413, body: { error: { code: 'too-large' } } };
  const r = rig({ queue: unsent(2) });
  r.answers.push(tooLarge, tooLarge, tooLarge);
  await r.go();
  assert.deepEqual(
    [r.asked.slice(0, 3), r.refused],
    [
      [2, 1, 1],
      ['e0', 'e1'],
    ],
  );
  const between = rig();
  between.answers.push({ status: 413, body: null });
  await between.go();
  assert.deepEqual([between.refused, between.sync.state().fault], [[], 'server']);
});

test('a log that does not match is read anew once in a run, then believed', async () => {
  const r = rig({ queue: [] });
  r.disagree();
  r.answers.push(took([]), took([]), took([]));
  await r.go();
  assert.deepEqual(r.settled, [false, true]);
});

test('a request fills 64 KiB to the last byte', () => {
  const one = new TextEncoder().encode(JSON.stringify(unsent(1)[0].entry)).length + 1;
  const room = 64 * 1024 - 2 * one; // for the texts of two
  const two = (/** @type {number} */ extra) => [
    ...unsent(1, Math.floor(room / 2)),
    ...unsent(1, Math.ceil(room / 2) + extra),
  ];
  assert.equal(choose(two(0), 50).length, 2);
  assert.equal(choose(two(1), 50).length, 1);
  assert.equal(choose(unsent(1, 100_000), 50).length, 1, 'the first goes whatever its size');
});

/** A log of its own. */
async function ownLog() {
  let byte = 0;
  const log = openLog(
    openStore(new IDBFactory(), () => {}),
    { now: () => 1_774_734_000_000, random: n => Uint8Array.from({ length: n }, () => byte++) },
  );
  await log.set('me', { device: 'd1', person: 'p1', family: 'f1' });
  return log;
}

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

test('a phone goes on counting after what the server has of it', async () => {
  const log = await ownLog();
  await log.settle(reply({ watermark: 7 }), false);
  const [r] = await log.append([{ wearer: 'w1', kind: 'note', body: {} }], 'Europe/Lisbon');
  assert.equal(r.entry.dseq, 8);
  await log.settle(
    reply({
      changes: [
        { id: 'e9', device: 'd1', dseq: 12 },
        { id: 'e8', device: 'd2', dseq: 40 },
      ],
      cursor: 2,
    }),
    true,
  );
  const [next] = await log.append([{ wearer: 'w1', kind: 'note', body: {} }], 'Europe/Lisbon');
  assert.equal(next.entry.dseq, 13, 'what another phone counted is not its own');
});

test('its place moves with what it has taken in, and starts anew when that does not match', async () => {
  const log = await ownLog();
  assert.deepEqual(await log.place(), { epoch: '', cursor: 0, sum: '' });
  assert.equal(await log.settle(reply({ cursor: 5, checksum: 'other' }), false), 'again');
  assert.deepEqual(await log.place(), { epoch: 'e1', cursor: 0, sum: '' });
  assert.equal(await log.settle(reply({ cursor: 5, checksum: 'other' }), true), 'ok');
  assert.deepEqual(await log.place(), { epoch: 'e1', cursor: 5, sum: 'other' });
});

test('a new life of the log is read from its beginning in one pass', async () => {
  const log = await ownLog();
  await log.settle(reply({ cursor: 5, checksum: 'other' }), true);
  const sum = createHash('sha256').update('\nx1').digest('hex').slice(0, 16); // as the contract has it
  const anew = reply({ epoch: 'e2', cursor: 1, changes: [{ id: 'x1', device: 'd2', dseq: 1 }], checksum: sum });
  assert.equal(await log.settle(anew, false), 'ok');
  assert.deepEqual(await log.place(), { epoch: 'e2', cursor: 1, sum });
});

test('how far the clock of the server is from the phone’s is noted with each answer', async () => {
  const log = await ownLog();
  await log.settle(reply({ now: '2026-03-28T21:43:20Z' }), false); // the phone says 21:40:00
  assert.equal(await log.get('skew', 0), 200_000);
});

test('an answer with nothing new writes nothing for a minute, unless somebody else wrote here', async () => {
  let now = 1_774_734_000_000;
  const random = (/** @type {number} */ n) => new Uint8Array(n);
  const store = openStore(new IDBFactory(), () => {});
  const [page, worker] = [1, 2].map(() => openLog(store, { now: () => now, random }));
  await page.set('me', { device: 'd1', person: 'p1', family: 'f1' });
  const news = (/** @type {object} */ more = {}) => reply({ cursor: 0, now: new Date(now).toISOString(), ...more });
  const said = async (/** @type {object} */ more = {}) => page.settle(news(more), false);
  await said();
  await said();
  const heard = await page.get('heard', 0);
  now += 5000;
  assert.equal(await said(), 'same');
  assert.equal(await page.get('heard', 0), heard);
  assert.equal(await said({ alerts: [{ id: 'a1' }] }), 'ok', 'an alert was taken');
  await said({ alerts: [{ id: 'a1' }] });
  await worker.settle(news({ cursor: 1, changes: [{ id: 'e1', device: 'd2', dseq: 1 }] }), false);
  assert.equal(await said({ cursor: 1, alerts: [{ id: 'a1' }] }), 'ok', 'the worker has read on');
  await said({ cursor: 1, alerts: [{ id: 'a1' }] });
  now += 60_000;
  assert.equal(await said({ cursor: 1, alerts: [{ id: 'a1' }] }), 'ok', 'the time of the last answer is kept');
  assert.equal(await page.get('heard', 0), now);
});

test('putting off from a notification is for whom this phone reminds of', async () => {
  const wearers = [
    { id: 'w1', plan: {} },
    { id: 'w2', plan: {} },
    { id: 'w3', plan: null },
  ];
  for (const [person, ids] of /** @type {[object, string[]][]} */ ([
    [{ role: 'parent' }, ['w1', 'w2']],
    [{ role: 'teen', wearer: 'w2' }, ['w2']],
    [{ role: 'parent', wearer: 'w2' }, ['w1', 'w2']], // a parent who wears lenses too
  ])) {
    const log = await ownLog();
    await log.set('family', { person, wearers });
    assert.equal(await putOff(log, 1_774_734_000_000, 'Europe/Lisbon'), ids.length); // 21:40 in Lisbon; half an hour
    assert.ok(
      (await log.inState('unsent')).every(r => r.entry.body.until === '22:10' && r.entry.night === '2026-03-28'),
    );
    assert.deepEqual(
      (await log.inState('unsent')).map(r => [r.entry.kind, r.entry.wearer]),
      ids.map(id => ['snooze', id]),
    );
  }
});
