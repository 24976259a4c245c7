// Evening sight: five pictures of one scene, from out of focus to sharp. A child
// points at what the world looks like.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Button, Choices, Entry, LinkButton, Notice } from '../../ui/parts.js';
import { sceneOf, tonight } from '../app.js';
import { hoursOut } from '../model/past.js';
import { SCALE } from '../model/defocus.js';
import { corrects, unchanged } from '../model/mend.js';
import { written } from '../model/report.js';
import { go, link } from '../route.js';
import { eveningFell } from '../model/sight-fell.js';
import { quay } from './quay.js';
import { checkBegun } from './sore.js';

/** @import { ViewProps } from '../frame.js' */

/**
 * @param {ViewProps} props arg: id of the entry that is mended; without, sight is rated now: a second
 * answer of the same evening takes the place of the first, and nothing of that one is filled in
 */
export function Evening({ app, arg }) {
  const s = app.state;
  const { t } = s.words;
  const mended = s.records.get(arg)?.entry;
  const earlier = sceneOf(s)
    .night(tonight(s))
    ?.entries.find(e => e.kind === 'evening-sight' && e.author === s.me?.person);
  const edit = mended ?? earlier;
  const was = mended?.body ?? {};
  const [rating, setRating] = useState(was.rating ?? 0);
  const [hours, setHours] = useState(() => String((mended ? was.hours_since_removal : hoursOut(sceneOf(s))) ?? ''));
  const [halos, setHalos] = useState(/** @type {string|undefined} */ (was.halos));
  const [spectacles, setSpectacles] = useState(/** @type {boolean|undefined} */ (was.spectacles));
  const [fault, setFault] = useState('');
  const [more, setMore] = useState(() => was.spectacles !== undefined || !!was.halos); // what was said before is shown
  const n = Number(hours);
  const wrong = hours !== '' && !(n >= 0 && n <= 24);
  const night = edit?.night ?? tonight(s);
  const all = [...s.nights.values()].filter(x => x.wearer === s.wearer).flatMap(x => x.entries);
  const fell = !mended && rating > 0 && spectacles !== true && eveningFell(all, { night, rating });
  const said = (/** @type {number} */ n) => t('kind.evening-sight') + t('mark.colon') + t(`rating.${n}`);
  const save = async (check = false) => {
    if (wrong) {
      setMore(true);
      // Somebody may have closed what was opened for them.
      document.querySelector('#hours')?.closest('details')?.setAttribute('open', '');
      return goOn(document.activeElement, '#hours');
    }
    /** @type {Record<string, unknown>} */
    const body = { rating, scale: SCALE };
    if (hours !== '') body.hours_since_removal = n;
    if (halos) body.halos = halos;
    if (spectacles !== undefined) body.spectacles = spectacles;
    const draft = {
      wearer: s.wearer,
      kind: 'evening-sight',
      body,
      ...(edit ? { night: edit.night, supersedes: corrects(edit, s.me?.person ?? '') } : {}),
    };
    try {
      if (!(mended && unchanged(mended, [draft], s.zone))) await app.write([draft]);
      if (check) {
        await app.write([checkBegun(app)], '');
        app.know({ wearer: s.wearer, said: said(rating) }); // why it opens
        go('check');
      } else if (arg) go('night', edit?.night);
      else go('');
    } catch (e) {
      setFault(e instanceof Error ? e.message : String(e));
    }
  };
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, mended ? t('edit.title', { what: t('kind.evening-sight') }) : t('evening.title')),
    mended
      ? h('p', { class: 'lead' }, t('night.title', { night: s.words.date(mended.night) }))
      : h('p', null, t('evening.lead')),
    h(
      'fieldset',
      { class: 'scenes' },
      h('legend', { class: 'hidden' }, t('evening.legend')),
      [1, 2, 3, 4, 5].map(n =>
        h(
          'button',
          {
            key: n,
            type: 'button',
            class: 'scene',
            'aria-pressed': rating === n,
            'data-test': `rating-${n}`,
            onClick: () => setRating(n),
          },
          quay(n),
          h('span', null, t(`rating.${n}`)),
          h('span', { class: 'mark', 'aria-hidden': true }, '✓'),
        ),
      ),
    ),
    fell &&
      h(
        Notice,
        { kind: 'urgent', test: 'evening-fell', live: true },
        h('p', null, h('strong', null, t('acuity.worse'))),
        h('p', null, s.words.med('action.no-driving')),
        h(
          Button,
          { kind: 'alarm', wide: true, test: 'evening-check', onPress: () => void save(true) },
          t('acuity.check'),
        ),
      ),
    !mended &&
      earlier &&
      h(
        Notice,
        { test: 'evening-again' },
        t('evening.again', {
          time: s.words.moment(written(earlier), s.zone, wallAt(s.now, s.zone).date),
          rating: t(`rating.${earlier.body.rating}`),
        }),
      ),
    rating > 0 &&
      h(
        'div',
        { class: 'stack' },
        h(
          'details',
          { class: 'card', open: more },
          h('summary', { class: 'summary', 'data-test': 'evening-more' }, t('evening.more')),
          h(
            'div',
            { class: 'stack' },
            Choices({
              legend: t('evening.spectacles'),
              across: true,
              value: spectacles,
              onPick: setSpectacles,
              test: v => `spectacles-${v ? 'yes' : 'no'}`,
              options: [
                [false, t('no')],
                [true, t('yes')],
              ],
            }),
            Choices({
              legend: t('evening.halos'),
              across: true,
              value: halos,
              onPick: setHalos,
              test: v => `halos-${v}`,
              options: ['none', 'some', 'troublesome'].map(x => [x, t(`halos.${x}`)]),
            }),
            h(Entry, {
              id: 'hours',
              type: 'number',
              label: t('evening.hours'),
              value: hours,
              onInput: setHours,
              hint: hours === '' ? t('evening.hours.unknown') : undefined,
              fault: wrong ? t('evening.hours.fault') : '',
              test: 'hours',
            }),
          ),
        ),
        h(Button, { kind: fell ? '' : 'main', big: true, test: 'confirm', onPress: () => void save() }, t('save')),
        mended && h(LinkButton, { href: link('night', mended.night), kind: 'plain' }, t('cancel')),
        fault && h(Notice, { kind: 'alarm', live: true }, fault),
      ),
    h(LinkButton, { href: link('acuity'), kind: 'plain' }, t('evening.exact')),
  );
}
