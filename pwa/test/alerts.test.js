// The vectors of the rule table, run through the phone's evaluator. The same
// files are run by the server's.

import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { test } from 'node:test';
import { load } from '../../alerts/check.js';
import { delay, evaluate, reportMarks, triage } from '../../alerts/evaluate.js';

/** @import { Input, Rules, State } from '../../alerts/evaluate.js' */
/** @typedef {{id: number, comment: string, flags: string[], eye: string, input: Input, want: State}} Vector */
/** @typedef {{rule: string, about: string, numberOfTests: number, tests: Vector[]}} VectorFile */

const dir = new URL('../../testdata/alerts/', import.meta.url);

/**
 * @param {URL} url
 * @returns {unknown}
 */
function read(url) {
  return JSON.parse(readFileSync(url, 'utf8'));
}

/** @returns {Rules} a fresh copy of the table */
function rules() {
  return /** @type {Rules} */ (read(new URL('../../alerts/rules.json', import.meta.url)));
}

const table = load(rules());
const files = readdirSync(dir)
  .filter(name => name.endsWith('.json') && name !== 'situations.json')
  .map(name => /** @type {VectorFile} */ (read(new URL(name, dir))));

test('there are vectors for every rule', () => {
  assert.deepEqual(files.map(f => f.rule).sort(), table.rules.map(r => r.id).sort());
});

for (const file of files) {
  test(`vectors of ${file.rule}`, () => {
    assert.equal(file.tests.length, file.numberOfTests);
    assert.ok(file.numberOfTests > 0);
    for (const v of file.tests) {
      const found = evaluate(table, v.input).find(f => f.rule === file.rule && f.eye === v.eye);
      assert.equal(found?.state, v.want, `${file.rule} ${v.id}: ${v.comment}`);
    }
  });
}

test('a report without any sign still carries the cautions and is never called fine', () => {
  const eye = {
    pain: 'none',
    redness: 'none',
    light: 'no',
    sight: 'same',
    discharge: 'none',
    spot: 'no',
    gritty: 'no',
    lens: 'out',
    injury: 'no',
    lid: 'no',
    pupil: 'no',
  };
  const o = triage(table, { right: eye, left: eye, ill: 'no', now: 'none', water: 'no' });
  assert.equal(o.level, 'none');
  assert.equal(o.unknown, false);
  assert.deepEqual(o.actions, ['watch']);
  assert.deepEqual(o.cautions, ['caution.cannot-see', 'caution.worried', 'caution.local']);
});

test('an empty report could be an emergency and says that it could not be assessed', () => {
  const o = triage(table, {});
  assert.equal(o.level, 'none');
  assert.equal(o.couldBe, 'emergency');
  assert.equal(o.unknown, true);
  assert.equal(o.unsure, true);
  assert.equal(o.actions[0], 'unsure');
  assert.ok(o.cautions.includes('caution.unknown'));
});

test('first aid comes before removal for a chemical', () => {
  const { actions } = triage(table, { right: { injury: 'chemical', lens: 'in' } });
  assert.deepEqual(actions.slice(0, 2), ['rinse-eye', 'go-now']);
  assert.ok(!actions.includes('lenses-out'), 'the lens comes out while rinsing');
});

test('the words for delay change after 12 hours and at 49', () => {
  const hour = 3600000;
  // Keay 2006: over 12 hours; Eye 2009: 49 to 72 hours.
  for (const [hours, want] of /** @type {[number, string][]} */ ([
    [-1, 'unknown'],
    [0, 'soon'],
    [12, 'soon'],
    [13, 'over-12-hours'],
    [48.9, 'over-12-hours'],
    [49, 'over-49-hours'],
  ])) {
    assert.equal(delay(0, hours * hour), `delay.${want}`);
  }
  assert.equal(delay(null, 0), 'delay.unknown');
});

/** @type {[string, (r: Rules) => void][]} */
const faults = [
  ['unknown field', r => Object.assign(r.rules[0], { colour: 'red' })],
  [
    'unknown operator',
    r => {
      r.rules[0].when.op = '~';
    },
  ],
  [
    'unknown sign',
    r => {
      r.rules[0].when.sign = 'itch';
    },
  ],
  [
    'unknown answer',
    r => {
      r.rules[0].when.value = 'acid';
    },
  ],
  [
    'duplicate id',
    r => {
      r.rules[1].id = r.rules[0].id;
    },
  ],
  [
    'missing source',
    r => {
      r.rules[0].source = '';
    },
  ],
  [
    'emergency without removal',
    r => {
      r.rules[0].actions = r.rules[0].actions.filter(a => a !== 'rinse-eye');
    },
  ],
  [
    'a mark that its advice does not mean',
    r => {
      r.rules[0].mark = 'rest';
    },
  ],
  [
    'a step that gives way to nothing',
    r => {
      r.gives_way[0].to = [];
    },
  ],
  [
    'not in an emergency',
    r => {
      r.rules[0].when = { not: r.rules[0].when };
    },
  ],
  [
    'no rules',
    r => {
      r.rules = [];
    },
  ],
];
for (const [name, spoil] of faults) {
  test(`load refuses: ${name}`, () => {
    const spoilt = rules();
    spoil(spoilt);
    assert.throws(() => load(spoilt), RangeError);
  });
}

/** @typedef {{name: string, report?: import('../../alerts/evaluate.js').Report, level: string, unsure?: boolean, actions: string[], never: string[], marks?: object, record?: Input, fired: string[], notFired: string[]}} Situation */
const { situations } = /** @type {{situations: Situation[]}} */ (read(new URL('situations.json', dir)));
for (const s of situations) {
  test(`situation: ${s.name}`, () => {
    if (s.report) {
      const o = triage(table, s.report);
      assert.deepEqual([o.level, o.unsure], [s.level, s.unsure ?? false]);
      assert.deepEqual(
        s.actions.filter(a => !o.actions.includes(a)),
        [],
        'not told',
      );
      assert.deepEqual(
        s.never.filter(a => o.actions.includes(a)),
        [],
        'told',
      );
      if (s.marks) assert.deepEqual(reportMarks(table, s.report), s.marks);
    } else {
      const fired = evaluate(table, /** @type {Input} */ (s.record))
        .filter(f => f.state === 'fired')
        .map(f => f.rule);
      assert.deepEqual(
        s.fired.filter(r => !fired.includes(r)),
        [],
      );
      assert.deepEqual(
        s.notFired.filter(r => fired.includes(r)),
        [],
      );
    }
  });
}
