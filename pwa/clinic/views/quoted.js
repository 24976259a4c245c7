// What stays English beside what does not: a reader's voice is told which is which
// (WCAG 2.2, 3.1.2).
import { h } from '../dom.js';
import { heard } from '../heard.js';
import { ENGLISH, language, point } from '../text.js';

/** A source or a sentence of the safety case: each piece in words of ours, or English and said to be. @param {{of: string}} props */
export function Quoted({ of }) {
  if (language().tag === 'en' || !of) return of;
  if (heard(of) !== of && !of.includes('; ')) return heard(of);
  return of.split('; ').map((piece, i) => {
    const own = heard(piece);
    return [i > 0 && point('; '), own === piece ? h('span', { key: piece, ...ENGLISH }, piece) : own];
  });
}
