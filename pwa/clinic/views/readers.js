// Every text of a language beside the English, for whoever reads it first: where
// it stands, what a fault in it could do, and a box for who has read it. For paper.
import { h, Trouble, useLoad } from '../dom.js';
import { link } from '../route.js';
import { LANGUAGES, rowOf } from '../../app/text/text.js';
import { ENGLISH, textsOf, tr } from '../text.js';

/** @import { Route } from '../route.js' */
/** @import { Line } from '../../app/text/list.js' */

const RISKS = /** @type {const} */ ({
  emergency: tr('Emergency: a fault here may cost an eye'),
  care: tr('Care: a fault here may harm an eye in time'),
  other: tr('Everything else'),
});

/** The console's own texts of a language, none where it has none. @param {string} tag @returns {Promise<Line[]>} */
async function consoleLines(tag) {
  const text = (/** @type {import('../text.js').Text} */ row) =>
    typeof row === 'string' ? row : [...new Set(Object.values(row))].join(' / ');
  return (await textsOf(tag)).map(([place, english, row]) => ({
    key: `console.${english}`,
    place,
    risk: 'care',
    english,
    text: text(row),
  }));
}

/** @param {string} tag */
async function load(tag) {
  const { readersList, readerOf } = await import('../../app/text/list.js');
  return { tag, lines: [...(await readersList(tag)), ...(await consoleLines(tag))], reader: await readerOf(tag) };
}

/** @param {{route: Route}} props */
export function Readers({ route }) {
  const others = LANGUAGES.slice(1);
  const tag = others.some(([code]) => code === route.arg) ? route.arg : others[0][0];
  const got = useLoad(() => load(tag), tag);
  const ready = got.data?.tag === tag ? got.data : undefined;
  return h(
    'div',
    { class: 'readers', 'data-test': 'readers' },
    h('h1', null, tr('For readers')),
    h(
      'div',
      { class: 'no-print buttons' },
      h(
        'label',
        null,
        tr('Language '),
        h(
          'select',
          {
            value: tag,
            'data-test': 'readers-lang',
            onChange: (/** @type {Event} */ e) => {
              location.hash = link('readers', /** @type {HTMLSelectElement} */ (e.target).value);
            },
          },
          others.map(([code, name]) => h('option', { value: code, key: code, lang: rowOf(code).locale }, name)),
        ),
      ),
      h('button', { type: 'button', class: 'primary', onClick: () => print() }, tr('Print')),
    ),
    h(Trouble, { error: got.error, busy: !ready, retry: got.reload }),
    ready && h(State, { tag, reader: ready.reader, lines: ready.lines }),
    ready &&
      Object.entries(RISKS).map(([risk, words]) =>
        h(Risk, { key: risk, tag, title: words, lines: ready.lines.filter(l => l.risk === risk) }),
      ),
  );
}

/** Whether anybody has read it, as the app says too. @param {{tag: string, reader: string, lines: Line[]}} props */
function State({ tag, reader, lines }) {
  const missing = lines.filter(l => !l.text).length;
  return h(
    'p',
    { 'data-test': 'readers-state' },
    rowOf(tag).draft ? tr('A draft: no practice offers it. ') : '',
    reader
      ? tr('Read by {reader}. ', { reader })
      : tr('Nobody who speaks the language has read these words yet; the app says so to families. '),
    tr('{n} of {n2} texts are there. ', { n: lines.length - missing, n2: lines.length }),
    tr('Read aloud, in this order. Mark what is wrong; date and sign each part. Words in braces are filled in.'),
  );
}

/** @param {{tag: string, title: string, lines: Line[]}} props */
function Risk({ tag, title, lines }) {
  const places = [...new Set(lines.map(l => l.place))];
  return h(
    'section',
    null,
    h('h2', null, title),
    places.map(place =>
      h(
        'table',
        { key: place },
        h(
          'caption',
          null,
          h('strong', ENGLISH, place),
          h('span', { class: 'sign' }, tr('Read by, on: '), h('i', null)),
        ),
        h(
          'thead',
          null,
          h(
            'tr',
            null,
            h('th', { scope: 'col' }, tr('English')),
            h('th', { scope: 'col', lang: rowOf(tag).locale }, rowOf(tag).name),
          ),
        ),
        h(
          'tbody',
          null,
          lines
            .filter(l => l.place === place)
            .map(l =>
              h(
                'tr',
                { key: l.key, 'data-key': l.key },
                h('td', ENGLISH, l.english),
                h('td', { lang: rowOf(tag).locale, dir: rowOf(tag).dir }, l.text || '–'),
              ),
            ),
        ),
      ),
    ),
  );
}
