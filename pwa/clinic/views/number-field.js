// The one number field of the console: plain text with a decimal keyboard. What
// is typed is never changed under the cursor; on leaving it is read, said back
// with its unit, refused when it cannot be and asked about when it is unlikely.
// Both are the field's own validity, so that no form with an open one is sent.

import { isQuestion } from '../api.js';
import { h, useId, useLayoutEffect, useRef, useState } from '../dom.js';
import { acuityWords, quantityWords, readQuantity, refusal, saidBack, typedAs, unlikely } from '../quantities.js';
import { tr } from '../text.js';
import { keepUnsaved, unsaved } from '../unsaved.js';
import { BothRead } from './reading.js';

/** @import { Answer, ApiError } from '../api.js' */
/** @import { Notation, Quantity } from '../quantities.js' */

/**
 * @typedef {object} NumberProps
 * @property {Quantity} quantity
 * @property {string} label what a screen reader says, and what stands above unless bare
 * @property {number|null|undefined} value
 * @property {(n: number|null, as: string) => void} set null for nothing, and while what is typed is refused; as: an acuity in the notation it was typed in
 * @property {string} [as] of value
 * @property {string} [name]
 * @property {string} [hint]
 * @property {string} [error] of the server
 * @property {Notation} [notation] of an acuity that does not say its own
 * @property {number|null} [last] the last value of this eye, said beside an unlikely one
 * @property {boolean} [bare] in a table, whose row and column say the label
 * @property {boolean} [required]
 * @property {string} [placeholder]
 * @property {number|null} [record] what is stored, where value may be a draft
 * @property {string} [draft] by which text that is no number for this field is kept while other pages are looked at
 */

/** Marks of direction: in a field they would be characters that somebody meets with the arrow keys. */
const MARKS = /[\u2066-\u2069]/g;

/** @param {NumberProps} props */
export function NumberField({
  quantity: q,
  label,
  value,
  set,
  name,
  hint,
  error,
  notation,
  last = null,
  bare,
  required,
  placeholder,
  record = value,
  as,
  draft = '',
}) {
  const words = (/** @type {number|null|undefined} */ n) =>
    n === null || n === undefined ? '' : quantityWords(n, q).replace(MARKS, '');
  /** What is stored, as it was typed. @param {number|null|undefined} n */
  const stored = n => (as && typeof n === 'number' ? acuityWords(as, n).replace(MARKS, '') : words(n));
  const [text, setText] = useState(/** @type {string|null} */ (draft && unsaved(draft)) || stored(value));
  const [typing, setTyping] = useState(false);
  const [left, setLeft] = useState(false); // somebody was in the field
  const [sure, setSure] = useState(record ?? null); // what stands in the record is not asked about again
  const given = useRef(value ?? null); // what this field said last
  const input = useRef(/** @type {HTMLInputElement|null} */ (null));
  const id = useId();
  useLayoutEffect(() => {
    // a value from elsewhere, such as one taken over from another page; at once, or the next key would come between
    if ((value ?? null) === given.current) return;
    given.current = value ?? null;
    setText(stored(value));
    if (draft) keepUnsaved(draft, null);
  }, [value]);
  const n = readQuantity(text, q, notation);
  const bad = required && n === null ? tr('Want a number: {label}.', { label: q.label.toLowerCase() }) : refusal(n, q);
  const odd = bad || n === sure ? '' : unlikely(n, q, last);
  useLayoutEffect(() => {
    input.current?.setCustomValidity(bad || (odd && tr('{odd} Say that it is right, or mend it.', { odd })));
  }, [bad, odd]);
  /** @param {Event} e */
  const take = e => {
    const typed = /** @type {HTMLInputElement} */ (e.target).value;
    const read = readQuantity(typed, q, notation);
    given.current = read === undefined || refusal(read, q) ? null : read;
    setTyping(true);
    setText(typed);
    if (draft) keepUnsaved(draft, given.current === null && typed.trim() ? typed : null);
    set(given.current, given.current === null ? '' : typedAs(typed, q, notation));
  };
  /** @param {Event} e what stands in the field counts, not what was drawn last: a hand may be quicker */
  const leave = e => {
    const typed = /** @type {HTMLInputElement} */ (e.target).value;
    const read = readQuantity(typed, q, notation);
    setTyping(false);
    setLeft(true);
    setText(
      refusal(read, q) || read === null || read === undefined
        ? typed.trim() && typed
        : saidBack(typed, read, q, notation).replace(MARKS, ''),
    );
  };
  // What the form says of a field without a number is what this one is for.
  const own = !typing && bad && (left || text.trim()) && !(error && n === undefined);
  const fault = own ? bad : error;
  const about = [hint && !bare && 'hint', fault && 'fault', !typing && odd && 'odd'].filter(Boolean);
  const field = h('input', {
    type: 'text',
    dir: 'auto',
    inputMode: 'decimal',
    autocomplete: 'off',
    ref: input,
    name,
    value: text,
    placeholder,
    size: q.kind === 'acuity' || q.per_mm ? 20 : 9, // what is said back is seen whole
    'aria-label': label,
    'aria-invalid': fault ? 'true' : undefined,
    'aria-describedby': about.map(part => `${id}-${part}`).join(' ') || undefined,
    'data-number': name ?? label,
    'data-min': q.min,
    'data-max': q.max,
    'data-whole': q.whole ? '' : undefined,
    'data-halves': q.halves ? '' : undefined,
    onInput: take,
    onChange: leave,
    onBlur: leave,
    onFocus: (/** @type {Event} */ e) => /** @type {HTMLInputElement} */ (e.target).select(),
  });
  // Telephones show a decimal keyboard that has no minus.
  const turn = () => {
    const bare = text.trim().replace(/^[-−+]\s*/, '');
    const next = /^[-−]/.test(text.trim()) ? bare : `−${bare}`;
    const read = readQuantity(next, q, notation);
    given.current = read === undefined || refusal(read, q) ? null : read;
    setText(next);
    set(given.current, given.current === null ? '' : typedAs(next, q, notation));
    input.current?.focus();
  };
  const sign =
    q.min < 0 &&
    h(
      'button',
      {
        type: 'button',
        class: 'sign-key',
        'data-test': 'sign-key',
        'aria-label': tr('Minus or plus: {label}', { label }),
        onPointerDown: (/** @type {Event} */ e) => e.preventDefault(), // the keyboard stays
        onClick: turn,
      },
      '±',
    );
  const notes = [
    hint && !bare && h('span', { class: 'hint', id: `${id}-hint` }, hint),
    fault && h('span', { class: 'field-error', role: 'alert', id: `${id}-fault` }, fault),
    !typing &&
      odd &&
      h(
        'span',
        { class: 'unlikely', role: 'alert', id: `${id}-odd` },
        odd,
        ' ',
        h(
          'button',
          { type: 'button', 'data-test': 'sure', onClick: () => setSure(n ?? null) },
          tr('Yes, {n}', { n: words(n) }),
        ),
      ),
  ];
  if (bare) return h('span', { class: fault ? 'number bad' : 'number' }, field, sign, notes);
  return h(
    'div',
    { class: fault ? 'field bad' : 'field' },
    h('label', null, h('span', { class: 'field-label' }, label), field),
    sign,
    notes,
  );
}

/**
 * What the server asked about, and the way to say that it is right.
 * @param {{error: ApiError|undefined, busy: boolean, yes: (answer: Answer) => void, word: string}} props yes: sends the same again with the answer; word: what saying yes does
 */
export function Unlikely({ error, busy, yes, word }) {
  const box = useRef(/** @type {HTMLDivElement|null} */ (null));
  const [past, setPast] = useState(/** @type {unknown} */ (null));
  const asked = error && isQuestion(error) && past !== error;
  useLayoutEffect(() => {
    // A yes is about what was sent: once the form says something else it is no answer any more.
    const form = box.current?.closest('form');
    /** @param {Event} e */
    const changed = e => {
      const pressed = e.type === 'click' && /** @type {Element} */ (e.target).closest('button');
      if (e.type !== 'click' || (pressed && !box.current?.contains(pressed))) setPast(error);
    };
    const at = ['input', 'change', 'click'];
    for (const name of at) form?.addEventListener(name, changed);
    return () => {
      for (const name of at) form?.removeEventListener(name, changed);
    };
  }, [error]);
  if (!asked) return null;
  const { reading, answered } = error;
  const answer = () => yes(reading ? { ...answered, yes: reading.yes } : { ...answered, sure: true });
  return h(
    'div',
    { class: 'unlikely', role: 'alert', 'data-test': 'unlikely', ref: box },
    h('p', null, error.message),
    reading && h(BothRead, { of: reading }),
    h(
      'button',
      { type: 'button', disabled: busy, 'data-test': 'unlikely-yes', onClick: answer },
      reading ? tr('No contradiction: send both') : word,
    ),
  );
}
