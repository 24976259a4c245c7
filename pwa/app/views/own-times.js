// The family's own times of reminders, within the plan: every night, others on
// nights before a day without school, and quiet hours. And what each person leaves
// to the others. Both are kept by the server.
import { addDays } from '../../../schedule/civil/civil.js';
import { h, useState } from '../../ui/dom.js';
import { goOn } from '../../ui/focus.js';
import { Check } from '../../ui/more-parts.js';
import { Button, Card, Entry, Notice } from '../../ui/parts.js';
import { tonight, wearerOf } from '../app.js';
import { call } from '../data/api.js';
import { MOVED, ownFaults } from '../model/own-times.js';
import { useDue } from './due-words.js';

/** @import { App } from '../app.js' */
/** @import { Clocks, Own, Plan } from '../../../schedule/due.js' */

/** Kinds that one person may leave to the others: `MayBeMuted` of schedule/choices.go. */
const MUTABLE = [
  'insertion',
  'removal',
  'care',
  'spectacles',
  'evening-sight',
  'acuity',
  'deposit-removal',
  'case',
  'bottle',
  'drops',
  'lens',
  'holder',
  'recall',
];
const SUNDAY = '2026-03-01'; // a Sunday, for the names of the weekdays

/** @param {App} app @param {() => Promise<unknown>} job @param {(said: {ok: boolean, text: string}) => void} say */
async function attempt(app, job, say) {
  const { t } = app.state.words;
  try {
    await job();
    await app.refreshFamily();
    say({ ok: true, text: t('reminders.saved') });
  } catch (e) {
    const offline = e instanceof Error && 'code' in e && e.code === 'offline';
    const why = e instanceof Error ? e.message : '';
    say({ ok: false, text: offline ? t('reminders.offline') : t('devices.failed', { why }) });
  }
}

/** @param {{said: {ok: boolean, text: string}|null}} props */
const Said = ({ said }) => said && h(Notice, { kind: said.ok ? 'good' : 'urgent', live: true }, said.text);

/** @param {Clocks|undefined} clocks @param {Plan} plan @returns {Record<keyof Clocks, string>} */
const shown = (clocks, plan) => ({
  evening_sight_at: clocks?.evening_sight_at || plan.evening_sight_at,
  insertion_at: clocks?.insertion_at || plan.insertion_at,
  removal_at: clocks?.removal_at || plan.removal_at,
});

/** Whether the insertion of the same nights does not fit. @param {import('../model/own-times.js').Fault[]} all @param {string} field */
const unfit = (all, field) => all.some(f => f.field === field.replace(/\w+$/, 'insertion_at') && !f.quiet);

/** What differs from what stands without it. @param {Record<keyof Clocks, string>} now @param {Record<keyof Clocks, string>} usual @returns {Clocks} */
const moved = (now, usual) =>
  Object.fromEntries(MOVED.filter(k => now[k] && now[k] !== usual[k]).map(k => [k, now[k]]));

/** @param {{app: App}} props */
export function OwnTimes({ app }) {
  const s = app.state;
  const { t, clock } = s.words;
  const w = wearerOf(s);
  const plan = /** @type {Plan} */ (w?.plan);
  const was = /** @type {Own|undefined} */ (w?.reminders?.own);
  const usual = shown(undefined, plan);
  const [every, setEvery] = useState(shown(was?.every, plan));
  const [free, setFree] = useState(shown({ ...was?.every, ...was?.free }, plan));
  const [nights, setNights] = useState(was?.free_nights ?? []);
  const [holidays, setHolidays] = useState(was?.holidays ?? []);
  const [quiet, setQuiet] = useState(was?.quiet ?? { from: plan.quiet_from, to: plan.quiet_to });
  const [said, setSaid] = useState(/** @type {{ok: boolean, text: string}|null} */ (null));
  const differs = nights.length > 0 || holidays.length > 0;
  /** @type {Own} */
  const own = {
    every: moved(every, usual),
    free: differs ? moved(free, every) : {},
    free_nights: nights,
    holidays,
    ...(quiet.from === plan.quiet_from && quiet.to === plan.quiet_to ? {} : { quiet }),
  };
  const all = ownFaults(plan, own);
  // What is left for the other two is only known once the lenses go in at a time that fits.
  const faults = all.filter(f => f.quiet || !/removal|sight/.test(f.field) || !unfit(all, f.field));
  const faultOf = (/** @type {string} */ field) => {
    const f = faults.find(x => x.field === field);
    if (!f) return '';
    if (!f.from || !f.to) return t('own.fault.dates');
    const which = t(`own.${field.split('.')[1]}`);
    const why = t(f.quiet ? 'own.fault.quiet' : 'own.fault.room', { from: clock(f.from), to: clock(f.to) });
    return which + t('mark.colon') + why;
  };
  /** @param {'every'|'free'} which @param {Record<keyof Clocks, string>} now @param {(c: Record<keyof Clocks, string>) => void} set */
  const clocks = (which, now, set) =>
    MOVED.map(k =>
      h(Entry, {
        key: which + k,
        id: `own-${which}-${k}`,
        type: 'time',
        label: t(`own.${k}`),
        value: now[k],
        fault: faultOf(`${which}.${k}`),
        test: `own-${which}-${k}`,
        onInput: at => set({ ...now, [k]: at }),
      }),
    );
  const save = () =>
    faults.length
      ? goOn(document.activeElement, '[data-test=own-times] [aria-invalid]')
      : attempt(app, () => call('POST', '/api/reminders', { wearer: w?.id, ...w?.reminders, own }), setSaid);
  return h(
    Card,
    { title: t('own.title') },
    h(
      'div',
      { class: 'stack', 'data-test': 'own-times' },
      h('p', null, t('own.lead', { from: clock(plan.wear_from), to: clock(plan.wear_to), hours: plan.min_hours })),
      was && !plan.own && h(Notice, { kind: 'urgent', test: 'own-unfit' }, t('own.unfit')),
      clocks('every', every, setEvery),
      h(
        'fieldset',
        { class: 'choices days' },
        h('legend', { class: 'entry-label' }, t('own.free')),
        [5, 6, 0, 1, 2, 3, 4].map(d =>
          h(Check, {
            key: d,
            label: s.words.date(addDays(SUNDAY, d), { weekday: 'long' }),
            checked: nights.includes(d),
            test: `own-night-${d}`,
            onChange: on => setNights(on ? [...nights, d] : nights.filter(x => x !== d)),
          }),
        ),
      ),
      h(Holidays, { app, list: holidays, set: setHolidays, faultOf }),
      differs && h('h3', null, t('own.free.times')),
      differs && clocks('free', free, setFree),
      h('h3', null, t('own.quiet')),
      ['from', 'to'].map(k =>
        h(Entry, {
          key: k,
          id: `own-quiet-${k}`,
          type: 'time',
          label: t(`own.quiet.${k}`),
          value: quiet[/** @type {'from'|'to'} */ (k)],
          test: `own-quiet-${k}`,
          onInput: at => setQuiet({ ...quiet, [k]: at }),
        }),
      ),
      h(Button, { kind: 'main', wide: true, test: 'own-save', onPress: () => void save() }, t('save')),
      faults.length > 0 && h('p', { class: 'entry-fault' }, t('own.fault')),
      h(Said, { said }),
    ),
  );
}

/** @param {{app: App, list: {from: string, to: string}[], set: (list: {from: string, to: string}[]) => void, faultOf: (field: string) => string}} props */
function Holidays({ app, list, set, faultOf }) {
  const { t } = app.state.words;
  const first = tonight(app.state);
  const change = (/** @type {number} */ i, /** @type {{from?: string, to?: string}} */ more) =>
    set(list.map((x, n) => (n === i ? { ...x, ...more } : x)));
  return h(
    'div',
    { class: 'stack' },
    list.map((x, i) =>
      h(
        'fieldset',
        { key: i, class: 'choices' },
        h('legend', { class: 'entry-label' }, t('own.holiday')),
        h(Entry, {
          id: `own-holiday-${i}-from`,
          type: 'date',
          label: t('pause.first'),
          value: x.from,
          onInput: from => change(i, { from }),
        }),
        h(Entry, {
          id: `own-holiday-${i}-to`,
          type: 'date',
          label: t('pause.last'),
          value: x.to,
          fault: faultOf(`holidays[${i}]`),
          onInput: to => change(i, { to }),
        }),
        h(Button, { kind: 'plain', onPress: () => set(list.filter((_, n) => n !== i)) }, t('remove')),
      ),
    ),
    h(
      Button,
      {
        test: 'own-holiday',
        onPress: () => {
          set([...list, { from: first, to: addDays(first, 13) }]);
          goOn(document.activeElement, `#own-holiday-${list.length}-from`);
        },
      },
      t('own.holiday.add'),
    ),
  );
}

/** What this person leaves to the others of the family. @param {{app: App}} props */
export function Mine({ app }) {
  const s = app.state;
  const { t, lang } = s.words;
  const me = s.family?.people.find(p => p.id === s.me?.person);
  const [said, setSaid] = useState(/** @type {{ok: boolean, text: string}|null} */ (null));
  const due = useDue(lang);
  if (!due || !me || (s.family?.people.length ?? 0) < 2) return null;
  const off = me.mute ?? [];
  const choose = (/** @type {string[]} */ next) =>
    attempt(app, () => call('POST', '/api/reminders/mine', { off: next }), setSaid);
  const others = (s.family?.people ?? []).filter(p => p.id !== me.id && p.mute?.length);
  return h(
    Card,
    { title: t('mine.title') },
    h(
      'div',
      { class: 'stack' },
      h('p', null, t('mine.lead')),
      h(
        'fieldset',
        { class: 'choices' },
        h('legend', { class: 'entry-label' }, t('mine.kinds')),
        MUTABLE.map(k =>
          h(Check, {
            key: k,
            label: due[k],
            checked: !off.includes(k),
            test: `mine-${k}`,
            onChange: on => void choose(on ? off.filter(x => x !== k) : [...off, k]),
          }),
        ),
      ),
      others.map(p =>
        h(
          'p',
          { key: p.id, class: 'quiet' },
          t('mine.other', { name: p.name, what: (p.mute ?? []).map(k => due[k]).join(t('mark.comma')) }),
        ),
      ),
      h(Said, { said }),
    ),
  );
}
