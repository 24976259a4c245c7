// Said when this phone found its log cleared: what is back, what only it had,
// and the check of the eyes that is asked for until it is done, because a stop
// that only this phone knew of may be lost.
import { h } from '../../ui/dom.js';
import { LinkButton, Notice } from '../../ui/parts.js';
import { written } from '../model/report.js';
import { link } from '../route.js';
import { PHONE } from '../text/phone.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Cleared({ app }) {
  const s = app.state;
  const words = PHONE[s.words.lang];
  const checked = [...s.records.values()].some(
    ({ entry: e }) => e.kind === 'symptoms' && e.wearer === s.wearer && written(e) > s.cleared,
  );
  if (checked) return null;
  return h(
    Notice,
    { kind: 'alarm', test: 'cleared' },
    h('h2', null, words['cleared.title']),
    h('p', null, words['cleared.back']),
    h('p', null, words['cleared.lost']),
    h('p', null, h('strong', null, words['cleared.wear'])),
    h(LinkButton, { href: link('check'), kind: 'main', big: true, test: 'cleared-check' }, words['cleared.check']),
  );
}
