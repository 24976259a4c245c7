// By when the practice looks at a stop of its own again, the same on every page.

import { h } from '../dom.js';
import { day } from '../format.js';
import { tr } from '../text.js';

/** @param {{on: string, today: string}} props dates; today: the practice's */
export const ReviewBy = ({ on, today }) =>
  h(
    'span',
    { class: on <= today ? 'review-by overdue' : 'review-by', 'data-test': 'review-due' },
    on < today
      ? tr('review was due {date}', { date: day(on) })
      : on === today
        ? tr('review due today')
        : tr('review by {date}', { date: day(on) }),
  );
