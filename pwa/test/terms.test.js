// One word for one thing in each language: the list of terms says which, and what
// never stands for it, in every text a family reads. Words of the list await a
// reader like the texts themselves.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { LANGUAGES } from '../app/text/text.js';
import { loadCards } from '../app/text/cards.js';

/** @param {string} lang @param {string} file @returns {Promise<any>} */
const part = (lang, file) => import(`../app/text/${lang}/${file}`);

for (const [lang] of LANGUAGES.slice(1)) {
  test(`${lang} keeps to its terms`, async () => {
    /** @type {{en: string, use: string, never: string[]}[]} */
    const list = JSON.parse(readFileSync(new URL(`../app/text/${lang}/terms.json`, import.meta.url), 'utf8'));
    const cards = await loadCards(lang);
    const texts = [
      ...Object.entries((await part(lang, 'words.js')).words),
      ...Object.entries((await part(lang, 'push.js')).WORDS),
      ...Object.entries((await part(lang, 'push.js')).DUE),
      ...Object.entries((await part(lang, 'paper.js')).PAPER),
      ...Object.entries((await part(lang, 'manual.js')).MANUAL),
      ...cards.flatMap(c => [c.title, ...c.do, ...c.dont].map(line => [`card ${c.id}`, line])),
    ];
    for (const { en, use, never } of list) {
      assert.ok(
        texts.some(([, text]) => text.includes(use)),
        `${en}: nothing says “${use}”`,
      );
      const faults = texts.filter(([, text]) => never.some(n => new RegExp(n, 'u').test(text)));
      assert.deepEqual(faults, [], `${en} is “${use}”`);
    }
  });
}
