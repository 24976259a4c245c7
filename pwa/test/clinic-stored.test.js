// What the console says when the server's disk is full: nothing of a page of the
// console is kept or sent again, as it is on a family's phone.
import assert from 'node:assert/strict';
import { afterEach, test } from 'node:test';
import * as api from '../clinic/api.js';

const { fetch } = globalThis;
afterEach(() => {
  globalThis.fetch = fetch;
});

test('a full disk is told in the console as what it is there', async () => {
  globalThis.fetch = async () =>
    new Response(
      JSON.stringify({
        error: { code: 'cannot-store', message: 'what you wrote stays on this phone and will be sent again' },
      }),
      { status: 503 },
    );
  await assert.rejects(api.acknowledge('a1'), e => {
    assert.ok(e instanceof api.ApiError);
    assert.equal(e.code, 'cannot-store');
    assert.match(e.message, /Nothing of this was saved, and nothing is sent again by itself/);
    assert.doesNotMatch(e.message, /phone|will be sent/);
    return true;
  });
});
