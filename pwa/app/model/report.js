// Eye reports: what one comes to, and whether it still means "no lens". Pure.
import { cameOff, LENS_FIRST, levelRank, prepare, together, triage } from '../../../alerts/evaluate.js';
import table from '../../../alerts/rules.json' with { type: 'json' };

/** @import { Entry } from './entry.js' */
/** @import { LogRecord } from '../data/log.js' */
/** @import { Outcome } from '../../../alerts/evaluate.js' */

/** The rule table, as the server has checked it. */
export const RULES = prepare(/** @type {any} */ (table));

/** An alert as the family sees it. @typedef {import('../../api/types.js').components['schemas']['FamilyAlert']} Alert */

/**
 * What an eye report comes to, whatever fields a later version added.
 * @param {Entry} e
 * @returns {Outcome}
 */
export function outcome(e) {
  // By the table it was asked by: the one it names; none, and not asked how bad it is right now, the first.
  const out = triage(RULES, { ...e.body, table: e.body.told?.table ?? (e.body.now ? 2 : 1) });
  return e.out?.length ? cameOff(RULES, out, e.out) : out;
}

const ON_THE_EYE = ['in', 'stuck', 'cannot-find'];

/**
 * A report, with the eyes of which a later word says that the lens is out which it calls
 * in, stuck or not found: a removal, or a later report.
 * @param {Entry} e
 * @param {LogRecord[]} all of any wearer
 * @returns {Entry}
 */
export function asOfNow(e, all) {
  const eyes = ['right', 'left'].filter(eye => ON_THE_EYE.includes(e.body[eye]?.lens));
  if (!eyes.length) return e;
  const log = all.map(r => r.entry);
  const gone = new Set(log.flatMap(x => [...(x.supersedes ?? []), x.retracts ?? '']));
  const later = log.filter(x => x.wearer === e.wearer && follows(x, e) && !gone.has(x.id));
  const saysOut = (/** @type {Entry} */ x, /** @type {string} */ eye) =>
    x.kind === 'removal'
      ? x.body.eyes === 'both' || x.body.eyes === eye
      : x.kind === 'symptoms' && ['out', 'stuck-came-off'].includes(x.body[eye]?.lens);
  const out = eyes.filter(eye => later.some(x => saysOut(x, eye)));
  return out.length ? { ...e, out } : e;
}

/**
 * In which eyes a lens that would not move of a morning still may be: the report that was
 * written with the morning says it, and nothing written since names the lens.
 * @param {LogRecord[]} all of any wearer
 * @param {Entry[]} mornings live ones of one wearer that say it
 * @returns {string} "both", "right", "left"; "" once somebody has said it
 */
export function whereOpen(all, mornings) {
  const log = all.map(r => r.entry);
  const names = (/** @type {Entry} */ x) =>
    x.kind === 'removal' || (x.kind === 'symptoms' && (x.body.right?.lens || x.body.left?.lens));
  const first = log.find(
    x =>
      x.kind === 'symptoms' &&
      x.body.unfinished &&
      [x.body.right, x.body.left].some(eye => eye?.lens === 'stuck') &&
      mornings.some(m => m.wearer === x.wearer && m.device === x.device && m.wall === x.wall),
  );
  if (!first || log.some(x => x.wearer === first.wearer && names(x) && follows(x, first))) return '';
  return first.body.right && first.body.left ? 'both' : first.body.right ? 'right' : 'left';
}

/** A word of the practice that frees the order about a lens: that it is out, or a release. @param {Entry} x @param {Entry} e @param {string} eye @param {number} skew */
const freed = (x, e, eye, skew) =>
  [eye, 'both'].includes(x.body.eyes) &&
  ((x.kind === 'cease' && x.body.lens === 'out' && written(x) > serverTime(e, skew)) ||
    (x.kind === 'resume' && !!x.body.answers?.includes(e.id)));

/**
 * Whether a report calls a lens stuck, or not found, and nothing written since says that
 * it is out, of the family or of the practice (LensOn of the server).
 * @param {Entry} e
 * @param {LogRecord[]} all of any wearer
 * @param {number} [skew] as of serverTime
 */
export function lensOn(e, all, skew) {
  const now = asOfNow(e, all);
  const said = all.map(r => r.entry).filter(x => x.wearer === e.wearer);
  return ['right', 'left'].some(
    eye =>
      ['stuck', 'cannot-find'].includes(e.body[eye]?.lens) &&
      !now.out?.includes(eye) &&
      !said.some(x => freed(x, e, eye, skew ?? 0)),
  );
}

/** Whether something was written after another; within a second by the order on the device. @param {Entry} a @param {Entry} b */
const follows = (a, b) => written(a) > written(b) || (written(a) === written(b) && a.hlc > b.hlc);

/**
 * Days in which a sign after water counts, by the practice's setting.
 * @param {{rule_settings?: Record<string, number>}|null} [family]
 */
export const waterDays = family =>
  family?.rule_settings?.water_watch_days ?? RULES.settingDefs.get('water_watch_days')?.default ?? 0;

/**
 * The text keys that head the advice: what to do about the lens, then whom to see
 * and how soon.
 * @param {{level: import('../../../alerts/evaluate.js').Level, actions: string[], unsure?: boolean}} out
 * @returns {string[]}
 */
export function headline(out) {
  if (out.unsure) return ['level.unsure.told'];
  const first = LENS_FIRST.find(a => out.actions.includes(a));
  const call = ['go-now', 'call-now', 'call-today'].find(a => out.actions.includes(a));
  // Rinsing comes before going, and its own words say so: "go now" beside them would be read first.
  if (first === 'rinse-eye') return ['told.rinse-eye'];
  return levelRank(out.level) >= levelRank('urgent') && first && call
    ? [`told.${first}`, `told.${call}`]
    : [`level.${out.level}.told`];
}

/**
 * When something was written, as Unix ms: its own wall clock and offset.
 * @param {Entry} e
 * @returns {number}
 */
export function written(e) {
  return Date.parse(`${e.wall}Z`) - e.offset * 60000;
}

/**
 * When something was written by the server's clock, to be held against what the practice
 * wrote or did, as Unix ms: the phone's own, mended by how far it was off.
 * @param {Entry} e
 * @param {number} [skew] the server's clock minus this phone's, ms; of what the server has not dated
 * @returns {number}
 */
export const serverTime = (e, skew = 0) => written(e) + (e.recv ? -(e.skew_ms ?? 0) : skew);

/**
 * The gravest of some reports, the last of the gravest: a milder one written
 * since takes nothing back.
 * @param {Entry[]} reports
 * @returns {Entry}
 */
export const gravest = reports =>
  byWriting(reports).reduce((a, b) => (weight(outcome(b)) >= weight(outcome(a)) ? b : a));

/** Reports in the order in which they were written. @param {Entry[]} reports */
const byWriting = reports => [...reports].sort((a, b) => Number(follows(a, b)) - Number(follows(b, a)));

/** What was said leads what is open. @param {Outcome} o */
const weight = o => Math.max(levelRank(o.level), o.unsure ? levelRank('urgent') - 0.5 : 0);

/**
 * What the open reports come to together: the gravest, with the steps of every
 * red flag of its level among them, and what all of them say of the lens first, so
 * that a later one never says "lens out" or "phone" where an earlier one said
 * "leave it" or "go", and a lens that is stuck is not forgotten.
 * @param {Entry[]} reports
 * @param {Outcome[]} [log] what the log of the nights comes to; one of either, at least
 * @returns {Outcome}
 */
export function foremost(reports, log = []) {
  const all = inOrder(reports, log);
  const lead = all.reduce((a, b) => (weight(b) >= weight(a) ? b : a));
  if (levelRank(lead.level) < levelRank('urgent')) return lead;
  const steps = all.flatMap(o => (o.level === lead.level ? o.actions : o.actions.filter(a => LENS_FIRST.includes(a))));
  return { ...lead, actions: together(RULES, new Set(steps)) };
}

/** What the log and some reports come to, in the order in which they were written. @param {Entry[]} reports @param {Outcome[]} log */
const inOrder = (reports, log) => [...log, ...byWriting(reports).map(outcome)];

/**
 * The steps of some outcomes, in order, for one eye; also of what names no eye, if so
 * asked. What names none and is said again of one eye is of that eye.
 * @param {Outcome[]} all
 * @param {string} eye
 * @param {boolean} unnamed
 */
const ofEye = (all, eye, unnamed) =>
  together(
    RULES,
    new Set(
      all.flatMap((o, i) => {
        const later = (/** @type {string} */ rule) =>
          all.slice(i + 1).some(x => x.eye && x.findings.some(f => f.rule === rule && f.state === 'fired'));
        return o.findings
          .filter(f => f.state === 'fired')
          .filter(f => (f.eye || o.eye ? (f.eye || o.eye) === eye : unnamed && !later(f.rule)))
          .flatMap(f => f.actions);
      }),
    ),
  );

/** What comes first about a lens. @param {string[]} steps */
const lensFirst = steps => LENS_FIRST.find(a => steps.includes(a)) ?? '';

/**
 * What to do about the lens of each eye, where the reports say another thing of one
 * eye than of the other; else null. A finding of no eye is of the one that its report
 * names, else of both. A chemical of which nobody said the eye is rinsed out, and an eye
 * that is cut or holds something is named beside it: of that eye alone ("" for the other).
 * @param {Entry[]} reports
 * @param {Outcome[]} [log]
 * @returns {{right: string, left: string}|null} the steps
 */
export function eyeSteps(reports, log = []) {
  const all = inOrder(reports, log);
  const [right, left] = ['right', 'left'].map(eye => lensFirst(ofEye(all, eye, true)));
  if (right !== left) return right && left ? { right, left } : null;
  const own = (/** @type {string} */ eye) =>
    right === 'rinse-eye' && lensFirst(ofEye(all, eye, false)) === 'leave-lens' ? 'leave-lens' : '';
  const named = { right: own('right'), left: own('left') };
  return named.right || named.left ? named : null;
}

/** The steps for an eye that is cut, was hit, holds something or has a lens that sticks. */
const GUARDS = [...LENS_FIRST.slice(1, 4), 'shield', 'no-rinse'];

/**
 * Those steps for an eye of which the reports say another thing than of the other: a rinse
 * of that one would hide them.
 * @param {Entry[]} reports
 * @param {Outcome[]} log
 * @param {'right'|'left'} eye
 * @returns {string[]}
 */
export function guarded(reports, log, eye) {
  const step = eyeSteps(reports, log)?.[eye];
  if (!step || step === 'rinse-eye') return [];
  return ofEye(inOrder(reports, log), eye, false).filter(a => GUARDS.includes(a));
}

/**
 * The alerts a report raised or joined: those that name it, else those of the
 * wearer that were open when it was written.
 * @param {Entry} e
 * @param {Alert[]} alerts
 * @returns {Alert[]}
 */
export function about(e, alerts) {
  const named = alerts.filter(a => a.entry === e.id || a.entries?.includes(e.id));
  if (named.length) return named;
  const t = written(e);
  const severe = alerts.filter(a => a.wearer === e.wearer && a.entry && levelRank(a.level) >= levelRank('urgent'));
  return severe.filter(a => Date.parse(a.opened) <= t && !(a.closed_at && Date.parse(a.closed_at) < t));
}

/**
 * When the clinic last closed something about a wearer that could have meant
 * "no lens", as Unix ms, 0 if never. A closed word about supplies frees nothing.
 * @param {string} wearer
 * @param {Alert[]} alerts
 */
export const closedAt = (wearer, alerts) =>
  Math.max(
    0,
    ...alerts
      .filter(a => a.wearer === wearer && a.closed_at && levelRank(a.level) >= levelRank('urgent'))
      .map(a => Date.parse(a.closed_at ?? '')),
  );

const REMEMBER_MS = 60 * 86400000;
const REST_MS = 86400000;

/** Whether a report says no lens: until the clinic says so, or for a night. @param {Entry} e @param {number} now */
function bans(e, now) {
  const { actions } = outcome(e);
  return actions.includes('no-lens') || (actions.includes('no-lens-tonight') && now - written(e) < REST_MS);
}

/**
 * Whether the clinic has decided on all that a report raised: what it said to do at
 * once has had its day, also while a later report has opened its alert again.
 * @param {Entry} e
 * @param {Alert[]} alerts
 * @param {boolean} [released] a clinician has said of it from when lenses are worn again: for once its alert is listed no more
 */
export function decided(e, alerts, released = false) {
  const mine = about(e, alerts);
  return mine.length ? mine.every(a => a.state === 'closed' || !!a.decided?.includes(e.id)) : released;
}

/**
 * The reports of a wearer that say "no lens" and that the clinic has not closed
 * since, newest first. "It got better" closes nothing.
 * @param {Entry[]} reports live symptom reports
 * @param {string} wearer
 * @param {Alert[]} alerts
 * @param {number} now
 * @returns {Entry[]}
 */
export function openReports(reports, wearer, alerts, now) {
  return byWriting(reports)
    .reverse()
    .filter(e => e.wearer === wearer && now - written(e) < REMEMBER_MS && bans(e, now))
    .filter(e => {
      const mine = about(e, alerts);
      if (mine.length) return mine.some(a => a.state !== 'closed');
      return closedAt(wearer, alerts) <= written(e);
    });
}
