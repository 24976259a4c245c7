// What the rules find in this phone's own log: shown at once, without a
// network. What may hurt an eye stands open and in red; the rest waits folded.
import { h } from '../../ui/dom.js';
import { levelRank } from '../../../alerts/evaluate.js';
import { Level, LinkButton, More, Notice } from '../../ui/parts.js';
import { findingsOf } from '../app.js';
import { headline } from '../model/report.js';
import { link } from '../route.js';
import { Calls } from './calls.js';
import { Calm } from './later.js';

/** @import { App } from '../app.js' */
/** @import { Finding } from '../../../alerts/evaluate.js' */

/** @param {{app: App}} props */
export function Record({ app }) {
  const list = findingsOf(app.state);
  const severe = list.filter(f => levelRank(f.level) >= levelRank('urgent'));
  const calm = list.filter(f => !severe.includes(f));
  return [
    severe.length > 0 && h(Severe, { key: 'severe', app, worst: severe[0] }),
    calm.length > 0 && h(Calm, { key: 'calm', app, list: calm }),
  ];
}

/** @param {{app: App, worst: Finding}} props */
function Severe({ app, worst }) {
  const s = app.state;
  const { t, med } = s.words;
  return h(
    Notice,
    { kind: worst.level === 'emergency' ? 'alarm' : 'urgent', test: 'record-severe' },
    h(
      'div',
      { class: 'stack' },
      h(Level, { level: worst.level }, med(`level.${worst.level}`)),
      headline(worst).map(key => h('p', { key }, h('strong', null, med(key)))),
      h('p', null, med(worst.family)),
      h(LinkButton, { href: link('check'), kind: 'main', wide: true, test: 'record-check' }, t('check.title')),
      h(Calls, { s, level: worst.level }),
      h(More, { title: t('advice.doing'), test: 'record-steps' }, h(Steps, { app, f: worst })),
      h('p', null, med('caution.cannot-see')),
    ),
  );
}

/** @param {{app: App, f: {actions: string[]}}} props */
export const Steps = ({ app, f }) =>
  h(
    'ol',
    { class: 'do' },
    f.actions.map(a => h('li', { key: a }, h('span', null, app.state.words.med(`action.${a}`)))),
  );
