// What a morning with a lens that will not move says as a report of the eyes. Pure.
import { EYES } from './wear.js';

/** @import { Draft } from './entry.js' */

/** Words of a morning's redness, as the eye check has them. */
const REDNESS = ['none', 'mild', 'marked', 'marked'];

/**
 * What a morning has answered already of the eye check: never less grave than was said. Sore
 * with a lens that is still in is pain that has not stopped: nobody has seen it stop.
 * @param {Record<string, any>} body of the morning
 * @returns {Record<string, string>}
 */
export function answersOf({ moved, comfort, redness }) {
  return {
    ...(['stuck', 'stuck-came-off'].includes(moved) ? { lens: moved } : {}),
    ...(moved === 'stuck' && comfort <= 1 ? { pain: 'persists' } : {}),
    ...(REDNESS[redness] ? { redness: REDNESS[redness] } : {}),
  };
}

/**
 * A morning with a stuck lens, and beside it the report that it is until somebody
 * answers where the lens is: written together, so that whoever leaves is told, and the
 * clinic hears, what holds of a lens that will not come.
 * @param {{wearer: string, night: string}} about
 * @param {Record<string, any>} morning body
 * @param {string} eyes in which the lens may be
 * @returns {Draft[]}
 */
export function stuckDrafts(about, morning, eyes) {
  const of = EYES.filter(eye => eyes === 'both' || eyes === eye);
  const said = Object.fromEntries(of.map(eye => [eye, answersOf(morning)]));
  const other = of.length === 1 ? { other: 'unknown' } : {};
  return [
    { ...about, kind: 'morning', body: morning },
    {
      wearer: about.wearer,
      kind: 'symptoms',
      body: { ...said, now: 'none', ...other, unfinished: true, form: 'morning' },
    },
  ];
}

/**
 * The answer to where the stuck lens is, as a report beside the first: both phones and
 * the clinic then know it, with its time. It takes nothing of the first back.
 * @param {string} wearer
 * @param {Record<string, any>} morning body
 * @param {string} eyes in which the lens may have been
 * @param {string} still in which it is: "both", "right", "left", or "" for none
 * @returns {Draft}
 */
export function whereDraft(wearer, morning, eyes, still) {
  const of = EYES.filter(eye => eyes === 'both' || eyes === eye);
  const { pain: _, ...found } = answersOf(morning); // whether it hurts with the lens out is asked
  const off = { ...found, lens: 'stuck-came-off' };
  const said = (/** @type {string} */ eye) => {
    if (still === 'both' || still === eye) return answersOf(morning);
    return still ? { lens: 'out' } : off;
  };
  const other = of.length === 1 ? { other: 'unknown' } : {};
  const eyeWords = Object.fromEntries(of.map(eye => [eye, said(eye)]));
  const body = { ...eyeWords, now: 'none', ...other, unfinished: true, form: 'where' };
  return { wearer, kind: 'symptoms', body };
}
