// "Something is wrong" where the family's screens are not: before joining, while
// the log opens, and when it cannot be opened. Nothing can be logged or sent
// there, so it says what is right whatever the answers would be, and to phone.
import { h, useEffect, useLayoutEffect, useRef } from '../../ui/dom.js';
import { Button, Card, Notice } from '../../ui/parts.js';
import { Calls } from './calls.js';

/**
 * @import { App } from '../app.js'
 * @import { Contacts } from '../model/contacts.js'
 */

/** What goes before taking a lens out, and in which case: in short above the numbers, in full below them. */
const FIRST = [
  ['answer.now.chemical', 'rinse-eye'],
  ['answer.now.cut', 'leave-lens'],
];
/** What every other emergency is told, in this order. */
const DO = ['lenses-out', 'no-lens', 'call-now', 'bring'];

/** @param {{app: App, contacts: Contacts|null, onBack: () => void}} props contacts: whom to call, as the server says it to anybody; null: not reached */
export function Outside({ app, contacts, onBack }) {
  const { t, med, reviewed } = app.state.words;
  const title = useRef(/** @type {HTMLElement|null} */ (null));
  useLayoutEffect(() => title.current?.focus(), []);
  useEffect(() => {
    const was = document.title;
    document.title = `${t('wrong.button')} – ${t('app.name')}`;
    return () => {
      document.title = was;
    };
  }, [t]);
  return h(
    'main',
    { class: 'page', 'data-test': 'outside' },
    h(
      'div',
      { class: 'advice-head emergency' },
      h('h1', { tabIndex: -1, ref: title }, med('told.lenses-out')),
      h('p', null, h('strong', null, med('told.call-now'))),
      h('p', null, t('check.caution')),
    ),
    h(
      Notice,
      { kind: 'alarm' },
      FIRST.map(([answer, step]) => h('p', { key: step }, h('strong', null, med(answer)), ' – ', med(`told.${step}`))),
    ),
    contacts
      ? h(Calls, { s: { ...app.state, family: { contacts } }, level: 'emergency' })
      : h(Notice, { kind: 'alarm' }, t('advice.nonumber'), ' ', h('a', { href: '/plain' }, t('start.numbers'))),
    FIRST.map(([answer, step]) =>
      h(
        Notice,
        { kind: 'alarm', key: step },
        h('p', null, h('strong', null, med(answer))),
        h('p', null, med(`action.${step}`)),
      ),
    ),
    h(
      Card,
      { title: t('advice.doing') },
      h(
        'ol',
        { class: 'do' },
        DO.map(a => h('li', { key: a }, h('span', null, med(`action.${a}`)))),
      ),
    ),
    h(
      Notice,
      { kind: 'urgent' },
      ['cannot-see', 'worried', 'local'].map(c => h('p', { key: c }, med(`caution.${c}`))),
    ),
    !reviewed && h('p', { class: 'quiet small' }, t('more.review')),
    h(Button, { wide: true, onPress: onBack, test: 'outside-back' }, t('nav.back')),
  );
}
