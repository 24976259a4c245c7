// "As usual" in two taps: what would be saved is spelt out line by line, each
// line can be changed, and one button saves it.
import { addDays, NIGHT_STARTS, wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Check, Choices, Entry, Notice } from '../../ui/parts.js';
import { wearerOf } from '../app.js';
import { NO_PLAN, nightClosed } from '../model/day.js';
import { go } from '../route.js';

/** @import { App } from '../app.js' */
/** @import { Draft } from '../model/entry.js' */
/** @import { Translate } from '../text/text.js' */

/** @typedef {'in'|'out'|'care'|'missed'|'not'} UsualKind */
/** @typedef {{app: App, kind: UsualKind, night: string, eyes?: string, onDone: () => void}} UsualProps */

/** Values of the entry being made. @typedef {Record<string, any>} Values */

/** The facts of a clean-and-store as usual; deposit removal is never assumed. */
const CARE = ['hand_wash', 'rub', 'case_emptied', 'case_wiped', 'case_dried'];
const TROUBLE = ['tap_water', 'topping_off', 'water_contact'];
const REASONS = ['forgot', 'tired', 'ill', 'sore-eye', 'lens-problem', 'soak-not-ready', 'away', 'told-to-stop', 'other'];

/** @param {UsualProps} props */
export function Usual({ app, kind, night, eyes = 'both', onDone }) {
  const s = app.state;
  const { t } = s.words;
  const plan = wearerOf(s)?.plan ?? NO_PLAN;
  const [v, set] = useState(() => first(kind, night, eyes, plan, s.zone));
  const [open, setOpen] = useState('');
  const [fault, setFault] = useState('');
  const [busy, setBusy] = useState(false);
  /** @param {Values} more */
  const change = (more) => set({ ...v, ...more });
  const save = async () => {
    setBusy(true);
    try {
      await app.write(draftsOf(kind, v, { wearer: s.wearer, night }, plan.care_system, wallAt(Date.now(), s.zone)));
      onDone();
      if (kind === 'out' && worrying(v)) go('check');
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
    }
    setBusy(false);
  };
  const ready = (kind !== 'not' || v.reason) && (kind !== 'out' || v.at);
  return h('div', { class: 'stack' },
    kind === 'not' || !ready ? null : h('p', { class: 'quiet' }, t('usual.change')),
    lines({ t, kind, v, change, open, setOpen, clock: s.words.clock }),
    kind === 'out' && worrying(v) && h(Notice, { kind: 'alarm', live: true }, t('out.check')),
    kind === 'out' && v.on && !worrying(v) && h(Notice, { kind: 'urgent', live: true }, t('out.long')),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    h(Button, { kind: 'main', big: true, onPress: () => void save(), disabled: busy || !ready, test: 'confirm' }, kind === 'not' ? t('save') : t('usual.yes')),
    h('div', { class: 'row apart' },
      h(Button, { kind: 'plain', onPress: onDone, test: 'cancel' }, t('cancel'))));
}

/**
 * @param {UsualKind} kind @param {string} night @param {string} eyes
 * @param {{insertion_at: string, removal_at: string}} plan @param {string} zone
 * @returns {Values}
 */
function first(kind, night, eyes, plan, zone) {
  const now = wallAt(Date.now(), zone);
  const live = kind === 'in' ? now.date === night || now.date > night && now.clock < '12:00' : true;
  const at = live ? now.clock : plan.insertion_at;
  if (kind === 'out') return { ...outAt(night, now, plan.removal_at), eyes, moved: 'freely', fine: true, drops: false };
  if (kind === 'care') return { closed_at: now.clock, rinse: 'solution', ...Object.fromEntries(CARE.map((k) => [k, true])), ...Object.fromEntries(TROUBLE.map((k) => [k, false])) };
  if (kind === 'missed') return { in: plan.insertion_at, out: plan.removal_at, eyes };
  if (kind === 'not') return { eyes: 'both' };
  return { at, eyes };
}

/**
 * When the lenses came out, at a guess. Once the night has ended nobody guesses:
 * either it was not logged in the morning, or they are only coming out now.
 * @param {string} night @param {{date: string, clock: string}} now @param {string} usual
 * @returns {Values}
 */
function outAt(night, now, usual) {
  const tonight = now.clock < NIGHT_STARTS ? addDays(now.date, -1) : now.date;
  if (night >= tonight) return { at: now.clock };
  return addDays(night, 1) === tonight ? { at: '', morning: usual, late: now } : { at: usual };
}

/** @param {Values} v */
const worrying = (v) => v.moved !== 'freely' || (!v.fine && ((v.comfort ?? 4) <= 1 || (v.redness ?? 0) >= 1));

/**
 * @param {UsualKind} kind @param {Values} v @param {{wearer: string, night: string}} about @param {string} system
 * @param {{date: string, clock: string}} now
 * @returns {Draft[]}
 */
function draftsOf(kind, v, about, system, now) {
  switch (kind) {
    case 'in': return [{ ...about, kind: 'insertion', body: { at: v.at, eyes: v.eyes } }];
    case 'missed': return [
      { ...about, kind: 'insertion', body: { at: v.in, eyes: v.eyes } },
      { ...about, kind: 'removal', body: { at: v.out, eyes: v.eyes } }];
    case 'not': return [{ ...about, kind: 'not-worn', body: { reason: v.reason, eyes: v.eyes } }];
    case 'out': return [
      { ...about, kind: 'removal', body: { at: v.at, eyes: v.eyes, ...(v.on ? { on: v.on } : {}) } },
      { ...about, kind: 'morning', body: morningOf(v) }];
    default: return careDrafts(v, about, system, now);
  }
}

/**
 * @param {Values} v @param {{wearer: string, night: string}} about @param {string} system @param {{date: string, clock: string}} now
 * @returns {Draft[]}
 */
function careDrafts(v, about, system, now) {
  const body = careOf(v, system);
  const night = nightClosed(about.night, v.closed_at, now);
  if (night === about.night) return [{ ...about, kind: 'care', body }];
  const { closed_at, ...rest } = body;
  return [{ ...about, kind: 'care', body: rest }, { ...about, night, kind: 'care', body: { closed_at } }];
}

/** @param {Values} v */
function morningOf(v) {
  const feel = v.fine ? { comfort: 4, redness: 0 } : { ...(v.comfort !== undefined ? { comfort: v.comfort } : {}), ...(v.redness !== undefined ? { redness: v.redness } : {}) };
  return { moved: v.moved, ...feel, ...(v.drops ? { drops: true } : {}) };
}

/** @param {Values} v @param {string} system @returns {Values} */
function careOf(v, system) {
  const body = { ...Object.fromEntries([...CARE, ...TROUBLE].map((k) => [k, v[k]])), rinse: v.rinse, system };
  if (v.closed_at) Object.assign(body, { closed_at: v.closed_at });
  if (v.deposit_removal) Object.assign(body, { deposit_removal: true });
  return body;
}

/**
 * @typedef {{t: Translate, kind: UsualKind, v: Values, change: (more: Values) => void, open: string, setOpen: (s: string) => void, clock: (c: string) => string}} LineProps
 */

/** @param {LineProps} p */
function lines(p) {
  switch (p.kind) {
    case 'in': return h('ul', { class: 'plain-list' }, whenLine(p, 'usual.line.in', 'at'));
    case 'missed': return h('ul', { class: 'plain-list' }, whenLine(p, 'usual.line.in', 'in'), whenLine(p, 'usual.line.out', 'out'));
    case 'out': return outLines(p);
    case 'not': return h('div', { class: 'stack' }, reasons(p), eyesChoice(p));
    default: return careLines(p);
  }
}

/** @param {LineProps} p @param {string} key @param {string} field */
function whenLine(p, key, field) {
  const { t, v, open, setOpen } = p;
  const text = v.eyes === 'both' ? t(key, { time: p.clock(v[field]) }) : t(`${key}-one`, { time: p.clock(v[field]), eye: t(`eye.${v.eyes}`) });
  return h('li', { key: field },
    h('button', { type: 'button', class: 'choice', 'aria-expanded': open === field, 'data-test': `line-${field}`, onClick: () => setOpen(open === field ? '' : field) }, h('span', null, text), h('span', { class: 'quiet small' }, t('change'))),
    open === field && h('div', { class: 'stack' },
      h(Entry, { id: `u-${field}`, type: 'time', label: t('at.label'), value: v[field], onInput: (x) => x && p.change({ [field]: x }) }),
      eyesChoice(p)));
}

/** @param {LineProps} p */
const eyesChoice = ({ t, v, change }) => Choices({ legend: t('eyes.label'), across: true, value: v.eyes, onPick: (eyes) => change({ eyes }), options: ['both', 'right', 'left'].map((e) => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]) });

/** @param {LineProps} p */
function reasons({ t, v, change }) {
  return Choices({ legend: t('not.title'), value: v.reason, onPick: (reason) => change({ reason }), test: (r) => `reason-${r}`, options: REASONS.map((r) => [r, t(`reason.${r}`)]) });
}

/** @param {LineProps} p */
function outLines(p) {
  const { t, v, change } = p;
  const { late } = v;
  return h('ul', { class: 'plain-list' },
    late && h('li', null, Choices({ legend: t('out.when'), across: true, value: v.when, test: (w) => `out-${w}`, options: [['morning', t('out.when.morning')], ['now', t('out.when.now')]],
      onPick: (when) => change(when === 'now' ? { when, at: late.clock, on: late.date } : { when, at: v.morning, on: '' }) })),
    v.at && whenLine(p, 'usual.line.out', 'at'),
    h('li', null, h(Check, { label: t('usual.line.moved'), checked: v.moved === 'freely', test: 'moved', onChange: (on) => change({ moved: on ? 'freely' : 'stuck-came-off' }) }),
      v.moved !== 'freely' && h('div', { class: 'stack' },
        Choices({ legend: t('out.moved'), value: v.moved, onPick: (moved) => change({ moved }), options: ['stuck-came-off', 'stuck'].map((m) => [m, t(`moved.${m}`)]) }),
        h(Check, { label: t('out.drops'), checked: v.drops, onChange: (drops) => change({ drops }) }))),
    h('li', null, h(Check, { label: t('usual.line.fine'), checked: v.fine, test: 'fine', onChange: (fine) => change({ fine }) }),
      !v.fine && h('div', { class: 'stack' },
        Choices({ legend: t('out.comfort'), value: v.comfort, onPick: (comfort) => change({ comfort }), options: [4, 3, 2, 1, 0].map((c) => [c, t(`comfort.${c}`)]) }),
        Choices({ legend: t('out.redness'), value: v.redness, onPick: (redness) => change({ redness }), options: [0, 1, 2, 3].map((c) => [c, t(`redness.${c}`)]) }))));
}

/** @param {LineProps} p */
function careLines(p) {
  const { t, v, change, open, setOpen } = p;
  return h('ul', { class: 'plain-list' },
    CARE.slice(0, 2).map((k) => careCheck(p, k)),
    h('li', null, h(Check, { label: t('care.rinse'), checked: v.rinse === 'solution', onChange: (on) => change({ rinse: on ? 'solution' : 'none' }) }),
      v.rinse !== 'solution' && Choices({ legend: t('care.rinse.label'), across: true, value: v.rinse, onPick: (rinse) => change({ rinse }), options: ['saline', 'tap-water', 'none'].map((r) => [r, t(`care.rinse.${r}`)]) })),
    CARE.slice(2).map((k) => careCheck(p, k)),
    h('li', null, h(Check, { label: v.closed_at ? t('care.closed', { time: p.clock(v.closed_at) }) : t('care.closed-none'), checked: !!v.closed_at, test: 'closed', onChange: (on) => change({ closed_at: on ? p.v.closed_was ?? '12:00' : '', closed_was: v.closed_at || v.closed_was }) }),
      v.closed_at && h(Button, { kind: 'plain', test: 'closed-change', onPress: () => setOpen(open === 'closed' ? '' : 'closed') }, t('change')),
      open === 'closed' && v.closed_at && h(Entry, { id: 'u-closed', type: 'time', label: t('at.label'), value: v.closed_at, onInput: (x) => x && change({ closed_at: x }) })),
    careCheck(p, 'deposit_removal'),
    h('li', null, h(Button, { kind: 'plain', test: 'care-different', onPress: () => setOpen(open === 'trouble' ? '' : 'trouble') }, t('care.trouble')),
      open === 'trouble' && TROUBLE.map((k) => h(Check, { key: k, label: t(`care.${k}`), checked: v[k], test: k, onChange: (on) => change({ [k]: on }) }))));
}

/** @param {LineProps} p @param {string} k */
const careCheck = ({ t, v, change }, k) => h('li', { key: k }, h(Check, { label: t(`care.${k}`), checked: !!v[k], test: k, onChange: (on) => change({ [k]: on }) }));

