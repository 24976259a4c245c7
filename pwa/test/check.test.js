// The eye check: at most eight screens (the requirement's number) whether one eye
// is chosen or both, every sign of the rule table on exactly one of them, and
// nothing that was answered lost or softened on the way to the report.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import {
  NOTHING,
  OTHER,
  SCREENS,
  WORST,
  answer,
  atOnce,
  bodyOf,
  differ,
  full,
  holders,
  leadsOn,
  partsOf,
  readDraft,
} from '../app/model/check.js';
import { triage } from '../../alerts/evaluate.js';
import { draftOf } from '../app/model/check-again.js';
import { RULES } from '../app/model/report.js';

/** @import { Answers, Eye, Holder } from '../app/model/check.js' */

const NOW = Date.UTC(2026, 10, 25, 20, 0, 0);
/** @type {Eye[][]} */
const CHOICES = [['right'], ['left'], ['right', 'left']];
const SIGNS = [...RULES.symptoms.values()];
/** @param {string} part */
const screenOf = part => SCREENS.findIndex(s => s.parts.includes(part));

/**
 * Walks the check as a family does and returns the numbers of the screens it
 * was shown, and what was answered.
 * @param {Eye[]} eyes
 * @param {boolean} each whether every part is answered for each eye
 * @param {(part: string, h: Holder) => string} says
 */
function walk(eyes, each, says) {
  /** @type {Answers} */
  let a = { ...NOTHING, eyes };
  const shown = [0];
  for (let at = 1, left = 100; left > 0; left--) {
    shown.push(at);
    const turns = partsOf(a, at).flatMap(part =>
      each ? holders(a, part).map(h => ({ part, of: [h] })) : [{ part, of: holders(a, part) }],
    );
    let on = false;
    for (const { part, of } of turns) {
      assert.equal(on, false, `${SCREENS[at].name} was left before ${part} was asked`);
      const is = answer(a, of, part, says(part, of[0]));
      on = leadsOn(a, is, at, of);
      a = is;
    }
    if (!on) return { shown, a };
    at++;
  }
  throw new Error('the check does not end');
}

test('one eye, both the same, and both different: each is shown eight screens, one after the other', () => {
  for (const eyes of CHOICES) {
    for (const each of [false, true]) {
      const { shown, a } = walk(eyes, each, () => '');
      assert.deepEqual(shown, [0, 1, 2, 3, 4, 5, 6, 7], `${eyes} ${each}`);
      assert.ok(shown.every(at => at === 0 || full(a, at)));
    }
  }
});

test('every sign of the table is asked on exactly one screen, and no screen but the last asks more than three things', () => {
  const asked = SCREENS.flatMap(s => s.parts);
  assert.equal(new Set(asked).size, asked.length);
  assert.deepEqual(
    asked.filter(p => p !== 'began' && p !== 'other').sort(),
    SIGNS.filter(d => d.answers && d.name !== 'now')
      .map(d => d.name)
      .sort(),
  );
  assert.deepEqual(
    SCREENS.slice(0, -1).filter(s => s.parts.length > 3),
    [],
  );
});

test('every answer of the table reaches the report as if it were written by hand, for each eye alone and for both', () => {
  for (const d of SIGNS) {
    for (const value of d.answers ?? []) {
      for (const eyes of CHOICES) {
        const a = { ...NOTHING, eyes };
        const body = bodyOf(answer(a, holders(a, d.name), d.name, value), NOW);
        const other = eyes.length === 1 ? { other: 'unknown' } : {};
        const want =
          d.scope === 'report'
            ? { ...Object.fromEntries(eyes.map(e => [e, {}])), [d.name]: value, ...other }
            : { ...Object.fromEntries(eyes.map(e => [e, { [d.name]: value }])), ...other };
        assert.deepEqual(body, want);
      }
    }
  }
});

test('what each eye was said to have is in the report as said, and one eye is never spoken for by the other', () => {
  const any = fc.record(
    Object.fromEntries(
      SIGNS.filter(d => d.scope === 'eye').flatMap(d =>
        ['right', 'left'].map(e => [`${e} ${d.name}`, fc.constantFrom('', ...(d.answers ?? []))]),
      ),
    ),
  );
  fc.assert(
    fc.property(any, said => {
      const { a } = walk(['right', 'left'], true, (part, h) => said[`${h} ${part}`] ?? '');
      const body = bodyOf(a, NOW);
      const want = Object.fromEntries(
        ['right', 'left'].map(e => [
          e,
          Object.fromEntries(
            Object.entries(said)
              .filter(([k, v]) => v && k.startsWith(e))
              .map(([k, v]) => [k.slice(e.length + 1), v]),
          ),
        ]),
      );
      assert.deepEqual(body, want);
      for (const d of SIGNS)
        if (d.scope === 'eye')
          assert.equal(
            differ(a, d.name),
            said[`right ${d.name}`] !== said[`left ${d.name}`],
            'eyes that differ are shown apart',
          );
    }),
  );
});

test('what was not answered, and "don\'t know", are left out of the report, never "no"', () => {
  const a = {
    ...NOTHING,
    eyes: /** @type {Eye[]} */ (['left']),
    left: { pain: 'gone', light: '' },
    right: { pain: 'severe' },
    report: { ill: '', began: '', note: ' ' },
  };
  assert.deepEqual(bodyOf(a, NOW), { left: { pain: 'gone' }, other: 'unknown' });
});

test('coming back keeps the answers, and a change of one of two does not rush on', () => {
  const at = screenOf('pain');
  /** @type {Answers} */
  const a = {
    ...NOTHING,
    eyes: ['right', 'left'],
    right: { pain: 'severe', gritty: 'no' },
    left: { pain: 'severe', gritty: 'no' },
  };
  const is = answer(a, ['left'], 'pain', 'none');
  assert.equal(is.right.pain, 'severe');
  assert.equal(a.left.pain, 'severe', 'what was is not written over');
  assert.equal(leadsOn(a, is, at, ['left']), false);
  const lens = { ...a, right: { lens: 'out' }, left: { lens: 'out' } };
  assert.equal(
    leadsOn(lens, answer(lens, ['right'], 'lens', 'stuck'), screenOf('lens'), ['right']),
    false,
    'the other eye may have to change as well',
  );
  assert.equal(leadsOn(lens, answer(lens, ['right', 'left'], 'lens', 'in'), screenOf('lens'), ['right', 'left']), true);
});

test('a second eye that was never answered is shown apart and not taken to be like the first', () => {
  /** @type {Answers} */
  const a = { ...NOTHING, eyes: ['right', 'left'], right: { pain: 'none' } };
  assert.equal(differ(a, 'pain'), true);
  assert.equal(full(a, screenOf('pain')), false);
  assert.deepEqual(bodyOf(a, NOW), { right: { pain: 'none' }, left: {} });
});

test('when it began: the careful end of the span, or the time given', () => {
  const began = (/** @type {string} */ v) => bodyOf({ ...NOTHING, eyes: ['right'], report: { began: v } }, NOW).began;
  assert.equal(
    bodyOf({ ...NOTHING, eyes: ['right'], report: { began: 'hours' } }, NOW).began_about,
    'hours',
    'the span that was chosen is kept beside it',
  );
  assert.equal(
    bodyOf({ ...NOTHING, eyes: ['right'], report: { began: '2026-11-24T07:30' } }, NOW).began_about,
    undefined,
  );
  assert.equal(began('now'), '2026-11-25T20:00:00.000Z');
  assert.equal(began('night'), '2026-11-25T08:00:00.000Z', '12 h before 20:00');
  assert.equal(
    began('days'),
    '2026-11-23T19:00:00.000Z',
    '49 h: the delay at which loss of sight was commoner (Eye 2009)',
  );
  assert.equal(
    Date.parse(String(began('2026-11-24T07:30'))),
    new Date(2026, 10, 24, 7, 30).getTime(),
    'by the clock of the phone',
  );
  assert.equal(began('no time at all'), undefined, 'and the report is saved');
});

test('the worst answers lead to the advice at once, the others on to the questions', () => {
  // A chemical first: minutes count (NHS, Eye injuries); an eye that was hit before its pain, so that nobody presses on it (AAO).
  assert.deepEqual(WORST, ['chemical', 'cut', 'sight', 'shut', 'pain']);
  for (const v of WORST) {
    assert.equal(atOnce('now', v), true, v);
    const out = triage(RULES, bodyOf({ ...NOTHING, report: { now: v } }, NOW));
    assert.equal(out.level, 'emergency', v);
    assert.ok(out.actions.includes('go-now'), v);
  }
  assert.equal(atOnce('now', 'none'), false);
});

test('at every later question too, an answer that means "go now" leads to the advice at once', () => {
  // NHS, Eye injuries (page reviewed 7 June 2022), and its lists for an emergency department.
  const GO = {
    injury: ['cut', 'fragment', 'chemical'],
    pain: ['beyond', 'severe'],
    redness: ['blood'],
    sight: ['double', 'curtain', 'lost'],
    lid: ['shut'],
    pupil: ['yes'],
  };
  for (const part of SCREENS.flatMap(s => s.parts)) {
    const answers = RULES.symptoms.get(part)?.answers ?? [...OTHER, 'now', 'days'];
    assert.deepEqual(
      [...answers, ''].filter(v => atOnce(part, v)),
      GO[/** @type {keyof typeof GO} */ (part)] ?? [],
      part,
    );
  }
});

/** @param {string[]} names @returns {Record<string, string>} the harmless answers */
const harmless = names =>
  Object.fromEntries(SIGNS.filter(d => names.includes(d.scope)).map(d => [d.name, d.answers?.[0] ?? '']));

test('an all-clear for the eye in question, with one word about the other eye, does not tell the family to phone', () => {
  const a = {
    ...NOTHING,
    eyes: /** @type {Eye[]} */ (['right']),
    right: harmless(['eye']),
    report: { ...harmless(['report']), other: 'usual' },
  };
  const out = triage(RULES, bodyOf(a, NOW));
  assert.deepEqual([out.level, out.unknown, out.unsure, out.actions], ['none', false, false, ['watch']]);
  for (const other of ['', 'not-usual']) {
    const open = triage(RULES, bodyOf({ ...a, report: { ...a.report, other } }, NOW));
    assert.equal(open.unsure, true, `"${other}": the other eye may be anything`);
    assert.equal(open.actions[0], 'unsure');
  }
});

test('"show advice now" before everything was answered is headed by what to do, never calm', () => {
  for (const at of SCREENS.keys()) {
    const said = Object.fromEntries(
      Object.entries(harmless(['eye'])).filter(([p]) => SCREENS.slice(0, at).some(x => x.parts.includes(p))),
    );
    const out = triage(RULES, bodyOf({ ...NOTHING, eyes: ['right'], right: said, report: { now: 'none' } }, NOW));
    assert.equal(out.unsure, true, SCREENS[at].name);
    for (const step of ['lenses-out', 'no-lens-tonight', 'call-today']) assert.ok(out.actions.includes(step), step);
  }
});

test('a check that was left is read back as it was, and anything else is not taken for one', () => {
  const draft = { answers: { ...NOTHING, eyes: ['left'], left: { pain: 'gone' } }, at: 3, apart: ['pain'], since: NOW };
  assert.deepEqual(readDraft(JSON.stringify(draft)), draft);
  for (const bad of [
    null,
    '',
    '{}',
    'null',
    JSON.stringify({ ...draft, at: 99 }),
    JSON.stringify({ ...draft, answers: NOTHING }),
  ])
    assert.equal(readDraft(bad), null, String(bad));
});

test('a report can be gone through again, and makes the same report', () => {
  const now = Date.parse('2026-03-24T21:20:00Z');
  const body = {
    right: { pain: 'none', redness: 'marked', lens: 'out' },
    left: { pain: 'none', redness: 'none', lens: 'out' },
    now: 'none',
    water: 'no',
    began_about: 'hours',
    began: '2026-03-24T15:20:00.000Z',
    note: 'since school',
  };
  const d = draftOf(body, now);
  assert.deepEqual(d && [d.apart, d.at], [['redness'], 1]);
  assert.deepEqual(d && bodyOf(d.answers, now), body);
  assert.equal(draftOf({ now: 'pain' }, now), null);
});
