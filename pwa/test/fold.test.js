// The fold on the vectors shared with Go, and its algebra on random logs.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import fc from 'fast-check';
import { makeEntry } from '../app/model/entry.js';
import { canonical, fold, foldMore } from '../app/model/fold.js';

/** @import { Entry } from '../app/model/entry.js' */

const file = JSON.parse(readFileSync(new URL('../../testdata/care/fold.json', import.meta.url), 'utf8'));

/** @param {any} nights */
function plain(nights) {
  return Object.fromEntries(
    [...nights].map(([key, n]) => [
      key,
      Object.fromEntries(
        [...n.items].map(([k, it]) => [k, [it.differ, it.facts.map((/** @type {any} */ f) => f.value)]]),
      ),
    ]),
  );
}

/** @param {any} e @returns {Entry} */
function real(e) {
  const id = (/** @type {string} */ x) => file.ids[x] ?? x;
  const out = { ...file.defaults, ...e, id: id(e.id) };
  if (e.supersedes) out.supersedes = e.supersedes.map(id);
  if (e.retracts) out.retracts = id(e.retracts);
  return out;
}

test('the file is whole', () => assert.equal(file.tests.length, file.numberOfTests));

for (const t of file.tests) {
  test(`fold: ${t.comment}`, () => {
    const entries = t.entries.map(real);
    assert.equal(canonical(plain(fold(entries))), canonical(t.want));
    assert.equal(canonical(plain(fold([...entries].reverse()))), canonical(t.want), 'in reverse');
    assert.equal(canonical(plain(fold([...entries, ...entries]))), canonical(t.want), 'repeated');
  });
}

test('an entry whose time is none stops no other', () => {
  const [id, other] = Object.values(file.ids);
  const removal = { kind: 'removal', hlc: '1774734000000-0000', body: { at: '', eyes: 'both' } };
  const rub = { kind: 'care', hlc: '1774734000001-0000', body: { rub: true } };
  const nights = [...fold([real({ ...removal, id }), real({ ...rub, id: other })]).values()];
  assert.deepEqual([...nights[0].items.keys()], ['care/rub']);
  assert.throws(() => makeEntry({ ...removal, wearer: 'w' }, pen), RangeError);
});

const pen = { device: 'd', author: 'a', zone: 'UTC', now: 0, dseq: 1, hlc: '', random: new Uint8Array(10) };
const ids = Object.values(file.ids);
const anEntry = fc.record({
  n: fc.integer({ min: 0, max: 3 }),
  hlc: fc.constantFrom('1774734000000-0000', '1774734000001-0000', '1774734000002-0000'),
  kind: fc.constantFrom('care', 'morning', 'retraction', 'evening-sight'),
  ref: fc.integer({ min: 0, max: 3 }),
  supersedes: fc.boolean(),
  night: fc.constantFrom('2026-03-28', '2026-03-29'),
  rub: fc.boolean(),
  author: fc.constantFrom('p1', 'p2'),
});

test('order and repetition never change a night (1,000 random logs)', () => {
  fc.assert(
    fc.property(fc.uniqueArray(anEntry, { selector: e => e.n, maxLength: 4 }), fc.integer(), (list, turn) => {
      const entries = list.map(r =>
        real({
          id: ids[r.n],
          hlc: r.hlc,
          kind: r.kind,
          night: r.night,
          author: r.author,
          ...(r.kind === 'retraction'
            ? { retracts: ids[r.ref], body: {} }
            : {
                body:
                  r.kind === 'evening-sight'
                    ? { rating: r.rub ? 1 : 5 }
                    : r.kind === 'care'
                      ? { rub: r.rub }
                      : { drops: r.rub },
              }),
          ...(r.supersedes && r.kind !== 'retraction' ? { supersedes: [ids[r.ref]] } : {}),
        }),
      );
      const k = entries.length ? Math.abs(turn) % entries.length : 0;
      const turned = [...entries.slice(k), ...entries.slice(0, k), ...entries.slice(0, 2)];
      assert.equal(canonical(plain(fold(turned))), canonical(plain(fold(entries))));
      let grown = fold(entries.slice(0, k));
      for (let i = k; i < entries.length; i++) grown = foldMore(grown, entries.slice(0, i + 1), [entries[i]]);
      assert.equal(canonical(plain(grown)), canonical(plain(fold(entries))), 'one by one');
    }),
    { numRuns: 1000 },
  );
});
