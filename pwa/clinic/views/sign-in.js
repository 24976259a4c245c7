// What is shown to somebody who is not signed in, or whose window fell asleep:
// how to sign in, and that somebody waits, without saying who.

import * as api from '../api.js';
import { h, useAction, useEffect, useState } from '../dom.js';
import { plural } from '../format.js';
import { canUsePasskeys, signIn } from '../passkeys.js';
import { sound, soundWanted } from '../sound.js';
import { Silence } from './silence.js';
import { tr } from '../text.js';

const POLL_MS = 5000;

/** @returns {{open: number, emergencies: number}} what waits, as far as a locked window may know */
function useWaiting() {
  const [now, set] = useState({ open: 0, emergencies: 0 });
  useEffect(() => {
    let timer = 0;
    let last = 0;
    const poll = async () => {
      try {
        const w = await api.waiting();
        if (w.emergencies > last && soundWanted()) sound();
        last = w.emergencies;
        set(w);
        timer = window.setTimeout(poll, POLL_MS);
      } catch {
        // never signed in here: there is nothing this browser may know
      }
    };
    poll();
    return () => clearTimeout(timer);
  }, []);
  return now;
}

/** @param {{message: string, done: () => void}} props */
export function SignIn({ message, done }) {
  const [code, setCode] = useState('');
  const action = useAction();
  const { open, emergencies } = useWaiting();
  useEffect(() => {
    document.title = `${open ? `(${open}) ` : ''}${tr('Nightkeep clinic')}`;
  }, [open]);
  return h(
    'main',
    { class: 'sign-in' },
    h('h1', null, 'Nightkeep clinic'),
    soundWanted() && h(Silence, null),
    h(
      'p',
      { class: open ? 'trouble' : 'hidden', role: 'alert', 'data-test': 'live' }, // it stands before it has anything to say
      open > 0 &&
        `${plural(open, 'alert waits', 'alerts wait')}${emergencies ? tr(', {emergencies} among them', { emergencies: plural(emergencies, 'emergency', 'emergencies') }) : ''}.`,
    ),
    h('p', null, message),
    canUsePasskeys() &&
      h(
        'p',
        null,
        h(
          'button',
          {
            type: 'button',
            class: 'primary',
            'data-test': 'passkey-sign-in',
            disabled: action.busy,
            onClick: () =>
              action.run(async () => {
                await signIn();
                done();
              }),
          },
          tr('Sign in with your passkey'),
        ),
      ),
    h(
      'details',
      null,
      h('summary', null, tr('I have a one-time link or code')),
      h(
        'form',
        {
          class: 'inline-form',
          onSubmit: (/** @type {Event} */ e) => {
            e.preventDefault();
            action.run(async () => {
              await api.linkSignIn(code);
              done();
            });
          },
        },
        h(
          'label',
          { class: 'grow' },
          tr('Code'),
          h('input', {
            type: 'text',
            autocomplete: 'off',
            required: true,
            value: code,
            onInput: (/** @type {Event} */ e) => setCode(/** @type {HTMLInputElement} */ (e.target).value),
          }),
        ),
        h('button', { disabled: action.busy }, tr('Use it')),
      ),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(
      'p',
      { class: 'quiet' },
      tr('No passkey on this device, and no link? An administrator of the practice makes a new link for you.'),
    ),
  );
}
