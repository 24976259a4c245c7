// What was taught at the clinic: the practitioner ticks what was seen, the family
// what it can do by itself, each with its date. Under Help at any time.
import { h } from '../../ui/dom.js';
import { Check } from '../../ui/more-parts.js';
import { Card, LinkButton } from '../../ui/parts.js';
import { ticked } from '../../ui/skills.js';
import { nameOf, tonight } from '../app.js';
import { link } from '../route.js';
import { dayOf } from './coming.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Taught({ app }) {
  const s = app.state;
  const { t } = s.words;
  const rows = ticked([...s.records.values()].map(r => r.entry).filter(e => e.wearer === s.wearer));
  const day = (/** @type {string} */ night) => dayOf(s.words, night, tonight(s));
  return h(
    'div',
    { class: 'stack', 'data-test': 'taught' },
    h('h1', null, t('taught.title')),
    h('p', null, t('taught.lead')),
    h(
      Card,
      null,
      h(
        'ul',
        { class: 'plain-list' },
        rows.map(r =>
          h(
            'li',
            { key: r.skill },
            h('strong', null, t(`taught.${r.skill}`)),
            h(
              'p',
              { class: 'quiet' },
              r.taught
                ? t('taught.seen', { date: day(r.taught.night), who: r.taught.by_name ?? '' })
                : t('taught.not-seen'),
            ),
            h(Check, {
              label: [
                h('span', { class: 'hidden' }, t(`taught.${r.skill}`), t('mark.colon')),
                r.learnt
                  ? t('taught.learnt', { date: day(r.learnt.wall.slice(0, 10)), who: nameOf(s, r.learnt.author) })
                  : t('taught.can'),
              ],
              checked: !!r.learnt,
              test: `learnt-${r.skill}`,
              onChange: done => void app.write([{ wearer: s.wearer, kind: 'learnt', body: { skill: r.skill, done } }]),
            }),
          ),
        ),
      ),
    ),
    h('p', { class: 'quiet' }, t('taught.again')),
    h(LinkButton, { href: link('guide'), wide: true }, t('guide.open')),
  );
}
