// A new case, bottle, lens, holder or drops: when it was started, and for a
// bottle how long it keeps, as printed on it. There is no default for that.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Choices, Entry, Notice } from '../../ui/parts.js';
import { go } from '../route.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Supplies({ app }) {
  const s = app.state;
  const { t } = s.words;
  const [item, setItem] = useState('');
  const [on, setOn] = useState(wallAt(s.now, s.zone).date);
  const [days, setDays] = useState('');
  const [label, setLabel] = useState('');
  const [eye, setEye] = useState('both');
  const [fault, setFault] = useState('');
  const bottle = item === 'solution' || item === 'drops';
  const n = Number(days);
  const good = item !== '' && on !== '' && (days === '' || (Number.isInteger(n) && n >= 1 && n <= 730));
  const save = () => app.write([{ wearer: s.wearer, kind: 'supply', body: {
    item, action: 'started', on, ...(bottle && days ? { discard_after_days: n } : {}), ...(label.trim() ? { label: label.trim() } : {}), ...(item === 'lens' ? { eye } : {}),
  } }]).then(() => go('progress'), (e) => setFault(e.message));
  return h('div', { class: 'stack' }, h('h1', null, t('supplies.title')),
    Choices({ legend: t('supplies.what'), value: item, onPick: setItem, test: (i) => `supply-${i}`, options: ['case', 'solution', 'lens', 'holder', 'drops'].map((i) => [i, t(`supplies.${i}`)]) }),
    item === 'lens' && Choices({ legend: t('eyes.label'), across: true, value: eye, onPick: setEye, options: ['both', 'right', 'left'].map((e) => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]) }),
    item && h(Entry, { id: 's-on', type: 'date', label: t('supplies.on'), value: on, onInput: setOn }),
    bottle && h(Entry, { id: 's-days', type: 'number', label: t('supplies.days'), value: days, onInput: setDays }),
    item && h(Entry, { id: 's-label', label: t('supplies.label'), value: label, onInput: setLabel, max: 60 }),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    h(Button, { kind: 'main', big: true, disabled: !good, onPress: () => void save(), test: 'confirm' }, t('supplies.save')));
}
