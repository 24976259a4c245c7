// Small components that no first screen of the family's app has: see parts.js.
import { h } from './dom.js';

/** @import { Children } from './dom.js' */

/** @param {{label: Children, checked: boolean, onChange: (on: boolean) => void, test?: string, id?: string, fault?: string}} props fault: what is wrong, for which `id` is needed */
export function Check({ label, checked, onChange, test, id, fault }) {
  const box = h(
    'label',
    { class: 'check' },
    h('input', {
      type: 'checkbox',
      checked,
      id,
      'aria-invalid': fault ? true : undefined,
      'aria-describedby': fault ? `${id}-fault` : undefined,
      'data-test': test,
      onChange: (/** @type {Event} */ e) => onChange(/** @type {HTMLInputElement} */ (e.currentTarget).checked),
    }),
    h('span', null, label),
  );
  return fault
    ? [box, h('span', { class: 'entry-fault', id: `${id}-fault`, role: 'alert', key: 'fault' }, fault)]
    : box;
}

/**
 * How far something has come, as words and as a bar.
 * @param {{share: number, label: string}} props share from 0 to 1
 */
export function Bar({ share, label }) {
  const percent = Math.round(Math.min(1, Math.max(0, share)) * 100);
  return h(
    'div',
    { class: 'bar', role: 'img', 'aria-label': label },
    h('span', { style: { inlineSize: `${percent}%` } }),
  );
}
