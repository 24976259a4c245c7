// The app's state in one place: what is on this phone, what is being sent, and
// the actions every screen uses. Views read `state` and call actions; they
// never touch the database or the network.
import { addDays, nightOf, wallAt } from '../../schedule/civil/civil.js';
import { call, send } from './data/api.js';
import { openLog } from './data/log.js';
import { openStore } from './data/store.js';
import { createSync } from './data/sync.js';
import { fold } from './model/fold.js';
import { findings } from './model/record.js';
import { closedAt, openReports, written } from './model/report.js';
import { pauses } from './model/schedule-log.js';
import { loadWords } from './text/text.js';

/** @import { LogRecord, Me } from './data/log.js' */
/** @import { SyncState } from './data/sync.js' */
/** @import { Trouble } from './data/store.js' */
/** @import { Draft, Entry } from './model/entry.js' */
/** @import { Night } from './model/fold.js' */
/** @import { Alert } from './model/report.js' */
/** @import { Finding } from '../../alerts/evaluate.js' */
/** @import { Contacts } from './model/contacts.js' */
/** @import { Plan, Recall } from '../../schedule/due.js' */
/** @import { Lang, Words } from './text/text.js' */

/** @typedef {{remind_first: string, parent_after_minutes: number|null, lock_screen_words: string}} Choices of the family about reminders; empty and null follow the plan */
/** @typedef {{id: string, name: string, plan: Plan|null, recalls: Recall[]|null, reminders?: Choices, outlook?: Outlook|null}} Wearer */
/** @typedef {{status: 'on-course'|'behind'|'not-enough', night: string, clear_low: number, clear_high: number, after_one: number, after_two: number}} Outlook what the server's effect model expects: hours, and dioptres on the evening after one and two missed nights */
/** @typedef {{id: string, name: string, role: string, wearer?: string}} Person */
/**
 * @typedef {object} Family what GET /api/family said last
 * @property {string} device
 * @property {Person} person
 * @property {{id: string, name: string, zone: string}} family
 * @property {Person[]} people
 * @property {Wearer[]} wearers
 * @property {Contacts} contacts
 * @property {string} vapid
 * @property {Record<string, number>|null} [rule_settings] limits the practice has set
 * @property {{version: string}} consent
 */

/**
 * @typedef {object} State
 * @property {'loading'|'join'|'ready'|'failed'} phase
 * @property {string} why of a failure
 * @property {Words} words
 * @property {Me|null} me
 * @property {Family|null} family
 * @property {string} wearer id of the child on screen
 * @property {Map<string, LogRecord>} records
 * @property {Map<string, Night>} nights
 * @property {Alert[]} alerts
 * @property {SyncState} sync
 * @property {number|null} heard when the server last answered, Unix ms
 * @property {number} skew the server's clock minus this phone's at the last answer, ms
 * @property {Trouble} trouble
 * @property {{ids: string[], key: string}|null} saved the last thing done, for undo
 * @property {number} now Unix ms, kept fresh while the screen is on
 * @property {string} zone of the phone
 * @property {boolean} update a new version waits
 * @property {boolean} persisted
 */

/** How long a new phone waits for the log before it shows its screens, which would move under a finger when it comes. */
const FIRST_SYNC_MS = 3000;

/** What a fault of the database is called on screen. */
export class SaveError extends Error {}

/** @param {Words} words @returns {Promise<App>} */
export async function createApp(words) {
  /** @type {State} */
  const state = {
    phase: 'loading', why: '', words, me: null, family: null, wearer: '', records: new Map(), nights: new Map(), alerts: [],
    sync: { phase: 'idle', next: null, fault: '' }, heard: null, skew: 0, trouble: '', saved: null, now: Date.now(),
    zone: new Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC', update: false, persisted: false,
  };
  /** @type {Set<() => void>} */
  const watchers = new Set();
  const changed = () => watchers.forEach((w) => w());
  const store = openStore(indexedDB, (t) => { state.trouble = t; changed(); });
  const log = openLog(store, { now: Date.now, random: (n) => crypto.getRandomValues(new Uint8Array(n)) });

  const reload = async () => {
    const [records, alerts, heard, skew] = await Promise.all([log.records(), log.get('alerts', /** @type {Alert[]} */ ([])), log.get('heard', /** @type {number|null} */ (null)), log.get('skew', 0)]);
    state.records = new Map(records.map((r) => [r.id, r]));
    state.nights = fold(records.filter((r) => r.state !== 'discarded').map((r) => r.entry));
    state.alerts = alerts;
    state.heard = heard;
    state.skew = skew;
    state.now = Date.now();
    changed();
  };

  const sync = createSync({
    log, post: (body) => send('POST', '/api/sync', body), now: Date.now, chance: Math.random,
    later: (ms, job) => { const id = setTimeout(job, ms); return () => clearTimeout(id); },
    visible: () => document.visibilityState === 'visible',
    onState: (s) => { state.sync = s; changed(); }, onNews: () => void reload(),
  });

  const refreshFamily = async () => {
    const family = /** @type {Family} */ (await call('GET', '/api/family'));
    const me = { device: family.device, person: family.person.id, family: family.family.id };
    const other = await log.become(me);
    await log.set('family', family);
    await log.forget(family.wearers.map((w) => w.id));
    Object.assign(state, { family, me });
    if (!family.wearers.some((w) => w.id === state.wearer)) state.wearer = family.person.wearer || family.wearers[0]?.id || '';
    changed();
    if (!other) return;
    await reload();
    await sync.flush();
  };

  const enter = async () => {
    await refreshFamily();
    await Promise.race([sync.flush(), new Promise((done) => { setTimeout(done, FIRST_SYNC_MS); })]);
    await reload();
    state.phase = 'ready';
  };

  /** @type {App} */
  const app = {
    state, log, sync,
    watch: (w) => { watchers.add(w); return () => watchers.delete(w); },
    start: async () => {
      try {
        const [me, family, wearer] = await Promise.all([log.get('me', /** @type {Me|null} */ (null)), log.get('family', /** @type {Family|null} */ (null)), log.get('wearer', '')]);
        Object.assign(state, { me, family, wearer: wearer || family?.person.wearer || family?.wearers[0]?.id || '' });
      } catch (e) {
        Object.assign(state, { phase: 'failed', why: String(e) });
        return changed();
      }
      if (state.me && state.family) {
        await reload();
        state.phase = 'ready';
        changed();
        void sync.flush();
        void refreshFamily().catch(() => {});
      } else {
        await enter().catch(() => { state.phase = 'join'; });
        changed();
      }
      state.persisted = (await navigator.storage?.persisted?.()) ?? false;
    },
    join: async (code, deviceName) => {
      await call('POST', '/api/join', { code, device_name: deviceName, consent: '1' });
      state.persisted = (await navigator.storage?.persist?.()) ?? false;
      await enter();
      changed();
    },
    write: async (drafts, key = 'saved') => {
      /** @type {LogRecord[]} */
      let made;
      try {
        made = await log.append(drafts, state.zone);
      } catch (e) {
        const full = e instanceof Error && e.name === 'QuotaExceededError';
        throw new SaveError(state.words.t(full ? 'failed.full' : 'failed.other', { why: e instanceof Error ? e.message : '' }));
      }
      for (const r of made) state.records.set(r.id, r);
      state.nights = fold([...state.records.values()].filter((r) => r.state !== 'discarded').map((r) => r.entry));
      state.saved = key ? { ids: made.map((r) => r.id), key } : null;
      state.now = Date.now();
      changed();
      void sync.flush();
      return made.map((r) => r.entry);
    },
    undo: async (ids) => {
      const drafts = ids.map((id) => state.records.get(id)?.entry).filter((e) => e !== undefined)
        .map((e) => ({ wearer: e.wearer, kind: 'retraction', night: e.night, retracts: e.id, body: {} }));
      await app.write(drafts, 'undone');
    },
    forget: () => { state.saved = null; changed(); },
    setWearer: async (id) => { state.wearer = id; changed(); await log.set('wearer', id); },
    setLang: async (lang) => {
      state.words = await loadWords(lang);
      localStorage.setItem('lang', lang);
      dress(state.words);
      changed();
      await log.set('lang', lang);
    },
    refreshFamily, reload,
    tick: () => { state.now = Date.now(); changed(); },
    update: () => { state.update = true; changed(); },
  };
  return app;
}

/**
 * @typedef {object} App
 * @property {State} state
 * @property {import('./data/log.js').Log} log
 * @property {import('./data/sync.js').Sync} sync
 * @property {(w: () => void) => () => void} watch
 * @property {() => Promise<void>} start
 * @property {(code: string, deviceName: string) => Promise<void>} join
 * @property {(drafts: Draft[], key?: string) => Promise<Entry[]>} write key of the words shown, "" for none; resolves once the entries are durable; rejects with a SaveError in words
 * @property {(ids: string[]) => Promise<void>} undo
 * @property {() => void} forget
 * @property {(id: string) => Promise<void>} setWearer
 * @property {(lang: Lang) => Promise<void>} setLang
 * @property {() => Promise<void>} refreshFamily
 * @property {() => Promise<void>} reload
 * @property {() => void} tick
 * @property {() => void} update
 */

/** Sets the page's language and direction. @param {Words} words */
export function dress(words) {
  document.documentElement.lang = words.lang;
  document.documentElement.dir = words.dir;
}

/** @param {State} s @returns {Wearer|undefined} */
export const wearerOf = (s) => s.family?.wearers.find((w) => w.id === s.wearer);

/**
 * What the day model looks at, for the child on screen.
 * @param {State} s
 */
export function sceneOf(s) {
  return {
    plan: wearerOf(s)?.plan ?? null, zone: s.zone, now: s.now,
    night: (/** @type {string} */ date) => s.nights.get(`${s.wearer}/${date}`),
    pauses: pausesOf(s),
    hold: holding(s).length > 0 || recordHolds(s),
  };
}

/** @param {State} s pauses of reminders of the child on screen */
export const pausesOf = (s) => pauses([...s.nights.values()].filter((n) => n.wearer === s.wearer));

/**
 * Ends the pauses that hold tonight, and takes back those still to come.
 * @param {App} app
 * @param {(p: import('../../schedule/due.js').Pause) => boolean} which
 */
export async function endPauses(app, which) {
  const s = app.state;
  const now = nightOf(s.now, s.zone);
  const live = [...s.nights.values()].filter((n) => n.wearer === s.wearer).flatMap((n) => n.entries).filter((e) => e.kind === 'pause' && e.body.to >= now);
  const drafts = live.filter((e) => which({ from: e.night, to: e.body.to, reason: e.body.reason })).map((e) => (e.night < now
    ? { wearer: e.wearer, kind: 'pause', night: e.night, supersedes: [e.id], body: { ...e.body, to: addDays(now, -1) } }
    : { wearer: e.wearer, kind: 'retraction', night: e.night, retracts: e.id, body: {} }));
  if (drafts.length) await app.write(drafts);
}

/** @param {State} s @returns {Entry[]} live eye reports, newest first */
export function reportsOf(s) {
  return [...s.nights.values()].flatMap((n) => n.entries.filter((e) => e.kind === 'symptoms'));
}

/** @param {State} s @returns {Entry[]} those of the child on screen that say "no lens" */
export const holding = (s) => openReports(reportsOf(s), s.wearer, s.alerts, s.now);

/** Worked out once for each state of the log, child and night. @type {WeakMap<State['nights'], Map<string, Finding[]>>} */
const known = new WeakMap();

/**
 * The rules about the record that fire on this phone's own log for the child
 * on screen, worst first.
 * @param {State} s
 * @returns {Finding[]}
 */
export function findingsOf(s) {
  const today = tonight(s);
  const at = `${s.wearer}/${today}`;
  const here = known.get(s.nights) ?? new Map();
  known.set(s.nights, here);
  const plan = wearerOf(s)?.plan ?? null;
  const key = `${at}/${plan?.version ?? 0}`;
  if (!here.has(key)) here.set(key, findings(mine(s, s.nights), plan, today, s.now, s.zone, s.family?.rule_settings ?? null));
  return here.get(key);
}

/** @param {State} s @param {State['nights']} nights */
const mine = (s, nights) => [...nights.values()].filter((n) => n.wearer === s.wearer);

/**
 * Whether the log itself says "no lens". What the clinic has closed an alert
 * about counts no more; what was written since does.
 * @param {State} s
 */
function recordHolds(s) {
  const bans = (/** @type {Finding[]} */ list) => list.some((f) => f.actions.includes('no-lens'));
  if (!bans(findingsOf(s))) return false;
  const closed = closedAt(s.wearer, s.alerts);
  const since = fold([...s.records.values()].filter((r) => r.state !== 'discarded' && written(r.entry) > closed).map((r) => r.entry));
  return bans(findings(mine(s, since), wearerOf(s)?.plan ?? null, tonight(s), s.now, s.zone, s.family?.rule_settings ?? null));
}

/** @param {State} s @returns {LogRecord[]} entries that exist only on this phone */
export const unsentOf = (s) => [...s.records.values()].filter((r) => r.state === 'unsent');

/** @param {State} s @returns {number} when the oldest of them was written, Unix ms; 0 for none */
export const waitingSince = (s) => unsentOf(s).reduce((a, r) => (a && a < r.at ? a : r.at), 0);

/** @param {State} s @param {string} id @returns {string} name of a person of the family */
export const nameOf = (s, id) => (id === s.me?.person ? s.words.t('log.you') : s.family?.people.find((p) => p.id === id)?.name ?? '');

/** @param {State} s */
export const clockNow = (s) => wallAt(Date.now(), s.zone).clock;

/** @param {State} s */
export const tonight = (s) => nightOf(s.now, s.zone);
