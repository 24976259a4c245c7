// Pauses, snoozes and removals of the log as the phone reads them, on the vectors that
// the server is checked on: testdata/care/reminders.json, worked out by hand.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fold } from '../app/model/fold.js';
import { pauses, scheduleLog } from '../app/model/schedule-log.js';
import { snoozes } from '../app/model/snoozes.js';

const { cases } = JSON.parse(readFileSync(new URL('../../testdata/care/reminders.json', import.meta.url), 'utf8'));

for (const c of cases) {
  test(`pauses and snoozes: ${c.name}`, () => {
    const nights = [...fold(c.entries).values()];
    assert.deepEqual(pauses(nights), c.pauses);
    assert.deepEqual(
      nights.flatMap(snoozes),
      c.snoozes.map((/** @type {{until: string}} */ s) => Date.parse(s.until)),
    );
    const out = scheduleLog(nights, []).nights.flatMap(n =>
      n.removed_at ? [[n.night, Date.parse(n.removed_at)]] : [],
    );
    assert.deepEqual(
      out,
      Object.entries(/** @type {Record<string, string>} */ (c.removed ?? {})).map(([night, at]) => [
        night,
        Date.parse(at),
      ]),
    );
    const routine = Object.fromEntries(
      scheduleLog(nights, []).nights.map(n => [n.night, { removed: n.removed, care: n.care }]),
    );
    for (const [night, want] of Object.entries(c.routine ?? {})) assert.deepEqual(routine[night], want);
  });
}
