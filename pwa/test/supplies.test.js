// What is in use and which spares are kept, on the vectors that the server is
// checked on: testdata/care/supplies.json, worked out by hand.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fold } from '../app/model/fold.js';
import { lostLenses } from '../app/model/lost.js';
import { scheduleLog, spares } from '../app/model/schedule-log.js';
import { entries } from './entries.js';

const { cases } = JSON.parse(readFileSync(new URL('../../testdata/care/supplies.json', import.meta.url), 'utf8'));
const number = (/** @type {string} */ id) => Number(id.slice(3));

for (const c of cases) {
  test(`supplies: ${c.name}`, () => {
    const write = entries(1);
    const log = c.entries.map((/** @type {any} */ b) =>
      write('2026-03-20', 'supply', b.of ? { ...b, of: `id-${String(b.of).padStart(4, '0')}` } : b),
    );
    const nights = [...fold(log).values()];
    assert.deepEqual(
      scheduleLog(nights, []).supplies.map(s => [s.item, s.eye, s.started, number(s.id)]),
      c.use,
    );
    assert.deepEqual(
      spares(nights).map(s => number(s.id)),
      c.spares,
    );
    assert.deepEqual(lostLenses(nights), c.lost ?? []);
  });
}
