// The console's numbers. Expected values are worked out by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import table from '../clinic/quantities.json' with { type: 'json' };
import {
  acuityWords,
  typedAs,
  onScale,
  saidBack,
  PLAN_FIELDS,
  possible,
  quantity,
  quantityWords,
  readQuantity,
  refusal,
  unlikely,
  VISIT_FIELDS,
} from '../clinic/quantities.js';
import { useLanguage } from '../clinic/text.js';

test('a sign that was forgotten is asked about, though both values are usual', () => {
  const sphere = quantity('sphere');
  assert.match(unlikely(2.75, sphere, -1.75), /sign is another than last time, −1\.75 D/);
  assert.equal(unlikely(-2.75, sphere, -1.75), '');
  assert.equal(unlikely(0.25, sphere, -1.75), '', 'what lenses leave over is a change, not a slip');
  assert.equal(unlikely(2.75, sphere), '');
});

test('numbers are read as typed, with comma or point, sign and unit', () => {
  const mm = quantity('base_curve_mm');
  for (const [text, want] of /** @type {[string, number|null|undefined][]} */ ([
    ['8.1', 8.1],
    ['7,95', 7.95],
    [' 10.6 ', 10.6],
    ['8.10 mm', 8.1],
    ['8.10mm', 8.1],
    ['', null],
    ['8.1.2', undefined],
    ['8 1', undefined],
    ['x', undefined],
    ['-', undefined],
    ['٨٫١', 8.1],
    ['１０.６', 10.6],
    ['1e1', undefined],
    ['.5', 0.5],
    ['8.', 8],
  ]))
    assert.equal(readQuantity(text, mm), want, JSON.stringify(text));
  const d = quantity('sphere');
  for (const [text, want] of /** @type {[string, number|undefined][]} */ ([
    ['-2.75', -2.75],
    ['−2,75', -2.75],
    ['–2.75 D', -2.75],
    ['+0.5', 0.5],
    ['plano', 0],
    ['pl', 0],
    ['- 3.25', -3.25],
    ['− 3,25 D', -3.25],
    ['+ 0.75', 0.75],
    ['- ', undefined],
    ['- - 2', undefined],
    ['--2', undefined],
  ]))
    assert.equal(readQuantity(text, d), want, JSON.stringify(text));
  assert.equal(readQuantity('180°', quantity('axis')), 180);
});

test('what is below every chart is written as the trade writes it, and said back in words', () => {
  // Schulze-Bonsel 2006: 0.014 decimal is log10(1 / 0.014) = 1.85, 0.005 is 2.30; light by common practice 2.7, none 3.
  const q = quantity('logmar');
  for (const [text, want] of /** @type {[string, number][]} */ ([
    ['CF', 1.85],
    ['c.f.', 1.85],
    ['hm', 2.3],
    ['PL', 2.7],
    ['LP', 2.7],
    ['npl', 3],
    ['counting fingers', 1.85],
  ])) {
    for (const notation of /** @type {const} */ (['logmar', 'snellen', '']))
      assert.equal(readQuantity(text, q, notation), want, text);
    assert.equal(readQuantity(quantityWords(want, q), q), want, 'what is said back is read the same');
    assert.equal(refusal(want, q), '');
    assert.notEqual(unlikely(want, q), '', 'and asked about');
  }
  assert.equal(quantityWords(3, q), '3.00 logMAR (no light perception)');
  assert.equal(readQuantity('CFX', q), undefined);
});

test('no field takes or shows a number without end', () => {
  const k = quantity('keratometry_d');
  for (const text of ['0', '0 mm', '-7.2 mm', 'Infinity', '1e999', '9'.repeat(400)]) {
    const n = readQuantity(text, k);
    assert.notEqual(refusal(n, k), '', text);
    assert.doesNotMatch(refusal(n, k), /Infinity|∞|NaN/, text);
  }
  assert.doesNotMatch(refusal(readQuantity('0 D', k), k), /Infinity/);
  assert.equal(quantityWords(46.875, k), '46.875 D (7.20 mm)');
});

test('an acuity in any notation is logMAR', () => {
  // By hand: 6/9 is log10(1.5) = 0.176; 20/40 is log10(2) = 0.301; 0.8 decimal is -log10(0.8) = 0.097; 6/4.8 is log10(0.8) = -0.097.
  const q = quantity('logmar');
  assert.equal(readQuantity('6/9', q), 0.18);
  assert.equal(readQuantity('20/40', q, 'decimal'), 0.3);
  assert.equal(readQuantity('6/4,8', q), -0.1);
  assert.equal(readQuantity('0.8', q, 'decimal'), 0.1);
  assert.equal(readQuantity('1.0', q, 'decimal'), 0, 'not −0 and not logMAR 1');
  assert.equal(readQuantity('1.0', q, 'logmar'), 1);
  assert.equal(readQuantity('0.1 logMAR', q, 'decimal'), 0.1, 'what says its notation is taken at its word');
  assert.equal(readQuantity('0.8 decimal', q, 'logmar'), 0.1);
  assert.equal(readQuantity('0.8', q, 'snellen'), undefined, 'a bare number is no fraction');
  assert.equal(readQuantity('1.0', q), undefined, 'logMAR 1.0 is 6/60 and decimal 1.0 is 6/6: nobody has said which');
  assert.equal(readQuantity('1.0 logMAR', q), 1);
  assert.equal(readQuantity('6/0', q), undefined);
  assert.equal(quantityWords(0.3, q), '0.30 logMAR (6/12, 0.50)');
  for (const n of [-0.3, 0, 0.18, 1])
    assert.equal(
      readQuantity(quantityWords(n, q), q, 'decimal'),
      n,
      'what is said back is read the same, whatever the notation',
    );
});

test('keratometry is taken in dioptres and as a radius, and said back as both', () => {
  // By hand, with the index of 1.3375: 337.5 / 7.8 = 43.27; 337.5 / 43.25 = 7.80; 337.5 / 8 = 42.19.
  const q = quantity('keratometry_d');
  for (const [text, want] of /** @type {[string, number|undefined][]} */ ([
    ['7.8', 43.27],
    ['7,80 mm', 43.27],
    ['43.25', 43.25],
    ['43.25 D', 43.25],
    ['43.27 D (7.80 mm)', 43.27],
    ['8', 42.19],
    ['x', undefined],
  ]))
    assert.equal(readQuantity(text, q), want, text);
  assert.equal(quantityWords(43.25, q), '43.25 D (7.80 mm)');
  assert.equal(
    refusal(readQuantity('20', q), q),
    '20.00 D (16.88 mm) is not possible: 30 to 60 D, or 5.63 to 11.25 mm.',
  );
  assert.equal(refusal(readQuantity('4', q), q), '84.38 D (4.00 mm) is not possible: 30 to 60 D, or 5.63 to 11.25 mm.');
});

test('a number is said back as understood', () => {
  assert.equal(quantityWords(8.1, quantity('base_curve_mm')), '8.10 mm');
  assert.equal(quantityWords(-2.75, quantity('power')), '−2.75 D');
  assert.equal(quantityWords(0.75, quantity('power')), '+0.75 D');
  assert.equal(quantityWords(0, quantity('sphere')), '0.00 D');
  assert.equal(quantityWords(23.987, quantity('axial_mm')), '23.987 mm', 'no digit is lost');
  assert.equal(quantityWords(90, quantity('axis')), '90°');
});

test('what cannot be is refused with the range, what is unlikely is asked', () => {
  const q = quantity('axial_mm');
  assert.equal(refusal(239, q), '239.00 mm is not possible: 14 to 40 mm.');
  assert.equal(refusal(24, q), '');
  assert.equal(refusal(null, q), '');
  assert.equal(refusal(undefined, q), 'Want a number, or nothing: 14 to 40 mm.');
  assert.match(refusal(undefined, quantity('logmar')), /^An acuity such as/);
  assert.equal(refusal(2.5, quantity('grade')), '', 'half grades are common practice');
  assert.equal(refusal(2.4, quantity('grade')), 'Want a whole or a half: 0 to 5.');
  assert.equal(refusal(90.5, quantity('axis')), 'Want a whole number: 0 to 180°.');
  assert.match(unlikely(1, quantity('best_logmar')), /^Unlikely: usually −0.3 to 0.4 logMAR/);
  assert.equal(refusal(0, quantity('lens_months')), '', '0 says none');
  assert.equal(unlikely(24, q), '');
  assert.equal(unlikely(32, q, 24.61), 'Unlikely: usually 20 to 28 mm; last time 24.61 mm.');
  // more than 1 mm longer or 0.2 mm shorter than at the last visit (common practice)
  assert.equal(unlikely(22.41, q, 24.44), 'Unlikely: 2.03 mm less than last time, 24.44 mm.');
  assert.equal(unlikely(25.45, q, 24.44), 'Unlikely: 1.01 mm more than last time, 24.44 mm.');
  assert.equal(unlikely(24.23, q, 24.44), 'Unlikely: 0.21 mm less than last time, 24.44 mm.');
  for (const n of [24.24, 24.44, 25.44]) assert.equal(unlikely(n, q, 24.44), '', `${n}`);
  assert.equal(unlikely(22.41, q), '', 'no visit before');
  assert.equal(possible(quantity('sphere')), '−30 to +30 D');
});

// Refractions are written in quarters and eighths of a dioptre, an eighth with two decimals either way; pressures of
// an applanation tonometer in whole mmHg (common practice).
test('a number finer than it is written is asked about, and never refused', () => {
  const sphere = quantity('sphere');
  for (const n of [-2.75, -2.12, -2.13, -2.125, 0.37, 0.38, 0, 6]) assert.equal(unlikely(n, sphere), '', `${n}`);
  for (const n of [1.234, -2.7, -2.3, 0.01]) {
    assert.equal(unlikely(n, sphere), 'Unlikely: finer than steps of 0.125 D.', `${n}`);
    assert.equal(refusal(n, sphere), '', `${n}`);
  }
  assert.equal(unlikely(15.5, quantity('pressure_mmhg')), 'Unlikely: finer than steps of 1 mmHg.');
  assert.equal(unlikely(16, quantity('pressure_mmhg')), '');
  assert.equal(unlikely(6.3, quantity('pupil_mm')), '');
  assert.equal(unlikely(1.234, quantity('pupil_mm')), 'Unlikely: usually 3 to 8.5 mm.');
  assert.equal(unlikely(6.34, quantity('pupil_mm')), 'Unlikely: finer than steps of 0.1 mm.');
  const k = quantity('keratometry_d');
  assert.equal(unlikely(/** @type {number} */ (readQuantity('7,95', k)), k), '', 'a radius');
  assert.equal(unlikely(/** @type {number} */ (readQuantity('6/7.5', quantity('logmar'))), quantity('logmar')), '');
});

test('every quantity has its source, its usual range lies in the possible one, and every field is one', () => {
  for (const [name, q] of Object.entries(table.quantities)) {
    assert.ok(q.source.length > 5 && q.step > 0 && q.min < q.max, name);
    assert.ok(q.usual[0] >= q.min && q.usual[1] <= q.max && q.usual[0] < q.usual[1], `${name}: usual`);
    for (const n of [q.min, q.max, ...q.usual]) {
      assert.equal(refusal(n, quantity(name)), '', `${name} ${n}`);
      assert.equal(
        readQuantity(quantityWords(n, quantity(name)), quantity(name)),
        n,
        `${name}: ${n} said back and read`,
      );
    }
    assert.ok(
      refusal(q.max + 1, quantity(name)) &&
        (refusal(q.min - 1, quantity(name)) || ('none' in q && q.none === q.min - 1)),
      `${name}: beyond`,
    );
  }
  for (const name of [...Object.values(VISIT_FIELDS), ...Object.values(PLAN_FIELDS)]) assert.ok(quantity(name));
});

// Plural forms: Unicode CLDR, plural rules of Arabic (one, two, few 3 to 10, many 11 to
// 99) and of English; the forms of the nouns are those of any grammar.
test('a unit that is a word has the form of its number, and is read back in each', async () => {
  const said = (/** @type {string} */ name, /** @type {number[]} */ ns) =>
    ns.map(n => quantityWords(n, quantity(name)).replace(/[\u2066-\u2069]/g, ''));
  assert.deepEqual(said('lens_months', [1, 2, 12]), ['1 month', '2 months', '12 months']);
  assert.deepEqual(said('age_years', [99, 8.5]), ['99 years', '8.5 years']);
  assert.equal(possible(quantity('case_months')), '1 to 3 months');
  await useLanguage('ar');
  assert.deepEqual(said('lens_months', [0, 1, 2, 3, 12]), ['0 شهر', '1 شهر', '2 شهران', '3 أشهر', '12 شهرًا']);
  for (const lang of ['es', 'zh', 'ar']) {
    await useLanguage(lang);
    for (const name of ['lens_months', 'acuity_every_days', 'age_years', 'soak_minutes', 'min_hours'])
      for (const n of [1, 2, 3, 12, 36])
        assert.equal(readQuantity(quantityWords(n, quantity(name)), quantity(name)), n, `${n} ${name} in ${lang}`);
  }
});

test('letters more or less than the line, and the fraction said back as typed', () => {
  const q = quantity('logmar');
  // By hand: a line of five letters is 0.1 logMAR, 6/7.5 is log10(1.25) = 0.10.
  const cases = /** @type {[string, number][]} */ ([
    ['6/6-2', 0.04],
    ['6/6 -2', 0.04],
    ['20/20−1', 0.02],
    ['6/7.5+', 0.08],
    ['6/7,5', 0.1],
  ]);
  for (const [typed, logmar] of cases) {
    assert.equal(readQuantity(typed, q), logmar, typed);
    const back = saidBack(typed, logmar, q);
    assert.ok(back.startsWith(`${typed} (`), back);
    assert.equal(readQuantity(back, q), logmar, `${back} is read as it was`);
  }
  // The notation is stored as typed; what is shown of it is read again as it was.
  assert.deepEqual(
    ['6/6 −2', '20/20-1 (0.02 logMAR)', '0,8', '0.8 dec', '0.10 logMAR', 'CF'].map(t => typedAs(t, q, 'decimal')),
    ['6/6-2', '20/20-1', '0.8 decimal', '0.8 decimal', '', ''],
  );
  assert.equal(typedAs('0.8', q, 'logmar'), '', 'a bare number is meant as said above');
  for (const [as, n] of /** @type {[string, number][]} */ ([
    ['6/6-2', 0.04],
    ['0.8 decimal', 0.1],
  ])) {
    const shown = acuityWords(as, n).replace(/[\u2066-\u2069]/g, '');
    assert.equal(readQuantity(shown, q), n, shown);
    assert.equal(typedAs(shown, q), as, shown);
  }
  assert.equal(readQuantity('6/6-0', q), undefined);
  const line = (/** @type {number} */ n) => quantityWords(n, q).replace(/[\u2066-\u2069]/g, ''); // the language before may be Arabic
  assert.match(line(0.1), /6\/7\.5,/, 'a line that charts print');
  assert.match(line(0.6), /6\/24,/);
});

test('a grade ends where the named scale does', () => {
  const grade = quantity('grade');
  assert.notEqual(refusal(5, onScale(grade, 'Efron grading scales, 0 to 4')), '');
  assert.equal(refusal(4, onScale(grade, 'Efron grading scales, 0 to 4')), '');
  assert.equal(refusal(5, onScale(grade, 'Our own words')), '');
});
