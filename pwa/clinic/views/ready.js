// The daily check: whether somebody watches, and would hear an alert tonight. The
// same list as the settings', the setting up and the first invitation.

import * as api from '../api.js';
import { h, Trouble, useEffect, useFollow, useLoad } from '../dom.js';
import { plural } from '../format.js';
import { link } from '../route.js';
import { Drills } from './drill.js';
import { StepCard } from './setup.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */

/** @param {{me: Me, changed: () => void}} props changed: asks again who is on duty */
export function Ready({ me, changed }) {
  const got = useLoad(api.settings, 'settings');
  const steps = got.data?.setup ?? [];
  useFollow(got.reload);
  useEffect(changed, [JSON.stringify(got.data?.rota)]);
  const open = steps.filter(s => s.open.length);
  const done = steps.filter(s => !s.open.length);
  return h(
    'div',
    { class: 'setup' },
    h('h1', null, tr('Daily check')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data &&
      h(
        'p',
        { role: 'status', 'data-test': 'check-state', class: open.length ? 'overdue' : '' },
        open.length
          ? tr('{are} not in order.{more}', {
              are: plural(open.length, 'thing is', 'things are'),
              more: open.some(s => s.invite) ? tr(' No new family is invited until those that say so are.') : '',
            })
          : tr('Nothing is known to be out of order: numbers, hours, rota, devices, mail, backup and the last drill.'),
      ),
    got.data && h(Drills, { me }),
    h(
      'ul',
      { class: 'setup-steps plain' },
      open.map(s => h(StepCard, { key: s.name, of: s })),
    ),
    done.length > 0 &&
      h(
        'section',
        { class: 'card', 'data-test': 'check-done' },
        h('h2', null, tr('In order')),
        h(
          'ul',
          null,
          done.map(s => h('li', { key: s.name }, s.name)),
        ),
      ),
  );
}

/** One line for the head of the day's page, of the same height whatever it says. */
export function CheckLine() {
  const got = useLoad(api.settings, 'settings');
  useFollow(got.reload, 60_000);
  const open = (got.data?.setup ?? []).filter(s => s.open.length);
  const invite = open.some(s => s.invite);
  return h(
    'p',
    { class: 'check-line', 'data-test': 'check-line' },
    h('a', { href: link('check') }, tr('Daily check')),
    got.data &&
      (open.length
        ? tr(': {n} not in order{more}', { n: open.length, more: invite ? tr(', no new family is invited') : '' })
        : tr(': in order')),
  );
}
