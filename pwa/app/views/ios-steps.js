// The steps to the home screen of an iPhone or iPad, drawn.
import { h } from '../../ui/dom.js';
import { c, p, svg } from '../draw.js';

/** @import { App } from '../app.js' */

/** Whether this is an iPhone or an iPad, where a page gets no notifications before it stands on the home screen. */
export const apple = () =>
  /iPhone|iPad|iPod/.test(navigator.userAgent) || (/Mac/.test(navigator.userAgent) && navigator.maxTouchPoints > 1);

const round = 'M20 2h24a6 6 0 0 1 6 6v48a6 6 0 0 1-6 6H20a6 6 0 0 1-6-6V8a6 6 0 0 1 6-6z';
/** @type {Record<'share'|'add'|'open', () => any>} */
const drawn = {
  share: () => svg('0 0 64 64', [p('M24 24h-8v32h32V24h-8'), p('M32 40V6M22 16 32 6l10 10')]),
  add: () =>
    svg('0 0 64 64', [
      p('M14 10h36a4 4 0 0 1 4 4v36a4 4 0 0 1-4 4H14a4 4 0 0 1-4-4V14a4 4 0 0 1 4-4z'),
      p('M32 20v24M20 32h24'),
    ]),
  open: () => svg('0 0 64 64', [p(round), p('M38 32a8 8 0 1 1-7-11 6 6 0 0 0 7 11z'), c(32, 55, 1.5)]),
};

/** The steps, drawn. @param {{app: App}} props */
export function Steps({ app }) {
  return h(
    'ol',
    { class: 'plain-list drawn', 'data-test': 'ios-steps' },
    /** @type {('share'|'add'|'open')[]} */ (['share', 'add', 'open']).map(step =>
      h('li', { key: step, class: 'row' }, drawn[step](), h('span', null, app.state.words.t(`ios.step.${step}`))),
    ),
  );
}
