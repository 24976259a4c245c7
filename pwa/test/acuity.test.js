import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import test from 'node:test';
import {
  addTrial,
  chanceCorrect,
  erfc,
  estimate,
  HOME_TEST,
  newAcuity,
  nextAtMean,
  nextByEntropy,
  nextSize,
  verdict,
} from '../app/model/acuity.js';

/** @import { AcuityModel } from "../app/model/acuity.js" */

/**
 * @param {string} name
 * @returns {string}
 */
const read = name => readFileSync(new URL(`../../testdata/vision/${name}`, import.meta.url), 'utf8');

/** @typedef {{name: string, slopes: number[], guess: number, lapse: number, grid: [number, number, number], rows: number[][]}} Run */
/** @type {{tolerance: number, runs: Run[], watson2017: Run & {sizes: number[], answers: number[], mean: number, sd: number}, functions: {shape: AcuityModel["shape"], spread: number, guess: number, lapse: number, at: number, above: number, below: number}[]}} */
const vectors = JSON.parse(read('acuity.json'));
/** @type {{tolerance: number, rows: [number, number, number, number, number][]}} */
const home = JSON.parse(read('home-test.json'));

/**
 * @param {number} got
 * @param {number} want
 * @param {number} tolerance
 */
function near(got, want, tolerance) {
  assert.ok(Math.abs(got - want) <= tolerance, `got ${got}, want ${want} ± ${tolerance}`);
}

/**
 * @param {Run} run
 * @returns {AcuityModel}
 */
function modelOf(run) {
  const [from, to, step] = run.grid;
  return {
    shape: 'weibull',
    spreads: run.slopes,
    guess: run.guess,
    lapse: run.lapse,
    from,
    to,
    step,
    priorMean: 0,
    priorSd: 0,
  };
}

for (const run of vectors.runs) {
  test(`reference run: ${run.name}`, () => {
    let a = newAcuity(modelOf(run));
    for (const [, size = 0, answer, mean = 0, sd = 0] of run.rows) {
      near(nextByEntropy(a), size, 1e-9);
      a = addTrial(a, { size, correct: answer === 1 });
      near(estimate(a).mean, mean, vectors.tolerance);
      near(estimate(a).sd, sd, vectors.tolerance);
    }
  });
}

test("Watson's published run", () => {
  const w = vectors.watson2017;
  let a = newAcuity(modelOf(w));
  w.sizes.forEach((size, i) => {
    near(nextByEntropy(a), size, 1e-9);
    a = addTrial(a, { size, correct: w.answers[i] === 1 });
  });
  near(estimate(a).mean, w.mean, 1e-6);
  near(estimate(a).sd, w.sd, 1e-6);
});

test('the model of the home test agrees to 1e-9', () => {
  let a = newAcuity(HOME_TEST);
  for (const [size, answer, next, mean, sd] of home.rows) {
    near(nextByEntropy(a), next, 1e-9);
    a = addTrial(a, { size, correct: answer === 1 });
    near(estimate(a).mean, mean, home.tolerance);
    near(estimate(a).sd, sd, home.tolerance);
  }
});

test('psychometric functions', () => {
  for (const f of vectors.functions) {
    const m = { ...HOME_TEST, shape: f.shape, guess: f.guess, lapse: f.lapse };
    near(chanceCorrect(m, f.spread, 0.3, 0.3), f.at, 1e-6);
    near(chanceCorrect(m, f.spread, 0.4, 0.3), f.above, 1e-6);
    near(chanceCorrect(m, f.spread, 0.2, 0.3), f.below, 1e-6);
  }
});

// Abramowitz and Stegun, tables 7.1 and 7.3.
test('error function', () => {
  near(erfc(0), 1, 0);
  near(erfc(0.5), 1 - 0.5204998778, 1e-10);
  near(erfc(-1), 1 + 0.8427007929, 1e-10);
  near(erfc(2), 1 - 0.995322265, 1e-9);
  near(erfc(3) / 2.209049699858544e-5, 1, 1e-12);
});

test('lapses make a run unreliable', () => {
  let a = newAcuity(HOME_TEST);
  for (let i = 0; i < 12; i++) {
    a = addTrial(a, { size: 0.2, correct: true });
    a = addTrial(a, { size: 0.1, correct: false });
  }
  assert.deepEqual(verdict(a), { done: true, reliable: true, lapses: 0, reasons: [] });
  for (let i = 0; i < 2; i++) a = addTrial(a, { size: 1.2, correct: false });
  assert.equal(verdict(a).reliable, false);
  assert.equal(verdict(a).lapses, 2);
});

test('a run starts unfinished, and every sixth optotype is easy', () => {
  let a = newAcuity(HOME_TEST);
  assert.equal(verdict(a).done, false);
  for (let i = 0; i < 5; i++) a = addTrial(a, { size: 0.2, correct: true });
  assert.equal(nextSize(a), nextAtMean(a, 0.3));
  assert.ok(nextSize(a) >= estimate(a).mean + 0.28);
});
