// The screen of one child: it knows the time of day, shows the one thing to do now
// larger than anything else, then what else is open, the fortnight, and who
// logged what.
import { addDays } from '../../../schedule/civil/civil.js';
import { supplies, syncDue } from '../../../schedule/due.js';
import schedule from '../../../schedule/rules.json' with { type: 'json' };
import { h, useEffect, useState } from '../../ui/dom.js';
import { Button, LinkButton } from '../../ui/parts.js';
import {
  endPauses,
  findingsOf,
  kept,
  looksAtRecord,
  lostOf,
  mine,
  pausesOf,
  sceneOf,
  tonight,
  waitingSince,
  wearerOf,
} from '../app.js';
import { art } from '../draw.js';
import { heldEyes, soak, stopped, tasks, upcoming } from '../model/day.js';
import { scheduleLog } from '../model/schedule-log.js';
import { fragile } from '../install.js';
import { link } from '../route.js';
import { Calls } from './calls.js';
import {
  Above,
  AlsoToday,
  Anytime,
  AskAgain,
  Barred,
  Conditions,
  Ended,
  Fortnight,
  Fragile,
  GuideOffer,
  Logged,
  Lost,
  OnlyOne,
  PlanNews,
  Said,
  Snooze,
  Soon,
  StillDue,
  StillIn,
  Usual,
  Waiting,
} from './later.js';
import { Record } from './record.js';
import { CAPITAL, ToDo, Wear, Why, causes, eyesApart, leftAsked, soonest, standing, toPhone, told } from './wear.js';

/** @import { App } from '../app.js' */
/** @import { Task, TaskKind } from '../model/day.js' */
/** @import { UsualKind } from './usual.js' */
/** @import { ViewProps } from '../frame.js' */

/** @type {Partial<Record<TaskKind, {usual: UsualKind, test: string}>>} */
export const USUAL = {
  in: { usual: 'in', test: 'wear-in' },
  out: { usual: 'out', test: 'wear-out' },
  care: { usual: 'care', test: 'care-usual' },
  missed: { usual: 'missed', test: 'missed-usual' },
  lost: { usual: 'not', test: 'not-worn' },
};

/** The form of a task; nothing is written ahead of its night. @param {App} app @param {Task} task */
export const usualOf = (app, { kind, night }) =>
  kind === 'lost' && night > tonight(app.state) ? undefined : USUAL[kind];

/** @type {Record<TaskKind, () => any>} */
const ART = {
  in: art.in,
  out: art.out,
  look: art.look,
  care: art.care,
  evening: art.evening,
  missed: art.wait,
  asleep: art.rest,
  rest: art.done,
  before: art.welcome,
  pause: art.stop,
  paused: art.rest,
  hold: art.stop,
  pass: art.stop,
  lost: art.wait,
};

/**
 * The first paint has what cannot wait: the one thing to do now and, above it,
 * what may hurt an eye. The rest stands below and follows at once.
 * @param {ViewProps} props
 */
export function Child({ app }) {
  const [whole, setWhole] = useState(false);
  // The form stays open, whatever the hour and the log bring meanwhile.
  const [open, setOpen] = useState(
    /** @type {{kind: UsualKind, night: string, eyes: string, title: string}|null} */ (null),
  );
  useEffect(() => setWhole(true), []);
  const scene = sceneOf(app.state);
  const { main, also } = tasks(scene);
  const held = heldEyes(scene).length > 0;
  const { t } = app.state.words;
  const first = told(app.state, true);
  const severe = !held && findingsOf(app.state).some(f => f.actions.includes('no-lens'));
  // Where something says no lens, none is offered beside it.
  const alone = ['hold', 'pass'].includes(main.kind) || (severe && main.kind === 'in');
  // What holds a lens back leads; else the end of wear does.
  // What may stand in two places has a key in each and is made anew there: moved, it took what stands below it along.
  const end = whole && h(Ended, { app, key: `end${held}` });
  const show = (/** @type {UsualKind} */ kind, /** @type {Task} */ task) =>
    setOpen({ kind, night: task.night, eyes: eyesIn(app, task), title: panelTitle(app, kind, task) });
  return [
    h(
      'div',
      { class: 'stack', key: 'now' },
      severe && h(Record, { app, key: 3 }),
      !held && end,
      whole && !held && heard(app.state) && h(Conditions, { app, key: 'conditions' }),
      whole && !severe && !held && h(Lost, { app }), // never above what may hurt an eye
      open && (held || (main.urgent && standing(app.state))) && h(Above, { app, key: 'above' }),
      whole &&
        main.kind !== 'paused' &&
        pausing(app, tonight(app.state)).some(p => p.reason === 'ill') &&
        h('p', { class: 'notice urgent', 'data-test': 'paused-ill', key: 'ill' }, t('pause.ill')),
      open
        ? h(
            'section',
            { class: 'card', 'data-test': 'panel', key: 'panel' },
            h('h1', null, open.title),
            h(Usual, {
              app,
              kind: open.kind,
              night: open.night,
              eyes: open.eyes,
              again: true,
              beside: !!first,
              onDone: () => setOpen(null),
            }),
          )
        : [
            held &&
              !main.urgent &&
              h(Wear, {
                app,
                key: 'wear',
                setOpen: (kind, night) => setOpen({ kind, night, eyes: 'both', title: t('now.in.button') }),
              }),
            whole && leftAsked(app.state) && h(AskAgain, { app, key: 'still' }),
            !alone && h(Now, { app, task: main, key: `${main.kind}${main.night}`, show }),
            main.urgent &&
              (held || first) && [
                !first && h('p', { key: 'phone' }, toPhone(app.state).text),
                h(Calls, {
                  s: app.state,
                  level: stopped(scene) || first ? soonest(app.state, causes(app.state)) : '',
                  go: first?.go,
                  key: 'calls',
                }),
              ],
            main.urgent && h(Further, { app, task: main, key: 'further' }),
          ],
      open &&
        first &&
        h(Calls, { s: app.state, level: soonest(app.state, causes(app.state)), go: first.go, key: 'go' }),
      held && end,
      whole && held && besideLost(scene) && h(Lost, { app, beside: true, key: 'now' }),
      whole && held && heard(app.state) && h(Conditions, { app, key: 'below' }),
      whole && heard(app.state) && h(Said, { app }),
      whole && !severe && !held && h(Record, { app }),
      whole && also.length > 0 && h(AlsoToday, { app, list: also }),
      whole && syncDue(waitingSince(app.state), app.state.now) && h(Waiting, { app, arg: '' }),
      whole && fragile(app.state) && h(Fragile, { app, arg: '' }),
      whole && h(GuideOffer, { app }),
      whole && h(Soon, { app }),
      whole && h(Anytime, { app, shown: [main, ...also].map(x => x.kind) }),
      whole && h(PlanNews, { app }),
    ),
    whole &&
      h(
        'div',
        { class: 'stack', key: 'log' },
        h(Fortnight, { app }),
        h(Logged, { app, night: main.night || tonight(app.state) }),
      ),
  ];
}

/** Whether a lens that was lost is said beside what holds an eye back: it alone keeps the other without one, or one may have a lens tomorrow. @param {import('../model/day.js').Scene} s */
export const besideLost = s => !stopped(s) || heldEyes(s).length === 1;

/** Whether the clinic ever said something to the family: the views ask of which child. @param {import('../app.js').State} s */
const heard = s => [...s.records.values()].some(r => r.entry.by_name) || s.alerts.some(a => a.closed_at || a.tried_at);

/** @param {{app: App, task: Task, show: (kind: UsualKind, task: Task) => void}} props */
function Now({ app, task, show }) {
  const s = app.state;
  const { t } = s.words;
  const wait = task.kind === 'in' ? soak(sceneOf(s)) : null;
  const notReady = !!wait?.ready && wait.ready > s.now;
  if (notReady) return h(Soaking, { app, wait, eye: task.eye, show: kind => show(kind, task) });
  const calm = ['rest', 'asleep', 'before', 'pause', 'paused'].includes(task.kind);
  return h(
    'section',
    { class: calm ? 'now calm' : task.urgent ? 'now held' : 'now', 'data-test': `now-${task.kind}` },
    !task.urgent && ART[task.kind === 'rest' && stillDue(s).length ? 'missed' : task.kind](),
    h('h1', null, title(app, task)),
    h('p', { class: 'lead' }, lead(app, task)),
    task.urgent && [h('p', { class: 'lead', key: 'tag' }, h('strong', null, standing(s))), h(Why, { s, key: 'why' })],
    task.urgent && eyesApart(s).map(text => h('p', { key: text }, text)),
    task.urgent && h(Barred, { app, night: task.night, key: 'barred' }),
    task.kind === 'care' && task.eye && h(OnlyOne, { app, eye: task.eye, key: 'only' }),
    wait && !wait.ready && h('p', null, t('now.soak.unknown')),
    task.kind === 'paused' && pausing(app, task.night).some(p => p.reason === 'ill') && h('p', null, t('pause.ill')),
    h(Actions, { app, task, setOpen: kind => show(kind, task) }),
    task.kind === 'rest' && h(StillDue, { app }),
    ['in', 'out', 'care', 'evening'].includes(task.kind) && !task.urgent && h(Snooze, { app, night: task.night }),
  );
}

/** The family's pauses that hold a night. @param {App} app @param {string} night */
const pausing = (app, night) => pausesOf(app.state).filter(p => night >= p.from && night <= p.to);

/** What besides the night is due, by its rule: while there is any, not all is done. */
export const stillDue = kept(looksAtRecord, s => {
  const plan = wearerOf(s)?.plan;
  if (!plan || stopped(sceneOf(s))) return [];
  const rules = /** @type {import('../../../schedule/due.js').Rule[]} */ (schedule.rules);
  const log = scheduleLog(mine(s, s.nights), []);
  const lost = lostOf(s).map(x => x.eye);
  const due = supplies({ plan, zone: s.zone, now: s.now, log, unsent: 0 }, rules).filter(
    i => i.due && i.due <= tonight(s) && !(i.rule === 'lens' && lost.some(eye => eye === i.subject)),
  );
  return [...new Set(due.map(i => i.rule))];
});

/** Whether the night of a removal has ended. @param {App} app @param {Task} task */
export const overdue = (app, task) => task.kind === 'out' && task.night < tonight(app.state);

/** What the task is called on its button. @param {App} app @param {Task} task */
export const deedOf = ({ state: { words } }, { kind, eye }) =>
  eye && (kind === 'missed' || kind === 'care')
    ? words.t(CAPITAL[eye]) + words.t('mark.colon') + words.t(`now.${kind}.button`)
    : words.t(
        kind === 'lost' ? 'not.button' : `now.${kind}.button${eye && ['in', 'out'].includes(kind) ? `-${eye}` : ''}`,
      );

/** The heading of a form: what it says that happened. @param {App} app @param {UsualKind} kind @param {Task} task */
export const panelTitle = (app, kind, task) =>
  kind === 'in' || kind === 'out' || kind === 'missed' || kind === 'care'
    ? deedOf(app, { ...task, kind })
    : app.state.words.t(PANELS[kind] ?? `now.${kind}.button`);

/** @type {Partial<Record<UsualKind, string>>} */
const PANELS = { not: 'not.button', still: 'still.button', morning: 'now.look.title' };

/** What names the eye of a task that means one, and the end of the keys that are about one lens. @param {App} app @param {Task} task */
const ofEye = ({ state: { words } }, { eye }) =>
  eye ? [words.t(CAPITAL[eye]) + words.t('mark.colon'), '-one'] : ['', ''];

/** @param {App} app @param {Task} task */
export function title(app, task) {
  const { t } = app.state.words;
  const [of, one] = ofEye(app, task);
  if (task.urgent) return told(app.state, true)?.words[0] ?? of + t(`now.out.urgent.title${one}`);
  if (task.kind === 'care') return of + t('now.care.title');
  if (task.eye && task.kind === 'in')
    return app.state.words.t('now.in.single', { eye: app.state.words.t(`eye.${task.eye}`) });
  if (task.unsaid || overdue(app, task)) return of + t(`now.out.late.title${one}`);
  if (task.kind === 'rest' && stillDue(app.state).length) return app.state.words.t('now.due.title');
  return app.state.words.t(task.kind === 'before' && !task.night ? 'now.noplan.title' : `now.${task.kind}.title`);
}

/** @param {App} app @param {Task} task */
export function lead(app, task) {
  const s = app.state;
  const { t, clock, date } = s.words;
  const first = task.urgent && told(s, true);
  if (first) return first.words.slice(1).join(' ');
  const [of, one] = ofEye(app, task);
  if (task.kind === 'asleep') return task.at ? of + t(`now.asleep.lead${one}`, { time: clock(task.at) }) : '';
  if (task.kind === 'missed') return t('now.missed.lead', { night: date(task.night) });
  if (task.kind === 'before')
    return task.night ? t('now.before.lead', { night: date(task.night) }) : t('now.noplan.lead');
  if (task.kind === 'rest') {
    const next = upcoming(sceneOf(s));
    return [
      ...stillDue(s).map(r => t(`what.${r}`)),
      t('now.rest.lead', { what: t(`what.${next.what}`), time: clock(next.at) }),
    ].join(' · ');
  }
  if (task.kind === 'paused') {
    const to = pausing(app, task.night).reduce((a, p) => (p.to > a ? p.to : a), '');
    return t('now.paused.lead', { night: date(to) });
  }
  if (task.unsaid) return t('now.out.unsaid.lead');
  if (overdue(app, task) && !task.urgent) return t('now.out.late.lead');
  return t(task.urgent ? 'now.out.urgent.lead' : `now.${task.kind}.lead`);
}

/** @param {{app: App, task: Task, setOpen: (k: UsualKind) => void}} props */
function Actions({ app, task, setOpen }) {
  const { t } = app.state.words;
  const usual = usualOf(app, task);
  if (task.kind === 'look') return h(Look, { app, night: task.night, onNot: () => setOpen('morning') });
  if (task.kind === 'evening')
    return h(LinkButton, { href: link('evening'), kind: 'main', big: true, test: 'evening' }, t('now.evening.button'));
  if (task.kind === 'asleep')
    return h(Button, { kind: 'plain', test: 'wear-out', onPress: () => setOpen('out') }, t('now.out.button'));
  if (task.kind === 'paused')
    return h(
      Button,
      {
        wide: true,
        test: 'pause-end',
        onPress: () => void endPauses(app, p => task.night >= p.from && task.night <= p.to),
      },
      t('pause.end'),
    );
  if (!usual) return null;
  return h(
    'div',
    { class: 'stack' },
    !leftAsked(app.state) &&
      h(
        Button,
        { kind: task.urgent ? '' : 'main', big: true, test: usual.test, onPress: () => setOpen(usual.usual) },
        deedOf(app, task),
      ),
    task.unsaid && h(StillIn, { app, task }),
    task.kind === 'missed' &&
      task.night >= addDays(tonight(app.state), -1) &&
      h(Button, { wide: true, test: 'still-in', onPress: () => setOpen('still') }, t('still.button')),
    task.kind === 'in' || task.kind === 'missed'
      ? h(Button, { kind: 'plain', test: 'not-worn', onPress: () => setOpen('not') }, t('not.button'))
      : !task.urgent && h(LinkButton, { href: link('night', task.night), kind: 'plain' }, t('now.other')),
  );
}

/** What stands below whom to phone while a lens is to come out. @param {{app: App, task: Task}} props */
function Further({ app, task }) {
  const { t } = app.state.words;
  const first = told(app.state, true);
  return h(
    'div',
    { class: 'stack' },
    first &&
      (first.id
        ? h(LinkButton, { href: link('advice', first.id), wide: true, test: 'wear-advice' }, t('now.hold.see'))
        : h(ToDo, { app, first })),
    h(
      LinkButton,
      { href: link('check'), wide: true, test: 'wear-check' },
      t(stopped(sceneOf(app.state)) ? 'wear.how-now' : 'wear.check'),
    ),
    h(LinkButton, { href: link('night', task.night), kind: 'plain' }, t('now.other')),
  );
}

/** What a morning says of eyes that are as they should be. */
const FINE = { moved: 'freely', comfort: 4, redness: 0 };

/**
 * How the eyes are, in one tap, "sore" as near as "fine". Until it is answered
 * nothing is known of them.
 * @param {{app: App, night: string, name?: string, onNot: () => void}} props name: whose, where several children are on the screen
 */
export function Look({ app, night, name, onNot }) {
  const s = app.state;
  const { t } = s.words;
  const of = (/** @type {string} */ key) => name && `${t(key)}: ${name}`;
  const fine = () => void app.write([{ wearer: s.wearer, night, kind: 'morning', body: FINE }]);
  return h(
    'div',
    { class: 'stack' },
    h(Button, { big: true, test: 'look-fine', label: of('look.fine'), onPress: fine }, t('look.fine')),
    h(Button, { big: true, test: 'look-not', label: of('look.not'), onPress: onNot }, t('look.not')),
  );
}

/** The eyes that wear a lens in the night of a removal. @param {App} app @param {Task} task */
export function eyesIn(app, task) {
  if (task.eye) return task.eye;
  const n = app.state.nights.get(`${app.state.wearer}/${task.night}`);
  const right = n?.items.has('insertion/right');
  const left = n?.items.has('insertion/left');
  if (right !== left) return right ? 'right' : 'left';
  if (right && task.kind === 'out') return 'both';
  const planned = wearerOf(app.state)?.plan?.eyes || 'both';
  const held = heldEyes(sceneOf(app.state));
  // Nothing is meant of a stopped eye before somebody says it.
  if (planned !== 'both' || right || held.length !== 1) return planned;
  return held[0] === 'right' ? 'left' : 'right';
}

/** Why the lenses are not ready. @param {import('../app.js').State} s @param {import('../model/day.js').Soak|null} wait */
export const soakLead = (s, wait) =>
  (wait?.again ? `${s.words.med('action.disinfect-again')} ` : '') +
  s.words.t(wait?.water ? 'now.soak.water' : 'now.soak.lead', {
    time: wait?.water ? '' : s.words.moment(wait?.ready ?? 0, s.zone),
  });

/** @param {{app: App, wait: import('../model/day.js').Soak|null, eye?: string, show: (kind: UsualKind) => void}} props */
function Soaking({ app, wait, eye, show }) {
  const s = app.state;
  const { t } = s.words;
  return h(
    'section',
    { class: 'now', 'data-test': 'soaking' },
    art.wait(),
    h('h1', null, t('now.soak.title')),
    h('p', { class: 'lead' }, soakLead(s, wait)),
    eye && stopped(sceneOf(s)) && h(OnlyOne, { app, eye }),
    (wait?.water || wait?.again) &&
      h(Button, { big: true, test: 'soak-care', onPress: () => show('care') }, t('now.care.button')),
    h(Button, { kind: 'main', big: true, test: 'soak-skip', onPress: () => show('not') }, t('now.soak.skip')),
  );
}
