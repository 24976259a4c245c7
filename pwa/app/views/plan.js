// A new plan from the practitioner is shown once and acknowledged; the end of wear
// stands for as long as it holds.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Card } from '../../ui/parts.js';
import { tonight, wearerOf, wearNow } from '../app.js';
import { endOf } from '../model/ended.js';
import { EYES } from '../model/wear.js';

/** @import { App } from '../app.js' */
/** @import { Plan } from '../../../schedule/due.js' */

/** @param {App} app @param {Plan} plan */
function acknowledged(app, plan) {
  const s = app.state;
  return [...s.nights.values()].some(
    n => n.wearer === s.wearer && n.entries.some(e => e.kind === 'plan-ack' && e.body.plan >= plan.version),
  );
}

/** @param {{app: App}} props */
export function PlanNews({ app }) {
  const s = app.state;
  const plan = wearerOf(s)?.plan;
  if (!plan || plan.stopped || acknowledged(app, plan)) return null; // an end has its own card
  const { t } = s.words;
  return h(Card, { title: t('plan.new') }, h(PlanWords, { app, plan }), h(Read, { app, plan, of: t('plan.new') }));
}

/** That a plan waits while an eye may have no lens. @param {{s: import('../app.js').State}} props */
function PlanHeld({ s }) {
  const held = EYES.filter(eye => wearNow(s)[eye].state !== 'none');
  const text = held.length > 0 && s.words.t(held.length === EYES.length ? 'plan.held-both' : 'plan.held');
  return text && h('p', { 'data-test': 'plan-held' }, h('strong', null, text));
}

/** @param {{app: App, plan: Plan, of: string}} props of: what was read */
function Read({ app, plan, of }) {
  const s = app.state;
  const { t } = s.words;
  return h(
    Button,
    {
      test: 'plan-read',
      label: `${t('plan.read')}: ${of}`,
      onPress: () =>
        void app.write([{ wearer: s.wearer, night: tonight(s), kind: 'plan-ack', body: { plan: plan.version } }]),
    },
    t('plan.read'),
  );
}

/**
 * That wear has ended, or will: from when, by whom, and whom to ask.
 * @param {{app: App, brief?: boolean}} props brief: among other children, to be read alone
 */
export function Ended({ app, brief }) {
  const s = app.state;
  const wearer = wearerOf(s);
  const plan = wearer?.plan;
  const end = endOf(plan, wallAt(s.now, s.zone).date);
  if (!plan || !end) return null;
  const { t, date } = s.words;
  const title = t(end.over ? 'end.over' : 'end.ahead');
  const held = !end.over && EYES.some(eye => wearNow(s)[eye].state !== 'none'); // what holds now stands above
  const who = wearer.ended_by || s.family?.contacts?.clinic || '';
  const words = [
    h('p', { key: 'from' }, t(held ? 'end.held' : 'end.from', { night: date(end.night) })),
    who && h('p', { key: 'by', class: 'quiet', dir: 'auto' }, t('end.by', { who })),
    h('p', { key: 'ask' }, t('end.ask')),
  ];
  if (brief) return h('div', { 'data-test': 'ended' }, h('p', null, h('strong', null, title)), words);
  return h(
    Card,
    { title },
    h('div', { 'data-test': 'ended' }, words),
    !acknowledged(app, plan) && h(Read, { app, plan, of: title }),
  );
}

/** @param {{app: App, plan: Plan}} props */
export function PlanWords({ app, plan }) {
  const s = app.state;
  const { t, clock, span, date } = s.words;
  const end = endOf(plan, wallAt(s.now, s.zone).date);
  if (end?.over) return h('p', null, t('end.from', { night: date(end.night) }));
  return [
    h(PlanHeld, { s, key: 'held' }),
    h(
      'ul',
      { key: 'plan' },
      end && h('li', null, t('end.from', { night: date(end.night) })),
      h(
        'li',
        null,
        [
          t('plan.version', { n: plan.version }),
          ...[plan.from || plan.first_night]
            .filter(Boolean)
            .map(on => date(on, { day: 'numeric', month: 'long', year: 'numeric' })),
        ].join(' · '),
      ),
      h('li', null, t('plan.eyes', { eyes: t(`eye.${plan.eyes || 'both'}`) })),
      h(
        'li',
        null,
        t('plan.wear', { from: clock(plan.insertion_at), to: clock(plan.removal_at), hours: plan.min_hours }),
      ),
      plan.soak_minutes > 0 && h('li', null, t('plan.soak', { time: span(plan.soak_minutes * 60000) })),
      plan.case_months > 0 && h('li', null, t('plan.case', { n: plan.case_months })),
      plan.deposit_removal_days > 0 && h('li', null, t('plan.deposit', { n: plan.deposit_removal_days })),
    ),
  ];
}
