// The numbers at which a family is reached, beside a row.
import { h } from '../dom.js';
import { tel } from '../../ui/tel.js';
import { tr } from '../text.js';

/** Each number, one tap to dial, and whose it is. @param {{list?: {name: string, phone: string}[]}} props */
export const Phones = ({ list = [] }) =>
  list.map(p =>
    h(
      'span',
      { class: 'call-phone', key: p.phone },
      h(
        'a',
        { href: tel(p.phone), 'aria-label': tr('Telephone {name}: {phone}', { name: p.name, phone: p.phone }) },
        p.phone,
      ),
      h('span', { class: 'quiet' }, ` ${p.name}`),
    ),
  );
