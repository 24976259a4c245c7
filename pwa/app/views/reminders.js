// What the family decides about its reminders: pauses, who is reminded first,
// and what a locked phone shows. Pauses are entries of the log and work without
// a network; the rest is kept by the server.
import { addDays, daysBetween } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Check } from '../../ui/more-parts.js';
import { Button, Card, Choices, Entry, Notice } from '../../ui/parts.js';
import { chooses, endPauses, pausesOf, tonight, wearerOf } from '../app.js';
import { call } from '../data/api.js';
import { MAX_PAUSE_NIGHTS } from '../model/entry.js';
import { Mine, OwnTimes } from './own-times.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** Kinds that may be turned off: `MayBeOff` of schedule/choices.go. */
const KINDS = ['evening-sight', 'acuity', 'deposit-removal', 'case', 'bottle', 'drops', 'lens', 'holder'];
const AFTER = [15, 30, 60, 0]; // minutes until a parent is reminded too; 0: never

/** @param {ViewProps} props */
export function Reminders({ app }) {
  const s = app.state;
  const { t } = s.words;
  return h(
    'div',
    { class: 'stack', 'data-test': 'reminders' },
    h('h1', null, t('reminders.title')),
    (s.family?.wearers.length ?? 0) > 1 && h('p', null, t('reminders.whose', { name: wearerOf(s)?.name ?? '' })),
    chooses(s) && h('p', { class: 'quiet small', 'data-test': 'later-covers' }, s.words.t('reminders.later')),
    h(Pauses, { app }),
    h(NewPause, { app }),
    wearerOf(s)?.plan && h(OwnTimes, { app, key: `own${s.wearer}` }),
    h(Chosen, { app }),
    h(Mine, { app }),
  );
}

/** @param {{app: App}} props */
function Pauses({ app }) {
  const s = app.state;
  const { t, date } = s.words;
  const live = pausesOf(s).filter(p => p.to >= tonight(s));
  if (!live.length) return null;
  return h(
    Card,
    { title: t('pause.live') },
    h(
      'ul',
      { class: 'plain-list', 'data-test': 'pauses' },
      live.map(p =>
        h(
          'li',
          { key: p.from + p.to, class: 'row apart' },
          h(
            'span',
            null,
            `${t(`reason.${p.reason}`)}${t('mark.colon')}${t('pause.span', { from: date(p.from), to: date(p.to) })}`,
          ),
          h(
            Button,
            { test: 'pause-end', onPress: () => void endPauses(app, x => x.from === p.from && x.to === p.to) },
            t(p.from <= tonight(s) ? 'pause.end' : 'remove'),
          ),
        ),
      ),
    ),
  );
}

/** @param {{app: App}} props */
function NewPause({ app }) {
  const s = app.state;
  const { t } = s.words;
  const first = tonight(s);
  const [reason, setReason] = useState('');
  const [from, setFrom] = useState(first);
  const [to, setTo] = useState(addDays(first, 6));
  const [fault, setFault] = useState('');
  const nights = from && to ? daysBetween(from, to) + 1 : 0;
  const wrong =
    nights < 1
      ? t('pause.fault.order')
      : nights > MAX_PAUSE_NIGHTS
        ? t('pause.fault.long', { n: MAX_PAUSE_NIGHTS })
        : '';
  const past = from && from < first ? t('pause.fault.past') : '';
  const save = () =>
    app.write([{ wearer: s.wearer, night: from, kind: 'pause', body: { reason, to } }]).then(
      () => setReason(''),
      e => setFault(e.message),
    );
  return h(
    Card,
    { title: t('pause.title') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t('pause.does')),
      h('p', null, t('pause.not')),
      Choices({
        legend: t('pause.why'),
        across: true,
        value: reason,
        onPick: setReason,
        test: r => `pause-${r}`,
        options: ['away', 'ill'].map(r => [r, t(`reason.${r}`)]),
      }),
      reason === 'ill' && h(Notice, { kind: 'urgent' }, t('pause.ill')),
      reason && [
        h(Entry, {
          key: 'from',
          id: 'pause-from',
          type: 'date',
          label: t('pause.first'),
          value: from,
          onInput: setFrom,
          fault: past,
          test: 'pause-from',
        }),
        h(Entry, {
          key: 'to',
          id: 'pause-to',
          type: 'date',
          label: t('pause.last'),
          value: to,
          onInput: setTo,
          fault: wrong,
          test: 'pause-to',
        }),
        h(
          Button,
          {
            key: 'save',
            kind: 'main',
            big: true,
            disabled: !!(wrong || past),
            test: 'pause-save',
            onPress: () => void save(),
          },
          t('pause.save', { n: Math.max(0, nights) }),
        ),
      ],
      fault && h(Notice, { kind: 'alarm', live: true }, fault),
    ),
  );
}

/** @param {{app: App}} props */
function Chosen({ app }) {
  const s = app.state;
  const { t } = s.words;
  const w = wearerOf(s);
  const [said, setSaid] = useState('');
  const [fault, setFault] = useState('');
  if (!w?.plan) return null;
  const now = {
    remind_first: w.reminders?.remind_first || w.plan.remind_first,
    parent_after_minutes: w.reminders?.parent_after_minutes ?? w.plan.parent_after_minutes,
    lock_screen_words: w.reminders?.lock_screen_words || 'neutral',
    off: w.reminders?.off ?? [],
  };
  const choose = async (/** @type {Partial<typeof now>} */ more) => {
    setSaid('');
    setFault('');
    try {
      await call('POST', '/api/reminders', { wearer: w.id, ...now, ...more });
      await app.refreshFamily();
      setSaid(t('reminders.saved'));
    } catch (e) {
      const offline = e instanceof Error && 'code' in e && e.code === 'offline';
      setFault(offline ? t('reminders.offline') : t('devices.failed', { why: e instanceof Error ? e.message : '' }));
    }
  };
  const teen = s.family?.people.some(p => p.role === 'teen' && p.wearer === w.id);
  return h(
    Card,
    { title: t('reminders.chosen') },
    h(
      'div',
      { class: 'stack' },
      teen &&
        Choices({
          legend: t('reminders.first'),
          across: true,
          value: now.remind_first,
          onPick: remind_first => void choose({ remind_first }),
          test: x => `first-${x}`,
          options: ['teen', 'parent'].map(x => [x, t(`reminders.first.${x}`)]),
        }),
      teen &&
        now.remind_first === 'teen' &&
        Choices({
          legend: t('reminders.after'),
          value: now.parent_after_minutes,
          onPick: parent_after_minutes => void choose({ parent_after_minutes }),
          test: x => `after-${x}`,
          options: [...new Set([...AFTER, now.parent_after_minutes])].map(n => [
            n,
            n ? t('time.minutes', { n }) : t('reminders.never'),
          ]),
        }),
      h(
        'fieldset',
        { class: 'choices' },
        h('legend', { class: 'entry-label' }, t('reminders.kinds')),
        KINDS.map(k =>
          h(Check, {
            key: k,
            label: k === 'evening-sight' ? t('kind.evening-sight') : t(`what.${k}`),
            checked: !now.off.includes(k),
            test: `remind-${k}`,
            onChange: on => void choose({ off: on ? now.off.filter(x => x !== k) : [...now.off, k] }),
          }),
        ),
      ),
      h('p', { class: 'quiet small' }, t('reminders.always')),
      Choices({
        legend: t('reminders.words'),
        value: now.lock_screen_words,
        onPick: lock_screen_words => void choose({ lock_screen_words }),
        test: x => `words-${x}`,
        options: /** @type {const} */ (['neutral', 'plain']).map(x => [x, t(`reminders.words.${x}`)]),
      }),
      h('p', { class: 'quiet small' }, t('reminders.noname')),
      said && h(Notice, { kind: 'good', live: true }, said),
      fault && h(Notice, { kind: 'urgent', live: true }, fault),
    ),
  );
}
