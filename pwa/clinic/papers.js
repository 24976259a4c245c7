// What is printed: a sheet for the family's fridge, one for the practice while
// the server is down, and the manuals (manuals.js). Red flags are those of the rule
// table, with its words in each language; everything else is said here. Pure.
import { levelRank } from '../../alerts/evaluate.js';
import { headline, RULES } from '../app/model/report.js';
import { PAPER } from '../app/text/en/paper.js';

/** @import { Lang } from '../app/text/text.js' */
/** @import { Settings } from './api.js' */

/** The sheets. */
export const SHEETS = /** @type {const} */ (['fridge', 'practice', 'family', 'staff']);

/**
 * What to do, and the signs that ask for it.
 * @typedef {{heads: string[], signs: string[]}} Flags keys of medical texts
 */

/**
 * The red flags of the table, the most pressing first: signs that ask for the
 * same stand together, and a sign that two rules name stands once.
 * @returns {Flags[]}
 */
export function redFlags() {
  /** @type {Map<string, Flags>} */
  const groups = new Map();
  // Rules of the check's first question say of "right now" what others say of an eye.
  const urgent = RULES.rules.filter(
    r => r.about === 'symptoms' && levelRank(r.level) >= levelRank('urgent') && !r.id.startsWith('now-'),
  );
  for (const r of urgent) {
    // Paper cannot ask whether the lens is still stuck: nobody is told to take it out.
    const stuck = r.actions.includes('stuck-again');
    const heads = headline(r).map(k => (stuck && k === 'told.lenses-out' ? 'told.stuck-lens' : k));
    const group = groups.get(heads.join()) ?? { heads, signs: [] };
    groups.set(heads.join(), group);
    if (!group.signs.includes(r.family)) group.signs.push(r.family);
  }
  return [...groups.values()];
}

/**
 * Days on which the telephone is answered at the same hours, from Monday.
 * @param {Settings['practice']['contacts']['hours']} hours
 * @returns {{days: number[], times: string[]}[]} days 0 Sunday to 6 Saturday
 */
export function openings(hours) {
  /** @type {{days: number[], times: string[]}[]} */
  const out = [];
  for (const day of [1, 2, 3, 4, 5, 6, 0]) {
    const times = hours
      .filter(h => h.weekday === day)
      .map(h => `${h.from}–${h.to}`)
      .sort();
    const last = out.at(-1);
    if (!times.length) continue;
    if (last && last.days.at(-1) === (day + 6) % 7 && last.times.join() === times.join()) last.days.push(day);
    else out.push({ days: [day], times });
  }
  return out;
}

/** @typedef {'fridge.title'|'fridge.lead'|'signs'|'numbers'|'answers'|'practice'|'after'|'emergency'|'place'|'missing'|'rinse'|'nolens'|'unsure'|'printed'|'unread'|'practice.title'|'practice.lead'|'do.phone'|'do.ask'|'do.tell'|'do.clinician'|'do.stop'|'do.back'|'do.server'|'who'|'note.name'|'note.phone'|'note.signs'|'note.told'} PaperKey */

/** The words of the sheets. Those that are not English await a reader who speaks the language. @param {Lang} lang @returns {Promise<Record<PaperKey, string>>} */
export const loadPaper = async lang => (lang === 'en' ? PAPER : (await import(`../app/text/${lang}/paper.js`)).PAPER);
