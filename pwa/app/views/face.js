// Which side is which: a face with its two eyes named, as the person who looks at
// it sees them. Whoever faces a child has the child's right eye on their left; a
// teen before a mirror has it on the right.
import { h } from '../../ui/dom.js';
import { Notice } from '../../ui/parts.js';
import { eyesSeen, wearerOf } from '../app.js';
import { c, p, svg } from '../draw.js';

/** @import { ViewProps } from '../frame.js' */

const EYE = 'c5-8 10-11 16-11s11 3 16 11c-5 8-10 11-16 11s-11-3-16-11z';

/** @param {{app: import('../app.js').App}} props */
export function Face({ app }) {
  const s = app.state;
  const { t } = s.words;
  const wearer = wearerOf(s);
  if (!wearer) return null;
  const sides = eyesSeen(s);
  const mirror = sides[0] === 'left';
  return h(
    'figure',
    { class: 'face', 'data-test': 'face', 'data-first': sides[0] },
    h('figcaption', { class: 'quiet small' }, t(mirror ? 'face.mirror' : 'face.facing', { name: wearer.name })),
    svg(
      '0 0 160 84',
      [
        p('M20 80c-14-50 20-76 60-76s74 26 60 76'),
        p(`M34 44${EYE}`),
        p(`M94 44${EYE}`),
        c(50, 44, 5),
        c(110, 44, 5),
        p('M80 50v14l-6 3'),
      ],
      'drawing',
    ),
    h(
      'div',
      { class: 'sides', dir: 'ltr' }, // the drawing is not turned round by a language
      sides.map(side => h('span', { key: side, dir: 'auto' }, t(side === 'left' ? 'eye.Left' : 'eye.Right'))),
    ),
  );
}

/**
 * Why the eye check opens when a lens went in before its peroxide was safe, and what to do
 * before the questions.
 * @param {ViewProps} props
 */
export function Soaked({ app }) {
  const { t, med } = app.state.words;
  return h(
    Notice,
    { kind: 'alarm', test: 'soaked' },
    h('p', null, h('strong', null, med('rule.peroxide-short.family'))),
    h('p', null, t('soaked.what')),
    h('p', null, t('soaked.felt', { answer: med('answer.now.chemical') })),
    h('p', null, t('soaked.calm')),
  );
}
