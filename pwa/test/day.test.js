// What the home screen asks for, by the hour; expected values by hand from the
// plan in each case. A night runs 12:00 to 11:59.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { addDays, instantAt } from '../../schedule/civil/civil.js';
import { facts, inSince, soak, tasks, upcoming } from '../app/model/day.js';
import { glance, hoursOut, minutesIn, nightClosed, snoozeTo, wasIll } from '../app/model/past.js';
import { fold } from '../app/model/fold.js';
import { progress } from '../app/model/progress.js';
import { entries } from './entries.js';
import { plan as every, ZONE } from './plan.js';

/** @import { Entry } from '../app/model/entry.js' */
/** @import { Plan } from '../../schedule/due.js' */

const plan = { ...every, pauses: [{ from: '2026-03-20', to: '2026-03-22', reason: '' }] };

const NONE = /** @type {const} */ ({ right: 'none', left: 'none' });
const STOP = /** @type {const} */ ({ right: 'stop', left: 'stop' });

const e = entries(1);
const into = (/** @type {string} */ night, at = '21:40', eyes = 'both') => e(night, 'insertion', { at, eyes });
const out = (/** @type {string} */ night, at = '06:40') => e(night, 'removal', { at, eyes: 'both' });
const care = (/** @type {string} */ night, at = '06:50') => e(night, 'care', { rub: true, closed_at: at });

/** @param {string} date @param {string} at @param {Entry[]} entries @param {Partial<import('../app/model/day.js').Scene>} [more] */
function scene(date, at, entries, more = {}) {
  const nights = fold(entries);
  return {
    plan,
    zone: ZONE,
    wear: NONE,
    ...more,
    now: instantAt(date, at, ZONE),
    night: (/** @type {string} */ d) => nights.get(`w1/${d}`),
  };
}

const ENDS = { ...plan, stopped: '2026-03-11' };
const AWAY = [{ from: '2026-03-11', to: '2026-03-12', reason: 'away' }];
/** How the eyes are, said in the morning after the night; or in its evening, before the lenses went in. @param {string} night */
const fine = (night, wall = `${addDays(night, 1)}T06:45:00`) => ({
  ...e(night, 'morning', { moved: 'freely', comfort: 4, redness: 0 }),
  wall,
});
const UNCARED = [into('2026-03-10'), out('2026-03-10'), fine('2026-03-10')];
const WORN = [into('2026-03-10'), out('2026-03-10'), fine('2026-03-10'), care('2026-03-10')];
const AGAIN = [
  ...WORN,
  into('2026-03-11', '21:35'),
  out('2026-03-11', '21:40'),
  care('2026-03-11', '21:45'),
  into('2026-03-11', '21:50'),
];
const UNSAID = [into('2026-03-10'), out('2026-03-10'), care('2026-03-10')];

/** @type {[string, string, string, Entry[], string, string, Partial<{plan: Plan|null, wear: import('../app/model/day.js').Scene['wear'], pauses: import('../../schedule/due.js').Pause[]}>?][]} */
const cases = [
  ['6:40 after a night in lenses', '2026-03-11', '06:40', [into('2026-03-10')], 'out', '2026-03-10'],
  ['noon has passed and they are still in', '2026-03-11', '12:30', [into('2026-03-10')], 'out', '2026-03-10'],
  ['3:59: too early to ask', '2026-03-11', '03:59', [into('2026-03-10')], 'asleep', '2026-03-10'],
  [
    'a morning check of the evening, before they went in, says nothing of the morning',
    '2026-03-11',
    '06:50',
    [fine('2026-03-10', '2026-03-10T20:34:00'), into('2026-03-10'), out('2026-03-10')],
    'look',
    '2026-03-10',
  ],
  [
    'out, and nobody has said how the eyes are',
    '2026-03-11',
    '07:00',
    [into('2026-03-10'), out('2026-03-10')],
    'look',
    '2026-03-10',
  ],
  [
    'out and looked at, not cleaned',
    '2026-03-11',
    '07:00',
    [into('2026-03-10'), out('2026-03-10'), fine('2026-03-10')],
    'care',
    '2026-03-10',
  ],
  ['how the morning was is not asked in the afternoon', '2026-03-11', '15:00', UNSAID, 'rest', '2026-03-11'],
  ['morning done', '2026-03-11', '08:00', WORN, 'rest', '2026-03-10'],
  ['an hour before evening sight', '2026-03-11', '18:00', WORN, 'evening', '2026-03-11'],
  ['a minute too early for evening sight', '2026-03-11', '17:59', WORN, 'rest', '2026-03-11'],
  ['bedtime', '2026-03-11', '21:30', [...WORN, e('2026-03-11', 'evening-sight', { rating: 4 })], 'in', '2026-03-11'],
  ['bedtime: lenses before the rating', '2026-03-11', '21:30', WORN, 'in', '2026-03-11'],
  ['in for tonight', '2026-03-11', '22:00', [...WORN, into('2026-03-11')], 'asleep', '2026-03-11'],
  [
    'out again in the evening: cleaned first',
    '2026-03-11',
    '22:00',
    [...WORN, into('2026-03-11', '21:35'), out('2026-03-11', '21:40')],
    'care',
    '2026-03-11',
  ],
  [
    'out again and cleaned: the night has no lens yet',
    '2026-03-11',
    '22:00',
    [...WORN, into('2026-03-11', '21:35'), out('2026-03-11', '21:40'), care('2026-03-11', '21:50')],
    'in',
    '2026-03-11',
  ],
  [
    'worn again before the last night was cleaned: one cleaning is both',
    '2026-03-11',
    '22:00',
    [...UNCARED, into('2026-03-11', '21:35'), out('2026-03-11', '21:40'), care('2026-03-11', '21:50')],
    'in',
    '2026-03-11',
  ],
  ['in again the same evening', '2026-03-11', '22:00', AGAIN, 'asleep', '2026-03-11'],
  ['in again: they come out in the morning', '2026-03-12', '06:40', AGAIN, 'out', '2026-03-11'],
  [
    'the cleaning of the evening is not that of the morning',
    '2026-03-12',
    '07:00',
    [...AGAIN, out('2026-03-11', '06:50'), fine('2026-03-11')],
    'care',
    '2026-03-11',
  ],
  ['nothing logged last night', '2026-03-11', '09:00', [], 'missed', '2026-03-10'],
  [
    'a night not worn is not asked again',
    '2026-03-11',
    '09:00',
    [e('2026-03-10', 'not-worn', { reason: 'ill', eyes: 'both' })],
    'rest',
    '2026-03-10',
  ],
  [
    'one eye not worn still has a lens to take out',
    '2026-03-11',
    '06:40',
    [into('2026-03-10', '21:40', 'left'), e('2026-03-10', 'not-worn', { reason: 'sore-eye', eyes: 'right' })],
    'out',
    '2026-03-10',
  ],
  [
    'a pause of the plan',
    '2026-03-21',
    '21:30',
    [e('2026-03-21', 'evening-sight', { rating: 4 })],
    'pause',
    '2026-03-21',
  ],
  ['the morning of the day on which wear ends', '2026-03-11', '09:00', WORN, 'pause', '2026-03-10', { plan: ENDS }],
  ['its evening asks for no sight either', '2026-03-11', '21:30', WORN, 'pause', '2026-03-11', { plan: ENDS }],
  ['paused by the family: nothing is asked', '2026-03-11', '21:30', WORN, 'paused', '2026-03-11', { pauses: AWAY }],
  ['and nothing is missed', '2026-03-12', '09:00', [], 'paused', '2026-03-12', { pauses: AWAY }],
  [
    'but a lens that is in comes out',
    '2026-03-12',
    '06:40',
    [into('2026-03-11')],
    'out',
    '2026-03-11',
    { pauses: AWAY },
  ],
  [
    'on the last paused morning the evening to come is ahead',
    '2026-03-13',
    '09:00',
    [],
    'rest',
    '2026-03-12',
    { pauses: AWAY },
  ],
  [
    'and asked about',
    '2026-03-13',
    '21:30',
    [e('2026-03-13', 'evening-sight', { rating: 4 })],
    'in',
    '2026-03-13',
    { pauses: AWAY },
  ],
  [
    'a pause of the plan, not of the family, is not over when the family says so',
    '2026-03-21',
    '21:30',
    [e('2026-03-21', 'evening-sight', { rating: 4 })],
    'pause',
    '2026-03-21',
    { pauses: [] },
  ],
  ['before the first night', '2025-12-20', '21:30', [], 'before', '2026-01-01'],
  ['an open eye report: no lenses tonight', '2026-03-11', '21:30', WORN, 'hold', '2026-03-11', { wear: STOP }],
  [
    'an open eye report with lenses in: out, at any hour',
    '2026-03-12',
    '02:00',
    [...WORN, into('2026-03-11')],
    'out',
    '2026-03-11',
    { wear: STOP },
  ],
];

for (const [name, date, at, entries, kind, night, more] of cases) {
  test(`home: ${name}`, () => {
    const { main } = tasks(scene(date, at, entries, more));
    assert.equal(main.kind, kind);
    assert.equal(main.night, night);
  });
}

test('nothing comes out that is not in', () => {
  const none = [...WORN, e('2026-03-11', 'not-worn', { reason: 'tired', eyes: 'both' })];
  const back = [...WORN, into('2026-03-11', '21:35'), out('2026-03-11', '21:40')];
  const at = (/** @type {Entry[]} */ log) => upcoming(scene('2026-03-11', '22:00', log)).what;
  assert.deepEqual([at(none), at(back), at(AGAIN)], ['evening', 'evening', 'out']);
});

test('a peroxide case closed at 20:00 is ready at 02:00, never before (6 h, FDA consumer notice 2016)', () => {
  const s = scene('2026-03-11', '21:30', [
    into('2026-03-10'),
    out('2026-03-10'),
    care('2026-03-10', '06:50'),
    care('2026-03-11', '20:00'),
  ]);
  assert.equal(soak(s)?.ready, instantAt('2026-03-12', '02:00', ZONE));
});

test('a case closed in the afternoon after the night that ended is closed today', () => {
  assert.equal(nightClosed('2026-03-10', '20:00', { date: '2026-03-11', clock: '20:00' }), '2026-03-11');
  for (const [night, closed, date, at] of [
    ['2026-03-10', '07:30', '2026-03-11', '20:00'],
    ['2026-03-10', '21:00', '2026-03-11', '20:00'],
    ['2026-03-10', '20:00', '2026-03-10', '20:10'],
    ['2026-03-10', '20:00', '2026-03-11', '08:00'],
    ['2026-03-01', '20:00', '2026-03-11', '20:00'],
    ['2026-03-10', '', '2026-03-11', '20:00'],
  ])
    assert.equal(nightClosed(night, closed, { date, clock: at }), night, `${night} closed ${closed}, said at ${at}`);
  const s = scene('2026-03-11', '21:30', [
    into('2026-03-10'),
    out('2026-03-10'),
    e('2026-03-10', 'care', { rub: true }),
    e('2026-03-11', 'care', { closed_at: '20:00' }),
  ]);
  assert.equal(soak(s)?.ready, instantAt('2026-03-12', '02:00', ZONE));
  assert.equal(facts(s.night('2026-03-10')).care, true);
  assert.equal(facts(s.night('2026-03-11')).care, false, 'the care of the night to come is still asked for');
});

test('closed at 07:30 in Madrid is ready at 13:30 there, wherever the phone is by then', () => {
  const s = {
    ...scene('2026-03-11', '21:30', [out('2026-03-10'), care('2026-03-10', '07:30')]),
    zone: 'Europe/London',
  };
  assert.equal(soak(s)?.ready, Date.parse('2026-03-11T13:30:00+01:00'));
});

test('closed at 07:30 is ready at 13:30', () => {
  assert.equal(
    soak(scene('2026-03-11', '21:30', [into('2026-03-10'), out('2026-03-10'), care('2026-03-10', '07:30')]))?.ready,
    instantAt('2026-03-11', '13:30', ZONE),
  );
});

test('where two entries differ the later closing counts', () => {
  const s = scene('2026-03-11', '12:00', [care('2026-03-10', '07:30'), care('2026-03-10', '09:00')]);
  assert.equal(soak(s)?.ready, instantAt('2026-03-11', '15:00', ZONE));
});

test('a case nobody logged as closed is never ready', () => {
  assert.deepEqual(soak(scene('2026-03-11', '21:30', [out('2026-03-10')])), { ready: null, closed: null });
});

// 23.5: tap water logged at 07:00 and no new care means "not ready" at bedtime.
test('tap water voids the soak until lens and case were cleaned and soaked anew', () => {
  const first = [out('2026-03-10'), care('2026-03-10', '06:50')];
  for (const what of [{ tap_water: true }, { rinse: 'tap-water' }]) {
    const wet = e('2026-03-10', 'care', { closed_at: '07:00', ...what });
    const k = soak(scene('2026-03-11', '21:30', [...first, wet]));
    assert.deepEqual([k?.water, k?.ready], [true, Infinity]);
    const anew = soak(scene('2026-03-11', '21:30', [...first, wet, care('2026-03-10', '08:00')]));
    assert.equal(anew?.ready, instantAt('2026-03-11', '14:00', ZONE)); // the plan's 360 minutes after 08:00
  }
});

// One late cleaning: the water is said of last night's care, its closing falls tonight.
test('water said together with a cleaning that was closed tonight voids that cleaning too', () => {
  const at = (/** @type {string} */ night, /** @type {string} */ wall, /** @type {any} */ body) => ({
    ...e(night, 'care', body),
    wall: `2026-03-11T${wall}:00`,
  });
  const log = [
    out('2026-03-10'),
    at('2026-03-10', '19:31', { rub: true, tap_water: true }),
    at('2026-03-11', '19:31', { closed_at: '19:30' }),
  ];
  assert.deepEqual(soak(scene('2026-03-11', '22:03', log))?.water, true);
  const anew = [...log, at('2026-03-11', '19:40', { closed_at: '19:40' })];
  assert.equal(soak(scene('2026-03-11', '22:03', anew))?.ready, instantAt('2026-03-12', '01:40', ZONE));
});

// Trial: "yes, water" at 19:30, and a lens offered at 22:03 the same evening. The plan's soak is 360 minutes.
test('whoever was told to disinfect again is offered no lens before the soak that follows', () => {
  const before = [out('2026-03-10'), care('2026-03-10', '06:50')];
  const report = (/** @type {string} */ water, /** @type {string} */ at) => ({
    ...e('2026-03-11', 'symptoms', { right: {}, left: {}, water }),
    wall: `2026-03-11T${at}:00`,
  });
  const wet = report('yes', '19:30');
  const told = soak(scene('2026-03-11', '22:03', [...before, wet]));
  assert.deepEqual([told?.again, told?.ready], [true, instantAt('2026-03-12', '01:30', ZONE)]);
  const done = soak(scene('2026-03-11', '22:03', [...before, wet, care('2026-03-11', '19:45')]));
  assert.deepEqual([done?.again, done?.ready], [undefined, instantAt('2026-03-12', '01:45', ZONE)]);
  const none = soak(scene('2026-03-11', '22:03', [wet]));
  assert.equal(none?.ready, instantAt('2026-03-12', '01:30', ZONE), 'nothing else of these nights is logged');
  // Once that time is over, nobody has still said that it was done.
  const late = soak(scene('2026-03-12', '21:30', [...before, wet]));
  assert.deepEqual(late, { ready: null, closed: null });
  const no = report('no', '19:40');
  assert.equal(soak(scene('2026-03-11', '22:03', [...before, wet, no]))?.again, true, 'a later no takes nothing back');
});

test('the night of which nothing is logged is asked of the eye alone that may have a lens', () => {
  const left = /** @type {const} */ ({ right: 'none', left: 'stop' });
  const { main, also } = tasks(scene('2026-03-12', '06:40', [], { wear: left }));
  assert.deepEqual(
    [main, ...also].filter(x => x.kind === 'missed'),
    [{ kind: 'missed', night: '2026-03-11', eye: 'right' }],
  );
  assert.deepEqual(tasks(scene('2026-03-12', '06:40', [])).main, { kind: 'missed', night: '2026-03-11' });
  // Released from the evening of the 12th: the night before, no eye had a lens to ask about.
  const before = /** @type {any} */ ({ wearOn: () => ({ right: 'stop', left: 'stop' }) });
  const { main: late, also: rest } = tasks(scene('2026-03-12', '21:35', [], before));
  assert.deepEqual(
    [late, ...rest].filter(x => x.kind === 'missed'),
    [],
  );
});

test('hours in lenses count the clock change: 29 March 2026 loses an hour in Madrid', () => {
  const nights = fold([into('2026-03-28', '22:00'), out('2026-03-28', '07:00')]);
  assert.equal(minutesIn(nights.get('w1/2026-03-28'), ZONE), 8 * 60);
  assert.equal(minutesIn(fold(AGAIN).get('w1/2026-03-11'), ZONE), null); // they are in
});

test('hours since removal, to the half hour', () => {
  assert.equal(hoursOut(scene('2026-03-11', '19:10', WORN)), 12.5);
  assert.equal(hoursOut(scene('2026-03-13', '19:10', WORN)), null);
});

test('at a glance', () => {
  const one = fold([into('2026-03-11', '21:40', 'right')]);
  assert.equal(glance(one.get('w1/2026-03-11'), plan, '2026-03-11'), 'half');
  assert.equal(glance(undefined, plan, '2026-03-11'), 'unknown');
  assert.equal(glance(undefined, plan, '2026-03-21'), 'planned');
});

test('a night on which lenses were stopped is no missed night; one that was worn all the same counts', () => {
  const nights = fold([into('2026-03-08'), into('2026-03-10'), out('2026-03-10')]);
  const since = (/** @type {'stop'|'rest'} */ mark) => (/** @type {string} */ d) =>
    d >= '2026-03-09' ? { right: mark, left: mark } : undefined;
  const p = progress(d => nights.get(`w1/${d}`), plan, '2026-03-11', 4, ZONE, since('stop'));
  assert.deepEqual([p.planned, p.worn, p.unknown, p.stopped], [2, 2, 0, 2]); // the 9th and the 11th are left out
  const rest = progress(d => nights.get(`w1/${d}`), plan, '2026-03-11', 4, ZONE, since('rest'));
  assert.deepEqual([rest.planned, rest.worn, rest.stopped, rest.rested], [2, 2, 0, 2]); // a rest stands apart
});

test('a night nobody logged is neither worn nor missed, and is said', () => {
  const nights = fold([...WORN, e('2026-03-09', 'not-worn', { reason: 'ill', eyes: 'both' })]);
  const p = progress(d => nights.get(`w1/${d}`), plan, '2026-03-10', 4, ZONE);
  assert.deepEqual(
    { planned: p.planned, worn: p.worn, unknown: p.unknown, hours: p.hours },
    { planned: 4, worn: 1, unknown: 2, hours: 9 },
  );
});

test('reminders can be put off for half an hour, three times a night, not into the quiet hours', () => {
  const quiet = { ...plan, quiet_from: '22:30', quiet_to: '06:30' };
  const at = (/** @type {string} */ clock) => scene('2026-03-11', clock, [], { plan: quiet });
  assert.equal(snoozeTo(at('21:10'), 0), '21:40');
  assert.equal(snoozeTo(at('21:10'), 2), '21:40');
  assert.equal(snoozeTo(at('21:10'), 3), '');
  assert.equal(snoozeTo(at('21:59'), 0), '22:29');
  assert.equal(snoozeTo(at('22:00'), 0), '');
  assert.equal(snoozeTo(at('06:00'), 0), '06:30'); // the quiet hours end then
  assert.equal(
    snoozeTo(scene('2026-03-11', '23:45', [], { plan: { ...plan, quiet_from: '00:00', quiet_to: '00:00' } }), 0),
    '00:15',
  ); // none
  assert.equal(snoozeTo(scene('2026-03-11', '21:10', [], { plan: null }), 0), '');
});

// Nobody is told to put lenses in who has been prescribed none: a child may be
// enrolled weeks before the first lens. What is logged all the same is followed.
test('without a plan no lens is asked for', () => {
  const none = { plan: null };
  for (const at of ['06:45', '12:30', '19:00', '21:30', '23:50']) {
    const { main, also } = tasks(scene('2026-03-10', at, [], none));
    assert.deepEqual([main.kind, main.night, also.length], ['before', '', 0], at);
  }
  assert.equal(
    tasks(scene('2026-03-10', '21:30', [], { ...none, wear: STOP })).main.kind,
    'hold',
    'a report that says no lens is said above all',
  );
  // One that is in all the same is to come out: no night before the plan's first.
  const early = {
    plan: /** @type {Plan} */ ({
      .../** @type {Plan} */ (scene('2026-03-10', '23:00', []).plan),
      first_night: '2026-03-11',
    }),
  };
  for (const plan of [none, early])
    for (const [date, at] of [
      ['2026-03-10', '23:00'],
      ['2026-03-11', '06:40'],
    ]) {
      const { main } = tasks(scene(date, at, [into('2026-03-10')], plan));
      assert.deepEqual([main.kind, main.urgent], ['out', true], `${date} ${at}`);
    }
  assert.equal(tasks(scene('2026-03-11', '06:50', [into('2026-03-10'), out('2026-03-10')], none)).main.kind, 'look');
});

test('without a plan only what was logged is counted', () => {
  const nights = fold([into('2026-03-08'), out('2026-03-08')]);
  const p = progress(d => nights.get(`w1/${d}`), null, '2026-03-10', 28, ZONE);
  assert.deepEqual([p.planned, p.worn, p.unknown], [1, 1, 0]);
});

/** Logs in which each task of the day is due at some hour. @type {[string, Entry[], Partial<{plan: Plan|null, pauses: import('../../schedule/due.js').Pause[]}>?][]} */
const LOGS = [
  ['nothing', []],
  ['no plan', [], { plan: null }],
  ['in last night', [into('2026-03-10')]],
  ['out, not cleaned', [into('2026-03-10'), out('2026-03-10')]],
  ['cleaned', WORN],
  ['in tonight', [...WORN, into('2026-03-11')]],
  ['rated', [...WORN, e('2026-03-11', 'evening-sight', { rating: 4 })]],
  ['not worn', [...WORN, e('2026-03-11', 'not-worn', { reason: 'told-to-stop', eyes: 'both' })]],
  ['paused', WORN, { pauses: AWAY }],
  ['one lens in', [...WORN, into('2026-03-11', '21:40', 'right')]],
];
const HOURS = Array.from({ length: 24 }, (_, i) => [
  i < 12 ? '2026-03-12' : '2026-03-11',
  `${String(i).padStart(2, '0')}:30`,
]);

test('while both eyes may have no lens, no hour and no log shows anything else first: no tick, no rest, no lens to put in', () => {
  for (const state of /** @type {const} */ (['rest', 'stop'])) {
    for (const [name, log, more] of LOGS) {
      for (const [date, at] of HOURS) {
        const { main, also } = tasks(scene(date, at, log, { ...more, wear: { right: state, left: state } }));
        const inNow = main.kind === 'out' && main.urgent;
        assert.ok(
          inNow || main.kind === (state === 'stop' ? 'hold' : 'pass'),
          `${state}, ${name}, ${at}: ${main.kind}`,
        );
        assert.deepEqual(
          also.map(t => t.kind).filter(k => state === 'stop' || k !== 'care'),
          [],
          `${state}, ${name}, ${at}`,
        );
      }
    }
  }
  // A lens that is logged in and not out is asked for at every hour of its night.
  for (const [date, at] of HOURS)
    assert.equal(tasks(scene(date, at, [...WORN, into('2026-03-11')], { wear: STOP })).main.urgent, true, at);
});

test('with one eye stopped only the other is offered, and nothing is all done', () => {
  const wear = /** @type {const} */ ({ right: 'none', left: 'stop' });
  for (const [name, log, more] of LOGS) {
    for (const [date, at] of HOURS) {
      const { main, also } = tasks(scene(date, at, log, { ...more, wear }));
      assert.ok(!['rest', 'before', 'pause', 'paused'].includes(main.kind), `${name}, ${at}: ${main.kind}`);
      for (const t of [main, ...also]) if (t.kind === 'in') assert.equal(t.eye, 'right', `${name}, ${at}`);
    }
  }
  assert.deepEqual(tasks(scene('2026-03-11', '21:30', WORN, { wear })).main, {
    kind: 'in',
    night: '2026-03-11',
    eye: 'right',
  });
  assert.equal(
    tasks(scene('2026-03-12', '06:40', [...WORN, into('2026-03-11', '21:40', 'right')], { wear })).main.urgent,
    undefined,
    'the free lens comes out as usual',
  );
  assert.equal(
    tasks(scene('2026-03-12', '06:40', [...WORN, into('2026-03-11', '21:40', 'left')], { wear })).main.urgent,
    true,
  );
});

test('a lens that went in again after it came out is in; one filled in later is not', () => {
  const wrote = (/** @type {Entry} */ x, /** @type {string} */ wall) => ({ ...x, wall: `${wall}:00` });
  const again = [
    into('2026-03-11', '21:00'),
    wrote(out('2026-03-11', '21:10'), '2026-03-11T21:10'),
    into('2026-03-11', '21:20'),
  ];
  assert.equal(tasks(scene('2026-03-11', '21:25', again, { wear: STOP })).main.kind, 'out');
  const late = [wrote(out('2026-03-11', '06:40'), '2026-03-12T06:41'), into('2026-03-11', '21:20')];
  assert.equal(tasks(scene('2026-03-12', '07:00', late, { wear: STOP })).main.kind, 'hold');
});

test('unless the removal surely came after it, a lens that was said to be in is in', () => {
  const wrote = (/** @type {Entry} */ x, /** @type {string} */ wall, by = 'p1') => ({ ...x, wall, author: by });
  const first = () => wrote(into('2026-03-11', '21:30'), '2026-03-11T21:30:00');
  const gone = (/** @type {string} */ at, /** @type {string} */ wall) => wrote(out('2026-03-11', at), wall);
  const again = (/** @type {string} */ at, /** @type {string} */ wall, by = 'p1') =>
    wrote(into('2026-03-11', at), wall, by);
  // In the order in which they were written; by hand.
  /** @type {[string, () => Entry[], 'out'|'hold'][]} */
  const logs = [
    [
      'in a minute after the form of the removal was opened, seconds after it was saved',
      () => [first(), gone('23:16', '2026-03-11T23:17:00'), again('23:17', '2026-03-11T23:17:07')],
      'out',
    ],
    [
      'the removal saved well within that minute',
      () => [first(), gone('23:16', '2026-03-11T23:17:03'), again('23:17', '2026-03-11T23:17:07')],
      'out',
    ],
    [
      'both in one minute, in last',
      () => [first(), gone('23:17', '2026-03-11T23:17:03'), again('23:17', '2026-03-11T23:17:07')],
      'out',
    ],
    [
      'said by the other parent',
      () => [first(), gone('23:16', '2026-03-11T23:17:03'), again('23:17', '2026-03-11T23:17:07', 'p2')],
      'out',
    ],
    [
      'the removal left open for minutes',
      () => [first(), gone('23:10', '2026-03-11T23:17:03'), again('23:12', '2026-03-11T23:18:00')],
      'out',
    ],
    [
      'in said on one phone while the removal was open on the other',
      () => [again('23:17', '2026-03-11T23:17:07', 'p2'), gone('23:16', '2026-03-11T23:17:20')],
      'out',
    ],
    ['both in one minute, out last', () => [first(), gone('21:30', '2026-03-11T21:30:40')], 'hold'],
    [
      'out again after it went in again',
      () => [
        first(),
        gone('23:16', '2026-03-11T23:17:00'),
        again('23:17', '2026-03-11T23:17:07'),
        gone('23:18', '2026-03-11T23:18:30'),
      ],
      'hold',
    ],
    [
      'an insertion said for an hour to come, then out',
      () => [again('23:30', '2026-03-11T23:10:00'), gone('23:15', '2026-03-11T23:15:10')],
      'hold',
    ],
    [
      'filled in later for an earlier hour',
      () => [gone('23:16', '2026-03-11T23:17:00'), again('21:30', '2026-03-11T23:18:00')],
      'hold',
    ],
  ];
  for (const [name, log, kind] of logs)
    assert.equal(tasks(scene('2026-03-11', '23:20', log(), { wear: STOP })).main.kind, kind, name);
});

// "No wear when unwell" and the day of restart asked about: the advice action.no-wear-ill.
test('after a night of illness, said in any way, somebody is asked whether it is over', () => {
  const log = (/** @type {import('../app/model/entry.js').Entry[]} */ ...list) => scene('2026-03-11', '21:10', list);
  assert.equal(wasIll(log(e('2026-03-10', 'symptoms', { eyes: {}, ill: 'yes' })), '2026-03-11'), true);
  assert.equal(wasIll(log(e('2026-03-10', 'symptoms', { eyes: {}, ill: 'no' })), '2026-03-11'), false);
  assert.equal(wasIll(log(e('2026-03-10', 'not-worn', { reason: 'ill', eyes: 'both' })), '2026-03-11'), true);
  assert.equal(wasIll(log(e('2026-03-10', 'not-worn', { reason: 'away', eyes: 'both' })), '2026-03-11'), false);
  assert.equal(wasIll(log(e('2026-03-09', 'not-worn', { reason: 'ill', eyes: 'both' })), '2026-03-11'), false);
  const pause = (/** @type {string} */ reason) => [{ from: '2026-03-08', to: '2026-03-10', reason }];
  const quiet = scene('2026-03-11', '21:10', []);
  assert.equal(wasIll({ ...quiet, pauses: pause('ill') }, '2026-03-11'), true);
  assert.equal(wasIll({ ...quiet, pauses: pause('away') }, '2026-03-11'), false);
});

// Nobody can put in what there is none of: the night of 11 March, its lenses lost by day.
test('a lens that was lost, with none in its place, is asked for by no screen', () => {
  const lost = [
    { eye: /** @type {const} */ ('right'), on: '2026-03-11' },
    { eye: /** @type {const} */ ('left'), on: '2026-03-11' },
  ];
  const at = (/** @type {string} */ date, /** @type {string} */ time, /** @type {Entry[]} */ log, gone = lost) =>
    tasks(scene(date, time, log, { lost: gone }));
  const kinds = (/** @type {ReturnType<typeof tasks>} */ x) => [x.main.kind, ...x.also.map(y => y.kind)];
  assert.deepEqual(kinds(at('2026-03-11', '21:30', WORN)), ['evening']);
  assert.deepEqual(kinds(at('2026-03-11', '21:30', [...WORN, e('2026-03-11', 'evening-sight', { rating: 4 })])), [
    'lost',
  ]);
  // One lost: of the other eye the clinic is asked first, as the help card of a lost lens says.
  assert.deepEqual(kinds(at('2026-03-11', '21:30', WORN, [lost[0]])), ['evening']);
  // The morning after nobody is asked how such a night was worn, and the evening nobody how clear it is.
  assert.deepEqual(kinds(at('2026-03-12', '07:00', WORN)), ['lost']);
  assert.deepEqual(kinds(at('2026-03-12', '21:30', WORN)), ['lost']);
  // The night before they were lost is asked about, and lenses that are in come out.
  assert.equal(at('2026-03-11', '07:00', []).main.kind, 'missed');
  assert.equal(at('2026-03-12', '06:45', [...WORN, into('2026-03-11')]).main.kind, 'out');
  assert.equal(
    at('2026-03-11', '21:30', [
      ...WORN,
      e('2026-03-11', 'not-worn', { reason: 'lens-problem', eyes: 'both' }),
      e('2026-03-11', 'evening-sight', { rating: 4 }),
    ]).main.kind,
    'rest',
  );
});

// What nobody said is asked: an eye report at 21:50 told a family to take out the lenses of
// 21:40, and the practice released the eyes at 22:00. By hand.
test('a lens that was to come out is not said to be in once the eyes are released, before somebody says so', () => {
  const wrote = (/** @type {Entry} */ x, /** @type {string} */ wall) => ({ ...x, wall });
  const first = wrote(into('2026-03-11'), '2026-03-11T21:40:20');
  const told = instantAt('2026-03-11', '21:50', ZONE);
  const at = (/** @type {Entry[]} */ log, /** @type {string} */ time = '22:10', of = { right: told, left: told }) =>
    tasks(scene(time < '12:00' ? '2026-03-12' : '2026-03-11', time, [...WORN, ...log], { told: of })).main;
  const asked = { kind: 'out', night: '2026-03-11', unsaid: true };
  assert.deepEqual(at([first]), asked);
  assert.deepEqual(at([first], '02:00'), asked);
  assert.deepEqual(at([first], '22:10', { right: 0, left: told }), { ...asked, eye: 'left' });
  assert.equal(at([first], '22:10', { right: 0, left: 0 }).kind, 'asleep');
  assert.equal(at([first, wrote(into('2026-03-11'), '2026-03-11T21:50:30')]).kind, 'asleep', 'said since');
  const gone = wrote(out('2026-03-11', '21:55'), '2026-03-11T21:56:00');
  const clean = care('2026-03-11', '22:00');
  assert.equal(at([first, gone, clean]).kind, 'in');
  assert.deepEqual(at([first], '06:40'), { kind: 'out', night: '2026-03-11' }, 'the morning asks as ever');
});

test('until 04:00 a night of which nothing is logged is not said to be done', () => {
  for (const time of ['00:10', '03:59'])
    assert.deepEqual(tasks(scene('2026-03-12', time, WORN)).main, { kind: 'in', night: '2026-03-11' }, time);
  assert.equal(tasks(scene('2026-03-12', '04:00', WORN)).main.kind, 'missed');
  const no = e('2026-03-11', 'not-worn', { reason: 'tired', eyes: 'both' });
  assert.equal(tasks(scene('2026-03-12', '00:10', [...WORN, no])).main.kind, 'rest');
});

// A lens is in until the log says otherwise: the last of 8 March, nothing since.
test('a lens that nobody logged out is asked about on whatever day, and its eye is offered none', () => {
  const kinds = (/** @type {Entry[]} */ log, time = '21:30') => {
    const { main, also } = tasks(scene('2026-03-11', time, log));
    return [main, ...also].map(t => `${t.kind} ${t.night.slice(-2)}${t.eye ? ` ${t.eye}` : ''}`);
  };
  const last = into('2026-03-08');
  for (const time of ['07:00', '21:30', '23:50'])
    assert.equal(kinds([last], time)[0], 'out 08', `${time}: after three nights`);
  assert.ok(!kinds([last]).some(k => k.startsWith('in')), 'none is offered beside it');
  assert.deepEqual(kinds([into('2026-03-08', '21:40', 'right')]).slice(0, 2), ['out 08 right', 'in 11 left']);
  assert.equal(kinds([last, e('2026-03-09', 'not-worn', { reason: 'tired', eyes: 'both' })])[0], 'in 11');
  assert.equal(kinds([last, out('2026-03-08')])[0], 'in 11');
  // One that went in since is the only one that can be in.
  assert.equal(kinds([last, into('2026-03-11')])[0], 'asleep 11');
  const held = scene('2026-03-11', '21:30', [last], { wear: STOP });
  assert.deepEqual(tasks(held).main, { kind: 'out', night: '2026-03-08', urgent: true });
});

test('the lens of one eye is asked about when only that of the other was logged out', () => {
  const right = (/** @type {string} */ at) => e('2026-03-11', 'removal', { at, eyes: 'right' });
  const at = (/** @type {string} */ date, /** @type {string} */ time, /** @type {Entry[]} */ log) => {
    const { main, also } = tasks(scene(date, time, [...WORN, ...log]));
    return [main, ...also].map(t => `${t.kind}${t.eye ? ` ${t.eye}` : ''}`);
  };
  assert.deepEqual(at('2026-03-12', '07:00', [into('2026-03-11'), right('06:50')]), ['out left']);
  assert.deepEqual(at('2026-03-11', '22:00', [into('2026-03-11'), right('21:50')]), ['asleep left', 'in right']);
});

// Design "wear state": "lenses kept for the clinic are not rubbed and rinsed"; a release may
// free one eye, with a new case.
test('with one eye stopped the lens of the other alone is cleaned, and none that was last worn before it was released', () => {
  const wear = /** @type {const} */ ({ right: 'none', left: 'stop' });
  const worn = [into('2026-03-10', '21:40', 'both'), out('2026-03-10'), fine('2026-03-10')];
  const cares = (/** @type {Entry[]} */ log, /** @type {(d: string) => typeof STOP|typeof wear} */ wearOn) =>
    ['07:00', '20:30'].map(at => {
      const asked = at < '12:00' ? '2026-03-10' : '2026-03-11';
      const { main, also } = tasks(scene('2026-03-11', at, log, { wear: wearOn(asked), wearOn }));
      return [main, ...also].filter(t => t.kind === 'care');
    });
  // Released from the eleventh: what was worn on the tenth is kept as it is.
  assert.deepEqual(
    cares(worn, d => (d < '2026-03-11' ? STOP : wear)),
    [[], []],
  );
  // Released from the tenth.
  const one = [{ kind: 'care', night: '2026-03-10', eye: 'right' }];
  assert.deepEqual(
    cares(worn, () => wear),
    [one, one],
  );
  // The left lens alone was in: there is none to clean.
  assert.deepEqual(
    cares([into('2026-03-10', '21:40', 'left'), out('2026-03-10')], () => wear),
    [[], []],
  );
});

test('with lenses in nobody is asked to clean them after the night before', () => {
  const { main, also } = tasks(scene('2026-03-11', '22:00', [...UNCARED, into('2026-03-11', '21:35')]));
  assert.deepEqual(
    [main, ...also].map(t => t.kind),
    ['asleep'],
  );
});

// A release that asks for something that nobody logged (resume in ENTRIES.md): the lens comes out.
test('a lens that went in against what its release asks for is to come out, and nothing says sleep well', () => {
  const of = (/** @type {string[]} */ ...eyes) =>
    tasks(scene('2026-03-11', '22:00', [into('2026-03-11', '21:40')], { unmet: eye => eyes.includes(eye) })).main;
  assert.equal(of().kind, 'asleep');
  assert.deepEqual(of('right'), { kind: 'out', night: '2026-03-11', urgent: true, eye: 'right' });
  assert.deepEqual(of('right', 'left'), { kind: 'out', night: '2026-03-11', urgent: true });
});

// The practice says of a stuck lens that it is out: no removal is logged, and nobody
// searches a sore eye for it. A lens that goes in after that is in.
test('a lens that the practice has said is out is in no eye', () => {
  const stuck = { ...into('2026-03-10'), recv: '2026-03-10T21:00:10Z' };
  const [said, before] = ['11:48', '12:30'].map(at => instantAt('2026-03-11', at, ZONE));
  const ins = (/** @type {Entry[]} */ entries, at = '13:00', right = said) =>
    ['right', 'left'].filter(eye =>
      inSince(scene('2026-03-11', at, entries, { wear: STOP, out: { right, left: 0 } }), eye),
    );
  assert.deepEqual(ins([stuck], '13:00', 0), ['right', 'left']);
  assert.deepEqual(ins([stuck]), ['left']);
  assert.deepEqual(ins([stuck, into('2026-03-11', '21:40')], '22:00'), ['right', 'left']);
  // By a clock that was a day slow: it went in after the word.
  assert.deepEqual(ins([{ ...stuck, skew_ms: -86400000, recv: '2026-03-11T21:00:10Z' }], '22:00', before), [
    'right',
    'left',
  ]);
  // The server has not dated it.
  assert.deepEqual(ins([{ ...stuck, recv: undefined }]), ['right', 'left']);
});
