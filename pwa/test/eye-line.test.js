// How the family's phone words one eye that waits for a release: the check is asked
// for where the release asks for it, and nowhere else. What each release says is the
// clinician's tick ("only after a check") in server/internal/care/ENTRIES.md.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { en } from '../app/text/en/words.js';
import { wearNow } from '../app/app.js';
import { loadWords } from '../app/text/text.js';
import { fold } from '../app/model/fold.js';
import { causes, checkDue, eyesApart, soonest, standing, told } from '../app/views/wear.js';

const words = await loadWords('en');
const REPORT = '11111111-1111-4111-8111-111111111111';

/** @param {string} id @param {string} kind @param {string} night @param {Record<string, unknown>} body */
const entry = (id, kind, night, body) => ({
  id,
  entry: {
    id,
    kind,
    wearer: 'w1',
    night,
    wall: `${night}T20:00:00`,
    zone: 'UTC',
    offset: 0,
    hlc: `${night}-${id}`,
    body,
  },
  state: 'stored',
});

/** @param {ReturnType<typeof entry>[]} list @returns {any} a phone on 3 December, both eyes stopped by a report of 30 November */
const phone = list => {
  const told = { right: 'stop', left: 'stop', table: 1 };
  const body = { right: { pain: 'persists' }, left: { pain: 'persists' }, told, table: 1 };
  const all = [entry(REPORT, 'symptoms', '2026-11-30', body), ...list];
  return {
    words,
    wearer: 'w1',
    zone: 'UTC',
    now: Date.parse('2026-12-03T20:00:00Z'),
    skew: 0,
    nights: new Map(),
    records: new Map(all.map(r => [r.id, r])),
    alerts: [],
    family: { contacts: { clinic: 'The clinic' }, wearers: [{ id: 'w1', name: 'Child', plan: null }] },
  };
};

/** @param {string} digit @param {string} from @param {boolean} check */
const release = (digit, from, check) =>
  entry(`${digit.repeat(8)}-2222-4222-8222-222222222222`, 'resume', '2026-12-01', {
    eyes: 'right',
    answers: [REPORT],
    from,
    ...(check ? { check } : {}),
  });

for (const [name, list, asks] of /** @type {[string, ReturnType<typeof entry>[], boolean][]} */ ([
  ['a release asks for a check', [release('2', '2026-12-04', true)], true],
  ['a release asks for none', [release('2', '2026-12-04', false)], false],
  ['the last asks for none', [release('2', '2026-12-02', true), release('3', '2026-12-04', false)], false],
]))
  test(`right eye from Friday: ${name}`, () => {
    const [right, left] = eyesApart(phone(list));
    assert.ok(right.includes(words.date('2026-12-04')), right);
    assert.equal(right.includes(en['wear.eye.check']), asks, right);
    assert.ok(left.includes(en['wear.eye.stop']), left);
  });

test('of a clock that is known to be wrong the release is named by its day, never "this evening"', () => {
  const list = [release('2', '2026-12-04', true)];
  const eve = { ...phone(list), now: Date.parse('2026-12-04T20:00:00Z') };
  const ahead = { ...eve, skew: -86400000 };
  const [right] = eyesApart(ahead);
  assert.ok(right.includes(words.date('2026-12-04')), right);
  const noon = { ...phone(list), now: Date.parse('2026-12-04T10:00:00Z') };
  assert.ok(eyesApart(noon)[0].includes(words.t('wear.eye.until-today', { night: '' })), eyesApart(noon)[0]);
});

// The design of the wear state, "Travel": the night asked for is the earlier of the phone's
// clock and that clock corrected by the last known skew, in the phone's zone.
for (const [name, now, skew, zone, state] of /** @type {[string, string, number, string, string][]} */ ([
  ['the clock is right', '2026-12-04T20:00:00Z', 0, 'UTC', 'none'],
  ['it is a day ahead', '2026-12-04T20:00:00Z', -86400000, 'UTC', 'stop'],
  ['it is a day behind', '2026-12-03T20:00:00Z', 86400000, 'UTC', 'stop'],
  [
    'a journey east: 11:00 of the 4th there is the night of the 3rd still',
    '2026-12-04T02:00:00Z',
    0,
    'Asia/Tokyo',
    'stop',
  ],
  ['a journey east: the evening of the 4th there', '2026-12-04T10:00:00Z', 0, 'Asia/Tokyo', 'none'],
  ['a journey west: the 3rd there, the 4th at home', '2026-12-04T17:00:00Z', 0, 'Pacific/Honolulu', 'stop'],
]))
  test(`right eye from the 4th: ${name}`, () => {
    const s = { ...phone([release('2', '2026-12-04', false)]), now: Date.parse(now), skew, zone };
    assert.equal(wearNow(s).right.state, state);
    assert.equal(wearNow(s).left.state, 'stop');
  });

test('the wait of an eye reported as an emergency does not fall when the other is released', () => {
  const s = phone([release('2', '2026-12-02', false)]);
  s.alerts = [{ id: 'a', wearer: 'w1', level: 'emergency', state: 'closed', entry: REPORT, entries: [REPORT] }];
  assert.equal(soonest(s, causes(s)), 'emergency');
});

test('an eye that the plan has no lens for is promised none, not even by its release', () => {
  const s = phone([release('2', '2026-12-04', false)]);
  s.family.wearers[0].plan = { version: 2, first_night: '2026-01-01', eyes: 'left', from: '2026-12-01' };
  const [right, left] = eyesApart(s);
  assert.ok(right.endsWith(en['wear.eye.plan']), right);
  assert.ok(left.endsWith(en['wear.eye.stop']), left);
});

// No eye may have a lens: none is named as the one, and each says its own reason (by hand).
test('one eye stopped, the other without a lens: the heading names neither', () => {
  const s = phone([release('2', '2026-12-02', false)]);
  assert.equal(standing(s), 'Left eye: no lens', 'the right one may have a lens');
  const planned = phone([release('2', '2026-12-02', false)]);
  planned.family.wearers[0].plan = { version: 2, first_night: '2026-01-01', eyes: 'left', from: '2026-12-01' };
  assert.equal(standing(planned), 'No lenses tonight');
  const supply = (/** @type {string} */ on, /** @type {Record<string, any>} */ body) =>
    /** @type {any} */ ({
      ...entry(`s${on}`, 'supply', on, { item: 'lens', on, ...body }).entry,
      author: 'p1',
      device: 'd1',
      v: 1,
    });
  const lost = phone([release('2', '2026-12-02', false)]);
  lost.nights = fold([
    supply('2026-03-01', { action: 'started', eye: 'both' }),
    supply('2026-12-02', { action: 'discarded', eye: 'left', why: 'lost' }),
  ]);
  assert.equal(standing(lost), 'No lenses tonight');
  assert.deepEqual(eyesApart(lost), [`Right eye: ${en['wear.eye.lost']}`, `Left eye: ${en['wear.eye.stop']}`]);
});

test('the check that a release asks for is due while the other eye stays stopped', () => {
  assert.equal(checkDue(phone([])), undefined);
  assert.equal(checkDue(phone([release('2', '2026-12-04', true)])), undefined, 'it is not that evening yet');
  const s = phone([release('2', '2026-12-03', true)]);
  assert.equal(checkDue(s)?.kind, 'resume');
  assert.equal(standing(s), 'No lenses', 'the check of one eye heads nothing');
});

// What was said to be out is not ordered out again; by hand.
test('once both lenses were said to be out the order is that they stay out', () => {
  const words = (/** @type {{kind: string, wall: string, body: Record<string, unknown>}[]} */ ...entries) => {
    const s = phone([]);
    s.now = Date.parse('2026-11-30T22:00:00Z');
    const items = new Map(entries.flatMap(e => ['right', 'left'].map(eye => [`${e.kind}/${eye}`, { facts: [] }])));
    const night = '2026-11-30';
    s.nights = new Map([
      [
        `w1/${night}`,
        { wearer: 'w1', night, items, entries: entries.map(e => ({ zone: 'UTC', offset: 0, night, ...e })) },
      ],
    ]);
    return told(s, true)?.words[0];
  };
  const gone = { kind: 'removal', wall: '2026-11-30T20:05:00', body: { at: '20:05', eyes: 'both' } };
  assert.equal(words(), 'Lenses out now.');
  assert.equal(words(gone), 'Leave the lenses out.');
  assert.equal(words({ ...gone, body: { at: '20:05', eyes: 'right' } }), 'Lenses out now.', 'of one eye');
  assert.equal(words({ ...gone, wall: '2026-11-30T19:55:00' }), 'Lenses out now.', 'before it was reported');
  const again = { kind: 'insertion', wall: '2026-11-30T20:10:00', body: { at: '20:10', eyes: 'both' } };
  assert.equal(words(again, gone), 'Lenses out now.', 'in again');
});
