// The advice: worked out on this phone, at once, without a network; and an
// honest line about whether the clinic has it.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useEffect } from '../../ui/dom.js';
import { delay, levelRank } from '../../../alerts/evaluate.js';
import { Card, Level, LinkButton, Notice } from '../../ui/parts.js';
import { stopped } from '../model/day.js';
import { delivery } from '../model/delivery.js';
import { eyeSteps, foremost, gravest, guarded, outcome, written } from '../model/report.js';
import { EYES } from '../model/wear.js';
import { sceneOf } from '../app.js';
import { link } from '../route.js';
import { Calls } from './calls.js';
import { Answers, Because, Rinse } from './later.js';
import { CAPITAL, asNow, causes, checkFirst, eyesApart, heads, ofLog, pressing, settled, standing } from './wear.js';

/** @import { App, State } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */
/** @import { Outcome } from '../../../alerts/evaluate.js' */
/** @import { ViewProps } from '../frame.js' */

/** The eyes a report is about, as its words name them. @param {Record<string, any>} body */
const eyesOf = ({ right, left }) => (right && left ? ['Both'] : right ? ['Right'] : left ? ['Left'] : []);

/** @param {ViewProps} props */
export function Advice({ app, arg }) {
  const s = app.state;
  const { t, med } = s.words;
  const r = s.records.get(arg);
  useEffect(() => void app.sync.flush(), []);
  if (r?.entry.kind !== 'symptoms')
    return h(
      'div',
      { class: 'stack' },
      h('p', null, t('log.none')),
      h(LinkButton, { href: link('') }, t('advice.done')),
    );
  // What holds a lens back of an earlier report leads: a milder one ends nothing.
  const held = s.wearer === r.entry.wearer ? causes(s).flatMap(c => s.records.get(c.id)?.entry ?? []) : [];
  const told = [...held.filter(e => e.kind === 'symptoms'), r.entry].map(e => asNow(s, e));
  // What to do at once has had its day once the clinic has decided; the stop has not.
  const open = told.filter(e => !settled(s, e));
  const log = s.wearer === r.entry.wearer ? ofLog(s) : [];
  const past = !open.length && !log.length;
  const all = open.length ? open : told;
  const lead = gravest(all);
  const out = foremost(past ? told : open, past ? [] : log);
  const logged = log.find(o => o.findings === out.findings); // the log of a night leads
  const severe = !past && (levelRank(out.level) >= levelRank('urgent') || out.unsure);
  const of = { ...s, wearer: r.entry.wearer };
  const now = !past && pressing(of, out);
  const shown = past ? 'note' : now ? 'emergency' : out.unsure ? 'urgent' : out.level;
  const [first, ...rest] = past
    ? [standing(of), ...eyesApart(of), checkFirst(of), t('advice.past')]
        .filter(x => x)
        .map(text => ({ text, test: '' }))
    : heads(of, out, all, log);
  const go = out.actions.includes('go-now');
  // Nobody is told to answer again what this check has just answered; nor of one night while
  // a stop holds, which no check ends.
  const answered =
    lead.id !== r.entry.id && !outcome(r.entry).unsure && EYES.every(x => !lead.body[x] || r.entry.body[x]);
  const stop = stopped(sceneOf(of));
  const actions = out.actions
    .filter(a => (a !== 'unsure' || !answered) && !(now && a === 'watch'))
    .map(a => (now && a === 'call-today' ? 'call-now' : stop && a === 'no-lens-tonight' ? 'no-lens' : a));
  const calls = h(Calls, { s, level: severe ? shown : '', go });
  // What the practice does not have yet is said first.
  const sent = logged && r.state === 'stored' ? logged.e.id : arg;
  const since = h(Since, { app, e: lead, out }); // where the order is to go, below whom to phone
  return h(
    'div',
    { class: 'stack', 'data-test': 'advice', 'data-level': out.level, 'data-unsure': out.unsure || undefined },
    h(
      'div',
      { class: `advice-head ${shown}` },
      !past && h(Level, { level: shown }, med(out.unsure && !now ? 'level.unsure' : `level.${shown}`)),
      h(
        'p',
        { 'data-test': 'advice-whose', role: 'status' },
        h('strong', null, s.family?.wearers.find(w => w.id === r.entry.wearer)?.name),
        (logged ? ['Both'] : eyesOf((past ? r.entry : lead).body)).map(eye => ` · ${t(`eye.${eye}`)}`),
      ),
      h('h1', { 'data-test': first.test }, first.text),
      rest.map(({ text, test }) => h('p', { class: 'lead', key: text, 'data-test': test }, h('strong', null, text))),
      // A check that found nothing ends no night that is off already.
      !past && !severe && standing(of) && h('p', { class: 'tag', 'data-test': 'advice-standing' }, standing(of)),
      !past && [
        (logged || lead.id !== r.entry.id) &&
          h(
            'p',
            { 'data-test': 'advice-earlier' },
            t(stop ? 'advice.earlier' : 'advice.earlier-rest', {
              time: s.words.moment(logged?.at ?? written(lead), s.zone),
            }),
          ),
        out.actions[0] === 'rinse-eye' && h(Rinse, { app, id: lead.id }),
        !logged && !go && since,
      ],
    ),
    severe && calls,
    !past && !logged && go && h(Notice, { kind: 'alarm' }, since),
    h(DeliveryState, { app, id: sent, calm: !told[1] && !log.length && out.level === 'none' && !out.unsure }),
    !past &&
      h(
        Card,
        { title: t('advice.doing') },
        h(
          'ol',
          { class: 'do' },
          steps(s, actions, all, past ? [] : log).map(x =>
            h('li', { key: x.test, 'data-test': x.test }, h('span', null, x.text)),
          ),
        ),
      ),
    !severe && calls,
    h(Answers, { app, arg, steps: past ? [] : out.actions }),
    h(Because, { app, all, lead, log: past ? [] : log, now, answered }),
    h(
      Notice,
      { kind: 'urgent' },
      out.cautions.filter(c => c !== 'caution.unknown').map(c => h('p', { key: c }, med(c))),
    ),
    h(
      'div',
      { class: 'row' },
      h(LinkButton, { href: link('check') }, t('advice.again')),
      h(LinkButton, { href: link('') }, t('advice.done')),
    ),
  );
}

/**
 * The steps, as they are said: where a rinse is of one eye, whose it is, and then what
 * is not to be done to the other.
 * @param {State} s @param {string[]} actions @param {Entry[]} all @param {Outcome[]} log
 * @returns {{test: string, text: string}[]}
 */
function steps({ words: { t, med } }, actions, all, log) {
  const of = (/** @type {string} */ a, /** @type {'right'|'left'} */ eye) => ({
    test: `do-${a}-${eye}`,
    text: t(CAPITAL[eye]) + t('mark.colon') + med(`action.${a}`),
  });
  const kept = EYES.flatMap(eye => guarded(all, log, eye).map(a => of(a, eye)));
  const rinsed = EYES.find(eye => eyeSteps(all, log)?.[eye] === 'rinse-eye');
  return actions.flatMap(a => [
    a === 'rinse-eye' && rinsed ? { ...of(a, rinsed), test: `do-${a}` } : { test: `do-${a}`, text: med(`action.${a}`) },
    ...(a === 'rinse-eye' ? kept : []),
  ]);
}

/** How long ago it began, and what is known of waiting. @param {{app: App, e: Entry, out: Outcome}} props */
function Since({ app, e, out }) {
  const s = app.state;
  const { t } = s.words;
  const began = e.body.began ? Date.parse(e.body.began) : null;
  const about = e.body.began_about; // what was chosen stays that, and becomes no clock
  const when = about
    ? `${t('check.began')} ${t(`began.${about}`)}`
    : t('advice.began', { ago: s.words.span(s.now - (began ?? 0)) });
  if (levelRank(out.level) < levelRank('urgent') && !out.unsure) return began ? h('p', null, when) : null;
  return h(
    'div',
    { 'data-test': 'since' },
    began && h('p', null, h('strong', null, when)),
    h('p', null, s.words.med(delay(began, s.now))),
  );
}

/** @param {{app: App, id: string, calm: boolean}} props calm: a full all-clear, which sends nobody to the telephone */
function DeliveryState({ app, id, calm }) {
  const s = app.state;
  const { t } = s.words;
  const r = s.records.get(id);
  if (!r) return null;
  const d = delivery(r, s.alerts, s.now + s.skew, s.sync.fault === 'signed-out');
  if (calm && d.key === 'delivery.phone') return h('p', { 'data-test': 'delivery' }, t('delivery.trying'));
  const today = wallAt(s.now, s.zone).date;
  const time = d.at ? s.words.moment(d.at, s.zone, today) : '';
  return h(
    Notice,
    { kind: d.kind },
    h('h2', { class: 'hidden' }, t('delivery.title')),
    h(
      'p',
      { class: 'delivery', role: 'status', 'data-test': 'delivery', 'data-state': d.key },
      t(d.key, { time, name: d.name ?? '' }),
    ),
    d.kind === 'urgent' && // what nobody can ask about now may have changed
      s.sync.fault &&
      s.heard &&
      h('p', { class: 'small' }, t('said.heard', { time: s.words.moment(s.heard, s.zone, today) })),
    d.kind !== 'good' &&
      h('p', { class: 'small' }, d.key === 'delivery.phone' && `${t('delivery.trying')} `, t('delivery.nowatch')),
  );
}
