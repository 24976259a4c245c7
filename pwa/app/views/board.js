// The first screen of a family with several children: each of them with how
// wearing stands, the one thing due and its button. Whoever may have no lens
// comes first, then whatever is due; the order stays while the screen is open, so
// that nothing moves under a finger, unless a child may have no lens any more.
import { minutes } from '../../../schedule/civil/civil.js';
import { syncDue } from '../../../schedule/due.js';
import { h, useEffect, useRef, useState } from '../../ui/dom.js';
import { Button, Notice } from '../../ui/parts.js';
import { about, chooses, findingsOf, sceneOf, waitingSince, wearerOf } from '../app.js';
import { heldEyes, NO_PLAN, soak, stopped, tasks } from '../model/day.js';
import { fragile } from '../install.js';
import { Panel } from './also.js';
import { lastNight } from './anytime.js';
import { Calls } from './calls.js';
import { go, link } from '../route.js';
import { besideLost, deedOf, lead, Look, overdue, soakLead, title, usualOf } from './home.js';
import { AskAgain, Barred, Ended, Fragile, Lost, News, OnlyOne, StillDue, StillIn, Waiting } from './later.js';
import {
  causes,
  checkDue,
  checkFirst,
  eyesApart,
  hasIt,
  leftAsked,
  over,
  saidIn,
  soonest,
  standing,
  told,
  toPhone,
  undecided,
  whys,
} from './wear.js';

/** @import { App } from '../app.js' */
/** @import { Task } from '../model/day.js' */
/** @import { UsualKind } from './usual.js' */
/** @import { ViewProps } from '../frame.js' */

const CALM = ['asleep', 'rest', 'before', 'pause', 'paused'];

const HELD = 6; // turns below hold a lens back

/** @param {App} app of one child @param {Task} task @returns {number} least first */
function turn(app, task) {
  const scene = sceneOf(app.state);
  if (told(app.state)?.emergency) return 0; // an emergency stands before every other stop
  if (task.urgent) return 1;
  // What nobody at the clinic has decided about stands above what somebody has.
  if (undecided(app.state)) return stopped(scene) ? 2 : 3;
  if (heldEyes(scene).length) return stopped(scene) ? HELD - 2 : HELD - 1;
  if (task.kind === 'missed') return HELD + 1;
  return CALM.includes(task.kind) ? HELD + 2 : HELD;
}

/**
 * When a task is meant to be done, in minutes from noon: of equally urgent ones the
 * earlier comes first.
 * @param {App} app of one child @param {Task} task
 */
function meant(app, { kind }) {
  const { plan } = sceneOf(app.state);
  const { insertion_at, removal_at, evening_sight_at } = plan ?? NO_PLAN;
  /** @type {Partial<Record<import('../model/day.js').TaskKind, string>>} */
  const own = { in: insertion_at, evening: evening_sight_at, missed: insertion_at };
  const at = own[kind] ?? removal_at;
  return (minutes(at) + 720) % 1440;
}

/** @param {ViewProps} props */
export function Board({ app }) {
  const s = app.state;
  const { t } = s.words;
  const [whole, setWhole] = useState(false);
  useEffect(() => setWhole(true), []);
  const rows = (s.family?.wearers ?? []).map(w => {
    const of = about(app, w.id);
    const { main } = tasks(sceneOf(of.state));
    return { id: w.id, of, task: main, turn: turn(of, main), meant: meant(of, main) };
  });
  const kept = useRef(/** @type {{held: string, order: string[]}|null} */ (null));
  const held = rows
    .filter(r => r.turn < HELD)
    .map(r => `${r.id}${r.turn}`)
    .join();
  if (kept.current?.held !== held)
    kept.current = { held, order: [...rows].sort((a, b) => a.turn - b.turn || a.meant - b.meant).map(r => r.id) };
  const { order } = kept.current;
  rows.sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id));
  return h(
    'div',
    { class: 'stack', 'data-test': 'board' },
    h('h1', null, t('nav.today')),
    rows.map(r => h(One, { key: r.id, app: r.of, task: r.task, whole })),
    whole && syncDue(waitingSince(s), s.now) && h(Waiting, { app, arg: '' }),
    whole && fragile(s) && h(Fragile, { app, arg: '' }),
    h('p', { class: 'quiet' }, t('board.more')),
  );
}

/** @param {{app: App, task: Task, whole: boolean}} props app: of one child */
function One({ app, task, whole }) {
  const s = app.state;
  const { t, med } = s.words;
  const [open, setOpen] = useState(/** @type {UsualKind|''} */ (''));
  const stands = standing(app.state);
  const found =
    (whole || task.kind === 'in') && !stands ? findingsOf(s).find(f => f.actions.includes('no-lens')) : undefined;
  const first = told(s, task.urgent || saidIn(s));
  const list = stands ? causes(s) : [];
  const has = hasIt(s, list);
  const alarm = !!stands || !!found || !!task.urgent;
  const phone = stands && !first && !over(s) ? toPhone(s) : null;
  const end = whole && h(Ended, { app, brief: true, key: `end${!first}` });
  const show = (view = 'child', arg = '') => {
    void app.setWearer(s.wearer);
    go(view, arg);
  };
  return h(
    'section',
    {
      class: `card child${alarm ? ' no' : CALM.includes(task.kind) ? ' calm' : ''}`,
      'data-test': `child-${task.kind}`,
    },
    h(
      'h2',
      null,
      h(
        'a',
        {
          href: link('child'),
          'data-test': 'open-child',
          onClick: (/** @type {Event} */ e) => {
            e.preventDefault();
            show();
          },
        },
        wearerOf(s)?.name,
      ),
    ),
    first?.words.map(text => h('p', { key: text }, h('strong', null, text))),
    first?.emergency && h(Calls, { s, level: 'emergency', go: first.go }), // before why, and before what is logged
    stands && h('p', { class: 'tag' }, stands),
    [...eyesApart(s), checkFirst(s)].map(text => text && h('p', { key: text }, text)),
    whys(s, list, 2).map(text => h('p', { key: text }, text)),
    stands && has.text && h('p', { class: has.alarm ? 'alarm-text' : 'quiet' }, has.text),
    found && h('p', null, h('strong', null, med(found.family))),
    !first && end,
    whole && !open && leftAsked(s) && h(AskAgain, { app }),
    whole && (!alarm || (stands && besideLost(sceneOf(s)))) && h(Lost, { app, brief: true, beside: !!stands }),
    h(
      'div',
      null,
      open
        ? h(Panel, {
            app,
            // cleaned again is the lens that came out last
            task: open === 'care' && task.kind === 'in' ? { kind: 'care', night: lastNight(app) } : task,
            kind: open,
            onDone: () => setOpen(''),
          })
        : !(found && task.kind === 'in') && h(Due, { app, task, setOpen, show }), // no lens is offered beside it
    ),
    (task.kind === 'pass' || checkDue(s)) &&
      h(
        Button,
        {
          kind: 'main',
          wide: true,
          test: 'child-check',
          label: `${t('wear.check')}: ${wearerOf(s)?.name}`,
          onPress: () => show('check'),
        },
        t('wear.check'),
      ),
    first && !first.emergency && h(Calls, { s, level: soonest(s, list), go: first.go }),
    phone && [
      h('p', { key: 'phone', 'data-test': 'child-phone' }, phone.text),
      h(Calls, { key: 'calls', s, level: phone.level }),
    ],
    alarm &&
      h(
        Button,
        {
          wide: true,
          test: 'child-see',
          label: `${t('wear.see')}: ${wearerOf(s)?.name}`,
          onPress: () => (first?.id ? show('advice', first.id) : show()),
        },
        t('wear.see'),
      ),
    first && end, // the order and the numbers stand above it
    whole && h(News, { app, arg: '' }),
  );
}

/**
 * That no lens goes in yet, with what is to be done about it.
 * @param {{app: App, wait: import('../model/day.js').Soak, name?: string, setOpen: (k: UsualKind) => void}} props
 */
function NotReady({ app, wait, name, setOpen }) {
  const s = app.state;
  const button = (/** @type {string} */ key, /** @type {UsualKind} */ kind, /** @type {string} */ test) => {
    const text = s.words.t(key);
    return h(Button, { key: test, wide: true, test, label: `${text}: ${name}`, onPress: () => setOpen(kind) }, text);
  };
  return h(
    'div',
    { class: 'stack', 'data-test': 'child-not-ready' },
    h('p', { class: 'tag' }, s.words.t('now.soak.title')),
    h('p', null, soakLead(s, wait)),
    (wait.water || wait.again) && button('now.care.button', 'care', 'soak-care'),
    button('now.soak.skip', 'not', 'soak-skip'),
  );
}

/** @param {{app: App, task: Task, setOpen: (k: UsualKind) => void, show: (view?: string) => void}} props */
function Due({ app, task, setOpen, show }) {
  const s = app.state;
  const { t, clock } = s.words;
  if (task.kind === 'hold' || task.kind === 'pass') return null;
  const wait = task.kind === 'in' ? soak(sceneOf(s)) : null;
  const name = wearerOf(s)?.name;
  if (wait?.ready && wait.ready > s.now) return h(NotReady, { app, wait, name, setOpen });
  const plan = sceneOf(s).plan ?? NO_PLAN;
  const usual = usualOf(app, task);
  const deed = usual && deedOf(app, task);
  const first = task.urgent && told(s); // which the card is headed with
  const text = `${title(app, task)}${task.kind === 'in' ? ` · ${clock(plan.insertion_at)}` : ''}`;
  return [
    !first && h('p', { key: 'what' }, h('strong', null, text)),
    !first &&
    (CALM.includes(task.kind) ||
      task.urgent ||
      task.unsaid ||
      ['missed', 'lost'].includes(task.kind) ||
      overdue(app, task))
      ? h('p', { key: 'lead', class: 'quiet' }, lead(app, task))
      : null,
    wait && !wait.ready && h('p', { key: 'soak' }, t('now.soak.unknown')),
    task.urgent && h(Barred, { key: 'barred', app, night: task.night }),
    task.kind === 'care' && task.eye && h(OnlyOne, { key: 'only', app, eye: task.eye }),
    task.kind === 'rest' && h(StillDue, { key: 'due', app, name }),
    task.kind === 'look' && h(Look, { key: 'look', app, night: task.night, name, onNot: () => setOpen('morning') }),
    task.kind === 'evening' &&
      h(
        Button,
        {
          key: 'rate',
          kind: 'main',
          wide: true,
          test: 'evening',
          label: `${t('now.evening.button')}: ${name}`,
          onPress: () => show('evening'),
        },
        t('now.evening.button'),
      ),
    usual &&
      !leftAsked(s) &&
      h(
        Button,
        {
          key: 'do',
          kind: task.urgent ? '' : 'main',
          wide: true,
          test: usual.test,
          label: `${deed}: ${name}`, // several children have the same button
          onPress: () =>
            void import('./press.js').then(
              m => m.press(app, task, setOpen),
              () => setOpen(usual.usual),
            ),
        },
        deed,
      ),
    task.unsaid && h(StillIn, { key: 'still', app, task }),
  ];
}

/**
 * Who may have no lens, and whose lens is due, on every screen that does not say so
 * itself: another child is never out of sight.
 * @param {{app: App, view: string, urgent?: boolean}} props urgent: an emergency fills the screen, and what is due stands at its foot
 */
export function Others({ app, view, urgent }) {
  const s = app.state;
  const { t } = s.words;
  const all = chooses(s) ? (s.family?.wearers ?? []) : [wearerOf(s)].filter(w => !!w);
  const open = (/** @type {string} */ id) => (/** @type {Event} */ e) => {
    e.preventDefault();
    void app.setWearer(id);
    go('child');
  };
  const rows = all.map(w => {
    const of = about(app, w.id).state;
    const stop = stopped(sceneOf(of));
    const first = stop ? told(of) : null;
    const here = w.id === s.wearer && ['child', 'advice', 'check'].includes(view);
    return {
      ...w,
      stop: stop && !here,
      stands: [first?.emergency ? '' : standing(of), first?.words.join(' ')].filter(Boolean).join(' · '),
      name: chooses(s) ? `${w.name}: ` : '',
    };
  });
  return [
    rows
      .filter(w => w.stop)
      .map(w =>
        h(
          'div',
          { class: 'across', key: w.id },
          h(
            Notice,
            { kind: 'alarm' },
            h(
              'div',
              { class: 'row apart' },
              h('strong', null, w.name, w.stands),
              h(
                'a',
                { class: 'btn', href: link('child'), onClick: open(w.id), 'data-test': 'open-report' },
                t('wear.see'),
              ),
            ),
          ),
        ),
      ),
    view === 'child' && !urgent && h(OthersDue, { app, key: 'due' }),
  ];
}

/**
 * Whose lens is due of the other children, in one line.
 * @param {{app: App, all?: boolean}} props all: whoever is on screen
 */
export function OthersDue({ app, all }) {
  const s = app.state;
  const { t } = s.words;
  const due = (chooses(s) ? (s.family?.wearers ?? []) : []).flatMap(w => {
    const of = about(app, w.id).state;
    const { kind } = tasks(sceneOf(of)).main;
    return (all || w.id !== s.wearer) && !stopped(sceneOf(of)) && (kind === 'in' || kind === 'out')
      ? [{ ...w, kind }]
      : [];
  });
  if (!due.length) return null;
  return h(
    'div',
    { class: 'across others' },
    due.map(w =>
      h(
        'a',
        {
          key: w.id,
          class: 'chip',
          href: link(all ? 'child' : ''),
          onClick: (/** @type {Event} */ e) => {
            if (!all) return;
            e.preventDefault();
            void app.setWearer(w.id);
            go('child');
          },
          'data-test': 'other-due',
        },
        t('other.due', { name: w.name, what: t(`now.${w.kind}.button`) }),
      ),
    ),
  );
}
