// A form that was left half typed, open again: what stands in it is no record yet.

import { h } from '../dom.js';
import { tr } from '../text.js';

/** @param {{test: string, forget?: () => void}} props forget: shows what is stored; a form with a button to leave it needs none */
export const Half = ({ test, forget }) =>
  h(
    'div',
    { class: 'notice', role: 'status', 'data-test': test },
    h('p', null, tr('What you typed stands here; it is not saved yet.')),
    forget &&
      h(
        'button',
        { type: 'button', 'data-test': 'half-forget', onClick: forget },
        tr('Show what is stored, without it'),
      ),
  );
