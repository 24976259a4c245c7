// How a member of staff hears of an alert: each device and the mail address, with
// a test of it. A test counts once the device has shown it, or the number in the
// mail was read, and not when a push service or a mail server took it.

import * as api from '../api.js';
import { Field, h, useAction, useEffect, useState } from '../dom.js';
import { moment } from '../format.js';
import { point, tr } from '../text.js';

/** @import { Reach, StaffMember } from '../api.js' */

const LOOK_MS = 3000;
const LOOKS = 20;

/** @param {Reach} r @param {string} zone @param {string} arrived the word of it */
function delivery(r, zone, arrived) {
  if (!r.sent) return tr('never tested');
  if (!r.arrived) return tr('test sent {date}, not {arrived} yet', { date: moment(r.sent, zone), arrived });
  return tr('test {arrived} {date}', { arrived, date: moment(r.arrived, zone) });
}

/** @param {{of: StaffMember, zone: string, look: () => void}} props look: fetches the list again */
export function Reached({ of, zone, look }) {
  return h(
    'div',
    { class: 'reached' },
    of.devices.map(d => h(Line, { key: d.name, of: d, text: `${d.name}: ${delivery(d, zone, tr('shown'))}` })),
    !of.devices.length &&
      of.role !== 'administrator' &&
      h('p', { class: 'overdue' }, tr('No device with notifications on.')),
    of.devices.length > 0 && h(TrialPush, { of, look }),
    of.mail
      ? h(Line, { of: of.mail_test, text: `${of.mail}${point(': ')}${delivery(of.mail_test, zone, tr('arrived'))}` })
      : of.role !== 'administrator' && h('p', { class: 'overdue' }, tr('No mail address.')),
    of.mail && h(TrialMail, { of, look }),
  );
}

/** @param {{of: Reach, text: string}} props */
const Line = ({ of, text }) => h('p', { class: of.arrived ? '' : 'quiet', 'data-test': 'reach' }, text);

/** Sends a test notification, and looks whether it was shown. @param {{of: StaffMember, look: () => void}} props */
function TrialPush({ of, look }) {
  const [left, setLeft] = useState(0);
  const [why, setWhy] = useState(/** @type {string[]} */ ([]));
  const action = useAction();
  const waits = of.devices.some(d => d.sent && !d.arrived);
  useEffect(() => {
    if (!left || !waits) return undefined;
    const timer = setTimeout(() => {
      look();
      setLeft(left - 1);
    }, LOOK_MS);
    return () => clearTimeout(timer);
  }, [left, waits]);
  const send = () =>
    action.run(async () => {
      const { sent } = await api.trialPush(of.id);
      setWhy(sent.filter(s => s.why).map(s => `${s.device}${point(': ')}${s.why}.`));
      setLeft(LOOKS);
      look();
    });
  return [
    h(
      'button',
      {
        type: 'button',
        'data-test': 'trial-push',
        'aria-label': tr('Test notification: {name}', { name: of.name }),
        disabled: action.busy,
        onClick: send,
      },
      tr('Test notification'),
    ),
    (action.error || why.length > 0) &&
      h('p', { class: 'trouble', role: 'alert' }, action.error?.message ?? why.join(' ')),
  ];
}

/** The owner, who is of no list of people. @param {{mail: string, test: Reach, zone: string}} props */
export function OwnerMail({ mail, test, zone }) {
  const [looked, setLooked] = useState(/** @type {Reach|null} */ (null));
  const now = looked ?? test;
  const look = async () => setLooked((await api.settings()).owner_test);
  return h(
    'section',
    { class: 'card reached', 'data-test': 'owner-mail' },
    h('h2', null, tr('Mail of the owner')),
    h(Line, { of: now, text: `${mail}${point(': ')}${delivery(now, zone, tr('arrived'))}` }),
    h(TrialMail, { of: { id: 'owner', name: tr('the owner'), mail_test: now }, look }),
  );
}

/** Sends a test mail, and takes the number that stands in it. @param {{of: Pick<StaffMember, 'id'|'name'|'mail_test'>, look: () => void}} props */
function TrialMail({ of, look }) {
  const [sent, setSent] = useState(false);
  const [number, setNumber] = useState('');
  const action = useAction();
  const send = () =>
    action.run(async () => {
      await api.trialMail(of.id);
      setSent(true);
      look();
    });
  /** @param {Event} e */
  const enter = e => {
    e.preventDefault();
    action.run(async () => {
      await api.mailArrived(number);
      setSent(false);
      setNumber('');
      look();
    });
  };
  const trouble = action.error && h('p', { class: 'trouble', role: 'alert' }, action.error.message);
  const button = h(
    'button',
    {
      type: 'button',
      'data-test': 'trial-mail',
      'aria-label': tr('Test mail: {name}', { name: of.name }),
      disabled: action.busy,
      onClick: send,
    },
    sent ? tr('Send again') : tr('Test mail'),
  );
  if (!sent && (!of.mail_test.sent || of.mail_test.arrived)) return [button, trouble];
  return h(
    'form',
    { onSubmit: enter },
    h(
      'p',
      { role: 'status' },
      tr('The mail server took it. It has arrived once {name} reads the code in it.', { name: of.name }),
    ),
    h(
      Field,
      { label: tr('Code in the mail, six letters and digits') },
      h('input', {
        type: 'text',
        required: true,
        maxLength: 20, // blanks around it are not counted
        autoComplete: 'off',
        value: number,
        'data-test': 'trial-number',
        onInput: (/** @type {Event} */ e) => setNumber(/** @type {HTMLInputElement} */ (e.target).value),
      }),
    ),
    trouble,
    h(
      'div',
      { class: 'buttons' },
      h('button', { class: 'primary', disabled: action.busy }, tr('It has arrived')),
      button,
    ),
  );
}
