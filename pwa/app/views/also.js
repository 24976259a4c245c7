// What else is open today, below the one thing to do now, and the form in the place of
// its button. Fetched after the start.
import { h, useState } from '../../ui/dom.js';
import { Button, Card, LinkButton } from '../../ui/parts.js';
import { sceneOf } from '../app.js';
import { soak } from '../model/day.js';
import { link } from '../route.js';
import { deedOf, eyesIn, Look, panelTitle, soakLead, USUAL } from './home.js';
import { Usual } from './later.js';

/** @import { App } from '../app.js' */
/** @import { Task } from '../model/day.js' */
/** @import { UsualKind } from './usual.js' */

/** @param {{app: App, list: Task[]}} props */
export const AlsoToday = ({ app, list }) =>
  h(
    Card,
    { title: app.state.words.t('now.also') },
    h(
      'div',
      { class: 'stack' },
      list.map(x => h(Also, { app, task: x, key: x.kind })),
    ),
  );

/** The form in the place of the button that opened it. @param {{app: App, task: Task, kind: UsualKind, onDone: () => void}} props */
export const Panel = ({ app, task, kind, onDone }) =>
  h(
    'section',
    { class: 'stack', 'data-test': 'panel' },
    h('h3', null, panelTitle(app, kind, task)),
    h(Usual, { app, kind, night: task.night, eyes: eyesIn(app, task), again: true, onDone }),
  );

/** What else is open. @param {{app: App, task: Task}} props */
export function Also({ app, task }) {
  const [open, setOpen] = useState(/** @type {UsualKind|''} */ (''));
  const { t } = app.state.words;
  const usual = USUAL[task.kind];
  if (open) return h('div', null, h(Panel, { app, task, kind: open, onDone: () => setOpen('') }));
  if (task.kind === 'look')
    return h(
      'div',
      { class: 'stack' },
      h('p', null, t('now.look.title')),
      h(Look, { app, night: task.night, onNot: () => setOpen('morning') }),
    );
  if (task.kind === 'evening')
    return h(LinkButton, { href: link('evening'), wide: true, test: 'evening' }, t('now.evening.button'));
  if (!usual) return h('p', null, t(`now.${task.kind}.lead`));
  const wait = task.kind === 'in' ? soak(sceneOf(app.state)) : null;
  if (wait?.ready && wait.ready > app.state.now) return h('p', null, soakLead(app.state, wait));
  // In a part of its own, so that the focus finds the form's heading and no other (`keepFocus`).
  return h(
    'div',
    null,
    h(
      Button,
      { wide: true, test: usual.test, onPress: () => setOpen(usual.usual) },
      task.kind === 'missed' ? `${t('now.missed.title')} ${deedOf(app, task)}` : deedOf(app, task),
    ),
  );
}
