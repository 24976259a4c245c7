// A chart on the page: fetched, drawn, kept to the width of its place, moved
// through with the arrow keys, and drawn again for paper.

import { Fragment, h, useLayoutEffect, useRef, useState } from '../dom.js';

/** @import { Chart, Colours, Library } from '../charts.js' */
/** @import uPlot from '../../vendor/uplot.js' */
/** @import { ComponentChildren } from '../../vendor/preact.js' */

/** Height of a chart on the screen, in CSS pixels. */
const SCREEN_HEIGHT = 190;

/** @type {Promise<Library>|undefined} */
let library;
/** @type {Library|undefined} */
let loaded;

/** @returns {Promise<Library>} the chart library, fetched once */
export function chartLibrary() {
  library ??= import('../../vendor/uplot.js').then((m) => { loaded = m.default; return loaded; });
  return library;
}

/**
 * How high the style sheet says that a chart is on paper.
 * @param {Element} el
 */
const paperHeight = (el) => parseInt(getComputedStyle(el).getPropertyValue('--chart-on-paper'), 10) || 100;

/** @param {Element} el @returns {Colours} */
function coloursOf(el) {
  const style = getComputedStyle(el);
  /** @param {string} name */
  const of = (name) => style.getPropertyValue(name).trim();
  return { ink: of('--chart-ink'), quiet: of('--chart-quiet'), line: of('--chart-line'), right: of('--chart-right'), left: of('--chart-left'), fill: of('--chart-fill'), warn: of('--chart-warn') };
}

/**
 * @param {{chart: (library: Library) => Chart, label: string, test?: string, resetKey: string}} props label sums the chart up in a sentence
 */
export function Plot({ chart, label, test, resetKey }) {
  const place = useRef(/** @type {HTMLDivElement|null} */ (null));
  const plot = useRef(/** @type {uPlot|null} */ (null));
  const [failed, setFailed] = useState(false);
  const [said, say] = useState('');
  useLayoutEffect(() => { // at once when the library is there, so that a page printed as soon as it stands has its charts
    const el = place.current;
    if (!el) return undefined;
    let live = true;
    /** @type {(() => void)} */
    let draw = () => {};
    const again = () => draw();
    const fit = () => {
      const u = plot.current;
      if (u && el.clientWidth > 0 && u.width !== el.clientWidth) u.setSize({ width: el.clientWidth, height: u.height });
    };
    const watch = new ResizeObserver(() => requestAnimationFrame(fit)); // a change of size inside the callback would be reported as a loop
    /** @param {Library} UPlot */
    const begin = (UPlot) => {
      draw = () => {
        plot.current?.destroy();
        const { opts, data } = chart(UPlot).make(coloursOf(el), Math.max(240, el.clientWidth), matchMedia('print').matches ? paperHeight(el) : SCREEN_HEIGHT);
        plot.current = new UPlot(opts, data, el);
      };
      if (live) { draw(); watch.observe(el); }
    };
    if (loaded) begin(loaded);
    else chartLibrary().then(begin).catch(() => live && setFailed(true));
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const paper = matchMedia('print');
    dark.addEventListener('change', again);
    paper.addEventListener('change', again);
    return () => {
      live = false;
      watch.disconnect();
      dark.removeEventListener('change', again);
      paper.removeEventListener('change', again);
      plot.current?.destroy();
      plot.current = null;
    };
  }, [resetKey]);
  /** @param {KeyboardEvent} e */
  const keys = (e) => {
    const u = plot.current;
    if (!u || !['ArrowLeft', 'ArrowRight', 'Home', 'End'].includes(e.key)) return;
    const last = u.data[0].length - 1;
    const to = { ArrowLeft: (u.cursor.idx ?? last + 1) - 1, ArrowRight: (u.cursor.idx ?? -1) + 1, Home: 0, End: last }[e.key] ?? 0;
    const at = Math.min(last, Math.max(0, to));
    u.setCursor({ left: u.valToPos(u.data[0][at], 'x'), top: 10 });
    say(saidOf(u, at));
    e.preventDefault();
  };
  return h(Fragment, null,
    failed && h('p', { class: 'quiet' }, 'The chart could not be drawn; its table is below.'),
    h('div', { class: 'plot', ref: place, role: 'img', tabIndex: 0, 'aria-label': `${label} Arrow keys move along it.`, 'data-test': test, onKeyDown: keys }),
    h('p', { class: 'hidden', 'aria-live': 'polite' }, said));
}

/**
 * One place of a chart in words: its date, and each value there is.
 * @param {uPlot} u
 * @param {number} at
 */
function saidOf(u, at) {
  return u.series.map((s, i) => {
    const v = u.data[i][at];
    if (v === null || v === undefined) return '';
    const words = typeof s.value === 'function' ? s.value(u, v, i, at) : String(v);
    return i ? `${s.label}: ${words}` : words;
  }).filter(Boolean).join(', ');
}

/** What the marks of the charts look like, drawn in 18 by 12. */
const SWATCH = /** @type {Record<string, () => ComponentChildren>} */ ({
  bar: () => h('rect', { x: 5, y: 1, width: 8, height: 10, class: 'k-bar' }),
  hollow: () => h('rect', { x: 5.5, y: 1.5, width: 7, height: 9, class: 'k-hollow' }),
  least: () => h('path', { d: 'M0 6h18', class: 'k-least' }),
  in: () => h('circle', { cx: 9, cy: 6, r: 3, class: 'k-right' }),
  out: () => h('circle', { cx: 9, cy: 6, r: 2.6, class: 'k-left k-ring' }),
  report: () => h('circle', { cx: 9, cy: 6, r: 2.6, class: 'k-ink' }),
  middle: () => h('path', { d: 'M0 6h18', class: 'k-middle' }),
  hours: () => h('circle', { cx: 9, cy: 6, r: 2.4, class: 'k-quiet k-ring' }),
  right: () => [h('path', { d: 'M0 6h18', class: 'k-right k-line' }), h('circle', { cx: 9, cy: 6, r: 3.4, class: 'k-right' })],
  left: () => [h('path', { d: 'M0 6h5.6M12.4 6h5.6', class: 'k-left k-line' }), h('circle', { cx: 9, cy: 6, r: 3, class: 'k-left k-ring' })],
});

/**
 * The key of a chart, on the screen and on paper: each mark as it is drawn,
 * and what it means.
 * @param {{items: [keyof typeof SWATCH | '', string][], children?: ComponentChildren}} props
 */
export function Key({ items, children }) {
  return h('p', { class: 'key chart-key' },
    items.map(([mark, words]) => h('span', { class: 'key-item' }, mark && h('svg', { viewBox: '0 0 18 12', class: 'swatch', 'aria-hidden': 'true' }, SWATCH[mark]()), words)), children);
}
