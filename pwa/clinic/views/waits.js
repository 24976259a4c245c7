// Beside the sign a card leads with: how long nobody has had it, and what else was
// reported and is not decided about. One sign alone would look like a minute.

import { h } from '../dom.js';
import { ago, eyes, moment, span, waitsSince } from '../format.js';
import { tr } from '../text.js';

/** @import { Alert, Me } from '../api.js' */

/** @param {{of: Alert['episode']['earlier'][number], when: string, test: string}} props */
const Beside = ({ of, when, test }) =>
  h('p', { class: 'waits', 'data-test': test }, when, h('b', null, of.headline, of.eye && ` · ${eyes(of.eye)}`));

/** @param {{alert: Alert, me: Me, now: number}} props */
export function Waits({ alert, me, now }) {
  const since = waitsSince(alert);
  if (alert.state === 'closed') return null;
  return [
    since &&
      h(
        'p',
        { class: 'waits', 'data-test': 'waits' },
        h(
          'b',
          null,
          tr('Waiting for {time}: nobody has taken this since {at}.', {
            time: span(now - Date.parse(since)),
            at: moment(since, me.practice.zone),
          }),
        ),
      ),
    alert.episode.earlier.map(e =>
      h(Beside, { key: e.at, of: e, test: 'earlier', when: tr('Before that, {ago}: ', { ago: ago(e.at, now) }) }),
    ),
    alert.episode.later.map(e =>
      h(Beside, { key: e.at, of: e, test: 'later', when: tr('And since, {ago}: ', { ago: ago(e.at, now) }) }),
    ),
  ];
}
