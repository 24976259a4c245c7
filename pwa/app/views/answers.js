// What nobody waits for in an advice: what was answered, and where the steps come
// from.
import { h, useEffect, useState } from '../../ui/dom.js';
import { More } from '../../ui/parts.js';
import { outcome, written } from '../model/report.js';

/** @import { App } from '../app.js' */

/** @param {{app: App, arg: string}} props arg: id of the report */
export function Answers({ app, arg }) {
  const s = app.state;
  const e = s.records.get(arg)?.entry;
  if (!e) return null;
  const { t, med } = s.words;
  return h(
    More,
    { title: t('advice.answers') },
    e.body.now && e.body.now !== 'none' && h('p', null, med(`answer.now.${e.body.now}`)),
    ['right', 'left']
      .filter(eye => e.body[eye])
      .map(eye =>
        h(
          'div',
          { key: eye },
          h('h3', null, t(`eye.${eye === 'right' ? 'Right' : 'Left'}`)),
          h(
            'ul',
            null,
            Object.entries(e.body[eye]).map(([sign, a]) =>
              h('li', { key: sign }, `${med(`sign.${sign}`)} ${med(`answer.${sign}.${a}`)}`),
            ),
          ),
        ),
      ),
    ['water', 'ill', 'other']
      .filter(sign => e.body[sign])
      .map(sign => h('p', { key: sign }, `${med(`sign.${sign}`)} ${med(`answer.${sign}.${e.body[sign]}`)}`)),
    e.body.note && h('p', null, `“${e.body.note}”`),
    h('p', { class: 'quiet small' }, s.words.moment(written(e), s.zone)),
  );
}

/** Where the steps come from. @param {{app: App, arg: string}} props arg: id of the report */
export function Sources({ app, arg }) {
  const s = app.state;
  const e = s.records.get(arg)?.entry;
  const actions = e ? outcome(e).actions : [];
  const [list, setList] = useState(/** @type {string[]} */ ([]));
  useEffect(() => {
    void import('../text/cards.js').then(m => setList(actions.map(a => m.sourceOf(`action.${a}`)).filter(x => x)));
  }, [actions.join()]);
  return h(
    More,
    { title: s.words.t('advice.sources') },
    h(
      'ul',
      { class: 'small' },
      [...new Set(list)].map(x => h('li', { key: x, lang: 'en', dir: 'ltr' }, x)),
    ),
  );
}
