// The working day: alerts first, then who needs a call and why, then the
// visits of the day.

import * as api from '../api.js';
import { HeadRow, Trouble, h, useAction, useEffect, useLayoutEffect, useLoad, useState } from '../dom.js';
import { addDays, day, moment, plural, readable, title, wall, weekdayDate } from '../format.js';
import { inOrder, unacknowledged } from '../queue.js';
import { link, wearerPage } from '../route.js';
import { gapWords } from '../settings.js';
import { tel } from '../../ui/tel.js';
import { AlertCard } from './alert-card.js';
import { DrillCard } from './drill.js';
import { ConsentGone } from './consent-gone.js';
import { CheckLine } from './ready.js';
import { LensIn, LensInTag } from './lens-in.js';
import { Phones } from './phones.js';
import { Pages } from './pages.js';
import { Quoted } from './quoted.js';
import { sentences } from './reading.js';
import { ReviewBy } from './review-by.js';
import { Strip28, StripKey, WearTag } from './strip28.js';
import { Words } from './words.js';
import { filled, point, tr } from '../text.js';

/** @import { Me, Today as TodayAnswer } from '../api.js' */
/** @import { Route } from '../route.js' */
/** @import { Call, Reason } from '../types.js' */

/**
 * @param {{me: Me, route: Route, queue: import('../main.js').Queue, ask: () => Promise<void>}} props
 */
export function Today({ me, route, queue, ask }) {
  const wanted = { reason: route.params.reason ?? '', page: Number(route.params.page) || 1 };
  const today = useLoad(again => api.today(wanted, again), JSON.stringify(wanted));
  useLayoutEffect(() => {
    // a mail leads to one alert: it is found once the queue has come
    /** @type {HTMLElement|null} */ (document.querySelector(`[data-alert="${CSS.escape(route.arg)}"]`))?.focus();
  }, [queue.loaded, route.arg]);
  const on = JSON.stringify([me.on_duty, queue.duty, queue.alerts.map(a => [a.id, a.state])]);
  const [asked] = useState({ on: '' });
  useEffect(() => {
    // the side has somebody else on duty, or an alert was opened or decided on: this page too
    if (asked.on && asked.on !== on) today.reload();
    if (queue.loaded) asked.on = on;
  }, [on, queue.loaded]);
  const duty = h(Duty, { duty: today.data?.duty, zone: me.practice.zone });
  // An alert nobody has taken stands first, on a phone too; its card says who is on duty.
  const waits = unacknowledged(queue.alerts) > 0;
  return h(
    'div',
    { class: 'today' },
    h('h1', null, tr('Today'), h('span', { class: 'quiet' }, ` ${weekdayDate(today.data?.date ?? me.today)}`)),
    !waits && duty,
    h(Alerts, { me, queue, ask }),
    waits && duty,
    h(CheckLine, null),
    h(Trouble, { error: today.error, busy: today.busy && !today.data, retry: today.reload }),
    today.data && h(Calls, { me, today: today.data, reason: wanted.reason, reload: today.reload }),
    today.data && h(Overdue, { of: today.data.overdue }),
    today.data && h(Held, { me, today: today.data }),
    today.data && h(VisitsOfTheDay, { me, today: today.data }),
  );
}

/** Who answers now, who comes next, and the next gap: one line, which keeps its place while it is fetched. @param {{duty: TodayAnswer['duty']|undefined, zone: string}} props */
function Duty({ duty: d, zone }) {
  if (!d) return h('p', { class: 'duty' });
  return h(
    'p',
    { class: 'duty', 'data-test': 'duty' },
    h(
      'span',
      { class: d.name ? 'tag-on' : 'tag-off' },
      d.name
        ? [tr('On duty: '), h('b', null, d.name), d.phone && [' ', h('a', { href: tel(d.phone) }, d.phone)]]
        : tr('Nobody is on duty now'),
      d.until && tr(' until {date}', { date: moment(d.until, zone) }),
    ),
    d.until && h('span', null, d.next ? tr('next: {next}', { next: d.next }) : tr('then nobody')),
    d.second && h('span', null, tr('deputy: {second}', { second: d.second })),
    d.gap && h('span', { class: 'tag-off' }, tr('nobody on duty {gap}', { gap: gapWords(d.gap, zone) })),
    d.name && h(Tested, { tested: d.tested, zone }),
    h(
      'a',
      { href: link('duties'), 'data-test': 'duties-open' },
      d.asked ? tr('You are asked to take a duty') : tr('Duties'),
    ),
  );
}

/** What the daily test alert says of the devices of whoever is on duty. @param {{tested: TodayAnswer['duty']['tested'], zone: string}} props */
function Tested({ tested: t, zone }) {
  const shown = t.shown ? moment(t.shown, zone) : '';
  const [good, words] = !t.devices
    ? [false, tr('no device of theirs receives alerts: mail and telephone only')]
    : t.silent
      ? [false, shown ? tr('last test alert shown {shown}, none since', { shown }) : tr('no test alert was ever shown')]
      : [true, shown ? tr('last test alert shown {shown}', { shown }) : tr('first test alert on its way')];
  return h('span', { class: good ? '' : 'tag-off', 'data-test': 'tested' }, words);
}

/**
 * @param {{me: Me, queue: import('../main.js').Queue, ask: () => Promise<void>}} props
 */
function Alerts({ me, queue, ask }) {
  const sorted = inOrder(queue.alerts);
  const live = sorted.filter(a => a.state !== 'closed' && !a.drill);
  const closed = sorted.filter(a => a.state === 'closed');
  const waiting = unacknowledged(queue.alerts);
  return h(
    'section',
    { 'aria-labelledby': 'alerts-title' },
    h(
      'div',
      { class: 'list-head' },
      h(
        'h2',
        { id: 'alerts-title', tabIndex: -1 },
        tr('Alerts'),
        ' ',
        h(
          'span',
          { class: 'count', 'aria-live': 'polite' },
          waiting ? tr('{waiting} not acknowledged', { waiting }) : queue.loaded ? tr('none waiting') : tr('not known'),
        ),
      ),
      h('a', { href: link('archive'), 'data-test': 'archive-open' }, tr('All closed alerts')),
      h(
        'details',
        { class: 'order' },
        h('summary', null, tr('How this is ordered, and keys')),
        h(
          'p',
          null,
          tr(
            'Those nobody has acknowledged come first, then by level, a chemical in the eye before the rest, then the oldest first. On a focused alert: ',
          ),
          keys(),
        ),
      ),
    ),
    groups(live, me.person.name).map(
      ([heading, list]) =>
        list.length > 0 &&
        h(
          'div',
          { key: heading },
          heading && h('h3', null, heading),
          list.map(alert => h(AlertCard, { key: alert.id, alert, me, now: queue.now, duty: queue.duty, done: ask })),
        ),
    ),
    sorted.filter(a => a.drill).map(alert => h(DrillCard, { key: alert.id, alert, me, done: ask })),
    queue.loaded &&
      !live.length &&
      h(
        'p',
        { class: 'quiet' },
        tr('No alert {more}is open. This page asks every 5 seconds.', {
          more: queue.lost ? tr('that can be read ') : '',
        }),
      ),
    closed.length > 0 &&
      h(
        'details',
        { class: 'closed-alerts' },
        h('summary', null, tr('Closed in the last day, {n}', { n: closed.length })),
        closed.map(alert => h(AlertCard, { key: alert.id, alert, me, now: queue.now, duty: queue.duty, done: ask })),
      ),
  );
}

/**
 * What waits for anybody first, then what is mine, then what others have.
 * @param {import('../api.js').Alert[]} live
 * @param {string} name
 * @returns {[string, import('../api.js').Alert[]][]} heading and alerts
 */
function groups(live, name) {
  const who = (/** @type {import('../api.js').Alert} */ a) =>
    a.state === 'open' ? 'open' : (a.assigned_name || a.ack_by_name) === name ? 'mine' : 'others';
  const of = (/** @type {string} */ key) => live.filter(a => who(a) === key);
  return [
    ['', of('open')],
    [tr('Yours'), of('mine')],
    [tr('With colleagues'), of('others')],
  ];
}

const keys = () =>
  [
    ['a', tr('I have this')],
    ['c', tr('close')],
    ['p', tr('log a call')],
    ['m', tr('comment')],
    ['h', tr('hand over')],
    ['j', tr('next')],
    ['k', tr('previous')],
  ].map(([key, does], i) => [i ? ', ' : '', h('kbd', null, key), ` ${does}`]);

/**
 * What somebody has just put down, so that a slip can be taken back.
 * @typedef {{wearer: string, name: string, rule: string, title: string, outcome: string}} JustDone
 */

/** @param {{me: Me, today: TodayAnswer, reason: string, reload: () => void}} props */
function Calls({ me, today, reason, reload }) {
  const { calls, order } = today.calls;
  const [done, setDone] = useState(/** @type {JustDone|undefined} */ (undefined));
  const undo = useAction();
  /** @param {JustDone} what */
  const saved = what => {
    setDone(what);
    reload();
  };
  const takeBack = (/** @type {JustDone} */ what) =>
    undo.run(async () => {
      await api.followUp({ wearer: what.wearer, rule: what.rule, outcome: 'taken-back', note: '', until: today.date });
      setDone(undefined);
      reload();
    });
  return h(
    'section',
    { class: 'calls-part', 'aria-labelledby': 'calls-title' },
    h(
      'div',
      { class: 'list-head' },
      h(
        'h2',
        { id: 'calls-title' },
        tr('Who needs a call'),
        ' ',
        h('span', { class: 'count' }, plural(today.total, 'family', 'families')),
      ),
      h(
        'label',
        null,
        tr('Reason '),
        h(
          'select',
          {
            value: reason,
            'data-test': 'call-reason',
            onChange: (/** @type {Event} */ e) => {
              location.hash = link('today', '', { reason: /** @type {HTMLSelectElement} */ (e.target).value });
            },
          },
          h('option', { value: '' }, tr('All')),
          order
            .filter(o => o.families || o.rule === reason)
            .map(o => h('option', { value: o.rule }, `${o.title} (${o.families})`)),
        ),
      ),
      h(
        'details',
        { class: 'order' },
        h('summary', null, tr('Why this order')),
        h(
          'p',
          null,
          tr(
            'Each family stands where its most pressing reason puts it; within a reason, the one that has held longest comes first.',
          ),
        ),
        h(
          'ol',
          null,
          order.map(o => h('li', null, h('b', null, o.title), `${point(': ')}${o.why}`)),
        ),
      ),
    ),
    h(
      'p',
      { class: 'just-done', role: 'status' },
      done && [
        tr('Put down for {name}: {title}, {outcome}. ', {
          name: done.name,
          title: done.title,
          outcome: title(done.outcome).toLowerCase(),
        }),
        h(
          'button',
          {
            type: 'button',
            'data-test': 'call-undo',
            'aria-label': tr('Undo: {name}, {title}', { name: done.name, title: done.title }),
            disabled: undo.busy,
            onClick: () => takeBack(done),
          },
          tr('Undo'),
        ),
      ],
    ),
    undo.error && h('p', { class: 'field-error', role: 'alert' }, undo.error.message),
    calls.length
      ? h(
          'div',
          null,
          h(
            'ol',
            { class: 'calls' },
            calls.map(c =>
              h(CallRow, { key: c.wearer, me, call: c, beside: today.beside[c.wearer], date: today.date, saved }),
            ),
          ),
          h(StripKey, null),
        )
      : h('p', { class: 'quiet' }, tr('Nobody on the list.')),
    h(Pages, {
      page: today.page,
      pages: today.pages,
      go: page => {
        location.hash = link('today', '', { reason, page });
      },
      label: tr('Pages of who needs a call'),
    }),
  );
}

/** @param {{me: Me, call: Call, beside: TodayAnswer['beside'][string]|undefined, date: string, saved: (what: JustDone) => void}} props */
function CallRow({ me, call, beside, date, saved }) {
  return h(
    'li',
    { class: 'call', 'data-test': 'call-row' },
    h(
      'p',
      { class: 'who' },
      h('a', { href: link(wearerPage(me), call.wearer) }, call.name),
      ' ',
      h('span', { class: 'code' }, call.code),
      beside && beside.age > 0 && h('span', { class: 'quiet' }, ` ${beside.age}`),
      beside && h(WearTag, { wear: beside.wear }),
      beside && h(Strip28, { strip: beside.strip }),
      beside && h(Phones, { list: beside.phones }),
    ),
    call.reasons.map(r => h(ReasonRow, { key: r.rule, me, call, reason: r, date, saved })),
    h(ConsentGone, { of: beside }),
    h('p', { class: 'quiet', 'data-test': 'last-word' }, lastWord(call, beside?.called, me.practice.zone)),
  );
}

const CALLED = { reached: tr('reached'), 'not-reached': tr('not reached'), 'left-word': tr('left word') };

/**
 * What came of the last call, so that nobody asks the same twice: of the list's own or of
 * an alert's card.
 * @param {Call} call @param {TodayAnswer['beside'][string]['called']} called @param {string} zone
 */
function lastWord(call, called, zone) {
  const last = call.done.find(d => d.outcome !== 'taken-back');
  if (called && !(last && last.on > (wall(called.at, zone)?.date ?? '')))
    return tr('Last word: {date}, {by}, {outcome}{until}{more}', {
      date: moment(called.at, zone),
      by: called.by,
      outcome: CALLED[called.result],
      until: '',
      more: '',
    });
  if (!last) return tr('Last word: none logged.');
  const until = last.outcome === 'snoozed' ? tr(' until {date}', { date: day(last.until) }) : '';
  const word = tr('Last word: {date}, {by}, {outcome}{until}{more}', {
    date: day(last.on),
    by: last.by,
    outcome: title(last.outcome).toLowerCase(),
    until,
    more: '',
  });
  return last.note ? `${word}${point(': ')}${filled(last.note)}` : word;
}

/** @param {string} evidence @returns {string} its first piece: the plain count */
const firstPiece = evidence => evidence.split(/; |؛ |；/)[0];

/** Ways a call can end, and how many days until the reason may come back. */
const CALL_OUTCOMES = /** @type {[string, string, number][]} */ ([
  ['spoken-to', tr('Spoken to'), 7],
  ['visit-booked', tr('Visit booked'), 14],
  ['message-left', tr('Message left'), 2],
  ['not-reached', tr('Not reached'), 1],
  ['not-needed', tr('No call needed'), 7],
  ['snoozed', tr('Snooze'), 7],
]);

/** @param {HTMLElement|null} el */
const focusIt = el => el?.focus();

/** @param {{me: Me, call: Call, reason: Reason, date: string, saved: (what: JustDone) => void}} props */
function ReasonRow({ me, call, reason, date, saved }) {
  const [open, setOpen] = useState(false);
  const [outcome, setOutcome] = useState('');
  const [note, setNote] = useState('');
  const action = useAction();
  const [until, setUntil] = useState(addDays(date, 7));
  const snooze = outcome === 'snoozed';
  const days = CALL_OUTCOMES.find(([key]) => key === outcome)?.[2] ?? 7;
  const save = () =>
    action.run(async () => {
      await api.followUp({
        wearer: call.wearer,
        rule: reason.rule,
        outcome,
        note,
        until: snooze ? until : addDays(date, days),
        read: reason.words?.filter(w => !w.private).map(w => w.entry),
      });
      saved({ wearer: call.wearer, name: call.name, rule: reason.rule, title: reason.title, outcome });
    });
  return h(
    'div',
    { class: 'reason' },
    h(
      'p',
      null,
      h('b', null, reason.title),
      reason.since && h('span', { class: 'quiet' }, tr(' since {date}', { date: day(reason.since) })),
    ),
    reason.words &&
      h(Words, {
        list: reason.words,
        wearer: call.wearer,
        of: call.name,
        may: me.person.role === 'clinician',
        zone: '',
        done: () => {},
      }),
    h(
      'details',
      null,
      h('summary', null, reason.words ? tr('What to say') : readable(firstPiece(reason.evidence))),
      !reason.words && h('p', { class: 'evidence' }, readable(reason.evidence)),
      h('p', null, h('i', null, `“${reason.text}”`)),
      h('p', { class: 'quiet' }, `${tr('Basis')}${point(': ')}`, h(Quoted, { of: reason.basis })),
    ),
    reason.rule === 'stop-unwritten' &&
      h('a', { class: 'button', href: link('visits', call.wearer), 'data-test': 'stop-link' }, tr('Visits')),
    h(
      'button',
      {
        type: 'button',
        'aria-expanded': open,
        'aria-label': tr('Log a call… {name}: {title}', { name: call.name, title: reason.title }),
        'data-test': 'call-done',
        onClick: () => setOpen(!open),
      },
      tr('Log a call…'),
    ),
    open &&
      h(
        'form',
        {
          class: 'inline-form',
          onSubmit: (/** @type {Event} */ e) => {
            e.preventDefault();
            save();
          },
        },
        h(
          'label',
          null,
          tr('Outcome'),
          h(
            'select',
            {
              value: outcome,
              required: true,
              ref: focusIt,
              'data-test': 'call-outcome',
              onChange: (/** @type {Event} */ e) => setOutcome(/** @type {HTMLSelectElement} */ (e.target).value),
            },
            h('option', { value: '' }, tr('Choose…')),
            CALL_OUTCOMES.map(([key, name, n]) =>
              h(
                'option',
                { value: key },
                key === 'snoozed'
                  ? tr('Snooze until a date, with the reason')
                  : tr('{name}, back in {days} if it still holds', { name, days: plural(n, 'day', 'days') }),
              ),
            ),
          ),
        ),
        snooze &&
          h(
            'label',
            null,
            tr('Until'),
            h('input', {
              type: 'date',
              required: true,
              min: addDays(date, 1),
              max: addDays(date, 28),
              value: until,
              onInput: (/** @type {Event} */ e) => setUntil(/** @type {HTMLInputElement} */ (e.target).value),
            }),
          ),
        h(
          'label',
          { class: 'grow' },
          snooze ? tr('Reason') : tr('Note'),
          h('input', {
            type: 'text',
            maxLength: 500,
            required: snooze,
            value: note,
            onInput: (/** @type {Event} */ e) => setNote(/** @type {HTMLInputElement} */ (e.target).value),
          }),
        ),
        h('button', { class: 'primary', disabled: action.busy }, tr('Save')),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}

/** Whose visit is overdue, on the list or not: as many as the other lists say. @param {{of: TodayAnswer['overdue']}} props */
const Overdue = ({ of }) =>
  of.wearers > 0 &&
  h(
    'p',
    { class: 'quiet', 'data-test': 'overdue-all' },
    h('a', { href: link('wearers', '', { filter: 'overdue' }) }, tr('Recall overdue')),
    `${point(': ')}${plural(of.wearers, 'wearer', 'wearers')}. `,
    tr('This list asks for a call from {days} late on, and not while one is put off.', {
      days: plural(of.from, 'day', 'days'),
    }),
  );

/** Whose lenses are stopped or at rest: those with a lens in all the same, then those to be looked at soonest. @param {{me: Me, today: TodayAnswer}} props */
function Held({ me, today: { held, date } }) {
  if (!held.length) return null;
  return h(
    'section',
    { 'aria-labelledby': 'held-title', 'data-test': 'held' },
    h('h2', { id: 'held-title' }, tr('No lens for now'), ' ', h('span', { class: 'count' }, held.length)),
    h(
      'ul',
      { class: 'held' },
      held.map(w =>
        h(
          'li',
          { key: w.wearer, 'data-test': 'held-row' },
          h('a', { href: link(wearerPage(me), w.wearer) }, w.name),
          ' ',
          h('span', { class: 'code' }, w.code),
          ' ',
          h(LensInTag, { list: w.lenses_in }),
          ' ',
          h(WearTag, { wear: w.wear }),
          ' ',
          // a release that is to come has its date; only what has none is looked at again
          [w.right, w.left].every(e => e.state === 'none' || e.until)
            ? null
            : w.review_by
              ? h(ReviewBy, { on: w.review_by, today: date })
              : w.wear === 'stop' && h('span', { class: 'review-by overdue' }, tr('no date of review')),
          h('span', { 'data-test': 'held-eyes' }, ` · ${sentences({ right: w.right, left: w.left }).join(' ')}`),
          h(LensIn, { list: w.lenses_in, phones: w.phones }),
        ),
      ),
    ),
  );
}

/** @param {{me: Me, today: TodayAnswer}} props */
function VisitsOfTheDay({ me, today }) {
  return h(
    'section',
    { 'aria-labelledby': 'visits-title' },
    h(
      'h2',
      { id: 'visits-title' },
      tr('Visits today'),
      ' ',
      h('span', { class: 'count' }, plural(today.visits.length, 'visit', 'visits')),
    ),
    today.visits.length
      ? h(
          'table',
          { class: 'list stack' },
          h(HeadRow, { cells: [tr('Time'), tr('Wearer'), tr('Visit'), tr('Record')] }),
          h(
            'tbody',
            null,
            today.visits.map(v =>
              h(
                'tr',
                { 'data-test': 'visit-row' },
                h('td', { 'data-is': tr('Time') }, v.time || v.visit.time || '–'),
                h(
                  'th',
                  { scope: 'row' },
                  h('a', { href: link(wearerPage(me), v.wearer) }, v.name),
                  ' ',
                  h('span', { class: 'code' }, v.code),
                ),
                h('td', null, title(v.visit.kind)),
                h('td', null, h('a', { href: link('visits', v.wearer) }, tr('Open'))),
              ),
            ),
          ),
        )
      : h('p', { class: 'quiet' }, tr('No visit is booked for today.')),
  );
}
