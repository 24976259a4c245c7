// Closing an alert with one eye resumed: the other eye stays stopped and gets a
// date of its own, or nobody would look at it again.
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { blank, canRelease, contradiction, entriesOf, knownIn, toKnow, unfounded } from '../clinic/views/close-form.js';

test('the eye that is not resumed gets a stop with a date of review', () => {
  const stop = { state: 'stop', causes: [{ id: 's' }] };
  const w = /** @type {any} */ ({ night: '2026-11-30', wear: { right: stop, left: stop } });
  const f = { ...blank(w, 'resume'), eyes: 'right', basis: 'examined', review_by: '2026-12-04' };
  const said = entriesOf(f, w, 'a');
  assert.deepEqual(
    said.map(e => [e.kind, e.body.eyes, e.body.review_by]),
    [
      ['resume', 'right', undefined],
      ['cease', 'left', '2026-12-04'],
    ],
  );
  assert.equal(entriesOf({ ...f, eyes: 'both' }, w, 'a').length, 1);
  // "The eye was examined": which one, once the two are not the same.
  const word = (/** @type {string} */ phrase, eyes = 'right') =>
    entriesOf({ ...f, eyes, phrase }, w, 'a').find(e => e.kind === 'word')?.body.eyes;
  assert.deepEqual([word('no-finding'), word('no-finding', 'both'), word('call-us')], ['right', undefined, undefined]);
});

test('no night is filled in from which lenses go in again', () => {
  assert.equal(blank(/** @type {any} */ ({ night: '2026-11-30', evening: '2026-11-30', wear: {} }), 'resume').from, '');
});

test('a release of more than a hundred causes names each in one entry, a hundred at most in each', () => {
  const stop = { state: 'stop', causes: Array.from({ length: 101 }, (_, i) => ({ id: `s${i}` })) };
  const w = /** @type {any} */ ({ night: '2026-11-30', wear: { right: stop, left: stop } });
  const said = entriesOf({ ...blank(w, 'resume'), eyes: 'both', basis: 'examined' }, w, 'a');
  assert.deepEqual(
    said.map(e => [e.kind, /** @type {string[]} */ (e.body.answers).length]),
    [
      ['resume', 100],
      ['resume', 1],
    ],
  );
});

// The server refuses the same: closing_agrees_test.go.
test('a red flag is closed after an examination or a call that reached the family, whatever is decided', () => {
  const w = /** @type {any} */ ({ night: '2026-11-30', evening: '2026-11-30', wear: {} });
  const alert = /** @type {any} */ ({ level: 'urgent', state: 'acknowledged' });
  const spoken = { ...alert, spoken: '2026-11-30T10:00:00Z' };
  const outcome = (/** @type {string} */ key, seen = false) => ({ key, seen });
  for (const decision of /** @type {const} */ (['stays', 'sent-on', 'none']))
    for (const o of [outcome('spoken-to'), outcome('referred', true)]) {
      const f = { ...blank(w, decision), outcome: o.key };
      assert.notEqual(unfounded(f, alert, o), '', `${decision} ${o.key}`);
      assert.equal(unfounded(f, spoken, o), '');
      assert.equal(unfounded(f, { ...alert, level: 'routine' }, o), '');
      assert.equal(unfounded(f, alert, outcome('seen-treated', true)), '');
      assert.equal(unfounded({ ...f, reason: 'examination' }, alert, o) === '', decision !== 'none');
    }
});

test('a release lifts no end of wear', () => {
  const stop = { state: 'stop', causes: [{ id: 'end' }, { id: 'pain' }] };
  const w = /** @type {any} */ ({
    night: '2026-11-30',
    causes: ['end', 'pain'],
    entries: [{ id: 'end', kind: 'cease', body: { reason: 'ended' } }],
    wear: { right: stop, left: stop },
  });
  assert.deepEqual(entriesOf({ ...blank(w, 'resume'), eyes: 'both' }, w)[0].body.answers, ['pain']);
  assert.equal(canRelease(w), true);
  const end = { state: 'stop', causes: [{ id: 'end' }] };
  assert.equal(canRelease({ ...w, causes: ['end'], wear: { right: end, left: end } }), false);
});

test('who lets lenses be worn again knows of a lens that is in and of words nobody has read, and anew of later ones', () => {
  /** @param {object[]} logged @param {object[]} notes */
  const card = (logged, notes) => toKnow(/** @type {any} */ ({ lenses: logged, words: notes }));
  const lens = { at: '2026-03-02T20:38:00Z', text: 'Lenses in since 20:38 and not logged out', leads: true };
  const note = { entry: 'n1', text: 'He cries', read: false };
  assert.equal(card([], [{ ...note, read: true }]), '', 'nothing to know');
  const known = card([lens], [note]);
  for (const later of [card([lens], []), card([], [note]), card([lens], [note, { ...note, entry: 'n2' }])])
    assert.notEqual(later, known);
  assert.notEqual(card([lens], []), '');
  assert.notEqual(card([], [note]), '');
  const stands = /** @type {any} */ ({ lenses: [{ ...lens, entry: 'i1' }], words: [note] });
  const form = /** @type {any} */ ({ known: toKnow(stands) });
  assert.deepEqual(knownIn(form, stands), ['i1', 'n1'], 'the server is told of each');
  assert.deepEqual(knownIn({ ...form, known: '' }, stands), [], 'and of none without the tick');
});

test('no word that nothing was found goes beside an outcome that names something, or a wearer who is sent on', () => {
  const w = /** @type {any} */ ({ wear: {} });
  /** @param {string} phrase @param {string} decision @param {string} key @param {boolean} event */
  const against = (phrase, decision, key, event) =>
    contradiction(/** @type {any} */ ({ phrase, decision, reason: 'report' }), w, '', { key, event });
  assert.match(against('no-finding', 'stays', 'infection', true), /contradict/);
  assert.match(against('no-finding', 'sent-on', 'spoken-to', false), /contradict/);
  assert.match(against('treated', 'stays', 'seen-nothing-found', false), /contradict/);
  assert.equal(against('no-finding', 'stays', 'seen-nothing-found', false), '');
  assert.equal(against('treated', 'stays', 'infection', true), '');
});

// A stop is answered only by the release that lists it, for all its eyes; a release is
// overtaken by any later decision about its eyes. (issue: decisions that no longer hold
// read as if they did)
test('a decision that no longer holds names the later one', async () => {
  const { overtakenBy } = await import('../clinic/views/say.js');
  const e = (/** @type {string} */ id, /** @type {string} */ kind, /** @type {object} */ body) => ({ id, kind, body });
  const all = [
    e('4', 'cease', { eyes: 'right' }),
    e('3', 'resume', { eyes: 'both', answers: ['1'] }),
    e('2', 'cease', { eyes: 'left' }),
    e('1', 'cease', { eyes: 'both' }),
  ];
  const by = (/** @type {number} */ i) => overtakenBy(all[i], all)?.id;
  assert.deepEqual([by(3), by(2), by(1), by(0)], ['3', undefined, undefined, undefined]);
  const right = [e('6', 'cease', { eyes: 'both' }), e('5', 'resume', { eyes: 'right', answers: ['4'] })];
  assert.equal(overtakenBy(right[1], right)?.id, '6');
});
