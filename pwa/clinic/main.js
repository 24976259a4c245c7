// The clinic console: signs in by the staff cookie, polls the alert queue and
// shows the page the address names.

import { keepFocus } from '../ui/focus.js';
import { keepSteady } from './steady.js';
import * as api from './api.js';
import {
  h,
  render,
  useEffect,
  useErrorBoundary,
  useLayoutEffect,
  useLoad,
  useRef,
  useState,
  asApiError,
  Trouble,
} from './dom.js';
import { eyes, title } from './format.js';
import { sayWhatIsWanted } from './invalid.js';
import { newEmergencies, unacknowledged, windowTitle } from './queue.js';
import { codeIn, link, parse } from './route.js';
import { Said, say } from './said.js';
import { tel } from '../ui/tel.js';
import { sound, soundWanted, wantSound } from './sound.js';
import { Silence } from './views/silence.js';
import { Account } from './views/account.js';
import { Arrived } from './views/arrived.js';
import { DrillGoesOn } from './views/drill.js';
import { Archive } from './views/archive.js';
import { Audit } from './views/audit.js';
import { Duties } from './views/duties.js';
import { Family } from './views/family.js';
import { FamilyNews } from './views/family-news.js';
import { Plan } from './views/plan.js';
import { Idle, Lock } from './views/idle.js';
import { Paper, SHEET_NAMES } from './views/paper.js';
import { Practice } from './views/practice.js';
import { Privacy } from './views/privacy.js';
import { Recalls } from './views/recalls.js';
import { Readers } from './views/readers.js';
import { Ready } from './views/ready.js';
import { Rules } from './views/rules.js';
import { Safety } from './views/safety.js';
import { Settings } from './views/settings.js';
import { Setup, SetupHere } from './views/setup.js';
import { SignIn } from './views/sign-in.js';
import { Staff } from './views/staff.js';
import { StaffNews } from './views/staff-news.js';
import { Suitability } from './views/suitability.js';
import { Today } from './views/today.js';
import { Visits } from './views/visits.js';
import { Course } from './views/course.js';
import { Wearer } from './views/wearer.js';
import { Wearers } from './views/wearers.js';
import { PushSwitch } from './views/push.js';
import { language, nearest, point, startsAgain, tr } from './text.js';

/** @import { Alert, Me, OnDuty } from './api.js' */
/** @import { Route } from './route.js' */

const POLL_MS = 5000;
const ME_MS = 60_000;
const PAGES = [
  ['setup', tr('Set up')],
  ['today', tr('Today')],
  ['wearers', tr('Wearers')],
  ['recalls', tr('Recalls')],
  ['suitability', tr('Suitability')],
  ['practice', tr('Practice')],
  ['family', tr('Families')],
  ['rules', tr('Alert rules')],
  ['safety', tr('Safety')],
  ['privacy', tr('Privacy')],
  ['check', tr('Daily check')],
  ['settings', tr('Settings')],
  ['staff', tr('Staff')],
  ['audit', tr('Audit log')],
];
/** The pages of somebody who runs the practice's systems but sees no wearer. */
const ADMINISTRATOR = [
  'setup',
  'check',
  'practice',
  'rules',
  'safety',
  'privacy',
  'paper',
  'readers',
  'settings',
  'staff',
  'audit',
  'account',
];
/** Pages that are not for everybody who sees wearers, and who they are for. */
const FOR = /** @type {Record<string, string>} */ ({
  wearer: 'clinician',
  suitability: 'clinician',
  setup: 'administrator',
  staff: 'administrator',
  audit: 'administrator',
});
const TITLES = /** @type {Record<string, string>} */ ({
  ...Object.fromEntries(PAGES),
  archive: tr('Closed alerts'),
  duties: tr('Duties'),
  paper: tr('On paper'),
  readers: tr('For readers'),
  wearer: tr('Before the recall'),
  plan: tr('Plan'),
  visits: tr('Visits'),
  course: tr('Lenses and course'),
  account: tr('Your sign-in'),
});

/** What the window is called: the page, and never whom it is about. @param {Route} route */
const titleOf = ({ view, arg }) =>
  (view === 'paper' && SHEET_NAMES[/** @type {keyof typeof SHEET_NAMES} */ (arg)]) ||
  (view === 'family' && arg && tr('Family')) ||
  TITLES[view];

/** @param {Me} me @param {string} view */
const mayOpen = (me, view) => !FOR[view] || FOR[view] === me.person.role;

/**
 * @typedef {object} Queue
 * @property {Alert[]} alerts
 * @property {OnDuty[]} duty who is on duty now, then the deputy
 * @property {number} now ms since 1970 by the server's clock at the last answer
 * @property {number} lost alerts and messages that cannot be read
 * @property {boolean} blind alerts of a file that was replaced may be open and not among these
 * @property {boolean} stale the last attempt failed
 * @property {boolean} loaded
 */

/**
 * Polls the queue every 5 seconds, whether the page is looked at or not: a tab
 * in the background still has to ring.
 * @param {(fresh: Alert[]) => void} onEmergency
 * @param {boolean} wanted false for a role that has no queue
 * @returns {[Queue, () => Promise<void>]} the queue, and a way to ask at once
 */
function useQueue(onEmergency, wanted) {
  const [queue, set] = useState(
    /** @type {Queue} */ ({
      alerts: [],
      duty: [],
      lost: 0,
      blind: false,
      now: Date.now(),
      stale: false,
      loaded: false,
    }),
  );
  const last = useRef(/** @type {Alert[]|null} */ (null));
  const ask = useRef(async () => {});
  useEffect(() => {
    if (!wanted) return undefined;
    let timer = 0;
    let live = true;
    const poll = async () => {
      clearTimeout(timer);
      try {
        const { alerts, duty, lost, blind, now } = await api.alerts();
        if (!live) return;
        const fresh = newEmergencies(last.current ?? [], alerts);
        if (fresh.length) onEmergency(fresh);
        last.current = alerts;
        set({ alerts, duty, lost, blind, now: Date.parse(now) || Date.now(), stale: false, loaded: true });
      } catch (e) {
        if (!live) return;
        const { status, code } = asApiError(e);
        if (status === 401 && code !== 'session-idle') {
          location.reload();
          return;
        }
        set(q => ({ ...q, stale: true }));
      }
      timer = window.setTimeout(poll, POLL_MS);
    };
    ask.current = poll;
    poll();
    return () => {
      live = false;
      clearTimeout(timer);
    };
  }, []);
  return [queue, () => ask.current()];
}

/** @returns {Route} the page the address names, following it */
function useRoute() {
  const [route, set] = useState(parse(location.hash));
  // At once: a link that is followed before the first effects run would be lost.
  useLayoutEffect(() => {
    const follow = () => set(parse(location.hash));
    addEventListener('hashchange', follow);
    return () => removeEventListener('hashchange', follow);
  }, []);
  return route;
}

/**
 * Keeps a fault on one page from taking the rest of the console with it.
 * @param {{me: Me, route: Route, queue: Queue, ask: () => Promise<void>, changed: () => void}} props
 */
function Guarded(props) {
  const [fault, again] = useErrorBoundary();
  if (!fault) return h(Page, props);
  return h(
    'p',
    { class: 'trouble', role: 'alert' },
    tr('This page could not be shown. The alerts go on being watched. '),
    h('button', { type: 'button', onClick: again }, tr('Try again')),
  );
}

/** @param {{me: Me, route: Route, queue: Queue, ask: () => Promise<void>, changed: () => void}} props */
function Page({ me, route, queue, ask, changed }) {
  if (!mayOpen(me, route.view)) return h(Refused, { view: route.view });
  const common = { me, route, key: `${route.view}/${route.arg}` };
  switch (route.view) {
    case 'wearers':
      return h(Wearers, common);
    case 'wearer':
      return h(Wearer, common);
    case 'suitability':
      return h(Suitability, common);
    case 'plan':
      return h(Plan, common);
    case 'visits':
      return h(Visits, common);
    case 'course':
      return h(Course, common);
    case 'practice':
      return h(Practice, common);
    case 'rules':
      return h(Rules, common);
    case 'privacy':
      return h(Privacy, common);
    case 'safety':
      return h(Safety, common);
    case 'paper':
      return h(Paper, common);
    case 'readers':
      return h(Readers, common);
    case 'family':
      return h(Family, common);
    case 'recalls':
      return h(Recalls, common);
    case 'archive':
      return h(Archive, { ...common, queue, ask });
    case 'duties':
      return h(Duties, common);
    case 'account':
      return h(Account, common);
    case 'check':
      return h(Ready, { ...common, changed });
    case 'setup':
      return h(Setup, common);
    case 'staff':
      return h(Staff, common);
    case 'audit':
      return h(Audit, common);
    case 'settings':
      return h(Settings, { ...common, changed });
    default:
      return h(Today, { ...common, queue, ask });
  }
}

/** Who, and the number. @param {{of: {name: string, phone?: string}[]}} props */
const Numbers = ({ of }) =>
  of.map((p, i) => [i > 0 && point(', '), p.name, p.phone && [' ', h('a', { href: tel(p.phone) }, p.phone)]]);

/** A page that is for another role, which an address that was kept or passed on can name. @param {{view: string}} props */
function Refused({ view }) {
  const who = FOR[view] === 'administrator' ? tr('an administrator') : tr('a clinician');
  return h(
    'div',
    null,
    h('h1', null, TITLES[view]),
    h('p', { class: 'trouble', role: 'alert' }, tr('This page is for {who}.', { who })),
  );
}

/**
 * What is not set yet, on every page of an administrator but those that show it. The
 * page waits for it, as it would move away under a hand otherwise.
 * @param {{me: Me, children?: import('../vendor/preact.js').ComponentChildren}} props
 */
function Unset({ me, children }) {
  const got = useLoad(api.settings, `settings of ${JSON.stringify(me.practice)}`);
  if (got.busy && !got.data) return h(Trouble, { busy: true });
  return [h(SetupHere, { steps: got.data?.setup ?? [] }), children];
}

/**
 * Who is signed in and what the practice says of itself, asked again every
 * minute and when the page is looked at again: what somebody sets elsewhere
 * reaches pages that are open.
 * @param {Me} first
 * @returns {[Me, () => void]} and a way to ask at once
 */
function useMe(first) {
  const [me, set] = useState(first);
  const ask = () => {
    api.me(true).then(
      next => set(was => (JSON.stringify({ ...next, now: was.now }) === JSON.stringify(was) ? was : next)),
      () => {},
    );
  };
  useEffect(() => {
    const seen = () => document.visibilityState === 'visible' && ask();
    const timer = setInterval(ask, ME_MS);
    document.addEventListener('visibilitychange', seen);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', seen);
    };
  }, []);
  return [me, ask];
}

/** @param {{me: Me, awake: boolean}} props as it was at the start; awake: the window is not locked */
function Console(props) {
  const [me, askMe] = useMe(props.me);
  const [ring, setRing] = useState(soundWanted());
  const asked = useRoute();
  const route =
    me.person.role === 'administrator' && !ADMINISTRATOR.includes(asked.view) ? { ...asked, view: 'setup' } : asked;
  const main = useRef(/** @type {HTMLElement|null} */ (null));
  const administrator = me.person.role === 'administrator';
  const pages = PAGES.filter(([view]) => (administrator ? ADMINISTRATOR.includes(view) : mayOpen(me, view)));
  const [queue, ask] = useQueue(fresh => {
    if (soundWanted()) sound();
    say(
      fresh
        .map(a =>
          tr('New emergency: {title}{more}. {wearer_name}.', {
            title: a.title,
            more: a.eye ? `${point(', ')}${eyes(a.eye)}` : '',
            wearer_name: a.wearer_name,
          }),
        )
        .join(' '),
    );
  }, !administrator);
  const waiting = unacknowledged(queue.alerts);
  const open = queue.alerts.some(a => a.state === 'open');
  useEffect(askMe, [JSON.stringify(queue.duty)]); // somebody else is on duty now
  useEffect(() => {
    document.title = windowTitle(waiting, titleOf(route));
  }, [waiting, route.view, route.arg, props.awake]);
  const first = useRef(true);
  useLayoutEffect(() => {
    // before the screen is painted: later, it would take the focus from whoever has gone on by then
    scrollTo(0, 0);
    /** @type {HTMLElement|null|undefined} the alert the address names: the focus brings it into view */
    const card = main.current?.querySelector(`[data-alert="${CSS.escape(route.arg)}"]`);
    if (!first.current) (card ?? main.current)?.focus();
    first.current = false;
  }, [route.view, route.arg]);
  const page = h(Guarded, {
    key: `${route.view}/${route.arg}`,
    me,
    route,
    queue,
    ask,
    changed: askMe,
  });
  const news = h('div', null, h(StaffNews, { me, changed: askMe }), h(FamilyNews, { me }));
  return h(
    'div',
    { class: 'console' },
    h(
      'a',
      {
        class: 'skip',
        href: '#main',
        onClick: (/** @type {Event} */ e) => {
          e.preventDefault();
          main.current?.focus();
        },
      },
      tr('Skip to the page'),
    ),
    h(
      'header',
      { class: 'side' },
      h('p', { class: 'brand' }, 'Nightkeep'),
      h('p', { class: 'practice-name' }, me.practice.name),
      h(
        'nav',
        { 'aria-label': tr('Pages') },
        pages.map(([view, name]) =>
          h(
            'a',
            { href: link(view), 'aria-current': route.view === view ? 'page' : undefined },
            name,
            view === 'today' &&
              waiting > 0 &&
              h('span', { class: 'badge', 'aria-label': tr('{waiting} not acknowledged', { waiting }) }, waiting),
          ),
        ),
      ),
      h(
        'div',
        { class: 'signed-in' },
        h(
          'p',
          null,
          h('a', { href: link('account') }, me.person.name),
          h('span', { class: 'quiet' }, title(me.person.role).toLowerCase()),
        ),
        h(
          'p',
          { class: me.on_duty.length ? 'quiet' : 'off-duty' },
          me.on_duty.length ? [tr('On duty: '), h(Numbers, { of: me.on_duty })] : tr('Nobody is on duty now'),
        ),
        !administrator &&
          h(
            'label',
            { class: 'switch' },
            h('input', {
              type: 'checkbox',
              checked: ring,
              onChange: () => {
                wantSound(!ring);
                setRing(!ring);
                if (!ring) sound();
              },
            }),
            tr('Sound for a new emergency'),
          ),
        h(PushSwitch, { me }),
        nearest() && h('p', { lang: 'zh-Hant', 'data-test': 'nearest' }, '主控台還沒有繁體中文：這裡是簡體。'),
        !language().read &&
          h(
            'p',
            { class: 'quiet', 'data-test': 'unread-words' },
            tr('Nobody who speaks this language has read these words yet.'),
            ' ',
            h('a', { href: link('readers', language().tag) }, tr('For readers')),
          ),
      ),
    ),
    h(
      'main',
      { id: 'main', tabIndex: -1, ref: main, 'data-page': route.arg ? `${route.view}/${route.arg}` : route.view },
      h(Said, null),
      h(Idle, null),
      !administrator && ring && h(Silence, null),
      queue.stale &&
        h(
          'p',
          { class: 'trouble', role: 'alert' },
          tr(
            'The server cannot be reached, so the queue may be out of date. If the server itself has stopped, no alert reaches anybody until it runs again. ',
          ),
          queue.duty.length > 0 && [tr('Phone whoever is on duty: '), h(Numbers, { of: queue.duty }), point('.')],
        ),
      queue.lost > 0 &&
        h(
          'p',
          { class: 'trouble', role: 'alert', 'data-test': 'lost-alerts' },
          tr(
            'Part of the data file cannot be read, and alerts or messages stood in it: one may be open that is not shown here. Phone the families who reported a sore eye in the last days, and have the administrator restore or repair the file.',
          ),
        ),
      queue.blind &&
        h(
          'p',
          { class: 'trouble', role: 'alert', 'data-test': 'blind' },
          tr(
            'The data file was put back or repaired, and which alerts were open before is not known: one may be open that is not shown here. Phone the families who reported a sore eye in the last days. An administrator says on the page of the audit log when all is seen to.',
          ),
        ),
      !open && news,
      !administrator &&
        route.view !== 'today' && [
          h(Arrived, { alerts: queue.alerts, me, now: queue.now, ask }),
          h(DrillGoesOn, { alerts: queue.alerts }),
        ],
      administrator && !['setup', 'check', 'settings'].includes(route.view) ? h(Unset, { me }, page) : page,
      open && news, // nothing stands above an alert or a drill
    ),
  );
}

/**
 * A one-time link carries its code after the #, which no server sees. It is
 * used up at once and taken out of the address bar.
 */
async function useLink() {
  if (location.pathname !== '/staff') return;
  const code = codeIn(location);
  history.replaceState(null, '', `/clinic${code ? '#account' : location.hash}`);
  if (code) await api.linkSignIn(code);
}

/** Fetches who is signed in, and starts. */
async function start() {
  const root = document.getElementById('app');
  if (!root) return;
  keepFocus(root);
  keepSteady(root);
  sayWhatIsWanted();
  try {
    await useLink();
    const me = await api.me();
    if (startsAgain(me.language)) return;
    render(h(Lock, { me, show: awake => h(Console, { me, awake }) }), root);
  } catch (e) {
    const error = asApiError(e);
    const first = error.status === 401 && error.code !== 'session-idle';
    if (first && startsAgain('')) return;
    render(
      h(SignIn, {
        message: first ? tr('You are not signed in on this device.') : error.message,
        done: () => location.reload(),
      }),
      root,
    );
  }
}

start();
