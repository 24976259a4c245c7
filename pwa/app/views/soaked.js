// Why the eye check opens when a lens went in before its peroxide was safe, and what
// to do before the questions.
import { h } from '../../ui/dom.js';
import { Notice } from '../../ui/parts.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
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
