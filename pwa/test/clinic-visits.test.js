// A stop that was decided at a visit: whether it was written.
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { against, unwritten } from '../clinic/views/visits.js';

test('a stop of a visit is written by a word of that day or later, or by a stop that holds', () => {
  const visit = (/** @type {string} */ date, /** @type {any} */ right, state = 'kept') => ({
    date,
    state,
    right,
    left: {},
  });
  const wear = (/** @type {any[]} */ entries, state = 'none', causes = [{ id: 'c' }]) =>
    /** @type {any} */ ({ wear: { right: { state, causes }, left: { state, causes } }, entries });
  const stop = { wear: 'stop' };
  const said = (/** @type {string} */ kind, /** @type {string} */ day, eyes = 'right') => ({
    kind,
    wall: `${day}T09:00:00`,
    body: { eyes },
  });
  const of = (/** @type {any[]} */ visits, /** @type {any} */ answer) => unwritten(/** @type {any} */ (visits), answer);
  const on = [visit('2026-03-24', stop)];
  assert.equal(of(on, wear([])), 'right');
  assert.equal(of(on, wear([said('cease', '2026-03-23')])), 'right'); // of before the visit
  assert.equal(of(on, wear([said('cease', '2026-03-24', 'left')])), 'right'); // of the other eye
  assert.equal(of(on, wear([said('word', '2026-03-24')])), 'right'); // a word decides nothing
  assert.equal(of(on, wear([said('cease', '2026-03-24', 'both')])), '');
  assert.equal(of(on, wear([], 'stop')), '');
  assert.equal(of([visit('2026-03-24', stop, 'booked')], wear([])), '');
  const goesOn = [...on, visit('2026-03-26', { wear: 'goes-on' })];
  assert.equal(of(goesOn, wear([])), ''); // decided anew
  assert.equal(against(/** @type {any} */ (goesOn), wear([], 'stop')), 'right');
  assert.equal(against(/** @type {any} */ (goesOn), wear([])), '');
  assert.equal(against(/** @type {any} */ (goesOn), wear([{ ...said('cease', '2026-03-27'), id: 'c' }], 'stop')), ''); // stopped since
  assert.equal(against(/** @type {any} */ (on), wear([], 'stop')), '');
});
