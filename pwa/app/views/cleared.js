// Said when this phone found its log cleared: what is back, what only it had,
// and the check of the eyes that is asked for until it is done, because a stop
// that only this phone knew of may be lost.
import { h } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { chooses, wearerOf } from '../app.js';
import { written } from '../model/report.js';
import { go } from '../route.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Cleared({ app }) {
  const s = app.state;
  const { t } = s.words;
  const all = chooses(s) ? (s.family?.wearers ?? []) : [wearerOf(s)].filter(w => !!w);
  const checked = (/** @type {string} */ id) =>
    [...s.records.values()].some(({ entry: e }) => e.kind === 'symptoms' && e.wearer === id && written(e) > s.cleared);
  const left = all.filter(w => !checked(w.id));
  if (!left.length) return null;
  return h(
    Notice,
    { kind: 'alarm', test: 'cleared' },
    h('h2', null, t('cleared.title')),
    h('p', null, t('cleared.back')),
    h('p', null, t('cleared.lost')),
    h('p', null, h('strong', null, t('cleared.wear'))),
    left.map(w =>
      h(
        Button,
        {
          key: w.id,
          kind: 'main',
          wide: true,
          test: 'cleared-check',
          onPress: () => {
            void app.setWearer(w.id);
            go('check');
          },
        },
        t('cleared.check'),
        all.length > 1 && h('bdi', null, ` ${w.name}`),
      ),
    ),
  );
}
