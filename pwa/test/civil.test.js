// The calendar twin against expectations of other libraries; the vector file
// names them.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import {
  addDays,
  addMonths,
  atHome,
  clock,
  daysBetween,
  instantAt,
  isDate,
  minutes,
  nightOf,
  wallAt,
  weekday,
} from '../../schedule/civil/civil.js';

const vectors = JSON.parse(readFileSync(new URL('../../testdata/civil/civil.json', import.meta.url), 'utf8'));

test('wall-clock times to instants, through every change of the clock', () => {
  assert.ok(vectors.instants.length > 600);
  for (const v of vectors.instants) {
    assert.equal(instantAt(v.date, v.clock, v.zone), Date.parse(v.utc), `${v.date} ${v.clock} ${v.zone} ${v.kind}`);
  }
});

test('months clamp to the last day', () => {
  for (const v of vectors.months) assert.equal(addMonths(v.date, v.months), v.want, `${v.date} + ${v.months}`);
});

test('days and weekdays', () => {
  for (const v of vectors.days) {
    assert.equal(addDays(v.date, v.days), v.want);
    assert.equal(daysBetween(v.date, v.want), v.days);
    assert.equal(weekday(v.date), v.weekday);
  }
});

test('a night runs from noon to noon', () => {
  for (const v of vectors.nights) assert.equal(nightOf(Date.parse(v.utc), v.zone), v.night, `${v.utc} ${v.zone}`);
});

test('refuses what is not a date or a time', () => {
  for (const s of ['', '2026-02-30', '2026-2-3', '20260203', '2026-13-01', null, 5])
    assert.equal(isDate(s), false, String(s));
  for (const s of ['', '24:00', '7:30', '07:60', '07:30:00']) assert.throws(() => minutes(s), RangeError, s);
  assert.equal(clock(-30), '23:30');
  assert.equal(clock(1445), '00:05');
});

test('a zone younger than the browser is read as its own, and stops nothing', () => {
  const home = new Intl.DateTimeFormat().resolvedOptions().timeZone;
  const at = Date.UTC(2026, 2, 23, 12);
  assert.deepEqual(wallAt(at, 'Nowhere/Yet'), wallAt(at, home));
});

test('at home the clock of the machine says the same as Intl', () => {
  const home = new Intl.DateTimeFormat().resolvedOptions().timeZone;
  for (const zone of [home, 'America/St_Johns']) {
    for (let at = Date.UTC(2024, 0); at < Date.UTC(2027, 0); at += 7 * 3600000) {
      atHome('');
      const asked = wallAt(at, zone);
      atHome(home);
      assert.deepEqual(wallAt(at, zone), asked);
    }
  }
  atHome('');
});
