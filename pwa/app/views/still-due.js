// What is due besides the night's routine, each with the button that does it or leads
// to where it is done. Fetched after the start.
import { h } from '../../ui/dom.js';
import { Button } from '../../ui/parts.js';
import { go } from '../route.js';
import { lastNight } from './anytime.js';
import { stillDue } from './home.js';

/** @import { App } from '../app.js' */

/** Where a rule of the schedule is answered: its screen, and what is chosen there. @type {Record<string, [string, string?]>} */
const WHERE = {
  acuity: ['acuity'],
  case: ['supplies', 'case'],
  bottle: ['supplies', 'solution'],
  drops: ['supplies', 'drops'],
  lens: ['supplies', 'lens'],
  holder: ['supplies', 'holder'],
};

/** @param {{app: App, name?: string}} props name: whose, where several children are on the screen */
export function StillDue({ app, name }) {
  const s = app.state;
  const { t } = s.words;
  /** @param {string} rule */
  const press = async rule => {
    if (rule === 'deposit-removal')
      return app.write([{ wearer: s.wearer, night: lastNight(app), kind: 'care', body: { deposit_removal: true } }]);
    await app.setWearer(s.wearer);
    go(...WHERE[rule]);
  };
  return h(
    'div',
    { class: 'stack' },
    stillDue(s).map(rule => {
      const text = t(rule === 'deposit-removal' ? 'care.deposit_removal' : `what.${rule}`);
      return h(
        Button,
        {
          key: rule,
          kind: 'main',
          wide: true,
          test: `due-${rule}`,
          label: name && `${text}${t('mark.colon')}${name}`,
          onPress: () => void press(rule),
        },
        text,
      );
    }),
  );
}
