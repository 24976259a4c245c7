// Setting the practice up: the steps in the order they are taken, each with why
// and what is still open. The command `check -setup` prints the same.

import * as api from '../api.js';
import { h, Trouble, useLoad } from '../dom.js';
import { plural } from '../format.js';
import { link } from '../route.js';
import { tr } from '../text.js';

/** @import { SetupStep } from '../api.js' */

/** @param {SetupStep[]} steps */
const openIn = steps => steps.filter(s => s.open.length);

/** The administrator's first page. */
export function Setup() {
  const got = useLoad(api.settings, 'settings');
  const steps = got.data?.setup ?? [];
  const open = openIn(steps);
  return h(
    'div',
    { class: 'setup' },
    h('h1', null, tr('Set up')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data &&
      h(
        'p',
        { role: 'status', 'data-test': 'setup-state' },
        open.length
          ? tr('{n} of {are} open. Take them in this order: later ones depend on earlier ones.', {
              n: open.length,
              are: plural(steps.length, 'step is', 'steps are'),
            })
          : tr('Every step is done. One that opens again is shown here, and at the head of your other pages.'),
      ),
    h(
      'ol',
      { class: 'setup-steps' },
      steps.map(s => h(StepCard, { key: s.name, of: s })),
    ),
    h(
      'p',
      { class: 'no-print' },
      tr('Then print, with your own numbers: '),
      h('a', { href: link('paper', 'staff') }, tr('the staff’s manual')),
      ', ',
      h('a', { href: link('paper', 'family') }, tr('the family’s manual')),
      ', ',
      h('a', { href: link('paper', 'fridge') }, tr('the sheets for when the app is no help')),
      '.',
    ),
  );
}

/** @param {{of: SetupStep}} props */
export const StepCard = ({ of }) =>
  h(
    'li',
    { class: of.open.length ? 'card warn-box' : 'card', 'data-test': 'setup-step' },
    h(
      'h2',
      null,
      of.page ? h('a', { href: link(of.page) }, of.name) : of.name,
      ' ',
      h('span', { class: of.open.length ? 'overdue' : 'quiet' }, of.open.length ? tr('Open') : tr('Done')),
    ),
    h('p', { class: 'quiet' }, of.why),
    of.invite && h('p', { class: 'overdue' }, tr('No new family is invited while this is open.')),
    of.open.length > 0 && h(Lines, { list: of.open }),
  );

/** @param {{list: string[]}} props */
const Lines = ({ list }) =>
  h(
    'ul',
    null,
    list.map(text => h('li', { key: text }, text)),
  );

/** What is open, above another page, which it must not push away. @param {{steps: SetupStep[]}} props */
export function SetupHere({ steps }) {
  const list = steps.flatMap(s => s.open);
  if (!list.length) return null;
  return h(
    'details',
    { class: 'card warn-box no-print', open: innerWidth >= 960, 'data-test': 'not-set' },
    h('summary', null, tr('Not set yet: {things}', { things: plural(list.length, 'thing', 'things') })),
    h(Lines, { list }),
    h('p', null, h('a', { href: link('setup') }, tr('Open the steps of setting up'))),
  );
}
