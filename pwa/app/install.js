// The browser's offer to install the app comes once, soon after the start,
// whatever is on the screen: it is kept until somebody wants it. And what is
// known of the home screen.

/** @typedef {Event & {prompt: () => Promise<void>}} Offer */

/** @type {Offer|null} */
let offer = null;
/** @type {Set<() => void>} */
const waiting = new Set();

/** Begins to listen; called once, at the start. */
export function keepOffer() {
  addEventListener('beforeinstallprompt', e => {
    e.preventDefault();
    offer = /** @type {Offer} */ (e);
    waiting.forEach(w => w());
  });
}

/** @returns {Offer|null} */
export const offered = () => offer;

/** @param {() => void} w @returns {() => void} ends it */
export function onOffer(w) {
  waiting.add(w);
  return () => {
    waiting.delete(w);
  };
}

/** Whether the engine is WebKit, which clears what scripts of an unvisited site have stored whatever it has promised (WebKit, "Full third-party cookie blocking and more", 2020). */
export const webkit = () => /AppleWebKit/.test(navigator.userAgent) && !/Chrome|Chromium/.test(navigator.userAgent);

/** Whether the app was opened from the home screen; the second is Apple's own word for it. */
export const installed = () =>
  matchMedia('(display-mode: standalone)').matches || Reflect.get(navigator, 'standalone') === true;

/** Whether something could not be sent from a page that its browser may clear. @param {import('./app.js').State} s */
export const fragile = s =>
  webkit() && !installed() && !!s.sync.fault && [...s.records.values()].some(r => r.state === 'unsent');
