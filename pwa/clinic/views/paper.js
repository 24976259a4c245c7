// A sheet of paper for when the app is no help, from the practice's settings, in
// the language of whoever reads it.
import * as api from '../api.js';
import { h, Trouble, useLoad } from '../dom.js';
import { loadPaper, openings, redFlags, SHEETS } from '../papers.js';
import { link } from '../route.js';
import { LANGUAGES, loadWords, rowOf } from '../../app/text/text.js';

/** @import { Me, SettingsAnswer } from '../api.js' */
/** @import { Route } from '../route.js' */
/** @import { Words } from '../../app/text/text.js' */
/** @import { PaperKey } from '../papers.js' */

/** @param {{me: Me, route: Route}} props */
export function Paper({ me, route }) {
  const lang = rowOf(route.params.lang ?? '').tag;
  const sheet = route.arg === 'practice' ? 'practice' : 'fridge';
  const got = useLoad(
    async () => ({
      settings: await api.settings(),
      safety: await api.safety(),
      words: await loadWords(lang),
      own: await loadPaper(lang),
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
          s === 'fridge' ? 'For a family’s fridge' : 'For the practice, server down',
        ),
      ),
      h(
        'label',
        null,
        'Language ',
        h(
          'select',
          {
            value: lang,
            'data-test': 'paper-lang',
            onChange: (/** @type {Event} */ e) => {
              location.hash = link('paper', sheet, { lang: /** @type {HTMLSelectElement} */ (e.target).value });
            },
          },
          LANGUAGES.map(([code, name]) => h('option', { value: code, key: code }, name)),
        ),
      ),
      h('button', { type: 'button', class: 'primary', 'data-test': 'paper-print', onClick: () => print() }, 'Print'),
    ),
    h(Trouble, { error: got.error, busy: !ready, retry: got.reload }),
    ready &&
      h(
        'article',
        { lang: ready.words.html, dir: ready.words.dir, class: `sheet ${sheet}`, 'data-test': `paper-${sheet}` },
        h(sheet === 'fridge' ? Fridge : AtPractice, {
          me,
          settings: ready.settings,
          contact: ready.safety.contact,
          words: ready.words,
          own: ready.own,
        }),
      ),
  );
}

/** @typedef {Record<PaperKey, string>} Own */
/** @typedef {{me: Me, settings: SettingsAnswer, contact: string, words: Words, own: Own}} SheetProps */

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

/** @param {SheetProps} props */
function AtPractice({ me, settings, contact, words, own }) {
  const name = (/** @type {string} */ id) => me.staff.find(s => s.id === id)?.name ?? '';
  const duty = [...new Set(settings.rota.slots.flatMap(s => [name(s.person), name(s.deputy)]).filter(x => x))];
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
      h('span', { dir: 'auto' }, duty.join(', ') || own.missing),
      '. ',
      h('strong', null, `${own['do.server']}: `),
      h('bdi', null, contact || '______________'),
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

/** Numbers and the place, as the practice has set them. @param {{settings: SettingsAnswer, words: Words, own: Own}} props */
function Numbers({ settings, words, own }) {
  const c = settings.practice.contacts;
  const number = (/** @type {string} */ n) => h('strong', { class: 'number' }, h('bdi', { dir: 'ltr' }, n));
  const day = (/** @type {number} */ weekday) => words.date(`2026-11-${22 + weekday}`, { weekday: 'short' }); // a Sunday
  const hours = openings(c.hours).map(o => [
    `${day(o.days[0])}${o.days.length > 1 ? `–${day(o.days.at(-1) ?? 0)}` : ''} `,
    h('bdi', { dir: 'ltr', class: 'times' }, o.times.join(', ')),
  ]);
  const place = [c.emergency_place?.name, c.emergency_place?.address, c.emergency_place?.hours].filter(x => x);
  return h(
    'dl',
    { class: 'numbers', 'aria-label': own.numbers },
    h('dt', null, c.clinic || own.practice),
    h(
      'dd',
      null,
      c.phone ? number(c.phone) : own.missing,
      hours.length > 0 && [` ${own.answers}: `, hours.map((o, i) => [i > 0 && '; ', o])],
    ),
    c.after_hours_phone && [h('dt', null, own.after), h('dd', null, number(c.after_hours_phone))],
    h('dt', null, own.emergency),
    h('dd', null, c.emergency_number ? number(c.emergency_number) : own.missing),
    h('dt', null, own.place),
    h('dd', { dir: 'auto' }, place.length ? place.join(', ') : words.t('advice.noplace')),
  );
}

/** The red flags of the table, and what each asks for. @param {{words: Words, own: Own}} props */
function Flags({ words, own }) {
  return h(
    'section',
    { class: 'flags', 'aria-label': own.signs },
    redFlags().map(g =>
      h(
        'div',
        { key: g.heads.join() },
        h('h2', null, g.heads.map(words.med).join(' ')),
        h(
          'ul',
          null,
          g.signs.map(k => h('li', { key: k }, words.med(k))),
        ),
      ),
    ),
  );
}

/** @param {{me: Me, words: Words, own: Own}} props */
function Foot({ me, words, own }) {
  const date = words.date(me.today, { day: 'numeric', month: 'long', year: 'numeric' });
  return h(
    'p',
    { class: 'foot' },
    h('bdi', null, me.practice.name),
    `. ${own.printed.replace('{date}', date)}`,
    !words.reviewed && ` ${own.unread}`,
  );
}
