// An emergency that nobody has taken stands on top of whatever page is open, with
// its number and "I have this". It takes no focus: somebody may be typing. That it
// came is said by the live region (said.js).

import * as api from '../api.js';
import { h, useAction } from '../dom.js';
import { ago, eyes, reached } from '../format.js';
import { inOrder } from '../queue.js';
import { link, wearerPage } from '../route.js';
import { say } from '../said.js';
import { tel } from '../../ui/tel.js';
import { tr } from '../text.js';

/** @import { Alert, Me } from '../api.js' */

/** @param {{alerts: Alert[], me: Me, now: number, ask: () => Promise<void>}} props */
export function Arrived({ alerts, me, now, ask }) {
  const waiting = inOrder(alerts).filter(a => a.level === 'emergency' && a.state === 'open');
  return h(
    'div',
    { class: 'arrived', role: 'region', 'aria-label': tr('Emergencies nobody has taken') },
    waiting.map(alert => h(One, { key: alert.id, alert, me, now, ask })),
  );
}

/** @param {{alert: Alert, me: Me, now: number, ask: () => Promise<void>}} props */
function One({ alert, me, now, ask }) {
  const action = useAction();
  const desk = me.person.role !== 'clinician';
  const contact = (alert.contact ?? []).find(c => c.phone);
  const take = () =>
    action.run(async () => {
      await api.acknowledge(alert.id);
      await ask();
      location.hash = link('today', alert.id); // its card, with the number to dial: the banner goes
      say(`${desk ? tr('The desk has phoned') : tr('You have this')}: ${alert.title}, ${alert.wearer_name}.`);
    });
  return h(
    'article',
    { class: 'arrival', 'data-test': 'arrived', 'data-arrived': alert.id },
    h(
      'p',
      null,
      h('span', { class: 'level' }, tr('▲ Emergency, {ago}: ', { ago: ago(reached(alert), now) })),
      h('b', null, alert.title, alert.eye && ` · ${eyes(alert.eye)}`),
      h('br', null),
      h('a', { href: link(wearerPage(me), alert.wearer) }, alert.wearer_name),
      alert.age && `, ${alert.age}`,
      ' ',
      h('span', { class: 'code' }, alert.wearer_code),
      contact && ` · ${contact.name}`,
    ),
    h(
      'p',
      { class: 'buttons' },
      contact
        ? h('a', { class: 'dial', href: tel(contact.phone) }, h('strong', null, contact.phone))
        : h('span', { class: 'field-error' }, tr('The family has left no telephone number.')),
      !(desk && alert.desk_name) &&
        h(
          'button',
          { type: 'button', class: 'primary', 'data-test': 'arrived-take', disabled: action.busy, onClick: take },
          desk ? tr('Desk has phoned') : tr('I have this'),
        ),
      h('a', { class: 'button', href: link('today') }, tr('Open')),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
