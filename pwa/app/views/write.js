// What a family writes to the clinic by itself: a message that everybody of the
// family sees, and, where the clinic allows it, what a teen writes to the
// clinicians alone, with who will see it said beforehand.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, Card, Entry, Notice, Told } from '../../ui/parts.js';
import { chooses, tonight, wearerOf } from '../app.js';
import { drop, sendAll, waiting, write } from '../data/private.js';
import { go } from '../route.js';
import { Note } from './night.js';
import { useWord } from './sore.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Write({ app }) {
  const s = app.state;
  const { t } = s.words;
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('write.title')),
    chooses(s) && h('p', { class: 'lead', 'data-test': 'write-whose', dir: 'auto' }, wearerOf(s)?.name),
    h('p', null, t('write.family')),
    h(Card, null, h(Note, { app, night: tonight(s), onDone: () => go('') })),
    s.family?.may_private && h(Private, { app }),
  );
}

/** @param {{app: App}} props */
function Private({ app }) {
  const { t } = app.state.words;
  const [left, setLeft] = useState(/** @type {import('../data/private.js').PrivateWords[]} */ ([]));
  const [sent, setSent] = useState(false);
  useEffect(() => {
    void waiting(app).then(setLeft);
    void sendAll(app).then(setLeft);
  }, [app.state.sync.phase]);
  const word = useWord(app, {
    alone: true,
    onType: () => setSent(false),
    send: async text => {
      const rest = await write(app, text);
      word.type('');
      setLeft(rest);
      setSent(!rest.length);
    },
  });
  return h(
    Card,
    { title: t('write.private') },
    h(
      'div',
      { class: 'stack', 'data-test': 'private' },
      h('p', null, t('write.private.who', { clinic: app.state.family?.contacts?.clinic ?? '' })),
      h(Entry, { ...word.field, id: 'private-text', label: t('write.private'), max: 1000, test: 'private-text' }),
      word.below(t('said.send'), 'private-send'),
      sent && h(Told, { cls: '', test: 'private-sent' }, t('write.private.sent')),
      left.map(p =>
        h(
          Notice,
          { kind: 'urgent', key: p.id, test: 'private-waits' },
          h('p', null, p.refused ? t('write.private.no') : t('write.private.waits')),
          h('p', { dir: 'auto' }, `“${p.text}”`),
          h(
            Button,
            {
              kind: 'plain',
              test: 'private-drop',
              onPress: () =>
                void drop(app, p.id)
                  .then(() => waiting(app))
                  .then(setLeft),
            },
            t('write.private.drop'),
          ),
        ),
      ),
    ),
  );
}
