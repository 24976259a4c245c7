// What the server says in plain English, in the language of the console: whole
// texts, texts with something filled in, and lists and sentences of these. What
// has no row stays as it came. Free words never go through here.
import { BETWEEN, FAULT } from './faults.js';
import { language, point, tr } from './text.js';

/** Members of answers that hold words the server makes, with the member they stand in; "*" for any. */
const OURS = new Set(
  `alerts.title alert.title closed_before.title last_alert.title episode.headline earlier.headline later.headline seen.sign seen.answer seen.since seen.began episode.denied denied_before.text episode.open episode.began
   told.steps logged.text lenses_in.text alerts.step alert.step contact.relation outcomes.title
   reasons.title reasons.text reasons.evidence order.title order.why
   limits.label limits.unit limits.why not_set.text setup.name setup.title setup.why setup.open
   care.title effect.why growth.why growth.period weekdays.day timeline.text cannot_tell
   doubt.words trust.words danger.title raise.title raise.text stand.why of.why findings.name findings.right findings.left
   points.text points.evidence rules.title changes.what changes.before changes.now changes.text symptoms.words
   found titles practice.notes notes wash_out.word eyes.word`.split(/\s+/),
);

/**
 * An answer of the server with what it says itself in the language of the console.
 * @template T
 * @param {T} answer
 * @returns {T}
 */
export function inOwnWords(answer) {
  return language().tag === 'en' ? answer : /** @type {T} */ (walk(answer, '', ''));
}

/** @param {unknown} x @param {string} outer @param {string} name @returns {unknown} */
function walk(x, outer, name) {
  if (typeof x === 'string') return OURS.has(`${outer}.${name}`) || OURS.has(name) ? heard(x) : x;
  if (Array.isArray(x)) return x.map(y => walk(y, outer, name));
  if (typeof x !== 'object' || x === null) return x;
  return Object.fromEntries(Object.entries(x).map(([k, y]) => [k, walk(y, name, k)]));
}

/** A number with decimals, as the server writes it. */
const FIGURE = /^[−+-]?\d+\.\d+$/;
/** An acuity in its own notation with logMAR behind: "6/7.5−1 (0.12)". */
const ACUITY = /^[\d./−+]+ \([−+]?\d+\.\d+\)$/;

/** What was heard before, in one language. @type {Map<string, string>} */
const known = new Map();
let inTag = '';

/** @param {string} text of the server @returns {string} in the language of the console, as far as there are rows */
export function heard(text) {
  const { tag } = language();
  if (tag === 'en' || !text) return text;
  if (tag !== inTag) {
    known.clear();
    forms = undefined;
    inTag = tag;
  }
  if (FIGURE.test(text) || ACUITY.test(text))
    return text.replaceAll('.', (1.5).toLocaleString(language().locale).charAt(1));
  const was = known.get(text);
  if (was !== undefined) return was;
  const now = whole(text) ?? pattern(text) ?? parts(text) ?? text;
  known.set(text, now);
  return now;
}

/**
 * A refusal, fault by fault: the code of the field before each stays, so that it can
 * be put to its field.
 * @param {string} message
 */
export const refusal = message =>
  message
    .split(BETWEEN)
    .map(line => {
      const m = FAULT.exec(line);
      return m ? `${m[1]}: ${heard(m[2])}` : heard(line);
    })
    .join('\n');

const STOP = /** @type {Record<string, string>} */ ({ zh: '。' });

/** A text that is known as it stands, with or without its full stop and its capital. @param {string} text */
function whole(text) {
  const bare = text.replace(/\.$/, '');
  const { said, rows, tag } = language();
  const lower = bare.charAt(0).toLowerCase() + bare.slice(1);
  const upper = bare.charAt(0).toUpperCase() + bare.slice(1);
  if (typeof said[text] === 'string') return said[text];
  for (const key of [bare, lower, upper]) {
    const row = said[key] ?? rows[key];
    if (typeof row !== 'string') continue;
    const own = key === bare ? row : key === lower ? capital(row) : row.charAt(0).toLowerCase() + row.slice(1);
    return own + (bare === text ? '' : (STOP[tag] ?? '.'));
  }
  return undefined;
}

/** @param {string} text */
const capital = text => text.charAt(0).toUpperCase() + text.slice(1);

/** @type {{key: string, names: string[], form: RegExp}[]|undefined} what is counted first */
let forms;

/** Texts with something filled in: a to n are numbers, d a date. */
function patterns() {
  const made = Object.keys(language().said)
    .filter(k => k.includes('{'))
    .map(key => {
      const names = [...key.matchAll(/\{(\w+)\}/g)].map(m => m[1]);
      const source = key
        .replace(/[.*+?^$()|[\]\\]/g, '\\$&')
        .replace(/\{(\w+)\}/g, (_, n) =>
          n === 'd' ? '(\\d{4}-\\d{2}-\\d{2})' : /^[a-n]$/.test(n) ? '([−+-]?\\d[\\d.,]*)' : '(.+?)',
        );
      return { key, names, form: new RegExp(`^${source}\\.?$`, 'i') };
    });
  const loose = (/** @type {{names: string[]}} */ p) => p.names.filter(n => !/^[a-n]$/.test(n)).length;
  return made.sort((a, b) => loose(a) - loose(b) || b.key.length - a.key.length);
}

/** Whether what stands for a name ends the brackets it begins. @param {string} text */
const bracketed = text => !/^[^(]*\)|\([^)]*$/.test(text);

/** @param {string} text */
function pattern(text) {
  forms ??= patterns();
  for (const { key, names, form } of forms) {
    const m = form.exec(text);
    if (!m || (m[1]?.includes('; ') && !names.includes('z')) || !m.slice(1).every(bracketed)) continue;
    const args = Object.fromEntries(
      names.map((n, i) => {
        if (/^\d+$/.test(m[i + 1]) && n !== 'd') return [n, Number(m[i + 1])];
        // A word that has its capital for standing first has none in another order.
        const small = i === 0 && key.startsWith('{') ? whole(m[1].charAt(0).toLowerCase() + m[1].slice(1)) : undefined;
        return [n, small ?? heard(m[i + 1])];
      }),
    );
    const own = tr(key, args);
    const begun = /^[A-Z]/.test(text) ? capital(own) : own;
    return text.endsWith('.') ? begun + (STOP[language().tag] ?? '.') : begun;
  }
  return undefined;
}

/** Sentences, clauses, a name and what is said of it, a list. @param {string} text */
function parts(text) {
  const sentences = text.split(/(?<=[.?!]) (?=[A-Z])/);
  if (sentences.length > 1) return sentences.map(heard).join(language().tag === 'zh' ? '' : ' ');
  const end = /\.$/.test(text) ? (STOP[language().tag] ?? '.') : '';
  const bare = text.replace(/\.$/, '');
  for (const by of /** @type {const} */ (['; ', ': ', ', '])) {
    const at = by === ': ' ? bare.indexOf(by) : -1;
    const list = by !== ': ' ? bare.split(by) : at < 0 ? [bare] : [bare.slice(0, at), bare.slice(at + 2)];
    if (list.length < 2) continue;
    const own = list.map(heard);
    if (own.some((x, i) => x !== list[i])) return own.join(point(by)) + end;
  }
  return undefined;
}
