// Every text of a language beside the English, as somebody who reads it for the
// first time needs it: where it stands, and what a fault in it could do; what
// may cost an eye comes first. Pure but for fetching the words.
import medical from '../../../alerts/texts.json' with { type: 'json' };
import { ENGLISH, loadCards } from './cards.js';
import { en } from './en/words.js';
import { enLater } from './en/later.js';
import { MANUAL } from './en/manual.js';
import { PAPER } from './en/paper.js';
import { DUE, WORDS } from './en/push.js';

/** @typedef {'emergency'|'care'|'other'} Risk */
/** @typedef {{key: string, place: string, risk: Risk, english: string, text: string}} Line text: "" where there is none */

/** Where a text stands, by the beginning of its key, in the order of reading; and what a fault in it could do. @type {[string, string, Risk][]} */
const PLACES = [
  ['med.sign.', 'Eye check: a question', 'emergency'],
  ['med.answer.', 'Eye check: an answer', 'emergency'],
  ['check.', 'Eye check', 'emergency'],
  ['began.', 'Eye check: since when', 'emergency'],
  ['face.', 'Eye check: which eye', 'emergency'],
  ['med.told.', 'Advice: its headline', 'emergency'],
  ['med.level.', 'Advice: its headline', 'emergency'],
  ['med.action.', 'Advice: a step', 'emergency'],
  ['med.rule.', 'Advice and log: why', 'emergency'],
  ['med.caution.', 'Advice: a caution', 'emergency'],
  ['med.delay.', 'Advice: how long ago', 'emergency'],
  ['advice.', 'Advice', 'emergency'],
  ['rinse.', 'Advice: rinsing', 'emergency'],
  ['delivery.', 'Advice: does the clinic have it', 'emergency'],
  ['wrong.', 'Red button on every screen', 'emergency'],
  ['wear.', 'First screen: no lens', 'emergency'],
  ['against.', 'First screen: no lens', 'emergency'],
  ['said.', 'First screen: from the clinic', 'emergency'],
  ['phrase.', 'From the clinic: a sentence', 'emergency'],
  ['answers.', 'Answers to a report', 'emergency'],
  ['outside.', 'Examined elsewhere', 'emergency'],
  ['aged.', 'Old advice', 'emergency'],
  ['cleared.', 'The log was cleared', 'emergency'],
  ['paper.', 'Sheet for the fridge', 'emergency'],
  ['push.', 'Notification', 'emergency'],
  ['manual.f.', 'Manual of the family', 'emergency'],
  ['manual.', 'Manual', 'care'],
  ['now.', 'First screen: what to do now', 'care'],
  ['look.', 'First screen: how the eyes are', 'care'],
  ['out.', 'Lenses out', 'care'],
  ['moved.', 'Lenses out', 'care'],
  ['comfort.', 'Lenses out', 'care'],
  ['redness.', 'Lenses out', 'care'],
  ['care.', 'Cleaning', 'care'],
  ['guide.', 'Step by step', 'care'],
  ['help.', 'Help', 'care'],
  ['expect.', 'What to expect', 'care'],
  ['supplies.', 'Supplies', 'care'],
  ['plan.', 'Plan', 'care'],
  ['pause.', 'Pause', 'care'],
  ['outlook.', 'Progress: the usual course', 'care'],
];

const place = (/** @type {string} */ key) =>
  PLACES.find(([start]) => key.startsWith(start)) ?? ['', `App: ${key.split('.')[0]}`, /** @type {Risk} */ ('other')];

/** @param {string} lang a tag @returns {Promise<Record<string, string>>} every text of a language by its key */
async function textsOf(lang) {
  const [{ words }, push, paper, manual, cards] = await Promise.all([
    import(`./${lang}/words.js`),
    import(`./${lang}/push.js`),
    import(`./${lang}/paper.js`),
    import(`./${lang}/manual.js`),
    loadCards(lang),
  ]);
  return {
    ...words,
    ...named('push.', { ...push.WORDS, ...push.DUE }),
    ...named('paper.', paper.PAPER),
    ...named('manual.', manual.MANUAL),
    ...lines(cards),
  };
}

/** @param {string} start @param {Record<string, string>} words */
const named = (start, words) => Object.fromEntries(Object.entries(words).map(([k, v]) => [start + k, v]));

/** The lines of cards, by card. @param {import('./cards.js').HelpCard[]} cards */
const lines = cards =>
  Object.fromEntries(
    cards.flatMap(c => [
      [`card.${c.id}`, c.title],
      ...c.do.map((x, i) => [`card.${c.id}.do.${i + 1}`, x]),
      ...c.dont.map((x, i) => [`card.${c.id}.dont.${i + 1}`, x]),
    ]),
  );

/**
 * Every text that a family can read, in the order of reading.
 * @param {string} lang a tag; English is its own translation
 * @returns {Promise<Line[]>}
 */
export async function readersList(lang) {
  const family = Object.entries(/** @type {Record<string, any>} */ (medical.texts)).filter(
    ([k]) => !k.endsWith('.clinic') && !k.startsWith('state.'),
  );
  const english = {
    ...named('med.', Object.fromEntries(family.map(([k, v]) => [k, v.text ?? v]))),
    ...en,
    ...enLater,
    ...named('push.', { ...WORDS, ...DUE }),
    ...named('paper.', PAPER),
    ...named('manual.', MANUAL),
    ...lines(ENGLISH),
  };
  const own = lang === 'en' ? english : await textsOf(lang);
  const urgent = new Set(ENGLISH.filter(c => c.group === 'urgent').map(c => c.id));
  /** @param {string} key @returns {Line} */
  const line = key => {
    const text = own[key] === undefined ? '' : own[key];
    const base = english[key] ?? english[key.replace(/\.\w+$/, '')];
    if (key.startsWith('card.')) {
      const sick = urgent.has(key.split('.')[1]);
      return { key, place: 'Help card', risk: sick ? 'emergency' : 'care', english: base, text };
    }
    const [, where, risk] = place(key);
    return { key, place: where, risk, english: base, text };
  };
  const rank = (/** @type {Line} */ l) =>
    ['emergency', 'care', 'other'].indexOf(l.risk) * 1000 +
    ((PLACES.findIndex(([start]) => l.key.startsWith(start)) + 1000) % 1000);
  const keys = [...new Set([...Object.keys(english), ...Object.keys(own)])].filter(
    k => own[k] !== undefined || !/\.one$/.test(k),
  );
  return keys.map(line).sort((a, b) => rank(a) - rank(b));
}

/** Who has read the medical texts of a language, or "". @param {string} lang @returns {Promise<string>} */
export const readerOf = async lang => (lang === 'en' ? 'the source' : (await import(`./${lang}/words.js`)).REVIEWER);
