// The eye check: plain questions, one at a time, "don't know" always allowed.
// What is saved is what was answered; what was not answered stays unknown and
// is never taken for "no".
import { h, useEffect, useRef, useState } from '../../ui/dom.js';
import { Button, Choices, Entry, Notice } from '../../ui/parts.js';
import { RULES } from '../model/report.js';
import { go } from '../route.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** Questions asked of each eye, in this order: eight. */
export const EYE_SIGNS = ['lens', 'pain', 'redness', 'light', 'sight', 'discharge', 'spot', 'gritty'];

/** @typedef {'right'|'left'} Eye */
/** @typedef {{kind: 'eye'|'injury'|'sign'|'ill'|'began', eye?: Eye, sign?: string}} Step */
/** @typedef {{eyes: Eye[], right: Record<string, string>, left: Record<string, string>, ill?: string, began?: number}} Answers */

/**
 * The questions for the chosen eyes.
 * @param {Eye[]} eyes
 * @returns {Step[]}
 */
export function stepsFor(eyes) {
  return [
    { kind: 'eye' }, { kind: 'injury', sign: 'injury' },
    ...eyes.flatMap((eye) => EYE_SIGNS.map((sign) => /** @type {Step} */ ({ kind: 'sign', eye, sign }))),
    { kind: 'ill', sign: 'ill' }, { kind: 'began' },
  ];
}

/**
 * The body of the report: unanswered signs are left out.
 * @param {Answers} a
 * @param {string} note
 */
export function bodyOf(a, note) {
  /** @type {Record<string, unknown>} */
  const body = {};
  for (const eye of a.eyes) body[eye] = a[eye];
  if (a.ill) body.ill = a.ill;
  if (a.began) body.began = new Date(a.began).toISOString();
  if (note.trim()) body.note = note.trim();
  return body;
}

/** @param {ViewProps} props */
export function Check({ app }) {
  const s = app.state;
  const { t, med } = s.words;
  const [answers, setAnswers] = useState(/** @type {Answers} */ ({ eyes: [], right: {}, left: {} }));
  const [at, setAt] = useState(0);
  const [note, setNote] = useState('');
  const [fault, setFault] = useState('');
  const [busy, setBusy] = useState(false);
  const heading = useRef(/** @type {HTMLHeadingElement|null} */ (null));
  const steps = stepsFor(answers.eyes.length ? answers.eyes : ['right']);
  const step = steps[at];
  useEffect(() => { if (at > 0) heading.current?.focus(); scrollTo(0, 0); }, [at]);

  /** @param {Answers} a */
  const finish = async (a) => {
    if (busy) return;
    setBusy(true);
    try {
      const [entry] = await app.write([{ wearer: s.wearer, kind: 'symptoms', body: bodyOf(a, note) }], '');
      go('advice', entry.id);
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
      setBusy(false);
    }
  };
  /** @param {Answers} a */
  const next = (a) => {
    setAnswers(a);
    const chemical = a.eyes.some((e) => a[e].injury === 'chemical');
    if (chemical && step.kind === 'injury') return void finish(a);
    if (at + 1 < steps.length || step.kind === 'eye') setAt(at + 1);
  };
  /** @param {string} value "" for don't know */
  const answer = (value) => {
    const sign = step.sign ?? '';
    const a = { ...answers, right: { ...answers.right }, left: { ...answers.left } };
    const put = (/** @type {Record<string, string>} */ o) => { if (value) o[sign] = value; else delete o[sign]; };
    if (step.kind === 'ill') a.ill = value || undefined;
    else for (const eye of step.eye ? [step.eye] : a.eyes) put(a[eye]);
    next(a);
  };
  const value = step.kind === 'ill' ? answers.ill : step.eye ? answers[step.eye][step.sign ?? ''] : undefined;
  const title = step.kind === 'eye' ? t('check.eye') : step.kind === 'began' ? t('check.began') : med(`sign.${step.sign}`);
  return h('div', { class: 'stack ask', 'data-test': `step-${step.kind === 'sign' ? step.sign : step.kind}` },
    h('p', { class: 'quiet' }, t('check.title'), ' · ', t('check.step', { n: at + 1, of: steps.length })),
    step.eye && h('p', { class: 'lead' }, h('strong', null, t('check.for', { eye: t(`eye.${step.eye}`) }))),
    h('h1', { tabIndex: -1, ref: heading }, title),
    step.kind === 'eye' ? h(EyeStep, { app, onPick: (eyes) => next({ ...answers, eyes }) })
      : step.kind === 'began' ? h(BeganStep, { app, note, setNote, onPick: (began) => void finish({ ...answers, began }) })
        : Choices({ legend: title, hideLegend: true, value, onPick: answer, test: (v) => `answer-${step.sign}-${v || 'unknown'}`, options: [...optionsOf(step, med), ['', t('check.unknown')]] }),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    h('div', { class: 'row apart' },
      at > 0 ? h(Button, { onPress: () => setAt(at - 1), test: 'check-back' }, t('check.back')) : h('span', null),
      at > 1 && h(Button, { kind: 'alarm', disabled: busy, onPress: () => void finish(answers), test: 'check-stop' }, t('check.stop'))),
    at === 0 && h(Notice, { kind: 'urgent' }, t('check.caution')));
}

/** @param {Step} step @param {(k: string) => string} med @returns {[string, string][]} */
function optionsOf(step, med) {
  const list = RULES.symptoms.get(step.sign ?? '')?.answers ?? [];
  return list.map((a) => [a, med(`answer.${step.sign}.${a}`)]);
}

/** @param {{app: App, onPick: (eyes: Eye[]) => void}} props */
function EyeStep({ app, onPick }) {
  const s = app.state;
  const { t } = s.words;
  const many = (s.family?.wearers.length ?? 0) > 1;
  const pick = (/** @type {string} */ e) => onPick(e === 'both' ? ['right', 'left'] : [/** @type {Eye} */ (e)]);
  return h('div', { class: 'stack' },
    many && Choices({ legend: t('check.whose'), value: s.wearer, onPick: (id) => void app.setWearer(id), test: (id) => `whose-${id}`, options: (s.family?.wearers ?? []).map((w) => [w.id, w.name]) }),
    Choices({ legend: t('check.eye'), hideLegend: many ? false : true, value: '', onPick: pick, test: (e) => `eye-${e}`, options: ['right', 'left', 'both'].map((e) => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]) }));
}

const HOUR = 3600000;
/** Where in a span that people name the time is put: its beginning, which is the careful end. @type {[string, number][]} */
const BEGAN = [['now', 0], ['hours', 6 * HOUR], ['night', 12 * HOUR], ['yesterday', 30 * HOUR], ['days', 49 * HOUR]];

/** @param {{app: App, note: string, setNote: (v: string) => void, onPick: (ms: number|undefined) => void}} props */
function BeganStep({ app, note, setNote, onPick }) {
  const { t } = app.state.words;
  const [exact, setExact] = useState('');
  return h('div', { class: 'stack' },
    h(Entry, { id: 'note', label: t('check.note'), value: note, onInput: setNote, long: true, max: 2000 }),
    Choices({ legend: t('check.began'), hideLegend: true, value: undefined, test: (v) => `began-${v || 'unknown'}`,
      onPick: (v) => onPick(v === '' ? undefined : Date.now() - (BEGAN.find(([k]) => k === v)?.[1] ?? 0)),
      options: [...BEGAN.map(([k]) => /** @type {[string, string]} */ ([k, t(`began.${k}`)])), ['', t('check.unknown')]] }),
    h(Entry, { id: 'exact', type: 'datetime-local', label: t('began.at'), value: exact, onInput: setExact }),
    exact && h(Button, { kind: 'main', test: 'began-exact', onPress: () => onPick(Date.parse(exact) || undefined) }, t('next')));
}
