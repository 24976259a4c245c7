// The advice: worked out on this phone, at once, without a network; and an
// honest line about whether the clinic has it.
import { wallAt } from '../../../schedule/civil/civil.js';
import { h, useEffect } from '../../ui/dom.js';
import { delay, levelRank } from '../../../alerts/evaluate.js';
import { Card, Level, LinkButton, More, Notice } from '../../ui/parts.js';
import { tel } from '../../ui/tel.js';
import { answers, unbroken } from '../model/contacts.js';
import { delivery, outcome, RULES, written } from '../model/report.js';
import { link } from '../route.js';
import { sourceOf } from '../text/text.js';

/** @import { App, State } from '../app.js' */
/** @import { Entry } from '../model/entry.js' */
/** @import { Outcome } from '../../../alerts/evaluate.js' */
/** @import { ViewProps } from '../frame.js' */

/** @param {ViewProps} props */
export function Advice({ app, arg }) {
  const s = app.state;
  const { t, med } = s.words;
  const r = s.records.get(arg);
  useEffect(() => app.sync.watch(), []);
  if (!r || r.entry.kind !== 'symptoms') return h('div', { class: 'stack' }, h('p', null, t('log.none')), h(LinkButton, { href: link('') }, t('advice.done')));
  const out = outcome(r.entry);
  const severe = levelRank(out.level) >= levelRank('urgent');
  return h('div', { class: 'stack', 'data-test': 'advice', 'data-level': out.level },
    h('div', { class: `advice-head ${out.level}` },
      h(Level, { level: out.level }, med(`level.${out.level}`)),
      h('h1', null, out.actions[0] === 'rinse-eye' ? t('advice.rinse') : med(`level.${out.level}.told`)),
      out.actions[0] === 'rinse-eye' && h('p', { class: 'lead' }, med(`level.${out.level}.told`)),
      h(Since, { app, e: r.entry, out })),
    h(DeliveryState, { app, id: arg }),
    severe && h(CallFirst, { s, out }),
    h(Card, { title: t('advice.doing') }, h('ol', { class: 'do' }, out.actions.map((a) => h('li', { key: a, 'data-test': `do-${a}` }, h('span', null, med(`action.${a}`)))))),
    !severe && h(CallFirst, { s, out }),
    h(Because, { s, e: r.entry, out }),
    h(Notice, { kind: 'urgent' }, out.cautions.filter((c) => c !== 'caution.unknown').map((c) => h('p', { key: c }, med(c)))),
    !s.words.reviewed && h('p', { class: 'quiet small' }, t('more.review')),
    h(Answers, { s, e: r.entry }),
    h('div', { class: 'row' }, h(LinkButton, { href: link('check') }, t('advice.again')), h(LinkButton, { href: link('') }, t('advice.done'))));
}

/** How long ago it began, and what is known of waiting. @param {{app: App, e: Entry, out: Outcome}} props */
function Since({ app, e, out }) {
  const s = app.state;
  const began = e.body.began ? Date.parse(e.body.began) : null;
  if (levelRank(out.level) < levelRank('urgent')) return began ? h('p', null, s.words.t('advice.began', { ago: s.words.span(s.now - began) })) : null;
  return h('div', { 'data-test': 'since' }, began && h('p', null, h('strong', null, s.words.t('advice.began', { ago: s.words.span(s.now - began) }))), h('p', null, s.words.med(delay(began, s.now))));
}

/** @param {{s: State, out: Outcome}} props */
function CallFirst({ s, out }) {
  const { t } = s.words;
  const c = s.family?.contacts;
  const emergency = out.level === 'emergency';
  if (!c?.phone && !c?.emergency_number) return h(Notice, { kind: 'alarm' }, t('advice.nonumber'));
  const state = answers(c, s.now);
  const today = wallAt(s.now, s.zone).date;
  const words = state.open ? t('advice.open') : state.next ? t('advice.closed', { when: s.words.moment(state.next, s.zone, today) }) : t('advice.closed-unknown');
  const clinic = c.phone && h('a', { class: `btn wide call ${state.open || !c.after_hours_phone ? (emergency ? 'alarm' : 'main') : ''}`, href: tel(c.phone), 'data-test': 'call-clinic' }, t('advice.call', { who: c.clinic }));
  const after = c.after_hours_phone && h('a', { class: `btn wide call ${state.open ? '' : emergency ? 'alarm' : 'main'}`, href: tel(c.after_hours_phone), 'data-test': 'call-after' }, t('advice.after', { number: unbroken(c.after_hours_phone) }));
  return h(Card, null, h('div', { class: 'stack' },
    h('p', { 'data-test': 'hours' }, words), ...(state.open ? [clinic, after] : [after, clinic]),
    c.emergency_number && h('a', { class: 'btn wide', href: tel(c.emergency_number), 'data-test': 'call-emergency' }, t('advice.emergency', { number: unbroken(c.emergency_number) }))));
}

/** @param {{app: App, id: string}} props */
function DeliveryState({ app, id }) {
  const s = app.state;
  const { t } = s.words;
  const r = s.records.get(id);
  if (!r) return null;
  const d = delivery(r, s.alerts, s.now + s.skew);
  const today = wallAt(s.now, s.zone).date;
  const time = d.at ? s.words.moment(d.at, s.zone, today) : '';
  return h(Notice, { kind: d.kind },
    h('h2', { class: 'hidden' }, t('delivery.title')),
    h('p', { class: 'delivery', role: 'status', 'data-test': 'delivery', 'data-state': d.key }, t(d.key, { time, name: d.name ?? '' })),
    d.kind !== 'good' && h('p', { class: 'small' }, d.key === 'delivery.phone' && `${t('delivery.trying')} `, t('delivery.nowatch')));
}

/**
 * Why: the findings of the level shown. Milder rules hold then too, in words
 * that could be read as taking it back.
 * @param {{s: State, e: Entry, out: Outcome}} props
 */
function Because({ s, e, out }) {
  const { t, med } = s.words;
  const fired = out.findings.filter((f) => f.state === 'fired' && f.level === out.level);
  const open = unanswered(e);
  return h(Card, { title: fired.length ? t('advice.found') : undefined },
    fired.length > 0 && h('ul', null, fired.map((f) => h('li', { key: f.rule + f.eye }, `${med(f.family)}${f.eye ? ` (${t(`eye.${f.eye}`)})` : ''}`))),
    open.length > 0 && h('div', { 'data-test': 'unanswered' }, h('p', null, med('caution.unknown')), h('ul', { class: 'quiet' }, open.map(({ eye, sign }) => h('li', { key: eye + sign },
      `${eye ? `${t(`eye.${eye === 'right' ? 'Right' : 'Left'}`)}: ` : ''}${sign ? med(`sign.${sign}`) : t('advice.not-checked')}`)))),
    h(More, { title: t('advice.sources') }, h('ul', { class: 'small' }, out.actions.filter((a) => sourceOf(`action.${a}`)).map((a) => h('li', { key: a }, sourceOf(`action.${a}`))))));
}

/**
 * What was not answered: an eye that was not checked at all is one line.
 * @param {Entry} e
 * @returns {{eye: string, sign: string}[]}
 */
function unanswered(e) {
  const signs = [...RULES.symptoms.values()];
  const eyes = ['right', 'left'].flatMap((eye) => (e.body[eye]
    ? signs.filter((d) => d.scope === 'eye' && !(d.name in e.body[eye])).map((d) => ({ eye, sign: d.name })) : [{ eye, sign: '' }]));
  return [...eyes, ...signs.filter((d) => d.scope === 'report' && !(d.name in e.body)).map((d) => ({ eye: '', sign: d.name }))];
}

/** @param {{s: State, e: Entry}} props */
function Answers({ s, e }) {
  const { t, med } = s.words;
  return h(More, { title: t('advice.answers') },
    ['right', 'left'].filter((eye) => e.body[eye]).map((eye) => h('div', { key: eye }, h('h3', null, t(`eye.${eye === 'right' ? 'Right' : 'Left'}`)),
      h('ul', null, Object.entries(e.body[eye]).map(([sign, a]) => h('li', { key: sign }, `${med(`sign.${sign}`)} ${med(`answer.${sign}.${a}`)}`))))),
    e.body.note && h('p', null, `“${e.body.note}”`),
    h('p', { class: 'quiet small' }, s.words.moment(written(e), s.zone)));
}
