// A family: its people, their devices, and invitations by code and QR.

import * as api from '../api.js';
import { Field, FormFault, h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { dated, day, LANGUAGES, moment, title } from '../format.js';
import { Qr } from '../../ui/qr-view.js';
import { tel } from '../../ui/tel.js';
import { link, wearerPage } from '../route.js';
import { Invitations } from './invitations.js';
import { AddPerson, AddWearer, ChangeFamily, ChangePerson, ChangeWearer } from './members.js';
import { Unlikely } from './number-field.js';
import { Record } from './record.js';

/** @import { Me, Invitation, Family as FamilyAnswer } from '../api.js' */
/** @import { Route } from '../route.js' */

/** @param {{me: Me, route: Route}} props */
export function Family({ me, route }) {
  return route.arg ? h(OneFamily, { me, id: route.arg }) : h(NewFamily, { me });
}

/** @param {{me: Me, id: string}} props */
function OneFamily({ me, id }) {
  const got = useLoad(() => api.family(id), id);
  const f = got.data;
  if (!f) return h(Trouble, { error: got.error, busy: got.busy, retry: got.reload });
  return h(
    'div',
    { class: 'family' },
    h('h1', null, f.name),
    h('p', { class: 'quiet' }, f.zone),
    h('div', { class: 'buttons no-print' }, h(ChangeFamily, { family: f, done: got.reload })),
    h(
      'section',
      { class: 'card', 'data-test': 'family-wearers' },
      h('h2', null, 'Wears lenses'),
      h(
        'ul',
        { class: 'rows' },
        f.wearers.map(w =>
          h(
            'li',
            { key: w.id },
            h('a', { href: link(wearerPage(me), w.id) }, w.name),
            ' ',
            h('span', { class: 'code' }, w.code),
            w.birth && h('span', { class: 'quiet' }, ` · born ${day(w.birth)}`),
            ' ',
            h(ChangeWearer, { family: f, wearer: w, done: got.reload }),
          ),
        ),
      ),
      h('div', { class: 'buttons no-print' }, h(AddWearer, { family: f, done: got.reload })),
    ),
    f.people.map(p => h(PersonCard, { key: p.id, me, family: f, person: p, reload: got.reload })),
    h('div', { class: 'buttons no-print' }, h(AddPerson, { family: f, done: got.reload })),
    h(Invitations, { me, family: f, key: `open ${got.busy}` }),
    h(Record, { me, family: f, reload: got.reload }),
  );
}

/** @param {{me: Me, family: FamilyAnswer, person: FamilyAnswer['people'][number], reload: () => void}} props */
function PersonCard({ me, family, person, reload }) {
  const [invitation, setInvitation] = useState(/** @type {Invitation|null} */ (null));
  const action = useAction();
  return h(
    'section',
    { class: 'card person', 'data-test': 'person' },
    h('h2', null, person.name, h('span', { class: 'quiet' }, ` ${person.role}`)),
    person.phone && h('p', null, h('a', { href: tel(person.phone) }, person.phone)),
    person.devices.length
      ? h(
          'ul',
          { class: 'rows' },
          person.devices.map(d =>
            h(
              'li',
              null,
              d.name,
              h(
                'span',
                { class: 'quiet' },
                d.revoked ? ' · taken out of use' : ` · last heard ${dated(d.last_seen, me.practice.zone)} `,
              ),
              !d.revoked &&
                h(
                  'button',
                  {
                    type: 'button',
                    onClick: () =>
                      action.run(async () => {
                        await api.revokeDevice(d.id);
                        reload();
                      }),
                  },
                  'Take out of use',
                ),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, 'No device has joined.'),
    person.invited_until &&
      !invitation &&
      h('p', { class: 'quiet' }, `An invitation is open until ${moment(person.invited_until, me.practice.zone)}.`),
    h(
      'div',
      { class: 'buttons no-print' },
      h(
        'button',
        {
          type: 'button',
          'data-test': 'invite',
          disabled: action.busy,
          onClick: () => action.run(async () => setInvitation(await api.invite(family.id, person.id))),
        },
        'New invitation',
      ),
      h(ChangePerson, { family, person, done: reload }),
    ),
    action.error &&
      h(
        'div',
        { class: 'field-error lines', role: 'alert', 'data-test': 'invite-refused' },
        h('p', null, action.error.message),
        action.error.code === 'not-ready' && h('p', null, h('a', { href: link('check') }, 'Open the daily check')),
      ),
    invitation &&
      h(Ticket, {
        invitation,
        name: person.name,
        practice: me.practice,
        done: () => {
          setInvitation(null);
          reload();
        },
      }),
  );
}

/** @param {{invitation: Invitation, name: string, practice: Me['practice'], done: () => void}} props */
export function Ticket({ invitation, name, practice, done }) {
  return h(
    'div',
    { class: 'ticket', 'data-test': 'ticket' },
    h(Qr, { text: new URL(invitation.url, location.origin).href, label: 'QR code of the invitation' }),
    h(
      'div',
      null,
      h(
        'p',
        null,
        `For ${name}. Scan it with the phone’s camera, or open ${location.host} in its browser and type this code:`,
      ),
      h('p', { class: 'invite-code', 'data-test': 'invite-code' }, invitation.code),
      h(
        'p',
        { class: 'quiet' },
        `Works once, until ${moment(invitation.expires, practice.zone)}.`,
        h('span', { class: 'no-print' }, ' It is shown only now.'),
      ),
      h(
        'p',
        { class: 'only-print' },
        `${practice.name}${practice.phone ? `, ${practice.phone}` : ''}. For this person alone. Too late, or lost? Ask us for a new one.`,
      ),
      h('button', { type: 'button', class: 'no-print', onClick: () => print() }, 'Print'),
      ' ',
      h('button', { type: 'button', class: 'no-print', onClick: done }, 'Done'),
    ),
  );
}

/** @param {{me: Me}} props */
function NewFamily({ me }) {
  const [form, setForm] = useState({
    name: '',
    zone: me.practice.zone,
    wearer: '',
    code: '',
    birth: '',
    parent: '',
    phone: '',
    teen: false,
    language: '',
    second: '',
    secondPhone: '',
  });
  const action = useAction();
  /** @type {Record<string, string>} what the server calls each field, where it differs */
  const sent = {
    wearer: 'wearer.name',
    code: 'wearer.code',
    birth: 'wearer.birth',
    parent: 'people',
    second: 'second.name',
    secondPhone: 'second.phone',
  };
  /** @param {keyof typeof form} key @param {string} label @param {object} [more] @param {string} [hint] */
  const input = (key, label, more, hint) =>
    h(
      Field,
      { label, hint, error: action.error?.field === (sent[key] ?? key) ? action.error.message : undefined },
      h('input', {
        type: 'text',
        maxLength: 80,
        value: String(form[key]),
        onInput: (/** @type {Event} */ e) =>
          setForm({ ...form, [key]: /** @type {HTMLInputElement} */ (e.target).value }),
        ...more,
      }),
    );
  /** @param {boolean} sure */
  const save = sure => {
    const people = [{ name: form.parent, role: 'parent', phone: form.phone }];
    if (form.teen) people.push({ name: form.wearer, role: 'teen', phone: '' });
    action.run(async () => {
      const made = await api.newFamily({
        name: form.name,
        zone: form.zone,
        language: form.language,
        second: { name: form.second, phone: form.secondPhone },
        wearer: { name: form.wearer, code: form.code, birth: form.birth, sure },
        people,
      });
      location.hash = link('family', made.id);
    });
  };
  return h(
    'div',
    { class: 'family' },
    h('h1', null, 'Families'),
    h(
      'p',
      null,
      'To invite somebody of a family you have, find the wearer under ',
      h('a', { href: link('wearers') }, 'Wearers'),
      ' and open Family.',
    ),
    h(
      'form',
      {
        class: 'card',
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          save(false);
        },
      },
      h('h2', null, 'Add a family'),
      h(
        'div',
        { class: 'grid' },
        input('name', 'Name of the family', { required: true }),
        input('wearer', 'Who wears lenses', { required: true }),
        input('code', 'Code at the practice', { required: true }, 'Shown beside the name.'),
        input('birth', 'Born', { type: 'date', max: me.today }),
        input('parent', 'Parent or guardian', { required: true }),
        input('phone', 'Telephone', { type: 'tel', required: true }, 'Such as +44 20 7946 0202.'),
        input('second', 'Second contact', {}, 'Phoned when no parent answers. May be empty.'),
        input('secondPhone', 'Telephone of the second contact', { type: 'tel' }),
        h(
          Field,
          { label: 'Language spoken best' },
          h(
            'select',
            {
              value: form.language,
              onChange: (/** @type {Event} */ e) =>
                setForm({ ...form, language: /** @type {HTMLSelectElement} */ (e.target).value }),
            },
            [['', 'Not asked'], ...Object.entries(LANGUAGES)].map(([v, word]) => h('option', { value: v }, word)),
          ),
        ),
        input('zone', 'Time zone at home', { required: true }),
      ),
      h(
        'label',
        { class: 'switch' },
        h('input', { type: 'checkbox', checked: form.teen, onChange: () => setForm({ ...form, teen: !form.teen }) }),
        'The wearer writes entries too',
      ),
      h(FormFault, { error: action.error }),
      h(Unlikely, { error: action.error, busy: action.busy, yes: () => save(true), word: 'Yes, another child: add' }),
      h('button', { class: 'primary', disabled: action.busy }, title('add')),
    ),
  );
}
