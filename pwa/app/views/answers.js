// What nobody waits for in an advice: what was answered, and where the steps come
// from.
import { h, useEffect, useState } from '../../ui/dom.js';
import { Choices, More } from '../../ui/parts.js';
import { outcome, written } from '../model/report.js';
import { go } from '../route.js';

/** @import { App } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */

/** @param {{app: App, arg: string}} props arg: id of the report */
export function Answers({ app, arg }) {
  const e = app.state.records.get(arg)?.entry;
  return e && [h(WhichEye, { app, e }), h(Said, { app, e })];
}

/**
 * The worst is said before any eye is named; which it is can be said once the advice
 * is there, and stands beside the report.
 * @param {{app: App, e: Entry}} props
 */
function WhichEye({ app, e }) {
  const { t } = app.state.words;
  const { now, right, left } = e.body;
  if (right || left || !now || now === 'none') return null;
  /** @param {string} eye */
  const pick = async eye => {
    const named = eye === 'both' ? { right: {}, left: {} } : { [eye]: {}, other: 'unknown' };
    const [next] = await app.write([{ wearer: e.wearer, kind: 'symptoms', body: { now, ...named } }], '');
    go('advice', next.id);
  };
  return Choices({
    legend: t('advice.which'),
    value: '',
    across: true,
    onPick: eye => void pick(eye),
    test: eye => `which-${eye}`,
    options: ['right', 'left', 'both'].map(eye => [eye, t(`eye.${eye[0].toUpperCase()}${eye.slice(1)}`)]),
  });
}

/** What was answered. @param {{app: App, e: Entry}} props */
function Said({ app, e }) {
  const s = app.state;
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
