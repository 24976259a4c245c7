// What the clinic said to the family: words, visits, stops and resumes, each
// with who and when, whether somebody here has read it, and room for an answer.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { Button, Card, LinkButton, More, Notice } from '../../ui/parts.js';
import { live, tonight, wearerOf, wearNow } from '../app.js';
import { written } from '../model/report.js';
import { conditions, inForce, linesOf, newestFirst, stillSays } from '../model/told.js';
import { link } from '../route.js';
import { Fell } from './fell.js';
import { Reply } from './reply.js';
import { typed } from './sore.js';

/** @import { App, State } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */

const VOICE = ['word', 'visit', 'cease', 'resume'];
const ONE_DECISION_MS = 60000; // within which a closing and what was written with it lie
const SHOWN_MS = 30 * 86400000; // how long what was read and holds no longer stays on the first screen

/** On the board: that the clinic said something about a child that nobody here has read, and that far sight fell. @param {{app: App}} props */
export function News({ app }) {
  const s = app.state;
  const read = readOf(s);
  const news = saidTo(s).some(e => !read.has(e.id));
  const open = () => void app.setWearer(s.wearer);
  const text = news && s.words.t('said.new');
  const tried = triedAt(s);
  return [
    h('p', { class: 'hidden', role: 'status', key: 'live' }, text && `${wearerOf(s)?.name}: ${text}`),
    tried > 0 && h('p', { key: 'tried', 'data-test': 'said-tried' }, h('strong', null, triedWords(s, tried))),
    text && h('p', { key: 'news' }, h('a', { href: link('child'), onClick: open }, text)),
    h(Fell, { app, at: 'below', key: 'fell' }),
  ];
}

/** When the clinic last phoned about the child on screen and reached nobody, Unix ms; 0 for never. @param {State} s */
const triedAt = s =>
  Math.max(0, ...s.alerts.map(a => (a.wearer === s.wearer && a.tried_at ? Date.parse(a.tried_at) : 0)));

/** @param {State} s @param {number} at Unix ms */
const triedWords = ({ words: { t, moment }, zone }, at) => t('said.tried', { time: moment(at, zone) });

/** @param {{app: App}} props */
export function Said({ app }) {
  const s = app.state;
  const { t } = s.words;
  const all = saidTo(s);
  const closed = closings(s);
  const tried = triedAt(s);
  if (!all.length && !closed.length && !tried) return null;
  const read = readOf(s);
  const fresh = all.filter(e => !read.has(e.id));
  const old = all.filter(e => read.has(e.id));
  return h(
    Card,
    { title: t('said.title') },
    h(
      'div',
      { class: 'stack', 'data-test': 'said' },
      s.heard &&
        h(
          'p',
          { class: 'quiet small', 'data-test': 'said-heard' },
          t('said.heard', { time: s.words.moment(s.heard, s.zone) }),
        ),
      tried > 0 && h(Notice, { kind: 'urgent', test: 'said-tried' }, h('p', null, triedWords(s, tried))),
      fresh.map(e => h(One, { key: e.id, app, e, fresh: true })),
      closed.map(at =>
        h(
          'p',
          { key: at, class: 'quiet', 'data-test': 'said-closed' },
          t('said.closed', { time: s.words.moment(at, s.zone) }),
        ),
      ),
      old.length > 0 &&
        h(
          More,
          { title: t('said.earlier') },
          h(
            'div',
            { class: 'stack' },
            old.map(e => h(One, { key: e.id, app, e, fresh: false })),
          ),
        ),
      h(LinkButton, { href: link('write'), wide: true, test: 'to-write' }, t('write.title')),
    ),
  );
}

/** What somebody of the family has marked as read. @param {State} s @returns {Set<string>} ids */
const readOf = s => new Set([...s.records.values()].filter(r => r.entry.kind === 'read').map(r => r.entry.body.of));

/**
 * What the clinic said about the child on screen and did not withdraw, newest first: of
 * the last 30 days, and whatever its age what still holds and what nobody has read.
 * @param {State} s
 * @returns {Entry[]}
 */
function saidTo(s) {
  const mine = [...s.records.values()].map(r => r.entry).filter(e => e.wearer === s.wearer && VOICE.includes(e.kind));
  const gone = new Set(mine.flatMap(e => [e.body.withdraws, e.body.moves]).filter(Boolean));
  const said = mine.filter(e => !gone.has(e.id)); // that it was taken back, is off or moved is said in its place
  const read = readOf(s);
  const wear = wearNow(s);
  const today = wallAt(s.now, s.zone).date;
  const holds = (/** @type {Entry} */ e) =>
    inForce(e, wear, today, said) || (!read.has(e.id) && stillSays(e, wear, today, said));
  return said.filter(e => s.now - written(e) < SHOWN_MS || holds(e)).sort(newestFirst);
}

/**
 * When the clinic closed what was reported of the child on screen and decided nothing
 * about lenses with it, newest first, Unix ms; of the last 30 days.
 * @param {State} s
 */
function closings(s) {
  const decided = [...s.records.values()]
    .map(r => r.entry)
    .filter(e => e.wearer === s.wearer && ['cease', 'resume'].includes(e.kind))
    .map(written);
  return s.alerts
    .filter(a => a.wearer === s.wearer && a.state === 'closed' && a.closed_at)
    .map(a => Date.parse(a.closed_at ?? ''))
    .filter(at => s.now - at < SHOWN_MS && !decided.some(d => Math.abs(d - at) < ONE_DECISION_MS))
    .sort((a, b) => b - a);
}

/**
 * What the releases of the clinic still ask for, above the lenses that go in.
 * @param {{app: App}} props
 */
export function Conditions({ app }) {
  const list = conditionsOf(app.state);
  if (!list.length) return null;
  const { t } = app.state.words;
  return h(
    Notice,
    { kind: 'urgent', test: 'conditions' },
    list.map(c => h('p', { key: c.what }, conditionWords(app.state, c))),
    list.some(c => c.what !== 'hours') && h(LinkButton, { href: link('supplies') }, t('supplies.title')),
  );
}

/** What the releases of the child on screen still ask for. @param {State} s */
export const conditionsOf = s =>
  conditions(
    live(s).filter(e => e.wearer === s.wearer),
    wearNow(s),
    s.skew,
  );

/** @param {State} s @param {import('../model/told.js').Condition} c */
export const conditionWords = ({ words: { t } }, { what, eye, n = 0 }) =>
  t(`said.asks.${what}`, { n, eyes: eye && t(`said.eyes.${eye}`) });

/** @param {{app: App, e: Entry, fresh: boolean}} props */
function One({ app, e, fresh }) {
  const s = app.state;
  const { t, moment } = s.words;
  const [answer, setAnswer] = useState(() => !!typed(e.id)); // an answer that was begun stays open
  /** @param {string} kind @param {Record<string, unknown>} body */
  const write = (kind, body) => app.write([{ wearer: s.wearer, night: tonight(s), kind, body }]);
  const answered = [...s.records.values()]
    .filter(r => r.entry.kind === 'reply' && r.entry.body.to === e.id)
    .map(r => r.entry);
  const log = [...s.records.values()].map(r => r.entry).filter(x => x.wearer === s.wearer);
  const who = t('said.by', { name: e.by_name ?? s.family?.contacts?.clinic ?? '', time: moment(written(e), s.zone) });
  return h(
    'article',
    { 'data-test': 'said-one' },
    h('p', { class: 'quiet small' }, who),
    linesOf(e, s.words, wearNow(s), wallAt(s.now, s.zone).date, log, s.skew).map(line =>
      h('p', { key: line, dir: 'auto' }, line),
    ),
    answered.map(r => h('p', { key: r.id, class: 'quiet', dir: 'auto' }, `${t('said.answer')}: ${r.body.text}`)),
    answer &&
      h(Reply, {
        app,
        to: e.id,
        onSend: text => write('reply', { text, to: e.id }).then(() => setAnswer(false)),
      }),
    h(
      'div',
      { class: 'row' },
      fresh &&
        h(
          Button,
          { test: 'said-read', label: `${t('said.read')}: ${who}`, onPress: () => void write('read', { of: e.id }) },
          t('said.read'),
        ),
      !answer &&
        h(
          Button,
          { kind: 'plain', test: 'said-answer', label: `${t('said.answer')}: ${who}`, onPress: () => setAnswer(true) },
          t('said.answer'),
        ),
    ),
  );
}
