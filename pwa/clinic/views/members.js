// Changes in who belongs to a family: one more wearer or person, a name mended,
// somebody who leaves.

import * as api from '../api.js';
import { h } from '../dom.js';
import { LANGUAGES } from '../format.js';
import { Small } from './small.js';
import { tr } from '../text.js';

/** @import { Family } from '../api.js' */
/** @import { Row } from './small.js' */

const WEARER = /** @type {Row[]} */ ([
  { key: 'name', label: tr('Who wears lenses'), need: true },
  { key: 'code', label: tr('Code at the practice'), need: true, hint: tr('Shown beside the name.') },
  { key: 'birth', label: tr('Born'), type: 'date' },
]);

/** @param {{family: Family, wearer: Family['wearers'][number], done: () => void}} props */
export function ChangeWearer({ family, wearer, done }) {
  return [
    h(Small, {
      open: tr('Correct'),
      rows: WEARER,
      start: { name: wearer.name, code: wearer.code, birth: wearer.birth },
      save: (v, sure) => api.changeWearer(wearer.id, { name: v.name, code: v.code, birth: v.birth, sure }),
      done,
      word: tr('Save'),
      test: 'change-wearer',
      of: wearer.name,
    }),
    family.wearers.length > 1 &&
      h(Small, {
        open: tr('Enrolled by mistake'),
        rows: [],
        start: {},
        save: () => api.dropWearer(wearer.id),
        done,
        word: tr('Take {name} out', { name: wearer.name }),
        test: 'drop-wearer',
        of: wearer.name,
        more: h('p', null, tr('Only while nothing is stored about this wearer: no entry, no plan, no visit.')),
      }),
  ];
}

/** @param {{family: Family, done: () => void}} props */
export const AddWearer = ({ family, done }) =>
  h(Small, {
    open: tr('Add a wearer'),
    rows: WEARER,
    start: { name: '', code: '', birth: '' },
    save: (v, sure) => api.addWearer(family.id, { name: v.name, code: v.code, birth: v.birth, sure }),
    done,
    word: tr('Add'),
    test: 'add-wearer',
  });

const SPEAKS = /** @type {[string, string][]} */ ([['', tr('Not asked')], ...Object.entries(LANGUAGES)]);

/** What the family is called, where its nights are counted, its language, and whom else to phone. @param {{family: Family, done: () => void}} props */
export const ChangeFamily = ({ family, done }) =>
  h(Small, {
    open: tr('Correct name, time zone or contact'),
    rows: [
      { key: 'name', label: tr('Name of the family'), need: true },
      {
        key: 'zone',
        label: tr('Time zone at home'),
        need: true,
        hint: tr('Such as Europe/Lisbon. A plan keeps the zone it was made with.'),
      },
      { key: 'language', label: tr('Language spoken best'), list: SPEAKS },
      { key: 'second.name', label: tr('Second contact'), hint: tr('Phoned when no parent answers.') },
      { key: 'second.phone', label: tr('Telephone of the second contact'), type: 'tel' },
      { key: 'second.relation', label: tr('Who that is to the child') },
    ],
    start: {
      name: family.name,
      zone: family.zone,
      language: family.language,
      'second.name': family.second.name,
      'second.phone': family.second.phone,
      'second.relation': family.second.relation ?? '',
    },
    save: v =>
      api.changeFamily(family.id, {
        name: v.name,
        zone: v.zone,
        language: v.language,
        second: { name: v['second.name'], phone: v['second.phone'], relation: v['second.relation'] },
      }),
    done,
    word: tr('Save'),
    test: 'change-family',
  });

/** @param {{family: Family, done: () => void}} props */
export function AddPerson({ family, done }) {
  const silent = family.wearers.filter(w => !family.people.some(p => p.wearer === w.id));
  return [
    h(Small, {
      open: tr('Add a parent or guardian'),
      rows: [
        { key: 'name', label: tr('Name'), need: true },
        { key: 'phone', label: tr('Telephone'), type: 'tel' },
      ],
      start: { name: '', phone: '' },
      save: v => api.addPerson(family.id, { name: v.name, role: 'parent', phone: v.phone }),
      done,
      word: tr('Add'),
      test: 'add-parent',
      more: h('p', { class: 'quiet' }, tr('Sees the whole log of every wearer of this family, once invited.')),
    }),
    silent.length > 0 &&
      h(Small, {
        open: tr('A wearer writes entries too'),
        rows: [
          { key: 'wearer', label: tr('Who'), list: silent.map(w => /** @type {[string, string]} */ ([w.id, w.name])) },
        ],
        start: { wearer: silent[0].id },
        save: v =>
          api.addPerson(family.id, {
            name: silent.find(w => w.id === v.wearer)?.name ?? '',
            role: 'teen',
            phone: '',
            wearer: v.wearer,
          }),
        done,
        word: tr('Add'),
        test: 'add-teen',
      }),
  ];
}

/** @param {{family: Family, person: Family['people'][number], done: () => void}} props */
export function ChangePerson({ family, person, done }) {
  const name = person.wearer ? [] : [{ key: 'name', label: tr('Name'), need: true }];
  return [
    h(Small, {
      open: tr('Correct'),
      rows: [...name, { key: 'phone', label: tr('Telephone'), type: 'tel' }],
      start: { name: person.name, phone: person.phone },
      save: v => api.changePerson(family.id, person.id, { name: v.name, phone: v.phone }),
      done,
      word: tr('Save'),
      test: 'change-person',
      of: person.name,
    }),
    family.people.length > 1 &&
      h(Small, {
        open: tr('Take out of the family'),
        rows: [],
        start: {},
        save: () => api.dropPerson(family.id, person.id),
        done,
        word: tr('Take {name} out', { name: person.name }),
        test: 'drop-person',
        of: person.name,
        more: h(
          'p',
          null,
          tr(
            'Every device of {name} is shut out at once, and the family’s calendar address ends. What {name2} wrote stays.',
            { name: person.name, name2: person.name },
          ),
        ),
      }),
  ];
}
