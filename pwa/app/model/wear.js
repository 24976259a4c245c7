// Whether each eye may be offered a lens tonight: the twin of
// server/internal/care/wear.go, on the vectors of testdata/care/wear.json. One
// pure function of the log: order, repetition, clocks and sequence numbers do
// not matter. It never says that an eye is fine.

import { nightOf } from '../../../schedule/civil/civil.js';

/** @import { Entry } from './entry.js' */
/** @import { RecordState } from '../data/log.js' */

/**
 * What one entry says of an eye, and what all of them come to; from least to
 * most careful. clear: of a report, every question of the eye answered harmless.
 * none: no stop; plan and pauses still decide. rest: not tonight. stop: only a
 * clinician ends it.
 * @typedef {''|'clear'|'none'|'rest'|'stop'} Mark
 */
/** @typedef {'right'|'left'} Eye */
/** @typedef {{right: Mark, left: Mark, given: boolean}} Marks given: somebody judged */
/**
 * What the wear state reads of one entry.
 * @typedef {object} WearFact
 * @property {string} id
 * @property {string} kind
 * @property {string} night
 * @property {RecordState} state
 * @property {Marks} told judged where it was written
 * @property {Marks} judged on receipt
 * @property {Eye[]} about of a report: which eyes
 * @property {string} made of a report: the night it was written in by the server's clock; "" unless that is earlier
 * @property {boolean} [usual] of a report: the eye that it is not about is as usual
 * @property {boolean} sore of not-worn: because of a sore eye
 * @property {string[]} ends
 * @property {string[]} takes the entries that it retracts or corrects: what a report of them ended or proved no longer counts
 * @property {Eye[]} eyes of a cease or a resume
 * @property {string[]} answers
 * @property {string} from
 * @property {boolean} check
 * @property {string} begins of a cease: the first night it holds for; "" for at once
 * @property {Record<string, Marks>} opens of wear-start
 */
/**
 * One entry that holds a lens back in one eye. mark: what it asked for; left:
 * what is left of it; from: the first night from which a resume lifts it; check:
 * the resume that waits for a check of this eye.
 * @typedef {{id: string, kind: string, night: string, mark: Mark, left: Mark, from?: string, check?: string}} Cause
 */
/**
 * until: the first night without a cause, by the resumes known; absent when none
 * is. causes: the most careful first, then the newest.
 * @typedef {{state: 'none'|'rest'|'stop', until?: string, causes: Cause[]}} EyeWear
 */
/** @typedef {{right: EyeWear, left: EyeWear}} Wear */

/** @type {Mark[]} */
const MARKS = ['', 'clear', 'none', 'rest', 'stop'];
/** @type {Eye[]} */
export const EYES = ['right', 'left'];
/** @type {RecordState[]} so that copies join whatever their order */
const STATES = ['discarded', 'refused', 'held', 'missing', 'unsent', 'sent', 'stored'];
/** @type {RecordState[]} of a report that may end a rest: one the practice cannot read ends nothing */
const STANDING = ['stored', 'sent', 'unsent', 'missing'];
/** Kinds that only the practice writes. */
export const CLINICAL = ['cease', 'resume', 'wear-start', 'word', 'visit', 'taught'];

/** @param {Mark} m @returns {number} 0 for nothing said to 4 for stop */
export const rank = m => MARKS.indexOf(m);
/** @template {Mark} M @param {M} a @param {M} b @returns {M} */
const worse = (a, b) => (rank(a) >= rank(b) ? a : b);
/** @template {Mark} M @param {M} a @param {M} b @returns {M} */
const better = (a, b) => (rank(a) <= rank(b) ? a : b);

/** Nobody judged. @type {Marks} */
export const NO_MARKS = Object.freeze({ right: '', left: '', given: false });

/** @param {Marks} m an eye that a judgement does not name has no stop */
const settled = m =>
  m.given ? { ...m, right: m.right || /** @type {Mark} */ ('none'), left: m.left || /** @type {Mark} */ ('none') } : m;

/**
 * @param {Marks} a
 * @param {Marks} b
 * @returns {Marks}
 */
export function worseMarks(a, b) {
  const [x, y] = [settled(a), settled(b)];
  return { right: worse(x.right, y.right), left: worse(x.left, y.left), given: x.given || y.given };
}

/** @param {Marks} m */
export const worst = m => worse(m.right, m.left);

/**
 * Reads marks of an entry. What is no object, or has a word that is not known
 * here, says nothing: it is never an error.
 * @param {unknown} raw
 * @returns {Marks}
 */
export function readMarks(raw) {
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw)) return NO_MARKS;
  const parts = /** @type {Record<string, unknown>} */ (raw);
  const [right, left] = EYES.map(eye => MARKS.find(m => m === parts[eye]) ?? '');
  const unread = EYES.some(
    eye => parts[eye] !== undefined && !MARKS.slice(1).includes(/** @type {Mark} */ (parts[eye])),
  );
  const judgedNone = Number.isInteger(parts.table) && Number(parts.table) > 0 && !unread;
  return settled({ right, left, given: !!right || !!left || judgedNone });
}

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

/** @param {unknown} raw @returns {string[]} nothing when one of them is no id */
function readIds(raw) {
  return Array.isArray(raw) && raw.every(id => typeof id === 'string' && UUID.test(id)) ? raw : [];
}

/** @param {unknown} v */
const object = v => typeof v === 'object' && v !== null && !Array.isArray(v);
/** @param {unknown} v @returns {Eye[]} of "both", "right" or "left" */
export const eyesOf = v => EYES.filter(eye => v === 'both' || v === eye);

/**
 * What the wear state reads of an entry; members that are not well formed are
 * left out.
 * @param {Entry} e
 * @param {RecordState} state
 * @param {number} [skew] the server's clock minus this phone's, ms; of what the server has not dated
 * @returns {WearFact}
 */
export function wearFact(e, state, skew = 0) {
  const b = object(e.body) ? e.body : {};
  const clinic = e.kind === 'cease' || e.kind === 'resume';
  return {
    id: e.id,
    kind: e.kind,
    night: e.night,
    state,
    told: readMarks(b.told),
    judged: readMarks(e.judged),
    about: e.kind === 'symptoms' ? EYES.filter(eye => object(b[eye])) : [],
    made: e.kind === 'symptoms' ? madeEarlier(e, skew) : '',
    usual: e.kind === 'symptoms' && b.other === 'usual',
    sore: e.kind === 'not-worn' && b.reason === 'sore-eye',
    ends: readIds(b.ends),
    takes: [...(e.supersedes ?? []), ...(e.retracts ? [e.retracts] : [])],
    eyes: clinic ? eyesOf(b.eyes) : [],
    answers: clinic ? readIds(b.answers) : [],
    from: typeof b.from === 'string' ? b.from : '',
    begins: e.kind === 'cease' && /^\d{4}-\d\d-\d\d$/.test(b.from) ? b.from : '',
    check: b.check === true,
    opens:
      e.kind === 'wear-start' && object(b.opens)
        ? Object.fromEntries(Object.entries(b.opens).map(([id, m]) => [id, readMarks(m)]))
        : {},
  };
}

/** @param {Entry} e @param {number} skew @returns {string} the night it was written in by the server's clock, "" unless that is earlier */
function madeEarlier(e, skew) {
  const ahead = e.recv ? (e.skew_ms ?? 0) : -skew;
  const at = Math.min(
    Date.parse(`${e.wall}Z`) - e.offset * 60000 - Math.max(0, ahead),
    e.recv ? Date.parse(e.recv) : Infinity,
  );
  if (!Number.isFinite(at)) return '';
  const night = nightOf(at, e.zone);
  return night < e.night ? night : '';
}

/** Whether an entry has a part in the wear state. @param {WearFact} f */
export const ofWear = f =>
  ['cease', 'resume', 'wear-start', 'check-open'].includes(f.kind) ||
  (f.kind === 'symptoms' && f.ends.length > 0) ||
  rank(worst(worseMarks(f.told, f.judged))) >= rank('rest');

/** @typedef {{fact: WearFact, id: string, kind: string, night: string, mark: Marks}} Marked */
/** @typedef {{night: string, taken: string[], causes: Marked[], reports: Marked[], resumes: WearFact[]}} Set what the state asks of the facts */

/**
 * @param {WearFact} a
 * @param {WearFact} b another copy of the same entry
 * @returns {WearFact}
 */
function joined(a, b) {
  return {
    ...a,
    told: worseMarks(a.told, b.told),
    judged: worseMarks(a.judged, b.judged),
    ends: a.ends.filter(id => b.ends.includes(id)),
    takes: [...a.takes, ...b.takes],
    made: [a.made, b.made].filter(x => x).sort()[0] ?? '',
    begins: a.begins < b.begins ? a.begins : b.begins,
    state: STATES.indexOf(b.state) > STATES.indexOf(a.state) ? b.state : a.state,
  };
}

/**
 * Where both eyes stand on a night, from the entries of one wearer. As history
 * it looks only at causes of nights up to that one; asked for now, at all.
 * @param {Iterable<WearFact>} facts
 * @param {string} night
 * @param {{history?: boolean, byTable?: (f: WearFact) => Marks}} [how] byTable judges a fact that nobody judged
 * @returns {Wear}
 */
export function wearOf(facts, night, { history = false, byTable } = {}) {
  /** @type {Map<string, WearFact>} */
  const byId = new Map();
  for (const f of facts) {
    const have = byId.get(f.id);
    byId.set(f.id, have ? joined(have, f) : f);
  }
  const starts = [...byId.values()].filter(f => f.kind === 'wear-start' && f.state === 'stored');
  const opened = openedBy(starts);
  /** @type {Set} */
  const set = { night, taken: takenBack([...byId.values()]), causes: [], reports: [], resumes: [] };
  for (const f of byId.values()) place(set, f, opened, starts.length > 0, byTable);
  set.causes = [...set.causes, ...opened.values()].filter(
    c => rank(worst(c.mark)) >= rank('rest') && !(history && madeOn(c) > night),
  );
  return { right: eyeWear(set, 'right'), left: eyeWear(set, 'left') };
}

/**
 * The entries that another takes back or corrects. As causes they count on: what was
 * reported was reported. A check that ended a rest, or that a release asked for, proves
 * nothing once it is taken back: it may have been of another child.
 * @param {WearFact[]} facts
 */
const takenBack = facts => facts.flatMap(f => (STANDING.includes(f.state) ? f.takes : []));

/** @param {WearFact[]} starts @returns {Map<string, Marked>} causes that they list, by entry */
function openedBy(starts) {
  /** @type {Map<string, Marked>} */
  const opened = new Map();
  for (const f of starts) {
    for (const [id, m] of Object.entries(f.opens)) {
      const have = opened.get(id);
      const earlier = !have || f.night < have.night;
      opened.set(id, {
        fact: f,
        id,
        kind: 'wear-start',
        night: earlier ? f.night : have.night,
        mark: worseMarks(have?.mark ?? NO_MARKS, m),
      });
    }
  }
  return opened;
}

/**
 * Puts a fact where it belongs. What wear-start opens joins the entry itself
 * when that is here.
 * @param {Set} set
 * @param {WearFact} f
 * @param {Map<string, Marked>} opened
 * @param {boolean} started
 * @param {((f: WearFact) => Marks)|undefined} byTable
 */
function place(set, f, opened, started, byTable) {
  if (f.kind === 'resume' && f.state === 'stored') set.resumes.push(f);
  if ((CLINICAL.includes(f.kind) && f.kind !== 'cease') || f.begins > set.night) return; // one still to come stops nothing yet
  let mark = f.kind === 'cease' ? ceased(f.eyes) : worseMarks(f.told, f.judged);
  if (!mark.given && f.kind !== 'cease' && byTable && (f.state !== 'stored' || !started)) mark = settled(byTable(f));
  const also = opened.get(f.id);
  if (also) mark = worseMarks(mark, also.mark);
  opened.delete(f.id);
  const c = { fact: f, id: f.id, kind: f.kind, night: f.begins > f.night ? f.begins : f.night, mark };
  set.causes.push(c);
  if (f.kind === 'symptoms' && STANDING.includes(f.state) && !set.taken.includes(f.id)) set.reports.push(c);
}

/** The night that a report may prove something of: a clock that was ahead says no day too soon. @param {Marked} c */
const madeOn = c => (c.fact.made && c.fact.made < c.night ? c.fact.made : c.night);

/** @param {Eye[]} eyes @returns {Marks} */
const ceased = eyes => ({
  right: eyes.includes('right') ? 'stop' : '',
  left: eyes.includes('left') ? 'stop' : '',
  given: eyes.length > 0,
});

/** @param {Set} set @param {Eye} eye @returns {EyeWear} */
function eyeWear(set, eye) {
  const causes = set.causes.map(k => residual(set, k, eye)).filter(c => rank(c.left) >= rank('rest'));
  const until =
    causes.length && causes.every(c => c.from) ? causes.map(c => c.from ?? '').reduce((a, b) => (b > a ? b : a)) : '';
  causes.sort(
    (a, b) =>
      rank(b.left) - rank(a.left) || (a.night === b.night ? (a.id < b.id ? 1 : -1) : a.night < b.night ? 1 : -1),
  );
  const state = /** @type {'none'|'rest'|'stop'} */ (
    causes.reduce((m, c) => worse(m, c.left), /** @type {Mark} */ ('none'))
  );
  return { state, ...(until ? { until } : {}), causes };
}

/**
 * What is left of a cause for one eye: the least of its mark, of none when a
 * report ended it, and of what each resume that lists it leaves.
 * @param {Set} set
 * @param {Marked} k
 * @param {Eye} eye
 * @returns {Cause}
 */
function residual(set, k, eye) {
  const mark = k.mark[eye];
  let left = mark === 'rest' && ended(set, k, eye) ? /** @type {Mark} */ ('none') : mark;
  let [from, check] = ['', ''];
  for (const r of set.resumes) {
    if (!r.eyes.includes(eye) || !r.answers.includes(k.id)) continue;
    if (r.from > set.night) {
      if (!from || r.from < from) from = r.from;
    } else if (r.check && !checked(set, r, eye)) {
      left = better(left, 'rest');
      if (!check || r.id < check) check = r.id;
    } else {
      left = better(left, 'none');
    }
  }
  return {
    id: k.id,
    kind: k.kind,
    night: madeOn(k),
    mark,
    left,
    ...(from ? { from } : {}),
    ...(check ? { check } : {}),
  };
}

/**
 * Whether a family's report ended a rest. One about a sore eye, or of a check
 * that was begun, is ended by any report about that eye from its own night on;
 * any other by a harmless one of a later night.
 * An eye that the report of the cause said is as usual rests for the other one, and
 * as long.
 * @param {Set} set
 * @param {Marked} k
 * @param {Eye} eye
 */
function ended(set, k, eye) {
  const { about, usual } = k.fact;
  if (k.kind === 'symptoms' && usual && about.length === 1) [eye] = about;
  const asked = k.kind === 'check-open' || (k.kind === 'not-worn' && k.fact.sore);
  return set.reports.some(q => {
    if (q.night > set.night || !q.fact.ends.includes(k.id) || !q.fact.about.includes(eye)) return false;
    return (asked && q.night >= k.night) || (q.mark[eye] === 'clear' && madeOn(q) > madeOn(k));
  });
}

/**
 * Whether the check that a resume asks for was done.
 * @param {Set} set
 * @param {WearFact} r
 * @param {Eye} eye
 */
function checked(set, r, eye) {
  return set.reports.some(
    q => q.mark[eye] === 'clear' && madeOn(q) >= r.from && q.night <= set.night && q.fact.ends.includes(r.id),
  );
}
