// The design system on one page: colours with what is written on them, sizes,
// and every component in every kind. For those who work on the app; its words
// are in English only. Address: #/parts.
import { h, useState } from '../../ui/dom.js';
import { Bar, Check } from '../../ui/more-parts.js';
import { Button, Card, Choices, Entry, Level, LinkButton, More, Notice, Told } from '../../ui/parts.js';
import { art, icons } from '../draw.js';
import { marks } from './fortnight.js';
import { quay } from './quay.js';
import { link } from '../route.js';

/** @import { ViewProps } from '../frame.js' */

/** Ground and what is written on it, by token. @type {[string, string][]} */
const PAIRS = [
  ['paper', 'ink'],
  ['card', 'quiet'],
  ['sunk', 'ink'],
  ['card', 'warm'],
  ['strong', 'on-strong'],
  ['alarm', 'on-alarm'],
  ['alarm-soft', 'alarm'],
  ['urgent-soft', 'urgent'],
  ['good-soft', 'good'],
  ['night-soft', 'ink'],
  ['night', 'paper'],
];
/** Lines, by token. */
const LINES = ['line', 'edge', 'focus', 'focus-night', 'focus-turned'];
/** Lengths, by token. */
const LENGTHS = ['touch', 'gap', 'round'];
const SIZES = ['small', 'text', 'big', 'huge'];

/** @param {ViewProps} _ */
export function Parts(_) {
  return h(
    'div',
    { class: 'stack', lang: 'en', dir: 'ltr', 'data-test': 'parts' },
    h('h1', null, 'Parts'),
    h(
      Card,
      { title: 'Colours' },
      h(
        'ul',
        { class: 'plain-list' },
        PAIRS.map(([ground, text]) =>
          h(
            'li',
            {
              key: ground + text,
              style: { background: `var(--${ground})`, color: `var(--${text})`, padding: '0.75rem' },
            },
            `${text} on ${ground}`,
          ),
        ),
      ),
    ),
    h(
      Card,
      { title: 'Lines and lengths' },
      h(
        'ul',
        { class: 'plain-list' },
        LINES.map(line =>
          h('li', { key: line, style: { border: `3px solid var(--${line})`, padding: '0.75rem' } }, line),
        ),
        LENGTHS.map(length =>
          h(
            'li',
            { key: length },
            length,
            h('div', {
              style: {
                inlineSize: `var(--${length})`,
                blockSize: '1rem',
                background: 'var(--strong)',
                boxShadow: 'var(--shadow)',
              },
            }),
          ),
        ),
      ),
    ),
    h(
      Card,
      { title: 'Sizes' },
      SIZES.map(size =>
        h(
          'p',
          { key: size, class: size, style: { fontSize: `var(--${size})` } },
          `${size}: Lenses out when they move freely.`,
        ),
      ),
    ),
    h(
      Card,
      { title: 'Buttons and links' },
      h(
        'div',
        { class: 'stack' },
        h(Button, { kind: 'main', big: true, onPress: () => {} }, 'The one thing to do'),
        h(Button, { kind: 'main', onPress: () => {} }, 'Main'),
        h(Button, { onPress: () => {} }, 'Usual'),
        h(Button, { kind: 'alarm', onPress: () => {} }, 'Alarm'),
        h(Button, { kind: 'plain', onPress: () => {} }, 'Plain'),
        h(Button, { disabled: true, onPress: () => {} }, 'Not now'),
        h(LinkButton, { href: link('parts') }, 'A link'),
      ),
    ),
    h(Forms, null),
    h(
      Card,
      { title: 'Notices and levels' },
      h(
        'div',
        { class: 'stack' },
        h(Notice, null, 'A notice'),
        h(Told, { cls: 'small' }, 'Read out'),
        h(Notice, { kind: 'good' }, 'Good'),
        h(Notice, { kind: 'urgent' }, 'Urgent'),
        h(Notice, { kind: 'alarm' }, 'Alarm'),
        h(
          'div',
          { class: 'row' },
          /** @type {const} */ (['emergency', 'urgent', 'routine', 'note']).map(l => h(Level, { key: l, level: l }, l)),
        ),
        h(Bar, { share: 0.4, label: 'two fifths' }),
        h(More, { title: 'More of it' }, h('p', null, 'What was folded away.')),
      ),
    ),
    h(
      Card,
      { title: 'Drawings' },
      h(
        'div',
        { class: 'row' },
        Object.values(icons).map((draw, i) => h('span', { key: i, class: 'chip-icon' }, draw())),
        Object.values(marks).map((draw, i) => h('span', { key: i, class: 'chip-icon' }, draw())),
      ),
      h(
        'div',
        { class: 'row' },
        [1, 2, 3, 4, 5].map(n => h('span', { key: n, style: { inlineSize: '8rem' } }, quay(n))),
        Object.values(art).map((draw, i) => h('span', { key: i, style: { inlineSize: '6rem' } }, draw())),
      ),
    ),
  );
}

/** A choice, a check and two fields that work. */
function Forms() {
  const [eye, setEye] = useState('both');
  const [on, setOn] = useState(true);
  const [text, setText] = useState('');
  return h(
    Card,
    { title: 'Questions' },
    h(
      'div',
      { class: 'stack' },
      Choices({
        legend: 'Which eye?',
        across: true,
        value: eye,
        onPick: setEye,
        options: [
          ['both', 'Both eyes'],
          ['right', 'Right eye'],
          ['left', 'Left eye'],
        ],
      }),
      h(Check, { label: 'Lenses moved freely', checked: on, onChange: setOn }),
      h(Entry, { id: 'parts-text', label: 'A field', hint: 'with a hint', value: text, onInput: setText }),
      h(Entry, {
        id: 'parts-fault',
        label: 'A field with a fault',
        fault: 'what is wrong',
        value: text,
        onInput: setText,
      }),
    ),
  );
}
