// The last 28 nights of a wearer in one line: the same marks as everywhere.

import { h } from '../dom.js';
import { point, tr } from '../text.js';

const STEP = 9;

/** What each letter of the server's strip is, in words. */
const WORDS = /** @type {Record<string, string>} */ ({
  w: tr('worn'),
  m: tr('from memory'),
  s: tr('short'),
  x: tr('missed'),
  t: tr('told not to wear'),
  d: tr('entries differ'),
  '.': tr('not logged'),
  '-': tr('no lens planned'),
});

/**
 * @param {string} strip one letter a night, the oldest first; a capital for water, N when nothing else was logged
 * @returns {string} the strip in words, for whoever does not see it
 */
export function stripWords(strip) {
  /** @type {Record<string, number>} */
  const n = {};
  for (const c of strip.toLowerCase().replaceAll('n', '.')) n[c] = (n[c] ?? 0) + 1;
  const parts = Object.keys(WORDS)
    .filter(k => n[k] && k !== '-')
    .map(k => `${n[k]} ${WORDS[k]}`);
  const water = [...strip].filter(c => c >= 'A' && c <= 'Z').length;
  if (water) parts.push(tr('water on {water}', { water }));
  return tr('last {n} nights: {list}', { n: strip.length, list: parts.join(point(', ')) || tr('no lens planned') });
}

/**
 * The nights of a strip as the review counts them: a night told not to wear is asked of nobody.
 * @param {string} strip
 * @returns {{asked: number, held: number}} nights on which a lens was planned and not held back, and those held back
 */
export function nightsOf(strip) {
  const held = [...strip].filter(c => c.toLowerCase() === 't').length;
  return { asked: strip.replaceAll('-', '').length - held, held };
}

/** @param {{strip: string}} props */
export function Strip28({ strip }) {
  if (!strip) return null;
  return h(
    'svg',
    { class: 'strip28', viewBox: `0 0 ${strip.length * STEP} 22`, role: 'img', 'aria-label': stripWords(strip) },
    h('title', null, stripWords(strip)),
    [...strip].map((c, i) => night(c.toLowerCase(), i * STEP, c !== c.toLowerCase())),
  );
}

/** @param {string} c @param {number} x @param {boolean} water */
function night(c, x, water) {
  const drop =
    water &&
    h('path', {
      d: 'M0-4c2 2.6 2.4 3.4 2.4 4.4a2.4 2.4 0 0 1-4.8 0c0-1 .4-1.8 2.4-4.4z',
      transform: `translate(${x + 3.5} 18)`,
      class: 's-water',
    });
  if (c === 'w') return [h('rect', { x, y: 2, width: 7, height: 11, rx: 1.5, class: 's-worn' }), drop];
  if (c === 's')
    return [
      h('rect', { x: x + 0.5, y: 2.5, width: 6, height: 10, rx: 1.5, class: 's-memory' }),
      h('rect', { x, y: 8, width: 7, height: 5, class: 's-worn' }),
      drop,
    ];
  if (c === 'm') return [h('rect', { x: x + 0.5, y: 2.5, width: 6, height: 10, rx: 1.5, class: 's-memory' }), drop];
  if (c === 't') return [h('rect', { x: x + 0.5, y: 2.5, width: 6, height: 10, rx: 1.5, class: 's-stopped' }), drop];
  if (c === 'x') return [h('path', { d: `M${x + 1} 5l5 6m0-6l-5 6`, class: 's-cross' }), drop];
  if (c === 'd')
    return [
      h('rect', { x: x + 0.5, y: 2.5, width: 6, height: 10, rx: 1.5, class: 's-memory' }),
      h('path', { d: `M${x + 1.5} 12l4-9`, class: 's-cross' }),
      drop,
    ];
  return /[.n]/.test(c) && [h('circle', { cx: x + 3.5, cy: 8, r: 1.2, class: 's-dot' }), drop];
}

/** What the marks mean, once a page. */
export const StripKey = () =>
  h(
    'p',
    { class: 'key' },
    tr(
      'Nights: filled worn, outlined from memory, half short, × missed, dotted told not to wear, · not logged, struck through entries differ; a drop is water.',
    ),
  );

/** Where the wearer stands tonight, when there is something to say. @param {{wear: string}} props */
export const WearTag = ({ wear }) =>
  wear === 'stop' || wear === 'rest'
    ? h(
        'span',
        { class: `tag ${wear === 'stop' ? 'emergency' : 'urgent'}` },
        wear === 'stop' ? tr('Stop') : tr('Rest tonight'),
      )
    : null;
