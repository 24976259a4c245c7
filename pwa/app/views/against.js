// What a form asks of the wear state before it saves, and what a morning tells the
// eye check. Fetched with the forms, after the start.
import { h } from '../../ui/dom.js';
import { Button } from '../../ui/parts.js';
import { holdsBack, tonight, wearNow } from '../app.js';
import { EYES } from '../model/wear.js';
import { why } from './wear.js';

/** @import { App, State } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */

/** What an insertion goes against, to be asked about before it is saved. @param {{app: App, eyes: string, onYes: () => void, onNo: () => void, busy: boolean}} props */
export function Against({ app, eyes, onYes, onNo, busy }) {
  const s = app.state;
  const { t } = s.words;
  const wear = wearNow(s);
  const held = EYES.filter(eye => eyes === 'both' || eyes === eye).flatMap(eye => wear[eye].causes);
  return h(
    'div',
    { class: 'notice alarm', role: 'status', 'data-test': 'wear-against' },
    h(
      'div',
      { class: 'stack' },
      h('p', null, h('strong', null, t('wear.against'))),
      held[0] && h('p', null, why(s, held[0])),
      h('p', null, t('wear.against.ask')),
      h(
        'div',
        { class: 'row' },
        h(Button, { kind: 'main', onPress: onNo, test: 'against-no' }, t('no')),
        h(Button, { onPress: onYes, disabled: busy, test: 'confirm' }, t('wear.against.yes')),
      ),
    ),
  );
}

/** Whether an insertion of these eyes in a night goes against what holds now. @param {State} s @param {string} eyes @param {string} night */
export function goesAgainst(s, eyes, night) {
  const wear = wearNow(s);
  return night >= tonight(s) && EYES.some(eye => (eyes === 'both' || eyes === eye) && wear[eye].state !== 'none');
}

/**
 * Whether what was just logged leads to the eye check, which then stands begun
 * until it is finished.
 * @param {Entry[]} entries
 */
export const leadsToCheck = entries =>
  entries.some(e => holdsBack(e) || (e.kind === 'morning' && (e.body.moved === 'stuck' || e.body.comfort === 0)));

/**
 * What the morning has given already of the eye check's answers: never more than
 * was said.
 * @param {Entry[]} entries
 * @returns {Record<string, string>}
 */
export function knownOf(entries) {
  const body = entries.find(e => e.kind === 'morning')?.body ?? {};
  const redness = ['none', 'mild', 'marked', 'marked'][body.redness];
  return {
    ...(['stuck', 'stuck-came-off'].includes(body.moved) ? { lens: body.moved } : {}),
    ...(redness ? { redness } : {}),
  };
}
