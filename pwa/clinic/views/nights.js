// The night calendar: each night a mark told apart by its shape, walked with
// the arrow keys, with what was logged said below.

import { DataTable, h, useRef, useState } from '../dom.js';
import { MARK, weeks } from '../calendar.js';
import { number, STATUS, title, weekdayDate } from '../format.js';

/** @import { NightRow, Summary } from '../types.js' */
/** @import { ComponentChildren } from '../../vendor/preact.js' */

const EVENINGS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

/**
 * The mark of a status as a drawing, the same on paper and without colour.
 * @param {{status: NightRow['status']}} props
 */
export function Mark({ status }) {
  /** @type {Record<NightRow['status'], ComponentChildren>} */
  const inside = {
    worn: h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-fill' }),
    short: [h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-line' }), h('path', { d: 'M1.5 8h13v4.5a2 2 0 0 1-2 2h-9a2 2 0 0 1-2-2z', class: 'm-fill' })],
    missed: [h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-line' }), h('path', { d: 'M4.5 4.5l7 7m0-7l-7 7', class: 'm-cross' })],
    'not-logged': h('circle', { cx: 8, cy: 8, r: 1.6, class: 'm-dot' }),
    differ: [h('rect', { x: 1, y: 1, width: 14, height: 14, rx: 3, class: 'm-line' }), h('path', { d: 'M4 6.3h8M4 9.7h8M10 3.5l-4 9', class: 'm-cross' })],
  };
  return h('svg', { viewBox: '0 0 16 16', class: 'mark', 'aria-hidden': 'true' }, inside[status]);
}

/** @param {NightRow} n @returns {string} one night in words */
export function nightWords(n) {
  const parts = [`${weekdayDate(n.night)}: ${STATUS[n.status].toLowerCase()}`];
  if (n.hours !== null) parts.push(`${number(n.hours, 1)} h in lenses`);
  else if (n.counted === 'worn') parts.push('hours not known');
  if (n.in || n.out) parts.push(`${n.in || '?'} to ${n.out || '?'}`);
  if (n.reason) parts.push(n.reason.replace(/-/g, ' '));
  if (n.eye) parts.push(`${n.eye} eye`);
  if (n.status === 'differ') parts.push(`counted as ${STATUS[n.counted].toLowerCase()}`);
  else if (n.differs) parts.push('two entries differ');
  if (n.symptoms) parts.push('symptoms reported');
  if (n.late_hours !== null && n.late_hours > 24) parts.push(`received ${Math.round(n.late_hours)} h late`);
  return parts.join(', ');
}

/** @param {{sum: Summary}} props */
export function Nights({ sum }) {
  const [chosen, choose] = useState(/** @type {NightRow|null} */ (null));
  const grid = useRef(/** @type {HTMLElement|null} */ (null));
  const columns = weeks(sum.nights);
  const c = sum.counts;
  const reach = chosen ?? sum.nights[sum.nights.length - 1];
  /** @param {KeyboardEvent} e */
  const keys = (e) => {
    const by = { ArrowUp: -1, ArrowDown: 1, ArrowLeft: -7, ArrowRight: 7 }[e.key];
    const at = sum.nights.findIndex((n) => n === reach);
    const to = by && sum.nights[at + by];
    if (!to) return;
    e.preventDefault();
    choose(to);
    /** @type {HTMLElement|null|undefined} */ (grid.current?.querySelector(`[data-night="${to.night}"]`))?.focus();
  };
  return h('section', { class: 'block nights', 'aria-labelledby': 'nights-title', 'data-test': 'nights-chart' },
    h('h2', { id: 'nights-title' }, 'Nights'),
    h('ul', { class: 'legend' },
      /** @type {[NightRow['status'], number][]} */ ([['worn', c.worn], ['short', c.short], ['missed', c.missed], ['not-logged', c.not_logged], ['differ', c.differ]])
        .map(([status, n]) => h('li', null, h(Mark, { status }), ` ${STATUS[status]} `, h('b', null, n)))),
    h('div', { class: 'scroll' }, h('table', { class: 'calendar', style: { '--weeks': columns.length }, ref: grid, onKeyDown: keys, 'aria-label': 'Calendar of nights. Arrow keys move between nights.' },
      h('thead', null, h('tr', null, h('th', { scope: 'col' }, h('span', { class: 'hidden' }, 'Evening')), columns.map((w) => (w.label ? h('th', { scope: 'col' }, w.label) : h('td', null))))),
      h('tbody', null, EVENINGS.map((name, i) => h('tr', { class: i > 3 && i < 6 ? 'weekend' : '' }, h('th', { scope: 'row' }, name),
        columns.map((w) => {
          const n = w.nights[i];
          return h('td', null, n && h('button', {
            type: 'button', class: n.symptoms ? 'night with-symptoms' : 'night', 'data-night': n.night, 'data-status': n.status, tabIndex: n === reach ? 0 : -1,
            'aria-pressed': chosen === n, title: nightWords(n), 'aria-label': nightWords(n), onClick: () => choose(n),
          }, h(Mark, { status: n.status })));
        })))))),
    h('p', { class: 'chosen no-print', 'aria-live': 'polite' }, chosen ? nightWords(chosen) : 'Choose a night to read what was logged. A ring marks a night with a symptom report.'),
    h(DataTable, {
      caption: 'Nights', head: ['Evening', 'Mark', 'Status', 'Hours', 'In', 'Out', 'Reason or remark'],
      rows: sum.nights.map((n) => [n.night, MARK[n.status], STATUS[n.status], number(n.hours, 1), n.in ?? '–', n.out ?? '–', remark(n)]),
    }));
}

/** @param {NightRow} n */
function remark(n) {
  const all = [n.reason && title(n.reason), n.eye && `${n.eye} eye`, n.differs && 'entries differ', n.symptoms && 'symptoms'];
  return all.filter(Boolean).join(', ');
}
