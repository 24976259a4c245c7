// The rinse timer: how long the eye still has to be rinsed. It counts from a
// kept instant, so that it goes on without a network and after a restart.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button } from '../../ui/parts.js';
import { leftToRinse } from '../model/report.js';

/** @import { State } from '../app.js' */

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

/** @param {{s: State, id: string, began: number}} props began: when the report was written, Unix ms */
export function Rinse({ s, id, began }) {
  const { t } = s.words;
  const [from, setFrom] = useState(() => {
    const k = kept();
    return k?.id === id ? k.from : keep(id, began);
  });
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    const tick = setInterval(() => setNow(Date.now()), 1000);
    return () => clearInterval(tick);
  }, []);
  const left = leftToRinse(from, now);
  const clock = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, '0')}`;
  return h(
    'div',
    { class: 'stack rinse', 'data-test': 'rinse', 'data-left': left },
    h('p', { role: 'timer', class: 'lead' }, left > 0 ? t('rinse.left', { time: clock }) : t('rinse.done')),
    h(Button, { onPress: () => setFrom(keep(id, Date.now())), test: 'rinse-again' }, t('rinse.again')),
  );
}
