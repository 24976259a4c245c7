// The alert table, open for anyone in the practice to read: what raises an
// alert, what each side is told, and on what basis.

import * as api from '../api.js';
import { h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { moment, plural, title } from '../format.js';
import { confirming } from '../passkeys.js';
import { link } from '../route.js';
import { Quoted } from './quoted.js';
import { ENGLISH, tr } from '../text.js';

/** @import { Me } from '../api.js' */

const LEVELS = ['', 'emergency', 'urgent', 'routine', 'note'];

/** The page of the alert rules. @param {{me: Me}} props */
export function Rules({ me }) {
  const got = useLoad(api.rules, 'rules');
  const [level, setLevel] = useState('');
  const shown = (got.data?.rules ?? []).filter(r => !level || r.level === level);
  return h(
    'div',
    { class: 'rules' },
    h('h1', null, tr('Alert rules')),
    h(
      'p',
      null,
      tr(
        'A rule may raise a concern; none lowers it. A question left open counts as “could not be assessed”, never as clear. The worst sign decides. ',
      ),
      h('a', { href: link('safety') }, tr('What could go wrong, and what stops it')),
      '. ',
      h('a', { href: '/notices' }, tr('Licences of what this is built with')),
    ),
    got.data && h(Approved, { me, of: got.data, reload: got.reload }),
    me.person.role !== 'administrator' && h(OldPhones, { me }),
    h(
      'label',
      { class: 'no-print' },
      tr('Level '),
      h(
        'select',
        {
          value: level,
          onChange: (/** @type {Event} */ e) => setLevel(/** @type {HTMLSelectElement} */ (e.target).value),
        },
        LEVELS.map(l => h('option', { value: l }, l ? title(l) : tr('All'))),
      ),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    shown.map(r => h(Rule, { key: r.id, rule: r })),
  );
}

/**
 * Who stands by the table in force.
 * @param {{me: Me, of: import('../api.js').RuleList, reload: () => void}} props
 */
function Approved({ me, of, reload }) {
  const action = useAction();
  const { version, by, at } = of.approved;
  const now = version === of.version;
  return h(
    'section',
    { class: `card no-print${now ? '' : ' warn-box'}`, 'data-test': 'rules-approved' },
    h(
      'p',
      null,
      now
        ? tr('Table {version} was approved by {by}, {date}.', { version, by, date: moment(at, me.practice.zone) })
        : tr(
            'No clinician has approved table {version} yet.{more} Do its words fit your local law, emergency services and numbers?',
            {
              version: of.version,
              more: version ? tr(' The last was table {version}, by {by}.', { version, by }) : '',
            },
          ),
    ),
    !now &&
      me.person.role === 'clinician' &&
      h(
        'button',
        {
          type: 'button',
          'data-test': 'approve-rules',
          disabled: action.busy,
          onClick: () => action.run(() => confirming(api.approveRules).then(reload)),
        },
        tr('I have read table {version} and approve it', { version: of.version }),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}

/**
 * Whose phone still advises by an older table, and a way to press this one.
 * @param {{me: Me}} props
 */
function OldPhones({ me }) {
  const got = useLoad(api.oldPhones, 'old-phones');
  const action = useAction();
  const old = got.data;
  if (!old || (!old.phones.length && !old.pressed)) return null;
  const pressed = old.pressed >= old.version;
  return h(
    'details',
    { class: 'card no-print', 'data-test': 'old-phones', open: pressed && old.phones.length > 0 },
    h(
      'summary',
      null,
      tr('{phones} not said yet that they advise by table {version}', {
        phones: plural(old.phones.length, 'phone has', 'phones have'),
        version: String(old.version),
      }),
      pressed && tr('; it is pressed'),
    ),
    h(
      'p',
      null,
      tr(
        'A phone takes the new table when the app is opened, and says so at its next look for news. Until then it advises by its own; the practice is told by this one, whichever is worse. Telephone whoever cannot wait.',
      ),
    ),
    h(
      'ul',
      null,
      old.phones.map(p =>
        h(
          'li',
          { key: `${p.family}/${p.device}/${p.last_seen}` },
          h('a', { href: link('family', p.family) }, p.name),
          tr(': {person}, {device}, {more}, last heard of {date}', {
            person: p.person,
            device: p.device,
            more: p.rules ? tr('table {rules}', { rules: p.rules }) : tr('table not said'),
            date: moment(p.last_seen, me.practice.zone),
          }),
        ),
      ),
    ),
    me.person.role === 'clinician' &&
      !pressed && [
        h(
          'p',
          null,
          tr(
            'Press it when an older table could hurt somebody: an app that has one then says on every screen that its advice is old, and to phone you before going by it.',
          ),
        ),
        h(
          'button',
          {
            type: 'button',
            class: 'primary',
            'data-test': 'press-rules',
            disabled: action.busy,
            onClick: () => action.run(() => confirming(api.pressRules).then(got.reload)),
          },
          tr('Press table {version}', { version: old.version }),
        ),
      ],
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
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
      h('dt', null, tr('Raised by')),
      h('dd', ENGLISH, rule.when),
      h('dt', null, tr('The family reads')),
      h('dd', null, h(Quoted, { of: rule.family })),
      h('dt', null, tr('Basis')),
      h('dd', { class: 'quiet', ...ENGLISH }, rule.basis),
    ),
    h(
      'details',
      { class: 'no-print' },
      h('summary', null, tr('As the program has it')),
      h('p', { class: 'quiet', ...ENGLISH }, h('code', null, rule.exact)),
      h('p', { class: 'quiet' }, tr('Id: '), h('code', ENGLISH, rule.id)),
    ),
  );
