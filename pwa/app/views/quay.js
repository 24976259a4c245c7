// One small scene at five distances from focus: a quay in the evening with a
// lamp, and a boat with a name and a number. Everything is measured in minutes of
// arc, as a child sees it: the letters of the name are 20 high, which a sharp eye
// reads with 0.60 logMAR to spare, those of the number 10 (0.30). So the name is
// just lost in the poorest picture and the number in the middle one.
import { h } from '../../ui/dom.js';
import { defocusOf, spreadOf } from '../model/defocus.js';

/** Minutes of arc. */
export const NAME_HIGH = 20;
export const NUMBER_HIGH = 10;

/** Strokes on a grid of five by five, one unit wide, as letters of a chart are. @type {Record<string, string>} */
const STROKES = {
  L: 'M.5 0V4.5H4',
  U: 'M.5 0V4.5H3.5V0',
  N: 'M.5 5V.5L3.5 4.5V0',
  A: 'M.5 5V.5H3.5V5M.5 3H3.5',
  3: 'M0 .5H3.5V4.5H0M.8 2.5H3.5',
  7: 'M0 .5H3.3L1.4 5',
};

/** @param {string} word @param {number} high minutes of arc @param {number} x @param {number} y */
const written = (word, high, x, y) =>
  [...word].map((c, i) =>
    h('path', { d: STROKES[c], transform: `translate(${x + i * high * 1.05} ${y}) scale(${high / 5})` }),
  );

// The same by day and in the dark: a picture that turned its light and its dark would
// be another scale. The values are those of the light styles.
const INK = '#23253b';
const HULL = '#27345c';
const NAME = '#fffaf2';

/** @param {string} color */
const fill = color => ({ fill: color, stroke: 'none' });

/** @param {number} rating 1 to 5 */
export function quay(rating) {
  const id = `quay-${rating}`;
  const spread = spreadOf(defocusOf(rating));
  return h(
    'svg',
    { viewBox: '0 0 132 84', 'aria-hidden': true, focusable: false },
    spread > 0 &&
      h(
        'filter',
        { id, filterUnits: 'userSpaceOnUse', x: -30, y: -30, width: 192, height: 144 },
        h('feGaussianBlur', { stdDeviation: spread }),
      ),
    h('rect', { width: 132, height: 84, style: fill('#dfe3f1') }),
    h(
      'g',
      { filter: spread > 0 ? `url(#${id})` : undefined },
      h('path', { d: 'M-30 72H162V114H-30z', style: fill('#8a7f72') }),
      h('path', { d: 'M14 72V16H24', style: { fill: 'none', stroke: INK, strokeWidth: 3 } }),
      h('circle', { cx: 27, cy: 18, r: 5, style: fill('#9a4a1b') }),
      h('path', { d: 'M60 6V24H86z', style: fill('#5a5668') }),
      h('path', { d: 'M56 4H59V30H128L118 70H32L22 30H56z', style: fill(HULL) }),
      h(
        'g',
        { style: { fill: 'none', stroke: NAME, strokeWidth: 1 } },
        written('LUNA', NAME_HIGH, 34, 33.5),
        written('37', NUMBER_HIGH, 66, 57),
      ),
    ),
  );
}
