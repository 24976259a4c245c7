// Help that works without a network: short cards, each with a drawing, what to
// do, what not to do, and its source. The cards about trouble come with the
// rules; the everyday ones are ours.
import { h } from '../../ui/dom.js';
import { Button, Card, LinkButton, Notice } from '../../ui/parts.js';
import { wearerOf } from '../app.js';
import { cardArt } from '../draw.js';
import { go, link } from '../route.js';
import { helpCards } from '../text/cards.js';

/** @import { ViewProps } from '../frame.js' */
/** @import { HelpCard } from '../text/cards.js' */
/** @import { App } from '../app.js' */

/** @param {string} id */
const drawing = (id) => (cardArt[/** @type {keyof typeof cardArt} */ (id)] ?? cardArt['red-eye'])();

/** @param {ViewProps} props */
export function Help({ app, arg }) {
  const cards = helpCards(app.state.words);
  const card = cards.find((c) => c.id === arg);
  return card ? h(One, { app, card }) : h(List, { app, cards });
}

/** @param {{app: App, cards: HelpCard[]}} props */
function List({ app, cards }) {
  const { t } = app.state.words;
  const system = wearerOf(app.state)?.plan?.care_system;
  const shown = cards.filter((c) => !c.system || !system || c.system === system);
  /** @param {'urgent'|'everyday'} group */
  const group = (group) => h('section', { key: group }, h('h2', null, t(`help.${group}`)),
    h('div', { class: 'cards' }, shown.filter((c) => c.group === group).map((c) => h('a', { key: c.id, href: link('help', c.id), 'data-test': `card-${c.id}` }, drawing(c.art ?? c.id), h('span', null, c.title)))));
  return h('div', { class: 'stack' }, h('h1', null, t('help.title')), h('p', { class: 'quiet' }, t('help.lead')), group('urgent'), group('everyday'));
}

/** @param {{app: App, card: HelpCard}} props */
function One({ app, card }) {
  const { t, reviewed } = app.state.words;
  const own = app.state.words.t(`card.${card.id}`) !== `card.${card.id}`; // else the card is shown in English
  return h('article', { class: 'stack', lang: own ? undefined : 'en', dir: own ? undefined : 'ltr' },
    h('div', null, h(LinkButton, { href: link('help'), kind: 'plain' }, t('nav.back'))),
    h('h1', null, card.title),
    h('div', { class: 'figure' }, drawing(card.art ?? card.id)),
    h(Card, { title: t('help.do') }, h('ol', { class: 'steps' }, card.do.map((x) => h('li', { key: x }, x)))),
    card.dont.length > 0 && h(Card, { title: t('help.dont') }, h('ul', { class: 'dont' }, card.dont.map((x) => h('li', { key: x }, x)))),
    h(Notice, null, t('help.caution')),
    !reviewed && h('p', { class: 'quiet small' }, t('more.review')),
    h('p', { class: 'quiet small' }, t('help.source', { source: card.source })),
    card.group === 'urgent' && h(Button, { kind: 'alarm', wide: true, onPress: () => go('check') }, t('check.title')));
}
