// Symptoms, alerts, supplies, lens changes, visits, plan versions and pauses on
// one axis of time.

import { DataTable, h } from '../dom.js';
import { lastPaused } from '../calendar.js';
import { closingRows } from '../closings.js';
import { dateOf, day, dayMonth, dayNumber, plural, title } from '../format.js';
import { reportsOnPaper } from '../paper.js';
import { point, tr } from '../text.js';

/** @import { Outcome, Summary, Event } from '../types.js' */

const LANES = /** @type {[string, string][]} */ ([
  ['symptom', tr('Symptoms')],
  ['alert', tr('Alerts')],
  ['supply', tr('Supplies')],
  ['lens', tr('Lenses')],
  ['visit', tr('Visits')],
  ['plan', tr('Plan')],
  ['pause', tr('Pauses')],
]);
const WIDTH = 860;
const LEFT = 74;
const ROW = 22;

/** Shapes by lane, so that a mark says what it is without its colour. */
const SHAPES = /** @type {Record<string, string>} */ ({
  symptom: 'M0 -6L6 5H-6Z',
  alert: 'M0 -7L7 0L0 7L-7 0Z',
  supply: 'M-5 -5H5V5H-5Z',
  lens: 'M-6 0A6 6 0 1 0 6 0A6 6 0 1 0 -6 0',
  visit: 'M-2 -7H2V-2H7V2H2V7H-2V2H-7V-2H-2Z',
  plan: 'M-5 -6H5V6L0 2L-5 6Z',
  pause: 'M-5 -6H-1V6H-5ZM1 -6H5V6H1Z',
});

/** @param {{sum: Summary, zone: string, outcomes: Outcome[]}} props zone: of the practice */
export function Timeline({ sum, zone, outcomes }) {
  const events = sum.timeline;
  const closings = closingRows(sum.alerts, outcomes);
  const from = dayNumber(sum.from);
  const end = lastPaused(sum.pauses, sum.today);
  const to = Math.max(dayNumber(end), from + 1);
  /** @param {string} date */
  const x = date => LEFT + 8 + ((dayNumber(date) - from) / (to - from)) * (WIDTH - LEFT - 20);
  const paper = reportsOnPaper(sum.symptoms, events);
  const more = paper.filter(on => !on).length;
  const height = LANES.length * ROW + 26;
  return h(
    'section',
    { class: 'block', 'aria-labelledby': 'time-title' },
    h('h2', { id: 'time-title' }, tr('Symptoms, alerts, supplies and visits')),
    h(
      'p',
      { class: 'hint' },
      tr(
        'Nights, and what was logged or reported of one, have the date of its evening; alerts, calls and visits the day on which they were.',
      ),
    ),
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('Time axis') },
      h(
        'svg',
        {
          class: 'timeline',
          viewBox: `0 0 ${WIDTH} ${height}`,
          role: 'img',
          'aria-label': tr('{n} events from {date} to {date2}; the table below lists them.', {
            n: events.length,
            date: day(sum.from),
            date2: day(end),
          }),
        },
        ticks(from, to).map(t =>
          h(
            'g',
            null,
            h('line', { x1: x(dateOf(t)), x2: x(dateOf(t)), y1: 4, y2: height - 20, class: 't-grid' }),
            h('text', { x: x(dateOf(t)), y: height - 6, class: 't-date' }, dayMonth(dateOf(t))),
          ),
        ),
        end > sum.today &&
          h(
            'g',
            null,
            h('line', { x1: x(sum.today), x2: x(sum.today), y1: 4, y2: height - 20, class: 't-today' }),
            h('text', { x: x(sum.today) + 4, y: 10, class: 't-name' }, tr('today')),
          ),
        LANES.map(([lane, name], i) =>
          h(
            'g',
            null,
            h('line', { x1: LEFT, x2: WIDTH - 4, y1: i * ROW + 16, y2: i * ROW + 16, class: 't-lane' }),
            h('text', { x: 0, y: i * ROW + 20, class: 't-name' }, name),
            lane === 'pause' &&
              sum.pauses
                .filter(p => p.from <= end)
                .map(p =>
                  span(x(p.from < sum.from ? sum.from : p.from), x(p.to > end ? end : p.to), i * ROW + 16, p.to > end),
                ),
            events.filter(e => e.lane === lane && e.date <= end).map(e => mark(e, x(e.date), i * ROW + 16)),
          ),
        ),
      ),
    ),
    h(DataTable, {
      caption: tr('Events'),
      head: [tr('Date'), tr('Kind'), tr('What'), tr('Level')],
      rows: events.map(e => [day(e.date), title(e.lane), e.text, e.level ?? '']),
      open: false,
    }),
    closings.length > 0 &&
      h(DataTable, {
        caption: tr('Closings of alerts'),
        head: [tr('Closed'), tr('What was reported'), tr('Taken after'), tr('Outcome'), tr('Lenses'), tr('Note')],
        rows: closings,
        open: false,
      }),
    sum.alerts.length > 0 &&
      h(
        'p',
        { class: 'key' },
        tr("Reports stand at the family's night, alerts at the practice's date ({zone}).", { zone: zone || 'UTC' }),
      ),
    more > 0 &&
      h(
        'p',
        { class: 'only-print quiet' },
        tr('And {reports} on screen.', { reports: plural(more, 'earlier report', 'earlier reports') }),
      ),
    sum.symptoms.length > 0 &&
      h(
        'ul',
        { class: 'reports' },
        sum.symptoms.map((s, i) =>
          h(
            'li',
            { class: paper[i] ? '' : 'no-print' },
            h('b', null, day(s.night)),
            ` ${s.words}`,
            s.note && h('q', null, s.note),
          ),
        ),
      ),
  );
}

/**
 * @param {Event} e
 * @param {number} x
 * @param {number} y
 */
function mark(e, x, y) {
  return h(
    'path',
    { d: SHAPES[e.lane], transform: `translate(${x.toFixed(1)} ${y})`, class: `t-mark t-${e.lane} ${e.level ?? ''}` },
    h('title', null, `${day(e.date)}${point(': ')}${e.text}`),
  );
}

/**
 * How long a pause lasts, as a line after its mark.
 * @param {number} from
 * @param {number} to
 * @param {number} y
 * @param {boolean} on it goes on beyond the axis
 */
function span(from, to, y, on) {
  return (
    (to > from || on) &&
    h(
      'g',
      null,
      h('line', { x1: from, x2: to, y1: y, y2: y, class: 't-span' }),
      on && h('path', { d: `M${to - 4} ${y - 5}l7 5l-7 5`, class: 't-on' }),
    )
  );
}

/**
 * Mondays or first days of months, at most eight.
 * @param {number} from days since 1970
 * @param {number} to
 * @returns {number[]}
 */
function ticks(from, to) {
  const step = Math.max(7, Math.ceil((to - from) / 8 / 7) * 7);
  const out = [];
  for (let t = from; t <= to; t += step) out.push(t);
  return out;
}
