// Web Push for this browser: turned on by hand, proved by a test message.

import * as api from '../api.js';
import { h, useAction, useState } from '../dom.js';
import { bytesOf } from '../passkeys.js';
import { tr } from '../text.js';

/** @import { Me } from '../api.js' */

/** @typedef {{createPolicy: (name: string, rules: {createScriptURL: (url: string) => string}) => {createScriptURL: (url: string) => string}}} TrustedTypes */

/** The address of the service worker; made once, since a policy can be. */
let worker = '';

/** @returns {string} the worker's address, in the form Trusted Types ask for */
function workerUrl() {
  const types = /** @type {{trustedTypes?: TrustedTypes}} */ (globalThis).trustedTypes;
  worker ||= types
    ? types
        .createPolicy('nightkeep', { createScriptURL: url => (url === '/sw.js' ? url : '') })
        .createScriptURL('/sw.js')
    : '/sw.js';
  return worker;
}

/** @param {string} vapidKey */
async function turnOn(vapidKey) {
  if ((await Notification.requestPermission()) !== 'granted')
    throw new Error(
      tr('This browser does not allow notifications. Change it in the browser’s settings for this page.'),
    );
  await navigator.serviceWorker.register(workerUrl());
  const ready = await navigator.serviceWorker.ready;
  const subscription = await ready.pushManager
    .subscribe({ userVisibleOnly: true, applicationServerKey: bytesOf(vapidKey) })
    .catch(() => {
      throw new Error(
        tr(
          'This browser’s push service does not answer, so no alert can reach it while it is closed. Try again later, or use another browser or device.',
        ),
      );
    });
  await api.subscribe(subscription.toJSON());
}

/** @param {{me: Me}} props */
export function PushSwitch({ me }) {
  const [on, setOn] = useState(me.push);
  const action = useAction();
  if (!('serviceWorker' in navigator && 'PushManager' in window))
    return h('p', { class: 'quiet' }, tr('This browser cannot receive alerts while closed.'));
  return h(
    'div',
    { class: 'push' },
    on
      ? h(
          'button',
          { type: 'button', disabled: action.busy, onClick: () => action.run(api.testPush) },
          tr('Send a test alert here'),
        )
      : h(
          'button',
          {
            type: 'button',
            disabled: action.busy,
            onClick: () =>
              action.run(async () => {
                await turnOn(me.vapid_key);
                setOn(true);
              }),
          },
          tr('Receive alerts on this device'),
        ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
