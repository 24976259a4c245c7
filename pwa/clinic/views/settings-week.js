// The parts of the settings that are lists: hours, closed dates, rota and
// absences.

import { h, useState } from '../dom.js';
import { dateOf, day, dayNumber } from '../format.js';
import { DAY_SETS, WEEK, withSlots } from '../settings.js';
import { tr } from '../text.js';

/** @import { Absence, ClinicHours, Me, Slot } from '../api.js' */
/** @import { Editing } from './settings.js' */

const HOURS = 'practice.contacts.hours';
const CLOSED = 'practice.contacts.closed';

/** @param {Event} e */
const typed = e => /** @type {HTMLInputElement} */ (e.target).value;

/**
 * @template T
 * @param {T[]} list
 * @param {number} at
 * @param {Partial<T>} [change] none: the item goes
 */
const changed = (list, at, change) =>
  change ? list.map((x, i) => (i === at ? { ...x, ...change } : x)) : list.filter((_, i) => i !== at);

/**
 * Every fault of a list, said below it; the fields carry the number of the item.
 * @param {{editing: Editing, under: string, where?: (item: number) => string}} props
 */
function Faults({ editing, under, where }) {
  return Object.entries(editing.faults)
    .filter(([field]) => field.startsWith(under))
    .map(([field, text]) =>
      h('p', { class: 'field-error', role: 'alert', key: field }, where?.(Number(/\d+/.exec(field)?.[0])), text),
    );
}

/** Whether something is wrong with an item of a list. @param {Editing} editing @param {string} item such as "rota.slots.3" */
const isBad = ({ faults }, item) => Object.keys(faults).some(field => `${field}.`.startsWith(`${item}.`));

/** @param {{label: string, value: string, set: (text: string) => void, kind?: string, bad?: boolean}} props */
function Small({ label, value, set, kind = 'time', bad }) {
  return h('input', {
    type: kind,
    required: true,
    'aria-invalid': bad ? 'true' : undefined,
    'aria-label': label,
    value,
    onInput: (/** @type {Event} */ e) => set(typed(e)),
  });
}

/** @param {{label: string, act: () => void}} props */
function Remove({ label, act }) {
  return h(
    'button',
    { type: 'button', class: 'no-print remove', title: label, 'aria-label': label, onClick: act },
    '×',
  );
}

/** When the telephone is answered. @param {{editing: Editing}} props */
export function Hours({ editing }) {
  const hours = editing.form.practice.contacts.hours;
  /** @param {ClinicHours[]} list */
  const set = list => editing.set(HOURS, list);
  return h(
    'fieldset',
    { class: 'beside' },
    h('legend', null, tr('Hours in which the telephone is answered')),
    h(
      'ul',
      { class: 'week' },
      WEEK.map(([weekday, name]) =>
        h(
          'li',
          { key: weekday },
          h('span', { class: 'week-day' }, name),
          hours.map(
            (x, i) =>
              x.weekday === weekday &&
              h(
                'span',
                { class: 'stretch', key: i },
                h(Small, {
                  label: tr('{name} from', { name }),
                  value: x.from,
                  set: from => set(changed(hours, i, { from })),
                  bad: isBad(editing, `${HOURS}.${i}`),
                }),
                tr(' to '),
                h(Small, { label: tr('{name} to', { name }), value: x.to, set: to => set(changed(hours, i, { to })) }),
                h(Remove, {
                  label: tr('Remove {name} {from} to {to}', { name, from: x.from, to: x.to }),
                  act: () => set(changed(hours, i)),
                }),
              ),
          ),
          !hours.some(x => x.weekday === weekday) && h('span', { class: 'quiet' }, tr('closed')),
          h(
            'button',
            {
              type: 'button',
              class: 'no-print',
              'aria-label': tr('Add hours on {name}', { name }),
              onClick: () => set([...hours, { weekday, ...nextHours(hours, weekday) }]),
            },
            tr('Add'),
          ),
        ),
      ),
    ),
    h(Faults, {
      editing,
      under: HOURS,
      where: i => `${WEEK.find(([n]) => n === hours[i]?.weekday)?.[1] ?? ''} `,
    }),
  );
}

/**
 * Hours to start from: a second stretch of a day follows the first.
 * @param {ClinicHours[]} hours
 * @param {number} weekday
 */
const nextHours = (hours, weekday) =>
  hours.some(x => x.weekday === weekday) ? { from: '14:00', to: '18:00' } : { from: '09:00', to: '13:00' };

/** Holidays. @param {{editing: Editing}} props */
export function Closed({ editing }) {
  const dates = editing.form.practice.contacts.closed;
  const [next, setNext] = useState('');
  return h(
    'fieldset',
    { class: 'beside' },
    h('legend', null, tr('Closed on')),
    dates.length
      ? h(
          'ul',
          { class: 'week' },
          dates.map((d, i) =>
            h(
              'li',
              { key: i },
              h(Small, {
                kind: 'date',
                label: tr('Closed date {i}', { i: i + 1 }),
                value: d,
                set: text =>
                  editing.set(
                    CLOSED,
                    dates.map((x, k) => (k === i ? text : x)),
                  ),
              }),
              h(Remove, {
                label: tr('Remove {d}', { d }),
                act: () =>
                  editing.set(
                    CLOSED,
                    dates.filter((_, k) => k !== i),
                  ),
              }),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, tr('No dates yet.')),
    h(
      'p',
      { class: 'stretch no-print' },
      h('input', {
        type: 'date',
        'aria-label': tr('Another closed date'),
        value: next,
        onInput: (/** @type {Event} */ e) => setNext(typed(e)),
      }),
      h(
        'button',
        {
          type: 'button',
          disabled: !next,
          onClick: () => {
            editing.set(CLOSED, [...new Set([...dates, next])].sort());
            setNext('');
          },
        },
        tr('Add the date'),
      ),
    ),
    h(Faults, { editing, under: CLOSED }),
  );
}

/**
 * @param {{me: Me, label: string, none: string, value: string, set: (id: string) => void}} props
 */
function Person({ me, label, none, value, set }) {
  const known = me.staff.some(s => s.id === value);
  return h(
    'select',
    { 'aria-label': label, value, onChange: (/** @type {Event} */ e) => set(typed(e)) },
    h('option', { value: '' }, none),
    value && !known && h('option', { value }, tr('Somebody who left')),
    me.staff.map(s => h('option', { value: s.id, key: s.id }, s.name)),
  );
}

/** Who is on duty when. @param {{me: Me, editing: Editing}} props */
export function Rota({ me, editing }) {
  const slots = editing.form.rota.slots;
  const [days, setDays] = useState(0);
  const [next, setNext] = useState(
    /** @type {Omit<Slot, 'weekday'>} */ ({ from: '08:00', to: '08:00', person: '', deputy: '' }),
  );
  /** @param {Slot[]} list */
  const set = list => editing.set('rota.slots', list);
  return h(
    'fieldset',
    null,
    h('legend', null, tr('Rota')),
    h(
      'p',
      { class: 'hint' },
      tr(
        'An end at or before the start is on the day after; the same time twice is a whole day. The deputy stands in when the first person is away.',
      ),
    ),
    h(
      'ul',
      { class: 'week' },
      WEEK.map(([weekday, name]) =>
        h(
          'li',
          { key: weekday },
          h('span', { class: 'week-day' }, name),
          h(
            'div',
            { class: 'slots' },
            slots.map(
              (x, i) =>
                x.weekday === weekday &&
                h(
                  'span',
                  { class: 'stretch', key: i },
                  h(Small, {
                    label: tr('{name} from', { name }),
                    value: x.from,
                    set: from => set(changed(slots, i, { from })),
                    bad: isBad(editing, `rota.slots.${i}`),
                  }),
                  tr(' to '),
                  h(Small, {
                    label: tr('{name} to', { name }),
                    value: x.to,
                    set: to => set(changed(slots, i, { to })),
                  }),
                  h(Person, {
                    me,
                    label: tr('{name}, on duty', { name }),
                    none: tr('Choose…'),
                    value: x.person,
                    set: person => set(changed(slots, i, { person })),
                  }),
                  h(Person, {
                    me,
                    label: tr('{name}, deputy', { name }),
                    none: tr('No deputy'),
                    value: x.deputy,
                    set: deputy => set(changed(slots, i, { deputy })),
                  }),
                  h(Weeks, {
                    today: me.today,
                    label: tr('{name}, which weeks', { name }),
                    since: x.since ?? '',
                    set: since => set(changed(slots, i, { since: since || undefined })),
                  }),
                  h(Remove, {
                    label: tr('Remove {name} {from} to {to}', { name, from: x.from, to: x.to }),
                    act: () => set(changed(slots, i)),
                  }),
                ),
            ),
            !slots.some(x => x.weekday === weekday) && h('span', { class: 'quiet' }, tr('nobody')),
          ),
        ),
      ),
    ),
    !me.staff.length &&
      h(
        'p',
        { class: 'overdue' },
        tr('Add a clinician or somebody at the desk under Staff first: only they answer alerts.'),
      ),
    h(
      'div',
      { class: 'stretch inline-form no-print' },
      h(
        'select',
        { 'aria-label': tr('Days'), value: days, onChange: (/** @type {Event} */ e) => setDays(Number(typed(e))) },
        DAY_SETS.map(([name], i) => h('option', { value: i, key: name }, name)),
      ),
      h(Small, { label: tr('From'), value: next.from, set: from => setNext({ ...next, from }) }),
      tr(' to '),
      h(Small, { label: tr('To'), value: next.to, set: to => setNext({ ...next, to }) }),
      h(Person, {
        me,
        label: tr('On duty'),
        none: tr('On duty…'),
        value: next.person,
        set: person => setNext({ ...next, person }),
      }),
      h(Person, {
        me,
        label: tr('Deputy'),
        none: tr('No deputy'),
        value: next.deputy,
        set: deputy => setNext({ ...next, deputy }),
      }),
      h(Weeks, {
        today: me.today,
        label: tr('Which weeks'),
        since: next.since ?? '',
        set: since => setNext({ ...next, since: since || undefined }),
      }),
      h(
        'button',
        {
          type: 'button',
          'data-test': 'slot-add',
          disabled: !next.person || !next.from || !next.to,
          onClick: () => set(withSlots(slots, DAY_SETS[days][1], next)),
        },
        tr('Add to the rota'),
      ),
    ),
    h(Faults, {
      editing,
      under: 'rota.slots',
      where: i => `${WEEK.find(([n]) => n === slots[i]?.weekday)?.[1] ?? tr('Rota')}: `,
    }),
  );
}

/**
 * Every week, or every second one, from this or the next.
 * @param {{label: string, today: string, since: string, set: (since: string) => void}} props since: a date of a week in which it holds
 */
function Weeks({ label, today, since, set }) {
  const now = dayNumber(today);
  const monday = (/** @type {number} */ n) => n - ((n + 3) % 7);
  const other = since ? ((monday(dayNumber(since)) - monday(now)) / 7) % 2 !== 0 : false;
  return h(
    'select',
    {
      'aria-label': label,
      value: !since ? '' : other ? 'next' : 'this',
      onChange: (/** @type {Event} */ e) => set({ '': '', this: dateOf(now), next: dateOf(now + 7) }[typed(e)] ?? ''),
    },
    h('option', { value: '' }, tr('every week')),
    h('option', { value: 'this' }, tr('every 2nd, this one too')),
    h('option', { value: 'next' }, tr('every 2nd, from the next')),
  );
}

/** Duties of single dates, which go before the weekly rota. @param {{me: Me, editing: Editing}} props */
export function SingleDates({ me, editing }) {
  const dates = editing.form.rota.dates;
  const [next, setNext] = useState({ date: '', from: '08:00', to: '08:00', person: '', deputy: '' });
  /** @param {typeof dates} list */
  const set = list => editing.set('rota.dates', list);
  return h(
    'fieldset',
    { class: 'beside' },
    h('legend', null, tr('Single dates, before the rota')),
    !dates.length && h('p', { class: 'quiet' }, tr('No dates yet.')),
    dates.length > 0 &&
      h(
        'ul',
        { class: 'week' },
        dates.map((x, i) =>
          h(
            'li',
            { key: i, class: 'stretch' },
            h(Small, {
              kind: 'date',
              label: tr('Date {i}', { i: i + 1 }),
              value: x.date,
              set: date => set(changed(dates, i, { date })),
              bad: isBad(editing, `rota.dates.${i}`),
            }),
            h(Small, {
              label: tr('Date {i}, from', { i: i + 1 }),
              value: x.from,
              set: from => set(changed(dates, i, { from })),
            }),
            tr(' to '),
            h(Small, {
              label: tr('Date {i}, to', { i: i + 1 }),
              value: x.to,
              set: to => set(changed(dates, i, { to })),
            }),
            h(Person, {
              me,
              label: tr('Date {i}, on duty', { i: i + 1 }),
              none: tr('Choose…'),
              value: x.person,
              set: person => set(changed(dates, i, { person })),
            }),
            h(Person, {
              me,
              label: tr('Date {i}, deputy', { i: i + 1 }),
              none: tr('No deputy'),
              value: x.deputy,
              set: deputy => set(changed(dates, i, { deputy })),
            }),
            h(Remove, { label: tr('Remove date {i}', { i: i + 1 }), act: () => set(changed(dates, i)) }),
          ),
        ),
      ),
    h(
      'div',
      { class: 'stretch inline-form no-print' },
      h('input', {
        type: 'date',
        'aria-label': tr('Single date'),
        'data-test': 'date-new',
        value: next.date,
        onInput: (/** @type {Event} */ e) => setNext({ ...next, date: typed(e) }),
      }),
      h(Small, { label: tr('Single date, from'), value: next.from, set: from => setNext({ ...next, from }) }),
      tr(' to '),
      h(Small, { label: tr('Single date, to'), value: next.to, set: to => setNext({ ...next, to }) }),
      h(Person, {
        me,
        label: tr('Single date, on duty'),
        none: tr('On duty…'),
        value: next.person,
        set: person => setNext({ ...next, person }),
      }),
      h(Person, {
        me,
        label: tr('Single date, deputy'),
        none: tr('No deputy'),
        value: next.deputy,
        set: deputy => setNext({ ...next, deputy }),
      }),
      h(
        'button',
        {
          type: 'button',
          'data-test': 'date-add',
          disabled: !next.date || !next.person,
          onClick: () => {
            set([...dates, next]);
            setNext({ ...next, date: '' });
          },
        },
        tr('Add the date'),
      ),
    ),
    h(Faults, { editing, under: 'rota.dates' }),
  );
}

/** Dates on which the Sunday rota holds. @param {{editing: Editing}} props */
export function Holidays({ editing }) {
  const dates = editing.form.rota.holidays;
  const closed = editing.form.practice.contacts.closed.filter(d => !dates.includes(d));
  const [next, setNext] = useState('');
  /** @param {string[]} list */
  const set = list => editing.set('rota.holidays', [...new Set(list)].sort());
  return h(
    'fieldset',
    { class: 'beside' },
    h('legend', null, tr('Holidays: the rota of Sunday holds')),
    dates.length
      ? h(
          'ul',
          { class: 'week' },
          dates.map((d, i) =>
            h(
              'li',
              { key: d, class: 'stretch' },
              day(d),
              h(Remove, { label: tr('Remove holiday {d}', { d }), act: () => set(changed(dates, i)) }),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, tr('No dates yet.')),
    h(
      'p',
      { class: 'stretch no-print' },
      h('input', {
        type: 'date',
        'aria-label': tr('Another holiday'),
        'data-test': 'holiday-new',
        value: next,
        onInput: (/** @type {Event} */ e) => setNext(typed(e)),
      }),
      h(
        'button',
        {
          type: 'button',
          'data-test': 'holiday-add',
          disabled: !next,
          onClick: () => {
            set([...dates, next]);
            setNext('');
          },
        },
        tr('Add the date'),
      ),
      closed.length > 0 &&
        h(
          'button',
          { type: 'button', onClick: () => set([...dates, ...closed]) },
          tr('Take over the {n} closed dates', { n: closed.length }),
        ),
    ),
    h(Faults, { editing, under: 'rota.holidays' }),
  );
}

/** Who is away. @param {{me: Me, editing: Editing}} props */
export function Absences({ me, editing }) {
  const off = editing.form.rota.off;
  const [next, setNext] = useState({ person: '', from: '', to: '' });
  /** @param {Absence[]} list */
  const set = list => editing.set('rota.off', list);
  return h(
    'fieldset',
    { class: 'beside' },
    h('legend', null, tr('Away, both dates included')),
    off.length
      ? h(
          'ul',
          { class: 'week' },
          off.map((x, i) =>
            h(
              'li',
              { key: i, class: 'stretch' },
              h(Person, {
                me,
                label: tr('Away {i}', { i: i + 1 }),
                none: tr('Choose…'),
                value: x.person,
                set: person => set(changed(off, i, { person })),
              }),
              h(Small, {
                kind: 'date',
                label: tr('Away {i}, from', { i: i + 1 }),
                value: x.from,
                set: from => set(changed(off, i, { from })),
                bad: isBad(editing, `rota.off.${i}`),
              }),
              tr(' to '),
              h(Small, {
                kind: 'date',
                label: tr('Away {i}, to', { i: i + 1 }),
                value: x.to,
                set: to => set(changed(off, i, { to })),
              }),
              h(Remove, { label: tr('Remove absence {i}', { i: i + 1 }), act: () => set(changed(off, i)) }),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, tr('Nobody.')),
    h(
      'div',
      { class: 'stretch inline-form no-print' },
      h(Person, {
        me,
        label: tr('Away'),
        none: tr('Who…'),
        value: next.person,
        set: person => setNext({ ...next, person }),
      }),
      h('input', {
        type: 'date',
        'aria-label': tr('Away from'),
        value: next.from,
        onInput: (/** @type {Event} */ e) => setNext({ ...next, from: typed(e) }),
      }),
      tr(' to '),
      h('input', {
        type: 'date',
        'aria-label': tr('Away to'),
        value: next.to,
        onInput: (/** @type {Event} */ e) => setNext({ ...next, to: typed(e) }),
      }),
      h(
        'button',
        {
          type: 'button',
          disabled: !next.person || !next.from || !next.to,
          onClick: () => {
            set([...off, next]);
            setNext({ person: '', from: '', to: '' });
          },
        },
        tr('Add'),
      ),
    ),
    h(Faults, { editing, under: 'rota.off' }),
  );
}
