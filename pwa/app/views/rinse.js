// The rinse timer: how long the eye still has to be rinsed. It starts when somebody
// says that they rinse, and counts from that kept instant, so that it goes on
// without a network and after a restart. Fetched after the start.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button } from '../../ui/parts.js';
import { leftToRinse } from '../model/rinsing.js';

/** @import { App } from '../app.js' */

const KEY = 'rinse';

/** @returns {{id: string, from: number}|null} */
function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? 'null');
  } catch {
    return null;
  }
}

/** @param {string} id of the report @param {number} from Unix ms */
function keep(id, from) {
  localStorage.setItem(KEY, JSON.stringify({ id, from }));
  return from;
}

/** @param {{app: App, id: string}} props id: of the report */
export function Rinse({ app, id }) {
  const s = app.state;
  const { t } = s.words;
  const [from, setFrom] = useState(() => {
    const k = kept();
    return k?.id === id ? k.from : 0;
  });
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    const tick = setInterval(() => setNow(Date.now()), 1000);
    return () => clearInterval(tick);
  }, []);
  const left = from && leftToRinse(from, now);
  const clock = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, '0')}`;
  return h(
    'div',
    { class: 'stack rinse', 'data-test': 'rinse', 'data-left': left },
    from > 0 && h('p', { role: 'timer', class: 'lead' }, left > 0 ? t('rinse.left', { time: clock }) : t('rinse.done')),
    h(
      Button,
      {
        kind: from ? '' : 'main',
        big: !from,
        onPress: () => setFrom(keep(id, Date.now())),
        test: from ? 'rinse-again' : 'rinse-start',
      },
      t(from ? 'rinse.again' : 'rinse.start'),
    ),
  );
}
