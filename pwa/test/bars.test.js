// What takes a lens out of an eye besides a stop; expected by hand from what each says:
// an end from a night on, a pause for illness, a plan for one eye, consent taken back.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { instantAt } from '../../schedule/civil/civil.js';
import { bar, tasks } from '../app/model/day.js';
import { fold } from '../app/model/fold.js';
import { entries } from './entries.js';
import { plan, ZONE } from './plan.js';

const NIGHT = '2026-03-10';
const e = entries(1);
const rated = e(NIGHT, 'evening-sight', { sight: 4 });
const into = e(NIGHT, 'insertion', { at: '21:40', eyes: 'both' });
const ILL = [{ from: NIGHT, to: '2026-03-12', reason: 'ill' }];

/** @param {import('../app/model/entry.js').Entry[]} log @param {Partial<import('../app/model/day.js').Scene>} more @param {[string, string]} [at] */
function scene(log, more, at = [NIGHT, '22:00']) {
  const nights = fold(log);
  return {
    plan,
    zone: ZONE,
    wear: /** @type {const} */ ({ right: 'none', left: 'none' }),
    ...more,
    now: instantAt(at[0], at[1], ZONE),
    night: (/** @type {string} */ d) => nights.get(`w1/${d}`),
  };
}

const URGENT = { kind: 'out', night: NIGHT, urgent: true };

test('a lens that is in where none goes in is to come out', () => {
  assert.equal(tasks(scene([into, rated], {})).main.kind, 'asleep');
  assert.deepEqual(tasks(scene([into], { plan: { ...plan, stopped: NIGHT } })).main, URGENT);
  assert.deepEqual(tasks(scene([into], { pauses: ILL })).main, URGENT);
  assert.equal(tasks(scene([into, rated], { pauses: [{ ...ILL[0], reason: 'away' }] })).main.kind, 'asleep');
});

test('a plan for one eye takes out the lens of the other, from its own first night on', () => {
  const right = { ...plan, eyes: 'right', from: NIGHT };
  assert.deepEqual(tasks(scene([into], { plan: right })).main, { ...URGENT, eye: 'left' });
  assert.equal(bar(scene([], { plan: right }), 'right', NIGHT), '');
  assert.equal(bar(scene([], { plan: right }), 'left', NIGHT), 'plan');
  assert.equal(bar(scene([], { plan: right }), 'left', '2026-03-09'), '');
});

test('the lenses of the last night before an end come out as each morning', () => {
  const s = scene([into], { plan: { ...plan, stopped: '2026-03-11' } }, ['2026-03-11', '06:50']);
  assert.deepEqual(tasks(s).main, { kind: 'out', night: NIGHT });
});

test('without consent no lens is asked for', () => {
  const kinds = (/** @type {boolean} */ gone) => {
    const { main, also } = tasks(scene([rated], { gone }));
    return [main, ...also].map(x => x.kind);
  };
  assert.ok(kinds(false).includes('in'));
  assert.ok(!kinds(true).includes('in'));
  assert.ok(!kinds(true).includes('rest')); // nothing says that all is done
});
