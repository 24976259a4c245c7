// What several sheets of paper share: the practice's numbers, the red flags of the
// rule table, and the foot.
import { h } from '../dom.js';
import { openings, redFlags } from '../papers.js';

/** @import { Me, SettingsAnswer } from '../api.js' */
/** @import { Words } from '../../app/text/text.js' */
/** @import { PaperKey } from '../papers.js' */

/** @typedef {Record<PaperKey, string>} Own */

/** Numbers and the place, as the practice has set them. @param {{settings: SettingsAnswer, words: Words, own: Own}} props */
export function Numbers({ settings, words, own }) {
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
export function Flags({ words, own }) {
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
        g.heads.includes('told.rinse-eye') && h('p', null, own.rinse),
      ),
    ),
  );
}

/** @param {{me: Me, words: Words, own: Own}} props */
export function Foot({ me, words, own }) {
  const date = words.date(me.today, { day: 'numeric', month: 'long', year: 'numeric' });
  return h(
    'p',
    { class: 'foot' },
    h('bdi', null, me.practice.name),
    `. ${own.printed.replace('{date}', date)}`,
    !words.reviewed && ` ${own.unread}`,
  );
}
