// The last fortnight, night by night, each a way to its page.
import { addDays } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Card } from '../../ui/parts.js';
import { statesOn, tonight, wearerOf } from '../app.js';
import { c, p, svg } from '../draw.js';
import { glance, minutesIn } from '../model/past.js';
import { counted, open } from '../model/progress.js';
import { link } from '../route.js';

/** @import { App } from '../app.js' */

/** Marks of a night; shape tells them apart, not colour. */
export const marks = {
  worn: () => svg('0 0 24 24', c(12, 12, 8, { class: 'm-worn' }), ''),
  half: () =>
    svg(
      '0 0 24 24',
      [c(12, 12, 8, { class: 'm-ring', 'stroke-width': 2 }), p('M12 4a8 8 0 0 1 0 16z', { class: 'm-half' })],
      '',
    ),
  not: () =>
    svg('0 0 24 24', p('M5 5l14 14M19 5 5 19', { class: 'm-out', 'stroke-width': 3, 'stroke-linecap': 'round' }), ''),
  unknown: () => svg('0 0 24 24', c(12, 12, 8, { class: 'm-ring', 'stroke-width': 2, 'stroke-dasharray': '3 3' }), ''),
  planned: () =>
    svg('0 0 24 24', p('M6 12h12', { class: 'm-ring', 'stroke-width': 2.5, 'stroke-linecap': 'round' }), ''),
  open: () =>
    svg('0 0 24 24', [c(12, 12, 8, { class: 'm-ring', 'stroke-width': 2 }), c(12, 12, 2.5, { class: 'm-worn' })], ''),
  held: () =>
    svg(
      '0 0 24 24',
      [c(12, 12, 8, { class: 'm-ring', 'stroke-width': 2 }), p('M8 12h8', { class: 'm-ring', 'stroke-width': 3 })],
      '',
    ),
};

/**
 * What a night is shown as. One on which no lens was allowed is no missed night,
 * and what tonight comes to nobody knows before the lenses are out.
 * @param {App} app @param {string} night @returns {keyof typeof marks}
 */
export function shown({ state: s }, night) {
  const plan = wearerOf(s)?.plan ?? null;
  const n = s.nights.get(`${s.wearer}/${night}`);
  const what = glance(n, plan, night);
  const held = ['not', 'unknown'].includes(what) && ['stop', 'rest'].includes(counted(n, plan, statesOn(s, night)));
  if (held || what === 'planned') return held ? 'held' : what;
  if (open(n, night, tonight(s))) return 'open';
  const part = what === 'worn' && (minutesIn(n, s.zone) ?? Infinity) < (plan?.min_hours ?? 0) * 60;
  return part ? 'half' : what;
}

/** @param {{app: App}} props */
export function Fortnight({ app }) {
  const s = app.state;
  const { t, date } = s.words;
  const last = tonight(s);
  const plan = wearerOf(s)?.plan ?? null;
  // Before the plan's first night nothing was asked: those nights show only where something is logged.
  const nights = Array.from({ length: 14 }, (_, i) => addDays(last, i - 13)).filter(
    n => (plan?.first_night && n >= plan.first_night) || s.nights.has(`${s.wearer}/${n}`),
  );
  if (!nights.length) return null;
  const all = nights.map(night => shown(app, night));
  const seen = /** @type {const} */ (['worn', 'half', 'not', 'unknown', 'held', 'open']).filter(
    k => !['held', 'open'].includes(k) || all.includes(k),
  );
  return h(
    Card,
    { title: t('fortnight.title') },
    h(
      'ol',
      { class: 'fortnight' },
      nights.map((night, i) => {
        const n = s.nights.get(`${s.wearer}/${night}`);
        const what = all[i];
        const differ = n && [...n.items.values()].some(i => i.differ);
        const words = `${date(night, { weekday: 'long', day: 'numeric', month: 'long' })}: ${t(`fortnight.${what}`)}${differ ? t('mark.comma') + t('fortnight.differ') : ''}`;
        return h(
          'li',
          { key: night },
          h(
            'button',
            {
              type: 'button',
              'data-test': `night-${night}`,
              onClick: () => {
                location.hash = link('night', night);
              },
            },
            h('span', { class: 'day', 'aria-hidden': true }, date(night, { weekday: 'narrow' }), differ ? ' ≠' : ''),
            marks[what](),
            h('span', { class: 'day', 'aria-hidden': true }, date(night, { day: 'numeric' })),
            h('span', { class: 'hidden' }, words),
          ),
        );
      }),
    ),
    h(
      'ul',
      { class: 'key' },
      seen.map(k => h('li', { key: k }, marks[k](), t(`fortnight.${k}`))),
    ),
  );
}
