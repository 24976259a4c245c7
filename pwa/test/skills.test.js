// The list of what was taught, worked out by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { SKILLS, ticked } from '../ui/skills.js';

/** @param {number} n @param {string} night @param {string[]} skills */
const taught = (n, night, ...skills) => ({ kind: 'taught', hlc: `000000000000${n}-0000`, night, body: { skills } });
/** @param {number} n @param {string} night @param {string} skill @param {boolean} done */
const learnt = (n, night, skill, done) => ({
  kind: 'learnt',
  hlc: `000000000000${n}-0000`,
  night,
  body: { skill, done },
});
/** @param {ReturnType<typeof taught|typeof learnt>[]} list @param {string} skill */
const of = (list, skill) => {
  const row = ticked(list).find(r => r.skill === skill);
  return [row?.taught?.night ?? '', row?.learnt?.night ?? ''];
};

test('every step has a row, ticked or not', () => {
  assert.deepEqual(
    ticked([]).map(r => r.skill),
    [...SKILLS],
  );
  assert.deepEqual(of([], 'hands'), ['', '']);
});

test('a step keeps the date on which it was first ticked while it stays so', () => {
  const list = [taught(2, '2026-03-08', 'hands', 'in'), taught(1, '2026-03-01', 'hands')];
  assert.deepEqual(of(list, 'hands'), ['2026-03-01', '']);
  assert.deepEqual(of(list, 'in'), ['2026-03-08', '']);
});

test('what was taken back and ticked again is dated anew', () => {
  const list = [taught(1, '2026-03-01', 'in'), taught(2, '2026-03-08'), taught(3, '2026-03-15', 'in')];
  assert.deepEqual(of(list, 'in'), ['2026-03-15', '']);
  assert.deepEqual(of(list.slice(0, 2), 'in'), ['', '']);
});

test('of two phones the newest word about a step counts, and about that step alone', () => {
  const list = [
    learnt(1, '2026-03-01', 'in', true),
    learnt(2, '2026-03-02', 'out', true),
    learnt(3, '2026-03-03', 'in', false),
  ];
  assert.deepEqual(of(list, 'in'), ['', '']);
  assert.deepEqual(of(list, 'out'), ['', '2026-03-02']);
});
