// The clinical numbers of the console: what was typed read as a number, held
// against the table that the server reads too, and said back. Pure.

import table from './quantities.json' with { type: 'json' };
import { pointed } from './format.js';
import { counted, formsOf, tr } from './text.js';

/**
 * @typedef {object} Quantity
 * @property {string} label
 * @property {string} unit may be empty
 * @property {number} digits decimals that are shown
 * @property {number} step that it is written in: finer is asked about (quarters and eighths of a dioptre, the figures that instruments print; common practice)
 * @property {boolean} [signed] shown with its sign
 * @property {boolean} [whole] whole numbers only
 * @property {boolean} [halves] whole and half numbers only
 * @property {number} [per_mm] a radius in mm is taken too: this divided by the value
 * @property {number} [none] a value beside the range that says "not set"
 * @property {number} min least possible, refused below
 * @property {number} max most possible, refused above
 * @property {number[]} usual least and most that need no second look
 * @property {number[]} [change] most shrinking, as a negative number, and most growth since the last visit that need no second look
 * @property {string} source of the limits
 * @property {'acuity'} [kind] read in the notations of acuity
 */

/** @type {Record<string, Quantity>} */
const QUANTITIES = table.quantities;

/** @typedef {'logmar'|'decimal'|'snellen'|''} Notation how a bare acuity is meant; empty: nobody has said */

/** What each field of one eye of a visit, by path, is. @type {Record<string, string>} */
export const VISIT_FIELDS = table.visit;

/** What each field of a plan, by path, is. @type {Record<string, string>} */
export const PLAN_FIELDS = table.plan;

/** Path in a lens to the name of its quantity. @type {Record<string, string>} */
export const LENS_FIELDS = table.lens;

/** @param {string} name @returns {Quantity} of the table */
export function quantity(name) {
  const q = QUANTITIES[name];
  if (!q) throw new Error(`no quantity ${name}`);
  const said = { ...q, label: tr(q.label) };
  return q.unit === 'logMAR' ? { ...said, kind: 'acuity' } : said;
}

/**
 * The quantity of a grade on the scale that is named: no higher than its end.
 * @param {Quantity} q @param {string} scale "…, 0 to 4"; one that names no end leaves it
 */
export function onScale(q, scale) {
  const end = /\b0 to ([1-5])$/.exec(scale.trim());
  return end ? { ...q, max: Math.min(q.max, Number(end[1])) } : q;
}

/** Digits of other scripts by their zero: Arabic-Indic, Persian, full width. */
const ZEROS = [0x660, 0x6f0, 0xff10];

/** @param {string} text @returns {string} with plain digits, one kind of minus and a decimal point */
function plain(text) {
  let out = '';
  for (const c of text.trim()) {
    const zero = ZEROS.find(z => (c.codePointAt(0) ?? 0) >= z && (c.codePointAt(0) ?? 0) < z + 10);
    out += zero ? String((c.codePointAt(0) ?? 0) - zero) : c;
  }
  return out
    .replace(/[\u2066-\u2069]/g, '')
    .replace(/[−–‒﹣－]/g, '-')
    .replace(/[,٫，]/g, '.')
    .replace(/＋/g, '+')
    .replace(/^([-+])\s+/, '$1') // a sign, a space and a number are one number
    .toLowerCase();
}

/**
 * @param {string} text as typed, with or without its unit
 * @param {Quantity} q
 * @param {Notation} [notation] of an acuity that does not say its own; without one a bare acuity is none
 * @returns {number|null|undefined} null for nothing typed, undefined for no number
 */
export function readQuantity(text, q, notation = '') {
  const n = readPlain(plain(text), q, notation);
  return n === null || Number.isFinite(n) ? n : undefined; // more digits than a number holds are none
}

/**
 * @param {string} t plain
 * @param {Quantity} q
 * @param {Notation} notation
 * @returns {number|null|undefined}
 */
function readPlain(t, q, notation) {
  if (t === '') return null;
  if (q.kind === 'acuity') return readAcuity(t, notation);
  if (q.signed && /^(pl|plano)$/.test(t)) return 0;
  if (q.per_mm) return readPower(t, q.per_mm);
  const units = [q.unit, tr(q.unit), ...(COUNTED[q.unit] ? [COUNTED[q.unit], ...formsOf(q.unit)] : [])].map(plain);
  const unit = units.filter(u => u && t.endsWith(u)).sort((a, b) => b.length - a.length)[0] ?? '';
  const digits = t.slice(0, t.length - unit.length).trim();
  return BARE.test(digits) ? Number(digits) : undefined;
}

/**
 * Acuity below every chart, as it is written and as logMAR: counting fingers at 30 cm 0.014 decimal and hand
 * movements 0.005 (Schulze-Bonsel 2006, PMID 16505064); light has no measure, its two are common practice.
 * @type {{logmar: number, words: string, short: string[]}[]}
 */
const BELOW_CHARTS = [
  { logmar: 1.85, words: tr('counting fingers'), short: ['cf', 'fc', 'cd'] },
  { logmar: 2.3, words: tr('hand movements'), short: ['hm', 'mm'] },
  { logmar: 2.7, words: tr('light perception'), short: ['pl', 'lp'] },
  { logmar: 3, words: tr('no light perception'), short: ['npl', 'nlp'] },
];

const BARE = /^[+-]?(\d+\.?\d*|\.\d+)$/;

/**
 * A power in dioptres, or the radius in millimetres that is the same curve. No
 * power is as small as a radius, so that a bare number says which it is.
 * @param {string} t plain
 * @param {number} per radius times power
 */
function readPower(t, per) {
  const [, digits, unit] = /^(.*?)\s*(mm|d)?(?:\s*\(.*\))?$/.exec(t) ?? [];
  if (!BARE.test(digits)) return undefined;
  const n = Number(digits);
  const radius = unit === 'mm' || (unit !== 'd' && n < 15);
  if (radius && n <= 0) return undefined;
  return radius ? round(per / n, 2) : n;
}

/**
 * logMAR of an acuity: a Snellen fraction and what is below every chart are one in
 * any setting, a bare number is meant as the notation says.
 * @param {string} t plain
 * @param {Notation} notation
 * @returns {number|undefined}
 */
function readAcuity(t, notation) {
  const below = BELOW_CHARTS.find(b => b.short.includes(t.replaceAll('.', '')) || plain(b.words) === t);
  if (below) return below.logmar;
  const said = /^(.*?)\s*(logmar|decimal|dec)(\s*\(.*\))?$/.exec(t);
  if (said) return readAcuity(said[1], said[2] === 'logmar' ? 'logmar' : 'decimal');
  const snellen = FRACTION.exec(t);
  if (snellen) {
    const [at, of] = [Number(snellen[1]), Number(snellen[2])];
    const letters = snellen[3] ? Number(`${snellen[3]}${snellen[4] ?? 1}`) : 0;
    return at > 0 && of > 0 ? round(Math.log10(of / at) - LETTER * letters, 2) : undefined;
  }
  if (notation === 'snellen' || !notation || !BARE.test(t)) return undefined;
  const n = Number(t);
  if (notation === 'logmar') return n;
  return n > 0 ? round(-Math.log10(n), 2) : undefined;
}

/** A letter of a line of five, 0.1 logMAR each: the layout of Bailey and Lovie 1976, from memory. */
const LETTER = 0.02;
/** A Snellen fraction with letters less or more than the line: "6/6-2"; a sign alone is one letter. What it is in logMAR may stand behind it. */
const FRACTION = /^(\d+(?:\.\d+)?)\s*\/\s*(\d+(?:\.\d+)?)\s*(?:([+-])\s*([1-9])?)?(?:\s*\(.*\))?$/;
/** Lines that charts of 6 m print. */
const LINES = [3, 3.8, 4, 4.8, 5, 6, 7.5, 9, 9.5, 12, 15, 18, 19, 24, 30, 36, 38, 48, 60];
/** @param {number} n logMAR @returns {number} what stands below the 6 of that line, or of none */
const below6 = n => LINES.find(d => round(Math.log10(d / 6), 2) === n) ?? round(6 * 10 ** n, 1);

/** A decimal acuity that says so; its logMAR may stand behind it. */
const DECIMAL = /^(\d{1,2}(?:\.\d{1,3})?)\s*(?:decimal|dec)(?:\s*\(.*\))?$/;

/**
 * An acuity in the notation it was typed in, as the record keeps it beside logMAR.
 * @param {string} typed @param {Quantity} q @param {Notation} [notation]
 * @returns {string} "6/6-2", "0.8 decimal"; empty for logMAR and for no acuity
 */
export function typedAs(typed, q, notation = '') {
  if (q.kind !== 'acuity') return '';
  const t = plain(typed);
  if (FRACTION.test(t)) return t.replace(/\(.*$/, '').replace(/\s/g, '');
  const n = DECIMAL.exec(t)?.[1] ?? (notation === 'decimal' && /^\d{1,2}(\.\d{1,3})?$/.test(t) ? t : '');
  return n && `${n} decimal`;
}

/** @param {string} as of {@link typedAs} @param {number} n logMAR @returns {string} what was typed first: "6/6−2 (0.04 logMAR)" */
export const acuityWords = (as, n) => `${pointed(as.replace('-', '−'))} (${fixed(n, 2)} logMAR)`;

/**
 * What a field says of what was typed: a Snellen fraction stays as it is, with its logMAR behind.
 * @param {string} typed @param {number} n that it was read as @param {Quantity} q @param {Notation} [notation]
 */
export function saidBack(typed, n, q, notation = '') {
  if (q.kind === 'acuity' && FRACTION.test(plain(typed)))
    return `${typed.replace(/\(.*$/, '').trim()} (${fixed(n, 2)} logMAR)`;
  const as = typedAs(typed, q, notation);
  return as ? acuityWords(as, n) : quantityWords(n, q);
}

/** @param {number} n @param {number} digits */
const round = (n, digits) => Math.round(n * 10 ** digits) / 10 ** digits + 0;

/**
 * @param {number} n
 * @param {Quantity} q
 * @returns {string} with at least the digits it is written with, and its unit: "8.10 mm", "−2.75 D"
 */
export function quantityWords(n, q) {
  const below = q.kind === 'acuity' && BELOW_CHARTS.find(b => b.logmar === n);
  if (below) return `${fixed(n, 2)} logMAR (${below.words})`;
  if (q.kind === 'acuity')
    return `${fixed(n, 2)} logMAR (6/${pointed(String(below6(n)))}, ${pointed(round(10 ** -n, 2).toFixed(2))})`;
  const digits = Math.max(q.digits, Math.min(4, (String(n).split('.')[1] ?? '').length));
  if (q.per_mm && n > 0) return `${fixed(n, digits)} ${q.unit} (${fixed(q.per_mm / n, 2)} mm)`;
  return `${q.signed && n > 0 ? '+' : ''}${fixed(n, digits)}${unitOf(q, n)}`;
}

/** @param {number} n @param {number} digits */
const fixed = (n, digits) => pointed(n.toFixed(digits).replace('-', '−'));

/** Units that are words, by their many: the one. @type {Record<string, string>} */
const COUNTED = { days: 'day', months: 'month', years: 'year' };

/** @param {Quantity} q @param {number} n that it stands behind @returns {string} with the space before it that it wants */
function unitOf(q, n) {
  if (!q.unit || q.unit === '°') return q.unit;
  return ` ${COUNTED[q.unit] ? counted(n, COUNTED[q.unit], q.unit) : tr(q.unit)}`;
}

/**
 * @param {Quantity} q
 * @returns {string} what is possible: "0 to 180°", "−30 to +30 D"
 */
export function possible(q) {
  const end = (/** @type {number} */ n) => pointed(`${q.signed && n > 0 ? '+' : ''}${String(n).replace('-', '−')}`);
  const range = tr('{min} to {max}', { min: end(q.min), max: end(q.max) }) + unitOf(q, q.max);
  if (q.per_mm) {
    const [least, most] = [fixed(q.per_mm / q.max, 2), fixed(q.per_mm / q.min, 2)];
    return tr('{range}, or {least} to {most} mm', { range, least, most });
  }
  return q.none === undefined ? range : tr('{range}, or {none} for none', { range, none: q.none });
}

/**
 * @param {number|null|undefined} n
 * @param {Quantity} q
 * @returns {string} why it is refused; empty when it is possible, or nothing
 */
export function refusal(n, q) {
  if (n === null) return '';
  if (n === undefined)
    return q.kind === 'acuity'
      ? tr(
          'An acuity such as 0.10 logMAR, 6/9, 20/30, 0.8 decimal, CF, HM, PL or NPL, or nothing. A bare number counts once it is said above how it is meant.',
        )
      : tr('Want a number, or nothing: {possible}.', { possible: possible(q) });
  if (n === q.none) return '';
  if (n < q.min || n > q.max)
    return tr('{n} is not possible: {possible}.', {
      n: q.kind === 'acuity' ? `${fixed(n, 2)} logMAR` : quantityWords(n, q), // of no chart, so in no other notation
      possible: possible(q),
    });
  if (q.halves && 2 * n !== Math.trunc(2 * n))
    return tr('Want a whole or a half: {possible}.', { possible: possible(q) });
  return q.whole && n !== Math.trunc(n) ? tr('Want a whole number: {possible}.', { possible: possible(q) }) : '';
}

/**
 * @param {number|null|undefined} n that is possible
 * @param {Quantity} q
 * @param {number|null} [last] the last value of that eye
 * @returns {string} why somebody should look twice; empty when it is usual
 */
export function unlikely(n, q, last = null) {
  if (n === null || n === undefined || n === q.none) return '';
  if (q.signed && last !== null && n * last < 0 && Math.min(Math.abs(n), Math.abs(last)) >= 1)
    return tr('Unlikely: the sign is another than last time, {before}.', { before: quantityWords(last, q) });
  if (n >= q.usual[0] && n <= q.usual[1]) return finer(n, q) || changed(n, q, last);
  const end = (/** @type {number} */ x) => pointed(String(x).replace('-', '−'));
  const usual = tr('usually {min} to {max}', { min: end(q.usual[0]), max: end(q.usual[1]) }) + unitOf(q, q.usual[1]);
  return last === null
    ? tr('Unlikely: {usual}.', { usual })
    : tr('Unlikely: {usual}; last time {last}.', { usual, last: quantityWords(last, q) });
}

/** @param {number} n @param {Quantity} q @returns {string} that it is finer than it is written; an eighth may have two decimals */
function finer(n, q) {
  const off = Math.abs(n - q.step * Math.round(n / q.step));
  if (q.whole || q.halves || off < (q.step === 0.125 ? 0.0051 : 1e-6)) return '';
  return tr('Unlikely: finer than steps of {step}.', {
    step: quantityWords(q.step, { ...q, signed: false, kind: undefined, per_mm: undefined }),
  });
}

/**
 * @param {number} n
 * @param {Quantity} q
 * @param {number|null} last
 * @returns {string} a change since the last visit that is larger than usual; else empty
 */
function changed(n, q, last) {
  if (last === null || !q.change) return '';
  const by = round(n - last, 4);
  if (by >= q.change[0] && by <= q.change[1]) return '';
  const size = quantityWords(Math.abs(by), { ...q, signed: false });
  const before = quantityWords(last, q);
  return by < 0
    ? tr('Unlikely: {size} less than last time, {before}.', { size, before })
    : tr('Unlikely: {size} more than last time, {before}.', { size, before });
}
