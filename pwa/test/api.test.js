// The types of the interface are those of the description that the server
// answers (a Go test holds that against the server).

import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import test from 'node:test';

/** @param {string} text */
const digest = text => createHash('sha256').update(text).digest('hex').slice(0, 16);
/** @param {string} name */
const read = name => readFile(new URL(`../api/${name}`, import.meta.url), 'utf8');

test('the types of the interface are made of the description the server answers, and nobody edited them', async () => {
  const types = await read('types.d.ts');
  const [first, ...rest] = types.split('\n');
  const [description, text] = first.split(' ').slice(-2);
  assert.equal(description, digest(await read('openapi.json')), 'stale: npm run api in pwa');
  assert.equal(text, digest(rest.join('\n')), 'edited: npm run api in pwa');
});
