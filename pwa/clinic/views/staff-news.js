// Who may come to read wearers, told to everybody of the practice: what waits for
// a second person, and what came to hold in the last week until it was seen here.

import * as api from '../api.js';
import { h, useAction, useState } from '../dom.js';
import { moment, title } from '../format.js';
import { confirming } from '../passkeys.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @typedef {Me['staff_changes'][number]} Change */

const SEEN = 'nightkeep.staff-changes-seen';

/** @returns {string[]} ids */
const seen = () => (localStorage.getItem(SEEN) ?? '').split(' ');

/** What was done, in words. @param {Change} c */
const did = c =>
  ({
    added: tr('was added to the staff as {role}', { role: title(c.role).toLowerCase() }),
    linked: tr('was given a sign-in link as {role}', { role: title(c.role).toLowerCase() }),
    role: tr('was given the role {role}', { role: title(c.role).toLowerCase() }),
    passkey: tr('made a passkey with a sign-in link'),
    mail: tr('was given another mail address'),
  })[c.kind];

/** What was done, to whom, by whom and when. @param {{of: Change, zone: string}} props */
const What = ({ of, zone }) => [
  h('b', null, of.name),
  of.kind === 'passkey'
    ? tr(' {c} on {date}. ', { c: did(of), date: moment(of.at, zone) })
    : tr(' {c} by {by} on {date}. ', {
        c: did(of),
        by: of.by || tr('the command line of the server'),
        date: moment(of.at, zone),
      }),
];

/** @param {{me: Me, changed: () => void}} props */
export function StaffNews({ me, changed }) {
  const [gone, setGone] = useState(seen());
  const waits = me.staff_changes.filter(c => c.waits);
  const past = me.staff_changes.filter(c => !c.waits && !gone.includes(c.id));
  const see = () => {
    const all = [...gone, ...past.map(c => c.id)].slice(-200);
    localStorage.setItem(SEEN, all.join(' '));
    setGone(all);
  };
  return [
    waits.length > 0 &&
      h(
        'section',
        { class: 'card no-print', 'data-test': 'staff-news', 'aria-label': tr('Changes of staff'), key: 'waits' },
        waits.map(of => h(Waiting, { key: of.id, of, zone: me.practice.zone, changed })),
      ),
    past.length > 0 &&
      h(
        'details',
        { class: 'card no-print', 'data-test': 'staff-past', key: 'past' },
        h('summary', null, tr('Sign-ins to look at: {n}', { n: past.length })),
        h(
          'ul',
          { class: 'rows' },
          past.map(of => h('li', { key: of.id }, h(What, { of, zone: me.practice.zone }))),
        ),
        h('p', null, tr('If nobody can explain it to you, tell your colleagues: it can be ended under Staff.')),
        h(
          'div',
          { class: 'buttons' },
          h('button', { type: 'button', 'data-test': 'staff-seen', onClick: see }, tr('All seen')),
        ),
      ),
  ];
}

/** What a second person confirms or refuses. @param {{of: Change, zone: string, changed: () => void}} props */
function Waiting({ of, zone, changed }) {
  const action = useAction();
  /** @param {() => Promise<unknown>} job */
  const decide = job =>
    action.run(async () => {
      await confirming(job);
      changed();
    });
  const date = moment(of.from, zone);
  return h(
    'div',
    null,
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
    h(
      'p',
      null,
      h(What, { of, zone }),
      of.may
        ? tr('It holds from {date}, or at once when you confirm it. If you do not know about it, refuse it and ask.', {
            date,
          })
        : tr('It holds from {date}, or at once when somebody else of the practice confirms it.', { date }),
    ),
    h(
      'div',
      { class: 'buttons' },
      of.may &&
        h(
          'button',
          {
            type: 'button',
            class: 'primary',
            disabled: action.busy,
            'data-test': 'staff-confirm',
            onClick: () => decide(() => api.confirmStaffChange(of.id)),
          },
          tr('Confirm: it is meant'),
        ),
      h(
        'button',
        { type: 'button', disabled: action.busy, onClick: () => decide(() => api.refuseStaffChange(of.id)) },
        of.may ? tr('Refuse') : tr('Take back'),
      ),
    ),
  );
}
