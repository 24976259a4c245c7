// One word for one thing in each language: the list of terms says which, and what
// never stands for it, in every text a family reads. Words of the list await a
// reader like the texts themselves.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import terms from '../app/text/terms.json' with { type: 'json' };
import { ar } from '../app/text/ar.js';
import { loadCards } from '../app/text/cards.js';
import { es } from '../app/text/es.js';
import { PHONE } from '../app/text/phone.js';
import { DUE } from '../app/text/push.js';
import { RARE } from '../app/text/rare.js';
import { zh } from '../app/text/zh.js';

/** @type {Record<string, Record<string, string>>} */
const CATALOGUES = { ar, es, zh };

for (const [lang, list] of Object.entries(terms)) {
  test(`${lang} keeps to its terms`, async () => {
    const cards = await loadCards(/** @type {'es'} */ (lang));
    const texts = [
      ...Object.entries(CATALOGUES[lang]),
      ...Object.entries(/** @type {Record<string, Record<string, string>>} */ (PHONE)[lang]),
      ...Object.entries(/** @type {Record<string, Record<string, string>>} */ (RARE)[lang]),
      ...Object.entries(DUE[lang]),
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

test('every language but English has a list', () => {
  assert.deepEqual(Object.keys(terms).sort(), Object.keys(CATALOGUES).sort());
});
