// The app's state in one place, and what every screen reads from it: what is on
// this phone, what is being sent, where each eye stands. Views read `state` and
// call the actions of `App`; they never touch the database or the network.
import { addDays, nightOf, wallAt } from '../../schedule/civil/civil.js';
import { clockOn } from '../../schedule/due.js';
import { lostLenses } from './model/lost.js';
import { findings } from './model/record.js';
import { openReports, RULES, written } from './model/report.js';
import { pauses } from './model/schedule-log.js';
import { readable } from './model/entry.js';
import { answered, byTable, judge } from './model/judge.js';
import { EYES, NO_MARKS, rank, readMarks, wearFact, wearOf, worseMarks, worst } from './model/wear.js';

/** @import { LogRecord, Me } from './data/log.js' */
/** @import { SyncState } from './data/sync.js' */
/** @import { Trouble } from './data/store.js' */
/** @import { Draft, Entry } from './model/entry.js' */
/** @import { Night } from './model/fold.js' */
/** @import { Alert } from './model/report.js' */
/** @import { EyeWear, WearFact } from './model/wear.js' */
/** @import { Lang, Words } from './text/text.js' */

/** @typedef {import('../api/types.js').components['schemas']} Schemas */
/** @typedef {Schemas['Choices']} Choices */
/** @typedef {Schemas['WearerView']} Wearer */
/** @typedef {Schemas['PersonView']} Person */
/** @typedef {Schemas['FamilyView']} Family what GET /api/family said last */

/**
 * What was logged that led to an eye check. wearer: whose; said: in words; answers: by sign; eyes: where it is known.
 * @typedef {{wearer?: string, said?: string, answers?: Record<string, string>, eyes?: string}} Known
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
 * @property {string} zone that clocks and nights go by: the phone's, where it can be believed
 * @property {string} zoneAsked the browser's zone while nobody has said whether it is true; "" when nothing is to be asked
 * @property {boolean} update a new version waits
 * @property {boolean} persisted
 * @property {number} cleared when this phone found its log cleared and had to ask the server for it, Unix ms; 0: never
 * @property {{person: string}[]} alone words to the clinicians alone that wait here, whoever's
 * @property {Known} known what the log has given already of an eye check that it opened
 */

/**
 * @typedef {object} App
 * @property {State} state
 * @property {import('./data/log.js').Log} log
 * @property {import('./data/sync.js').Sync} sync
 * @property {(w: () => void) => () => void} watch
 * @property {(w: () => void) => () => void} watchSaved of `saved` alone
 * @property {() => Promise<void>} start from what this phone has; without that, from the server
 * @property {() => Promise<void>} follow asks the server for news, once the screen stands
 * @property {(code: string, deviceName: string, consent: string) => Promise<void>} join consent: the version of the words agreed to
 * @property {() => void} keep asks the browser not to clear the log when it needs room; it may ask its user
 * @property {(drafts: Draft[], key?: string) => Promise<Entry[]>} write key of the words shown, "" for none; resolves once the entries are durable; rejects in words
 * @property {(ids: string[], key?: string) => Promise<void>} undo
 * @property {(e: Entry) => Promise<void>} takeBack with every earlier form of it
 * @property {(zone: string) => Promise<void>} sayZone what somebody says of where they are, an IANA name
 * @property {(k: Known) => void} know what the log has given of the eye check that it opens
 * @property {() => void} forget
 * @property {(id: string) => Promise<void>} setWearer
 * @property {(lang: Lang) => Promise<void>} setLang
 * @property {() => Promise<void>} refreshFamily
 * @property {() => Promise<void>} reload
 * @property {() => void} tick
 * @property {() => void} update
 */

/** @param {State} s @returns {Wearer|undefined} */
export const wearerOf = s => s.family?.wearers.find(w => w.id === s.wearer);

/** The eyes from left to right as who holds the phone sees them: a teen looks into a mirror. @param {State} s */
export const eyesSeen = s => (s.family?.person.wearer === s.wearer ? ['left', 'right'] : ['right', 'left']);

/** Whether whoever holds this phone writes about several wearers; a teen does about one. @param {State} s */
export const chooses = s => (s.family?.wearers.length ?? 0) > 1 && s.family?.person.role !== 'teen';

/**
 * The app as it looks at one child of the family, whoever is on screen.
 * @param {App} app
 * @param {string} wearer
 * @returns {App}
 */
export const about = (app, wearer) => ({ ...app, state: { ...app.state, wearer } });

/**
 * Works something out once a wearer for as long as what it looks at is the same.
 * Looking at too little would show old advice: name everything.
 * @template T
 * @param {(s: State) => unknown[]} looksAt
 * @param {(s: State) => T} work
 * @returns {(s: State) => T}
 */
export function kept(looksAt, work) {
  /** @type {Map<string, {seen: unknown[], answer: T}>} by wearer */
  const memory = new Map();
  return s => {
    const seen = looksAt(s);
    const had = memory.get(s.wearer);
    if (had && seen.every((x, i) => x === had.seen[i])) return had.answer;
    const answer = work(s);
    memory.set(s.wearer, { seen, answer });
    return answer;
  };
}

/**
 * The plan of the child on screen with the family's own times of a night, and of
 * the evening that comes after it where that is another.
 * @param {State} s
 * @param {string} night
 * @param {string} [evening]
 */
export function planOn(s, night, evening = night) {
  const plan = wearerOf(s)?.plan;
  if (!plan?.own) return plan ?? null;
  const { quiet } = plan.own;
  return {
    ...plan,
    insertion_at: clockOn(plan, 'insertion_at', evening),
    evening_sight_at: clockOn(plan, 'evening_sight_at', evening),
    removal_at: clockOn(plan, 'removal_at', night),
    ...(quiet ? { quiet_from: quiet.from, quiet_to: quiet.to } : {}),
  };
}

/**
 * What parts that are fetched after the start work out. unmet: whether a lens that is in
 * since a night went in against what its release asks for.
 * @type {{unmet: (s: State, eye: 'right'|'left', night: string) => boolean}}
 */
export const fetched = { unmet: () => false };

/** What the day model looks at, for the child on screen. */
export const sceneOf = kept(
  s => [s.nights, s.wearer, s.family, s.alerts, s.now, s.zone, fetched.unmet],
  s => {
    const { nights, wearer } = s;
    return {
      plan: planOn(s, tonight(s), nightOf(s.now + 12 * 3600000, s.zone)),
      zone: s.zone,
      now: s.now,
      night: (/** @type {string} */ date) => nights.get(`${wearer}/${date}`),
      pauses: pausesOf(s),
      wear: wearStates(s),
      wearOn: (/** @type {string} */ date) => statesOn(s, date),
      told: toldOff(s),
      out: saidOut(s),
      lost: lostOf(s),
      unmet: (/** @type {'right'|'left'} */ eye, /** @type {string} */ date) => fetched.unmet(s, eye, date),
      gone: !!s.family?.consent?.withdrawn,
    };
  },
);

/** The lenses of the child on screen that were lost, with none in their place. */
export const lostOf = kept(
  s => [s.nights, s.wearer],
  s => lostLenses(mine(s, s.nights)),
);

/** What wearing is judged by, for the child on screen. */
const judging = kept(
  s => [s.nights, s.wearer, s.family, s.alerts, askedNight(s), s.zone, s.skew],
  s => {
    const records = [...s.records.values()].filter(r => r.entry.wearer === s.wearer);
    const byId = new Map(records.filter(r => readable(r.entry)).map(r => [r.id, r.entry]));
    const scene = {
      entries: [...byId.values()],
      // What the server could not read of another phone comes with its alert.
      facts: [
        ...records.map(r => wearFact(r.entry, r.state, s.skew)),
        ...s.alerts
          .filter(a => a.wearer === s.wearer)
          .flatMap(a => (a.kept ?? []).map(e => wearFact(/** @type {any} */ (e), 'held'))),
      ],
      plan: wearerOf(s)?.plan ?? null,
      settings: s.family?.rule_settings ?? null,
      tonight: askedNight(s),
      zone: s.zone,
      skew: s.skew,
    };
    const judged = byTable(byId, scene);
    const open = new Set(holding(s).map(e => e.id));
    const recent = addDays(scene.tonight, -1);
    // A log from before wearing was judged: of what nobody judged, what the clinic
    // has closed holds no lens back, nor does what is past and was never pressing.
    const old = (/** @type {WearFact} */ f) => f.state === 'stored' && f.night < recent && !open.has(f.id);
    return { scene, how: { byTable: (/** @type {WearFact} */ f) => (old(f) ? NO_MARKS : judged(f)) } };
  },
);

/**
 * Where both eyes of the child on screen stand: see model/wear.js. It never says
 * that an eye is fine.
 */
export const wearNow = kept(
  s => [judging(s)],
  s => wearThen(s, askedNight(s)),
);

/** As `wearNow`, on a night to come, by what is known now. @param {State} s @param {string} night */
export const wearThen = (s, night) => wearOf(judging(s).scene.facts, night, judging(s).how);

/** Where each eye of the child on screen stood on a night, as far as is known: of both states the milder. @param {State} s @param {string} night */
export const statesOn = (s, night) => {
  const wear = wearOf(judging(s).scene.facts, night, { history: true, ...judging(s).how });
  return { right: wear.right.state, left: wear.left.state };
};

/** Whether no planned eye of the child on screen was allowed a lens on a night. @param {State} s @param {string} night */
const heldBack = (s, night) => {
  const wear = statesOn(s, night);
  return EYES.every(eye => ![eye, 'both', undefined].includes(wearerOf(s)?.plan?.eyes) || wear[eye] !== 'none');
};

/** The states alone. */
const wearStates = kept(
  s => [wearNow(s)],
  s => ({ right: wearNow(s).right.state, left: wearNow(s).left.state }),
);

/** When it was last said of each eye of the child on screen that it may have no lens, Unix ms; 0 for never. */
const toldOff = kept(
  s => [judging(s)],
  s => {
    const of = (/** @type {import('./model/wear.js').Eye} */ eye) =>
      judging(s).scene.facts.map(f => {
        const mark = f.kind === 'cease' && f.eyes.includes(eye) ? 'stop' : worseMarks(f.told, f.judged)[eye];
        const e = s.records.get(f.id)?.entry;
        return e && (rank(mark) >= rank('rest') || f.ends.length) ? written(e) : 0;
      });
    return { right: Math.max(0, ...of('right')), left: Math.max(0, ...of('left')) };
  },
);

/** When the practice said last of the lens of each eye that it is out, Unix ms; 0 for never. */
const saidOut = kept(
  s => [judging(s)],
  s => {
    const of = (/** @type {string} */ eye) =>
      judging(s).scene.entries.map(e =>
        e.kind === 'cease' && e.body.lens === 'out' && ['both', eye].includes(e.body.eyes) ? written(e) : 0,
      );
    return { right: Math.max(0, ...of('right')), left: Math.max(0, ...of('left')) };
  },
);

/**
 * The night a lens is asked for: by this phone's clock, or by the server's, the
 * earlier, so that a journey or a wrong clock frees nothing early.
 * @param {State} s
 */
export function askedNight(s) {
  const [here, there] = [tonight(s), nightOf(s.now + s.skew, s.zone)];
  return there < here ? there : here;
}

/** @param {EyeWear} w @param {(c: import('./model/wear.js').Cause) => boolean} which @returns {string[]} ids of causes */
const causeIds = (w, which) => w.causes.filter(which).map(c => c.id);

/**
 * What is about to be written, with what it says of wearing, which earlier rests
 * a report answers, and which stop an insertion goes against.
 * @param {State} state
 * @param {Draft} draft
 * @returns {Draft}
 */
export function judgedDraft(state, draft) {
  if (!JUDGED.includes(draft.kind)) return draft;
  const s = { ...state, wearer: draft.wearer };
  const { scene } = judging(s);
  const m = judge({ night: tonight(s), ...draft }, scene);
  const rests = rank(worst(m)) >= rank('rest');
  if (!rests && draft.kind !== 'symptoms') return draft;
  const now = wearNow(s);
  /** @type {Record<string, any>} */
  const more = { told: Object.fromEntries(EYES.filter(eye => m[eye]).map(eye => [eye, m[eye]])) };
  const ids = (/** @type {(w: EyeWear) => string[]} */ of) => [...new Set(EYES.flatMap(eye => of(now[eye])))];
  const ends = ids(w => [
    ...causeIds(w, c => c.left === 'rest' && c.mark === 'rest'),
    ...w.causes.flatMap(c => c.check ?? []),
  ]);
  const despite = ids(w => causeIds(w, c => c.left === 'stop'));
  if (draft.kind === 'symptoms') more.told.table = RULES.version;
  if (draft.kind === 'symptoms' && ends.length) more.ends = ends;
  if (draft.kind === 'insertion' && despite.length) more.despite = despite;
  return { ...draft, body: { ...draft.body, ...more } };
}

/** Kinds of which what they say of wearing is noted where they are written. */
const JUDGED = ['symptoms', 'morning', 'care', 'evening-sight', 'insertion', 'not-worn', 'check-open'];

/** Whether an entry rests or stops wear, as far as this phone knows. @param {Entry} e */
export const holdsBack = e => rank(worst(worseMarks(readMarks(e.body?.told), readMarks(e.judged)))) >= rank('rest');

/** Pauses of reminders of the child on screen. */
export const pausesOf = kept(
  s => [s.nights, s.wearer],
  s => pauses(mine(s, s.nights)),
);

/**
 * Ends the pauses that hold tonight, and takes back those still to come.
 * @param {App} app
 * @param {(p: import('../../schedule/due.js').Pause) => boolean} which
 */
export async function endPauses(app, which) {
  const s = app.state;
  const now = nightOf(s.now, s.zone);
  const live = [...s.nights.values()]
    .filter(n => n.wearer === s.wearer)
    .flatMap(n => n.entries)
    .filter(e => e.kind === 'pause' && e.body.to >= now);
  const drafts = live
    .filter(e => which({ from: e.night, to: e.body.to, reason: e.body.reason }))
    .map(e =>
      e.night < now
        ? {
            wearer: e.wearer,
            kind: 'pause',
            night: e.night,
            supersedes: [e.id],
            body: { ...e.body, to: addDays(now, -1) },
          }
        : { wearer: e.wearer, kind: 'retraction', night: e.night, retracts: e.id, body: {} },
    );
  if (drafts.length) await app.write(drafts);
}

/** Live eye reports. */
export const reportsOf = kept(
  s => [s.nights],
  s => [...s.nights.values()].flatMap(n => n.entries.filter(e => e.kind === 'symptoms')),
);

/** Those of the child on screen that say "no lens". */
export const holding = kept(
  s => [s.nights, s.wearer, s.alerts, s.now],
  s => openReports(reportsOf(s), s.wearer, s.alerts, s.now),
);

/**
 * The rules about the record that fire on this phone's own log for the child on screen,
 * worst first, without a stop about which the clinic has decided.
 */
export const findingsOf = kept(
  s => [...looksAtRecord(s), wearNow(s)],
  s =>
    findings(
      mine(s, s.nights),
      wearerOf(s)?.plan ?? null,
      tonight(s),
      s.now,
      s.zone,
      s.family?.rule_settings ?? null,
      wearerOf(s) ?? {},
      night => heldBack(s, night),
    ).filter(f => !answered(f, judging(s).scene, wearNow(s))),
);

/** What whatever is worked out from the record of the child on screen looks at. @param {State} s */
export function looksAtRecord(s) {
  return [s.nights, s.wearer, s.family, s.alerts, tonight(s), s.zone];
}

/** The nights of the child on screen. @param {State} s @param {State['nights']} nights */
export const mine = (s, nights) => [...nights.values()].filter(n => n.wearer === s.wearer);

/** @param {State} s @returns {Entry[]} of the log, without what was put away */
export const live = s => [...s.records.values()].filter(r => r.state !== 'discarded').map(r => r.entry);

/** @param {State} s @returns {LogRecord[]} entries that exist only on this phone */
export const unsentOf = s => [...s.records.values()].filter(r => r.state === 'unsent');

/** How much exists only on this phone, a teen's words to the clinicians alone too. @param {State} s */
export const waitingHere = s => unsentOf(s).length + s.alone.filter(p => p.person === s.me?.person).length;

/** @param {State} s @returns {number} when the oldest of them was written, Unix ms; 0 for none */
export const waitingSince = s => unsentOf(s).reduce((a, r) => (a && a < r.at ? a : r.at), 0);

/** @param {State} s @param {string} id @returns {string} name of a person of the family */
export const nameOf = (s, id) =>
  id === s.me?.person ? s.words.t('log.you') : (s.family?.people.find(p => p.id === id)?.name ?? '');

/** @param {State} s */
export const clockNow = s => wallAt(Date.now(), s.zone).clock;

/** @param {State} s */
export const tonight = s => nightOf(s.now, s.zone);
