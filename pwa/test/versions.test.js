// Entries of every version mean on the phone what they always meant:
// testdata/care/v1.json and v2.json, which Go reads too.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { SCHEMA } from '../app/model/entry.js';
import { canonical, fold } from '../app/model/fold.js';

for (let v = 1; v <= SCHEMA; v++)
  test(`every entry of version ${v} folds as recorded`, () => {
    const file = JSON.parse(readFileSync(new URL(`../../testdata/care/v${v}.json`, import.meta.url), 'utf8'));
    assert.equal(file.tests.length, file.numberOfTests);
    /** @type {Record<string, any>} */
    const want = {};
    for (const { entry, items } of file.tests)
      for (const [key, value] of Object.entries(items))
        want[`${entry.night} ${key.replace('$', entry.id)}`] = [false, [value]];
    /** @type {Record<string, any>} */
    const got = {};
    for (const [place, n] of fold(file.tests.map((/** @type {any} */ t) => t.entry))) {
      for (const [key, it] of n.items) got[`${place.split('/')[1]} ${key}`] = [it.differ, it.facts.map(f => f.value)];
    }
    assert.deepEqual(JSON.parse(canonical(got)), JSON.parse(canonical(want)));
  });
