// A button that opens a small form in its place, and takes the focus along.

import { Field, h, useAction, useLayoutEffect, useRef, useState } from '../dom.js';
import { say } from '../said.js';
import { Unlikely } from './number-field.js';
import { point, tr } from '../text.js';

/** @typedef {Record<string, string>} Values */
/** @typedef {{key: string, label: string, type?: string, hint?: string, need?: boolean, list?: [string, string][]}} Row list: choices, value and word */

/**
 * A button that opens a small form in its place.
 * @param {{open: string, rows: Row[], start: Values, save: (v: Values, sure: boolean) => Promise<unknown>, done: () => void, word: string, test: string, of?: string, more?: import('../../vendor/preact.js').ComponentChildren}} props word: on the button that saves; of: whom the first button is about, where several stand on a page
 */
export function Small({ open, rows, start, save, done, word, test, of, more }) {
  const [form, setForm] = useState(/** @type {Values|null} */ (null));
  const action = useAction();
  const here = useRef(/** @type {HTMLElement|null} */ (null));
  const was = useRef(false);
  const shown = form !== null;
  useLayoutEffect(() => {
    // the focus goes into the form, and back to its button
    if (shown || was.current)
      /** @type {HTMLElement|null|undefined} */ (here.current?.querySelector('input, select, button'))?.focus();
    was.current = shown;
  }, [shown]);
  if (!form)
    return h(
      'div',
      { ref: here },
      h(
        'button',
        {
          type: 'button',
          'data-test': test,
          'aria-label': of && `${open}${point(': ')}${of}`,
          onClick: () => {
            setForm(start);
          },
        },
        open,
      ),
    );
  /** @param {boolean} sure */
  const send = sure =>
    action.run(async () => {
      await save(form, sure);
      setForm(null);
      say(`${of ? `${open}${point(': ')}${of}` : open}. ${tr('Saved.')}`);
      done();
    });
  const fault = action.error;
  const placed = rows.some(r => r.key === fault?.field);
  return h(
    'div',
    { ref: here, class: 'small-form' },
    h(
      'form',
      {
        'data-test': `${test}-form`,
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          send(false);
        },
      },
      h(
        'div',
        { class: 'grid' },
        rows.map(r =>
          h(
            Field,
            { key: r.key, label: r.label, hint: r.hint, error: fault?.field === r.key ? fault.message : undefined },
            r.list
              ? h(
                  'select',
                  {
                    value: form[r.key],
                    onChange: (/** @type {Event} */ e) =>
                      setForm({ ...form, [r.key]: /** @type {HTMLSelectElement} */ (e.target).value }),
                  },
                  r.list.map(([v, text]) => h('option', { value: v }, text)),
                )
              : h('input', {
                  type: r.type ?? 'text',
                  maxLength: 80,
                  required: r.need,
                  value: form[r.key],
                  onInput: (/** @type {Event} */ e) =>
                    setForm({ ...form, [r.key]: /** @type {HTMLInputElement} */ (e.target).value }),
                }),
          ),
        ),
      ),
      more,
      fault && !placed && fault.code !== 'unlikely' && h('p', { class: 'field-error', role: 'alert' }, fault.message),
      h(Unlikely, {
        error: fault,
        busy: action.busy,
        yes: () => send(true),
        word: tr('Yes, {word} all the same', { word: word.toLowerCase() }),
      }),
      h(
        'p',
        { class: 'buttons' },
        h('button', { class: 'primary', disabled: action.busy }, word),
        h('button', { type: 'button', onClick: () => setForm(null) }, tr('Leave')),
      ),
    ),
  );
}
