// Every language has exactly the keys of English, the same blanks to fill in,
// and says whether a practitioner has read its medical texts. Every key that a
// screen asks for exists.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';
import medical from '../../alerts/texts.json' with { type: 'json' };
import schedule from '../../schedule/rules.json' with { type: 'json' };
import { en as enFirst } from '../app/text/en/words.js';
import { enLater } from '../app/text/en/later.js';
import { words as ar, REVIEWER as arReviewer } from '../app/text/ar/words.js';
import { words as es, REVIEWER as esReviewer } from '../app/text/es/words.js';
import { words as zh, REVIEWER as zhReviewer } from '../app/text/zh/words.js';
import { words as zhHant } from '../app/text/zh-Hant/words.js';
import { languageFor, LANGUAGES, rowOf, wordsOf } from '../app/text/text.js';
import { ENGLISH, loadCards } from '../app/text/cards.js';
import { MANUAL } from '../app/text/en/manual.js';
import { PAPER } from '../app/text/en/paper.js';
import { DUE, WORDS as PUSH } from '../app/text/en/push.js';
import { readerOf, readersList } from '../app/text/list.js';
import { refusal } from '../app/text/refusal.js';
import { between, closedUp } from '../ui/headings.js';
import { PHRASES } from '../ui/phrases.js';
import { grade } from './grade.js';
import { FAMILY as FAMILY_BOOK } from '../clinic/manuals.js';
import { CONSENT } from '../app/views/consent.js';

const en = { ...enFirst, ...enLater };

/** @type {[string, Record<string, string>, string][]} */
const OTHERS = [
  ['es', es, esReviewer],
  ['zh', zh, zhReviewer],
  ['ar', ar, arReviewer],
];
/** What is filled in, without the noun it is counted with. @param {string} s */
const blanks = s => [...new Set([...s.matchAll(/\{(\w+)(?::[\w.]+)?\}/g)].map(m => m[1]))].sort().join();
const both = (/** @type {string} */ a, /** @type {string} */ b) => `\u2068${a}\u2069 و\u2068${b}\u2069`; // what is filled in stands apart
const FORM = /\.(zero|one|two|few|many)$/; // a plural form of a text (CLDR)

for (const [lang, words] of OTHERS) {
  test(`${lang} has every key of English and no other of the app's own`, () => {
    const own = Object.keys(words).filter(k => !k.startsWith('med.') && !FORM.test(k));
    assert.deepEqual(
      own.filter(k => !(k in en)),
      [],
      'unknown keys',
    );
    assert.deepEqual(
      Object.keys(en).filter(k => !(k in words) && !FORM.test(k)),
      [],
      'missing keys',
    );
  });
  test(`${lang} fills in the same blanks`, () => {
    for (const [key, text] of Object.entries(en))
      if (!FORM.test(key)) assert.equal(blanks(words[key] ?? ''), blanks(text), key);
    for (const [key, text] of Object.entries(words))
      for (const [, unit] of text.matchAll(/\{\w+:([\w.]+)\}/g)) assert.ok(unit in words, `${key}: no ${unit}`);
  });
  test(`${lang} has every medical text a family can see`, () => {
    const seen = Object.keys(medical.texts).filter(k => !k.endsWith('.clinic') && !k.startsWith('state.'));
    assert.deepEqual(
      seen.filter(k => !words[`med.${k}`]),
      [],
    );
  });
}

/** Figures of a text in Western digits, which all four catalogues use. @param {string} s */
const figures = s => s.match(/\d+/g) ?? [];

for (const [lang] of OTHERS) {
  test(`${lang} has every help card, line for line and figure for figure`, async () => {
    const cards = await loadCards(/** @type {'es'} */ (lang));
    assert.ok(cards.length >= 15);
    cards.forEach((card, i) => {
      const english = ENGLISH[i];
      assert.equal(card.lang, lang, card.id);
      assert.notEqual(card.title, english.title, card.id);
      for (const part of /** @type {const} */ (['do', 'dont'])) {
        assert.equal(card[part].length, english[part].length, `${card.id} ${part}`);
        card[part].forEach((line, n) => {
          assert.ok(line.trim() && line !== english[part][n], `${card.id} ${part} ${n + 1} is not translated`);
          assert.deepEqual(figures(line), figures(english[part][n]), `${card.id} ${part} ${n + 1}`);
        });
      }
    });
  });
}

test('a language without a named reviewer says so on its medical texts', () => {
  for (const [lang, words, reviewer] of OTHERS) {
    assert.equal(wordsOf(/** @type {'es'} */ (lang), words, reviewer !== '').reviewed, reviewer !== '');
  }
});

for (const [lang, words] of /** @type {[string, Record<string, string>][]} */ ([['en', en], ...OTHERS])) {
  test(`${lang}: what is counted has a form for every kind of number`, () => {
    const rules = new Intl.PluralRules(rowOf(lang).locale);
    const kinds = [...new Set([...Array(200).keys()].map(n => rules.select(n)))].filter(k => k !== 'other');
    const counted = new Set(
      [...Object.keys(en), ...Object.keys(words)].filter(k => FORM.test(k)).map(k => k.replace(FORM, '')),
    );
    const inWords = [...counted].filter(k => k in words);
    assert.ok(inWords.length > 7);
    for (const key of inWords)
      if (kinds.some(k => `${key}.${k}` in words) || (`${key}.one` in en && !words[key].includes('{n:')))
        assert.deepEqual(
          kinds.filter(k => !(`${key}.${k}` in words)),
          [],
          key,
        );
  });
}

// Unicode CLDR, plural rules: Arabic has six kinds of number (0, 1, 2, 3 to 10, 11
// to 99, 100); the noun stands in the plural from 3 to 10 only.
test('a length of time is said in the form its number asks for', () => {
  const span = (/** @type {string} */ lang, /** @type {Record<string, string>} */ w, /** @type {number} */ minutes) =>
    wordsOf(lang, w, false).span(minutes * 60000);
  const arabic = [60, 120, 180, 11 * 60, 125, 2 * 1440 + 3 * 60, 11 * 1440].map(m => span('ar', ar, m));
  assert.deepEqual(arabic, [
    'ساعة واحدة',
    'ساعتين',
    '3 ساعات',
    '11 ساعة',
    both('ساعتين', '5 دقائق'),
    both('يومين', '3 ساعات'),
    '11 يومًا',
  ]);
  assert.equal(span('zh', zh, 125), '2 小时 5 分钟');
  assert.equal(span('es', es, 49 * 60), '2 días 1 h');
  const nights = (/** @type {number} */ n) => wordsOf('ar', ar, false).t('pause.save', { n });
  assert.deepEqual([1, 2, 3, 11].map(nights), ['إيقاف ليلة واحدة', 'إيقاف ليلتين', 'إيقاف 3 ليالٍ', 'إيقاف 11 ليلة']);
  assert.deepEqual(
    [1, 3].map(n => wordsOf('en', en, true).t('pause.save', { n })),
    ['Pause 1 night', 'Pause 3 nights'],
  );
});

// Unicode CLDR, likely subtags: zh-TW and zh-HK are Traditional, zh and zh-SG Simplified.
test('a browser is answered in its language and script, or in English', () => {
  const wants = {
    'es-MX': 'es',
    'ar-EG': 'ar',
    zh: 'zh',
    'zh-SG': 'zh',
    'zh-CN': 'zh',
    'zh-Hans': 'zh',
    la: 'en', // Latin: a language that the app will hardly be read in
    'not a tag': 'en',
  };
  for (const [tag, want] of Object.entries(wants)) assert.equal(languageFor([tag]), want, tag);
  for (const tag of ['zh-TW', 'zh-HK', 'zh-Hant', 'zh-Hant-MY']) assert.notEqual(languageFor([tag]), 'zh', tag);
  assert.equal(languageFor(['zh-TW', 'es']) === 'zh', false);
  assert.equal(languageFor(['la', 'es']), 'es');
  assert.notEqual(languageFor(['zh-Hans-TW']), 'zh-Hant');
});

// Unicode UAX #29, words of Chinese by the dictionary of ICU: 眼睛 | 有 | 问题.
test('a Chinese heading may break between words and nowhere else', () => {
  assert.equal(between('眼睛有问题？', 'zh-Hans').replaceAll('\u200b', '|'), '眼睛|有|问题？');
  assert.equal(between('Eye not right?', 'zh-Hans'), 'Eye not right?');
  // Words of the trade that no dictionary of a browser has.
  const parts = (/** @type {string} */ text) => between(text, 'zh-Hans').split('\u200b');
  for (const [text, word] of [
    ['现在就去眼科急诊', '急诊'],
    ['视光师有新的计划。', '视光师'],
    ['取下镜片', '镜片'],
    ['視力比平時差嗎？', '平時'],
    ['用清洁液冲洗', '清洁液'],
    ['可能接触化学品', '化学品'],
    ['左眼镜片还在', '左眼'],
    ['眼睛自查', '自查'],
    ['去除沉淀物', '沉淀物'],
    ['左眼鏡片還在', '左眼'],
    ['眼睛自查', '自查'],
    ['請用生理鹽水', '生理鹽水'],
  ])
    assert.ok(parts(text).includes(word), `${text}: ${parts(text).join('|')}`);
});

// A full-width mark takes up a whole square, its gap included (W3C, Requirements for
// Chinese Text Layout, from memory).
test('no space follows a full-width mark, in a text or between two', () => {
  assert.equal(closedUp('现在取下镜片。 现在去眼科急诊。'), '现在取下镜片。现在去眼科急诊。');
  assert.deepEqual(closedUp(['眼白有多红？', ' ', '不红']), ['眼白有多红？', '', '不红']);
  assert.deepEqual(closedUp(['没有网络。 ', '上次']), ['没有网络。', '上次']);
  assert.deepEqual(closedUp(['22:30 到 06:15', ' ', 'Mira']), ['22:30 到 06:15', ' ', 'Mira']);
  assert.equal(closedUp('Eyes, red. Sore: yes'), 'Eyes, red. Sore: yes');
});

// The browser's own knowledge of the language (CLDR) says which way it is written.
test('every language is written in its own direction, and its page says its script', () => {
  for (const [tag] of LANGUAGES) {
    const own = /** @type {any} */ (new Intl.Locale(rowOf(tag).locale));
    assert.equal(wordsOf(tag, {}, false).dir, (own.getTextInfo?.() ?? own.textInfo).direction, tag);
  }
  assert.equal(wordsOf('zh', zh, false).html, 'zh-Hans');
  assert.equal(wordsOf('ar', ar, false).html, 'ar');
});

test('whole hours and days are said without a zero, and a refusal in the language', async () => {
  const words = wordsOf('en', en, true);
  const spans = /** @type {[number, string][]} */ ([
    [30, '30 min'],
    [360, '6 h'],
    [390, '6 h 30 min'],
    [72 * 60, '3 days'],
    [73 * 60, '3 days 1 h'],
  ]);
  for (const [minutes, want] of spans) assert.equal(words.span(minutes * 60000), want);
  const spanish = wordsOf('es', es, false);
  assert.match(refusal(spanish, 'bad-invitation'), /^Este código no sirve/);
  assert.equal(refusal(spanish, 'never-heard-of'), 'El servidor no lo aceptó (never-heard-of).');
});

/** Sources of the app, as text. @param {string} dir @returns {string[]} */
function sources(dir) {
  return readdirSync(new URL(dir, import.meta.url), { withFileTypes: true }).flatMap(e =>
    e.isDirectory()
      ? sources(`${dir}${e.name}/`)
      : e.name.endsWith('.js')
        ? [readFileSync(new URL(dir + e.name, import.meta.url), 'utf8')]
        : [],
  );
}

test('every key a screen asks for in full exists in English', () => {
  const asked = sources('../app/').flatMap(s => [...s.matchAll(/\bt\('([\w.-]+)'/g)].map(m => m[1]));
  assert.ok(asked.length > 100);
  assert.deepEqual(
    [...new Set(asked)].filter(k => !(k in en)),
    [],
  );
});

/** A script and all that it imports before it runs. @param {string} path @param {Set<string>} seen */
function needed(path, seen = new Set()) {
  if (seen.has(path) || !path.endsWith('.js') || path.includes('/vendor/')) return seen;
  seen.add(path);
  const text = readFileSync(new URL(path), 'utf8');
  for (const [, to] of text.matchAll(/^(?:import|export)\b[^;]*?\bfrom '([^']+)'/gm))
    needed(new URL(to, path).href, seen);
  return seen;
}

test('no script of the start names a word that is fetched later', () => {
  const scripts = [...needed(new URL('../app/main.js', import.meta.url).href)].filter(
    p => !p.endsWith('/text/en/words.js'),
  );
  assert.ok(scripts.length > 20);
  const text = scripts.map(p => readFileSync(new URL(p), 'utf8')).join('\n');
  const named = new Set([...text.matchAll(/'([\w.-]+)'/g)].map(m => m[1]));
  const begun = [...text.matchAll(/`([\w-]+\.[\w.-]*)\$\{/g)].map(m => m[1]);
  const late = Object.keys(enLater).map(k => k.replace(FORM, ''));
  const other = ['more.review']; // said only in a language that nobody has read: its own file has it
  for (const words of [es, zh, ar]) assert.ok(other.every(k => k in words));
  assert.deepEqual(
    late.filter(k => !other.includes(k)).filter(k => named.has(k) || begun.some(b => k.startsWith(b))),
    [],
  );
  assert.deepEqual(
    Object.keys(enLater).filter(k => k in enFirst),
    [],
  );
});

test('the page of parts shows every token and every component', () => {
  const read = (/** @type {string} */ name) => readFileSync(new URL(name, import.meta.url), 'utf8');
  const page = read('../app/views/parts.js');
  const tokens = [...new Set([...read('../styles/tokens.css').matchAll(/^ +--([\w-]+):/gm)].map(m => m[1]))].filter(
    t => t !== 'font',
  );
  assert.ok(tokens.length > 20);
  assert.deepEqual(
    tokens.filter(t => !page.includes(`'${t}'`) && !page.includes(`var(--${t})`)),
    [],
  );
  const parts = [...read('../ui/parts.js').matchAll(/^export function (\w+)/gm)].map(m => m[1]);
  assert.deepEqual(
    parts.filter(p => !new RegExp(`\\b${p}[(,]`).test(page)),
    [],
  );
});

test('every medical key a screen or a rule asks for exists', () => {
  const asked = sources('../app/').flatMap(s => [...s.matchAll(/\bmed\('([\w.-]+)'/g)].map(m => m[1]));
  assert.deepEqual(
    asked.filter(k => !(k in medical.texts)),
    [],
  );
});

test('a telephone number keeps its order in a text from right to left', () => {
  // Unicode UAX #9: first strong isolate U+2068 to pop directional isolate U+2069;
  // without a strong letter inside, its direction is left to right (rule P3).
  const call = wordsOf('ar', ar, false).t('advice.after', { number: '+44 20 7946 0987' });
  assert.ok(call.includes('\u2068+44 20 7946 0987\u2069'), call);
  assert.ok(wordsOf('en', en, true).t('advice.after', { number: '+44 20 7946 0987' }).endsWith(' +44 20 7946 0987'));
});

test('numbers and dates follow the language', () => {
  const words = wordsOf('ar', ar, false);
  assert.equal(words.dir, 'rtl');
  // 25 November 2026 is a Wednesday by the Gregorian calendar.
  assert.match(wordsOf('en', en, true).date('2026-11-25'), /Wed.*25.*Nov/);
  assert.match(wordsOf('es', es, false).date('2026-11-25'), /mié.*25.*nov/);
  assert.match(wordsOf('zh', zh, false).date('2026-11-25'), /11月25日/);
});

// What somebody has agreed to is told by a number, so under one number it must
// stay as it was: if these words change in meaning, raise CONSENT and the
// server's ConsentWords, and write the new hash here. Not a change of meaning: the
// page where a consent is taken back is called by its name.
test('the words agreed to are those of their version, and the server takes that version', () => {
  const parts = ['1', '2', '3', 'who', 'kept', 'kept.age', 'kept.law', 'rights'];
  const words = parts.map(n => en[/** @type {keyof typeof en} */ (`join.consent.${n}`)]).join('\n');
  const hash = createHash('sha256').update(`${words}\n${en['join.consent.agree']}`).digest('hex');
  assert.deepEqual(
    { version: CONSENT, hash },
    { version: '2', hash: '45f6f676a35506d8ece3003fec27f6d8776ec6164c2629e99b44e8811b05c1a7' },
  );
  for (const words of [en, es, zh, ar]) assert.ok(words['join.consent.rights'].includes(words['nav.more']));
  const server = readFileSync(new URL('../../server/internal/web/record/privacy.go', import.meta.url), 'utf8');
  assert.match(server, new RegExp(`const ConsentWords = "${CONSENT}"`));
});

/** Each line of a card, and of a list of short labels, is read as a sentence. @param {string[]} lines */
const prose = lines => lines.map(x => x.replace(/[.?!:]?$/, '.')).join(' ');
const family = Object.entries(/** @type {Record<string, {text: string}>} */ (medical.texts)).filter(
  ([k]) => !k.endsWith('.clinic') && !k.startsWith('state.'),
);

test('every family text in English reads at grade 6 or below (Flesch-Kincaid, 1975)', () => {
  for (const [key, { text }] of family.filter(
    ([k]) => /^(action|caution|delay|told|level)\b/.test(k) && !/^level\.\w+$/.test(k),
  )) {
    assert.ok(grade(text) <= 6, `${key}: grade ${grade(text).toFixed(1)}: ${text}`);
  }
  for (const c of ENGLISH) {
    const g = grade(prose([c.title, ...c.do, ...c.dont]));
    assert.ok(g <= 6, `card ${c.id}: grade ${g.toFixed(1)}`);
  }
  for (const kind of ['rule.', 'sign.', 'answer.']) {
    // labels of a few words: read one after the other
    const g = grade(prose(family.filter(([k]) => k.startsWith(kind)).map(([, v]) => v.text)));
    assert.ok(g <= 6, `${kind}: grade ${g.toFixed(1)}`);
  }
});

/** Everything else the app says in English, by screen: the catalogue, the words kept apart, notifications, the sheet for the fridge and the family's book. */
const REST = Object.entries({
  ...en,
  ...Object.fromEntries(Object.entries(PUSH).flatMap(([k, v]) => (k === 'alert' ? [] : [[`push.${k}`, v]]))), // an alert goes to the clinic
  ...Object.fromEntries(Object.entries(DUE).map(([k, v]) => [`push.${k}`, v])),
  ...Object.fromEntries(
    Object.entries(PAPER)
      .filter(([k]) => !/^(practice|do|note|who)\b/.test(k))
      .map(([k, v]) => [`paper.${k}`, v]),
  ),
  ...Object.fromEntries(
    Object.entries(MANUAL)
      .filter(
        ([k]) =>
          FAMILY_BOOK.some(p => [p.head, ...p.lines].includes(/** @type {keyof typeof MANUAL} */ (k))) ||
          k.startsWith('family.'),
      )
      .map(([k, v]) => [`book.${k}`, v]),
  ),
}).map(([k, v]) => /** @type {[string, string]} */ ([k, v.replace(/\{\w+(:[\w.]+)?\}/g, 'ten')]));
const LONG = 8; // words: a label of fewer is no sentence to measure

test('every other English text of the family reads at grade 6 or below, labels screen by screen', () => {
  const words = (/** @type {string} */ s) => s.split(/\s+/).length;
  for (const [key, text] of REST.filter(([, v]) => words(v) >= LONG))
    assert.ok(grade(text) <= 6, `${key}: grade ${grade(text).toFixed(1)}: ${text}`);
  /** @type {Map<string, string[]>} */
  const screens = new Map();
  for (const [k, v] of REST.filter(([, v]) => words(v) < LONG))
    screens.set(k.split('.')[0], [...(screens.get(k.split('.')[0]) ?? []), v]);
  const labels = prose([...screens.values()].flat());
  assert.ok(grade(labels) <= 6, `all labels: grade ${grade(labels).toFixed(1)}`);
  for (const [screen, list] of screens)
    if (list.length >= LONG) {
      const g = grade(prose(list));
      assert.ok(g <= 6, `${screen}: grade ${g.toFixed(1)}`);
    }
});

// Counted by hand: 10 words, 1 sentence, 10 syllables: 0.39*10 + 11.8*1 - 15.59 = 0.11;
// 6 words, 2 sentences, 13 syllables (4+1+3, 1+2+2): 0.39*3 + 11.8*13/6 - 15.59 = 11.15.
test('the reading grade is that of the formula', () => {
  assert.ok(Math.abs(grade('The cat sat on the mat and ate the fish.') - 0.11) < 0.01);
  assert.ok(Math.abs(grade('Emergency is serious. The clinic answers.') - 11.15) < 0.01);
});

test('what the clinic sends in English is what the family reads in English', () => {
  for (const [key, words] of Object.entries(PHRASES)) assert.equal(en[`phrase.${key}`], words, key);
});

/** English texts of the family, by key; of the rules only what a family reads. */
const FAMILY = Object.entries({
  ...en,
  ...Object.fromEntries(
    Object.entries(medical.texts)
      .filter(([k]) => !k.endsWith('.clinic'))
      .map(([k, v]) => [`med.${k}`, v.text]),
  ),
  ...Object.fromEntries(ENGLISH.flatMap(c => [...c.do, ...c.dont].map((x, i) => [`card.${c.id}.${i}`, x]))),
});

// Issue of the words: every "phone now" says what to do when nobody answers. The
// headline of the advice stands above the step and the place that say it, and
// each urgent card above the numbers and the place.
test('every "phone now" says what to do when nobody answers', () => {
  const urgent = new Set(ENGLISH.filter(c => c.group === 'urgent').map(c => c.id));
  const bare = FAMILY.filter(
    ([k, v]) =>
      /\b(phone|call) now\b/i.test(v) &&
      !/answers? the phone now/.test(v) &&
      !/nobody answers|do not wait for a call back/i.test(v) &&
      k !== 'med.told.call-now' &&
      !(k.startsWith('card.') && urgent.has(k.split('.')[1])),
  );
  assert.deepEqual(bare, []);
  for (const view of ['help', 'advice', 'check'])
    assert.match(readFileSync(new URL(`../app/views/${view}.js`, import.meta.url), 'utf8'), /h\(Calls, \{[^}]*level: /);
  const push = readFileSync(new URL('../app/text/en/push.js', import.meta.url), 'utf8');
  assert.match(push, /Please phone now\. No answer in 10 minutes\? Open the app: it says where to go\./);
});

// The list of cards is that of the issue.
test('help has a card for what families ask', () => {
  const ids = new Set(ENGLISH.map(c => c.id));
  const wanted = [
    'lost-lens',
    'dropped-lens',
    'water-on-lens',
    'pain-on-insertion',
    'holder-deposits',
    'days-off',
    'drops-patch',
  ];
  for (const id of [...wanted, 'sleeping-elsewhere', 'fever', 'blurry-morning', 'wrong-bottle', 'peroxide'])
    assert.ok(ids.has(id), `no card ${id}`);
});

// What goes into an eye differs by what disinfects the lens (FDA, Hydrogen Peroxide Solution).
test('help says how lenses go in for every care system of a plan', () => {
  for (const system of schedule.care_systems)
    assert.ok(
      ENGLISH.some(c => c.id.startsWith('insertion') && c.system?.includes(system)),
      `no card on putting lenses in says system: ${system}`,
    );
  // FDA consumer notice 2016: never rinse with peroxide what goes straight in, never insert before it is neutralised.
  const [card] = ENGLISH.filter(c => c.id === 'insertion-peroxide');
  assert.match(
    card.do.join(' '),
    /soak must be over, with the neutraliser in its place.*saline, or as your plan says, never with peroxide/,
  );
});

// A screen of the family names what has a due date by its rule; a visit is named by its kind.
test('whatever can fall due has a name', () => {
  const dated = schedule.rules.filter(r => r.again_after_days && r.id !== 'recall').map(r => r.id);
  assert.ok(dated.length > 5, `only ${dated} have a due date`);
  for (const id of dated) assert.ok(`what.${id}` in en, `text/en/words.js lacks what.${id}`);
});

test('a language is its row and its folder, with every file that another has', () => {
  const at = new URL('../app/text/', import.meta.url);
  const folders = readdirSync(at, { withFileTypes: true }).filter(f => f.isDirectory());
  const rows = JSON.parse(readFileSync(new URL('../../alerts/languages.json', import.meta.url), 'utf8'));
  assert.deepEqual(folders.map(f => f.name).sort(), rows.map((/** @type {{tag: string}} */ r) => r.tag).sort());
  for (const { name } of folders.filter(f => f.name !== 'en'))
    assert.deepEqual(readdirSync(new URL(`${name}/`, at)).sort(), readdirSync(new URL('es/', at)).sort(), name);
});

test('a family reads one word for the clinic in each language', () => {
  assert.deepEqual(
    FAMILY.filter(([, v]) => /\b(the|your|our) practice\b|\bsurgery\b|\boffice\b/i.test(v)),
    [],
  );
  const other = { es: /\bla consulta\b|\bconsultorio\b/i, zh: /诊室|医院诊/, ar: /المستوصف|مكتب الطبيب/ };
  for (const [lang, words] of OTHERS)
    assert.deepEqual(
      Object.entries(words).filter(([, v]) => other[/** @type {'es'|'zh'|'ar'} */ (lang)].test(v)),
      [],
    );
});

// Read by people who speak them: a day is "antes de 24 horas"; a suction holder is
// no face mask, and lenses come out of the eye.
test('words that were read wrong stay mended', () => {
  assert.match(es['med.told.call-today'], /antes de 24 horas/);
  assert.doesNotMatch(Object.values(ar).join(' '), /قناع|كمامة/);
  assert.match(ar['med.action.lenses-out'], /من العين/);
});

// As readers of the language settled them: the app's questions are no examination, a push
// says what to do, and the red button names the eye.
test('the wording of what may cost an eye is as readers settled it', () => {
  for (const [words, key, part] of /** @type {[Record<string, string>, string, string][]} */ ([
    [ar, 'check.title', 'أسئلة عن العين'],
    [ar, 'med.action.call-now', 'يجب أن يفحص طبيب العيون أو العيادة العين اليوم'],
    [ar, 'med.told.call-now', 'يجب أن يفحص طبيب العيون أو العيادة العين اليوم'],
    [ar, 'wrong.button', 'العين'],
    [es, 'med.action.call-today', 'Un profesional debe examinar el ojo antes de 24 horas'],
    [es, 'med.told.call-today', 'Un profesional debe examinar el ojo antes de 24 horas'],
    [es, 'med.action.no-driving', 'moto'],
    [es, 'med.sign.discharge', 'lagrimea'],
    [es, 'wrong.button', 'un ojo'],
    [zh, 'wrong.button', '眼睛有问题'],
    [zh, 'check.title', '眼睛自查'],
    [zh, 'advice.sources', '依据'],
    [zh, 'med.action.find-lens', '打电话时说明'],
    [en, 'wrong.button', 'Eye'],
  ]))
    assert.ok(words[key]?.includes(part), `${key}: ${words[key]}`);
});

// A chemical: rinse before all else, at once, twenty minutes, then emergency care
// (NHS, Eye injuries, page reviewed 7 June 2022).
test('a chemical in the eye is told in this order', () => {
  const text = medical.texts['action.rinse-eye'].text;
  const at = [
    'Rinse the eye now',
    'nearest clean water',
    'at least 20 minutes',
    'take it out while you rinse',
    'go to emergency eye care now',
  ].map(x => text.indexOf(x));
  assert.ok(
    at.every((n, i) => n >= 0 && (i === 0 || n > at[i - 1])),
    `${at}`,
  );
});

for (const [lang] of LANGUAGES.slice(1)) {
  test(`${lang}: the list for readers has every text beside the English, what may cost an eye first`, async () => {
    const list = await readersList(lang);
    const risks = list.map(l => l.risk).filter((r, i, all) => r !== all[i - 1]);
    assert.deepEqual(risks, ['emergency', 'care', 'other']);
    assert.deepEqual(
      list.filter(l => (!l.text && !rowOf(lang).draft) || !l.english || !l.place).map(l => l.key),
      [],
    );
    const keys = new Set(list.map(l => l.key));
    for (const key of ['med.told.call-now', 'push.silence', 'card.peroxide.do.1', 'paper.nolens', 'advice.nobody-hour'])
      assert.ok(keys.has(key), key);
    assert.equal(typeof (await readerOf(lang)), 'string');
  });
}

// One comma and one semicolon in Arabic, the Arabic ones (Unicode chart U+0600: ، and ؛);
// what a screen joins takes its marks from the catalogue.
test('Arabic has no Latin comma, semicolon or question mark', () => {
  const latin = /[\u0600-\u06ff}\u2069] ?[,;?](?!\d)|[,;?] ?[\u0600-\u06ff{\u2068]/;
  assert.deepEqual(
    Object.entries(ar).filter(([, text]) => latin.test(text)),
    [],
  );
});

test('no screen joins what it says by an English comma', () => {
  const views = new URL('../app/views/', import.meta.url);
  const joined = readdirSync(views).filter(f =>
    /[`}], \$\{|join\(', '\)|\+ ', '/.test(readFileSync(new URL(f, views), 'utf8')),
  );
  assert.deepEqual(joined, []);
});

// One form of address: a page that says "tú" and "usted", or 你 and 您, speaks to two people.
test('Spanish says usted and Chinese 您, everywhere', () => {
  const familiar =
    /(?<!\p{L})(tú|tu|tus|ti|contigo|tuy[oa]s?|tienes|puedes|quieres|debes|eres|estás|empezaste|llevas)(?!\p{L})/iu;
  assert.deepEqual(
    Object.entries(es).filter(([, text]) => familiar.test(text)),
    [],
  );
  for (const words of [zh, zhHant])
    assert.deepEqual(
      Object.entries(words).filter(([, text]) => text.includes('你')),
      [],
    );
});

// Of a lens, "leave" without where means in the eye to one reader and off it to another
// (found by readers of all languages): it is said to be in the eye, or not to be taken out.
// AAO, first aid for eye injuries: no pressure on an eye that was hit, nothing taken from one that holds something.
test('the words above the first question do not send fingers to an eye that was hit or holds something', () => {
  const but = { en: /hit.*something is in it/, es: /golpe.*algo en él/, zh: /碰伤.*有东西/, ar: /أصيبت.*فيها شيء/ };
  const all = { en, es, zh, ar };
  for (const [lang, words] of Object.entries(but))
    assert.match(/** @type {Record<string, Record<string, string>>} */ (all)[lang]['check.caution'], words, lang);
});

test('no text tells to leave a lens without saying where', () => {
  const both =
    /[Ll]eave (the|a) lens(?! in)\b(?!es)|leave it (in|there)(?! the eye)\b|deje la lente(?! en)|déjela (donde|puesta)|[镜鏡]片留[着著]|就留[着著在]|اترك العدسة(?! في العين)|فاتركها (مكانها|واطلب)/;
  const dirs = ['', 'en/', 'es/', 'zh/', 'zh-Hant/', 'ar/'].map(d => new URL(`../app/text/${d}`, import.meta.url));
  const files = dirs.flatMap(d =>
    readdirSync(d)
      .filter(f => f.endsWith('.js'))
      .map(f => new URL(f, d)),
  );
  const texts = [new URL('../../alerts/texts.json', import.meta.url), ...files];
  for (const f of texts)
    assert.equal(both.exec(readFileSync(f, 'utf8'))?.[0], undefined, f.pathname.split('/').slice(-2).join('/'));
});
