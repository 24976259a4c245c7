// The choice of how often a wearer comes to recall, made in the console. Expected
// series: three-monthly (recall schedule of an optometric orthokeratology body, Hong
// Kong), or a visit at three months and six-monthly from then on (International Myopia
// Institute, clinical guidelines, 2019), so that no gap of six months follows the first.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { every } from '../clinic/views/plan.js';

const step = (/** @type {Partial<import('../clinic/api.js').RecallStep>} */ s) => ({
  kind: /** @type {const} */ ('recall'),
  days: 0,
  months: 0,
  every_months: 0,
  ...s,
});
const early = [step({ kind: 'first-morning', days: 1 }), step({ kind: 'one-month', months: 1 })];
const three = [...early, step({ every_months: 3 })];
const six = [...early, step({ months: 3 }), step({ every_months: 6 })];

test('six-monthly begins with a visit at three months, three-monthly needs none', () => {
  assert.deepEqual(every(three, 6), six);
  assert.deepEqual(every(six, 3), three);
  assert.deepEqual(every(six, 6), six, 'chosen twice is chosen once');
  assert.deepEqual(every(three, 3), three);
});

test('a series without an end that repeats is left as it is', () => assert.deepEqual(every(early, 6), early));
