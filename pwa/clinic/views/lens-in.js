// A lens that is in an eye which may have none, the same on every page: until it is
// logged out.

import { h } from '../dom.js';
import { day } from '../format.js';
import { Phones } from './phones.js';
import { point, tr } from '../text.js';

/** @import { LensIn as In } from '../types.js' */

/** One line for each lens, or for both where they went in together. @param {In[]} list */
function linesOf(list) {
  const since = (/** @type {In} */ l) => {
    const date = day(l.on ?? l.night);
    return l.at ? `${date}${point(', ')}${l.at}` : date;
  };
  const line = (/** @type {'both'|'right'|'left'} */ eye, /** @type {In} */ l) =>
    ({
      both: tr('Both lenses are in since {since} and are not logged out', { since: since(l) }),
      right: tr('The right lens is in since {since} and is not logged out', { since: since(l) }),
      left: tr('The left lens is in since {since} and is not logged out', { since: since(l) }),
    })[eye];
  if (list.length === 2 && since(list[0]) === since(list[1])) return [line('both', list[0])];
  return list.map(l => line(l.eye, l));
}

/** @param {{list?: In[]}} props */
export const LensInTag = ({ list }) =>
  list?.length ? h('span', { class: 'tag emergency', 'data-test': 'lens-in-tag' }, tr('Lens in')) : null;

/** @param {{list?: In[], phones?: {name: string, phone: string}[]}} props */
export const LensIn = ({ list, phones }) =>
  list?.length
    ? h(
        'p',
        { class: 'lens-in', 'data-test': 'lens-in' },
        linesOf(list).map(line => h('b', { key: line }, `${line}. `)),
        h(Phones, { list: phones }),
      )
    : null;
