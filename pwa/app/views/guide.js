// The first fortnight, one step at a time: what the clinic has shown, to look at
// again while it is done, and what to expect. Offline, and at any time under Help.
import { addDays, daysBetween, wallAt } from '../../../schedule/civil/civil.js';
import { h, useLayoutEffect, useRef, useState } from '../../ui/dom.js';
import { Button, Card, LinkButton, Notice } from '../../ui/parts.js';
import { findingsOf, lostOf, sceneOf, tonight, wearerOf } from '../app.js';
import { cardArt } from '../draw-cards.js';
import { heldEyes } from '../model/day.js';
import { endOf } from '../model/ended.js';
import { go, link } from '../route.js';
import { dayOf, FirstVisit } from './coming.js';
import { PlanWords } from './plan.js';
import { eyesApart, standing } from './wear.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** Each step with its drawing. @type {[string, keyof typeof cardArt][]} */
const STEPS = [
  ['hands', 'hands'],
  ['which', 'swapped-lenses'],
  ['in', 'insertion'],
  ['comfort', 'comfort'],
  ['out', 'removal'],
  ['drops', 'stuck-lens'],
  ['care', 'cleaning'],
  ['dry', 'drying'],
];
/** What to expect after so many nights of the plan. @type {[string, number][]} */
const EXPECT = [
  ['night1', 1],
  ['week1', 7],
  ['week2', 14],
];
/** The steps of a lens that goes in. */
const INTO = ['which', 'in', 'comfort'];
const FORTNIGHT = 14; // nights from the first in which home offers the steps

/** @param {ViewProps} props */
export function Guide({ app }) {
  const { t } = app.state.words;
  const [at, setAt] = useState(0);
  const head = useRef(/** @type {HTMLElement|null} */ (null));
  useLayoutEffect(() => {
    if (at > 0) head.current?.focus();
    scrollTo(0, 0);
  }, [at]);
  const step = STEPS[at];
  return h(
    'article',
    { class: 'stack', 'data-test': `guide-${step?.[0] ?? 'expect'}` },
    h('p', { class: 'quiet', role: 'status' }, t('first.step', { n: at + 1, of: STEPS.length + 1 })),
    h('h1', { tabIndex: -1, ref: head }, t(step ? `guide.${step[0]}` : 'expect.title')),
    step
      ? [
          INTO.includes(step[0]) && h(NotNow, { key: 'not', app }),
          h('div', { class: 'figure', key: 'art' }, cardArt[step[1]]()),
          h('p', { class: 'lead', key: 'text' }, t(`guide.${step[0]}.text`)),
          step[0] === 'comfort' &&
            h(LinkButton, { key: 'check', href: link('check'), wide: true, test: 'guide-check' }, t('check.title')),
        ]
      : h(Ahead, { app }),
    h(
      'div',
      { class: 'row apart' },
      at > 0 ? h(Button, { test: 'guide-back', onPress: () => setAt(at - 1) }, t('nav.back')) : h('span', null),
      step
        ? h(Button, { kind: 'main', test: 'guide-next', onPress: () => setAt(at + 1) }, t('first.next'))
        : h(Button, { kind: 'main', test: 'guide-done', onPress: () => go('') }, t('advice.done')),
    ),
    h(Notice, null, t('help.caution')),
  );
}

/** Why no lens goes in now, or that one eye has none; none where both may have one. @param {App} app @returns {string[]} */
function why(app) {
  const s = app.state;
  const { t, med } = s.words;
  const plan = wearerOf(s)?.plan;
  const stands = standing(s);
  if (stands) return [stands, ...eyesApart(s)];
  const found = findingsOf(s).find(f => f.actions.includes('no-lens'));
  if (found) return [med(found.family)];
  if (!plan?.first_night) return [t('now.noplan.lead')];
  if (endOf(plan, wallAt(s.now, s.zone).date)?.over) return [t('end.over')];
  return lostOf(s).length ? [t('wear.rest')] : [];
}

/** Whether an eye may have a lens while the other may not: it is shown which. @param {App} app */
const oneMay = ({ state: s }) =>
  heldEyes(sceneOf(s)).length === 1 && !lostOf(s).length && (wearerOf(s)?.plan?.eyes || 'both') === 'both';

/** Above how a lens goes in: that none does now. @param {{app: App}} props */
function NotNow({ app }) {
  const lines = why(app);
  if (!lines.length) return null;
  return h(
    Notice,
    { kind: 'alarm', test: 'guide-not-now' },
    lines.map(text => h('p', { key: text }, h('strong', null, text))),
    !oneMay(app) && h('p', null, app.state.words.t('guide.not-now')),
  );
}

/** What the plan says, and what to expect when. @param {{app: App}} props */
function Ahead({ app }) {
  const { t } = app.state.words;
  const plan = wearerOf(app.state)?.plan;
  const dated = !why(app).length; // else nobody knows which night comes
  return h(
    'div',
    { class: 'stack' },
    h(NotNow, { app }),
    h(FirstVisit, { app }),
    EXPECT.map(([k, nights]) =>
      h(
        'p',
        { key: k },
        dated &&
          plan?.first_night &&
          h('strong', null, dayOf(app.state.words, addDays(plan.first_night, nights), tonight(app.state)), ': '),
        t(`expect.${k}`),
      ),
    ),
    h('p', { class: 'quiet small' }, t('expect.limits')),
    plan && h(Card, { title: t('plan.title') }, h(PlanWords, { app, plan })),
    h(LinkButton, { href: link('taught'), wide: true, test: 'to-taught' }, t('taught.title')),
  );
}

/** The way to the steps on the child's screen, in the first fortnight and before it. @param {{app: App}} props */
export function GuideOffer({ app }) {
  const first = wearerOf(app.state)?.plan?.first_night;
  if (!first || daysBetween(first, tonight(app.state)) > FORTNIGHT) return null;
  return h(LinkButton, { href: link('guide'), wide: true, test: 'guide' }, app.state.words.t('guide.open'));
}
