// The small components every screen is made of. Each is a function of its
// props; what they look like is in styles/parts.css, in the same order.
import { h, useLayoutEffect, useRef } from './dom.js';

/** @import { Children } from './dom.js' */

/**
 * @param {{children?: Children, onPress?: (e: Event) => void, kind?: 'main'|'alarm'|'plain'|'', big?: boolean, wide?: boolean, disabled?: boolean, test?: string, label?: string, submit?: boolean}} props submit: of a form, which Enter sends too
 */
export function Button({ children, onPress, kind = '', big, wide, disabled, test, label, submit }) {
  const cls = ['btn', kind, big && 'big', (wide || big) && 'wide'].filter(Boolean).join(' ');
  return h(
    'button',
    {
      type: submit ? 'submit' : 'button',
      class: cls,
      onClick: onPress,
      disabled,
      'data-test': test,
      'aria-label': label,
    },
    children,
  );
}

/**
 * A link that looks like a button.
 * @param {{href: string, children?: Children, kind?: string, big?: boolean, wide?: boolean, test?: string, label?: string}} props
 */
export function LinkButton({ href, children, kind = '', big, wide, test, label }) {
  const cls = ['btn', kind, big && 'big', (wide || big) && 'wide'].filter(Boolean).join(' ');
  return h('a', { href, class: cls, 'data-test': test, 'aria-label': label }, children);
}

/** @param {{title?: Children, children?: Children, cls?: string}} props */
export function Card({ title, children, cls = '' }) {
  return h('section', { class: `card ${cls}` }, title && h('h2', null, title), children);
}

/**
 * One question with its answers as buttons; the chosen one is marked by a tick
 * and by its pressed state, not by colour alone.
 * @template {string|number|boolean} T
 * @param {{legend: Children, hideLegend?: boolean, options: [T, Children][], value: T|undefined, onPick: (v: T) => void, across?: boolean, test?: (v: T) => string}} props
 */
export function Choices({ legend, hideLegend, options, value, onPick, across, test }) {
  return h(
    'fieldset',
    { class: across ? 'choices across' : 'choices' },
    h('legend', { class: hideLegend ? 'hidden' : 'entry-label' }, legend),
    options.map(([v, label]) =>
      h(
        'button',
        {
          key: String(v),
          type: 'button',
          class: 'choice',
          'aria-pressed': v === value,
          'data-test': test?.(v),
          onClick: () => onPick(v),
        },
        h('span', null, label),
      ),
    ),
  );
}

/**
 * @param {{label: Children, value: string, onInput: (v: string) => void, type?: string, hint?: Children, fault?: string, id: string, long?: boolean, max?: number, test?: string, autocomplete?: string, doubted?: string}} props doubted: id of what says elsewhere why it can hardly be meant
 */
export function Entry({
  label,
  value,
  onInput,
  type = 'text',
  hint,
  fault,
  id,
  long,
  max,
  test,
  autocomplete,
  doubted,
}) {
  const described = [hint && `${id}-hint`, fault && `${id}-fault`, doubted].filter(Boolean).join(' ') || undefined;
  const common = {
    id,
    value,
    maxLength: max,
    'data-test': test,
    'aria-describedby': described,
    'aria-invalid': fault || doubted ? true : undefined,
    onInput: (/** @type {Event} */ e) => onInput(/** @type {HTMLInputElement} */ (e.currentTarget).value),
  };
  return h(
    'div',
    { class: 'entry' },
    h('label', { class: 'entry-label', for: id }, label),
    hint && h('span', { class: 'quiet small', id: `${id}-hint` }, hint),
    long ? h('textarea', { ...common, rows: 4 }) : h('input', { ...common, type, autocomplete }),
    fault && h('span', { class: 'entry-fault', id: `${id}-fault`, role: 'alert' }, fault),
  );
}

/** Has a screen reader say something, where a live region stands. @type {((text: string) => void)|null} */
let voice = null;

/** @param {((text: string) => void)|null} says what puts words into the live region of the frame, while there is one */
export const hears = says => {
  voice = says;
};

/**
 * What has just come of something: read out by the live region that stood there before,
 * as one that comes together with its words may not be.
 * @param {{cls: string, children?: Children, test?: string}} props
 */
export function Told({ cls, children, test }) {
  const at = useRef(/** @type {HTMLElement|null} */ (null));
  const was = useRef('');
  useLayoutEffect(() => {
    const now = at.current?.textContent ?? '';
    if (now !== was.current) voice?.(now);
    was.current = now;
  });
  return h('div', { class: cls, ref: at, role: voice ? undefined : 'status', 'data-test': test }, children);
}

/** @param {{kind?: 'good'|'urgent'|'alarm'|'', children?: Children, live?: boolean, test?: string}} props */
export function Notice({ kind = '', children, live, test }) {
  const cls = `notice ${kind}`;
  return live ? h(Told, { cls, test }, children) : h('div', { class: cls, 'data-test': test }, children);
}

const MARKS = { emergency: '!!', urgent: '!', routine: '•', note: '·', none: '·' };

/** @param {{level: keyof typeof MARKS, children?: Children}} props */
export function Level({ level, children }) {
  return h('p', { class: `level ${level}` }, h('span', { 'aria-hidden': true }, MARKS[level]), children);
}

/** @param {{title: Children, children?: Children, test?: string}} props */
export function More({ title, children, test }) {
  return h('details', null, h('summary', { class: 'btn plain', 'data-test': test }, title), children);
}
