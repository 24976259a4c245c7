// Whether what is about to be saved can be meant. A doubt says why and, where it
// can guess, what was probably meant; one that is firm cannot be saved, any other
// is asked about. Pure.
import {
  addDays,
  clock,
  instantInNight,
  minutes,
  nightOf,
  NIGHT_STARTS,
  wallAt,
} from '../../../schedule/civil/civil.js';
import { removed } from './stay.js';

/** In lenses; longer is asked about (our own limit). */
export const LONG_MS = 16 * 3600000;

/** Whether lenses are out again within an hour (our own limit). @param {number} into Unix ms @param {number} out Unix ms */
export const brief = (into, out) => out - into < 3600000;

/**
 * Whether lenses went in in the morning (our own limits): out again soon, they
 * rather were in all night, and it was logged late.
 * @param {number} into Unix ms
 * @param {string} zone
 */
function early(into, zone) {
  const at = wallAt(into, zone).clock;
  return at >= '04:00' && at < NIGHT_STARTS;
}

/** @typedef {Record<string, any>} Values of the form */
/** @typedef {{key: string, at?: number, ms?: number, date?: string, firm: boolean, taken?: string, offer?: {key: string, at?: number, date?: string, change: Values}}} Doubt at: an instant, ms: a length of time; both Unix ms; taken: the night it was probably of, which has its own entry already, so that nothing is offered */
/**
 * @typedef {object} Known what the answer is held against
 * @property {string} night
 * @property {number} now Unix ms
 * @property {string} zone
 * @property {{insertion_at: string, removal_at: string}} plan
 * @property {number|undefined} into when the lenses went in, Unix ms
 * @property {number|undefined} out when they came out, Unix ms
 * @property {string} [was] the clock that is mended, "HH:MM"
 * @property {boolean} [held] an eye may have no lens: nobody is asked why it comes out so soon
 * @property {(night: string) => boolean} [taken] whether an entry moved to that night would replace what stands there, or stand beside it
 */

const BY_DAY = 5 * 60; // minutes before the planned insertion from which one is asked about (our own limit)
const LATE = 30; // minutes after the planned removal from which one in the morning is asked about (our own limit)
const NEAR = 180; // minutes from the usual time within which a slip of twelve hours is guessed first
const AHEAD_MS = 3600000; // a time to come nearer than this is a slip for now (our own limit)
const SLIP_MS = 60000; // clocks show whole minutes

/**
 * @param {string} kind of the form
 * @param {Values} v
 * @param {Known} k
 * @returns {Doubt|null}
 */
export function doubt(kind, v, k) {
  const night = v.night || k.night;
  if (kind === 'in') return v.at ? unlessTaken(inDoubt(v.at, night, k), k) : null;
  if (kind === 'missed') return missedDoubt(v, night, k);
  if (kind === 'out' || kind === 'removal') return v.at ? outDoubt(v, night, k.into, k) : null;
  if (kind === 'care' && v.closed_at) return closedDoubt(v.closed_at, night, k);
  return null;
}

/** Nothing is offered that would replace another night's entry: of a time to come, now is. @param {Doubt|null} d @param {Known} k @returns {Doubt|null} */
function unlessTaken(d, k) {
  const night = d?.offer?.change.night;
  if (!d || !night || !k.taken?.(night)) return d;
  return {
    ...d,
    offer: d.key === 'doubt.future' && k.night === nightOf(k.now, k.zone) ? justNow(k) : undefined,
    taken: night,
  };
}

/** @param {Known} k */
const justNow = k => ({ key: 'doubt.now', at: k.now, change: { at: wallAt(k.now, k.zone).clock } });

/** @param {string} at @param {string} night @param {Known} k @returns {Doubt|null} */
function inDoubt(at, night, k) {
  const t = instantInNight(night, at, k.zone);
  const before = addDays(night, -1);
  if (t > k.now + SLIP_MS && t - k.now <= AHEAD_MS && night === nightOf(k.now, k.zone))
    return { key: 'doubt.future', at: t, firm: true, offer: justNow(k) };
  if (t > k.now + SLIP_MS) {
    const then = instantInNight(before, at, k.zone);
    return {
      key: 'doubt.future',
      at: t,
      firm: true,
      offer: { key: 'doubt.meant', at: then, change: { night: before } },
    };
  }
  if (k.out !== undefined && night === k.night && t === k.out) {
    const usual = instantInNight(night, k.plan.insertion_at, k.zone);
    const offer = { key: 'doubt.meant', at: usual, change: { at: k.plan.insertion_at } };
    // Just out and in again within the minute is the one way that it can be.
    return { key: 'doubt.same', at: t, firm: k.now - t >= 2 * SLIP_MS, offer: usual < t ? offer : undefined };
  }
  if (k.out !== undefined && night === k.night && t >= k.out) return { key: 'doubt.after-out', at: k.out, firm: false };
  // In the morning, when they are out by the plan: they went in last night and are still in.
  if (at < '12:00' && minutes(at) - minutes(k.plan.removal_at) >= LATE) {
    const usual = instantInNight(night, k.plan.insertion_at, k.zone);
    return {
      key: 'doubt.by-day',
      at: t,
      firm: false,
      offer: { key: 'doubt.last-night', at: usual, change: { at: k.plan.insertion_at } },
    };
  }
  const early = at >= '12:00' && minutes(k.plan.insertion_at) - minutes(at) > BY_DAY;
  if (!early) return night === k.night ? longUntil(t, night, k) : null;
  return {
    key: 'doubt.by-day',
    at: t,
    firm: false,
    offer: {
      key: 'doubt.last-night',
      at: instantInNight(before, k.plan.insertion_at, k.zone),
      change: { night: before, at: k.plan.insertion_at },
    },
  };
}

/** Too long in lenses, by when they are logged to have come out. @param {number} t Unix ms @param {string} night @param {Known} k @returns {Doubt|null} */
function longUntil(t, night, k) {
  if (k.out === undefined || k.out - t <= LONG_MS) return null;
  const usual = instantInNight(night, k.plan.insertion_at, k.zone);
  const fits = usual < k.out && k.out - usual <= LONG_MS;
  const offer = fits ? { key: 'doubt.meant', at: usual, change: { at: k.plan.insertion_at } } : undefined;
  return { key: 'doubt.long', ms: k.out - t, firm: false, offer };
}

/** @param {Values} v @param {string} night @param {Known} k @returns {Doubt|null} */
function missedDoubt(v, night, k) {
  if (!v.in || !(v.still || v.out)) return null;
  const into = instantInNight(night, v.in, k.zone);
  if (into > k.now + SLIP_MS) return { key: 'doubt.future', at: into, firm: true };
  if (v.still) return null;
  const d = outDoubt({ at: v.out }, night, into, k);
  return d?.offer ? { ...d, offer: { ...d.offer, change: { out: d.offer.change.at } } } : d;
}

/** @param {Values} v @param {string} night @param {number|undefined} into @param {Known} k @returns {Doubt|null} */
function outDoubt(v, night, into, k) {
  const at = (/** @type {string} */ c) =>
    removed(night, { at: c, on: c === v.at ? v.on || undefined : undefined }, into, k.zone);
  const t = at(v.at);
  const fits = (/** @type {string} */ c) =>
    at(c) <= k.now + SLIP_MS && (into === undefined || (at(c) > into && at(c) - into <= LONG_MS));
  // The other half of the day, when that is near the usual time; else the usual time.
  const half = clock(minutes(v.at) + 720);
  const usual = k.plan.removal_at;
  const near = Math.abs(minutes(half) - minutes(usual)) <= NEAR;
  // Without a word of when they went in, the other half of the day is no better a guess than any.
  const other = into === undefined ? '' : half;
  const meant = [near ? half : usual, usual, k.was, other, wallAt(k.now, k.zone).clock].find(
    c => c && c !== v.at && fits(c),
  );
  const offer = meant ? { key: 'doubt.meant', at: at(meant), change: { at: meant, on: '' } } : undefined;
  if (t > k.now + SLIP_MS) return { key: 'doubt.future', at: t, firm: true, offer };
  // In the evening of the night itself nothing can have come out that did not go in.
  const before = night === nightOf(k.now, k.zone) && wallAt(k.now, k.zone).clock >= NIGHT_STARTS;
  if (into === undefined) return before && !k.was ? { key: 'doubt.no-in', at: t, firm: false } : null;
  const short = !k.held && brief(into, t) && t >= into;
  const morning = early(into, k.zone);
  if (t === into && k.now - t < 2 * SLIP_MS && !(short && morning)) return null; // put in and taken out again at once
  if (t === into && k.now - t >= 2 * SLIP_MS) return { key: 'doubt.same', at: t, firm: true, offer };
  if (t < into) return { key: 'doubt.before-in', at: into, firm: true, offer };
  if (short) return { key: morning ? 'doubt.short' : 'doubt.soon', ms: t - into, firm: false };
  return t - into > LONG_MS && !v.on ? { key: 'doubt.long', ms: t - into, firm: false, offer } : null;
}

/** @param {string} at @param {string} night @param {Known} k @returns {Doubt|null} */
function closedDoubt(at, night, k) {
  const t = instantInNight(night, at, k.zone);
  if (t <= k.now + SLIP_MS) return null;
  const now = wallAt(k.now, k.zone).clock;
  return { key: 'doubt.future', at: t, firm: true, offer: { key: 'doubt.now', at: k.now, change: { closed_at: now } } };
}
