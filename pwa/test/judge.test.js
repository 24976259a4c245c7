import { test } from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { judge } from '../app/model/judge.js';
import { wearFact } from '../app/model/wear.js';

/** @type {{cases: any[]}} */
const { cases } = JSON.parse(readFileSync(new URL('../../testdata/care/judge.json', import.meta.url), 'utf8'));
const entry = (/** @type {any} */ j) => ({
  wearer: 'w1',
  device: 'd1',
  dseq: 1,
  author: 'p1',
  zone: 'UTC',
  offset: 0,
  v: 3,
  wall: j.at,
  hlc: j.at,
  ...j,
});

for (const c of cases) {
  test(c.name, () => {
    const entries = c.log.map(entry);
    const scene = {
      entries,
      facts: entries.map((/** @type {any} */ e) => wearFact(e, 'stored')),
      tonight: c.tonight,
      zone: 'UTC',
      settings: null,
      plan: /** @type {any} */ ({ first_night: '2026-11-01' }),
    };
    const { right, left } = judge(entry(c.draft), scene);
    assert.deepEqual({ right, left }, c.want);
    const { wearer, kind, night, body } = entry(c.draft);
    assert.deepEqual(
      { ...judge({ wearer, kind, night, body }, scene), given: undefined },
      { ...c.want, given: undefined },
      'as a draft',
    );
  });
}
