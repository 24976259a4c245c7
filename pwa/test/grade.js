// Reading grade of an English text by the Flesch-Kincaid formula (Kincaid,
// Fishburne, Rogers and Chissom 1975, Naval Technical Training Command Research
// Branch Report 8-75): 0.39 words per sentence + 11.8 syllables per word - 15.59.

/**
 * Syllables of one word by the usual rule of thumb: groups of vowels, without a
 * silent e, es or ed at the end; at least one.
 * @param {string} word
 * @returns {number}
 */
export function syllables(word) {
  const w = word.toLowerCase().replace(/[^a-z]/g, '');
  if (!w) return 1; // a figure is read as one short word
  const bare = w
    .replace(/eye/g, 'i')
    .replace(/(?:[^laeiouyscgzxh]es|[^td]ed|[^laeiouy]e)$/, end => end[0])
    .replace(/^y/, '');
  return Math.max(1, bare.match(/[aeiouy]{1,2}/g)?.length ?? 0);
}

/**
 * @param {string} text
 * @returns {number} grade of school; below 0 for the simplest
 */
export function grade(text) {
  const words = text.match(/[A-Za-z0-9][A-Za-z0-9'’-]*/g) ?? [];
  const sentences = Math.max(1, text.match(/[.!?:;](?=\s|$)/g)?.length ?? 0);
  const spoken = words.reduce((n, w) => n + syllables(w), 0);
  return 0.39 * (words.length / sentences) + 11.8 * (spoken / words.length) - 15.59;
}
