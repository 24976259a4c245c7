// Is overnight wear worth talking about for these eyes: the range the
// prescription falls in, the reasons, what to discuss, and a sheet for the
// family. Never a verdict.

import * as api from '../api.js';
import { h, Trouble, useAction, useLayoutEffect, useLoad, useRef, useState } from '../dom.js';
import { keep } from '../draft.js';
import { day, dioptres, plural, prescription, title } from '../format.js';
import { minusForm, whole } from '../prescription.js';
import { quantity } from '../quantities.js';
import { link } from '../route.js';
import { say } from '../said.js';
import { NumberField } from './number-field.js';
import { heard } from '../heard.js';
import { point, tr } from '../text.js';

/** @import { Me, Refraction, Suitability as Answer, SuitabilityEye } from '../api.js' */
/** @import { Route } from '../route.js' */

/** @typedef {import('../prescription.js').Part} Part */

/** @type {Part} */
const EMPTY = { sphere: null, cylinder: null, axis: null };

/** @param {Refraction} r @returns {Part} */
const parts = r => ({ sphere: r.sphere, cylinder: r.cylinder || null, axis: r.cylinder ? (r.axis ?? null) : null });

/** @param {{me: Me, route: Route}} props */
export function Suitability({ me, route }) {
  const who = useLoad(
    async () =>
      route.arg ? { wearer: (await api.plans(route.arg)).wearer, visits: (await api.visits(route.arg)).visits } : null,
    route.arg,
  );
  const [right, setRight] = useState(EMPTY);
  const [left, setLeft] = useState(EMPTY);
  const [age, setAge] = useState(/** @type {number|null} */ (null));
  const [result, setResult] = useState(/** @type {Answer|null} */ (null));
  const [asked, setAsked] = useState(0); // how often the range was asked for
  const form = useRef(/** @type {HTMLFormElement|null} */ (null));
  useLayoutEffect(() => {
    // the first field that is not right, once each says so
    /** @type {HTMLElement|null|undefined} */ (
      asked ? form.current?.querySelector('input:invalid, [aria-invalid=true]') : null
    )?.focus();
  }, [asked]);
  const action = useAction();
  const r = whole(right);
  const l = whole(left);
  const submit = (/** @type {Event} */ e) => {
    e.preventDefault();
    setAsked(asked + 1);
    if (!r.rx || !l.rx || !age || !form.current?.checkValidity()) return;
    const ask = { right: r.rx, left: l.rx, age_years: age };
    action.run(async () => {
      const answer = await api.suitability(ask);
      keep(answer);
      setResult(answer);
      say(`${tr('Suitability')}${point(': ')}${title(answer.decision)}.`);
    });
  };
  const wearer = who.data?.wearer;
  const measured = who.data?.visits.find(v => v.state === 'kept' && v.right.refraction && v.left.refraction); // the newest first
  const take = () => {
    if (measured?.right.refraction) setRight(parts(measured.right.refraction));
    if (measured?.left.refraction) setLeft(parts(measured.left.refraction));
  };
  return h(
    'div',
    { class: 'suitability' },
    h(
      'h1',
      null,
      tr('Suitability'),
      wearer && [point(': '), wearer.name, ' ', h('span', { class: 'code' }, wearer.code)],
    ),
    h(Trouble, { error: who.error, busy: false, retry: who.reload }),
    h(
      'form',
      { class: 'card no-print', noValidate: true, ref: form, onSubmit: submit, 'data-test': 'suitability-form' },
      h('p', { class: 'hint' }, tr('Enter the spectacle prescription in either cylinder form.')),
      measured &&
        h(
          'p',
          null,
          h(
            'button',
            { type: 'button', onClick: take },
            tr('Take the refraction of {date}', { date: day(measured.date) }),
          ),
        ),
      h(EyeFields, {
        name: tr('Right eye'),
        value: right,
        set: setRight,
        faults: asked ? r.at : undefined,
        minus: r.rx && r.rx.cylinder > 0 ? minusForm(r.rx) : undefined,
      }),
      h(EyeFields, {
        name: tr('Left eye'),
        value: left,
        set: setLeft,
        faults: asked ? l.at : undefined,
        minus: l.rx && l.rx.cylinder > 0 ? minusForm(l.rx) : undefined,
      }),
      h(
        'div',
        { class: 'grid' },
        h(NumberField, {
          quantity: quantity('age_years'),
          label: tr('Age'),
          name: 'age',
          value: age,
          set: setAge,
          error: asked && !age ? tr('A number of years.') : undefined,
        }),
      ),
      h(
        'div',
        { class: 'buttons' },
        h('button', { class: 'primary', disabled: action.busy, 'data-test': 'suitability-show' }, tr('Show the range')),
        h(
          'button',
          {
            type: 'button',
            onClick: () => {
              setRight(EMPTY);
              setLeft(EMPTY);
              setAge(null);
              setResult(null);
              setAsked(0);
              keep(null);
            },
          },
          tr('Clear'),
        ),
      ),
      h(Trouble, { error: action.error }),
    ),
    result && h(Result, { result, wearer: route.arg, age: age ?? 0, key: JSON.stringify(result) }),
    result && h(FamilySheet, { me, result }),
  );
}

/**
 * @param {{name: string, value: Part, set: (v: Part) => void, faults?: Partial<Record<keyof Part, string>>, minus?: import('../prescription.js').Rx}} props
 */
function EyeFields({ name, value, set, faults, minus }) {
  /** @param {keyof Part} key @param {string} label */
  const input = (key, label) =>
    h(
      'div',
      { class: 'part' },
      h('span', { class: 'field-label', 'aria-hidden': 'true' }, label),
      h(NumberField, {
        quantity: quantity(key),
        label: `${name}${point(', ')}${label.toLowerCase()}`,
        bare: true,
        name: `${name.slice(0, 1).toLowerCase()}-${key}`,
        value: value[key],
        set: n => set({ ...value, [key]: n }),
        error: faults?.[key],
      }),
    );
  return h(
    'fieldset',
    { class: 'eye' },
    h('legend', null, name),
    input('sphere', tr('Sphere')),
    input('cylinder', tr('Cylinder')),
    input('axis', tr('Axis')),
    minus && h('span', { class: 'hint' }, `= ${prescription(minus)}`),
  );
}

/** @param {{result: Answer, wearer: string, age: number}} props wearer: an id, or nothing when nobody is enrolled yet */
function Result({ result, wearer, age }) {
  const [answers, setAnswers] = useState(/** @type {Record<string, string>} */ ({}));
  const weigh = [
    ...result.contraindications_to_ask.filter(q => answers[q] === 'yes').map(q => `${heard(q)} ${title('yes')}.`),
    ...result.readiness_to_ask.filter(q => answers[q] === 'no').map(q => `${heard(q)} ${title('no')}.`),
  ];
  const open = [...result.contraindications_to_ask, ...result.readiness_to_ask].filter(q => !answers[q]).length;
  /** @param {string} caption @param {string[]} list */
  const questions = (caption, list) =>
    h(
      'table',
      { class: 'questions' },
      h('caption', null, caption),
      h(
        'tbody',
        null,
        list.map(q =>
          h(
            'tr',
            null,
            h('th', { scope: 'row' }, heard(q)),
            h(
              'td',
              null,
              ['yes', 'no'].map(a =>
                h(
                  'label',
                  { class: 'choice-word' },
                  h('input', {
                    type: 'radio',
                    name: q,
                    checked: answers[q] === a,
                    onChange: () => setAnswers({ ...answers, [q]: a }),
                  }),
                  title(a),
                ),
              ),
            ),
          ),
        ),
      ),
    );
  return h(
    'section',
    { class: 'card no-print', 'data-test': 'suitability-result' },
    h('h2', null, title(result.decision)),
    h(
      'div',
      { class: 'pair' },
      h(EyeResult, { name: tr('Right eye'), eye: result.right }),
      h(EyeResult, { name: tr('Left eye'), eye: result.left }),
    ),
    h(Course, { result }),
    questions(tr('Before fitting. Leave open what is not known.'), result.contraindications_to_ask),
    questions(tr('Are child and family ready?'), result.readiness_to_ask),
    h(
      'div',
      { class: weigh.length ? 'warn-box' : '', 'aria-live': 'polite' },
      weigh.length > 0 && [
        h('h3', null, tr('To weigh before going on')),
        h(
          'ul',
          null,
          weigh.map(t => h('li', null, t)),
        ),
      ],
      open > 0 && h('p', { class: 'quiet' }, tr('{open} questions still open.', { open })),
    ),
    h(
      'p',
      { class: 'quiet' },
      tr('A published range is information, not a limit on your judgement; lying inside it makes nobody suitable.'),
    ),
    h(
      'div',
      { class: 'buttons' },
      h('button', { type: 'button', onClick: () => print() }, tr('Print the family sheet')),
      wearer
        ? h(
            'a',
            { class: 'button', href: link('plan', wearer), 'data-test': 'suitability-plan' },
            tr('Go on to the plan'),
          )
        : h('a', { class: 'button', href: '#family' }, tr('Start: add the family')),
    ),
    wearer &&
      h(KeepAnswers, {
        result,
        wearer,
        age,
        answers,
        asked: result.contraindications_to_ask.length + result.readiness_to_ask.length,
        key: JSON.stringify(answers),
      }),
    !wearer &&
      h(
        'p',
        { class: 'quiet' },
        tr(
          'The plan of a wearer without one offers this prescription as what was there before treatment, as long as this page stays open.',
        ),
      ),
  );
}

/**
 * Keeps what was answered in the wearer's record: what is not kept is gone with
 * this page.
 * @param {{result: Answer, wearer: string, age: number, answers: Record<string, string>, asked: number}} props
 */
function KeepAnswers({ result, wearer, age, answers, asked }) {
  const [note, setNote] = useState('');
  const [kept, setKept] = useState(false);
  const action = useAction();
  const save = () =>
    action.run(async () => {
      const { right, left } = result;
      await api.keepCandidate(wearer, {
        right: right.minus_cylinder,
        left: left.minus_cylinder,
        age_years: age,
        answers,
        asked,
        note,
      });
      setKept(true);
      say(tr('Kept in the record, under “Lenses and course”. '));
    });
  if (kept)
    return h(
      'p',
      { 'data-test': 'answers-kept' },
      tr('Kept in the record, under “Lenses and course”. '),
      h('a', { href: link('course', wearer) }, tr('Look at it')),
    );
  return h(
    'div',
    { class: 'grid' },
    h(
      'label',
      { class: 'field' },
      h('span', { class: 'field-label' }, tr('Note on the answers')),
      h('input', {
        type: 'text',
        maxLength: 500,
        value: note,
        onInput: (/** @type {Event} */ e) => setNote(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h(
      'button',
      { type: 'button', disabled: action.busy, 'data-test': 'keep-answers', onClick: save },
      tr('Keep these answers in the record'),
    ),
    h(Trouble, { error: action.error }),
  );
}

/** What the mornings should look like. @param {{result: Answer}} props */
function Course({ result }) {
  const eyes = /** @type {[string, SuitabilityEye][]} */ ([
    [tr('Right'), result.right],
    [tr('Left'), result.left],
  ]);
  const steps = (result.right.course ?? result.left.course ?? []).map(s => s.nights);
  if (!steps.length)
    return h(
      'p',
      null,
      tr('Expected course: the model was made for short sight within the usual range and says nothing here.'),
    );
  return h(
    'div',
    { class: 'scroll' },
    h(
      'table',
      { class: 'course', 'data-test': 'course' },
      h('caption', null, tr('Expected course: spherical equivalent left on waking, D')),
      h(
        'thead',
        null,
        h(
          'tr',
          null,
          h('th', { scope: 'col' }, tr('Eye')),
          steps.map(n =>
            h('th', { scope: 'col' }, tr('after {nights} worn', { nights: plural(n, 'night', 'nights') })),
          ),
        ),
      ),
      h(
        'tbody',
        null,
        eyes.map(([name, eye]) =>
          h(
            'tr',
            null,
            h('th', { scope: 'row' }, name),
            eye.course
              ? eye.course.map(s =>
                  h(
                    'td',
                    null,
                    dioptres(s.residual_d),
                    h(
                      'span',
                      { class: 'quiet' },
                      tr(' ({least_d} to {most_d})', { least_d: dioptres(s.least_d), most_d: dioptres(s.most_d) }),
                    ),
                  ),
                )
              : h('td', { colSpan: steps.length }, tr('no course: outside what the model was made for')),
          ),
        ),
      ),
    ),
    h(
      'p',
      { class: 'quiet' },
      tr(
        'For nights of 8 hours in lenses: 58 % of the change after the first night. In brackets: where about nine eyes in ten of the published series nearest to this prescription lay; above 0 is past full correction. Designs differ.',
      ),
      h('br', null),
      [...new Set(eyes.flatMap(([, eye]) => eye.spread?.source ?? []))].join(point('; ')),
    ),
  );
}

/** @param {{name: string, eye: SuitabilityEye}} props */
const EyeResult = ({ name, eye }) =>
  h(
    'div',
    null,
    h('h3', null, name, h('span', { class: 'quiet' }, ` ${prescription(eye.minus_cylinder)}`)),
    h('p', { class: 'range-word' }, title(eye.range)),
    h(
      'ul',
      null,
      eye.reasons.map(t => h('li', null, heard(t))),
    ),
    h(
      'table',
      null,
      h(
        'tbody',
        null,
        eye.published.map(p =>
          h(
            'tr',
            null,
            h('th', { scope: 'row' }, p.name),
            h(
              'td',
              null,
              tr('to {sphere_to} with {cylinder_to} D', {
                sphere_to: dioptres(p.sphere_to),
                cylinder_to: dioptres(p.cylinder_to),
              }),
            ),
            h('td', null, p.inside ? tr('inside') : tr('outside')),
          ),
        ),
      ),
    ),
  );

/** What every family should hear, whatever the eyes; sources named on the page. */
const EXPECT = [
  tr(
    'Rigid lenses are worn while asleep and taken out in the morning. They flatten the front of the eye a little for a while; the effect goes when wear stops.',
  ),
  tr(
    'On average about half or a little more of the short-sightedness is gone after the first night, and most of it after one to two weeks of nights worn. People differ.',
  ),
  tr(
    'It works only while lenses are worn as agreed. A missed night means less clear sight the next day; keep spectacles at hand.',
  ),
  tr('Rings round lights and some glare are common at first and usually settle over the first month.'),
  tr(
    'It slows the growth of the eye in many children; it does not stop it, and for one child nobody can say how much.',
  ),
  tr(
    'The lenses lie on the eye at night, so infection, though rare (about 5 to 14 in 10,000 wearers a year in published studies), can be serious. Clean hands, fresh solution, no water on lenses or case, and every visit kept make it less likely.',
  ),
  tr(
    'If an eye is red, painful, sensitive to light or sees worse: lenses out, none that night, and phone us at once. If we cannot be reached, go to an emergency eye service and bring lenses, case and bottles.',
  ),
];

/** @param {{me: Me, result: Answer}} props */
function FamilySheet({ me, result }) {
  return h(
    'section',
    { class: 'card sheet', 'aria-labelledby': 'sheet-title' },
    h('h2', { id: 'sheet-title' }, tr('Overnight lenses: what to know before deciding')),
    h('p', null, me.practice.name, me.practice.phone && `${point(', ')}${me.practice.phone}`),
    h(
      'p',
      null,
      tr('Prescription: right {minus_cylinder}, left {minus_cylinder2}.', {
        minus_cylinder: prescription(result.right.minus_cylinder),
        minus_cylinder2: prescription(result.left.minus_cylinder),
      }),
    ),
    h(
      'ul',
      null,
      EXPECT.map(t => h('li', null, t)),
    ),
    h('h3', null, tr('Each evening and morning')),
    h(
      'p',
      null,
      tr(
        'About ten minutes: wash and dry hands, check and insert the lenses; in the morning take them out, rub and rinse with the solution we name, empty, wipe and dry the case. A visit on the first morning, after one week, two weeks and a month, then every few months.',
      ),
    ),
    h('h3', null, tr('Questions you want to ask')),
    Array.from({ length: 6 }, () => h('p', { class: 'write-lines' }, ' ')),
    h('p', { class: 'quiet' }, tr('This sheet informs. Your practitioner decides with you after an examination.')),
  );
}
