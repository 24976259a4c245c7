// Who else reads a family's log, and whose consent ended, in the last week: told to
// the clinic on every page until it was seen in this browser.

import { h, useState } from '../dom.js';
import { moment } from '../format.js';
import { link } from '../route.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */

const SEEN = 'nightkeep.family-news-seen';

/** @param {Me['family_news'][number]} n @param {string} zone */
const words = (n, zone) => {
  const at = { person: n.person, device: n.device, at: moment(n.at, zone) };
  if (n.kind === 'device') return tr('one more phone reads the log: “{device}” of {person}, since {at}', at);
  if (n.kind === 'withdrawn')
    return tr(
      '{person} took their consent back on {at}: nothing they log is taken any more but reports of a sore eye. Agree with the family what holds for the nights.',
      at,
    );
  return tr('{person} agreed again on {at}', at);
};

/** @param {{me: Me}} props */
export function FamilyNews({ me }) {
  const [gone, setGone] = useState((localStorage.getItem(SEEN) ?? '').split(' '));
  const list = me.family_news.filter(n => !gone.includes(n.id));
  if (!list.length) return null;
  const see = () => {
    const all = [...gone, ...list.map(n => n.id)].slice(-200);
    localStorage.setItem(SEEN, all.join(' '));
    setGone(all);
  };
  const grave = list.some(n => n.kind === 'withdrawn');
  return h(
    'details',
    { class: 'card no-print', open: grave, 'data-test': 'family-news' },
    h('summary', null, tr('New about who reads families’ logs: {n}', { n: list.length })),
    h(
      'ul',
      { class: 'rows' },
      list.map(n =>
        h('li', { key: n.id }, h('a', { href: link('family', n.family) }, n.name), ': ', words(n, me.practice.zone)),
      ),
    ),
    h('div', { class: 'buttons' }, h('button', { type: 'button', onClick: see }, tr('Seen'))),
  );
}
