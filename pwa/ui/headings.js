// Headings of a language without spaces break between words, not inside them:
// the browser is told where a word ends. Fetched for such a language only.
import { options } from '../vendor/preact.js';

const HEADINGS = ['h1', 'h2', 'h3', 'legend'];

/**
 * A text with a place to break after each word (U+200B); as it is where the
 * browser knows no words of the language.
 * @param {string} text
 * @param {string} locale BCP 47
 */
export function between(text, locale) {
  if (!Intl.Segmenter) return text;
  const words = [...new Intl.Segmenter(locale, { granularity: 'word' }).segment(text)];
  // Never before a mark, nor after an opening one: the browser's own rules hold there.
  return words.map((w, i) => (words[i + 1]?.isWordLike && w.isWordLike ? `${w.segment}\u200b` : w.segment)).join('');
}

let locale = '';

/** Lets every heading that is drawn from now on break so. @param {string} to BCP 47 */
export function breakHeadings(to) {
  if (!locale) {
    const before = options.vnode;
    options.vnode = v => {
      const props = /** @type {{children?: any}} */ (v.props);
      if (locale && typeof v.type === 'string' && HEADINGS.includes(v.type)) props.children = broken(props.children);
      before?.(v);
    };
  }
  locale = to;
}

/** @param {any} x what an element holds @returns {any} */
const broken = x => (typeof x === 'string' ? between(x, locale) : Array.isArray(x) ? x.map(broken) : x);
