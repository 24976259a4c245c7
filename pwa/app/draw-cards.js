// Drawings of the help cards, fetched with them.
import { c, p, svg } from './draw.js';

/** @import { Children } from '../ui/dom.js' */

const hand = 'M14 52V34c0-3 5-3 5 0v6-18c0-3 5-3 5 0v16-20c0-3 5-3 5 0v20-16c0-3 5-3 5 0v18c3-6 8-4 6 0l-6 14z';
const box = (/** @type {Children} */ inside) => svg('0 0 64 64', inside);

/** One drawing per help card. */
export const cardArt = {
  hands: () =>
    box([p(hand), p('M44 6c4 5 6 8 6 11a6 6 0 0 1-12 0c0-3 2-6 6-11zM54 28c2 3 3 4 3 6a3 3 0 0 1-6 0c0-2 1-3 3-6z')]),
  comfort: () =>
    box([p('M6 36c9-13 18-19 26-19s17 6 26 19'), p('M6 36c9 10 18 14 26 14s17-4 26-14'), p('M22 34l8 8 14-16')]),
  drying: () =>
    box([
      p('M6 44V24h20v20M38 44V24h20v20M6 24h20M38 24h20M4 50h56'),
      p('M16 6v10M12 12l4 4 4-4M48 6v10M44 12l4 4 4-4'),
    ]),
  insertion: () =>
    box([
      p('M6 34c9-13 18-19 27-19s18 6 27 19c-9 11-18 16-27 16S15 45 6 34z'),
      c(33, 33, 9),
      p('M22 28a12 12 0 0 1 22 0M33 2v12M28 9l5 5 5-5'),
    ]),
  removal: () =>
    box([
      p('M6 30c9-13 18-19 27-19s18 6 27 19c-9 11-18 16-27 16S15 41 6 30z'),
      c(33, 29, 9),
      p('M33 40v20M28 55l5 5 5-5'),
    ]),
  'stuck-lens': () =>
    box([
      p('M6 40c9-13 18-19 27-19s18 6 27 19c-9 11-18 16-27 16S15 51 6 40z'),
      c(33, 39, 9),
      p('M33 2c4 6 5 8 5 10a5 5 0 0 1-10 0c0-2 1-4 5-10z'),
    ]),
  cleaning: () => box([p(hand), p('M40 12a9 4 0 0 1 18 0c-3 5-15 5-18 0z')]),
  'case-care': () =>
    box([
      p('M6 26h22v20a5 5 0 0 1-5 5H11a5 5 0 0 1-5-5zM36 26h22v20a5 5 0 0 1-5 5H41a5 5 0 0 1-5-5z'),
      p('M8 18h18M38 18h18'),
    ]),
  'red-eye': () =>
    box([
      p('M5 34c9-14 18-20 27-20s18 6 27 20c-9 11-18 16-27 16S14 45 5 34z'),
      c(32, 33, 8),
      p('M14 30l8 2M13 36l9-1M50 30l-8 2M51 36l-9-1'),
    ]),
  peroxide: () => box([p('M22 14h20v8l4 6v28H18V28l4-6zM24 6h16v8H24z'), p('M32 34v10M32 49v1')]),
  'dropped-lens': () => box([p('M22 10a10 5 0 0 1 20 0c-3 6-17 6-20 0z'), p('M32 20v6M32 32v6M32 44v4M8 56h48')]),
  'broken-lens': () => box([p('M8 30a24 12 0 0 1 48 0c-7 15-41 15-48 0z'), p('M32 18l-4 10 8 4-5 9')]),
  'swapped-lenses': () => box([c(18, 24, 10), c(46, 24, 10), p('M10 46h40M44 40l6 6-6 6M54 56H14M20 50l-6 6')]),
  travel: () => box([p('M12 22h40v32H12zM24 22v-8h16v8M12 34h40')]),
  illness: () => box([p('M28 8h8v30a10 10 0 1 1-8 0z'), c(32, 46, 5, { fill: 'currentColor' }), p('M32 20v22')]),
  water: () =>
    box([
      p('M4 40c6-6 10 6 16 0s10 6 16 0 10 6 16 0 6 3 8 1M4 52c6-6 10 6 16 0s10 6 16 0 10 6 16 0 6 3 8 1'),
      c(32, 18, 10),
      p('M22 28 42 8'),
    ]),
  spectacles: () => box([c(18, 34, 11), c(46, 34, 11), p('M29 34c2-3 4-3 6 0M7 32l-3-8M57 32l3-8')]),
};
