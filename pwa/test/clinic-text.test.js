// Every text of the console stands in the catalogue of each of its languages, with
// the same things filled in and a form for each count its language tells apart
// (Unicode CLDR, plural rules, as Intl.PluralRules has them); and keeps to the
// terms that the family reads.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';
import schedule from '../../schedule/rules.json' with { type: 'json' };
import api from '../api/openapi.json' with { type: 'json' };

const clinic = fileURLToPath(new URL('../clinic/', import.meta.url));
const files = ['', 'views/'].flatMap(d =>
  readdirSync(clinic + d)
    .filter(f => f.endsWith('.js'))
    .map(f => d + f),
);

/** The keys of the calls of tr() and plural() in one file. @param {string} file @returns {string[]} */
function keysIn(file) {
  const source = ts.createSourceFile(file, readFileSync(clinic + file, 'utf8'), ts.ScriptTarget.Latest, true);
  /** @type {string[]} */
  const out = [];
  /** @param {ts.Node} n */
  const walk = n => {
    if (ts.isCallExpression(n) && ts.isIdentifier(n.expression)) {
      const last = n.arguments[n.expression.text === 'plural' ? 2 : 0];
      if (n.expression.text === 'tr' && last && ts.isStringLiteralLike(last)) out.push(last.text.trim());
      if (n.expression.text === 'plural' && last && ts.isStringLiteralLike(last)) out.push(`{n} ${last.text}`);
    }
    ts.forEachChild(n, walk);
  };
  walk(source);
  return out;
}

/** Labels of the table of clinical values, which the server reads too. */
const labels = Object.values(
  /** @type {Record<string, {label: string}>} */ (
    JSON.parse(readFileSync(`${clinic}quantities.json`, 'utf8')).quantities
  ),
).map(q => q.label);

const KEYS = [...new Set([...files.flatMap(keysIn), ...labels])];
const filled = (/** @type {string} */ text) => [...new Set(text.match(/\{\w+\}/g) ?? [])].sort().join(' ');

for (const lang of ['es', 'zh', 'ar']) {
  /** @type {{rows: Record<string, import('../clinic/text.js').Text>}} */
  const { rows } = await import(`../clinic/text/${lang}.js`);
  /** @type {{said: Record<string, import('../clinic/text.js').Text>}} */
  const { said } = await import(`../clinic/text/${lang}-server.js`);
  /** @type {{words: Record<string, string>}} */
  const { words } = await import(`../app/text/${lang}/words.js`);
  /** @type {{en: string, use: string, never: string[]}[]} */
  const terms = JSON.parse(readFileSync(new URL(`../app/text/${lang}/terms.json`, import.meta.url), 'utf8'));
  const texts = Object.entries({ ...said, ...rows }).flatMap(([k, r]) =>
    (typeof r === 'string' ? [r] : Object.values(r)).map(t => [k, t]),
  );

  test(`the console is whole in ${lang}`, () => {
    assert.ok(KEYS.length > 1000, `only ${KEYS.length} texts found: the search for them is broken`);
    assert.deepEqual(
      KEYS.filter(k => !rows[k]),
      [],
      'no row',
    );
    const forms = new Intl.PluralRules(lang).resolvedOptions().pluralCategories;
    for (const [key, row] of Object.entries(rows)) {
      if (typeof row === 'string') {
        assert.equal(filled(row), filled(key), `what is filled in: ${key}`);
        continue;
      }
      for (const form of forms)
        assert.ok(row[form] || (form === 'zero' && row.other) || (form === 'many' && row.other), `${form} of ${key}`);
      const extra = Object.values(row).flatMap(t =>
        filled(t)
          .split(' ')
          .filter(p => p && !filled(key).includes(p)),
      );
      assert.deepEqual(extra, [], `what is filled in: ${key}`);
    }
  });

  test(`the console keeps to the terms of ${lang}`, () => {
    for (const { en, use, never } of terms) {
      const faults = texts.filter(([, t]) => never.some(n => new RegExp(n, 'u').test(t)));
      assert.deepEqual(faults, [], `${en} is “${use}”`);
    }
  });

  // A parent on the telephone reads one word, and the clinician another: were the word for
  // "today, at once" the other catalogue's for "within 24 hours", both would be wrong.
  test(`the levels of an alert are the same words on phone and console in ${lang}`, () => {
    const use = (/** @type {string} */ level) => terms.find(t => t.en === `level: ${level}`)?.use ?? '';
    for (const level of ['emergency', 'urgent', 'routine', 'note']) {
      const name = level[0].toUpperCase() + level.slice(1);
      assert.ok(use(level), `terms.json has no ${level}`);
      assert.equal(words[`med.level.${level}`], use(level), `the phone's ${level}`);
      assert.equal(said[name], use(level), `the console's ${level}`);
      const headed = texts.filter(([k]) => k.startsWith(`${name}:`));
      assert.ok(headed.length >= 1, `no heading of ${level}`);
      for (const [k, t] of headed) assert.ok(t.startsWith(use(level)), `${k}: ${t}`);
    }
    // Services and telephone numbers for emergencies are no level.
    const level = (/** @type {string} */ k) => k.replace(/\{\w+\}|emergency (eye|number|services?|ways)/gi, '');
    const holds = (/** @type {string} */ t, /** @type {string} */ word) =>
      t.toLocaleLowerCase(lang).includes(word.toLocaleLowerCase(lang));
    const faults = texts.filter(([k, t]) =>
      /\bemergenc/i.test(level(k))
        ? !holds(t, use('emergency')) || holds(t, use('urgent'))
        : /\burgent\b/i.test(k) && (!holds(t, use('urgent')) || holds(t, use('emergency'))),
    );
    assert.deepEqual(faults, []);
  });
}

/** An answer with words of the server, and words of a family that look like them. */
const ANSWER = {
  alerts: [{ title: 'Redness reported', wearer_name: 'Silent', episode: { notes: [{ text: 'Redness reported' }] } }],
  points: [{ evidence: '6 of 84 nights missed, at most 2 in a row; reasons: forgot 3' }],
};

test('words of the server are heard in the language, a name and a family’s words stay', async () => {
  const text = await import('../clinic/text.js');
  const { inOwnWords } = await import('../clinic/heard.js');
  assert.equal(inOwnWords(ANSWER), ANSWER, 'English is as it came');
  await text.useLanguage('es');
  const { alerts, points } = inOwnWords(ANSWER);
  assert.notEqual(alerts[0].title, 'Redness reported');
  assert.equal(alerts[0].wearer_name, 'Silent');
  assert.equal(alerts[0].episode.notes[0].text, 'Redness reported');
  assert.match(points[0].evidence, /6 .*84 .*2 /);
  assert.doesNotMatch(points[0].evidence, /nights|reasons/);
});

// A row that the words of the server never reach leaves them in English: so did the rows of
// texts with a full stop at their end.
test('every row of the server’s words is found by its own text', async () => {
  const text = await import('../clinic/text.js');
  const { heard } = await import('../clinic/heard.js');
  for (const lang of /** @type {const} */ (['es', 'zh', 'ar'])) {
    await text.useLanguage(lang);
    for (const [key, row] of Object.entries(text.language().said)) {
      if (typeof row !== 'string' || key.includes('{')) continue;
      assert.equal(heard(key), row, `${lang}: ${key}`);
      const stop = key.endsWith('.') ? '' : '.';
      assert.ok(heard(key + stop).startsWith(row), `${lang}: ${key}${stop}`);
    }
  }
});

// Spanish writes decimals with a comma (Real Academia Española, Ortografía 2010, allows
// both; CLDR's es has the comma, as the console's own numbers).
test('a number of the server has the decimal mark of the language, and a text that nobody has read says so', async () => {
  const text = await import('../clinic/text.js');
  const { heard } = await import('../clinic/heard.js');
  await text.useLanguage('es');
  assert.equal(heard('23.86'), '23,86');
  assert.equal(heard('6/12 (0.30)'), '6/12 (0,30)'); // beside 0,10 in one row
  assert.equal(heard('6/7.5−1 (0.12)'), '6/7,5−1 (0,12)');
  assert.match(heard('Right eye, 2026-11-30: infiltrates 3'), /^Ojo derecho/);
  assert.match(heard('right eye 0.52 mm a year (0.40 to 0.64)'), /0,52.*0,40.*0,64/);
  for (const [lang, read] of /** @type {const} */ ([
    ['es', 'leído'],
    ['zh', '读'],
    ['ar', 'يقرأ'],
  ])) {
    await text.useLanguage(lang);
    const said = heard('2026-11-27: “my eye” (nobody has read it)');
    assert.ok(said.includes('my eye') && said.includes(read) && !said.includes('nobody'), said);
  }
});

test('every role and care system has a word in each language', async () => {
  const text = await import('../clinic/text.js');
  const { capital, title } = await import('../clinic/format.js');
  for (const lang of ['es', 'zh', 'ar']) {
    await text.useLanguage(lang);
    for (const w of [...api.components.schemas.NewStaff.properties.role.enum, ...schedule.care_systems])
      assert.notEqual(title(w), capital(w), `${lang}-server.js lacks ${capital(w)}`);
  }
});

// A browser that reads Traditional Chinese alone gets the nearest the console has, and
// is told so; one that reads English before it gets English. Tags by BCP 47.
test('a browser in a language that the console lacks has its nearest, said as such', async () => {
  const text = await import('../clinic/text.js');
  const was = Object.getOwnPropertyDescriptor(globalThis, 'navigator');
  const store = Object.getOwnPropertyDescriptor(globalThis, 'localStorage');
  Object.defineProperty(globalThis, 'localStorage', { value: { getItem: () => null }, configurable: true });
  try {
    for (const [languages, tag, near] of /** @type {[string[], string, boolean][]} */ ([
      [['zh-TW'], 'zh', true],
      [['zh-HK', 'en'], 'zh', true],
      [['zh-CN'], 'zh', false],
      [['en-GB', 'zh-TW'], 'en', false],
      [['fi'], 'en', false],
    ])) {
      Object.defineProperty(globalThis, 'navigator', { value: { languages }, configurable: true });
      assert.equal(text.meant(''), tag, languages.join());
      await text.useLanguage('zh');
      if (tag === 'zh') assert.equal(text.nearest(), near, languages.join());
    }
  } finally {
    if (was) Object.defineProperty(globalThis, 'navigator', was);
    if (store) Object.defineProperty(globalThis, 'localStorage', store);
  }
});

test('marks between clauses are those of the language', async () => {
  const text = await import('../clinic/text.js');
  const { both } = await import('../clinic/format.js');
  await text.useLanguage('ar');
  assert.equal(['أ', 'ب'].join(text.point(', ')), 'أ، ب');
  await text.useLanguage('zh');
  assert.equal(text.point(': '), '：');
  assert.equal(text.point('.'), '。'); // GB/T 15834-2011: the full stop
  await text.useLanguage('es');
  // The name of a zone is no Spanish: CLDR, metazone of Europe/London in Spanish.
  assert.match(both('2026-03-28T21:04:00Z', 'Europe/London', undefined), /hora de Reino Unido$/);
});

/** What the server says of a wash-out, as course.go words it. */
const WASH_OUT = {
  wash_out: {
    word: 'The refraction can be measured again; a second reading a week apart confirms it.',
    eyes: [
      { word: 'not measured since the end' },
      { word: 'one more reading is needed, at least 7 days after one that is 14 days or more after the end' },
      { word: 'still changing: −2.00 D on 2026-03-08, −2.50 D on 2026-03-20' },
      { word: 'steady: −2.25 D on 2026-03-08, −2.50 D on 2026-03-20' },
    ],
  },
};

test('how far a wash-out has come is heard in each language, with its numbers and dates', async () => {
  const text = await import('../clinic/text.js');
  const { inOwnWords } = await import('../clinic/heard.js');
  for (const lang of /** @type {const} */ (['es', 'zh', 'ar'])) {
    await text.useLanguage(lang);
    const { word, eyes } = inOwnWords(WASH_OUT).wash_out;
    const english = /\b(the|reading|refraction|since|after|changing|steady|on)\b/i;
    for (const said of [word, ...eyes.map(e => e.word)]) assert.doesNotMatch(said, english, lang);
    assert.match(eyes[1].word, /7.*14|14.*7/);
    for (const e of eyes.slice(2)) assert.match(e.word, /2026-03-08.*2026-03-20/);
    assert.match(eyes[2].word, /2[.,]00.*2[.,]50/);
  }
});
