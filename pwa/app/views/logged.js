// Who logged what in a night, with mending and taking back.
import { addDays, instantInNight, NIGHT_STARTS, wallAt } from '../../../schedule/civil/civil.js';
import { h } from '../../ui/dom.js';
import { Button, Card, LinkButton, Notice } from '../../ui/parts.js';
import { nameOf, tonight } from '../app.js';
import { addTrial, HOME_TEST, LEAST_TRIALS, linesLess, newAcuity, verdict } from '../model/acuity.js';
import { draftOf } from '../model/check-again.js';
import { closes } from '../model/closing.js';
import { forms } from '../model/entry.js';
import { written } from '../model/report.js';
import { standing } from '../model/standing.js';
import { go, link } from '../route.js';

/** @import { App } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */

/** Kinds with a form to mend them in. */
const EDITED = ['insertion', 'removal', 'morning', 'care', 'not-worn', 'evening-sight', 'supply', 'note'];

/** @param {{app: App, night: string, title?: string}} props night: a first one that is still to come has no log; then tonight's is shown */
export function Logged({ app, night: asked, title }) {
  const s = app.state;
  const night = asked > tonight(s) ? tonight(s) : asked;
  const { t } = s.words;
  const n = s.nights.get(`${s.wearer}/${night}`);
  // On the first screen also what was written since noon of the night before: a cleaning belongs to its night.
  const noon = instantInNight(night, NIGHT_STARTS, s.zone);
  const of = (/** @type {string} */ d) => standing(s.nights.get(`${s.wearer}/${d}`)?.entries ?? []);
  const before = title ? [] : of(addDays(night, -1)).filter(e => written(e) >= noon);
  const alone = (/** @type {Entry} */ e) => !of(addDays(e.night, -1)).some(care => closes(e, care));
  const entries = [...before, ...of(night)].filter(alone);
  const differ = !title && n && [...n.items.values()].some(i => i.differ);
  return h(
    Card,
    { title: title ?? `${t('log.title')} – ${s.words.date(night)}` },
    differ &&
      h(
        Notice,
        { kind: 'urgent' },
        h(
          'div',
          { class: 'row apart' },
          h('strong', null, t('differ.title')),
          h(LinkButton, { href: link('night', night), test: 'to-differ' }, t('differ.open')),
        ),
      ),
    entries.length === 0
      ? h('p', { class: 'quiet' }, t('log.none'))
      : h(
          'ul',
          { class: 'plain-list', 'data-test': 'logged' },
          entries.map(e => h('li', { key: e.id }, h(Line, { app, e }), h(Mend, { app, e }))),
        ),
  );
}

/**
 * When an entry was written, by the clock that its own times are of; one of another zone
 * than this phone's is named.
 * @param {App['state']} s @param {Entry} e @param {string} today
 */
function writtenAt({ words, zone }, e, today) {
  const at = written(e);
  const own = e.zone || zone;
  if (wallAt(at, own).offset === wallAt(at, zone).offset) return words.moment(at, zone, today);
  const name = new Intl.DateTimeFormat(words.html, { timeZone: own, timeZoneName: 'shortOffset' })
    .formatToParts(at)
    .find(part => part.type === 'timeZoneName')?.value;
  return `${words.moment(at, own, today)} (${name})`;
}

/** What an entry says, and who wrote it when. @param {App} app @param {Entry} e @returns {string} */
export function said(app, e) {
  const s = app.state;
  const { t, clock, date } = s.words;
  const today = wallAt(s.now, s.zone).date;
  const { body } = e;
  const [comma, colon] = [t('mark.comma'), t('mark.colon')];
  const more = [
    body.at && ` ${clock(body.at)}`,
    e.kind === 'removal' && body.on && comma + date(body.on),
    body.eyes && body.eyes !== 'both' && comma + t(`eye.${body.eyes}`),
    body.item && colon + t(`supplies.${body.item}`),
    body.eye && comma + t(`eye.${body.eye}`),
    body.label && ` (${body.label})`,
    body.action === 'kept' && comma + t('supplies.use.kept'),
    body.why && comma + t(`supplies.${body.why}`),
    body.reason && colon + t(`reason.${body.reason}`),
    body.rating && colon + t(`rating.${body.rating}`),
    e.kind === 'snooze' && ` ${clock(body.until)}`,
    e.kind === 'pause' && comma + t('pause.to', { night: date(body.to) }),
    e.kind === 'symptoms' && reported(s, body),
  ]
    .filter(Boolean)
    .join('');
  return t('log.by', {
    what: t(`kind.${e.kind}`) + more,
    who: nameOf(s, e.author),
    time: writtenAt(s, e, e.night < addDays(today, -1) ? '' : today), // of a past night always with its day
  });
}

/**
 * What tells one eye report from another: the eye, what was said first, and that it
 * was left before its end, where it was a check.
 * @param {App['state']} s @param {Record<string, any>} body
 */
function reported({ words: { t, med } }, { right, left, now, unfinished, form }) {
  const eye = right && left ? 'both' : right ? 'right' : left ? 'left' : '';
  return [
    eye && t('mark.comma') + t(`eye.${eye}`),
    now && now !== 'none' && t('mark.colon') + med(`answer.now.${now}`),
    unfinished && !form && ` (${t('log.unfinished')})`,
  ]
    .filter(Boolean)
    .join('');
}

/** What a sight test came to, in the words that followed it. @param {App} app @param {[number, number][]} trials @returns {string} */
function measured(
  {
    state: {
      words: { t, med },
    },
  },
  trials,
) {
  if (trials.length < LEAST_TRIALS) return t('acuity.toofew');
  const a = trials.reduce((a, [size, right]) => addTrial(a, { size, correct: !!right }), newAcuity(HOME_TEST));
  const n = linesLess(a);
  return [
    n > 0 ? t('acuity.lines', { n }) : t('acuity.lines.best'),
    !verdict(a).reliable && t('acuity.unreliable'),
    med('action.no-driving'),
  ]
    .filter(Boolean)
    .join(' ');
}

/** The closing of its case that was written with a cleaning. @param {App} app @param {Entry} e @returns {Entry|undefined} */
export const closingOf = ({ state: s }, e) =>
  s.nights.get(`${e.wearer}/${addDays(e.night, 1)}`)?.entries.find(x => closes(x, e));

/** What was ticked. @param {App} app @param {Entry} e @returns {string} */
function ticked(app, e) {
  const { kind, body } = e;
  const { t, clock } = app.state.words;
  if (kind === 'morning')
    return [
      body.moved && (body.moved === 'freely' ? `${t('out.moved')} ` : '') + t(`moved.${body.moved}`),
      body.comfort !== undefined && `${t('out.comfort')} ${t(`comfort.${body.comfort}`)}`,
      body.redness !== undefined && `${t('out.redness')} ${t(`redness.${body.redness}`)}`,
      body.drops && t('out.drops'),
    ]
      .filter(Boolean)
      .join(' · ');
  if (kind === 'acuity-run') return measured(app, body.trials ?? []);
  if (kind !== 'care') return '';
  const closed = body.closed_at ?? closingOf(app, e)?.body.closed_at;
  return [
    ...['hand_wash', 'rub'].filter(k => body[k]).map(k => t(`care.${k}`)),
    body.rinse === 'solution'
      ? t('care.rinse')
      : body.rinse && t('care.rinse.label') + t('mark.colon') + t(`care.rinse.${body.rinse}`),
    ...['case_emptied', 'case_wiped', 'case_dried', 'deposit_removal', 'tap_water', 'topping_off', 'water_contact']
      .filter(k => body[k])
      .map(k => t(`care.${k}`)),
    closed && t('care.closed', { time: clock(closed) }),
  ]
    .filter(Boolean)
    .join(' · ');
}

/** @param {{app: App, e: Entry}} props */
function Line({ app, e }) {
  const s = app.state;
  const { t } = s.words;
  const text = said(app, e);
  const details = ticked(app, e);
  return h(
    'div',
    null,
    e.kind === 'symptoms' ? h('a', { class: 'log-link', href: link('advice', e.id) }, text) : text,
    e.kind === 'note' && h('span', { class: 'quiet' }, ` “${e.body.text}”`),
    s.records.get(e.id)?.state === 'unsent' && h('span', { class: 'quiet small' }, ` (${t('night.unsent')})`),
    details && h('p', { class: 'quiet small' }, details),
  );
}

/** What was written by one tap goes by one. @param {App} app @param {Entry} e */
function takeBack(app, e) {
  const closing = closingOf(app, e);
  if (!closing) return app.takeBack(e);
  return app.undo([e, closing].flatMap(x => forms(x, id => app.state.records.get(id)?.entry)));
}

/** @param {{app: App, e: Entry}} props */
function Mend({ app, e }) {
  const s = app.state;
  const { t } = s.words;
  if (e.kind === 'symptoms' && !e.body.told && !e.judged) return null; // of before wearing was judged: it would release
  const of = t(`kind.${e.kind}`);
  return h(
    'div',
    { class: 'row mend' },
    EDITED.includes(e.kind) &&
      (e.body.action !== 'discarded' || e.body.why) && // of an older app: nothing says what became of it
      h(
        LinkButton,
        { href: link('edit', e.id), kind: 'plain', test: `edit-${e.kind}`, label: `${t('edit')}: ${of}` },
        t('edit'),
      ),
    e.kind === 'symptoms' &&
      draftOf(e.body, s.now) &&
      h(
        Button,
        {
          kind: 'plain',
          test: 'edit-symptoms',
          label: `${t('edit')}: ${of}`,
          onPress: () => {
            localStorage.setItem(`check-${e.wearer}`, JSON.stringify(draftOf(e.body, Date.now())));
            go('check');
          },
        },
        t('edit'),
      ),
    e.kind === 'symptoms' &&
      !draftOf(e.body, s.now) && // of no eye: its page asks which
      h(
        LinkButton,
        { href: link('advice', e.id), kind: 'plain', test: 'edit-symptoms', label: `${t('wear.see')}: ${of}` },
        t('wear.see'),
      ),
    h(
      Button,
      { kind: 'plain', label: `${t('remove')}: ${of}`, test: `back-${e.kind}`, onPress: () => void takeBack(app, e) },
      t('remove'),
    ),
  );
}
