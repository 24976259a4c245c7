// A word to the clinic: nobody watches what is written, so what may be about a sore eye
// is asked about before it goes.
import { h, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Button, Notice } from '../../ui/parts.js';
import { maySore } from '../model/sore.js';
import { go } from '../route.js';

/** @import { App } from '../app.js' */

/**
 * A text for the clinic: its field, what stands below it, and how it goes.
 * @param {App} app
 * @param {object} of
 * @param {string} [of.key] under which what is typed is kept on this phone until it went; absent: it is not
 * @param {string} [of.begin] what stands in the field at first, with nothing kept
 * @param {(text: string) => void} [of.onType]
 * @param {(text: string) => Promise<unknown>} of.send
 * @param {boolean} [of.alone] it is for the clinicians alone: the check does not quote it
 * @returns {{type: (text: string) => void, field: {value: string, onInput: (text: string) => void, hint: any, long: boolean, fault: string}, below: (label: string, test: string) => any}} field: props of its `Entry`; below: the button that sends it, or the question
 */
export function useWord(app, { key, begin = '', onType, send, alone }) {
  const { t } = app.state.words;
  const [text, setText] = useState((key && typed(key)) || begin);
  const [fault, setFault] = useState('');
  const [sore, setSore] = useState(false); // whether it is about an eye now is asked
  const type = (/** @type {string} */ x) => {
    onType?.(x);
    if (key) keep(key, x);
    setText(x);
    setFault('');
    setSore(false);
  };
  /** @param {boolean} [said] that it is not about an eye now, or that it is */
  const save = async said => {
    if (!text.trim()) return setFault(t('lacks.text'));
    if (said === undefined && maySore(text)) {
      setSore(true);
      return goOn(document.activeElement, '[data-test=sore-check]'); // once it stands
    }
    try {
      await send(text.trim());
      if (key) keep(key, '');
      if (!said) return;
      await app.write([checkBegun(app)], '');
      if (!alone) app.know({ wearer: app.state.wearer, said: text.trim().slice(0, 200) });
      go('check');
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
    }
  };
  return {
    type,
    field: { value: text, onInput: type, hint: h('strong', null, t('said.hours')), long: true, fault },
    below: (label, test) =>
      sore
        ? h(Sore, { app, onCheck: () => void save(true), onNo: () => void save(false) })
        : h(Button, { kind: 'main', test, onPress: () => void save() }, label),
  };
}

/** What was typed and has not gone yet; "" for nothing. @param {string} key */
export const typed = key => localStorage.getItem(`typed-${key}`) ?? '';

/** @param {string} key @param {string} text */
function keep(key, text) {
  if (text) localStorage.setItem(`typed-${key}`, text);
  else localStorage.removeItem(`typed-${key}`);
}

/** @param {{app: App, onCheck: () => void, onNo: () => void}} props onCheck: it is about an eye now */
function Sore({ app, onCheck, onNo }) {
  const { t } = app.state.words;
  return h(
    Notice,
    { kind: 'alarm', live: true, test: 'sore' },
    h(
      'div',
      { class: 'stack' },
      h('p', null, h('strong', null, t('sore.ask'))),
      h('p', null, t('sore.why')),
      h(Button, { kind: 'alarm', wide: true, test: 'sore-check', onPress: onCheck }, t('sore.yes')),
      h(Button, { wide: true, test: 'sore-no', onPress: onNo }, t('sore.no')),
    ),
  );
}

/** A check that is begun, and rests the eyes until it is finished. @param {App} app @param {string} [night] */
export const checkBegun = ({ state: { wearer } }, night) => ({
  wearer,
  ...(night ? { night } : {}),
  kind: 'check-open',
  body: { eyes: 'both' },
});
