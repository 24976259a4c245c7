// After joining: how the app gets on the home screen; notifications, why, and
// with a test that has to come; and the zone and quiet hours that reminders keep
// to. Each step can be passed over, and all of it stands under "More".
import { h, useLayoutEffect, useState } from '../../ui/dom.js';
import { Button, Card, Notice } from '../../ui/parts.js';
import { planOn, tonight } from '../app.js';
import { firstRun } from '../first-run.js';
import { installed } from '../install.js';
import { go } from '../route.js';
import { Install, Notify } from './more.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function First({ app }) {
  const { t } = app.state.words;
  const steps = [...(installed() ? [] : [Install]), Notify, Times];
  const [at, setAt] = useState(0);
  const [arrived, setArrived] = useState(false);
  useLayoutEffect(() => firstRun.seen(localStorage), []);
  const last = at === steps.length - 1;
  const on = () => (last ? go('') : setAt(at + 1));
  // Notifications that did not come are not done: then there is only "Not now".
  const done = steps[at] !== Notify || arrived;
  return h(
    'div',
    { class: 'stack', 'data-test': `first-${at + 1}` },
    h('h1', null, t('first.title')),
    h('p', { class: 'quiet', role: 'status' }, t('first.step', { n: at + 1, of: steps.length })),
    h(steps[at], { app, key: at, onArrived: () => setArrived(true) }),
    done &&
      h(Button, { kind: 'main', big: true, onPress: on, test: 'first-next' }, t(last ? 'first.done' : 'first.next')),
    !last && h(Button, { kind: 'plain', onPress: on, test: 'first-skip' }, t('first.skip')),
    h(Notice, null, t('first.again')),
  );
}

/** @param {{app: App}} props */
function Times({ app }) {
  const s = app.state;
  const { t, clock } = s.words;
  const plan = planOn(s, tonight(s));
  const quiet = plan?.quiet_from && plan.quiet_to && plan.quiet_from !== plan.quiet_to;
  return h(
    Card,
    { title: t('first.times') },
    h('p', null, h('strong', null, t('more.zone', { zone: s.zone }))),
    h('p', null, t('first.times.zone')),
    quiet
      ? [
          h(
            'p',
            { key: 'quiet' },
            h('strong', null, t('more.quiet', { from: clock(plan.quiet_from), to: clock(plan.quiet_to) })),
          ),
          h('p', { key: 'ask' }, t('first.times.quiet')),
        ]
      : plan && h('p', null, t('first.times.none')),
  );
}
