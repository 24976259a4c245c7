/**
 * The adaptive acuity estimate: a posterior of the threshold on a grid,
 * placement by minimum expected entropy, stopping rule and lapse check. Twin
 * of acuity.go in server/internal/vision, checked on the same vectors; the
 * server scores the raw trials again. Pure: every function returns new values.
 */

/**
 * The chance of a right answer to size x with threshold t, g guess and l
 * lapse: weibull 1-l-(1-g-l)exp(-10^(spread(x-t))), logistic
 * g+(1-g-l)/(1+exp(-(x-t)/spread)), normal g+(1-g-l)Phi((x-t)/spread).
 * @typedef {object} AcuityModel
 * @property {"weibull" | "logistic" | "normal"} shape
 * @property {number[]} spreads slope, scale or SD; several are estimated together
 * @property {number} guess 0 up to 1
 * @property {number} lapse 0 up to 0.5
 * @property {number} from least threshold on the grid, logMAR
 * @property {number} to largest threshold on the grid, logMAR
 * @property {number} step of the grid, logMAR
 * @property {number} priorMean of a normal prior, logMAR
 * @property {number} priorSd of a normal prior, logMAR; 0 means a uniform prior
 */

/**
 * @typedef {object} Trial
 * @property {number} size logMAR really drawn
 * @property {boolean} correct
 */

/**
 * @typedef {object} Acuity
 * @property {AcuityModel} model
 * @property {number[]} grid thresholds, logMAR
 * @property {number[][]} post by spread, by threshold; sums to 1
 * @property {Trial[]} trials
 */

/**
 * @typedef {object} Verdict
 * @property {boolean} done the run may stop
 * @property {boolean} reliable means something once done
 * @property {number} lapses easy optotypes missed
 * @property {("few-trials" | "spread" | "lapses")[]} reasons why not reliable
 */

/**
 * The model of the home test: four directions, a function a little too flat,
 * lapses as for children (own choice, the safe side of published widths).
 * @type {Readonly<AcuityModel>}
 */
export const HOME_TEST = Object.freeze({
  shape: 'normal',
  spreads: [0.12],
  guess: 0.25,
  lapse: 0.04,
  from: -0.3,
  to: 1.3,
  step: 0.02,
  priorMean: 0.3,
  priorSd: 0.35,
});

/** The rules of the home test, in trials and logMAR; sources in acuity.go. */
export const LEAST_TRIALS = 12;
export const MOST_TRIALS = 32;
export const GOOD_SD = 0.05;
export const UNRELIABLE_SD = 0.07;
export const EASY_EVERY = 6;
export const EASY_OFFSET = 0.3;
export const LAPSE_OFFSET = 0.4;
export const LAPSES_ALLOWED = 1;

const TIE = 1e-12; // sizes within this entropy are equals; the first wins

/**
 * The complementary error function, to 1e-15: the series near 0, a continued
 * fraction beyond (Abramowitz and Stegun 7.1.6, 7.1.14).
 * @param {number} x
 * @returns {number}
 */
export function erfc(x) {
  if (x < 0) return 2 - erfc(-x);
  if (x < 2.5) {
    let term = x;
    let sum = x;
    for (let n = 1; term > sum * 1e-17; n++) {
      term *= (2 * x * x) / (2 * n + 1);
      sum += term;
    }
    return 1 - (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * sum;
  }
  let f = x;
  for (let k = 120; k >= 1; k--) f = x + k / 2 / f;
  return Math.exp(-x * x) / (Math.sqrt(Math.PI) * f);
}

/**
 * The chance of a right answer.
 * @param {AcuityModel} model
 * @param {number} spread one of the model's
 * @param {number} x size shown, logMAR
 * @param {number} t threshold, logMAR
 * @returns {number} 0 to 1
 */
export function chanceCorrect(model, spread, x, t) {
  const room = 1 - model.guess - model.lapse;
  switch (model.shape) {
    case 'weibull':
      return 1 - model.lapse - room * Math.exp(-(10 ** (spread * (x - t))));
    case 'logistic':
      return model.guess + room / (1 + Math.exp(-(x - t) / spread));
    default:
      return model.guess + (room * erfc(-(x - t) / (spread * Math.SQRT2))) / 2;
  }
}

/**
 * The state before any trial. Throws a RangeError for a grid that makes no sense.
 * @param {AcuityModel} model
 * @returns {Acuity}
 */
export function newAcuity(model) {
  const { from, to, step, priorMean, priorSd } = model;
  if (!(step > 0 && to > from && (to - from) / step <= 1000)) {
    throw new RangeError('grid: accepted is from below to, step above 0, at most 1001 points');
  }
  const n = Math.floor((to - from) / step + 1e-9) + 1;
  const grid = Array.from({ length: n }, (_, i) => Math.round((from + i * step) * 1e12) / 1e12);
  const row = grid.map(t => (priorSd > 0 ? Math.exp(-(((t - priorMean) / priorSd) ** 2) / 2) : 1));
  return { model, grid, post: normalise(model.spreads.map(() => row)), trials: [] };
}

/**
 * @param {number[][]} post
 * @returns {number[][]}
 */
function normalise(post) {
  let sum = 0;
  for (const row of post) for (const p of row) sum += p;
  if (!(sum > 0)) throw new RangeError('trials: these answers are impossible under this model');
  return post.map(row => row.map(p => p / sum));
}

/**
 * Takes one answer into the estimate (Bayes on the grid).
 * @param {Acuity} a
 * @param {Trial} trial
 * @returns {Acuity}
 */
export function addTrial(a, trial) {
  const post = a.post.map((row, k) =>
    row.map((p, i) => {
      const c = chanceCorrect(a.model, a.model.spreads[k] ?? 1, trial.size, a.grid[i] ?? 0);
      return p * (trial.correct ? c : 1 - c);
    }),
  );
  return { ...a, post: normalise(post), trials: [...a.trials, trial] };
}

/**
 * The threshold so far.
 * @param {Acuity} a
 * @returns {{mean: number, sd: number}} logMAR
 */
export function estimate(a) {
  let mean = 0;
  let variance = 0;
  a.post.forEach(row =>
    row.forEach((p, i) => {
      mean += p * (a.grid[i] ?? 0);
    }),
  );
  a.post.forEach(row =>
    row.forEach((p, i) => {
      variance += p * ((a.grid[i] ?? 0) - mean) ** 2;
    }),
  );
  return { mean, sd: Math.sqrt(variance) };
}

/** Rows of a chart, 0.1 logMAR each, by which it is less than the best row, logMAR 0. @param {Acuity} a @returns {number} negative: finer */
export const linesLess = a => Math.round(estimate(a).mean * 10);

/**
 * The size with the least expected entropy after its answer, the first of
 * equals (Watson 2017).
 * @param {Acuity} a
 * @returns {number} logMAR on the grid
 */
export function nextByEntropy(a) {
  let best = Infinity;
  let at = a.grid[0] ?? 0;
  for (const x of a.grid) {
    const h = expectedEntropy(a, x);
    if (h < best - TIE) {
      best = h;
      at = x;
    }
  }
  return at;
}

/**
 * @param {Acuity} a
 * @param {number} x
 * @returns {number} expected entropy in nats
 */
function expectedEntropy(a, x) {
  let yes = 0,
    no = 0,
    sumYes = 0,
    sumNo = 0;
  a.post.forEach((row, k) => {
    const spread = a.model.spreads[k] ?? 1;
    row.forEach((p, i) => {
      const c = chanceCorrect(a.model, spread, x, a.grid[i] ?? 0);
      const y = p * c;
      const n = p * (1 - c);
      if (y > 0) {
        yes += y;
        sumYes += y * Math.log(y);
      }
      if (n > 0) {
        no += n;
        sumNo += n * Math.log(n);
      }
    });
  });
  return (no > 0 ? no * Math.log(no) - sumNo : 0) + (yes > 0 ? yes * Math.log(yes) - sumYes : 0);
}

/**
 * The grid size nearest the mean plus an offset.
 * @param {Acuity} a
 * @param {number} offset logMAR
 * @returns {number} logMAR on the grid
 */
export function nextAtMean(a, offset) {
  const want = estimate(a).mean + offset;
  return a.grid.reduce((at, x) => (Math.abs(x - want) < Math.abs(at - want) - TIE ? x : at));
}

/**
 * The next size of the home test: every sixth is an easy one, which keeps a
 * child going and shows lapses.
 * @param {Acuity} a
 * @returns {number} logMAR on the grid
 */
export function nextSize(a) {
  return (a.trials.length + 1) % EASY_EVERY === 0 ? nextAtMean(a, EASY_OFFSET) : nextByEntropy(a);
}

/**
 * Whether the run may stop and whether its result may be used.
 * @param {Acuity} a
 * @returns {Verdict}
 */
export function verdict(a) {
  const { mean, sd } = estimate(a);
  const n = a.trials.length;
  const lapses = a.trials.filter(t => !t.correct && t.size >= mean + LAPSE_OFFSET).length;
  /** @type {Verdict["reasons"]} */
  const reasons = [];
  if (n < LEAST_TRIALS) reasons.push('few-trials');
  if (sd > UNRELIABLE_SD) reasons.push('spread');
  if (lapses > LAPSES_ALLOWED) reasons.push('lapses');
  return {
    done: n >= MOST_TRIALS || (n >= LEAST_TRIALS && sd <= GOOD_SD),
    reliable: reasons.length === 0,
    lapses,
    reasons,
  };
}
