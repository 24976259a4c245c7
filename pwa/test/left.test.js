// A check that was begun and left is written to the log once, whoever wears.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { tellLeft } from '../app/data/left.js';

/** @param {Record<string, string>} kept @param {boolean} [full] @param {any[]} [nights] of the log, by key */
function phone(kept, full, nights) {
  /** @type {any[]} */
  const wrote = [];
  const storage = /** @type {any} */ ({
    getItem: (/** @type {string} */ k) => kept[k] ?? null,
    setItem: (/** @type {string} */ k, /** @type {string} */ v) => {
      kept[k] = v;
    },
    removeItem: (/** @type {string} */ k) => {
      delete kept[k];
    },
  });
  const app = /** @type {any} */ ({
    state: { zone: 'UTC', nights: new Map(nights), family: { wearers: [{ id: 'w1' }, { id: 'w2' }] } },
    write: async (/** @type {any[]} */ drafts) => {
      if (full) throw new Error('full');
      wrote.push(...drafts);
    },
  });
  return { tell: (least = 0) => tellLeft(app, { kept: storage, least }), wrote };
}
const draft = (/** @type {string[]} */ eyes, /** @type {string} */ at) =>
  JSON.stringify({ answers: { eyes, right: {}, left: {}, report: {} }, at: 3, apart: [], since: Date.parse(at) });

test('a check that was left is told once, of the night in which it was begun', async () => {
  const kept = { 'check-w2': draft(['left'], '2026-03-28T22:10:00Z') };
  const { tell, wrote } = phone(kept);
  await tell();
  await tell();
  assert.deepEqual(wrote, [
    { wearer: 'w2', night: '2026-03-28', kind: 'check-open', body: { eyes: 'left', left: true } },
  ]);
  kept['check-w2'] = draft(['right', 'left'], '2026-03-29T08:00:00Z');
  await tell();
  assert.deepEqual(wrote.slice(1), [
    { wearer: 'w2', night: '2026-03-28', kind: 'check-open', body: { eyes: 'both', left: true } },
  ]);
});

test('a check that was finished, or never begun, is no news', async () => {
  const { tell, wrote } = phone({ 'check-w1': 'not a draft' });
  await tell();
  assert.deepEqual(wrote, []);
});

test('on a full phone it is told at the next start', async () => {
  const kept = { 'check-w1': draft(['right'], '2026-03-28T22:10:00Z') };
  await phone(kept, true).tell();
  const { tell, wrote } = phone(kept);
  await tell();
  assert.equal(wrote.length, 1);
});

// The levels are those of the published signs: pus is an emergency (FDA class labelling), a red eye urgent (CDC),
// pain that went with the lens routine (FDA class labelling).
const said = (/** @type {Record<string, string>} */ right, since = '2026-03-28T22:10:00Z') =>
  JSON.stringify({
    answers: { eyes: ['right'], right, left: {}, report: { now: 'none' } },
    at: 4,
    apart: [],
    since: Date.parse(since),
  });

test('what was answered before a check was left goes as a report, and says that it is not finished', async () => {
  const kept = { 'check-w1': said({ injury: 'no', discharge: 'pus', pain: '' }) };
  const { tell, wrote } = phone(kept);
  await tell();
  await tell();
  assert.deepEqual(wrote, [
    {
      wearer: 'w1',
      kind: 'symptoms',
      body: { right: { injury: 'no', discharge: 'pus' }, now: 'none', other: 'unknown', unfinished: true },
    },
  ]);
});

test('a check that was gone on with and left again is told again only when it is worse', async () => {
  const kept = { 'check-w1': said({ injury: 'no' }) };
  const { tell, wrote } = phone(kept);
  await tell();
  kept['check-w1'] = said({ injury: 'no', redness: 'mild' });
  await tell();
  kept['check-w1'] = said({ injury: 'no', redness: 'mild', spot: 'no' });
  await tell();
  kept['check-w1'] = said({ injury: 'no', redness: 'mild', light: 'yes' });
  await tell();
  assert.deepEqual(
    wrote.map(d => [d.kind, d.body.right?.light]),
    [
      ['check-open', undefined],
      ['symptoms', undefined],
      ['symptoms', 'yes'],
    ],
  );
});

test('what is routine is heard without being finished', async () => {
  const { tell, wrote } = phone({ 'check-w1': said({ pain: 'gone' }) });
  await tell();
  assert.deepEqual(
    wrote.map(d => [d.kind, d.body.right?.pain]),
    [['symptoms', 'gone']],
  );
});

test('when the screen goes dark in a check only what is urgent is told', async () => {
  const kept = { 'check-w1': said({ pain: 'gone' }) };
  const { tell, wrote } = phone(kept);
  await tell(3);
  assert.deepEqual(wrote, []);
  kept['check-w1'] = said({ redness: 'mild' });
  await tell(3);
  assert.deepEqual(
    wrote.map((/** @type {any} */ d) => d.kind),
    ['symptoms'],
  );
});

test('a report that is opened again and left as it was says nothing new; one made worse does', async () => {
  const right = { injury: 'no', discharge: 'pus' };
  const e = { wearer: 'w1', kind: 'symptoms', body: { right, now: 'none', other: 'unknown', told: { right: 'stop' } } };
  const log = [['w1/2026-03-28', { wearer: 'w1', entries: [e] }]];
  const again = phone({ 'check-w1': said(right) }, false, log);
  await again.tell();
  assert.deepEqual(again.wrote, []);
  const worse = phone({ 'check-w1': said({ ...right, pain: 'severe' }) }, false, log);
  await worse.tell();
  assert.deepEqual(worse.wrote[0].body.right, { ...right, pain: 'severe' });
});
