// Keeps the field that is typed in where it is on the screen, while what has come, an
// emergency above all, is put above it: else the next press hits something else.

const FIELD = 'input, textarea, select';

/** @param {HTMLElement} root of the console */
export function keepSteady(root) {
  /** @type {Element|null} */
  let field = null;
  let at = 0;
  const place = (/** @type {Element} */ el) => el.getBoundingClientRect().top + scrollY;
  root.addEventListener('focusin', e => {
    const el = /** @type {Element} */ (e.target);
    field = el.matches(FIELD) ? el : null;
    at = field ? place(field) : 0;
    document.documentElement.style.overflowAnchor = field ? 'none' : ''; // not by the browser as well
  });
  const note = () => {
    if (field) at = place(field);
  };
  root.addEventListener('keydown', note);
  addEventListener('resize', note);
  new MutationObserver(() => {
    if (!field || field !== document.activeElement) return;
    const now = place(field);
    const seen = at - scrollY;
    if (now !== at && seen >= 0 && seen < innerHeight) scrollBy({ top: now - at, behavior: 'instant' });
    at = now;
  }).observe(root, {
    childList: true,
    subtree: true,
    characterData: true,
    attributeFilter: ['class', 'hidden', 'open'],
  });
}
