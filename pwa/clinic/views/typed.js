// What is typed in a form that a page may draw anew at any time, because something new
// has come: it is kept for whoever types it, and stands in the form again.

import { useState } from '../dom.js';
import { keepUnsaved, unsaved } from '../unsaved.js';

/**
 * @template {{f: object}} T f: the fields
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
      keepUnsaved(name, JSON.stringify(next.f) === JSON.stringify(start.empty.f) ? null : next);
      set(next);
    },
    forget: () => {
      keepUnsaved(name, null);
      setWas(false);
      set(start.empty);
    },
  };
}

/**
 * Goes on in the field that was typed in last, behind what stands there: what a hand
 * types on while its form is drawn anew goes nowhere else.
 * @param {HTMLElement|null} form @param {string} test the name of the field
 */
export function typeOn(form, test) {
  const field = test && form?.querySelector(`[data-test="${CSS.escape(test)}"]`);
  if (!(field instanceof HTMLElement)) return;
  field.focus();
  if (field instanceof HTMLTextAreaElement || (field instanceof HTMLInputElement && field.type === 'text'))
    field.setSelectionRange(field.value.length, field.value.length);
}
