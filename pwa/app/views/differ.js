// What two people say differently of one night, who said what, and one tap to
// settle it; and what was said earlier and does not count any more.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { nameOf, wearerOf } from '../app.js';
import { differing, settle } from '../model/mend.js';
import { written } from '../model/report.js';
import { standing } from '../model/standing.js';
import { said } from './logged.js';

/** @import { App } from '../app.js' */

/** @param {{app: App, night: string}} props */
export function Differ({ app, night }) {
  const s = app.state;
  const { t, moment } = s.words;
  const n = s.nights.get(`${s.wearer}/${night}`);
  const open = n ? differing(n) : [];
  if (!n || !open.length) return null;
  const today = wallAt(s.now, s.zone).date;
  return h(
    Notice,
    { kind: 'urgent', test: 'differ' },
    h(
      'div',
      { class: 'stack' },
      h('h2', null, t('differ.title')),
      h('p', null, t('differ.lead')),
      open.map(([key, item]) =>
        h(
          'div',
          { key, class: 'stack' },
          h('h3', null, itemName(t, key)),
          item.facts.map(f => {
            const e = s.records.get(f.entry)?.entry;
            const what = value(app, key, f.value);
            const right = t('differ.right', {
              what,
              who: nameOf(s, f.author),
              time: e ? moment(written(e), s.zone, today) : '',
            });
            return h(
              Button,
              {
                key: f.entry,
                wide: true,
                test: `settle-${key.replace('/', '-')}`,
                label: [right, itemName(t, key), wearerOf(s)?.name].join(t('mark.comma')), // several may say the same
                onPress: () => void app.write(settle(n, key, f.entry, s.zone), 'differ.settled'),
              },
              right,
            );
          }),
        ),
      ),
    ),
  );
}

/** @param {import('../text/text.js').Translate} t @param {string} key of an item */
function itemName(t, key) {
  const [kind, part] = key.split('/');
  if (kind === 'care') return t(`care.${part}`, { time: '' });
  if (kind === 'morning') return t(part === 'drops' ? 'out.drops' : part === 'moved' ? 'out.moved' : `out.${part}`);
  return part ? t(`kind.${kind}`) + t('mark.comma') + t(`eye.${part}`) : t(`kind.${kind}`);
}

/** What a fact says, in words. @param {App} app @param {string} key @param {any} v @returns {string} */
function value(
  {
    state: {
      words: { t, clock, date },
    },
  },
  key,
  v,
) {
  const [kind, part] = key.split('/');
  if (kind === 'evening-sight') return t(`rating.${v.rating}`);
  if (kind === 'not-worn') return t(`reason.${v.reason}`);
  if (v?.at) return clock(v.at) + (v.on ? t('mark.comma') + date(v.on) : '');
  if (typeof v === 'boolean') return t(v ? 'yes' : 'no');
  if (part === 'rinse') return t(`care.rinse.${v}`);
  if (kind === 'morning') return t(`${part}.${v}`);
  return String(v);
}

/** @param {{app: App, night: string}} props */
export function Earlier({ app, night }) {
  const s = app.state;
  const { t } = s.words;
  const live = new Set(standing(s.nights.get(`${s.wearer}/${night}`)?.entries ?? []).map(e => e.id));
  const gone = [...s.records.values()]
    .map(r => r.entry)
    .filter(e => e.wearer === s.wearer && e.night === night && e.kind !== 'retraction' && !live.has(e.id))
    .sort((a, b) => written(b) - written(a));
  if (!gone.length) return null;
  return h(
    'details',
    { class: 'card' },
    h('summary', { class: 'summary', 'data-test': 'earlier' }, t('log.earlier')),
    h(
      'ul',
      { class: 'plain-list quiet' },
      gone.map(e => h('li', { key: e.id }, said(app, e))),
    ),
  );
}
