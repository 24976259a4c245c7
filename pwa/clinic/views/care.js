// Lens care, item by item with its denominator, and all items together.

import { h } from '../dom.js';
import { day, share } from '../format.js';
import { rankedCare } from '../strips.js';
import { point, tr } from '../text.js';

/** @import { Share, Summary } from '../types.js' */

/**
 * A bar of three parts told apart by pattern: done is full, not done empty,
 * unknown dotted.
 * @param {{share: Pick<Share, 'done'|'not_done'|'unknown'|'share'>}} props
 */
export function ShareBar({ share: s }) {
  const all = s.done + s.not_done + s.unknown;
  if (!all) return h('span', { class: 'quiet' }, '–');
  const width = 160;
  const done = (s.done / all) * width;
  const not = (s.not_done / all) * width;
  return h(
    'svg',
    { class: 'share-bar', viewBox: `0 0 ${width} 12`, role: 'img', 'aria-label': share(s) },
    h('rect', { x: 0.5, y: 0.5, width: width - 1, height: 11, class: 'bar-frame' }),
    h('rect', { x: 0, y: 0, width: done, height: 12, class: 'bar-done' }),
    not > 0 && h('path', { d: cross(done, not), class: 'bar-not' }),
    s.unknown > 0 && h('line', { x1: done + not + 3, x2: width - 2, y1: 6, y2: 6, class: 'bar-unknown' }),
  );
}

/**
 * Slanted strokes over a stretch of the bar.
 * @param {number} from
 * @param {number} width
 */
function cross(from, width) {
  let d = '';
  for (let x = from + 1; x < from + width; x += 5)
    d += `M${x.toFixed(1)} 11L${Math.min(x + 5, from + width).toFixed(1)} 1`;
  return d;
}

/** @param {{sum: Summary}} props */
export function Care({ sum }) {
  return h(
    'section',
    { class: 'block care-block', 'aria-labelledby': 'care-title' },
    h('h2', { id: 'care-title' }, tr('Lens care')),
    h(
      'table',
      { class: 'care' },
      h(
        'caption',
        null,
        tr('Nights on which each item was done, of those answered: '),
        h('span', { class: 'key' }, tr('full done, slanted not done, dotted unknown')),
      ),
      h(
        'tbody',
        null,
        rankedCare(sum).map(c =>
          h(
            'tr',
            null,
            h('th', { scope: 'row' }, c.title),
            h('td', null, h(ShareBar, { share: c.share })),
            h('td', null, share(c.share)),
            h(
              'td',
              { class: 'quiet' },
              c.nights.length ? tr('last not done {date}', { date: day(c.nights[c.nights.length - 1]) }) : '',
            ),
          ),
        ),
        h(
          'tr',
          { class: 'total' },
          h('th', { scope: 'row' }, tr('Every item that was answered')),
          h('td', null, h(ShareBar, { share: sum.all_care })),
          h('td', null, share(sum.all_care)),
          h(
            'td',
            { class: 'quiet' },
            [
              never(sum),
              sum.all_care.unknown
                ? tr('between {bound_low} and {bound_high} whatever the unknown were', {
                    bound_low: pc(sum.all_care.bound_low),
                    bound_high: pc(sum.all_care.bound_high),
                  })
                : '',
            ]
              .filter(Boolean)
              .join(point('; ')),
          ),
        ),
      ),
    ),
    h(
      'p',
      { class: 'quiet' },
      tr('Self-reported. In one study 19.7 % of wearers met every item while 96.6 % thought they did (Bian 2021).'),
    ),
  );
}

/** @param {Summary} sum @returns {string} how many items were never answered */
function never(sum) {
  const n = sum.care.filter(c => c.share.done + c.share.not_done === 0).length;
  return n ? tr('{n} of {n2} items never answered', { n, n2: sum.care.length }) : '';
}

/** @param {number} x 0 to 1 */
const pc = x => `${Math.round(100 * x)} %`;
