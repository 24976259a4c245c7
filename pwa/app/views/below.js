// What stands on home and the board below the one thing to do: what else is due, what has
// waited on this phone, what the log says that is not urgent. Fetched after the start.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Card, LinkButton, More } from '../../ui/parts.js';
import { waitingSince } from '../app.js';
import { go, link } from '../route.js';
import { lastNight } from './anytime.js';
import { stillDue } from './home.js';
import { Steps } from './record.js';

/** @import { App } from '../app.js' */
/** @import { Finding } from '../../../alerts/evaluate.js' */
/** @import { ViewProps } from '../frame.js' */

/** Where a rule of the schedule is answered: its screen, and what is chosen there. @type {Record<string, [string, string?]>} */
const WHERE = {
  acuity: ['acuity'],
  case: ['supplies', 'case'],
  bottle: ['supplies', 'solution'],
  drops: ['supplies', 'drops'],
  lens: ['supplies', 'lens'],
  holder: ['supplies', 'holder'],
};

/** What is due besides the night's routine, each with the button that does it or leads to where it is done. @param {{app: App, name?: string}} props name: whose, where several children are on the screen */
export function StillDue({ app, name }) {
  const s = app.state;
  const { t } = s.words;
  /** @param {string} rule */
  const press = rule => {
    if (rule === 'deposit-removal')
      return void app.write([
        { wearer: s.wearer, night: lastNight(app), kind: 'care', body: { deposit_removal: true } },
      ]);
    void app.setWearer(s.wearer);
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
          onPress: () => press(rule),
        },
        text,
      );
    }),
  );
}

/**
 * The reminder that no server can send: entries have waited on this phone for long.
 * Since when, why, and what to do.
 * @param {ViewProps} props
 */
export function Waiting({ app }) {
  const s = app.state;
  const { t } = s.words;
  const [before, after] = t('sync.lead', { time: '{time}' }).split('{time}');
  const { fault, phase } = s.sync;
  const reachable = fault && fault !== 'offline';
  return h(
    Card,
    { title: t('sync.title') },
    h(
      'div',
      { class: 'stack', 'data-test': 'sync-due' },
      h('p', null, before, h('bdi', null, s.words.moment(waitingSince(s), s.zone, wallAt(s.now, s.zone).date)), after),
      h('p', null, reachable ? t(`unsent.fault.${fault}`) : t('sync.do')),
      h(
        Button,
        { wide: true, test: 'sync-try', disabled: phase === 'busy', onPress: () => void app.sync.flush() },
        t(phase === 'busy' ? 'unsent.trying' : 'unsent.try'),
      ),
      h(LinkButton, { href: link('unsent'), kind: 'plain' }, t('unsent.title')),
    ),
  );
}

/** What the rules find in this phone's own log that is not urgent, folded. @param {{app: App, list: Finding[]}} props */
export function Calm({ app, list }) {
  const { t } = app.state.words;
  return h(
    Card,
    { title: t('record.title') },
    h(
      'div',
      { 'data-test': 'record' },
      list.map(f => h(Rule, { key: f.rule, app, f })),
      h('p', { class: 'quiet small' }, t('record.limits')),
    ),
  );
}

/** @param {{app: App, f: Finding}} props */
function Rule({ app, f }) {
  const { t, med } = app.state.words;
  return h(
    More,
    { title: med(f.family), test: `record-${f.rule}` },
    h(
      'div',
      { class: 'stack' },
      f.actions.includes('check-eye') && h(LinkButton, { href: link('check'), wide: true }, t('check.title')),
      h(Steps, { app, f }),
    ),
  );
}
