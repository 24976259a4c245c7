// What comes up by date, and what of it stands on the first screen. Dates are
// counted by hand from the plan below.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { coming, soon } from '../app/model/coming.js';
import { fold } from '../app/model/fold.js';
import { entries } from './entries.js';

const plan = /** @type {import('../../schedule/due.js').Plan} */ (
  /** @type {unknown} */ ({
    version: 1,
    zone: 'UTC',
    first_night: '2026-01-01',
    stopped: '',
    eyes: 'both',
    soak_minutes: 360,
    case_months: 3,
    lens_months: 0,
    holder_months: 2,
    deposit_removal_days: 0,
    acuity_every_days: 0,
    insertion_at: '21:00',
    removal_at: '07:00',
    evening_sight_at: '19:00',
    wear_to: '08:00',
    min_hours: 6,
    pauses: null,
  })
);
/** @param {string} kind @param {string} due @param {Record<string, unknown>} [more] */
const recall = (kind, due, more = {}) =>
  /** @type {import('../../schedule/due.js').Recall} */ (
    /** @type {unknown} */ ({ kind, due, date: '', state: 'due', passed: false, within_hours: 0, ...more })
  );
/** @param {string} today @param {ReturnType<typeof recall>[]} recalls @param {boolean} [stopped] */
const on = (today, recalls, stopped) =>
  coming(plan, recalls, [...fold([]).values()], { today, now: Date.parse(`${today}T20:00:00Z`), zone: 'UTC', stopped });
const words = (/** @type {{rule: string, due: string}[]} */ list) => list.map(i => `${i.rule} ${i.due}`);

// A case of 1 January is due on 1 April, a holder on 1 March.
test('by date, with the last visit that went by and the first to come', () => {
  const visits = [
    recall('one-week', '2026-01-08', { state: 'overdue' }),
    recall('one-month', '2026-02-01', { state: 'missed' }),
    recall('recall', '2026-05-01', { state: 'booked', date: '2026-05-04' }),
    recall('recall', '2026-08-01'),
  ];
  assert.deepEqual(words(on('2026-02-10', visits)), [
    'recall 2026-02-01',
    'holder 2026-03-01',
    'case 2026-04-01',
    'recall 2026-05-04',
  ]);
  assert.deepEqual(
    words(
      on('2026-02-10', [
        recall('one-month', '2026-02-01', { state: 'kept' }),
        recall('one-week', '2026-01-08', { state: 'overdue', passed: true }),
      ]),
    ),
    ['holder 2026-03-01', 'case 2026-04-01'],
  );
});

test('while a visit is overdue, the next that nobody booked is not named beside it', () => {
  const visits = [recall('one-month', '2026-02-01', { state: 'overdue' }), recall('recall', '2026-05-01')];
  const listed = words(on('2026-02-10', visits)).filter(x => x.startsWith('recall'));
  assert.deepEqual(listed, ['recall 2026-02-01']);
});

// Tried as a family: "visit booked" above "overdue, not booked yet: please phone".
test('a visit that the clinic has booked stands for those that are due before it', () => {
  const of = (
    /** @type {ReturnType<typeof recall>[]} */ recalls,
    /** @type {{on: string, at?: string}[]} */ said = [],
  ) =>
    coming(plan, recalls, [], { today: '2026-02-10', now: Date.parse('2026-02-10T20:00:00Z'), zone: 'UTC', said })
      .filter(i => i.rule === 'recall')
      .map(i => [i.due, i.booked ? 'booked' : 'not booked', i.time ?? ''].join(' ').trim());
  const overdue = recall('one-month', '2026-02-05', { state: 'overdue' });
  assert.deepEqual(of([overdue]), ['2026-02-05 not booked']);
  assert.deepEqual(of([overdue], [{ on: '2026-02-11', at: '10:00' }]), ['2026-02-11 booked 10:00'], 'told of');
  const booked = recall('unscheduled', '2026-02-11', { state: 'booked', date: '2026-02-11', time: '10:00' });
  assert.deepEqual(
    of([overdue, booked], [{ on: '2026-02-11', at: '10:00' }]),
    ['2026-02-11 booked 10:00'],
    'and listed',
  );
  assert.deepEqual(of([overdue], [{ on: '2026-02-01' }]), ['2026-02-05 not booked'], 'a visit of before');
  const late = recall('recall', '2026-05-01', { state: 'booked', date: '2026-05-04' });
  assert.ok(of([overdue, late]).includes('2026-02-05 not booked'), 'one in three months stands for none of today');
});

// 2 December 2026, 20:00 UTC by `on`: an hour after its time a visit of today is past (ours).
test('a visit of today that has gone by comes up no more', () => {
  const visit = (/** @type {string} */ time, due = '2026-12-02') =>
    on('2026-12-02', [recall('recall', due, { state: 'booked', time })]).some(i => i.rule === 'recall');
  assert.equal(visit('10:00'), false);
  assert.equal(visit('19:30'), true, 'it may go on still');
  assert.equal(visit('21:00'), true);
  assert.equal(visit('10:00', '2026-12-03'), true, 'of tomorrow');
});

test('under a stop nothing is replaced or thrown away; a visit stays', () => {
  assert.deepEqual(words(on('2026-04-01', [recall('recall', '2026-04-02')], true)), ['recall 2026-04-02']);
});

test('a first morning says within how many hours of waking', () => {
  const [visit, holder] = on('2026-01-01', [recall('first-morning', '2026-01-02', { within_hours: 2 })]);
  assert.deepEqual([visit.within, holder.within], [2, 0]);
});

// 4 January 2026 is a Sunday. A clinic that is closed on it books no first morning there.
test('a visit that nobody booked has no date on which the clinic is closed', () => {
  const list = (/** @type {boolean} */ open, /** @type {object} */ more = {}) =>
    coming(plan, [recall('first-morning', '2026-01-04', { within_hours: 2, ...more })], [], {
      today: '2026-01-03',
      now: Date.parse('2026-01-03T20:00:00Z'),
      zone: 'UTC',
      opens: date => open || date !== '2026-01-04',
    })[0];
  assert.deepEqual([list(false).booked, list(false).dated], [false, false]);
  assert.deepEqual([list(true).booked, list(true).dated], [false, true]);
  const booked = list(false, { state: 'booked', date: '2026-01-05', time: '08:10' });
  assert.deepEqual([booked.booked, booked.dated, booked.due, booked.time], [true, true, '2026-01-05', '08:10']);
});

// A pair of lenses of 1 January, kept for six months, is due on 1 July.
test('two lenses due at once are one line, and else each names its eye', () => {
  const half = { ...plan, lens_months: 6, holder_months: 0, case_months: 12 };
  const at = { today: '2026-02-01', now: Date.parse('2026-02-01T20:00:00Z'), zone: 'UTC' };
  const lines = (/** @type {import('../app/model/entry.js').Entry[]} */ log) =>
    coming(half, [], [...fold(log).values()], at)
      .filter(i => i.rule === 'lens')
      .map(i => [i.due, i.eye]);
  assert.deepEqual(lines([]), [['2026-07-01', '']]);
  const write = entries(1);
  const right = write('2026-02-01', 'supply', { item: 'lens', action: 'started', on: '2026-02-01', eye: 'right' });
  assert.deepEqual(lines([right]), [
    ['2026-07-01', 'left'],
    ['2026-08-01', 'right'],
  ]);
});

test('a lens that was lost has no date on which it is replaced; the other one has', () => {
  const write = entries(1);
  const log = [
    write('2026-01-10', 'supply', { item: 'lens', action: 'started', on: '2026-01-10', eye: 'both' }),
    write('2026-02-01', 'supply', {
      item: 'lens',
      action: 'discarded',
      on: '2026-02-01',
      eye: 'right',
      why: 'lost',
      of: 'id-0001',
    }),
  ];
  const at = { today: '2026-02-10', now: Date.parse('2026-02-10T20:00:00Z'), zone: 'UTC' };
  const due = coming({ ...plan, lens_months: 12 }, [], [...fold(log).values()], at).filter(i => i.rule === 'lens');
  assert.deepEqual(
    due.map(i => [i.eye, i.due]),
    [['left', '2027-01-10']],
  );
});

test('on the first screen: a visit from a week ahead, the rest on its day, and not twice what the rules say once it is overdue', () => {
  const booked = [recall('recall', '2026-04-02')];
  const near = (/** @type {string} */ today) => words(soon(on(today, booked), today));
  assert.deepEqual(near('2026-02-28'), []);
  assert.deepEqual(near('2026-03-01'), ['holder 2026-03-01']);
  assert.deepEqual(near('2026-03-25'), ['holder 2026-03-01']);
  assert.deepEqual(near('2026-03-26'), ['holder 2026-03-01', 'recall 2026-04-02']);
  assert.deepEqual(near('2026-04-01'), ['holder 2026-03-01', 'case 2026-04-01', 'recall 2026-04-02']);
  assert.deepEqual(near('2026-04-03'), ['holder 2026-03-01', 'recall 2026-04-02']); // the case is told by the rules
});
