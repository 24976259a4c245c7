import { test } from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import medical from '../../alerts/texts.json' with { type: 'json' };
import { rank, readMarks, wearFact, worseMarks } from '../app/model/wear.js';
import { words as ar } from '../app/text/ar/words.js';
import { en } from '../app/text/en/words.js';
import { words as es } from '../app/text/es/words.js';
import { words as zh } from '../app/text/zh/words.js';
import { fact, wear } from '../../testdata/care/driver.mjs';

/** @import { Mark } from '../app/model/wear.js' */

/** @type {any[]} */
const vectors = JSON.parse(readFileSync(new URL('../../testdata/care/wear.json', import.meta.url), 'utf8'));
/** @type {('right'|'left')[]} */
const EYES = ['right', 'left'];

test('the vectors of the wear state', () => {
  assert.ok(vectors.length >= 101, `${vectors.length} vectors`);
  for (const v of vectors) {
    const w = wear(v);
    assert.deepEqual({ right: w.right.state, left: w.left.state }, v.want, `${v.id}: ${v.history}`);
  }
});

/** A small seeded generator (mulberry32), so that a failure comes again. @param {number} seed */
function random(seed) {
  let a = seed;
  const next = () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return {
    /** @param {number} n */
    below: n => Math.floor(next() * n),
    /** @template T @param {T[]} list @returns {T} */
    pick: list => list[Math.floor(next() * list.length)],
  };
}

const NIGHTS = ['2026-12-01', '2026-12-02', '2026-12-03', '2026-12-04', '2026-12-05'];
const WORDS = ['clear', 'none', 'rest', 'stop'];
const STATES = ['stored', 'stored', 'stored', 'sent', 'unsent', 'missing', 'held', 'refused', 'discarded'];
const KINDS = [
  'symptoms',
  'symptoms',
  'symptoms',
  'morning',
  'insertion',
  'not-worn',
  'check-open',
  'retraction',
  'cease',
  'resume',
  'resume',
  'word',
];

/** @param {ReturnType<typeof random>} r @param {string} id @param {string[]} [kinds] */
function entry(r, id, kinds = KINDS) {
  const ids = () => Array.from({ length: 1 + r.below(3) }, () => `e${r.below(7)}`);
  const judge = () =>
    r.below(4) ? { right: r.pick(WORDS), ...(r.below(4) ? { left: r.pick(WORDS) } : {}) } : undefined;
  const s = { id, kind: r.pick(kinds), night: r.pick(NIGHTS), state: r.pick(STATES) };
  const eyes = r.pick([['right'], ['left'], EYES]);
  if (s.kind === 'cease') return { ...s, eyes, ...(r.below(2) ? { begins: r.pick(NIGHTS) } : {}) };
  if (s.kind === 'resume') return { ...s, eyes, answers: ids(), from: r.pick(NIGHTS), check: r.below(3) === 0 };
  return {
    ...s,
    told: judge(),
    judged: judge(),
    about: r.pick(['right', 'left', 'both']),
    ends: ids(),
    takes: r.below(4) ? [] : ids(),
    ...(r.below(3) ? {} : { made: r.pick(NIGHTS) }),
  };
}

/** @param {ReturnType<typeof random>} r */
function history(r) {
  return {
    entries: Array.from({ length: r.below(8) }, (_, i) => entry(r, `e${i}`)),
    night: r.pick(NIGHTS),
    as_history: r.below(4) === 0,
    ...(r.below(3) ? {} : { table_says: 'stop' }),
  };
}

test('what must be true of every history', () => {
  const r = random(22);
  const seen = { none: 0, rest: 0, stop: 0 };
  for (let n = 0; n < 8000; n++) {
    const h = history(r);
    const w = wear(h);
    const at = JSON.stringify(h);
    seen[w.right.state]++;
    const mixed = [...h.entries, ...h.entries].sort(() => r.below(3) - 1);
    assert.deepEqual(wear({ ...h, entries: mixed }), w, `order and repetition: ${at}`);
    const more = entry(r, 'x', KINDS.slice(0, 8));
    const after = wear({ ...h, entries: [...h.entries, more] });
    const bare = { ...h, as_history: false, entries: h.entries.filter(e => e.kind !== 'resume') };
    const later = wear({ ...bare, night: `20${27 + r.below(9)}-01-15` });
    const fewer = wear({ ...h, entries: h.entries.filter(e => e.kind !== 'resume' || r.below(2)) });
    for (const eye of EYES) {
      const lowered = (/** @type {Mark} */ a, /** @type {Mark} */ b) => b === 'stop' && a !== 'stop';
      assert.ok(
        !lowered(after[eye].state, w[eye].state),
        `a family entry lowered a stop: ${JSON.stringify(more)} ${at}`,
      );
      assert.ok(!lowered(later[eye].state, wear(bare)[eye].state), `a date lowered a stop: ${at}`);
      assert.ok(rank(fewer[eye].state) >= rank(w[eye].state), `losing a resume lowered: ${at}`);
      for (const e of h.entries) {
        const mark = fact(e).kind === 'resume' ? '' : worseMarks(fact(e).told, fact(e).judged)[eye];
        const listed = h.entries.some(x => 'answers' in x && x.answers.includes(e.id));
        const counts = mark === 'stop' && !listed && !h.as_history && e.kind !== 'word';
        assert.ok(!counts || w[eye].state === 'stop', `a cause that no resume lists was released: ${e.id} ${at}`);
      }
    }
  }
  for (const [state, times] of Object.entries(seen)) assert.ok(times > 400, `${state} was reached ${times} times`);
});

test('what an entry says is read, and nonsense is no error', () => {
  const id = '01890a5d-ac96-774b-bcce-b302099a8057';
  const base = {
    id,
    wearer: 'w',
    device: 'd',
    dseq: 1,
    author: 'p',
    night: '2026-12-02',
    wall: '2026-12-02T21:00:00',
    zone: 'UTC',
    offset: 0,
    hlc: '1',
    v: 3,
  };
  const q = wearFact(
    { ...base, kind: 'symptoms', body: { right: { pain: 'none' }, told: { right: 'clear', table: 2 }, ends: [id] } },
    'stored',
  );
  assert.deepEqual([q.about, q.told, q.ends], [['right'], { right: 'clear', left: 'none', given: true }, [id]]);
  for (const told of [null, 3, 'stop', [], {}, { right: 'halt' }, { right: 7, table: 2 }, { table: 'x' }]) {
    assert.equal(readMarks(told).given, false, JSON.stringify(told));
  }
  assert.deepEqual(readMarks({ table: 2 }), { right: 'none', left: 'none', given: true });
  assert.deepEqual(
    wearFact({ ...base, kind: 'resume', body: { eyes: 'both', answers: ['no id'], from: 7 } }, 'stored').answers,
    [],
  );
});

// A rest always has something that asked for it, so the words above it comfort
// nobody: that a night off does no harm is for a night off without a finding.
test('a night off for a finding is not said to do no harm', () => {
  const rests = vectors.flatMap(v => EYES.map(eye => wear(v)[eye])).filter(e => e.state === 'rest');
  assert.ok(rests.length > 0);
  for (const e of rests) assert.ok(e.causes.length > 0);
  const says = { en: /harm/i, es: /daño/i, zh: /坏处|害处/, ar: /تضر|ضرر/ };
  for (const [lang, words] of Object.entries({ en, es, zh, ar })) {
    for (const [key, text] of Object.entries(words))
      if (/^(wear|now|med\.action)\./.test(key))
        assert.doesNotMatch(text, says[/** @type {'en'} */ (lang)], `${lang} ${key}`);
    assert.ok(/** @type {Record<string, string>} */ (words)['wear.rest.lead'], lang);
  }
  assert.doesNotMatch(medical.texts['action.no-lens-tonight'].text, says.en);
});

test('a report is of the night it was made in, by the clock of the server', () => {
  const { cases } = JSON.parse(readFileSync(new URL('../../testdata/care/made.json', import.meta.url), 'utf8'));
  assert.ok(cases.length >= 7);
  for (const c of cases) {
    const e = /** @type {any} */ ({ id: 'q', kind: 'symptoms', body: {}, ...c });
    assert.equal(wearFact(e, 'stored').made, c.made, c.name);
  }
  // What this phone has not sent yet, by what its server last said of its clock.
  const { recv, skew_ms, made, ...own } = cases[0];
  const e = /** @type {any} */ ({ id: 'q', kind: 'symptoms', body: {}, ...own });
  assert.equal(wearFact(e, 'unsent', -skew_ms).made, made);
  assert.equal(wearFact(e, 'unsent', 0).made, '');
});
