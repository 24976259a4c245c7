// The invitations one has made oneself for a family, while they can be used.

import * as api from '../api.js';
import { h, useAction, useLoad } from '../dom.js';
import { moment } from '../format.js';
import { say } from '../said.js';
import { point, tr } from '../text.js';

/** @import { Family, Me } from '../api.js' */

/** @param {{me: Me, family: Family}} props */
export function Invitations({ me, family }) {
  const got = useLoad(api.invitations, `invitations ${family.id}`);
  const action = useAction();
  const open = (got.data?.invitations ?? []).filter(i => family.people.some(p => p.id === i.person));
  if (!open.length) return null;
  return h(
    'section',
    { class: 'card', 'data-test': 'invitations' },
    h('h2', null, tr('Open invitations you have made')),
    h(
      'ul',
      { class: 'rows' },
      open.map(i =>
        h(
          'li',
          { key: i.id },
          tr('{name}, until {date} ', { name: i.name, date: moment(i.expires, me.practice.zone) }),
          h(
            'button',
            {
              type: 'button',
              'aria-label': `${tr('Withdraw')}${point(': ')}${i.name}`,
              disabled: action.busy,
              onClick: () =>
                action.run(async () => {
                  await api.withdraw(i.id);
                  say(tr('The invitation of {name} is withdrawn.', { name: i.name }));
                  got.reload();
                }),
            },
            tr('Withdraw'),
          ),
        ),
      ),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
