// A morning with a lens that will not move, and the question where it is left: what the
// log gets is the report that the eye check would make of the same words. Emergency for
// pain that stays: CDC, FDA and College of Optometrists warning signs; a lens that
// does not come free is not pulled: FDA class labelling.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { answersOf, stuckDrafts } from '../app/model/stuck.js';
import { foremost, headline } from '../app/model/report.js';

/** @param {Record<string, any>} morning @param {string} eyes */
function toldOf(morning, eyes) {
  const [log, report] = stuckDrafts({ wearer: 'w1', night: '2026-11-29' }, morning, eyes);
  assert.deepEqual([log.kind, log.body], ['morning', morning]);
  assert.equal(report.kind, 'symptoms');
  const out = foremost([/** @type {any} */ ({ ...report, id: 'r' })]);
  return { body: report.body, level: out.level, words: headline(out), actions: out.actions };
}

test('stuck and very sore, the question left: do not pull, phone now, and nothing is pressed', () => {
  const { body, level, words, actions } = toldOf({ moved: 'stuck', comfort: 0 }, 'both');
  assert.deepEqual([level, words], ['emergency', ['told.stuck-lens', 'told.call-now']]);
  assert.ok(!actions.includes('lenses-out') && !actions.includes('stuck-press'), `${actions}`);
  assert.deepEqual(
    [body.right, body.left],
    [
      { lens: 'stuck', pain: 'persists' },
      { lens: 'stuck', pain: 'persists' },
    ],
  );
});

test('stuck and no more: do not pull, and be seen today', () => {
  const { body, level, words } = toldOf({ moved: 'stuck' }, 'left');
  assert.deepEqual([level, words], ['urgent', ['told.stuck-lens', 'told.call-today']]);
  assert.deepEqual([body.right, body.left, body.other], [undefined, { lens: 'stuck' }, 'unknown']);
});

test('what was logged fills in the check, and nothing that was not said', () => {
  assert.deepEqual(answersOf({ moved: 'stuck', comfort: 1, redness: 3 }), {
    lens: 'stuck',
    pain: 'persists',
    redness: 'marked',
  });
  assert.deepEqual(answersOf({ moved: 'stuck-came-off', comfort: 0 }), { lens: 'stuck-came-off' });
  assert.deepEqual(answersOf({ moved: 'freely' }), {});
  assert.deepEqual(answersOf({ moved: 'stuck', comfort: 2 }), { lens: 'stuck' });
});

test('the check comes to what the log alone comes to at the clinic', () => {
  const path = new URL('../../testdata/care/stuck.json', import.meta.url);
  const { cases } = JSON.parse(readFileSync(path, 'utf8'));
  assert.ok(cases.length > 0);
  for (const { morning, level } of cases) assert.equal(toldOf(morning, 'both').level, level, JSON.stringify(morning));
});
