// Findings visit beside visit. Values are made up; changes are worked by hand.
import assert from 'node:assert/strict';
import test from 'node:test';
import { overVisits } from '../clinic/views/over-visits.js';

/** @param {string} date @param {object} right @param {string} [state] */
const visit = (date, right, state = 'kept') =>
  /** @type {import('../clinic/types.js').Visit} */ (
    /** @type {unknown} */ ({ id: date, date, state, kind: 'recall', right, left: {} })
  );

test('findings stand beside one another, oldest first, with the change since the one before', () => {
  const { shown, rows } = overVisits([
    visit('2026-06-01', { axial_mm: 24.5, refraction: { sphere: -0.25, cylinder: 0, axis: 1 } }),
    visit('2026-05-01', {}, 'booked'),
    visit('2026-03-01', { unaided: 0.1 }),
    visit('2025-12-01', { axial_mm: 24.32, refraction: { sphere: -0.5, cylinder: 0, axis: 179 } }),
  ]);
  assert.deepEqual(
    shown.map(v => v.date),
    ['2025-12-01', '2026-03-01', '2026-06-01'],
  );
  const of = (/** @type {string} */ path) => rows.find(r => r.path === path && r.eye === 'right');
  assert.deepEqual(of('axial_mm')?.cells, [24.32, null, 24.5]);
  assert.equal(of('axial_mm')?.change?.toFixed(2), '0.18');
  assert.equal(of('refraction.sphere')?.change, 0.25);
  assert.equal(of('refraction.axis')?.change, null);
  assert.equal(of('unaided')?.change, null);
  assert.equal(
    rows.some(r => r.eye === 'left'),
    false,
  );
});

test('five visits at most: the newest four and the first, against which they are read', () => {
  const many = Array.from({ length: 7 }, (_, i) => visit(`2026-0${7 - i}-01`, { axial_mm: 24 }));
  assert.deepEqual(
    overVisits(many).shown.map(v => v.date),
    ['2026-01-01', '2026-04-01', '2026-05-01', '2026-06-01', '2026-07-01'],
  );
});
