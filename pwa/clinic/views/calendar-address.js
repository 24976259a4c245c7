// The practice's address for calendar programs. It is a secret: whoever has it
// sees the appointments, by code.

import * as api from '../api.js';
import { h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { moment } from '../format.js';
import { confirming } from '../passkeys.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */

/** @param {{me: Me}} props */
export function CalendarAddress({ me }) {
  const got = useLoad(api.calendar, 'calendar');
  const [address, setAddress] = useState('');
  const action = useAction();
  const made = got.data?.made;
  return h(
    'section',
    { class: 'card calendar-room no-print', 'data-test': 'calendar-address' },
    h('h2', null, tr('In a calendar program')),
    h(
      'p',
      null,
      tr(
        'A secret address shows booked visits in a calendar program, by code and without a name. A family makes its own in the app.',
      ),
    ),
    h(Trouble, { error: got.error ?? action.error, busy: got.busy && !got.data }),
    address && h('p', { class: 'invite-code address' }, address),
    address
      ? h('p', { class: 'quiet' }, tr('It is shown only now. A new one ends the one before.'))
      : made && h('p', { class: 'quiet' }, tr('There is one, made {date}.', { date: moment(made, me.practice.zone) })),
    h(
      'p',
      { class: 'buttons no-print' },
      h(
        'button',
        {
          type: 'button',
          disabled: action.busy,
          onClick: () =>
            action.run(async () => {
              setAddress((await confirming(api.newCalendar)).address);
              got.reload();
            }),
        },
        made ? tr('Make a new address') : tr('Make an address'),
      ),
      made &&
        h(
          'button',
          {
            type: 'button',
            disabled: action.busy,
            onClick: () =>
              action.run(async () => {
                await confirming(api.endCalendar);
                setAddress('');
                got.reload();
              }),
          },
          tr('End it'),
        ),
    ),
  );
}
