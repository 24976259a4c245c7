// How large the page stands on the glass: what a browser's own zoom and two
// fingers change while the page goes on.

/** Changes smaller than this are a scroll bar or rounding: 2 % of a ring are 0.01 logMAR. */
const SAME = 0.02;

/**
 * The page's scale. Page zoom makes the inside of a window narrower than its
 * outside, in WebKit without telling in devicePixelRatio; two fingers show in
 * the visual viewport alone. (CSSOM View, "VisualViewport" and "outerWidth".)
 * @param {{outerWidth: number, innerWidth: number, devicePixelRatio: number, visualViewport?: {scale: number}|null}} w
 * @returns {number} without a unit; only its change means something
 */
export function scaleOf(w) {
  const outside = w.outerWidth > 0 && w.innerWidth > 0 ? w.outerWidth / w.innerWidth : 1;
  return outside * w.devicePixelRatio * (w.visualViewport?.scale ?? 1);
}

/** @param {number} before @param {number} now scales @returns {boolean} whether a ring would have another size */
export const rescaled = (before, now) => Math.abs(now / before - 1) > SAME;

/**
 * Calls whenever the scale may have changed.
 * @param {() => void} job
 * @returns {() => void} ends it
 */
export function onScale(job) {
  const display = matchMedia(`(resolution: ${devicePixelRatio}dppx)`); // another display need not change the window
  display.addEventListener('change', job);
  addEventListener('resize', job);
  window.visualViewport?.addEventListener('resize', job);
  return () => {
    display.removeEventListener('change', job);
    removeEventListener('resize', job);
    window.visualViewport?.removeEventListener('resize', job);
  };
}
