// What exists only on this phone: count, list, why, and what to do with what
// the server did not take. Nothing leaves this list but by a verdict or a tap.
import { h, useState } from '../../ui/dom.js';
import { Button, Card, Entry, LinkButton, Notice, Told } from '../../ui/parts.js';
import { nameOf, unsentOf, waitingHere } from '../app.js';
import { adopt, discard, repair, undiscard } from '../data/rare.js';
import { fragile } from '../install.js';
import { link } from '../route.js';
import { written } from '../model/report.js';
import { Fragile } from './iphone.js';
import { refusal } from '../text/refusal.js';

/** @import { App } from '../app.js' */
/** @import { LogRecord } from '../data/log.js' */
/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Unsent({ app }) {
  const s = app.state;
  const { t } = s.words;
  const unsent = unsentOf(s);
  const waits = waitingHere(s);
  const shut = s.sync.fault === 'signed-out'; // nothing is sent before it has joined again
  const other = (/** @type {string} */ state) => [...s.records.values()].filter(r => r.state === state);
  const refused = other('refused');
  const discarded = other('discarded');
  const held = other('held');
  return h(
    'div',
    { class: 'stack' },
    h('h1', null, t('unsent.title')),
    h(
      Notice,
      { kind: waits || refused.length ? 'urgent' : 'good', live: true, test: 'unsent-state' },
      (waits > 0 || !refused.length) &&
        h('p', null, waits ? t(shut ? 'unsent.lead.shut' : 'unsent.lead') : t('unsent.none')),
      h(Trying, { app }),
    ),
    fragile(s) && h(Fragile, { app, arg: '' }),
    waits > 0 &&
      !shut &&
      h(
        Button,
        { kind: 'main', onPress: () => void app.sync.flush(), disabled: s.sync.phase === 'busy', test: 'try-now' },
        s.sync.phase === 'busy' ? t('unsent.trying') : t('unsent.try'),
      ),
    waits > unsent.length &&
      h(LinkButton, { href: link('write'), wide: true, test: 'unsent-private' }, t('write.private')),
    unsent.length > 0 &&
      h(
        Card,
        null,
        h(
          'ul',
          { class: 'plain-list', 'data-test': 'unsent-list' },
          unsent.map(r =>
            h(
              'li',
              { key: r.id, class: 'row apart' },
              h(Words, { app, r }),
              r.entry.kind !== 'retraction' &&
                h(
                  Button,
                  { kind: 'plain', label: about(app, t('remove'), r), onPress: () => void app.undo([r.id]) },
                  t('remove'),
                ),
            ),
          ),
        ),
      ),
    refused.length > 0 &&
      h(
        Card,
        { title: t('unsent.refused') },
        h('p', null, t('unsent.refused.lead')),
        h(
          'ul',
          { class: 'plain-list' },
          refused.map(r => h('li', { key: r.id }, h(Refused, { app, r }))),
        ),
      ),
    discarded.length > 0 &&
      h(
        Card,
        { title: t('unsent.discarded') },
        h(
          'ul',
          { class: 'plain-list' },
          discarded.map(r =>
            h(
              'li',
              { key: r.id, class: 'row apart' },
              h(Words, { app, r }),
              h(
                Button,
                {
                  kind: 'plain',
                  label: about(app, t('unsent.restore'), r),
                  onPress: () => void undiscard(app.log, r.id).then(app.reload),
                },
                t('unsent.restore'),
              ),
            ),
          ),
        ),
      ),
    held.length > 0 &&
      h(
        Card,
        { title: t('unsent.held') },
        h(
          'ul',
          { class: 'plain-list' },
          held.map(r => h('li', { key: r.id }, h(Words, { app, r }))),
        ),
      ),
    h(Files, { app, list: [...unsent, ...refused, ...discarded] }),
  );
}

/** @param {{app: App}} props */
function Trying({ app }) {
  const s = app.state;
  const { t } = s.words;
  const { fault, next } = s.sync;
  return h(
    'p',
    { class: 'small' },
    fault && `${t(`unsent.fault.${fault}`)} `,
    fault && fault !== 'signed-out' && next && `${t('unsent.next', { time: s.words.span(next - Date.now()) })} `,
    s.heard ? t('unsent.heard', { time: s.words.moment(s.heard, s.zone) }) : t('unsent.never'),
  );
}

/** The kind of an entry, and its night. @param {App} app @param {LogRecord} r */
const what = ({ state: { words } }, { entry: { kind, night } }) =>
  words.t(`kind.${kind}`) + words.t('mark.comma') + words.date(night);

/** Whose an entry is, where the family has several children. @param {App} app @param {LogRecord} r */
const whose = ({ state: { family } }, { entry }) =>
  (family?.wearers.length ?? 0) > 1 ? (family?.wearers.find(w => w.id === entry.wearer)?.name ?? '') : '';

/** A button about one entry, for whoever hears it alone. @param {App} app @param {string} verb @param {LogRecord} r */
const about = (app, verb, r) =>
  `${verb}: ${[what(app, r), whose(app, r)].filter(Boolean).join(app.state.words.t('mark.comma'))}`;

/** What an entry is, and whose: the list is the whole family's. @param {{app: App, r: LogRecord}} props */
function Words({ app, r }) {
  const s = app.state;
  const { t } = s.words;
  const name = whose(app, r);
  return h(
    'span',
    null,
    name && [h('strong', { key: 'whose', dir: 'auto' }, name), t('mark.colon')],
    t('log.by', {
      what: what(app, r),
      who: nameOf(s, r.entry.author),
      time: s.words.moment(written(r.entry), s.zone),
    }),
  );
}

/** @param {{app: App, r: LogRecord}} props */
function Refused({ app, r }) {
  const s = app.state;
  const { t } = s.words;
  const field = r.verdict?.field?.startsWith('body.') ? r.verdict.field.slice(5) : '';
  const [value, setValue] = useState(field ? String(r.entry.body[field] ?? '') : '');
  const mend = () => {
    const number = value !== '' && typeof r.entry.body[field] === 'number' ? Number(value) : value;
    return repair(app.log, r.id, field ? { ...r.entry.body, [field]: number } : r.entry.body, s.zone)
      .then(app.reload)
      .then(() => app.sync.flush());
  };
  return h(
    'div',
    { class: 'stack' },
    h(Words, { app, r }),
    h(
      'p',
      { class: 'quiet' },
      refusal(s.words, r.verdict?.code ?? ''),
      s.words.lang === 'en' && r.verdict?.code !== 'report-unread' && r.verdict?.message && ` ${r.verdict.message}`,
    ),
    field && h(Entry, { id: `mend-${r.id}`, label: t('unsent.mend.label'), value, onInput: setValue }),
    h(
      'div',
      { class: 'row' },
      h(Button, { onPress: () => void mend() }, t('unsent.mend')),
      h(Button, { kind: 'plain', onPress: () => void discard(app.log, r.id).then(app.reload) }, t('unsent.discard')),
    ),
  );
}

/** @param {{app: App, list: LogRecord[]}} props */
function Files({ app, list }) {
  const { t } = app.state.words;
  const [said, setSaid] = useState('');
  const save = () => {
    const url = URL.createObjectURL(
      new Blob([JSON.stringify({ nightkeep: 1, entries: list.map(r => r.entry) }, null, 1)], {
        type: 'application/json',
      }),
    );
    const a = Object.assign(document.createElement('a'), { href: url, download: 'nightkeep-unsent.json' });
    a.click();
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  };
  const read = async (/** @type {File|undefined} */ file) => {
    if (!file) return;
    try {
      const data = JSON.parse(await file.text());
      if (data.nightkeep !== 1 || !Array.isArray(data.entries)) throw new Error();
      const n = await adopt(
        app.log,
        data.entries.filter(
          (/** @type {any} */ e) =>
            typeof e?.id === 'string' &&
            typeof e.kind === 'string' &&
            typeof e.night === 'string' &&
            typeof e.hlc === 'string',
        ),
      );
      await app.reload();
      void app.sync.flush();
      setSaid(t('unsent.imported', { n }));
    } catch {
      setSaid(t('unsent.bad-file'));
    }
  };
  return h(
    Card,
    null,
    h(
      'div',
      { class: 'stack' },
      h(Button, { onPress: save, disabled: list.length === 0, test: 'export' }, t('unsent.export')),
      h(
        'label',
        { class: 'entry' },
        h('span', { class: 'entry-label' }, t('unsent.import')),
        h('input', {
          type: 'file',
          accept: 'application/json,.json',
          onChange: (/** @type {Event} */ e) => void read(/** @type {HTMLInputElement} */ (e.currentTarget).files?.[0]),
        }),
      ),
      said && h(Told, { cls: '' }, said),
    ),
  );
}
