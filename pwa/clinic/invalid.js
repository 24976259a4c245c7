// What a form wants, said at the field in the language of the console: the browser
// says it in its own, in a bubble that goes away.

import { day, pointed } from './format.js';
import { say } from './said.js';
import { point, tr } from './text.js';

/** @typedef {HTMLInputElement|HTMLSelectElement|HTMLTextAreaElement} Control */

/** @param {Element} el @returns {el is Control} */
const isControl = el => /^(INPUT|SELECT|TEXTAREA)$/.test(el.tagName);

/** @param {string} type of a field whose values come one after the other */
const ofTime = type => /date|time|month|week/.test(type);

/**
 * @param {Control} el that is not valid
 * @returns {string} what it wants
 */
function wants(el) {
  const v = el.validity;
  const { min = '', max = '', type } = /** @type {HTMLInputElement} */ (el);
  const value = (/** @type {string} */ s) => (type === 'date' ? day(s) : type === 'number' ? pointed(s) : s);
  if (v.customError) return el.validationMessage; // our own
  if (v.valueMissing && type === 'checkbox') return tr('Tick this first.');
  if (v.valueMissing && (el.tagName === 'SELECT' || type === 'radio')) return tr('Choose one.');
  if (v.valueMissing) return tr('This cannot be empty.');
  if (v.badInput) return type === 'date' ? tr('This is no whole date.') : tr('This is no number.');
  if (v.rangeUnderflow)
    return ofTime(type) ? tr('Not before {min}.', { min: value(min) }) : tr('Not below {min}.', { min: value(min) });
  if (v.rangeOverflow)
    return ofTime(type) ? tr('Not after {max}.', { max: value(max) }) : tr('Not above {max}.', { max: value(max) });
  if (v.typeMismatch && type === 'email') return tr('Want a mail address, such as name@example.org.');
  if (v.tooLong || v.tooShort) return tr('This is too long or too short.');
  return tr('This is not possible here.');
}

/** Fields that say what they want, with what they were described by before. @type {Map<Control, {note: HTMLElement, about: string|null}>} */
const told = new Map();
let turn = 0;

/** What a field is called. @param {Control} el @returns {string} */
function nameOf(el) {
  const label = el.labels?.[0];
  const words = label?.querySelector('.field-label') ?? label?.querySelector('span') ?? label;
  return (el.getAttribute('aria-label') ?? words?.textContent ?? '').trim();
}

/** Says at a field what it wants. @param {Control} el @returns {string} what is to be read out of it, by its name; empty where it says so itself */
function tell(el) {
  untell(el);
  const said = el.hasAttribute('data-number') && el.getAttribute('aria-invalid') === 'true'; // a number field says its own
  const odd = el.hasAttribute('data-number') && el.getAttribute('aria-describedby')?.includes('-odd');
  const group = /** @type {HTMLInputElement} */ (el).type === 'radio' && el.name;
  if (said || odd || (group && [...told.keys()].some(o => o.name === el.name && o.form === el.form))) return '';
  const note = document.createElement('span');
  note.className = 'field-error';
  note.dataset.test = 'wanted';
  note.id = `wanted-${++turn}`;
  note.textContent = wants(el);
  const about = el.getAttribute('aria-describedby');
  told.set(el, { note, about });
  (el.closest('label') ?? el).after(note);
  el.setAttribute('aria-invalid', 'true');
  el.setAttribute('aria-describedby', [about, note.id].filter(Boolean).join(' '));
  return nameOf(el) + point(': ') + note.textContent;
}

/** @param {Control} el */
function untell(el) {
  const was = told.get(el);
  if (!was) return;
  told.delete(el);
  was.note.remove();
  el.removeAttribute('aria-invalid');
  if (was.about) el.setAttribute('aria-describedby', was.about);
  else el.removeAttribute('aria-describedby');
}

/** Tells in every form what its fields want, in place of the browser. */
export function sayWhatIsWanted() {
  let first = /** @type {Control|null} */ (null);
  /** @type {string[]} */
  let said = [];
  let spoken = false; // and still stands to be read
  document.addEventListener(
    'invalid',
    e => {
      const el = /** @type {Element} */ (e.target);
      if (!isControl(el) || !el.form || el.form.noValidate) return;
      e.preventDefault();
      const what = tell(el);
      if (what) said.push(what);
      if (first) return;
      first = el;
      // Not a microtask: pressed by a person, one comes after the first field already.
      setTimeout(() => {
        first?.focus();
        say(said.join(' '));
        spoken = true;
        first = null;
        said = [];
      });
    },
    true,
  );
  for (const kind of ['input', 'change'])
    document.addEventListener(kind, e => {
      const form = /** @type {Control} */ (e.target).form;
      for (const el of [...told.keys()]) if (!el.isConnected || (el.form === form && el.validity.valid)) untell(el);
      if (told.size || !spoken) return;
      spoken = false;
      say(''); // all that was wanted is there
    });
}
