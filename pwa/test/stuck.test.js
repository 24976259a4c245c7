// A morning with a lens that will not move, and the question where it is left: what the
// log gets is the report that the eye check would make of the same words. Emergency for
// pain that stays: CDC, FDA and College of Optometrists warning signs; a lens that
// does not come free is not pulled: FDA class labelling.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { cameOff, triage } from '../../alerts/evaluate.js';
import { answersOf, stuckDrafts, whereDraft } from '../app/model/stuck.js';
import { asOfNow, foremost, headline, lensOn, outcome, RULES, whereOpen } from '../app/model/report.js';

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

// The same cases as alerts.TestALensThatCameOff.
test('a later word that a stuck lens is out changes what is done, never how pressing it is', () => {
  const path = new URL('../../testdata/care/came_off.json', import.meta.url);
  const { cases } = JSON.parse(readFileSync(path, 'utf8'));
  assert.ok(cases.length >= 8);
  for (const c of cases) {
    const o = cameOff(RULES, triage(RULES, c.report), c.out);
    assert.deepEqual([o.level, headline(o)], [c.level, c.told], c.name);
    for (const a of c.has) assert.ok(o.actions.includes(a), `${c.name}: lacks ${a}`);
    for (const a of c.lacks) assert.ok(!o.actions.includes(a), `${c.name}: has ${a}`);
  }
});

const NIGHT = '2026-11-29';

/** What is written of a stuck lens, one thing a minute. @param {[import('../app/model/entry.js').Draft, number, string?][]} drafts with the minute and the device */
const logOf = drafts =>
  drafts.map(([d, min, device = 'd1'], i) => ({
    entry: /** @type {any} */ ({
      id: `e${i}`,
      night: NIGHT,
      wall: `2026-11-30T07:0${min}:00`,
      offset: 0,
      hlc: `${min}-${i}`,
      device,
      ...d,
    }),
  }));

const about = { wearer: 'w1', night: NIGHT };
const first = (/** @type {Record<string, any>} */ morning) =>
  /** @type {[any, number][]} */ (stuckDrafts(about, morning, 'both').map(d => [d, 0]));

test('where a stuck lens is stays asked until somebody has said it, on either phone', () => {
  const morning = { moved: 'stuck', comfort: 0 };
  const asked = (/** @type {any[]} */ ...more) => {
    const all = logOf([...first(morning), ...more]);
    return whereOpen(/** @type {any} */ (all), [all[0].entry]);
  };
  assert.equal(asked(), 'both');
  assert.equal(asked([{ ...about, kind: 'check-open', body: { eyes: 'both' } }, 1]), 'both');
  for (const still of ['', 'right', 'left', 'both'])
    assert.equal(asked([whereDraft('w1', morning, 'both', still), 1, 'd2']), '', `said: "${still}"`);
  assert.equal(asked([{ ...about, kind: 'removal', body: { at: '07:01', eyes: 'both' } }, 1]), '');
});

test('said to be out: the order is that for a lens that is out, as grave as before', () => {
  const morning = { moved: 'stuck', comfort: 0 };
  const told = (/** @type {any[]} */ ...more) => {
    const all = logOf([...first(morning), ...more]);
    const reports = all.map(r => r.entry).filter(e => e.kind === 'symptoms');
    const out = foremost(reports.map(e => asOfNow(e, /** @type {any} */ (all))));
    return [out.level, ...headline(out)];
  };
  assert.deepEqual(told(), ['emergency', 'told.stuck-lens', 'told.call-now']);
  assert.deepEqual(told([whereDraft('w1', morning, 'both', ''), 1]), ['emergency', 'told.lenses-out', 'told.call-now']);
  assert.deepEqual(told([whereDraft('w1', morning, 'both', 'right'), 1]), [
    'emergency',
    'told.stuck-lens',
    'told.call-now',
  ]);
  const all = logOf([...first(morning), [whereDraft('w1', morning, 'both', 'right'), 1]]);
  assert.deepEqual(asOfNow(all[1].entry, /** @type {any} */ (all)).out, ['left']);
  // Before the report: nothing.
  const late = logOf([[{ ...about, kind: 'removal', body: { at: '06:59', eyes: 'both' } }, 0], ...first(morning)]);
  assert.equal(outcome(asOfNow(late[2].entry, /** @type {any} */ (late))).actions.includes('stuck-lens'), true);
});

// Our rule: what was stuck stays an order until somebody has seen it out. The clinic's
// decision about wear frees it only where it says so, as the server asks at a closing.
test('a decision of the clinic does not say that a stuck lens is out, unless it does', () => {
  const on = (/** @type {any[]} */ ...more) => {
    const all = logOf([[{ wearer: 'w1', kind: 'symptoms', body: { right: { lens: 'stuck' } } }, 1], ...more]);
    return lensOn(all[0].entry, /** @type {any} */ (all));
  };
  const cease = (/** @type {Record<string, any>} */ body, wearer = 'w1') => [{ wearer, kind: 'cease', body }, 5];
  assert.equal(on(), true);
  assert.equal(on(cease({ eyes: 'both' })), true, 'of a practice that was not asked');
  assert.equal(on(cease({ eyes: 'both', lens: 'unknown' })), true);
  assert.equal(on(cease({ eyes: 'both', lens: 'in' })), true);
  assert.equal(on(cease({ eyes: 'left', lens: 'out' })), true, 'the other eye');
  assert.equal(on(cease({ eyes: 'both', lens: 'out' }, 'w2')), true, 'the other child');
  assert.equal(on([{ wearer: 'w1', kind: 'cease', body: { eyes: 'both', lens: 'out' } }, 0]), true, 'said before it');
  assert.equal(on(cease({ eyes: 'both', lens: 'out' })), false);
  assert.equal(on([{ wearer: 'w1', kind: 'resume', body: { eyes: 'right', answers: ['e0'] } }, 5]), false);
  assert.equal(on([{ wearer: 'w1', kind: 'resume', body: { eyes: 'right', answers: ['e9'] } }, 5]), true);
  assert.equal(on([{ wearer: 'w1', kind: 'removal', body: { at: '07:05', eyes: 'right' } }, 5]), false);
  assert.equal(on([{ wearer: 'w1', kind: 'symptoms', body: { right: { lens: 'out' } } }, 5]), false);
});
