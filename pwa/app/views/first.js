// After joining: how the app gets on the home screen, then notifications, why
// and with a test. Each step can be passed over, and both stand under "More".
import { h, useState } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { go } from '../route.js';
import { Install, installed, Notify } from './more.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function First({ app }) {
  const { t } = app.state.words;
  const steps = installed() ? [Notify] : [Install, Notify];
  const [at, setAt] = useState(0);
  const last = at === steps.length - 1;
  const on = () => (last ? go('') : setAt(at + 1));
  return h('div', { class: 'stack', 'data-test': `first-${at + 1}` }, h('h1', null, t('first.title')),
    h('p', { class: 'quiet', role: 'status' }, t('first.step', { n: at + 1, of: steps.length })),
    h(steps[at], { app, key: at }),
    h(Button, { kind: 'main', big: true, onPress: on, test: 'first-next' }, t(last ? 'first.done' : 'first.next')),
    h(Button, { kind: 'plain', onPress: on, test: 'first-skip' }, t('first.skip')),
    h(Notice, null, t('first.again')));
}
