// The practice as a whole, over a range of dates. Counts under five are not shown to
// an administrator, who may not read the records, so that no family can be recognised.

import * as api from '../api.js';
import { DataTable, HeadRow, Table, Trouble, h, useLoad, useState } from '../dom.js';
import { addDays, day, LEVEL, number, share, title, whole } from '../format.js';
import { link } from '../route.js';
import { ShareBar } from './care.js';
import { Download } from './download.js';
import { heard } from '../heard.js';
import { ENGLISH, plural, point, tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @import { Route } from '../route.js' */
/** @import { EventRate, PracticeFigures, Share, SurvivalRow } from '../types.js' */

/** @param {{me: Me, route: Route}} props */
export function Practice({ me, route }) {
  const from = route.params.from ?? addDays(me.today, -365);
  const to = route.params.to ?? addDays(me.today, -1);
  const got = useLoad(() => api.practice(from, to), `${from}/${to}`);
  return h(
    'div',
    { class: 'practice' },
    h(
      'h1',
      null,
      tr('Practice'),
      h('span', { class: 'quiet' }, tr(' {date} to {date2}', { date: day(from), date2: day(to) })),
    ),
    h(
      'p',
      { class: 'only-print quiet' },
      tr('{name}, printed {date}. Counts of the whole practice: where there are few, a family may be recognised.', {
        name: me.practice.name,
        date: day(me.today),
      }),
    ),
    h(Range, { from, to, today: me.today, key: `${from}${to}` }),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && h(Figures, { f: got.data }),
    (got.data || got.error) &&
      h(
        'p',
        { class: 'no-print buttons' },
        h(Download, { url: api.EXPORT_URL, file: 'nightkeep-nights.csv', label: tr('Nights as CSV') }),
        h('a', { class: 'button', href: api.DICTIONARY_URL, download: '' }, tr('What each column means')),
      ),
  );
}

/** @param {{from: string, to: string, today: string}} props */
function Range({ from, to, today }) {
  const [a, setA] = useState(from);
  const [b, setB] = useState(to);
  return h(
    'form',
    {
      class: 'range no-print',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        location.hash = link('practice', '', { from: a, to: b });
      },
    },
    h(
      'label',
      null,
      tr('From'),
      h('input', {
        type: 'date',
        value: a,
        max: today,
        onInput: (/** @type {Event} */ e) => setA(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h(
      'label',
      null,
      tr('to'),
      h('input', {
        type: 'date',
        value: b,
        max: today,
        onInput: (/** @type {Event} */ e) => setB(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    h('button', null, tr('Show')),
  );
}

/** @param {{f: PracticeFigures}} props */
function Figures({ f }) {
  const e = f.events;
  return h(
    'div',
    { class: 'sheets' },
    h(
      'section',
      { class: 'block' },
      h('h2', null, tr('Wear and care')),
      h(
        'p',
        null,
        tr('{more} wearers, {years} wearer-years in lenses.', {
          more: f.wearers.text === 'none' ? tr('No') : title(f.wearers.text),
          years: number(f.years, 1),
        }),
      ),
      h(
        'table',
        { class: 'care' },
        h(
          'tbody',
          null,
          /** @type {[string, Share][]} */ ([
            [tr('Nights with lenses'), f.wear],
            [tr('Every care item done'), f.all_care],
            [tr('Recalls kept on time'), f.recalls],
          ]).map(([name, s]) =>
            h(
              'tr',
              null,
              h('th', { scope: 'row' }, name),
              h('td', null, h(ShareBar, { share: s })),
              h('td', null, share(s)),
              h(
                'td',
                { class: 'quiet' },
                s.done + s.not_done > 0 &&
                  tr('95 % limits {x} to {x2} %', { x: number(100 * s.low, 0), x2: number(100 * s.high, 0) }),
                s.unknown > 0 &&
                  point('; ') +
                    tr('between {bound_low} and {bound_high} whatever the unknown were', {
                      bound_low: `${number(100 * s.bound_low, 0)} %`,
                      bound_high: `${number(100 * s.bound_high, 0)} %`,
                    }),
              ),
            ),
          ),
        ),
      ),
    ),
    h(
      'section',
      { class: 'block' },
      h('h2', null, tr('Continuing to wear')),
      h(Curve, { rows: f.continuing }),
      h(
        'p',
        { class: 'quiet' },
        tr('Stopped in the range: {text}. Kaplan–Meier estimate; wearers still wearing count up to today.', {
          text: heard(f.stopped.text),
        }),
      ),
    ),
    h(
      'section',
      { class: 'block wide' },
      h('h2', null, tr('Alerts')),
      h(
        'table',
        { class: 'list stack' },
        h(HeadRow, {
          cells: [
            tr('Level'),
            tr('Opened'),
            tr('Per 100 wearer-years'),
            tr('Middle time to acknowledge'),
            tr('9 in 10 within'),
            tr('To the first call that reached them'),
            tr('To the decision'),
            tr('Not acknowledged'),
          ],
        }),
        h(
          'tbody',
          null,
          f.alerts.map(a =>
            h(
              'tr',
              null,
              h('th', { scope: 'row' }, LEVEL[/** @type {keyof typeof LEVEL} */ (a.level)]),
              h('td', { 'data-is': tr('Opened') }, heard(a.opened.text)),
              h('td', { 'data-is': tr('Per 100 wearer-years') }, number(a.per_100_wearer_years, 1)),
              h(
                'td',
                { 'data-is': tr('Middle time to acknowledge') },
                a.opened.text === 'none' ? '–' : answered(a.ack),
              ),
              h('td', { 'data-is': tr('9 in 10 within') }, a.ack.p90 === null ? '–' : minutes(a.ack.p90)),
              h(
                'td',
                { 'data-is': tr('To the first call that reached them') },
                a.opened.text === 'none' ? '–' : answered(a.call),
              ),
              h('td', { 'data-is': tr('To the decision') }, a.opened.text === 'none' ? '–' : answered(a.decision)),
              h('td', { 'data-is': tr('Not acknowledged') }, heard(a.unacknowledged.text)),
            ),
          ),
        ),
      ),
      h('h3', null, tr('Rung at night, 22:00 to 07:00')),
      f.rung.length
        ? h(Table, {
            head: [tr('Who'), tr('Nights'), tr('Messages')],
            rows: f.rung.map(r => [r.name, r.nights, r.rings]),
          })
        : h('p', { class: 'quiet' }, tr('Nobody was.')),
    ),
    h(
      'section',
      { class: 'block' },
      h('h2', null, tr('Adverse events, as closed or written down by the practice')),
      h('p', null, eventWords(e)),
      h(Adverse, { rows: f.adverse }),
      h('p', { class: 'quiet', ...ENGLISH }, e.published),
    ),
    h(
      'section',
      { class: 'block' },
      h('h2', null, tr('To read these against')),
      h(
        'ul',
        null,
        f.beside.map(t => h('li', ENGLISH, t)),
      ),
      h('h3', null, tr('What the figures do not say')),
      h(
        'ul',
        null,
        f.notes.map(t => h('li', null, t)),
      ),
    ),
  );
}

/** The events that were written down, by kind. @param {{rows: PracticeFigures['adverse']}} props */
function Adverse({ rows }) {
  const head = [tr('Kind'), tr('Events'), tr('Serious'), tr('Per 10,000 wearer-years'), tr('95 % limits')];
  return h(
    'table',
    { class: 'list stack', 'data-test': 'adverse-figures' },
    h(HeadRow, { cells: head }),
    h(
      'tbody',
      null,
      rows.map(r =>
        h(
          'tr',
          { key: r.kind },
          h('th', { scope: 'row' }, tr(r.title)),
          h('td', { 'data-is': head[1] }, heard(r.events.text)),
          h('td', { 'data-is': head[2] }, heard(r.serious.text)),
          h('td', { 'data-is': head[3] }, r.per_10000 === null ? '–' : whole(r.per_10000)),
          h('td', { 'data-is': head[4] }, limits(r)),
        ),
      ),
    ),
  );
}

/** @param {PracticeFigures['adverse'][number]} r */
function limits(r) {
  if (r.high === null) return '–';
  return r.low === null
    ? tr('below {high}', { high: whole(r.high ?? 0) })
    : tr('{low} to {high}', { low: whole(r.low), high: whole(r.high ?? 0) });
}

/** Fewer wearer-years than this cannot tell: none at all in 1,000 leaves an exact upper limit of 37 per 10,000, above the published 5 to 14. */
const FEW_YEARS = 1000;

/** @param {EventRate} e */
function eventWords(e) {
  const base = tr('{text} in {years} wearer-years', { text: title(e.events.text), years: number(e.years, 1) });
  if (e.high === null) return `${base}.`;
  const few = e.years < FEW_YEARS ? tr(' So few wearer-years say little about how safe wear is here.') : '';
  if (e.per_10000 === null)
    return tr('{base}; the exact upper 95 % limit is {high} per 10,000 wearer-years.{few}', {
      base,
      high: whole(e.high),
      few,
    });
  return tr('{base}: {per_10000} per 10,000 wearer-years, exact 95 % limits {low} to {high}.{few}', {
    base,
    per_10000: whole(e.per_10000),
    low: whole(e.low ?? 0),
    high: whole(e.high),
    few,
  });
}

/** The middle of five or more; of fewer each, since how soon it answers is the practice's own. @param {{median: number|null, each: number[]|null}} w */
const answered = w =>
  w.median === null ? (w.each ?? []).map(minutes).join(point(', ')) || tr('none') : minutes(w.median);

/** @param {number|null} m */
const minutes = m =>
  m === null
    ? tr('fewer than 5')
    : m < 90
      ? tr('{m} min', { m: number(m, 0) })
      : m < 2880
        ? tr('{hours} h', { hours: number(m / 60, 1) })
        : plural(Math.round(m / 1440), 'day', 'days');

/** @param {{rows: SurvivalRow[]}} props */
function Curve({ rows }) {
  if (!rows.length) return h('p', { class: 'quiet' }, tr('Nobody has worn lenses yet.'));
  const last = Math.max(12, ...rows.map(r => r.months));
  /** @param {number} m */
  const x = m => 40 + (m / last) * 640;
  /** @param {number} s */
  const y = s => 12 + (1 - s) * 150;
  let d = `M${x(0)} ${y(1)}`;
  for (const r of rows) d += `H${x(r.months).toFixed(1)}V${y(r.share).toFixed(1)}`;
  d += `H${x(last)}`;
  return h(
    'div',
    null,
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('Continuing to wear') },
      h(
        'svg',
        {
          viewBox: '0 0 700 190',
          class: 'curve',
          role: 'img',
          'aria-label': tr('Share still wearing: {x} % at {months} months.', {
            x: Math.round(100 * rows[rows.length - 1].share),
            months: number(rows[rows.length - 1].months, 0),
          }),
        },
        [0, 0.25, 0.5, 0.75, 1].map(s =>
          h(
            'g',
            null,
            h('line', { x1: 40, x2: 680, y1: y(s), y2: y(s), class: 't-grid' }),
            h('text', { x: 34, y: y(s) + 4, class: 't-pc' }, `${s * 100} %`),
          ),
        ),
        [0, 1, 2, 3, 4].map(i =>
          h(
            'text',
            { x: x((last / 4) * i), y: 184, class: i === 4 ? 't-pc' : 't-date' },
            tr('{last} months', { last: Math.round((last / 4) * i) }),
          ),
        ),
        h('path', { d, class: 'curve-line' }),
      ),
    ),
    h(DataTable, {
      caption: tr('Continuing to wear'),
      head: [tr('Months'), tr('Still wearing'), '± SE', tr('At risk')],
      rows: rows.map(r => [number(r.months, 1), `${Math.round(100 * r.share)} %`, number(100 * r.se, 1), r.at_risk]),
    }),
  );
}
