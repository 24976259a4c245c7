// How long records are kept, whose time is over, and their erasure, for an
// administrator, who sees ids and no names. Nothing is erased by itself.

import * as api from '../api.js';
import { HeadRow, Trouble, h, useAction, useEffect, useLoad, useState } from '../dom.js';
import { day, plural } from '../format.js';
import { confirming } from '../passkeys.js';
import { NumberField } from './number-field.js';
import { Erase } from './record.js';
import { tr } from '../text.js';

/** @import { Retention } from '../api.js' */

/** @param {{me: import('../api.js').Me}} props */
export function Keeping({ me }) {
  const got = useLoad(api.retention, 'retention');
  const [chosen, setChosen] = useState('');
  return [
    h(
      'section',
      { class: 'card', key: 'keeping', 'data-test': 'keeping' },
      h('h2', null, tr('How long records are kept')),
      h(
        'p',
        null,
        tr(
          'Local law says how long, and records of minors are commonly kept longest: so everything is kept until you set this, and nothing is ever erased by itself.',
        ),
      ),
      h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
      got.data && h(Rule, { rule: got.data, reload: got.reload }),
      got.data && got.data.years > 0 && h(Due, { due: got.data.due, choose: setChosen }),
      got.data && h(Rest, { kept: got.data, reload: got.reload }),
    ),
    (got.data || got.error) && h(Erase, { key: `erase ${chosen}`, chosen, zone: me.practice.zone, done: got.reload }),
  ];
}

/** @param {{rule: Retention, reload: () => void}} props */
function Rule({ rule, reload }) {
  const [set, setSet] = useState(ruleOf(rule));
  const action = useAction();
  useEffect(() => setSet(ruleOf(rule)), [rule]);
  /** @param {keyof typeof set} key @param {string} label @param {string} hint @param {number} max */
  const number = (key, label, hint, max) =>
    h(NumberField, {
      quantity: {
        label,
        unit: 'years',
        digits: 0,
        step: 1,
        whole: true,
        min: 0,
        max,
        usual: [0, max],
        source: tr('the practice’s own choice'),
      },
      label,
      hint,
      name: `keep-${key}`,
      required: true,
      value: set[key],
      set: n => n !== null && setSet({ ...set, [key]: n }),
    });
  const same = JSON.stringify(set) === JSON.stringify(ruleOf(rule));
  return h(
    'form',
    {
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        action.run(async () => {
          await confirming(() => api.saveRetention(set));
          reload();
        });
      },
    },
    h(
      'div',
      { class: 'grid level' },
      number('years', tr('A family: years after the last activity'), tr('0: for good'), 100),
      number('until_age', tr('And until the youngest wearer is, in years'), tr('0: whatever the age'), 40),
      number('audit_years', tr('A line of the audit log: years'), tr('0: for good'), 100),
      number('held_years', tr('An entry of a newer app, kept unread: years'), tr('0: for good'), 100),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h('button', { 'data-test': 'keep-save', disabled: action.busy || same }, tr('Save')),
  );
}

/** @param {Retention} r */
const ruleOf = r => ({ years: r.years, until_age: r.until_age, audit_years: r.audit_years, held_years: r.held_years });

/** What is no family's: old lines of the audit log, and entries that nobody could read. @param {{kept: Retention, reload: () => void}} props */
function Rest({ kept, reload }) {
  const lines = plural(kept.audit_due, 'line', 'lines');
  const due = plural(kept.held_due, 'entry', 'entries');
  return [
    kept.audit_due > 0 &&
      h(Forget, {
        key: 'audit',
        name: 'cut-audit',
        reload,
        job: api.cutAudit,
        text: tr('The time of {lines} at the beginning of the audit log is over.', { lines }),
        first: tr('Cut them off…'),
        sure: tr('Yes, cut {lines} off for good', { lines }),
      }),
    kept.held > 0 &&
      h(
        'p',
        { key: 'held', class: 'quiet' },
        tr('Kept unread until this server is updated: {entries} of a newer app.', {
          entries: plural(kept.held, 'entry', 'entries'),
        }),
      ),
    kept.held_due > 0 &&
      h(Forget, {
        key: 'forget',
        name: 'forget-held',
        reload,
        job: api.forgetHeld,
        text: tr('Of these, the time of {held_due} is over. An update of the server may still make them readable.', {
          held_due: kept.held_due,
        }),
        first: tr('Forget them…'),
        sure: tr('Yes, forget {due} for good', { due }),
      }),
  ];
}

/** Asks once more before something goes for good. @param {{text: string, first: string, sure: string, name: string, job: () => Promise<Retention>, reload: () => void}} props */
function Forget({ text, first, sure, name, job, reload }) {
  const [asked, setAsked] = useState(false);
  const action = useAction();
  return h(
    'div',
    null,
    h('p', null, text),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(
      'p',
      { class: 'buttons' },
      asked
        ? [
            h(
              'button',
              {
                key: 'yes',
                type: 'button',
                class: 'danger',
                'data-test': `${name}-sure`,
                disabled: action.busy,
                onClick: () =>
                  action.run(async () => {
                    await confirming(job);
                    setAsked(false);
                    reload();
                  }),
              },
              sure,
            ),
            h('button', { key: 'no', type: 'button', onClick: () => setAsked(false) }, tr('Not now')),
          ]
        : h('button', { type: 'button', 'data-test': name, onClick: () => setAsked(true) }, first),
    ),
  );
}

/** @param {{due: Retention['due'], choose: (id: string) => void}} props */
function Due({ due, choose }) {
  if (!due.length) return h('p', { class: 'quiet' }, tr('Nobody’s time is over.'));
  return h(
    'div',
    { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('Time of keeping over') },
    h(
      'table',
      { class: 'list stack' },
      h(HeadRow, { cells: [tr('Family'), tr('Last activity'), tr('Kept until'), ''] }),
      h(
        'tbody',
        null,
        due.map(f =>
          h(
            'tr',
            { key: f.family },
            h('th', { scope: 'row' }, h('code', null, f.family)),
            h('td', { class: 'date', 'data-is': tr('Last activity') }, day(f.last)),
            h('td', { class: 'date', 'data-is': tr('Kept until') }, day(f.until)),
            h('td', null, h('button', { type: 'button', onClick: () => choose(f.family) }, tr('Choose for erasure'))),
          ),
        ),
      ),
    ),
  );
}
