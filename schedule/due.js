// What is due, when the soak is done and when the next visit is: the twin of
// the Go package for the browser, on the same vectors. Pure: the rule table,
// the present instant and the zone are arguments. Sending reminders is the
// server's part and has no twin.
import {
  addDays,
  addMonths,
  daysBetween,
  instantAt,
  instantInNight,
  nightOf,
  NIGHT_STARTS,
  wallAt,
} from './civil/civil.js';

/**
 * @typedef {object} Rule a row of rules.json
 * @property {string} id
 * @property {string} each night or day
 * @property {string} at a clock of the plan: insertion_at, removal_at or evening_sight_at
 * @property {number} [plus_minutes]
 * @property {string} until night-end, full-night or minutes
 * @property {number} [useful_minutes]
 * @property {string} to first, parent or all
 * @property {string} group morning, evening or bedtime
 * @property {string} key of the text shown
 * @property {number} [then_every_days] of a rule with a due date
 */

/**
 * @typedef {object} RecallStep
 * @property {string} kind
 * @property {number} [days]
 * @property {number} [months]
 * @property {number} [every_months]
 */

/**
 * A care plan as the server sends it; dates are "YYYY-MM-DD" or "", clocks "HH:MM".
 * @typedef {object} Plan
 * @property {number} version
 * @property {string} from
 * @property {string} zone
 * @property {string} first_night
 * @property {string} stopped
 * @property {string} eyes both, right or left
 * @property {string} wear_from
 * @property {string} wear_to
 * @property {number} min_hours
 * @property {string} care_system multipurpose, peroxide or other
 * @property {number} soak_minutes
 * @property {number} deposit_removal_days 0 for none
 * @property {number} case_months
 * @property {number} lens_months 0 for none
 * @property {number} holder_months 0 for none
 * @property {number} acuity_every_days 0 for none
 * @property {RecallStep[]|null} recalls
 * @property {string} recalls_from
 * @property {string} [taken_over] the date from which this practice follows the wearer
 * @property {string} insertion_at
 * @property {string} removal_at
 * @property {string} evening_sight_at
 * @property {string} quiet_from
 * @property {string} quiet_to
 * @property {string} remind_first teen or parent
 * @property {number} parent_after_minutes
 * @property {string} lock_screen_words neutral or plain
 * @property {string[]|null} off
 * @property {{from: string, to: string, reason: string}[]|null} pauses
 * @property {Own|null} [own] the family's own times, as far as they fit the plan
 */

/** @typedef {{insertion_at?: string|null, removal_at?: string|null, evening_sight_at?: string|null}} Clocks reminders of a night that a family has moved */

/**
 * @typedef {object} Own times of reminders that a family has chosen; see Own in own.go
 * @property {Clocks} every
 * @property {Clocks} free of nights before a day without school
 * @property {number[]|null} free_nights weekdays, 0 Sunday to 6 Saturday
 * @property {{from: string, to: string}[]|null} holidays nights, both included
 * @property {{from: string, to: string}|null} [quiet]
 */

/**
 * What was logged about one night; false means "nothing logged".
 * @typedef {object} Night
 * @property {string} night
 * @property {boolean} [inserted]
 * @property {boolean} [removed]
 * @property {string} [removed_at] RFC 3339 instant
 * @property {boolean} [not_worn]
 * @property {boolean} [care]
 * @property {boolean} [evening_sight]
 */

/**
 * @typedef {object} Supply something in use
 * @property {string} id
 * @property {string} item case, solution, lens, holder or drops
 * @property {string} started
 * @property {number} [discard_after_days] as printed on this bottle; 0 for not known
 * @property {string} [eye]
 * @property {string} [label]
 */

/**
 * @typedef {object} Visit
 * @property {string} id
 * @property {string} kind
 * @property {string} date
 * @property {string} [due] "" when not known
 * @property {string} state booked, kept, missed, cancelled or waived
 * @property {boolean} [shift_later]
 */

/**
 * @typedef {object} Log
 * @property {Night[]} nights
 * @property {string} [last_deposit]
 * @property {string} [last_acuity]
 * @property {Supply[]} supplies
 * @property {string[]} lens_starts
 * @property {Visit[]} visits
 * @property {Pause[]} [pauses] set by the family: they hold back reminders of the routine and nothing else
 * @property {Hold[]} [holds] the eyes whose lens is held back, for whatever reason
 * @property {boolean} [ended] the practice has ended the treatment
 */

/**
 * What keeps the lens of one eye out, whatever the plan asks for.
 * @typedef {object} Hold
 * @property {string} eye right or left
 * @property {string} from the first night it was known
 * @property {string} [until] the first night on which a lens may be asked for again; "" when none is known
 * @property {boolean} [stop] only the practice ends it; lens, case and bottles are kept for it as they are
 */

/** @typedef {{from: string, to: string, reason: string}} Pause first and last night, both included */

/**
 * @typedef {object} Input
 * @property {Plan} plan
 * @property {string} zone IANA zone the wearer is in
 * @property {number} now Unix time in milliseconds
 * @property {Log} log
 * @property {number} unsent when the oldest entry that exists only on this phone was written, Unix time in milliseconds; 0 for none
 */

/**
 * @typedef {object} Item one thing that is due
 * @property {string} rule
 * @property {string} date night of a nightly rule, else the date it was due
 * @property {string} to teen, parent or all
 * @property {number} at Unix time in milliseconds
 * @property {number} useful_until Unix time in milliseconds
 * @property {string} due "" for the nightly routine
 * @property {number} overdue days
 * @property {string} subject id of the bottle, eye of the lens, or kind and date of the visit
 * @property {string} label
 * @property {string} key of the text shown
 * @property {string} group
 */

/**
 * @typedef {object} Recall one visit of the plan
 * @property {string} kind
 * @property {string} due
 * @property {string} from first date that is on time
 * @property {string} to last date that is on time
 * @property {number} within_hours of waking; 0 for any time
 * @property {string} state due, booked, kept, waived, missed or overdue
 * @property {number} overdue days
 * @property {string} visit id, or ""
 * @property {string} date of that visit, or ""
 * @property {boolean} passed a later visit was kept
 */

const MINUTE = 60000;
const SYNC_AFTER = 720 * MINUTE; // SyncAfter in plan.go says why

/**
 * The instant from which the lenses may go in.
 * @param {number} closed when the case was closed, Unix time in milliseconds
 * @param {number} soakMinutes
 * @returns {number} Unix time in milliseconds
 */
export function soakReady(closed, soakMinutes) {
  return closed + soakMinutes * MINUTE;
}

/**
 * Whether a soak is done by bedtime. One that is not is never shortened. A
 * null `closed` means nobody logged it, and that is never "ready".
 * @param {number|null} closed
 * @param {number} soakMinutes
 * @param {number} bedtime
 * @returns {{ready: number|null, in_time: boolean, minutes: number, advice: string, not_worn: string}} minutes still to go at bedtime; key of the text; reason to log when the night is skipped
 */
export function soakFor(closed, soakMinutes, bedtime) {
  if (closed === null)
    return { ready: null, in_time: false, minutes: 0, advice: 'soak.unknown', not_worn: 'soak-not-ready' };
  const ready = soakReady(closed, soakMinutes);
  if (ready <= bedtime) return { ready, in_time: true, minutes: 0, advice: 'soak.ready', not_worn: '' };
  return {
    ready,
    in_time: false,
    minutes: Math.ceil((ready - bedtime) / MINUTE),
    advice: 'soak.skip-tonight',
    not_worn: 'soak-not-ready',
  };
}

/**
 * Whether entries have waited on this phone so long that the family is told.
 * @param {number} unsent when the oldest was written, Unix time in milliseconds; 0 for none
 * @param {number} now
 */
export const syncDue = (unsent, now) => unsent > 0 && now - unsent >= SYNC_AFTER;

/**
 * @param {Plan} plan
 * @param {string} date
 * @returns {boolean} whether the plan is in force
 */
function active(plan, date) {
  return plan.first_night !== '' && date >= plan.first_night && (plan.stopped === '' || date < plan.stopped);
}

/**
 * Whether the plan asks for lenses on a night: in force, and not in a pause.
 * @param {Plan} plan
 * @param {string} night
 * @returns {boolean}
 */
export function wearing(plan, night) {
  return active(plan, night) && !paused(plan.pauses, night);
}

/**
 * @param {Pause[]|null|undefined} list
 * @param {string} night
 * @returns {boolean}
 */
export function paused(list, night) {
  return (list ?? []).some(z => night >= z.from && night <= z.to);
}

/**
 * The clock of a reminder on a night: the family's own where it has one.
 * @param {Plan} plan
 * @param {keyof Clocks} field
 * @param {string} night
 * @returns {string}
 */
export function clockOn(plan, field, night) {
  const own = plan.own;
  const free =
    own?.free_nights?.includes(new Date(`${night}T12:00Z`).getUTCDay()) ||
    own?.holidays?.some(x => night >= x.from && night <= x.to);
  return (free && own?.free[field]) || own?.every[field] || plan[field];
}

/**
 * Whether a night's routine is reminded of: the plan asks for lenses and the
 * family has not paused it. A lens that is in must come out all the same.
 * @param {Plan} plan
 * @param {Log} log
 * @param {string} night
 * @returns {boolean}
 */
function reminded(plan, log, night) {
  return (
    wearing(plan, night) && (!paused(log.pauses, night) || !!log.nights.findLast(x => x.night === night)?.inserted)
  );
}

/**
 * Everything due now and not done, earliest first. Something with a due date
 * is due from the start of that date and stays so until it is done, and entries
 * that wait on this phone until they are sent, in a pause too.
 * @param {Input} input
 * @param {Rule[]} rules the rows of rules.json
 * @returns {Item[]}
 */
export function due(input, rules) {
  const { zone, now } = input;
  const tonight = nightOf(now, zone);
  const today = wallAt(now, zone).date;
  /** @type {Item[]} */
  const out = [];
  for (const night of [addDays(tonight, -1), tonight]) {
    for (const rule of rules) {
      if (rule.then_every_days || rule.id === 'sync') continue;
      const it = item(input, rule, night);
      if (it.at <= now && now < it.useful_until && asked(input, rule.id, night)) out.push(it);
    }
  }
  for (const t of targets(input, rules, today)) {
    const date = t.rule.each === 'night' ? tonight : today;
    if (t.due <= date && open(input, t.rule, date)) out.push(dated(input, t, date));
  }
  const sync = rules.find(r => r.id === 'sync');
  if (sync && syncDue(input.unsent, now)) out.push(item(input, sync, today));
  return out.sort(byTime);
}

/**
 * Everything with a due date but the visits, also what is not due yet, by date.
 * @param {Input} input
 * @param {Rule[]} rules
 * @returns {Item[]}
 */
export function supplies(input, rules) {
  const today = wallAt(input.now, input.zone).date;
  return targets(input, rules, today)
    .filter(t => t.rule.id !== 'recall')
    .map(t => dated(input, t, today))
    .sort(byTime);
}

/**
 * @param {Item} a
 * @param {Item} b
 * @returns {number}
 */
function byTime(a, b) {
  return a.at - b.at || order(a.rule, b.rule) || order(a.subject, b.subject);
}

/**
 * @param {string} a
 * @param {string} b
 * @returns {number}
 */
function order(a, b) {
  return a < b ? -1 : a > b ? 1 : 0;
}

/**
 * Whether plan and log ask for a nightly item whose time has come.
 * @param {Input} input
 * @param {string} rule
 * @param {string} night
 * @returns {boolean}
 */
function asked(input, rule, night) {
  const worn = reminded(input.plan, input.log, night);
  const n = input.log.nights.findLast(x => x.night === night);
  if (!allows(input, rule, night) || (input.log.ended && (rule !== 'removal' || !n?.inserted))) return false;
  switch (rule) {
    case 'evening-sight':
      return worn && reminded(input.plan, input.log, addDays(night, -1)) && !n?.evening_sight;
    case 'care':
      return worn && !!n?.removed && !n.care && !n.not_worn;
    case 'spectacles':
      return worn && (!!n?.not_worn || (heldSince(input, night) && !n?.inserted));
    case 'insertion':
      return worn && !n?.inserted && !n?.not_worn;
    case 'removal':
      return worn && !n?.removed && !n?.not_worn;
    default:
      return worn;
  }
}

/** @param {Plan} plan @param {string} eye */
const planned = (plan, eye) => plan.eyes === 'both' || plan.eyes === eye;

/** The holds of planned eyes that are in force on a night. @param {Input} input @param {string} night */
const inForce = ({ plan, log }, night) =>
  (log.holds ?? []).filter(x => planned(plan, x.eye) && (!x.until || night < x.until));

/** The planned eyes whose lens may be asked for on a night. @param {Input} input @param {string} night */
const free = (input, night) =>
  ['right', 'left'].filter(eye => planned(input.plan, eye) && !inForce(input, night).some(x => x.eye === eye));

/**
 * Whether no planned eye may have a lens on a night, and each was held before it.
 * @param {Input} input
 * @param {string} night
 */
const heldSince = (input, night) => !free(input, night).length && inForce(input, night).every(x => x.from < night);

/**
 * Whether what holds a lens back lets a nightly item be asked for: see allows in
 * hold.go.
 * @param {Input} input
 * @param {string} rule
 * @param {string} night
 */
function allows(input, rule, night) {
  const none = !free(input, night).length;
  const inserted = (/** @type {string} */ d) => !!input.log.nights.findLast(x => x.night === d)?.inserted;
  switch (rule) {
    case 'insertion':
      return !none;
    case 'removal':
      return inserted(night) || !heldSince(input, night);
    case 'care':
    case 'deposit-removal':
    case 'acuity':
      return !none || !inForce(input, night).some(x => x.stop);
    case 'evening-sight':
      return inserted(addDays(night, -1)) || free(input, addDays(night, -1)).length > 0;
    default:
      return true;
  }
}

/**
 * @param {Input} input
 * @param {Rule} rule
 * @param {string} date
 * @returns {Item}
 */
function item(input, rule, date) {
  const { plan, zone } = input;
  let at = instantInNight(date, clockOn(plan, /** @type {keyof Clocks} */ (rule.at), date), zone);
  const removed = input.log.nights.findLast(x => x.night === date)?.removed_at;
  if (rule.id === 'care' && removed) at = Math.max(at, Date.parse(removed));
  at += (rule.plus_minutes ?? 0) * MINUTE;
  let until = at + (rule.useful_minutes ?? 0) * MINUTE;
  if (rule.until === 'night-end') until = instantAt(addDays(date, 1), NIGHT_STARTS, zone);
  if (rule.until === 'full-night') {
    until = Math.max(instantInNight(date, plan.wear_to, zone) - plan.min_hours * 60 * MINUTE, at + 60 * MINUTE);
  }
  const to = rule.to === 'first' ? plan.remind_first : rule.to;
  return {
    rule: rule.id,
    date,
    to,
    at,
    useful_until: until,
    due: '',
    overdue: 0,
    subject: '',
    label: '',
    key: rule.key,
    group: rule.group,
  };
}

/** @typedef {{rule: Rule, due: string, subject: string, label: string, key: string}} Target */

/**
 * @param {Input} input
 * @param {Target} t
 * @param {string} today
 * @returns {Item}
 */
function dated(input, t, today) {
  return {
    ...item(input, t.rule, t.due),
    due: t.due,
    subject: t.subject,
    label: t.label,
    overdue: Math.max(0, daysBetween(t.due, today)),
    key: t.key || t.rule.key,
  };
}

/**
 * Visits are asked for always, care of the lenses when they are worn, supplies
 * while the plan is in force and nothing is kept for the practice.
 * @param {Input} input
 * @param {Rule} rule
 * @param {string} date
 * @returns {boolean}
 */
function open(input, rule, date) {
  const { plan, log } = input;
  if (rule.id === 'recall') return true;
  if (log.ended) return false;
  if (rule.each === 'night') return reminded(plan, log, date) && allows(input, rule.id, date);
  return active(plan, date) && !inForce(input, date).some(x => x.stop);
}

/**
 * @param {Input} input
 * @param {Rule[]} rules
 * @param {string} today
 * @returns {Target[]} everything with a due date
 */
function targets(input, rules, today) {
  const { plan, log } = input;
  const first = plan.first_night;
  if (first === '') return [];
  /** @type {Target[]} */
  const out = [];
  /** @type {(wanted: boolean, id: string, on: string, subject?: string, label?: string, key?: string) => void} */
  const add = (wanted, id, on, subject = '', label = '', key = '') => {
    const rule = rules.find(r => r.id === id);
    if (wanted && rule) out.push({ rule, due: on, subject, label, key });
  };
  add(
    plan.deposit_removal_days > 0,
    'deposit-removal',
    addDays(later(log.last_deposit, first), plan.deposit_removal_days),
  );
  add(plan.acuity_every_days > 0, 'acuity', addDays(later(log.last_acuity, first), plan.acuity_every_days));
  const box = caseDue(plan, log, first);
  add(plan.case_months > 0, 'case', box.due, '', '', box.key);
  add(plan.holder_months > 0, 'holder', addMonths(newest(log, 'holder', '', first), plan.holder_months));
  for (const eye of ['right', 'left']) {
    const worn = plan.eyes === eye || plan.eyes === 'both';
    add(worn && plan.lens_months > 0, 'lens', addMonths(newest(log, 'lens', eye, first), plan.lens_months), eye);
  }
  for (const s of log.supplies) {
    const days = s.discard_after_days ?? 0;
    if (days < 1) continue;
    add(s.item === 'solution', 'bottle', addDays(s.started, days), s.id, s.label);
    add(s.item === 'drops', 'drops', addDays(s.started, days), s.id, s.label);
  }
  for (const v of visitTargets(input, today)) add(true, 'recall', v.due, v.subject, v.label, v.key);
  return out;
}

/** The key of the words for a case that a new bottle of peroxide has outlived. */
export const OLD_CASE = 'remind.case.bottle';

/**
 * When the lens case has to go: with peroxide as soon as a bottle is newer than
 * it. See caseTarget in target.go.
 * @param {Plan} plan
 * @param {Log} log
 * @param {string} first
 */
function caseDue(plan, log, first) {
  const started = newest(log, 'case', '', first);
  const due = addMonths(started, plan.case_months);
  const newer = log.supplies
    .filter(s => plan.care_system === 'peroxide' && s.item === 'solution' && s.started > started && s.started < due)
    .map(s => s.started)
    .sort();
  return newer.length ? { due: newer[0], key: OLD_CASE } : { due, key: '' };
}

/**
 * @param {string|undefined} a
 * @param {string} b
 * @returns {string}
 */
function later(a, b) {
  return a && a > b ? a : b;
}

/**
 * @param {Log} log
 * @param {string} what
 * @param {string} eye "" for any
 * @param {string} first
 * @returns {string} when the newest was started, or first
 */
function newest(log, what, eye, first) {
  return log.supplies
    .filter(s => s.item === what && (!eye || !s.eye || s.eye === eye || s.eye === 'both'))
    .reduce((d, s) => later(s.started, d), first);
}

/**
 * @param {Input} input
 * @param {string} today
 * @returns {{due: string, subject: string, label: string, key: string}[]}
 */
function visitTargets(input, today) {
  const out = [];
  let late = null;
  for (const r of recalls(input.plan, input.log.visits, input.log.lens_starts, today)) {
    const t = { due: r.due, subject: `${r.kind}-${r.due}`, label: r.kind, key: 'remind.recall.missed' };
    if (r.passed || r.state === 'kept' || r.state === 'waived') continue;
    if (r.state === 'booked') out.push({ ...t, due: r.date, key: 'remind.recall.booked' });
    else if (input.log.ended) continue;
    else if (r.state === 'due') out.push({ ...t, key: 'remind.recall.book' });
    else late = t;
  }
  return late ? [...out, late] : out;
}

/** @type {Record<string, {days: number, reach: number}>} */
const GRACE = {
  'first-morning': { days: 0, reach: 2 },
  'one-week': { days: 2, reach: 3 },
  'two-week': { days: 3, reach: 4 },
  'one-month': { days: 7, reach: 14 },
  recall: { days: 14, reach: 45 },
};
const FIRST_MORNING_HOURS = 2;
const MAX_RECALLS = 600;
const WEIGHTS = ['overdue', 'missed', 'booked', 'waived', 'kept'];

/**
 * The visits of the plan in order of their dates: all of the past, and of a
 * repeating step the first that is still to come. See Recalls in recall.go.
 * @param {Plan} plan
 * @param {Visit[]} visits
 * @param {string[]} lensStarts dates on which a new lens was first worn
 * @param {string} today
 * @returns {Recall[]}
 */
export function recalls(plan, visits, lensStarts, today) {
  if (plan.first_night === '') return [];
  const used = new Set();
  /** @type {Visit[]} */
  const again = [];
  const out = series(plan, visits, used, again, today);
  for (const l of lensStarts) {
    const on = addDays(l, 1);
    const asked = out.some(r => r.kind === 'first-morning' && r.due === on);
    if (l > plan.first_night && !asked && on >= (plan.taken_over ?? '') && (plan.stopped === '' || l < plan.stopped)) {
      out.push(recall('first-morning', on, visits, used, again, today).recall);
    }
  }
  for (const v of [...again, ...visits.filter(v => !used.has(v))]) {
    if (v.state !== 'booked' && v.state !== 'missed') continue;
    const on = v.due || v.date;
    out.push(
      judged(
        {
          kind: v.kind,
          due: on,
          from: on,
          to: on,
          within_hours: withinHours(v.kind),
          state: stateOf(v, today),
          overdue: 0,
          visit: v.id,
          date: v.date,
          passed: false,
        },
        today,
      ),
    );
  }
  for (const r of out) r.passed = out.some(k => k.state === 'kept' && k.due > r.due && k.date >= r.date);
  return out.sort((a, b) => order(a.due, b.due));
}

/**
 * @param {Plan} plan
 * @param {Visit[]} visits
 * @param {Set<Visit>} used visits already handed to a step
 * @param {Visit[]} again gets those that came after their step was settled
 * @param {string} today
 * @returns {Recall[]}
 */
function series(plan, visits, used, again, today) {
  const from = plan.recalls_from || plan.first_night;
  /** @type {Recall[]} */
  const out = [];
  let before = from;
  let shift = 0;
  for (const s of plan.recalls ?? []) {
    for (let n = 1; n <= MAX_RECALLS; n++) {
      const nominal = s.every_months
        ? addMonths(before, n * s.every_months)
        : addDays(addMonths(from, s.months ?? 0), s.days ?? 0);
      const on = addDays(nominal, shift);
      if (plan.stopped !== '' && on >= plan.stopped) return out;
      const step = recall(s.kind, on, visits, used, again, today);
      if (step.recall.visit || on >= (plan.taken_over ?? '')) out.push(step.recall);
      shift += step.moved;
      if (!s.every_months) {
        before = nominal;
        break;
      }
      if (on > today && !settled(step.recall)) break;
    }
  }
  return out;
}

/**
 * @param {string} kind
 * @param {string} on the date it is due
 * @param {Visit[]} visits
 * @param {Set<Visit>} used
 * @param {Visit[]} again
 * @param {string} today
 * @returns {{recall: Recall, moved: number}} and the days by which it moves the later ones
 */
function recall(kind, on, visits, used, again, today) {
  const g = GRACE[kind] ?? { days: 0, reach: 0 };
  /** @type {Recall} */
  const r = {
    kind,
    due: on,
    from: addDays(on, -g.days),
    to: addDays(on, g.days),
    within_hours: withinHours(kind),
    state: 'due',
    overdue: 0,
    visit: '',
    date: '',
    passed: false,
  };
  let best = 0;
  let moved = 0;
  const own = [];
  for (const v of visits) {
    const belongs = v.due ? v.due === on : Math.abs(daysBetween(on, v.date)) <= g.reach;
    if (used.has(v) || v.kind !== kind || !belongs) continue;
    used.add(v);
    own.push(v);
    const w = 1 + WEIGHTS.indexOf(stateOf(v, today));
    if (w <= best) continue;
    best = w;
    moved = v.shift_later ? daysBetween(on, v.date) : 0;
    Object.assign(r, { visit: v.id, date: v.date, state: stateOf(v, today) });
  }
  if (settled(r)) again.push(...own.filter(v => v.date > r.date).map(v => ({ ...v, due: '' })));
  return { recall: judged(r, today), moved };
}

/** @param {string} kind */
const withinHours = kind => (kind === 'first-morning' ? FIRST_MORNING_HOURS : 0);

/** @param {Recall} r */
const settled = r => r.state === 'kept' || r.state === 'waived';

/**
 * @param {Visit} v
 * @param {string} today
 * @returns {string} its own state, but a past appointment without a record is overdue
 */
function stateOf(v, today) {
  return v.state === 'booked' && v.date < today ? 'overdue' : v.state;
}

/**
 * @param {Recall} r
 * @param {string} today
 * @returns {Recall} r, with the days it is late
 */
function judged(r, today) {
  if (settled(r)) return r;
  r.overdue = Math.max(0, daysBetween(r.due, today));
  if (r.state === 'due' && r.overdue > 0) r.state = 'overdue';
  return r;
}
