// Visits to chase, by due date, with the last contact: the desk's list.

import * as api from '../api.js';
import { h, Trouble, useLoad } from '../dom.js';
import { day, plural, title } from '../format.js';
import { link, wearerPage } from '../route.js';
import { CalendarAddress } from './calendar-address.js';
import { Download } from './download.js';
import { Pages } from './pages.js';
import { point, tr } from '../text.js';

/** @import { Me, RecallRow } from '../api.js' */
/** @import { Route } from '../route.js' */

const STATES = /** @type {const} */ ([
  ['', tr('All')],
  ['overdue', tr('Overdue')],
  ['missed', tr('Missed visits')],
  ['due', tr('Due within 4 weeks')],
  ['booked', tr('Booked visits')],
]);

/** @param {{me: Me, route: Route}} props */
export function Recalls({ me, route }) {
  const ask = { state: route.params.state ?? '', page: Number(route.params.page) || 1 };
  const got = useLoad(() => api.recalls(ask), JSON.stringify(ask));
  const rows = got.data?.recalls ?? [];
  /** @param {string} key */
  const name = key => {
    const n = got.data?.counts;
    if (!n) return '';
    return ` (${key ? n[/** @type {keyof typeof n} */ (key)] : n.all})`;
  };
  return h(
    'div',
    { class: 'recalls' },
    h(
      'h1',
      null,
      tr('Recalls'),
      ' ',
      h('span', { class: 'count', 'aria-live': 'polite' }, got.data && plural(got.data.total, 'visit', 'visits')),
    ),
    h(
      'form',
      { class: 'filters' },
      h(
        'label',
        null,
        tr('Show'),
        h(
          'select',
          {
            value: ask.state,
            onChange: (/** @type {Event} */ e) => {
              location.hash = link('recalls', '', { state: /** @type {HTMLSelectElement} */ (e.target).value });
            },
          },
          STATES.map(([key, text]) => h('option', { value: key }, text + name(key))),
        ),
      ),
      h(Download, { url: api.RECALLS_URL, file: 'recalls.csv', label: tr('All as CSV') }),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && (rows.length ? h(List, { rows, me }) : h('p', { class: 'quiet' }, tr('No visit to chase.'))),
    got.data &&
      h(Pages, {
        page: got.data.page,
        pages: got.data.pages,
        go: page => {
          location.hash = link('recalls', '', { state: ask.state, page });
        },
        label: tr('Pages of the list'),
      }),
    h(CalendarAddress, { me }),
  );
}

/** @param {{rows: RecallRow[], me: Me}} props */
const List = ({ rows, me }) =>
  h(
    'div',
    { class: 'scroll' },
    h(
      'table',
      { class: 'list stack' },
      h(
        'thead',
        null,
        h(
          'tr',
          null,
          [tr('Due'), tr('Wearer'), tr('Visit'), tr('State'), tr('Last contact'), tr('Last heard'), tr('Visits')].map(
            t => h('th', { scope: 'col' }, t),
          ),
        ),
      ),
      h(
        'tbody',
        null,
        rows.map(r =>
          h(
            'tr',
            { key: `${r.wearer}${r.kind}${r.due}${r.visit}`, 'data-test': 'recall-row' },
            h(
              'td',
              { class: 'date', 'data-is': tr('Due') },
              day(r.due),
              r.overdue > 0 &&
                r.state !== 'booked' &&
                h('span', { class: 'overdue' }, tr('{days} over', { days: plural(r.overdue, 'day', 'days') })),
            ),
            h(
              'th',
              { scope: 'row' },
              h('a', { href: link(wearerPage(me), r.wearer) }, r.name),
              ' ',
              h('span', { class: 'code' }, r.code),
            ),
            h(
              'td',
              { 'data-is': tr('Visit') },
              title(r.kind),
              r.new_lens && h('span', { class: 'hint' }, tr('of a new lens')),
            ),
            h(
              'td',
              { 'data-is': tr('State') },
              r.state === 'booked'
                ? [title('booked'), ' ', h('span', { class: 'date' }, day(r.date)), r.time && `${point(', ')}${r.time}`]
                : title(r.state),
            ),
            h(
              'td',
              { 'data-is': tr('Last contact') },
              r.last_contact
                ? [
                    h('span', { class: 'date' }, day(r.last_contact.on)),
                    `${point(', ')}${title(r.last_contact.how).toLowerCase()}${r.last_contact.outcome ? `${point(': ')}${title(r.last_contact.outcome)}` : ''}`,
                  ]
                : '–',
            ),
            h('td', { class: 'date', 'data-is': tr('Last heard') }, r.last_heard ? day(r.last_heard) : tr('never')),
            h(
              'td',
              null,
              h(
                'a',
                {
                  href: link(
                    'visits',
                    r.wearer,
                    r.state === 'booked' ? { change: r.visit } : { book: r.kind, due: r.due },
                  ),
                  'data-test': 'recall-to-visit',
                },
                r.state === 'booked' ? tr('Change') : tr('Book'),
              ),
            ),
          ),
        ),
      ),
    ),
  );
