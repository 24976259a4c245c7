// An emergency that nobody has taken stands on top of whatever page is open, with
// its number and "I have this". It takes no focus: somebody may be typing. That it
// came is said by the live region (said.js).

import * as api from '../api.js';
import { h, useAction, useLayoutEffect, useRef, useState } from '../dom.js';
import { ago, eyes, moment, reached } from '../format.js';
import { inOrder } from '../queue.js';
import { link, wearerPage } from '../route.js';
import { say } from '../said.js';
import { Waits } from './waits.js';
import { tel } from '../../ui/tel.js';
import { point, tr } from '../text.js';

/** @import { Alert, Me } from '../api.js' */

/** Alerts taken in the banner that stay in it, until their card is opened. @type {Set<string>} */
const taken = new Set();

/** @param {{alerts: Alert[], me: Me, now: number, ask: () => Promise<void>}} props */
export function Arrived({ alerts, me, now, ask }) {
  const [, again] = useState(0);
  const waiting = inOrder(alerts).filter(
    a => a.level === 'emergency' && (a.state === 'open' || (a.state === 'acknowledged' && taken.has(a.id))),
  );
  const box = useRef(/** @type {HTMLElement|null} */ (null));
  // How much of the page it lies over: what has the focus is scrolled clear of it.
  useLayoutEffect(() => {
    document.documentElement.style.scrollPaddingBlockStart = `${box.current?.offsetHeight ?? 0}px`;
  });
  /** @param {string} id */
  const stay = id => again(taken.add(id).size);
  return h(
    'div',
    { class: 'arrived', ref: box, role: 'region', 'aria-label': tr('Emergencies nobody has taken') },
    waiting.map(alert => h(One, { key: alert.id, alert, me, now, ask, stay })),
  );
}

/** @param {Alert} alert taken @param {Me} me @returns {string} who has it: a press alone makes nobody its holder */
const holder = ({ ack_by_name, ack_at }, me) =>
  ack_by_name === me.person.name
    ? tr('You have this.')
    : tr('{ack_by_name} has this since {date}.{handed}{more}', {
        ack_by_name,
        date: moment(ack_at ?? '', me.practice.zone),
        handed: '',
        more: '',
      });

/** Forms in which something was typed or chosen. @type {WeakSet<HTMLFormElement>} */
const touched = new WeakSet();
document.addEventListener('input', e => {
  const { form, type } = /** @type {HTMLInputElement} */ (e.target);
  if (form && type !== 'search') touched.add(form);
});

/** Whether something is typed on the page that leaving it would lose. */
const typing = () => [...document.querySelectorAll('form')].some(f => touched.has(f) && f.closest('main'));

/**
 * Once taken it leads to its card with the number to dial. Where something is being
 * typed it stays a banner, so that nothing of that is lost.
 * @param {{alert: Alert, me: Me, now: number, ask: () => Promise<void>, stay: (id: string) => void}} props
 */
function One({ alert, me, now, ask, stay }) {
  const action = useAction();
  const desk = me.person.role !== 'clinician';
  const contact = (alert.contact ?? []).find(c => c.phone);
  /** Whom a button is about: two emergencies have the same. @param {string} words */
  const about = words => `${words}${point(': ')}${alert.wearer_name}`;
  const take = () =>
    action.run(async () => {
      const here = typing();
      if (here) stay(alert.id);
      try {
        await api.acknowledge(alert.id);
      } catch (e) {
        stay(alert.id); // somebody was first: the banner stays on every page and says who
        throw e;
      } finally {
        await ask(); // refused or not, the banner says who has it by the server's word
      }
      if (!here) location.hash = link('today', alert.id);
      say(
        `${desk ? tr('The desk has phoned') : tr('You have this')}${point(': ')}${alert.title}${point(', ')}${alert.wearer_name}.`,
      );
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
      alert.age && `${point(', ')}${alert.age}`,
      ' ',
      h('span', { class: 'code' }, alert.wearer_code),
      contact && ` · ${contact.name}`,
    ),
    h(Waits, { alert, me, now }),
    h(
      'p',
      { class: 'buttons' },
      contact
        ? h('a', { class: 'dial', href: tel(contact.phone) }, h('strong', null, contact.phone))
        : h('span', { class: 'field-error' }, tr('The family has left no telephone number.')),
      alert.state === 'acknowledged' && h('b', { 'data-test': 'arrived-taken' }, holder(alert, me)),
      alert.state === 'open' &&
        !(desk && alert.desk_name) &&
        h(
          'button',
          {
            type: 'button',
            class: 'primary',
            'data-test': 'arrived-take',
            'aria-label': about(desk ? tr('Desk has phoned') : tr('I have this')),
            disabled: action.busy,
            onClick: take,
          },
          desk ? tr('Desk has phoned') : tr('I have this'),
        ),
      h(
        'a',
        {
          class: 'button',
          href: link('today', alert.id),
          'aria-label': about(tr('Open')),
          onClick: () => taken.delete(alert.id),
        },
        tr('Open'),
      ),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
