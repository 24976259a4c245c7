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

/** @param {{me: Me, changed: () => void}} props */
export function StaffNews({ me, changed }) {
  const [gone, setGone] = useState(seen());
  const action = useAction();
  const list = me.staff_changes.filter(c => c.waits || !gone.includes(c.id));
  if (!list.length) return null;
  const zone = me.practice.zone;
  /** @param {() => Promise<unknown>} job */
  const decide = job =>
    action.run(async () => {
      await confirming(job);
      changed();
    });
  const hide = (/** @type {Change} */ c) => {
    const all = [...seen().slice(-50), c.id];
    localStorage.setItem(SEEN, all.join(' '));
    setGone(all);
  };
  return h(
    'section',
    { class: 'card', 'data-test': 'staff-news', 'aria-label': tr('Changes of staff') },
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
    list.map(c =>
      h(
        'div',
        { key: c.id },
        h(
          'p',
          null,
          h('b', null, c.name),
          c.kind === 'passkey'
            ? tr(' {c} on {date}. ', { c: did(c), date: moment(c.at, zone) })
            : tr(' {c} by {by} on {date}. ', {
                c: did(c),
                by: c.by || tr('the command line of the server'),
                date: moment(c.at, zone),
              }),
          c.waits
            ? c.may
              ? tr(
                  'It holds from {date}, or at once when you confirm it. If you do not know about it, refuse it and ask.',
                  { date: moment(c.from, zone) },
                )
              : tr('It holds from {date}, or at once when somebody else of the practice confirms it.', {
                  date: moment(c.from, zone),
                })
            : tr('If nobody can explain it to you, tell your colleagues: it can be ended under Staff.'),
        ),
        h(
          'div',
          { class: 'buttons' },
          c.may &&
            h(
              'button',
              {
                type: 'button',
                class: 'primary',
                disabled: action.busy,
                'data-test': 'staff-confirm',
                onClick: () => decide(() => api.confirmStaffChange(c.id)),
              },
              tr('Confirm: it is meant'),
            ),
          c.waits &&
            h(
              'button',
              { type: 'button', disabled: action.busy, onClick: () => decide(() => api.refuseStaffChange(c.id)) },
              c.may ? tr('Refuse') : tr('Take back'),
            ),
          !c.waits && h('button', { type: 'button', onClick: () => hide(c) }, tr('Seen')),
        ),
      ),
    ),
  );
}
