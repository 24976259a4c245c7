// Slips: what can hardly be meant, with what probably was; and settling what two
// people say. Expected values by hand from the plan and the clocks in each case.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { instantAt } from '../../schedule/civil/civil.js';
import { supplyDoubt } from '../app/model/begun.js';
import { apart, closes } from '../app/model/closing.js';
import { fold } from '../app/model/fold.js';
import { forms } from '../app/model/entry.js';
import { corrects, differing, moves, settle, taken, unchanged } from '../app/model/mend.js';
import { doubt } from '../app/model/plausible.js';
import { standing } from '../app/model/standing.js';

/** @import { Entry } from '../app/model/entry.js' */

const ZONE = 'Europe/Madrid';
const plan = { insertion_at: '21:30', removal_at: '06:45' };
/** @param {string} date @param {string} at @param {string} night @param {string} [into] date and clock @param {string} [out] */
const known = (date, at, night, into, out) => {
  const ms = (/** @type {string|undefined} */ x) => (x ? instantAt(x.slice(0, 10), x.slice(11), ZONE) : undefined);
  return { night, now: instantAt(date, at, ZONE), zone: ZONE, plan, into: ms(into), out: ms(out) };
};

/** @type {[string, string, Record<string, any>, ReturnType<typeof known> & {held?: boolean, was?: string}, string, boolean, Record<string, any>|undefined][]} */
const cases = [
  ['lenses in at 21:40, now', 'in', { at: '21:40' }, known('2026-03-11', '21:40', '2026-03-11'), '', false, undefined],
  [
    '23:30 at 22:00: it was yesterday',
    'in',
    { at: '23:30' },
    known('2026-03-11', '22:00', '2026-03-11'),
    'doubt.future',
    true,
    { night: '2026-03-10' },
  ],
  [
    '22:06 at 22:00 is now, whatever last night has',
    'in',
    { at: '22:06' },
    known('2026-03-11', '22:00', '2026-03-11'),
    'doubt.future',
    true,
    { at: '22:00' },
  ],
  [
    'out in the evening of a night into which nothing went',
    'out',
    { at: '20:34' },
    known('2026-03-11', '20:34', '2026-03-11'),
    'doubt.no-in',
    false,
    undefined,
  ],
  [
    'out in the morning of a night that nobody logged in the evening',
    'out',
    { at: '06:40' },
    known('2026-03-12', '06:45', '2026-03-11'),
    '',
    false,
    undefined,
  ],
  [
    '06:45 at 22:00 is tomorrow morning',
    'in',
    { at: '06:45' },
    known('2026-03-11', '22:00', '2026-03-11'),
    'doubt.future',
    true,
    { night: '2026-03-10' },
  ],
  [
    'once it is yesterday it is plausible',
    'in',
    { at: '23:30', night: '2026-03-10' },
    known('2026-03-11', '22:00', '2026-03-11'),
    '',
    false,
    undefined,
  ],
  [
    'in after the plan has them out: put in last night, still in?',
    'in',
    { at: '07:52' },
    known('2026-03-12', '07:52', '2026-03-11'),
    'doubt.by-day',
    false,
    { at: '21:30' },
  ],
  [
    'in by day, after noon: last night, still in?',
    'in',
    { at: '12:30' },
    known('2026-03-11', '12:30', '2026-03-11'),
    'doubt.by-day',
    false,
    { night: '2026-03-10', at: '21:30' },
  ],
  [
    'in after they came out',
    'in',
    { at: '23:00' },
    known('2026-03-12', '07:00', '2026-03-11', undefined, '2026-03-11T22:00'),
    'doubt.after-out',
    false,
    undefined,
  ],
  [
    'in so early that they would have been in for 17 h 30 by what is logged: the usual time',
    'in',
    { at: '17:30' },
    known('2026-03-12', '12:30', '2026-03-11', undefined, '2026-03-12T11:00'),
    'doubt.long',
    false,
    { at: '21:30' },
  ],
  [
    'in at 19:30 and out at 11:00, which is 15 h 30',
    'in',
    { at: '19:30' },
    known('2026-03-12', '12:30', '2026-03-11', undefined, '2026-03-12T11:00'),
    '',
    false,
    undefined,
  ],
  [
    'out at 06:40 after 21:30',
    'out',
    { at: '06:40' },
    known('2026-03-12', '06:45', '2026-03-11', '2026-03-11T21:30'),
    '',
    false,
    undefined,
  ],
  [
    '18:40 for 06:40 on a twelve-hour clock',
    'out',
    { at: '18:40' },
    known('2026-03-12', '08:00', '2026-03-11', '2026-03-11T21:30'),
    'doubt.future',
    true,
    { at: '06:40', on: '' },
  ],
  [
    'out at the minute they went in',
    'removal',
    { at: '00:30' },
    known('2026-03-12', '08:00', '2026-03-11', '2026-03-12T00:30'),
    'doubt.same',
    true,
    { at: '06:45', on: '' },
  ],
  [
    'in and out at one minute of the morning, as it happens: perhaps they were in all night',
    'out',
    { at: '07:56' },
    known('2026-03-12', '07:56', '2026-03-11', '2026-03-12T07:56'),
    'doubt.short',
    false,
    undefined,
  ],
  [
    'an eye that may have no lens is not asked even then',
    'out',
    { at: '07:56' },
    { ...known('2026-03-12', '07:56', '2026-03-11', '2026-03-12T07:56'), held: true },
    '',
    false,
    undefined,
  ],
  [
    'mended to go in at the minute they came out',
    'in',
    { at: '07:56' },
    known('2026-03-12', '08:10', '2026-03-11', '2026-03-12T07:56', '2026-03-12T07:56'),
    'doubt.same',
    true,
    { at: '21:30' },
  ],
  [
    'in and out again within the minute',
    'out',
    { at: '21:20' },
    known('2026-03-11', '21:20', '2026-03-11', '2026-03-11T21:20'),
    '',
    false,
    undefined,
  ],
  [
    'out before they went in',
    'removal',
    { at: '00:10' },
    known('2026-03-12', '08:00', '2026-03-11', '2026-03-12T00:30'),
    'doubt.before-in',
    true,
    { at: '06:45', on: '' },
  ],
  [
    'more than 16 hours is asked',
    'removal',
    { at: '14:00' },
    known('2026-03-12', '15:00', '2026-03-11', '2026-03-11T21:30'),
    'doubt.long',
    false,
    { at: '06:45', on: '' },
  ],
  [
    '16 hours exactly is not',
    'removal',
    { at: '13:30' },
    known('2026-03-12', '15:00', '2026-03-11', '2026-03-11T21:30'),
    '',
    false,
    undefined,
  ],
  [
    'in for a minute: perhaps they were in all night',
    'out',
    { at: '07:53' },
    known('2026-03-12', '07:53', '2026-03-11', '2026-03-12T07:52'),
    'doubt.short',
    false,
    undefined,
  ],
  [
    'out again in the evening: an eye that hurts, in again tonight, or not worn?',
    'out',
    { at: '21:50' },
    known('2026-03-11', '21:50', '2026-03-11', '2026-03-11T21:30'),
    'doubt.soon',
    false,
    undefined,
  ],
  [
    'of a lone removal mended to tomorrow morning what stood there was meant',
    'removal',
    { at: '06:45' },
    { ...known('2026-03-11', '21:20', '2026-03-11'), was: '21:11' },
    'doubt.future',
    true,
    { at: '21:11', on: '' },
  ],
  [
    'out an hour after they went in in the evening is asked nothing (our own limit)',
    'out',
    { at: '22:30' },
    known('2026-03-11', '22:30', '2026-03-11', '2026-03-11T21:30'),
    '',
    false,
    undefined,
  ],
  [
    'an eye that may have no lens is asked nothing',
    'out',
    { at: '07:53' },
    { ...known('2026-03-12', '07:53', '2026-03-11', '2026-03-12T07:52'), held: true },
    '',
    false,
    undefined,
  ],
  [
    'nor is what names its date: it was asked',
    'out',
    { at: '14:00', on: '2026-03-12' },
    known('2026-03-12', '14:00', '2026-03-11', '2026-03-11T21:30'),
    '',
    false,
    undefined,
  ],
  [
    'a night as usual whose morning has not come',
    'missed',
    { in: '21:30', out: '06:45' },
    known('2026-03-12', '06:40', '2026-03-11'),
    'doubt.future',
    true,
    { out: '06:40' },
  ],
  [
    'still in is plausible',
    'missed',
    { in: '21:30', out: '06:45', still: true },
    known('2026-03-12', '06:40', '2026-03-11'),
    '',
    false,
    undefined,
  ],
  [
    'case closed later than now',
    'care',
    { closed_at: '07:30' },
    known('2026-03-12', '07:00', '2026-03-11'),
    'doubt.future',
    true,
    { closed_at: '07:00' },
  ],
  [
    'case closed before now',
    'care',
    { closed_at: '06:55' },
    known('2026-03-12', '07:00', '2026-03-11'),
    '',
    false,
    undefined,
  ],
  [
    'the night the clocks go forward has an hour less: 22:30 to 15:00 are 15 h 30',
    'removal',
    { at: '15:00' },
    known('2026-03-29', '16:00', '2026-03-28', '2026-03-28T22:30'),
    '',
    false,
    undefined,
  ],
];

for (const [name, kind, v, k, key, firm, change] of cases) {
  test(`plausible: ${name}`, () => {
    const d = doubt(kind, v, k);
    assert.equal(d?.key ?? '', key);
    if (!d) return;
    assert.equal(d.firm, firm);
    assert.deepEqual(d.offer?.change, change);
    if (d.offer) assert.equal(doubt(kind, { ...v, ...d.offer.change }, k), null, 'what is offered is plausible itself');
  });
}

test('what belongs to another child is written there as mended, and taken back here in every form', () => {
  const entry = (/** @type {string} */ id, /** @type {string[]} */ supersedes) =>
    /** @type {Entry} */ (
      /** @type {unknown} */ ({
        id,
        wearer: 'a',
        night: '2026-03-10',
        kind: 'removal',
        supersedes,
        body: { at: '06:40' },
      })
    );
  const all = [entry('first', []), entry('second', ['first'])];
  const mended = { kind: 'removal', body: { at: '06:50', eyes: 'both' } };
  const find = (/** @type {string} */ id) => all.find(e => e.id === id);
  const [there, ...gone] = moves(all[1], { wearer: 'b', night: '2026-03-09' }, mended, find);
  assert.deepEqual(there, { wearer: 'b', night: '2026-03-09', ...mended });
  assert.deepEqual(
    gone.map(d => [d.wearer, d.night, d.kind, d.retracts]),
    [
      ['a', '2026-03-10', 'retraction', 'second'],
      ['a', '2026-03-10', 'retraction', 'first'],
    ],
  );
  assert.deepEqual(moves(all[1], { wearer: 'a', night: '2026-03-09' }, mended, find), [
    { wearer: 'a', night: '2026-03-09', ...mended, supersedes: ['second'] },
  ]);
});

test('an edit never replaces what stands in another night', () => {
  // Tonight's insertion, mended to 06:50 at 21:20: that was this morning, of last night, which went in at 20:42.
  const e = { id: 'tonight', kind: 'insertion' };
  const last = fold([
    /** @type {Entry} */ (
      /** @type {unknown} */ ({
        v: 1,
        id: 'last',
        hlc: '1',
        wearer: 'w',
        night: '2026-03-10',
        kind: 'insertion',
        zone: ZONE,
        author: 'p',
        body: { at: '20:42', eyes: 'both' },
      })
    ),
  ]);
  const here = (/** @type {string} */ night) =>
    taken(
      [...last.values()].find(n => n.night === night),
      e,
    );
  assert.ok(here('2026-03-10'));
  assert.ok(!here('2026-03-09'), 'a night without one may have it');
  assert.ok(!taken([...last.values()][0], { id: 'x', kind: 'note' }), 'two notes stand side by side');
  const k = known('2026-03-11', '21:20', '2026-03-11');
  for (const [at, now] of [
    ['06:50', { at: '21:20' }], // of a time to come: that it is now
    ['13:00', undefined],
  ]) {
    const d = doubt('in', { at }, { ...k, taken: here });
    assert.deepEqual(d?.offer?.change, now, 'the night of 20:42 is not offered');
    assert.equal(d?.taken, '2026-03-10');
    assert.deepEqual(doubt('in', { at }, { ...k, taken: () => false })?.offer?.change.night, '2026-03-10');
  }
});

test('supplies: dates and days that cannot be', () => {
  const today = '2026-03-12';
  for (const [on, days, key, meant] of [
    ['2026-03-10', '', '', ''],
    ['2099-03-10', '', 'doubt.future', '2026-03-10'],
    ['2025-03-10', '', 'doubt.old', '2026-03-10'],
    ['2025-12-31', '', '', ''],
    ['2026-12-31', '', 'doubt.future', '2025-12-31'],
    ['', '', 'doubt.date', ''],
    ['2026-03-10', '-3', 'doubt.days', ''],
    ['2026-03-10', '0', 'doubt.days', ''],
    ['2026-03-10', '1.5', 'doubt.days', ''],
    ['2026-03-10', '731', 'doubt.days', ''],
    ['2026-03-10', '90', '', ''],
  ]) {
    const d = supplyDoubt(on, days, today);
    assert.equal(d?.key ?? '', key, `${on} ${days}`);
    assert.equal(d?.offer?.date ?? '', meant, `${on} ${days}`);
  }
});

let n = 0;
/** @param {string} author @param {string} kind @param {Record<string, unknown>} body @param {Partial<Entry>} [more] @returns {Entry} */
const e = (author, kind, body, more = {}) => ({
  id: `id-${String(++n).padStart(4, '0')}`,
  wearer: 'w1',
  device: 'd1',
  dseq: n,
  author,
  kind,
  night: '2026-03-11',
  wall: '2026-03-11T21:00:00',
  zone: ZONE,
  offset: 60,
  hlc: `${String(n).padStart(13, '0')}-0000`,
  v: 1,
  body,
  ...more,
});

/** @param {Entry[]} entries */
const night = entries => /** @type {import('../app/model/fold.js').Night} */ (fold(entries).get('w1/2026-03-11'));

/** The night after a settlement by p1. @param {Entry[]} entries @param {string} key @param {Entry} right */
const settled = (entries, key, right) => {
  const drafts = settle(night(entries), key, right.id, ZONE);
  return night([...entries, ...drafts.map(d => e('p1', d.kind, d.body, { supersedes: d.supersedes }))]);
};
/** @param {ReturnType<typeof night>} nt */
const values = nt => Object.fromEntries([...nt.items].map(([k, i]) => [k, [i.differ, ...i.facts.map(f => f.value)]]));

test('settling one thing of a cleaning keeps what else each said', () => {
  const a = e('p1', 'care', { rub: true, hand_wash: true, tap_water: false });
  const b = e('p2', 'care', { rub: false, hand_wash: true, case_dried: true });
  assert.deepEqual(values(settled([a, b], 'care/rub', b)), {
    'care/rub': [false, false],
    'care/hand_wash': [false, true],
    'care/tap_water': [false, false],
    'care/case_dried': [false, true],
  });
});

test('what the same two say of both lenses is asked once, and one answer settles both', () => {
  const a = e('p1', 'insertion', { at: '20:10', eyes: 'both' });
  const b = e('p2', 'insertion', { at: '20:25', eyes: 'both' });
  assert.deepEqual(
    differing(night([a, b])).map(([key]) => key),
    ['insertion/both'],
  );
  const at = { at: '20:25', zone: ZONE };
  const after = settled([a, b], 'insertion/both', b);
  assert.deepEqual(values(after), { 'insertion/right': [false, at], 'insertion/left': [false, at] });
  assert.deepEqual(differing(after), []);

  const c = e('p2', 'insertion', { at: '20:25', eyes: 'left' });
  assert.deepEqual(
    differing(night([a, c])).map(([key]) => key),
    ['insertion/left'],
  );
});

test('settling one eye keeps the other, whoever said it', () => {
  const a = e('p1', 'insertion', { at: '21:30', eyes: 'both' });
  const b = e('p2', 'insertion', { at: '22:10', eyes: 'left' });
  const at = (/** @type {string} */ x) => ({ at: x, zone: ZONE });
  assert.deepEqual(values(settled([a, b], 'insertion/left', b)), {
    'insertion/left': [false, at('22:10')],
    'insertion/right': [false, at('21:30')],
  });
  assert.deepEqual(values(settled([a, b], 'insertion/left', a)), {
    'insertion/left': [false, at('21:30')],
    'insertion/right': [false, at('21:30')],
  });
});

test('a clock written abroad is the same instant once settled', () => {
  const a = e('p1', 'insertion', { at: '21:30', eyes: 'both' });
  const b = e('p2', 'insertion', { at: '21:10', eyes: 'both' }, { zone: 'Europe/Lisbon', offset: 0 });
  assert.deepEqual(values(settled([a, b], 'insertion/right', b))['insertion/right'], [
    false,
    { at: '22:10', zone: ZONE },
  ]); // Lisbon is an hour behind Madrid
});

test('a correction of what somebody else took back is settled by keeping it', () => {
  const a = e('p1', 'not-worn', { reason: 'ill', eyes: 'left' });
  const gone = e('p2', 'retraction', {}, { retracts: a.id });
  const b = e('p1', 'not-worn', { reason: 'away', eyes: 'left' }, { supersedes: [a.id] });
  assert.equal(night([a, gone, b]).items.get('not-worn/left')?.differ, true);
  assert.deepEqual(values(settled([a, gone, b], 'not-worn/left', b)), { 'not-worn/left': [false, { reason: 'away' }] });
});

test('one corrects oneself; what somebody else said stands beside it', () => {
  const mine = e('p1', 'insertion', { at: '21:30', eyes: 'both' });
  assert.deepEqual(corrects(mine, 'p1'), [mine.id]);
  assert.deepEqual(corrects(mine, 'p2'), []);
  assert.deepEqual(corrects(e('p1', 'supply', { item: 'case' }), 'p2').length, 1);
});

test('taking back an edited entry takes its earlier forms along', () => {
  const a = e('p1', 'evening-sight', { rating: 2 });
  const b = e('p1', 'evening-sight', { rating: 3 }, { supersedes: [a.id] });
  const c = e('p1', 'evening-sight', { rating: 4 }, { supersedes: [b.id, 'unknown'] });
  const all = [a, b, c];
  const ids = forms(c, id => all.find(x => x.id === id));
  assert.deepEqual(ids, [c.id, b.id, a.id]);
  assert.equal(fold([...all, ...ids.map(id => e('p1', 'retraction', {}, { retracts: id }))]).size, 0);
});

test('cleaning said twice by one person: the later stands, the earlier is history', () => {
  const first = e('p1', 'care', { rub: true, hand_wash: true, closed_at: '07:00' });
  const later = e('p1', 'care', { rub: false, hand_wash: true, closed_at: '07:02' });
  const theirs = e('p2', 'care', { rub: true, hand_wash: true, closed_at: '07:01' });
  const of = (/** @type {Entry[]} */ ...all) => standing(all).map(x => x.id);
  assert.deepEqual(of(later, theirs, first), [later.id, theirs.id]);
  // What the later does not speak of stands, and so does what may have hurt a lens.
  const more = e('p1', 'care', { rub: true, deposit_removal: true });
  assert.deepEqual(of(later, more), [later.id, more.id]);
  const tap = e('p1', 'care', { rub: true, rinse: 'tap-water' });
  const rinsed = e('p1', 'care', { rub: true, rinse: 'solution' });
  assert.deepEqual(of(rinsed, tap), [rinsed.id, tap.id]);
  assert.deepEqual(of(tap, rinsed), [tap.id]);
});

test('a morning check said again by one person is history, unless it told of something', () => {
  const fine = { moved: 'freely', comfort: 4, redness: 0 };
  const wrong = e('p1', 'morning', fine);
  const real = e('p1', 'morning', fine);
  const red = e('p1', 'morning', { ...fine, redness: 1 });
  const of = (/** @type {Entry[]} */ ...all) => standing(all).map(x => x.id);
  assert.deepEqual(of(real, wrong), [real.id]);
  assert.deepEqual(of(real, red), [real.id, red.id]);
  assert.deepEqual(of(real, e('p2', 'morning', fine)).length, 2);
  assert.deepEqual(of(real, e('p1', 'care', { rub: true })).length, 2);
});

test('a case closed in the afternoon belongs to the cleaning it was written with', () => {
  const at = (/** @type {string} */ night, /** @type {number} */ dseq, /** @type {Record<string, any>} */ body) => ({
    ...e('p1', 'care', body),
    night,
    dseq,
    device: 'd1',
  });
  const cleaned = at('2026-03-10', 7, { rub: true });
  const closed = at('2026-03-11', 8, { closed_at: '15:10' });
  assert.ok(closes(closed, cleaned));
  // The next thing written, another night, another phone, or a cleaning of its own: no.
  assert.ok(!closes({ ...closed, dseq: 9 }, cleaned));
  assert.ok(!closes({ ...closed, night: '2026-03-12' }, cleaned));
  assert.ok(!closes({ ...closed, device: 'd2' }, cleaned));
  assert.ok(!closes(at('2026-03-11', 8, { closed_at: '15:10', rub: true }), cleaned));
  assert.deepEqual(apart(closed, { rub: true, closed_at: '14:30' }, true), [
    { body: { rub: true } },
    { night: '2026-03-11', body: { closed_at: '14:30' }, closes: true },
  ]);
  assert.deepEqual(apart(closed, { rub: true, closed_at: '07:10' }, false), [
    { body: { rub: true, closed_at: '07:10' } },
  ]);
  assert.deepEqual(apart(closed, { rub: true }, false), [{ body: { rub: true } }]);
});

test('a form that is saved as it was opened corrects nothing', () => {
  const e = /** @type {any} */ ({
    id: 'e1',
    kind: 'insertion',
    wearer: 'w1',
    night: '2026-03-24',
    zone: 'Europe/London',
    author: 'p1',
    body: { at: '21:20', eyes: 'both' },
  });
  const draft = { wearer: 'w1', night: '2026-03-24', kind: 'insertion', supersedes: ['e1'] };
  const same = { ...draft, body: { eyes: 'both', at: '21:20' } };
  assert.equal(unchanged(e, [same], 'Europe/London'), true);
  assert.equal(unchanged(e, [{ ...same, body: { eyes: 'both', at: '21:10' } }], 'Europe/London'), false);
  assert.equal(unchanged(e, [{ ...same, night: '2026-03-23' }], 'Europe/London'), false);
  assert.equal(unchanged(e, [same], 'Europe/Berlin'), false, 'the same clock elsewhere is another hour');
  assert.equal(
    unchanged(e, [{ ...same, supersedes: [] }], 'Europe/London'),
    false,
    'of somebody else: a word of one’s own',
  );
  const planned = { ...e, body: { ...e.body, planned: true } };
  assert.equal(unchanged(planned, [same], 'Europe/London'), false, 'a time of the plan is now one’s own');
  const morning = { ...e, kind: 'morning' };
  assert.equal(unchanged(morning, [{ ...same, kind: 'morning' }], 'Europe/London'), false);
});
