// A sight test that fell by three lines or more (our own limit) is said on the page of
// progress until an eye report follows it. A test answered wrong at every size ends at
// the far end of the grid, one answered right at every size at the near end.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { sightFell } from '../app/model/sight-fell.js';
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
