// What a reminder is about, in the words of its notification, for screens.
import { useEffect, useState } from '../../ui/dom.js';
import { DUE } from '../text/en/push.js';
import { pushWords } from '../text/push.js';

/** By reminder; in English until those of the language have come. @param {string} lang @returns {Record<string, string>} */
export function useDue(lang) {
  const [due, setDue] = useState(DUE);
  useEffect(() => void pushWords(lang).then(w => setDue(w.DUE)), [lang]);
  return due;
}
