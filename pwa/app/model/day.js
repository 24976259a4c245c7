// What is to be done now. Pure: plan, nights, time and zone are arguments.
import {
  addDays,
  clock,
  instantInNight,
  minutes,
  nightOf,
  NIGHT_STARTS,
  wallAt,
} from '../../../schedule/civil/civil.js';
import { paused, soakFor, wearing } from '../../../schedule/due.js';
import { fact } from './fold.js';
import { LONGEST, removed } from './stay.js';

/** @import { Entry } from './entry.js' */
/** @import { Night } from './fold.js' */
/** @import { Pause, Plan } from '../../../schedule/due.js' */

/** @typedef {'in'|'out'|'look'|'care'|'evening'|'missed'|'asleep'|'rest'|'before'|'pause'|'paused'|'hold'|'pass'|'lost'} TaskKind look: how the eyes are, hold: a stop, pass: no lens tonight, lost: there is none */
/** @typedef {{kind: TaskKind, night: string, at?: string, urgent?: boolean, unsaid?: boolean, eye?: 'right'|'left'}} Task at: when the lenses went in; urgent: a lens is in an eye that may have none; unsaid: it was to come out tonight, may be in again, and nobody has said which; eye: the only one that is meant; of care, while the other lens is kept for the clinic */
/** @typedef {{ready: number|null, closed: number|null, water?: boolean, again?: boolean}} Soak closed null: not logged; water: tap water touched lens or case, and nothing was soaked since: never ready; again: a report said that water did, and nothing was cleaned since */

/** What a log without a plan is read by; common practice. */
export const NO_PLAN = Object.freeze({
  insertion_at: '21:30',
  removal_at: '06:45',
  evening_sight_at: '19:00',
  soak_minutes: 360,
  care_system: 'multipurpose',
});

/**
 * @typedef {object} Scene
 * @property {Plan|null} plan
 * @property {string} zone of the phone
 * @property {number} now Unix ms
 * @property {(night: string) => Night|undefined} night of the wearer
 * @property {Pause[]} [pauses] of reminders, set by the family
 * @property {{right: 'none'|'rest'|'stop', left: 'none'|'rest'|'stop'}} wear whether each eye may be offered a lens
 * @property {(night: string) => {right: string, left: string}} [wearOn] as `wear`, of a night as the log tells it now
 * @property {{right: number, left: number}} [told] when it was last said of each eye that it may have no lens, Unix ms; 0 for never
 * @property {Record<string, number>} [out] when the practice said last of the lens of each eye that it is out, Unix ms; 0 for never
 * @property {boolean} [gone] consent was taken back: no entry of a lens is taken any more
 * @property {(eye: 'right'|'left', night: string) => boolean} [unmet] whether a lens that is in since a night went in against what its release asks for
 * @property {{eye: 'right'|'left', on: string}[]} [lost] lenses that were lost, with none taken into use since; on: "YYYY-MM-DD"
 */

/** @param {Night|undefined} n @param {string} prefix */
export const any = (n, prefix) => !!n && [...n.items.keys()].some(k => k.startsWith(prefix));

/**
 * That a case was closed is no care by itself: it may be that of the night
 * before, done in the afternoon.
 * @param {Night|undefined} n
 */
export function facts(n) {
  return {
    inserted: any(n, 'insertion/'),
    removed: any(n, 'removal/'),
    care: !!n && [...n.items.keys()].some(k => k.startsWith('care/') && k !== 'care/closed_at'),
    morning: any(n, 'morning/'),
    evening: any(n, 'evening-sight'),
    notWorn: any(n, 'not-worn/left') && any(n, 'not-worn/right'),
    partly: any(n, 'not-worn/'),
  };
}

/** @type {('right'|'left')[]} */
const EYES = ['right', 'left'];

/** The eyes that may not have a lens now. @param {Scene} s */
export const heldEyes = s => EYES.filter(eye => s.wear[eye] !== 'none');

/** Whether an eye is stopped: nothing the family does ends that. @param {Scene} s */
export const stopped = s => EYES.some(eye => s.wear[eye] === 'stop');

/**
 * What besides its wear state keeps a lens out of an eye on a night, as the end of its key
 * in the words: no plan yet or a night before its first, wear has ended, a pause for illness, a plan for the other eye; "" for nothing.
 * @param {Scene} s @param {string} eye @param {string} night @returns {''|'first'|'end'|'ill'|'plan'}
 */
export function bar(s, eye, night) {
  if (!s.plan?.first_night || night < s.plan.first_night) return 'first';
  if (ended(s, night)) return 'end';
  if (s.pauses?.some(p => p.reason === 'ill' && p.from <= night && p.to >= night)) return 'ill';
  const { eyes, from } = s.plan ?? {};
  return eyes && eyes !== 'both' && eyes !== eye && from && from <= night ? 'plan' : '';
}

/** The eyes that have a lens on a night, of those planned: none while one is lost, and the clinic has not been asked (ours, on the safe side). @param {Scene} s @param {string} night */
const lensed = (s, night) =>
  s.lost?.some(x => x.on <= night) ? [] : EYES.filter(eye => !s.plan?.eyes || [eye, 'both'].includes(s.plan.eyes));

/** Those of them that may be offered it: that may have a lens now, and might in that night. @param {Scene} s @param {string} [night] */
const freeEyes = (s, night = nightOf(s.now, s.zone)) => {
  const then = (night !== nightOf(s.now, s.zone) && s.wearOn?.(night)) || s.wear;
  return lensed(s, night).filter(eye => s.wear[eye] === 'none' && then[eye] === 'none');
};

/** The eye that is meant where it is one of two. @param {Scene} s @param {('right'|'left')[]} eyes @returns {{eye?: 'right'|'left'}} */
const alone = (s, eyes) => (eyes.length === 1 && s.plan?.eyes !== eyes[0] ? { eye: eyes[0] } : {});

/** When an entry was written, Unix ms. @param {Entry} e */
const exactly = e => Date.parse(`${e.wall}Z`) - e.offset * 60000;

/** The same to the minute, as its clocks are. @param {Entry} e */
const written = e => Math.floor(exactly(e) / 60000) * 60000;

/**
 * Whether a removal surely came after an insertion. Both are said to the minute:
 * in the same one the entry written later counts. Nothing is done later than it
 * is written; where two readings remain, the lens is in.
 * @param {string} night
 * @param {Entry} gone
 * @param {Entry} into
 * @param {boolean} later whether the removal was written after the insertion
 */
function cameOut(night, gone, into, later) {
  const said = instantInNight(night, into.body.at, into.zone);
  const out = /** @type {import('./stay.js').Clocked} */ ({ at: gone.body.at, on: gone.body.on });
  const next = removed(night, out, said, gone.zone);
  const wrote = written(gone);
  const at = next <= wrote ? next : Math.min(removed(night, out, undefined, gone.zone), wrote);
  return later ? Math.min(said, written(into)) <= at : said < at;
}

/**
 * Whether a lens is in, as far as it is logged: it may have gone in again after
 * it came out. What is only filled in later for an earlier hour changes nothing.
 * @param {Night|undefined} n
 * @param {string} eye
 * @param {number} [out] when the practice said last that it is out, Unix ms: what the server has of before
 */
function lensIn(n, eye, out = 0) {
  if (!n) return false;
  const { night, entries } = n; // the newest stands first
  const of = (/** @type {Entry} */ e, /** @type {string} */ kind) =>
    e.kind === kind && (e.body.eyes === 'both' || e.body.eyes === eye);
  return entries.some(
    (into, i) =>
      of(into, 'insertion') &&
      !(into.recv && exactly(into) - (into.skew_ms ?? 0) < out) &&
      !entries.some((gone, g) => of(gone, 'removal') && cameOut(night, gone, into, g < i)),
  );
}

const BACK = 90; // nights that are looked through for a lens nobody logged out (our choice)

/**
 * The night since when the lens of an eye is in by the log: of the newest one that says
 * anything of it; "" where it came out, or was not worn since.
 * @param {Scene} s @param {string} eye
 */
export function inSince(s, eye) {
  for (let night = nightOf(s.now, s.zone), i = 0; i < BACK; night = addDays(night, -1), i++) {
    const n = s.night(night);
    if (lensIn(n, eye, s.out?.[eye])) return night;
    if (['insertion', 'removal', 'not-worn'].some(k => any(n, `${k}/${eye}`))) return '';
  }
  return '';
}

/** Whether nobody has said of a lens that it is in since it was to come out. @param {Scene} s @param {'right'|'left'} eye @param {string} night of its insertion */
const unsaid = (s, eye, night) =>
  !s
    .night(night)
    ?.entries.some(
      e => e.kind === 'insertion' && ['both', eye].includes(e.body.eyes) && exactly(e) > (s.told?.[eye] ?? 0),
    );

/** Whether somebody said how the eyes are after the lenses of a night went in: what was said before is not of its morning. @param {Scene} s @param {Night|undefined} n */
const looked = (s, n) => !!n?.entries.some(e => e.kind === 'morning' && written(e) >= (insertedAt(n, s.zone) ?? 0));

/** Whether a lens went in again after it had come out in the same night. @param {Night|undefined} n */
export const again = n => EYES.some(eye => any(n, `removal/${eye}`) && any(n, `insertion/${eye}`) && lensIn(n, eye));

/** Facts of a night that goes on: lenses that went in again are not out. @param {Night|undefined} n */
export const standing = n => ({ ...facts(n), removed: any(n, 'removal/') && !again(n) });

/** A clock of a night as text that sorts by time. @param {string} at */
const inNight = at => (at < NIGHT_STARTS ? 1 : 0) + at;

/**
 * Whether lenses were cleaned since they last went in: a case closed before that is
 * no care of what came out after.
 * @param {Night|undefined} n
 */
export const cared = n =>
  !!n?.entries.some(({ kind, body }) => {
    const before = (/** @type {string} */ eye) =>
      body.closed_at && inNight(body.closed_at) < inNight(fact(n, `insertion/${eye}`)?.at ?? '12:00');
    return (
      kind === 'care' &&
      Object.keys(body).some(k => n.items.has(`care/${k}`) && k !== 'closed_at') &&
      !EYES.some(before)
    );
  });

/**
 * The one thing to do now, and what else is open today. While an eye may have no
 * lens that stands first at every hour, and nothing says that all is done.
 * @param {Scene} s
 * @returns {{night: string, main: Task, also: Task[]}}
 */
export function tasks(s) {
  const night = nightOf(s.now, s.zone);
  const time = wallAt(s.now, s.zone).clock;
  const morning = time < '12:00';
  const asleep = !morning || time < '04:00'; // the night goes on
  const held = heldEyes(s);
  const since = { right: inSince(s, 'right'), left: inSince(s, 'left') };
  const worn = EYES.filter(eye => since[eye]);
  /** Out of the newest night first. @param {('right'|'left')[]} eyes @param {Partial<Task>} more @returns {Task[]} */
  const out = (eyes, more = {}) => {
    const [newest] = eyes
      .map(eye => since[eye])
      .sort()
      .reverse();
    const of = eyes.filter(eye => since[eye] === newest);
    return newest ? [{ kind: 'out', night: newest, ...more, ...alone(s, of) }] : [];
  };
  const kept = worn.filter(eye => held.includes(eye));
  const barred = (/** @type {'right'|'left'} */ eye) => bar(s, eye, since[eye]) || s.unmet?.(eye, since[eye]);
  const [urgent] = out(kept.length ? kept : worn.filter(barred), { urgent: true });
  if (urgent) return { night, main: urgent, also: [] };
  /** @type {Task} */
  const no = { kind: stopped(s) ? 'hold' : 'pass', night };
  const last = morning ? night : addDays(night, -1);
  const before = morningTasks(s, last, morning, time).filter(t => t.kind !== 'care' || !wornAgain(s, last, night));
  if (held.length && !freeEyes(s).length) {
    return { night, main: no, also: before.filter(t => t.kind === 'care') }; // of a lens that only rests
  }
  const tonight = asleep ? eveningTasks(s, night, time) : [];
  const now = worn.filter(eye => since[eye] === night && asleep);
  // A night that was not logged can wait; lenses that are still in cannot.
  const late = before.filter(t => t.kind === 'missed');
  const list = [
    ...out(worn.filter(eye => !now.includes(eye))),
    ...before.filter(t => t.kind !== 'missed'),
    ...tonight,
    ...late,
  ];
  const doubt = now.filter(eye => unsaid(s, eye, night));
  if (doubt.length) list.unshift(...out(doubt, { unsaid: true }));
  else if (now.length && list[0]?.kind !== 'out') list.unshift(resting(s, night, morning));
  const [main, ...also] = list;
  if (main) return { night, main, also };
  return { night, main: held.length ? no : resting(s, night, morning), also };
}

/**
 * Whether each lens of a night has gone in again since: what was to be cleaned then is
 * to be cleaned after it came out anew, once.
 * @param {Scene} s
 * @param {string} night
 * @param {string} tonight
 */
function wornAgain(s, night, tonight) {
  const [then, since] = [s.night(night), s.night(tonight)];
  const worn = EYES.filter(eye => any(then, `insertion/${eye}`) || any(then, `removal/${eye}`));
  return night < tonight && worn.every(eye => any(since, `insertion/${eye}`));
}

/**
 * Cleaning after a night. While an eye is stopped its lens and the case are kept for the
 * clinic: only a lens that could be worn in that night, and was, is cleaned.
 * @param {Scene} s
 * @param {string} night
 * @returns {Task[]}
 */
function careTask(s, night) {
  const n = s.night(night);
  if (cared(n)) return [];
  if (!stopped(s)) return [{ kind: 'care', night }];
  return freeEyes(s, night)
    .filter(eye => any(n, `insertion/${eye}`))
    .map(eye => ({ kind: 'care', night, eye }));
}

/**
 * @param {Scene} s
 * @param {string} night the night that ended, or ends, this morning
 * @param {boolean} morning
 * @param {string} time
 * @returns {Task[]} but for lenses that are in
 */
function morningTasks(s, night, morning, time) {
  const n = s.night(night);
  const f = facts(n);
  if (EYES.some(eye => lensIn(n, eye))) return [];
  if (f.removed) {
    /** @type {Task[]} */
    const look = looked(s, n) || !morning ? [] : [{ kind: 'look', night }]; // of the evening nobody asks how the morning was
    return [...look, ...careTask(s, night)];
  }
  // A night is not asked about of an eye that had to be without a lens in it.
  const free = freeEyes(s, night);
  if (!f.partly && reminded(s, night) && free.length && !(morning && time < '04:00'))
    return [{ kind: 'missed', night, ...alone(s, free) }];
  return [];
}

/**
 * @param {Scene} s
 * @param {string} night
 * @param {string} time before 04:00, or from noon on
 * @returns {Task[]}
 */
function eveningTasks(s, night, time) {
  const plan = s.plan ?? NO_PLAN;
  const n = s.night(night);
  const f = facts(n);
  const started = !!s.plan?.first_night && night > s.plan.first_night;
  const early = time < '04:00';
  /** @type {Task[]} */
  const out = [];
  const bedtime = early || time >= earlier(plan.insertion_at, 60);
  const back = f.inserted && !EYES.some(eye => lensIn(n, eye)); // out again before the night has begun
  if (back && !early) out.push(...careTask(s, night));
  // None is offered to an eye that has one in by the log, of whatever night.
  const free = freeEyes(s, night).filter(eye => !inSince(s, eye) && !any(n, `not-worn/${eye}`));
  if (bedtime && !(early && f.removed) && reminded(s, night) && free.length)
    out.push({ kind: 'in', night, ...alone(s, free) });
  if (
    !f.evening &&
    !f.inserted &&
    started &&
    lensed(s, addDays(night, -1)).length &&
    !ended(s, night) &&
    !paused(s.pauses, night) &&
    !early &&
    time >= earlier(plan.evening_sight_at, 60)
  ) {
    /** @type {Task} */
    const rate = { kind: 'evening', night };
    if (bedtime && time >= earlier(plan.insertion_at, 30)) out.push(rate);
    else out.unshift(rate);
  }
  return out;
}

/**
 * Whether a night is asked about: a plan says lenses, and the family has not
 * paused its reminders. Without a plan nobody is told to put lenses in.
 * @param {Scene} s
 * @param {string} night
 */
const reminded = (s, night) => !s.gone && !paused(s.pauses, night) && !!s.plan && wearing(s.plan, night);

/** Whether wear has ended by a night. @param {Scene} s @param {string} night */
const ended = (s, night) => !!s.plan?.stopped && night >= s.plan.stopped;

/** @param {string} at @param {number} by minutes; never before noon */
function earlier(at, by) {
  const m = minutes(at);
  return m < 720 ? '23:30' : clock(Math.max(720, m - by));
}

/**
 * @param {Scene} s
 * @param {string} night
 * @param {boolean} morning
 * @returns {Task}
 */
function resting(s, night, morning) {
  const n = s.night(night);
  const next = morning ? addDays(night, 1) : night; // the night that is ahead
  const worn = EYES.filter(eye => lensIn(n, eye));
  if (worn.length) return { kind: 'asleep', night, at: fact(n, `insertion/${worn[0]}`)?.at, ...alone(s, worn) };
  if (!s.plan?.first_night || night < s.plan.first_night) return { kind: 'before', night: s.plan?.first_night ?? '' };
  if ((!morning && !wearing(s.plan, night)) || ended(s, next) || s.gone) return { kind: 'pause', night };
  if (paused(s.pauses, next)) return { kind: 'paused', night: next };
  if (!lensed(s, next).length && !standing(s.night(next)).notWorn) return { kind: 'lost', night: next };
  return { kind: 'rest', night };
}

/**
 * What comes next when nothing is due.
 * @param {Scene} s
 * @returns {{what: 'in'|'out'|'evening', at: string}}
 */
export function upcoming(s) {
  const plan = s.plan ?? NO_PLAN;
  const time = wallAt(s.now, s.zone).clock;
  const n = s.night(nightOf(s.now, s.zone));
  const f = facts(n);
  if (time >= '12:00' && EYES.some(eye => lensIn(n, eye))) return { what: 'out', at: plan.removal_at };
  if (time >= '12:00' && f.evening && !f.notWorn && freeEyes(s).length) return { what: 'in', at: plan.insertion_at };
  return { what: 'evening', at: plan.evening_sight_at };
}

/**
 * The soak that must be over before tonight's lenses go in; null when nothing
 * has been cleaned lately, e.g. before the first night.
 * @param {Scene} s
 * @returns {Soak|null}
 */
export function soak(s) {
  const tonight = nightOf(s.now, s.zone);
  const total = s.plan?.soak_minutes ?? NO_PLAN.soak_minutes;
  const nights = [tonight, addDays(tonight, -1)];
  // Whoever says water is told to disinfect again in full, and what was closed before counts no more.
  const reports = nights.flatMap(d => s.night(d)?.entries ?? []).filter(e => e.kind === 'symptoms');
  const told = Math.max(0, ...reports.filter(e => e.body.water === 'yes').map(written));
  // Tap water on lens or case voids the soak until it was cleaned and soaked anew, whichever night it is said of.
  const cares = (/** @type {string} */ d) => (s.night(d)?.entries ?? []).filter(e => e.kind === 'care');
  const all = nights.flatMap(cares).sort((a, b) => written(b) - written(a)); // of one night the newest stands first
  const wet = all.findIndex(e => e.body.tap_water || e.body.rinse === 'tap-water');
  const closings = all.filter(
    (e, i) =>
      e.body.closed_at && (wet < 0 || written(e) > written(all[wet]) || (i < wet && e.night === all[wet].night)),
  );
  if (wet >= 0 && !closings.length) return { ready: Infinity, closed: null, water: true };
  for (const night of nights) {
    const n = s.night(night);
    if (!any(n, 'care/') && !any(n, 'removal/')) continue;
    const closes = cares(night).filter(e => closings.includes(e));
    if (!closes.length && told) break;
    if (!closes.length) return { ready: null, closed: null };
    // Where two entries differ the later closing counts: it is the safer one.
    // Each is read by the clock it was written by: a flight changes nothing.
    const closed = Math.max(...closes.map(e => instantInNight(night, e.body.closed_at, e.zone)));
    if (closed < told) break;
    return { closed, ready: soakFor(closed, total, s.now).ready };
  }
  if (!told) return null;
  const { ready } = soakFor(told, total, s.now); // at the earliest: as if it was done at once
  return ready && ready > s.now ? { ready, closed: null, again: true } : { ready: null, closed: null };
}

/** What is said of either eye. @param {Night} n @param {string} kind */
const ofEyes = (n, kind) =>
  ['right', 'left'].flatMap(eye => n.items.get(`${kind}/${eye}`)?.facts.map(f => f.value) ?? []);

/**
 * When the first lens of a night went in, as Unix ms.
 * @param {Night|undefined} n
 * @param {string} zone where an entry names none
 * @returns {number|undefined}
 */
export function insertedAt(n, zone) {
  const into = n ? ofEyes(n, 'insertion').map(v => instantInNight(n.night, v.at, v.zone ?? zone)) : [];
  return into.length ? Math.min(...into) : undefined;
}

/**
 * When the last lens of a night came out, as Unix ms.
 * @param {Night|undefined} n
 * @param {string} zone where an entry names none
 * @returns {number|undefined}
 */
export function removedAt(n, zone) {
  const into = insertedAt(n, zone);
  // One that would only have come out after the longest wear came out before they went in again.
  const of = (/** @type {any} */ v) => {
    const at = removed(n?.night ?? '', v, into, zone);
    return v.on || at - (into ?? at) <= LONGEST * 60000 ? at : removed(n?.night ?? '', v, undefined, zone);
  };
  const out = n ? ofEyes(n, 'removal').map(of) : [];
  return out.length ? Math.max(...out) : undefined;
}
