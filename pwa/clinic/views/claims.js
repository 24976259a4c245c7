// Decisions that only phones of the family hold: the file was put back from before its
// key, so that nothing here proves them. They are shown as what a phone says, and
// written anew by whoever decides it again.

import * as api from '../api.js';
import { h, useAction, useState } from '../dom.js';
import { capital, day, eyes } from '../format.js';
import { tr } from '../text.js';

/** @import { Claim } from '../types.js' */

/** The eyes of a claim, as entries name them. @param {Claim} c */
export const eyesOf = c => (c.eyes.length === 1 ? c.eyes[0] : 'both');

/** What a phone says of it. @param {Claim} c */
function saidIn(c) {
  const whose = capital(eyes(eyesOf(c)));
  if (c.kind === 'resume')
    return tr('{eyes}: lenses again from the night of {date}{more}.', {
      eyes: whose,
      date: day(c.from ?? ''),
      more: c.check ? tr(', after an eye check that day') : '',
    });
  return tr('No lens until your clinic says so here. ({eyes}; review by {date})', {
    eyes: whose,
    date: day(c.review_by ?? ''),
  });
}

/**
 * @param {object} props
 * @param {Claim[]} props.list newest first
 * @param {string} props.wearer
 * @param {boolean} props.may decide about wear
 * @param {(c: Claim) => void} props.write fill in the form with it
 * @param {() => void} props.done one was put away
 */
export const Claims = ({ list, wearer, may, write, done }) =>
  list.length
    ? h(
        'div',
        { class: 'trouble', 'data-test': 'claims' },
        h(
          'p',
          null,
          h(
            'b',
            null,
            tr('The family’s phones hold a decision that this data file does not know. Nothing here proves it.'),
          ),
        ),
        h(
          'ul',
          null,
          list.map(c => h(One, { key: c.id, c, wearer, may, write, done })),
        ),
      )
    : null;

/** @param {{c: Claim, wearer: string, may: boolean, write: (c: Claim) => void, done: () => void}} props */
function One({ c, wearer, may, write, done }) {
  const [asked, ask] = useState(false);
  const action = useAction();
  const away = () =>
    action.run(async () => {
      await api.dismissClaim(wearer, c.id);
      done();
    });
  return h(
    'li',
    null,
    h('p', { class: 'quiet' }, tr('Held by a phone: {name}, {date}', { name: c.by || '–', date: day(c.on) })),
    h('p', null, saidIn(c)),
    c.text && h('p', { dir: 'auto' }, `“${c.text}”`),
    may &&
      h(
        'p',
        { class: 'buttons' },
        h('button', { type: 'button', 'data-test': 'claim-write', onClick: () => write(c) }, tr('Write it anew')),
        asked
          ? h(
              'button',
              { type: 'button', 'data-test': 'claim-away-yes', disabled: action.busy, onClick: away },
              c.kind === 'cease' ? tr('Yes, put it away: no lens holds until a release') : tr('Yes, put it away'),
            )
          : h('button', { type: 'button', 'data-test': 'claim-away', onClick: () => ask(true) }, tr('Put away')),
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
