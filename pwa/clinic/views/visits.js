// Visits: booked, kept, missed; and what was found at a visit, per eye.

import * as api from '../api.js';
import { HeadRow, Trouble, h, useEffect, useLoad, useState } from '../dom.js';
import { day, eyes, number, prescription, title } from '../format.js';
import { link, wearerPage } from '../route.js';
import { keepUnsaved, unsaved } from '../unsaved.js';
import { Attachments } from './attachments.js';
import { CourseLink } from './course.js';
import { OverVisits } from './over-visits.js';
import { halfSaid, Say, SayButton } from './say.js';
import { Taught } from './taught.js';
import { BEFORE, GRADES, MOVE_REASONS, VisitForm, WEAR, WORDS } from './visit-form.js';
import { point, tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @import { Route } from '../route.js' */
/** @import { Draft } from './visit-form.js' */
/** @import { EyeFindings, Visit } from '../types.js' */

/** What a visit was or may be is the practitioner's word; appointments are the desk's. */
const DESK_STATES = ['booked', 'missed', 'cancelled'];

/** @param {string} today @param {boolean} desk @param {string} [kind] of the visit that is due @returns {Visit} */
const blank = (today, desk, kind = 'recall') => ({
  id: '',
  date: today,
  kind,
  state: desk ? 'booked' : 'kept',
  due: '',
  shift_later: false,
  right: {},
  left: {},
  scale: '',
  instrument: '',
  advice: '',
});

/** @param {{me: Me, route: Route}} props */
export function Visits({ me, route }) {
  const got = useLoad(() => api.visits(route.arg), route.arg);
  const who = useLoad(() => api.plans(route.arg), route.arg);
  // Where nothing was decided at a visit, nothing is asked for.
  const asks = (got.data?.visits ?? []).some(v => v.right.wear || v.left.wear);
  const said = useLoad(() => (asks ? api.wear(route.arg) : Promise.resolve(undefined)), `${route.arg} ${asks}`);
  const name = `visit ${me.person.id} ${route.arg}`;
  const [draft] = useState(() => /** @type {Draft|null} */ (unsaved(name)));
  const desk = me.person.role === 'desk';
  const toBeBooked = (/** @type {{kind: string, due: string}} */ { kind, due }) => ({
    ...blank(me.today, desk),
    kind,
    due,
    date: due > me.today ? due : me.today,
    state: /** @type {'booked'} */ ('booked'),
  });
  const { book, due, change } = route.params; // of the list of recalls
  const [editing, edit] = useState(
    /** @type {Visit|null} */ (draft?.visit ?? (book && due ? toBeBooked({ kind: book, due }) : null)),
  );
  useEffect(() => {
    if (!got.data) return;
    const asked = got.data.visits.find(v => v.id === change);
    if (asked && !editing) edit(asked);
    history.replaceState(history.state, '', link('visits', route.arg)); // asked for once
  }, [!got.data]);
  const [writing, write] = useState(desk && (!!route.params.write || halfSaid(me, route.arg)));
  const [stop, setStop] = useState(/** @type {''|'right'|'left'|'both'} */ (''));
  const [written, setWritten] = useState(false);
  const wearer = who.data?.wearer;
  const owed = desk || !said.data ? '' : unwritten(got.data?.visits ?? [], said.data);
  const held = said.data ? against(got.data?.visits ?? [], said.data) : '';
  const next = nearest(got.data?.due ?? [], me.today)[0]?.kind;
  const toBook = nearest(got.data?.due ?? [], me.today).filter(d => !d.booked);
  return h(
    'div',
    { class: 'visits' },
    h(
      'h1',
      null,
      tr('Visits'),
      wearer && [
        point(': '),
        h('a', { href: link(wearerPage(me), wearer.id) }, wearer.name),
        ' ',
        h('span', { class: 'code' }, wearer.code),
      ],
    ),
    wearer &&
      desk &&
      h(
        'nav',
        { class: 'buttons no-print', 'aria-label': tr('This wearer') },
        h('a', { class: 'button', href: link('plan', wearer.id) }, tr('Plan and lenses')),
        h(CourseLink, { wearer: wearer.id }),
        h('a', { class: 'button', href: link('family', wearer.family) }, tr('Family')),
        h(SayButton, { on: writing, set: write }),
        h('a', { class: 'button', href: link('archive', '', { wearer: wearer.id }) }, tr('Closed alerts')),
      ),
    writing && !stop && !owed && h(Say, { me, wearer: route.arg }),
    held &&
      h(
        'p',
        { class: 'warn-box', role: 'status', 'data-test': 'goes-on-held' },
        tr('A visit says that wear goes on, and a stop holds: {eyes}. It ends only where “lenses again” is written.', {
          eyes: eyes(held),
        }),
      ),
    (stop || owed) && [
      !written &&
        h(
          'p',
          { key: 'to-write', class: 'warn-box', role: 'status', 'data-test': 'stop-to-write' },
          stop
            ? tr(
                'The visit is saved. No stop holds until it is written here: the family’s phones still ask for lenses.',
              )
            : tr(
                'A stop was decided at a visit. None holds until it is written here: the family’s phones still ask for lenses.',
              ),
        ),
      h(Say, { key: 'stop', me, wearer: route.arg, stop: stop || owed || undefined, wrote: () => setWritten(true) }),
    ],
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data &&
      toBook.length > 0 &&
      h(
        'p',
        { class: 'buttons due' },
        tr('Due:'),
        toBook.map(d =>
          h(
            'button',
            {
              type: 'button',
              onClick: () => edit(toBeBooked(d)),
            },
            tr('{kind} {date}: book', { kind: title(d.kind), date: day(d.due) }),
          ),
        ),
      ),
    editing
      ? h(VisitForm, {
          desk,
          wearer: route.arg,
          visit: editing,
          draft: editing === draft?.visit ? draft : null,
          keep: typed => keepUnsaved(name, typed),
          all: got.data?.visits ?? [],
          today: me.today,
          out: who.data?.plans[0]?.removal_at ?? '',
          key: editing.id || 'new',
          done: stops => {
            edit(null);
            setStop(stops);
            setWritten(false);
            got.reload();
          },
          cancel: () => edit(null),
        })
      : h(
          'button',
          {
            type: 'button',
            class: 'primary',
            disabled: !got.data && !got.error, // which visit is next is in what comes
            'data-test': 'visit-new',
            onClick: () => edit(blank(me.today, desk, next)),
          },
          desk ? tr('Book a visit') : tr('Record a visit'),
        ),
    got.data && h(List, { desk, visits: got.data.visits, edit }),
    got.data && !desk && h(OverVisits, { visits: got.data.visits }),
    got.data && !desk && h(Attachments, { wearer: route.arg, visits: got.data.visits, key: `attached-${route.arg}` }),
    h(Taught, { wearer: route.arg, key: `taught-${route.arg}` }),
  );
}

/**
 * The last visit that is past and the next two: older ones are settled by the
 * next visit, whatever they were.
 * @param {{kind: string, due: string, booked: string}[]} due
 * @param {string} today
 */
function nearest(due, today) {
  const past = due.filter(d => d.due < today);
  return [...past.slice(-1), ...due.filter(d => d.due >= today).slice(0, 2)];
}

/**
 * The eyes of which something is true of the last decision at a kept visit.
 * @param {Visit[]} visits
 * @param {(eye: 'right'|'left', at: Visit) => boolean} is
 * @returns {''|'right'|'left'|'both'}
 */
function decided(visits, is) {
  const kept = visits.filter(v => v.state === 'kept').sort((a, b) => (a.date < b.date ? 1 : -1));
  const [right, left] = /** @type {const} */ (['right', 'left']).map(eye => {
    const at = kept.find(v => v[eye].wear);
    return !!at && is(eye, at);
  });
  return right && left ? 'both' : right ? 'right' : left ? 'left' : '';
}

/**
 * The eyes whose last decision at a kept visit was a stop, of which the practice has said
 * nothing since, and that nothing else stops: until it is written no stop holds.
 * @param {Visit[]} visits
 * @param {api.WearAnswer} wear as it is now, with what either voice said
 */
export const unwritten = (visits, wear) =>
  decided(visits, (eye, at) => {
    const since = (/** @type {any} */ e) =>
      ['cease', 'resume'].includes(e.kind) && [eye, 'both'].includes(e.body.eyes) && e.wall.slice(0, 10) >= at.date;
    return at[eye].wear === 'stop' && wear.wear[eye].state !== 'stop' && !wear.entries.some(since);
  });

/**
 * The eyes whose last decision at a kept visit was that wear goes on, while a stop holds
 * that was there by that day.
 * @param {Visit[]} visits
 * @param {api.WearAnswer} wear as it is now
 */
export const against = (visits, wear) =>
  decided(visits, (eye, at) => {
    const { state, causes } = wear.wear[eye];
    const later = (/** @type {any} */ e) => causes.some(c => c.id === e.id) && e.wall.slice(0, 10) > at.date;
    return at[eye].wear === 'goes-on' && state === 'stop' && !wear.entries.some(later);
  });

/** @param {{desk: boolean, visits: Visit[], edit: (v: Visit) => void}} props */
function List({ desk, visits, edit }) {
  if (!visits.length) return h('p', { class: 'quiet' }, tr('No visit recorded.'));
  return h(
    'div',
    { class: 'scroll' },
    h(
      'table',
      { class: 'list stack' },
      h(HeadRow, {
        cells: [
          tr('Date'),
          tr('Visit'),
          tr('State'),
          tr('Right'),
          tr('Left'),
          tr('Grading scale'),
          tr('Notes, advice'),
          tr('Record'),
        ],
      }),
      h(
        'tbody',
        null,
        visits.map(v =>
          h(
            'tr',
            { key: v.id, 'data-test': 'visit-row' },
            h('th', { scope: 'row', class: 'date' }, day(v.date), v.time && `${point(', ')}${v.time}`),
            h(
              'td',
              null,
              title(v.kind),
              (v.moves ?? []).map(m =>
                h(
                  'span',
                  { class: 'hint' },
                  tr('Was {date}{more}; moved {date2} by {by}: {x}.', {
                    date: day(m.date),
                    more: m.time ? `${point(', ')}${m.time}` : '',
                    date2: day(m.on),
                    by: m.by,
                    x: (MOVE_REASONS.find(([k]) => k === m.why)?.[1] ?? m.why).toLowerCase(),
                  }),
                ),
              ),
            ),
            h('td', { 'data-is': tr('State') }, title(v.state)),
            h('td', { 'data-is': tr('Right') }, findings(v.right)),
            h('td', { 'data-is': tr('Left') }, findings(v.left)),
            h('td', { 'data-is': tr('Scale') }, graded(v) ? v.scale || tr('not noted') : ''),
            h(
              'td',
              null,
              [v.cycloplegia && tr('Cycloplegia: {cycloplegia}.', { cycloplegia: v.cycloplegia }), v.note, v.advice]
                .filter(Boolean)
                .join(' '),
            ),
            h(
              'td',
              null,
              (!desk || DESK_STATES.includes(v.state)) &&
                h('button', { type: 'button', onClick: () => edit(v) }, tr('Change')),
            ),
          ),
        ),
      ),
    ),
  );
}

/** Whether grades were given, which mean nothing without their scale. @param {Visit} v */
const graded = v => [v.right, v.left].some(f => Object.keys({ ...f.grades, ...f.staining }).length > 0);

/** @type {Record<string, number>} */
const MEASURE_DIGITS = { keratometry_axis: 0, corneal_diameter: 1, pupil: 1, pressure: 0 };

const NAMES = Object.fromEntries([...BEFORE, ...GRADES, ...WORDS]);
/** @param {string} path of a finding @returns {string} what its form calls it */
const named = path => (NAMES[path] ?? path.replace(/^.*\.|_/g, ' ').trim()).toLowerCase();

/** @param {EyeFindings} f */
function findings(f) {
  const parts = [
    f.refraction && prescription(f.refraction),
    f.residual && tr('over treatment {residual}', { residual: prescription(f.residual) }),
    has(f.unaided) && tr('unaided {unaided}', { unaided: number(f.unaided, 2) }),
    has(f.best_corrected) && tr('corrected {best_corrected}', { best_corrected: number(f.best_corrected, 2) }),
    has(f.axial_mm) && tr('{axial_mm} mm', { axial_mm: number(f.axial_mm, 2) }),
    ...Object.entries(f.measures ?? {}).map(
      ([k, n]) => `${named(`measures.${k}`)} ${number(n, MEASURE_DIGITS[k] ?? 2)}`,
    ),
    ...Object.entries(f.grades ?? {}).map(([k, g]) => `${named(`grades.${k}`)} ${g}`),
    ...Object.entries(f.staining ?? {}).map(([k, g]) => `${named(`staining.${k}`)} ${g}`),
    ...Object.entries(f.words ?? {})
      .filter(([, t]) => t)
      .map(([k, t]) => `${named(`words.${k}`)}${point(': ')}${t}`),
    f.wear && (WEAR.find(([key]) => key === f.wear)?.[1] ?? ''),
    f.topography && `${named('topography')}${point(': ')}${f.topography}`,
  ].filter(Boolean);
  return parts.join(point('; ')) || '–';
}

/** @param {number|null|undefined} n */
const has = n => n !== null && n !== undefined;
