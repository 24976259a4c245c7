// What surrounds every screen: whose screen it is, the page itself, and the bar
// at the foot with "Something is wrong" always at the same place.
import { h, useEffect, useLayoutEffect, useRef, useState } from '../ui/dom.js';
import { Button, hears, Notice } from '../ui/parts.js';
import { tel } from '../ui/tel.js';
import { about, chooses, sceneOf, waitingHere, wearerOf } from './app.js';
import { call } from './data/api.js';
import { unbroken } from './model/contacts.js';
import { stopped, tasks } from './model/day.js';
import { icons } from './draw.js';
import { codeIn, go, link, parse } from './route.js';
import { Advice } from './views/advice.js';
import { Check } from './views/check.js';
import { Child } from './views/home.js';
import {
  Acuity,
  Aged,
  board,
  Told,
  Cleared,
  Devices,
  Due,
  Edit,
  Evening,
  First,
  Guide,
  Help,
  Join,
  More,
  NightView,
  Others,
  Parts,
  Progress,
  Reminders,
  Supplies,
  Taught,
  Unsent,
  Where,
  Write,
} from './views/later.js';
import { Outside } from './views/outside.js';
import { told } from './views/wear.js';

/** @import { App } from './app.js' */
/** @import { Contacts } from './model/contacts.js' */
/** @import { Route } from './route.js' */

/** @typedef {{app: App, arg: string}} ViewProps */

/** @type {Record<string, (p: ViewProps) => any>} */
const VIEWS = {
  '': props => h((chooses(props.app.state) && board.View) || Child, props),
  child: Child,
  check: Check,
  advice: Advice,
  evening: Evening,
  help: Help,
  progress: Progress,
  more: More,
  night: NightView,
  supplies: Supplies,
  unsent: Unsent,
  write: Write,
  acuity: Acuity,
  devices: Devices,
  due: Due,
  edit: Edit,
  first: First,
  guide: Guide,
  parts: Parts,
  reminders: Reminders,
  taught: Taught,
};

/**
 * Follows the app from the first paint on: an effect after it would miss what
 * changes in between, and a tab in the background may not be painted for long.
 * @param {App} app
 */
function useApp(app) {
  const [, turn] = useState(0);
  useLayoutEffect(() => app.watch(() => turn(n => n + 1)), [app]);
  return app.state;
}

/** @returns {Route} */
function useRoute() {
  const [route, set] = useState(parse(location.hash));
  useLayoutEffect(() => {
    const follow = () => set(parse(location.hash));
    addEventListener('hashchange', follow);
    return () => removeEventListener('hashchange', follow);
  }, []);
  return route;
}

/** @param {{app: App}} props */
export function Frame({ app }) {
  const s = useApp(app);
  const route = useRoute();
  return s.phase === 'ready' ? h(Inside, { app, route }) : h(Before, { app });
}

/**
 * What there is before the family's screens; "Something is wrong" stands at its
 * place all the same.
 * @param {{app: App}} props
 */
function Before({ app }) {
  const [asked, setAsked] = useState(false);
  const [contacts, setContacts] = useState(/** @type {Contacts|null} */ (null));
  const { t } = app.state.words;
  // Asked for as soon as the family's own are known to be out of reach: the network may be gone by the time they are needed.
  const ask = asked || app.state.phase !== 'loading';
  useEffect(() => {
    if (ask && !contacts) call('GET', '/api/contacts').then(setContacts, () => {});
  }, [ask, asked]);
  // Whoever asked while the log opened is led on to the check, not to what is due today.
  useLayoutEffect(() => () => void (asked && app.state.phase === 'ready' && wrong(app.state, '')), [asked]);
  return h(
    'div',
    { class: 'frame' },
    h('div', { hidden: asked }, h(Threshold, { app })), // kept, so that nothing typed is lost
    asked && h(Outside, { app, contacts, onBack: () => setAsked(false) }),
    h(
      'footer',
      { class: 'foot' },
      h(
        'nav',
        { 'aria-label': t('nav.label') },
        h(Wrong, {
          app,
          onPress: () => {
            setAsked(true);
            scrollTo(0, 0);
          },
        }),
        [1, 2, 3].map(n => h('span', { class: 'gap', key: n })), // the room of what comes to stand beside it
      ),
    ),
  );
}

/** @param {{app: App}} props */
function Threshold({ app }) {
  const s = app.state;
  const { t } = s.words;
  if (s.phase === 'loading' && s.trouble)
    return h('main', { class: 'page' }, h(Notice, { kind: 'urgent', live: true }, t(`trouble.${s.trouble}`)));
  if (s.phase === 'loading') return h('p', { class: 'page', role: 'status' }, t('start.loading'));
  if (s.phase === 'failed')
    return h(
      'main',
      { class: 'page' },
      h(
        Notice,
        { kind: 'alarm' },
        h('p', null, t('start.failed'), ' ', h('a', { href: '/plain' }, t('start.numbers'))),
        h(Button, { onPress: () => location.reload() }, t('trouble.reload')),
      ),
    );
  return h(Join, { app, code: codeIn(location) });
}

/** @param {{app: App, route: Route}} props */
function Inside({ app, route }) {
  const s = app.state;
  const { t } = s.words;
  const main = useRef(/** @type {HTMLElement|null} */ (null));
  const fresh = useRef(true);
  const View = VIEWS[route.view] ?? VIEWS[''];
  // Before the screen is painted: later, it would take the focus from whoever has gone on by then.
  useLayoutEffect(() => {
    if (!fresh.current && !document.activeElement?.closest('.name')) main.current?.focus({ preventScroll: true }); // whoever chooses a child by keys chooses on
    fresh.current = false;
    scrollTo(0, 0);
  }, [route.view, route.arg]);
  useLayoutEffect(() => {
    const night = /^\d{4}-\d\d-\d\d$/.test(route.arg) ? t('mark.comma') + s.words.date(route.arg) : '';
    document.title = `${t(TITLES[route.view] ?? 'nav.today')}${night} – ${t('app.name')}`;
  }, [route.view, route.arg, s.words]);
  const unsent = waitingHere(s);
  const view = route.arg === 'who' ? '' : route.view; // nobody is chosen yet
  const today = ['', 'child'].includes(route.view);
  const all = s.family?.wearers ?? [];
  const urgent = all
    .map(w => about(app, w.id).state)
    .some(of => stopped(sceneOf(of)) || tasks(sceneOf(of)).main.urgent);
  const asked = [
    today && s.zoneAsked && h('div', { class: 'across', key: 'zone' }, h(Where, { app, arg: '' })),
    h(Told, { app, key: 'told' }),
  ];
  // Nothing stands above an emergency, neither on its own page nor where it is another child's.
  const subject = route.view === 'advice' ? (s.records.get(route.arg)?.entry.wearer ?? s.wearer) : s.wearer;
  const seen = all.filter(w =>
    route.view || !chooses(s) ? ['', 'child', 'advice'].includes(route.view) && w.id === subject : true,
  );
  const grave = all.filter(w => told(about(app, w.id).state)?.emergency);
  const here = grave.some(w => seen.includes(w));
  const first = !here && grave.length > 0;
  const others = (/** @type {string} */ key) =>
    route.view && h(board.Others ?? Others, { app, view: route.view, urgent: here, key });
  const notices = (/** @type {string} */ key) => h(Notices, { app, today, key });
  return h(
    'div',
    { class: 'frame' },
    h(
      'header',
      { class: 'top' },
      h(Whose, { app, view }),
      h(
        'div',
        { class: 'status' },
        unsent > 0 &&
          h('a', { class: 'chip count', href: link('unsent'), 'data-test': 'unsent' }, t('unsent.chip', { n: unsent })),
        h('a', { class: 'chip', href: link('more'), 'data-test': 'more' }, t('nav.more')),
      ),
    ),
    h(UndoFirst, { app, view: route.view }),
    h(
      'main',
      {
        class: route.view === 'child' || (!route.view && !chooses(s)) ? 'page two' : 'page',
        tabIndex: -1,
        ref: main,
        id: 'main',
        'aria-label': chooses(s) && !ofAll(view) ? wearerOf(s)?.name : undefined,
      },
      h(Heard, { app, of: grave.filter(w => route.view !== 'advice' || !seen.includes(w)) }),
      first && others('first'),
      !here && notices('notices'),
      !urgent && !here && asked,
      !here && !first && others('others'),
      h(View, { app, arg: route.arg, key: `${route.view}/${route.arg}/${s.wearer}` }),
      here && [others('below'), notices('last')],
      (urgent || here) && asked, // whom to phone comes before what may wait
    ),
    h(
      'footer',
      { class: 'foot' },
      here && board.OthersDue && h(board.OthersDue, { app, all: !route.view }),
      h(Saved, { app, view: route.view, grave: grave.length > 0 }),
      h(
        'nav',
        { 'aria-label': t('nav.label') },
        h(Wrong, { app, onPress: () => wrong(s, route.view) }),
        h(Tab, { view: '', now: route.view, icon: icons.today(), label: t('nav.today'), test: 'home' }),
        h(Tab, {
          view: 'progress',
          now: route.view,
          icon: icons.progress(),
          label: t('nav.progress'),
          test: 'progress',
        }),
        h(Tab, { view: 'help', now: route.view, icon: icons.help(), label: t('nav.help'), test: 'help' }),
      ),
    ),
  );
}

/** Says an emergency of whom, and its order, as it comes; it stands before it has anything to say. @param {{app: App, of: {id: string, name: string}[]}} props */
const Heard = ({ app, of }) =>
  h(
    'p',
    { class: 'hidden', role: 'alert', 'data-test': 'emergencies' },
    of.map(w => `${w.name}: ${told(about(app, w.id).state)?.words.join(' ')} `),
  );

/** What is wrong with this phone, or old on it. @param {{app: App, today: boolean}} props */
function Notices({ app, today }) {
  const s = app.state;
  const { t } = s.words;
  const phone = s.family?.contacts?.phone;
  return [
    s.trouble &&
      h(
        'div',
        { class: 'across' },
        h(
          Notice,
          { kind: 'urgent', live: true },
          t(`trouble.${s.trouble}`),
          ' ',
          h(Button, { onPress: () => location.reload() }, t('trouble.reload')),
        ),
      ),
    s.sync.fault === 'signed-out' &&
      h(
        'div',
        { class: 'across' },
        h(
          Notice,
          { kind: 'urgent', test: 'signed-out' },
          t('unsent.fault.signed-out'),
          ' ',
          phone && h('a', { href: tel(phone) }, unbroken(phone)),
        ),
      ),
    today && s.cleared > 0 && h('div', { class: 'across' }, h(Cleared, { app, arg: '' })),
    s.family && h(Aged, { app, key: 'aged' }),
  ];
}

/** At the same place on every screen. @param {{app: App, onPress: () => void}} props */
function Wrong({ app, onPress }) {
  return h(
    'button',
    { type: 'button', class: 'wrong', 'data-test': 'wrong', onClick: onPress },
    icons.wrong(),
    h('span', null, app.state.words.t('wrong.button')),
  );
}

/** @type {Record<string, string>} */
const TITLES = {
  first: 'first.title',
  check: 'check.title',
  advice: 'advice.title',
  evening: 'evening.title',
  help: 'help.title',
  progress: 'progress.title',
  more: 'more.title',
  supplies: 'supplies.title',
  unsent: 'unsent.title',
  devices: 'devices.title',
  edit: 'edit',
  reminders: 'reminders.title',
  taught: 'taught.title',
  acuity: 'acuity.title',
  write: 'write.title',
  night: 'night.name',
  guide: 'guide.open',
  due: 'reminders.title',
};

/** @param {{view: string, now: string, icon: any, label: string, test: string}} props */
function Tab({ view, now, icon: drawing, label, test }) {
  // A browser follows a link a moment later, and what is pressed meanwhile would come first.
  const follow = (/** @type {MouseEvent} */ e) => {
    if (e.ctrlKey || e.metaKey || e.shiftKey || e.altKey) return;
    e.preventDefault();
    go(view);
  };
  return h(
    'a',
    { href: link(view), 'aria-current': view === now ? 'page' : undefined, 'data-test': test, onClick: follow },
    drawing,
    label,
  );
}

/** Whether a view is of no one child: the board, devices, due, first steps, guide, help, more, unsent, told by their first letter. @param {string} view */
const ofAll = view => /^([dghmu]|first|$)/.test(view);

/**
 * Opens the eye check: of the child on screen; where there is none, it asks whose eyes first.
 * @param {import('./app.js').State} s @param {string} view
 */
const wrong = (s, view) => (view === 'check' ? location.reload() : go('check', chooses(s) && ofAll(view) ? 'who' : ''));

/** Views whose lowest buttons must not be covered by the word that something was saved. */
const BUSY = ['check', 'advice', 'acuity'];

/** The child on screen; a choice when there are several, all of them on the board. @param {{app: App, view: string}} props */
function Whose({ app, view }) {
  const s = app.state;
  const name = wearerOf(s)?.name ?? '';
  if (!chooses(s)) return h('p', { class: 'name' }, icon2(), h('span', { dir: 'auto' }, name || s.words.t('app.name')));
  return h(
    'label',
    { class: 'name' },
    icon2(),
    h('span', { class: 'hidden' }, s.words.t('nav.switch')),
    h(
      'select',
      {
        class: 'chip',
        dir: view && /^[A-Z]/i.test(name) ? 'ltr' : undefined, // what is cut off of a long name is its end
        value: view ? s.wearer : '',
        'data-test': 'wearer',
        onChange: (/** @type {Event} */ e) => {
          const id = /** @type {HTMLSelectElement} */ (e.currentTarget).value;
          if (id) void app.setWearer(id);
          if (!id || !view) go(id && 'child');
        },
      },
      h('option', { value: '', selected: !view }, s.words.t('nav.all')),
      s.family?.wearers.map(w =>
        h('option', { key: w.id, value: w.id, selected: !!view && w.id === s.wearer }, w.name),
      ),
    ),
  );
}

const icon2 = () => h('span', { class: 'mark-lens' }, icons.lens());

/** Whose a saved entry is, after the word that it is. @param {import('./app.js').State} s @param {string} id */
function whose(s, id) {
  const name = s.family?.wearers.find(w => w.id === s.records.get(id)?.entry.wearer)?.name;
  return name && ` (${name})`;
}

/** What was saved last, as long as it is offered to be undone. @param {App} app @param {string} view */
const undoable = ({ state: { saved } }, view) =>
  BUSY.includes(view) || ['back', 'wear.thanks'].includes(saved?.key ?? 'back') ? null : saved;

/** @param {App} app @param {NonNullable<App['state']['saved']>} saved */
const undo = (app, saved) => void app.undo(saved.ids, saved.key.startsWith('undone') ? 'back' : undefined);

/** "Undo", and what and whose it is: the word alone says neither to whoever hears it. @param {App} app @param {NonNullable<App['state']['saved']>} saved */
function undoing({ state: s }, saved) {
  const e = s.records.get(saved.ids[0])?.entry;
  const back = e?.retracts && s.records.get(e.retracts)?.entry;
  const kind = ['kind', (back || e)?.kind].join('.'); // the words of some kinds are fetched later
  const what = s.words.t(kind);
  const taken = back ? `: ${s.words.t('undone')}` : '';
  return `${s.words.t('undo')}${taken}: ${what === kind ? s.words.t(saved.key) : what}${(s.family?.wearers.length ?? 0) > 1 ? (whose(s, saved.ids[0]) ?? '') : ''}`;
}

/** "Undo" for the tab key: one step before the page, whose heading has the focus by then; seen while it has it. @param {{app: App, view: string}} props */
function UndoFirst({ app, view }) {
  const saved = undoable(app, view);
  return (
    saved &&
    h(
      'button',
      {
        type: 'button',
        class: 'btn undo-first',
        'data-test': 'undo-first',
        'aria-label': undoing(app, saved),
        onClick: () => undo(app, saved),
      },
      app.state.words.t('undo'),
    )
  );
}

/** What ends the offer to undo, and what of the page it happens to. */
const ENDS = ['click', 'input'];
const USED = 'button, a, input, select, textarea, label, summary';

const WORD_MS = 10000; // how long a word that offers nothing stands (ours)
const SELF_MS = 1500; // a form that was saved leads to the next screen by itself

/** Turns by itself: it must not wait for the screen behind it. @param {{app: App, view: string, grave: boolean}} props grave: an emergency is on the screen */
function Saved({ app, view, grave }) {
  const quiet = BUSY.includes(view);
  const shown = useRef('');
  const [, turn] = useState(0);
  const bar = useRef(/** @type {HTMLElement|null} */ (null));
  useLayoutEffect(() => app.watchSaved(() => turn(n => n + 1)), [app]);
  const {
    saved,
    words: { t },
  } = app.state;
  // It stays until somebody goes on: no clock takes "Undo" away (WCAG 2.2, 2.2.1).
  useLayoutEffect(() => {
    if (!saved || quiet) return undefined;
    const on = (/** @type {Event} */ e) => {
      const at = /** @type {Element} */ (e.target);
      if (at.closest(USED) && !at.closest('.saved, .undo-first')) app.forget();
    };
    for (const kind of ENDS) document.addEventListener(kind, on, true);
    const since = Date.now();
    const gone = () => Date.now() - since > SELF_MS && app.forget();
    addEventListener('hashchange', gone);
    const word = undoable(app, view) ? 0 : setTimeout(app.forget, WORD_MS);
    // How much of the page it lies over: what has the focus is scrolled clear of it.
    const { style } = document.documentElement;
    const size = new ResizeObserver(([e]) => style.setProperty('--saved', `${e.target.clientHeight}px`));
    if (bar.current) size.observe(bar.current);
    return () => {
      size.disconnect();
      clearTimeout(word);
      removeEventListener('hashchange', gone);
      ENDS.forEach(kind => document.removeEventListener(kind, on, true));
    };
  }, [saved, quiet]);
  const [told, tell] = useState('');
  useLayoutEffect(() => {
    hears(text => tell(was => (was === text ? `${text}\u00a0` : text))); // the same words again are another thing told
    return () => hears(null);
  }, []);
  useLayoutEffect(() => tell(''), [view, saved]);
  const words = saved && !quiet && [t(saved.key), chooses(app.state) && whose(app.state, saved.ids[0])];
  // It stands before it has anything to say: what comes together with its words may not be read out.
  const live = h('p', { class: 'hidden', role: 'status', 'data-test': 'live', key: 'live' }, words || told);
  // Nothing that offers nothing lies over an emergency: it is only heard.
  if (words && grave && !undoable(app, view)) return live;
  // The room it had stays on this screen: what is under the finger must not move as it goes.
  if (!words) return [live, shown.current === view && h('div', { class: 'room', key: 'room', hidden: true })];
  shown.current = view;
  const said = h(
    'div',
    { class: 'saved', 'data-test': 'saved', key: 'bar', ref: bar },
    h('span', null, words),
    undoable(app, view) &&
      h(
        'button',
        { type: 'button', 'data-test': 'undo', 'aria-label': undoing(app, saved), onClick: () => undo(app, saved) },
        t('undo'),
      ),
  );
  return [live, said];
}
