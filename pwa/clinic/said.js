// What has just happened, for whoever does not see it: the console's one live
// region, which stands before it has anything to say.

import { h, useEffect, useState } from './dom.js';

/** @type {(text: string) => void} */
let hear = () => {};

/** Has a screen reader say something, whatever page is open. @param {string} text */
export const say = text => hear(text);

const JUST_MS = 1000;

export function Said() {
  const [text, set] = useState('');
  useEffect(() => {
    let at = 0;
    // The same words again are another thing said: a space more, and they are read.
    hear = next => {
      at = Date.now();
      set(was => (next && was === next ? `${next}\u00a0` : next));
    };
    // What was said of one page is no news of the next, but for a deed that leads there.
    const leave = () => {
      if (Date.now() - at > JUST_MS) set('');
    };
    addEventListener('hashchange', leave);
    return () => {
      hear = () => {};
      removeEventListener('hashchange', leave);
    };
  }, []);
  return h('p', { class: 'hidden no-print', role: 'status', 'data-test': 'live' }, text);
}
