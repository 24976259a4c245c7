// Every refusal that a user of the console can meet is said in the language of the
// console: the words are read out of the server's sources, filled in as the server
// fills them, and heard in Chinese and Arabic, whose letters are not those of English.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { refusal } from '../clinic/heard.js';
import { useLanguage } from '../clinic/text.js';

const root = fileURLToPath(new URL('../../', import.meta.url));
const ROOMS = 'web/clinic web/course web/practice web/record web/ready web/shared web/transport escalate phone'.split(
  ' ',
);
const FILES = [
  'schedule/plan.go',
  ...ROOMS.flatMap(dir =>
    readdirSync(`${root}server/internal/${dir}`)
      .filter(f => f.endsWith('.go') && !f.endsWith('_test.go'))
      .map(f => `server/internal/${dir}/${f}`),
  ),
];

/** Refusals of what no form can send: ids, words of closed lists, shapes of a request. */
const NOT_BY_A_FORM = new Set(
  `bad-id bad-kind bad-state bad-word bad-eye bad-design bad-finding bad-decision bad-result bad-weekday bad-basis bad-reason
   bad-role bad-language bad-instant bad-outcome unknown-event bad-follow-up bad-receipt bad-subscription no-such-route
   no-such-page bad-content-type bad-encoding bad-body no-such-person bad-swap unknown-entry nothing-said nothing-read`.split(
    /\s+/,
  ),
);

/** What only a frame or a closed list of the form stands behind: the frames are in SAMPLES. */
const ELSEWHERE = new Set([
  'want %s',
  'want ',
  '%s: %s',
  '%s eye, %s: want at most %d characters',
  'want %d to %d %s',
  'want 0 for none, or %d to %d %s',
  'want 1 or more',
  'want a date after first_night',
  'want both, right or left',
  'want teen or parent',
  'want neutral or plain',
  'want nothing: the family chooses its own times',
  "want the file's bytes in base64",
]);

/** Refusals that are put together, as the server answered them. */
const SAMPLES = [
  'right eye, lens condition: want at most 500 characters',
  'right eye, axial length: 239 mm is not possible; want 15 to 40 mm',
  'left lens, base curve: 78 mm is not possible; want 5 to 12 mm',
  'want 30 to 1440 minutes for this care system',
  'want 1 to 3 months; no case is kept longer than three',
  'want 0 for none, or 1 to 60 days',
  'want 0 for none, or 1 to 36 months',
  'want 0 to 240 minutes',
  '9 nights, want 2 to 7',
];

/** The calls that refuse, and how many arguments stand before the words. @type {Record<string, number>} */
const CALLS = {
  'care.Refuse': 2,
  'care.Errorf': 2,
  'f.add': 1,
  'd.add': 0,
  'ask.add': 0,
  append: 1,
  needed: 2,
  want: 2,
};

/** The arguments of a call, from behind its bracket. @param {string} s @returns {string[]} */
function args(s) {
  const out = [''];
  let depth = 0;
  for (const part of s.match(/"(?:[^"\\]|\\.)*"|`[^`]*`|[\s\S]/g) ?? []) {
    if (depth === 0 && part === ')') break;
    if (part === '(' || part === '{' || part === '[') depth++;
    if (part === ')' || part === '}' || part === ']') depth--;
    if (depth === 0 && part === ',') out.push('');
    else out[out.length - 1] += part;
  }
  return out.map(a => a.trim());
}

/** Words of an argument: a text with verbs, or texts put together. @param {string} arg */
function words(arg) {
  const inner = /^fmt\.Sprintf\(/.test(arg) ? args(arg.slice(arg.indexOf('(') + 1))[0] : arg;
  if (!/^"/.test(inner)) return '';
  return inner
    .split(/("(?:[^"\\]|\\.)*")/)
    .map(p => (p.startsWith('"') ? p.slice(1, -1) : /\+/.test(p) ? '%s' : ''))
    .join('')
    .replaceAll('\\"', '"');
}

/** @param {string} file @returns {string[]} what is refused or asked there, as Go writes it */
function refusals(file) {
  const source = readFileSync(root + file, 'utf8');
  return [...source.matchAll(/\b(care\.Refuse|care\.Errorf|f\.add|d\.add|ask\.add|append|needed|want)\(/g)].flatMap(
    m => {
      const given = args(source.slice(m.index + m[0].length));
      if (m[1] === 'append' && given[0] !== 'ask') return [];
      if (m[1] === 'needed' || m[1] === 'want') return [`want ${words(given[2] ?? '')}`];
      const code = (m[1] === 'care.Errorf' ? given[1] : given[0])?.replaceAll('"', '');
      return NOT_BY_A_FORM.has(code) ? [] : [words(given[CALLS[m[1]]] ?? '')];
    },
  );
}

/** What can stand for a verb: a number, and a name or a date. @param {string} text @returns {string[]} */
const filledIn = text =>
  ['Qqq', '2026-01-02'].map(x =>
    text
      .replaceAll('\\n', '\n')
      .replace(/%\.?\d*[df]/g, '3')
      .replace(/%q/g, `"${x}"`)
      .replace(/%[sv]/g, x),
  );

/** What stays as it is in any language. */
const STAYS =
  /Qqq|HH:MM|YYYY-MM-DD|JPEG|PNG|PDF|MiB|IANA|Europe\/\w+|RFC|smtp|logMAR|UUID|ISO [\d-]+|GB|\bmm\b|wear_from|wear_to|min_hours/g;

for (const lang of ['zh', 'ar'])
  test(`every refusal is heard in ${lang}`, async () => {
    await useLanguage(lang);
    const all = [...new Set(FILES.flatMap(refusals))].filter(w => /[a-z]{3}/.test(w.replace(/%\w/g, '')));
    assert.ok(all.length > 150, `only ${all.length} refusals found: the search for them is broken`);
    const english = (/** @type {string} */ w) => /[A-Za-z]{2,}/.test(refusal(w).replace(STAYS, ''));
    const left = all.filter(w => !ELSEWHERE.has(w) && filledIn(w).every(english)).concat(SAMPLES.filter(english));
    assert.deepEqual(left, []);
  });

test('each fault of many is heard, and its field stays', async () => {
  await useLanguage('zh');
  const said = refusal('min_hours: want 4 to 12 hours; wear_to: want HH:MM between 00:00 and 23:59');
  assert.match(said, /^min_hours: [^a-z]*\nwear_to: HH:MM[^a-z]*$/);
});

test('the server’s words have rows in all languages of the console', async () => {
  const keys = await Promise.all(
    ['es', 'zh', 'ar'].map(async l => Object.keys((await import(`../clinic/text/${l}-server.js`)).said).sort()),
  );
  assert.deepEqual(keys[1], keys[0]);
  assert.deepEqual(keys[2], keys[0]);
});
