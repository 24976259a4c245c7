// Our own drawings, as functions that return SVG. Lines take the colour of the
// text round them; every drawing is decoration and hidden from screen readers,
// because the words beside it say the same. None shows sun, moon or stars: whether it is
// dark when the clock says so depends on the place and the day of the year.
import { h } from '../ui/dom.js';

/** @import { Children } from '../ui/dom.js' */

/** @param {string} box @param {Children} inside @param {string} [cls] */
export const svg = (box, inside, cls = 'drawing') =>
  h('svg', { viewBox: box, class: cls, 'aria-hidden': true, focusable: false }, inside);
/** @param {string} d @param {object} [more] */
export const p = (d, more = {}) => h('path', { d, ...more });
/** @param {number} cx @param {number} cy @param {number} r @param {object} [more] */
export const c = (cx, cy, r, more = {}) => h('circle', { cx, cy, r, ...more });

const EYE = 'M4 24c6-10 13-15 20-15s14 5 20 15c-6 10-13 15-20 15S10 34 4 24z';

export const icons = {
  today: () => svg('0 0 48 48', [p('M8 22 24 8l16 14'), p('M13 20v20h22V20'), c(24, 29, 4)]),
  progress: () => svg('0 0 48 48', [p('M7 40h34'), p('M12 34V24M21 34V16M30 34V21M39 34V10')]),
  help: () =>
    svg('0 0 48 48', [c(24, 24, 18), p('M18 19c0-8 12-8 12 0 0 5-6 5-6 10'), c(24, 35, 1.2, { fill: 'currentColor' })]),
  wrong: () => svg('0 0 48 48', [p(EYE), c(24, 24, 6), p('M38 6v10M38 22v.5')]),
  lens: () => svg('0 0 48 48', [p('M6 20c3 24 33 24 36 0'), p('M6 20c8-7 28-7 36 0-8 7-28 7-36 0z')]),
};

export const art = {
  look: () => svg('0 0 48 48', [p(EYE), c(24, 24, 6)], 'drawing art'),
  in: () =>
    svg(
      '0 0 96 64',
      [
        p('M10 36c12-18 25-26 38-26s26 8 38 26c-12 15-25 22-38 22s-26-7-38-22z'),
        c(48, 35, 13),
        c(48, 35, 5, { fill: 'currentColor' }),
        p('M33 30a16 16 0 0 1 30 0'),
        p('M48 2v8M44 6l4 4 4-4'),
      ],
      'drawing art',
    ),
  out: () =>
    svg(
      '0 0 96 64',
      [
        p('M8 34c8-12 15-17 22-17s14 5 22 17c-8 10-15 14-22 14S16 44 8 34zM4 58h88'),
        c(30, 33, 7),
        p('M62 44a12 6 0 0 1 24 0'),
        p('M62 44c4 6 20 6 24 0'),
      ],
      'drawing art',
    ),
  care: () =>
    svg(
      '0 0 96 64',
      [
        p('M8 30h36v22a6 6 0 0 1-6 6H14a6 6 0 0 1-6-6zM52 30h36v22a6 6 0 0 1-6 6H58a6 6 0 0 1-6-6z'),
        p('M8 30c0-6 36-6 36 0M52 30c0-6 36-6 36 0M44 40h8'),
        p('M26 4c5 7 7 10 7 13a7 7 0 0 1-14 0c0-3 2-6 7-13z'),
      ],
      'drawing art',
    ),
  evening: () =>
    svg(
      '0 0 96 64',
      [p('M14 58h68M28 58V14h14M36 14a6 6 0 0 1 12 0z'), p('M58 58c2-10 6-14 12-14s10 4 12 14')],
      'drawing art',
    ),
  rest: () =>
    svg(
      '0 0 96 64',
      [p('M8 54h80M16 54V34h64v20M20 34v-8h20v8'), p('M64 6h12L64 20h12M82 20h8l-8 9h8')],
      'drawing art',
    ),
  done: () => svg('22 4 52 56', [c(48, 32, 24), p('M36 33l8 9 17-20')], 'drawing art'),
  wait: () =>
    svg(
      '28 2 40 60',
      [p('M32 6h32M32 58h32M36 6c0 16 24 16 24 26S36 42 36 58M60 6c0 16-24 16-24 26s24 10 24 26')],
      'drawing art',
    ),
  stop: () =>
    svg(
      '0 0 96 64',
      [p('M14 34c11-16 22-23 34-23s23 7 34 23c-11 14-22 20-34 20S25 48 14 34z'), c(48, 33, 11), p('M20 60 78 6')],
      'drawing art',
    ),
  welcome: () =>
    svg(
      '0 0 96 64',
      [
        p('M12 44c11-16 23-24 36-24s25 8 36 24c-11 12-23 18-36 18S23 56 12 44z'),
        c(48, 42, 12),
        c(48, 42, 4, { fill: 'currentColor' }),
        p('M30 12c8-6 28-6 36 0'),
      ],
      'drawing art',
    ),
};
