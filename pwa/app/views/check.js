// The eye check on the screen: plain questions with big answers, "don't know"
// always among them.
import { levelRank } from '../../../alerts/evaluate.js';
import { h, useEffect, useLayoutEffect, useRef, useState } from '../../ui/dom.js';
import { Button, Choices, Entry, Notice } from '../../ui/parts.js';
import { chooses, eyesSeen, wearerOf } from '../app.js';
import {
  answer,
  atOnce,
  BEGAN,
  bodyOf,
  differ,
  full,
  holders,
  leadsOn,
  NOTHING,
  OTHER,
  partsOf,
  readDraft,
  SCREENS,
  WORST,
} from '../model/check.js';
import { RULES, waterDays } from '../model/report.js';
import { go } from '../route.js';
import { Calls } from './calls.js';
import { AskAgain, Face, Soaked } from './later.js';
import { leftAsked } from './wear.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */
/** @import { Answers, Draft, Eye, Holder } from '../model/check.js' */

/** @typedef {(of: Holder[], part: string, value: string) => void} Pick */

/** What an eye is called. @param {string} e */
const eyeKey = e => `eye.${e[0].toUpperCase()}${e.slice(1)}`;

const KEPT_MS = 86400000; // a check of longer ago is begun anew

/** A check that was begun and left. @param {string} wearer @param {number} now @returns {Draft|null} */
function begun(wearer, now) {
  const d = readDraft(localStorage.getItem(`check-${wearer}`));
  return d && now - d.since < KEPT_MS ? d : null;
}

/** What the log has given of the check of the child on screen. @param {App['state']} s */
const knownOf = s => (s.known.wearer === s.wearer ? s.known : {});

/** @param {ViewProps} props */
export function Check({ app, arg }) {
  const s = app.state;
  const { t, med } = s.words;
  const [a, setAnswers] = useState(NOTHING);
  const [at, setAt] = useState(0);
  const [apart, setApart] = useState(/** @type {string[]} */ ([])); // parts asked for each eye
  const [fault, setFault] = useState('');
  const [busy, setBusy] = useState(false);
  const page = useRef(/** @type {HTMLElement|null} */ (null));
  const { name } = SCREENS[at];
  const parts = partsOf(a, at);
  const since = useRef(0);
  const end = at + 1 === SCREENS.length;
  const find = (/** @type {string} */ what) =>
    /** @type {HTMLElement|null|undefined} */ (page.current?.querySelector(what));
  // Before the screen is painted, so that nobody has begun to type elsewhere.
  useLayoutEffect(() => {
    if (at > 0) find('h1')?.focus();
    scrollTo(0, 0);
  }, [at]);
  useLayoutEffect(() => {
    if (apart.length) find(`[data-part=${apart.at(-1)}] .choice`)?.focus();
  }, [apart]);
  useEffect(() => find('[data-part]:not([data-open]) ~ [data-open]')?.scrollIntoView({ block: 'nearest' }), [a]);

  const place = `check-${s.wearer}`;
  // Before anybody can leave: an answer that is seen is kept.
  useLayoutEffect(() => {
    if (since.current) localStorage.setItem(place, JSON.stringify({ answers: a, at, apart, since: since.current }));
  }, [a, at, apart]);

  // Whoever leaves without an end is heard all the same; what is urgent, already when the screen goes dark.
  useEffect(() => {
    const tell = (least = 0) => void import('../data/left.js').then(m => m.tellLeft(app, { least }));
    const dark = () => document.hidden && tell(levelRank('urgent'));
    addEventListener('visibilitychange', dark);
    return () => {
      removeEventListener('visibilitychange', dark);
      tell();
    };
  }, []);

  /** @param {Answers} said */
  const finish = async said => {
    if (busy) return;
    setBusy(true);
    const begunAt = since.current;
    s.known = {};
    since.current = 0; // finished: nothing keeps it as a draft again
    try {
      const [entry] = await app.write([{ wearer: s.wearer, kind: 'symptoms', body: bodyOf(said, Date.now()) }], '');
      localStorage.removeItem(place);
      go('advice', entry.id);
    } catch (e) {
      since.current = begunAt;
      setFault(e instanceof Error ? e.message : String(e));
      setBusy(false);
    }
  };
  /** @type {Pick} */
  const pick = (of, part, value) => {
    const is = answer(a, of, part, value);
    setAnswers(is);
    if (atOnce(part, value)) void finish(is);
    else if (leadsOn(a, is, at, of)) setAt(at + 1);
  };
  /** @param {Eye[]} eyes */
  const begin = eyes => {
    since.current = Date.now();
    const known = (/** @type {Eye} */ eye) => (eyes.includes(eye) ? { ...knownOf(s).answers } : {});
    setAnswers({ ...NOTHING, eyes, right: known('right'), left: known('left'), report: { now: 'none' } });
    s.known = {};
    setApart([]);
    setAt(1);
  };
  /** @param {Draft} d */
  const goOn = d => {
    since.current = d.since;
    setAnswers(d.answers);
    setApart(d.apart);
    setAt(d.at);
  };
  const who = chooses(s) && arg === 'who';
  const title = who
    ? t('check.whose')
    : at === 0
      ? med('sign.now')
      : parts.length === 1
        ? med(`sign.${parts[0]}`)
        : t(`check.${name}`);
  const eyes = a.eyes.length > 1 ? 'both' : a.eyes[0];
  return h(
    'div',
    { class: 'stack ask', 'data-test': `step-${name}`, ref: page, key: at, onClickCapture: once },
    h(
      'p',
      null,
      h('span', { class: 'quiet' }, t('check.step', { n: at + 1, of: SCREENS.length })),
      !who && ' · ',
      h('strong', null, !who && wearerOf(s)?.name, at > 0 && !end && ` · ${t(eyeKey(eyes))}`),
    ),
    at === 0 && arg === 'peroxide' && h(Soaked, { app, arg }),
    at === 0 && !who && h(AskAgain, { app }), // a stuck lens first: where it is
    h('h1', { tabIndex: -1 }, title),
    at === 0
      ? h(FirstStep, { app, who, begin, goOn, worst: now => void finish({ ...NOTHING, report: { now } }) })
      : end
        ? h(LastStep, { app, a, pick })
        : parts.map(part =>
            h(Part, {
              key: part,
              app,
              a,
              part,
              alone: parts.length === 1,
              split: apart.includes(part) || differ(a, part),
              pick,
              onSplit: () => setApart([...apart, part]),
            }),
          ),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    at > 0 &&
      h(
        'div',
        { class: 'row apart' },
        h(Button, { onPress: () => setAt(at - 1), test: 'check-back' }, t('nav.back')),
        !end &&
          h(Button, { kind: full(a, at) ? 'main' : '', onPress: () => setAt(at + 1), test: 'check-next' }, t('next')),
      ),
    at > 0 &&
      h(
        Button,
        { kind: 'alarm', big: end, wide: true, disabled: busy, onPress: () => void finish(a), test: 'check-stop' },
        t('check.stop'),
      ),
    at === 0 && h(Notice, { kind: 'urgent' }, t('check.caution')),
    at === 0 && h(Calls, { s, level: 'emergency' }),
  );
}

/** The second tap of a double one would answer what has just come under the finger. @param {Event} e */
function once(e) {
  if (/** @type {UIEvent} */ (e).detail > 1) e.stopPropagation();
}

/**
 * How bad it is, right now: the worst answers lead to the advice at once, the
 * rest to the questions about an eye.
 * @param {{app: App, who: unknown, begin: (eyes: Eye[]) => void, goOn: (d: Draft) => void, worst: (now: string) => void}} props
 */
function FirstStep({ app, who, begin, goOn, worst }) {
  const s = app.state;
  const { t, med } = s.words;
  const asked = leftAsked(s); // where a stuck lens is: that is answered first
  const left = asked ? null : begun(s.wearer, s.now);
  const known = knownOf(s);
  const eyes = (/** @type {string} */ e) => begin(e === 'both' ? ['right', 'left'] : [/** @type {Eye} */ (e)]);
  return h(
    'div',
    { class: 'stack' },
    chooses(s) &&
      (who || !(asked || (left?.said ?? known.said))) &&
      Choices({
        legend: t('check.whose'),
        hideLegend: !!who,
        value: who ? '' : s.wearer,
        onPick: id => {
          void app.setWearer(id);
          go('check');
        },
        test: id => `whose-${id}`,
        options: (s.family?.wearers ?? []).map(w => [w.id, w.name]),
      }),
    !who && [
      left &&
        h(
          Notice,
          { kind: 'urgent', test: 'check-left' },
          h(
            'div',
            { class: 'stack' },
            h(
              'p',
              null,
              t(left.said ? 'check.from' : 'check.left', {
                said: left.said ?? '',
                time: s.words.moment(left.since, s.zone, ''),
              }),
            ),
            h(
              Button,
              { kind: 'main', wide: true, onPress: () => goOn(begun(s.wearer, s.now) ?? left), test: 'check-go-on' },
              t('check.go-on'),
            ),
          ),
        ),
      known.said && h(Notice, { kind: 'urgent', test: 'check-known' }, t('check.from', { said: known.said })),
      Choices({
        legend: med('sign.now'),
        hideLegend: true,
        value: '',
        onPick: worst,
        test: v => `now-${v}`,
        options: WORST.map(v => [v, med(`answer.now.${v}`)]),
      }),
      h('div', { class: 'face-place' }, h(Face, { app })), // what is under a finger must not move
      Choices({
        legend: t('check.none'),
        value: known.eyes,
        onPick: eyes,
        across: true,
        test: e => `eye-${e}`,
        options: [...(s.words.dir === 'rtl' ? eyesSeen(s).reverse() : eyesSeen(s)), 'both'].map(e => [e, t(eyeKey(e))]),
      }),
      known.eyes &&
        h(
          Button,
          { kind: 'main', wide: true, onPress: () => eyes(known.eyes ?? ''), test: 'check-known-eye' },
          t('next'),
        ),
    ],
  );
}

/** Parts with short answers, which stand side by side. */
const SHORT = ['gritty', 'redness', 'spot', 'light', 'ill', 'lid', 'pupil', 'water', 'other'];

/**
 * One part: asked once, or of each eye once somebody says that they differ.
 * @param {{app: App, a: Answers, part: string, alone?: boolean, split?: boolean, pick: Pick, onSplit?: () => void}} props
 */
function Part({ app, a, part, alone, split, pick, onSplit }) {
  const { t, med } = app.state.words;
  const of = holders(a, part);
  const legend = med(`sign.${part}`);
  /** @param {Holder[]} who @param {string} [eye] */
  const list = (who, eye) =>
    Choices({
      legend: eye ? t(eyeKey(eye)) : legend,
      hideLegend: alone && !eye,
      across: SHORT.includes(part),
      value: a[who[0]][part],
      onPick: v => pick(who, part, v),
      test: v => `answer-${part}-${v || 'unknown'}${eye ? `-${eye}` : ''}`,
      options: [
        ...(part === 'other' ? OTHER : (RULES.symptoms.get(part)?.answers ?? [])).map(
          v => /** @type {[string, string]} */ ([v, med(`answer.${part}.${v}`)]),
        ),
        ['', t('check.unknown')],
      ],
    });
  const open = { 'data-part': part, 'data-open': of.some(w => !(part in a[w])) || undefined };
  if (split)
    return h(
      'fieldset',
      { class: 'choices', ...open },
      h('legend', { class: alone ? 'hidden' : '' }, legend),
      of.map(eye => list([eye], eye)),
    );
  return h(
    'div',
    { class: 'stack', ...open },
    list(of),
    of.length > 1 && h(Button, { onPress: () => onSplit?.(), test: `apart-${part}` }, t('check.apart')),
  );
}

/** @param {{app: App, a: Answers, pick: Pick}} props */
function LastStep({ app, a, pick }) {
  const { t } = app.state.words;
  const { began, note = '' } = a.report;
  const put = (/** @type {string} */ part) => (/** @type {string} */ v) => pick(['report'], part, v);
  return h(
    'div',
    { class: 'stack' },
    Choices({
      legend: t('check.began'),
      across: true,
      value: began,
      test: v => `began-${v || 'unknown'}`,
      onPick: put('began'),
      options: [...Object.keys(BEGAN), ''].map(k => [k, t(k ? `began.${k}` : 'check.unknown')]),
    }),
    h(Entry, {
      id: 'exact',
      type: 'datetime-local',
      label: t('began.at'),
      value: began && !(began in BEGAN) ? began : '',
      onInput: put('began'),
    }),
    h(Part, { app, a, part: 'water', pick }),
    h('p', { class: 'quiet small' }, t('check.water', { n: waterDays(app.state.family) })),
    h(Part, { app, a, part: 'ill', pick }),
    a.eyes.length === 1 && h(Part, { app, a, part: 'other', pick }),
    h(Entry, { id: 'note', label: t('check.note'), value: note, onInput: put('note'), long: true, max: 2000 }),
  );
}
