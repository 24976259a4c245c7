// The end of wear on the family's phone: said at once and from its date on, by whom,
// and whom to ask; nothing then says when lenses go in. Expected words are those of
// the catalogue.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { enLater } from '../app/text/en/later.js';
import { Ended, PlanNews, PlanWords } from '../app/views/plan.js';
import { loadLater, loadWords } from '../app/text/text.js';

await loadLater();
const words = await loadWords('en');

/** Every text in what a view draws. @param {any} node @returns {string} */
function textOf(node) {
  if (node === null || node === undefined || typeof node === 'boolean') return '';
  if (typeof node !== 'object') return `${node} `;
  if (Array.isArray(node)) return node.map(textOf).join('');
  if (typeof node.type === 'function') return textOf(node.type(node.props));
  return textOf(node.props?.children);
}

/** @param {string} stopped @param {string} [by] */
function phone(stopped, by = 'Dr A') {
  const plan = {
    version: 2,
    first_night: '2026-01-01',
    stopped,
    insertion_at: '21:30',
    removal_at: '06:45',
    min_hours: 7,
  };
  return /** @type {any} */ ({
    state: {
      words,
      wearer: 'w1',
      zone: 'UTC',
      now: Date.parse('2026-11-30T05:20:00Z'),
      skew: 0,
      nights: new Map(),
      records: new Map(),
      alerts: [],
      family: { contacts: { clinic: 'The clinic' }, wearers: [{ id: 'w1', name: 'Child', plan, ended_by: by }] },
    },
  });
}

for (const [when, stopped, title] of [
  ['tonight', '2026-11-30', enLater['end.over']],
  ['in a week', '2026-12-07', enLater['end.ahead']],
])
  for (const brief of [true, false])
    test(`wear that ends ${when}, ${brief ? 'on the board' : 'on home'}`, () => {
      const said = textOf(Ended({ app: phone(stopped), brief }));
      assert.ok(said.includes(title), said);
      assert.match(said, /Dr A/);
      assert.ok(said.includes(words.date(stopped)) && said.includes(enLater['end.ask']), said);
    });

test('an end is no new plan, and no plan of an ended wear says when lenses go in', () => {
  const app = phone('2026-11-30');
  assert.equal(PlanNews({ app }), null);
  assert.doesNotMatch(textOf(PlanWords({ app, plan: app.state.family.wearers[0].plan })), /21:30|9:30/);
});

test('without a name the clinic has ended it; without an end nothing is said', () => {
  assert.match(textOf(Ended({ app: phone('2026-11-30', '') })), /The clinic/);
  assert.equal(Ended({ app: phone('') }), null);
});
