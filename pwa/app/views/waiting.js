// The reminder that no server can send: entries have waited on this phone for
// long. Since when, why, and what to do.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Card, LinkButton } from '../../ui/parts.js';
import { waitingSince } from '../app.js';
import { link } from '../route.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
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
