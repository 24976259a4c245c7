// What is in use now, since when and until when; and a new case, bottle, lens,
// holder or drops: when it was started, and for a
// bottle how long it keeps, as printed on it. There is no default for that.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Card, Choices, Entry, Notice } from '../../ui/parts.js';
import { mine, wearerOf } from '../app.js';
import { supplyDoubt } from '../model/begun.js';
import { scheduleLog } from '../model/schedule-log.js';
import { go } from '../route.js';
import { comingOf, dayOf } from './coming.js';
import { Doubt } from './doubt.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props arg: id of the entry that is mended */
export function Supplies({ app, arg }) {
  return arg
    ? h(One, { app, arg })
    : h(
        'div',
        { class: 'stack' },
        h('h1', null, app.state.words.t('supplies.title')),
        h(InUse, { app }),
        h(One, { app, arg }),
      );
}

/**
 * What is open now; a newer one ends the one before.
 * @param {{app: App}} props
 */
function InUse({ app }) {
  const s = app.state;
  const { t } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const log = scheduleLog(mine(s, s.nights), []);
  const ends = comingOf(s);
  /** @param {import('../../../schedule/due.js').Supply} x @param {string} why */
  const end = (x, why) =>
    app.write([
      {
        wearer: s.wearer,
        kind: 'supply',
        body: {
          item: x.item,
          action: 'discarded',
          on: today,
          why,
          ...(x.eye ? { eye: x.eye } : {}),
          ...(x.label ? { label: x.label } : {}),
        },
      },
    ]);
  return h(
    Card,
    { title: t('supplies.now') },
    log.supplies.length === 0 && h('p', { class: 'quiet' }, t('supplies.none')),
    h(
      'ul',
      { class: 'plain-list', 'data-test': 'in-use' },
      log.supplies.map(x => {
        const due = ends.find(c => c.key.endsWith(x.id))?.due;
        const eye = x.item === 'lens' && x.eye ? `, ${t(`eye.${x.eye}`)}` : '';
        return h(
          'li',
          { key: x.id, class: 'stack' },
          h('strong', { dir: 'auto' }, `${t(`supplies.${x.item}`)}${eye}${x.label ? ` (${x.label})` : ''}`),
          h(
            'span',
            { class: 'quiet' },
            t('supplies.since', { date: dayOf(s.words, x.started, today) }),
            due ? ` · ${t('supplies.ends', { date: dayOf(s.words, due, today) })}` : '',
          ),
          h(
            'div',
            { class: 'row' },
            ['finished', 'lost'].map(why =>
              h(
                Button,
                { key: why, test: `supply-${why}-${x.item}`, onPress: () => void end(x, why) },
                t(`supplies.${why}`),
              ),
            ),
          ),
        );
      }),
    ),
  );
}

/** @param {ViewProps} props arg: id of the entry that is mended */
function One({ app, arg }) {
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
  const [box, setBox] = useState('');
  const bottle = item === 'solution' || item === 'drops';
  const d = item ? supplyDoubt(on, bottle ? days : '', today) : null;
  // With peroxide the case belongs to its bottle: a new bottle asks for its new case.
  const paired = item === 'solution' && !edit && wearerOf(s)?.plan?.care_system === 'peroxide';
  const asked = d && (d.firm || sure !== d.key);
  const lacks = !item ? 'lacks.item' : paired && !box ? 'lacks.box' : '';
  const save = () =>
    !lacks
      ? app
          .write([
            ...(box === 'yes' && paired
              ? [{ wearer: s.wearer, kind: 'supply', body: { item: 'case', action: 'started', on } }]
              : []),
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
            () => go(arg ? 'progress' : 'supplies'),
            e => setFault(e.message),
          )
      : setFault(t(lacks));
  return h(
    'div',
    { class: 'stack' },
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
    paired &&
      Choices({
        legend: t('supplies.box'),
        across: true,
        value: box,
        onPick: b => {
          setBox(b);
          setFault('');
        },
        test: b => `box-${b}`,
        options: [
          ['yes', t('supplies.box.yes')],
          ['no', t('supplies.box.no')],
        ],
      }),
    paired && box === 'no' && h(Notice, { kind: 'alarm', live: true }, t('supplies.box.old')),
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
