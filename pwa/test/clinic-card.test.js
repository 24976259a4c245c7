// Whatever an alert card can say of the rule table is heard whole in the language of
// the console: every heading, sign, answer and step, put together as the server puts
// them (server/internal/review/episode). A card that is half English at night is read
// half. Words are taken from the rule table and its texts, so that a new one is held too.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { heard } from '../clinic/heard.js';
import { dated } from '../clinic/views/alert-card.js';
import { useLanguage } from '../clinic/text.js';

const read = (/** @type {string} */ file) =>
  JSON.parse(readFileSync(new URL(`../../alerts/${file}`, import.meta.url), 'utf8'));
/** @type {{signs: {name: string, scope: string, label: string, answers: string[]}[]}} */
const { signs } = read('rules.json');
/** @type {[string, string][]} */
const texts = Object.entries(/** @type {Record<string, {text: string}>} */ (read('texts.json').texts)).map(([k, t]) => [
  k,
  t.text,
]);
/** @param {RegExp} key */
const of = key => texts.filter(([k]) => key.test(k)).map(([, t]) => t);

const labels = signs.filter(s => s.scope === 'eye').map(s => s.label.toLowerCase());
const told = of(/^(told|action)\.|\.told$/);
const SAID = [
  ...of(/^rule\..*\.clinic$/),
  ...of(/^answer\.now\.(?!none)/).flatMap(t => [`${t}: said first`, `${t}: said first; the eye was not named`]),
  ...signs.filter(s => ['eye', 'report'].includes(s.scope)).map(s => s.label),
  ...of(/^answer\.(?!now\.none)/).map(t => t.toLowerCase()),
  'none of these',
  ...['right', 'left'].flatMap(e => [
    `${e} eye: ${labels.join(', ')}`,
    ...labels.map(l => `${e} eye: ${l}`),
    `${e} eye: said to be as usual, not checked`,
    `${e} eye: not checked, nobody knows whether it is as usual`,
    `${e} eye: nothing asked`,
  ]),
  'not checked',
  'said to be not as usual',
  ...told,
  ...told.map(t => `Right eye: ${t}`),
  'not said',
  'a few hours before the report',
  'the night before the report',
  'Morning: lens stuck, does not move, redness 3 of 3 (very red), comfort 0 of 4 (very sore)',
  'Morning: lens stuck, came off',
  'Morning: redness 1 of 3 (a little), comfort 2 of 4 (scratchy)',
  'sore, with the lens still in the eye, by the morning log; which eye was not said',
  'a little, by the morning log',
  'Not worn: sore eye, right eye',
  'Not worn: sore eye',
  'A check was begun, and finished later',
  'The check was begun and not finished',
  'A check was left before its end, and finished later',
  'The check was left before its end: what was answered by then stands here',
  'Lenses in at 21:05, left eye',
  'Lenses in at 21:05',
  'Logged: evening sight',
  'Logged: care',
];

/** What is no English: a genus, as medicine writes it in any of these scripts. */
const STAYS = /Acanthamoeba/g;
/** Words of English that are none of Spanish. */
const ENGLISH =
  /\b(the|of|and|said|eye|eyes|was|with|none|pain|lens|lenses|night|first|not|cleaner|other|phone|right|left|your|what)\b/i;

for (const lang of ['es', 'zh', 'ar'])
  test(`an alert card is heard whole in ${lang}`, async () => {
    await useLanguage(lang);
    assert.ok(SAID.length > 200, `only ${SAID.length} texts found: the search for them is broken`);
    const left = [...new Set(SAID)]
      .map(s => [s, heard(s)])
      .filter(([, own]) => (lang === 'es' ? ENGLISH : /[A-Za-z]{2,}/).test(own.replace(STAYS, '')));
    assert.deepEqual(left, []);
  });

test('a card says when a report was written only where the report says it', () => {
  const of = (/** @type {string} */ at) => dated(/** @type {any} */ ({ headline: 'x', at }));
  assert.equal(of('2026-12-01T20:30:00Z'), true);
  assert.equal(of('0001-01-01T00:00:00Z'), false); // the server's word for no time
});
