// What is about to be saved can hardly be meant: why, and what probably was.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';

/** @import { App } from '../app.js' */
/** @import { Doubt as Doubted } from '../model/plausible.js' */

/** @param {{app: App, d: Doubted, onChange: (more: Record<string, any>) => void, onSure: () => void}} props */
export function Doubt({ app, d, onChange, onSure }) {
  const s = app.state;
  const { t, moment, date, span } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const { offer } = d;
  const elsewhere = offer?.change.night ?? d.taken;
  const night = elsewhere && date(elsewhere, { weekday: 'long', day: 'numeric', month: 'long' });
  /** @param {{at?: number, date?: string, ms?: number}} x */
  const when = x =>
    x.date
      ? date(x.date, { day: 'numeric', month: 'short', year: 'numeric' })
      : x.at !== undefined
        ? moment(x.at, s.zone, x === offer && offer.change.night ? '' : today) // of another night: always with its day
        : x.ms !== undefined
          ? span(x.ms)
          : '';
  return h(
    Notice,
    { kind: 'urgent', test: d.key.replace('.', '-') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t(d.key, { when: when(d) })),
      night && h('p', null, h('strong', null, t(d.taken ? 'doubt.taken' : 'doubt.night', { night }))),
      offer &&
        h(
          Button,
          { wide: true, test: 'meant', onPress: () => onChange(offer.change) },
          t(offer.key, { when: when(offer) }),
        ),
      !d.firm && h(Button, { kind: 'plain', test: 'sure', onPress: onSure }, t('doubt.sure')),
    ),
  );
}
