// What holds a lens back: which eye, why, since when, who has it, what to do,
// whom to phone. It never says that an eye is fine.
import { addDays, instantInNight, wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, LinkButton, More } from '../../ui/parts.js';
import { findingsOf, lostOf, reportsOf as live, sceneOf, tonight, wearNow, wearThen } from '../app.js';
import { bar, facts, inSince, stopped } from '../model/day.js';
import {
  asOfNow,
  decided,
  eyeSteps,
  foremost,
  gravest,
  headline,
  lensOn,
  outcome,
  whereOpen,
  written,
} from '../model/report.js';
import { EYES } from '../model/wear.js';
import { waits } from '../model/unexamined.js';
import { link } from '../route.js';
import { Calls } from './calls.js';
import { Steps } from './record.js';

/** @import { App, State } from '../app.js' */
/** @import { Finding, Outcome } from '../../../alerts/evaluate.js' */
/** @import { Entry } from '../model/entry.js' */
/** @import { Cause } from '../model/wear.js' */
/** @import { UsualKind } from './usual.js' */

/** The causes of either eye, each once: what no release answers first, then the most careful. @param {State} s @returns {Cause[]} */
export function causes(s) {
  const wear = wearNow(s);
  const all = EYES.flatMap(eye => wear[eye].causes);
  const once = [...new Map(all.map(c => [c.id, all.find(x => x.id === c.id && x.left === 'stop') ?? c])).values()];
  return once.sort(
    (a, b) => Number(!!a.from) - Number(!!b.from) || Number(b.left === 'stop') - Number(a.left === 'stop'),
  );
}

/** Why, in words: the report's own finding, or what was logged. @param {State} s @param {{id: string}} c @returns {string} */
export function why(s, c) {
  const { t, moment } = s.words;
  const e = s.records.get(c.id)?.entry;
  if (!e) return t('wear.unknown');
  const at = e.kind === 'insertion' ? instantInNight(e.night, e.body.at, e.zone) : written(e); // of what was mended later, when it was
  const logged = moment(at, s.zone, wallAt(s.now, s.zone).date);
  // A morning is of its night, at whatever hour it is logged.
  const when = e.kind === 'morning' ? t('wear.night', { night: s.words.date(e.night), when: logged }) : logged;
  if (e.kind === 'cease') {
    const one = e.body.eyes !== 'both' && t(`eye.${e.body.eyes}`);
    return [e.by_name ?? s.family?.contacts?.clinic, one, when].filter(Boolean).join(t('mark.comma'));
  }
  const all = e.kind === 'symptoms' ? outcome(e).findings.filter(f => f.state === 'fired') : [];
  const [fired] = all;
  // The eyes that it was found of; else, of what names none, those that the report is about.
  const of = EYES.filter(x =>
    fired?.eye ? all.some(f => f.rule === fired.rule && f.eye === x) : fired ? e.body[x] : e.body.eyes === x,
  );
  const eye = of.length ? [t(`eye.${of.length > 1 ? 'both' : of[0]}`)] : [];
  return [fired ? sign(s, fired, e) : felt(s, e), ...eye, when].join(t('mark.comma'));
}

/** Why, in words, each reason once: what the screen is headed with first. @param {State} s @param {Cause[]} list @param {number} most @returns {string[]} */
export function whys(s, list, most) {
  const all = reportsOf(s, list);
  const open = all.filter(e => !settled(s, e)); // what the clinic has decided about leads no more
  const reports = open.length ? open : all;
  const [log] = ofLog(s);
  const out = reports.length ? foremost(reports, log && [log]) : log;
  const leads = (/** @type {Cause} */ c) =>
    out?.findings === log?.findings
      ? c.id === log?.e.id
      : reports.some(e => e.id === c.id && headline(outcome(e))[0] === headline(out)[0]);
  // A report of no eye says nothing beside the one that named it.
  const named = (/** @type {Cause} */ c) => {
    const e = all.find(e => e.id === c.id);
    return (
      e &&
      !e.body.right &&
      !e.body.left &&
      all.some(x => (x.body.right || x.body.left) && x.body.now === e.body.now && written(x) >= written(e))
    );
  };
  const sorted = list.filter(c => !named(c)).sort((a, b) => Number(leads(b)) - Number(leads(a)));
  return [...new Set(sorted.map(c => why(s, c)))].slice(0, most);
}

/** What was logged, in words. @param {State} s @param {Entry} e */
function felt({ words: { t, med } }, { kind, body }) {
  const morning =
    kind === 'morning' && [body.redness >= 1 && 'red', body.comfort <= 1 && 'sore'].filter(x => x).join('-and-');
  if (morning) return med(`rule.morning-${morning}.family`);
  if (kind === 'not-worn' && body.reason === 'sore-eye') return t('reason.sore-eye');
  if (kind === 'insertion') return t('wear.despite');
  const key = ['kind', kind].join('.'); // the words of some kinds are fetched later; none of theirs holds a lens back
  return t(key) === key ? t('wear.unknown') : t(key);
}

/** Rules of which the words name more than one answer, and the part that says which it was. @type {Record<string, string>} */
const WHICH = {
  'pain-severe': 'pain',
  'sight-sudden': 'sight',
  'open-eye': 'injury',
  'lens-not-out': 'lens',
  discharge: 'discharge',
};

/** What a finding of a report found, in words: where a rule heeds several answers, the one that was given. @param {State} s @param {Finding} f @param {Entry} e */
export const sign = ({ words: { med } }, f, e) => {
  // Sore with a lens that will not move is pain that goes on: not "with the lens out".
  if (f.rule === 'pain-persists' && e.body[f.eye]?.lens === 'stuck') return med('rule.stuck-and-sore.family');
  const part = f.rule.startsWith('now-') ? 'now' : WHICH[f.rule];
  const said = part === 'now' ? e.body.now : e.body[f.eye]?.[part];
  return med(said ? `answer.${part}.${said}` : f.family);
};

/** Who at the clinic has it, or that nobody does. @param {State} s @param {Cause[]} list @returns {{text: string, alarm: boolean}} */
export function hasIt(s, list) {
  const { t, moment } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const mine = list.flatMap(c => s.records.get(c.id) ?? []);
  if (mine.some(r => r.state !== 'stored' && r.state !== 'sent'))
    return { text: t(s.sync.fault === 'signed-out' ? 'delivery.shut' : 'wear.unsent'), alarm: true };
  const seen = s.alerts.filter(a => a.wearer === s.wearer && a.state === 'acknowledged').at(-1);
  if (seen) {
    const when = moment(Date.parse(seen.spoken_at ?? seen.seen_at ?? ''), s.zone, today);
    return {
      text: t(seen.spoken_at ? 'wear.spoken' : 'wear.has', { who: seen.seen_by ?? '', when }),
      alarm: !seen.spoken_at,
    };
  }
  const open = s.alerts.filter(a => a.wearer === s.wearer && a.state === 'open').at(-1);
  if (open && s.sync.fault === 'signed-out') return { text: t('delivery.cut'), alarm: true };
  if (open?.desk_at)
    return { text: t('wear.desk', { when: moment(Date.parse(open.desk_at), s.zone, today) }), alarm: true };
  return { text: open ? t('wear.open') : '', alarm: !!open };
}

/** The release that asks for a check before the next lens, of an eye that nothing else stops. @param {State} s */
export function checkDue(s) {
  const wear = wearNow(s);
  const eye = EYES.find(eye => wear[eye].state === 'rest' && wear[eye].causes.some(c => c.check));
  return eye && s.records.get(wear[eye].causes.find(c => c.check)?.check ?? '')?.entry;
}

/** The eye reports among what holds a lens back. @param {State} s @param {Cause[]} list @returns {Entry[]} */
const reportsOf = (s, list) =>
  list
    .flatMap(c => s.records.get(c.id)?.entry ?? [])
    .filter(e => e.kind === 'symptoms')
    .map(e => asNow(s, e));

/** A report with what was said later of where its lens is. @param {State} s @param {Entry} e @returns {Entry} */
export const asNow = (s, e) => asOfNow(e, [...s.records.values()]);

/**
 * Whether what a report said to do at once has had its day. Of a lens that was stuck, or
 * not found, the clinic has to say that it is out: its decision alone frees none.
 * @param {State} s
 * @param {Entry} e
 */
export const settled = (s, e) =>
  decided(
    e,
    s.alerts,
    [...s.records.values()].some(r => r.entry.kind === 'resume' && r.entry.body.answers?.includes(e.id)),
  ) && !lensOn(e, [...s.records.values()], s.skew);

/**
 * What the log of the nights says to do at once, while something logged holds a lens back
 * of which the clinic has not decided: none, or one.
 * @param {State} s
 * @returns {(Outcome & {at: number, e: Entry})[]} e: the newest of that; at: when it was written, Unix ms
 */
export function ofLog(s) {
  const list = causes(s).flatMap(c => (c.from ? [] : (s.records.get(c.id)?.entry ?? [])));
  const open = list.filter(e => e.kind !== 'symptoms' && !e.by_name && !settled(s, e));
  const own = open.filter(e => e.kind !== 'check-open'); // that one says nothing of its own
  const f = open.length && findingsOf(s).find(x => x.actions.includes('no-lens'));
  const [e] = (own.length ? own : open).sort((a, b) => written(b) - written(a));
  const cautions = ['caution.better', 'caution.cannot-see', 'caution.worried', 'caution.local'];
  return f
    ? [
        {
          level: f.level,
          couldBe: f.level,
          unknown: false,
          unsure: false,
          findings: [f],
          actions: f.actions,
          cautions,
          at: written(e),
          e,
        },
      ]
    : [];
}

/**
 * What heads an outcome; once the lens of each eye of the plan was said to be out since,
 * and none to be in again, that they stay out.
 * @param {State} s @param {Outcome} out @param {Entry[]} reports @param {(Outcome & {at: number})[]} log what it comes from
 * @returns {string[]} text keys
 */
export function orders(s, out, reports, log) {
  const scene = sceneOf(s);
  const since = Math.max(...reports.map(written), ...log.map(o => o.at));
  const near = [tonight(s), addDays(tonight(s), -1)].flatMap(d => scene.night(d)?.entries ?? []);
  const gone = (/** @type {Entry} */ e, /** @type {import('../model/wear.js').Eye} */ eye) =>
    written(e) >= since &&
    (e.kind === 'removal'
      ? ['both', eye].includes(e.body.eyes)
      : ['out', 'stuck-came-off'].includes(e.body[eye]?.lens));
  const isOut = EYES.every(
    eye =>
      ![eye, 'both', '', undefined].includes(scene.plan?.eyes) ||
      (!inSince(scene, eye) && [...near, ...reports].some(e => gone(e, eye))),
  );
  const keys = pressing(s, out) ? ['told.lenses-out', 'told.call-now'] : headline(out);
  return keys.map(k => (isOut && k === 'told.lenses-out' ? 'told.lenses-stay-out' : k));
}

/**
 * What heads the advice: what to do about the lens, of each eye where it is not the
 * same, then whom to see; the twin of what the clinic's card repeats.
 * @param {State} s @param {Outcome} out @param {Entry[]} reports @param {(Outcome & {at: number})[]} log
 * @returns {{text: string, test: string}[]}
 */
export function heads(s, out, reports, log) {
  const { t, med } = s.words;
  const apart = eyeSteps(reports, log);
  const eyes = EYES.filter(eye => apart?.[eye]).map(eye => ({
    text: t(CAPITAL[eye]) + t('mark.colon') + med(`told.${apart?.[eye]}`),
    test: `step-${eye}`,
  }));
  const keys = orders(s, out, reports, log);
  const kept = keys
    .filter(k => !apart || EYES.every(eye => k !== `told.${apart[eye]}`))
    .map(k => ({ text: med(k), test: '' }));
  return kept.length < keys.length ? [...eyes, ...kept] : [...kept, ...eyes];
}

/** What the clinic has not decided of what holds a lens back, and what it comes to together: an order to go ends with its decision, the stop does not. @param {State} s @param {Cause[]} list */
function undecidedOf(s, list) {
  const reports = reportsOf(s, list).filter(e => !settled(s, e));
  const log = ofLog(s);
  return { reports, log, out: reports.length + log.length ? foremost(reports, log) : null };
}

/**
 * What leads every screen while an emergency holds a lens back, or what is urgent or could
 * be: what its advice is headed with, until the clinic has decided. Else null.
 * @param {State} s
 * @param {boolean} [any] a lens is in: what to do about it is said of what is urgent too
 * @returns {{words: string[], go: boolean, id: string, emergency: boolean, actions: string[]}|null} id: of a report whose advice says it; "" for none
 */
export function told(s, any) {
  const wear = wearNow(s);
  // What the clinic has said a day of is its word, no longer the phone's.
  const { reports, log, out } = undecidedOf(
    s,
    EYES.flatMap(eye => wear[eye].causes.filter(c => !c.from)),
  );
  const emergency = out?.level === 'emergency';
  if (!out || !(emergency || out.unsure || out.level === 'urgent')) return null;
  const lead = emergency || any;
  const words = lead
    ? heads(s, out, reports, log).map(x => x.text)
    : orders(s, out, reports, log)
        .slice(-1)
        .map(k => s.words.med(k));
  // Once the other eye is released, the order is of this one.
  const of = EYES.filter(eye => wear[eye].causes.some(c => !c.from));
  if (of.length === 1 && !(lead && eyeSteps(reports, log)))
    words[0] = s.words.t(CAPITAL[of[0]]) + s.words.t('mark.colon') + words[0];
  // The newest page says what holds of all before it, and what is answered by now.
  const [last] = live(s)
    .filter(e => e.wearer === s.wearer)
    .sort((a, b) => written(b) - written(a));
  const page = reports.length ? gravest(reports) : null;
  return {
    words,
    go: out.actions.includes('go-now'),
    id: (page && last && written(last) > written(page) ? last : page)?.id ?? '',
    emergency,
    actions: out.actions,
  };
}

/**
 * How soon somebody must answer, by what holds a lens back. What was reported as an
 * emergency keeps its wait while it holds its eye back and nobody has examined it.
 * @param {State} s
 * @param {Cause[]} list
 */
export function soonest(s, list) {
  const said = [...s.records.values()].map(r => r.entry).filter(e => e.wearer === s.wearer);
  const open = reportsOf(s, list).filter(e => !settled(s, e));
  const levels = [...open.map(outcome), ...findingsOf(s)].map(x => x.level);
  // Open answers that stop were judged beside such an emergency: a check of after takes none of it back.
  const stops = open.some(e => outcome(e).unsure && list.some(c => c.id === e.id && c.mark === 'stop'));
  return levels.includes('emergency') || waits(said, s.skew, stops ? undefined : wearNow(s)) ? 'emergency' : 'urgent';
}

/**
 * Whether answers are open while an emergency of before, decided about, still waits to be
 * examined: then nobody waits until today is over.
 * @param {State} s
 * @param {Outcome} out
 */
export const pressing = (s, out) => out.unsure && soonest(s, causes(s)) === 'emergency';

/** Whether wear has ended: a stop, and nothing that anybody has to hurry for. @param {State} s */
export const over = s => causes(s).every(c => s.records.get(c.id)?.entry.body.reason === 'ended');

/** Whether something holds a lens back of which the clinic has not decided. @param {State} s */
export const undecided = s =>
  causes(s).some(c => {
    const e = s.records.get(c.id)?.entry;
    return !c.from && e && !e.by_name && !settled(s, e);
  });

/**
 * What is said of phoning while a lens is held back and no order leads: of what the clinic
 * has decided, when to phone all the same; of what it has not, what its level asks for.
 * @param {State} s
 * @returns {{text: string, level: string}} level: how soon somebody must answer, as `Calls` takes it
 */
export function toPhone(s) {
  const wear = wearNow(s);
  const list = causes(s);
  const stop = stopped(sceneOf(s));
  const dated = !EYES.some(eye => wear[eye].state === 'stop' && !wear[eye].until);
  const level = !stop || over(s) || dated ? '' : soonest(s, list);
  if (!undecided(s)) return { text: s.words.t('advice.past'), level };
  const { reports, log, out } = undecidedOf(s, list);
  const heads = out && out.level !== 'none' ? orders(s, out, reports, log) : ['caution.worried'];
  return { text: heads.map(k => s.words.med(k)).join(' '), level };
}

/** How wearing stands, in a word; "" while nothing holds. Of one eye alone it names that. @param {State} s */
export function standing(s) {
  const { t, date } = s.words;
  const wear = wearNow(s);
  const held = EYES.filter(eye => wear[eye].state !== 'none');
  if (!held.length) return '';
  if (held.length === 1) {
    const [eye] = held;
    // Where the other has no lens either, no eye is named.
    if (noLens(s, eye === 'right' ? 'left' : 'right')) return t('wear.rest');
    const line = eyeLine(s, eye);
    return line === t('wear.eye.stop')
      ? t('wear.stop-one', { eye: t(CAPITAL[eye]) })
      : t(CAPITAL[eye]) + t('mark.colon') + line;
  }
  const stop = stopped(sceneOf(s));
  const due = !stop && checkDue(s);
  if (due) return t('wear.check-due', { who: due.by_name ?? '' });
  const { until } = wear.right;
  if (until && until === wear.left.until)
    return t(thisEvening(s, until) ? 'wear.until-today' : 'wear.until', { night: date(until) });
  return t(stop ? 'wear.stop' : 'wear.rest');
}

/** Why an eye that nothing stops has no lens tonight, as the end of its key in the words; "" where it may have one. @param {State} s @param {'right'|'left'} eye @returns {''|'plan'|'lost'} */
function noLens(s, eye) {
  const { until } = wearNow(s)[eye];
  if (bar(sceneOf(s), eye, until || tonight(s)) === 'plan') return 'plan';
  return !until && lostOf(s).length ? 'lost' : '';
}

const SKEW_MS = 5 * 60000; // from which a clock counts as wrong, as on the server (care.SkewLimit)

export const CAPITAL = { right: 'eye.Right', left: 'eye.Left' };

/** Whether a night is the one that begins today: its morning still belongs to the night before. Of a clock that is wrong nothing is. @param {State} s @param {string} night */
const thisEvening = (s, night) => Math.abs(s.skew) <= SKEW_MS && night === wallAt(s.now, s.zone).date;

/** How one eye stands, in words: from when on, and whether a check comes first. @param {State} s @param {'right'|'left'} eye @returns {string} */
function eyeLine(s, eye) {
  const { t, date } = s.words;
  const w = wearNow(s)[eye];
  // What the plan has no lens for is promised none, nor is any while one is lost.
  const no = (w.until || w.state === 'none') && noLens(s, eye);
  if (no) return t(`wear.eye.${no}`);
  if (w.state === 'none') return t('wear.eye.none');
  const check = w.causes.some(c => c.check && !w.until) || laterCheck(s, eye) ? t('wear.eye.check') : '';
  if (w.until) {
    const until = t(thisEvening(s, w.until) ? 'wear.eye.until-today' : 'wear.eye.until', { night: date(w.until) });
    return check ? until + t('mark.comma') + check : until;
  }
  if (w.state === 'rest') return check || t('wear.eye.rest');
  const shared = w.causes.every(c => {
    const e = s.records.get(c.id)?.entry;
    return e?.kind === 'symptoms' && !e.body[eye] && (e.body.right || e.body.left);
  });
  return t(shared ? 'wear.eye.shared' : 'wear.eye.stop');
}

/**
 * How each eye stands, by name, where one stands otherwise than the other; none where
 * they are the same.
 * @param {State} s
 * @returns {string[]}
 */
export function eyesApart(s) {
  const wear = wearNow(s);
  const lines = EYES.map(eye => eyeLine(s, eye));
  const same = wear.right.state === wear.left.state && wear.right.until === wear.left.until && lines[0] === lines[1];
  return same ? [] : EYES.map((eye, i) => s.words.t(CAPITAL[eye]) + s.words.t('mark.colon') + lines[i]);
}

/** What a release that is still to come asks for first, of both eyes; "" where it asks for nothing. @param {State} s */
export function checkFirst(s) {
  return EYES.every(eye => laterCheck(s, eye)) ? s.words.t('wear.check.then') : '';
}

/** Whether on the night of a release to come an eye still needs a check first. @param {State} s @param {'right'|'left'} eye */
const laterCheck = (s, eye) => {
  const { until } = wearNow(s)[eye];
  return !!until && wearThen(s, until)[eye].causes.some(c => c.check);
};

/** What holds a lens back, and who at the clinic has it. @param {{s: State}} props */
export function Why({ s }) {
  const list = causes(s);
  const has = list.length ? hasIt(s, list) : null;
  return [
    h(
      'ul',
      { class: 'plain-list', 'data-test': 'wear-why', key: 'why' },
      whys(s, list, 3).map(text => h('li', { key: text }, text)),
    ),
    has?.text &&
      h(
        'p',
        { class: has.alarm ? 'alarm-text' : '', role: 'status', 'data-test': 'wear-has', key: 'has' },
        h('strong', null, has.text),
      ),
  ];
}

/**
 * Where a stuck lens is was asked and nobody has said it, on this phone or another: it is
 * put again, and nothing is said to be out before.
 * @param {State} s
 * @returns {{night: string, eyes: string, entries: Entry[]}|null} entries: the morning that said it
 */
export function leftAsked(s) {
  for (const night of [tonight(s), addDays(tonight(s), -1)]) {
    const logged = s.nights.get(`${s.wearer}/${night}`)?.entries ?? [];
    const entries = logged.filter(e => e.kind === 'morning' && e.body.moved === 'stuck');
    const eyes = entries.length ? whereOpen([...s.records.values()], entries) : '';
    if (eyes) return { night, eyes, entries };
  }
  return null;
}

/** Whether a report that holds says that a lens is in, and no later word that this one came out. @param {State} s */
export const saidIn = s =>
  reportsOf(s, causes(s)).some(e =>
    EYES.some(eye => ['in', 'stuck'].includes(e.body[eye]?.lens) && !e.out?.includes(eye)),
  );

/** What to do, where no report has a page that says it. @param {{app: App, first: {actions: string[]}}} props */
export const ToDo = ({ app, first }) =>
  h(More, { title: app.state.words.t('advice.doing'), test: 'wear-steps' }, h(Steps, { app, f: first }));

/**
 * @param {{app: App, setOpen: (kind: UsualKind, night: string) => void}} props
 */
export function Wear({ app, setOpen }) {
  const s = app.state;
  const { t } = s.words;
  const wear = wearNow(s);
  const stop = stopped(sceneOf(s));
  const list = causes(s);
  const due = checkDue(s);
  const first = told(s, saidIn(s));
  const both = EYES.every(eye => wear[eye].state !== 'none');
  const one = EYES.find(eye => wear[eye].state !== 'none');
  const after = checkFirst(s);
  const apart = eyesApart(s);
  // A stop of which the clinic has not said from when on, and of whose eye that is said.
  const open = EYES.filter(eye => wear[eye].state === 'stop' && !wear[eye].until);
  const phone = toPhone(s);
  const reports = reportsOf(s, list);
  const [report] = reports;
  const unsure = !stop && reports.some(e => outcome(e).unsure && !settled(s, e));
  const logged = facts(s.nights.get(`${s.wearer}/${tonight(s)}`)).notWorn;
  const evening = wallAt(s.now, s.zone).clock >= '12:00';
  const of = stop ? open : EYES.filter(eye => wear[eye].state !== 'none');
  const which = of.length === 1 ? t(CAPITAL[of[0]]) + t('mark.colon') : '';
  const check = (/** @type {boolean} */ main) =>
    h(
      LinkButton,
      { href: link('check'), kind: main ? 'main' : '', wide: true, test: 'wear-check' },
      t(main ? 'wear.check' : 'wear.how-now'),
    );
  const leads = of.length > 0 && which + t(stop ? 'wear.stop.lead' : due ? 'wear.check.lead' : 'wear.rest.lead');
  return h(
    'section',
    { class: stop && !over(s) ? 'now held' : 'now held rest', 'data-test': stop ? 'now-hold' : 'now-pass' },
    h('h1', null, first?.words[0] ?? standing(s)),
    first?.words.slice(1).map(text => h('p', { class: 'lead', key: text }, h('strong', null, text))),
    first && h('p', { class: 'tag' }, standing(s)),
    after && h('p', { 'data-test': 'wear-after' }, after),
    !both || stop || apart.length
      ? h(
          'div',
          { class: 'eyes' },
          EYES.map(eye =>
            h(
              'div',
              { key: eye, class: wear[eye].state === 'none' ? '' : 'x' },
              h('span', null, t(CAPITAL[eye])),
              h('strong', null, eyeLine(s, eye)),
            ),
          ),
        )
      : null,
    h(Why, { s }),
    stop && due && check(true),
    unsure && !first && h('p', null, h('strong', null, s.words.med('level.unsure.told'))),
    (stop || unsure) && h(Calls, { s, level: unsure ? soonest(s, list) : phone.level, go: first?.go }),
    leads && h('p', { 'data-test': 'wear-lead' }, leads),
    open.length > 0 && !over(s) && h('p', null, which + t(which ? 'wear.keep-one' : 'wear.keep')), // a lens that goes in again is cleaned
    h(
      'div',
      { class: 'stack' },
      !(stop && due) && check(!stop),
      evening &&
        !logged &&
        h(
          Button,
          {
            wide: true,
            test: 'hold-not-worn',
            onPress: () =>
              void app.write([
                { wearer: s.wearer, kind: 'not-worn', body: { reason: 'told-to-stop', eyes: both ? 'both' : one } },
              ]),
          },
          t('now.hold.button'),
        ),
      report
        ? h(
            LinkButton,
            { href: link('advice', first?.id || report.id), wide: true, test: 'wear-advice' },
            t('now.hold.see'),
          )
        : first && h(ToDo, { app, first }),
      h(Button, { kind: 'plain', test: 'wear-say', onPress: () => setOpen('in', tonight(s)) }, t('wear.say')),
    ),
    !stop && !unsure && [h('p', { key: 'to', 'data-test': 'wear-phone' }, phone.text), h(Calls, { key: 'calls', s })],
  );
}
