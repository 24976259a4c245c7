// Settings: language, notifications with a test that must arrive, keeping the
// app on the home screen, this phone, the clinic, the family.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, Card, LinkButton, Notice, Told } from '../../ui/parts.js';
import { planOn, tonight } from '../app.js';
import { call } from '../data/api.js';
import { installed, offered, onOffer, webkit } from '../install.js';
import { apple } from './ios-steps.js';
import { link } from '../route.js';
import { Calls } from './calls.js';
import { HomeScreen } from './iphone.js';
import { LangChoice } from './join.js';
import { Privacy } from './privacy.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export const More = ({ app, arg }) => h(arg === 'privacy' ? Privacy : Settings, { app });

/** @param {{app: App}} props */
function Settings({ app }) {
  const s = app.state;
  const { t } = s.words;
  const plan = planOn(s, tonight(s));
  const c = s.family?.contacts;
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('more.title')),
    s.update &&
      h(
        Notice,
        { kind: 'good' },
        h('p', null, t('more.version')),
        h(Button, { kind: 'main', onPress: update, test: 'update' }, t('more.update')),
      ),
    h(
      Card,
      { title: t('more.language') },
      h(LangChoice, { app }),
      !s.words.reviewed && h('p', { class: 'small' }, t('more.review')),
    ),
    apple() && h(Install, { app }), // there, nothing is notified before
    h(Notify, { app }),
    h(LinkButton, { href: link('reminders'), wide: true, test: 'to-reminders' }, t('reminders.title')),
    !apple() && h(Install, { app }),
    h(
      Card,
      { title: t('more.device') },
      h('p', null, t('more.device.who', { name: s.family?.person.name ?? '' })),
      h('p', { class: 'quiet', 'data-test': 'kept' }, s.words.t(s.persisted ? 'keep.yes' : 'keep.no')),
      webkit() && h('p', { class: 'quiet', 'data-test': 'kept-webkit' }, s.words.t('keep.webkit')),
      !s.persisted && h(Button, { onPress: app.keep, test: 'keep' }, s.words.t('keep.ask')),
      h(
        'p',
        { class: 'quiet' },
        t('more.zone', { zone: s.zone }),
        plan?.quiet_from && plan.quiet_to
          ? ` ${t('more.quiet', { from: s.words.clock(plan.quiet_from), to: s.words.clock(plan.quiet_to) })}`
          : '',
      ),
      h(
        'div',
        { class: 'row' },
        h(LinkButton, { href: link('unsent'), test: 'to-unsent' }, t('unsent.title')),
        h(LinkButton, { href: link('devices'), test: 'to-devices' }, t('devices.open')),
      ),
    ),
    h(
      Card,
      { title: t('more.people') },
      h(
        'ul',
        { class: 'plain-list' },
        s.family?.people.map(p => h('li', { key: p.id }, p.name)),
      ),
      h(LinkButton, { href: link('more', 'privacy'), test: 'to-privacy' }, t('privacy.title')),
    ),
    c && h('section', { class: 'stack', 'data-test': 'contacts' }, h('h2', null, t('more.contacts')), h(Calls, { s })),
    h('p', { class: 'quiet' }, t('more.about')),
  );
}

/** The waiting version takes over on this tap only, never under a form. */
export function update() {
  navigator.serviceWorker.addEventListener('controllerchange', () => location.reload(), { once: true });
  void navigator.serviceWorker.getRegistration().then(r => r?.waiting?.postMessage('take-over'));
}

/**
 * Notifications: why, then the permission on a tap, then a test message at once,
 * which counts only when it has come. A question that was left without an answer
 * is not a refusal, and can be asked again.
 * @param {{app: App, onArrived?: () => void}} props
 */
export function Notify({ app, onArrived }) {
  const { t } = app.state.words;
  const able = 'serviceWorker' in navigator && 'PushManager' in window && 'Notification' in window;
  const [state, setState] = useState(able ? Notification.permission : 'none');
  const [said, setSaid] = useState('');
  const [arrived, setArrived] = useState(false);
  const failed = (/** @type {any} */ e) =>
    e?.code === 'offline' ? t('notify.offline') : t('more.notify.failed', { why: e instanceof Error ? e.message : '' });
  const attempt = (/** @type {() => Promise<string>} */ job) => job().then(setSaid, e => setSaid(failed(e)));
  const on = async () => {
    setSaid(t('notify.asking'));
    const answer = await Notification.requestPermission();
    setState(answer);
    if (answer === 'denied') return '';
    if (answer !== 'granted') return t('notify.unanswered');
    app.keep();
    return test();
  };
  const test = async () => {
    setArrived(false); // it may come before the server has answered
    const sub = await subscription(app).catch(() => null);
    if (!sub) return t('notify.unsubscribed');
    await call('POST', '/api/push/subscription', {
      endpoint: sub.endpoint,
      p256dh: sub.keys?.p256dh,
      auth: sub.keys?.auth,
    });
    await call('POST', '/api/push/test', {});
    return t('more.notify.sent');
  };
  useEffect(() => {
    if (!able) return undefined;
    const hear = (/** @type {MessageEvent} */ e) => {
      if (e.data?.shown !== 'test') return;
      setArrived(true);
      onArrived?.();
    };
    const look = () => setState(Notification.permission); // answered or changed in the browser's own settings
    navigator.serviceWorker.addEventListener('message', hear);
    addEventListener('focus', look);
    return () => {
      navigator.serviceWorker.removeEventListener('message', hear);
      removeEventListener('focus', look);
    };
  }, []);
  return h(
    Card,
    { title: t('more.notify') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t('more.notify.why')),
      apple() && !installed()
        ? h(Notice, null, t('ios.why.push'))
        : state === 'none'
          ? h(Notice, null, t('more.notify.none'))
          : state === 'denied'
            ? h(Notice, { kind: 'urgent', test: 'push-denied' }, t('more.notify.denied'))
            : state === 'granted'
              ? h(Button, { onPress: () => void attempt(test), test: 'push-test' }, t('more.notify.test'))
              : h(Button, { kind: 'main', onPress: () => void attempt(on), test: 'push-on' }, t('more.notify.on')),
      (arrived || said) && h(Told, { cls: '', test: 'push-said' }, arrived ? t('more.notify.arrived') : said),
    ),
  );
}

/** @param {App} app @returns {Promise<PushSubscriptionJSON>} that of before, or a new one; rejects where the browser's message service cannot be had */
async function subscription(app) {
  if (!(await navigator.serviceWorker.getRegistration())) throw new Error('no worker');
  const worker = await navigator.serviceWorker.ready;
  const key = app.state.family?.vapid ?? '';
  const raw = Uint8Array.from(atob(key.replace(/-/g, '+').replace(/_/g, '/')), c => c.charCodeAt(0));
  return (
    (await worker.pushManager.getSubscription()) ??
    (await worker.pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: raw }))
  ).toJSON();
}

/** How the app gets on the home screen: in each kind of browser another way. @param {{app: App}} props */
export function Install({ app }) {
  const { t } = app.state.words;
  const [, turn] = useState(0);
  useEffect(() => onOffer(() => turn(n => n + 1)), []);
  const offer = offered();
  if (installed()) return null;
  if (apple()) return h(HomeScreen, { app });
  const how = /Android|Mobile/.test(navigator.userAgent) ? 'more.install.how' : 'first.computer';
  return h(
    Card,
    { title: t('more.install') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t(how)),
      h('p', { class: 'quiet' }, app.state.words.t('keep.private')),
      offer && h(Button, { onPress: () => void offer.prompt(), test: 'install' }, t('more.install.button')),
    ),
  );
}
