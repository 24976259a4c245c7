// What the clinic said, in the words of the family's language: pure, so that a
// test can read it.
import { PHRASES } from '../../ui/phrases.js';
import { serverTime, written } from './report.js';
import { EYES, eyesOf } from './wear.js';

/** @import { Entry } from './entry.js' */
/** @import { Eye, Wear } from './wear.js' */
/** @import { Words } from '../text/text.js' */

/**
 * The eyes of a release in which something that it does not answer stops a lens, or
 * rests it from about the night on that it names: as far as they go it holds no longer.
 * @param {Entry} e a resume
 * @param {Wear} wear as it is now
 * @returns {''|'both'|'right'|'left'}
 */
export function overtaken(e, wear) {
  /** @type {unknown[]} */
  const answers = Array.isArray(e.body.answers) ? e.body.answers : [];
  const eyes = eyesOf(e.body.eyes).filter(eye =>
    wear[eye].causes.some(c => !answers.includes(c.id) && (c.left === 'stop' || c.night <= e.body.from)),
  );
  return named(eyes);
}

/** What of one decision is read first: the stop above the release, and both above the words. */
const FIRST = ['cease', 'resume', 'visit', 'word'];

/** Which of two words of the practice is the newer, below nought if the first: of one second by its device's count. @param {Entry} a @param {Entry} b */
const newer = (a, b) => written(b) - written(a) || Number(saidAt(b)) - Number(saidAt(a));

/** Newest first; of one decision the stop leads. @param {Entry} a @param {Entry} b */
export const newestFirst = (a, b) =>
  newer(a, b) || FIRST.indexOf(a.kind) - FIRST.indexOf(b.kind) || (a.id < b.id ? 1 : -1);

/**
 * Whether a stop whose date of review has passed is the last word about an eye that it
 * still stops: nobody has said anything since.
 * @param {Entry} e a cease
 * @param {Wear} wear as it is now
 */
const unseen = (e, wear) =>
  !!e.body.review_by &&
  e.body.reason !== 'ended' &&
  EYES.some(eye => {
    const { until, causes } = wear[eye];
    const stops = causes.filter(c => c.kind === 'cease').map(c => c.id);
    return !until && stops.sort().at(-1) === e.id;
  });

/** @param {Eye[]} eyes @returns {''|'both'|Eye} */
const named = eyes => (eyes.length === EYES.length ? 'both' : (eyes[0] ?? ''));

/**
 * The eyes of a stop that a release of the log has ended by today.
 * @param {Entry} e a cease
 * @param {Wear} wear as it is now
 * @param {string} today
 * @param {Entry[]} log what the practice said
 */
function lifted(e, wear, today, log) {
  /** @param {Entry} r @param {Eye} eye */
  const ends = (r, eye) =>
    r.kind === 'resume' &&
    Array.isArray(r.body.answers) &&
    r.body.answers.includes(e.id) &&
    eyesOf(r.body.eyes).includes(eye) &&
    r.body.from <= today;
  return named(
    eyesOf(e.body.eyes).filter(eye => !wear[eye].causes.some(c => c.id === e.id) && log.some(r => ends(r, eye))),
  );
}

/**
 * The eyes of a stop that a release of the log ends on a day to come, or after a check:
 * it holds until then, and is the last word no more.
 * @param {Entry} e a cease
 * @param {Wear} wear as it is now
 * @param {Entry[]} log
 */
const followed = (e, wear, log) =>
  eyesOf(e.body.eyes).filter(
    eye =>
      wear[eye].causes.some(c => c.id === e.id) &&
      log.some(r => r.kind === 'resume' && r.body.answers?.includes(e.id) && eyesOf(r.body.eyes).includes(eye)),
  );

/**
 * The eyes of a release about which the practice has decided again since: however often
 * what came between was settled, the older word does not come back.
 * @param {Entry} e a resume
 * @param {Entry[]} log what the practice said
 * @returns {Eye[]}
 */
const decidedAgain = (e, log) =>
  eyesOf(e.body.eyes).filter(eye =>
    log.some(d => ['cease', 'resume'].includes(d.kind) && newer(d, e) < 0 && eyesOf(d.body.eyes).includes(eye)),
  );

/** Words about what an examination found: what was reported since they know nothing of. */
const FOUND = ['no-finding', 'seen-rest'];

/**
 * Whether something that holds back an eye which a word of an examination is about was
 * reported after it.
 * @param {Entry} e
 * @param {Wear} wear as it is now
 * @param {Entry[]} log
 * @param {number} skew as of serverTime
 */
const before = (e, wear, log, skew) =>
  FOUND.includes(e.body.phrase) &&
  eyesOf(e.body.eyes || 'both').some(eye =>
    wear[eye].causes.some(c => log.some(r => r.id === c.id && r.kind !== 'cease' && serverTime(r, skew) > written(e))),
  );

/**
 * What holds a lens back, eye by eye, for a line under somebody's own words: they may
 * read like a release, and none of them is one.
 * @param {Wear} wear as it is now
 * @param {Pick<Words, 't'|'date'>} words
 * @param {Eye[]} [of] those eyes alone
 * @returns {string} "" where nothing does
 */
function heldNow(wear, { t, date }, of = EYES) {
  const line = (/** @type {Eye} */ eye, /** @type {string} */ name) => {
    const { state, until, causes } = wear[eye];
    const eyes = t(`said.eyes.${name}`);
    if (until) return t('said.until', { eyes, night: date(until) });
    if (state === 'stop') return t('said.cease', { eyes });
    return t(causes.some(c => c.check) ? 'said.check' : 'said.rest', { eyes });
  };
  const held = of.filter(eye => wear[eye].state !== 'none');
  const same = named(held) === 'both' && line('right', 'both') === line('left', 'both');
  return (same ? [line('right', 'both')] : held.map(eye => line(eye, eye))).join(' ');
}

/**
 * That the practice has decided again about some eyes since, with what holds them back all
 * the same: read by itself, that an older stop no longer holds would lift the newer one.
 * @param {''|'both'|Eye} eyes
 * @param {Wear} wear as it is now
 * @param {Pick<Words, 't'|'date'>} words
 */
const endedNow = (eyes, wear, words) =>
  [words.t('said.ended', { eyes: words.t(`said.eyes.${eyes}`) }), heldNow(wear, words, eyesOf(eyes))]
    .filter(Boolean)
    .join(' ');

/** Instant at which something was said, as the practice's device counted it. @param {Entry} e */
const saidAt = e => e.hlc.split('-')[0];

/**
 * Whether something said still holds, whatever its age: a stop that holds a lens back or
 * is to, a release that is to come or waits for a check, a visit that is to come, and the
 * words that went with one of these.
 * @param {Entry} e of the practice
 * @param {Wear} wear as it is now
 * @param {string} today date at home
 * @param {Entry[]} said what the practice said
 * @returns {boolean}
 */
export function inForce(e, wear, today, said) {
  const b = e.body;
  const causes = EYES.flatMap(eye => wear[eye].causes);
  if (e.kind === 'cease')
    return (
      causes.some(c => c.id === e.id) ||
      (b.from > today && !said.some(r => r.kind === 'resume' && r.body.answers?.includes(e.id)))
    );
  if (e.kind === 'resume') return b.from > today || causes.some(c => c.check === e.id);
  if (e.kind === 'visit') return b.on >= today;
  return said.some(
    d => d.kind !== 'word' && d.author === e.author && saidAt(d) === saidAt(e) && inForce(d, wear, today, said),
  );
}

/**
 * Whether something that nobody has read yet still says anything: a word does, however
 * old it is; a decision or a visit while it holds.
 * @param {Entry} e of the practice
 * @param {Wear} wear as it is now
 * @param {string} today date at home
 * @param {Entry[]} said what the practice said
 */
export const stillSays = (e, wear, today, said) =>
  e.kind === 'word' || (e.kind === 'resume' && overtaken(e, wear) !== e.body.eyes) || inForce(e, wear, today, said);

const SLACK_MS = 60000; // by which two clocks are never held apart (our choice): what is in use a minute before the release is new all the same

/** @typedef {{what: 'new-case'|'new-lens'|'hours', eye: ''|'both'|Eye, at: number, n?: number}} Condition eye: whose release asks for it; at: when that was said, Unix ms; n: hours in lenses a night, at most */

/**
 * What the releases that hold still ask for beside a check: a new case or lens of which
 * nobody has logged since that it is in use, and fewer hours. Of each eye the newest
 * decision counts.
 * @param {Entry[]} log of one wearer
 * @param {Wear} wear as it is now
 * @param {number} [skew] as of serverTime: the phone's clock and the practice's differ
 * @returns {Condition[]}
 */
export function conditions(log, wear, skew) {
  const newest = (/** @type {Eye} */ eye) =>
    log.filter(d => ['cease', 'resume'].includes(d.kind) && eyesOf(d.body.eyes).includes(eye)).sort(newestFirst)[0]; // of one decision the stop leads
  const since = (/** @type {Entry} */ e, /** @type {string} */ item, /** @type {Eye} */ eye) =>
    log.some(
      x =>
        x.kind === 'supply' &&
        x.body.item === item &&
        x.body.action === 'started' &&
        serverTime(x, skew) + SLACK_MS > written(e) &&
        (item === 'case' || [eye, 'both', undefined].includes(x.body.eye)),
    );
  const of = EYES.flatMap(eye => {
    const e = newest(eye);
    return e?.kind === 'resume' && !eyesOf(overtaken(e, wear)).includes(eye) ? [{ eye, e }] : [];
  });
  const at = Math.max(0, ...of.map(x => written(x.e)));
  const asking = (/** @type {string} */ member, /** @type {string} */ item) =>
    named(of.filter(({ eye, e }) => e.body[member] && !since(e, item, eye)).map(x => x.eye));
  const hours = of.map(x => x.e.body.hours).filter(n => n > 0);
  /** @type {Condition[]} */
  const out = [
    { what: 'new-case', eye: asking('new_case', 'case'), at },
    { what: 'new-lens', eye: asking('new_lens', 'lens'), at },
  ];
  if (hours.length) out.push({ what: 'hours', eye: named(of.map(x => x.eye)), at, n: Math.min(...hours) });
  return out.filter(c => c.eye);
}

/**
 * @param {Entry} e of the practice
 * @param {Pick<Words, 't'|'date'|'clock'>} words
 * @param {Wear} wear as it is now
 * @param {string} today date at home; of a date of review that has passed and that nobody has kept to, to phone
 * @param {Entry[]} [log] all entries of the wearer: what of it no longer holds is marked
 * @param {number} [skew] as of serverTime
 * @returns {string[]}
 */
export function linesOf(e, { t, date, clock }, wear, today, log = [], skew = 0) {
  const b = e.body;
  if (b.withdraws) return [t('said.withdrawn')];
  /** @type {string[]} */
  const out = [];
  if (e.kind === 'visit')
    out.push(
      t(b.cancelled ? 'said.visit-off' : 'said.visit', { date: `${date(b.on)}${b.at ? `, ${clock(b.at)}` : ''}` }),
    );
  if (e.kind === 'cease') {
    const eyes = t(`said.eyes.${b.eyes}`);
    out.push(b.from ? t('said.cease-from', { eyes, date: date(b.from) }) : t('said.cease', { eyes }));
    const ended = lifted(e, wear, today, log);
    if (ended) out.push(endedNow(ended, wear, { t, date }));
    const later = followed(e, wear, log);
    if (later.length) out.push(t('said.followed', { held: heldNow(wear, { t, date }) }));
    if (later.length + eyesOf(ended).length === eyesOf(b.eyes).length) return out;
    if (b.review_by >= today) out.push(t('said.review', { date: date(b.review_by) }));
    else if (unseen(e, wear)) out.push(t('said.review-past', { date: date(b.review_by) }));
  }
  if (e.kind === 'resume') {
    out.push(t(b.check ? 'said.resume-check' : 'said.resume', { eyes: t(`said.eyes.${b.eyes}`), date: date(b.from) }));
    if (b.new_case) out.push(t('said.new-case'));
    if (b.new_lens) out.push(t('said.new-lens'));
    if (b.hours > 0) out.push(t('said.hours-most', { n: b.hours }));
    const over = overtaken(e, wear);
    if (over) out.push(t('said.over', { eyes: t(`said.eyes.${over}`) }));
    const again = named(decidedAgain(e, log).filter(eye => !eyesOf(over).includes(eye)));
    if (again) out.push(endedNow(again, wear, { t, date }));
  }
  const of = e.kind === 'word' && ['right', 'left'].includes(b.eyes) ? t(`said.eyes.${b.eyes}`) + t('mark.colon') : '';
  if (b.phrase in PHRASES) out.push(of + t(`phrase.${b.phrase}`));
  if (before(e, wear, log, skew)) out.push(t('said.before'));
  if (b.text && b.text !== PHRASES[b.phrase]) {
    out.push(b.text);
    const held = heldNow(wear, { t, date });
    if (held) out.push(t('said.lets-none', { held }));
  }
  return out;
}
