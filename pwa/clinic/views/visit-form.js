// One visit: when, what kind, and what was found in each eye.

import { minutes } from '../../../schedule/civil/civil.js';
import * as api from '../api.js';
import { asApiError, Field, FormFault, h, useAction, useLayoutEffect, useState } from '../dom.js';
import { pick, put } from '../forms.js';
import { title } from '../format.js';
import { onScale, quantity, VISIT_FIELDS } from '../quantities.js';
import { Half } from './half.js';
import { NumberField, Unlikely } from './number-field.js';
import { say } from '../said.js';
import { tr } from '../text.js';

/** @import { ComponentChildren } from '../../vendor/preact.js' */
/** @import { Notation } from '../quantities.js' */
/** @import { Visit } from '../types.js' */

/** What each number of a refraction is called. @type {Record<string, string>} */
const PARTS = {
  'refraction sphere': tr('refraction sphere'),
  'refraction cylinder': tr('refraction cylinder'),
  'refraction axis': tr('refraction axis'),
  'residual sphere': tr('residual sphere'),
  'residual cylinder': tr('residual cylinder'),
  'residual axis': tr('residual axis'),
};

const KINDS = ['first-morning', 'one-week', 'two-week', 'one-month', 'recall', 'unscheduled', 'suitability'];
const STATES = ['booked', 'kept', 'missed', 'cancelled', 'waived'];
/** What a visit was or may be is the practitioner's word; appointments are the desk's. */
const DESK_STATES = ['booked', 'missed', 'cancelled'];
/** Why an appointment is moved; the words are the server's. */
export const MOVE_REASONS = /** @type {[string, string][]} */ ([
  ['family-asked', tr('The family asked')],
  ['ill', tr('The wearer is ill')],
  ['practice', tr('The practice had to')],
  ['no-lens', tr('The lens is not here yet')],
  ['sooner-by-the-clinician', tr('A clinician wants it sooner')],
  ['other', tr('Another reason')],
]);
/** Published scales a grade can be given on; the name is stored with the grades. */
const SCALES = [
  'Efron grading scales, 0 to 4',
  'CCLRU grading scales, 0 to 4',
  'Oxford scheme (staining), 0 to 5',
  'NEI scheme (staining), 0 to 3',
];
const EYES = ['right', 'left'];
/** What is decided about the lens of an eye at a visit; the server asks when a finding is serious. */
export const WEAR = /** @type {[string, string][]} */ ([
  ['', tr('nothing decided')],
  ['stop', tr('stays out: a stop')],
  ['goes-on', tr('wear goes on')],
]);
/** @param {Visit} v @param {string} eye */
const wearOf = (v, eye) => /** @type {string} */ (pick(v, `${eye}.wear`) ?? '');

/** @typedef {[string, string][]} Rows path under an eye, and label */

export const BEFORE = /** @type {Rows} */ ([
  ['unaided', tr('Unaided acuity')],
  ['best_corrected', tr('Best-corrected acuity')],
  ['measures.keratometry_flat', tr('Keratometry, flat')],
  ['measures.keratometry_steep', tr('Keratometry, steep')],
  ['measures.keratometry_axis', tr('Keratometry, axis of the flat meridian')],
  ['measures.eccentricity', tr('Eccentricity')],
  ['measures.corneal_diameter', tr('Corneal diameter')],
  ['measures.pupil', tr('Pupil in dim light')],
  ['measures.pressure', tr('Pressure')],
  ['axial_mm', tr('Axial length')],
]);
export const GRADES = /** @type {Rows} */ ([
  ['grades.bulbar_redness', tr('Bulbar redness')],
  ['grades.limbal_redness', tr('Limbal redness')],
  ['grades.lid_roughness', tr('Lid roughness')],
  ['grades.infiltrates', tr('Infiltrates')],
  ['staining.central', tr('Staining, central')],
  ['staining.superior', tr('Staining, superior')],
  ['staining.nasal', tr('Staining, nasal')],
  ['staining.inferior', tr('Staining, inferior')],
  ['staining.temporal', tr('Staining, temporal')],
]);
export const WORDS = /** @type {Rows} */ ([
  ['words.fluorescein', tr('Fluorescein pattern')],
  ['words.centration', tr('Centration')],
  ['words.movement', tr('Movement')],
  ['words.staining', tr('Staining, in words')],
  ['topography', tr('Topography')],
  ['words.lens_condition', tr('Condition of the lens')],
]);

const NOTATIONS = /** @type {[Notation, string][]} */ ([
  ['logmar', 'logMAR'],
  ['decimal', 'decimal'],
  ['snellen', tr('Snellen, such as 6/9 or 20/30')],
]);
const NOTATION_KEY = 'nightkeep-acuity'; // this browser's choice; no part of the record

/** @returns {Notation} */
function notationWanted() {
  const kept = localStorage.getItem(NOTATION_KEY);
  return NOTATIONS.find(([key]) => key === kept)?.[0] ?? '';
}

/**
 * What was measured last of this kind in this eye.
 * @param {Visit[]} all newest first
 * @param {string} before date
 * @param {string} path
 */
function lastOf(all, before, path) {
  for (const v of all) {
    const n = v.state === 'kept' && v.date < before ? pick(v, path) : undefined;
    if (typeof n === 'number') return n;
  }
  return null;
}

/**
 * @param {Visit} form
 * @returns {Visit} without empty findings; a refraction may be a sphere alone
 */
function collected(form) {
  let out = form;
  for (const eye of EYES) {
    for (const path of Object.keys(VISIT_FIELDS))
      if (pick(out, `${eye}.${path}`) === null) out = put(out, `${eye}.${path}`, undefined);
    for (const part of ['refraction', 'residual']) {
      const r = /** @type {Partial<import('../types.js').Refraction>|undefined} */ (pick(out, `${eye}.${part}`));
      const empty = !r || [r.sphere, r.cylinder, r.axis].every(n => n === undefined);
      out = put(out, `${eye}.${part}`, empty ? undefined : { sphere: r.sphere, cylinder: r.cylinder, axis: r.axis });
    }
  }
  return out;
}

/**
 * Whether what else was filled in of a refraction asks for this field: a sphere, an
 * axis with a cylinder, a cylinder with an axis.
 * @param {Visit} form @param {string} eye @param {string} path
 */
function wanted(form, eye, path) {
  const [part, field] = path.split('.');
  if (part !== 'refraction' && part !== 'residual') return false;
  const of = (/** @type {string} */ k) =>
    /** @type {number|null|undefined} */ (pick(form, `${eye}.${part}.${k}`)) ?? null;
  if (field === 'axis') return !!of('cylinder');
  return field === 'cylinder' ? of('axis') !== null : of('cylinder') !== null || of('axis') !== null;
}

/** What measured before comes first, as it was spelled. @param {Visit[]} all newest first */
const instruments = all => [
  ...new Set([
    ...all.flatMap(v => (v.instrument ? [v.instrument] : [])),
    'optical biometer',
    'second optical biometer',
    'ultrasound',
  ]),
];

/** How soon after waking the first morning is, hours (schedule.FirstMorningHours). */
const FIRST_HOURS = 2;

/** Whether a first morning is booked later than that after the plan's removal. @param {Visit} form @param {string} out "HH:MM", "" for no plan */
const lateFirst = ({ kind, state, time }, out) =>
  kind === 'first-morning' && state === 'booked' && !!time && !!out && minutes(time) - minutes(out) > FIRST_HOURS * 60;

/** @typedef {{visit: Visit, form: Visit, why: string}} Draft visit: as it was opened */

/** @param {{desk: boolean, wearer: string, visit: Visit, draft: Draft|null, keep: (typed: Draft|null) => void, all: Visit[], today: string, out: string, done: (stop: ''|'right'|'left'|'both') => void, cancel: () => void}} props all: newest first; out: when lenses come out by the plan, "" for none; done: told whose lens stays out, as decided now */
export function VisitForm({ desk, wearer, visit, draft, keep, all, today, out, done, cancel }) {
  const [opened] = useState({ ...visit, scale: visit.scale || SCALES[0] });
  const [form, setForm] = useState(draft?.form ?? opened);
  const [notation, setNotation] = useState(notationWanted);
  const [why, setWhy] = useState(draft?.why ?? '');
  useLayoutEffect(() => keep(form === opened && !why ? null : { visit, form, why }), [form, why]);
  const was = all.find(v => v.id === visit.id);
  const moved =
    was?.state === 'booked' &&
    form.state === 'booked' &&
    (was.date !== form.date || (!!was.time && was.time !== (form.time ?? '')));
  const action = useAction();
  /** @param {boolean} sure */
  const save = sure =>
    action.run(async () => {
      try {
        await api.saveVisit(wearer, { ...collected(form), ...(moved ? { why } : {}) }, sure);
      } catch (x) {
        if (asApiError(x).code === 'visit-changed') {
          const now = (await api.visits(wearer)).visits.find(v => v.id === form.id);
          setForm({ ...form, rev: now?.rev });
        }
        throw x;
      }
      say(tr('Saved.'));
      keep(null);
      const stops = EYES.filter(eye => wearOf(form, eye) === 'stop' && (!was || wearOf(was, eye) !== 'stop'));
      done(stops.length > 1 ? 'both' : /** @type {'right'|'left'|undefined} */ (stops[0]) || '');
    });
  const leave = () => {
    keep(null);
    cancel();
  };
  /** @param {string} path @param {unknown} value */
  const set = (path, value) => setForm(put(form, path, value));
  /** @param {string} path @returns {(e: Event) => void} */
  const take = path => e => set(path, /** @type {HTMLInputElement} */ (e.target).value);
  /** @param {string} eye @param {string} path @param {string} label */
  const num = (eye, path, label) =>
    h(NumberField, {
      bare: true,
      key: `${eye}.${path}`,
      name: `${eye}.${path}`,
      label: `${title(eye).toLowerCase()} ${label.toLowerCase()}`,
      quantity:
        VISIT_FIELDS[path] === 'grade' ? onScale(quantity('grade'), form.scale ?? '') : quantity(VISIT_FIELDS[path]),
      notation,
      value: /** @type {number|null|undefined} */ (pick(form, `${eye}.${path}`)),
      record: /** @type {number|null|undefined} */ (pick(opened, `${eye}.${path}`)) ?? null,
      last: lastOf(all, form.date, `${eye}.${path}`),
      error: action.error?.field === `${eye}.${path}` ? action.error.message : undefined,
      required: wanted(form, eye, path),
      as: /** @type {string|undefined} */ (pick(form, `${eye}.${path}_as`)),
      set: (n, as) => {
        const next = put(form, `${eye}.${path}`, n);
        setForm(
          quantity(VISIT_FIELDS[path]).kind === 'acuity' ? put(next, `${eye}.${path}_as`, as || undefined) : next,
        );
      },
    });
  /** @param {string} label @param {(eye: string) => ComponentChildren} cell */
  const row = (label, cell) =>
    h(
      'tr',
      null,
      h('th', { scope: 'row' }, label),
      EYES.map(eye => h('td', { 'data-is': title(eye) }, cell(eye))),
    );
  /** @param {string} part @param {string} label */
  const refraction = (part, label) =>
    row(label, eye =>
      h(
        'span',
        { class: 'triple' },
        ['sphere', 'cylinder', 'axis'].map(k => num(eye, `${part}.${k}`, PARTS[`${part} ${k}`])),
      ),
    );
  /** What becomes of the lens, for the practitioner to say. @param {string} eye */
  const wearCell = eye => {
    const fault = action.error?.field === `${eye}.wear` ? action.error.message : '';
    return h(
      'span',
      { class: fault ? 'number bad' : 'number' },
      h(
        'select',
        {
          'aria-label': `${title(eye).toLowerCase()} ${tr('Lens from tonight').toLowerCase()}`,
          'aria-invalid': fault ? 'true' : undefined,
          'data-test': `wear-${eye}`,
          value: wearOf(form, eye),
          onChange: take(`${eye}.wear`),
        },
        WEAR.map(([key, words]) => h('option', { value: key }, words)),
      ),
      fault && h('span', { class: 'field-error', role: 'alert' }, fault),
    );
  };
  const numbers = (/** @type {Rows} */ rows) => rows.map(([path, label]) => row(label, eye => num(eye, path, label)));
  /** @param {string} caption @param {ComponentChildren} rows */
  const table = (caption, rows) =>
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': caption },
      h(
        'table',
        { class: 'findings stack' },
        h('caption', null, caption),
        h(
          'thead',
          null,
          h(
            'tr',
            null,
            h('th', { scope: 'col' }, tr('Finding')),
            h('th', { scope: 'col' }, tr('Right')),
            h('th', { scope: 'col' }, tr('Left')),
          ),
        ),
        h('tbody', null, rows),
      ),
    );
  const error = action.error;
  return h(
    'form',
    {
      class: 'card',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        save(false);
      },
      'data-test': 'visit-form',
    },
    draft && h(Half, { test: 'visit-draft' }),
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Visit')),
      h(
        Field,
        { label: tr('Date'), error: error?.field === 'date' ? error.message : undefined },
        h('input', {
          type: 'date',
          required: true,
          max: form.state === 'kept' ? today : undefined,
          value: form.date,
          onInput: take('date'),
        }),
      ),
      h(Field, { label: tr('Time') }, h('input', { type: 'time', value: form.time ?? '', onInput: take('time') })),
      h(
        Field,
        { label: tr('Kind') },
        h(
          'select',
          { value: form.kind, onChange: take('kind') },
          KINDS.map(k => h('option', { value: k }, title(k))),
        ),
      ),
      h(
        Field,
        { label: tr('State') },
        h(
          'select',
          { value: form.state, onChange: take('state') },
          (desk ? DESK_STATES : STATES).map(k => h('option', { value: k }, title(k))),
        ),
      ),
      moved &&
        h(
          Field,
          { label: tr('Why it is moved'), error: error?.field === 'why' ? error.message : undefined },
          h(
            'select',
            {
              value: why,
              required: true,
              'data-test': 'move-why',
              onChange: (/** @type {Event} */ e) => setWhy(/** @type {HTMLSelectElement} */ (e.target).value),
            },
            h('option', { value: '' }, tr('Choose…')),
            MOVE_REASONS.map(([key, words]) => h('option', { value: key }, words)),
          ),
        ),
    ),
    lateFirst(form, out) &&
      h(
        'p',
        { class: 'notice', role: 'status', 'data-test': 'first-late' },
        tr('The first morning is within {n} hours of waking. By the plan lenses come out at {out}: {time} is later.', {
          n: FIRST_HOURS,
          out,
          time: form.time ?? '',
        }),
      ),
    form.state === 'kept' &&
      h(
        'div',
        null,
        h('p', { class: 'hint' }, tr('Leave empty what was not measured.')),
        h(
          'label',
          { class: 'notation' },
          tr('A bare acuity is meant as '),
          h(
            'select',
            {
              value: notation,
              'data-test': 'notation',
              onChange: (/** @type {Event} */ e) => {
                const chosen = /** @type {Notation} */ (/** @type {HTMLSelectElement} */ (e.target).value);
                localStorage.setItem(NOTATION_KEY, chosen);
                setNotation(chosen);
              },
            },
            !notation && h('option', { value: '' }, tr('Choose…')),
            NOTATIONS.map(([key, name]) => h('option', { value: key }, name)),
          ),
        ),
        table(tr('Measured'), [
          refraction('refraction', tr('Refraction: sphere, cylinder, axis')),
          refraction('residual', tr('Over the treated eye: sphere, cylinder, axis')),
          numbers(BEFORE),
        ]),
        table(tr('Graded'), [numbers(GRADES), row(tr('Lens from tonight'), wearCell)]),
        table(
          tr('Seen'),
          WORDS.map(([path, label]) =>
            row(label, eye =>
              h('input', {
                type: 'text',
                'aria-label': `${title(eye).toLowerCase()} ${label.toLowerCase()}`,
                maxLength: 500,
                value: /** @type {string} */ (pick(form, `${eye}.${path}`) ?? ''),
                onInput: take(`${eye}.${path}`),
              }),
            ),
          ),
        ),
      ),
    form.state === 'kept' &&
      h(
        'fieldset',
        { class: 'grid' },
        h('legend', null, tr('How')),
        h(
          Field,
          { label: tr('Grading scale'), hint: tr('As your practice names it.') },
          h('input', {
            type: 'text',
            list: 'scales',
            maxLength: 80,
            'data-test': 'visit-scale',
            value: form.scale ?? '',
            onInput: take('scale'),
          }),
        ),
        h(
          'datalist',
          { id: 'scales' },
          SCALES.map(s => h('option', { value: s })),
        ),
        h(
          Field,
          {
            label: tr('Cycloplegia'),
            hint: tr('With what, how much and when; empty: none, or not noted.'),
            error: error?.field === 'cycloplegia' ? error.message : undefined,
          },
          h('input', {
            type: 'text',
            maxLength: 500,
            'data-test': 'visit-cycloplegia',
            value: form.cycloplegia ?? '',
            onInput: take('cycloplegia'),
          }),
        ),
        h(
          Field,
          { label: tr('Axial length measured with'), hint: tr('Kind of instrument, the same words each time.') },
          h('input', {
            type: 'text',
            list: 'instruments',
            maxLength: 80,
            value: form.instrument ?? '',
            onInput: take('instrument'),
          }),
        ),
        h(
          'datalist',
          { id: 'instruments' },
          instruments(all).map(v => h('option', { value: v })),
        ),
      ),
    !desk &&
      h(
        Field,
        { label: tr('Note, for the practice'), error: error?.field === 'note' ? error.message : undefined },
        h('textarea', {
          rows: 3,
          maxLength: 4000,
          'data-test': 'visit-note',
          value: form.note ?? '',
          onInput: take('note'),
        }),
      ),
    !desk &&
      h(
        Field,
        { label: tr('Advice given'), error: error?.field === 'advice' ? error.message : undefined },
        h('textarea', { rows: 3, maxLength: 2000, value: form.advice ?? '', onInput: take('advice') }),
      ),
    h(FormFault, { error }),
    error?.code === 'visit-changed' &&
      h(
        'p',
        { class: 'hint', 'data-test': 'visit-clash' },
        tr('What you typed still stands above; saving again puts it over theirs.'),
      ),
    h(Unlikely, { error, busy: action.busy, yes: () => save(true), word: tr('Yes, save it all the same') }),
    h(
      'div',
      { class: 'buttons' },
      h('button', { class: 'primary', disabled: action.busy }, tr('Save the visit')),
      h('button', { type: 'button', 'data-test': 'visit-leave', onClick: leave }, tr('Leave')),
    ),
  );
}
