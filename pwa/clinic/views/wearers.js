// Every wearer of the practice: found by name or code, filtered, in pages.
// The search text stays out of the address bar; filters do not.

import * as api from '../api.js';
import { h, Trouble, useEffect, useLoad, useRef, useState } from '../dom.js';
import { day, LEVEL } from '../format.js';
import { link, wearerPage } from '../route.js';
import { endWords } from './glance.js';
import { LensInTag } from './lens-in.js';
import { Pages } from './pages.js';
import { ReviewBy } from './review-by.js';
import { nightsOf, Strip28, StripKey, WearTag } from './strip28.js';
import { tr } from '../text.js';

/** @import { Me, WearerRow, WearerSort, WearerFilter } from '../api.js' */
/** @import { Route } from '../route.js' */

const FILTERS = [
  ['', tr('All')],
  ['alert', tr('Open alert')],
  ['silent', tr('Silent')],
  ['overdue', tr('Recall overdue')],
  ['new', tr('First four weeks')],
  ['held', tr('Stop or rest')],
  ['ended', tr('Wear ended')],
];
const SORTS = [
  ['name', tr('Name')],
  ['family', tr('Family name')],
  ['code', tr('Code')],
  ['heard', tr('Longest silent')],
  ['recall', tr('Next recall')],
  ['worn', tr('Fewest nights')],
];
const WAIT_MS = 150; // after the last key

/** @param {{me: Me, route: Route}} props */
export function Wearers({ me, route }) {
  const [text, setText] = useState('');
  const [q, setQ] = useState('');
  useEffect(() => {
    const timer = setTimeout(() => setQ(text.trim()), WAIT_MS);
    return () => clearTimeout(timer);
  }, [text]);
  const ask = {
    q,
    page: Number(route.params.page) || 1,
    sort: /** @type {WearerSort} */ (route.params.sort ?? 'name'),
    filter: /** @type {WearerFilter} */ (route.params.filter ?? ''),
  };
  const list = useLoad(() => api.wearers(ask), JSON.stringify(ask));
  const box = useRef(/** @type {HTMLInputElement|null} */ (null));
  useEffect(() => {
    /** @param {KeyboardEvent} e */
    const slash = e => {
      if (e.key !== '/' || /^(INPUT|SELECT|TEXTAREA)$/.test(/** @type {HTMLElement} */ (e.target).tagName)) return;
      e.preventDefault();
      box.current?.focus();
    };
    addEventListener('keydown', slash);
    return () => removeEventListener('keydown', slash);
  }, []);
  /** @param {Record<string, string|number>} change */
  const go = change => {
    location.hash = link('wearers', '', { ...route.params, page: '', ...change });
  };
  return h(
    'div',
    { class: 'wearers' },
    h(
      'h1',
      null,
      tr('Wearers'),
      ' ',
      list.data && h('span', { class: 'count', 'aria-live': 'polite' }, `${list.data.total}`),
    ),
    h(
      'form',
      { class: 'filters', role: 'search', onSubmit: (/** @type {Event} */ e) => e.preventDefault() },
      h(
        'label',
        { class: 'grow' },
        tr('Name, parent, code, date of birth or telephone'),
        h('input', {
          type: 'search',
          ref: box,
          value: text,
          autocomplete: 'off',
          'aria-keyshortcuts': '/',
          'data-test': 'wearer-search',
          onInput: (/** @type {Event} */ e) => {
            setText(/** @type {HTMLInputElement} */ (e.target).value);
            if (ask.page > 1) go({});
          },
        }),
      ),
      h(
        'label',
        null,
        tr('Show'),
        h(
          'select',
          {
            value: ask.filter,
            onChange: (/** @type {Event} */ e) => go({ filter: /** @type {HTMLSelectElement} */ (e.target).value }),
          },
          FILTERS.map(([key, name]) => h('option', { value: key }, name)),
        ),
      ),
      h(
        'label',
        null,
        tr('Order'),
        h(
          'select',
          {
            value: ask.sort,
            onChange: (/** @type {Event} */ e) => go({ sort: /** @type {HTMLSelectElement} */ (e.target).value }),
          },
          SORTS.map(([key, name]) => h('option', { value: key }, name)),
        ),
      ),
    ),
    h(Trouble, { error: list.error, busy: list.busy && !list.data, retry: list.reload }),
    list.data && h(Rows, { me, rows: list.data.wearers, all: !ask.q && !ask.filter }),
    list.data &&
      h(Pages, {
        page: list.data.page,
        pages: list.data.pages,
        go: page => go({ page }),
        label: tr('Pages of the list'),
      }),
  );
}

/** What stands beside the nights worn. @param {WearerRow} w */
function rest(w) {
  const { asked, held } = nightsOf(w.strip);
  const missed = w.answered - w.worn;
  const memory = [...w.strip.toLowerCase()].filter(c => c === 'm').length;
  const unknown = Math.max(0, asked - w.answered);
  return [
    missed ? tr(', {missed} missed', { missed }) : '',
    unknown ? tr(', {unknown} unknown', { unknown }) : '',
    memory ? tr(', {n} from memory', { n: memory }) : '',
    held ? tr(', {n} told not to wear', { n: held }) : '',
  ].join('');
}

/** @param {{me: Me, rows: WearerRow[], all: boolean}} props all: nothing is filtered out */
function Rows({ me, rows, all }) {
  if (!rows.length)
    return h(
      'p',
      { class: 'quiet' },
      all ? [tr('No wearer yet. '), h('a', { href: link('family') }, tr('Add a family'))] : tr('Nobody matches.'),
    );
  return h(
    'div',
    null,
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
            [tr('Wearer'), tr('Age'), tr('Nights worn, last 28'), tr('Last heard'), tr('Next recall'), tr('Alert')].map(
              t => h('th', { scope: 'col' }, t),
            ),
          ),
        ),
        h(
          'tbody',
          null,
          rows.map(w =>
            h(
              'tr',
              { key: w.id, 'data-test': 'wearer-row' },
              h(
                'th',
                { scope: 'row' },
                h('a', { href: link(wearerPage(me), w.id) }, w.name),
                ' ',
                h('span', { class: 'code' }, w.code),
                w.birth && h('span', { class: 'quiet' }, tr(' · born {date}', { date: day(w.birth) })),
              ),
              h('td', { 'data-is': tr('Age') }, w.age ? Math.floor(w.age) : '–'),
              h(
                'td',
                null,
                w.first_night && w.first_night < me.today
                  ? [
                      h(Strip28, { strip: w.strip }),
                      ' ',
                      h(LensInTag, { list: w.lenses_in }),
                      ' ',
                      h(WearTag, { wear: w.wear }),
                      w.no_stop &&
                        h('span', { class: 'tag emergency', 'data-test': 'row-no-stop' }, tr('No stop written')),
                      ' ',
                      w.review_by && [h(ReviewBy, { on: w.review_by, today: me.today }), ' '],
                      h(
                        'span',
                        { class: 'date', 'data-test': 'row-worn' },
                        tr('{worn} of {first_night}', { worn: w.worn, first_night: w.answered }),
                      ),
                      h('span', { class: 'quiet' }, rest(w)),
                    ]
                  : tr('not started'),
                w.ends && h('p', { 'data-test': 'ends' }, endWords(w.ends)),
              ),
              h('td', { class: 'date', 'data-is': tr('Last heard') }, w.last_heard ? day(w.last_heard) : tr('never')),
              h(
                'td',
                { class: w.overdue ? 'date overdue' : 'date', 'data-is': tr('Next recall') },
                w.next_recall ? day(w.next_recall) : '–',
                w.overdue && tr(' overdue'),
              ),
              h('td', null, w.alert && h('span', { class: `tag ${w.alert}` }, LEVEL[w.alert].split(':')[0])),
            ),
          ),
        ),
      ),
    ),
    h(StripKey, null),
  );
}
