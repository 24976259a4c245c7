// A sight test that fell by three lines or more (our own limit) is said on the page of
// progress until an eye report follows it. A test answered wrong at every size ends at
// the far end of the grid, one answered right at every size at the near end.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { eveningFell, lastEveningFell, sightFell } from '../app/model/sight-fell.js';
import { entries } from './entries.js';

const e = entries(1);
const now = Date.parse('2026-03-24T20:00:00Z');
/** @param {string} night @param {string} eye @param {number} right 1 or 0 @param {number} [n] */
const run = (night, eye, right, n = 14) =>
  e(night, 'acuity-run', { eye, trials: Array.from({ length: n }, (_, i) => [right ? 0 : 0.4 + i / 20, right]) });
const eyes = (/** @type {ReturnType<typeof e>[]} */ ...all) => sightFell(all, now).map(x => x.eye);

test('a poor test is said, a good one is not', () => {
  assert.deepEqual(eyes(run('2026-03-23', 'right', 0), run('2026-03-23', 'left', 1)), ['right']);
});
test('a newer good test of the same eye ends it, of the other eye it does not', () => {
  assert.deepEqual(eyes(run('2026-03-20', 'right', 0), run('2026-03-22', 'right', 1)), []);
  assert.deepEqual(eyes(run('2026-03-20', 'right', 0), run('2026-03-22', 'left', 1)), ['right']);
});
test('an eye report that follows ends it, an earlier one does not', () => {
  const report = (/** @type {string} */ night) => e(night, 'symptoms', { right: {}, left: {} });
  assert.deepEqual(eyes(run('2026-03-20', 'left', 0), report('2026-03-21')), []);
  assert.deepEqual(eyes(report('2026-03-19'), run('2026-03-20', 'left', 0)), ['left']);
});
test('too few answers, or five weeks ago, say nothing', () => {
  assert.deepEqual(eyes(run('2026-03-23', 'right', 0, 5)), []);
  assert.deepEqual(eyes(run('2026-02-10', 'right', 0)), []);
});

// Two grades is the step of the rule "evening-drop-marked" (alerts/rules.json); three
// evenings before is our own.
const rated = (/** @type {number[]} */ ...ratings) =>
  ratings.map((rating, i) => e(`2026-03-${10 + i}`, 'evening-sight', { rating, scale: 2 }));
test('an evening two grades below the usual one is asked about', () => {
  const fell = (/** @type {number[]} */ before, /** @type {number} */ rating) =>
    eveningFell(rated(...before), { night: '2026-03-20', rating });
  assert.ok(fell([5, 5, 4, 5], 1));
  assert.ok(fell([5, 5, 5], 3));
  assert.ok(!fell([5, 4, 4, 4], 3));
  assert.ok(!fell([5, 5], 1), 'no usual evening yet');
});
test('progress says it of the last evening until a report follows', () => {
  const all = rated(5, 5, 5, 1);
  assert.equal(lastEveningFell(all, now)?.body.rating, 1);
  assert.equal(lastEveningFell([...all, e('2026-03-14', 'symptoms', {})], now), undefined);
  assert.equal(lastEveningFell(rated(5, 5, 1, 5), now), undefined);
});
