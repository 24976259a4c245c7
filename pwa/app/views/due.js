// What a reminder opens where a notification has no buttons of its own: what is
// due, and putting it off.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, LinkButton, Notice } from '../../ui/parts.js';
import { covered, putOff } from '../data/put-off.js';
import { SNOOZE_MINUTES } from '../model/past.js';
import { link } from '../route.js';
import { useDue } from './due-words.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Due({ app }) {
  const s = app.state;
  const words = useDue(s.words.lang);
  const [until, setUntil] = useState('');
  const [children, setChildren] = useState(1);
  useEffect(() => void covered(app.log).then(list => setChildren(list.length)), []);
  if (!words) return h('p', { role: 'status' }, s.words.t('start.loading'));
  const later = async () => {
    const now = Date.now();
    await putOff(app.log, now, s.zone);
    setUntil(wallAt(now + SNOOZE_MINUTES * 60000, s.zone).clock);
    await app.reload();
    void app.sync.flush();
  };
  return h(
    'div',
    { class: 'stack', 'data-test': 'due' },
    h('h1', null, s.words.t('due.title')),
    h(LinkButton, { href: link(''), kind: 'main', big: true, test: 'due-open' }, s.words.t('due.open')),
    !until &&
      h(
        Button,
        { big: true, test: 'due-later', onPress: () => void later() },
        (children > 1 && words['later-all']) || words.later,
      ),
    h(
      'div',
      { role: 'status' },
      until && h(Notice, { kind: 'good', test: 'due-said' }, s.words.t('due.until', { time: s.words.clock(until) })),
    ),
  );
}
