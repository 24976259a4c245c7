// Adverse events: written down in the fields that regulators ask for, made into a
// file or a sheet of paper. The practice sends it; the program sends nothing.

import * as api from '../api.js';
import { Field, FormFault, h, useAction, useState } from '../dom.js';
import { pick, put } from '../forms.js';
import { dated, day, eyes, number } from '../format.js';
import { quantity } from '../quantities.js';
import { point, tr } from '../text.js';
import { Download } from './download.js';
import { DESIGNS, lensWords, wordOf } from './lenses.js';
import { NumberField, Unlikely } from './number-field.js';
import { Say } from './say.js';

/** @import { AdverseEvent, Course, Me } from '../api.js' */
/** @typedef {Course['kinds']} Words */

const KNOWN = /** @type {[string, string][]} */ ([
  ['yes', tr('Yes')],
  ['no', tr('No')],
  ['not-known', tr('Not known')],
]);

/** @param {Words} list @param {string} key */
const named = (list, key) => tr(list.find(n => n.key === key)?.title ?? key);
/** @param {Words} list @returns {[string, string][]} */
const pairs = list => list.map(n => [n.key, tr(n.title)]);

/** @param {Me} me @param {Course} course @returns {AdverseEvent} */
const blank = (me, course) => ({
  id: '',
  version: 0,
  kind: '',
  eye: /** @type {AdverseEvent['eye']} */ (/** @type {string} */ ('')), // chosen by nobody beforehand
  began: '',
  aware: course.today,
  words: '',
  device: { dispensed: '', in_wear: 'not-known', kept: 'not-known' },
  actions: [],
  outcome: 'not-known',
  settled: '',
  serious: [],
  not_sure: true,
  reporter: { name: me.person.name, role: '', practice: me.practice.name, contact: me.practice.phone },
  told_on: '',
  by: '',
  on: '',
});

/** @param {{me: Me, course: Course, open: string, done: () => void}} props open: the event that the address names */
export function AdverseEvents({ me, course, open, done }) {
  const [editing, edit] = useState(/** @type {AdverseEvent|null} */ (null));
  return h(
    'section',
    { class: 'block', 'data-test': 'adverse' },
    h('h2', null, tr('Adverse events')),
    h(
      'p',
      { class: 'hint no-print' },
      tr(
        'Also one that came by no alert. Whether and to whom it must be reported is a matter of your law; the program reports nothing by itself.',
      ),
    ),
    editing
      ? h(EventForm, {
          course,
          event: editing,
          key: editing.id || 'new',
          done: () => {
            edit(null);
            done();
          },
          cancel: () => edit(null),
        })
      : h(
          'button',
          { type: 'button', class: 'no-print', 'data-test': 'event-new', onClick: () => edit(blank(me, course)) },
          tr('Write down an event'),
        ),
    !editing && h(Unstopped, { me, course, done }),
    !editing && h(Unwritten, { course, write: alert => edit({ ...blank(me, course), ...alert }) }),
    !course.events.length && h('p', { class: 'quiet' }, tr('No event is written down.')),
    course.events.map(e =>
      h(One, { key: e.id + e.version, me, course, e, open: open === e.id || course.events.length === 1, edit }),
    ),
  );
}

/** The eyes of an event. @param {AdverseEvent} e @returns {string[]} */
const eyesOf = e => (e.eye === 'both' ? ['right', 'left'] : [e.eye]);

/** An event that is not settled while its eye may have a lens: a stop is offered. @param {{me: Me, course: Course, done: () => void}} props */
function Unstopped({ me, course, done }) {
  const [writing, write] = useState(/** @type {'right'|'left'|'both'|''} */ (''));
  const left = course.events.filter(
    e => ['not-known', 'going-on'].includes(e.outcome) && eyesOf(e).some(eye => !course.stopped.includes(eye)),
  );
  if (!left.length && !writing) return null;
  return h(
    'div',
    { class: 'no-print', 'data-test': 'events-unstopped' },
    left.map(e =>
      h(
        'p',
        { key: e.id, class: 'warn-box' },
        tr('Not settled, and no stop holds: {event}, {eye}. The family’s phones may ask for lenses.', {
          event: named(course.kinds, e.kind),
          eye: eyes(e.eye),
        }),
        ' ',
        h('button', { type: 'button', 'data-test': 'event-stop', onClick: () => write(e.eye) }, tr('Write a stop…')),
      ),
    ),
    writing && h(Say, { key: writing, me, wearer: course.wearer.id, stop: writing, wrote: done }),
  );
}

/** Alerts that were closed as events and of which nothing is written down. @param {{course: Course, write: (e: Partial<AdverseEvent>) => void}} props */
function Unwritten({ course, write }) {
  const left = course.alerts.filter(a => a.event && !course.events.some(e => e.alert === a.id));
  if (!left.length) return null;
  return h(
    'ul',
    { class: 'no-print', 'data-test': 'events-unwritten' },
    left.map(a =>
      h(
        'li',
        { key: a.id },
        tr('An alert of {date} was closed as an event, and nothing is written down here. ', {
          date: day(a.opened.slice(0, 10)),
        }),
        h(
          'button',
          {
            type: 'button',
            onClick: () => write({ alert: a.id, began: a.opened.slice(0, 10), aware: a.opened.slice(0, 10) }),
          },
          tr('Write it down'),
        ),
      ),
    ),
  );
}

/** @param {{me: Me, course: Course, e: AdverseEvent, open: boolean, edit: (e: AdverseEvent) => void}} props */
function One({ me, course, e, open, edit }) {
  const [printing, setPrinting] = useState(false);
  const paper = () => {
    setPrinting(true);
    document.body.classList.add('event-on-paper');
    const after = () => {
      document.body.classList.remove('event-on-paper');
      setPrinting(false);
    };
    addEventListener('afterprint', after, { once: true });
    setTimeout(print); // once the class is drawn
  };
  return h(
    'details',
    { open, class: printing ? 'event printed' : 'event', 'data-test': 'event' },
    h(
      'summary',
      null,
      h('b', null, named(course.kinds, e.kind)),
      ` · ${eyes(e.eye)} · ${day(e.began)}`,
      e.serious.length > 0 && ` · ${tr('serious')}`,
    ),
    h(Sheet, { me, course, e }),
    h(
      'div',
      { class: 'buttons no-print' },
      h('button', { type: 'button', onClick: () => edit(e) }, tr('Change')),
      h(Download, {
        url: api.eventFileUrl(course.wearer.id, e.id),
        file: `${course.wearer.code}.adverse-event.json`,
        label: tr('File to send'),
      }),
      h('button', { type: 'button', onClick: paper, 'data-test': 'event-print' }, tr('Print')),
    ),
  );
}

/** What an event says, for the screen and for paper. @param {{me: Me, course: Course, e: AdverseEvent}} props */
function Sheet({ me, course, e }) {
  const d = e.device;
  const rows = /** @type {[string, string|undefined|false][]} */ ([
    [tr('Wearer'), tr('Code {code}; the name stays in the practice', { code: course.wearer.code })],
    [tr('What happened'), `${named(course.kinds, e.kind)}${point(', ')}${eyes(e.eye)}`],
    [tr('Began'), day(e.began)],
    [tr('Practice heard of it'), day(e.aware)],
    [tr('In words'), e.words],
    [tr('Found'), e.found],
    [tr('History, other factors'), e.history],
    [tr('Lens'), [d.label, wordOf(DESIGNS, d.design), d.material].filter(Boolean).join(point(', '))],
    [tr('Serial number, lot'), [d.serial, d.lot].filter(Boolean).join(' · ')],
    [tr('Given out'), d.dispensed && day(d.dispensed)],
    [tr('Worn the night before'), wordOf(KNOWN, d.in_wear)],
    [tr('Lens kept for examination'), wordOf(KNOWN, d.kept)],
    [tr('Solution'), d.solution],
    [tr('Done'), e.actions.map(a => named(course.actions, a)).join(point('; '))],
    [tr('Treatment'), e.treatment],
    [tr('Outcome'), named(course.outcomes, e.outcome) + (e.settled ? `${point(', ')}${day(e.settled)}` : '')],
    [
      tr('Best-corrected sight before'),
      has(e.sight_was) && tr('{sight_was} logMAR', { sight_was: number(e.sight_was, 2) }),
    ],
    [tr('Best-corrected sight after'), has(e.sight_is) && tr('{sight_is} logMAR', { sight_is: number(e.sight_is, 2) })],
    [
      tr('Serious'),
      e.not_sure ? tr('Not known yet') : e.serious.map(s => named(course.serious, s)).join(point('; ')) || tr('No'),
    ],
    [
      tr('Told by'),
      [e.reporter.name, e.reporter.role, e.reporter.practice, e.reporter.contact].filter(Boolean).join(point(', ')),
    ],
    [tr('Reported to'), [e.told, e.told_on && day(e.told_on), e.told_number].filter(Boolean).join(point(', '))],
  ]);
  return h(
    'div',
    null,
    h(
      'dl',
      { class: 'event-sheet' },
      rows.filter(([, text]) => text).map(([name, text]) => [h('dt', null, name), h('dd', { dir: 'auto' }, text)]),
    ),
    h(
      'p',
      { class: 'hint' },
      tr('Version {version}, written {on} by {by}.', { version: e.version, on: day(e.on), by: e.by }),
      h('span', { class: 'only-print' }, ` ${me.practice.name}`),
    ),
    (e.earlier ?? []).length > 0 &&
      h(
        'details',
        { class: 'no-print' },
        h('summary', null, tr('Versions before')),
        h(
          'ol',
          null,
          e.earlier?.map(x =>
            h(
              'li',
              { value: x.version },
              tr('{on} by {by}: {kind}. {words}', {
                on: day(x.on),
                by: x.by,
                kind: named(course.kinds, x.kind),
                words: x.words,
              }),
            ),
          ),
        ),
      ),
  );
}

/** @param {number|null|undefined} n */
const has = n => n !== null && n !== undefined;

/** @param {{course: Course, event: AdverseEvent, done: () => void, cancel: () => void}} props */
function EventForm({ course, event, done, cancel }) {
  const [f, setF] = useState(event);
  const action = useAction();
  const error = action.error;
  const save = (/** @type {boolean} */ sure) =>
    action.run(async () => {
      const { earlier, ...sent } = f;
      await api.saveEvent(course.wearer.id, { ...sent, base: event.version, sure });
      done();
    });
  const fault = (/** @type {string} */ path) => (error?.field === path ? error.message : undefined);
  /** @param {string} path @param {unknown} value */
  const set = (path, value) => setF(put(f, path, value));
  /** @param {string} path */
  const take = path => (/** @type {Event} */ e) => set(path, /** @type {HTMLInputElement} */ (e.target).value);
  /** @param {string} path @param {string} label @param {number} most @param {string} [hint] @param {boolean} [required] */
  const text = (path, label, most, hint, required) =>
    h(
      Field,
      { label, hint, error: fault(path) },
      h(most > 300 ? 'textarea' : 'input', {
        name: path,
        rows: 3,
        maxLength: most,
        required,
        value: /** @type {string} */ (pick(f, path) ?? ''),
        onInput: take(path),
      }),
    );
  /** @param {string} path @param {string} label @param {boolean} [required] */
  const date = (path, label, required) =>
    h(
      Field,
      { label, error: fault(path) },
      h('input', {
        type: 'date',
        name: path,
        required,
        max: course.today,
        value: /** @type {string} */ (pick(f, path) ?? ''),
        onInput: take(path),
      }),
    );
  /** @param {string} path @param {string} label @param {[string, string][]} list */
  const choice = (path, label, list) =>
    h(
      Field,
      { label, error: fault(path) },
      h(
        'select',
        {
          name: path,
          required: path === 'kind',
          value: /** @type {string} */ (pick(f, path) ?? ''),
          onChange: take(path),
        },
        list.map(([k, words]) => h('option', { value: k }, words)),
      ),
    );
  /** What is serious is known to be. @param {'actions'|'serious'} path @param {string} key */
  const tick = (path, key) => {
    const list = f[path].includes(key) ? f[path].filter(k => k !== key) : [...f[path], key];
    setF({ ...f, [path]: list, not_sure: f.not_sure && !(path === 'serious' && list.length > 0) });
  };
  /** @param {'actions'|'serious'} path @param {Words} list */
  const ticks = (path, list) =>
    list.map(({ key, title }) =>
      h(
        'label',
        { class: 'switch', key },
        h('input', {
          type: 'checkbox',
          name: `${path}.${key}`,
          checked: f[path].includes(key),
          onChange: () => tick(path, key),
        }),
        tr(title),
      ),
    );
  /** @param {'sight_was'|'sight_is'} path @param {string} label */
  const sight = (path, label) =>
    h(NumberField, {
      quantity: quantity('logmar'), // a bare number is refused: 0.8 is good sight as a decimal and poor as logMAR
      label,
      hint: tr('Such as 0.10 logMAR, 6/9 or 0.8 decimal.'),
      name: path,
      value: f[path] ?? null,
      error: fault(path),
      set: n => set(path, n ?? undefined),
    });
  const ofLens = (/** @type {Event} */ e) => {
    const l = course.lenses.find(x => x.id === /** @type {HTMLSelectElement} */ (e.target).value);
    setF({
      ...f,
      device: l
        ? {
            ...f.device,
            lens: l.id,
            label: l.label,
            design: l.design,
            material: l.material,
            serial: l.serial,
            lot: l.lot,
            dispensed: l.dispensed,
          }
        : { ...f.device, lens: '' },
    });
  };
  return h(
    'form',
    {
      class: 'card no-print',
      'data-test': 'event-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        save(false);
      },
    },
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('The event')),
      choice('kind', tr('What it was, as diagnosed'), [['', tr('Choose…')], ...pairs(course.kinds)]),
      choice('eye', tr('Eye'), [
        ...(event.eye ? [] : [/** @type {[string, string]} */ (['', tr('Choose…')])]),
        ['right', tr('Right')],
        ['left', tr('Left')],
        ['both', tr('Both eyes')],
      ]),
      date('began', tr('Began'), true),
      date('aware', tr('The practice heard of it'), true),
      choice('alert', tr('It came by the alert'), [
        ['', tr('None')],
        ...course.alerts.map(
          a =>
            /** @type {[string, string]} */ ([
              a.id,
              `${dated(a.opened, 'UTC')}${point(': ')}${a.rule.replace(/-/g, ' ')}`,
            ]),
        ),
      ]),
      text('words', tr('What happened, in words'), 4000, tr('Without the name of the child.'), true),
      text('found', tr('Examinations and cultures, with dates'), 4000),
      text('history', tr('What else may have had a part'), 4000),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Lens and solution at the time')),
      course.lenses.length > 0 &&
        h(
          Field,
          { label: tr('Take it from the list of lenses') },
          h(
            'select',
            { value: f.device.lens ?? '', onChange: ofLens },
            h('option', { value: '' }, tr('Not from the list')),
            course.lenses.map(l => h('option', { value: l.id }, lensWords(l))),
          ),
        ),
      text('device.label', tr('Maker and name, as on the label'), 120),
      text('device.design', tr('Design'), 120),
      text('device.material', tr('Material'), 120),
      text('device.serial', tr('Serial number'), 60),
      text('device.lot', tr('Lot'), 60),
      date('device.dispensed', tr('Given to the family')),
      choice('device.in_wear', tr('Worn the night before'), KNOWN),
      choice('device.kept', tr('Lens kept for examination'), KNOWN),
      text('device.solution', tr('Solution: kind and lot'), 200),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('What was done')),
      ticks('actions', course.actions),
      text('treatment', tr('Treatment'), 2000),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Outcome')),
      choice('outcome', tr('Outcome'), pairs(course.outcomes)),
      date('settled', tr('Settled on')),
      sight('sight_was', tr('Best-corrected sight before')),
      sight('sight_is', tr('Best-corrected sight after')),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Serious because of')),
      ticks('serious', course.serious),
      h(
        'label',
        { class: 'switch' },
        h('input', {
          type: 'checkbox',
          name: 'not_sure',
          checked: !!f.not_sure,
          onChange: () => setF({ ...f, not_sure: !f.not_sure, serious: f.not_sure ? f.serious : [] }),
        }),
        tr('Not known yet'),
      ),
      fault('serious') && h('p', { class: 'field-error', role: 'alert' }, fault('serious')),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Who tells, and whom')),
      text('reporter.name', tr('Who tells of it'), 120, undefined, true),
      text('reporter.role', tr('As what'), 120),
      text('reporter.practice', tr('Practice'), 200),
      text('reporter.contact', tr('How to reach them'), 200),
      text('told', tr('Reported to'), 200, tr('When you have sent it.')),
      date('told_on', tr('Reported on')),
      text('told_number', tr('Under the number'), 60),
    ),
    h(FormFault, { error }),
    h(Unlikely, { error, busy: action.busy, yes: () => save(true), word: tr('Yes, save it all the same') }),
    h(
      'div',
      { class: 'buttons' },
      h('button', { class: 'primary', disabled: action.busy, 'data-test': 'event-save' }, tr('Save the event')),
      h('button', { type: 'button', onClick: cancel }, tr('Leave')),
    ),
  );
}
