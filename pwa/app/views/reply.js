// An answer to what the clinic said.
import { h } from '../../ui/dom.js';
import { Entry } from '../../ui/parts.js';
import { useWord } from './sore.js';

/** @import { App } from '../app.js' */

/** @param {{app: App, to: string, onSend: (text: string) => Promise<unknown>}} props to: id of what is answered */
export function Reply({ app, to, onSend }) {
  const { t } = app.state.words;
  const word = useWord(app, { key: to, send: onSend });
  return h(
    'div',
    { class: 'stack' },
    h(Entry, { ...word.field, id: `reply-${to}`, label: t('said.answer'), max: 1000, test: 'reply-text' }),
    word.below(t('said.send'), 'reply-send'),
  );
}
