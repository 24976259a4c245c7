// A check that was begun and left is written to the log once, whoever wears.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { tellLeft } from '../app/data/left.js';

/** @param {Record<string, string>} kept @param {boolean} [full] */
function phone(kept, full) {
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
    state: { zone: 'UTC', family: { wearers: [{ id: 'w1' }, { id: 'w2' }] } },
    write: async (/** @type {any[]} */ drafts) => {
      if (full) throw new Error('full');
      wrote.push(...drafts);
    },
  });
  return { tell: () => tellLeft(app, storage), wrote };
}
const draft = (/** @type {string[]} */ eyes, /** @type {string} */ at) =>
  JSON.stringify({ answers: { eyes, right: {}, left: {}, report: {} }, at: 3, apart: [], since: Date.parse(at) });

test('a check that was left is told once, of the night in which it was begun', async () => {
  const kept = { 'check-w2': draft(['left'], '2026-03-28T22:10:00Z') };
  const { tell, wrote } = phone(kept);
  await tell();
  await tell();
  assert.deepEqual(wrote, [{ wearer: 'w2', night: '2026-03-28', kind: 'check-open', body: { eyes: 'left' } }]);
  kept['check-w2'] = draft(['right', 'left'], '2026-03-29T08:00:00Z');
  await tell();
  assert.deepEqual(wrote.slice(1), [{ wearer: 'w2', night: '2026-03-28', kind: 'check-open', body: { eyes: 'both' } }]);
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
