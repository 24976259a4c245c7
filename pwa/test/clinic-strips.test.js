// The strips of the review. Expected values are worked out by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { clockRange, columnsOf, drawnAs, MOST_NIGHTS, nightHours, percent, rankedCare } from '../clinic/strips.js';
import { addDays } from '../clinic/format.js';
import { nightsOf, stripWords } from '../clinic/views/strip28.js';

/** @import { NightRow, Summary } from '../clinic/types.js' */

/** @param {string} night @param {Partial<NightRow>} [more] @returns {NightRow} */
const row = (night, more) => ({
  night,
  status: 'worn',
  counted: 'worn',
  hours: 9,
  slept_minutes: null,
  left_in: false,
  differs: false,
  late_hours: 0,
  min_hours: 6,
  memory: false,
  symptoms: false,
  ...more,
});

test('a column a night, and a column a week when there are too many', () => {
  const few = columnsOf([row('2026-03-01'), row('2026-03-03')], '2026-03-01', '2026-03-03');
  assert.equal(few.weekly, false);
  assert.deepEqual(
    few.columns.map(c => c.at),
    [[0], [], [1]],
    'a night that does not count leaves its place empty',
  );
  const last = addDays('2026-01-01', MOST_NIGHTS - 1);
  assert.equal(columnsOf([], '2026-01-01', last).weekly, false);
  const many = columnsOf([row('2026-01-08'), row('2026-01-14'), row('2026-01-15')], '2026-01-01', addDays(last, 1));
  assert.equal(many.weekly, true);
  assert.equal(many.columns.length, Math.ceil((MOST_NIGHTS + 1) / 7));
  assert.deepEqual(
    many.columns.slice(0, 4).map(c => c.at),
    [[], [0, 1], [2], []],
  );
});

test('what a night is drawn as', () => {
  assert.equal(drawnAs(row('2026-03-01')), 'worn');
  assert.equal(drawnAs(row('2026-03-01', { memory: true })), 'memory');
  assert.equal(drawnAs(row('2026-03-01', { status: 'missed', memory: true })), 'missed', 'a missed night stays one');
  assert.equal(
    drawnAs(row('2026-03-01', { status: 'missed', held: 'stop', stopped: ['right', 'left'] })),
    'stopped',
    'told not to wear is no missed night',
  );
  assert.equal(
    drawnAs(row('2026-03-01', { status: 'missed', stopped: ['left'] })),
    'missed',
    'the eye that was free was left out',
  );
  assert.equal(drawnAs(row('2026-03-01', { stopped: ['left'] })), 'worn', 'worn under a stop is seen as worn');
  assert.equal(drawnAs(row('2026-03-01', { status: 'differ', memory: true })), 'differ');
});

test('clocks on the axis of a night', () => {
  assert.equal(nightHours('21:30'), 21.5);
  assert.equal(nightHours('07:15'), 31.25);
  assert.equal(nightHours(''), null);
  assert.deepEqual(clockRange([]), [20, 32]);
  assert.deepEqual(clockRange([row('2026-03-01', { in: '18:40', out: '09:10' })]), [18, 34]);
});

test('care is ranked by what was left out most, never answered last; percentages of a doubtful log are claims', () => {
  const share = (/** @type {number} */ done, /** @type {number} */ not) => ({
    done,
    not_done: not,
    unknown: 0,
    share: done + not ? done / (done + not) : 0,
    low: 0,
    high: 1,
    bound_low: 0,
    bound_high: 1,
  });
  const care = [
    ['a', 10, 0],
    ['b', 4, 6],
    ['c', 0, 0],
    ['d', 9, 1],
  ].map(([item, d, n]) => ({
    item,
    title: item,
    good: 'yes',
    nights: [],
    marks: '',
    share: share(Number(d), Number(n)),
  }));
  assert.deepEqual(
    rankedCare(/** @type {Summary} */ (/** @type {unknown} */ ({ care }))).map(c => c.item),
    ['b', 'd', 'a', 'c'],
  );
  assert.equal(percent(share(10, 1), 'none'), '91 %');
  assert.equal(percent(share(10, 1), 'some'), '91 % as claimed');
  assert.equal(percent(share(0, 0), 'none'), '');
});

test('a night told not to wear is no night missing', () => {
  // 22 worn, 5 told not to wear (one of them with water), 1 not logged: by hand 22 of 23.
  const strip = `${'w'.repeat(22)}ttttT.`;
  assert.deepEqual(nightsOf(strip), { asked: 23, held: 5 });
  assert.equal(stripWords(strip), 'last 28 nights: 22 worn, 5 told not to wear, 1 not logged, water on 1');
  assert.deepEqual(nightsOf('--wm'), { asked: 2, held: 0 }, 'before the first night nothing is asked');
});
