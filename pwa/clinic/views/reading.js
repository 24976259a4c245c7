// What a family's phones say of each eye, in the English of their catalogue: on its
// own, and beside what somebody of the practice wrote in own words, which no list of
// words can read.

import { h } from '../dom.js';
import { capital, day, eyes } from '../format.js';
import { tr } from '../text.js';

/** @import { EyeWear } from '../api.js' */
/** @typedef {import('../types.js').Schemas['Reading']} Both */
/** @typedef {Both['right']} EyeReading */

/** Where an eye stands, as it is read. @param {EyeWear} e @returns {EyeReading} */
const readingOf = e => ({ state: e.state, until: e.until, check: e.causes.some(c => c.check) });

/**
 * @param {EyeReading} r
 * @param {string} of both, right or left
 */
function sentence(r, of) {
  const whose = capital(eyes(of));
  if (r.state === 'stop' && !r.until) return tr('{eyes}: no lens until your clinic says so here.', { eyes: whose });
  if (r.begins)
    return tr('{eyes}: no lens from the night of {date} on, until your clinic says so here.', {
      eyes: whose,
      date: day(r.begins),
    });
  if (r.from)
    return tr('{eyes}: lenses again from the night of {date}{more}.', {
      eyes: whose,
      date: day(r.until && r.until > r.from ? r.until : r.from),
      more: r.check ? tr(', after an eye check that day') : '',
    });
  if (r.state !== 'none' && r.until && r.check)
    return tr('{eyes}: no lens until {date}, and then only after an eye check.', { eyes: whose, date: day(r.until) });
  if (r.state !== 'none' && r.until) return tr('{eyes}: no lens until {date}.', { eyes: whose, date: day(r.until) });
  if (r.state === 'none') return tr('{eyes}: not stopped.', { eyes: whose });
  return r.check
    ? tr('{eyes}: only after an eye check.', { eyes: whose })
    : tr('{eyes}: no lens tonight.', { eyes: whose });
}

/**
 * @param {{right: EyeReading, left: EyeReading}} r
 * @returns {string[]} a sentence an eye; one where both stand the same
 */
export function sentences(r) {
  const [right, left] = [sentence(r.right, 'right'), sentence(r.left, 'left')];
  return sentence(r.right, 'both') === sentence(r.left, 'both') ? [sentence(r.right, 'both')] : [right, left];
}

/** Which eyes something holds a lens back from, as the phones say it. @param {{right: EyeWear, left: EyeWear}} wear @returns {string[]} none where nothing does */
export const heldSentences = wear =>
  [wear.right, wear.left].some(e => e.state !== 'none')
    ? sentences({ right: readingOf(wear.right), left: readingOf(wear.left) })
    : [];

/** Own words beside what the phones say. @param {{of: Both}} props */
export const BothRead = ({ of }) =>
  h(
    'div',
    { class: 'both-read', 'data-test': 'own-words' },
    h(
      'div',
      null,
      h('h4', null, tr('Their phones say')),
      sentences(of).map(text => h('p', { key: text }, text)),
    ),
    h(
      'div',
      null,
      h('h4', null, tr('Your own words')),
      of.words.map(text => h('p', { key: text, dir: 'auto' }, `“${text}”`)),
    ),
  );
