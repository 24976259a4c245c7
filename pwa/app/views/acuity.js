// The measured sight test: a screen sized by a bank card, a measured distance,
// one eye, a ring with a gap in four directions and bars round it. No right or
// wrong is shown. The raw trials are saved and the server scores them again.
import { h, useEffect, useLayoutEffect, useRef, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Check } from '../../ui/more-parts.js';
import { Button, Card, Choices, Entry, More, Notice } from '../../ui/parts.js';
import {
  addTrial,
  estimate,
  HOME_TEST,
  LEAST_TRIALS,
  linesLess,
  newAcuity,
  nextSize,
  verdict,
} from '../model/acuity.js';
import { WORSE_LINES } from '../model/sight-fell.js';
import { RING_DETAILS, drawn, largestLogmar, pxPerMm, smallestLogmar } from '../model/optotype.js';
import { go } from '../route.js';
import { asking } from './asking.js';
import { onScale, rescaled, scaleOf } from '../scale.js';

/** @import { App } from '../app.js' */
/** @import { Acuity as Estimate } from '../model/acuity.js' */
/** @import { ViewProps } from '../frame.js' */

/** @typedef {'up'|'right'|'down'|'left'} Way */
/** @typedef {'tape'|'feet'} By how the distance was measured */
/** @typedef {{eye: 'right'|'left', distance: number, by: By, pxMm: number}} Setup */

/** @type {Way[]} */
const WAYS = ['up', 'right', 'down', 'left'];
const CARD_PX = 500; // long edge of the card where the box starts, CSS pixels
const CARD_SHORT = 53.98 / 85.6; // its edges (ISO/IEC 7810): the short one fits a low screen
// How far off a distance may be, as a share of it: a tape's two centimetres of three metres, a tenth by shoe lengths (common practice).
const OFF = { tape: 0.02 / 3, feet: 0.1 };
const PRACTICE_RUNS = 2; // first runs of an eye, marked as practice (common practice)

/** What the remembered card size belongs to: another screen or zoom voids it. A twentieth is the least step of a zoom. */
const screenKey = () =>
  `${devicePixelRatio}/${Math.round(scaleOf(window) * 20) / 20}/${[screen.width, screen.height].sort((a, b) => a - b).join('x')}`;

/** @returns {number} device pixels per mm, or 0 when this screen was not measured */
function remembered() {
  try {
    const c = JSON.parse(localStorage.getItem('card') ?? '');
    return c.key === screenKey() ? c.pxMm : 0;
  } catch {
    return 0;
  }
}

/** @param {ViewProps} props */
export function Acuity({ app }) {
  const [pxMm, setPxMm] = useState(remembered);
  const [setup, setSetup] = useState(/** @type {Setup|null} */ (null));
  const [run, setRun] = useState(/** @type {{a: Estimate, early: boolean}|null} */ (null));
  const going = useRef(/** @type {Estimate|null} */ (null));
  const [scaled, setScaled] = useState(false);
  const began = useRef(0); // the scale of the run
  // Another zoom or screen voids the measured size: a run ends there, and the
  // rings shown before it keep their worth.
  const same = () => {
    if (run || !pxMm || (remembered() && (!setup || !rescaled(began.current, scaleOf(window))))) return true;
    localStorage.removeItem('card');
    setPxMm(0);
    setScaled(true);
    const a = going.current;
    if (a?.trials.length) setRun({ a, early: true });
    else setSetup(null);
    return false;
  };
  useEffect(() => onScale(same), [pxMm, setup, run]);
  const begin = (/** @type {Setup} */ chosen) => {
    began.current = scaleOf(window);
    setScaled(false);
    setSetup(chosen);
  };
  if (setup && run) return h(Result, { app, setup, run, scaled });
  if (!pxMm) return h(CardSize, { app, scaled, onDone: setPxMm });
  if (!setup) return h(Prepare, { app, pxMm, onStart: begin, onCard: () => setPxMm(0) });
  return h(Run, {
    app,
    setup,
    same,
    onTrial: a => {
      going.current = a;
    },
    onDone: (a, early) => setRun({ a, early }),
  });
}

/** @param {{app: App, scaled: boolean, onDone: (pxMm: number) => void}} props scaled: a size measured before has lost its worth */
function CardSize({ app, scaled, onDone }) {
  const { t } = app.state.words;
  const [long, set] = useState(Math.min(CARD_PX, innerWidth * 1.4));
  const [touched, setTouched] = useState(false);
  const [asked, setAsked] = useState(false);
  const setLong = (/** @type {number} */ x) => {
    setTouched(true);
    setAsked(false);
    set(x);
  };
  const save = () => {
    if (!touched && !asked) return setAsked(true); // where it happens to start is no measure
    const pxMm = pxPerMm(long, devicePixelRatio);
    localStorage.setItem('card', JSON.stringify({ key: screenKey(), pxMm }));
    onDone(pxMm);
  };
  // On a low screen both edges of the box come into view below its tools.
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  useEffect(() => {
    const id = setTimeout(() => {
      const part = (/** @type {string} */ mark) => document.querySelector(mark)?.getBoundingClientRect();
      const edges = box.current?.getBoundingClientRect();
      if (!edges) return;
      const low = edges.bottom - (part('.foot')?.top ?? innerHeight); // how far the lower edge is under the bar at the foot
      const high = (part('.card-tools')?.bottom ?? 0) - edges.top;
      // A question is read first; the box follows with the next touch.
      const under = (part('.card-tools')?.bottom ?? 0) - (part('[data-test=card-asked]')?.top ?? Infinity);
      const by = asked ? -Math.max(under, 0) : low > 0 ? low : -Math.max(high, 0);
      if (by) scrollBy({ top: by, behavior: 'instant' });
    });
    return () => clearTimeout(id);
  }, [asked, long]);
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('acuity.title')),
    scaled && h(Notice, { kind: 'urgent', live: true, test: 'acuity-scaled' }, app.state.words.t('acuity.scaled')),
    h('p', null, t('acuity.card')),
    h(
      'div',
      { class: 'row card-tools', 'data-test': 'card-tools' },
      h(Button, { label: t('acuity.smaller'), onPress: () => setLong(long - 1) }, '−'),
      h('input', {
        type: 'range',
        min: 180,
        max: 900,
        step: 1,
        value: Math.round(long),
        'aria-label': t('acuity.card.slide'),
        'aria-valuetext': t('acuity.card.dots', { n: Math.round(long) }), // millimetres are what it is to find out
        'data-test': 'card-size',
        onInput: (/** @type {Event} */ e) => setLong(Number(/** @type {HTMLInputElement} */ (e.currentTarget).value)),
      }),
      h(Button, { label: t('acuity.larger'), onPress: () => setLong(long + 1) }, '+'),
      h(
        Button,
        { kind: 'main', onPress: save, test: asked ? 'card-sure' : 'card-done' },
        t(asked ? 'acuity.card.yes' : 'acuity.card.done'),
      ),
    ),
    asked && h(Notice, { kind: 'urgent', live: true, test: 'card-asked' }, t('acuity.card.sure')),
    h('div', { class: 'bank-card', ref: box, style: { blockSize: `${long * CARD_SHORT}px`, inlineSize: `${long}px` } }),
  );
}

/** @param {{app: App, pxMm: number, onStart: (s: Setup) => void, onCard: () => void}} props */
function Prepare({ app, pxMm, onStart, onCard }) {
  const { t, number } = app.state.words;
  const [eye, setEye] = useState(/** @type {'right'|'left'|undefined} */ (undefined));
  const [distance, setDistance] = useState('3');
  const [by, setBy] = useState(/** @type {By|undefined} */ (undefined));
  const [ready, setReady] = useState(false);
  const [tried, setTried] = useState(false); // to start
  const d = Number(distance);
  const good = d >= 1 && d <= 6;
  const lack = (/** @type {unknown} */ said) => (tried && !said ? t('lacks.look') : '');
  const start = () => {
    if (good && ready && eye && by) return onStart({ eye, distance: d, by, pxMm });
    setTried(true);
    goOn(
      document.activeElement,
      '#distance[aria-invalid]',
      'fieldset:has(legend .entry-fault) .choice',
      '#acuity-ready',
    );
  };
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('acuity.title')),
    h(
      'ol',
      { class: 'steps' },
      /** @type {const} */ ([1, 2, 3, 4]).map(n => h('li', { key: n }, app.state.words.t(`acuity.step.${n}`))),
    ),
    h(Entry, {
      id: 'distance',
      type: 'number',
      label: t('acuity.distance'),
      value: distance,
      onInput: setDistance,
      fault: good ? '' : t('acuity.distance.fault'),
    }),
    Choices({
      legend: asking(t('acuity.by', { n: number(good ? d : 3, d % 1 ? 1 : 0) }), lack(by)),
      value: by,
      onPick: setBy,
      test: x => `by-${x}`,
      options: /** @type {By[]} */ (['tape', 'feet']).map(x => [x, t(`acuity.by.${x}`)]),
    }),
    good &&
      smallestLogmar(d, pxMm) > 0 &&
      h(Notice, { kind: 'urgent' }, t('acuity.coarse', { size: number(smallestLogmar(d, pxMm), 1) })),
    Choices({
      legend: asking(t('acuity.eye'), lack(eye)),
      across: true,
      value: eye,
      onPick: setEye,
      test: e => `acuity-${e}`,
      options: [
        ['right', t('eye.Right')],
        ['left', t('eye.Left')],
      ],
    }),
    h(Check, {
      id: 'acuity-ready',
      label: t('acuity.ready'),
      checked: ready,
      onChange: setReady,
      test: 'acuity-ready',
      fault: tried && !ready ? t('lacks.ready') : '',
    }),
    h(Button, { kind: 'main', big: true, test: 'acuity-start', onPress: start }, t('acuity.start')),
    h(Button, { kind: 'plain', onPress: onCard }, t('acuity.card.again')),
  );
}

/** The stage's share of the window's height, as in views.css. */
const STAGE = 0.38;

/** What the stage can show in CSS pixels: its height is fixed, so that the buttons below never move. */
const room = () => Math.min(innerWidth - 48, innerHeight * STAGE - 2, 380);

/** A random direction. @returns {Way} */
const anyWay = () => WAYS[crypto.getRandomValues(new Uint8Array(1))[0] & 3];

/** @param {{app: App, setup: Setup, same: () => boolean, onTrial: (a: Estimate) => void, onDone: (a: Estimate, early: boolean) => void}} props same: whether rings still have their size */
function Run({ app, setup, same, onTrial, onDone }) {
  const { t } = app.state.words;
  const [a, setA] = useState(() => newAcuity(HOME_TEST));
  const [way, setWay] = useState(anyWay);
  const [paused, setPaused] = useState(false);
  const start = useRef(/** @type {{x: number, y: number}|null} */ (null));
  const largest = largestLogmar(room() * devicePixelRatio, setup.distance, setup.pxMm);
  const shown = drawn(
    Math.max(Math.min(nextSize(a), largest), smallestLogmar(setup.distance, setup.pxMm)),
    setup.distance,
    setup.pxMm,
  );
  /** @param {Way|null} said null: cannot tell */
  const answer = said => {
    if (paused || !same()) return; // no answer counts to a ring of another size
    const next = addTrial(a, { size: shown.logmar, correct: said === way });
    onTrial(next);
    if (verdict(next).done) return onDone(next, false);
    setA(next);
    setWay(anyWay());
  };
  useEffect(() => {
    const key = (/** @type {KeyboardEvent} */ e) => {
      const said = WAYS.find(w => e.key.toLowerCase() === `arrow${w}`);
      if (said) {
        e.preventDefault();
        answer(said);
      }
    };
    addEventListener('keydown', key);
    return () => removeEventListener('keydown', key);
  });
  const swipe = (/** @type {PointerEvent} */ e) => {
    const from = start.current;
    start.current = null;
    if (!from) return;
    const [dx, dy] = [e.clientX - from.x, e.clientY - from.y];
    if (Math.hypot(dx, dy) < 40) return;
    answer(Math.abs(dx) > Math.abs(dy) ? (dx > 0 ? 'right' : 'left') : dy > 0 ? 'down' : 'up');
  };
  return h(
    'div',
    { class: 'stack acuity', 'data-test': 'acuity-run' },
    h(
      'p',
      { class: 'quiet', role: 'status' },
      t('acuity.running', { eye: t(`eye.${setup.eye}`), n: a.trials.length + 1 }),
    ),
    h(
      'div',
      {
        class: 'stage',
        onPointerDown: (/** @type {PointerEvent} */ e) => {
          start.current = { x: e.clientX, y: e.clientY };
        },
        onPointerUp: swipe,
      },
      paused
        ? h('p', { class: 'lead' }, t('acuity.paused'))
        : h(Ring, { detail: shown.detailPx, way, label: t('acuity.which') }),
    ),
    h(
      'div',
      { class: 'pad', style: PAD, role: 'group', 'aria-label': t('acuity.which') },
      WAYS.map(w =>
        h(
          'button',
          {
            key: w,
            type: 'button',
            class: 'btn',
            style: { gridArea: w },
            disabled: paused,
            'aria-label': t(`acuity.${w}`),
            'data-test': `way-${w}`,
            onClick: () => answer(w),
          },
          ARROW[w],
        ),
      ),
      h(
        'button',
        {
          type: 'button',
          class: 'btn',
          style: { gridArea: 'unknown', fontSize: 'var(--text)', lineHeight: 1.2, paddingInline: '0.3rem' },
          disabled: paused,
          'data-test': 'way-unknown',
          onClick: () => answer(null),
        },
        t('acuity.unknown'),
      ),
    ),
    h(
      'div',
      { class: 'row apart' },
      h(
        Button,
        { onPress: () => setPaused(!paused), test: 'acuity-pause' },
        t(paused ? 'acuity.go-on' : 'acuity.pause'),
      ),
      h(
        Button,
        { kind: 'plain', test: 'acuity-stop', onPress: () => (a.trials.length ? onDone(a, true) : go('evening')) },
        t('acuity.stop'),
      ),
    ),
  );
}

// Here and not in the style sheet: only this screen needs it, and the first visit fetches every sheet.
const PAD = {
  display: 'grid',
  gridTemplateColumns: 'repeat(3, minmax(0, 7.5rem))',
  gridTemplateAreas: '". up ." "left unknown right" ". down ."',
  gap: '0.4rem',
  justifyContent: 'center',
  direction: 'ltr',
};
const ARROW = { up: '↑', right: '→', down: '↓', left: '←' };

/**
 * A ring after ISO 8596: outer size five details, stroke and gap one; bars of
 * one detail round it at two and a half details (common practice), drawn in
 * whole device pixels.
 * @param {{detail: number, way: Way, label: string}} props detail in device pixels
 */
function Ring({ detail, way, label }) {
  const canvas = useRef(/** @type {HTMLCanvasElement|null} */ (null));
  const size = detail * RING_DETAILS;
  useLayoutEffect(() => {
    // with the words about it, never a frame later
    const c = canvas.current?.getContext('2d');
    if (!c) return;
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.clearRect(0, 0, size, size);
    c.translate(size / 2, size / 2);
    c.fillStyle = '#000';
    for (let i = 0; i < 4; i++) {
      c.fillRect(-2.5 * detail, -6 * detail, 5 * detail, detail);
      c.rotate(Math.PI / 2);
    }
    c.rotate((WAYS.indexOf(way) - 1) * (Math.PI / 2));
    c.lineWidth = detail;
    c.beginPath();
    c.arc(0, 0, 2 * detail, 0, 2 * Math.PI);
    c.stroke();
    c.clearRect(detail, -detail / 2, 2 * detail, detail);
  });
  const css = size / devicePixelRatio;
  return h('canvas', {
    ref: canvas,
    width: size,
    height: size,
    role: 'img',
    'aria-label': label,
    style: { inlineSize: `${css}px`, blockSize: `${css}px` },
  });
}

/** @param {{app: App, setup: Setup, run: {a: Estimate, early: boolean}, scaled: boolean}} props */
function Result({ app, setup, run, scaled }) {
  const s = app.state;
  const { t, number } = s.words;
  const [fault, setFault] = useState('');
  const { mean, sd } = estimate(run.a);
  const v = verdict(run.a);
  // Twice its spread, and what the distance may be off: both in lines of 0.1 logMAR.
  const half = Math.hypot(2 * sd, Math.log10(1 + OFF[setup.by]));
  const lines = linesLess(run.a);
  const before = [...s.nights.values()]
    .filter(n => n.wearer === s.wearer)
    .flatMap(n => n.entries)
    .filter(e => e.kind === 'acuity-run' && e.body.eye === setup.eye).length;
  const practice = before < PRACTICE_RUNS;
  const few = run.a.trials.length < LEAST_TRIALS;
  const save = (check = false) =>
    app
      .write([
        {
          wearer: s.wearer,
          kind: 'acuity-run',
          body: {
            eye: setup.eye,
            distance_m: setup.distance,
            distance_by: setup.by,
            px_per_mm: Math.round(setup.pxMm * 1000) / 1000,
            practice,
            stopped_early: run.early,
            trials: run.a.trials.map(x => [Math.round(x.size * 1000) / 1000, x.correct ? 1 : 0]),
          },
        },
      ])
      .then(
        () => go(check ? 'check' : ''),
        e => setFault(e.message),
      );
  return h(
    'div',
    { class: 'stack', 'data-test': 'acuity-result' },
    h('h1', null, t('acuity.result', { eye: t(`eye.${setup.eye}`) })),
    scaled && h(Notice, { kind: 'urgent', live: true, test: 'acuity-scaled' }, s.words.t('acuity.scaled')),
    few
      ? h(Notice, { kind: 'urgent' }, t('acuity.toofew'))
      : h(
          Card,
          null,
          h('p', { class: 'lead' }, lines > 0 ? t('acuity.lines', { n: lines }) : t('acuity.lines.best')),
          v.reliable && h('p', null, t('acuity.likely', { n: Math.max(1, Math.round(half * 10)) })), // scattered, it has no such limits
          h('p', { 'data-test': 'traffic' }, h('strong', null, s.words.med('action.no-driving'))),
          h(
            More,
            { title: t('acuity.notation'), test: 'acuity-notation' },
            h(
              'p',
              null,
              t('acuity.about', { value: number(mean, 2), from: number(mean - half, 2), to: number(mean + half, 2) }),
            ),
            h('p', null, t('acuity.feet', { n: number(6 * 10 ** mean, 1) })),
          ),
        ),
    !few && !v.reliable && h(Notice, { kind: 'urgent' }, t('acuity.unreliable')),
    !few &&
      lines >= WORSE_LINES &&
      h(
        Notice,
        { kind: 'urgent', test: 'acuity-worse' },
        h('p', null, h('strong', null, t('acuity.worse'))),
        h(Button, { wide: true, test: 'acuity-check', onPress: () => void save(true) }, t('acuity.check')),
      ),
    practice && h(Notice, null, t('acuity.practice')),
    h('p', null, app.state.words.t('acuity.means')),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    h(Button, { kind: 'main', big: true, test: 'confirm', onPress: () => void save() }, t('save')),
    h(Button, { kind: 'plain', onPress: () => go('') }, t('acuity.discard')),
  );
}
