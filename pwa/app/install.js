// The browser's offer to install the app comes once, soon after the start,
// whatever is on the screen: it is kept until somebody wants it.

/** @typedef {Event & {prompt: () => Promise<void>}} Offer */

/** @type {Offer|null} */
let offer = null;
/** @type {Set<() => void>} */
const waiting = new Set();

/** Begins to listen; called once, at the start. */
export function keepOffer() {
  addEventListener('beforeinstallprompt', (e) => {
    e.preventDefault();
    offer = /** @type {Offer} */ (e);
    waiting.forEach((w) => w());
  });
}

/** @returns {Offer|null} */
export const offered = () => offer;

/** @param {() => void} w @returns {() => void} ends it */
export function onOffer(w) {
  waiting.add(w);
  return () => { waiting.delete(w); };
}
