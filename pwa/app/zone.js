// The phone's time zone without waiting for it. Its name is only to be had from
// Intl, whose first formatter costs a slow phone a tenth of a second. So a start
// takes the name of the last one, if the clock of this phone still runs as it
// did then, and asks Intl after the first paint.
import { wallAt } from '../../schedule/civil/civil.js';

const KEY = 'zone';
const DAY_MS = 86400000;

// Days about today at which zones are told apart: each of the time for which the
// name is taken, and now and then through a year on both sides.
const NEAR = Array.from({ length: 71 }, (_, i) => i - 35);
const FAR = Array.from({ length: 25 }, (_, i) => (i - 12) * 30);
const PROBES = [...NEAR, ...FAR];

/**
 * How this phone's clock differs from UTC about a day. Where that is the same, a
 * wall clock shows the same.
 * @param {number} day since 1970-01-01
 */
function course(day) {
  const offsets = PROBES.map(d => new Date((day + d) * DAY_MS).getTimezoneOffset());
  return offsets.flatMap((o, i) => (o === offsets[i - 1] ? [] : `${i}:${o}`)).join();
}

/**
 * @param {Storage} storage
 * @param {number} now Unix ms
 * @returns {string} IANA name; "" when only Intl can tell
 */
export function zoneBefore(storage, now) {
  const [name, day, was] = (storage.getItem(KEY) ?? '').split(' ');
  const near = Math.abs(now / DAY_MS - Number(day)) < 30;
  return name && near && course(Number(day)) === was ? name : '';
}

/**
 * Asks Intl, and keeps the answer for the next start.
 * @param {Storage} storage
 * @param {number} now Unix ms
 * @returns {string} IANA name
 */
export function zoneNow(storage, now) {
  const name = new Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';
  const day = Math.floor(now / DAY_MS);
  try {
    storage.setItem(KEY, `${name} ${day} ${course(day)}`);
  } catch {
    /* a full phone asks again next time */
  }
  return name;
}

// What browsers say to everybody that are not to be told apart by their clock:
// Firefox with its protection from fingerprinting, and those built on it (from
// memory). Hardly any family lives there.
const VEILED = ['UTC', 'Etc/UTC', 'GMT', 'Etc/GMT', 'Atlantic/Reykjavik'];

/**
 * Which zone to go by. A name that a browser may only pretend is not believed
 * before somebody has said so: until then the family's own zone holds, and
 * somebody is asked when the two clocks differ.
 * @param {string} name the browser's, an IANA name
 * @param {string} home of the family; "" for not known yet
 * @param {string} said the browser's name when somebody was asked, a space, and the zone they gave; "" for nobody was
 * @param {number} now Unix ms
 * @returns {{zone: string, ask: boolean}}
 */
export function trusted(name, home, said, now) {
  const [of, zone] = said.split(' ');
  if (zone && of === name) return { zone, ask: false };
  if (!home || !VEILED.includes(name)) return { zone: name, ask: false };
  return { zone: home, ask: wallAt(now, home).offset !== wallAt(now, name).offset };
}
