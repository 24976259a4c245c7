// A new case, bottle, lens, holder or drops: when it was started, and for a
// bottle how long it keeps, as printed on it. There is no default for that.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Choices, Entry, Notice } from '../../ui/parts.js';
import { supplyDoubt } from '../model/begun.js';
import { go } from '../route.js';
import { Doubt } from './doubt.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props arg: id of the entry that is mended */
export function Supplies({ app, arg }) {
  const s = app.state;
  const { t } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const edit = s.records.get(arg)?.entry;
  const was = edit?.body ?? {};
  const [item, setItem] = useState(was.item ?? '');
  const [on, setOn] = useState(was.on ?? today);
  const [days, setDays] = useState(String(was.discard_after_days ?? ''));
  const [label, setLabel] = useState(was.label ?? '');
  const [eye, setEye] = useState(was.eye ?? 'both');
  const [fault, setFault] = useState('');
  const [sure, setSure] = useState('');
  const bottle = item === 'solution' || item === 'drops';
  const d = item ? supplyDoubt(on, bottle ? days : '', today) : null;
  const asked = d && (d.firm || sure !== d.key);
  const save = () =>
    item
      ? app
          .write([
            {
              wearer: s.wearer,
              kind: 'supply',
              ...(edit ? { night: edit.night, supersedes: [edit.id] } : {}),
              body: {
                item,
                action: was.action ?? 'started',
                on,
                ...(bottle && days ? { discard_after_days: Number(days) } : {}),
                ...(label.trim() ? { label: label.trim() } : {}),
                ...(item === 'lens' ? { eye } : {}),
              },
            },
          ])
          .then(
            () => go('progress'),
            e => setFault(e.message),
          )
      : setFault(t('lacks.item'));
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('supplies.title')),
    Choices({
      legend: t('supplies.what'),
      value: item,
      onPick: setItem,
      test: i => `supply-${i}`,
      options: ['case', 'solution', 'lens', 'holder', 'drops'].map(i => [i, t(`supplies.${i}`)]),
    }),
    item === 'lens' &&
      Choices({
        legend: t('eyes.label'),
        across: true,
        value: eye,
        onPick: setEye,
        options: ['both', 'right', 'left'].map(e => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]),
      }),
    item && h(Entry, { id: 's-on', type: 'date', label: t('supplies.on'), value: on, onInput: setOn }),
    bottle && h(Entry, { id: 's-days', type: 'number', label: t('supplies.days'), value: days, onInput: setDays }),
    item && h(Entry, { id: 's-label', label: t('supplies.label'), value: label, onInput: setLabel, max: 60 }),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    asked && h(Doubt, { app, d, onChange: more => setOn(more.on), onSure: () => setSure(d.key) }),
    h(
      Button,
      { kind: asked ? '' : 'main', big: true, disabled: !!asked, onPress: () => void save(), test: 'confirm' },
      t('supplies.save'),
    ),
  );
}
