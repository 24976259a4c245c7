// Calendar dates and wall-clock times: the twin of civil.go, on the same
// vectors. A date is the string "YYYY-MM-DD", a clock the string "HH:MM"; both
// are calendar facts without a zone. Nothing here reads the clock.

/** The wall-clock time at which one night ends and the next begins. */
export const NIGHT_STARTS = '12:00';

const DAY_MS = 86400000; // of a UTC day, which never varies
const DATE = /^(\d{4})-(\d{2})-(\d{2})$/;
const CLOCK = /^([01]\d|2[0-3]):([0-5]\d)$/;

/**
 * Days since 1970-01-01 of a date.
 * @param {string} date "YYYY-MM-DD"
 * @returns {number}
 */
export function dayNumber(date) {
  const m = DATE.exec(date);
  const at = new Date(m ? Date.UTC(+m[1], +m[2] - 1, +m[3]) : NaN);
  // What the calendar lacks, 30 February or month 13, has become another date.
  if (!m || at.getUTCDate() !== +m[3] || at.getUTCMonth() !== +m[2] - 1 || at.getUTCFullYear() !== +m[1])
    throw new RangeError(`date "${date}": want YYYY-MM-DD`);
  return at.getTime() / DAY_MS;
}

/**
 * @param {number} n days since 1970-01-01
 * @returns {string} "YYYY-MM-DD"
 */
export function fromDayNumber(n) {
  return new Date(n * DAY_MS).toISOString().slice(0, 10);
}

/**
 * @param {unknown} s
 * @returns {s is string} whether s is a date that exists, as "YYYY-MM-DD"
 */
export function isDate(s) {
  if (typeof s !== 'string') return false;
  try {
    dayNumber(s);
    return true;
  } catch {
    return false;
  }
}

/**
 * @param {string} date
 * @param {number} days may be negative
 * @returns {string}
 */
export function addDays(date, days) {
  return fromDayNumber(dayNumber(date) + days);
}

/**
 * Adds calendar months; a day the target month lacks becomes its last day.
 * @param {string} date
 * @param {number} months may be negative
 * @returns {string}
 */
export function addMonths(date, months) {
  dayNumber(date);
  const [y, m, d] = date.split('-').map(Number);
  const last = new Date(Date.UTC(y, m - 1 + months + 1, 0));
  const day = Math.min(d, last.getUTCDate());
  return fromDayNumber(Date.UTC(last.getUTCFullYear(), last.getUTCMonth(), day) / DAY_MS);
}

/**
 * Calendar days from `from` to `to`, negative when `to` is earlier.
 * @param {string} from
 * @param {string} to
 * @returns {number}
 */
export function daysBetween(from, to) {
  return dayNumber(to) - dayNumber(from);
}

/**
 * @param {string} date
 * @returns {number} 0 for Sunday to 6 for Saturday
 */
export function weekday(date) {
  return new Date(dayNumber(date) * DAY_MS).getUTCDay();
}

/**
 * Minutes after midnight of a wall-clock time.
 * @param {string} clock "HH:MM"
 * @returns {number} 0 to 1439
 */
export function minutes(clock) {
  const m = CLOCK.exec(clock);
  if (!m) throw new RangeError(`time "${clock}": want HH:MM between 00:00 and 23:59`);
  return +m[1] * 60 + +m[2];
}

/**
 * @param {number} min minutes after midnight; wraps round the day
 * @returns {string} "HH:MM"
 */
export function clock(min) {
  const m = ((Math.round(min) % 1440) + 1440) % 1440;
  return `${String(Math.floor(m / 60)).padStart(2, '0')}:${String(m % 60).padStart(2, '0')}`;
}

/** Whether a text is a wall-clock time "HH:MM". @param {unknown} text */
export const isClock = text => typeof text === 'string' && CLOCK.test(text);

/** @type {Map<string, Intl.DateTimeFormat>} */
const formats = new Map();

/**
 * What a wall clock in `zone` shows at an instant.
 * @param {number} ms Unix time in milliseconds
 * @param {string} zone IANA zone name
 * @returns {{date: string, clock: string, seconds: string, offset: number}} offset in minutes east of UTC
 */
export function wallAt(ms, zone) {
  const offset = offsetAt(ms, zone);
  const text = new Date(ms + offset * 60000).toISOString();
  return { date: text.slice(0, 10), clock: text.slice(11, 16), seconds: text.slice(17, 19), offset };
}

// Asking Intl is slow, and a night is asked about many times. Since 1973 no zone
// has changed its clock twice within six days (IANA tz database 2025b), so where
// the offset is the same at both ends of a slot, it is so all through it.
const SLOT_MS = 3 * DAY_MS;
const SLOTS_FROM = Date.UTC(1973, 3);
const SLOTS_TO = Date.UTC(2200, 0);
/** @param {number} ms @returns {boolean} whether the same offset a day before and a day after means the same all between */
const settled = ms => ms > SLOTS_FROM + DAY_MS && ms < SLOTS_TO - DAY_MS;
/** @type {Map<string, number>} offset at the start of a slot */
const starts = new Map();

/**
 * @param {number} ms
 * @param {string} zone
 * @returns {number} minutes east of UTC
 */
function offsetAt(ms, zone) {
  if (!(ms > SLOTS_FROM && ms < SLOTS_TO)) return askOffset(ms, zone);
  const slot = Math.floor(ms / SLOT_MS);
  const from = slotStart(slot, zone);
  return from === slotStart(slot + 1, zone) ? from : askOffset(ms, zone);
}

/** @param {number} slot @param {string} zone */
function slotStart(slot, zone) {
  const key = `${zone}/${slot}`;
  let offset = starts.get(key);
  if (offset === undefined) starts.set(key, (offset = askOffset(slot * SLOT_MS, zone)));
  return offset;
}

/** The zone this machine's own clock runs in, "" for not known. @type {{zone: string}} */
const home = { zone: '' };

/**
 * Says which zone Date runs in for now, so that a start can do without Intl,
 * whose first formatter is slow to make. A phone that travels changes its zone
 * under a running page: so this holds for a moment, and is taken back with "".
 * @param {string} zone IANA zone name
 */
export function atHome(zone) {
  home.zone = zone;
  if (!zone) starts.clear();
}

/** @param {string} [timeZone] the browser's own if absent */
const formatIn = timeZone =>
  new Intl.DateTimeFormat('en-US-u-ca-iso8601-nu-latn', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  });

/** @param {number} ms @param {string} zone */
function askOffset(ms, zone) {
  if (zone === home.zone) return -new Date(ms).getTimezoneOffset();
  let f = formats.get(zone);
  if (!f) {
    try {
      f = formatIn(zone);
    } catch {
      f = formatIn(); // a zone younger than the browser: its own is nearer than none at all
    }
    formats.set(zone, f);
  }
  /** @type {Record<string, string>} */
  const p = {};
  for (const { type, value } of f.formatToParts(ms)) p[type] = value;
  const wall = Date.UTC(+p.year, +p.month - 1, +p.day, +p.hour, +p.minute, +p.second);
  return Math.round((wall - Math.floor(ms / 1000) * 1000) / 60000);
}

/**
 * The night an instant belongs to: a night runs 12:00 to 11:59.
 * @param {number} ms
 * @param {string} zone
 * @returns {string}
 */
export function nightOf(ms, zone) {
  const w = wallAt(ms, zone);
  return w.clock < NIGHT_STARTS ? addDays(w.date, -1) : w.date;
}

/**
 * The instant at which a wall clock in `zone` shows `at` on `date`: the first
 * valid minute after a gap, the first of a doubled pair.
 * @param {string} date
 * @param {string} at "HH:MM"
 * @param {string} zone
 * @returns {number} Unix time in milliseconds
 */
export function instantAt(date, at, zone) {
  const want = dayNumber(date) * DAY_MS + minutes(at) * 60000;
  const around = offsetAt(want - DAY_MS, zone);
  if (settled(want) && around === offsetAt(want + DAY_MS, zone)) return want - around * 60000;
  let best = Infinity;
  for (const probe of [want - DAY_MS, want + DAY_MS]) {
    const t = want - wallAt(probe, zone).offset * 60000;
    const w = wallAt(t, zone);
    if (w.date === date && w.clock === at && t < best) best = t;
  }
  if (best !== Infinity) return best;
  let lo = want - 1.5 * DAY_MS; // wall clock certainly before the gap
  let hi = want + 1.5 * DAY_MS; // and certainly after it
  while (hi - lo > 1000) {
    const mid = lo + Math.floor((hi - lo) / 2000) * 1000;
    if (mid + wallAt(mid, zone).offset * 60000 < want) lo = mid;
    else hi = mid;
  }
  return hi;
}

/**
 * The instant at which a wall clock shows `at` within the night `night`.
 * @param {string} night
 * @param {string} at
 * @param {string} zone
 * @returns {number}
 */
export function instantInNight(night, at, zone) {
  return instantAt(at < NIGHT_STARTS ? addDays(night, 1) : night, at, zone);
}
