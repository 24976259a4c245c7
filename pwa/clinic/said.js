// What has just happened, for whoever does not see it: the console's one live
// region, which stands before it has anything to say.

import { h, useEffect, useState } from './dom.js';

/** @type {(text: string) => void} */
let hear = () => {};

/** Has a screen reader say something, whatever page is open. @param {string} text */
export const say = text => hear(text);

export function Said() {
  const [text, set] = useState('');
  useEffect(() => {
    // The same words again are another thing said: a space more, and they are read.
    hear = next => set(was => (next && was === next ? `${next}\u00a0` : next));
    return () => {
      hear = () => {};
    };
  }, []);
  return h('p', { class: 'hidden', role: 'status', 'data-test': 'live' }, text);
}
