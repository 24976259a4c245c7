// Visits: booked, kept, missed; and what was found at a visit, per eye.

import * as api from '../api.js';
import { Field, h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { optionalNumber, pick, put } from '../forms.js';
import { day, number, prescription, title } from '../format.js';
import { link, wearerPage } from '../route.js';

/** @import { Me } from '../api.js' */
/** @import { ComponentChildren } from '../../vendor/preact.js' */
/** @import { Route } from '../route.js' */
/** @import { EyeFindings, Visit } from '../types.js' */

const KINDS = ['first-morning', 'one-week', 'two-week', 'one-month', 'recall', 'unscheduled', 'suitability'];
const STATES = ['booked', 'kept', 'missed', 'cancelled', 'waived'];
/** What a visit was or may be is the practitioner's word; appointments are the desk's. */
const DESK_STATES = ['booked', 'missed', 'cancelled'];
/** Published scales a grade can be given on; the name is stored with the grades. */
const SCALES = ['Efron grading scales, 0 to 4', 'CCLRU grading scales, 0 to 4', 'Oxford scheme (staining), 0 to 5', 'NEI scheme (staining), 0 to 3'];
const SIGNS = ['bulbar_redness', 'limbal_redness', 'lid_roughness', 'infiltrates'];
const ZONES = ['central', 'superior', 'nasal', 'inferior', 'temporal'];

/** @param {string} today @param {boolean} desk @returns {Visit} */
const blank = (today, desk) => ({ id: '', date: today, kind: 'recall', state: desk ? 'booked' : 'kept', due: '', right: {}, left: {}, scale: SCALES[0], instrument: '', advice: '' });

/** @param {{me: Me, route: Route}} props */
export function Visits({ me, route }) {
  const got = useLoad(() => api.visits(route.arg), route.arg);
  const who = useLoad(() => api.plans(route.arg), route.arg);
  const [editing, edit] = useState(/** @type {Visit|null} */ (null));
  const wearer = who.data?.wearer;
  const desk = me.person.role === 'desk';
  return h('div', { class: 'visits' },
    h('h1', null, 'Visits', wearer && [': ', h('a', { href: link(wearerPage(me), wearer.id) }, wearer.name), ' ', h('span', { class: 'code' }, wearer.code)]),
    wearer && desk && h('nav', { class: 'buttons no-print', 'aria-label': 'This wearer' }, h('a', { class: 'button', href: link('plan', wearer.id) }, 'Plan and lenses'), h('a', { class: 'button', href: link('family', wearer.family) }, 'Family')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && got.data.due.length > 0 && h('p', { class: 'buttons due' }, 'Due:', nearest(got.data.due, me.today).map((d) => h('button', { type: 'button', onClick: () => edit({ ...blank(me.today, desk), kind: d.kind, due: d.due, date: d.due > me.today ? d.due : me.today, state: 'booked' }) }, `${title(d.kind)} ${day(d.due)}: book`))),
    editing
      ? h(VisitForm, { desk, wearer: route.arg, visit: editing, key: editing.id || 'new', done: () => { edit(null); got.reload(); }, cancel: () => edit(null) })
      : h('button', { type: 'button', class: 'primary', 'data-test': 'visit-new', onClick: () => edit(blank(me.today, desk)) }, desk ? 'Book a visit' : 'Record a visit'),
    got.data && h(List, { desk, visits: got.data.visits, edit }));
}

/**
 * The last visit that is past and the next two: older ones are settled by the
 * next visit, whatever they were.
 * @param {{kind: string, due: string}[]} due
 * @param {string} today
 */
function nearest(due, today) {
  const past = due.filter((d) => d.due < today);
  return [...past.slice(-1), ...due.filter((d) => d.due >= today).slice(0, 2)];
}

/** @param {{desk: boolean, visits: Visit[], edit: (v: Visit) => void}} props */
function List({ desk, visits, edit }) {
  if (!visits.length) return h('p', { class: 'quiet' }, 'No visit recorded.');
  return h('div', { class: 'scroll' }, h('table', { class: 'list' },
    h('thead', null, h('tr', null, ['Date', 'Visit', 'State', 'Right', 'Left', 'Grading scale', 'Advice', 'Record'].map((t) => h('th', { scope: 'col' }, t)))),
    h('tbody', null, visits.map((v) => h('tr', { key: v.id, 'data-test': 'visit-row' },
      h('th', { scope: 'row', class: 'date' }, day(v.date), v.time && `, ${v.time}`), h('td', null, title(v.kind)), h('td', null, title(v.state)),
      h('td', null, findings(v.right)), h('td', null, findings(v.left)), h('td', null, graded(v) ? v.scale || 'not noted' : ''), h('td', null, v.advice ?? ''),
      h('td', null, (!desk || DESK_STATES.includes(v.state)) && h('button', { type: 'button', onClick: () => edit(v) }, 'Change')))))));
}

/** Whether grades were given, which mean nothing without their scale. @param {Visit} v */
const graded = (v) => [v.right, v.left].some((f) => Object.keys({ ...f.grades, ...f.staining }).length > 0);

/** @param {EyeFindings} f */
function findings(f) {
  const parts = [
    f.refraction && prescription(f.refraction), f.residual && `over treatment ${prescription(f.residual)}`,
    has(f.unaided) && `unaided ${number(f.unaided, 2)}`, has(f.best_corrected) && `corrected ${number(f.best_corrected, 2)}`,
    has(f.axial_mm) && `${number(f.axial_mm, 2)} mm`,
    ...Object.entries(f.grades ?? {}).map(([k, g]) => `${k.replace(/_/g, ' ')} ${g}`), ...Object.entries(f.staining ?? {}).map(([k, g]) => `staining ${k} ${g}`),
  ].filter(Boolean);
  return parts.join('; ') || '–';
}

/** @param {number|null|undefined} n */
const has = (n) => n !== null && n !== undefined;

/**
 * What is typed into one field, by path; numbers are read on saving, so that
 * "-" may be typed first.
 * @typedef {Record<string, string>} Typed
 */

const NUMBERS = ['refraction.sphere', 'refraction.cylinder', 'refraction.axis', 'residual.sphere', 'residual.cylinder', 'residual.axis', 'unaided', 'best_corrected', 'axial_mm'];

/** @param {Visit} v @returns {Typed} */
function typedOf(v) {
  /** @type {Typed} */
  const typed = {};
  for (const eye of ['right', 'left']) {
    for (const p of [...NUMBERS, ...SIGNS.map((s) => `grades.${s}`), ...ZONES.map((z) => `staining.${z}`)]) {
      const value = /** @type {number|null|undefined} */ (pick(v, `${eye}.${p}`));
      if (has(value)) typed[`${eye}.${p}`] = String(value);
    }
  }
  return typed;
}

/**
 * @param {Visit} visit
 * @param {Typed} typed
 * @returns {{visit?: Visit, bad?: string}} the visit to send, or the field that is no number
 */
function collect(visit, typed) {
  /** @type {Visit} */
  let out = { ...visit, right: { topography: visit.right.topography }, left: { topography: visit.left.topography } };
  for (const [path, text] of Object.entries(typed)) {
    const n = optionalNumber(text);
    if (n === undefined) return { bad: path };
    if (n !== null) out = put(out, path, n);
  }
  for (const eye of /** @type {const} */ (['right', 'left'])) {
    for (const part of /** @type {const} */ (['refraction', 'residual'])) {
      const r = out[eye][part];
      if (r) out = put(out, `${eye}.${part}`, { sphere: r.sphere ?? 0, cylinder: r.cylinder ?? 0, axis: r.axis ?? 0 });
    }
  }
  return { visit: out };
}

/** @param {{desk: boolean, wearer: string, visit: Visit, done: () => void, cancel: () => void}} props */
function VisitForm({ desk, wearer, visit, done, cancel }) {
  const [form, setForm] = useState(visit);
  const [typed, setTyped] = useState(typedOf(visit));
  const [bad, setBad] = useState('');
  const action = useAction();
  const save = (/** @type {Event} */ e) => {
    e.preventDefault();
    const got = collect(form, typed);
    setBad(got.bad ?? '');
    if (!got.visit) return;
    const send = got.visit;
    action.run(async () => { await api.saveVisit(wearer, send); done(); });
  };
  /** @param {string} path @returns {(e: Event) => void} */
  const take = (path) => (e) => setForm(put(form, path, /** @type {HTMLInputElement} */ (e.target).value));
  /** @param {string} path @param {string} label */
  const num = (path, label) => h('label', { class: bad === path ? 'bad' : '' }, h('span', { class: 'hidden' }, label),
    h('input', { type: 'text', inputMode: 'text', size: 6, 'aria-label': label, 'aria-invalid': bad === path ? 'true' : undefined, value: typed[path] ?? '', onInput: (/** @type {Event} */ e) => setTyped({ ...typed, [path]: /** @type {HTMLInputElement} */ (e.target).value }) }));
  /** @param {string} label @param {(eye: string) => ComponentChildren} cell */
  const row = (label, cell) => h('tr', null, h('th', { scope: 'row' }, label), ['right', 'left'].map((eye) => h('td', null, cell(eye))));
  return h('form', { class: 'card', onSubmit: save, 'data-test': 'visit-form' },
    h('fieldset', { class: 'grid' }, h('legend', null, 'Visit'),
      h(Field, { label: 'Date' }, h('input', { type: 'date', required: true, value: form.date, onInput: take('date') })),
      h(Field, { label: 'Time' }, h('input', { type: 'time', value: form.time ?? '', onInput: take('time') })),
      h(Field, { label: 'Kind' }, h('select', { value: form.kind, onChange: take('kind') }, KINDS.map((k) => h('option', { value: k }, title(k))))),
      h(Field, { label: 'State' }, h('select', { value: form.state, onChange: take('state') }, (desk ? DESK_STATES : STATES).map((k) => h('option', { value: k }, title(k)))))),
    form.state === 'kept' && h('div', { class: 'scroll' }, h('table', { class: 'findings' },
      h('caption', null, 'Leave empty what was not measured. Acuity in logMAR.'),
      h('thead', null, h('tr', null, h('th', { scope: 'col' }, 'Finding'), h('th', { scope: 'col' }, 'Right'), h('th', { scope: 'col' }, 'Left'))),
      h('tbody', null,
        ['refraction', 'residual'].map((part) => row(part === 'refraction' ? 'Refraction: sphere, cylinder, axis' : 'Over the treated eye: sphere, cylinder, axis', (eye) =>
          h('span', { class: 'triple' }, ['sphere', 'cylinder', 'axis'].map((k) => num(`${eye}.${part}.${k}`, `${eye} ${part} ${k}`))))),
        row('Unaided acuity', (eye) => num(`${eye}.unaided`, `${eye} unaided acuity`)),
        row('Best-corrected acuity', (eye) => num(`${eye}.best_corrected`, `${eye} best-corrected acuity`)),
        SIGNS.map((s) => row(title(s), (eye) => num(`${eye}.grades.${s}`, `${eye} ${s}`))),
        ZONES.map((z) => row(`Staining, ${z}`, (eye) => num(`${eye}.staining.${z}`, `${eye} staining ${z}`))),
        row('Axial length, mm', (eye) => num(`${eye}.axial_mm`, `${eye} axial length`)),
        row('Topography', (eye) => h('input', { type: 'text', 'aria-label': `${eye} topography`, maxLength: 500, value: /** @type {string} */ (pick(form, `${eye}.topography`) ?? ''), onInput: take(`${eye}.topography`) }))))),
    form.state === 'kept' && h('fieldset', { class: 'grid' }, h('legend', null, 'How'),
      h(Field, { label: 'Grading scale' }, h('select', { value: form.scale ?? '', onChange: take('scale') }, SCALES.map((s) => h('option', { value: s }, s)))),
      h(Field, { label: 'Axial length measured with', hint: 'Kind of instrument, the same words each time.' }, h('input', { type: 'text', list: 'instruments', maxLength: 80, value: form.instrument ?? '', onInput: take('instrument') })),
      h('datalist', { id: 'instruments' }, ['optical biometer', 'second optical biometer', 'ultrasound'].map((v) => h('option', { value: v })))),
    !desk && h(Field, { label: 'Advice given' }, h('textarea', { rows: 3, maxLength: 2000, value: form.advice ?? '', onInput: take('advice') })),
    bad && h('p', { class: 'field-error', role: 'alert' }, `${bad.replace(/[._]/g, ' ')}: a number, or nothing.`),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h('div', { class: 'buttons' }, h('button', { class: 'primary', disabled: action.busy }, 'Save the visit'), h('button', { type: 'button', onClick: cancel }, 'Leave')));
}
