// What nobody waits for in an advice: why, what was answered, where the steps come from,
// and how long is still to be rinsed.
import { h, useEffect, useState } from '../../ui/dom.js';
import { levelRank } from '../../../alerts/evaluate.js';
import { Button, Card, Choices, More, Notice } from '../../ui/parts.js';
import { reportsOf, sceneOf } from '../app.js';
import { stopped } from '../model/day.js';
import { outcome, RULES, waterDays, written } from '../model/report.js';
import { unexamined } from '../model/unexamined.js';
import { leftToRinse } from '../model/rinsing.js';
import { waterWords } from '../model/water.js';
import { EYES } from '../model/wear.js';
import { go } from '../route.js';
import { settled, sign, why } from './wear.js';

/** @import { App } from '../app.js' */
/** @import { Finding } from '../../../alerts/evaluate.js' */
/** @import { Entry } from '../model/entry.js' */

/** @param {{app: App, arg: string, steps: string[]}} props arg: id of the report; steps: that the page tells */
export function Answers({ app, arg, steps }) {
  const e = app.state.records.get(arg)?.entry;
  return e && [h(Water, { app, e, steps }), h(WhichEye, { app, e }), h(Then, { app, e }), h(Said, { app, e })];
}

/** Water on a lens or the case: see `waterWords`. @param {{app: App, e: Entry, steps: string[]}} props */
function Water({ app, e, steps }) {
  const s = { ...app.state, wearer: e.wearer };
  const { t, med, date } = s.words;
  const days = waterDays(s.family);
  const w = waterWords(reportsOf(s), e, days, steps, stopped(sceneOf(s)));
  if (!w) return null;
  const said = w.wet !== e && t('advice.water.said', { date: date(w.wet.wall.slice(0, 10)) });
  return h(
    Notice,
    { kind: 'urgent', test: 'water' },
    w.tell
      ? h('p', null, h('strong', null, t('advice.water.tell')))
      : [said, t('advice.water', { n: days })].map(text => text && h('p', { key: text }, h('strong', null, text))),
    !w.tell && h('p', null, t('advice.water.then')),
    w.steps.map(a => h('p', { key: a }, med(`action.${a}`))),
  );
}

/**
 * The worst is said before any eye is named; which it is can be said once the advice
 * is there, and stands beside the report.
 * @param {{app: App, e: Entry}} props
 */
function WhichEye({ app, e }) {
  const { t } = app.state.words;
  const { now, right, left } = e.body;
  if (right || left || !now || now === 'none' || settled(app.state, e)) return null;
  /** @param {string} eye */
  const pick = async eye => {
    const named = eye === 'both' ? { right: {}, left: {} } : { [eye]: {}, other: 'unknown' };
    const [next] = await app.write([{ wearer: e.wearer, kind: 'symptoms', body: { now, ...named } }], '');
    go('advice', next.id);
  };
  return Choices({
    legend: t('advice.which'),
    value: '',
    across: true,
    onPick: eye => void pick(eye),
    test: eye => `which-${eye}`,
    options: ['right', 'left', 'both'].map(eye => [eye, t(`eye.${eye[0].toUpperCase()}${eye.slice(1)}`)]),
  });
}

/** What the page said at once, kept once the clinic has decided. @param {{app: App, e: Entry}} props */
function Then({ app, e }) {
  const { t, med } = app.state.words;
  if (!settled(app.state, e)) return null;
  return h(
    More,
    { title: t('advice.then'), test: 'advice-then' },
    h(
      'ol',
      { class: 'do' },
      outcome(e).actions.map(a => h('li', { key: a }, h('span', null, med(`action.${a}`)))),
    ),
  );
}

/** What was answered. @param {{app: App, e: Entry}} props */
function Said({ app, e }) {
  const s = app.state;
  const { t, med } = s.words;
  return h(
    More,
    { title: t('advice.answers') },
    e.body.now && e.body.now !== 'none' && h('p', null, med(`answer.now.${e.body.now}`)),
    ['right', 'left']
      .filter(eye => e.body[eye])
      .map(eye =>
        h(
          'div',
          { key: eye },
          h('h3', null, t(`eye.${eye === 'right' ? 'Right' : 'Left'}`)),
          h(
            'ul',
            null,
            Object.entries(e.body[eye]).map(([sign, a]) =>
              h('li', { key: sign }, `${med(`sign.${sign}`)} ${med(`answer.${sign}.${a}`)}`),
            ),
          ),
        ),
      ),
    ['water', 'ill', 'other']
      .filter(sign => e.body[sign])
      .map(sign => h('p', { key: sign }, `${med(`sign.${sign}`)} ${med(`answer.${sign}.${e.body[sign]}`)}`)),
    e.body.note && h('p', null, `“${e.body.note}”`),
    h('p', { class: 'quiet small' }, s.words.moment(written(e), s.zone)),
  );
}

/**
 * Why: the findings of the level shown, and water. Milder rules hold then too, in words
 * that could be read as taking it back.
 * @param {{app: App, all: Entry[], lead: Entry, log: {findings: Finding[], e: Entry}[], now: boolean, answered: boolean}} props
 *   log: what the log of the nights comes to; now: open answers are an emergency, for one of before that nobody examined;
 *   answered: by a later check
 */
export function Because({ app, all, lead, log, now, answered }) {
  const s = { ...app.state, wearer: lead.wearer };
  const { t, med } = s.words;
  // Of rules that look at one sign alone, the first says what was answered to it; of milder reports, what is a red flag.
  const by = (/** @type {Finding} */ f) => f.eye + (RULES.rules.find(r => r.id === f.rule)?.when.sign ?? f.rule);
  const fired = all.flatMap(e => {
    const { level, findings } = outcome(e);
    return findings
      .filter(f => f.state === 'fired' && (f.level === level || f.rule === 'sign-with-water'))
      .filter((f, i, list) => list.findIndex(x => by(x) === by(f)) === i)
      .filter(() => e === lead || levelRank(level) >= levelRank('urgent'))
      .map(f => `${sign(app.state, f, e)}${f.eye ? ` (${t(`eye.${f.eye}`)})` : ''}`);
  });
  const logged = log.flatMap(o => {
    const said = why(s, o.e);
    return [...o.findings.map(f => med(f.family)).filter(text => !said.startsWith(text)), said];
  });
  const every = [...s.records.values()].map(r => r.entry).filter(e => e.wearer === s.wearer);
  const [before] = now
    ? every.filter(e => EYES.some(eye => unexamined(e, eye, every, s.skew))).sort((a, b) => written(b) - written(a))
    : [];
  const since = before ? [t('advice.unexamined', { why: why(s, before) })] : [];
  const said = [...new Set([...logged, ...fired, ...since])]; // two rules can speak of one answer
  // What one check left open is asked of that one, whatever an earlier one had answered.
  const open = log.length || answered ? [] : unanswered(outcome(lead).unsure ? [lead] : all);
  return h(
    Card,
    { title: said.length ? t('advice.found') : undefined },
    said.length > 0 &&
      h(
        'ul',
        null,
        said.map(text => h('li', { key: text }, text)),
      ),
    open.length > 0 &&
      h(
        'div',
        { 'data-test': 'unanswered' },
        h('p', null, med('caution.unknown')),
        h(
          'ul',
          { class: 'quiet' },
          open.map(({ eye, sign }) =>
            h(
              'li',
              { key: eye + sign },
              `${eye ? t(`eye.${eye === 'right' ? 'Right' : 'Left'}`) + t('mark.colon') : ''}${sign ? med(`sign.${sign}`) : t('advice.not-checked')}`,
            ),
          ),
        ),
      ),
    h(Sources, { app, id: lead.id }),
    !s.words.reviewed && h('p', { class: 'quiet small' }, t('more.review')),
  );
}

/**
 * What none of the reports answered: an eye that was not checked at all is one line.
 * @param {Entry[]} all
 * @returns {{eye: string, sign: string}[]}
 */
function unanswered(all) {
  const signs = [...RULES.symptoms.values()];
  const about = (/** @type {string} */ eye) => all.filter(e => e.body[eye]);
  const eyes = EYES.filter(eye => about(eye).length || all.some(e => e.body.other !== 'usual')).flatMap(eye =>
    about(eye).length
      ? signs
          .filter(d => d.scope === 'eye' && !about(eye).some(e => d.name in e.body[eye]))
          .map(d => ({ eye: String(eye), sign: d.name }))
      : [{ eye: String(eye), sign: '' }],
  );
  return [
    ...eyes,
    ...signs
      .filter(d => d.scope === 'report' && !all.some(e => d.name in e.body))
      .map(d => ({ eye: '', sign: d.name })),
  ];
}

/** Where the steps come from. @param {{app: App, id: string}} props id: of the report */
function Sources({ app, id }) {
  const s = app.state;
  const e = s.records.get(id)?.entry;
  const actions = e ? outcome(e).actions : [];
  const [list, setList] = useState(/** @type {string[]} */ ([]));
  useEffect(() => {
    void import('../text/cards.js').then(m => setList(actions.map(a => m.sourceOf(`action.${a}`)).filter(x => x)));
  }, [actions.join()]);
  return h(
    More,
    { title: s.words.t('advice.sources') },
    h(
      'ul',
      { class: 'small' },
      [...new Set(list)].map(x => h('li', { key: x, lang: 'en', dir: 'ltr' }, x)),
    ),
  );
}

// The rinse timer: how long the eye still has to be rinsed. It starts when somebody says
// that they rinse, and counts from that kept instant, so that it goes on without a network
// and after a restart.
const KEY = 'rinse';

/** @returns {{id: string, from: number}|null} */
function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? 'null');
  } catch {
    return null;
  }
}

/** @param {string} id of the report @param {number} from Unix ms */
function keep(id, from) {
  localStorage.setItem(KEY, JSON.stringify({ id, from }));
  return from;
}

/** @param {{app: App, id: string}} props id: of the report */
export function Rinse({ app, id }) {
  const s = app.state;
  const { t } = s.words;
  const [from, setFrom] = useState(() => {
    const k = kept();
    return k?.id === id ? k.from : 0;
  });
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    const tick = setInterval(() => setNow(Date.now()), 1000);
    return () => clearInterval(tick);
  }, []);
  const left = from && leftToRinse(from, now);
  const clock = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, '0')}`;
  return h(
    'div',
    { class: 'stack rinse', 'data-test': 'rinse', 'data-left': left },
    from > 0 && h('p', { role: 'timer', class: 'lead' }, left > 0 ? t('rinse.left', { time: clock }) : t('rinse.done')),
    h(
      Button,
      {
        kind: from ? '' : 'main',
        big: !from,
        onPress: () => setFrom(keep(id, Date.now())),
        test: from ? 'rinse-again' : 'rinse-start',
      },
      t(from ? 'rinse.again' : 'rinse.start'),
    ),
  );
}
