// A sight test or an evening that fell far: the eye check is offered until it is done.
// Fetched after the start.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { chooses, kept, looksAtRecord, mine, wearerOf } from '../app.js';
import { lastEveningFell, sightFell } from '../model/sight-fell.js';
import { go } from '../route.js';
import { causes } from './wear.js';

/** @import { App, State } from '../app.js' */

/** Each start and each tap asks, so a log is gone through once for as long as it is the same. */
const fallen = kept(looksAtRecord, s => {
  const all = mine(s, s.nights).flatMap(n => n.entries);
  return { tests: sightFell(all, s.now), evening: lastEveningFell(all, s.now) };
});

/** Whether what the child last said of far sight asks for the eye check. @param {State} s */
export const fellOf = s => {
  const { tests, evening } = fallen(s);
  return tests.length > 0 || !!evening;
};

/**
 * On the first screen it leads, unless something holds a lens back: then it stands below
 * that, and not where a check that was begun is offered already.
 * @param {{app: App, at?: 'top'|'below'}} props at: where on the first screen
 */
export function Fell({ app, at }) {
  const s = app.state;
  const { t, date } = s.words;
  const { tests, evening } = fallen(s);
  if (!tests.length && !evening) return null;
  const list = causes(s);
  if (at && (at === 'top') === list.length > 0) return null;
  if (at && list.some(c => s.records.get(c.id)?.entry.kind === 'check-open')) return null;
  const said = [
    ...(tests.length ? [t('kind.acuity-run')] : []),
    ...(evening ? [t('kind.evening-sight') + t('mark.colon') + t(`rating.${evening.body.rating}`)] : []),
  ];
  const check = () => {
    void app.setWearer(s.wearer);
    app.know({ wearer: s.wearer, said: said.join(' · ') }); // why it opens
    go('check');
  };
  return h(
    Notice,
    { kind: 'urgent', test: 'sight-fell' },
    tests.map(({ eye, at, lines }) =>
      h(
        'p',
        { key: eye },
        `${t(`eye.${eye === 'right' ? 'Right' : 'Left'}`)}${t('mark.colon')}${t('kind.acuity-run')}${t('mark.comma')}${date(wallAt(at, s.zone).date)}`,
        h('br', null),
        t('acuity.lines', { n: lines }),
      ),
    ),
    evening &&
      h(
        'p',
        null,
        `${t('kind.evening-sight')}${t('mark.comma')}${date(evening.night)}${t('mark.colon')}${t(`rating.${evening.body.rating}`)}`,
      ),
    h('p', null, h('strong', null, t('acuity.worse'))),
    h(
      Button,
      {
        wide: true,
        test: 'fell-check',
        label: chooses(s) ? `${t('sore.yes')}${t('mark.colon')}${wearerOf(s)?.name}` : undefined,
        onPress: check,
      },
      t('sore.yes'),
    ),
  );
}
