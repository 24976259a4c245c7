// What one entry of the family says of wearing, judged where it is written: the
// twin of server/internal/care/judge.go, on the vectors of
// testdata/care/judge.json. The server judges again on receipt, and the worse
// counts. Pure.
import { addDays, instantInNight } from '../../../schedule/civil/civil.js';
import { contributes } from '../../../alerts/contribute.js';
import { evaluate, reportMarks as byReport } from '../../../alerts/evaluate.js';
import { fold } from './fold.js';
import { nightSigns, ofFlag, ofWater, storedBy, todayFacts, WINDOW } from './record.js';
import { outcome, RULES, serverTime, written } from './report.js';
import { waits } from './unexamined.js';
import { EYES, eyesOf, rank, wearOf, worst } from './wear.js';

/** @import { Finding } from '../../../alerts/evaluate.js' */
/** @import { Plan } from '../../../schedule/due.js' */
/** @import { Draft, Entry } from './entry.js' */
/** @import { Night } from './fold.js' */
/** @import { Cause, Eye, Mark, Marks, Wear, WearFact } from './wear.js' */

/**
 * What an entry is judged against.
 * @typedef {object} Scene
 * @property {Iterable<Entry>} entries all of the wearer, without the one that is judged
 * @property {WearFact[]} facts of the same
 * @property {Plan|null} plan
 * @property {Record<string, number>|null} settings of the practice
 * @property {string} tonight
 * @property {string} zone of the phone
 * @property {number} [skew] as of serverTime
 */

/** @type {Marks} */
const NO_STOP = { right: 'none', left: 'none', given: true };

/** @param {Marks} m @param {Iterable<Eye>} eyes @param {Mark} mark @returns {Marks} */
function raise(m, eyes, mark) {
  const out = { ...m };
  for (const eye of eyes) if (rank(mark) > rank(out[eye])) out[eye] = mark;
  return out;
}

/**
 * The marks of something about to be written, or of an entry that nobody judged.
 * Stop: an urgent or emergency finding that says no lens; an answer that is missing
 * and could be urgent while an emergency that nobody examined holds a lens back; an
 * insertion, of tonight or last night, timed after a stop began. Rest: a less pressing finding
 * that says no lens, a sore eye, a check that was begun, an answer that is
 * missing and could be urgent. Clear: every question of the eye answered
 * harmless, the lens out, and no finding about the record stands.
 * @param {Draft|Entry} draft
 * @param {Scene} s
 * @returns {Marks}
 */
export function judge(draft, s) {
  const e = /** @type {Entry} */ ({
    zone: s.zone,
    night: s.tonight,
    ...draft,
    id: 'id' in draft ? draft.id : '~',
    hlc: 'hlc' in draft ? draft.hlc : '~',
    v: 1,
  });
  const eyes = eyesOf(e.body?.eyes);
  if (e.kind === 'check-open' || (e.kind === 'not-worn' && e.body.reason === 'sore-eye'))
    return raise(NO_STOP, eyes, 'rest');
  if (e.kind === 'insertion') return inserted(e, eyes, s);
  if (e.kind === 'symptoms') return byRecord(e, emergency(e, reportMarks(e), s), s);
  return ['care', 'morning', 'evening-sight'].includes(e.kind) && !harmless(e) ? byRecord(e, NO_STOP, s) : NO_STOP;
}

/** The best answer to each question of a night that a rule looks at which says "no lens". @type {Record<string, unknown[]>} */
const HARMLESS = {
  tap_water: [false],
  water_contact: [false],
  rinse: ['solution', 'saline', 'none'],
  halos: ['none'],
  redness: [0],
  comfort: [4],
  moved: ['freely'],
};

/** @param {Entry} e */
const harmless = e =>
  Object.entries(HARMLESS).every(([name, best]) => !(name in e.body) || best.includes(e.body[name]));

/**
 * For wearOf: judges an entry that nobody judged, as one from before this app.
 * @param {Map<string, Entry>} byId
 * @param {Scene} s
 * @returns {(f: WearFact) => Marks}
 */
export function byTable(byId, s) {
  return f => {
    const e = byId.get(f.id);
    return e ? judge(e, { ...s, tonight: f.night > s.tonight ? s.tonight : f.night }) : NO_STOP;
  };
}

/**
 * What a symptom report says by itself. An eye that it is not about has no mark
 * but that of what keeps a lens out, which is of both.
 * @param {Entry} e
 * @returns {Marks}
 */
function reportMarks(e) {
  const about = EYES.some(eye => typeof e.body[eye] === 'object' && e.body[eye] !== null);
  const m = { ...NO_STOP, ...byReport(RULES, e.body) };
  return about ? m : raise(m, EYES, 'rest');
}

/**
 * The rest of open answers is a stop while an emergency that nobody examined holds a
 * lens back: the family is told to phone now, and no check of a later night may end that
 * without the practice.
 * @param {Entry} e
 * @param {Marks} m
 * @param {Scene} s
 * @returns {Marks}
 */
function emergency(e, m, s) {
  if (worst(m) !== 'rest' || !outcome(e).unsure) return m;
  const wear = wearOf(
    s.facts.filter(f => f.id !== e.id),
    e.night,
  );
  return waits([...s.entries], s.skew, wear) ? raise(m, EYES, 'stop') : m;
}

/** What a finding says of wearing when it fires. @param {Finding} f @returns {Mark} */
const findingMark = f => RULES.rules.find(r => r.id === f.rule)?.mark ?? 'none';

/**
 * Adds what the findings about the record say: those the entry takes part in
 * mark it, in both eyes; any other that stands keeps it from being clear, leaving
 * aside those of which a resume has answered every part.
 * @param {Entry} e
 * @param {Marks} start
 * @param {Scene} s
 * @returns {Marks}
 */
function byRecord(e, start, s) {
  const first = addDays(e.night < s.tonight ? e.night : s.tonight, -WINDOW);
  const last = e.night > s.tonight ? e.night : s.tonight;
  const near = [...s.entries].filter(x => x.night >= first && x.night <= last && x.id !== e.id);
  const nights = [...fold([...near, e]).values()].sort((a, b) => (a.night < b.night ? -1 : 1));
  let m = start;
  for (const tonight of new Set([e.night, s.tonight])) {
    for (const f of found(nights, tonight, s)) {
      const mark = findingMark(f);
      if (rank(mark) < rank('rest')) continue;
      if (takesPart(e, f, tonight, s) || broughtBy(e, f, near, tonight, s)) m = raise(m, EYES, mark);
      else
        for (const eye of EYES)
          if (m[eye] === 'clear' && !answeredAll(near, f, eye, tonight, s)) m = { ...m, [eye]: 'none' };
    }
  }
  return m;
}

/** @param {Night[]} nights @param {string} tonight @param {Scene} s the rules about the record that hold as of a night */
function found(nights, tonight, s) {
  const facts = todayFacts(nights, s.plan?.first_night ?? '', tonight);
  const signs = nightSigns(nights, storedBy(s.plan));
  return evaluate(RULES, { today: tonight, nights: signs, facts, settings: s.settings }).filter(
    f => f.state === 'fired',
  );
}

/**
 * Whether a report that says "water" makes a finding hold: without it, the finding does not.
 * @param {Entry} e
 * @param {Finding} f
 * @param {Entry[]} near all entries but it
 * @param {string} tonight
 * @param {Scene} s
 */
function broughtBy(e, f, near, tonight, s) {
  if (e.kind !== 'symptoms' || e.body.water !== 'yes') return false;
  const nights = [...fold(near).values()].sort((a, b) => (a.night < b.night ? -1 : 1));
  return !found(nights, tonight, s).some(o => o.rule === f.rule);
}

/** @param {Entry} e @param {Finding} f @param {string} tonight @param {Scene} s whether an entry by itself takes part in a finding */
function takesPart(e, f, tonight, s) {
  const alone = [...fold([e]).values()];
  const signs = nightSigns(alone, storedBy(s.plan))[e.night] ?? {};
  const ago = (Date.parse(tonight) - Date.parse(e.night)) / 86400000;
  const facts = todayFacts(alone, '', tonight);
  if (alone.some(n => ofWater(n, tonight))) facts.sign_after_water_days = 0; // a sign needs its water, and water its sign: each is a part
  if (alone.some(n => ofFlag(n, tonight))) facts.sore_after_flag_days = 0;
  return contributes(RULES, f.rule, signs, ago, facts, s.settings);
}

/** @param {Entry[]} near @param {Finding} f @param {Eye} eye @param {string} tonight @param {Scene} s */
function answeredAll(near, f, eye, tonight, s) {
  const resumes = s.facts.filter(
    r => r.kind === 'resume' && r.state === 'stored' && r.from <= tonight && r.eyes.includes(eye),
  );
  const live = [...fold(near).values()].flatMap(n => n.entries);
  return live.filter(x => takesPart(x, f, tonight, s)).every(x => resumes.some(r => r.answers.includes(x.id)));
}

/**
 * Whether the clinic has decided about what a rule of the record says stops or rests wear: a
 * release that holds answers something that takes part in it, and nothing that does
 * holds a lens back. A new sign is a cause of its own, so it brings the rule back.
 * @param {Finding} f
 * @param {Scene} s
 * @param {Wear} wear as it is now
 * @returns {boolean}
 */
export function answered(f, s, wear) {
  if (rank(findingMark(f)) < rank('rest')) return false;
  const held = EYES.flatMap(eye => wear[eye].causes.map(c => c.id));
  const given = s.facts.filter(r => r.kind === 'resume' && r.state === 'stored' && r.from <= s.tonight);
  const near = [...s.entries].filter(x => x.night >= addDays(s.tonight, -WINDOW));
  const parts = [...fold(near).values()].flatMap(n => n.entries).filter(x => takesPart(x, f, s.tonight, s));
  return !parts.some(x => held.includes(x.id)) && parts.some(x => given.some(r => r.answers.includes(x.id)));
}

/**
 * A stop for each eye that got a lens after a stop of it began. A clock that is off
 * silences nothing: of what this phone says and what it says by the server's clock, the
 * more careful counts. A stop of a night that has not begun counts as earlier.
 * @param {Entry} e
 * @param {Eye[]} eyes
 * @param {Scene} s
 * @returns {Marks}
 */
function inserted(e, eyes, s) {
  if (e.night < addDays(s.tonight, -1)) return NO_STOP;
  const wear = wearOf(
    s.facts.filter(f => f.id !== e.id),
    e.night < s.tonight ? e.night : s.tonight,
  );
  const stopped = eyes.filter(eye => wear[eye].state === 'stop');
  if (!stopped.length) return NO_STOP;
  const at = instantInNight(e.night, e.body.at, e.zone) + Math.max(0, s.skew ?? 0);
  const wrote = new Map(
    [...s.entries].map(x => [x.id, Math.min(written(x), serverTime(x, s.skew), Date.parse(x.recv ?? '') || Infinity)]),
  );
  const began = (/** @type {Cause} */ c) => Math.floor((wrote.get(c.id) ?? -Infinity) / 60000) * 60000;
  return raise(
    NO_STOP,
    stopped.filter(eye => wear[eye].causes.some(c => c.left === 'stop' && (c.night > s.tonight || !(at < began(c))))),
    'stop',
  );
}
