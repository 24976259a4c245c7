// What stays English beside what does not: a reader's voice is told which is which
// (WCAG 2.2, 3.1.2).
import { h } from '../dom.js';
import { heard } from '../heard.js';
import { ENGLISH, language, point } from '../text.js';

/**
 * A sentence of ours with English pieces in it.
 * @param {string} text said already, with {name} where a piece goes
 * @param {Record<string, string>} pieces
 */
export const withEnglish = (text, pieces) =>
  text.split(/\{(\w+)\}/).map((part, i) => (i % 2 ? h('span', ENGLISH, pieces[part]) : part));

/** A source or a sentence of the safety case: each piece in words of ours, or English and said to be. @param {{of: string}} props */
export function Quoted({ of }) {
  if (language().tag === 'en' || !of) return of;
  if (heard(of) !== of && !of.includes('; ')) return heard(of);
  return of.split('; ').map((piece, i) => {
    const own = heard(piece);
    return [i > 0 && point('; '), own === piece ? h('span', { key: piece, ...ENGLISH }, piece) : own];
  });
}
