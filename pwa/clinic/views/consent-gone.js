// That a family took its consent back, wherever somebody decides about its nights.

import { h } from '../dom.js';
import { tr } from '../text.js';

/** Nobody logs the nights any more. @param {{of: {consent_withdrawn?: boolean}|undefined}} props */
export const ConsentGone = ({ of }) =>
  of?.consent_withdrawn
    ? h(
        'p',
        { class: 'trouble', 'data-test': 'consent-gone' },
        tr('Took their consent back: nothing they log is taken but reports of a sore eye.'),
      )
    : null;
