// Stretches of wear: how one ended, the wash-out after it, and a new start.

import * as api from '../api.js';
import { Field, FormFault, HeadRow, h, useAction, useState } from '../dom.js';
import { day, dioptres, plural, readable } from '../format.js';
import { PLAN_FIELDS, quantity } from '../quantities.js';
import { point, tr } from '../text.js';
import { NumberField, Unlikely } from './number-field.js';

/** @import { Course as Answer } from '../api.js' */
/** @typedef {Answer['courses'][number]} Stretch */
/** @typedef {Answer['endings'][number]} Ending */

/** @param {{course: Answer, done: () => void}} props */
export function Courses({ course, done }) {
  const last = course.endings.at(-1);
  return h(
    'section',
    { class: 'block', 'data-test': 'courses' },
    h('h2', null, tr('Wear: end and new start')),
    course.courses.length
      ? course.courses.map((c, i) => h(One, { key: c.first, c, n: i + 1, course, done }))
      : h('p', { class: 'quiet' }, tr('Wear has not begun: there is no plan with a first night.')),
    course.causes.length > 0 &&
      course.ends &&
      h(
        'p',
        { class: 'warn-box' },
        tr(
          'Something else than the end of wear holds a lens back. Lift that first, under “Write to the family” or with its alert.',
        ),
      ),
    course.courses.length > 0 &&
      (course.ends
        ? h(Again, { course, stopped: course.ends, done, key: `again${last?.id}` })
        : h(EndForm, { course, done, key: `end${course.plan}` })),
  );
}

/** @param {{c: Stretch, n: number, course: Answer, done: () => void}} props */
function One({ c, n, course, done }) {
  const ending = course.endings.findLast(e => e.stopped === c.stopped && !e.taken_back);
  const reason = course.reasons.find(r => r.key === ending?.reason);
  return h(
    'div',
    { class: 'wear-course', 'data-test': 'stretch' },
    h(
      'h3',
      null,
      tr('Course {n}: from {first} {to}', {
        n,
        first: day(c.first),
        to: c.stopped ? tr('to {stopped}, the first night without', { stopped: day(c.stopped) }) : tr('on'),
      }),
    ),
    h(
      'p',
      null,
      tr('Before it: right {right} D, left {left} D.', {
        right: c.baseline_right ? dioptres(c.baseline_right) : tr('not set,'),
        left: c.baseline_left ? dioptres(c.baseline_left) : tr('not set,'),
      }),
    ),
    ending &&
      h(
        'p',
        null,
        tr('Ended: {reason}, written {on} by {by}.', {
          reason: tr(reason?.title ?? ending.reason).toLowerCase(),
          on: day(ending.on),
          by: ending.by,
        }),
        ' ',
        ending.note,
      ),
    c.stopped && !ending && h('p', { class: 'quiet' }, tr('No reason was written down.')),
    c.wash_out && h(WashOut, { w: c.wash_out, stopped: c.stopped }),
    ending &&
      c.wash_out &&
      h(Spectacles, { wearer: course.wearer.id, ending, today: course.today, done, key: ending.spectacles }),
  );
}

/** @param {{w: NonNullable<Stretch['wash_out']>, stopped: string}} props */
function WashOut({ w, stopped }) {
  const head = [tr('Eye'), tr('Date'), tr('Days without'), tr('Spherical equivalent'), tr('From the baseline')];
  return h(
    'div',
    { 'data-test': 'wash-out' },
    h('h4', null, tr('Wash-out')),
    h(
      'p',
      null,
      tr('{days} without lenses. ', { days: plural(w.days, 'night', 'nights') }),
      w.done ? h('b', null, tr('Both readings agree: steady.')) : tr(w.word),
    ),
    h(
      'ul',
      null,
      w.eyes.map(e =>
        h('li', null, `${e.eye === 'right' ? tr('Right') : tr('Left')}${point(': ')}`, readable(e.word), point('.')),
      ),
    ),
    w.eyes.some(e => e.checks.length) &&
      h(
        'div',
        {
          class: 'scroll',
          tabIndex: 0,
          role: 'region',
          'aria-label': tr('Refraction since {stopped}', { stopped: day(stopped) }),
        },
        h(
          'table',
          { class: 'list stack' },
          h(HeadRow, { cells: head }),
          h(
            'tbody',
            null,
            w.eyes.flatMap(e =>
              e.checks.map(k =>
                h(
                  'tr',
                  { key: e.eye + k.date },
                  h('th', { scope: 'row' }, e.eye === 'right' ? tr('Right') : tr('Left')),
                  h('td', { 'data-is': head[1] }, day(k.date)),
                  h('td', { 'data-is': head[2] }, k.days),
                  h('td', { 'data-is': head[3] }, `${dioptres(k.d)} D`),
                  h(
                    'td',
                    { 'data-is': head[4] },
                    k.from_baseline === null ? tr('no baseline') : `${dioptres(k.from_baseline)} D`,
                  ),
                ),
              ),
            ),
          ),
        ),
      ),
    w.due.length > 0 &&
      h(
        'p',
        null,
        tr('A refraction is usually taken on or after: {dates}.', { dates: w.due.map(day).join(point(', ')) }),
      ),
    h(
      'p',
      { class: 'hint' },
      tr(
        'Published times to a steady refraction run from one to eight weeks (Hiraoka 2009; Lau 2019; Kobayashi 2008); a trial asked for two readings a week apart within 0.50 D (NCT05438615). No date says that an eye is back. An eye that grew stays more short-sighted than the baseline.',
      ),
    ),
  );
}

/** @param {{wearer: string, ending: Ending, today: string, done: () => void}} props */
function Spectacles({ wearer, ending, today, done }) {
  const [on, setOn] = useState(ending.spectacles);
  const [note, setNote] = useState(ending.spectacles_note ?? '');
  const action = useAction();
  const save = (/** @type {Event} */ e) => {
    e.preventDefault();
    action.run(async () => {
      await api.noteSpectacles(wearer, { ending: ending.id, on, note });
      done();
    });
  };
  return h(
    'form',
    { onSubmit: save, class: 'grid', 'data-test': 'spectacles' },
    h(
      Field,
      {
        label: tr('Spectacles, or other correction, given out'),
        hint: tr('Before the refraction is steady they may have to be changed soon.'),
        error: action.error?.field === 'on' ? action.error.message : undefined,
      },
      h('input', {
        type: 'date',
        max: today,
        value: on,
        onInput: (/** @type {Event} */ e) => setOn(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h(
      Field,
      { label: tr('Which') },
      h('input', {
        type: 'text',
        maxLength: 500,
        value: note,
        onInput: (/** @type {Event} */ e) => setNote(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h('button', { disabled: action.busy, class: 'at-foot' }, tr('Note it')),
    h(FormFault, { error: action.error }),
  );
}

/** @param {{course: Answer, done: () => void}} props */
function EndForm({ course, done }) {
  const [open, setOpen] = useState(false);
  const [f, setF] = useState({ stopped: course.today, reason: '', note: '', words: '' });
  const action = useAction();
  const error = action.error;
  const save = (/** @type {api.Answer} */ answer) =>
    action.run(async () => {
      await api.endWear(course.wearer.id, { ...f, base: course.plan, ...answer });
      done();
    });
  /** @param {keyof typeof f} key */
  const take = key => (/** @type {Event} */ e) =>
    setF({ ...f, [key]: /** @type {HTMLInputElement} */ (e.target).value });
  const fault = (/** @type {string} */ key) => (error?.field === key ? error.message : undefined);
  if (!open)
    return h('button', { type: 'button', 'data-test': 'end-open', onClick: () => setOpen(true) }, tr('End wear…'));
  return h(
    'form',
    {
      class: 'card',
      'data-test': 'end-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        save({});
      },
    },
    h('h3', null, tr('End wear')),
    h(
      'p',
      { class: 'hint' },
      tr(
        'The plan asks for no lens from that night on. Once it has come, the family’s phones say that no lens is worn, and ask for nothing but a visit that is booked.',
      ),
    ),
    h(
      'div',
      { class: 'grid' },
      h(
        Field,
        { label: tr('First night without lenses'), error: fault('stopped') },
        h('input', {
          type: 'date',
          required: true,
          value: f.stopped,
          'data-test': 'end-from',
          onInput: take('stopped'),
        }),
      ),
      h(
        Field,
        { label: tr('Why'), error: fault('reason') },
        h(
          'select',
          { required: true, value: f.reason, 'data-test': 'end-reason', onChange: take('reason') },
          h('option', { value: '' }, tr('Choose…')),
          course.reasons.map(r => h('option', { value: r.key }, tr(r.title))),
        ),
      ),
      h(
        Field,
        { label: tr('Note, for the practice'), error: fault('note') },
        h('textarea', { rows: 2, maxLength: 4000, value: f.note, onInput: take('note') }),
      ),
      h(
        Field,
        { label: tr('Words to the family'), hint: tr('Shown as you write it.'), error: fault('words') },
        h('textarea', { rows: 2, maxLength: 500, value: f.words, onInput: take('words') }),
      ),
    ),
    h(FormFault, { error }),
    h(Unlikely, { error, busy: action.busy, yes: save, word: tr('Yes, end it from that night') }),
    h(
      'div',
      { class: 'buttons' },
      h('button', { class: 'primary', disabled: action.busy, 'data-test': 'end-send' }, tr('End wear')),
      h('button', { type: 'button', onClick: () => setOpen(false) }, tr('Leave')),
    ),
  );
}

/** A new start, or the end taken back. @param {{course: Answer, stopped: string, done: () => void}} props */
function Again({ course, stopped, done }) {
  const [how, setHow] = useState(/** @type {''|'start-over'|'go-on'} */ (''));
  if (!how)
    return h(
      'div',
      { class: 'buttons' },
      h(
        'button',
        { type: 'button', 'data-test': 'start-over', onClick: () => setHow('start-over') },
        tr('Start over…'),
      ),
      h(
        'button',
        { type: 'button', 'data-test': 'go-on', onClick: () => setHow('go-on') },
        tr('The end was written by mistake…'),
      ),
    );
  return h(AgainForm, { course, stopped, how, done, leave: () => setHow('') });
}

/** The newest refraction after the end, as a baseline to take. @param {Answer} course @param {string} eye */
function measured(course, eye) {
  const e = course.courses.at(-1)?.wash_out?.eyes.find(x => x.eye === eye);
  return e?.checks.at(-1)?.d ?? null;
}

/** @param {{course: Answer, stopped: string, how: 'start-over'|'go-on', done: () => void, leave: () => void}} props */
function AgainForm({ course, stopped, how, done, leave }) {
  const [f, setF] = useState({ first: course.today > stopped ? course.today : stopped, why: '', words: '' });
  const [right, setRight] = useState(measured(course, 'right'));
  const [left, setLeft] = useState(measured(course, 'left'));
  const action = useAction();
  const error = action.error;
  const anew = how === 'start-over';
  const save = (/** @type {api.Answer} */ answer) =>
    action.run(async () => {
      await api.wearAgain(course.wearer.id, how, {
        ...f,
        first: anew ? f.first : '',
        ...(anew ? { baseline_right: right ?? 0, baseline_left: left ?? 0 } : {}),
        base: course.plan,
        ...answer,
      });
      done();
    });
  /** @param {keyof typeof f} key */
  const take = key => (/** @type {Event} */ e) =>
    setF({ ...f, [key]: /** @type {HTMLInputElement} */ (e.target).value });
  const fault = (/** @type {string} */ key) => (error?.field === key ? error.message : undefined);
  /** @param {'baseline_right'|'baseline_left'} key @param {string} label @param {number|null} value @param {(n: number|null) => void} set */
  const baseline = (key, label, value, set) =>
    h(NumberField, {
      quantity: quantity(PLAN_FIELDS[key]),
      label,
      name: key,
      value,
      set,
      error: fault(key),
      last: course.courses.at(-1)?.[key] || null,
      hint: tr('Before the new course, in dioptres.'),
    });
  return h(
    'form',
    {
      class: 'card',
      'data-test': 'again-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        save({});
      },
    },
    h('h3', null, anew ? tr('Start over') : tr('Take the end back')),
    h(
      'p',
      { class: 'hint' },
      anew
        ? tr(
            'A new course: visits, rates, adherence and what the lenses do begin anew; what was measured before stays with the course before. The lenses are those of the plan: look at them too.',
          )
        : tr('The course goes on as if it had not been ended. If no lens was worn meanwhile, start over instead.'),
    ),
    h(
      'div',
      { class: 'grid' },
      anew && [
        h(
          Field,
          { label: tr('First night of the new course'), error: fault('first') },
          h('input', {
            type: 'date',
            required: true,
            min: stopped,
            value: f.first,
            'data-test': 'again-first',
            onInput: take('first'),
          }),
        ),
        baseline('baseline_right', tr('Spherical equivalent right'), right, setRight),
        baseline('baseline_left', tr('Spherical equivalent left'), left, setLeft),
      ],
      h(
        Field,
        { label: tr('Why, for the practice') },
        h('input', { type: 'text', maxLength: 500, value: f.why, onInput: take('why') }),
      ),
      h(
        Field,
        { label: tr('Words to the family'), hint: tr('Shown as you write it.') },
        h('textarea', { rows: 2, maxLength: 500, value: f.words, onInput: take('words') }),
      ),
    ),
    h(FormFault, { error }),
    h(Unlikely, {
      error,
      busy: action.busy,
      yes: save,
      word: anew ? tr('Yes, start over all the same') : tr('Yes, take it back'),
    }),
    h(
      'div',
      { class: 'buttons' },
      h(
        'button',
        { class: 'primary', disabled: action.busy, 'data-test': 'again-send' },
        anew ? tr('Start over') : tr('Take the end back'),
      ),
      h('button', { type: 'button', onClick: leave }, tr('Leave')),
    ),
  );
}
