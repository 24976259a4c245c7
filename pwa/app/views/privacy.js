// The family's data: what was agreed to and by whom it was opened, a copy of all of
// it, agreeing anew, and taking consent back.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, Card, Notice } from '../../ui/parts.js';
import { call } from '../data/api.js';
import { refusal } from '../text/refusal.js';
import { CONSENT, ConsentWords } from './consent.js';

/** @import { App } from '../app.js' */
/** @import { ConsentText } from './consent.js' */
/** @typedef {import('../../api/types.js').components['schemas']['Reader']} Reader */

/** @param {{app: App}} props */
export function Privacy({ app }) {
  const s = app.state;
  const { t } = s.words;
  const [text, setText] = useState(/** @type {ConsentText|null} */ (null));
  const [readers, setReaders] = useState(/** @type {Reader[]|null} */ (null));
  const [sure, setSure] = useState(false);
  const [fault, setFault] = useState('');
  const consent = s.family?.consent;
  /** @param {() => Promise<void>} job */
  const run = job => {
    setFault('');
    job().catch(e => setFault(e.code === 'offline' ? t('privacy.offline') : refusal(s.words, e.code)));
  };
  const read = async () => {
    setText(await call('GET', '/api/consent'));
    setReaders((await call('GET', '/api/family/readers')).readers);
  };
  useEffect(() => run(read), []);
  useEffect(() => {
    document.title = `${t('privacy.title')} – ${t('app.name')}`;
  }, [s.words]);
  /** @param {() => Promise<unknown>} job */
  const change = job =>
    run(async () => {
      await job();
      setSure(false);
      await app.refreshFamily();
    });
  const at = consent?.at ? s.words.moment(Date.parse(consent.at), s.zone) : '';
  const current = consent?.agreed === consent?.version;
  return h(
    'div',
    { class: 'stack', 'data-test': 'privacy' },
    h('h1', null, t('privacy.title')),
    fault && h(Notice, { kind: 'urgent', live: true }, fault),
    h(
      Card,
      { title: t('join.consent.title') },
      consent?.withdrawn
        ? h(Notice, { kind: 'urgent', test: 'consent-withdrawn' }, t('privacy.withdrawn', { time: at }))
        : h('p', { 'data-test': 'consent-state' }, at ? t('privacy.agreed', { time: at }) : t('privacy.unknown')),
      !current && !consent?.withdrawn && h(Notice, { kind: 'urgent' }, t('privacy.new')),
      h(ConsentWords, { words: s.words, text }),
      text &&
        !current &&
        h(
          Button,
          {
            kind: 'main',
            test: 'consent-agree',
            onPress: () =>
              change(() => call('POST', '/api/consent', { version: text.version.replace(text.words, CONSENT) })),
          },
          t('privacy.agree'),
        ),
    ),
    h(
      Card,
      { title: t('privacy.copy') },
      h('p', null, t('privacy.copy.what')),
      h(
        'a',
        { class: 'btn', href: '/api/family/copy', download: 'record.zip', 'data-test': 'copy' },
        t('privacy.copy.get'),
      ),
    ),
    readers &&
      h(
        Card,
        { title: t('privacy.readers') },
        readers.length
          ? h(
              'ul',
              { class: 'plain-list', 'data-test': 'readers' },
              readers.map(r =>
                h(
                  'li',
                  { key: r.at + r.name + r.did },
                  `${s.words.moment(Date.parse(r.at), s.zone)}: `,
                  h('bdi', null, r.name),
                  `${t('mark.comma')}${t(`privacy.did.${r.did}`)}${r.times > 1 ? ` ×${s.words.number(r.times)}` : ''}`,
                ),
              ),
            )
          : h('p', null, t('privacy.readers.none')),
      ),
    consent &&
      !consent.withdrawn &&
      h(
        Card,
        { title: t('privacy.withdraw') },
        h('p', null, t('privacy.withdraw.what')),
        sure
          ? h(
              'div',
              { class: 'row' },
              h(
                Button,
                { test: 'withdraw-yes', onPress: () => change(() => call('DELETE', '/api/consent')) },
                t('privacy.withdraw.yes'),
              ),
              h(Button, { kind: 'plain', onPress: () => setSure(false) }, t('privacy.withdraw.no')),
            )
          : h(Button, { kind: 'plain', test: 'withdraw', onPress: () => setSure(true) }, t('privacy.withdraw')),
      ),
  );
}
