// The service worker: keeps the whole family app for use without a network,
// shows notifications, and sends what is unsent whenever a push wakes it. The
// server puts the version and the list of files in front of this file.
import { send } from './app/data/api.js';
import { openLog } from './app/data/log.js';
import { openStore } from './app/data/store.js';
import { covered, putOff } from './app/data/put-off.js';
import { createSync } from './app/data/sync.js';
import { said } from './app/text/push.js';
import { trusted } from './app/zone.js';

/**
 * The part of the worker's global scope used here.
 * @typedef {object} Worker
 * @property {(type: string, job: (e: any) => void) => void} addEventListener
 * @property {() => Promise<void>} skipWaiting
 * @property {{claim: () => Promise<void>, matchAll: (o: object) => Promise<any[]>, openWindow: (url: string) => Promise<unknown>}} clients
 * @property {{showNotification: (title: string, o: object) => Promise<void>}} registration
 * @property {{origin: string}} location
 * @property {{maxActions?: number}} [Notification]
 * @property {{setAppBadge?: (n: number) => Promise<void>}} navigator
 */

/** @type {string} */
const version = Reflect.get(globalThis, 'NIGHTKEEP_VERSION');
/** @type {string[]} */
const precache = Reflect.get(globalThis, 'NIGHTKEEP_PRECACHE');
const PREFIX = 'nightkeep-';
const cacheName = PREFIX + version;
const worker = /** @type {Worker} */ (/** @type {unknown} */ (globalThis));

// What is named by its content may come from the browser's own cache, where the
// page has just put it; everything else is fetched anew.
worker.addEventListener('install', e =>
  e.waitUntil(
    caches
      .open(cacheName)
      .then(c =>
        c.addAll(precache.map(url => new Request(url, { cache: url.startsWith('/v/') ? 'default' : 'reload' }))),
      ),
  ),
);

// The page with the practice's numbers too, for a phone whose log does not open: the
// server writes them in, so it is fetched anew whenever it can be.
worker.addEventListener('install', e =>
  e.waitUntil(
    caches
      .open(cacheName)
      .then(c => c.add(new Request('/plain', { cache: 'reload' })))
      .catch(() => {}),
  ),
);

// Where the browser can do it, it takes from the cache itself what this worker
// would: a start then need not wait for the worker to be started. What the cache
// does not hold it fetches, as below. (Service Workers, "static routing".)
worker.addEventListener('install', e => {
  if (!e.addRoutes || !('URLPattern' in globalThis)) return;
  const Pattern = Reflect.get(globalThis, 'URLPattern');
  const source = { cacheName };
  e.waitUntil(
    Promise.resolve(
      e.addRoutes([
        { condition: { urlPattern: new Pattern({ pathname: '/', search: '' }), requestMode: 'navigate' }, source },
        { condition: { urlPattern: new Pattern({ pathname: '/v/*', search: '' }), requestMethod: 'GET' }, source },
      ]),
    ).catch(() => {}),
  );
});

// An old cache goes only once no page uses it: activation waits for that,
// unless the page itself asks because nothing is being filled in.
worker.addEventListener('activate', e =>
  e.waitUntil(
    (async () => {
      for (const key of await caches.keys()) if (key.startsWith(PREFIX) && key !== cacheName) await caches.delete(key);
      await worker.clients.claim();
    })(),
  ),
);

worker.addEventListener('message', e => {
  if (e.data === 'take-over') void worker.skipWaiting();
});

worker.addEventListener('fetch', e => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== worker.location.origin) return;
  if (e.request.mode === 'navigate') {
    if (url.pathname === '/' || url.pathname === '/join') e.respondWith(kept('/', e.request));
    if (url.pathname === '/plain') e.respondWith(fetch(e.request).catch(() => kept('/plain', e.request)));
    return;
  }
  if (url.pathname.startsWith('/v/') || precache.includes(url.pathname)) e.respondWith(kept(url.pathname, e.request));
});

/**
 * @param {string} key
 * @param {Request} request
 */
async function kept(key, request) {
  return (await (await caches.open(cacheName)).match(key)) ?? fetch(request);
}

/**
 * What a push says, as far as it can be read. An unknown payload still shows
 * something: a silent push can cost the permission.
 * @param {any} data
 * @returns {{tag: string, kind: string, level: string, url: string, due: string[], drill: boolean}}
 */
function readPush(data) {
  /** @type {any} */
  let p = null;
  try {
    p = data?.json();
  } catch {
    /* shown all the same */
  }
  const word = (/** @type {string} */ name, /** @type {string} */ otherwise) =>
    typeof p?.[name] === 'string' && p[name] !== '' ? p[name] : otherwise;
  const due = Array.isArray(p?.due) ? p.due.filter((/** @type {unknown} */ x) => typeof x === 'string') : [];
  return {
    tag: word('tag', 'other'),
    kind: word('kind', 'other'),
    level: word('level', ''),
    url: word('url', '/'),
    due,
    drill: p?.drill === true,
  };
}

worker.addEventListener('push', e => {
  const p = readPush(e.data);
  e.waitUntil(Promise.allSettled([show(p), flush()]));
});

/**
 * Whether what is only on this phone holds a lens back: the server, which asks
 * for one, cannot know of it yet.
 */
async function holdsBack() {
  const waiting = await log()
    .inState('unsent')
    .catch(() => []);
  return waiting.some(r => Object.values(r.entry.body?.told ?? {}).some(m => m === 'rest' || m === 'stop'));
}

/** Whether notifications have buttons here: on an iPhone they have none, and a tap opens a page with "later" instead. */
const hasButtons = () => (worker.Notification?.maxActions ?? 0) > 0;

/** @param {ReturnType<typeof readPush>} p */
async function show(p) {
  if (p.due.some(id => id.startsWith('insertion')) && (await holdsBack())) p.due = [];
  const words = await said(
    p,
    String(
      await log()
        .get('lang', 'en')
        .catch(() => 'en'),
    ),
    await covered(log()).then(
      list => list.length,
      () => 1,
    ),
  );
  await worker.registration.showNotification(words.title, {
    body: words.body,
    tag: p.tag,
    renotify: p.kind === 'alert',
    requireInteraction: p.level === 'emergency',
    icon: '/icons/icon-192.png',
    badge: '/icons/icon-192.png',
    data: { url: words.later && !hasButtons() ? '/#/due' : p.url, tag: p.tag },
    actions: words.later ? [{ action: 'later', title: words.later }] : [],
  });
  // The number of what is due, on the icon; the app counts anew when it is opened.
  if (words.later) await worker.navigator.setAppBadge?.(Math.max(1, p.due.length)).catch(() => {});
  for (const page of await worker.clients.matchAll({ type: 'window', includeUncontrolled: true }))
    page.postMessage({ shown: p.tag });
  await receipt(p.tag, 'shown');
}

/** @param {string} tag @param {'shown'|'opened'} event */
async function receipt(tag, event) {
  if (tag) await send('POST', '/api/receipts', { tag, event }).catch(() => {});
}

worker.addEventListener('notificationclick', e => {
  e.notification.close();
  const { url, tag } = e.notification.data ?? {};
  if (e.action === 'later') {
    e.waitUntil(
      Promise.allSettled([
        receipt(tag ?? '', 'opened'),
        zone()
          .then(z => putOff(log(), Date.now(), z))
          .then(flush),
      ]),
    );
    return;
  }
  const target = addressOf(url ?? '/');
  const safe = target?.origin === worker.location.origin ? target.href : worker.location.origin;
  e.waitUntil(Promise.allSettled([receipt(tag ?? '', 'opened'), open(safe)]));
});

/** @param {string} url @returns {URL|null} null for what is no address; URL.canParse is younger than the oldest browsers kept */
function addressOf(url) {
  try {
    return new URL(url, worker.location.origin);
  } catch {
    return null;
  }
}

/** @param {string} url */
async function open(url) {
  const path = new URL(url).pathname;
  const pages = await worker.clients.matchAll({ type: 'window', includeUncontrolled: true });
  const page = pages.find(c => new URL(c.url).pathname === path);
  if (!page) return worker.clients.openWindow(url);
  await page.navigate(url).catch(() => {});
  return page.focus();
}

/** @returns {Promise<string>} the zone that the app goes by, an IANA name */
async function zone() {
  const name = new Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';
  const family = await log().get('family', /** @type {{family?: {zone?: string}}|null} */ (null));
  return trusted(name, family?.family?.zone ?? '', await log().get('zone-said', ''), Date.now()).zone;
}
const log = () =>
  openLog(
    openStore(indexedDB, () => {}),
    { now: Date.now, random: n => crypto.getRandomValues(new Uint8Array(n)) },
  );

/** Sends what is unsent. A worker has no screen, so nothing is scheduled. */
async function flush() {
  const mine = log();
  if (!(await mine.get('me', null)) || (await mine.get('again', false))) return; // the second is the page's to do
  const sync = createSync({
    log: mine,
    post: body => send('POST', '/api/sync', body),
    now: Date.now,
    chance: Math.random,
    later: () => () => {},
    visible: () => false,
    onState: () => {},
    onNews: () => {},
  });
  await sync.flush();
}
