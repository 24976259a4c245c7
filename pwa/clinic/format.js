// Words and numbers as the console shows them. Pure: the present instant and
// the zone come in as arguments.

import languages from '../../alerts/languages.json' with { type: 'json' };

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

/**
 * @param {string|undefined|null} date "YYYY-MM-DD"
 * @returns {string} such as "3 Nov 2026", or a dash
 */
export function day(date) {
  const m = /^(\d{4})-(\d{2})-(\d{2})/.exec(date ?? '');
  return m ? `${+m[3]} ${MONTHS[+m[2] - 1]} ${m[1]}` : '–';
}

/**
 * @param {string|undefined|null} date
 * @returns {string} such as "Tue 3 Nov", or a dash
 */
export function weekdayDate(date) {
  if (!date || Number.isNaN(dayNumber(date))) return '–';
  const [, m, d] = date.split('-');
  return `${DAYS[(dayNumber(date) + 4) % 7]} ${+d} ${MONTHS[+m - 1]}`;
}

/**
 * @param {string} instant RFC 3339
 * @param {string} zone IANA name; UTC when the practice has not set one
 * @returns {string} such as "Tue 3 Nov, 21:04"
 */
export function moment(instant, zone) {
  const t = Date.parse(instant);
  if (!(t > 0)) return '–'; // also the server's “no instant”, the year 1
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
  return `${weekdayDate(`${part('year')}-${part('month')}-${part('day')}`)}, ${part('hour')}:${part('minute')}`;
}

/**
 * An instant that may be years ago.
 * @param {string} instant RFC 3339
 * @param {string} zone IANA name; UTC when the practice has not set one
 * @returns {string} such as "3 Nov 2026, 21:04"
 */
export function dated(instant, zone) {
  const t = Date.parse(instant);
  if (!(t > 0)) return '–';
  const date = new Intl.DateTimeFormat('en-CA', {
    timeZone: zone || 'UTC',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  }).format(t);
  return `${day(date)}${moment(instant, zone).slice(-7)}`;
}

/** @param {string} zone IANA name @returns {string} such as "Lisbon time" */
const zoneWords = zone => `${(zone || 'UTC').split('/').slice(-1)[0].replace(/_/g, ' ')} time`;

/**
 * An instant on the practice's clock with its zone, and on the family's where
 * that shows another time.
 * @param {string} instant RFC 3339
 * @param {string} zone of the practice, IANA name
 * @param {string|undefined} home zone in which the family wrote; empty when not known
 * @returns {string}
 */
export function both(instant, zone, home) {
  const here = moment(instant, zone);
  const there = home ? moment(instant, home) : here;
  const said = `${here}, ${zoneWords(zone)}`;
  if (here === there || here === '–') return said;
  const [date, time] = there.split(', ');
  return `${said}; for the family ${here.startsWith(date) ? time : there}, ${zoneWords(home ?? '')}`;
}

/**
 * @param {string} text with dates as YYYY-MM-DD, as the server's evidence has them
 * @returns {string} with dates such as "3 Nov 2026"
 */
export const readable = text => text.replace(/\b\d{4}-\d{2}-\d{2}\b/g, day);

/**
 * @param {number} ms length of time
 * @returns {string} such as "3 h 10 min", "2 days 4 h", "under a minute"
 */
export function span(ms) {
  const minutes = Math.floor(ms / 60000);
  if (minutes < 1) return 'under a minute';
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 ? `${hours} h ${minutes % 60} min` : `${hours} h`;
  const days = Math.floor(hours / 24);
  return hours % 24 && days < 7 ? `${days} days ${hours % 24} h` : `${days} days`;
}

/**
 * @param {string|undefined} instant RFC 3339
 * @param {number} now ms since 1970
 * @returns {string} such as "3 h 10 min ago", or a dash
 */
export function ago(instant, now) {
  const t = Date.parse(instant ?? '');
  if (Number.isNaN(t)) return '–';
  return t > now ? 'just now' : `${span(now - t)} ago`;
}

/**
 * @param {number} n
 * @param {string} one
 * @param {string} many
 */
export const plural = (n, one, many) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

/**
 * A share with its denominator: never a percentage alone.
 * @param {{done: number, not_done: number, unknown: number, rest?: number, share: number}} s
 * @returns {string} such as "29 of 30 (97 %)", with the unanswered said
 */
export function share(s) {
  const n = s.done + s.not_done;
  const rest = (s.unknown ? `, ${s.unknown} unknown` : '') + (s.rest ? `, ${s.rest} at rest` : '');
  return n ? `${s.done} of ${n} (${Math.round(100 * s.share)} %)${rest}` : `nothing answered${rest}`;
}

/**
 * @param {number|null|undefined} n
 * @param {number} digits
 * @returns {string} with a true minus sign, or a dash
 */
export function number(n, digits) {
  if (n === null || n === undefined || Number.isNaN(n)) return '–';
  return n
    .toFixed(digits)
    .replace(/^-(?=0(\.0*)?$)/, '') // never "−0.00"
    .replace('-', '−');
}

/**
 * @param {number} n
 * @returns {string} whole, with a comma at the thousands
 */
export const whole = n =>
  Math.round(n)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, ',');

/**
 * A dioptre value as it is written on a prescription.
 * @param {number|null|undefined} d
 * @returns {string} signed, two decimals
 */
export function dioptres(d) {
  if (d === null || d === undefined) return '–';
  return (d > 0 ? '+' : '') + number(d, 2);
}

/**
 * @param {{sphere: number, cylinder: number, axis: number}|null|undefined} r
 * @returns {string} such as "−2.75 / −1.50 × 180"
 */
export function prescription(r) {
  if (!r) return '–';
  if (!r.cylinder) return dioptres(r.sphere);
  return `${dioptres(r.sphere)} / ${dioptres(r.cylinder)} × ${r.axis || 180}`;
}

/**
 * @param {string} key a word with dashes or underscores
 * @returns {string} with spaces and a capital
 */
export function title(key) {
  const text = key.replace(/[-_]/g, ' ');
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** What each status of a night is called. */
/** @import { PauseRow } from './types.js' */

/** Why the nightly routine rests. @type {Record<string, string>} */
const PAUSE_REASON = { away: 'away from home', ill: 'illness' };

/** @param {PauseRow} p @returns {string} one pause in words */
export function pauseWords(p) {
  const what = p.agreed ? 'no lenses, as agreed' : `reminders paused by ${p.by || 'the family'}; the nights count`;
  return `${day(p.from)} to ${day(p.to)}: ${what} (${PAUSE_REASON[p.reason] ?? p.reason.replace(/-/g, ' ')})`;
}

export const STATUS = /** @type {const} */ ({
  worn: 'Worn',
  short: 'Short',
  missed: 'Missed',
  'not-logged': 'Not logged',
  differ: 'Entries differ',
});

/** What each level of an alert asks of the practice. */
export const LEVEL = /** @type {const} */ ({
  emergency: 'Emergency: be seen today',
  urgent: 'Urgent: within 24 hours',
  routine: 'Routine: next working day',
  note: 'Note: raise at recall',
});

/**
 * @param {string} firstNight empty when not started
 * @param {string} today
 * @returns {number} nights of the last 28 since the first one, tonight left out
 */
export function nightsDue(firstNight, today) {
  const n = dayNumber(today) - dayNumber(firstNight);
  return Number.isNaN(n) ? 0 : Math.min(28, Math.max(0, n));
}

const named = new Intl.DisplayNames('en', { type: 'language' });
/** Languages a family may prefer: those the family's app speaks, but drafts. @type {Record<string, string>} BCP 47 to English name */
export const LANGUAGES = Object.fromEntries(
  /** @type {{tag: string, locale: string, draft?: boolean}[]} */ (languages)
    .filter(l => !l.draft)
    .map(l => [l.tag, named.of(l.locale.replace(/-[A-Z]{2}$/, '')) ?? l.tag]),
);

/** @param {string} eye both, right or left */
export const eyes = eye => (eye === 'both' ? 'both eyes' : `${eye} eye`);

/**
 * When the sign that a card leads with reached the practice: a new one on an
 * alert that already ran has its own time.
 * @param {{title: string, opened: string, episode: {headline: string, reached: string}}} alert
 * @returns {string} an instant
 */
export function reached({ title, opened, episode: e }) {
  return e.headline && e.headline === title && Date.parse(e.reached) > 0 ? e.reached : opened;
}
