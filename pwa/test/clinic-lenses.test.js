// A lens in one line must let somebody order it again: the sign of its power and,
// of a toric one, cylinder and axis. Written as in ISO 18369-2 a lens is specified:
// base curve, diameter, power, cylinder, axis (order from memory).
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { lensWords } from '../clinic/views/lenses.js';

/** @param {object} more @returns {any} */
const lens = more => ({ eye: 'right', design: 'toric', base_curve_mm: 7.95, diameter_mm: 10.6, power: 0.75, ...more });

test('a lens is named with the sign of its power, and its cylinder and axis', () => {
  assert.match(lensWords(lens({ cylinder: -1.25, axis: 175 })), /7\.95 \/ 10\.6 \/ \+0\.75 \/ −1\.25 × 175/);
  assert.match(lensWords(lens({ power: -0.5 })), /10\.6 \/ −0\.50(?! \/)/);
  assert.match(lensWords(lens({ power: 0 })), /10\.6 \/ 0\.00/);
  assert.doesNotMatch(lensWords(lens({ power: null })), /10\.6 \//);
});
