// The manuals say the same in every language, with the practice's own minutes.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { LANGUAGES } from '../app/text/text.js';
import { FAMILY, loadManual, STAFF, withMinutes } from '../clinic/manuals.js';

test('every language has every line of the manuals, with the same places for minutes', async () => {
  const english = await loadManual('en');
  const keys = Object.keys(english);
  const used = [...FAMILY, ...STAFF].flatMap(p => [p.head, ...p.lines]);
  for (const key of used) assert.ok(keys.includes(key), key);
  const alone = ['family.title', 'family.lead', 'staff.title', 'staff.lead', 'h.cards', 'dont', 'peroxide'];
  assert.deepEqual(keys.filter(k => !alone.includes(k)).sort(), [...used].sort(), 'each line stands in one manual');
  const places = (/** @type {string} */ s) => s.match(/\{\w+\}|\d+/g) ?? [];
  for (const [lang] of LANGUAGES) {
    const own = await loadManual(lang);
    assert.deepEqual(Object.keys(own), keys, lang);
    for (const key of keys) {
      const k = /** @type {keyof typeof own} */ (key);
      assert.deepEqual(places(own[k]), places(english[k]), `${lang} ${key}`);
      if (lang !== 'en') assert.notEqual(own[k], english[k], `${lang} ${key}`);
    }
  }
});

// The usual minutes of the guide's ladder: 1, 3, 10, again every 15, 60.
test('the staff’s manual has the minutes that the practice has set', async () => {
  const policy = {
    unshown_minutes: 1,
    deputy_minutes: 3,
    everyone_minutes: 10,
    repeat_minutes: 15,
    lapse_minutes: 60,
    still_open_minutes: 1440,
  };
  const said = (await loadManual('en'))['s.everyone'];
  assert.equal(withMinutes(said, policy), 'Still nobody after 10 min: everybody on the rota, and again every 15 min.');
  for (const [lang] of LANGUAGES)
    for (const text of Object.values(await loadManual(lang))) assert.ok(!withMinutes(text, policy).includes('{'), text);
});

// Whoever reads the manual in a language of the console finds on the screen what it names.
test('the staff’s manual calls what is pressed by the word the console has for it', async () => {
  const english = Object.entries(await loadManual('en')).filter(([k]) => k.startsWith('s.'));
  const named = english.flatMap(([k, text]) => (text.match(/(?<=“)[^”]+|\bToday\b|\bStaff\b/g) ?? []).map(w => [k, w]));
  assert.ok(named.length >= 7, `only ${named.length} names found`);
  for (const lang of ['es', 'zh', 'ar']) {
    /** @type {{rows: Record<string, string>}} */
    const { rows } = await import(`../clinic/text/${lang}.js`);
    const own = /** @type {Record<string, string>} */ (await loadManual(lang));
    for (const [k, w] of named) assert.ok(rows[w] && own[k].includes(rows[w]), `${lang} ${k}: ${w} is ${rows[w]}`);
  }
});
