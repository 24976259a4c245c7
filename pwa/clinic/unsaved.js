// What is typed and not saved yet. It stays in the memory of this tab while other
// pages are looked at; before the tab itself is left the browser asks.

/** By the name of its form. @type {Map<string, unknown>} */
const typed = new Map();

/** @param {Event} e */
const asks = e => e.preventDefault(); // HTML Standard, 7.4.3: the browser then asks, in its own words

/** @param {string} form @param {unknown} now null: nothing is unsaved */
export function keepUnsaved(form, now) {
  const was = typed.size;
  if (now) typed.set(form, now);
  else typed.delete(form);
  if (typed.size && !was) addEventListener('beforeunload', asks);
  if (!typed.size) removeEventListener('beforeunload', asks);
}

/** @param {string} form @returns {unknown} null for nothing */
export const unsaved = form => typed.get(form) ?? null;
