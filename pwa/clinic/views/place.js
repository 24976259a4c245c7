// Where the practice is and which languages its families speak: asked first,
// since nights, telephone numbers and words depend on it.

import * as api from '../api.js';
import { Field, FormFault, h, useAction, useState } from '../dom.js';
import { confirming } from '../passkeys.js';
import { link } from '../route.js';
import { faultsOf } from '../settings.js';
import { SPOKEN } from '../../app/text/text.js';
import { language, point, tr } from '../text.js';

/** @import { Me, SettingsAnswer } from '../api.js' */

/** @typedef {Pick<SettingsAnswer['practice'], 'zone'|'country'|'languages'>} Whereabouts */

const zones = typeof Intl.supportedValuesOf === 'function' ? Intl.supportedValuesOf('timeZone') : [];

/** @param {string} code ISO 3166-1 @returns {string} */
function countryName(code) {
  try {
    return new Intl.DisplayNames([language().locale], { type: 'region' }).of(code) ?? code;
  } catch {
    return code;
  }
}

/** @param {SettingsAnswer} s */
export const isPlaced = ({ practice: p }) => !!(p.zone && p.country && p.languages.length);

/** Asked first, and saved by itself: nothing else can be before. @param {{me: Me, stored: SettingsAnswer, saved: (answer: SettingsAnswer) => void}} props */
export function FirstPlace({ me, stored, saved }) {
  const { zone, country, languages } = stored.practice;
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone || '';
  const [of, setOf] = useState(/** @type {Whereabouts} */ ({ zone: zone || here, country: country ?? '', languages }));
  const action = useAction();
  const save = (/** @type {Event} */ e) => {
    e.preventDefault();
    const place = { ...of, country: of.country ?? '', revision: stored.revision };
    action.run(async () => saved(await confirming(() => api.savePlace(place))));
  };
  const may = me.person.role === 'administrator';
  return h(
    'section',
    { class: 'card', 'data-test': 'place' },
    h('h2', null, tr('First: where is the practice?')),
    h(
      'form',
      { 'data-test': 'place-form', onSubmit: save },
      h(
        'fieldset',
        { class: 'all', disabled: !may },
        h(PlaceFields, {
          of,
          set: (name, value) => setOf({ ...of, [name]: value }),
          faults: faultsOf(action.error?.message ?? ''),
          countries: stored.countries,
          proposed: !zone,
        }),
      ),
      h(FormFault, { error: action.error }),
      may &&
        h(
          'p',
          { class: 'buttons' },
          h('button', { class: 'primary', disabled: action.busy, 'data-test': 'place-save' }, tr('Save')),
        ),
    ),
  );
}

/** A part of the settings from then on, saved with all others. @param {{of: Whereabouts, stored: SettingsAnswer, set: (name: string, value: unknown) => void, faults: Record<string, string>}} props */
export function Place({ of, stored, set, faults }) {
  const p = stored.practice;
  const languages = SPOKEN.filter(([code]) => p.languages.includes(code)).map(([, name]) => name);
  const wrong = ['zone', 'country', 'languages'].some(name => faults[`practice.${name}`]);
  return h(
    'details',
    { 'data-test': 'place', open: wrong || undefined },
    h(
      'summary',
      null,
      tr('{country}, time zone {zone}, {list}', {
        country: countryName(p.country ?? ''),
        zone: p.zone,
        list: languages.join(point(', ')),
      }),
    ),
    h(PlaceFields, { of, set, faults, countries: stored.countries, proposed: false }),
    h(
      'p',
      null,
      h('a', { href: link('readers'), 'data-test': 'to-readers' }, tr('Every text, for readers of a language')),
    ),
  );
}

/** @param {{of: Whereabouts, set: (name: string, value: unknown) => void, faults: Record<string, string>, countries: string[], proposed: boolean}} props */
function PlaceFields({ of: { zone, country, languages }, set, faults, countries: codes, proposed }) {
  const countries = codes.map(c => /** @type {[string, string]} */ ([c, countryName(c)]));
  countries.sort((a, b) => (a[1] < b[1] ? -1 : 1));
  /** @param {string} code */
  const toggle = code =>
    set('languages', languages.includes(code) ? languages.filter(l => l !== code) : [...languages, code]);
  return [
    h(
      'div',
      { class: 'grid' },
      h(
        Field,
        {
          label: tr('Time zone'),
          hint: proposed
            ? tr('Proposed by this browser: is it the practice’s?')
            : tr('Nights, hours and rota are counted in it.'),
          error: faults['practice.zone'],
        },
        h('input', {
          type: 'text',
          name: 'zone',
          list: 'zones',
          value: zone,
          onInput: (/** @type {Event} */ e) => set('zone', /** @type {HTMLInputElement} */ (e.target).value),
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
            value: country,
            onChange: (/** @type {Event} */ e) => set('country', /** @type {HTMLSelectElement} */ (e.target).value),
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
  ];
}
