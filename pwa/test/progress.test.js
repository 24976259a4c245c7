// What a night counts as, by the definition that the clinic's review has too.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fold } from '../app/model/fold.js';
import { counted, open } from '../app/model/progress.js';
import { findings } from '../app/model/record.js';
import { entries } from './entries.js';

/** @import { States } from '../app/model/progress.js' */
/** @import { Plan } from '../../schedule/due.js' */

/** @typedef {{id: number, comment: string, eyes: string, log: [string, Record<string, unknown>][], right: States['right'], left: States['left'], want: string}} Vector */

/** @type {{numberOfTests: number, tests: Vector[]}} */
const vectors = JSON.parse(readFileSync(new URL('../../testdata/care/night_counts.json', import.meta.url), 'utf8'));
const e = entries(1);

test('what a night counts as, on the vectors it shares with the review', () => {
  assert.equal(vectors.tests.length, vectors.numberOfTests);
  for (const v of vectors.tests) {
    const plan = /** @type {Plan} */ (/** @type {unknown} */ ({ eyes: v.eyes }));
    const n = fold(v.log.map(([kind, body]) => e('2026-03-10', kind, body))).get('w1/2026-03-10');
    assert.equal(counted(n, plan, { right: v.right, left: v.left }), v.want, `${v.id}: ${v.comment}`);
  }
});

// A night lasts to 11:59 of the next day (the glossary): until then only what was said decides it.
test('tonight is open until it is said how it ended, and every other night is not', () => {
  /** @type {[boolean, [string, Record<string, unknown>][]][]} */
  const cases = [
    [true, []],
    [true, [['insertion', { at: '21:30', eyes: 'both' }]]],
    [true, [['removal', { at: '21:35', eyes: 'both' }]]], // of an insertion that was taken back
    [false, [['removal', { at: '06:45', eyes: 'both' }]]],
    [
      true,
      [
        ['insertion', { at: '21:30', eyes: 'both' }],
        ['removal', { at: '06:00', eyes: 'left' }],
      ],
    ],
    [
      false,
      [
        ['insertion', { at: '21:30', eyes: 'left' }],
        ['removal', { at: '06:00', eyes: 'left' }],
      ],
    ],
    [
      false,
      [
        ['insertion', { at: '21:30', eyes: 'both' }],
        ['removal', { at: '06:00', eyes: 'both' }],
      ],
    ],
    [true, [['not-worn', { reason: 'tired', eyes: 'left' }]]],
    [false, [['not-worn', { reason: 'tired', eyes: 'both' }]]],
  ];
  for (const [want, log] of cases) {
    const n = fold(log.map(([kind, body]) => e('2026-03-10', kind, body))).get('w1/2026-03-10');
    assert.equal(open(n, '2026-03-10', '2026-03-10'), want, JSON.stringify(log));
    assert.equal(open(n, '2026-03-10', '2026-03-11'), false);
  }
});

// The usual limit is 4 missed nights of the last 14 (alerts/rules.json, missed_nights).
test('nights on which no lens was allowed are not "many nights missed"', () => {
  const nights = [
    ...fold(
      ['06', '07', '08', '09'].map(d => e(`2026-03-${d}`, 'not-worn', { reason: 'told-to-stop', eyes: 'both' })),
    ).values(),
  ];
  const now = Date.parse('2026-03-10T20:00:00Z');
  const fired = (/** @type {(night: string) => boolean} */ held) =>
    findings(nights, null, '2026-03-10', now, 'Europe/Madrid', null, {}, held).some(f => f.rule === 'missed-often');
  assert.equal(
    fired(() => false),
    true,
  );
  assert.equal(
    fired(() => true),
    false,
  );
  assert.equal(
    fired(night => night === '2026-03-06'),
    false,
  ); // three are left
});
