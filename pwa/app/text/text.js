// Words, dates and numbers in the language of the family. One catalogue per
// language; medical texts come from alerts/texts.json, with translations in
// the catalogue under "med.". What is not translated is shown in English, never
// left out.
import medical from '../../../alerts/texts.json' with { type: 'json' };
import { dayNumber, wallAt } from '../../../schedule/civil/civil.js';
import { en } from './en.js';

/** @typedef {'en'|'es'|'zh'|'ar'} Lang */
/** @typedef {(key: string, args?: Record<string, string|number>) => string} Translate */

/** @type {[Lang, string][]} */
export const LANGUAGES = [
  ['en', 'English'],
  ['es', 'Español'],
  ['zh', '简体中文'],
  ['ar', 'العربية'],
];

/** @type {Record<Lang, () => Promise<{words: Record<string, string>, reviewer: string}>>} */
const LOAD = {
  en: async () => ({ words: en, reviewer: 'the source' }),
  es: async () => {
    const m = await import('./es.js');
    return { words: m.es, reviewer: m.REVIEWER };
  },
  zh: async () => {
    const m = await import('./zh.js');
    return { words: m.zh, reviewer: m.REVIEWER };
  },
  ar: async () => {
    const m = await import('./ar.js');
    return { words: m.ar, reviewer: m.REVIEWER };
  },
};

/**
 * @typedef {object} Words
 * @property {Lang} lang
 * @property {'ltr'|'rtl'} dir
 * @property {Translate} t
 * @property {(key: string) => string} med a medical text
 * @property {(code: string) => string} refusal what the server's word for a refusal means
 * @property {boolean} reviewed whether a practitioner has read the medical texts
 * @property {(iso: string, style?: Intl.DateTimeFormatOptions) => string} date a calendar date
 * @property {(hhmm: string) => string} clock a wall-clock time
 * @property {(ms: number, zone: string, today?: string) => string} moment time of an instant, with its day unless that is today
 * @property {(n: number, digits?: number) => string} number
 * @property {(ms: number) => string} span a length of time
 */

/** Fetches the words of the screens that are fetched later. Every other language has them in its own file, and falls back on these. */
export async function loadLater() {
  Object.assign(en, (await import('./en-later.js')).enLater);
}

/**
 * @param {Lang} lang
 * @returns {Promise<Words>}
 */
export async function loadWords(lang) {
  const { words, reviewer } = await LOAD[lang]();
  return wordsOf(lang, words, reviewer !== '');
}

/**
 * @param {Lang} lang
 * @param {Record<string, string>} words
 * @param {boolean} reviewed
 * @returns {Words}
 */
export function wordsOf(lang, words, reviewed) {
  const locale = lang === 'zh' ? 'zh-CN' : lang === 'en' ? 'en-GB' : lang;
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
  const apart = (/** @type {string|undefined} */ s) => (lang === 'ar' && s ? `\u2068${s}\u2069` : (s ?? ''));
  const one = (/** @type {string} */ key, /** @type {Record<string, string|number>} */ args) =>
    args.n === 1 ? words[`${key}.one`] : undefined;
  /** @type {Translate} */
  const t = (key, args = {}) =>
    (one(key, args) ?? words[key] ?? en[key] ?? key).replace(/\{(\w+)\}/g, (_, name) =>
      typeof args[name] === 'number' ? number(args[name]) : apart(args[name]),
    );
  const english = /** @type {Record<string, {text: string}>} */ (medical.texts);
  /** @type {Words['date']} */
  const date = (iso, style = { weekday: 'short', day: 'numeric', month: 'short' }) =>
    format({ ...style, timeZone: 'UTC' }).format(dayNumber(iso) * 86400000);
  return {
    lang,
    dir: lang === 'ar' ? 'rtl' : 'ltr',
    t,
    reviewed,
    number,
    date,
    refusal: code => t(`error.${code}` in en ? `error.${code}` : 'error.other', { code }),
    med: key => words[`med.${key}`] ?? english[key]?.text ?? key,
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
  if (minutes < 60) return t('time.minutes', { n: minutes });
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return t(minutes % 60 ? 'time.hours' : 'time.whole', { h: hours, m: minutes % 60 });
  return t(hours % 24 ? 'time.days' : 'time.whole-days', { d: Math.floor(hours / 24), h: hours % 24 });
}
