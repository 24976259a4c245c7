// The eye check: its screens, what was answered, and the report this makes.
// "Don't know" is kept as "", so that a screen knows it was answered; in the
// report it is left out like what was never answered, and neither is ever "no".
// Pure.
import { triage } from '../../../alerts/evaluate.js';
import { RULES } from './report.js';

/** @typedef {'right'|'left'} Eye */
/** @typedef {Record<string, string>} Said */
/** @typedef {{eyes: Eye[], right: Said, left: Said, report: Said}} Answers report: what is asked once, whatever the eyes */
/** @typedef {Eye|'report'} Holder */

/**
 * The screens in order, each with the parts it asks. The first asks how bad it
 * is right now, and which eye. A part about the eyes is one question while both
 * are the same, and one for each eye where they differ.
 * @type {{name: string, parts: string[]}[]}
 */
export const SCREENS = [
  { name: 'now', parts: [] },
  { name: 'injury', parts: ['injury'] },
  { name: 'lens', parts: ['lens'] },
  { name: 'feel', parts: ['pain', 'gritty'] },
  { name: 'look', parts: ['redness', 'spot', 'pupil'] },
  { name: 'lid', parts: ['lid', 'discharge'] },
  { name: 'see', parts: ['sight', 'light'] },
  { name: 'last', parts: ['began', 'water', 'ill', 'other'] },
];

/** The one word about the eye that the check is not about. */
export const OTHER = ['usual', 'not-usual'];

/** The parts of a screen: the other eye is asked after only while the check is about one. @param {Answers} a @param {number} at */
export const partsOf = (a, at) => SCREENS[at].parts.filter(p => p !== 'other' || a.eyes.length === 1);

/** The answers to the first question that lead to the advice at once; the one in which minutes count first. */
export const WORST = (RULES.symptoms.get('now')?.answers ?? []).filter(v => v !== 'none').reverse();

/** Whether an answer leads to the advice at once, whatever else there is to ask: one that alone means "go now". @param {string} part @param {string} value */
export const atOnce = (part, value) =>
  triage(RULES, { right: { [part]: value }, [part]: value }).actions.includes('go-now');

const HOUR = 3600000;
/** Where in a span that people name the time is put: its beginning, which is the careful end. @type {Record<string, number>} */
export const BEGAN = { now: 0, hours: 6 * HOUR, night: 12 * HOUR, yesterday: 30 * HOUR, days: 49 * HOUR };

/** @type {Answers} */
export const NOTHING = { eyes: [], right: {}, left: {}, report: {} };

/** Whose answers to a part are asked for. @param {Answers} a @param {string} part @returns {Holder[]} */
export const holders = (a, part) => (RULES.symptoms.get(part)?.scope === 'eye' ? a.eyes : ['report']);

/** Whether the eyes have different answers to a part. @param {Answers} a @param {string} part */
export const differ = (a, part) => new Set(holders(a, part).map(h => a[h][part])).size > 1;

/**
 * @param {Answers} a
 * @param {Holder[]} of
 * @param {string} part
 * @param {string} value "" for don't know
 * @returns {Answers}
 */
export function answer(a, of, part, value) {
  return of.reduce((b, h) => ({ ...b, [h]: { ...b[h], [part]: value } }), a);
}

/** Whether a screen is answered in full. @param {Answers} a @param {number} at */
export const full = (a, at) => partsOf(a, at).every(p => holders(a, p).every(h => p in a[h]));

/**
 * Whether an answer leads on by itself: the one that a screen still lacked does.
 * A screen that was come back to stays, for there may be more to change on it,
 * unless one answer is all it has. The last waits for its button.
 * @param {Answers} was
 * @param {Answers} is
 * @param {number} at
 * @param {Holder[]} of whose answer it was
 */
export function leadsOn(was, is, at, of) {
  const parts = partsOf(was, at);
  const all = parts.length === 1 && of.length === holders(is, parts[0]).length;
  return at + 1 < SCREENS.length && full(is, at) && (all || !full(was, at));
}

/**
 * The body of the report.
 * @param {Answers} a
 * @param {number} now Unix ms
 */
export function bodyOf(a, now) {
  /** @type {Record<string, unknown>} */
  const body = {};
  for (const eye of a.eyes) body[eye] = Object.fromEntries(Object.entries(a[eye]).filter(([, v]) => v));
  const { began, note = '' } = a.report;
  for (const part of ['now', 'water', 'ill']) if (a.report[part]) body[part] = a.report[part];
  if (a.eyes.length === 1) body.other = a.report.other || 'unknown'; // never left out: that would mean that nobody asked
  const since = began ? now - (BEGAN[began] ?? now - Date.parse(began)) : 0;
  if (since) body.began = new Date(since).toISOString();
  if (since && began in BEGAN) body.began_about = began;
  if (note.trim()) body.note = note.trim();
  return body;
}

/**
 * A check that was begun: what was answered, on which screen, which parts are
 * asked for each eye, and since when, Unix ms; said: what was logged that began it.
 * @typedef {{answers: Answers, at: number, apart: string[], since: number, said?: string}} Draft
 */

/**
 * A kept check, or null for none or for one that cannot be read.
 * @param {string|null} raw
 * @returns {Draft|null}
 */
export function readDraft(raw) {
  try {
    const d = JSON.parse(raw ?? '');
    return d.answers.eyes.length && SCREENS[d.at] && d.apart && d.since ? d : null;
  } catch {
    return null;
  }
}
