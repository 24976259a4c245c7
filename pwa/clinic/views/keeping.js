// How long records are kept, whose time is over, and their erasure, for an
// administrator, who sees ids and no names. Nothing is erased by itself.

import * as api from '../api.js';
import { Field, h, Trouble, useAction, useEffect, useLoad, useState } from '../dom.js';
import { day } from '../format.js';
import { confirming } from '../passkeys.js';
import { Erase } from './record.js';

/** @import { Retention } from '../api.js' */

export function Keeping() {
  const got = useLoad(api.retention, 'retention');
  const [chosen, setChosen] = useState('');
  return [
    h('section', { class: 'card', key: 'keeping', 'data-test': 'keeping' }, h('h2', null, 'How long records are kept'),
      h('p', null, 'Local law says how long, and records of minors are commonly kept longest: so everything is kept until you set this, and nothing is ever erased by itself.'),
      h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
      got.data && h(Rule, { rule: got.data, reload: got.reload }),
      got.data && got.data.years > 0 && h(Due, { due: got.data.due, choose: setChosen })),
    h(Erase, { key: `erase ${chosen}`, chosen, done: got.reload }),
  ];
}

/** @param {{rule: Retention, reload: () => void}} props */
function Rule({ rule, reload }) {
  const [years, setYears] = useState(rule.years);
  const [age, setAge] = useState(rule.until_age);
  const action = useAction();
  useEffect(() => { setYears(rule.years); setAge(rule.until_age); }, [rule]);
  /** @param {Event} e */
  const value = (e) => Number(/** @type {HTMLInputElement} */ (e.target).value);
  return h('form', { onSubmit: (/** @type {Event} */ e) => { e.preventDefault(); action.run(async () => { await confirming(() => api.saveRetention({ years, until_age: age })); reload(); }); } },
    h('div', { class: 'grid' },
      h(Field, { label: 'Years after the last activity', hint: '0: for good' }, h('input', { type: 'number', min: 0, max: 100, required: true, value: years, onInput: (/** @type {Event} */ e) => setYears(value(e)) })),
      h(Field, { label: 'And until the youngest wearer is, in years', hint: '0: whatever the age' }, h('input', { type: 'number', min: 0, max: 40, required: true, value: age, onInput: (/** @type {Event} */ e) => setAge(value(e)) }))),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h('button', { disabled: action.busy || years === rule.years && age === rule.until_age }, 'Save'));
}

/** @param {{due: Retention['due'], choose: (id: string) => void}} props */
function Due({ due, choose }) {
  if (!due.length) return h('p', { class: 'quiet' }, 'Nobody’s time is over.');
  return h('div', { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': 'Time of keeping over' }, h('table', { class: 'list' },
    h('thead', null, h('tr', null, ['Family', 'Last activity', 'Kept until', ''].map((t) => h('th', { scope: 'col' }, t)))),
    h('tbody', null, due.map((f) => h('tr', { key: f.family },
      h('th', { scope: 'row' }, h('code', null, f.family)), h('td', { class: 'date' }, day(f.last)), h('td', { class: 'date' }, day(f.until)),
      h('td', null, h('button', { type: 'button', onClick: () => choose(f.family) }, 'Choose for erasure')))))));
}
