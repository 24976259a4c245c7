// What becomes of a family's record: an archive to hand over, the record handed
// to a wearer who came of age, and its erasure.

import * as api from '../api.js';
import { Field, h, useAction, useState } from '../dom.js';
import { confirming } from '../passkeys.js';
import { link } from '../route.js';
import { Download } from './download.js';

/** @import { Family, Me } from '../api.js' */

/** @param {{me: Me, family: Family, reload: () => void}} props */
export function Record({ me, family, reload }) {
  if (me.person.role !== 'clinician') return null;
  const teens = family.people.filter(p => p.role === 'teen');
  return h(
    'section',
    { class: 'card', 'data-test': 'record' },
    h('h2', null, 'This record'),
    h(
      'p',
      null,
      'Everything stored about this family in one archive: to read, as tables, and for programs. Hand it to nobody but the family.',
    ),
    h(Download, { url: api.archiveUrl(family.id), file: 'record.zip', label: 'Archive of this family' }),
    teens.map(teen => h(OfAge, { key: teen.id, family, teen, reload })),
    h(
      'p',
      { class: 'quiet' },
      'If the family asks to be erased, an administrator does it, with this id: ',
      h('code', null, family.id),
    ),
  );
}

/** @param {{family: Family, teen: Family['people'][number], reload: () => void}} props */
function OfAge({ family, teen, reload }) {
  const [open, setOpen] = useState(false);
  const [keep, setKeep] = useState(/** @type {string[]} */ ([]));
  const action = useAction();
  const others = family.people.filter(p => p.id !== teen.id);
  if (!open)
    return h('p', null, h('button', { type: 'button', onClick: () => setOpen(true) }, `${teen.name} is of age…`));
  const shared = family.wearers.length > 1;
  const handOver = async () => {
    const made = await confirming(() => api.comeOfAge(family.id, teen.id, keep));
    if (made.id === family.id) reload();
    else location.hash = link('family', made.id);
  };
  return h(
    'form',
    {
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        action.run(handOver);
      },
    },
    h(
      'p',
      null,
      shared
        ? `From now on ${teen.name} is a family of their own: their log, plans, visits and devices go there, and the others keep theirs. Nobody else has access to it, unless ${teen.name} wants them to; they then need a new invitation and a browser of its own for it:`
        : `From now on the record belongs to ${teen.name}. Everybody else loses access at once, unless ${teen.name} wants them to keep it:`,
    ),
    others.map(p =>
      h(
        'label',
        { class: 'switch', key: p.id },
        h('input', {
          type: 'checkbox',
          checked: keep.includes(p.id),
          onChange: () => setKeep(keep.includes(p.id) ? keep.filter(k => k !== p.id) : [...keep, p.id]),
        }),
        p.name,
      ),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(
      'p',
      { class: 'buttons' },
      h('button', { class: 'danger', disabled: action.busy }, 'Hand the record over'),
      h('button', { type: 'button', onClick: () => setOpen(false) }, 'Not now'),
    ),
  );
}

/**
 * Erasure, for an administrator, who is given the id and sees no name.
 * @param {{chosen: string, done: () => void}} props chosen: the id to begin with
 */
export function Erase({ chosen, done }) {
  const [id, setId] = useState(chosen);
  const [word, setWord] = useState('');
  const [erased, setErased] = useState(false);
  const action = useAction();
  return h(
    'form',
    {
      class: 'card',
      'data-test': 'erase',
      onSubmit: (/** @type {Event} */ e) => {
        e.preventDefault();
        action.run(async () => {
          await confirming(() => api.eraseFamily(id.trim()));
          setErased(true);
          setId('');
          setWord('');
          done();
        });
      },
    },
    h('h2', null, 'Erase a family'),
    h(
      'p',
      null,
      'Everything about the family goes, for good: people, devices, log, plans, visits and alerts. Nothing brings it back, and backups made before still hold it until they are removed. If the family wants its record, a clinician makes the archive first and finds the id on the family’s page.',
    ),
    h(
      Field,
      { label: 'Id of the family' },
      h('input', {
        type: 'text',
        required: true,
        autocomplete: 'off',
        value: id,
        onInput: (/** @type {Event} */ e) => {
          setId(/** @type {HTMLInputElement} */ (e.target).value);
          setErased(false);
        },
      }),
    ),
    h(
      Field,
      { label: 'Type “erase” when the family has asked for it, or its time of keeping is over' },
      h('input', {
        type: 'text',
        required: true,
        autocomplete: 'off',
        'data-test': 'erase-word',
        value: word,
        onInput: (/** @type {Event} */ e) => setWord(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    erased && h('p', { role: 'status' }, 'Erased.'),
    h('button', { class: 'danger', disabled: action.busy || word.trim().toLowerCase() !== 'erase' }, 'Erase for good'),
  );
}
