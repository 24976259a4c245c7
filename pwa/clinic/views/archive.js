// Alerts that were closed, for good: by wearer, dates of closing and outcome.
// From here one is read in full and opened again.

import * as api from '../api.js';
import { Field, h, Trouble, useLoad, useState } from '../dom.js';
import { lensesWords } from '../closings.js';
import { dated, eyes, title } from '../format.js';
import { link, wearerPage } from '../route.js';
import { AlertCard } from './alert-card.js';
import { point, tr } from '../text.js';

/** @import { Alert, Me } from '../api.js' */
/** @import { Queue } from '../main.js' */
/** @import { Route } from '../route.js' */

/** @param {{me: Me, route: Route, queue: Queue, ask: () => Promise<void>}} props */
export function Archive({ me, route, queue, ask }) {
  const { wearer = '', outcome = '', from = '', to = '', before = '' } = route.params;
  const wanted = { wearer, outcome, from, to, before };
  const got = useLoad(() => api.archive(wanted), JSON.stringify(wanted));
  const page = got.data;
  const narrowed = outcome || from || to || before;
  const none = narrowed ? tr('No closed alert fits this.') : tr('No alert was closed yet.');
  return h(
    'div',
    { class: 'archive' },
    h('h1', null, tr('Closed alerts')),
    wearer && h(Whose, { me, wearer }),
    h(Filter, { me, asked: wanted, key: JSON.stringify(wanted) }),
    h(Trouble, { error: got.error, busy: got.busy && !page, retry: got.reload }),
    page && !page.alerts.length && h('p', { class: 'quiet', 'data-test': 'archive-none' }, none),
    page?.alerts.map(alert =>
      h(Row, {
        key: alert.id,
        alert,
        me,
        queue,
        done: async () => {
          await ask();
          got.reload();
        },
      }),
    ),
    page?.more &&
      h(
        'p',
        null,
        h('a', { href: link('archive', '', { ...wanted, before: page.before }) }, tr('Those closed before')),
      ),
    before && h('p', null, h('a', { href: link('archive', '', { ...wanted, before: '' }) }, tr('The newest again'))),
  );
}

/** @param {{me: Me, wearer: string}} props */
function Whose({ me, wearer }) {
  const got = useLoad(() => api.plans(wearer), wearer);
  const w = got.data?.wearer;
  return h(
    'p',
    { 'data-test': 'archive-whose' },
    tr('Only of '),
    w ? h('a', { href: link(wearerPage(me), w.id) }, w.name) : tr('one wearer'),
    '. ',
    h('a', { href: link('archive') }, tr('Of every wearer')),
  );
}

/** @param {{me: Me, asked: {wearer: string, outcome: string, from: string, to: string}}} props */
function Filter({ me, asked }) {
  const [f, setF] = useState(asked);
  /** @param {'outcome'|'from'|'to'} key */
  const put = key => (/** @type {Event} */ e) =>
    setF({ ...f, [key]: /** @type {HTMLInputElement} */ (e.target).value });
  const wrong = f.from && f.to && f.to < f.from ? tr('The last day is before the first.') : '';
  return h(
    'form',
    {
      class: 'inline-form',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        if (!wrong) location.hash = link('archive', '', { ...f, before: '' });
      },
    },
    h(
      Field,
      { label: tr('Outcome') },
      h(
        'select',
        { value: f.outcome, 'data-test': 'archive-outcome', onChange: put('outcome') },
        h('option', { value: '' }, tr('Any')),
        me.outcomes.map(o => h('option', { value: o.key }, o.title)),
      ),
    ),
    h(
      Field,
      { label: tr('Closed from') },
      h('input', { type: 'date', value: f.from, 'data-test': 'archive-from', onInput: put('from') }),
    ),
    h(
      Field,
      { label: tr('to'), error: wrong },
      h('input', { type: 'date', value: f.to, 'data-test': 'archive-to', onInput: put('to') }),
    ),
    h('button', { 'data-test': 'archive-show' }, tr('Show')),
  );
}

/** One alert in a line; in full once it is unfolded. @param {{alert: Alert, me: Me, queue: Queue, done: () => Promise<void>}} props */
function Row({ alert, me, queue, done }) {
  const [open, setOpen] = useState(false);
  /** @param {string|undefined} key */
  const outcome = key => me.outcomes.find(o => o.key === key)?.title ?? title(key ?? '');
  const closings = alert.closings ?? [];
  const zone = me.practice.zone;
  return h(
    'details',
    {
      class: 'archived',
      'data-test': 'archived',
      onToggle: (/** @type {Event} */ e) => setOpen(/** @type {HTMLDetailsElement} */ (e.currentTarget).open),
    },
    h(
      'summary',
      null,
      h('strong', null, alert.wearer_name),
      ` ${alert.title}${alert.eye ? ` · ${eyes(alert.eye)}` : ''} `,
      h('span', { class: 'quiet' }, title(alert.level)),
      // every closing, the newest first: a filter finds an alert by any of them
      closings.length
        ? [...closings]
            .reverse()
            .map((c, i) => [
              i ? tr('; before: ') : ': ',
              outcome(c.outcome),
              h('span', { class: 'quiet' }, tr(', closed {date}', { date: dated(c.at, zone) })),
              lensesWords(c) && [
                point('; '),
                h('span', { 'data-test': 'archived-lenses' }, tr('lenses: {decided}', { decided: lensesWords(c) })),
              ],
            ])
        : `${point(': ')}${outcome(alert.outcome)}`,
      alert.state !== 'closed' && h('strong', { class: 'tag-off' }, tr(' Open again')),
    ),
    open && [
      closings.length > 0 &&
        h(
          'ol',
          { class: 'closings' },
          closings.map(c =>
            h(
              'li',
              null,
              `${dated(c.at, zone)}${point(', ')}${c.name}${point(': ')}${outcome(c.outcome)}`,
              lensesWords(c) && `${point('; ')}${tr('lenses: {decided}', { decided: lensesWords(c) })}`,
              c.note && `. ${c.note}`,
            ),
          ),
        ),
      alert.state === 'closed'
        ? h(AlertCard, { alert, me, now: queue.now, duty: queue.duty, done })
        : h('p', null, tr('It is open again: '), h('a', { href: link('today') }, tr('see Today')), '.'),
    ],
  );
}
