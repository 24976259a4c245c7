// A sheet of paper for when the app is no help, from the practice's settings, in
// the language of whoever reads it.
import * as api from '../api.js';
import { h, Trouble, useLoad } from '../dom.js';
import { loadManual } from '../manuals.js';
import { loadPaper, SHEETS } from '../papers.js';
import { link } from '../route.js';
import { LANGUAGES, loadWords, rowOf } from '../../app/text/text.js';
import { loadCards } from '../../app/text/cards.js';
import { FamilyManual, StaffManual } from './manual.js';
import { Flags, Foot, Numbers } from './paper-parts.js';
import { tr } from '../text.js';

/** @import { Me, SettingsAnswer } from '../api.js' */
/** @import { Route } from '../route.js' */
/** @import { HelpCard } from '../../app/text/cards.js' */
/** @import { ManualKey } from '../manuals.js' */
/** @import { Words } from '../../app/text/text.js' */
/** @import { PaperKey } from '../papers.js' */
/** @import { Own } from './paper-parts.js' */

/** What each sheet is called in the console. */
export const SHEET_NAMES = {
  fridge: tr('For a family’s fridge'),
  practice: tr('For the practice, server down'),
  family: tr('The family’s manual'),
  staff: tr('The staff’s manual'),
};

/** @param {{me: Me, route: Route}} props */
export function Paper({ me, route }) {
  const lang = rowOf(route.params.lang ?? me.practice.languages[0] ?? '').tag;
  const sheet = SHEETS.find(s => s === route.arg) ?? 'fridge';
  const got = useLoad(
    async () => ({
      settings: await api.settings(),
      safety: await api.safety(),
      words: await loadWords(lang),
      own: await loadPaper(lang),
      manual: await loadManual(lang),
      cards: await loadCards(lang),
    }),
    lang,
  );
  const ready = got.data?.words.lang === lang ? got.data : undefined;
  return h(
    'div',
    { class: 'paper' },
    h(
      'div',
      { class: 'no-print buttons' },
      SHEETS.map(s =>
        h(
          'a',
          {
            class: 'button',
            key: s,
            href: link('paper', s, { lang }),
            'aria-current': s === sheet ? 'page' : undefined,
          },
          SHEET_NAMES[s],
        ),
      ),
      h(
        'label',
        null,
        tr('Language '),
        h(
          'select',
          {
            value: lang,
            'data-test': 'paper-lang',
            onChange: (/** @type {Event} */ e) => {
              location.hash = link('paper', sheet, { lang: /** @type {HTMLSelectElement} */ (e.target).value });
            },
          },
          LANGUAGES.map(([code, name]) => h('option', { value: code, key: code, lang: rowOf(code).locale }, name)),
        ),
      ),
      h(
        'button',
        { type: 'button', class: 'primary', 'data-test': 'paper-print', onClick: () => print() },
        tr('Print'),
      ),
    ),
    h(Trouble, { error: got.error, busy: !ready, retry: got.reload }),
    ready &&
      h(
        'article',
        { lang: ready.words.html, dir: ready.words.dir, class: `sheet ${sheet}`, 'data-test': `paper-${sheet}` },
        h(SHEET[sheet], {
          me,
          manual: ready.manual,
          cards: ready.cards,
          settings: ready.settings,
          contact: ready.safety.contact,
          words: ready.words,
          own: ready.own,
        }),
      ),
  );
}

/** @typedef {{me: Me, settings: SettingsAnswer, contact: string, words: Words, own: Own, manual: Record<ManualKey, string>, cards: HelpCard[]}} SheetProps */

const SHEET = { fridge: Fridge, practice: AtPractice, family: FamilyManual, staff: StaffManual };

/** @param {SheetProps} props */
function Fridge({ me, settings, words, own }) {
  return [
    h('h1', null, own['fridge.title']),
    h('p', { class: 'lead' }, own['fridge.lead']),
    h(Numbers, { settings, words, own }),
    h(Flags, { words, own }),
    h(
      'ul',
      { class: 'also' },
      [own.nolens, own.unsure, words.med('action.bring'), words.t('delivery.nowatch')].map(x => h('li', { key: x }, x)),
    ),
    h(Foot, { me, words, own }),
  ];
}

/** Where a number is written in by hand. */
const BLANK = '______________';

/** @param {SheetProps} props */
function AtPractice({ me, settings, contact, words, own }) {
  const onRota = new Set(settings.rota.slots.flatMap(s => [s.person, s.deputy]));
  const duty = me.staff.filter(s => onRota.has(s.id));
  /** @type {PaperKey[]} */
  const steps = ['do.phone', 'do.ask', 'do.tell', 'do.clinician', 'do.stop', 'do.back'];
  return [
    h('h1', null, own['practice.title']),
    h('p', { class: 'lead' }, own['practice.lead']),
    h(
      'ol',
      null,
      steps.map(k => h('li', { key: k }, own[k])),
    ),
    h(
      'p',
      null,
      h('strong', null, `${own.who}: `),
      duty.length
        ? duty.map((s, i) => [i > 0 && ', ', h('bdi', { key: s.id }, s.name), ' ', h('bdi', null, s.phone || BLANK)])
        : own.missing,
      '. ',
      h('strong', null, `${own['do.server']}: `),
      h('bdi', null, contact || BLANK),
    ),
    h(Numbers, { settings, words, own }),
    h(Flags, { words, own }),
    h(
      'table',
      { class: 'notes' },
      h(
        'thead',
        null,
        h(
          'tr',
          null,
          /** @type {PaperKey[]} */ (['note.name', 'note.phone', 'note.signs', 'note.told']).map(k =>
            h('th', { scope: 'col', key: k }, own[k]),
          ),
        ),
      ),
      h(
        'tbody',
        null,
        Array.from({ length: 5 }, (_, i) =>
          h('tr', { key: i }, h('td', null), h('td', null), h('td', null), h('td', null)),
        ),
      ),
    ),
    h(Foot, { me, words, own }),
  ];
}
