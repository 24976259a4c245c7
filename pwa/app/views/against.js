// What a form asks of the wear state before it saves, what a morning tells the eye
// check, and which lens is still in when one was said to be stuck and the lenses to be
// out. Fetched with the forms, after the start.
import { instantInNight, NIGHT_STARTS, wallAt } from '../../../schedule/civil/civil.js';
import { h, useEffect, useRef, useState } from '../../ui/dom.js';
import { Button, Choices, LinkButton } from '../../ui/parts.js';
import { fetched, holdsBack, lostOf, mine, sceneOf, tonight, wearerOf, wearNow } from '../app.js';
import { bar, inSince, soak, stopped } from '../model/day.js';
import { fact } from '../model/fold.js';
import { serverTime } from '../model/report.js';
import { answersOf } from '../model/stuck.js';
import { uncared } from '../model/uncared.js';
import { EYES, eyesOf } from '../model/wear.js';
import { link } from '../route.js';
import { Calls } from './calls.js';
import { soakLead } from './home.js';
import { Usual } from './later.js';
import { conditionsOf, conditionWords } from './said.js';
import { CAPITAL, causes, leftAsked, soonest, standing, told, Why, whys } from './wear.js';

/** @import { App, Known, State } from '../app.js' */
/** @import { Task } from '../model/day.js' */
/** @import { Draft, Entry } from '../model/entry.js' */
/** @import { Eye } from '../model/wear.js' */

/**
 * What an insertion goes against, to be asked about before it is saved. Without consent
 * none is taken, and none can be said.
 * @param {{app: App, eyes: string, night: string, past?: string, onYes: () => void, onNo: () => void, busy: boolean}} props past: the clock at which they went in, where they are out again by the log
 */
export function Against({ app, eyes, night, past, onYes, onNo, busy }) {
  const s = app.state;
  const { t } = s.words;
  const wear = wearNow(s);
  // What stands worst and no release answers is named, not what was decided about before.
  const held = causes(s).filter(c => eyesOf(eyes).some(eye => wear[eye].causes.some(k => k.id === c.id)));
  const { gone } = sceneOf(s);
  const one = eyesOf(eyes).length === 1 ? '-one' : '';
  return h(
    'div',
    { class: 'notice alarm', role: 'status', 'data-test': 'wear-against' },
    h(
      'div',
      { class: 'stack' },
      h('p', null, h('strong', null, t(held[0] ? 'against.title' : 'wear.rest'))),
      whys(s, held, 1).map(text => h('p', { key: text, 'data-test': 'against-why' }, text)),
      bars(s, eyes, night).map(text => h('p', { key: text }, text)),
      !gone && h('p', null, past ? t('against.was', { time: s.words.clock(past) }) : t(`against.ask${one}`)),
      !gone &&
        h(
          'div',
          { class: 'row' },
          h(Button, { kind: 'main', onPress: onNo, test: 'against-no' }, t('no')),
          h(Button, { onPress: onYes, disabled: busy, test: 'confirm' }, t(past ? 'yes' : `against.yes${one}`)),
        ),
    ),
  );
}

/** Whether an insertion of these eyes in a night goes against what holds now. @param {State} s @param {string} eyes @param {string} night */
export function goesAgainst(s, eyes, night) {
  const wear = wearNow(s);
  return (
    night >= tonight(s) && (eyesOf(eyes).some(eye => wear[eye].state !== 'none') || bars(s, eyes, night).length > 0)
  );
}

/**
 * What offers no lens to these eyes in a night besides a rest or stop, in words: no plan, the end of
 * wear, illness, a plan for the other eye, a soak, a lens that was lost, consent that was taken back.
 * @param {State} s @param {string} eyes @param {string} night @returns {string[]}
 */
function bars(s, eyes, night) {
  const { t } = s.words;
  const scene = sceneOf(s);
  const wait = night === tonight(s) ? soak(scene) : null;
  const soaking = wait?.ready && wait.ready > s.now;
  const lost = lostOf(s);
  return [
    ...said(s, eyesOf(eyes), night),
    soaking ? soakLead(s, wait) : '',
    ...(night === tonight(s) ? uncleaned(s, eyesOf(eyes)) : []),
    ...(wallAt(s.now, s.zone).clock >= NIGHT_STARTS ? eyesOf(eyes).flatMap(eye => asksOf(s, eye)) : []), // of the morning after nobody is asked for it
    lost.length ? t(`lost.${lost.length === 2 ? 'both' : lost[0].eye}`) : '',
    scene.gone ? t('aged.withdrawn') : '',
  ].filter(Boolean);
}

/** The lenses of these eyes of which nobody said that they were cleaned since they were last worn. @param {State} s @param {Eye[]} eyes */
function notCleaned(s, eyes) {
  return eyes
    .filter(eye => wearNow(s)[eye].state === 'none' && !inSince(sceneOf(s), eye))
    .map(eye => ({ eye, ...uncared(mine(s, s.nights), resumesOf(s), eye) }))
    .filter(x => x.night);
}

/** What the release of an eye asks for before its lens goes in, and nobody logged. @param {State} s @param {Eye} eye @param {number} [by] only of what was said before that, Unix ms */
const asksOf = (s, eye, by = Infinity) =>
  conditionsOf(s)
    .filter(c => c.what !== 'hours' && eyesOf(c.eye).includes(eye) && c.at < by)
    .map(c => conditionWords(s, c));

/**
 * What a lens that is in since a night went in against: what its release asks for, or that
 * it was to be cleaned first and nobody said that it was.
 * @param {State} s @param {Eye} eye @param {string} night
 * @returns {string[]}
 */
function unmet(s, eye, night) {
  const { t, date } = s.words;
  const of = (/** @type {Entry} */ e) => ['insertion', 'removal'].includes(e.kind) && eyesOf(e.body.eyes).includes(eye);
  const all = mine(s, s.nights);
  const [into] = all.find(n => n.night === night)?.entries.filter(e => e.kind === 'insertion' && of(e)) ?? [];
  if (!into || wearNow(s)[eye].state !== 'none') return [];
  // As it was before they went in.
  const before = all.map(n =>
    n.night === night
      ? {
          ...n,
          items: new Map([...n.items].filter(([k]) => k !== `insertion/${eye}` && k !== `removal/${eye}`)),
          entries: n.entries.filter(e => !of(e)),
        }
      : n,
  );
  const dirty = uncared(before, resumesOf(s), eye);
  return [
    ...asksOf(s, eye, serverTime(into, s.skew)),
    dirty.night && dirty.held ? t(CAPITAL[eye]) + t('mark.colon') + t('bar.uncared', { night: date(dirty.night) }) : '',
  ].filter(Boolean);
}
fetched.unmet = (s, eye, night) => unmet(s, eye, night).length > 0;

/** @param {State} s */
const resumesOf = s =>
  [...s.records.values()].map(r => r.entry).filter(e => e.kind === 'resume' && e.wearer === s.wearer);

/** Of which of these eyes the lens must be cleaned first, and nobody said that it was, in words. @param {State} s @param {Eye[]} eyes */
function uncleaned(s, eyes) {
  const { t, date } = s.words;
  const list = notCleaned(s, eyes)
    .filter(x => x.held)
    .map(({ eye, night }) => ({
      eye,
      text: t(CAPITAL[eye]) + t('mark.colon') + t('bar.uncared', { night: date(night) }),
    }));
  const one = stopped(sceneOf(s)) && list.map(({ eye }) => t('care.only', { eye: t(`eye.${eye}`) }));
  return [...list.map(x => x.text), ...(one || [])];
}

/**
 * The night after which lenses that go in now were not logged as cleaned; "" for none, and
 * where that goes against what holds, which is said by itself.
 * @param {State} s @param {string} eyes @param {string} night
 */
export const askCleaned = (s, eyes, night) =>
  night === tonight(s) && !goesAgainst(s, eyes, night)
    ? (notCleaned(s, eyesOf(eyes))
        .map(x => x.night)
        .sort()
        .at(-1) ?? '')
    : '';

/**
 * Whether lenses that go in were cleaned since they were last worn, where nothing is
 * logged. Who does not know says so: they may go in, and it stays unknown.
 * @param {{app: App, after: string, busy: boolean, onIn: (care: Draft[]) => void, onNot: () => void}} props after: the night they were last worn in
 */
export function Cleaned({ app, after, busy, onIn, onNot }) {
  const s = app.state;
  const { t, date } = s.words;
  const [no, setNo] = useState(false);
  // What was asked, and nothing else of a cleaning; while an eye is stopped the old case is kept as it is.
  const body = { rub: true, rinse: 'solution', ...(stopped(sceneOf(s)) ? {} : { case_emptied: true }) };
  const care = { wearer: s.wearer, night: after, kind: 'care', body };
  const button = (/** @type {string} */ key, /** @type {() => void} */ onPress) =>
    h(Button, { key, wide: true, test: `cleaned-${key}`, disabled: busy, onPress }, t(`cleaned.${key}`));
  return h(
    'div',
    { class: 'notice urgent', role: 'status', 'data-test': 'cleaned' },
    h(
      'div',
      { class: 'stack' },
      h('p', null, h('strong', null, no ? t('cleaned.first') : t('cleaned.ask', { night: date(after) }))),
      no
        ? h(Button, { wide: true, test: 'cleaned-not', disabled: busy, onPress: onNot }, t('now.soak.skip'))
        : [button('yes', () => onIn([care])), button('no', () => setNo(true)), button('unknown', () => onIn([]))],
    ),
  );
}

/** The bars of these eyes in words, each once. @param {State} s @param {Eye[]} eyes @param {string} night */
function said(s, eyes, night) {
  const { t, date } = s.words;
  const scene = sceneOf(s);
  const first = scene.plan?.first_night;
  // An eye that has no lens is named, never one to wear: that one may be stopped.
  const words = (/** @type {string} */ eye) => ({
    '': '',
    first: first ? t('bar.first', { night: date(first) }) : t('bar.noplan'),
    end: t('end.from', { night: date(scene.plan?.stopped || night) }),
    ill: t('pause.ill'),
    plan: t('bar.plan', { eye: t(`eye.${eye}`) }),
  });
  return [...new Set(eyes.map(eye => words(eye)[bar(scene, eye, night)]))].filter(Boolean);
}

/** Why a lens that is in is to come out, where no stop says so. @param {{app: App, night: string}} props */
export const Barred = ({ app, night }) =>
  [...new Set([...said(app.state, EYES, night), ...EYES.flatMap(eye => unmet(app.state, eye, night))])].map(text =>
    h('p', { key: text, 'data-test': 'barred' }, text),
  );

/** What holds a lens back, above a form that was open before it did. @param {{app: App}} props */
export function Above({ app }) {
  const s = app.state;
  const first = told(s, true);
  return h(
    'section',
    { class: 'now held', 'data-test': 'order-above', role: 'status' },
    first?.words.map(text => h('p', { class: 'lead', key: text }, h('strong', null, text))),
    h('p', { class: 'tag' }, standing(s)),
    h(Why, { s }),
    first?.id
      ? h(LinkButton, { href: link('advice', first.id), wide: true, test: 'above-advice' }, s.words.t('now.hold.see'))
      : null,
  );
}

/**
 * The answer that a lens is in still, of which nobody has said so since it was to come
 * out: as it went in.
 * @param {{app: App, task: Task}} props
 */
export function StillThere({ app, task }) {
  const s = app.state;
  const n = s.nights.get(`${s.wearer}/${task.night}`);
  const ins = EYES.filter(eye => !task.eye || task.eye === eye).flatMap(eye => {
    const f = fact(n, `insertion/${eye}`);
    return f ? [{ eye, at: wallAt(instantInNight(task.night, f.at, f.zone ?? s.zone), s.zone).clock }] : [];
  });
  const say = (/** @type {string} */ eyes, /** @type {string} */ at) => ({
    wearer: s.wearer,
    night: task.night,
    kind: 'insertion',
    body: { at, eyes },
  });
  const same = ins.length === 2 && ins[0].at === ins[1].at;
  const drafts = same ? [say('both', ins[0].at)] : ins.map(x => say(x.eye, x.at));
  const { t } = s.words;
  return h(
    Button,
    {
      wide: true,
      test: 'still-there',
      label: `${t('usual.still')}: ${wearerOf(s)?.name}`,
      onPress: () => void app.write(drafts),
    },
    t('usual.still'),
  );
}

/**
 * Whether what was just logged leads to the eye check, which then stands begun
 * until it is finished.
 * @param {Entry[]} entries
 */
export const leadsToCheck = entries =>
  entries.some(e => holdsBack(e) || (e.kind === 'morning' && (e.body.moved === 'stuck' || e.body.comfort === 0)));

/**
 * What the log has given already of the eye check that it leads to.
 * @param {State} s
 * @param {Entry[]} entries what was just logged
 * @param {string} [eyes] those it is about, where that is one
 * @returns {Known}
 */
export function knownOf({ wearer, words: { t } }, entries, eyes) {
  const find = (/** @type {string} */ kind) => entries.find(e => e.kind === kind)?.body;
  const body = find('morning') ?? {};
  const said = [
    find('not-worn') && t(`reason.${find('not-worn')?.reason}`),
    body.moved && t(`moved.${body.moved}`),
    body.comfort !== undefined && t(`comfort.${body.comfort}`),
    body.redness !== undefined && t(`redness.${body.redness}`),
  ].filter(Boolean);
  return {
    wearer,
    said: said.join(' · '),
    ...(eyes === 'right' || eyes === 'left' ? { eyes } : {}),
    answers: answersOf(body),
  };
}

/**
 * A lens was said to be stuck, and the lenses to be out: which is true. What was said
 * of the morning is saved by now and stays, whatever is answered; until somebody
 * answers, it is a report of a lens that is stuck in the eyes in which it may be, and
 * home and the board ask again.
 * @param {{app: App, eyes: string, onIn: (still: string) => void, beside?: boolean}} props onIn: "both", "right", "left", or "" for none;
 *   beside: the screen has the numbers already, with how long to wait
 */
export function StillIn({ app, eyes, onIn, beside }) {
  const { t, med } = app.state.words;
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  // It stands where a long form stood.
  useEffect(() => {
    box.current?.focus();
    box.current?.scrollIntoView({ block: 'center' });
  }, []);
  /** @type {[string, string][]} */
  const still = (eyes === 'both' ? ['right', 'left', 'both'] : [eyes]).map(e => [e, t(`still.${e}`)]);
  return h(
    'div',
    { class: 'notice alarm', role: 'status', tabIndex: -1, ref: box, 'data-test': 'still-in' },
    h(
      'div',
      { class: 'stack' },
      h('p', null, h('strong', null, t('still.ask'))),
      h('p', null, med('told.stuck-lens')),
      Choices({
        legend: t('still.which'),
        value: undefined,
        onPick: onIn,
        test: e => `still-${e || 'none'}`,
        options: [...still, ['', t('still.none')]],
      }),
      !beside && h(Calls, { s: app.state, level: soonest(app.state, causes(app.state)) }),
    ),
  );
}

/**
 * Keeps a check as begun for eyes in which a lens is stuck, with what was said.
 * @param {Known} known
 * @param {string} eyes
 * @param {number} now Unix ms
 */
export function beginStuck({ wearer, said, answers }, eyes, now) {
  const of = EYES.filter(eye => eyes === 'both' || eyes === eye);
  const about = Object.fromEntries(EYES.map(eye => [eye, of.includes(eye) ? { ...answers } : {}]));
  const draft = { answers: { eyes: of, ...about, report: { now: 'none' } }, at: 1, apart: [], since: now, said };
  localStorage.setItem(`check-${wearer}`, JSON.stringify(draft));
}

/** The question that was left, on home and on the board. @param {{app: App}} props */
export function AskAgain({ app }) {
  const left = leftAsked(app.state);
  if (!left) return null;
  // Said to be out before: what is still in is then taken back, and no second time is logged.
  const out = app.state.nights.get(`${app.state.wearer}/${left.night}`)?.entries.some(e => e.kind === 'removal');
  return h(Usual, {
    app,
    kind: out ? 'morning' : 'out',
    night: left.night,
    eyes: left.eyes,
    asked: left.entries,
    beside: true,
    onDone: () => {},
  });
}

/**
 * The removals of a night as they are to be once some lenses turn out to be in still.
 * @param {State} s
 * @param {string} night
 * @param {string} still eyes
 * @returns {Draft[]}
 */
export function notOut(s, night, still) {
  const logged = s.nights.get(`${s.wearer}/${night}`)?.entries ?? [];
  return logged
    .filter(e => e.kind === 'removal' && (still === 'both' || e.body.eyes === 'both' || e.body.eyes === still))
    .map(e => {
      const about = { wearer: s.wearer, night };
      const other = still === 'right' ? 'left' : 'right';
      return still === 'both' || e.body.eyes === still
        ? { ...about, kind: 'retraction', retracts: e.id, body: {} }
        : { ...about, kind: 'removal', supersedes: [e.id], body: { ...e.body, eyes: other } };
    });
}
