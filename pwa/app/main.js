// Starts the family app: words, log, screen, service worker, and everything
// that makes it look for news.
import { store } from './data/early.js';
import { h, render } from '../ui/dom.js';
import { keepFocus } from '../ui/focus.js';
import { createApp, dress } from './create.js';
import { Frame } from './frame.js';
import { firstRun } from './first-run.js';
import { keepOffer } from './install.js';
import { painted } from './painted.js';
import { go } from './route.js';
import { languageFor, LANGUAGES, loadWords } from './text/text.js';
import { fetchBoard, fetchLater } from './views/later.js';

/** @import { App } from './app.js' */
/** @import { Lang } from './text/text.js' */

/** @returns {Lang} the language chosen here, else the first of the browser's that we have */
function firstLang() {
  const chosen = localStorage.getItem('lang');
  return LANGUAGES.some(([tag]) => tag === chosen) ? String(chosen) : languageFor(navigator.languages);
}

/** @param {App} app */
function keepFresh(app) {
  const look = () => {
    if (document.visibilityState !== 'visible') return;
    app.tick();
    void app.sync.flush();
  };
  document.addEventListener('visibilitychange', look);
  addEventListener('online', look);
  addEventListener('pageshow', look);
  navigator.serviceWorker?.addEventListener('message', look); // a push has come
  setInterval(() => document.visibilityState === 'visible' && app.tick(), 20000);
}

/** @param {App} app */
async function keepOffline(app) {
  if (!('serviceWorker' in navigator)) return;
  const types = /** @type {any} */ (globalThis).trustedTypes;
  const policy = types?.createPolicy('nightkeep', {
    createScriptURL: (/** @type {string} */ url) => (url === '/sw.js' ? url : ''),
  });
  const worker = await navigator.serviceWorker.register(policy ? policy.createScriptURL('/sw.js') : '/sw.js');
  const waiting = () => worker.waiting && navigator.serviceWorker.controller && app.update();
  waiting();
  worker.addEventListener('updatefound', () => worker.installing?.addEventListener('statechange', waiting));
}

addEventListener('pagehide', store.leave);
addEventListener('pageshow', store.back);

/** How long a start may take before it says that it is at work. */
const AT_WORK_MS = 400;

async function start() {
  const root = document.getElementById('app');
  if (!root) return;
  if (localStorage.getItem('several')) void fetchBoard();
  keepOffer();
  keepFocus(root);
  const words = loadWords(firstLang());
  const app = await createApp(words);
  dress(await words);
  const started = app.start();
  await Promise.race([
    started,
    new Promise(done => {
      setTimeout(done, AT_WORK_MS);
    }),
  ]);
  render(h(Frame, { app }), root);
  await started;
  if (app.state.phase === 'ready' && firstRun.due(localStorage)) {
    history.replaceState(null, '', '/'); // the code must not stay in the address
    go('first');
  }
  addEventListener('appinstalled', app.keep);
  await painted();
  void app.follow();
  void import('./data/again.js').then(m => m.keepCopy(app.state));
  keepFresh(app);
  await keepOffline(app).catch(() => {});
  await fetchLater();
  await import('./after.js').then(m => m.after(app));
}

start().catch(e => {
  if (!document.getElementById('app')?.firstChild) location.replace('/plain'); // never a blank page
  throw e;
});
