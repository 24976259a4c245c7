// The family's and the staff's manual, as pages to print.
import { h } from '../dom.js';
import { FAMILY, STAFF, withMinutes } from '../manuals.js';
import { Flags, Foot, Numbers } from './paper-parts.js';

/** @import { HelpCard } from '../../app/text/cards.js' */
/** @import { ManualKey, Part } from '../manuals.js' */
/** @import { SheetProps } from './paper.js' */

/** @param {{part: Part, say: (key: ManualKey) => string}} props */
const Section = ({ part, say }) =>
  h(
    'section',
    null,
    h('h2', null, say(part.head)),
    h(
      'ul',
      null,
      part.lines.map(k => h('li', { key: k }, say(k))),
    ),
  );

/** @param {SheetProps} props */
export function FamilyManual({ me, settings, words, own, manual, cards }) {
  const say = (/** @type {ManualKey} */ k) => manual[k];
  const [wrong, ...rest] = FAMILY;
  return [
    h('h1', null, manual['family.title']),
    h('p', { class: 'lead' }, manual['family.lead']),
    h(Numbers, { settings, words, own }),
    h(Section, { part: wrong, say }),
    h(Flags, { words, own }),
    rest.map(part => h(Section, { key: part.head, part, say })),
    h('h2', { class: 'cards-head' }, manual['h.cards']),
    cards.map(card => h(Card, { key: card.id, card, say })),
    h(Foot, { me, words, own }),
  ];
}

/** @param {{card: HelpCard, say: (key: ManualKey) => string}} props */
const Card = ({ card, say }) =>
  h(
    'section',
    { class: 'manual-card' },
    h('h3', null, card.title, card.system?.includes('peroxide') && ` (${say('peroxide')})`),
    h(
      'ol',
      null,
      card.do.map(x => h('li', { key: x }, x)),
    ),
    card.dont.length > 0 && [
      h('h4', null, say('dont')),
      h(
        'ul',
        null,
        card.dont.map(x => h('li', { key: x }, x)),
      ),
    ],
  );

/** @param {SheetProps} props */
export function StaffManual({ me, settings, contact, words, own, manual }) {
  const say = (/** @type {ManualKey} */ k) => withMinutes(manual[k], settings.policy);
  const name = (/** @type {string} */ id) => me.staff.find(s => s.id === id)?.name ?? '';
  const duty = [...new Set(settings.rota.slots.flatMap(s => [name(s.person), name(s.deputy)]).filter(x => x))];
  return [
    h('h1', null, manual['staff.title']),
    h('p', { class: 'lead' }, manual['staff.lead']),
    h(Numbers, { settings, words, own }),
    h(
      'p',
      null,
      h('strong', null, `${own.who}: `),
      h('span', { dir: 'auto' }, duty.join(', ') || own.missing),
      '. ',
      h('strong', null, `${own['do.server']}: `),
      h('bdi', null, contact || '______________'),
    ),
    STAFF.map(part => h(Section, { key: part.head, part, say })),
    h(Foot, { me, words, own }),
  ];
}
