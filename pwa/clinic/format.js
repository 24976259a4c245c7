// Words and numbers as the console shows them. Pure: the present instant and
// the zone come in as arguments.

import languages from '../../alerts/languages.json' with { type: 'json' };
import { heard } from './heard.js';
import { language, plural, point, tr } from './text.js';

export { plural };

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const DAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];
const DAY_MS = 86400000;

/**
 * @param {string} date "YYYY-MM-DD", or empty
 * @returns {number} days since 1970-01-01, NaN when it is no date
 */
export function dayNumber(date) {
  return Math.round(Date.parse(`${date}T00:00:00Z`) / DAY_MS);
}

/**
 * @param {number} n days since 1970-01-01
 * @returns {string} "YYYY-MM-DD"
 */
export function dateOf(n) {
  return new Date(n * DAY_MS).toISOString().slice(0, 10);
}

/**
 * @param {string} date
 * @param {number} days may be negative
 */
export const addDays = (date, days) => dateOf(dayNumber(date) + days);

/** @type {Map<string, Intl.DateTimeFormat>} making one costs far more than using it */
const formats = new Map();

/** @param {string} date "YYYY-MM-DD…" @param {Intl.DateTimeFormatOptions} style @returns {string} in a language other than English */
function inOwn(date, style) {
  const { locale } = language();
  const key = `${locale} ${JSON.stringify(style)}`;
  const format = formats.get(key) ?? new Intl.DateTimeFormat(locale, { ...style, timeZone: 'UTC' });
  formats.set(key, format);
  return format.format(dayNumber(date.slice(0, 10)) * DAY_MS);
}

/** @param {string} date "YYYY-MM-DD" @returns {string} such as "3 Nov" */
export const dayMonth = date =>
  language().tag === 'en'
    ? `${+date.slice(8, 10)} ${monthName(date)}`
    : inOwn(date, { day: 'numeric', month: 'short' });

/** @param {string} date of a month "YYYY-MM-DD" @returns {string} such as "Nov" */
export const monthName = date =>
  language().tag === 'en' ? MONTHS[+date.slice(5, 7) - 1] : inOwn(date, { month: 'short' });

/**
 * @param {string|undefined|null} date "YYYY-MM-DD"
 * @returns {string} such as "3 Nov 2026", or a dash
 */
export function day(date) {
  const m = /^(\d{4})-(\d{2})-(\d{2})/.exec(date ?? '');
  if (m && language().tag !== 'en') return inOwn(m[0], { day: 'numeric', month: 'short', year: 'numeric' });
  return m ? `${+m[3]} ${MONTHS[+m[2] - 1]} ${m[1]}` : '–';
}

/**
 * @param {string|undefined|null} date
 * @returns {string} such as "Tue 3 Nov", or a dash
 */
export function weekdayDate(date) {
  if (!date || Number.isNaN(dayNumber(date))) return '–';
  if (language().tag !== 'en') return inOwn(date, { weekday: 'short', day: 'numeric', month: 'short' });
  const [, m, d] = date.split('-');
  return `${DAYS[(dayNumber(date) + 4) % 7]} ${+d} ${MONTHS[+m - 1]}`;
}

/**
 * @param {string} instant RFC 3339
 * @param {string} zone IANA name; UTC when the practice has not set one
 * @returns {{date: string, time: string}|null} "YYYY-MM-DD" and "HH:MM" there; nothing for the server's “no instant”, the year 1
 */
export function wall(instant, zone) {
  const t = Date.parse(instant);
  if (!(t > 0)) return null;
  const parts = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone || 'UTC',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).formatToParts(t);
  /** @param {string} type */
  const part = type => parts.find(p => p.type === type)?.value ?? '';
  return { date: `${part('year')}-${part('month')}-${part('day')}`, time: `${part('hour')}:${part('minute')}` };
}

/**
 * @param {string} instant RFC 3339
 * @param {string} zone IANA name; UTC when the practice has not set one
 * @returns {string} such as "Tue 3 Nov, 21:04"
 */
export function moment(instant, zone) {
  const at = wall(instant, zone);
  return at ? tr('{date}, {time}', { date: weekdayDate(at.date), time: at.time }) : '–';
}

/**
 * An instant that may be years ago.
 * @param {string} instant RFC 3339
 * @param {string} zone IANA name; UTC when the practice has not set one
 * @returns {string} such as "3 Nov 2026, 21:04"
 */
export function dated(instant, zone) {
  const at = wall(instant, zone);
  return at ? tr('{date}, {time}', { date: day(at.date), time: at.time }) : '–';
}

/** @param {string} zone IANA name, whose words are English @returns {string} such as "Lisbon time"; "hora de Reino Unido" */
function zoneWords(zone) {
  const { tag, locale } = language();
  if (tag === 'en' || !zone)
    return tr('{city} time', { city: (zone || 'UTC').split('/').slice(-1)[0].replace(/_/g, ' ') });
  const parts = new Intl.DateTimeFormat(locale, { timeZone: zone, timeZoneName: 'longGeneric' }).formatToParts(0);
  return parts.find(p => p.type === 'timeZoneName')?.value ?? zone;
}

/**
 * An instant on the practice's clock with its zone, and on the family's where
 * that shows another time.
 * @param {string} instant RFC 3339
 * @param {string} zone of the practice, IANA name
 * @param {string|undefined} home zone in which the family wrote; empty when not known
 * @returns {string}
 */
export function both(instant, zone, home) {
  const here = wall(instant, zone);
  const there = home ? wall(instant, home) : here;
  if (!here || !there) return `${moment(instant, zone)}${point(', ')}${zoneWords(zone)}`;
  const said = `${moment(instant, zone)}${point(', ')}${zoneWords(zone)}`;
  if (here.date === there.date && here.time === there.time) return said;
  return tr('{said}; for the family {there}, {zone}', {
    said,
    there: here.date === there.date ? there.time : moment(instant, home ?? ''),
    zone: zoneWords(home ?? ''),
  });
}

/**
 * @param {string} text with dates as YYYY-MM-DD, as the server's evidence has them
 * @returns {string} with dates such as "3 Nov 2026"; what is no day of the calendar stays as it came
 */
export const readable = text =>
  text.replace(/\b\d{4}-\d{2}-\d{2}\b/g, d => (Number.isNaN(dayNumber(d)) || dateOf(dayNumber(d)) !== d ? d : day(d)));

/**
 * @param {number} ms length of time
 * @returns {string} such as "3 h 10 min", "2 days 4 h", "under a minute"
 */
export function span(ms) {
  const minutes = Math.floor(ms / 60000);
  if (minutes < 1) return tr('under a minute');
  if (minutes < 60) return tr('{minutes} min', { minutes });
  const hours = Math.floor(minutes / 60);
  if (hours < 48)
    return minutes % 60 ? tr('{hours} h {minutes} min', { hours, minutes: minutes % 60 }) : tr('{hours} h', { hours });
  const days = Math.floor(hours / 24);
  return hours % 24 && days < 7
    ? `${plural(days, 'day', 'days')} ${tr('{hours} h', { hours: hours % 24 })}`
    : plural(days, 'day', 'days');
}

/**
 * @param {string|undefined} instant RFC 3339
 * @param {number} now ms since 1970
 * @returns {string} such as "3 h 10 min ago", or a dash
 */
export function ago(instant, now) {
  const t = Date.parse(instant ?? '');
  if (Number.isNaN(t)) return '–';
  return t > now ? tr('just now') : tr('{span} ago', { span: span(now - t) });
}

/**
 * A share with its denominator: never a percentage alone.
 * @param {{done: number, not_done: number, unknown: number, rest?: number, share: number}} s
 * @returns {string} such as "29 of 30 (97 %)", with the unanswered said
 */
export function share(s) {
  const n = s.done + s.not_done;
  const rest =
    (s.unknown ? tr(', {n} unknown', { n: s.unknown }) : '') + (s.rest ? tr(', {n} at rest', { n: s.rest }) : '');
  return n
    ? tr('{done} of {n} ({share} %)', { done: s.done, n, share: Math.round(100 * s.share) }) + rest
    : tr('nothing answered') + rest;
}

/** @param {string} figure with a decimal point @returns {string} with the mark of the language; from left to right in any */
export function pointed(figure) {
  const { tag, locale, rtl } = language();
  const mark = tag === 'en' ? '.' : (1.5).toLocaleString(locale).charAt(1);
  return rtl ? `\u2066${figure.replace('.', mark)}\u2069` : figure.replace('.', mark);
}

/**
 * @param {number|null|undefined} n
 * @param {number} digits
 * @returns {string} with a true minus sign, or a dash
 */
export function number(n, digits) {
  if (n === null || n === undefined || Number.isNaN(n)) return '–';
  return pointed(
    n
      .toFixed(digits)
      .replace(/^-(?=0(\.0*)?$)/, '') // never "−0.00"
      .replace('-', '−'),
  );
}

/**
 * @param {number} n
 * @returns {string} whole, with a comma at the thousands
 */
export const whole = n => Math.round(n).toLocaleString(language().locale);

/** @param {string} figures @returns {string} that stand from left to right in a text of the other direction */
export const apart = figures => (language().rtl ? `\u2066${figures}\u2069` : figures);

/**
 * A dioptre value as it is written on a prescription.
 * @param {number|null|undefined} d
 * @returns {string} signed, two decimals
 */
export function dioptres(d) {
  if (d === null || d === undefined) return '–';
  return apart((d > 0 ? '+' : '') + number(d, 2));
}

/**
 * @param {{sphere: number, cylinder?: number, axis?: number}|null|undefined} r
 * @returns {string} such as "−2.75 / −1.50 × 180"
 */
export function prescription(r) {
  if (!r) return '–';
  if (!r.cylinder) return dioptres(r.sphere);
  return apart(`${dioptres(r.sphere)} / ${dioptres(r.cylinder)} × ${r.axis || 180}`);
}

/**
 * @param {string} key a word with dashes or underscores
 * @returns {string} with spaces and a capital
 */
export function title(key) {
  return heard(capital(key.replace(/[-_]/g, ' ')));
}

/** @param {string} text @returns {string} with a capital */
export const capital = text => text.charAt(0).toUpperCase() + text.slice(1);

/** How the effect goes: "on course" never stands beside no clear hours, "0 h". @param {{status: string, clear_hours: number|null}} e */
export const courseWords = e =>
  e.status === 'on course' && e.clear_hours !== null && e.clear_hours < 0.5
    ? tr('No clear hours expected yet')
    : title(e.status);

/** What each status of a night is called. */
/** @import { PauseRow } from './types.js' */

/** Why the nightly routine rests. @type {Record<string, string>} */
const PAUSE_REASON = { away: tr('away from home'), ill: tr('illness') };

/** @param {PauseRow} p @returns {string} one pause in words */
export function pauseWords(p) {
  const what = p.agreed
    ? tr('no lenses, as agreed')
    : tr('reminders paused by {by}; the nights count', { by: p.by || tr('the family') });
  return tr('{from} to {to}: {what} ({why})', {
    from: day(p.from),
    to: day(p.to),
    what,
    why: PAUSE_REASON[p.reason] ?? title(p.reason).toLowerCase(),
  });
}

export const STATUS = /** @type {const} */ ({
  worn: tr('Worn'),
  short: tr('Short'),
  missed: tr('Missed'),
  'not-logged': tr('Not logged'),
  differ: tr('Entries differ'),
});

/** What each level of an alert asks of the practice. */
export const LEVEL = /** @type {const} */ ({
  emergency: tr('Emergency: now'),
  urgent: tr('Urgent: within 24 hours'),
  routine: tr('Routine: next working day'),
  note: tr('Note: at the next visit'),
});

const named = new Intl.DisplayNames(language().locale, { type: 'language' });
/** Languages a family may speak best: those of the family's app, drafts too. @type {Record<string, string>} BCP 47 to English name */
export const LANGUAGES = Object.fromEntries(
  languages.map(l => [l.tag, named.of(l.locale.replace(/-[A-Z]{2}$/, '')) ?? l.tag]),
);

/** @param {string} eye both, right or left */
export const eyes = eye =>
  eye === 'both' ? tr('both eyes') : eye === 'right' ? tr('right eye') : eye === 'left' ? tr('left eye') : eye;

/** @param {string} eye both, right or left @returns {string} as a choice */
export const onlyEye = eye =>
  eye === 'both' ? tr('Both eyes') : eye === 'right' ? tr('Right eye only') : tr('Left eye only');

/** @param {string} eye right or left @returns {string} its lens */
export const lensOf = eye => (eye === 'right' ? tr('Right lens') : tr('Left lens'));

/**
 * When the sign that a card leads with reached the practice: a new one on an
 * alert that already ran has its own time.
 * @param {{title: string, opened: string, episode: {headline: string, reached: string}}} alert
 * @returns {string} an instant
 */
export function reached({ title, opened, episode: e }) {
  return e.headline && e.headline === title && Date.parse(e.reached) > 0 ? e.reached : opened;
}

const SAME_MS = 2 * 60000; // of one report

/**
 * Since when an earlier report of an open alert waits, where its card leads with a newer
 * one; empty where none does.
 * @param {{title: string, state: string, opened: string, since: string, episode: {headline: string, reached: string}}} alert
 * @returns {string} an instant
 */
export const waitsSince = alert =>
  alert.state === 'open' && Date.parse(reached(alert)) - Date.parse(alert.since) >= SAME_MS ? alert.since : '';
