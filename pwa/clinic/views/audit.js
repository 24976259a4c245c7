// Who saw or changed what, for an administrator: ids and deeds, no names of
// families and nothing clinical.

import * as api from '../api.js';
import { h, Trouble, useLoad, useState } from '../dom.js';
import { dated } from '../format.js';

/** @import { Me } from '../api.js' */

/** @param {{me: Me}} props */
export function Audit({ me }) {
  const [before, setBefore] = useState(0);
  const got = useLoad(() => api.audit(before), `audit ${before}`);
  return h(
    'div',
    { class: 'audit' },
    h('h1', null, 'Audit log'),
    h(
      'p',
      { class: 'quiet' },
      'Families and wearers stand as ids. Each line is chained to the one before, so that none can be changed or taken out unseen.',
    ),
    !!got.data?.cut &&
      h(
        'p',
        { class: 'quiet' },
        `The log begins at line ${got.data.cut + 1}: the time of those before was over, and a line says who cut them off.`,
      ),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data &&
      !got.data.broken &&
      got.data.lines.length > 0 &&
      h(
        'p',
        { role: 'status' },
        `Lines ${got.data.lines[got.data.lines.length - 1].seq} to ${got.data.lines[0].seq} fit the chain.`,
      ),
    got.data &&
      got.data.broken > 0 &&
      h(
        'p',
        { class: 'trouble', role: 'alert' },
        `Line ${got.data.broken} does not fit the chain: somebody has changed the data file. Keep a copy of it and ask whoever runs the server.`,
      ),
    h(
      'div',
      { class: 'scroll', tabIndex: 0, role: 'region', 'aria-label': 'Audit log' },
      h(
        'table',
        { class: 'list stack', 'data-test': 'audit' },
        h(
          'thead',
          null,
          h(
            'tr',
            null,
            ['Line', 'When', 'Who', 'Did', 'What'].map(t => h('th', { scope: 'col', key: t }, t)),
          ),
        ),
        h(
          'tbody',
          null,
          got.data?.lines.map(l =>
            h(
              'tr',
              { key: l.seq, 'data-test': 'audit-row' },
              h('td', { class: 'same-line', 'data-is': 'Line' }, l.seq),
              h('td', { class: 'same-line date' }, dated(l.at, me.practice.zone)),
              h('td', null, l.name || l.who || 'the command line'),
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
      before > 0 && h('button', { type: 'button', onClick: () => setBefore(0) }, 'Newest'),
      !!got.data?.older && h('button', { type: 'button', onClick: () => setBefore(got.data?.older ?? 0) }, 'Older'),
    ),
  );
}
