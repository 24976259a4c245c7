// Says that a new emergency would not be heard in this window yet, larger than
// anything else: the click that takes it away is the one the browser waits for.

import { h, useEffect, useState } from '../dom.js';
import { onSound, silent } from '../sound.js';
import { tr } from '../text.js';

export function Silence() {
  const [on, set] = useState(silent());
  useEffect(() => onSound(() => set(false)), []);
  if (!on) return null;
  return h(
    'button',
    { type: 'button', class: 'silence', 'data-test': 'silence' },
    h('strong', null, tr('No sound yet. Click here.')),
    h(
      'span',
      null,
      tr('The browser keeps this window silent until it is clicked once, so a new emergency would not ring.'),
    ),
  );
}
