// A new plan from the practitioner is shown once and acknowledged.
import { h } from '../../ui/dom.js';
import { Button, Card } from '../../ui/parts.js';
import { tonight, wearerOf } from '../app.js';

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
  if (!plan || acknowledged(app, plan)) return null;
  const { t } = s.words;
  return h(
    Card,
    { title: t('plan.new') },
    h(PlanWords, { app, plan }),
    h(
      Button,
      {
        test: 'plan-read',
        label: `${t('plan.read')}: ${t('plan.new')}`,
        onPress: () =>
          void app.write([{ wearer: s.wearer, night: tonight(s), kind: 'plan-ack', body: { plan: plan.version } }]),
      },
      t('plan.read'),
    ),
  );
}

/** @param {{app: App, plan: Plan}} props */
export function PlanWords({ app, plan }) {
  const { t, clock, span, date } = app.state.words;
  return h(
    'ul',
    null,
    h(
      'li',
      null,
      `${t('plan.version', { n: plan.version })}${plan.first_night ? ` · ${date(plan.first_night, { day: 'numeric', month: 'long', year: 'numeric' })}` : ''}`,
    ),
    h(
      'li',
      null,
      t('plan.wear', { from: clock(plan.insertion_at), to: clock(plan.removal_at), hours: plan.min_hours }),
    ),
    plan.soak_minutes > 0 && h('li', null, t('plan.soak', { time: span(plan.soak_minutes * 60000) })),
    plan.case_months > 0 && h('li', null, t('plan.case', { n: plan.case_months })),
    plan.deposit_removal_days > 0 && h('li', null, t('plan.deposit', { n: plan.deposit_removal_days })),
  );
}
