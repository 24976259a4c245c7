// Whether a lens that was held back was cleaned since: by hand, of one wearer's nights. CDC:
// lenses are cleaned and disinfected after each wear, and again after water.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { fold } from '../app/model/fold.js';
import { uncared } from '../app/model/uncared.js';

/** @import { Entry } from '../app/model/entry.js' */

/** @param {string} night @param {string} kind @param {Record<string, any>} body @param {string} [at] @returns {Entry} */
const e = (night, kind, body, at = '20:00') =>
  /** @type {any} */ ({
    id: `${night}${kind}${at}${body.eyes ?? ''}`,
    wearer: 'w1',
    device: 'd1',
    author: 'p1',
    kind,
    night,
    body,
    wall: `${night}T${at}:00`,
    offset: 0,
    zone: 'UTC',
    hlc: `${night}${at}`,
    v: 3,
  });
const into = e('2026-02-10', 'insertion', { at: '20:10', eyes: 'both' }, '20:10');
const out = e('2026-02-10', 'removal', { at: '20:30', eyes: 'both' }, '20:31');
const resume = e('2026-02-10', 'resume', { eyes: 'right', from: '2026-02-11' }, '20:40');
const care = (/** @type {string} */ night, at = '20:50', more = {}) =>
  e(night, 'care', { rub: true, closed_at: at, ...more }, at);
/** @param {Entry[]} log @param {Entry[]} [resumes] @param {'right'|'left'} [eye] */
const told = (log, resumes = [resume], eye = 'right') => uncared([...fold([into, out, ...log]).values()], resumes, eye);
/** The night, where putting the lens in goes against it. @param {Parameters<typeof told>} of */
const of = (...of) => {
  const { night, held } = told(...of);
  return held ? night : '';
};

test('a lens that was released is asked about when nobody logged that it was cleaned since it was last worn', () => {
  assert.equal(of([]), '2026-02-10');
  assert.equal(of([], [], 'right'), '', 'a usual evening goes against nothing');
  assert.equal(of([], [resume], 'left'), '', 'the other eye was not released');
  assert.equal(of([care('2026-02-10')]), '');
  assert.equal(of([care('2026-02-11', '07:00')]), '', 'cleaned a day later');
  assert.equal(of([care('2026-02-09')]), '2026-02-10', 'cleaned before it was worn');
  assert.equal(of([care('2026-02-10', '20:05')]), '2026-02-10', 'the case was closed before they went in');
  assert.equal(of([care('2026-02-10', '20:50', { tap_water: true })]), '2026-02-10', 'with tap water');
  assert.equal(
    of([e('2026-02-11', 'care', { deposit_removal: true })]),
    '2026-02-10',
    'freed of deposits, not disinfected',
  );
});

test('what was cleaned before water was said is asked about, released or not', () => {
  const wet = e('2026-02-12', 'symptoms', { water: 'yes' }, '08:00');
  assert.equal(of([care('2026-02-10'), wet], []), '2026-02-10');
  assert.equal(of([care('2026-02-10'), wet, care('2026-02-12', '09:00')], []), '');
});

test('a lens that is new, or was worn since its release, is not asked about so', () => {
  const lens = (/** @type {string} */ eye) =>
    e('2026-02-11', 'supply', { item: 'lens', action: 'started', on: '2026-02-11', eye });
  assert.equal(of([lens('right')]), '');
  assert.equal(of([lens('left')]), '2026-02-10');
  assert.equal(of([], [{ ...resume, body: { ...resume.body, new_lens: true } }]), '');
  assert.equal(of([e('2026-02-11', 'insertion', { at: '21:00', eyes: 'right' }, '21:00')]), '');
  assert.equal(uncared([], [resume], 'right').night, '', 'never worn');
});

test('after a usual night it is known which lens nobody logged as cleaned, to be asked about once', () => {
  const night = (/** @type {Entry[]} */ ...log) => told(log, []).night;
  assert.equal(night(), '2026-02-10');
  assert.equal(night(care('2026-02-10')), '');
  assert.equal(night(e('2026-02-10', 'care', { rub: true, rinse: 'solution' }, '21:00')), '', 'without a closed case');
  assert.equal(night(care('2026-02-10'), e('2026-02-11', 'insertion', { at: '21:00', eyes: 'both' })), '2026-02-11');
});
