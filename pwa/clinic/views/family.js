// A family: its people, their devices, and invitations by code and QR.

import * as api from '../api.js';
import { Field, FormFault, h, Trouble, useAction, useEffect, useLoad, useState } from '../dom.js';
import { dated, day, LANGUAGES, moment, title } from '../format.js';
import { Qr } from '../../ui/qr-view.js';
import { tel } from '../../ui/tel.js';
import { link, wearerPage } from '../route.js';
import { Invitations } from './invitations.js';
import { OnRecord } from './consent.js';
import { AddPerson, AddWearer, ChangeFamily, ChangePerson, ChangeWearer } from './members.js';
import { Unlikely } from './number-field.js';
import { Record } from './record.js';
import { say } from '../said.js';
import { point, tr } from '../text.js';

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
      h('h2', null, tr('Wears lenses')),
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
            w.birth && h('span', { class: 'quiet' }, tr(' · born {date}', { date: day(w.birth) })),
            ' ',
            h(ChangeWearer, { family: f, wearer: w, done: got.reload }),
          ),
        ),
      ),
      h('div', { class: 'buttons no-print' }, h(AddWearer, { family: f, done: got.reload })),
    ),
    !f.people.some(p => p.devices.some(d => d.messages)) &&
      h(
        'p',
        { class: 'overdue', 'data-test': 'no-messages' },
        tr(
          'No phone of this family takes messages: no reminder reaches them, and no word rings. Help them to turn notifications on.',
        ),
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
    h('h2', null, person.name, h('span', { class: 'quiet' }, ` ${title(person.role).toLowerCase()}`)),
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
                d.revoked
                  ? tr(' · taken out of use')
                  : tr(' · last heard {date} ', { date: dated(d.last_seen, me.practice.zone) }),
                !d.revoked && !d.messages && tr('· takes no messages '),
              ),
              !d.revoked &&
                h(
                  'button',
                  {
                    type: 'button',
                    'aria-label': `${tr('Take out of use')}${point(': ')}${d.name}${point(', ')}${person.name}`,
                    onClick: () =>
                      action.run(async () => {
                        await api.revokeDevice(d.id);
                        say(tr('{name} is out of use.', { name: d.name }));
                        reload();
                      }),
                  },
                  tr('Take out of use'),
                ),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, tr('No device has joined.')),
    person.invited_until &&
      !invitation &&
      h(
        'p',
        { class: 'quiet' },
        tr('An invitation is open until {date}.', { date: moment(person.invited_until, me.practice.zone) }),
      ),
    h(OnRecord, { me, family, person, done: reload }),
    h(
      'div',
      { class: 'buttons no-print' },
      h(
        'button',
        {
          type: 'button',
          'data-test': 'invite',
          'aria-label': `${tr('New invitation')}${point(': ')}${person.name}`,
          disabled: action.busy,
          onClick: () => action.run(async () => setInvitation(await api.invite(family.id, person.id))),
        },
        tr('New invitation'),
      ),
      h(ChangePerson, { family, person, done: reload }),
    ),
    action.error &&
      h(
        'div',
        { class: 'field-error lines', role: 'alert', 'data-test': 'invite-refused' },
        h('p', null, action.error.message),
        action.error.code === 'not-ready' && h('p', null, h('a', { href: link('check') }, tr('Open the daily check'))),
      ),
    invitation &&
      h(Ticket, {
        invitation,
        key: invitation.code,
        name: person.name,
        practice: me.practice,
        done: () => {
          setInvitation(null);
          reload();
        },
      }),
  );
}

/** @param {HTMLElement|null} el */
const focusIt = el => el?.focus();

/** What an invitation says, once: whoever asked for it is led to it. @param {{invitation: Invitation, name: string, practice: Me['practice'], done: () => void}} props */
export function Ticket({ invitation, name, practice, done }) {
  useEffect(() => {
    say(tr('New invitation for {name}. Code: {code}.', { name, code: invitation.code }));
    return () => say(''); // the code is nobody's on the next page
  }, []);
  return h(
    'div',
    { class: 'ticket', 'data-test': 'ticket' },
    h(Qr, { text: new URL(invitation.url, location.origin).href, label: tr('QR code of the invitation') }),
    h(
      'div',
      null,
      h('h3', { tabIndex: -1, ref: focusIt }, tr('Invitation for {name}', { name })),
      h(
        'p',
        null,
        tr('For {name}. Scan it with the phone’s camera, or open {host} in its browser and type this code:', {
          name,
          host: location.host,
        }),
      ),
      h('p', { class: 'invite-code', 'data-test': 'invite-code' }, invitation.code),
      h(
        'p',
        { class: 'quiet' },
        tr('Works once, until {date}.', { date: moment(invitation.expires, practice.zone) }),
        h('span', { class: 'no-print' }, tr(' It is shown only now.')),
      ),
      h(
        'p',
        { class: 'only-print' },
        tr('{name}{more}. For this person alone. Too late, or lost? Ask us for a new one.', {
          name: practice.name,
          more: practice.phone ? `${point(', ')}${practice.phone}` : '',
        }),
      ),
      h('button', { type: 'button', class: 'no-print', onClick: () => print() }, tr('Print')),
      ' ',
      h('button', { type: 'button', class: 'no-print', onClick: done }, tr('Done')),
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
    h('h1', null, tr('Families')),
    h(
      'p',
      null,
      tr('To invite somebody of a family you have, find the wearer under '),
      h('a', { href: link('wearers') }, tr('Wearers')),
      tr(' and open Family.'),
    ),
    h(
      'form',
      {
        class: 'card',
        'data-test': 'add-family',
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          save(false);
        },
      },
      h('h2', null, tr('Add a family')),
      h(
        'div',
        { class: 'grid' },
        input('name', tr('Name of the family'), { required: true }),
        input('wearer', tr('Who wears lenses'), { required: true }),
        input('code', tr('Code at the practice'), { required: true }, tr('Shown beside the name.')),
        input('birth', tr('Born'), { type: 'date', max: me.today }),
        input('parent', tr('Parent or guardian'), { required: true }),
        input('phone', tr('Telephone'), { type: 'tel', required: true }, tr('Such as +44 20 7946 0202.')),
        input('second', tr('Second contact'), {}, tr('Phoned when no parent answers. May be empty.')),
        input('secondPhone', tr('Telephone of the second contact'), { type: 'tel' }),
        h(
          Field,
          { label: tr('Language spoken best') },
          h(
            'select',
            {
              value: form.language,
              onChange: (/** @type {Event} */ e) =>
                setForm({ ...form, language: /** @type {HTMLSelectElement} */ (e.target).value }),
            },
            [['', tr('Not asked')], ...Object.entries(LANGUAGES)].map(([v, word]) => h('option', { value: v }, word)),
          ),
        ),
        input('zone', tr('Time zone at home'), { required: true }),
      ),
      h(
        'label',
        { class: 'switch' },
        h('input', { type: 'checkbox', checked: form.teen, onChange: () => setForm({ ...form, teen: !form.teen }) }),
        tr('The wearer writes entries too'),
      ),
      h(FormFault, { error: action.error }),
      h(Unlikely, {
        error: action.error,
        busy: action.busy,
        yes: () => save(true),
        word: tr('Yes, another child: add'),
      }),
      h('button', { class: 'primary', disabled: action.busy, 'data-test': 'add-family-send' }, title('add')),
    ),
  );
}
