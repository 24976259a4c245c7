// A family's own times of reminders: what leaves room for the plan. Pure: the
// twin of Check in schedule/own.go, on the same vectors.
import { clock, daysBetween, minutes, NIGHT_STARTS } from '../../../schedule/civil/civil.js';

/** @import { Clocks, Own, Plan } from '../../../schedule/due.js' */

/** @typedef {{field: string, from?: string, to?: string, quiet?: boolean}} Fault from, to: the hours that are accepted or, of quiet, are not */

const DAY = 1440;
const MAX_HOLIDAYS = 20;
const MAX_HOLIDAY_NIGHTS = 120;
/** @type {(keyof Clocks)[]} */
export const MOVED = ['evening_sight_at', 'insertion_at', 'removal_at'];

/** Minutes from one clock to the next occurrence of another, 0 to 1439. @param {string} from @param {string} to */
const after = (from, to) => (minutes(to) - minutes(from) + DAY) % DAY;

/**
 * @param {Plan} plan
 * @param {Own} own
 * @returns {Fault[]}
 */
export function ownFaults(plan, own) {
  /** @type {Fault[]} */
  const faults = [];
  if (own.free_nights?.some(d => d < 0 || d > 6)) faults.push({ field: 'free_nights' });
  if ((own.holidays?.length ?? 0) > MAX_HOLIDAYS) faults.push({ field: 'holidays' });
  own.holidays?.forEach((x, i) => {
    const nights = x.from && x.to ? daysBetween(x.from, x.to) + 1 : 0;
    if (nights < 1 || nights > MAX_HOLIDAY_NIGHTS) faults.push({ field: `holidays[${i}]` });
  });
  const quiet = own.quiet ? { quiet_from: own.quiet.from, quiet_to: own.quiet.to } : {};
  const every = { ...plan, ...quiet, ...set(own.every) };
  const free = { ...every, ...set(own.free) };
  const chosen = (/** @type {Clocks} */ c) => MOVED.some(k => c?.[k]);
  if (own.quiet || chosen(own.every)) faults.push(...faultsOf('every', every));
  if (chosen(own.free)) faults.push(...faultsOf('free', free));
  return faults;
}

/** @param {Clocks|undefined} clocks */
const set = clocks => Object.fromEntries(Object.entries(clocks ?? {}).filter(([, v]) => v));

/**
 * @param {string} which
 * @param {Plan} p with the family's times in it
 * @returns {Fault[]}
 */
function faultsOf(which, p) {
  const need = p.min_hours * 60;
  const window = after(p.wear_from, p.wear_to) || DAY;
  /** @type {Record<string, {ok: boolean, from: string, to: string}>} */
  const rooms = {
    evening_sight_at: {
      ok:
        p.evening_sight_at >= NIGHT_STARTS &&
        after(NIGHT_STARTS, p.evening_sight_at) <= after(NIGHT_STARTS, p.insertion_at),
      from: NIGHT_STARTS,
      to: p.insertion_at,
    },
    insertion_at: {
      ok: after(p.wear_from, p.insertion_at) + need <= window,
      from: p.wear_from,
      to: clock((minutes(p.wear_to) - need + DAY) % DAY),
    },
    removal_at: {
      ok: between(after(p.insertion_at, p.removal_at) || DAY, need, after(p.insertion_at, p.wear_to) || DAY),
      from: clock((minutes(p.insertion_at) + need) % DAY),
      to: p.wear_to,
    },
  };
  const silent = p.quiet_from === p.quiet_to ? 0 : after(p.quiet_from, p.quiet_to);
  return MOVED.flatMap(k => {
    const field = `${which}.${k}`;
    const { ok, from, to } = rooms[k];
    return [
      ...(ok ? [] : [{ field, from, to }]),
      ...(after(p.quiet_from, p[k]) < silent ? [{ field, from: p.quiet_from, to: p.quiet_to, quiet: true }] : []),
    ];
  });
}

/** @param {number} n @param {number} lo @param {number} hi */
const between = (n, lo, hi) => n >= lo && n <= hi;
