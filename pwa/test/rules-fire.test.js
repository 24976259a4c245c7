// No rule is dead: each fires from what a family writes and from what time
// brings, on the phone's own way from entries to findings, never from facts set
// by hand. A rule that no scenario reaches fails.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { addDays } from '../../schedule/civil/civil.js';
import { fold } from '../app/model/fold.js';
import { findings } from '../app/model/record.js';
import { outcome, RULES } from '../app/model/report.js';

const TODAY = '2026-03-20';
let n = 0;
/** @param {string} kind @param {number} ago nights @param {Record<string, unknown>} body @returns {import('../app/model/entry.js').Entry} */
const e = (kind, ago, body) => ({
  id: `id-${++n}`,
  wearer: 'w1',
  device: 'd1',
  dseq: n,
  author: 'p1',
  kind,
  night: addDays(TODAY, -ago),
  wall: `${addDays(TODAY, -ago)}T21:00:00`,
  zone: 'UTC',
  offset: 0,
  hlc: `${String(n).padStart(13, '0')}-0000`,
  v: 1,
  body,
});
const plan = (/** @type {Record<string, unknown>} */ more = {}) =>
  /** @type {import('../../schedule/due.js').Plan} */ (
    /** @type {unknown} */ ({
      version: 1,
      zone: 'UTC',
      first_night: '2026-01-01',
      stopped: '',
      eyes: 'both',
      care_system: 'multipurpose',
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
      ...more,
    })
  );
const NEW_CASE = e('supply', 19, { item: 'case', action: 'started', on: '2026-03-01' });
/** @param {number} nights @param {(ago: number) => import('../app/model/entry.js').Entry} make @param {number} [from] */
const row = (nights, make, from = 0) => Array.from({ length: nights }, (_, i) => make(i + from));
/** @param {number} ago @param {Record<string, unknown>} body */
const morning = (ago, body) => e('morning', ago, body);
const evenings = (/** @type {number[]} */ last) => [
  ...row(20, i => e('evening-sight', i + last.length, { rating: 5 })),
  ...last.map((rating, i) => e('evening-sight', last.length - 1 - i, { rating })),
];

/** @typedef {{log: import('../app/model/entry.js').Entry[], plan?: Record<string, unknown>, server?: import('../app/model/record.js').FromServer, settings?: Record<string, number>}} Scenario */
/** By rule about the record. @type {Record<string, Scenario>} */
const RECORD = {
  'morning-red-and-sore': { log: [morning(0, { redness: 1, comfort: 1 })] },
  'morning-stuck-and-red': { log: [morning(0, { redness: 1, moved: 'stuck-came-off' })] },
  'halo-and-red': { log: [morning(0, { redness: 1 }), e('evening-sight', 0, { rating: 3, halos: 'troublesome' })] },
  'morning-red': { log: [morning(1, { redness: 1 })] },
  'morning-stuck-and-sore': { log: [morning(0, { comfort: 1, moved: 'stuck' })] },
  'sign-again': {
    log: [e('symptoms', 0, { right: { redness: 'mild' } }), e('symptoms', 9, { left: { gritty: 'stays' } })],
  },
  'sign-after-water': {
    log: [e('care', 60, { water_contact: true }), e('symptoms', 3, { right: { redness: 'mild' } })],
  },
  'peroxide-felt': {
    plan: { care_system: 'peroxide' },
    log: [
      e('care', 1, { closed_at: '07:30' }),
      e('insertion', 0, { at: '13:00', eyes: 'both' }),
      morning(0, { comfort: 3 }),
    ],
  },
  'morning-sore': { log: [morning(0, { comfort: 1 })] },
  'stuck-twice': { log: [morning(0, { moved: 'stuck-came-off' }), morning(6, { moved: 'stuck' })] },
  'tap-water': { log: [e('care', 0, { rinse: 'tap-water' })] },
  'water-contact': { log: [e('care', 1, { water_contact: true })] },
  'peroxide-short': {
    plan: { care_system: 'peroxide' },
    log: [e('care', 1, { closed_at: '07:30' }), e('insertion', 0, { at: '13:00', eyes: 'both' })],
  },
  'soak-short': { log: [e('care', 1, { closed_at: '07:30' }), e('insertion', 0, { at: '13:00', eyes: 'both' })] },
  'worn-while-ill': {
    log: [e('insertion', 0, { at: '21:00', eyes: 'both' }), e('symptoms', 0, { right: { lens: 'in' }, ill: 'yes' })],
  },
  'lens-overdue': {
    plan: { lens_months: 1 },
    log: [e('supply', 60, { item: 'lens', action: 'started', on: '2026-01-19', eye: 'both' })],
  },
  'missed-often': { log: row(4, i => e('not-worn', i, { reason: 'forgot', eyes: 'both' })) },
  'evening-below-own': { log: evenings([4, 4, 4]) },
  'evening-drop-marked': { log: evenings([3]) },
  'behind-adaptation': { log: [], server: { outlook: { status: 'behind' } } },
  silence: { log: [e('care', 4, { rub: true })] },
  'recall-overdue': { log: [], server: { recalls: [{ due: addDays(TODAY, -7), state: 'overdue' }] } },
  'halo-late': { log: row(3, i => e('evening-sight', i, { rating: 4, halos: 'some' })) },
  'topping-off': { log: [e('care', 0, { topping_off: true })] },
  'missed-night': { log: [e('not-worn', 0, { reason: 'tired', eyes: 'both' })] },
  'missed-row': { log: row(2, i => e('not-worn', i, { reason: 'tired', eyes: 'both' })) },
  'short-nights': {
    log: [
      ...row(3, i => e('insertion', i, { at: '23:00', eyes: 'both' })),
      ...row(3, i => e('removal', i, { at: '04:00', eyes: 'both' })),
    ],
  },
  'halo-early': { plan: { first_night: '2026-03-01' }, log: [e('evening-sight', 0, { rating: 4, halos: 'some' })] },
  'case-overdue': { log: [e('supply', 78, { item: 'case', action: 'started', on: '2026-01-01' })] },
  'bottle-overdue': {
    log: [e('supply', 30, { item: 'solution', action: 'started', on: '2026-02-18', discard_after_days: 15 })],
  },
  'deposit-overdue': { plan: { deposit_removal_days: 7 }, log: [e('care', 20, { deposit_removal: true })] },
};

/** @param {Scenario} s @returns {string[]} */
const fired = s =>
  findings(
    [...fold([...(s.log.some(x => x.body.item === 'case') ? [] : [NEW_CASE]), ...s.log]).values()],
    plan(s.plan),
    TODAY,
    Date.parse(`${TODAY}T21:00:00Z`),
    'UTC',
    s.settings ?? null,
    s.server,
  ).map(f => f.rule);

for (const rule of RULES.rules.filter(r => r.about === 'record')) {
  test(`fires from the log or from time: ${rule.id}`, () => {
    assert.ok(RECORD[rule.id], 'no scenario reaches this rule');
    assert.ok(fired(RECORD[rule.id]).includes(rule.id), `fired: ${fired(RECORD[rule.id])}`);
  });
}

/** By rule about symptoms. @type {Record<string, Record<string, unknown>>} */
const REPORTS = {
  chemical: { right: { injury: 'chemical' } },
  'now-chemical': { now: 'chemical' },
  'open-eye': { right: { injury: 'fragment' } },
  'now-cut': { now: 'cut' },
  'now-bad': { now: 'shut' },
  'sight-sudden': { left: { sight: 'curtain' } },
  blood: { right: { redness: 'blood' } },
  pupil: { right: { pupil: 'yes' } },
  'lid-shut': { right: { lid: 'shut' } },
  'lid-and-ill': { right: { lid: 'swollen' }, ill: 'yes' },
  injury: { right: { injury: 'knock' } },
  'pain-severe': { right: { pain: 'beyond' } },
  'pain-persists': { right: { pain: 'persists' } },
  light: { right: { light: 'yes' } },
  'sight-blurred': { right: { sight: 'blurred' } },
  spot: { right: { spot: 'yes' } },
  pus: { right: { discharge: 'pus' } },
  'red-and-pain': { right: { redness: 'mild', pain: 'gone' } },
  'red-and-blur': { right: { redness: 'mild', sight: 'clears' } },
  'stuck-and-red': { right: { lens: 'stuck-came-off', redness: 'mild' } },
  redness: { right: { redness: 'mild' } },
  gritty: { right: { gritty: 'stays' } },
  discharge: { right: { discharge: 'waking' } },
  'lid-swollen': { right: { lid: 'swollen' } },
  scratch: { right: { injury: 'scratch' } },
  'sign-with-water': { right: { pain: 'gone' }, water: 'yes' },
  'stuck-and-sore': { right: { lens: 'stuck-came-off', gritty: 'insertion' } },
  'lens-not-out': { right: { lens: 'cannot-find' } },
  'pain-gone': { right: { pain: 'gone' } },
  grit: { right: { injury: 'grit' } },
  'lens-broken': { right: { lens: 'broken' } },
  'lens-came-off': { right: { lens: 'stuck-came-off' } },
  'sight-clears': { right: { sight: 'clears' } },
  'gritty-insertion': { right: { gritty: 'insertion' } },
  ill: { right: {}, ill: 'yes' },
};
for (const rule of RULES.rules.filter(r => r.about === 'symptoms')) {
  test(`fires from a report: ${rule.id}`, () => {
    assert.ok(REPORTS[rule.id], 'no report reaches this rule');
    assert.ok(
      outcome(e('symptoms', 0, REPORTS[rule.id])).findings.some(f => f.rule === rule.id && f.state === 'fired'),
    );
  });
}

/** For each setting: what fires at one value and not at another. @type {Record<string, {rule: string, s: Scenario, yes: number, no: number}>} */
const SETTINGS = {
  water_watch_days: { rule: 'sign-after-water', s: RECORD['sign-after-water'], yes: 90, no: 28 },
  missed_nights: { rule: 'missed-often', s: RECORD['missed-often'], yes: 4, no: 5 },
  evening_drop_nights: { rule: 'evening-below-own', s: RECORD['evening-below-own'], yes: 3, no: 4 },
  short_night_minutes: { rule: 'short-nights', s: RECORD['short-nights'], yes: 301, no: 300 },
  silent_nights: { rule: 'silence', s: RECORD.silence, yes: 3, no: 4 },
  recall_grace_days: { rule: 'recall-overdue', s: RECORD['recall-overdue'], yes: 7, no: 8 },
};
for (const [name] of RULES.settingDefs) {
  test(`the setting ${name} moves what the family is told`, () => {
    const { rule, s, yes, no } = SETTINGS[name];
    assert.ok(fired({ ...s, settings: { [name]: yes } }).includes(rule), `${yes}`);
    assert.ok(!fired({ ...s, settings: { [name]: no } }).includes(rule), `${no}`);
  });
}

test('a pause, a snooze and a word of the practice are no word of how a wearer is', () => {
  const log = [e('care', 4, { rub: true }), e('snooze', 1, { until: '22:00' }), e('word', 0, { text: 'x' })];
  assert.ok(fired({ log }).includes('silence'));
});
