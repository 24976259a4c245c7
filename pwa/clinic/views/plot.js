// A chart on the page: fetched, drawn, kept to the width of its place, moved
// through with the arrow keys, and drawn again for paper.

import { Fragment, h, useLayoutEffect, useRef, useState } from '../dom.js';

/** @import { Chart, Colours, Library } from '../charts.js' */
/** @import uPlot from '../../vendor/uplot.js' */

/** Heights of a chart in CSS pixels: two sheets of paper leave less room. */
const SCREEN_HEIGHT = 190;
const PAPER_HEIGHT = 100;

/** @type {Promise<Library>|undefined} */
let library;
/** @type {Library|undefined} */
let loaded;

/** @returns {Promise<Library>} the chart library, fetched once */
export function chartLibrary() {
  library ??= import('../../vendor/uplot.js').then((m) => { loaded = m.default; return loaded; });
  return library;
}

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
        const { opts, data } = chart(UPlot).make(coloursOf(el), Math.max(240, el.clientWidth), matchMedia('print').matches ? PAPER_HEIGHT : SCREEN_HEIGHT);
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
    const by = { ArrowLeft: -1, ArrowRight: 1 }[e.key];
    if (!u || !by) return;
    const last = u.data[0].length - 1;
    const at = u.cursor.idx ?? (by > 0 ? -1 : last + 1);
    const x = u.data[0][Math.min(last, Math.max(0, at + by))];
    u.setCursor({ left: u.valToPos(x, 'x'), top: 10 });
    e.preventDefault();
  };
  return h(Fragment, null,
    failed && h('p', { class: 'quiet' }, 'The chart could not be drawn; its table is below.'),
    h('div', { class: 'plot', ref: place, role: 'img', tabIndex: 0, 'aria-label': `${label} Arrow keys move along it.`, 'data-test': test, onKeyDown: keys }));
}
