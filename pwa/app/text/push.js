// What a notification says. A locked phone shows neutral words, and what is due
// only where the family chose so; never a name.

import { DUE, WORDS } from './en/push.js';

/** @typedef {{WORDS: Record<string, string>, DUE: Record<string, string>}} PushWords */

/** The words of notifications in a language; in English where there are none. @param {string} lang @returns {Promise<PushWords>} */
export const pushWords = async lang =>
  lang === 'en' ? { WORDS, DUE } : await import(`./${lang}/push.js`).catch(() => ({ WORDS, DUE }));

/** @typedef {{tag?: string, kind?: string, level?: string, url?: string, due?: string[], drill?: boolean}} Push as the server sends it */
/** @typedef {{title: string, body: string, later: string}} Said */

/**
 * @param {Push} push
 * @param {string} lang
 * @param {number} [children] whom putting off covers
 * @returns {Promise<Said>} later: the words for putting off, or ""
 */
export async function said(push, lang, children = 1) {
  const { WORDS: words, DUE: due } = await pushWords(lang);
  const plain = (push.due ?? [])
    .filter(id => Object.hasOwn(due, id))
    .map(id => due[id])
    .join(' · ');
  const reminder = push.kind === 'reminder';
  const drill = push.drill ? `${words.drill} ` : '';
  return {
    title: words.title,
    body:
      drill + ((reminder && plain) || (Object.hasOwn(words, push.kind ?? '') ? words[push.kind ?? ''] : words.other)),
    later: !reminder ? '' : children > 1 ? (due['later-all'] ?? due.later) : due.later,
  };
}
