// The languages of the product, a row of alerts/languages.json each.
import languages from '../../alerts/languages.json' with { type: 'json' };

/** @typedef {{tag: string, name: string, locale: string, dir: string, draft?: boolean, spaced?: boolean}} Row */

/** @type {Row[]} */
export const ROWS = languages;

/** @param {string} tag @returns {Row} English for a tag that is none of ours */
export const rowOf = tag => ROWS.find(r => r.tag === tag) ?? ROWS[0];

/**
 * The language for somebody who reads these, the most wanted first: the first
 * that is one of ours in the same script, so that Traditional and Simplified
 * Chinese are never taken for each other; else English.
 * @param {readonly string[]} wanted BCP 47
 * @returns {string} its tag
 */
export function languageFor(wanted) {
  const key = (/** @type {string} */ tag) => {
    try {
      const l = new Intl.Locale(tag).maximize();
      return `${l.language}-${l.script}`;
    } catch {
      return '';
    }
  };
  const have = new Map(ROWS.map(r => [key(r.locale), r.tag]));
  return wanted.map(w => have.get(key(w))).find(x => x) ?? 'en';
}
