// What stands below what is to be done now: putting it off, and what can be logged at
// any time. Fetched after the start.
import { addDays, wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, LinkButton } from '../../ui/parts.js';
import { lostOf, sceneOf, tonight } from '../app.js';
import { facts, heldEyes, stopped } from '../model/day.js';
import { snoozeTo } from '../model/past.js';
import { snoozes } from '../model/snoozes.js';
import { link } from '../route.js';
import { Also } from './also.js';

/** @import { App } from '../app.js' */
/** @import { Task, TaskKind } from '../model/day.js' */

/**
 * What can be logged at any time, whatever the hour: the parts of the routine
 * that the screen does not already offer.
 * @param {{app: App, shown: TaskKind[]}} props
 */
export function Anytime({ app, shown }) {
  const s = app.state;
  const { t } = s.words;
  const last = lastNight(app);
  const held = heldEyes(sceneOf(s));
  /** @type {{eye?: 'right'|'left'}} */
  const other = held.length === 1 ? { eye: held[0] === 'right' ? 'left' : 'right' } : {};
  /** @type {Task[]} */
  const rest = [
    { kind: 'in', night: tonight(s), ...other },
    { kind: 'out', night: last },
    { kind: 'care', night: last, ...(stopped(sceneOf(s)) ? other : {}) },
    { kind: 'evening', night: tonight(s) },
  ];
  const offered = rest.filter(
    x =>
      !shown.includes(x.kind) &&
      !(x.kind === 'out' && shown.includes('asleep')) &&
      !(x.kind === 'in' && (held.length === 2 || (held.length && lostOf(s).length))) && // "are they in?" stands where it is said that they may not be
      !(x.kind === 'care' && held.length === 2 && stopped(sceneOf(s))), // kept for the clinic as they are
  );
  return h(
    'details',
    { class: 'card' },
    h('summary', { class: 'summary', 'data-test': 'anytime' }, t('anytime.title')),
    h(
      'div',
      { class: 'stack' },
      offered.map(x => h(Also, { app, task: x, key: x.kind })),
      h(LinkButton, { href: link('night', tonight(s)), wide: true }, t('night.add')),
      h(LinkButton, { href: link('supplies'), wide: true, test: 'to-supplies' }, t('supplies.title')),
      h(LinkButton, { href: link('write'), wide: true, test: 'write' }, t('write.title')),
      h(LinkButton, { href: link('reminders'), wide: true, test: 'to-reminders' }, t('pause.open')),
    ),
  );
}

/** The night whose lenses came out last, or are in now. @param {App} app */
export function lastNight(app) {
  const now = tonight(app.state);
  const f = facts(app.state.nights.get(`${app.state.wearer}/${now}`));
  return f.inserted || f.removed ? now : addDays(now, -1);
}

/** Putting the night's reminders off, or until when they are. @param {{app: App, night: string}} props */
export function Snooze({ app, night }) {
  const s = app.state;
  const { t, clock, moment } = s.words;
  const put = snoozes(s.nights.get(`${s.wearer}/${night}`));
  const last = put.at(-1) ?? 0;
  if (last > s.now)
    return h(
      'p',
      { 'data-test': 'snoozed' },
      t('snooze.until', { time: moment(last, s.zone, wallAt(s.now, s.zone).date) }),
    );
  const to = snoozeTo(sceneOf(s), put.length);
  if (!to) return null;
  return h(
    Button,
    {
      kind: 'plain',
      test: 'snooze',
      onPress: () => void app.write([{ wearer: s.wearer, night, kind: 'snooze', body: { until: to } }]),
    },
    t('snooze.button', { time: clock(to) }),
  );
}
