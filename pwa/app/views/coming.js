// What comes up, as a list: on the first screen what is near, under Progress
// all of it. With a visit goes what to bring.
import { minutes } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Card } from '../../ui/parts.js';
import { kept, live, looksAtRecord, mine, sceneOf, tonight, wearerOf, wearNow } from '../app.js';
import { coming, opensOn, soon } from '../model/coming.js';
import { stopped } from '../model/day.js';
import { written } from '../model/report.js';
import { Fell } from './fell.js';

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
      opens: date => opensOn(s.family?.contacts, date),
      said: visitsSaid(s),
    }),
);

/** The visits of the child on screen that the clinic told of and did not move or call off. @param {import('../app.js').State} s @returns {{on: string, at?: string}[]} */
function visitsSaid(s) {
  const all = live(s).filter(e => e.wearer === s.wearer && e.kind === 'visit');
  const gone = new Set(all.flatMap(e => [e.body.moves, ...(e.body.cancelled ? [e.id] : [])]));
  const off = all.filter(e => e.body.cancelled);
  return all
    .filter(e => !gone.has(e.id) && !off.some(o => o.body.on === e.body.on && written(o) >= written(e)))
    .map(e => /** @type {{on: string, at?: string}} */ (e.body));
}

/** A date, with its year when that is not this one. @param {import('../text/text.js').Words} words @param {string} on @param {string} today */
export const dayOf = (words, on, today) =>
  words.date(
    on,
    on.slice(0, 4) === today.slice(0, 4) ? undefined : { day: 'numeric', month: 'short', year: 'numeric' },
  );

/** The date of what comes; a visit that nobody booked has none on which the clinic is closed. @param {App} app @param {Coming} i */
function when({ state: s }, i) {
  const { t, clock } = s.words;
  const today = tonight(s);
  const date = dayOf(s.words, i.due, today);
  if (i.rule === 'recall' && !i.dated) return '';
  if (i.due < today) return t('progress.overdue', { date });
  if (i.rule === 'recall' && !i.booked) return t('due.about', { date });
  return i.time ? date + t('mark.comma') + clock(i.time) : date;
}

/**
 * How soon after waking the first morning is; where it is booked later than that by
 * the plan, whom to ask.
 * @param {App} app @param {Coming} i
 */
function waking({ state: s }, { within, booked, time }) {
  const { t, clock } = s.words;
  const out = sceneOf(s).plan?.removal_at;
  return booked && time && out && minutes(time) - minutes(out) > within * 60
    ? t('due.waking.late', { n: within, out: clock(out), time: clock(time) })
    : t('due.waking', { n: within });
}

/** The visit after the first night, as booked. @param {{app: App}} props */
export function FirstVisit({ app }) {
  const { t } = app.state.words;
  const i = comingOf(app.state).find(x => x.rule === 'recall' && x.within > 0);
  if (!i) return null;
  return h(
    'p',
    { 'data-test': 'first-visit' },
    i.booked ? t('expect.visit', { date: when(app, i) }) : t('due.recall') + t('mark.colon') + t('due.unbooked'),
    ' ',
    waking(app, i),
  );
}

/** @param {{app: App, list: Coming[]}} props */
function List({ app, list }) {
  const { t, med } = app.state.words;
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
          h(
            'span',
            null,
            t(i.rule === 'recall' ? 'due.recall' : `what.${i.rule}`),
            i.eye && t('mark.comma') + t(`eye.${i.eye}`),
            i.label && ` (${i.label})`,
          ),
          h('strong', null, when(app, i)),
        ),
        i.rule === 'recall' && !i.booked && h('p', null, t('due.unbooked')),
        i.within > 0 && h('p', null, waking(app, i)),
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

/** What is near, and above it that far sight fell: home fetches both as one. @param {{app: App}} props */
export function Soon({ app }) {
  const near = soon(comingOf(app.state), tonight(app.state));
  return [
    h(Fell, { app, at: 'below', key: 'fell' }),
    near.length > 0 &&
      h(
        Card,
        { title: app.state.words.t('progress.due'), key: 'soon' },
        h('div', { 'data-test': 'soon' }, h(List, { app, list: near })),
      ),
  ];
}
