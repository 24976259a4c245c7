// The lenses of a wearer as things: ordered, received, given out and gone, and what
// the family has at home. What is prescribed stands in the plan.

import * as api from '../api.js';
import { Field, FormFault, HeadRow, Trouble, h, useAction, useLayoutEffect, useLoad, useState } from '../dom.js';
import { day, lensOf, number, prescription } from '../format.js';
import { LENS_FIELDS, quantity } from '../quantities.js';
import { point, tr } from '../text.js';
import { keepUnsaved, unsaved } from '../unsaved.js';
import { Half } from './half.js';
import { NumberField, Unlikely } from './number-field.js';

/** @import { Lens } from '../api.js' */

/** @type {[string, string]} */
const CHOOSE = ['', tr('Choose…')];
/** Designs and ends as the server knows them, in words. @type {[string, string][]} */
export const DESIGNS = [
  ['reverse-geometry', tr('Reverse geometry')],
  ['toric', tr('Toric')],
  ['multi-zone', tr('Several zones')],
  ['aspheric', tr('Aspheric')],
  ['other', tr('Another design')],
];
/** @type {[string, string][]} */
const ENDS = [
  ['worn-out', tr('Its time was over')],
  ['other-parameters', tr('Other parameters instead')],
  ['broken', tr('Broken')],
  ['scratched', tr('Scratched')],
  ['deposits', tr('Deposits')],
  ['lost', tr('Lost')],
  ['faulty', tr('Faulty')],
  ['returned', tr('Returned')],
  ['wear-ended', tr('Wear ended')],
  ['never-collected', tr('Never collected')],
  ['other', tr('Another reason')],
];
/** @type {Record<string, string>} */
const STATES = {
  planned: tr('not ordered yet'),
  ordered: tr('ordered'),
  received: tr('here, to be given out'),
  home: tr('at home'),
  ended: tr('no longer in use'),
};

/** @param {[string, string][]} list @param {string|undefined} key */
export const wordOf = (list, key) => list.find(([k]) => k === key)?.[1] ?? key ?? '';

/** A lens before anything is said of it: no eye is chosen for anybody, nor a design. @type {Lens} */
const BLANK = {
  id: '',
  version: 0,
  eye: /** @type {Lens['eye']} */ (/** @type {string} */ ('')),
  design: '',
  ordered: '',
  received: '',
  dispensed: '',
  ended: '',
  by: '',
};

/** A lens in one line. @param {Lens} l */
export function lensWords(l) {
  return [
    lensOf(l.eye),
    wordOf(DESIGNS, l.design).toLowerCase() + (l.fenestrated ? `${point(', ')}${tr('fenestrated')}` : ''),
    [
      l.base_curve_mm && number(l.base_curve_mm, 2),
      l.diameter_mm && number(l.diameter_mm, 1),
      typeof l.power === 'number' && prescription({ sphere: l.power, cylinder: l.cylinder ?? 0, axis: l.axis ?? 0 }),
    ]
      .filter(Boolean)
      .join(' / '),
    l.material,
    l.serial && tr('serial {serial}', { serial: l.serial }),
    l.lot && tr('lot {lot}', { lot: l.lot }),
  ]
    .filter(Boolean)
    .join(point(', '));
}

/** @typedef {{lens: Lens, form: Lens}} Draft lens: as it was opened */

/** @param {{me: api.Me, wearer: string}} props */
export function Lenses({ me, wearer }) {
  const got = useLoad(() => api.lenses(wearer), wearer);
  const name = `lens ${me.person.id} ${wearer}`;
  const [draft] = useState(() => /** @type {Draft|null} */ (unsaved(name)));
  const [editing, edit] = useState(/** @type {Lens|null} */ (draft?.lens ?? null));
  const list = got.data;
  return h(
    'section',
    { class: 'block', 'data-test': 'lenses' },
    h('h2', null, tr('Lenses')),
    h(Trouble, { error: got.error, busy: got.busy && !list, retry: got.reload }),
    list &&
      h(
        'div',
        { class: 'at-home', 'data-test': 'at-home' },
        h('h3', null, tr('What the family has at home')),
        list.home.length
          ? h(
              'ul',
              null,
              list.home.map(l =>
                h(
                  'li',
                  { key: l.id },
                  l.spare && h('b', null, tr('Spare: ')),
                  tr('{lens}; since {date}', { lens: lensWords(l), date: day(l.dispensed) }),
                ),
              ),
            )
          : h('p', { class: 'quiet' }, tr('No lens is noted as given out.')),
      ),
    editing
      ? h(LensForm, {
          wearer,
          lens: editing,
          draft: editing === draft?.lens ? draft : null,
          keep: typed => keepUnsaved(name, typed),
          today: me.today,
          key: editing.id || 'new',
          done: () => {
            edit(null);
            got.reload();
          },
          cancel: () => edit(null),
        })
      : h('button', { type: 'button', 'data-test': 'lens-new', onClick: () => edit({ ...BLANK }) }, tr('Add a lens')),
    list && list.lenses.length > 0 && h(LensTable, { list: list.lenses, edit }),
  );
}

/** @param {{list: api.LensList['lenses'], edit: (l: Lens) => void}} props */
function LensTable({ list, edit }) {
  const head = [
    tr('Lens'),
    tr('Where it is'),
    tr('Ordered'),
    tr('Received'),
    tr('Given out'),
    tr('Ended'),
    tr('Change'),
  ];
  return h(
    'div',
    { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('All lenses') },
    h(
      'table',
      { class: 'list stack' },
      h(HeadRow, { cells: head }),
      h(
        'tbody',
        null,
        list.map(({ state, ...l }) =>
          h(
            'tr',
            { key: l.id, 'data-test': 'lens-row' },
            h(
              'th',
              { scope: 'row' },
              lensWords(l),
              l.spare && h('span', { class: 'hint' }, tr('spare')),
              l.note && h('span', { class: 'hint' }, l.note),
            ),
            h('td', { 'data-is': head[1] }, STATES[state]),
            h('td', { 'data-is': head[2] }, l.ordered && day(l.ordered)),
            h('td', { 'data-is': head[3] }, l.received && day(l.received)),
            h('td', { 'data-is': head[4] }, l.dispensed && day(l.dispensed)),
            h('td', { 'data-is': head[5] }, l.ended && `${day(l.ended)}, ${wordOf(ENDS, l.why).toLowerCase()}`),
            h('td', null, h('button', { type: 'button', onClick: () => edit(l) }, tr('Change'))),
          ),
        ),
      ),
    ),
  );
}

/** @typedef {[keyof Lens, string, number, string?]} Text field, label, most characters, hint */

/** @type {Text[]} */
const TEXTS = [
  ['design_note', tr('More on the design'), 200, tr('In your words; no brand.')],
  ['label', tr('Maker and name, as on the label'), 120, tr('For a report to an authority; nothing goes by it.')],
  ['material', tr('Material'), 120, tr('By its general name.')],
  ['serial', tr('Serial number'), 60],
  ['lot', tr('Lot'), 60],
];
/** @type {[keyof Lens, string][]} */
const DATES = [
  ['ordered', tr('Ordered')],
  ['received', tr('Received')],
  ['dispensed', tr('Given to the family')],
  ['ended', tr('No longer in use')],
];
/** @type {[keyof Lens, string][]} */
const NUMBERS = [
  ['base_curve_mm', tr('Base curve')],
  ['diameter_mm', tr('Diameter')],
  ['power', tr('Power')],
  ['cylinder', tr('Cylinder')],
  ['axis', tr('Axis')],
];

/** @param {{wearer: string, lens: Lens, draft: Draft|null, keep: (typed: Draft|null) => void, today: string, done: () => void, cancel: () => void}} props */
function LensForm({ wearer, lens, draft, keep, today, done, cancel }) {
  const [f, setF] = useState(draft?.form ?? lens);
  useLayoutEffect(() => keep(f === lens ? null : { lens, form: f }), [f]);
  const action = useAction();
  const error = action.error;
  /** @param {keyof Lens} key @param {unknown} value */
  const set = (key, value) => setF({ ...f, [key]: value });
  /** @param {keyof Lens} key */
  const take = key => (/** @type {Event} */ e) => set(key, /** @type {HTMLInputElement} */ (e.target).value);
  const fault = (/** @type {string} */ key) => (error?.field === key ? error.message : undefined);
  const save = (/** @type {boolean} */ sure) =>
    action.run(async () => {
      await api.saveLens(wearer, { ...f, base: lens.version, sure });
      keep(null);
      done();
    });
  const leave = () => {
    keep(null);
    cancel();
  };
  /** @param {keyof Lens} key @param {string} label @param {[string, string][]} list */
  const choice = (key, label, list) =>
    h(
      Field,
      { label, error: fault(key) },
      h(
        'select',
        { value: f[key] ?? '', name: key, onChange: take(key) },
        list.map(([k, words]) => h('option', { value: k }, words)),
      ),
    );
  /** @param {keyof Lens} key @param {string} label */
  const tick = (key, label) =>
    h(
      'label',
      { class: 'switch' },
      h('input', {
        type: 'checkbox',
        name: key,
        checked: !!f[key],
        onChange: (/** @type {Event} */ e) => set(key, /** @type {HTMLInputElement} */ (e.target).checked),
      }),
      label,
    );
  return h(
    'form',
    {
      class: 'card',
      'data-test': 'lens-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        save(false);
      },
    },
    draft && h(Half, { test: 'lens-draft' }),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('The lens')),
      choice('eye', tr('Eye'), [...(lens.eye ? [] : [CHOOSE]), ['right', tr('Right')], ['left', tr('Left')]]),
      choice('design', tr('Design'), lens.design ? DESIGNS : [CHOOSE, ...DESIGNS]),
      TEXTS.map(([key, label, most, hint]) =>
        h(
          Field,
          { label, hint, error: fault(key) },
          h('input', { type: 'text', name: key, maxLength: most, value: String(f[key] ?? ''), onInput: take(key) }),
        ),
      ),
      tick('fenestrated', tr('Fenestrated')),
      tick('spare', tr('Of the spare pair')),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Parameters')),
      NUMBERS.map(([key, label]) =>
        h(NumberField, {
          key,
          quantity: quantity(LENS_FIELDS[key]),
          label,
          name: key,
          error: fault(key),
          value: /** @type {number|null|undefined} */ (f[key]),
          set: n => set(key, n),
        }),
      ),
    ),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Where it is')),
      DATES.map(([key, label]) =>
        h(
          Field,
          { label, error: fault(key) },
          h('input', { type: 'date', name: key, max: today, value: String(f[key] ?? ''), onInput: take(key) }),
        ),
      ),
      f.ended ? choice('why', tr('Why it ended'), [CHOOSE, ...ENDS]) : null,
      h(
        Field,
        { label: tr('Note'), error: fault('note') },
        h('input', { type: 'text', name: 'note', maxLength: 500, value: f.note ?? '', onInput: take('note') }),
      ),
    ),
    h(FormFault, { error }),
    h(Unlikely, { error, busy: action.busy, yes: () => save(true), word: tr('Yes, save it all the same') }),
    h(
      'div',
      { class: 'buttons' },
      h('button', { class: 'primary', disabled: action.busy, 'data-test': 'lens-save' }, tr('Save the lens')),
      h('button', { type: 'button', onClick: leave }, tr('Leave')),
    ),
  );
}
