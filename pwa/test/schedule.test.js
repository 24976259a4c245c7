// The schedule twin on the vectors that the Go package is checked on. They
// were worked out by hand; each file says how.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { due, recalls, soakFor, supplies } from '../../schedule/due.js';
import { ownFaults } from '../app/model/own-times.js';
import { instantAt } from '../../schedule/civil/civil.js';

/** @typedef {import('../../schedule/due.js').Plan} Plan */

/**
 * @param {string} path below the repository
 * @returns {any} the vectors differ in shape from file to file
 */
const read = path => JSON.parse(readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8'));
const { rules } = read('schedule/rules.json');

/**
 * @param {string} firstNight
 * @returns {Plan} the plan the vector files speak of
 */
function basePlan(firstNight) {
  return {
    version: 1,
    from: '',
    zone: 'Europe/London',
    first_night: firstNight,
    stopped: '',
    eyes: 'both',
    wear_from: '20:00',
    wear_to: '08:00',
    min_hours: 6,
    care_system: 'multipurpose',
    soak_minutes: 360,
    deposit_removal_days: 0,
    case_months: 3,
    lens_months: 0,
    holder_months: 0,
    acuity_every_days: 0,
    recalls: null,
    recalls_from: '',
    insertion_at: '21:00',
    removal_at: '07:00',
    evening_sight_at: '18:30',
    quiet_from: '22:30',
    quiet_to: '06:30',
    remind_first: 'parent',
    parent_after_minutes: 0,
    lock_screen_words: 'neutral',
    off: null,
    pauses: null,
  };
}

const emptyLog = { nights: [], supplies: [], lens_starts: [], visits: [] };

for (const c of read('testdata/schedule/soak.json').cases) {
  test(`soak: ${c.name}`, () => {
    const got = soakFor(c.closed && Date.parse(c.closed), c.soak_minutes, Date.parse(c.bedtime));
    assert.equal(got.ready, c.ready && Date.parse(c.ready));
    assert.deepEqual([got.in_time, got.minutes, got.advice], [c.in_time, c.minutes, c.advice]);
    assert.equal(got.not_worn, c.in_time ? '' : 'soak-not-ready');
  });
}

for (const c of read('testdata/schedule/supplies.json').cases) {
  test(`supplies: ${c.name}`, () => {
    const plan = { ...basePlan('2026-01-01'), ...c.plan };
    const input = {
      plan,
      zone: 'UTC',
      now: instantAt(c.today, '13:00', 'UTC'),
      log: { ...emptyLog, ...c.log },
      unsent: 0,
    };
    const got = supplies(input, rules).map(i => ({
      rule: i.rule,
      due: i.due,
      overdue: i.overdue,
      subject: i.subject,
      label: i.label,
    }));
    assert.deepEqual(
      got,
      c.want.map((/** @type {object} */ w) => ({ subject: '', label: '', ...w })),
    );
  });
}

for (const c of read('testdata/schedule/recalls.json').cases) {
  test(`recalls: ${c.name}`, () => {
    const series = [
      { kind: 'first-morning', days: 1 },
      { kind: 'one-week', days: 7 },
      { kind: 'two-week', days: 14 },
      { kind: 'one-month', months: 1 },
      ...(c.every ? [{ kind: 'recall', months: 3 }] : []),
      { kind: 'recall', every_months: c.every ?? 3 },
    ];
    const plan = { ...basePlan(c.first_night), stopped: c.stopped ?? '', taken_over: c.taken_over, recalls: series };
    const got = recalls(plan, c.visits, c.lens_starts ?? [], c.today);
    assert.deepEqual(
      got.map(r => [r.kind, r.due, r.state, r.overdue]),
      c.want,
    );
    if (c.passed) {
      assert.deepEqual(
        got.filter(r => r.passed && r.state !== 'kept' && r.state !== 'waived').map(r => r.due),
        c.passed,
      );
    }
    for (const r of got) assert.equal(r.within_hours, r.kind === 'first-morning' ? 2 : 0);
  });
}

for (const c of read('testdata/schedule/due.json').cases) {
  test(`due: ${c.name}`, () => {
    const [date, at] = c.now.split('T');
    const log = { ...emptyLog, ...c.log, nights: c.nights ?? [] };
    const input = {
      plan: { ...basePlan('2026-03-01'), ...c.plan },
      zone: c.zone,
      now: instantAt(date, at, c.zone),
      log,
      unsent: c.unsent ? instantAt(c.unsent.slice(0, 10), c.unsent.slice(11), c.zone) : 0,
    };
    assert.deepEqual(
      due(input, rules).map(i => [i.rule, i.due || i.date]),
      c.want,
    );
  });
}

for (const c of read('testdata/schedule/reminders.json').cases) {
  test(`reminder of ${c.rule}, ${c.state}: ${c.name}`, () => {
    const wall = (/** @type {string} */ s) => instantAt(s.slice(0, 10), s.slice(11), 'Europe/London');
    const log = { ...emptyLog, ...c.log, nights: c.nights ?? [] };
    const input = {
      plan: { ...basePlan('2026-03-01'), ...c.plan },
      zone: 'Europe/London',
      now: wall(c.now),
      log,
      unsent: c.unsent ? wall(c.unsent) : 0,
    };
    assert.equal(
      due(input, rules).some(i => i.rule === c.rule),
      c.due,
    );
  });
}

for (const c of read('testdata/schedule/own.json').cases) {
  test(`own times: ${c.name}`, () => {
    const said = ownFaults(basePlan('2026-03-01'), { every: {}, free: {}, ...c.own }).map(f =>
      f.from
        ? `own.${f.field}: want a time ${f.quiet ? 'outside the quiet hours' : 'from'} ${f.from} to ${f.to}`
        : `own.${f.field}`,
    );
    const want = c.want.map((/** @type {string} */ w) => (w.includes('want a time') ? w : w.split(':')[0]));
    assert.deepEqual(said.sort(), want.sort());
  });
}
