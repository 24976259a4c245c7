// Asked once where the browser gives everybody the same time zone, before
// reminders go by it: what time is it here?
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';

/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Where({ app }) {
  const s = app.state;
  const [other, setOther] = useState(false);
  const clock = (/** @type {string} */ zone) => s.words.clock(wallAt(s.now, zone).clock);
  const here = clock(s.zoneAsked);
  const home = clock(s.zone);
  return h(
    Notice,
    { kind: 'urgent', test: 'zone-ask' },
    h('h2', null, s.words.t('zone.ask', { time: here })),
    h('p', null, s.words.t('zone.why', { time: home })),
    h(
      'div',
      { class: 'stack' },
      h(
        Button,
        { wide: true, test: 'zone-yes', onPress: () => void app.sayZone(s.zoneAsked) },
        s.words.t('zone.yes', { time: here }),
      ),
      h(
        Button,
        { wide: true, test: 'zone-home', onPress: () => void app.sayZone(s.zone) },
        s.words.t('zone.home', { time: home }),
      ),
      other
        ? h(Others, { app })
        : h(Button, { kind: 'plain', test: 'zone-other', onPress: () => setOther(true) }, s.words.t('zone.other')),
    ),
  );
}

/** Every zone there is, with what its clocks show now. @param {{app: ViewProps['app']}} props */
function Others({ app }) {
  const s = app.state;
  const all = Intl.supportedValuesOf('timeZone').map(zone => ({ zone, ...wallAt(s.now, zone) }));
  all.sort((a, b) => a.offset - b.offset || (a.zone < b.zone ? -1 : 1));
  return h(
    'label',
    { class: 'entry' },
    h('span', { class: 'entry-label' }, s.words.t('zone.pick')),
    h(
      'select',
      {
        'data-test': 'zone-pick',
        onChange: (/** @type {Event} */ e) =>
          void app.sayZone(/** @type {HTMLSelectElement} */ (e.currentTarget).value || s.zone),
      },
      h('option', { value: '' }, '–'),
      all.map(x =>
        h('option', { key: x.zone, value: x.zone }, `${s.words.clock(x.clock)} · ${x.zone.replace(/_/g, ' ')}`),
      ),
    ),
  );
}
