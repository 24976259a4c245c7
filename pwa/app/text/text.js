// Words, dates and numbers in the language of the family. One catalogue per
// language; medical texts come from alerts/texts.json, with translations in
// the catalogue under "med.". What is not translated is shown in English, never
// left out.
import medical from '../../../alerts/texts.json' with { type: 'json' };
import { dayNumber, wallAt } from '../../../schedule/civil/civil.js';
import { en } from './en/words.js';
import { languageFor, ROWS, rowOf } from '../../ui/languages.js';

/** The tag of a language, a row of alerts/languages.json. @typedef {string} Lang */
/** @typedef {(key: string, args?: Record<string, string|number>) => string} Translate */
export { languageFor, rowOf };

/** Tag and name of every language, in the order in which they are offered. @type {[Lang, string][]} */
export const LANGUAGES = ROWS.map(r => [r.tag, r.name]);

/** The same without drafts, which a practice cannot name as its own. @type {[Lang, string][]} */
export const SPOKEN = ROWS.filter(r => !r.draft).map(r => [r.tag, r.name]);

/** @param {Lang} lang @returns {Promise<{words: Record<string, string>, REVIEWER: string}>} */
const load = async lang =>
  lang === 'en' ? { words: en, REVIEWER: 'the source' } : /** @type {any} */ (import(`./${lang}/words.js`));

/**
 * @typedef {object} Words
 * @property {Lang} lang
 * @property {'ltr'|'rtl'} dir
 * @property {string} html the language as a page states it
 * @property {Translate} t
 * @property {(key: string) => string} med a medical text
 * @property {boolean} reviewed whether a practitioner has read the medical texts
 * @property {(iso: string, style?: Intl.DateTimeFormatOptions) => string} date a calendar date
 * @property {(hhmm: string) => string} clock a wall-clock time
 * @property {(ms: number, zone: string, today?: string) => string} moment time of an instant, with its day unless that is today
 * @property {(n: number, digits?: number) => string} number
 * @property {(ms: number) => string} span a length of time
 */

/** Fetches the words of the screens that are fetched later. Every other language has them in its own file, and falls back on these. */
export async function loadLater() {
  Object.assign(en, (await import('./en/later.js')).enLater);
}

/**
 * @param {Lang} lang
 * @returns {Promise<Words>}
 */
export async function loadWords(lang) {
  const row = rowOf(lang);
  if (row.spaced === false) (await import('../../ui/headings.js')).breakHeadings(row.locale);
  const { words, REVIEWER } = await load(lang);
  return wordsOf(lang, words, REVIEWER !== '');
}

/**
 * @param {Lang} lang
 * @param {Record<string, string>} words
 * @param {boolean} reviewed
 * @returns {Words}
 */
export function wordsOf(lang, words, reviewed) {
  const { locale, dir } = rowOf(lang);
  // Making a formatter costs far more than using it, and a screen uses a handful over and over.
  /** @type {Map<string, Intl.DateTimeFormat>} */
  const styles = new Map();
  /** @param {Intl.DateTimeFormatOptions} style */
  const format = style => {
    const key = JSON.stringify(style);
    const f = styles.get(key) ?? new Intl.DateTimeFormat(locale, style);
    styles.set(key, f);
    return f;
  };
  /** @type {Intl.NumberFormat[]} by digits */
  const numbers = [];
  const number = (/** @type {number} */ n, digits = 0) =>
    (numbers[digits] ??= new Intl.NumberFormat(locale, { maximumFractionDigits: digits })).format(n);
  // What is filled in keeps its own direction (UAX #9, first strong isolate): else
  // a telephone number stands the wrong way round in a text from right to left.
  const apart = (/** @type {string|undefined} */ s) => (dir === 'rtl' && s ? `\u2068${s}\u2069` : (s ?? ''));
  /** @type {Intl.PluralRules|undefined} */
  let rules;
  // {n} is the number; {n:count.nights} is it with its noun, in the form the count asks for.
  /** The form for the count {n}, where the language has one of its own. @type {(key: string, args: Record<string, string|number>) => string|undefined} */
  const counted = (key, args) =>
    typeof args.n === 'number'
      ? words[`${key}.${((rules ??= new Intl.PluralRules(locale))).select(args.n)}`]
      : undefined;
  /** @type {Translate} */
  const t = (key, args = {}) =>
    (counted(key, args) ?? words[key] ?? en[key] ?? key).replace(/\{(\w+)(?::([\w.]+))?\}/g, (_, name, unit) =>
      typeof args[name] !== 'number' ? apart(args[name]) : unit ? t(unit, { n: args[name] }) : number(args[name]),
    );
  const english = /** @type {Record<string, any>} */ (medical.texts);
  /** @type {Words['date']} */
  const date = (iso, style = { weekday: 'short', day: 'numeric', month: 'short' }) =>
    format({ ...style, timeZone: 'UTC' }).format(dayNumber(iso) * 86400000);
  return {
    lang,
    dir: dir === 'rtl' ? 'rtl' : 'ltr',
    // The script without the region: a browser chooses by it how a character is drawn.
    html: locale.replace(/-[A-Z]{2}$/, ''),
    t,
    reviewed,
    number,
    date,
    med: key => words[`med.${key}`] ?? english[key]?.text ?? english[key] ?? key,
    clock: hhmm =>
      lang !== 'ar'
        ? hhmm
        : format({ hour: '2-digit', minute: '2-digit', hourCycle: 'h23', timeZone: 'UTC' }).format(
            Date.UTC(2000, 0, 1, +hhmm.slice(0, 2), +hhmm.slice(3, 5)),
          ), // elsewhere Intl gives back what it was given, and costs a start its first formatter
    moment: (ms, zone, today) => {
      /** @type {Intl.DateTimeFormatOptions} */
      const time = { hour: '2-digit', minute: '2-digit', hourCycle: 'h23', timeZone: zone };
      return format(
        wallAt(ms, zone).date === today ? time : { weekday: 'short', day: 'numeric', month: 'short', ...time },
      ).format(ms);
    },
    span: ms => spanOf(ms, t),
  };
}

/**
 * @param {number} ms
 * @param {Translate} t
 */
function spanOf(ms, t) {
  const minutes = Math.floor(Math.max(0, ms) / 60000);
  if (minutes < 1) return t('time.less');
  const hours = Math.floor(minutes / 60);
  const days = hours < 48 ? 0 : Math.floor(hours / 24);
  /** @type {[string, number][]} */
  const parts = days
    ? [
        ['time.days', days],
        ['time.hours', hours % 24],
      ]
    : [
        ['time.hours', hours],
        ['time.minutes', minutes % 60],
      ];
  const [a, b] = parts.filter(([, n]) => n).map(([key, n]) => t(key, { n }));
  return b ? t('time.both', { a, b }) : a;
}
