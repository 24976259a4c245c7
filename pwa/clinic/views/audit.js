// Who saw or changed what, for an administrator: ids and deeds, no names of
// families and nothing clinical.

import * as api from '../api.js';
import { h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { dated } from '../format.js';
import { confirming } from '../passkeys.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */

/** @param {{me: Me}} props */
export function Audit({ me }) {
  const [before, setBefore] = useState(0);
  const got = useLoad(() => api.audit(before), `audit ${before}`);
  return h(
    'div',
    { class: 'audit' },
    h('h1', null, tr('Audit log')),
    h(
      'p',
      { class: 'quiet' },
      tr(
        'Families and wearers stand as ids. Each line is chained to the one before, so that none can be changed or taken out unseen.',
      ),
    ),
    !!got.data?.cut &&
      h(
        'p',
        { class: 'quiet' },
        tr('The log begins at line {cut}: the time of those before was over, and a line says who cut them off.', {
          cut: got.data.cut + 1,
        }),
      ),
    got.data?.lacks && h(Lacks, { done: got.reload }),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data &&
      !got.data.broken &&
      got.data.lines.length > 0 &&
      h(
        'p',
        { role: 'status' },
        tr('Lines {seq} to {seq2} fit the chain.', {
          seq: got.data.lines[got.data.lines.length - 1].seq,
          seq2: got.data.lines[0].seq,
        }),
      ),
    got.data &&
      got.data.broken > 0 &&
      h(
        'p',
        { class: 'trouble', role: 'alert' },
        tr(
          'Line {broken} does not fit the chain: somebody has changed the data file. Keep a copy of it and ask whoever runs the server.',
          { broken: got.data.broken },
        ),
      ),
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': tr('Audit log') },
      h(
        'table',
        { class: 'list stack', 'data-test': 'audit' },
        h(
          'thead',
          null,
          h(
            'tr',
            null,
            [tr('Line'), tr('When'), tr('Who'), tr('Did'), tr('What')].map(t => h('th', { scope: 'col', key: t }, t)),
          ),
        ),
        h(
          'tbody',
          null,
          got.data?.lines.map(l =>
            h(
              'tr',
              { key: l.seq, 'data-test': 'audit-row' },
              h('td', { class: 'same-line', 'data-is': tr('Line') }, l.seq),
              h('td', { class: 'same-line date' }, dated(l.at, me.practice.zone)),
              h('td', null, l.name || l.who || tr('the command line')),
              h('td', null, l.did),
              h('td', null, h('code', null, l.what)),
            ),
          ),
        ),
      ),
    ),
    h(
      'p',
      { class: 'buttons' },
      before > 0 && h('button', { type: 'button', onClick: () => setBefore(0) }, tr('Newest')),
      !!got.data?.older && h('button', { type: 'button', onClick: () => setBefore(got.data?.older ?? 0) }, tr('Older')),
    ),
  );
}

/** After a restore, until somebody says that all it took back is seen to. @param {{done: () => void}} props */
function Lacks({ done }) {
  const action = useAction();
  return h(
    'section',
    { class: 'card warn-box', 'data-test': 'lacks' },
    h(
      'p',
      null,
      tr(
        'A backup or an older file was put back. Lines that begin with “not in the backup” say what was done after it had been made: look at each, and do it again where it still holds. Where there are none, nobody knows: look through staff, families, plans, closings, bookings and settings of the days before.',
      ),
    ),
    action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message),
    h(
      'button',
      {
        type: 'button',
        'data-test': 'lacks-seen',
        disabled: action.busy,
        onClick: () =>
          action.run(async () => {
            await confirming(api.seenToLacks);
            done();
          }),
      },
      tr('All of it is seen to'),
    ),
  );
}
