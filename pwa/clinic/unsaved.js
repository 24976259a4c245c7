// What is typed in the settings and not saved yet. It stays in the memory of this tab
// while other pages are looked at, as setting up leads from one to the other; before
// the tab itself is left the browser asks.

/** @import { Settings } from './api.js' */

/** @typedef {{form: Settings, opened: Settings}} Unsaved form: as typed; opened: as it was stored then */

/** @type {Unsaved|null} */
let typed = null;

/** @param {Event} e */
const asks = e => e.preventDefault(); // HTML Standard, 7.4.3: the browser then asks, in its own words

/** @param {Unsaved|null} now null: nothing is unsaved */
export function keepUnsaved(now) {
  if (now && !typed) addEventListener('beforeunload', asks);
  if (!now) removeEventListener('beforeunload', asks);
  typed = now;
}

/** @returns {Unsaved|null} */
export const unsaved = () => typed;
