// One's own sign-in: passkeys and the browsers that are signed in.

import * as api from '../api.js';
import { h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { moment } from '../format.js';
import { addPasskey, canUsePasskeys, confirming } from '../passkeys.js';

/** @import { Me } from '../api.js' */

/** @param {{me: Me}} props */
export function Account({ me }) {
  const keys = useLoad(api.passkeys, 'passkeys');
  const sessions = useLoad(api.sessions, 'sessions');
  const [name, setName] = useState('');
  const action = useAction();
  const zone = me.practice.zone;
  /** @param {() => Promise<unknown>} job @param {() => void} after */
  const run = (job, after) =>
    action.run(async () => {
      await confirming(job);
      after();
    });
  const leave = () => {
    location.href = '/clinic';
  };
  return h(
    'div',
    { class: 'account' },
    h('h1', null, me.person.name),
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
    h(
      'section',
      { class: 'card' },
      h('h2', null, 'Passkeys'),
      h(Trouble, { error: keys.error, busy: keys.busy && !keys.data, retry: keys.reload }),
      keys.data &&
        !keys.data.passkeys.length &&
        h('p', null, 'You have none yet. Without one you need a new one-time link for every sign-in.'),
      h(
        'ul',
        { class: 'rows' },
        keys.data?.passkeys.map(k =>
          h(
            'li',
            { key: k.id },
            `${k.name}, made ${moment(k.created, zone)}${k.last_used ? `, last used ${moment(k.last_used, zone)}` : ''} `,
            h('button', { type: 'button', onClick: () => run(() => api.deletePasskey(k.id), keys.reload) }, 'Remove'),
          ),
        ),
      ),
      canUsePasskeys() &&
        h(
          'form',
          {
            class: 'inline-form',
            onSubmit: (/** @type {Event} */ e) => {
              e.preventDefault();
              run(
                () => addPasskey(name),
                () => {
                  setName('');
                  keys.reload();
                },
              );
            },
          },
          h(
            'label',
            { class: 'grow' },
            'Name of this device',
            h('input', {
              type: 'text',
              maxLength: 60,
              placeholder: 'such as Front desk',
              value: name,
              onInput: (/** @type {Event} */ e) => setName(/** @type {HTMLInputElement} */ (e.target).value),
            }),
          ),
          h('button', { class: 'primary', disabled: action.busy, 'data-test': 'passkey-add' }, 'Add a passkey here'),
        ),
    ),
    h(
      'section',
      { class: 'card' },
      h('h2', null, 'Signed in'),
      h(Trouble, { error: sessions.error, busy: sessions.busy && !sessions.data, retry: sessions.reload }),
      h(
        'ul',
        { class: 'rows' },
        sessions.data?.sessions.map(s =>
          h(
            'li',
            { key: s.id },
            `${s.name}${s.this ? ', this browser' : ''}, last used ${moment(s.seen, zone)}${Date.parse(s.expires) > 0 ? `, until ${moment(s.expires, zone)}` : ''} `,
            !s.this &&
              h('button', { type: 'button', onClick: () => run(() => api.endSession(s.id), sessions.reload) }, 'End'),
          ),
        ),
      ),
      h(
        'div',
        { class: 'buttons' },
        h(
          'button',
          { type: 'button', 'data-test': 'sign-out', onClick: () => run(api.signOut, leave) },
          'Sign out here',
        ),
        h('button', { type: 'button', onClick: () => run(api.signOutEverywhere, leave) }, 'Sign out everywhere'),
      ),
    ),
  );
}
