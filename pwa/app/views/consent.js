// What somebody agrees to: the practice's own words or ours, what the app is and is
// not, and who answers for the data, for how long, with which rights.
import { h } from '../../ui/dom.js';

/** @import { Words } from '../text/text.js' */
/** @typedef {import('../../api/types.js').components['schemas']['ConsentText']} ConsentText */

/**
 * The version of the words under `join.consent.*`; what somebody agrees to is named
 * by it and by the practice's revision of what it says of itself. Whoever changes
 * what the words mean raises it, here and as ConsentWords of the server, which takes
 * no other.
 */
export const CONSENT = '2';

/** The paragraphs. @param {Words} words @param {ConsentText|null} text what the server says; null: not known yet @returns {string[]} */
export function paragraphs({ t, lang }, text) {
  const own = text?.own[lang]?.split(/\n+/).filter(line => line.trim());
  const first = own?.length ? own : [t('join.consent.1'), t('join.consent.2')];
  const all = [...first, t('join.consent.3')];
  if (!text) return all;
  const kept = text.years ? t('join.consent.kept', { n: text.years }) : t('join.consent.kept.law');
  const age = text.years && text.until_age ? t('join.consent.kept.age', { n: text.until_age }) : '';
  return [
    ...all,
    t('join.consent.who', { controller: text.controller, contact: text.contact }),
    kept + (age && !kept.endsWith('。') ? ' ' : '') + age,
    t('join.consent.rights', { authority: text.authority || t('join.consent.authority') }),
  ];
}

/** @param {{words: Words, text: ConsentText|null}} props */
export const ConsentWords = ({ words, text }) =>
  paragraphs(words, text).map((line, i) => h('p', { key: i, dir: 'auto' }, line));
