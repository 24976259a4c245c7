// One's own sign-in: passkeys and the browsers that are signed in.

import * as api from '../api.js';
import { h, Trouble, useAction, useEffect, useLoad, useRef, useState } from '../dom.js';
import { moment } from '../format.js';
import { addPasskey, canUsePasskeys, confirming } from '../passkeys.js';
import { say } from '../said.js';
import { rowOf } from '../../ui/languages.js';
import { meant, startsAgain, TAGS, tr } from '../text.js';

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
    h(Own, { me }),
    h(
      'section',
      { class: 'card' },
      h('h2', null, tr('Passkeys')),
      h(Trouble, { error: keys.error, busy: keys.busy && !keys.data, retry: keys.reload }),
      keys.data &&
        !keys.data.passkeys.length &&
        h('p', null, tr('You have none yet. Without one you need a new one-time link for every sign-in.')),
      h(
        'ul',
        { class: 'rows' },
        keys.data?.passkeys.map(k =>
          h(
            'li',
            { key: k.id },
            tr('{name}, made {date}{more} ', {
              name: k.name,
              date: moment(k.created, zone),
              more: k.last_used ? tr(', last used {date}', { date: moment(k.last_used, zone) }) : '',
            }),
            h(
              'button',
              { type: 'button', onClick: () => run(() => api.deletePasskey(k.id), keys.reload) },
              tr('Remove'),
            ),
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
            tr('Name of this device'),
            h('input', {
              type: 'text',
              maxLength: 60,
              placeholder: tr('such as Front desk'),
              value: name,
              onInput: (/** @type {Event} */ e) => setName(/** @type {HTMLInputElement} */ (e.target).value),
            }),
          ),
          h(
            'button',
            { class: 'primary', disabled: action.busy, 'data-test': 'passkey-add' },
            tr('Add a passkey here'),
          ),
        ),
    ),
    h(
      'section',
      { class: 'card' },
      h('h2', null, tr('Signed in')),
      h(Trouble, { error: sessions.error, busy: sessions.busy && !sessions.data, retry: sessions.reload }),
      h(
        'ul',
        { class: 'rows' },
        sessions.data?.sessions.map(s =>
          h(
            'li',
            { key: s.id },
            tr('{name}{more}, last used {date}{more2} ', {
              name: s.name,
              more: s.this ? tr(', this browser') : '',
              date: moment(s.seen, zone),
              more2: Date.parse(s.expires) > 0 ? tr(', until {date}', { date: moment(s.expires, zone) }) : '',
            }),
            !s.this &&
              h(
                'button',
                { type: 'button', onClick: () => run(() => api.endSession(s.id), sessions.reload) },
                tr('End'),
              ),
          ),
        ),
      ),
      h(
        'div',
        { class: 'buttons' },
        h(
          'button',
          { type: 'button', 'data-test': 'sign-out', onClick: () => run(api.signOut, leave) },
          tr('Sign out here'),
        ),
        h('button', { type: 'button', onClick: () => run(api.signOutEverywhere, leave) }, tr('Sign out everywhere')),
      ),
    ),
  );
}

/** That the console has just started again in another language, which this page tells itself. */
const ANEW = 'language-anew';

/** The language of the console, kept with the account. @param {{me: Me}} props */
function Own({ me }) {
  const [tag, setTag] = useState(me.language);
  const action = useAction();
  const save = useRef(/** @type {HTMLButtonElement|null} */ (null));
  useEffect(() => {
    if (!sessionStorage.getItem(ANEW)) return;
    sessionStorage.removeItem(ANEW);
    setTimeout(() => {
      save.current?.focus(); // where it was before
      say(tr('Saved.'));
    });
  }, []);
  return h(
    'section',
    { class: 'card' },
    h('h2', null, tr('Language')),
    h(
      'form',
      {
        class: 'inline-form',
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          action.run(async () => {
            await api.setLanguage(tag);
            sessionStorage.setItem(ANEW, '1');
            if (startsAgain(tag)) return;
            sessionStorage.removeItem(ANEW);
            say(tr('Saved.'));
          });
        },
      },
      h(
        'label',
        { class: 'grow' },
        tr('The console, on every device of yours'),
        h(
          'select',
          {
            value: tag,
            'data-test': 'own-language',
            onChange: (/** @type {Event} */ e) => setTag(/** @type {HTMLSelectElement} */ (e.target).value),
          },
          h('option', { value: '' }, tr('As this browser has it: {language}', { language: rowOf(meant('')).name })),
          TAGS.map(t => h('option', { value: t, lang: rowOf(t).locale }, rowOf(t).name)),
        ),
      ),
      h('button', { class: 'primary', ref: save, disabled: action.busy, 'data-test': 'own-language-save' }, tr('Save')),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
