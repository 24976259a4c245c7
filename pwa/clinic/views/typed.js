// What is typed in a form that a page may draw anew at any time, because something new
// has come: it is kept for whoever types it, and stands in the form again.

import { useState } from '../dom.js';
import { keepUnsaved, unsaved } from '../unsaved.js';

/**
 * @template {object} T
 * @param {string} name of the form: for whom, about what
 * @param {() => T} first with nothing typed
 * @returns {{now: T, change: (next: T) => void, forget: () => void, was: boolean}} was: it stood there when the form was opened; forget: nothing of it is kept
 */
export function useTyped(name, first) {
  const [start] = useState(() => ({ empty: first(), was: /** @type {T|null} */ (unsaved(name)) }));
  const [now, set] = useState(start.was ?? start.empty);
  const [was, setWas] = useState(!!start.was);
  return {
    now,
    was,
    change: next => {
      keepUnsaved(name, JSON.stringify(next) === JSON.stringify(start.empty) ? null : next);
      set(next);
    },
    forget: () => {
      keepUnsaved(name, null);
      setWas(false);
      set(start.empty);
    },
  };
}
