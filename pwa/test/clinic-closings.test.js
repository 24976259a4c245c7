import assert from 'node:assert/strict';
import test from 'node:test';
import { alertCourse, closedBefore, closingRows, lensesWords } from '../clinic/closings.js';

const OUTCOMES = [{ key: 'seen-treated', title: 'Examined and treated here', seen: true, event: true, disease: false }];

test('each closing of an alert stands with its outcome, how soon it was taken and what was found', () => {
  const alert = /** @type {any} */ ({
    title: 'Pain',
    found: ['Pain that persists (right)', 'Redness (left)'],
    closings: [
      {
        at: '2026-03-02T09:00:00Z',
        by: 'Ann',
        outcome: 'seen-treated',
        note: 'scratch',
        decision: 'sent-on',
        where: 'eye clinic',
        minutes: 12.4,
      },
      { at: '2026-03-05T09:00:00Z', by: 'Ben', outcome: 'in-error', minutes: null },
    ],
  });
  const never = /** @type {any} */ ({ title: 'Open still' });
  const rows = closingRows([never, alert], OUTCOMES);
  assert.deepEqual(
    rows.map(r => r.slice(1)),
    [
      ['Pain that persists (right); Redness (left)', '–', 'In error', '–', 'Ben'],
      [
        'Pain that persists (right); Redness (left)',
        '12 min',
        'Examined and treated here',
        'none, sent on: eye clinic',
        'scratch – Ann',
      ],
    ],
  );
  assert.match(rows[1][0], /2 Mar/);
});

test('an alert that was opened again says that it was taken and closed before', () => {
  const alert = /** @type {any} */ ({
    state: 'open',
    opened: '2026-03-02T08:00:00Z',
    outcome: '',
    closings: [{ at: '2026-03-02T09:00:00Z', by: 'Ann', outcome: 'seen-treated', minutes: 12.4 }],
  });
  const course = alertCourse(alert, OUTCOMES);
  assert.match(course, /^taken after 12 min, closed .*2 Mar.*: examined and treated here$/);
  assert.equal(alertCourse({ ...alert, closings: undefined }, OUTCOMES), 'nobody took it');
  const twice = [...alert.closings, { at: '2026-03-05T09:00:00Z', by: 'Ben', outcome: 'in-error', minutes: null }];
  const both = alertCourse({ ...alert, state: 'closed', outcome: 'in-error', closings: twice }, OUTCOMES);
  assert.match(both, /2 Mar.*treated here; opened again; closed .*5 Mar.*: in error$/);
});

test('a card that is open again says who closed it with which decision, and that it may not hold', () => {
  const closings = [
    { at: '2026-03-01T09:00:00Z', name: 'Ann', outcome: 'in-error', decision: 'none' },
    { at: '2026-03-02T20:48:00Z', name: 'Ben', outcome: 'seen-treated', decision: 'resume' },
  ];
  /** @param {any} alert */
  const says = alert => closedBefore(alert, OUTCOMES, 'UTC');
  const said = says({ state: 'open', closings });
  for (const part of ['Ben', '20:48', 'Examined and treated here', 'again, from a date', 'no longer holds'])
    assert.ok(said.includes(part), `${part}: ${said}`);
  assert.doesNotMatch(said, /Ann/);
  assert.equal(says({ state: 'acknowledged', closings }), said);
  assert.equal(says({ state: 'closed', closings }), '', 'the card says how it is closed');
  assert.equal(says({ state: 'open' }), '');
});

// The three decisions of one child that the archive once called by their outcome alone.
test('a closing says what it decided of each eye, by when it is looked at again and where the wearer was sent', () => {
  const again = { eye: /** @type {const} */ ('right'), again: true, from: '2026-12-01', check: true };
  const none = { eye: /** @type {const} */ ('left'), again: false, review_by: '2026-12-07' };
  const half = { decision: 'resume', lenses: [again, none] };
  assert.match(
    lensesWords(half),
    /^Right eye: again from the night of .*1 Dec.*, after an eye check that day; Left eye: no lens, review by .*7 Dec/,
  );
  assert.match(
    lensesWords({ decision: 'stays', lenses: [{ ...none, eye: 'right' }, none] }),
    /^Both eyes: no lens, review by .*7 Dec[^;]*$/,
  );
  assert.match(
    lensesWords({ decision: 'sent-on', where: 'Eye hospital', lenses: [none] }),
    /^Left eye: no lens, review by .*7 Dec.*; sent on: Eye hospital$/,
  );
  assert.match(
    lensesWords({ decision: 'stays', lenses: [{ eye: 'left', again: false, from: '2026-12-03' }] }),
    /^Left eye: no lens from the night of .*3 Dec[^,;]*$/,
  );
  assert.equal(lensesWords({ decision: 'resume' }), 'again, from a date', 'closed before what was said was kept');
  assert.equal(lensesWords({}), '');
  const before = closedBefore(
    /** @type {any} */ ({
      state: 'open',
      closings: [{ at: '2026-12-01T20:37:00Z', name: 'Ann', outcome: 'seen-treated', ...half }],
    }),
    OUTCOMES,
    'UTC',
  );
  assert.match(before, /Lenses: Right eye: again .*; Left eye: no lens, review by/);
});
