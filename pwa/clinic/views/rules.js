// The alert table, open for anyone in the practice to read: what raises an
// alert, what each side is told, and on what basis.

import * as api from '../api.js';
import { h, Trouble, useLoad, useState } from '../dom.js';
import { LEVEL, title } from '../format.js';

const LEVELS = ['', 'emergency', 'urgent', 'routine', 'note'];

/** The page of the alert rules. */
export function Rules() {
  const got = useLoad(api.rules, 'rules');
  const [level, setLevel] = useState('');
  const shown = (got.data?.rules ?? []).filter((r) => !level || r.level === level);
  return h('div', { class: 'rules' },
    h('h1', null, 'Alert rules'),
    h('p', null, 'A rule may raise a concern; none lowers it. A question left open counts as “could not be assessed”, never as clear. The worst sign decides.'),
    h('label', { class: 'no-print' }, 'Level ', h('select', { value: level, onChange: (/** @type {Event} */ e) => setLevel(/** @type {HTMLSelectElement} */ (e.target).value) },
      LEVELS.map((l) => h('option', { value: l }, l ? title(l) : 'All')))),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && h('div', { class: 'scroll' }, h('table', { class: 'list rules-table' },
      h('thead', null, h('tr', null, ['Rule', 'Level', 'When', 'The family is told', 'The clinic is told', 'Basis'].map((t) => h('th', { scope: 'col' }, t)))),
      h('tbody', null, shown.map((r) => h('tr', { key: r.id, 'data-test': 'rule-row' },
        h('th', { scope: 'row' }, r.title, h('br', null), h('span', { class: 'code' }, r.id)),
        h('td', null, h('span', { class: `tag ${r.level}` }, LEVEL[/** @type {keyof typeof LEVEL} */ (r.level)]?.split(':')[0] ?? r.level)),
        h('td', null, r.when), h('td', null, r.family), h('td', null, r.clinic), h('td', { class: 'quiet' }, r.basis)))))));
}
