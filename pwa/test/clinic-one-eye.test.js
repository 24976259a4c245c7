// Closing an alert with one eye resumed: the other eye stays stopped and gets a
// date of its own, or nobody would look at it again.
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { blank, entriesOf } from '../clinic/views/close-form.js';

test('the eye that is not resumed gets a stop with a date of review', () => {
  const stop = { state: 'stop', causes: [{ id: 's' }] };
  const w = /** @type {any} */ ({ night: '2026-11-30', wear: { right: stop, left: stop } });
  const f = { ...blank(w, 'resume'), eyes: 'right', basis: 'examined', review_by: '2026-12-04' };
  const said = entriesOf(f, w, 'a');
  assert.deepEqual(
    said.map(e => [e.kind, e.body.eyes, e.body.review_by]),
    [
      ['resume', 'right', undefined],
      ['cease', 'left', '2026-12-04'],
    ],
  );
  assert.equal(entriesOf({ ...f, eyes: 'both' }, w, 'a').length, 1);
});
