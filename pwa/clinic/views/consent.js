// What is on record about a person's say over the wearers of a family: parental
// authority, stated by somebody of the practice, and the history of their consent.

import * as api from '../api.js';
import { h } from '../dom.js';
import { moment } from '../format.js';
import { point, tr } from '../text.js';
import { Small } from './small.js';

/** @import { Family, Me } from '../api.js' */

/** @type {() => [string, string][]} */
const BASES = () => [
  ['parent', tr('A parent with parental authority')],
  ['guardian', tr('A guardian with parental authority')],
  ['adult', tr('The wearer, of full age')],
  ['consented', tr('A teen, for whom somebody with parental authority has agreed')],
];

/** @param {{me: Me, family: Family, person: Family['people'][number], done: () => void}} props */
export function OnRecord({ me, family, person, done }) {
  const zone = me.practice.zone;
  const { authority, consent, given } = person;
  const said = BASES().find(([key]) => key === authority.basis)?.[1];
  const version = (/** @type {Family['people'][number]['given'][number]} */ g) =>
    g.withdrawn
      ? tr('{at}: took consent back, on {device}', { at: moment(g.at, zone), device: g.device })
      : tr('{at}: agreed to version {version} for {wearers}, on {device}', {
          at: moment(g.at, zone),
          version: g.version,
          wearers: g.for.join(point(', ')) || tr('the family'),
          device: g.device,
        });
  return h(
    'div',
    { 'data-test': 'on-record' },
    h(
      'p',
      { class: said ? '' : 'field-error' },
      said
        ? tr('{basis}, stated by {name} on {at}.', {
            basis: said,
            name: authority.by,
            at: authority.at ? moment(authority.at, zone) : '',
          })
        : tr('Nobody has stated whether this person may decide for the wearers.'),
    ),
    consent.withdrawn &&
      h('p', { class: 'trouble' }, tr('Took their consent back: nothing they log is taken but reports of a sore eye.')),
    h(
      'details',
      null,
      h('summary', null, tr('Consent: {n} on record', { n: given.length })),
      given.length
        ? h(
            'ul',
            { class: 'rows' },
            given.map(g => h('li', { key: g.at + g.version + g.withdrawn }, version(g))),
          )
        : h('p', { class: 'quiet' }, tr('Nobody agrees before they join.')),
    ),
    h(Small, {
      open: tr('State authority'),
      rows: [{ key: 'basis', label: tr('I state for the record that this person is'), list: BASES() }],
      start: { basis: authority.basis || 'parent' },
      save: v => api.stateAuthority(family.id, person.id, v.basis),
      done,
      word: tr('State it in my name'),
      test: 'authority',
      of: person.name,
    }),
  );
}
