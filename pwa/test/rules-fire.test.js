// No rule is dead: each fires from what a family writes and from what time
// brings, on the phone's own way from entries to findings, never from facts set
// by hand. A rule that no scenario reaches fails.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { addDays } from '../../schedule/civil/civil.js';
import { fold } from '../app/model/fold.js';
import { findings } from '../app/model/record.js';
import { outcome, RULES } from '../app/model/report.js';

const TODAY = '2026-03-28';
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
const NEW_CASE = e('supply', 19, { item: 'case', action: 'started', on: addDays(TODAY, -19) });
/**
 * @typedef {object} Scenario
 * @property {[string, number, Record<string, any>][]} log kind, nights ago, body
 * @property {Record<string, unknown>} [plan]
 * @property {import('../app/model/record.js').FromServer} [server] what the practice told the phone last
 * @property {Record<string, number>} [settings]
 */
const raw = readFileSync(new URL('../../testdata/care/fire.json', import.meta.url), 'utf8');
/** @type {{record: Record<string, Scenario>, farthest: Scenario & {rule: string}, reports: Record<string, Record<string, unknown>>, settings: Record<string, {rule: string, yes: number, no: number}>}} */
const FILE = JSON.parse(raw.replace(/"@(\d+)"/g, (_, ago) => `"${addDays(TODAY, -Number(ago))}"`));
const { record: RECORD, reports: REPORTS, settings: SETTINGS } = FILE;

/** @param {Scenario} s @returns {string[]} */
const fired = s => {
  const log = s.log.map(([kind, ago, body]) => e(kind, ago, body));
  return findings(
    [...fold([...(log.some(x => x.body.item === 'case') ? [] : [NEW_CASE]), ...log]).values()],
    plan(s.plan),
    TODAY,
    Date.parse(`${TODAY}T21:00:00Z`),
    'UTC',
    s.settings ?? null,
    s.server,
  ).map(f => f.rule);
};

for (const rule of RULES.rules.filter(r => r.about === 'record')) {
  test(`fires from the log or from time: ${rule.id}`, () => {
    assert.ok(RECORD[rule.id], 'no scenario reaches this rule');
    assert.ok(fired(RECORD[rule.id]).includes(rule.id), `fired: ${fired(RECORD[rule.id])}`);
  });
}

for (const rule of RULES.rules.filter(r => r.about === 'symptoms')) {
  test(`fires from a report: ${rule.id}`, () => {
    assert.ok(REPORTS[rule.id], 'no report reaches this rule');
    assert.ok(
      outcome(e('symptoms', 0, REPORTS[rule.id])).findings.some(f => f.rule === rule.id && f.state === 'fired'),
    );
  });
}

for (const [name] of RULES.settingDefs) {
  test(`the setting ${name} moves what the family is told`, () => {
    const { rule, yes, no } = SETTINGS[name];
    const s = RECORD[rule];
    assert.ok(fired({ ...s, settings: { [name]: yes } }).includes(rule), `${yes}`);
    assert.ok(!fired({ ...s, settings: { [name]: no } }).includes(rule), `${no}`);
  });
}

// A sign of the oldest night that still counts, and water as long before it as a practice may watch.
test('the nights that rules look at cover the longest watch after water', () => {
  const far = FILE.farthest;
  assert.ok(fired(far).includes(far.rule));
  assert.ok(!fired({ ...far, settings: { water_watch_days: 119 } }).includes(far.rule));
});

test('a pause, a snooze and a word of the practice are no word of how a wearer is', () => {
  /** @type {[string, number, Record<string, any>][]} */
  const log = [
    ['care', 4, { rub: true }],
    ['snooze', 1, { until: '22:00' }],
    ['word', 0, { text: 'x' }],
  ];
  assert.ok(fired({ log }).includes('silence'));
});
