// The console's words in the language of whoever works at it. The English text
// is the key: what has no row is shown in English, never left out. The rows of a
// language are fetched only when it is chosen, before any page is drawn, so that
// whatever is a constant of a page is already in it.
import medical from '../../alerts/texts.json' with { type: 'json' };
import { PHRASES } from '../ui/phrases.js';
import { languageFor, rowOf } from '../ui/languages.js';

/** A text, or one for each form of a count (Intl.PluralRules). @typedef {string | Record<string, string>} Text */

/** Languages that the console has rows for: the console's own, the server's, the family's. @type {Record<string, () => Promise<[{rows: Record<string, Text>, READER: string}, {said: Record<string, Text>}, {words: Record<string, string>}]>>} */
const HAS = {
  es: () => Promise.all([import('./text/es.js'), import('./text/es-server.js'), import('../app/text/es/words.js')]),
  zh: () => Promise.all([import('./text/zh.js'), import('./text/zh-server.js'), import('../app/text/zh/words.js')]),
  ar: () => Promise.all([import('./text/ar.js'), import('./text/ar-server.js'), import('../app/text/ar/words.js')]),
};

/** Tags of the languages of the console. */
export const TAGS = ['en', ...Object.keys(HAS)];

/**
 * Of the Arabic console numbers are written in European digits, as prescriptions
 * and orders of lenses are (common practice): one set of digits beside a number
 * that is typed, and no run of digits that turns round.
 */
const LOCALE = /** @type {Record<string, string>} */ ({ ar: 'ar-u-nu-latn' });

/** @type {{tag: string, html: string, rows: Record<string, Text>, said: Record<string, Text>, locale: string, rtl: boolean, rules: Intl.PluralRules, read: boolean}} */
let own = {
  tag: 'en',
  html: 'en',
  rows: {},
  said: {},
  locale: 'en-GB',
  rtl: false,
  rules: new Intl.PluralRules('en'),
  read: true,
};

/** Every text of a language, for readers: where it stands, its English, the text. @param {string} tag @returns {Promise<[string, string, Text][]>} */
export async function textsOf(tag) {
  const [{ rows }, { said }] = (await HAS[tag]?.()) ?? [{ rows: {} }, { said: {} }];
  return [
    ...Object.entries(rows).map(([k, row]) => /** @type {[string, string, Text]} */ (['Console', k, row])),
    ...Object.entries(said).map(
      ([k, row]) => /** @type {[string, string, Text]} */ (['Console: said by the server', k, row]),
    ),
  ];
}

/** What the console is in: a tag of TAGS, the language as a page states it, the locale for Intl, its direction, and whether somebody who speaks it has read it. */
export const language = () => own;

/**
 * Takes up a language; one that the console has no rows for is English.
 * @param {string} tag
 */
export async function useLanguage(tag) {
  const has = HAS[tag];
  if (!has) return;
  const [{ rows, READER }, { said }, { words }] = await has();
  const { locale, dir, spaced } = rowOf(tag);
  if (spaced === false) (await import('../ui/headings.js')).breakHeadings(locale);
  const rules = new Intl.PluralRules(locale);
  own = {
    tag,
    html: locale.replace(/-[A-Z]{2}$/, ''),
    rows,
    said: { ...medicalOf(words), ...said },
    locale: LOCALE[tag] ?? locale,
    rtl: dir === 'rtl',
    rules,
    read: READER !== '',
  };
}

/** Texts of the rules and words of the clinic that families read, by their English. @param {Record<string, string>} words of the family's catalogue */
const medicalOf = words => ({
  ...Object.fromEntries(Object.entries(PHRASES).map(([k, text]) => [text.replace(/\.$/, ''), words[`phrase.${k}`]])),
  ...Object.fromEntries(
    Object.entries(/** @type {Record<string, string|{text: string}>} */ (medical.texts)) // the bundle has the text alone
      .filter(([k]) => words[`med.${k}`])
      .map(([k, t]) => [
        (typeof t === 'string' ? t : t.text).replace(/\.$/, ''),
        words[`med.${k}`].replace(/[.。]$/, ''),
      ]),
  ),
});

/** Of what stays English in any language: sources, the safety case, conditions of rules. */
export const ENGLISH = { lang: 'en', dir: 'ltr' };

/** What stands in a text of this language, apart from what is round it. @param {string|number} value @returns {string} */
export function filled(value) {
  if (typeof value === 'number')
    return own.tag === 'en' ? String(value) : value.toLocaleString(own.locale, { useGrouping: false });
  // What is filled in stands apart (UAX #9): in this direction where it has words of it, else in its own.
  return own.rtl && value ? `${/[\u0590-\u08ff]/.test(value) ? '\u2067' : '\u2068'}${value}\u2069` : value;
}

/** @param {Text} row @param {Record<string, unknown>} args @returns {string} in the form of the first number */
function formOf(row, args) {
  if (typeof row === 'string') return row;
  const n = Object.values(args).find(v => typeof v === 'number');
  return row[own.rules.select(Number(n ?? 0))] ?? row.other;
}

/**
 * @param {string} english the text as it stands in the source; space around it is kept
 * @param {Record<string, string|number|null|undefined>} [args] what stands for {name}
 * @returns {string} in the language of the console
 */
export function tr(english, args = {}) {
  const key = english.trim();
  const row = own.rows[key] ?? own.said[key];
  const text = row === undefined ? english : english.replace(key, () => formOf(row, args));
  return text.replace(/\{(\w+)\}/g, (all, name) => (name in args ? filled(args[name] ?? '') : all));
}

/**
 * A count with its noun.
 * @param {number} n
 * @param {string} one
 * @param {string} many its key is "{n} many"
 */
export function plural(n, one, many) {
  const key = `{n} ${many}`;
  return own.rows[key] === undefined ? (n === 1 ? `1 ${one}` : `${n} ${many}`) : tr(key, { n });
}

/** Marks between clauses, the pieces of a list, and a name and what is said of it, where they are not those of English. */
const MARKS = /** @type {Record<string, Record<string, string>>} */ ({
  zh: { '; ': '；', ', ': '，', ': ': '：', '.': '。' },
  ar: { '; ': '؛ ', ', ': '، ' },
});

/** @param {', '|'; '|': '|'.'} english @returns {string} the mark in the language of the console */
export const point = english => MARKS[own.tag]?.[english] ?? english;

/**
 * A unit behind a number in figures, where plural() would say some numbers in words.
 * @param {number} n
 * @param {string} one
 * @param {string} many its key is "{many} behind a figure"
 */
export function counted(n, one, many) {
  const row = own.rows[`${many} behind a figure`];
  return row === undefined ? (n === 1 ? one : many) : formOf(row, { n });
}

/** Every form of such a unit, longest use for reading one back. @param {string} many @returns {string[]} */
export const formsOf = many => {
  const row = own.rows[`${many} behind a figure`];
  return row === undefined ? [] : typeof row === 'string' ? [row] : Object.values(row);
};

const KEY = 'nightkeep-clinic-language';

/** @returns {string} what was chosen by who was signed in here last; empty for the browser's language */
const kept = () => localStorage.getItem(KEY) ?? '';

/**
 * What a language that the console has no rows for is nearest to, for whoever reads
 * it: said on the page, with a way to English, and never taken for the other.
 * @type {Record<string, string>}
 */
const NEAREST = { 'zh-Hant': 'zh' };

/** @param {string} tag as chosen @returns {string} the language it stands for, one of TAGS */
export function meant(tag) {
  const wanted = tag || languageFor(navigator.languages);
  return [wanted, NEAREST[wanted]].find(t => TAGS.includes(t)) ?? 'en';
}

/** Whether the console is in what is nearest to the browser's language, not in it. */
export const nearest = () => !kept() && NEAREST[languageFor(navigator.languages)] === own.tag;

/** The language to start in, before anybody is known. */
export const firstLanguage = () => meant(kept());

/**
 * Takes note of what the person chose; the console starts again when that is
 * another language than it is in.
 * @param {string} tag as chosen; empty for the browser's
 * @returns {boolean} whether it starts again
 */
export function startsAgain(tag) {
  if (kept() === tag) return false; // it is in that language, or its words could not be had
  if (tag) localStorage.setItem(KEY, tag);
  else localStorage.removeItem(KEY);
  if (kept() !== tag || meant(tag) === own.tag) return false;
  location.reload();
  return true;
}
