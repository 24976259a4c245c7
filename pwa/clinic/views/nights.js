// The night calendar: each night a mark told apart by its shape, walked with
// the arrow keys, with what was logged said below.

import { DataTable, h, useRef, useState } from '../dom.js';
import { lastPaused, MARK, PAUSE_MARK, pauseOf, weeks } from '../calendar.js';
import { addDays, day, eyes, number, pauseWords, plural, STATUS, title, weekdayDate } from '../format.js';
import { PAUSES_ON_PAPER } from '../paper.js';
import { point, tr } from '../text.js';

/** @import { NightRow, PauseRow, Summary } from '../types.js' */
/** @import { ComponentChildren } from '../../vendor/preact.js' */

const EVENINGS = [tr('Mon'), tr('Tue'), tr('Wed'), tr('Thu'), tr('Fri'), tr('Sat'), tr('Sun')];

/**
 * The mark of a status as a drawing, the same on paper and without colour.
 * @param {{status: NightRow['status']}} props
 */
export function Mark({ status }) {
  /** @type {Record<NightRow['status'], ComponentChildren>} */
  const inside = {
    worn: h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-fill' }),
    short: [
      h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-line' }),
      h('path', { d: 'M1.5 8h13v4.5a2 2 0 0 1-2 2h-9a2 2 0 0 1-2-2z', class: 'm-fill' }),
    ],
    missed: [
      h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-line' }),
      h('path', { d: 'M4.5 4.5l7 7m0-7l-7 7', class: 'm-cross' }),
    ],
    'not-logged': h('circle', { cx: 8, cy: 8, r: 1.6, class: 'm-dot' }),
    differ: [
      h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-line' }),
      h('path', { d: 'M4 6.3h8M4 9.7h8M10 3.5l-4 9', class: 'm-cross' }),
    ],
  };
  return h('svg', { viewBox: '0 0 16 16', class: 'mark', 'aria-hidden': 'true' }, inside[status]);
}

/**
 * Two bars: no lens was planned, as agreed. A dashed frame: the family's
 * reminders rest.
 * @param {{kind: keyof typeof PAUSE_NAME}} props
 */
function PauseMark({ kind }) {
  return h(
    'svg',
    { viewBox: '0 0 16 16', class: 'mark', 'aria-hidden': 'true' },
    kind === 'agreed'
      ? h('path', { d: 'M5.5 2.5v11M10.5 2.5v11', class: 'm-pause' })
      : h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-pause m-own' }),
  );
}

const PAUSE_NAME = /** @type {const} */ ({
  agreed: tr('No lenses, as agreed'),
  own: tr('Reminders paused by the family'),
});

/** What the wear state held back. */
const HELD = /** @type {const} */ ({ stop: tr('under a stop, not counted'), rest: tr('at rest, stands apart') });

/**
 * @param {NightRow} n
 * @param {PauseRow[]} pauses
 * @returns {string} one night in words
 */
export function nightWords(n, pauses) {
  const parts = [`${weekdayDate(n.night)}${point(': ')}${STATUS[n.status].toLowerCase()}`];
  if (n.hours !== null) parts.push(tr('{hours} h in lenses', { hours: number(n.hours, 1) }));
  else if (n.counted === 'worn') parts.push(tr('hours not known'));
  if (n.in || n.out) parts.push(tr('{in} to {out}', { in: n.in || '?', out: n.out || '?' }));
  if (n.reason) parts.push(title(n.reason).toLowerCase());
  if (n.eye) parts.push(eyes(n.eye));
  if (n.status === 'differ') parts.push(tr('counted as {status}', { status: STATUS[n.counted].toLowerCase() }));
  else if (n.differs) parts.push(tr('two entries differ'));
  if (n.held) parts.push(HELD[n.held]);
  if (n.symptoms) parts.push(tr('symptoms reported'));
  const pause = pauseOf(pauses, n.night);
  if (pause) parts.push(PAUSE_NAME[pause].toLowerCase());
  if (n.late_hours !== null && n.late_hours > 24)
    parts.push(tr('received {late_hours} h late', { late_hours: Math.round(n.late_hours) }));
  return parts.join(point(', '));
}

/** @param {{sum: Summary}} props */
export function Nights({ sum }) {
  const [chosen, choose] = useState(/** @type {NightRow|null} */ (null));
  const grid = useRef(/** @type {HTMLElement|null} */ (null));
  const columns = weeks(sum.nights, ahead(sum));
  const kinds = /** @type {const} */ (['agreed', 'own']).filter(k =>
    sum.pauses.some(p => p.agreed === (k === 'agreed')),
  );
  const c = sum.counts;
  const reach = chosen ?? sum.nights[sum.nights.length - 1];
  /** @param {KeyboardEvent} e */
  const keys = e => {
    const by = { ArrowUp: -1, ArrowDown: 1, ArrowLeft: -7, ArrowRight: 7 }[e.key];
    const at = sum.nights.indexOf(reach);
    const to = by && sum.nights[at + by];
    if (!to) return;
    e.preventDefault();
    choose(to);
    /** @type {HTMLElement|null|undefined} */ (grid.current?.querySelector(`[data-night="${to.night}"]`))?.focus();
  };
  return h(
    'section',
    { class: 'block nights', 'aria-labelledby': 'nights-title', 'data-test': 'nights-chart' },
    h('h2', { id: 'nights-title' }, tr('Nights')),
    h(
      'ul',
      { class: 'legend' },
      /** @type {[NightRow['status'], number][]} */ ([
        ['worn', c.worn],
        ['short', c.short],
        ['missed', c.missed],
        ['not-logged', c.not_logged],
        ['differ', c.differ],
      ]).map(([status, n]) => h('li', null, h(Mark, { status }), ` ${STATUS[status]} `, h('b', null, n))),
      c.stopped > 0 && h('li', null, tr('Under a stop, not counted '), h('b', null, c.stopped)),
      c.rest > 0 && h('li', null, tr('At rest, apart '), h('b', null, c.rest)),
      kinds.map(kind => h('li', null, h(PauseMark, { kind }), ` ${PAUSE_NAME[kind]}`)),
    ),
    h(
      'div',
      { class: 'scroll' },
      h(
        'table',
        {
          class: 'calendar',
          style: { '--weeks': columns.length },
          ref: grid,
          onKeyDown: keys,
          'aria-label': tr('Calendar of nights. Arrow keys move between nights.'),
        },
        h(
          'thead',
          null,
          h(
            'tr',
            null,
            h('th', { scope: 'col' }, h('span', { class: 'hidden' }, tr('Evening'))),
            columns.map(w => (w.label ? h('th', { scope: 'col' }, w.label) : h('td', null))),
          ),
        ),
        h(
          'tbody',
          null,
          EVENINGS.map((name, i) =>
            h(
              'tr',
              { class: i > 3 && i < 6 ? 'weekend' : '' },
              h('th', { scope: 'row' }, name),
              columns.map(w => {
                const n = w.nights[i];
                const date = addDays(w.monday, i);
                const pause = date >= sum.from ? pauseOf(sum.pauses, date) : '';
                return h(
                  'td',
                  { class: pause === 'own' ? 'own-pause' : '' },
                  !n &&
                    pause &&
                    h(
                      'span',
                      { class: 'night', title: `${weekdayDate(date)}${point(': ')}${PAUSE_NAME[pause].toLowerCase()}` },
                      pause === 'agreed' && h(PauseMark, { kind: pause }),
                    ),
                  n &&
                    h(
                      'button',
                      {
                        type: 'button',
                        class: n.symptoms ? 'night with-symptoms' : 'night',
                        'data-night': n.night,
                        'data-status': n.status,
                        tabIndex: n === reach ? 0 : -1,
                        'aria-pressed': chosen === n,
                        title: nightWords(n, sum.pauses),
                        'aria-label': nightWords(n, sum.pauses),
                        onClick: () => choose(n),
                      },
                      h(Mark, { status: n.status }),
                    ),
                );
              }),
            ),
          ),
        ),
      ),
    ),
    h(
      'p',
      { class: 'chosen no-print', 'aria-live': 'polite' },
      chosen
        ? nightWords(chosen, sum.pauses)
        : tr('Choose a night to read what was logged. A ring marks a night with a symptom report.'),
    ),
    sum.pauses.length > 0 &&
      h(
        'ul',
        { class: 'pauses' },
        sum.pauses.map((p, i) =>
          h('li', { class: i < sum.pauses.length - PAUSES_ON_PAPER ? 'no-print' : '' }, pauseWords(p)),
        ),
      ),
    sum.pauses.length > PAUSES_ON_PAPER &&
      h(
        'p',
        { class: 'only-print quiet' },
        tr('And {pauses} on screen.', {
          pauses: plural(sum.pauses.length - PAUSES_ON_PAPER, 'earlier pause', 'earlier pauses'),
        }),
      ),
    h(DataTable, {
      caption: tr('Nights'),
      head: [
        tr('Evening'),
        tr('Mark'),
        tr('Status'),
        tr('Hours'),
        tr('In'),
        tr('Out'),
        tr('Pause'),
        tr('Reason or remark'),
      ],
      rows: rows(sum),
    }),
  );
}

/**
 * @param {Summary} sum
 * @returns {string} the last night to show: of the range, or of pauses that go on past today when the range reaches it
 */
function ahead(sum) {
  const last = lastPaused(sum.pauses, sum.today);
  return last > sum.today && sum.to >= addDays(sum.today, -1) ? last : sum.to;
}

/**
 * The nights, and between and after them those of pauses that are no planned
 * nights, or still to come.
 * @param {Summary} sum
 */
function rows(sum) {
  const by = new Map(sum.nights.map(n => [n.night, n]));
  const dates = new Set(by.keys());
  const end = ahead(sum);
  for (const p of sum.pauses) {
    const last = p.to < end ? p.to : end;
    for (let d = p.from < sum.from ? sum.from : p.from; d <= last; d = addDays(d, 1)) dates.add(d);
  }
  return [...dates].sort().map(d => {
    const n = by.get(d);
    const pause = pauseOf(sum.pauses, d);
    const paused = pause ? `${PAUSE_MARK[pause]} ${PAUSE_NAME[pause].toLowerCase()}` : '';
    if (n)
      return [
        day(d),
        MARK[n.status],
        STATUS[n.status],
        number(n.hours, 1),
        n.in ?? '–',
        n.out ?? '–',
        paused,
        remark(n),
      ];
    return [day(d), '', d >= sum.today ? tr('To come') : tr('Not planned'), '–', '–', '–', paused, ''];
  });
}

/** @param {NightRow} n */
function remark(n) {
  const all = [
    n.reason && title(n.reason),
    n.eye && eyes(n.eye),
    n.differs && tr('entries differ'),
    n.symptoms && tr('symptoms'),
  ];
  return all.filter(Boolean).join(point(', '));
}
