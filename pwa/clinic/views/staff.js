// The people of the practice, for an administrator: who may sign in, and the
// one-time links that let somebody in the first time or after a lost device.

import * as api from '../api.js';
import { Field, FormFault, h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { moment, plural, title } from '../format.js';
import { tel } from '../../ui/tel.js';
import { confirming } from '../passkeys.js';
import { Keeping } from './keeping.js';
import { Reached } from './reached.js';
import { say } from '../said.js';
import { Small } from './small.js';
import { point, tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @typedef {import('../../api/types.d.ts').components['schemas']['NewStaff']} NewStaff */

const ROLES = Object.keys(
  /** @satisfies {Record<NewStaff['role'], true>} */ ({ clinician: true, desk: true, administrator: true }),
);

/** @param {HTMLElement|null} el */
const focusIt = el => el?.focus();

/** @param {{me: Me}} props */
export function Staff({ me }) {
  const got = useLoad(api.staff, 'staff');
  const [form, setForm] = useState({ name: '', role: 'clinician', mail: '', phone: '' });
  const [ticket, setTicket] = useState(/** @type {(api.StaffLink & {name: string, old: boolean})|null} */ (null));
  const action = useAction();
  const adding = useAction();
  const fault = (/** @type {string} */ key) => (adding.error?.field === key ? adding.error.message : undefined);
  const alone = got.data && !got.data.staff.some(s => !s.gone && s.id !== me.person.id && s.sessions + s.passkeys > 0);
  /** @param {string} name @param {() => Promise<api.StaffLink>} job @param {boolean} old whether an earlier sign-in goes on */
  const give = (name, job, by = action, old = false) =>
    by.run(async () => {
      setTicket({ ...(await confirming(job)), name, old });
      say(tr('One-time link for {name}', { name }));
      got.reload();
    });
  /** @param {'name'|'role'|'mail'|'phone'} key @returns {(e: Event) => void} */
  const take = key => e => setForm({ ...form, [key]: /** @type {HTMLInputElement} */ (e.target).value });
  return h(
    'div',
    { class: 'staff' },
    h('h1', null, tr('Staff')),
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
    ticket &&
      h(
        'section',
        { class: 'card', 'data-test': 'staff-link', key: ticket.url },
        h('h2', { tabIndex: -1, ref: focusIt }, tr('One-time link for {name}', { name: ticket.name })),
        h('p', { class: 'invite-code' }, ticket.url),
        h(
          'p',
          { class: 'quiet' },
          tr(
            'It opens when somebody else of the practice has confirmed it in their console, or by itself from {from}; then it works once, until {until} at the latest. Everybody of the practice is told. It is shown only now: hand it over in person. Whoever must be let in at once is let in at the server’s command line: staff link.',
            { from: moment(ticket.from, me.practice.zone), until: moment(ticket.expires, me.practice.zone) },
          ),
        ),
        ticket.old && h(Old, { name: ticket.name, end: () => give(ticket.name, () => api.lostStaff(ticket.id)) }),
      ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('Staff') },
      h(
        'table',
        { class: 'list stack' },
        h(
          'tbody',
          null,
          got.data?.staff
            .filter(s => !s.gone)
            .map(s =>
              h(
                'tr',
                { key: s.id },
                h('th', { scope: 'row' }, s.name),
                h('td', null, title(s.role)),
                h(
                  'td',
                  null,
                  h(Reached, { of: s, zone: me.practice.zone, look: got.reload }),
                  s.phone && h('div', null, h('a', { href: tel(s.phone) }, s.phone)),
                ),
                h(
                  'td',
                  { class: 'quiet' },
                  tr('{passkeys}, {browsers} signed in', {
                    passkeys: plural(s.passkeys, 'passkey', 'passkeys'),
                    browsers: plural(s.sessions, 'browser', 'browsers'),
                  }),
                ),
                h(
                  'td',
                  null,
                  h(
                    'div',
                    { class: 'buttons' },
                    h(
                      'button',
                      {
                        type: 'button',
                        'aria-label': `${tr('New link')}${point(': ')}${s.name}`,
                        onClick: () =>
                          give(
                            s.name,
                            () => api.linkStaff(s.id),
                            action,
                            s.id !== me.person.id && s.sessions + s.passkeys > 0,
                          ),
                      },
                      tr('New link'),
                    ),
                    h(Small, {
                      open: tr('Correct'),
                      of: s.name,
                      word: tr('Save'),
                      test: 'change-staff',
                      start: { name: s.name, role: s.role, mail: s.mail, phone: s.phone },
                      done: got.reload,
                      more: tr(
                        'A role that reads more waits a day, or until somebody else of the practice has confirmed it.',
                      ),
                      rows: [
                        { key: 'name', label: tr('Name'), need: true },
                        ...(s.id === me.person.id
                          ? []
                          : [
                              {
                                key: 'role',
                                label: tr('Role'),
                                list: ROLES.map(r => /** @type {[string, string]} */ ([r, title(r)])),
                              },
                            ]),
                        { key: 'mail', label: tr('Mail for alerts'), type: 'email' },
                        { key: 'phone', label: tr('Telephone for colleagues'), type: 'tel' },
                      ],
                      save: v =>
                        confirming(() =>
                          api.changeStaff(s.id, { name: v.name, role: v.role, mail: v.mail, phone: v.phone }),
                        ),
                    }),
                    s.id !== me.person.id &&
                      h(Leaver, {
                        name: s.name,
                        drop: () =>
                          action.run(async () => {
                            await confirming(() => api.dropStaff(s.id));
                            got.reload();
                          }),
                      }),
                  ),
                ),
              ),
            ),
        ),
      ),
    ),
    (got.data || got.error) &&
      h(
        'form',
        {
          class: 'card',
          onSubmit: (/** @type {Event} */ e) => {
            e.preventDefault();
            give(form.name, () => api.addStaff(form), adding);
          },
        },
        h('h2', null, tr('Add somebody')),
        alone &&
          h(
            'p',
            { 'data-test': 'staff-alone' },
            tr(
              'Nobody else of the practice has signed in, so nobody can confirm whom you add here: the link opens after 24 hours. At the server’s command line, staff add -role clinician lets somebody in at once.',
            ),
          ),
        h(
          'div',
          { class: 'grid' },
          h(
            Field,
            { label: tr('Name'), error: fault('name') },
            h('input', { type: 'text', required: true, maxLength: 80, value: form.name, onInput: take('name') }),
          ),
          h(
            Field,
            { label: tr('Role'), error: fault('role') },
            h(
              'select',
              { value: form.role, onChange: take('role') },
              ROLES.map(r => h('option', { value: r }, title(r))),
            ),
          ),
          h(
            Field,
            { label: tr('Mail for alerts'), error: fault('mail') },
            h('input', { type: 'email', maxLength: 120, value: form.mail, onInput: take('mail') }),
          ),
          h(
            Field,
            { label: tr('Telephone for colleagues'), error: fault('phone') },
            h('input', { type: 'tel', maxLength: 40, value: form.phone, onInput: take('phone') }),
          ),
        ),
        h(FormFault, { error: adding.error }),
        h(
          'div',
          { class: 'buttons' },
          h('button', { class: 'primary', disabled: adding.busy }, tr('Add and make a link')),
        ),
      ),
    (got.data || got.error) && h(Keeping, { me }),
  );
}

/** A new link ends nothing by itself: a lost device would go on. @param {{name: string, end: () => void}} props */
const Old = ({ name, end }) =>
  h(
    'div',
    { class: 'warn-box', 'data-test': 'staff-old' },
    h(
      'p',
      null,
      tr(
        'The browsers where {name} is signed in and the passkeys stay good beside this link. If a device was lost, end them now: {name} then hears of no alert until the new link is used.',
        { name },
      ),
    ),
    h(
      'button',
      { type: 'button', class: 'danger', 'data-test': 'staff-lost', onClick: end },
      tr('Device lost: end all of it, and make another link'),
    ),
  );

/** Asks once more before everything of a person ends. @param {{name: string, drop: () => void}} props */
function Leaver({ name, drop }) {
  const [sure, setSure] = useState(false);
  return sure
    ? h(
        'button',
        { type: 'button', class: 'danger', onClick: drop },
        tr('Yes, {name} has left: end everything', { name }),
      )
    : h(
        'button',
        { type: 'button', 'aria-label': `${tr('Has left…')}${point(': ')}${name}`, onClick: () => setSure(true) },
        tr('Has left…'),
      );
}
