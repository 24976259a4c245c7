// Where the practice is and which languages its families speak: asked first,
// since nights, telephone numbers and words depend on it.

import * as api from '../api.js';
import { Field, FormFault, h, useAction, useState } from '../dom.js';
import { confirming } from '../passkeys.js';
import { faultsOf } from '../settings.js';
import { SPOKEN } from '../../app/text/text.js';
import { tr } from '../text.js';

/** @import { Me, SettingsAnswer } from '../api.js' */

const zones = typeof Intl.supportedValuesOf === 'function' ? Intl.supportedValuesOf('timeZone') : [];

/** @param {string} code ISO 3166-1 @returns {string} */
function countryName(code) {
  try {
    return new Intl.DisplayNames(['en'], { type: 'region' }).of(code) ?? code;
  } catch {
    return code;
  }
}

/** @param {SettingsAnswer} s */
export const isPlaced = ({ practice: p }) => !!(p.zone && p.country && p.languages.length);

/** @param {{me: Me, stored: SettingsAnswer, saved: (answer: SettingsAnswer) => void}} props */
export function Place({ me, stored, saved }) {
  const p = stored.practice;
  const may = me.person.role === 'administrator';
  const placed = isPlaced(stored);
  const form = h(PlaceForm, { stored, may, saved });
  if (!placed)
    return h(
      'section',
      { class: 'card', 'data-test': 'place' },
      h('h2', null, tr('First: where is the practice?')),
      form,
    );
  const languages = SPOKEN.filter(([code]) => p.languages.includes(code)).map(([, name]) => name);
  return h(
    'details',
    { class: 'card', 'data-test': 'place' },
    h(
      'summary',
      null,
      tr('{country}, time zone {zone}, {list}', {
        country: countryName(p.country ?? ''),
        zone: p.zone,
        list: languages.join(', '),
      }),
    ),
    form,
  );
}

/** @param {{stored: SettingsAnswer, may: boolean, saved: (answer: SettingsAnswer) => void}} props */
function PlaceForm({ stored, may, saved }) {
  const p = stored.practice;
  const [zone, setZone] = useState(p.zone || Intl.DateTimeFormat().resolvedOptions().timeZone || '');
  const [country, setCountry] = useState(p.country ?? '');
  const [languages, setLanguages] = useState(p.languages);
  const action = useAction();
  const faults = faultsOf(action.error?.message ?? '');
  const save = (/** @type {Event} */ e) => {
    e.preventDefault();
    const place = { zone, country, languages, revision: stored.revision };
    action.run(async () => saved(await confirming(() => api.savePlace(place))));
  };
  const countries = stored.countries.map(c => /** @type {[string, string]} */ ([c, countryName(c)]));
  countries.sort((a, b) => (a[1] < b[1] ? -1 : 1));
  /** @param {string} code */
  const toggle = code =>
    setLanguages(languages.includes(code) ? languages.filter(l => l !== code) : [...languages, code]);
  return h(
    'form',
    { 'data-test': 'place-form', onSubmit: save },
    h(
      'fieldset',
      { class: 'all', disabled: !may },
      h(
        'div',
        { class: 'grid' },
        h(
          Field,
          {
            label: tr('Time zone'),
            hint: p.zone
              ? tr('Nights, hours and rota are counted in it.')
              : tr('Proposed by this browser: is it the practice’s?'),
            error: faults['practice.zone'],
          },
          h('input', {
            type: 'text',
            name: 'zone',
            required: true,
            list: 'zones',
            value: zone,
            onInput: (/** @type {Event} */ e) => setZone(/** @type {HTMLInputElement} */ (e.target).value),
          }),
        ),
        h(
          'datalist',
          { id: 'zones' },
          zones.map(z => h('option', { value: z, key: z })),
        ),
        h(
          Field,
          {
            label: tr('Country'),
            hint: tr('Telephone numbers of it may be written without a prefix.'),
            error: faults['practice.country'],
          },
          h(
            'select',
            {
              name: 'country',
              required: true,
              value: country,
              onChange: (/** @type {Event} */ e) => setCountry(/** @type {HTMLSelectElement} */ (e.target).value),
            },
            h('option', { value: '' }, tr('Choose')),
            countries.map(([code, name]) => h('option', { value: code, key: code }, name)),
          ),
        ),
      ),
      h(
        'fieldset',
        { class: 'ticks' },
        h('legend', null, tr('Languages of your families, the most spoken first')),
        SPOKEN.map(([code, name]) =>
          h(
            'label',
            { class: 'switch', key: code },
            h('input', {
              type: 'checkbox',
              name: `language-${code}`,
              checked: languages.includes(code),
              onChange: () => toggle(code),
            }),
            h('span', { lang: code }, name),
            languages.length > 1 && languages.includes(code) && ` (${languages.indexOf(code) + 1})`,
          ),
        ),
      ),
    ),
    h(FormFault, { error: action.error }),
    may &&
      h(
        'p',
        { class: 'buttons' },
        h('button', { class: 'primary', disabled: action.busy, 'data-test': 'place-save' }, tr('Save')),
      ),
  );
}
