// What a language needs, from the command line, in the folder pwa:
//   node texts.mjs list TAG       every family text in the order of reading, beside the English
//   node texts.mjs missing TAG    what a language lacks, and what nobody has translated yet
//   node texts.mjs new TAG NAME LOCALE ltr|rtl    the skeleton of a language, as a draft
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { readersList } from './app/text/list.js';

const here = (/** @type {string} */ path) => new URL(path, import.meta.url);

/** @param {string} tag */
async function list(tag) {
  let at = '';
  for (const l of await readersList(tag)) {
    if (l.place !== at) console.log(`\n## ${l.place} (${l.risk})`);
    at = l.place;
    console.log(tag === 'en' ? `${l.text}` : `${l.key}\n  ${l.english}\n  ${l.text || '(missing)'}`);
  }
}

/** @param {string} tag */
async function missing(tag) {
  const all = await readersList(tag);
  const lacks = all.filter(l => !l.text);
  const same = all.filter(l => l.text && l.text === l.english && l.key !== 'app.name' && l.key !== 'push.title');
  for (const l of lacks) console.log(`missing  ${l.risk}  ${l.key}  ${l.english}`);
  for (const l of same) console.log(`English  ${l.risk}  ${l.key}  ${l.english}`);
  console.log(`${all.length - lacks.length - same.length} of ${all.length} texts are there.`);
}

/** One file of a folder: its English values, to be written over. @param {string} head @param {Record<string, unknown>} parts by exported name */
const source = (head, parts) =>
  `// ${head}\n\n${Object.entries(parts)
    .map(([name, value]) => `export const ${name} = ${JSON.stringify(value, null, 2)};\n`)
    .join('\n')}`;

/** @param {string} tag @param {string} name @param {string} locale @param {string} dir */
async function skeleton(tag, name, locale, dir) {
  if (!locale || !['ltr', 'rtl'].includes(dir) || Intl.getCanonicalLocales(tag)[0] !== tag)
    throw new Error('want: new TAG NAME LOCALE ltr|rtl, with BCP 47 tags, such as: new fr Français fr ltr');
  const folder = here(`./app/text/${tag}/`);
  if (existsSync(folder)) throw new Error(`${tag} is there already`);
  const english = await readersList('en');
  const part = (/** @type {string} */ start) =>
    Object.fromEntries(english.filter(l => l.key.startsWith(start)).map(l => [l.key.slice(start.length), l.text]));
  const words = Object.fromEntries(
    english.filter(l => !/^(push|paper|manual|card)\./.test(l.key)).map(l => [l.key, l.text]),
  );
  const { DUE, WORDS } = await import('./app/text/en/push.js');
  const { ENGLISH } = await import('./app/text/cards.js');
  const cards = Object.fromEntries(ENGLISH.map(c => [c.id, { title: c.title, do: c.do, dont: c.dont }]));
  mkdirSync(folder);
  const write = (/** @type {string} */ file, /** @type {string} */ text) => writeFileSync(new URL(file, folder), text);
  write('words.js', source(`${name}: a draft. Name who has read it in REVIEWER.`, { REVIEWER: '', words }));
  write('push.js', source(`What a notification says, in ${name}.`, { WORDS, DUE }));
  write('paper.js', source(`Words of the sheets of paper, in ${name}.`, { PAPER: part('paper.') }));
  write('manual.js', source(`Words of the family's and the staff's manual, in ${name}.`, { MANUAL: part('manual.') }));
  write('cards.js', source(`Help cards in ${name}, line for line after ../cards.js.`, { cards }));
  write('terms.json', '[]\n');
  const rows = here('../alerts/languages.json');
  const was = JSON.parse(readFileSync(rows, 'utf8'));
  const all = [...was, { tag, name, locale, dir, draft: true }];
  writeFileSync(rows, `[\n${all.map(r => `  ${JSON.stringify(r)}`).join(',\n')}\n]\n`);
  console.log(`${tag}: its folder is pwa/app/text/${tag}, its row is in alerts/languages.json, as a draft.`);
}

const [what, ...args] = process.argv.slice(2);
const commands = { list, missing, new: skeleton };
const run = commands[/** @type {keyof typeof commands} */ (what)];
if (!run) {
  console.error('want: list TAG, missing TAG, or new TAG NAME LOCALE ltr|rtl');
  process.exitCode = 2;
} else await /** @type {(...a: string[]) => Promise<void>} */ (run)(...args);
