// An answer to what the clinic said: nobody reads it at once, so what may be about a
// sore eye is asked about before it goes, as in a note.
import { h, useState } from '../../ui/dom.js';
import { Button, Entry } from '../../ui/parts.js';
import { maySore } from '../model/sore.js';
import { go } from '../route.js';
import { checkBegun, Sore, toSore } from './sore.js';

/** @import { App } from '../app.js' */

/** @param {{app: App, to: string, onSend: (text: string) => Promise<unknown>}} props to: id of what is answered */
export function Reply({ app, to, onSend }) {
  const { t } = app.state.words;
  const [text, setText] = useState('');
  const [fault, setFault] = useState('');
  const [sore, setSore] = useState(false); // whether it is about an eye now is asked
  /** @param {boolean} [said] that it is not about an eye now, or that it is */
  const send = async said => {
    if (!text.trim()) return setFault(t('lacks.text'));
    if (said === undefined && maySore(text)) {
      setSore(true);
      return toSore();
    }
    try {
      await onSend(text.trim());
      if (!said) return;
      await app.write([checkBegun(app)], '');
      app.know({ wearer: app.state.wearer, said: text.trim().slice(0, 200) });
      go('check');
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
    }
  };
  return h(
    'div',
    { class: 'stack' },
    h(Entry, {
      id: `reply-${to}`,
      label: t('said.answer'),
      hint: h('strong', null, t('said.hours')),
      value: text,
      onInput: (/** @type {string} */ x) => {
        setText(x);
        setFault('');
        setSore(false);
      },
      long: true,
      max: 1000,
      test: 'reply-text',
      fault,
    }),
    sore
      ? h(Sore, { app, onCheck: () => void send(true), onNo: () => void send(false) })
      : h(Button, { kind: 'main', test: 'reply-send', onPress: () => void send() }, t('said.send')),
  );
}
