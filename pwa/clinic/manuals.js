// The two manuals that are printed: the family's book and the staff's. Numbers,
// hours, minutes and names come from the practice's settings, the steps of the
// family's from the help cards of the app. Pure.
import { MANUAL } from '../app/text/en/manual.js';

/** @import { Lang } from '../app/text/text.js' */
/** @import { Settings } from './api.js' */

/** @typedef {keyof typeof MANUAL} ManualKey */
/** @typedef {{head: ManualKey, lines: ManualKey[]}} Part */

/** @type {Part[]} */
export const FAMILY = [
  { head: 'h.wrong', lines: ['f.wrong', 'f.phone'] },
  { head: 'h.day', lines: ['f.evening', 'f.morning', 'f.true'] },
  { head: 'h.app', lines: ['f.stop', 'f.offline', 'f.remind', 'f.phones', 'f.reads', 'f.data'] },
];

/** @type {Part[]} */
export const STAFF = [
  { head: 'h.alert', lines: ['s.take', 's.call', 's.say', 's.close', 's.desk', 's.stop'] },
  { head: 'h.ladder', lines: ['s.first', 's.unshown', 's.deputy', 's.everyone', 's.lapse'] },
  { head: 'h.own', lines: ['s.sign', 's.away', 's.lost', 's.window'] },
  { head: 'h.families', lines: ['s.morning', 's.new', 's.fortnight', 's.recall'] },
  { head: 'h.down', lines: ['s.down'] },
];

/**
 * @param {string} text
 * @param {Settings['policy']} policy
 * @returns {string} with the practice's own minutes
 */
export function withMinutes(text, policy) {
  const minutes = /** @type {Record<string, number>} */ ({
    unshown: policy.unshown_minutes,
    deputy: policy.deputy_minutes,
    everyone: policy.everyone_minutes,
    repeat: policy.repeat_minutes,
    lapse: policy.lapse_minutes,
  });
  return text.replace(/\{(\w+)\}/g, (all, name) => String(minutes[name] ?? all));
}

/** The words of the manuals. Those that are not English await a reader who speaks the language. @param {Lang} lang @returns {Promise<Record<ManualKey, string>>} */
export const loadManual = async lang =>
  lang === 'en' ? MANUAL : (await import(`../app/text/${lang}/manual.js`)).MANUAL;
