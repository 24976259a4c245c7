// Mending one entry: the form it was written with, filled; and, for a slip of the
// night or of the child, the other one.
import { isDate } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Card, Choices, Entry, LinkButton, Notice } from '../../ui/parts.js';
import { about, chooses, sceneOf, tonight } from '../app.js';
import { corrects, forms, taken } from '../model/mend.js';
import { go, link } from '../route.js';
import { Evening } from './evening.js';
import { Note } from './night.js';
import { Supplies } from './supplies.js';
import { Usual } from './usual.js';

/** @import { App } from '../app.js' */
/** @import { Entry as LogEntry } from '../model/entry.js' */
/** @import { UsualKind } from './usual.js' */
/** @import { ViewProps } from '../frame.js' */

/** @type {Record<string, UsualKind>} */
const FORMS = { insertion: 'in', removal: 'removal', morning: 'morning', care: 'care', 'not-worn': 'not' };

/** @param {ViewProps} props */
export function Edit({ app, arg }) {
  const s = app.state;
  const { t, date } = s.words;
  const e = s.records.get(arg)?.entry;
  if (!e || e.wearer !== s.wearer)
    return h('div', { class: 'stack' }, h('p', null, t('log.none')), h(LinkButton, { href: link('') }, t('nav.back')));
  const done = () => go('night', e.night);
  if (e.kind === 'evening-sight') return h(Evening, { app, arg });
  if (e.kind === 'supply') return h(Supplies, { app, arg });
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
      ? h(Note, { app, night: e.night, edit: e, onDone: done })
      : h(Card, null, h(Usual, { app, kind: FORMS[e.kind], night: e.night, edit: e, onDone: done })),
    !other && h(Elsewhere, { app, e }),
  );
}

/** It belongs to another night, or to another child. @param {{app: App, e: LogEntry}} props */
function Elsewhere({ app, e }) {
  const s = app.state;
  const { t } = s.words;
  const [night, setNight] = useState(e.night);
  const [wearer, setWearer] = useState(e.wearer);
  const [fault, setFault] = useState('');
  const moved = night !== e.night || wearer !== e.wearer;
  const save = async () => {
    if (!isDate(night) || night > tonight(s)) return setFault(t('edit.night.fault'));
    if (taken(sceneOf(about(app, wearer).state).night(night), e))
      return setFault(
        t('doubt.taken', { night: s.words.date(night, { weekday: 'long', day: 'numeric', month: 'long' }) }),
      );
    /** @type {import('../model/entry.js').Draft[]} */
    const drafts =
      wearer === e.wearer
        ? [{ wearer, night, kind: e.kind, body: e.body, supersedes: [e.id] }]
        : [
            { wearer, night, kind: e.kind, body: e.body },
            ...forms(e, id => s.records.get(id)?.entry).map(id => ({
              wearer: e.wearer,
              night: e.night,
              kind: 'retraction',
              retracts: id,
              body: {},
            })),
          ];
    try {
      await app.write(drafts, 'edit.moved');
      await app.setWearer(wearer);
      go('night', night);
    } catch (err) {
      setFault(err instanceof Error ? err.message : String(err));
    }
    return undefined;
  };
  return h(
    'details',
    { class: 'card' },
    h('summary', { class: 'summary', 'data-test': 'edit-elsewhere' }, t('edit.elsewhere')),
    h(
      'div',
      { class: 'stack' },
      h(Entry, { id: 'edit-night', type: 'date', label: t('edit.night'), value: night, onInput: setNight, fault }),
      chooses(s) &&
        Choices({
          legend: t('edit.child'),
          value: wearer,
          onPick: setWearer,
          test: id => `edit-child-${id}`,
          options: (s.family?.wearers ?? []).map(w => [w.id, w.name]),
        }),
      moved && h(Button, { kind: 'main', wide: true, test: 'edit-move', onPress: () => void save() }, t('edit.move')),
    ),
  );
}
