// Makes the app: opens the log, keeps the state as it is on this phone, and does
// what screens ask for. Nothing here decides about an eye: see app.js and model.
import { atHome } from '../../schedule/civil/civil.js';
import { chooses, holdsBack, judgedDraft, live } from './app.js';
import { call, send } from './data/api.js';
import { database, store } from './data/early.js';
import { openLog } from './data/log.js';
import { createSync } from './data/sync.js';
import { firstRun } from './first-run.js';
import { fold, foldMore } from './model/fold.js';
import { forms } from './model/entry.js';
import { RULES } from './model/report.js';
import { painted } from './painted.js';
import { loadWords } from './text/text.js';
import { fetchBoard } from './views/later.js';
import { trusted, zoneBefore, zoneNow } from './zone.js';

/** @import { App, Family, State } from './app.js' */
/** @import { Log, LogRecord } from './data/log.js' */
/** @import { Sync, SyncState } from './data/sync.js' */
/** @import { Draft, Entry } from './model/entry.js' */
/** @import { Lang, Words } from './text/text.js' */

/** How long a new phone waits for the log before it shows its screens, which would move under a finger when it comes. */
const FIRST_SYNC_MS = 3000;
const SILENT_MS = 15000; // of the phone's database, until the screen says so
const FAMILY_MS = 50000; // between questions about the family: less than between looks for news

/** A fault of the database, in words for the screen. */
class SaveError extends Error {}

/** What a start reads, in this order. */
const STORED = ['me', 'family', 'wearer', 'alerts', 'heard', 'skew', 'cleared', 'zone-said', 'private'];

/** @typedef {{values: any[], records: LogRecord[]}} Stored what a start reads */

/**
 * What stands behind the screens.
 * @typedef {object} Works
 * @property {State} state
 * @property {Log} log
 * @property {Sync} sync
 * @property {App} app
 * @property {Promise<Stored>} stored
 * @property {boolean} known the family, before anything was asked
 * @property {number} askedAt when the server was last asked about the family, Unix ms
 * @property {{browser: string, said: string, asked: boolean}} zone browser: what it names; said: of which somebody has said what; asked: whether the browser was, at this start
 * @property {Set<() => void>} watchers
 * @property {Set<() => void>} tellers
 */

/** @param {Works} a */
function changed({ state, watchers }) {
  state.trouble = database.trouble;
  watchers.forEach(w => w());
}

/** Before anything is written the zone is no longer taken from the last start. @param {Works} a */
function askZone(a) {
  if (a.zone.asked) return;
  atHome('');
  Object.assign(a.zone, { asked: true, browser: zoneNow(localStorage, Date.now()) });
  if (settleZone(a)) changed(a);
}

/** @param {Works} a @returns {boolean} whether another one is gone by now */
function settleZone({ state, zone: { browser, said } }) {
  const was = `${state.zone} ${state.zoneAsked}`;
  const { zone, ask } = trusted(browser, state.family?.family.zone ?? '', said, Date.now());
  Object.assign(state, { zone, zoneAsked: ask ? browser : '' });
  return was !== `${state.zone} ${state.zoneAsked}`;
}

/** @param {State} state @param {Stored} stored */
function take(state, { records, values: [, , , alerts, heard, skew, cleared, , alone] }) {
  state.records = new Map(records.map(r => [r.id, r]));
  state.nights = fold(live(state));
  Object.assign(state, {
    alerts: alerts ?? [],
    heard: heard ?? null,
    skew: skew ?? 0,
    cleared: cleared ?? 0,
    alone: alone ?? [],
    now: Date.now(),
  });
}

/** @param {Works} a */
async function reload(a) {
  take(a.state, await a.log.all(STORED));
  changed(a);
}

/** @param {Works} a */
async function refreshFamily(a) {
  const { log, state } = a;
  a.askedAt = Date.now();
  let family = /** @type {Family} */ (await call('GET', `/api/family?rules=${RULES.version}&lang=${state.words.lang}`));
  // It has synced, and there is no log of it here: that was cleared.
  if (family.heard && (!state.me || (await log.get('again', false))))
    family = await (await import('./data/again.js')).comeBack(log, family);
  const me = { device: family.device, person: family.person.id, family: family.family.id };
  const other = await log.become(me);
  await log.set('family', family);
  await log.forget(family.wearers.map(w => w.id));
  Object.assign(state, { family, me });
  settleZone(a);
  if (!family.wearers.some(w => w.id === state.wearer)) state.wearer = firstWearer(family);
  changed(a);
  if (!other) return;
  await log.set('private', []);
  await reload(a);
  void a.sync.flush();
}

/** @param {Family|null} family @returns {string} id of the child on screen while nobody has chosen one */
const firstWearer = family => family?.person.wearer || family?.wearers[0]?.id || '';

/** @param {Works} a */
async function enter(a) {
  await refreshFamily(a);
  await several(a.state);
  await Promise.race([
    a.sync.flush(),
    new Promise(done => {
      setTimeout(done, FIRST_SYNC_MS);
    }),
  ]);
  await reload(a);
  a.state.phase = 'ready';
}

/** @param {Works} a @param {SyncState} s */
function synced(a, s) {
  const { state } = a;
  const same = s.phase === state.sync.phase && s.fault === state.sync.fault;
  state.sync = s;
  if (!same) changed(a);
  if (s.phase !== 'idle' || !state.family) return;
  // What a teen wrote to the clinicians alone goes by itself, beside the log.
  if (state.family.may_private) void import('./data/private.js').then(m => m.sendAll(a.app));
  // What the practice has set comes with the looks for news, not at the start only.
  if (Date.now() - a.askedAt > FAMILY_MS) void refreshFamily(a).catch(() => {});
}

/** @param {Works} a @param {unknown} e */
function failed(a, e) {
  Object.assign(a.state, { phase: 'failed', why: String(e) });
  changed(a);
}

/** Fetches the board, where there are several children; at the next start it is, while the log is read. @param {State} s */
async function several(s) {
  if (!chooses(s)) return;
  localStorage.setItem('several', '1');
  await fetchBoard();
}

/** @param {Works} a */
async function start(a) {
  const { state } = a;
  // An answer that comes after it is taken all the same.
  const silent = setTimeout(() => database.trouble || failed(a, 'no answer'), SILENT_MS);
  try {
    const said = await a.stored;
    const [me = null, family = null, wearer] = said.values;
    a.zone.said = said.values[7] ?? '';
    Object.assign(state, { phase: 'loading', me, family, wearer: wearer || firstWearer(family) });
    settleZone(a);
    const board = several(state);
    if (me && family) take(state, said);
    await board;
  } catch (e) {
    return failed(a, e);
  } finally {
    clearTimeout(silent);
  }
  a.known = !!state.me && !!state.family;
  if (a.known) state.phase = 'ready';
  else
    await enter(a).catch(() => {
      state.phase = 'join';
    });
  changed(a);
}

/** @param {Works} a */
async function follow(a) {
  askZone(a);
  if (a.known) {
    void a.sync.flush();
    void refreshFamily(a).catch(() => {});
  }
  a.state.persisted = (await navigator.storage?.persisted?.()) ?? false;
}

/** @param {Works} a @param {string} code @param {string} deviceName @param {string} consent */
async function join(a, code, deviceName, consent) {
  firstRun.begin(localStorage); // before the device is made: a reload in between walks it all the same
  const { lang } = a.state.words;
  const language = lang === 'en' ? '' : lang; // which a phone falls back on: it says nothing of the family
  await call('POST', '/api/join', { code, device_name: deviceName, consent, language });
  await enter(a);
  changed(a);
  a.app.keep();
}

/** Never awaited: a browser may ask its user, who may leave that unanswered. @param {Works} a */
function keep(a) {
  navigator.storage?.persist?.().then(
    yes => {
      a.state.persisted = yes;
      changed(a);
    },
    () => {},
  );
}

/** @param {Works} a @param {Draft[]} drafts @param {string} [key] @returns {Promise<Entry[]>} */
async function write(a, drafts, key = 'saved') {
  const { state } = a;
  /** @type {LogRecord[]} */
  let made;
  askZone(a);
  try {
    made = await a.log.append(
      drafts.map(d => judgedDraft(state, d)),
      state.zone,
    );
  } catch (e) {
    const full = e instanceof Error && e.name === 'QuotaExceededError';
    throw new SaveError(
      state.words.t(full ? 'failed.full' : 'failed.other', { why: e instanceof Error ? e.message : '' }),
    );
  }
  const entries = made.map(r => r.entry);
  for (const r of made) state.records.set(r.id, r);
  state.nights = foldMore(state.nights, live(state), entries);
  state.saved = key ? { ids: made.map(r => r.id), key } : null;
  state.now = Date.now();
  // The word that it is saved comes first; the screen behind it is drawn after.
  a.tellers.forEach(w => w());
  await painted();
  changed(a);
  void a.sync.flush();
  return entries;
}

/** Taking back what holds a lens says that it releases nothing, and that the clinic has it only where it does. @param {Works} a @param {string[]} ids @param {string} [key] */
async function undo(a, ids, key) {
  const records = ids.map(id => a.state.records.get(id)).filter(r => r !== undefined);
  const all = records.map(r => r.entry);
  const there = records.every(r => r.state === 'stored');
  key ??= all.some(holdsBack) ? (there ? 'undone.told' : 'undone.holds') : 'undone';
  const drafts = all.map(e => ({ wearer: e.wearer, kind: 'retraction', night: e.night, retracts: e.id, body: {} }));
  await write(a, drafts, key);
}

/** @param {Works} a @param {Lang} lang */
async function setLang(a, lang) {
  a.state.words = await loadWords(lang);
  localStorage.setItem('lang', lang);
  dress(a.state.words);
  changed(a);
  await a.log.set('lang', lang);
}

/** Changes the state, has it drawn, and keeps one value of it. @param {Works} a @param {Partial<State>} to @param {string} key @param {unknown} value */
async function remember(a, to, key, value) {
  Object.assign(a.state, to);
  changed(a);
  await a.log.set(key, value);
}

/** @param {Set<() => void>} set @returns {(w: () => void) => () => void} */
const watching = set => w => {
  set.add(w);
  return () => set.delete(w);
};

/** @param {Works} a @returns {App} */
const actions = a => ({
  state: a.state,
  log: a.log,
  sync: a.sync,
  watch: watching(a.watchers),
  watchSaved: watching(a.tellers),
  start: () => start(a),
  follow: () => follow(a),
  join: (code, deviceName, consent) => join(a, code, deviceName, consent),
  keep: () => keep(a),
  write: (drafts, key) => write(a, drafts, key),
  undo: (ids, key) => undo(a, ids, key),
  takeBack: e =>
    undo(
      a,
      forms(e, id => a.state.records.get(id)?.entry),
    ),
  sayZone: zone => {
    a.zone.said = `${a.zone.browser} ${zone}`;
    settleZone(a);
    return remember(a, {}, 'zone-said', a.zone.said);
  },
  know: k => {
    a.state.known = k;
  },
  forget: () => {
    a.state.saved = null;
    a.tellers.forEach(w => w());
  },
  setWearer: id => remember(a, { wearer: id }, 'wearer', id),
  setLang: lang => setLang(a, lang),
  refreshFamily: () => refreshFamily(a),
  reload: () => reload(a),
  tick: () => {
    a.state.now = Date.now();
    changed(a);
  },
  update: () => {
    a.state.update = true;
    changed(a);
  },
});

/** @param {Works} a @returns {Sync} */
const syncOf = a =>
  createSync({
    log: a.log,
    prepare: async () => {
      if (await a.log.get('again', false)) await refreshFamily(a);
    },
    post: body => send('POST', '/api/sync', body),
    now: Date.now,
    chance: Math.random,
    later: (ms, job) => {
      const id = setTimeout(job, ms);
      return () => clearTimeout(id);
    },
    visible: () => document.visibilityState === 'visible',
    onState: s => synced(a, s),
    onNews: () => void reload(a),
  });

/** @param {Words} words @param {string} zone @returns {State} before anything was read */
const atFirst = (words, zone) => ({
  phase: 'loading',
  why: '',
  words,
  me: null,
  family: null,
  wearer: '',
  records: new Map(),
  nights: new Map(),
  alerts: [],
  sync: { phase: 'idle', next: null, fault: '' },
  heard: null,
  skew: 0,
  trouble: database.trouble,
  saved: null,
  now: Date.now(),
  zone,
  zoneAsked: '',
  update: false,
  persisted: false,
  cleared: 0,
  alone: [],
  known: {},
});

/**
 * @param {Promise<Words>} loading read beside the log
 * @returns {Promise<App>}
 */
export async function createApp(loading) {
  const log = openLog(store, { now: Date.now, random: n => crypto.getRandomValues(new Uint8Array(n)) });
  const stored = log.all(STORED);
  stored.catch(() => {}); // told by start
  const words = await loading;
  const guessed = zoneBefore(localStorage, Date.now());
  const browser = guessed || zoneNow(localStorage, Date.now());
  atHome(guessed);
  const a = /** @type {Works} */ ({
    state: atFirst(words, browser),
    log,
    stored,
    known: false,
    askedAt: 0,
    zone: { browser, said: '', asked: !guessed },
    watchers: new Set(),
    tellers: new Set(),
  });
  a.sync = syncOf(a);
  a.app = actions(a);
  database.changed = () => changed(a);
  return a.app;
}

/** Sets the page's language and direction. @param {Words} words */
export function dress(words) {
  document.documentElement.lang = words.html;
  document.documentElement.dir = words.dir;
}
