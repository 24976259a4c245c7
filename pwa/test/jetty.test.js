// What has grown since the first night, counted by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { fold } from '../app/model/fold.js';
import { grown } from '../app/model/jetty.js';
import { entries } from './entries.js';

/** @import { Entry } from '../app/model/entry.js' */
/** @import { Plan } from '../../schedule/due.js' */

const ZONE = 'Europe/Madrid';
const plan = /** @type {Plan} */ (
  /** @type {unknown} */ ({ first_night: '2026-03-01', eyes: 'both', min_hours: 7, pauses: [] })
);
const e = entries(3);
const worn = (/** @type {string} */ night, from = '22:00', to = '06:00', more = {}) => [
  e(night, 'insertion', { at: from, eyes: 'both', ...more }),
  e(night, 'removal', { at: to, eyes: 'both' }),
];
/** @param {Entry[]} entries */
const of = entries => {
  const nights = fold(entries);
  return grown(d => nights.get(`w1/${d}`), plan, '2026-03-10', ZONE);
};

const TWO = [...worn('2026-03-01'), ...worn('2026-03-02')];

test('full nights and clear evenings are counted from the first night', () => {
  assert.deepEqual(of([...TWO, e('2026-03-02', 'evening-sight', { rating: 4 })]), { full: 2, clear: 1 });
  assert.deepEqual(of([...worn('2026-02-27'), ...TWO]).full, 2, 'a night before the plan');
  assert.deepEqual(
    of([...TWO, e('2026-03-03', 'evening-sight', { rating: 3 })]).clear,
    0,
    'a bit blurred is not clear',
  );
});

test('a night off, a stop and a report take nothing away', () => {
  const off = e('2026-03-03', 'not-worn', { reason: 'told-to-stop', eyes: 'both' });
  const report = e('2026-03-04', 'symptoms', { right: { pain: 'severe' } });
  assert.deepEqual(of([...TWO, off, report]).full, 2);
});

test('a short night, half a night and one against a stop add nothing', () => {
  assert.equal(of([...TWO, ...worn('2026-03-03', '23:30', '06:00')]).full, 2, '6.5 h of 7');
  assert.equal(
    of([...TWO, e('2026-03-03', 'insertion', { at: '22:00', eyes: 'both' })]).full,
    2,
    'never said to be out',
  );
  assert.equal(of([...TWO, ...worn('2026-03-03', '22:00', '06:00', { despite: ['id-x'] })]).full, 2);
});
