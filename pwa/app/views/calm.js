// What the rules find in this phone's own log that is not urgent, folded. Fetched
// after the start.
import { h } from '../../ui/dom.js';
import { Card, LinkButton, More } from '../../ui/parts.js';
import { link } from '../route.js';
import { Steps } from './record.js';

/** @import { App } from '../app.js' */
/** @import { Finding } from '../../../alerts/evaluate.js' */

/** @param {{app: App, list: Finding[]}} props */
export function Calm({ app, list }) {
  const { t } = app.state.words;
  return h(
    Card,
    { title: t('record.title') },
    h(
      'div',
      { 'data-test': 'record' },
      list.map(f => h(One, { key: f.rule, app, f })),
      h('p', { class: 'quiet small' }, t('record.limits')),
    ),
  );
}

/** @param {{app: App, f: Finding}} props */
function One({ app, f }) {
  const { t, med } = app.state.words;
  return h(
    More,
    { title: med(f.family), test: `record-${f.rule}` },
    h(
      'div',
      { class: 'stack' },
      f.actions.includes('check-eye') && h(LinkButton, { href: link('check'), wide: true }, t('check.title')),
      h(Steps, { app, f }),
    ),
  );
}
