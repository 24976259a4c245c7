import { test } from 'node:test';
import assert from 'node:assert/strict';
import { unexamined } from '../app/model/unexamined.js';

// A wait that is said must not get longer while an eye that hurts with the lens out
// stays stopped and nobody has looked at it: the release of the other eye is no look at it.
test('an emergency waits until its own eye was examined', () => {
  const at = { wearer: 'w1', offset: 0, zone: 'UTC', v: 3 };
  const e = (/** @type {string} */ kind, /** @type {string} */ wall, /** @type {any} */ body) =>
    /** @type {any} */ ({ ...at, id: wall, kind, wall, hlc: wall, night: wall.slice(0, 10), body });
  const pain = e('symptoms', '2026-11-30T20:40:00', { table: 2, left: { pain: 'persists', lens: 'out' } });
  const right = e('resume', '2026-11-30T20:48:00', { eyes: 'right', basis: 'examined', from: '2026-12-02' });
  const stays = e('cease', '2026-11-30T20:48:00', { eyes: 'left', reason: 'report', review_by: '2026-12-07' });
  assert.equal(unexamined(pain, 'left', [pain]), true);
  assert.equal(unexamined(pain, 'left', [pain, right, stays]), true, 'the other eye was examined');
  assert.equal(unexamined(pain, 'right', [pain]), false, 'it was of the left eye');
  assert.equal(unexamined(pain, 'left', [pain, { ...stays, body: { ...stays.body, reason: 'examination' } }]), false);
  const phoned = e('resume', '2026-12-01T09:00:00', { eyes: 'both', basis: 'by-telephone', from: '2026-12-02' });
  assert.equal(unexamined(pain, 'left', [phoned]), true, 'by telephone nobody looked');
  assert.equal(unexamined(pain, 'left', [{ ...phoned, body: { ...phoned.body, basis: 'examined-elsewhere' } }]), false);
  const before = { ...right, wall: '2026-11-30T20:39:00', body: { ...right.body, eyes: 'both' } };
  assert.equal(unexamined(pain, 'left', [before]), true, 'examined before it was reported');
  // By the server's clock, 2026-11-30T20:41:00: on a phone that is five minutes slow it was 20:36 (skew_ms in ENTRIES.md).
  const slow = { ...pain, wall: '2026-11-30T20:36:00', recv: '2026-11-30T20:41:00Z', skew_ms: -300000 };
  assert.equal(unexamined(slow, 'left', [before]), true, 'by the clock of the server it was reported after');
  const unsent = { ...pain, wall: '2026-11-30T20:36:00' };
  assert.equal(unexamined(unsent, 'left', [before], 300000), true, 'also while it waits on the phone');
  const sore = e('symptoms', '2026-11-30T20:40:00', { table: 2, left: { pain: 'none', redness: 'mild', lens: 'out' } });
  assert.equal(unexamined(sore, 'left', []), false, 'no emergency');
});
