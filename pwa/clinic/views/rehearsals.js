// Rehearsals of backups: how each went, and a form to note one.

import * as api from '../api.js';
import { Field, h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { day } from '../format.js';
import { point, tr } from '../text.js';

/** @import { Me } from '../api.js' */

/** @param {{me: Me, changed: () => void}} props changed: a result was noted, by which other pages change */
export function Rehearsals({ me, changed }) {
  const got = useLoad(api.rehearsals, 'rehearsals');
  const list = got.data?.rehearsals ?? [];
  return h(
    'section',
    { class: 'card', 'data-test': 'rehearsals' },
    h('h2', null, tr('Backups that were tried')),
    h(
      'p',
      { class: 'quiet' },
      tr(
        'Every quarter, on any machine: put a backup into a folder of its own with restore -rehearsal, serve it with serve -rehearsal, sign in and look at a family and an alert. Nothing leaves it. Then note here how it went.',
      ),
    ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && !list.length && h('p', { class: 'overdue' }, tr('None was tried yet.')),
    h(
      'ul',
      { class: 'rows' },
      list.map(r =>
        h(
          'li',
          { key: r.at, 'data-test': 'rehearsal' },
          tr('{date}: the backup of {date2} ', { date: day(r.at.slice(0, 10)), date2: day(r.backup) }),
          r.worked ? tr('worked') : h('strong', { class: 'overdue' }, tr('did not work')),
          tr(', noted by {by}', { by: r.by }),
          r.note && `${point(': ')}${r.note}`,
        ),
      ),
    ),
    got.data &&
      h(Note, {
        me,
        done: () => {
          got.reload();
          changed();
        },
      }),
  );
}

/** @param {{me: Me, done: () => void}} props */
function Note({ me, done }) {
  const [backup, setBackup] = useState(me.today);
  const [worked, setWorked] = useState('');
  const [note, setNote] = useState('');
  const action = useAction();
  const fault = (/** @type {string} */ field) => (action.error?.field === field ? action.error.message : undefined);
  const save = (/** @type {Event} */ e) => {
    e.preventDefault();
    action.run(async () => {
      await api.noteRehearsal({ backup, worked: worked === 'yes', note });
      setWorked('');
      setNote('');
      done();
    });
  };
  return h(
    'form',
    { onSubmit: save },
    h(
      'div',
      { class: 'grid' },
      h(
        Field,
        { label: tr('The backup was made on'), error: fault('backup') },
        h('input', {
          type: 'date',
          required: true,
          max: me.today,
          value: backup,
          onInput: (/** @type {Event} */ e) => setBackup(/** @type {HTMLInputElement} */ (e.target).value),
        }),
      ),
      h(
        Field,
        { label: tr('It') },
        h(
          'select',
          {
            required: true,
            value: worked,
            'data-test': 'rehearsal-worked',
            onChange: (/** @type {Event} */ e) => setWorked(/** @type {HTMLSelectElement} */ (e.target).value),
          },
          h('option', { value: '' }, tr('Choose')),
          h('option', { value: 'yes' }, tr('worked')),
          h('option', { value: 'no' }, tr('did not work')),
        ),
      ),
      h(
        Field,
        { label: tr('What was looked at, or went wrong'), error: fault('note') },
        h('input', {
          type: 'text',
          maxLength: 500,
          value: note,
          onInput: (/** @type {Event} */ e) => setNote(/** @type {HTMLInputElement} */ (e.target).value),
        }),
      ),
    ),
    action.error && !action.error.field && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h('p', { class: 'buttons' }, h('button', { disabled: action.busy, 'data-test': 'rehearsal-note' }, tr('Note it'))),
  );
}
