// Beside a card's newest sign: how long nobody has had it, and what was reported
// before and is not decided about. The newest sign alone would look like a minute.

import { h } from '../dom.js';
import { ago, eyes, moment, span, waitsSince } from '../format.js';
import { tr } from '../text.js';

/** @import { Alert, Me } from '../api.js' */

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
      h(
        'p',
        { class: 'waits', 'data-test': 'earlier', key: e.at },
        tr('Before that, {ago}: ', { ago: ago(e.at, now) }),
        h('b', null, e.headline, e.eye && ` · ${eyes(e.eye)}`),
      ),
    ),
  ];
}
