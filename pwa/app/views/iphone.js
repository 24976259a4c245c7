// The home screen of an iPhone or iPad: why, how, drawn, and how the log comes
// along. The app there has a memory of its own, so it needs a code once more.
import { addDays, wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Card, Notice } from '../../ui/parts.js';
import { waitingHere } from '../app.js';
import { call } from '../data/api.js';
import { Steps } from './ios-steps.js';
import { refusal } from '../text/refusal.js';

/** @import { App } from '../app.js' */
/** @import { ViewProps } from '../frame.js' */

/** Days after which WebKit may clear what the scripts of an unvisited site have stored (WebKit, "Full third-party cookie blocking and more", 2020). */
const CLEARS_AFTER_DAYS = 7;

/** @param {{app: App}} props */
export function HomeScreen({ app }) {
  const { words } = app.state;
  return h(
    Card,
    { title: words.t('ios.title') },
    h(
      'div',
      { class: 'stack', 'data-test': 'ios-home' },
      h('p', null, words.t('ios.why.clear')),
      h('p', null, words.t('ios.why.push')),
      h(Steps, { app }),
      h(HandOver, { app }),
    ),
  );
}

/** A code for the app on the home screen, once nothing is on this page alone. @param {{app: App}} props */
function HandOver({ app }) {
  const s = app.state;
  const { t } = s.words;
  const [given, setGiven] = useState(/** @type {{code: string, expires: string}|null} */ (null));
  const [said, setSaid] = useState('');
  const make = () =>
    call('POST', '/api/devices/invitation', {}).then(setGiven, e =>
      setSaid(e.code === 'offline' ? t('devices.offline') : refusal(s.words, e.code)),
    );
  const copy = (/** @type {string} */ code) =>
    navigator.clipboard.writeText(code).then(
      () => setSaid(s.words.t('ios.copied')),
      () => setSaid(s.words.t('ios.uncopied')),
    );
  const n = waitingHere(s);
  if (n > 0)
    return h(
      Notice,
      { kind: 'urgent', test: 'ios-unsent' },
      h('p', null, s.words.t('ios.unsent', { n })),
      h(Button, { test: 'ios-send', onPress: () => void app.sync.flush() }, t('unsent.try')),
    );
  return [
    h('p', { key: 'lead' }, s.words.t('ios.log')),
    given
      ? h(
          'div',
          { key: 'given', class: 'stack' },
          h(
            'p',
            { role: 'status', 'data-test': 'ios-code' },
            s.words.t('ios.code.is', { time: s.words.moment(Date.parse(given.expires), s.zone) }),
            ' ',
            h('strong', { class: 'lead', dir: 'ltr' }, given.code),
          ),
          h(Button, { test: 'ios-copy', onPress: () => void copy(given.code) }, s.words.t('ios.copy')),
        )
      : h(Button, { key: 'make', kind: 'main', test: 'ios-make', onPress: () => void make() }, s.words.t('ios.make')),
    h('p', { key: 'said', role: 'status' }, said),
  ];
}

/** Before a browser may clear what was not sent: how much, and by when. @param {ViewProps} props */
export function Fragile({ app }) {
  const s = app.state;
  const by = addDays(wallAt(s.now, s.zone).date, CLEARS_AFTER_DAYS);
  return h(
    Notice,
    { kind: 'urgent', test: 'fragile' },
    h('p', null, s.words.t('fragile', { n: waitingHere(s), date: s.words.date(by) })),
    h('p', null, s.words.t('sync.do')),
  );
}
