// Who is on duty over the next four weeks, and swaps: one asks, the other
// confirms, and only then the duty changes.

import * as api from '../api.js';
import { HeadRow, Trouble, h, useAction, useLoad, useState } from '../dom.js';
import { gapWords } from '../settings.js';
import { weekdayDate } from '../format.js';
import { tel } from '../../ui/tel.js';
import { tr } from '../text.js';
import { Unlikely } from './number-field.js';

/** @import { DutyList, Me } from '../api.js' */
/** @typedef {DutyList['duties'][number]} Duty */

/** @param {{me: Me}} props */
export function Duties({ me }) {
  const got = useLoad(api.duties, 'duties');
  const [of, setOf] = useState('');
  return h(
    'div',
    { class: 'duties' },
    h('h1', null, tr('Duties'), h('span', { class: 'quiet' }, tr(' the next 28 days'))),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data?.asks.map(ask => h(Ask, { key: ask.id, ask, me, again: got.reload })),
    got.data &&
      h(
        'table',
        { class: 'list stack' },
        h(HeadRow, { cells: [tr('When'), tr('On duty'), tr('Deputy'), ''] }),
        h(
          'tbody',
          null,
          got.data.duties.map(d =>
            h(
              'tr',
              { key: d.from, 'data-test': 'duty-row' },
              h(
                'th',
                { scope: 'row', class: 'date' },
                gapWords({ from: d.from, to: d.to, hours: true }, me.practice.zone),
              ),
              h('td', { 'data-is': tr('On duty') }, d.name, d.phone && [' ', h('a', { href: tel(d.phone) }, d.phone)]),
              h('td', { 'data-is': tr('Deputy') }, d.deputy_name),
              h(
                'td',
                null,
                (d.person === me.person.id || d.deputy === me.person.id) &&
                  h(
                    'button',
                    {
                      type: 'button',
                      'data-test': 'swap',
                      'aria-expanded': of === d.from,
                      onClick: () => setOf(of === d.from ? '' : d.from),
                    },
                    tr('Swap…'),
                  ),
                of === d.from &&
                  h(Propose, {
                    duty: d,
                    me,
                    all: got.data?.duties ?? [],
                    done: () => {
                      setOf('');
                      got.reload();
                    },
                  }),
              ),
            ),
          ),
        ),
      ),
    got.data && !got.data.duties.length && h('p', { class: 'quiet' }, tr('Nobody is on the rota.')),
  );
}

/** What waits for a word. @param {{ask: DutyList['asks'][number], me: Me, again: () => void}} props */
function Ask({ ask, me, again }) {
  const action = useAction();
  const mine = ask.with === me.person.id;
  const back = ask.back
    ? tr('{more} {date} for it.', { more: mine ? tr('They take') : tr('You take'), date: weekdayDate(ask.back) })
    : tr('Nothing is asked for in return.');
  /** @param {() => Promise<unknown>} job */
  const settle = job => () =>
    action.run(async () => {
      await job();
      again();
    });
  return h(
    'div',
    { class: 'card', 'data-test': 'swap-ask' },
    h(
      'p',
      null,
      h(
        'b',
        null,
        mine
          ? tr('{by_name} asks you to take {date}.', { by_name: ask.by_name, date: weekdayDate(ask.on) })
          : tr('You asked {with_name} to take {date}.', { with_name: ask.with_name, date: weekdayDate(ask.on) }),
      ),
      ` ${back} ${mine ? tr('Nothing changes until you confirm.') : tr('Nothing changes until they confirm.')}`,
    ),
    ask.alone.length > 0 &&
      h(
        'p',
        { class: 'warn-box', 'data-test': 'swap-alone' },
        tr('Nobody would be the deputy then: {dates}.', { dates: ask.alone.map(weekdayDate).join(', ') }),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(
      'p',
      { class: 'buttons' },
      mine &&
        h(
          'button',
          {
            type: 'button',
            class: 'primary',
            'data-test': 'swap-accept',
            disabled: action.busy,
            onClick: settle(() => api.acceptSwap(ask.id)),
          },
          tr('I take it'),
        ),
      h(
        'button',
        {
          type: 'button',
          'data-test': 'swap-drop',
          disabled: action.busy,
          onClick: settle(() => api.dropSwap(ask.id)),
        },
        mine ? tr('No') : tr('Withdraw'),
      ),
    ),
  );
}

/** @param {{duty: Duty, me: Me, all: Duty[], done: () => void}} props */
function Propose({ duty, me, all, done }) {
  const others = me.staff.filter(s => s.id !== me.person.id && s.role !== 'administrator');
  const [who, setWho] = useState('');
  const [back, setBack] = useState('');
  const action = useAction();
  const theirs = all.filter(d => d.person === who && d.start !== duty.start);
  const ask = (/** @type {boolean} */ sure) =>
    action.run(async () => {
      await api.askSwap({ with: who, on: duty.start, sure, ...(back ? { back } : {}) });
      done();
    });
  /** @param {(text: string) => void} set */
  const take = set => (/** @type {Event} */ e) => set(/** @type {HTMLSelectElement} */ (e.target).value);
  return h(
    'form',
    {
      class: 'inline-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        ask(false);
      },
    },
    h(
      'label',
      null,
      tr('Who takes it'),
      h(
        'select',
        { value: who, required: true, 'data-test': 'swap-with', onChange: take(setWho) },
        h('option', { value: '' }, tr('Choose…')),
        others.map(s => h('option', { value: s.id }, s.name)),
      ),
    ),
    h(
      'label',
      null,
      tr('And I take for it'),
      h(
        'select',
        { value: back, 'data-test': 'swap-back', onChange: take(setBack) },
        h('option', { value: '' }, tr('nothing')),
        theirs.map(d =>
          h('option', { value: d.start }, gapWords({ from: d.from, to: d.to, hours: true }, me.practice.zone)),
        ),
      ),
    ),
    h('button', { class: 'primary', 'data-test': 'swap-ask-now', disabled: action.busy || !who }, tr('Ask')),
    h(Unlikely, {
      error: action.error,
      busy: action.busy,
      yes: () => ask(true),
      word: tr('Yes, ask them all the same'),
    }),
    action.error &&
      action.error.code !== 'unlikely' &&
      h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
