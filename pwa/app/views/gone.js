// Mending the line of what was finished or lost: the day, and of lenses which one.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Choices, Entry, LinkButton, Notice } from '../../ui/parts.js';
import { corrects } from '../model/mend.js';
import { go, link } from '../route.js';

/** @import { App } from '../app.js' */

/** @param {{app: App, edit: import('../model/entry.js').Entry}} props */
export function Gone({ app, edit }) {
  const s = app.state;
  const { t, date } = s.words;
  const was = edit.body;
  const [on, setOn] = useState(was.on);
  const [eye, setEye] = useState(was.eye);
  const [fault, setFault] = useState('');
  const lens = was.item === 'lens';
  const ahead = on > wallAt(s.now, s.zone).date;
  const save = () =>
    ahead || !on
      ? document.getElementById('gone-on')?.focus()
      : app
          .write([
            {
              wearer: edit.wearer,
              night: edit.night,
              kind: 'supply',
              supersedes: corrects(edit, s.me?.person ?? ''),
              body: { ...was, on, ...(lens ? { eye } : {}) },
            },
          ])
          .then(
            () => go('night', edit.night),
            e => setFault(e.message),
          );
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('edit.title', { what: t(`supplies.${was.item}`) + t('mark.comma') + t(`supplies.${was.why}`) })),
    lens &&
      Choices({
        legend: t('lost.which'),
        across: true,
        value: eye,
        onPick: setEye,
        test: e => `lens-eye-${e}`,
        options: ['both', 'right', 'left'].map(e => [e, t(`eye.${e[0].toUpperCase()}${e.slice(1)}`)]),
      }),
    h(Entry, {
      id: 'gone-on',
      type: 'date',
      label: t('gone.on'),
      value: on,
      onInput: setOn,
      fault: ahead ? t('doubt.future', { when: date(on) }) : on ? '' : t('gone.lacks'),
    }),
    h(Button, { kind: 'main', big: true, test: 'confirm', onPress: () => void save() }, t('save')),
    h(LinkButton, { href: link('night', edit.night), kind: 'plain' }, t('cancel')),
    fault && h(Notice, { kind: 'alarm', live: true }, fault),
  );
}
