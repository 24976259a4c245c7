// Mending one entry: the form it was written with, filled; and, for a slip of the
// night or of the child, the other one.
import { isDate } from '../../../schedule/civil/civil.js';
import { h, useRef, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Card, Choices, Entry, LinkButton, Notice } from '../../ui/parts.js';
import { about, chooses, sceneOf, tonight } from '../app.js';
import { corrects, moves, taken } from '../model/mend.js';
import { go, link } from '../route.js';
import { Evening } from './evening.js';
import { Gone } from './gone.js';
import { closingOf } from './logged.js';
import { Note } from './night.js';
import { Supplies } from './supplies.js';
import { Usual } from './usual.js';

/** @import { App } from '../app.js' */
/** @import { UsualKind } from './usual.js' */
/** @import { ViewProps } from '../frame.js' */

/** @type {Record<string, UsualKind>} */
const FORMS = { insertion: 'in', removal: 'removal', morning: 'morning', care: 'care', 'not-worn': 'not' };

/** @param {ViewProps} props */
export function Edit({ app, arg }) {
  const s = app.state;
  const { t, date } = s.words;
  const [chosen, set] = useState(/** @type {{wearer?: string, night?: string}} */ ({})); // in the fold
  const [fault, setFault] = useState('');
  const went = useRef(false);
  const e = s.records.get(arg)?.entry;
  if (!e || e.wearer !== s.wearer)
    return h('div', { class: 'stack' }, h('p', null, t('log.none')), h(LinkButton, { href: link('') }, t('nav.back')));
  if (e.kind === 'evening-sight') return h(Evening, { app, arg });
  if (e.body.action === 'discarded' && e.body.why) return h(Gone, { app, edit: e });
  if (e.kind === 'supply') return h(Supplies, { app, arg });
  const to = { wearer: chosen.wearer ?? e.wearer, night: chosen.night ?? e.night };
  const moved = to.night !== e.night || to.wearer !== e.wearer;
  /** @param {{kind: string, body: Record<string, any>}} mended */
  const move = async mended => {
    const wrong =
      !isDate(to.night) || to.night > tonight(s)
        ? t('edit.night.fault')
        : taken(sceneOf(about(app, to.wearer).state).night(to.night), e)
          ? t('doubt.taken', { night: date(to.night, { weekday: 'long', day: 'numeric', month: 'long' }) })
          : '';
    setFault(wrong);
    if (wrong) {
      goOn(document.activeElement, '#edit-night');
      throw new Error(''); // it is said at its field
    }
    const entries = await app.write(
      moves(e, to, mended, id => s.records.get(id)?.entry),
      'edit.moved',
    );
    went.current = true;
    return entries;
  };
  const onDone = () => {
    if (!went.current) return go('night', e.night);
    void app.setWearer(to.wearer);
    go('night', to.night);
  };
  const moving = moved ? { ...to, write: move } : undefined;
  const other = e.author !== s.me?.person && corrects(e, s.me?.person ?? '').length === 0;
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('edit.title', { what: t(`kind.${e.kind}`) })),
    h(
      'p',
      { class: 'lead' },
      t('night.title', { night: date(e.night, { weekday: 'long', day: 'numeric', month: 'long' }) }),
    ),
    other && h(Notice, { test: 'edit-other' }, t('edit.other')),
    !other &&
      h(Elsewhere, {
        app,
        to,
        fault,
        choose: more => {
          setFault('');
          set({ ...chosen, ...more });
        },
      }),
    h(
      Card,
      null,
      e.kind === 'note'
        ? h(Note, { app, night: e.night, edit: e, moving, onDone })
        : h(Usual, { app, kind: FORMS[e.kind], night: e.night, edit: e, closing: closingOf(app, e), moving, onDone }),
    ),
  );
}

/**
 * It belongs to another night, or to another child. The form's own button saves it there.
 * @param {{app: App, to: {wearer: string, night: string}, choose: (more: {wearer?: string, night?: string}) => void, fault: string}} props
 */
function Elsewhere({ app, to, choose, fault }) {
  const s = app.state;
  const { t } = s.words;
  return h(
    'details',
    { class: 'card' },
    h('summary', { class: 'summary', 'data-test': 'edit-elsewhere' }, t('edit.elsewhere')),
    h(
      'div',
      { class: 'stack' },
      h(Entry, {
        id: 'edit-night',
        type: 'date',
        label: t('edit.night'),
        value: to.night,
        onInput: night => choose({ night }),
        fault,
      }),
      chooses(s) &&
        Choices({
          legend: t('edit.child'),
          value: to.wearer,
          onPick: wearer => choose({ wearer }),
          test: id => `edit-child-${id}`,
          options: (s.family?.wearers ?? []).map(w => [w.id, w.name]),
        }),
    ),
  );
}
