// The alert table, open for anyone in the practice to read: what raises an
// alert, what each side is told, and on what basis.

import * as api from '../api.js';
import { h, Trouble, useLoad, useState } from '../dom.js';
import { title } from '../format.js';
import { link } from '../route.js';

const LEVELS = ['', 'emergency', 'urgent', 'routine', 'note'];

/** The page of the alert rules. */
export function Rules() {
  const got = useLoad(api.rules, 'rules');
  const [level, setLevel] = useState('');
  const shown = (got.data?.rules ?? []).filter(r => !level || r.level === level);
  return h(
    'div',
    { class: 'rules' },
    h('h1', null, 'Alert rules'),
    h(
      'p',
      null,
      'A rule may raise a concern; none lowers it. A question left open counts as “could not be assessed”, never as clear. The worst sign decides. ',
      h('a', { href: link('safety') }, 'What could go wrong, and what stops it'),
      '. ',
      h('a', { href: '/notices' }, 'Licences of what this is built with'),
    ),
    h(
      'label',
      { class: 'no-print' },
      'Level ',
      h(
        'select',
        {
          value: level,
          onChange: (/** @type {Event} */ e) => setLevel(/** @type {HTMLSelectElement} */ (e.target).value),
        },
        LEVELS.map(l => h('option', { value: l }, l ? title(l) : 'All')),
      ),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    shown.map(r => h(Rule, { key: r.id, rule: r })),
  );
}

/** @param {{rule: import('../api.js').Rule}} props */
const Rule = ({ rule }) =>
  h(
    'article',
    { class: 'card rule', 'data-test': 'rule-row' },
    h('h2', null, rule.title, ' ', h('span', { class: `tag ${rule.level}` }, title(rule.level))),
    h(
      'dl',
      null,
      h('dt', null, 'Raised by'),
      h('dd', null, rule.when),
      h('dt', null, 'The family reads'),
      h('dd', null, rule.family),
      h('dt', null, 'Basis'),
      h('dd', { class: 'quiet' }, rule.basis),
    ),
    h(
      'details',
      { class: 'no-print' },
      h('summary', null, 'As the program has it'),
      h('p', { class: 'quiet' }, h('code', null, rule.exact)),
      h('p', { class: 'quiet' }, 'Id: ', h('code', null, rule.id)),
    ),
  );
