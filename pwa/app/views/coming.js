// What comes up, as a list: on the first screen what is near, under Progress
// all of it. With a visit goes what to bring.
import { h } from '../../ui/dom.js';
import { Card } from '../../ui/parts.js';
import { kept, looksAtRecord, mine, sceneOf, tonight, wearerOf, wearNow } from '../app.js';
import { coming, soon } from '../model/coming.js';
import { stopped } from '../model/day.js';

/** @import { App } from '../app.js' */
/** @import { Coming } from '../model/coming.js' */

/** What comes up for the child on screen, by date. */
export const comingOf = kept(
  s => [...looksAtRecord(s), wearNow(s)],
  s =>
    coming(wearerOf(s)?.plan ?? null, wearerOf(s)?.recalls ?? [], mine(s, s.nights), {
      today: tonight(s),
      now: s.now,
      zone: s.zone,
      stopped: stopped(sceneOf(s)),
    }),
);

/** A date, with its year when that is not this one. @param {import('../text/text.js').Words} words @param {string} on @param {string} today */
export const dayOf = (words, on, today) =>
  words.date(
    on,
    on.slice(0, 4) === today.slice(0, 4) ? undefined : { day: 'numeric', month: 'short', year: 'numeric' },
  );

/** @param {{app: App, list: Coming[]}} props */
function List({ app, list }) {
  const { t, med, number } = app.state.words;
  const date = (/** @type {string} */ on) => dayOf(app.state.words, on, tonight(app.state));
  const today = tonight(app.state);
  return h(
    'ul',
    { class: 'plain-list' },
    list.map(i =>
      h(
        'li',
        { key: i.key },
        h(
          'div',
          { class: 'row apart' },
          h('span', null, t(`due.${i.rule}`), i.eye && `, ${t(`eye.${i.eye}`)}`, i.label && ` (${i.label})`),
          h('strong', null, i.due < today ? t('progress.overdue', { date: date(i.due) }) : date(i.due)),
        ),
        i.within > 0 && h('p', null, t('due.waking', { n: number(i.within) })),
        i.rule === 'recall' && h('p', { class: 'quiet' }, med('action.bring')),
      ),
    ),
  );
}

/** @param {{app: App}} props */
export function Due({ app }) {
  const { t } = app.state.words;
  const all = comingOf(app.state);
  return h(
    Card,
    { title: t('progress.due') },
    all.length === 0 ? h('p', { class: 'quiet' }, t('progress.due.none')) : h(List, { app, list: all }),
  );
}

/** @param {{app: App}} props */
export function Soon({ app }) {
  const near = soon(comingOf(app.state), tonight(app.state));
  return (
    near.length > 0 &&
    h(
      Card,
      { title: app.state.words.t('progress.due') },
      h('div', { 'data-test': 'soon' }, h(List, { app, list: near })),
    )
  );
}
