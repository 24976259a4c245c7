// A word to the clinic that may be about a sore eye: it is asked before it goes, for
// nobody watches what is written.
import { h } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Button, Notice } from '../../ui/parts.js';

/** @import { App } from '../app.js' */

/** Leads to the question once it stands. */
export const toSore = () => goOn(document.activeElement, '[data-test=sore-check]');

/** @param {{app: App, onCheck: () => void, onNo: () => void}} props onCheck: it is about an eye now */
export function Sore({ app, onCheck, onNo }) {
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
