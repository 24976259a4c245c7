// Before a window that nobody uses is locked: the warning, two minutes before,
// and what keeps it open. And what stands over a locked one: what was typed in it
// stays, unseen, for the same person.

import * as api from '../api.js';
import { h, useAction, useEffect, useRef, useState } from '../dom.js';
import { say } from '../said.js';
import { SignIn } from './sign-in.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */
/** @import { ComponentChildren } from '../../vendor/preact.js' */

const IDLE_MS = 30 * 60000; // SessionIdle of the server
const WARN_MS = 2 * 60000; // WCAG 2.2, 2.2.1 asks for 20 seconds at least
const TOUCH_MS = 5 * 60000; // how often typing alone is told to the server
const LOOK_MS = 5000;

/** Warns, and tells the server of somebody who types for long without asking it anything. */
export function Idle() {
  const [warned, setWarned] = useState(false);
  const stay = useAction();
  const was = useRef(/** @type {Element|null} */ (null)); // what had the focus when the warning came
  const again = () =>
    stay.run(async () => {
      await api.me();
      setWarned(false);
      setTimeout(() => was.current instanceof HTMLElement && was.current.focus());
    });
  useEffect(() => {
    const look = () => {
      const idle = Date.now() - api.lastUsed();
      const soon = idle > IDLE_MS - WARN_MS && idle < IDLE_MS;
      setWarned(before => {
        if (soon && !before) was.current = document.activeElement;
        return soon;
      });
    };
    const touch = () => {
      const idle = Date.now() - api.lastUsed();
      if (idle > TOUCH_MS && idle < IDLE_MS - WARN_MS) void api.me().catch(() => {});
    };
    const timer = setInterval(look, LOOK_MS);
    ['keydown', 'pointerdown'].forEach(type => addEventListener(type, touch));
    return () => {
      clearInterval(timer);
      ['keydown', 'pointerdown'].forEach(type => removeEventListener(type, touch));
    };
  }, []);
  return h(
    'div',
    { role: 'alert' },
    warned &&
      h(
        'div',
        { class: 'trouble idle', 'data-test': 'idle' },
        h(
          'p',
          null,
          tr(
            'Nobody has used this window for 28 minutes. In two minutes it is locked. What is typed here stays for you.',
          ),
        ),
        h(
          'button',
          { type: 'button', 'data-test': 'idle-stay', disabled: stay.busy, onClick: again },
          tr('Stay signed in'),
        ),
      ),
  );
}

/**
 * The console, out of sight and of reach while its window is locked.
 * @param {{me: Me, show: (awake: boolean) => ComponentChildren}} props
 */
export function Lock({ me, show }) {
  const [locked, setLocked] = useState(false);
  const was = useRef(/** @type {Element|null} */ (null));
  useEffect(() => {
    api.onAsleep(() => {
      was.current ??= document.activeElement;
      setLocked(true);
    });
  }, []);
  const open = async () => {
    const now = await api.me();
    if (now.person.id !== me.person.id) {
      location.reload(); // what was typed is another's
      return;
    }
    setLocked(false);
    setTimeout(() => {
      if (was.current instanceof HTMLElement) was.current.focus();
      was.current = null;
      say(tr('Signed in again. What was typed here is still here.'));
    });
  };
  return [
    h('div', { key: 'console', hidden: locked, inert: locked }, show(!locked)),
    locked &&
      h(SignIn, {
        key: 'sign-in',
        message: tr('Nobody has used this window for 30 minutes. Sign in: what you typed is kept for you.'),
        done: () => void open(),
      }),
  ];
}
