// First run: the code from the clinic, what is agreed to in plain words, and
// in. What the phone itself needs comes after, in first.js.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Check } from '../../ui/more-parts.js';
import { Button, Card, Entry, Notice } from '../../ui/parts.js';
import { art } from '../draw.js';
import { installed } from '../install.js';
import { go } from '../route.js';
import { call } from '../data/api.js';
import { CONSENT, ConsentWords } from './consent.js';
import { LANGUAGES } from '../text/text.js';
import { apple, Steps } from './ios-steps.js';
import { refusal } from '../text/refusal.js';

/** @import { App } from '../app.js' */
/** @import { Lang } from '../text/text.js' */
/** @import { ApiError } from '../data/api.js' */
/** @import { ConsentText } from './consent.js' */

/** The field that a refusal is about, by the server's name for it. @type {Record<string, string>} */
const FIELDS = { code: 'code', device_name: 'device', consent: 'consent' };

/** What a browser says of its device, and what people call that; the first that it says. */
const KINDS = {
  iPhone: 'iPhone',
  iPad: 'iPad',
  Android: 'Android',
  CrOS: 'Chromebook',
  Macintosh: 'Mac',
  Windows: 'Windows',
  Linux: 'Linux',
};

/**
 * What a phone is called until somebody says better: its kind; "" where that is not
 * plain. Whose it is stands beside it.
 * @param {{userAgent: string, maxTouchPoints: number}} browser
 */
export function kindOf({ userAgent, maxTouchPoints }) {
  const kind = Object.entries(KINDS).find(([said]) => userAgent.includes(said))?.[1] ?? '';
  return kind === 'Mac' && maxTouchPoints > 1 ? 'iPad' : kind; // an iPad says that it is a Mac
}

/** What is wrong, and at which field: a key of the words, or the code of a refusal. */
const NONE = { field: '', key: '', code: '' };

/** @param {{app: App, code: string}} props */
export function Join({ app, code: given }) {
  const { t } = app.state.words;
  const [code, setCode] = useState(given);
  const [name, setName] = useState(kindOf(navigator) || t('join.device.default'));
  const [agreed, setAgreed] = useState(false);
  const [wrong, setFault] = useState(NONE);
  // In the words of the language that is chosen by the time it is read.
  const fault = {
    field: wrong.field,
    text: wrong.key ? t(wrong.key) : wrong.code && refusal(app.state.words, wrong.code),
  };
  const [busy, setBusy] = useState(false);
  const [text, setText] = useState(/** @type {ConsentText|null} */ (null));
  const fetchText = async () => {
    const said = await call('GET', '/api/consent');
    setText(said);
    return said;
  };
  // Nobody can agree before the words are there, or cannot be had; then they are
  // asked for again on joining.
  const [asked, setAsked] = useState(false);
  useEffect(() => {
    void fetchText()
      .catch(() => {})
      .then(() => setAsked(true));
  }, []);
  // What is being mended is not called wrong any more.
  const type = (/** @type {string} */ typed) => {
    setCode(typed);
    setFault(NONE);
  };
  const join = async () => {
    if (!code.trim()) return setFault({ ...NONE, field: 'code', key: 'join.need-code' });
    if (!agreed) return setFault({ ...NONE, field: 'consent', key: 'join.need-consent' });
    setBusy(true);
    setFault(NONE);
    try {
      if (!text) {
        await fetchText();
        setBusy(false);
        return setFault({ ...NONE, field: 'consent', key: 'join.need-consent' }); // now there is more to read
      }
      const version = text.version.replace(text.words, CONSENT);
      await app.join(code.trim(), name.trim() || kindOf(navigator) || t('join.device.default'), version);
      history.replaceState(null, '', '/');
      go('first');
    } catch (e) {
      const err = /** @type {ApiError} */ (e);
      setFault({
        field: err.field || 'code',
        key: err.code === 'offline' ? 'join.offline' : '',
        code: err.code,
      });
      setBusy(false);
    }
  };
  useEffect(() => {
    document.title = `${t('join.title')} – ${t('app.name')}`;
  }, [t]);
  // The field may have gone out of sight by the time the button is tapped.
  useEffect(() => {
    if (wrong.field) document.getElementById(FIELDS[wrong.field] ?? '')?.focus();
  }, [wrong]);
  return h(
    'main',
    { class: 'page' },
    h('div', { class: 'row apart' }, h('span', null), h(LangChoice, { app })),
    h('p', { class: 'hidden', role: 'status', 'data-test': 'live' }, busy ? t('start.loading') : ''),
    h(
      'div',
      { class: 'welcome' },
      art.welcome(),
      h('h1', null, t('join.title')),
      h('p', { class: 'lead' }, t('join.lead')),
    ),
    apple() &&
      (installed()
        ? h(Notice, { test: 'join-again' }, app.state.words.t('ios.again'))
        : h(Notice, { kind: 'urgent', test: 'join-ios' }, h('p', null, t('join.ios')), h(Steps, { app }))),
    h(
      'form',
      {
        class: 'stack',
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          void join();
        },
      },
      h(
        'div',
        { class: 'code-field' },
        h(Entry, {
          id: 'code',
          label: t('join.code'),
          hint: t('join.code.hint'),
          value: code,
          onInput: type,
          fault: fault.field === 'code' ? fault.text : '',
          test: 'join-code',
          autocomplete: 'one-time-code',
        }),
      ),
      h(Entry, {
        id: 'device',
        label: t('join.device'),
        value: name,
        onInput: setName,
        max: 60,
        fault: fault.field === 'device_name' ? fault.text : '',
        test: 'join-device',
      }),
      h(
        Card,
        { title: t('join.consent.title') },
        h(ConsentWords, { words: app.state.words, text }),
        asked &&
          h(Check, {
            id: 'consent',
            label: t('join.consent.agree'),
            checked: agreed,
            onChange: (/** @type {boolean} */ on) => {
              setAgreed(on);
              setFault(NONE);
            },
            test: 'join-agree',
            fault: fault.field === 'consent' ? fault.text : '',
          }),
      ),
      fault.field &&
        (!FIELDS[fault.field] || (fault.field === 'consent' && !asked)) &&
        h(Notice, { kind: 'alarm', live: true }, fault.text),
      h(
        Button,
        { kind: 'main', big: true, disabled: busy, submit: true, test: 'join' },
        busy ? t('join.joining') : t('join.button'),
      ),
    ),
  );
}

/** @param {{app: App}} props */
export function LangChoice({ app }) {
  const { words } = app.state;
  return h(
    'label',
    { class: 'row' },
    h('span', { class: 'hidden' }, words.t('more.language')),
    h(
      'select',
      {
        class: 'chip',
        value: words.lang,
        'data-test': 'language',
        onChange: (/** @type {Event} */ e) =>
          void app.setLang(/** @type {Lang} */ (/** @type {HTMLSelectElement} */ (e.currentTarget).value)),
      },
      LANGUAGES.map(([code, name]) =>
        h('option', { key: code, value: code, lang: code, selected: code === words.lang }, name),
      ),
    ),
  );
}
