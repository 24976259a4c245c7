// What the practice says of the data it holds, the register of breaches, and a text
// for whoever keeps the server.

import * as api from '../api.js';
import { Field, h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { LANGUAGES, moment } from '../format.js';
import { confirming } from '../passkeys.js';
import { PROCESSOR } from '../processor.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @typedef {import('../../api/types.d.ts').components['schemas']['PrivacyReply']} Said */
/** @typedef {import('../../api/types.d.ts').components['schemas']['BreachFacts']} Facts */
/** @typedef {import('../../api/types.d.ts').components['schemas']['Breach']} Breach */

/** @param {{me: Me}} props */
export function Privacy({ me }) {
  const got = useLoad(api.privacy, 'privacy');
  return h(
    'div',
    null,
    h('h1', null, tr('Privacy')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && h(Words, { me, said: got.data, done: got.reload, key: got.data.revision }),
    h(Breaches, { me }),
    h(
      'section',
      { class: 'card' },
      h('h2', null, tr('A text for whoever keeps the server')),
      h(
        'p',
        { class: 'quiet' },
        tr(
          'In English, after article 28 of the General Data Protection Regulation. Have a lawyer read it before anybody signs.',
        ),
      ),
      h(
        'details',
        null,
        h('summary', null, tr('Show the text')),
        h(
          'div',
          { lang: 'en', dir: 'ltr', 'data-test': 'processor' },
          PROCESSOR.map(line => h('p', null, line)),
        ),
      ),
    ),
  );
}

/** @param {{me: Me, said: Said, done: () => void}} props */
function Words({ me, said, done }) {
  const [form, setForm] = useState({ ...said, own: { ...said.own } });
  const [sure, setSure] = useState(false);
  const action = useAction();
  const may = me.person.role === 'administrator';
  const spoken = me.practice.languages.length ? me.practice.languages : ['en'];
  const save = () =>
    action.run(async () => {
      const { controller, contact, authority, own, revision } = form;
      await confirming(() => api.savePrivacy({ controller, contact, authority, own, revision }));
      done();
    });
  /** @param {'controller'|'contact'|'authority'} key @param {string} label @param {string} hint */
  const line = (key, label, hint) =>
    h(
      Field,
      { label, hint, error: action.error?.field === key ? action.error.message : undefined },
      h('input', {
        type: 'text',
        maxLength: 300,
        disabled: !may,
        value: form[key],
        onInput: (/** @type {Event} */ e) =>
          setForm({ ...form, [key]: /** @type {HTMLInputElement} */ (e.target).value }),
      }),
    );
  return h(
    'form',
    {
      class: 'card',
      'data-test': 'privacy-words',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        setSure(true);
      },
    },
    h('h2', null, tr('What families read and agree to')),
    h(
      'p',
      null,
      tr('Version {version}. Kept for {years} after the last entry or visit, as the practice has set.', {
        version: said.shown.version,
        years: said.shown.years
          ? tr('{n} years', { n: said.shown.years })
          : tr('as long as health records must be kept'),
      }),
    ),
    h(
      'div',
      { class: 'grid' },
      line(
        'controller',
        tr('Who answers for the data'),
        tr('Name and address. Empty: {name}.', { name: me.practice.name }),
      ),
      line('contact', tr('Whom to ask about it'), tr('Mail or telephone. Empty: the practice’s telephone.')),
      line('authority', tr('Whom to complain to'), tr('The authority for data protection. Empty: it is not named.')),
    ),
    h(
      'details',
      null,
      h('summary', null, tr('The practice’s own words')),
      h(
        'p',
        { class: 'quiet' },
        tr(
          'They take the place of the first two paragraphs of the app’s words, in each language. What the app is and is not, who answers for the data, how long it is kept and the rights stand below them in any case.',
        ),
      ),
      spoken.map(lang =>
        h(
          Field,
          {
            key: lang,
            label: LANGUAGES[lang] ?? lang,
            error: action.error?.field === `own.${lang}` ? action.error.message : undefined,
          },
          h('textarea', {
            rows: 5,
            lang,
            dir: 'auto',
            maxLength: 6000,
            disabled: !may,
            value: form.own[lang] ?? '',
            onInput: (/** @type {Event} */ e) =>
              setForm({ ...form, own: { ...form.own, [lang]: /** @type {HTMLTextAreaElement} */ (e.target).value } }),
          }),
        ),
      ),
    ),
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
    may &&
      (sure
        ? h(
            'div',
            { class: 'buttons' },
            h('p', null, tr('Every family is asked to agree again. Until they do, everything goes on for them.')),
            h(
              'button',
              { type: 'button', class: 'primary', disabled: action.busy, 'data-test': 'privacy-sure', onClick: save },
              tr('Yes, ask everybody again'),
            ),
            h('button', { type: 'button', onClick: () => setSure(false) }, tr('Not now')),
          )
        : h('div', { class: 'buttons' }, h('button', { class: 'primary', 'data-test': 'privacy-save' }, tr('Save')))),
  );
}

/** The fields of a breach, in the order of the article. @returns {[keyof Facts, string, string][]} */
const FACTS = () => [
  [
    'found',
    tr('When the practice became aware of it'),
    tr('Date and time. The authority is told within 72 hours of it, unless nobody is put at risk.'),
  ],
  ['what', tr('What happened'), ''],
  ['whose', tr('Whose data, and about how much'), tr('Kinds and numbers; no names.')],
  ['effects', tr('What it may bring about'), ''],
  ['measures', tr('What was done, and will be'), ''],
  [
    'told',
    tr('Who was told, and when; or why nobody'),
    tr('The authority, and the people themselves where the risk is high.'),
  ],
];

/** @param {{me: Me}} props */
function Breaches({ me }) {
  const got = useLoad(api.breaches, 'breaches');
  const [form, setForm] = useState(/** @type {Facts|null} */ (null));
  const action = useAction();
  const send = () =>
    action.run(async () => {
      if (form) await api.addBreach(form);
      setForm(null);
      got.reload();
    });
  return h(
    'section',
    { class: 'card', 'data-test': 'breaches' },
    h('h2', null, tr('Register of breaches')),
    h(
      'p',
      { class: 'quiet' },
      tr(
        'Every loss, theft or wrong reader of personal data is noted here, small ones too. Nothing is ever taken out. Write no names of families.',
      ),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && !got.data.breaches.length && h('p', null, tr('None is noted.')),
    got.data?.breaches.map(b => h(One, { key: b.id, b, zone: me.practice.zone, done: got.reload })),
    form
      ? h(
          'form',
          {
            onSubmit: (/** @type {Event} */ e) => {
              e.preventDefault();
              send();
            },
          },
          FACTS().map(([key, label, hint]) =>
            h(
              Field,
              { key, label, hint, error: action.error?.field === key ? action.error.message : undefined },
              h('textarea', {
                rows: 2,
                required: true,
                maxLength: 2000,
                name: key,
                value: form[key],
                onInput: (/** @type {Event} */ e) =>
                  setForm({ ...form, [key]: /** @type {HTMLTextAreaElement} */ (e.target).value }),
              }),
            ),
          ),
          action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
          h(
            'div',
            { class: 'buttons' },
            h('button', { class: 'primary', disabled: action.busy }, tr('Note it')),
            h('button', { type: 'button', onClick: () => setForm(null) }, tr('Leave')),
          ),
        )
      : h(
          'div',
          { class: 'buttons' },
          h(
            'button',
            {
              type: 'button',
              'data-test': 'breach-new',
              onClick: () => setForm({ found: '', what: '', whose: '', effects: '', measures: '', told: '' }),
            },
            tr('Note a breach'),
          ),
        ),
  );
}

/** @param {{b: Breach, zone: string, done: () => void}} props */
function One({ b, zone, done }) {
  const [text, setText] = useState('');
  const action = useAction();
  return h(
    'details',
    { class: 'rows' },
    h('summary', null, tr('{found}: {what}', { found: b.found, what: b.what })),
    FACTS()
      .slice(2)
      .map(([key, label]) => h('p', { key }, h('b', null, label), ': ', b[key])),
    h('p', { class: 'quiet' }, tr('Noted by {name} on {at}.', { name: b.by, at: moment(b.at, zone) })),
    b.lines.map(l => h('p', { key: l.at }, `${moment(l.at, zone)}, ${l.by}: ${l.text}`)),
    h(
      'form',
      {
        class: 'inline-form',
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          action.run(async () => {
            await api.addBreachLine(b.id, text);
            setText('');
            done();
          });
        },
      },
      h(
        'label',
        { class: 'grow' },
        tr('What was learnt or done since'),
        h('input', {
          type: 'text',
          required: true,
          maxLength: 2000,
          value: text,
          onInput: (/** @type {Event} */ e) => setText(/** @type {HTMLInputElement} */ (e.target).value),
        }),
      ),
      h('button', { disabled: action.busy }, tr('Add')),
    ),
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
  );
}
