// What is in use now, since when and until when; and a new case, bottle, lens,
// holder or drops: when it was started, and for a
// bottle how long it keeps, as printed on it. There is no default for that.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Check } from '../../ui/more-parts.js';
import { Button, Card, Choices, Entry, LinkButton, Notice } from '../../ui/parts.js';
import { mine, tonight, wearerOf } from '../app.js';
import { supplyDoubt } from '../model/begun.js';
import { coming } from '../model/coming.js';
import { standing } from '../model/day.js';
import { fact } from '../model/fold.js';
import { scheduleLog, spares } from '../model/schedule-log.js';
import { go, link } from '../route.js';
import { dayOf } from './coming.js';
import { asking, goToLack } from './asking.js';
import { Doubt } from './doubt.js';

/** @import { App } from '../app.js' */
/** @import { Supply } from '../../../schedule/due.js' */
/** @import { ViewProps } from '../frame.js' */

const ITEMS = ['case', 'solution', 'lens', 'holder', 'drops'];

/** @param {ViewProps} props arg: id of the entry that is mended, or what is new */
export function Supplies({ app, arg }) {
  const [times, setTimes] = useState(0); // saved
  return arg && !ITEMS.includes(arg)
    ? h(One, { app, arg, again: () => {} })
    : h(
        'div',
        { class: 'stack' },
        h('h1', null, app.state.words.t('supplies.title')),
        arg && !times
          ? [h(One, { app, arg, again: () => setTimes(times + 1) }), h(InUse, { app })]
          : [h(InUse, { app }), h(One, { app, arg: '', key: times, again: () => setTimes(times + 1) })],
      );
}

/**
 * A lens of each eye that came as a pair and is in use as one.
 * @param {Supply[]} list
 * @returns {Supply[]} eye: "" for both
 */
function pairs(list) {
  const twin = (/** @type {Supply} */ x) => list.find(y => y !== x && y.id === x.id);
  return list.flatMap(x => (twin(x) ? (x.eye === 'left' ? [] : [{ ...x, eye: '' }]) : [x]));
}

/** What a thing is called: what it is, for which eye, and its name. @param {App} app @param {{item: string, eye?: string, label?: string}} x */
function called(app, x) {
  const { t } = app.state.words;
  const eye = x.item !== 'lens' ? '' : t('mark.comma') + t(`eye.${x.eye || 'both'}`);
  return `${t(`supplies.${x.item}`)}${eye}${x.label ? ` (${x.label})` : ''}`;
}

/** @param {App} app @param {{id: string, item: string, eye?: string, label?: string}} x @param {string} why */
const end = ({ state: s, write }, x, why) =>
  write([
    {
      wearer: s.wearer,
      kind: 'supply',
      body: {
        item: x.item,
        action: 'discarded',
        on: wallAt(s.now, s.zone).date,
        why,
        of: x.id,
        ...(x.item === 'lens' ? { eye: x.eye || 'both' } : {}),
        ...(x.label ? { label: x.label } : {}),
      },
    },
  ]);

/**
 * What is open now, and the spares; a newer one ends the one before.
 * @param {{app: App}} props
 */
function InUse({ app }) {
  const s = app.state;
  const [losing, lose] = useState(''); // a pair, of which one lens may be lost alone
  const { t } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const nights = mine(s, s.nights);
  const list = pairs(scheduleLog(nights, []).supplies);
  const kept = spares(nights);
  // Also while lens, case and bottles are kept for the clinic as they are.
  const ends = coming(wearerOf(s)?.plan ?? null, [], nights, { today: tonight(s), now: s.now, zone: s.zone });
  const due = (/** @type {Supply} */ x) =>
    ends.find(c => (x.item === 'lens' ? c.rule === 'lens' && (c.eye ?? '') === x.eye : c.key.endsWith(x.id)))?.due ??
    ends.find(c => c.rule === x.item)?.due;
  const start = (/** @type {{id: string, body: any}} */ x) =>
    app.write([
      {
        wearer: s.wearer,
        kind: 'supply',
        body: { item: 'lens', action: 'started', on: today, of: x.id, ...picked(x.body) },
      },
    ]);
  return [
    h(
      Card,
      { title: t('supplies.now'), key: 'now' },
      list.length === 0 && h('p', { class: 'quiet' }, t('supplies.none')),
      h(
        'ul',
        { class: 'plain-list', 'data-test': 'in-use' },
        list.map(x => {
          const on = due(x);
          return h(
            'li',
            { key: x.id + x.eye, class: 'stack' },
            h('strong', { dir: 'auto' }, called(app, x)),
            h(
              'span',
              { class: 'quiet' },
              t('supplies.since', { date: dayOf(s.words, x.started, today) }),
              on
                ? ` · ${t('supplies.ends', { date: dayOf(s.words, on, today) })}`
                : ['solution', 'drops'].includes(x.item)
                  ? ` · ${t('supplies.no-end')}`
                  : '',
            ),
            h(
              'div',
              { class: 'row' },
              ['finished', 'lost'].map(why =>
                h(
                  Button,
                  {
                    key: why,
                    test: `supply-${why}-${x.item}`,
                    label: `${t(`supplies.${why}`)}: ${called(app, x)}`,
                    onPress: () => {
                      if (why === 'finished' || x.item !== 'lens') return void end(app, x, why);
                      lose(x.id + x.eye);
                      goOn(document.activeElement, '[data-test=losing] button');
                    },
                  },
                  t(`supplies.${why}`),
                ),
              ),
            ),
            losing === x.id + x.eye && h(Losing, { app, x, done: () => lose('') }),
          );
        }),
      ),
    ),
    kept.length > 0 &&
      h(
        Card,
        { title: t('supplies.spares'), key: 'spares' },
        h(
          'ul',
          { class: 'plain-list', 'data-test': 'spares' },
          kept.map(x =>
            h(
              'li',
              { key: x.id, class: 'stack' },
              h('strong', { dir: 'auto' }, called(app, x.body)),
              h('span', { class: 'quiet' }, t('supplies.since', { date: dayOf(s.words, x.body.on, today) })),
              h('p', { class: 'quiet small' }, t('supplies.spare.ask')),
              h(
                'div',
                { class: 'row' },
                h(Button, { test: 'spare-start', onPress: () => void start(x) }, t('supplies.spare.start')),
                h(
                  Button,
                  { test: 'spare-lost', onPress: () => void end(app, { ...x.body, id: x.id }, 'lost') },
                  t('supplies.lost'),
                ),
              ),
            ),
          ),
        ),
      ),
  ];
}

/**
 * Which lens was lost, and that one which is logged as in may be in the eye still.
 * @param {{app: App, x: Supply, done: () => void}} props x: eye "" for both
 */
function Losing({ app, x, done }) {
  const s = app.state;
  const [eye, choose] = useState(x.eye ?? ''); // which was lost, until it is said whether it may be in the eye
  const { t, clock } = s.words;
  const n = s.nights.get(`${s.wearer}/${tonight(s)}`);
  const f = standing(n);
  const at = f.inserted && !f.removed && (fact(n, 'insertion/right') ?? fact(n, 'insertion/left'))?.at;
  /** It is out of use all the same, and the eye rests until the check is finished. */
  const check = async () => {
    await end(app, { ...x, eye }, 'lost');
    await app.write([{ wearer: s.wearer, kind: 'check-open', body: { eyes: eye } }], '');
    app.know({ wearer: s.wearer, said: t('supplies.lost'), ...(eye === 'both' ? {} : { eyes: eye }) });
    go('check');
  };
  return h(
    'div',
    { class: 'stack', 'data-test': 'losing', role: 'group', 'aria-label': t('supplies.lost') },
    at &&
      h(
        Notice,
        { kind: 'urgent', live: true, test: 'losing-in' },
        h('p', null, t('lost.in', { time: clock(at) })),
        h(LinkButton, { href: link('check'), wide: true }, t('check.title')),
      ),
    eye
      ? Choices({
          legend: t('lost.sure') + (x.eye ? '' : ` (${t(`eye.${eye}`)})`),
          value: undefined,
          onPick: sure => void (sure ? end(app, { ...x, eye }, 'lost').then(done) : check()),
          test: sure => `lost-${sure ? 'sure' : 'check'}`,
          options: [
            [true, t('lost.sure.yes')],
            [false, t('lost.sure.no')],
          ],
        })
      : [
          h('p', { class: 'entry-label', key: 'which' }, t('lost.which')),
          ['right', 'left', 'both'].map(eye =>
            h(
              Button,
              {
                key: eye,
                wide: true,
                test: `lost-${eye}`,
                label: `${t('supplies.lost')}${t('mark.colon')}${called(app, { ...x, eye })}`,
                onPress: () => {
                  choose(eye);
                  goOn(document.activeElement, '[data-test=losing] .choice');
                },
              },
              t(`eye.${eye[0].toUpperCase()}${eye.slice(1)}`),
            ),
          ),
        ],
    h(Button, { kind: 'plain', onPress: done }, t('cancel')),
  );
}

/** What stays the same when a spare is taken into use. @param {any} b */
const picked = b => ({ eye: b.eye ?? 'both', ...(b.label ? { label: b.label } : {}) });

/** @param {ViewProps & {again: () => void}} props arg: id of the entry that is mended, or what is new */
function One({ app, arg, again }) {
  const s = app.state;
  const { t } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const edit = s.records.get(arg)?.entry;
  const was = edit?.body ?? {};
  const [item, setItem] = useState(was.item ?? (edit ? '' : arg));
  const [on, setOn] = useState(was.on ?? today);
  const [days, setDays] = useState(String(was.discard_after_days ?? ''));
  const [label, setLabel] = useState(was.label ?? '');
  const [eye, setEye] = useState(was.eye ?? 'both');
  const [fault, setFault] = useState('');
  const [tried, setTried] = useState(false); // to save
  const [sure, setSure] = useState('');
  const [box, setBox] = useState('');
  const [action, setAction] = useState(was.action ?? 'started'); // a lens may be kept as a spare
  const [ends, setEnds] = useState(/** @type {Record<string, boolean>} */ ({})); // open bottles that the new one ends
  const bottle = item === 'solution' || item === 'drops';
  const d = item ? supplyDoubt(on, bottle ? days : '', today) : null;
  // With peroxide the case belongs to its bottle: a new bottle asks for its new case.
  const paired = item === 'solution' && !edit && wearerOf(s)?.plan?.care_system === 'peroxide';
  const asked = d && (d.firm || sure !== d.key);
  // Two bottles may be open at once: of the same name the new one ends the old, and it is said.
  const open = bottle && !edit ? scheduleLog(mine(s, s.nights), []).supplies.filter(x => x.item === item) : [];
  const over = open.filter(x => ends[x.id] ?? x.label === label.trim());
  const lacks = !item ? 'lacks.item' : paired && !box ? 'lacks.box' : '';
  const lack = (/** @type {string} */ key) => (tried && lacks === key ? t(key) : '');
  const leave = () => {
    setTried(true);
    goToLack();
  };
  const save = () =>
    !lacks
      ? app
          .write([
            ...(box === 'yes' && paired
              ? [{ wearer: s.wearer, kind: 'supply', body: { item: 'case', action: 'started', on } }]
              : []),
            ...over.map(x => ({
              wearer: s.wearer,
              kind: 'supply',
              body: {
                item,
                action: 'discarded',
                on,
                why: 'finished',
                of: x.id,
                ...(x.label ? { label: x.label } : {}),
              },
            })),
            {
              wearer: s.wearer,
              kind: 'supply',
              ...(edit ? { night: edit.night, supersedes: [edit.id] } : {}),
              body: {
                item,
                action: item === 'lens' ? action : (was.action ?? 'started'),
                on,
                ...(was.of ? { of: was.of } : {}),
                ...(bottle && days ? { discard_after_days: Number(days) } : {}),
                ...(label.trim() ? { label: label.trim() } : {}),
                ...(item === 'lens' ? { eye } : {}),
              },
            },
          ])
          .then(
            () => {
              if (edit) return go('progress');
              again(); // an empty form: what was saved is not saved twice
              return scrollTo(0, 0);
            },
            e => setFault(e.message),
          )
      : leave();
  return h(
    'div',
    { class: 'stack' },
    Choices({
      legend: asking(t('supplies.what'), lack('lacks.item')),
      value: item,
      onPick: setItem,
      test: i => `supply-${i}`,
      options: ITEMS.map(i => [i, t(`supplies.${i}`)]),
    }),
    item === 'lens' &&
      Choices({
        legend: t('eyes.label'),
        across: true,
        value: eye,
        onPick: setEye,
        test: e => `lens-eye-${e}`,
        options: ['both', 'right', 'left'].map(e => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]),
      }),
    item === 'lens' &&
      Choices({
        legend: t('supplies.use'),
        value: action,
        onPick: setAction,
        test: a => `lens-${a}`,
        options: ['started', 'kept'].map(a => [a, t(`supplies.use.${a}`)]),
      }),
    item &&
      h(Entry, {
        id: 's-on',
        type: 'date',
        label: t(action === 'kept' && item === 'lens' ? 'supplies.on.kept' : 'supplies.on'),
        value: on,
        onInput: setOn,
        doubted: asked && d.key !== 'doubt.days' ? 'doubt' : undefined,
      }),
    bottle &&
      h(Entry, {
        id: 's-days',
        type: 'number',
        label: t('supplies.days'),
        value: days,
        onInput: setDays,
        doubted: asked && d.key === 'doubt.days' ? 'doubt' : undefined,
      }),
    open.map(x =>
      h(Check, {
        key: x.id,
        label: t('supplies.over', { what: called(app, x), date: dayOf(s.words, x.started, today) }),
        checked: over.includes(x),
        test: 'bottle-over',
        onChange: on => setEnds({ ...ends, [x.id]: on }),
      }),
    ),
    paired &&
      Choices({
        legend: asking(t('supplies.box'), lack('lacks.box')),
        across: true,
        value: box,
        onPick: setBox,
        test: b => `box-${b}`,
        options: [
          ['yes', t('supplies.box.yes')],
          ['no', t('supplies.box.no')],
        ],
      }),
    paired && box === 'no' && h(Notice, { kind: 'alarm', live: true }, t('supplies.box.old')),
    item && h(Entry, { id: 's-label', label: t('supplies.label'), value: label, onInput: setLabel, max: 60 }),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
    h(
      'div',
      { role: 'status', id: 'doubt' },
      asked &&
        h(Doubt, {
          app,
          d,
          onChange: more => setOn(more.on),
          onSure: () => {
            setSure(d.key);
            goOn(document.activeElement, '[data-test=confirm]');
          },
        }),
    ),
    h(
      Button,
      { kind: asked ? '' : 'main', big: true, disabled: !!asked, onPress: () => void save(), test: 'confirm' },
      t('supplies.save'),
    ),
  );
}
