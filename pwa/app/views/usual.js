// "As usual" in two taps: what would be saved is spelt out line by line, each
// line can be changed, and one button saves it. How the eyes are is nobody's
// usual: it stays unanswered until somebody answers.
import { addDays, instantInNight, isDate, NIGHT_STARTS, wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Check } from '../../ui/more-parts.js';
import { Button, Choices, Entry, Notice } from '../../ui/parts.js';
import { planOn, sceneOf, about as whose, tonight, wearerOf } from '../app.js';
import { nightSigns, storedBy } from '../model/record.js';
import { written } from '../model/report.js';
import { heldEyes, insertedAt, inSince, NO_PLAN, stopped, removedAt } from '../model/day.js';
import { nightClosed, wasIll } from '../model/past.js';
import { apart } from '../model/closing.js';
import { bodyHere, corrects, taken, unchanged } from '../model/mend.js';
import { doubt } from '../model/plausible.js';
import { stuckDrafts, whereDraft } from '../model/stuck.js';
import { EYES } from '../model/wear.js';
import { go } from '../route.js';
import { asking, goToLack } from './asking.js';
import { Doubt } from './doubt.js';
import {
  Against,
  askCleaned,
  beginStuck,
  Cleaned,
  goesAgainst,
  knownOf,
  leadsToCheck,
  notOut,
  StillIn,
} from './against.js';

/** @import { App } from '../app.js' */
/** @import { Draft, Entry as LogEntry } from '../model/entry.js' */
/** @import { Translate } from '../text/text.js' */

/** @typedef {'in'|'out'|'care'|'missed'|'still'|'not'|'removal'|'morning'} UsualKind still: `missed`, put in and still in; removal and morning: the halves of `out`, to be edited */
/** Another night or child that was chosen for the entry that is mended. @typedef {{wearer: string, night: string, write: (mended: {kind: string, body: Record<string, any>}) => Promise<LogEntry[]>}} Moving */
/** @typedef {{app: App, kind: UsualKind, night: string, eyes?: string, edit?: LogEntry, closing?: LogEntry, moving?: Moving, onDone: () => void, asked?: LogEntry[], beside?: boolean, again?: boolean}} UsualProps edit: the entry that is mended; closing: of its case, written with it; moving: to where it is to go; asked: the morning of which only the question where its lens is was left; beside: the screen has the numbers already; again: it asks by itself where a stuck lens is */

/** Values of the entry being made. @typedef {Record<string, any>} Values */

/** The steps of a clean-and-store: none is ticked before somebody ticks it. */
const CARE = ['hand_wash', 'rub', 'case_emptied', 'case_wiped', 'case_dried'];
const TROUBLE = ['tap_water', 'topping_off', 'water_contact'];
const REASONS = [
  'forgot',
  'tired',
  'ill',
  'sore-eye',
  'lens-problem',
  'soak-not-ready',
  'away',
  'told-to-stop',
  'other',
];

/** @param {UsualProps} props */
export function Usual({
  app,
  kind: asks,
  night,
  eyes = 'both',
  edit,
  closing,
  moving,
  onDone,
  asked: left = [],
  beside,
  again,
}) {
  const kind = asks === 'still' ? 'missed' : asks;
  const s = app.state;
  const { t } = s.words;
  const to = moving && { wearer: moving.wearer, night: isDate(moving.night) ? moving.night : night };
  const there = to ? whose(app, to.wearer) : app;
  const plan = planOn(there.state, to?.night ?? night) ?? NO_PLAN;
  const [v, set] = useState(() => {
    const worn = EYES.some(eye => inSince(sceneOf(s), eye) === night);
    return edit ? filled(kind, edit, s.zone, closing) : first(asks, night, eyes, plan, s.zone, worn);
  });
  const [open, setOpen] = useState('');
  const [fault, setFault] = useState('');
  const [lacking, setLacking] = useState('');
  const [busy, setBusy] = useState(false);
  const [sure, setSure] = useState(''); // the doubt that was answered
  const [well, setWell] = useState(false); // again, said by somebody
  const [stuck, setStuck] = useState(left); // what was saved of a morning with a stuck lens
  /** @param {Values} more */
  const change = more => {
    setFault('');
    setLacking('');
    set({ ...v, ...more });
  };
  /** @param {string} key of what was asked: the way to save is free again */
  const beSure = key => {
    setSure(key);
    goOn(document.activeElement, '[data-test=confirm]');
  };
  const at = to?.night ?? (v.night || night); // what is said of a night is held against that night
  const scene = sceneOf(there.state);
  const n = scene.night(at);
  const replaces = (/** @type {string} */ to) =>
    to !== (edit?.night ?? night) && taken(sceneOf(s).night(to), edit ?? { id: '', kind: 'insertion' });
  const known = {
    night: to?.night ?? night,
    now: s.now,
    zone: s.zone,
    plan,
    into: insertedAt(n, s.zone),
    out: removedAt(n, s.zone),
    taken: replaces,
    was: edit?.body.at,
    held: heldEyes(scene).length > 0,
  };
  const apartAt = closing && v.closed_at >= NIGHT_STARTS ? closing.night : '';
  const found = doubt(kind, to ? { ...v, night: '' } : apartAt ? { ...v, night: apartAt } : v, known);
  const d = to && found?.offer?.change.night ? { ...found, offer: undefined } : found; // the night is chosen
  const only = kind === 'care' && !edit && stopped(scene) ? spared(scene) : undefined;
  // What is said to be fine while a report stops lenses is asked about: it lifts nothing.
  const stoppedFine = HALVES.includes(kind) && v.fine === true && stopped(scene) && sure !== 'fine';
  const against = (kind === 'in' || (kind === 'missed' && v.still)) && goesAgainst(there.state, v.eyes, at);
  // Out again by the log: asked is whether they were in, not whether they are.
  const past = kind === 'in' && v.at && known.out && instantInNight(at, v.at, s.zone) < known.out ? v.at : '';
  const dirty = kind === 'in' && !edit && !against ? askCleaned(there.state, v.eyes, at) : '';
  const asked = d && (d.firm || (sure !== d.key && !against));
  const moved = edit && v.night && v.night !== edit.night;
  const worry = HALVES.includes(kind) && worrying(v);
  // A finding waits for no time: it is saved and rings, and when they came out stays open.
  const untimed = kind === 'out' && worry && (!v.at || !!asked);
  const ill = kind === 'in' && !edit && !well && wasIll(scene, at);
  /** That none goes in. @param {string} reason @param {string} eyes */
  const say = (reason, eyes) =>
    app
      .write([{ wearer: s.wearer, night: at, kind: 'not-worn', body: { reason, eyes } }])
      .then(onDone, e => setFault(e.message));
  // Stuck, and yet out: the finding is saved, and the lens is asked about.
  const isStuck = HALVES.includes(kind) && !edit && v.fine === false && v.moved === 'stuck';
  const torn = isStuck && (kind === 'morning' || [eyes, 'both'].includes(v.eyes));
  const saveStuck = async () => {
    const about = { wearer: s.wearer, night };
    const entries = await app.write(stuckDrafts(about, morningOf(v), eyes), '');
    beginStuck(knownOf(s, entries), eyes, Date.now());
    if (!again || night < addDays(tonight(s), -1)) return setStuck(entries);
    onDone();
    void app.setWearer(s.wearer);
    go('check'); // which asks first where the lens is, as home and the board do until it is said: see leftAsked
  };
  /** @param {string} still */
  const sayIn = async still => {
    const about = { wearer: s.wearer, night };
    const gone = still === '' ? v.eyes : still === 'right' ? 'left' : 'right';
    const removal = { at: v.at, eyes: gone, ...(v.on ? { on: v.on } : {}) };
    const out = kind === 'out' && v.at && !untimed && still !== 'both' && (still === '' || eyes === 'both');
    const drafts = [
      ...(out ? [{ ...about, kind: 'removal', body: removal }] : []),
      ...(kind === 'morning' && still ? notOut(s, night, still) : []),
      whereDraft(s.wearer, stuck.find(e => e.kind === 'morning')?.body ?? {}, eyes, still),
    ];
    try {
      await app.write(drafts);
      const known = knownOf(s, stuck, eyes);
      localStorage.removeItem(`check-${s.wearer}`);
      if (still) beginStuck(known, still, Date.now());
      else {
        const { pain: _, ...answers } = known.answers ?? {}; // whether it hurts with the lens out is asked
        app.know({ ...known, answers: { ...answers, lens: 'stuck-came-off' } });
      }
      onDone();
      void app.setWearer(s.wearer);
      go('check');
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
    }
  };
  /** @param {Draft[]} [also] said with it */
  const save = async (also = []) => {
    const saves = untimed ? 'morning' : kind;
    const written = untimed ? night : at;
    const missing = lacks(saves, v);
    setLacking(missing);
    if (missing === 'lacks.time') {
      const field = kind === 'missed' ? (v.in ? 'out' : 'in') : 'at';
      setOpen(field);
      return goOn(document.activeElement, `#u-${field}`);
    }
    if (missing) return goToLack();
    if (!moving && replaces(written)) return setFault(t('doubt.taken', { night: s.words.date(v.night) }));
    setBusy(true);
    try {
      if (torn) return await saveStuck();
      const about = moving ?? { wearer: s.wearer, night: written };
      const of = () => whose(app, about.wearer);
      const drafts = edit
        ? mendedDrafts(editDraft(kind, v, plan.care_system), edit, closing, about, s.me?.person ?? '')
        : [...also, ...draftsOf(saves, v, about, plan, wallAt(Date.now(), s.zone))];
      if (edit && !moving && unchanged(edit, drafts, s.zone)) return onDone();
      const burnt = peroxideShort(of(), about.night);
      const entries = moving
        ? await moving.write(editDraft(kind, v, plan.care_system))
        : await app.write(drafts, against ? 'wear.thanks' : moved ? 'edit.moved' : 'saved');
      if (moving && closing) await app.undo([closing.id], ''); // it went with its cleaning
      const burns = !burnt && peroxideShort(of(), about.night);
      const leads = burns || (kind !== 'in' && (leadsToCheck(entries) || (worry && !looked(v))));
      if (leads && kind !== 'not')
        await app.write(
          [{ wearer: about.wearer, night: about.night, kind: 'check-open', body: { eyes: v.eyes ?? 'both' } }],
          '',
        );
      onDone();
      if (leads || worry) {
        const known = knownOf(of().state, entries, kind === 'not' ? v.eyes : eyes);
        if (isStuck)
          beginStuck(known, v.eyes === 'right' ? 'left' : 'right', Date.now()); // only the other lens came out
        else app.know(known);
        void app.setWearer(about.wearer);
        go('check', burns ? 'peroxide' : '');
      }
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
    }
    setBusy(false);
  };
  if (stuck.length)
    return h(
      'div',
      { class: 'stack' },
      h(StillIn, { app, eyes, beside, onIn: still => void sayIn(still) }),
      fault && h(Notice, { kind: 'alarm', live: true }, fault),
    );
  return h(
    'div',
    { class: 'stack' },
    ['not', 'morning', 'care'].includes(kind) || edit || (kind === 'out' && !v.at)
      ? null
      : h('p', { class: 'quiet' }, t('usual.change')),
    only !== undefined && h(OnlyOne, { app, eye: only }),
    kind === 'care' &&
      !edit &&
      EYES.some(eye => inSince(sceneOf(s), eye) === night) &&
      h(Notice, { kind: 'urgent', test: 'care-in' }, t('care.in')),
    lines({
      t,
      kind,
      v,
      change,
      open,
      setOpen,
      clock: s.words.clock,
      lacking,
      doubted: asked ? 'doubt' : undefined,
      only: !!only,
    }),
    worry && h(Notice, { kind: 'alarm', live: true }, t('out.check')),
    kind === 'out' && v.on && !worry && h(Notice, { kind: 'urgent', live: true }, t('out.long')),
    h(
      'div',
      { role: 'status', id: 'doubt' },
      asked && h(Doubt, { app, d, onChange: change, onSure: () => beSure(d.key) }),
    ),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    stoppedFine &&
      h(
        Notice,
        { kind: 'urgent', live: true, test: 'fine-stopped' },
        h('p', null, t('fine.stopped')),
        h(Button, { wide: true, test: 'fine-sure', onPress: () => beSure('fine') }, t('fine.sure')),
      ),
    ill && h(Well, { app, onYes: () => setWell(true), onNo: () => void say('ill', 'both') }),
    against && !asked
      ? h(Against, { app: there, eyes: v.eyes, night: at, past, busy, onYes: () => void save(), onNo: onDone })
      : dirty && !asked && !ill
        ? h(Cleaned, {
            app: there,
            after: dirty,
            busy,
            onIn: care => void save(care),
            onNot: () => void say('soak-not-ready', v.eyes),
          })
        : h(
            Button,
            {
              kind: asked && !untimed ? '' : 'main',
              big: true,
              onPress: () => void save(),
              disabled: busy || (!!asked && !untimed) || ill || stoppedFine,
              test: 'confirm',
            },
            ['not', 'morning', 'out', 'care'].includes(kind) || edit ? t('save') : t('usual.yes'),
          ),
    h('div', { class: 'row apart' }, h(Button, { kind: 'plain', onPress: onDone, test: 'cancel' }, t('cancel'))),
  );
}

/** The eye whose lens is not kept for the clinic while the other's is; "" for none. @param {import('../model/day.js').Scene} s */
const spared = s => ['right', 'left'].find(eye => !heldEyes(s).some(x => x === eye)) ?? '';

/** Illness was said of the night before. @param {{app: App, onYes: () => void, onNo: () => void}} props */
function Well({ app, onYes, onNo }) {
  const { t, med } = app.state.words;
  return h(
    Notice,
    { kind: 'urgent', live: true, test: 'well-again' },
    h(
      'div',
      { class: 'stack' },
      h('p', null, h('strong', null, t('well.ask'))),
      h('p', null, med('action.no-wear-ill')),
      h(Button, { wide: true, test: 'well-no', onPress: onNo }, t('well.no')),
      h(Button, { wide: true, test: 'well-yes', onPress: onYes }, t('well.yes')),
    ),
  );
}

/** Whether a lens went in before the peroxide was safe, in a night or in the next, which wears what was stored in it. @param {App} app @param {string} night */
function peroxideShort({ state: s }, night) {
  const near = [-1, 0, 1].flatMap(n => sceneOf(s).night(addDays(night, n)) ?? []);
  const signs = nightSigns(near, storedBy(wearerOf(s)?.plan));
  return [night, addDays(night, 1)].some(d => signs[d]?.peroxide_short === 'yes');
}

/** Forms that ask how the eyes are. @type {UsualKind[]} */
const HALVES = ['out', 'morning'];

/** What a form still needs, as a key of the words; "" for nothing. @param {UsualKind} kind @param {Values} v */
function lacks(kind, v) {
  if (kind === 'not') return v.reason ? '' : 'lacks.reason';
  if (kind === 'care') return lacksOfCare(v);
  if (kind === 'morning' && v.fine === undefined) return 'lacks.look';
  if (kind === 'out' && !v.at && v.late && !v.when) return 'lacks.when';
  if (kind === 'missed') return v.in && (v.still || v.out) ? '' : 'lacks.time';
  return ['in', 'out', 'removal'].includes(kind) && !v.at ? 'lacks.time' : '';
}

/**
 * @param {UsualKind} kind @param {string} night @param {string} eyes
 * @param {{insertion_at: string, removal_at: string}} plan @param {string} zone
 * @param {boolean} worn a lens is in since that night, by the log
 * @returns {Values}
 */
function first(kind, night, eyes, plan, zone, worn) {
  const now = wallAt(Date.now(), zone);
  const tonight = now.clock < NIGHT_STARTS ? addDays(now.date, -1) : now.date;
  if (kind === 'out') return { ...outAt(night, now, plan.removal_at, worn), eyes };
  if (kind === 'morning') return { fine: false }; // "not as usual" was the answer that led here
  if (kind === 'care') {
    // Cleaned just now, unless it is a past night that is filled in.
    return { closed_was: addDays(night, 1) >= tonight ? now.clock : plan.removal_at };
  }
  if (kind === 'missed') return { in: plan.insertion_at, ...outOf(night, tonight, now, plan.removal_at), eyes };
  if (kind === 'still')
    return { in: plan.insertion_at, ...outOf(night, tonight, now, plan.removal_at), still: true, eyes };
  if (kind === 'not') return { eyes: 'both' };
  return { at: night === tonight ? now.clock : plan.insertion_at, eyes };
}

/**
 * When the lenses of a night that nobody logged came out: nothing is written
 * ahead of time, so until the planned time has come they came out now at most,
 * or are still in.
 * @param {string} night @param {string} tonight @param {{clock: string}} now @param {string} usual
 * @returns {Values}
 */
function outOf(night, tonight, now, usual) {
  const early = night === tonight && (now.clock >= NIGHT_STARTS || now.clock < usual);
  return early
    ? { out: now.clock, still: true, may_still: true }
    : { out: usual, still: false, may_still: addDays(night, 1) >= tonight };
}

/** The form filled with an entry. @param {UsualKind} kind @param {LogEntry} e @param {string} zone @param {LogEntry} [closing] @returns {Values} */
function filled(kind, e, zone, closing) {
  const body = { ...bodyHere(e, zone), ...(closing && bodyHere(closing, zone)) };
  if (kind === 'morning') return { ...body, fine: Object.entries(FINE).every(([k, x]) => body[k] === x) };
  return kind === 'care' ? { closed_was: wallAt(written(e), zone).clock, ...body, trouble: troubleOf(body) } : body;
}

/**
 * @param {UsualKind} kind @param {Values} v @param {string} system
 * @returns {{kind: string, body: Record<string, any>}}
 */
function editDraft(kind, v, system) {
  switch (kind) {
    case 'in':
      return { kind: 'insertion', body: { at: v.at, eyes: v.eyes } };
    case 'removal':
      return {
        kind: 'removal',
        body: {
          at: v.at,
          eyes: v.eyes,
          ...(v.on ? { on: v.on } : {}),
          ...(v.slept_minutes !== undefined ? { slept_minutes: v.slept_minutes } : {}),
        },
      };
    case 'morning':
      return { kind: 'morning', body: morningOf(v) };
    case 'not':
      return { kind: 'not-worn', body: { reason: v.reason, eyes: v.eyes } };
    default:
      return { kind: 'care', body: careOf(v, v.system ?? system) };
  }
}

/**
 * @param {{kind: string, body: Record<string, any>}} mended @param {LogEntry} edit @param {LogEntry|undefined} closing
 * @param {{wearer: string, night: string}} about @param {string} me
 * @returns {Draft[]}
 */
function mendedDrafts(mended, edit, closing, about, me) {
  if (!closing) return [{ ...about, ...mended, supersedes: corrects(edit, me) }];
  const parts = apart(closing, mended.body, mended.body.closed_at >= NIGHT_STARTS);
  const both = [...corrects(edit, me), ...corrects(closing, me)];
  return parts.map(p => ({
    wearer: about.wearer,
    night: p.night ?? about.night,
    kind: mended.kind,
    body: p.body,
    supersedes: parts.length === 1 ? both : corrects(p.closes ? closing : edit, me),
  }));
}

/**
 * When the lenses came out, at a guess. Once the night has ended nobody guesses:
 * either it was not logged in the morning, or they are only coming out now.
 * @param {string} night @param {{date: string, clock: string}} now @param {string} usual @param {boolean} worn
 * @returns {Values}
 */
function outAt(night, now, usual, worn) {
  const tonight = now.clock < NIGHT_STARTS ? addDays(now.date, -1) : now.date;
  if (night >= tonight) return { at: now.clock };
  return worn || addDays(night, 1) === tonight ? { at: '', morning: usual, late: now } : { at: usual };
}

const STUCK = ['stuck-came-off', 'stuck'];

/** What "fine" says of a morning. @type {Values} */
const FINE = { moved: 'freely', comfort: 4, redness: 0 };

/** Whether anything was answered of what is not fine. @param {Values} v */
const looked = v => ['moved', 'comfort', 'redness'].some(k => v[k] !== undefined);

/** "Not fine" without a word of what is as careful as the worst. @param {Values} v */
const worrying = v =>
  v.fine === false && (!looked(v) || STUCK.includes(v.moved) || (v.comfort ?? 4) <= 1 || (v.redness ?? 0) >= 1);

/** Whether anything of what must not happen did; undefined while nobody has said. @param {Values} body */
const troubleOf = body => {
  const said = TROUBLE.map(k => body[k]).filter(x => x !== undefined);
  return said.length ? said.includes(true) : undefined;
};

/**
 * A time, and whether it is the plan's, as it stood before anybody said one.
 * @param {string} at @param {string} plans @param {{clock: string}} now
 */
const timed = (at, plans, now) => ({ at, ...(at === plans && at !== now.clock ? { planned: true } : {}) });

/**
 * @param {UsualKind} kind @param {Values} v @param {{wearer: string, night: string}} about
 * @param {{insertion_at: string, removal_at: string, care_system: string}} plan
 * @param {{date: string, clock: string}} now
 * @returns {Draft[]}
 */
function draftsOf(kind, v, about, plan, now) {
  const eyes = v.eyes;
  switch (kind) {
    case 'in':
      return [{ ...about, kind: 'insertion', body: { ...timed(v.at, plan.insertion_at, now), eyes } }];
    case 'missed':
      return [
        { ...about, kind: 'insertion', body: { ...timed(v.in, plan.insertion_at, now), eyes } },
        ...(v.still ? [] : [{ ...about, kind: 'removal', body: { ...timed(v.out, plan.removal_at, now), eyes } }]),
      ];
    case 'not':
      return [{ ...about, kind: 'not-worn', body: { reason: v.reason, eyes: v.eyes } }];
    case 'out':
      return [
        {
          ...about,
          kind: 'removal',
          body: { ...timed(v.at, plan.removal_at, now), eyes, ...(v.on ? { on: v.on } : {}) },
        },
        ...(Object.keys(morningOf(v)).length ? [{ ...about, kind: 'morning', body: morningOf(v) }] : []),
      ];
    case 'morning':
      return Object.keys(morningOf(v)).length ? [{ ...about, kind: 'morning', body: morningOf(v) }] : [];
    default:
      return careDrafts(v, about, plan.care_system, now);
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
  return [
    { ...about, kind: 'care', body: rest },
    { ...about, night, kind: 'care', body: { closed_at } },
  ];
}

/** @param {Values} v */
function morningOf(v) {
  if (v.fine) return { ...FINE };
  /** @type {Values} */
  const body = {};
  for (const k of ['moved', 'comfort', 'redness']) if (v[k] !== undefined) body[k] = v[k];
  if (v.drops) body.drops = true;
  return body;
}

/** @param {Values} v @param {string} system @returns {Values} */
function careOf(v, system) {
  /** @type {Values} */
  const body = { system };
  for (const k of [...CARE, 'rinse']) if (v[k] !== undefined) body[k] = v[k];
  if (v.trouble === true || v.trouble === false) for (const k of TROUBLE) body[k] = v.trouble && !!v[k]; // else nobody knows
  if (v.closed_at) Object.assign(body, { closed_at: v.closed_at });
  if (v.deposit_removal) Object.assign(body, { deposit_removal: true });
  return body;
}

/** What a cleaning still needs: something that was done, and whether water met it. @param {Values} v */
function lacksOfCare(v) {
  if (![...CARE, 'rinse', 'deposit_removal', 'closed_at'].some(k => v[k]) && !v.trouble) return 'lacks.care';
  return v.trouble === undefined || (v.trouble === true && !TROUBLE.some(k => v[k])) ? 'lacks.water' : '';
}

/**
 * @typedef {{t: Translate, kind: UsualKind, v: Values, change: (more: Values) => void, open: string, setOpen: (s: string) => void, clock: (c: string) => string, lacking: string, doubted?: string, only?: boolean}} LineProps only: one lens; lacking: what an answer is missing for, as `lacks` says; doubted: id of what a time is doubted by
 */

/** @param {LineProps} p */
function lines(p) {
  switch (p.kind) {
    case 'in':
      return h('ul', { class: 'plain-list' }, whenLine(p, 'usual.line.in', 'at'));
    case 'missed':
      return h(
        'ul',
        { class: 'plain-list' },
        whenLine(p, 'usual.line.in', 'in'),
        !p.v.still && whenLine(p, 'usual.line.out', 'out'),
        p.v.may_still &&
          h(
            'li',
            null,
            h(Check, {
              label: p.t('usual.still'),
              checked: p.v.still,
              test: 'still',
              onChange: still => p.change({ still }),
            }),
          ),
      );
    case 'removal':
      return h('ul', { class: 'plain-list' }, whenLine(p, 'usual.line.out', 'at'));
    case 'morning':
      return h('ul', { class: 'plain-list' }, feelLines(p));
    case 'out':
      return outLines(p);
    case 'not':
      return h('div', { class: 'stack' }, reasons(p), eyesChoice(p));
    default:
      return careLines(p);
  }
}

/** @param {LineProps} p @param {string} key @param {string} field */
function whenLine(p, key, field) {
  const { t, v, open, setOpen } = p;
  const time = v[field] ? p.clock(v[field]) : '…';
  const text = v.eyes === 'both' ? t(key, { time }) : t(`${key}-one`, { time, eye: t(`eye.${v.eyes}`) });
  return h(
    'li',
    { key: field },
    h(
      'button',
      {
        type: 'button',
        class: 'choice',
        'aria-expanded': open === field,
        'aria-describedby': p.doubted,
        'data-test': `line-${field}`,
        onClick: () => setOpen(open === field ? '' : field),
      },
      h('span', null, text),
      h('span', { class: 'quiet small' }, t('change')),
    ),
    open === field &&
      h(
        'div',
        { class: 'stack' },
        h(Entry, {
          id: `u-${field}`,
          type: 'time',
          label: t('at.label'),
          value: v[field],
          doubted: p.doubted,
          fault: p.lacking === 'lacks.time' && !v[field] ? t('lacks.time') : '',
          onInput: x => p.change({ [field]: x }),
        }),
        eyesChoice(p),
      ),
  );
}

/** @param {LineProps} p */
const eyesChoice = ({ t, v, change }) =>
  Choices({
    legend: t('eyes.label'),
    across: true,
    value: v.eyes,
    onPick: eyes => change({ eyes }),
    options: ['both', 'right', 'left'].map(e => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]),
  });

/** The question of a group of answers, and that there is none. @param {LineProps} p @param {string} key @param {string} lack */
const question = ({ t, lacking }, key, lack) => asking(t(key), lacking === lack ? t(lack) : '');

/** @param {LineProps} p */
function reasons(p) {
  const { t, v, change } = p;
  return Choices({
    legend: question(p, 'not.title', 'lacks.reason'),
    value: v.reason,
    onPick: reason => change({ reason }),
    test: r => `reason-${r}`,
    options: REASONS.map(r => [r, t(`reason.${r}`)]),
  });
}

/** @param {LineProps} p */
function outLines(p) {
  const { t, v, change } = p;
  const { late } = v;
  return h(
    'ul',
    { class: 'plain-list' },
    late &&
      h(
        'li',
        null,
        Choices({
          legend: question(p, 'out.when', 'lacks.when'),
          across: true,
          value: v.when,
          test: w => `out-${w}`,
          options: [
            ['morning', t('out.when.morning')],
            ['now', t('out.when.now')],
          ],
          onPick: when =>
            change(when === 'now' ? { when, at: late.clock, on: late.date } : { when, at: v.morning, on: '' }),
        }),
      ),
    (v.at || !late || v.when) && whenLine(p, 'usual.line.out', 'at'),
    feelLines(p),
  );
}

/**
 * How the eyes are: nothing is chosen beforehand, and both answers are one tap of
 * the same size.
 * @param {LineProps} p
 */
function feelLines(p) {
  const { t, v, change } = p;
  return [
    h(
      'li',
      { key: 'look' },
      Choices({
        legend: question(p, 'now.look.title', 'lacks.look'),
        value: v.fine,
        onPick: fine => change({ fine }),
        test: x => (x ? 'eyes-fine' : 'eyes-not'),
        options: [
          [true, t('look.fine')],
          [false, t('look.not')],
        ],
      }),
    ),
    v.fine === false &&
      h(
        'li',
        { key: 'details', class: 'stack' },
        Choices({
          legend: t('out.moved'),
          value: v.moved,
          onPick: moved => change({ moved }),
          test: m => `moved-${m}`,
          options: ['freely', ...STUCK].map(m => [m, t(`moved.${m}`)]),
        }),
        STUCK.includes(v.moved) &&
          h(Check, { label: t('out.drops'), checked: !!v.drops, onChange: drops => change({ drops }) }),
        Choices({
          legend: t('out.comfort'),
          value: v.comfort,
          onPick: comfort => change({ comfort }),
          test: c => `comfort-${c}`,
          options: [4, 3, 2, 1, 0].map(c => [c, t(`comfort.${c}`)]),
        }),
        Choices({
          legend: t('out.redness'),
          value: v.redness,
          onPick: redness => change({ redness }),
          test: r => `redness-${r}`,
          options: [0, 1, 2, 3].map(c => [c, t(`redness.${c}`)]),
        }),
      ),
  ];
}

/** @param {LineProps} p */
function careLines(p) {
  const { t, v, change, open, setOpen } = p;
  const closed = v.closed_at || v.closed_was;
  const done = CARE.every(k => v[k]) && v.rinse === 'solution' && !!v.closed_at;
  const all = { ...Object.fromEntries(CARE.map(k => [k, true])), rinse: 'solution', closed_at: closed };
  const none = Object.fromEntries(Object.keys(all).map(k => [k, undefined]));
  return h(
    'ul',
    { class: 'plain-list' },
    h(
      'li',
      null,
      h(
        'fieldset',
        { class: 'choices' },
        h('legend', { class: 'entry-label' }, question(p, 'care.done', 'lacks.care')),
        h(Check, { label: t('care.all'), checked: done, test: 'care-all', onChange: on => change(on ? all : none) }),
      ),
    ),
    CARE.slice(0, 2).map(k => careCheck(p, k)),
    h(
      'li',
      null,
      Choices({
        legend: t('care.rinse.label'),
        across: true,
        value: v.rinse,
        onPick: rinse => change({ rinse }),
        test: r => `rinse-${r}`,
        options: ['solution', 'saline', 'tap-water', 'none'].map(r => [r, t(`care.rinse.${r}`)]),
      }),
    ),
    CARE.slice(2).map(k => careCheck(p, k)),
    h(
      'li',
      null,
      h(Check, {
        label: t('care.closed', { time: p.clock(closed) }),
        checked: !!v.closed_at,
        test: 'closed',
        onChange: on => change({ closed_at: on ? closed : undefined, closed_was: closed }),
      }),
      v.closed_at &&
        h(
          Button,
          { kind: 'plain', test: 'closed-change', onPress: () => setOpen(open === 'closed' ? '' : 'closed') },
          t('change'),
        ),
      open === 'closed' &&
        v.closed_at &&
        h(Entry, {
          id: 'u-closed',
          type: 'time',
          label: t('at.label'),
          value: v.closed_at,
          doubted: p.doubted,
          onInput: x => x && change({ closed_at: x }),
        }),
    ),
    careCheck(p, 'deposit_removal'),
    h(
      'li',
      null,
      Choices({
        legend: question(p, 'care.trouble', 'lacks.water'),
        across: true,
        value: v.trouble,
        onPick: trouble => change({ trouble }),
        test: x => `trouble-${x === 'unknown' ? x : x ? 'yes' : 'no'}`,
        options: [
          [false, t('no')],
          [true, t('yes')],
          ['unknown', t('check.unknown')],
        ],
      }),
      v.trouble === true &&
        TROUBLE.map(k =>
          h(Check, { key: k, label: t(`care.${k}`), checked: !!v[k], test: k, onChange: on => change({ [k]: on }) }),
        ),
    ),
  );
}

/** @param {LineProps} p @param {string} k */
const careCheck = ({ t, v, change, only }, k) =>
  h(
    'li',
    { key: k },
    h(Check, {
      label: t(k === 'rub' && only ? 'care.rub-one' : `care.${k}`),
      checked: !!v[k],
      test: k,
      onChange: on => change({ [k]: on }),
    }),
  );

/**
 * While the lens of one eye is kept for the clinic: which lens alone is cleaned, and in
 * which case.
 * @param {{app: App, eye: string}} props eye: right or left; "" for none, both are kept
 */
export function OnlyOne({ app, eye }) {
  const { t } = app.state.words;
  return h(
    'p',
    { 'data-test': 'only-one' },
    h('strong', null, eye ? t('care.only', { eye: t(`eye.${eye}`) }) : t('wear.keep')),
  );
}
