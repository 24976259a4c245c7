// Going through a long list page by page; the page stands in the address.

import { h } from '../dom.js';
import { tr } from '../text.js';

/**
 * @param {{page: number, pages: number, go: (page: number) => void, label: string}} props
 */
export function Pages({ page, pages, go, label }) {
  if (pages <= 1) return null;
  return h(
    'nav',
    { class: 'pages', 'aria-label': label },
    h('button', { type: 'button', disabled: page <= 1, onClick: () => go(page - 1) }, tr('Page before')),
    h('span', null, tr('Page {page} of {pages}', { page, pages })),
    h(
      'button',
      { type: 'button', disabled: page >= pages, onClick: () => go(page + 1), 'data-test': 'next-page' },
      tr('Next page'),
    ),
  );
}
