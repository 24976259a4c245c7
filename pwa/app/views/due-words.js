// What a reminder is about, in the words of its notification, for screens.
import { useEffect, useState } from '../../ui/dom.js';
import { DUE } from '../text/en/push.js';
import { pushWords } from '../text/push.js';

/** By language, once fetched. @type {Record<string, Record<string, string>>} */
const known = { en: DUE };

/** By reminder; null until those of the language have come. @param {string} lang @returns {Record<string, string>|null} */
export function useDue(lang) {
  const [, come] = useState('');
  useEffect(() => {
    void pushWords(lang).then(w => {
      known[lang] = w.DUE;
      come(lang);
    });
  }, [lang]);
  return known[lang] ?? null;
}
