// Small components that no first screen of the family's app has: see parts.js.
import { h } from './dom.js';

/** @import { Children } from './dom.js' */

/** @param {{label: Children, checked: boolean, onChange: (on: boolean) => void, test?: string}} props */
export function Check({ label, checked, onChange, test }) {
  return h(
    'label',
    { class: 'check' },
    h('input', {
      type: 'checkbox',
      checked,
      'data-test': test,
      onChange: (/** @type {Event} */ e) => onChange(/** @type {HTMLInputElement} */ (e.currentTarget).checked),
    }),
    h('span', null, label),
  );
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
