// A lens was lost and none is in its place: what to do, and whom to phone.
import { h } from '../../ui/dom.js';
import { LinkButton, Notice } from '../../ui/parts.js';
import { tel } from '../../ui/tel.js';
import { lostOf } from '../app.js';
import { link } from '../route.js';
import { Fell } from './fell.js';

/** @import { App } from '../app.js' */

/**
 * What stands above the one thing to do: that far sight fell, and a lens that was lost.
 * Home fetches both as one.
 * @param {Parameters<typeof LensLost>[0]} props
 */
export const Lost = props => [
  h(Fell, { app: props.app, at: 'top', key: 'fell' }),
  h(LensLost, { ...props, key: 'lost' }),
];

/** @param {{app: App, brief?: boolean, beside?: boolean}} props brief: among other children; beside: the screen has the numbers already */
function LensLost({ app, brief, beside }) {
  const s = app.state;
  const { t } = s.words;
  const c = s.family?.contacts;
  const list = lostOf(s);
  if (!list.length) return null;
  const eye = list.length === 2 ? 'both' : list[0].eye;
  return h(
    'div',
    { class: 'stack', 'data-test': 'lens-lost' },
    h(
      Notice,
      { kind: 'urgent' },
      h('p', null, h('strong', null, t(`lost.${eye}`))),
      h('p', null, t('lost.do')),
      list.some(x => x.spare) && h('p', null, t('lost.spare')),
      !brief && h(LinkButton, { href: link('supplies'), test: 'lost-supplies' }, t('supplies.title')),
    ),
    c?.phone &&
      !beside &&
      h(
        'a',
        { class: 'btn wide call', href: tel(c.phone), 'data-test': 'call-clinic' },
        t('advice.call', { who: c.clinic }),
      ),
  );
}
