// Keeps the focus from falling to the page (WCAG 2.2, 2.4.3): when what had it,
// or what was pressed, is taken out of the document, it goes to the heading of
// the nearest part around it that is left. A button that was only out of use while it
// worked gets back the focus that the browser took from it. One helper for both apps.

const HEADING = 'h1, h2, h3';
const PRESSED = 'button, a, input, select, textarea, summary, label';

/** @param {HTMLElement} root of the app */
export function keepFocus(root) {
  /** What was used last and all around it, inmost first. @type {Element[]} */
  let chain = [];
  const note = (/** @type {Element|null} */ from) => {
    chain = [];
    for (let at = from; at; at = at.parentElement) chain.push(at);
  };
  root.addEventListener('focusin', e => note(/** @type {Element} */ (e.target)));
  // Safari gives no focus to a button that is pressed.
  root.addEventListener('click', e => note(/** @type {Element} */ (e.target).closest(PRESSED)));
  new MutationObserver(changes => {
    const now = document.activeElement;
    if (!chain.length || (now && now !== document.body)) return;
    const last = /** @type {HTMLButtonElement} */ (chain[0]);
    if (last.isConnected) {
      if (!last.disabled && changes.some(c => c.attributeName && c.target === last))
        last.focus({ preventScroll: true });
      return;
    }
    const left = chain.find(x => x.isConnected && x.querySelector(HEADING)) ?? root;
    const to = /** @type {HTMLElement} */ (left.querySelector(HEADING) ?? left);
    to.tabIndex = -1;
    to.focus({ preventScroll: true });
  }).observe(root, { childList: true, subtree: true, attributeFilter: ['disabled'] });
}

/**
 * Moves the focus to the first of some places that can be seen, once what has just
 * been set stands on the page; not from under somebody who has gone on meanwhile.
 * @param {Element|null} from what had the focus when it began
 * @param {...string} places selectors
 */
export function goOn(from, ...places) {
  setTimeout(() => {
    const now = document.activeElement;
    const left = now === from || now === document.body || now?.matches(HEADING);
    const to = places.map(p => document.querySelector(p)).find(x => x && x.getClientRects().length > 0);
    if (left && to instanceof HTMLElement) to.focus();
  });
}
