import { test } from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { fold } from '../app/model/fold.js';
import { findingsOf } from '../app/app.js';
import { judge } from '../app/model/judge.js';
import { findings } from '../app/model/record.js';
import { wearFact, wearOf } from '../app/model/wear.js';

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
      // The night asked for is the earlier of the phone's clock and that clock mended.
      tonight: (c.draft.skew_ms ?? 0) < 0 && c.draft.night < c.tonight ? c.draft.night : c.tonight,
      skew: -(c.draft.skew_ms ?? 0),
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

// A clinic that releases an eye has read the signs of before; a sign of after is new
// (the design of the wear state: a release lists the causes that its author's screen
// showed). The rule is "sign-again": signs on two or more of the last 14 nights.
test('signs that a release has answered say no more "lenses out"; a new one does', () => {
  const id = (/** @type {number} */ n) => `01900000-0000-7000-8000-${String(n).padStart(12, '0')}`;
  const plan = /** @type {any} */ ({ first_night: '2026-11-01' });
  const now = Date.parse('2026-11-30T20:00:00Z');
  const sign = (/** @type {number} */ n, /** @type {string} */ night, /** @type {any} */ right) =>
    entry({ id: id(n), at: `${night}T20:00:00`, kind: 'symptoms', night, body: { right, other: 'usual' } });
  /** what a rule says on the 30th @param {any[]} log @param {string} [rule] */
  const says = (log, rule = 'sign-again') => {
    const scene = {
      entries: log,
      facts: log.map(e => wearFact(e, 'stored')),
      tonight: '2026-11-30',
      zone: 'UTC',
      settings: null,
      plan,
    };
    const wear = wearOf(scene.facts, scene.tonight);
    const nights = fold(log);
    const state = /** @type {any} */ ({
      nights,
      records: new Map(log.map(e => [e.id, { id: e.id, entry: e, state: 'stored', at: now }])),
      wearer: 'w1',
      family: { wearers: [{ id: 'w1', plan: null }] },
      alerts: [],
      now,
      skew: 0,
      zone: 'UTC',
    });
    const again = (/** @type {{rule: string}} */ f) => f.rule === rule;
    return {
      state: wear.right.state,
      fires: findings([...nights.values()], null, scene.tonight, now, 'UTC', null).filter(again).length,
      stands: findingsOf(state).filter(again).length, // what home and the board show
    };
  };
  /** writes what is judged against the log before it @param {any[]} log @param {any} e */
  const add = (log, e) => {
    const scene = {
      entries: log,
      facts: log.map(x => wearFact(x, 'stored')),
      tonight: e.night,
      zone: 'UTC',
      settings: null,
      plan,
    };
    return [...log, { ...e, body: { ...e.body, told: judge(e, scene) } }];
  };
  const mild = add([], sign(1, '2026-11-22', { redness: 'mild' }));
  const pain = add(mild, sign(2, '2026-11-25', { pain: 'persists', redness: 'marked' }));
  assert.deepEqual(says(pain), { state: 'stop', fires: 1, stands: 1 }, 'before the clinic has said a thing');
  const free = (/** @type {string} */ eyes, /** @type {string[]} */ answers, from = '2026-11-30') =>
    entry({
      id: id(3),
      at: '2026-11-30T09:00:00',
      kind: 'resume',
      night: '2026-11-29',
      body: { eyes, answers, from, basis: 'examined' },
    });
  const causes = wearOf(
    pain.map(e => wearFact(e, 'stored')),
    '2026-11-30',
  ).right.causes.map(c => c.id);
  assert.deepEqual(says([...pain, free('both', causes)]), { state: 'none', fires: 1, stands: 0 });
  assert.equal(says([...pain, free('both', causes, '2026-12-01')]).stands, 1, 'a release of a later night');
  assert.equal(says([...pain, free('left', causes)]).stands, 1, 'the other eye alone');
  const anew = add([...pain, free('both', causes)], sign(4, '2026-11-30', { gritty: 'stays' }));
  assert.deepEqual(says(anew), { state: 'stop', fires: 1, stands: 1 }, 'a sign after the release');
  const late = add([...pain, free('both', causes)], sign(5, '2026-11-24', { gritty: 'stays' }));
  assert.deepEqual(says(late), { state: 'stop', fires: 1, stands: 1 }, 'one of before it that no screen showed');
  // A rest that was released, too: the phone would say "wear no lens tonight" beside "lenses in".
  const sore = add(
    [],
    entry({ id: id(6), at: '2026-11-30T08:00:00', kind: 'morning', night: '2026-11-30', body: { comfort: 0 } }),
  );
  assert.deepEqual(says(sore, 'morning-sore'), { state: 'rest', fires: 1, stands: 1 });
  assert.deepEqual(says([...sore, free('both', [id(6)])], 'morning-sore'), { state: 'none', fires: 1, stands: 0 });
});
