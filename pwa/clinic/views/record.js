// What becomes of a family's record: an archive to hand over, the record handed
// to a wearer who came of age, and its erasure.

import * as api from '../api.js';
import { Field, h, useAction, useLoad, useState } from '../dom.js';
import { moment, plural } from '../format.js';
import { confirming } from '../passkeys.js';
import { link } from '../route.js';
import { Download } from './download.js';
import { point, tr } from '../text.js';

/** @import { Erasure, Family, LeavingRow, Me } from '../api.js' */

/** @param {{me: Me, family: Family, reload: () => void}} props */
export function Record({ me, family, reload }) {
  if (me.person.role !== 'clinician') return null;
  const teens = family.people.filter(p => p.role === 'teen');
  return h(
    'section',
    { class: 'card', 'data-test': 'record' },
    h('h2', null, tr('This record')),
    h(
      'p',
      null,
      tr(
        'Everything stored about this family in one archive: to read, as tables, and for programs. Hand it to nobody but the family.',
      ),
    ),
    h(Download, { url: api.archiveUrl(family.id), file: 'record.zip', label: tr('Archive of this family') }),
    teens.map(teen => h(OfAge, { key: teen.id, family, teen, zone: me.practice.zone, reload })),
    h(
      'p',
      { class: 'quiet' },
      tr('If the family asks to be erased, an administrator does it, with this id: '),
      h('code', null, family.id),
    ),
  );
}

/** @param {{family: Family, teen: Family['people'][number], zone: string, reload: () => void}} props */
function OfAge({ family, teen, zone, reload }) {
  const [open, setOpen] = useState(false);
  const [keep, setKeep] = useState(/** @type {string[]} */ ([]));
  const action = useAction();
  const others = family.people.filter(p => p.id !== teen.id);
  const devices = teen.devices.filter(d => !d.revoked);
  const [goOn, setGoOn] = useState(/** @type {string[]} */ ([]));
  if (!open)
    return h(
      'p',
      null,
      h('button', { type: 'button', onClick: () => setOpen(true) }, tr('{name} is of age…', { name: teen.name })),
    );
  const shared = family.wearers.length > 1;
  const handOver = async () => {
    const made = await confirming(() => api.comeOfAge(family.id, teen.id, keep, goOn));
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
        ? tr(
            'From now on {name} is a family of their own: their log, plans, visits and devices go there, and the others keep theirs. Nobody else has access to it, unless {name2} wants them to; they then need a new invitation and a browser of its own for it:',
            { name: teen.name, name2: teen.name },
          )
        : tr(
            'From now on the record belongs to {name}. Everybody else loses access at once, unless {name2} wants them to keep it:',
            { name: teen.name, name2: teen.name },
          ),
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
    devices.length > 0 &&
      h(
        'p',
        null,
        tr('Which of these devices does {name} have with them? The others are shut out.', { name: teen.name }),
      ),
    devices.map(d =>
      h(
        'label',
        { class: 'switch', key: d.id },
        h('input', {
          type: 'checkbox',
          checked: goOn.includes(d.id),
          'data-test': 'go-on',
          onChange: () => setGoOn(goOn.includes(d.id) ? goOn.filter(k => k !== d.id) : [...goOn, d.id]),
        }),
        tr('{device}, last heard {date}', { device: d.name, date: moment(d.last_seen, zone) }),
      ),
    ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(
      'p',
      { class: 'buttons' },
      h('button', { class: 'danger', disabled: action.busy }, tr('Hand the record over')),
      h('button', { type: 'button', onClick: () => setOpen(false) }, tr('Not now')),
    ),
  );
}

/**
 * Erasure, for an administrator, who is given the id, and is told whom and what it
 * would take before anything goes.
 * @param {{chosen: string, zone: string, done: () => void}} props chosen: the id to begin with
 */
export function Erase({ chosen, zone, done }) {
  const [id, setId] = useState(chosen);
  const [what, setWhat] = useState(/** @type {Erasure|undefined} */ (undefined));
  const [word, setWord] = useState('');
  const [other, setOther] = useState(false); // another word was sent
  const gone = useLoad(api.leaving, 'leaving');
  const action = useAction();
  const look = async () => {
    if (!id.trim()) throw new Error(tr('Type the id of the family.'));
    setWhat(await api.erasureOf(id.trim()));
  };
  const erase = async () => {
    await confirming(() => api.eraseFamily(what?.family ?? ''));
    setWhat(undefined);
    setId('');
    setWord('');
    gone.reload();
    done();
  };
  return h(
    'section',
    { class: 'card', 'data-test': 'erase' },
    h('h2', null, tr('Erase a family')),
    h(
      'p',
      null,
      tr(
        'Everything about the family goes: people, devices, log, plans, visits and alerts. From that moment nothing of it is shown, reminded of, told or taken in, and its phones are shut out. For 24 hours an administrator can put it back here; then nothing brings it back, and backups made before still hold it until they are removed. If the family wants its record, a clinician makes the archive first and finds the id on the family’s page.',
      ),
    ),
    h(
      'form',
      {
        onSubmit: (/** @type {Event} */ e) => {
          e.preventDefault();
          const wrong = !!what && word.trim().toLowerCase() !== 'erase';
          setOther(wrong);
          if (!wrong) action.run(what ? erase : look);
        },
      },
      h(
        Field,
        { label: tr('Id of the family') },
        h('input', {
          type: 'text',
          required: true,
          maxLength: 64,
          autocomplete: 'off',
          'data-test': 'erase-id',
          value: id,
          onInput: (/** @type {Event} */ e) => {
            setId(/** @type {HTMLInputElement} */ (e.target).value);
            setWhat(undefined);
          },
        }),
      ),
      what && h(Whom, { what }),
      what &&
        h(
          Field,
          {
            label: tr('Type “erase” when the family has asked for it, or its time of keeping is over'),
            error: other ? tr('Nothing was erased: type “erase”.') : undefined,
          },
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
      what
        ? h(
            'button',
            {
              class: 'danger',
              'data-test': 'erase-now',
              disabled: action.busy,
            },
            tr('Erase {name}', { name: what.name }),
          )
        : h('button', { 'data-test': 'erase-look', disabled: action.busy || !id.trim() }, tr('Whom would this take?')),
    ),
    h(Gone, { rows: gone.data?.leaving ?? [], zone, again: gone.reload, done }),
  );
}

/** Who goes, and what. @param {{what: Erasure}} props */
function Whom({ what }) {
  return h(
    'div',
    { class: 'warn-box', role: 'status', 'data-test': 'erase-whom' },
    h('p', null, h('b', null, what.name), `${point(': ')}${what.wearers.join(point(', ')) || tr('no wearer')}.`),
    h(
      'p',
      null,
      [
        plural(what.people, 'person', 'people'),
        plural(what.devices, 'device', 'devices'),
        plural(what.entries, 'entry of the log', 'entries of the log'),
        plural(what.visits, 'visit', 'visits'),
        plural(what.alerts, 'alert', 'alerts'),
      ].join(point(', ')),
      '.',
    ),
    what.open > 0 &&
      h(
        'p',
        { class: 'field-error' },
        tr('{are} still open: nobody will be told of it any more. A clinician closes it first.', {
          are: plural(what.open, 'alert is', 'alerts are'),
        }),
      ),
  );
}

/** Families that can still be put back. @param {{rows: LeavingRow[], zone: string, again: () => void, done: () => void}} props */
function Gone({ rows, zone, again, done }) {
  const action = useAction();
  if (!rows.length) return null;
  return h(
    'div',
    { 'data-test': 'leaving' },
    h('h3', null, tr('Erased, and can still be put back')),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
    h(
      'ul',
      { class: 'rows' },
      rows.map(f =>
        h(
          'li',
          { key: f.family },
          h('b', null, f.name),
          tr(': {list}. Erased by {by}; for good {date}. ', {
            list: f.wearers.join(point(', ')) || tr('no wearer'),
            by: f.by || tr('somebody who left'),
            date: moment(f.until, zone),
          }),
          h(
            'button',
            {
              type: 'button',
              'data-test': 'put-back',
              disabled: action.busy,
              onClick: () =>
                action.run(async () => {
                  await confirming(() => api.putBack(f.family));
                  again();
                  done();
                }),
            },
            tr('Put {name} back', { name: f.name }),
          ),
        ),
      ),
    ),
  );
}
