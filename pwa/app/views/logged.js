// Who logged what in a night, with taking back.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Card, Notice } from '../../ui/parts.js';
import { nameOf } from '../app.js';
import { written } from '../model/report.js';
import { link } from '../route.js';

/** @import { App } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */

const UNDO_MS = 24 * 3600000; // how long anybody of the family may take an entry back

/** @param {{app: App, night: string, title?: string}} props */
export function Logged({ app, night, title }) {
  const s = app.state;
  const { t } = s.words;
  const n = s.nights.get(`${s.wearer}/${night}`);
  const entries = n?.entries ?? [];
  const differ = n && [...n.items.values()].some((i) => i.differ);
  return h(Card, { title: title ?? `${t('log.title')} – ${s.words.date(night)}` },
    differ && h(Notice, { kind: 'urgent' }, h('p', null, h('strong', null, t('differ.title'))), h('p', null, t('differ.lead'))),
    entries.length === 0 ? h('p', { class: 'quiet' }, t('log.none'))
      : h('ul', { class: 'plain-list', 'data-test': 'logged' }, entries.map((e) => h('li', { key: e.id, class: 'row apart' }, h(Line, { app, e }), h(Back, { app, e })))));
}

/** @param {{app: App, e: Entry}} props */
function Line({ app, e }) {
  const s = app.state;
  const { t } = s.words;
  const what = `${t(`kind.${e.kind}`)}${e.body.at ? ` ${s.words.clock(e.body.at)}` : ''}${e.kind === 'removal' && e.body.on ? `, ${s.words.date(e.body.on)}` : ''}${e.body.reason ? `: ${t(`reason.${e.body.reason}`)}` : ''}${e.body.rating ? `: ${t(`rating.${e.body.rating}`)}` : ''}${e.kind === 'snooze' ? ` ${s.words.clock(e.body.until)}` : e.kind === 'pause' ? `, ${t('pause.to', { night: s.words.date(e.body.to) })}` : ''}`;
  const text = t('log.by', { what, who: nameOf(s, e.author), time: s.words.moment(written(e), s.zone, wallAt(s.now, s.zone).date) });
  return h('span', null, e.kind === 'symptoms' ? h('a', { href: link('advice', e.id) }, text) : text,
    e.kind === 'note' && h('span', { class: 'quiet' }, ` “${e.body.text}”`),
    s.records.get(e.id)?.state === 'unsent' && h('span', { class: 'quiet small' }, ` (${t('night.unsent')})`));
}

/** @param {{app: App, e: Entry}} props */
function Back({ app, e }) {
  const s = app.state;
  if (s.now - written(e) > UNDO_MS || e.kind === 'symptoms') return null;
  return h(Button, { kind: 'plain', label: `${s.words.t('remove')}: ${s.words.t(`kind.${e.kind}`)}`, onPress: () => void app.undo([e.id]) }, s.words.t('remove'));
}
