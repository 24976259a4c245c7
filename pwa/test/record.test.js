// What the rules see in this phone's log, on the vectors that the server is
// checked on (testdata/care/signs.json, worked out by hand), and which rules
// then fire offline.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { atHome } from '../../schedule/civil/civil.js';
import { fold } from '../app/model/fold.js';
import { findings, nightSigns, todayFacts } from '../app/model/record.js';

const { cases } = JSON.parse(readFileSync(new URL('../../testdata/care/signs.json', import.meta.url), 'utf8'));

for (const c of cases) {
  test(`signs: ${c.name}`, () => {
    const list = [...fold(c.entries).values()].sort((a, b) => (a.night < b.night ? -1 : 1));
    const known = JSON.parse(
      JSON.stringify(nightSigns(list, { minutes: c.soak_minutes, system: c.care_system ?? '' })),
    ); // without what is unknown
    assert.deepEqual(known, c.nights);
    assert.deepEqual(todayFacts(list, c.first_night, c.today), c.facts);
  });
}

let n = 0;
/** @param {string} kind @param {string} night @param {Record<string, unknown>} body */
const e = (kind, night, body) => ({
  id: `id-${++n}`,
  wearer: 'w1',
  device: 'd1',
  dseq: n,
  author: 'p1',
  kind,
  night,
  wall: `${night}T21:00:00`,
  zone: 'UTC',
  offset: 0,
  hlc: `${String(n).padStart(13, '0')}-0000`,
  v: 1,
  body,
});
const plan = /** @type {import('../../schedule/due.js').Plan} */ (
  /** @type {unknown} */ ({
    version: 1,
    zone: 'UTC',
    first_night: '2026-01-01',
    stopped: '',
    eyes: 'both',
    soak_minutes: 360,
    case_months: 1,
    lens_months: 0,
    holder_months: 0,
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
const NEW_CASE = e('supply', '2026-03-01', { item: 'case', action: 'started', on: '2026-03-01' });

/** @param {ReturnType<typeof e>[]} entries @param {string} [today] @param {Record<string, number>|null} [settings] */
const fired = (entries, today = '2026-03-20', settings = null) =>
  findings([...fold([NEW_CASE, ...entries]).values()], plan, today, Date.parse(`${today}T21:00:00Z`), 'UTC', settings)
    .map(f => f.rule)
    .filter(r => r !== 'silence'); // a log of one line is silent; see rules-fire.test.js

test('offline, from this phone alone', () => {
  assert.deepEqual(fired([]), []);
  assert.deepEqual(
    fired([e('morning', '2026-03-14', { moved: 'stuck-came-off' }), e('morning', '2026-03-19', { moved: 'stuck' })]),
    ['stuck-twice'],
  );
  assert.deepEqual(fired([e('care', '2026-03-19', { tap_water: true })]), ['tap-water']);
  assert.deepEqual(
    fired([e('care', '2026-03-10', { water_contact: true }), e('morning', '2026-03-19', { redness: 1, comfort: 4 })]),
    ['morning-red', 'sign-after-water'],
  );
  assert.deepEqual(fired([e('morning', '2026-03-19', { redness: 1, comfort: 1 })])[0], 'morning-red-and-sore');
  assert.deepEqual(
    fired([
      e('care', '2026-03-19', { closed_at: '07:30' }),
      e('insertion', '2026-03-20', { at: '13:00', eyes: 'both' }),
    ]),
    ['soak-short'],
  );
  // a case of 1 March, changed every month, is due on 1 April and overdue on the 2nd
  assert.deepEqual(fired([], '2026-04-01'), []);
  assert.deepEqual(fired([], '2026-04-02'), ['case-overdue']);
  // a bottle opened on 1 March that keeps 15 days is due on the 16th
  assert.deepEqual(
    fired([
      e('supply', '2026-03-01', { item: 'solution', action: 'started', on: '2026-03-01', discard_after_days: 15 }),
    ]),
    ['bottle-overdue'],
  );
});

// By hand: a plan that replaces lenses after one month, a pair of 1 March, on 20 March, and on 2 April.
test('a lens that was lost is past no date, the other one is by its own', () => {
  const [pair, lost] = [
    e('supply', '2026-03-01', { item: 'lens', action: 'started', on: '2026-03-01', eye: 'both' }),
    e('supply', '2026-03-12', { item: 'lens', action: 'discarded', on: '2026-03-12', eye: 'right', why: 'lost' }),
  ];
  const of = (/** @type {string} */ on, /** @type {ReturnType<typeof e>[]} */ ...more) =>
    findings(
      [...fold([pair, ...more]).values()],
      { ...plan, first_night: '2025-01-01', lens_months: 1 },
      on,
      Date.parse(`${on}T21:00:00Z`),
      'UTC',
      null,
    ).some(f => f.rule === 'lens-overdue');
  assert.equal(of('2026-03-20'), false);
  assert.equal(of('2026-03-20', lost), false, 'not by the first night of the plan');
  assert.equal(of('2026-04-02', lost), true, 'the left one of 1 March');
});

test('a practice that watches longer after water is heard', () => {
  const log = [e('care', '2025-12-09', { tap_water: true }), e('morning', '2026-03-19', { redness: 1 })]; // 100 days
  assert.ok(!fired(log).includes('sign-after-water'), '90 days by default');
  assert.ok(fired(log, '2026-03-20', { water_watch_days: 100 }).includes('sign-after-water'));
  assert.ok(!fired(log, '2026-03-20', { water_watch_days: 99 }).includes('sign-after-water'));
});

test('clocks of a journey weeks ago are not read: no rule asks for them, and Intl is slow', () => {
  const Real = Intl.DateTimeFormat;
  let made = 0;
  Intl.DateTimeFormat = /** @type {any} */ (
    class extends Real {
      /** @param {any[]} a */
      constructor(...a) {
        super(...a);
        made++;
      }
    }
  );
  atHome('UTC');
  try {
    const since = ['17', '18', '19'].map(day => e('care', `2026-03-${day}`, { rub: true })); // of the last three the schedule asks when lenses came out
    const abroad = (/** @type {string} */ night) =>
      [e('insertion', night, { at: '21:00', eyes: 'both' }), e('removal', night, { at: '07:00', eyes: 'both' })].map(
        x => ({ ...x, zone: 'Pacific/Chatham' }),
      );
    fired([...abroad('2026-03-13'), ...since]);
    assert.equal(made, 0);
    fired([...abroad('2026-03-14'), ...since]); // the first of the seven nights whose hours count
    assert.equal(made, 1);
  } finally {
    Intl.DateTimeFormat = Real;
    atHome('');
  }
});
