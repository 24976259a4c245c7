// One night: what is logged, and adding or changing anything about it.
import { h, useState } from '../../ui/dom.js';
import { Button, Card, Entry, LinkButton } from '../../ui/parts.js';
import { sceneOf, statesOn } from '../app.js';
import { again } from '../model/day.js';
import { fact } from '../model/fold.js';
import { minutesIn } from '../model/past.js';
import { EYES } from '../model/wear.js';
import { go, link } from '../route.js';
import { Differ, Earlier } from './differ.js';
import { Logged } from './logged.js';
import { useWord } from './sore.js';
import { Usual } from './usual.js';

/** @import { Moving, UsualKind } from './usual.js' */
/** @import { ViewProps } from '../frame.js' */

/** @type {[UsualKind, string][]} */
const ADD = [
  ['in', 'kind.insertion'],
  ['out', 'kind.removal'],
  ['care', 'kind.care'],
  ['not', 'kind.not-worn'],
];

/** @param {ViewProps} props */
export function NightView({ app, arg }) {
  const s = app.state;
  const { t } = s.words;
  const [open, setOpen] = useState(/** @type {UsualKind|'note'|''} */ (''));
  if (!/^\d{4}-\d\d-\d\d$/.test(arg)) return h(LinkButton, { href: link('') }, t('nav.today'));
  const n = sceneOf(s).night(arg);
  const minutes = minutesIn(n, s.zone);
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('night.title', { night: s.words.date(arg, { weekday: 'long', day: 'numeric', month: 'long' }) })),
    minutes !== null && h('p', { class: 'lead' }, s.words.span(minutes * 60000)),
    again(n) &&
      h(
        'p',
        { class: 'lead' },
        t('now.asleep.lead', { time: s.words.clock((fact(n, 'insertion/right') ?? fact(n, 'insertion/left')).at) }),
      ),
    h(Differ, { app, night: arg }),
    h(Logged, { app, night: arg, title: t('log.title') }),
    h(Earlier, { app, night: arg }),
    open === 'note'
      ? h(Card, { title: t('night.note') }, h(Note, { app, night: arg, onDone: () => setOpen('') }))
      : open
        ? h(
            Card,
            { title: t(ADD.find(([kind]) => kind === open)?.[1] ?? 'night.add') },
            h(Usual, { app, kind: open, night: arg, eyes: allowed(app, arg), onDone: () => setOpen('') }),
          )
        : h(
            Card,
            { title: t('night.add') },
            h(
              'div',
              { class: 'stack' },
              ADD.map(([kind, key]) =>
                h(Button, { key, wide: true, test: `add-${kind}`, onPress: () => setOpen(kind) }, t(key)),
              ),
              h(Button, { wide: true, test: 'add-note', onPress: () => setOpen('note') }, t('night.note')),
              h(Button, { wide: true, onPress: () => go('supplies') }, t('supplies.started')),
            ),
          ),
  );
}

/** The eyes that are meant of a night: one that might have no lens in it is meant once somebody says so. @param {import('../app.js').App} app @param {string} night */
function allowed(app, night) {
  const states = statesOn(app.state, night);
  const free = EYES.filter(eye => states[eye] === 'none');
  return free.length === 1 ? free[0] : 'both';
}

/**
 * A note for the clinic. What is typed is kept until it is saved, whatever the screen
 * does meanwhile.
 * @param {{app: import('../app.js').App, night: string, edit?: import('../model/entry.js').Entry, moving?: Moving, onDone: () => void}} props
 */
export function Note({ app, night, edit, moving, onDone }) {
  const { t } = app.state.words;
  const word = useWord(app, {
    key: edit?.id ?? `${app.state.wearer}/${night}`,
    begin: edit?.body.text,
    send: async text => {
      const mended = { kind: 'note', body: { text } };
      await (moving?.write(mended) ??
        app.write([{ wearer: app.state.wearer, night, ...mended, ...(edit ? { supersedes: [edit.id] } : {}) }]));
      onDone();
    },
  });
  return h(
    'div',
    { class: 'stack' },
    h(Entry, { ...word.field, id: 'note-text', label: t('night.note'), max: 2000 }),
    word.below(t('save'), 'confirm'),
    h(Button, { kind: 'plain', onPress: onDone }, t('cancel')),
  );
}
