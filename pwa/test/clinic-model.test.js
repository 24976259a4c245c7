// The console's pure modules. Expected values are worked out by hand, or come
// from the source named beside them.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { lastPaused, pauseOf, weeks } from '../clinic/calendar.js';
import {
  courseWords,
  ago,
  day,
  moment,
  LANGUAGES,
  number,
  pauseWords,
  plural,
  prescription,
  share,
  span,
  weekdayDate,
  reached,
  waitsSince,
} from '../clinic/format.js';
import { pick, put } from '../clinic/forms.js';
import { minusForm, whole } from '../clinic/prescription.js';
import { inOrder, newEmergencies, unacknowledged, windowTitle } from '../clinic/queue.js';
import { codeIn, link, parse, wearerPage } from '../clinic/route.js';

/** @import { Alert } from '../clinic/api.js' */
/** @import { NightRow } from '../clinic/types.js' */

/**
 * @param {string} id
 * @param {Partial<Alert>} [more]
 * @returns {Alert}
 */
const alert = (id, more) => ({
  id,
  wearer: 'w',
  wearer_name: '',
  wearer_code: '',
  rule: 'r',
  title: '',
  level: 'urgent',
  state: 'open',
  opened: '2026-11-25T08:00:00Z',
  since: '2026-11-25T08:00:00Z',
  zone: 'Europe/Lisbon',
  eye: '',
  step: '',
  lapsed: false,
  rule_version: 1,
  history: [],
  contact: [],
  episode: {
    headline: '',
    earlier: [],
    later: [],
    eye: '',
    at: '',
    reached: '',
    seen: [],
    denied: [],
    open: [],
    told: [],
    began: '',
    notes: [],
    logged: [],
  },
  ...more,
});

test('a drill stands below every child, whatever its level, and is counted nowhere', () => {
  const drill = alert('d', { drill: true, level: 'urgent', opened: '2026-11-25T06:00:00Z' });
  const child = alert('c', { level: 'routine', state: 'acknowledged' });
  assert.deepEqual(
    inOrder([drill, child]).map(a => a.id),
    ['c', 'd'],
  );
  assert.equal(unacknowledged([drill, child]), 0);
});

test('the queue: not acknowledged first, then level, then the oldest', () => {
  const list = [
    alert('closed', { state: 'closed', level: 'emergency' }),
    alert('taken', { state: 'acknowledged', level: 'emergency' }),
    alert('urgent-new', { opened: '2026-11-25T09:00:00Z' }),
    alert('urgent-old'),
    alert('emergency', { level: 'emergency', opened: '2026-11-25T10:00:00Z' }),
    alert('chemical', { level: 'emergency', rule: 'chemical', opened: '2026-11-25T20:30:00Z' }), // rinsing counts by the minute
  ];
  assert.deepEqual(
    inOrder(list).map(a => a.id),
    ['chemical', 'emergency', 'urgent-old', 'urgent-new', 'taken', 'closed'],
  );
  assert.equal(unacknowledged(list), 4);
  assert.equal(windowTitle(3, 'Today'), '(3) Today · Nightkeep clinic');
  assert.equal(windowTitle(0, 'Today'), 'Today · Nightkeep clinic');
});

test('the bell rings for an emergency that is new, or open again', () => {
  const taken = alert('a', { level: 'emergency', state: 'acknowledged' });
  const open = { ...taken, state: /** @type {const} */ ('open') };
  assert.equal(newEmergencies([], [open]).length, 1);
  assert.equal(newEmergencies([open], [open]).length, 0);
  assert.equal(newEmergencies([taken], [open]).length, 1, 'worse, and open again');
  assert.equal(newEmergencies([{ ...open, level: 'urgent' }], [open]).length, 1, 'one that rose to it');
  assert.equal(newEmergencies([open], [taken]).length, 0);
  assert.equal(newEmergencies([], [alert('b')]).length, 0, 'an urgent one does not ring');
});

test('addresses carry the page and its filters, nothing else', () => {
  assert.deepEqual(parse('#wearer/w-1?from=2026-01-01'), {
    view: 'wearer',
    arg: 'w-1',
    params: { from: '2026-01-01' },
  });
  assert.equal(link('wearer', 'a b', { from: '2026-01-01', to: '' }), '#wearer/a%20b?from=2026-01-01');
  assert.equal(parse('#nonsense').view, 'today');
  assert.equal(parse('').view, 'today');
  assert.equal(parse(link('plan', 'ä/ö')).arg, 'ä/ö');
  assert.equal(wearerPage({ person: { role: 'desk' } }), 'visits');
  assert.equal(wearerPage({ person: { role: 'clinician' } }), 'wearer');
});

// Issue of the console: “on course” never stands beside “0 h clear”; hours are shown whole, so 0.4 is 0 h and 0.5 is 1 h.
test('on course is not said beside no clear hours', () => {
  for (const hours of [0, 0.4])
    assert.doesNotMatch(courseWords({ status: 'on course', clear_hours: hours }), /on course/i);
  for (const hours of [0.5, 9, null])
    assert.match(courseWords({ status: 'on course', clear_hours: hours }), /^On course$/);
  assert.match(courseWords({ status: 'behind', clear_hours: 0 }), /^Behind$/);
});

test('a plus cylinder becomes a minus cylinder', () => {
  // -4.25 / +1.50 x 90 is -2.75 / -1.50 x 180 (arithmetic of transposition)
  assert.deepEqual(minusForm({ sphere: -4.25, cylinder: 1.5, axis: 90 }), { sphere: -2.75, cylinder: -1.5, axis: 180 });
  assert.deepEqual(minusForm({ sphere: -1, cylinder: 0.5, axis: 135 }), { sphere: -0.5, cylinder: -0.5, axis: 45 });
  assert.deepEqual(minusForm({ sphere: -2, cylinder: -0.75, axis: 10 }), { sphere: -2, cylinder: -0.75, axis: 10 });
});

test('prescriptions as people type them', () => {
  assert.deepEqual(whole({ sphere: -2.75, cylinder: -0.5, axis: 180 }).rx, {
    sphere: -2.75,
    cylinder: -0.5,
    axis: 180,
  });
  assert.deepEqual(whole({ sphere: 0, cylinder: null, axis: null }).rx, { sphere: 0, cylinder: 0, axis: 0 });
  assert.deepEqual(Object.keys(whole({ sphere: null, cylinder: null, axis: null }).at ?? {}), ['sphere']);
  assert.deepEqual(Object.keys(whole({ sphere: -3, cylinder: -1, axis: null }).at ?? {}), ['axis'], 'a cylinder alone');
  assert.deepEqual(Object.keys(whole({ sphere: null, cylinder: -1, axis: null }).at ?? {}), ['sphere', 'axis']);
});

test('words for time', () => {
  assert.equal(span(30000), 'under a minute');
  assert.equal(span(20 * 60000), '20 min');
  assert.equal(span((3 * 60 + 10) * 60000), '3 h 10 min');
  assert.equal(span(49 * 3600000), '2 days 1 h');
  assert.equal(ago('2026-11-25T09:50:00Z', Date.parse('2026-11-25T13:00:00Z')), '3 h 10 min ago');
  assert.equal(ago(undefined, 0), '–');
  assert.equal(day('2026-11-03'), '3 Nov 2026');
  assert.equal(day(''), '–');
  assert.equal(weekdayDate('2026-11-25'), 'Wed 25 Nov'); // 25 November 2026 is a Wednesday
  // the same instant by the clocks of two zones (winter: Lisbon UTC, Tokyo UTC+9)
  assert.equal(moment('2026-11-24T23:30:00Z', 'Europe/Lisbon'), 'Tue 24 Nov, 23:30');
  assert.equal(moment('2026-11-24T23:30:00Z', 'Asia/Tokyo'), 'Wed 25 Nov, 08:30');
  assert.equal(moment('0001-01-01T00:00:00Z', 'Europe/Lisbon'), '–', 'no instant');
  assert.equal(moment('2026-11-24T23:30:00Z', ''), 'Tue 24 Nov, 23:30', 'a practice without a zone yet');
});

test('a share is never a percentage alone', () => {
  assert.equal(share({ done: 29, not_done: 1, unknown: 0, share: 29 / 30 }), '29 of 30 (97 %)');
  assert.equal(share({ done: 4, not_done: 1, unknown: 5, share: 0.8 }), '4 of 5 (80 %), 5 unknown');
  assert.equal(share({ done: 4, not_done: 1, unknown: 5, rest: 2, share: 0.8 }), '4 of 5 (80 %), 5 unknown, 2 at rest');
  assert.equal(share({ done: 0, not_done: 0, unknown: 3, share: 0 }), 'nothing answered, 3 unknown');
  assert.equal(number(-0.5, 2), '−0.50');
  assert.equal(number(null, 2), '–');
  assert.equal(plural(1, 'night', 'nights'), '1 night');
  assert.equal(prescription({ sphere: -2.75, cylinder: -1.5, axis: 180 }), '−2.75 / −1.50 × 180');
});

test('the calendar starts each week on Monday and leaves out what is not in range', () => {
  /** @param {string} night @returns {NightRow} */
  const night = night => ({
    night,
    status: 'worn',
    counted: 'worn',
    hours: 8,
    slept_minutes: null,
    left_in: false,
    differs: false,
    late_hours: null,
    min_hours: 6,
    memory: false,
    symptoms: false,
  });
  const got = weeks(['2026-10-30', '2026-10-31', '2026-11-01', '2026-11-02'].map(night)); // Friday to Monday
  assert.equal(got.length, 2);
  assert.deepEqual(
    got[0].nights.map(n => n?.night ?? null),
    [null, null, null, null, '2026-10-30', '2026-10-31', '2026-11-01'],
  );
  assert.equal(got[1].nights[0]?.night, '2026-11-02');
  assert.deepEqual(
    got.map(w => w.label),
    ['Oct', 'Nov'],
  );
  assert.deepEqual(
    weeks(['2026-11-02'].map(night), '2026-11-16').map(w => w.monday),
    ['2026-11-02', '2026-11-09', '2026-11-16'],
  );
  assert.deepEqual(weeks([]), []);
});

test('a night of a pause: what was agreed goes before reminders that rest', () => {
  const own = { from: '2026-11-20', to: '2026-11-30', reason: 'ill', agreed: false };
  const agreed = { from: '2026-11-28', to: '2027-02-01', reason: 'away', agreed: true };
  assert.deepEqual(
    ['2026-11-19', '2026-11-20', '2026-11-28', '2027-02-01', '2027-02-02'].map(d => pauseOf([own, agreed], d)),
    ['', 'own', 'agreed', 'agreed', ''],
  );
  assert.equal(lastPaused([], '2026-11-26'), '2026-11-26');
  assert.equal(lastPaused([own], '2026-11-26'), '2026-11-30');
  assert.equal(lastPaused([own], '2026-12-26'), '2026-12-26');
  assert.equal(lastPaused([own, agreed], '2026-11-26'), '2026-12-31'); // 35 days on
  assert.equal(
    pauseWords({ ...own, by: 'P' }),
    '20 Nov 2026 to 30 Nov 2026: reminders paused by P; the nights count (illness)',
  );
  assert.equal(pauseWords(agreed), '28 Nov 2026 to 1 Feb 2027: no lenses, as agreed (away from home)');
});

test('fields of a form by path', () => {
  const visit = { right: { axial_mm: 24 }, left: {} };
  const next = put(visit, 'left.refraction.sphere', -2);
  assert.equal(pick(next, 'left.refraction.sphere'), -2);
  assert.equal(pick(visit, 'left.refraction.sphere'), undefined, 'the old one is unchanged');
  assert.equal(pick(next, 'right.axial_mm'), 24);
});

// An alert that already ran wears the time of the sign it leads with now, not of
// the one that opened it: "12 min ago" under a new emergency would be false.
test('a new sign on a running alert stands with when it reached the practice', () => {
  const opened = '2026-11-25T02:19:00Z';
  const at = (/** @type {string} */ headline, /** @type {string} */ when) =>
    reached({ title: 'Sight lost', opened, episode: { headline, reached: when } });
  assert.equal(at('Sight lost', '2026-11-25T02:31:00Z'), '2026-11-25T02:31:00Z');
  assert.equal(at('Sight lost', '0001-01-01T00:00:00Z'), opened);
  assert.equal(at('Pain', '2026-11-25T02:31:00Z'), opened);
});

// Trial of a practice: a chemical in the eye at 10:59 that nobody took, and at 11:06 "the
// eye will not open": the card led with "under a minute ago" and did not say who waits.
test('an earlier report that nobody has taken is said beside a newer one', () => {
  const since = '2026-11-30T10:59:00Z';
  const at = (/** @type {string} */ state, /** @type {string} */ when) =>
    waitsSince({ title: 'Shut', state, opened: since, since, episode: { headline: 'Shut', reached: when } });
  assert.equal(at('open', '2026-11-30T11:06:00Z'), since);
  assert.equal(at('open', '2026-11-30T10:59:30Z'), '', 'the same report');
  assert.equal(at('acknowledged', '2026-11-30T11:06:00Z'), '', 'somebody has it');
  assert.equal(
    waitsSince({
      ...{ title: 'Shut', state: 'open', opened: since },
      since: '2026-11-30T11:06:00Z',
      episode: { headline: 'Shut', reached: '2026-11-30T11:06:01Z' },
    }),
    '',
    'the earlier one was taken before the alert was open again',
  );
});

test('a page that was opened from a sign-in link and loaded again is no code', () => {
  const at = (/** @type {string} */ hash) => codeIn({ pathname: '/staff', hash });
  assert.equal(at('#3467-9ACD-EFGH'), '3467-9ACD-EFGH');
  for (const hash of ['', '#staff', '#wearer/w1?days=14', '#today/ALERT'])
    assert.equal(at(hash), '', `${hash} is a page`);
  assert.equal(codeIn({ pathname: '/clinic', hash: '#3467-9ACD-EFGH' }), '', 'elsewhere there is none');
});

// A family speaks a language whatever state the app's texts of it are in; the name is
// that of the browser's own data (CLDR, en-GB).
test('the desk can say that a family speaks Traditional Chinese', () => {
  assert.equal(LANGUAGES['zh-Hant'], 'Traditional Chinese');
  assert.equal(LANGUAGES.zh, 'Simplified Chinese');
});
