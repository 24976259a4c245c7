import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';
import {
  drawn,
  largestLogmar,
  logmarOfHeight,
  optotypeHeight,
  pxPerMm,
  smallestLogmar,
} from '../app/model/optotype.js';

/** @type {{published_4m: [number, number][], published_tolerance: number, exact: [number, number, number][], smallest: {rows: [number, number, number][]}}} */
const vectors = JSON.parse(readFileSync(new URL('../../testdata/vision/optotype.json', import.meta.url), 'utf8'));

/**
 * @param {number} got
 * @param {number} want
 * @param {number} tolerance
 */
function near(got, want, tolerance) {
  assert.ok(Math.abs(got - want) <= tolerance, `got ${got}, want ${want} ± ${tolerance}`);
}

test('heights match the published table at 4 m', () => {
  for (const [logmar, mm] of vectors.published_4m) near(optotypeHeight(logmar, 4), mm, vectors.published_tolerance);
});

test('heights are exact and go back to logMAR', () => {
  for (const [logmar, metres, mm] of vectors.exact) {
    near(optotypeHeight(logmar, metres), mm, 1e-9);
    near(logmarOfHeight(mm, metres), logmar, 1e-12);
  }
});

test('the smallest size a screen can show', () => {
  for (const [pxMm, metres, logmar] of vectors.smallest.rows) near(smallestLogmar(metres, pxMm), logmar, 0.006);
});

// By hand: 856 CSS px for 85.6 mm at ratio 2 are 20 device px per mm; at 3 m
// and logMAR 0 the detail is 0.8727 mm or 17.45 px, drawn with 17.
test('a drawn optotype reports its true size', () => {
  near(pxPerMm(856, 2), 20, 1e-12);
  const d = drawn(0, 3, 20);
  assert.equal(d.detailPx, 17);
  near(d.logmar, Math.log10(17 / (20 * 0.87266463)), 1e-6);
});

// By hand: 1200 px hold 12 details of 100 px; at 6 px/mm and 3 m five details
// are 83.33 mm, atan(83.33 / 6000) is 47.743', over 2.5' that is 19.097, and
// log10 of it 1.2810.
test('the largest ring fits its stage with its bars', () => {
  near(largestLogmar(1200, 3, 6), 1.281, 0.0005);
  assert.ok(drawn(largestLogmar(1210, 3, 6), 3, 6).detailPx * 12 <= 1210);
});
