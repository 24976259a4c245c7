// A small line chart as plain SVG, from the rows of its table: two eyes over
// time. Told apart by filled and hollow marks, not by colour alone.

import { h } from '../dom.js';
import { dateOf, day, dayNumber, number } from '../format.js';
import { point, tr } from '../text.js';

const WIDTH = 480;
const HEIGHT = 170;
const LEFT = 44;

/**
 * @typedef {object} Series
 * @property {'right'|'left'} eye
 * @property {{date: string, value: number, note?: string}[]} points in order of date
 */

/** @param {{series: Series[], name: string, label: string, digits: number, down?: boolean}} props name: what it shows; label: the chart in a sentence; down: greater values stand lower */
export function Lines({ series, name, label, digits, down }) {
  const all = series.flatMap(s => s.points);
  if (!all.length) return null;
  const days = all.map(p => dayNumber(p.date));
  const values = all.map(p => p.value);
  const [from, to] = [Math.min(...days), Math.max(...days, Math.min(...days) + 1)];
  const pad = Math.max((Math.max(...values) - Math.min(...values)) * 0.12, 2 * 10 ** -digits);
  const [low, high] = [Math.min(...values) - pad, Math.max(...values) + pad];
  /** @param {number} d */
  const x = d => LEFT + 8 + ((d - from) / (to - from)) * (WIDTH - LEFT - 24);
  /** @param {number} v */
  const y = v => 10 + ((down ? v - low : high - v) / (high - low)) * (HEIGHT - 40);
  const ticks = [0, 1, 2, 3].map(i => low + ((high - low) * i) / 3);
  const dates = [...new Set([0, 0.5, 1].map(f => Math.round(from + (to - from) * f)))];
  const chart = h(
    'svg',
    { class: 'lines', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: 'img', 'aria-label': label },
    ticks.map(v =>
      h(
        'g',
        null,
        h('line', { x1: LEFT, x2: WIDTH - 8, y1: y(v), y2: y(v), class: 's-line' }),
        h('text', { x: LEFT - 6, y: y(v) + 4, class: 's-quiet s-end' }, number(v, digits)),
      ),
    ),
    dates.map((d, i) =>
      h(
        'text',
        { x: x(d), y: HEIGHT - 6, class: `s-quiet ${i === 0 ? '' : i === dates.length - 1 ? 's-end' : 's-mid'}` },
        day(dateOf(d)),
      ),
    ),
    series.map(s =>
      h(
        'g',
        { class: `line-${s.eye}` },
        h('path', {
          d: s.points
            .map((p, i) => `${i ? 'L' : 'M'}${x(dayNumber(p.date)).toFixed(1)} ${y(p.value).toFixed(1)}`)
            .join(''),
          class: 'l-path',
        }),
        s.points.map(p =>
          h(
            'circle',
            { cx: x(dayNumber(p.date)), cy: y(p.value), r: 3.4, class: 'l-point' },
            h(
              'title',
              null,
              `${day(p.date)}${point(', ')}${s.eye}${point(': ')}${number(p.value, digits)}${p.note ? `${point(', ')}${p.note}` : ''}`,
            ),
          ),
        ),
      ),
    ),
  );
  return h('div', { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': name }, chart);
}

/** The key of the two eyes. */
export const EyesKey = () =>
  h(
    'p',
    { class: 'key' },
    h('span', { class: 'right' }, tr('● right')),
    ' ',
    h('span', { class: 'left' }, tr('○ left')),
  );
