// Mending one entry: the form it was written with, filled; and, for a slip of the
// night or of the child, the other one.
import { isDate } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Card, Choices, Entry, LinkButton, Notice } from '../../ui/parts.js';
import { about, chooses, sceneOf, tonight } from '../app.js';
import { corrects, moves, taken } from '../model/mend.js';
import { go, link } from '../route.js';
import { Evening } from './evening.js';
import { Gone } from './gone.js';
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
  const [chosen, choose] = useState(/** @type {{wearer?: string, night?: string}} */ ({})); // in the fold
  const e = s.records.get(arg)?.entry;
  if (!e || e.wearer !== s.wearer)
    return h('div', { class: 'stack' }, h('p', null, t('log.none')), h(LinkButton, { href: link('') }, t('nav.back')));
  const done = () => go('night', e.night);
  if (e.kind === 'evening-sight') return h(Evening, { app, arg });
  if (e.body.action === 'discarded' && e.body.why) return h(Gone, { app, edit: e });
  if (e.kind === 'supply') return h(Supplies, { app, arg });
  const to = { wearer: chosen.wearer ?? e.wearer, night: chosen.night ?? e.night };
  const moved = to.night !== e.night || to.wearer !== e.wearer;
  /** @param {{kind: string, body: Record<string, any>}} mended */
  const move = async mended => {
    if (!isDate(to.night) || to.night > tonight(s)) throw new Error(t('edit.night.fault'));
    if (taken(sceneOf(about(app, to.wearer).state).night(to.night), e))
      throw new Error(t('doubt.taken', { night: date(to.night, { weekday: 'long', day: 'numeric', month: 'long' }) }));
    return app.write(
      moves(e, to, mended, id => s.records.get(id)?.entry),
      'edit.moved',
    );
  };
  const leave = async () => {
    await app.setWearer(to.wearer);
    go('night', to.night);
  };
  // What is chosen in the fold goes for the form's own button as well.
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
    e.kind === 'note'
      ? h(Card, null, h(Note, { app, night: e.night, edit: e, moving, onDone: moved ? () => void leave() : done }))
      : h(
          Card,
          null,
          h(Usual, {
            app,
            kind: FORMS[e.kind],
            night: e.night,
            edit: e,
            moving,
            onDone: moved ? () => void leave() : done,
          }),
        ),
    !other &&
      h(Elsewhere, {
        app,
        to,
        choose: more => choose({ ...chosen, ...more }),
        move: moved ? () => move(e).then(leave) : undefined,
      }),
  );
}

/**
 * It belongs to another night, or to another child.
 * @param {{app: App, to: {wearer: string, night: string}, choose: (more: {wearer?: string, night?: string}) => void, move?: () => Promise<void>}} props move: once another is chosen
 */
function Elsewhere({ app, to, choose, move }) {
  const s = app.state;
  const { t } = s.words;
  const [fault, setFault] = useState('');
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
      move &&
        h(
          Button,
          {
            kind: 'main',
            wide: true,
            test: 'edit-move',
            onPress: () => void move().catch(err => setFault(err.message)),
          },
          t('edit.move'),
        ),
    ),
  );
}
