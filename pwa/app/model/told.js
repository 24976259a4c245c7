// What the clinic said, in the words of the family's language: pure, so that a
// test can read it.
import { PHRASES } from '../../ui/phrases.js';
import { EYES, eyesOf } from './wear.js';

/** @import { Entry } from './entry.js' */
/** @import { Wear } from './wear.js' */
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
  return eyes.length === EYES.length ? 'both' : (eyes[0] ?? '');
}

/**
 * @param {Entry} e of the practice
 * @param {Pick<Words, 't'|'date'|'clock'>} words
 * @param {Wear} wear as it is now
 * @param {string} today date at home; a date of review that has passed is not said
 * @returns {string[]}
 */
export function linesOf(e, { t, date, clock }, wear, today) {
  const b = e.body;
  /** @type {string[]} */
  const out = [];
  if (e.kind === 'visit')
    out.push(
      t(b.cancelled ? 'said.visit-off' : 'said.visit', { date: `${date(b.on)}${b.at ? `, ${clock(b.at)}` : ''}` }),
    );
  if (e.kind === 'cease') {
    const eyes = t(`said.eyes.${b.eyes}`);
    out.push(b.from ? t('said.cease-from', { eyes, date: date(b.from) }) : t('said.cease', { eyes }));
    if (b.review_by >= today) out.push(t('said.review', { date: date(b.review_by) }));
  }
  if (e.kind === 'resume') {
    out.push(t(b.check ? 'said.resume-check' : 'said.resume', { eyes: t(`said.eyes.${b.eyes}`), date: date(b.from) }));
    const over = overtaken(e, wear);
    if (over) out.push(t('said.over', { eyes: t(`said.eyes.${over}`) }));
  }
  if (b.phrase in PHRASES) out.push(t(`phrase.${b.phrase}`));
  if (b.text && b.text !== PHRASES[b.phrase]) out.push(b.text);
  return out;
}
