// Help that works without a network: short cards, each with a drawing, what to
// do, what not to do, and its source. The cards about trouble come with the
// rules; the everyday ones are ours.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, Card, LinkButton, Notice } from '../../ui/parts.js';
import { about, chooses, lostOf, wearerOf } from '../app.js';
import { cardArt } from '../draw-cards.js';
import { Calls } from './calls.js';
import { go, link } from '../route.js';
import { ENGLISH, loadCards } from '../text/cards.js';
import { standing } from './wear.js';

/** @import { ViewProps } from '../frame.js' */
/** @import { HelpCard } from '../text/cards.js' */
/** @import { App } from '../app.js' */

/** @param {string} id */
const drawing = id => (cardArt[/** @type {keyof typeof cardArt} */ (id)] ?? cardArt['red-eye'])();

/** @param {ViewProps} props */
export function Help({ app, arg }) {
  const { lang, t } = app.state.words;
  const [cards, setCards] = useState(/** @type {HelpCard[]|null} */ (lang === 'en' ? ENGLISH : null));
  useEffect(() => {
    void loadCards(lang).then(setCards);
  }, [lang]);
  if (!cards) return h('p', { role: 'status' }, t('start.loading'));
  const card = cards.find(c => c.id === arg);
  return card ? h(One, { app, card }) : h(List, { app, cards });
}

/**
 * How the text of a card is marked when it is not in the language of the page.
 * @param {App} app
 * @param {HelpCard} card
 * @returns {{lang?: string, dir?: 'ltr'}}
 */
const tongue = (app, card) => (app.state.words.lang === (card.lang ?? 'en') ? {} : { lang: 'en', dir: 'ltr' });

/** @param {{app: App, cards: HelpCard[]}} props */
function List({ app, cards }) {
  const { t } = app.state.words;
  const system = wearerOf(app.state)?.plan?.care_system;
  const shown = cards.filter(c => !c.system || !system || c.system.includes(system));
  /** @param {'urgent'|'everyday'} group */
  const group = group =>
    h(
      'section',
      { key: group },
      h('h2', null, t(`help.${group}`)),
      h(
        'div',
        { class: 'cards' },
        shown
          .filter(c => c.group === group)
          .map(c =>
            h(
              'a',
              { key: c.id, href: link('help', c.id), 'data-test': `card-${c.id}` },
              drawing(c.art ?? c.id),
              h('strong', tongue(app, c), c.title),
            ),
          ),
      ),
    );
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('help.title')),
    h('p', { class: 'quiet' }, t('help.lead')),
    h(Review, { app }),
    h(LinkButton, { href: link('guide'), wide: true, test: 'guide' }, t('guide.open')),
    h(LinkButton, { href: link('taught'), wide: true, test: 'to-taught' }, t('taught.title')),
    group('urgent'),
    group('everyday'),
  );
}

/** That nobody who speaks the language has reviewed its medical texts yet. @param {{app: App}} props */
function Review({ app }) {
  const { t, reviewed } = app.state.words;
  return reviewed ? null : h(Notice, { kind: 'urgent', test: 'review' }, t('more.review'));
}

/** Above how lenses go in: of which child none may, where the page is not headed with it already. @param {{app: App}} props */
function Held({ app }) {
  const s = app.state;
  const lines = (s.family?.wearers ?? []).flatMap(w => {
    const of = about(app, w.id).state;
    const held = standing(of);
    const text = held || (lostOf(of).length ? s.words.t('wear.rest') : '');
    return text && !(held && w.id === s.wearer) ? [w.name + s.words.t('mark.colon') + text] : [];
  });
  return (
    lines.length > 0 &&
    h(
      Notice,
      { kind: 'alarm', test: 'help-held' },
      lines.map(text => h('p', { key: text }, h('strong', null, text))),
    )
  );
}

/** @param {{app: App, card: HelpCard}} props */
function One({ app, card }) {
  const { t } = app.state.words;
  const own = tongue(app, card);
  useEffect(() => {
    document.title = `${card.title} – ${t('app.name')}`;
  }, [card]);
  return h(
    'article',
    { class: 'stack' },
    h('div', null, h(LinkButton, { href: link('help'), kind: 'plain' }, t('nav.back'))),
    h('h1', own, card.title),
    h(Review, { app }),
    card.id.startsWith('insertion') && h(Held, { app }),
    h('div', { class: 'figure' }, drawing(card.art ?? card.id)),
    h(
      Card,
      { title: t('help.do') },
      h(
        'ol',
        { class: 'steps', ...own },
        card.do.map(x => h('li', { key: x }, x)),
      ),
    ),
    card.dont.length > 0 &&
      h(
        Card,
        { title: t('help.dont') },
        h(
          'ul',
          { class: 'dont', ...own },
          card.dont.map(x => h('li', { key: x }, x)),
        ),
      ),
    h(Notice, null, t('help.caution')),
    h(
      'p',
      { class: 'quiet small' },
      t('help.source', { source: '' }),
      h('span', { lang: 'en', dir: 'ltr' }, card.source),
    ),
    card.group === 'urgent' && h(Calls, { s: app.state, level: 'emergency' }),
    card.group === 'urgent' &&
      h(
        Button,
        { kind: 'alarm', wide: true, onPress: () => go('check', chooses(app.state) ? 'who' : '') },
        t('check.title'),
      ),
  );
}
