// Progress: something a child likes to look at and a parent can trust.
import { addDays, daysBetween } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Bar } from '../../ui/more-parts.js';
import { Card, LinkButton, More, Notice } from '../../ui/parts.js';
import { sceneOf, statesOn, tonight, wearerOf, wearNow } from '../app.js';
import { heldEyes, soak, stopped } from '../model/day.js';
import { glance } from '../model/past.js';
import { grown } from '../model/jetty.js';
import { CLEAR, progress } from '../model/progress.js';
import { EYES } from '../model/wear.js';
import { link } from '../route.js';
import { Due } from './coming.js';
import { Fell, fellOf } from './fell.js';
import { PlanWords } from './plan.js';
import { standing, told } from './wear.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

const DAYS = 28;

/** @param {ViewProps} props */
export function Progress({ app }) {
  const s = app.state;
  const { t, number } = s.words;
  const scene = sceneOf(s);
  const plan = scene.plan;
  const last = addDays(tonight(s), -1);
  const p = progress(scene.night, plan, last, DAYS, s.zone, night => statesOn(s, night));
  const unclear = !!standing(s) || stopped(scene) || fellOf(s);
  const clear = p.evenings.filter(e => e.rating >= CLEAR).length;
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('progress.title')),
    h(Rest, { app }),
    h(Fell, { app }),
    h(
      'dl',
      { class: 'figures' },
      h(
        'div',
        null,
        h('dt', null, t('progress.nights')),
        h('dd', null, p.planned ? t('progress.of', { n: p.worn, of: p.planned }) : '–'),
      ),
      h('div', null, h('dt', null, t('progress.hours')), h('dd', null, p.hours === null ? '–' : number(p.hours, 1))),
      h(
        'div',
        null,
        h('dt', null, t('progress.clear')),
        h('dd', null, p.evenings.length ? t('progress.of', { n: clear, of: p.evenings.length }) : '–'),
      ),
      h(
        'div',
        null,
        h('dt', null, t('progress.clear-hours')),
        h('dd', null, p.clear === null ? '–' : number(p.clear, 1)),
      ),
    ),
    p.planned > 0 && h('p', { class: 'quiet small' }, t('progress.denominator', { of: p.planned, unknown: p.unknown })),
    p.stopped > 0 && h('p', { class: 'quiet small' }, t('progress.stopped', { n: p.stopped })),
    p.rested > 0 && h('p', { class: 'quiet small' }, t('progress.rested', { n: p.rested })),
    h(Jetty, { app, last }),
    h(Soak, { app }),
    h(Due, { app }),
    h(Sight, { app, evenings: p.evenings, from: addDays(last, 2 - DAYS) }), // tonight's rating is among them
    // Under a stop, or with a test as poor as that, nothing is said of how sight will stay clear with lenses.
    unclear ? h(Card, { title: t('expect.title') }, h('p', null, t('expect.missed'))) : h(Expect, { app }),
    !unclear && h(Outlook, { app }),
    plan && h(Card, { title: t('plan.title') }, h(PlanWords, { app, plan })),
    h(
      'div',
      { class: 'row' },
      h(LinkButton, { href: link('supplies') }, t('supplies.title')),
      h(LinkButton, { href: link('acuity') }, t('kind.acuity-run')),
    ),
  );
}

/** That no lens goes in tonight, which no other notice heads the page with. @param {{app: App}} props */
function Rest({ app }) {
  const s = app.state;
  const stands = standing(s);
  if (!stands || EYES.some(eye => wearNow(s)[eye].state === 'stop')) return null;
  return h(
    Notice,
    { kind: 'alarm', test: 'progress-rest' },
    h('p', null, h('strong', null, [stands, ...(told(s)?.words ?? [])].join(' · '))),
    h(LinkButton, { href: link('child') }, s.words.t('wear.see')),
  );
}

const ROW = 30; // planks beside each other

/** What the child's own nights have grown to: a plank each, and nothing is ever taken off. @param {{app: App, last: string}} props */
function Jetty({ app, last }) {
  const s = app.state;
  const { t } = s.words;
  const { full, clear } = grown(sceneOf(s).night, wearerOf(s)?.plan ?? null, last, s.zone);
  if (!full && !clear) return null;
  const rows = Math.max(1, Math.ceil(full / ROW));
  return h(
    Card,
    { title: t('jetty.title') },
    h(
      'div',
      { class: 'stack', 'data-test': 'jetty' },
      h(
        'svg',
        { viewBox: `0 0 400 ${rows * 26 + 14}`, 'aria-hidden': true, class: 'drawing jetty' },
        Array.from({ length: full }, (_, i) =>
          h('path', {
            key: i,
            d: `M${8 + (i % ROW) * 12.8} ${6 + Math.floor(i / ROW) * 26}v16`,
            'stroke-width': 8,
            'stroke-linecap': 'butt',
          }),
        ),
        h('path', {
          d: `M0 ${rows * 26 + 6}c10-6 20 6 30 0s20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0 20 6 30 0`,
          'stroke-width': 2,
        }),
      ),
      h('p', null, t('jetty.full', { n: full })),
      clear > 0 && h('p', null, t('jetty.clear', { n: clear })),
      h('p', { class: 'quiet' }, t('jetty.calm')),
    ),
  );
}

/** @param {{app: App}} props */
function Soak({ app }) {
  const s = app.state;
  const { t, span, moment } = s.words;
  const k = soak(sceneOf(s));
  if (!k?.ready || !k.closed || heldEyes(sceneOf(s)).length === 2) return null; // of no lens that may go in
  const left = k.ready - s.now;
  const words =
    left > 0
      ? t('progress.soak.left', { time: span(left), at: moment(k.ready, s.zone) })
      : t('progress.soak.ready', { at: moment(k.ready, s.zone) });
  return h(
    Card,
    { title: t('progress.soak') },
    h('p', { role: 'timer' }, words),
    h(Bar, { share: (s.now - k.closed) / (k.ready - k.closed), label: words }),
  );
}

const WIDE = 256; // of the chart: a phone of 320 px, so that its letters are as large there as they are drawn

/** @param {{app: App, evenings: {night: string, rating: number}[], from: string}} props */
function Sight({ app, evenings, from }) {
  const { t, date, number, dir } = app.state.words;
  if (!evenings.length)
    return h(Card, { title: t('progress.sight') }, h('p', { class: 'quiet' }, t('progress.sight.none')));
  // Time runs as the language is read.
  const side = (/** @type {number} */ px) => (dir === 'rtl' ? WIDE - px : px);
  const x = (/** @type {string} */ night) => side(28 + (daysBetween(from, night) / (DAYS - 1)) * (WIDE - 36));
  const y = (/** @type {number} */ rating) => 118 - (rating - 1) * 26;
  return h(
    Card,
    { title: t('progress.sight') },
    h('p', { class: 'quiet small' }, `1 = ${t('rating.1')} · 5 = ${t('rating.5')}`),
    h(
      'svg',
      {
        viewBox: `0 0 ${WIDE} 150`,
        class: 'sight-chart',
        role: 'img',
        'aria-label': sightInWords(app, evenings, from),
        style: { direction: 'ltr' }, // of the drawing: `side` turns it
      },
      [1, 2, 3, 4, 5].map(r => [
        h('path', { key: `l${r}`, d: `M${side(22)} ${y(r)}H${side(WIDE - 4)}`, class: 'm-ring', 'stroke-width': 0.6 }),
        h(
          'text',
          {
            key: `t${r}`,
            x: side(4),
            y: y(r) + 4,
            'font-size': 14,
            fill: 'currentColor',
            'text-anchor': dir === 'rtl' ? 'end' : 'start',
          },
          number(r),
        ),
      ]),
      [0, DAYS - 1].map(d =>
        h(
          'text',
          {
            key: `d${d}`,
            x: side(d ? WIDE - 4 : 22),
            y: 146,
            'font-size': 14,
            fill: 'currentColor',
            'text-anchor': d > 0 === (dir === 'ltr') ? 'end' : 'start',
          },
          date(addDays(from, d), { day: 'numeric', month: 'short' }),
        ),
      ),
      evenings.map(e => h('circle', { key: e.night, cx: x(e.night), cy: y(e.rating), r: 4, class: 'm-worn' })),
    ),
    h(
      More,
      { title: t('progress.table') },
      h(
        'table',
        null,
        h(
          'thead',
          null,
          h('tr', null, h('th', { scope: 'col' }, t('progress.date')), h('th', { scope: 'col' }, t('progress.rating'))),
        ),
        h(
          'tbody',
          null,
          [...evenings]
            .reverse()
            .map(e =>
              h(
                'tr',
                { key: e.night },
                h('th', { scope: 'row' }, date(e.night)),
                h('td', null, `${number(e.rating)} – ${t(`rating.${e.rating}`)}`),
              ),
            ),
        ),
      ),
    ),
  );
}

/** The chart read out. @param {App} app @param {{night: string, rating: number}[]} evenings @param {string} from */
function sightInWords(app, evenings, from) {
  const { t, date } = app.state.words;
  const worst = evenings.reduce((a, e) => (e.rating <= a.rating ? e : a));
  const last = evenings[evenings.length - 1];
  return t('progress.sight.said', {
    n: evenings.length,
    from: date(from),
    to: date(addDays(from, DAYS - 1)),
    worst: t(`rating.${worst.rating}`),
    on: date(worst.night),
    last: t(`rating.${last.rating}`),
  });
}

/** What to expect by how long it has been, from published courses. @param {{app: App}} props */
function Expect({ app }) {
  const s = app.state;
  const { t } = s.words;
  const plan = wearerOf(s)?.plan;
  if (!plan?.first_night) return null;
  const nights = daysBetween(plan.first_night, tonight(s));
  const last = glance(sceneOf(s).night(addDays(tonight(s), -1)), plan, addDays(tonight(s), -1));
  const key = nights <= 1 ? 'night1' : nights <= 7 ? 'week1' : nights <= 16 ? 'week2' : 'steady';
  return h(
    Card,
    { title: t('expect.title') },
    h('p', null, t(`expect.${key}`)),
    last === 'not' && h('p', null, t('expect.missed')),
    h('p', { class: 'quiet small' }, t('expect.limits')),
  );
}

/** What a short-sightedness to be ready for means without spectacles, by dioptres; the first step is the limit of clear distant sight of the model. @param {number} d */
const sightAt = d => (d > -0.5 ? 'slight' : d > -1 ? 'blurred' : 'strong');

/** What of the last fortnight is logged. @param {App} app */
function logged({ state: s }) {
  const { night, plan } = sceneOf(s);
  const p = progress(night, plan, addDays(tonight(s), -1), 14, s.zone, on => statesOn(s, on));
  return { n: p.planned - p.unknown, of: p.planned, m: p.evenings.length };
}

/** Hours of clear sight, a number once where both ends are one. @param {import('../text/text.js').Words} words @param {number} low @param {number} high */
const clearFor = ({ t }, low, high) =>
  low < high ? t('outlook.clear', { low, high }) : t('outlook.clear.same', { n: high });

/** What the effect model expects, kept from the last contact with the server. @param {{app: App}} props */
function Outlook({ app }) {
  const { t, med, date } = app.state.words;
  const o = wearerOf(app.state)?.outlook;
  if (!o) return null;
  const known = o.status !== 'not-enough';
  return h(
    Card,
    { title: t('outlook.title') },
    h(
      'div',
      { class: 'stack', 'data-test': 'outlook', 'data-status': o.status },
      h('p', null, t(`outlook.${o.status}`)),
      !known && h('p', null, t('outlook.missing', logged(app))),
      known &&
        h(
          'p',
          null,
          o.clear_high < 1
            ? t('outlook.clear.none')
            : clearFor(app.state.words, Math.floor(o.clear_low), Math.floor(o.clear_high)),
        ),
      known && h('p', { 'data-test': 'traffic' }, h('strong', null, med('action.no-driving'))),
      known &&
        h(
          'p',
          null,
          t('outlook.missed.first', { sight: t(`outlook.sight.${sightAt(o.after_one)}`) }),
          ' ',
          t('outlook.missed.second', { sight: t(`outlook.sight.${sightAt(o.after_two)}`) }),
        ),
      known && h('p', null, med('action.spectacles')),
      h('p', { class: 'quiet small' }, t('outlook.limits', { night: date(o.night) })),
    ),
  );
}
