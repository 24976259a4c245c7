// One word for one thing in each language: the list of terms says which, and what
// never stands for it, in every text a family reads, the server's page of the
// numbers too. Words of the list await a
// reader like the texts themselves.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { readersList } from '../app/text/list.js';
import { LANGUAGES, rowOf } from '../app/text/text.js';
import { loadCards } from '../app/text/cards.js';

/** @param {string} lang @param {string} file @returns {Promise<any>} */
const part = (lang, file) => import(`../app/text/${lang}/${file}`);

/** The server's own page of the numbers, in the language of its section; nothing where it has none. @param {string} lang */
function plain(lang) {
  const raw = readFileSync(new URL('../plain.html', import.meta.url), 'utf8');
  const html = rowOf(lang).locale.replace(/-[A-Z]{2}$/, '');
  const numbers = raw.match(new RegExp(`define "numbers-${html}"[^]*?</ul>`));
  const section = raw.match(
    lang === 'en' ? /<main>.*?(?=<section)/s : new RegExp(`<section lang="${html}"[^]*?</section>`),
  );
  return [numbers, section].flatMap(m => (m ? [['plain.html', m[0].replace(/\{\{.*?\}\}|<[^>]*>/g, ' ')]] : []));
}

for (const [lang] of LANGUAGES) {
  test(`${lang} keeps to its terms`, async () => {
    /** @type {{en: string, use: string, never: string[]}[]} */
    const list = JSON.parse(readFileSync(new URL(`../app/text/${lang}/terms.json`, import.meta.url), 'utf8'));
    const cards = await loadCards(lang);
    const texts = [
      ...(lang === 'en'
        ? (await readersList('en')).map(l => [l.key, l.text])
        : Object.entries((await part(lang, 'words.js')).words)),
      ...plain(lang),
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

test('the page of the numbers is held to the terms in each language it has', () => {
  for (const lang of ['en', 'es', 'zh', 'ar']) {
    const text = plain(lang)
      .map(([, t]) => t)
      .join(' ');
    assert.equal(plain(lang).length, 2, lang); // its numbers, and what it says about them
    assert.ok(text.length > 200 && !/[{<]/.test(text), lang);
  }
});
