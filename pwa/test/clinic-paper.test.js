// What goes on paper. Expected values are counted by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { evidenceOnPaper, pointsOnPaper, reportsOnPaper, roomOnPaper } from '../clinic/paper.js';
import { both, dioptres, number, readable } from '../clinic/format.js';

test('eight points go on paper, and any later one that may be an emergency', () => {
  const points = [...'abcdefghij'].map(rule => ({ rule }));
  points[9] = { rule: 'alert-not-closed' };
  assert.deepEqual(pointsOnPaper(points), [true, true, true, true, true, true, true, true, false, true]);
});

test('the newest four reports go on paper, and older ones that brought an urgent alert', () => {
  const reports = [1, 2, 3, 4, 5, 6, 7].map(d => ({ night: `2026-03-0${d}` }));
  const timeline = [
    { lane: 'alert', date: '2026-03-01', level: 'emergency' }, // the evening itself
    { lane: 'alert', date: '2026-03-03', level: 'urgent' }, // the morning after the 2nd, or the evening of the 3rd
    { lane: 'visit', date: '2026-03-02', level: 'urgent' },
    { lane: 'alert', date: '2026-03-02', level: 'routine' },
  ];
  assert.deepEqual(reportsOnPaper(reports, timeline), [true, true, true, true, true, true, true]);
  assert.deepEqual(reportsOnPaper(reports, timeline.slice(1)), [false, true, true, true, true, true, true]);
  assert.deepEqual(reportsOnPaper(reports, timeline.slice(2)), [false, false, false, true, true, true, true]);
});

// Our own scale: up to 6 things roomy, up to 14 usual, more than that small.
test('the fuller the second sheet, the smaller it is set', () => {
  const point = { rule: 'x', text: 't', evidence: 'e', basis: '' };
  const change = { what: '', text: 'c', before: 'b', now: 'n' };
  const report = { entry: '', night: '2026-03-01', at: '', words: '' };
  /** @param {number} points @param {number} changes @param {number} reports @param {number} notes */
  const room = (points, changes, reports, notes) =>
    roomOnPaper({
      points: Array(points).fill(point),
      changes: Array(changes).fill(change),
      symptoms: Array(reports).fill(report),
      timeline: [],
      trust: { words: Array(notes).fill('') },
    });
  assert.equal(room(4, 0, 0, 2), 'roomy');
  assert.equal(room(5, 0, 0, 2), '');
  assert.equal(room(8, 4, 0, 2), '');
  assert.equal(room(8, 4, 0, 3), 'full');
  assert.equal(room(30, 0, 30, 2), ''); // eight points and four reports are printed
});

test('long evidence goes on paper in whole pieces, open alerts in full', () => {
  const piece = 'x'.repeat(50);
  const evidence = [piece, piece, piece].join('; ');
  assert.equal(evidenceOnPaper({ rule: 'symptoms', evidence }), `${piece}; ${piece}; more on screen`);
  assert.equal(evidenceOnPaper({ rule: 'alert-not-closed', evidence }), evidence);
  assert.equal(evidenceOnPaper({ rule: 'symptoms', evidence: 'y'.repeat(200) }), 'y'.repeat(200));
});

// 28 March 2026 22:30 UTC: Lisbon keeps UTC until 29 March 01:00, Berlin is an
// hour ahead, Auckland has its summer time, 13 hours ahead (IANA tz database).
test("an instant is said with its zone, and on the family's clock where that differs", () => {
  assert.equal(both('2026-03-28T22:30:00Z', 'Europe/Lisbon', 'Europe/Lisbon'), 'Sat 28 Mar, 22:30, Lisbon time');
  assert.equal(both('2026-03-28T22:30:00Z', 'Europe/Lisbon', 'Europe/London'), 'Sat 28 Mar, 22:30, Lisbon time');
  assert.equal(
    both('2026-03-28T22:30:00Z', 'Europe/Lisbon', 'Europe/Berlin'),
    'Sat 28 Mar, 22:30, Lisbon time; for the family 23:30, Berlin time',
  );
  assert.equal(
    both('2026-03-28T22:30:00Z', 'Europe/Lisbon', 'Pacific/Auckland'),
    'Sat 28 Mar, 22:30, Lisbon time; for the family Sun 29 Mar, 11:30, Auckland time',
  );
  assert.equal(both('2026-03-28T22:30:00Z', 'Europe/Lisbon', ''), 'Sat 28 Mar, 22:30, Lisbon time');
});

test('dates inside evidence are written as everywhere else', () => {
  assert.equal(
    readable('case was due 2026-08-28; 2026-11-03 tap water'),
    'case was due 28 Aug 2026; 3 Nov 2026 tap water',
  );
  assert.equal(readable('2026-02-31 and 2026-13-01 are no dates'), '2026-02-31 and 2026-13-01 are no dates');
});

test('a number that rounds to nothing has no sign', () => {
  assert.deepEqual(
    [number(-0.004, 2), number(-0.006, 2), number(-0.2, 0), dioptres(-0.001), dioptres(-1.5)],
    ['0.00', '−0.01', '0', '0.00', '−1.50'],
  );
});
