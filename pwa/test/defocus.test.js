// What the pictures of evening sight mean. Expected values by hand or from the
// source named beside each; the constants of the effect model are read from its
// own source, so that the two cannot drift apart.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { defocusOf, discOf, lossOf, PUPIL_MM, spreadOf, STEP_D } from '../app/model/defocus.js';
import { NAME_HIGH, NUMBER_HIGH, quay } from '../app/views/quay.js';

const near = (/** @type {number} */ got, /** @type {number} */ want, /** @type {number} */ by, what = '') =>
  assert.ok(Math.abs(got - want) <= by, `${what} ${got}, want ${want} within ${by}`);
const source = (/** @type {string} */ file) =>
  readFileSync(new URL(`../../server/internal/vision/${file}`, import.meta.url), 'utf8');
const constant = (/** @type {string} */ file, /** @type {string} */ name) =>
  Number(new RegExp(`\\b${name} += ([\\d.]+)`).exec(source(file))?.[1]);

test('the sharpest picture is sharp, and each poorer one a step further out of focus', () => {
  assert.deepEqual(
    [5, 4, 3, 2, 1].map(r => Math.round(defocusOf(r) * 100)),
    [0, 35, 70, 105, 140],
  );
  assert.equal(spreadOf(defocusOf(5)), 0);
});

test('a point becomes a disc as wide as pupil times defocus', () => {
  // 4.8 mm and 1 D: 4.8 mrad are 4.8 * 3.43775 = 16.5 minutes of arc. An even disc
  // has a variance of r²/4 along a line through it, so its spread is r/2 = d/4.
  near(discOf(1), 16.5, 0.05);
  near(spreadOf(1), 16.5 / 4, 0.02);
  near(discOf(2), 33, 0.1);
  // 4.03 mm at 39.7 years, 0.025 mm a year: 4.77 mm at ten (Eur J Ophthalmol 10.5301/ejo.5001027).
  near(PUPIL_MM, 4.03 + 0.025 * 29.7, 0.05);
});

test('a step and its loss of acuity are those of the effect model', () => {
  assert.equal(STEP_D, constant('effectfit.go', 'blurPerGrade'));
  near(lossOf(1), constant('blur.go', 'LossPerDioptre'), 1e-9);
});

test('the loss of every picture lies between two published relations', () => {
  for (const rating of [4, 3, 2, 1]) {
    const d = defocusOf(rating);
    const least = Math.log10(1 + d * d); // Blendowske 2015, Optom Vis Sci 92(6): MAR grows as 1 + b²
    const most = Math.log10(Math.sqrt(1 + (0.65 * PUPIL_MM * d) ** 2)); // Smith 1991, Optom Vis Sci 68:591; form and 0.65 from memory
    assert.ok(lossOf(d) >= least && lossOf(d) <= most, `${rating}: ${lossOf(d)} between ${least} and ${most}`);
  }
});

test('the name is just lost in the poorest picture and the number in the middle one', () => {
  // A letter 5' high is logMAR 0 (ISO 8596), so the loss that takes a letter of h minutes is log10(h / 5).
  near(lossOf(defocusOf(1)), Math.log10(NAME_HIGH / 5), 0.02, 'name');
  near(lossOf(defocusOf(3)), Math.log10(NUMBER_HIGH / 5), 0.02, 'number');
});

test('a picture is the same by day and in the dark: none of its colours follows the styles', () => {
  for (const rating of [1, 2, 3, 4, 5]) {
    const drawn = JSON.stringify(quay(rating));
    assert.ok(drawn.includes('#dfe3f1') && !/var\(|currentColor/.test(drawn), `${rating}`);
  }
});
