// What the family wrote in its own words, marked until a person of the practice
// has read it: on the alert card, on Today and in the review. Private words are
// read by clinicians alone, and only when asked for.
import * as api from '../api.js';
import { h, useAction, useLayoutEffect, useState } from '../dom.js';
import { day, moment } from '../format.js';
import { say } from '../said.js';
import { language, point, tr } from '../text.js';

/** @typedef {import('../../api/types.js').components['schemas']['FamilyWords']} FamilyWords */

/** Marked here, before the page has it; the same words may stand on it twice. @type {Set<string>} */
const marked = new Set();
/** What is shown anew then. @type {Set<() => void>} */
const shown = new Set();

/** Whether somebody has read a word, also just now and here. @param {FamilyWords} w */
export const isRead = w => w.read || marked.has(w.entry);

/**
 * @param {{list: FamilyWords[], wearer: string, of: string, may: boolean, zone: string, lang?: string, done: () => void}} props of: who the wearer is, may: private words, a clinician; zone: of the times, "" for dates
 */
export function Words({ list, wearer, of, may, zone, lang, done }) {
  const [, again] = useState(0);
  const [texts, setTexts] = useState(/** @type {Record<string, string>} */ ({}));
  const action = useAction();
  useLayoutEffect(() => {
    const turn = () => again(n => n + 1);
    shown.add(turn);
    return () => void shown.delete(turn);
  }, []);
  const unread = list.filter(w => !isRead(w));
  const seen = unread.filter(w => !w.private || texts[w.entry] !== undefined);
  const mark = () =>
    action.run(async () => {
      await api.markRead(
        wearer,
        seen.map(w => w.entry),
      );
      for (const w of seen) marked.add(w.entry);
      for (const turn of shown) turn();
      say(`${reading}${point(': ')}${of}.`);
      done();
    });
  const show = () =>
    action.run(async () => {
      const { words } = await api.privateWords(wearer);
      setTexts(Object.fromEntries(words.map(w => [w.id, w.text])));
    });
  const reading = seen.length > 1 ? tr('I have read these {n}', { n: seen.length }) : tr('I have read this');
  const hidden = list.some(w => w.private && texts[w.entry] === undefined);
  return h(
    'div',
    { class: 'words' },
    list.map(w =>
      h(
        'blockquote',
        { key: w.entry, 'data-test': 'words', class: unread.includes(w) ? 'unread' : '', lang: lang || undefined },
        unread.includes(w) &&
          h('strong', { class: 'tag', lang: language().tag, 'data-test': 'unread' }, tr('Not read yet')),
        ' ',
        h('span', { dir: 'auto' }, w.private ? (texts[w.entry] ?? w.text) : `“${w.text}”`),
        ' ',
        h(
          'footer',
          { class: 'quiet', lang: language().tag },
          [
            w.private && tr('private'),
            w.by,
            zone ? moment(w.at, zone) : day(w.on),
            w.taken_back && tr('taken back by the family since'),
            w.read && tr('read by {read_by}', { read_by: w.read_by || tr('somebody') }),
          ]
            .filter(Boolean)
            .join(point(', ')),
        ),
      ),
    ),
    hidden &&
      may &&
      h(
        'button',
        {
          type: 'button',
          'data-test': 'show-private',
          'aria-label': `${tr('Show private words')}${point(': ')}${of}`,
          disabled: action.busy,
          onClick: show,
        },
        tr('Show private words'),
      ),
    seen.length > 0 &&
      h(
        'button',
        {
          type: 'button',
          'data-test': 'mark-read',
          'aria-label': `${reading}${point(': ')}${of}`,
          disabled: action.busy,
          onClick: mark,
        },
        reading,
      ),
    action.error && h('p', { class: 'field-error', role: 'alert' }, action.error.message),
  );
}
