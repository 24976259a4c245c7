// What the clinic said, as the family reads it. Expected values: a stop that a
// release does not answer stays until another one does (testdata/care/wear.json);
// 6 December 2026 is a Sunday by the Gregorian calendar.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { conditions, inForce, linesOf, newestFirst, overtaken, stillSays } from '../app/model/told.js';
import { wearFact, wearOf } from '../app/model/wear.js';
import { words as ar } from '../app/text/ar/words.js';
import { en } from '../app/text/en/words.js';
import { enLater } from '../app/text/en/later.js';
import { words as es } from '../app/text/es/words.js';
import { wordsOf } from '../app/text/text.js';
import { words as zh } from '../app/text/zh/words.js';

/** @import { Entry } from '../app/model/entry.js' */

const NONE = wearOf([], '2026-12-01');
const LANGS = {
  en: wordsOf('en', { ...en, ...enLater }, true),
  es: wordsOf('es', es, false),
  zh: wordsOf('zh', zh, false),
  ar: wordsOf('ar', ar, false),
};

/** @param {number} n @param {string} kind @param {string} night @param {Record<string, unknown>} body @returns {Entry} */
const entry = (n, kind, night, body) => ({
  id: `01900000-0000-7000-8000-${String(n).padStart(12, '0')}`,
  wearer: 'w1',
  device: 'd1',
  dseq: n,
  author: 'c1',
  kind,
  night,
  wall: `${night}T21:00:00`,
  zone: 'Europe/Madrid',
  offset: 60,
  hlc: `${String(n).padStart(13, '0')}-0000`,
  v: 3,
  body,
});
const stop = (/** @type {number} */ n, /** @type {string} */ night, /** @type {string} */ eyes) =>
  entry(n, 'cease', night, { eyes, reason: 'examination', review_by: '2026-12-06' });
const free = (
  /** @type {number} */ n,
  /** @type {string} */ from,
  /** @type {string} */ eyes,
  /** @type {Entry[]} */ of,
) => entry(n, 'resume', from, { eyes, answers: of.map(e => e.id), from, basis: 'examined' });
/** @param {Entry[]} list @param {string} night */
const at = (list, night) =>
  wearOf(
    list.map(e => wearFact(e, 'stored')),
    night,
  );

test('a release that a later stop has overtaken is said to hold no longer, for the eyes it is so', () => {
  const first = stop(1, '2026-11-20', 'both');
  const again = free(2, '2026-11-24', 'both', [first]);
  const second = stop(3, '2026-11-28', 'right');
  const held = [first, again, second];
  assert.equal(overtaken(again, at([first, again], '2026-11-24')), '');
  assert.equal(overtaken(again, at([first, again], '2026-11-22')), '', 'its own night is still to come');
  assert.equal(overtaken(again, at(held, '2026-11-29')), 'right');
  assert.equal(overtaken(again, at([...held, stop(4, '2026-11-29', 'left')], '2026-11-29')), 'both');
  const right = free(5, '2026-11-24', 'right', [first]);
  assert.equal(overtaken(right, at([first, right, stop(6, '2026-11-28', 'left')], '2026-11-29')), '', 'the other eye');
  const anew = free(7, '2026-11-30', 'right', [second]);
  assert.equal(overtaken(again, at([...held, anew], '2026-11-29')), 'right', 'until the night of the new release');
  assert.equal(overtaken(again, at([...held, anew], '2026-11-30')), '');
  const said = linesOf(again, LANGS.en, at(held, '2026-11-29'), '2026-11-29');
  assert.deepEqual(said.slice(1), ['Right eye: this no longer holds. No lens.']);
  for (const words of Object.values(LANGS)) {
    assert.equal(linesOf(again, words, at([first, again], '2026-11-29'), '2026-11-29').length, 1);
    assert.equal(linesOf(again, words, at(held, '2026-11-29'), '2026-11-29').length, 2, words.lang);
  }
});

test('a release that the practice has decided upon again does not come back when what came between is settled', () => {
  const first = stop(1, '2026-11-20', 'both');
  const old = free(2, '2026-11-24', 'both', [first]);
  const second = stop(3, '2026-11-28', 'both');
  const anew = free(4, '2026-11-30', 'right', [second]);
  const log = [first, old, second, anew];
  const lines = (/** @type {Entry} */ e) => linesOf(e, LANGS.en, at(log, '2026-11-30'), '2026-11-30', log).slice(1);
  assert.deepEqual(lines(old), [
    'Left eye: this no longer holds. No lens.',
    'Right eye: this no longer holds. Your clinic has decided again since.',
  ]);
  assert.deepEqual(lines(anew), []);
});

// The line of an older stop stands by itself: it must not lift a newer one of the same eye.
test('an older stop that no longer holds says what holds that eye back now', () => {
  const first = stop(1, '2026-12-01', 'right');
  const again = free(2, '2026-12-02', 'both', [first]);
  const pain = entry(3, 'symptoms', '2026-12-03', {
    left: { pain: 'persists' },
    told: { table: 7, right: 'stop', left: 'stop' },
  });
  const ended = 'Right eye: this no longer holds. Your clinic has decided again since.';
  /** @param {Entry[]} log @param {string} night */
  const last = (log, night) => linesOf(first, LANGS.en, at(log, night), night, log)[1];
  assert.equal(last([first, again], '2026-12-02'), ended);
  assert.equal(last([first, again, pain], '2026-12-03'), `${ended} Right eye: no lens until your clinic says so here.`);
});

test('a sore morning after a release, before or in its first night, overtakes it; one of later rests that night alone', () => {
  const first = stop(1, '2026-11-28', 'both');
  const again = free(2, '2026-11-30', 'both', [first]);
  const sore = (/** @type {string} */ night) =>
    entry(3, 'morning', night, { moved: 'freely', comfort: 1, told: { table: 2, right: 'rest', left: 'rest' } });
  for (const night of ['2026-11-29', '2026-11-30'])
    assert.equal(overtaken(again, at([first, again, sore(night)], night)), 'both', night);
  assert.equal(overtaken(again, at([first, again, sore('2026-12-10')], '2026-12-10')), '');
});

test('an answer of another form is no answer', () => {
  const first = stop(1, '2026-11-20', 'both');
  const odd = entry(2, 'resume', '2026-11-24', { eyes: 'left', answers: 'all', from: '2026-11-24' });
  assert.equal(overtaken(odd, at([first, odd], '2026-11-24')), 'left');
});

test('with a stop the family reads by when the clinic looks at it again, until that day has passed', () => {
  const s = stop(1, '2026-11-29', 'both');
  const lines = linesOf(s, LANGS.en, NONE, '2026-11-29');
  assert.equal(lines[0], 'Both eyes: no lens until your clinic says so here.');
  assert.match(lines[1], /^Your clinic looks at this again by Sun.*6 Dec\.$/);
  const day = { es: /dom.*6.*dic/, zh: /12月6日/, ar: /6 ديسمبر/ };
  for (const [lang, want] of Object.entries(day))
    assert.match(linesOf(s, LANGS[/** @type {'es'} */ (lang)], NONE, '2026-12-06')[1], want);
  assert.equal(linesOf(s, LANGS.en, NONE, '2026-12-07').length, 1);
  assert.equal(linesOf(entry(2, 'cease', '2026-11-29', { eyes: 'both' }), LANGS.en, NONE, '2026-11-29').length, 1);
});

// A release for a day to come: until then the stop holds, and both words say the same.
test('a stop that a release of a later day answers says so at once, and what holds until then', () => {
  const first = stop(1, '2026-11-29', 'both');
  const release = free(2, '2026-12-02', 'both', [first]);
  const log = [first, release];
  for (const [lang, words] of Object.entries(LANGS)) {
    const lines = linesOf(first, words, at(log, '2026-11-30'), '2026-11-30', log);
    assert.equal(lines.length, 2, `${lang}: the date of review has been replaced`);
    assert.ok(lines[1].includes(words.date('2026-12-02')), `${lang}: ${lines[1]}`);
  }
  const [, line] = linesOf(first, LANGS.en, at(log, '2026-11-30'), '2026-11-30', log);
  assert.match(line, /^Your clinic has decided again since\. Both eyes: no lens until Wed.*2 Dec/);
  const one = [first, free(2, '2026-12-02', 'right', [first])];
  const said = linesOf(first, LANGS.en, at(one, '2026-11-30'), '2026-11-30', one).join(' ');
  assert.match(
    said,
    /Right eye: no lens until Wed.*Left eye: no lens until your clinic says so here.*looks at this again/,
  );
  assert.equal(linesOf(first, LANGS.en, at([first], '2026-11-30'), '2026-11-30', [first]).length, 2, 'with its review');
});

test('a stop that is still to come says from which night on, and stops nothing before', () => {
  const end = entry(1, 'cease', '2026-12-01', {
    eyes: 'both',
    reason: 'ended',
    review_by: '2027-01-03',
    from: '2026-12-06',
  });
  assert.equal(at([end], '2026-12-05').right.state, 'none');
  assert.equal(at([end], '2026-12-06').right.state, 'stop');
  for (const words of Object.values(LANGS)) {
    const [line] = linesOf(end, words, NONE, '2026-12-01');
    assert.ok(line.includes(words.date('2026-12-06')), line);
  }
  // What is no date is no reason to wait.
  const odd = entry(2, 'cease', '2026-12-01', { ...end.body, from: 'some day' });
  assert.equal(at([odd], '2026-12-01').right.state, 'stop');
});

test('of one decision about two eyes the stop is read above the release, whatever the order of the log', () => {
  const of = [free(2, '2026-11-30', 'right', []), entry(4, 'word', '2026-11-30', {}), stop(3, '2026-11-30', 'left')];
  const said = of.map(e => ({ ...e, hlc: '0000000000002-0000' })); // one decision has one instant
  const earlier = stop(1, '2026-11-28', 'both');
  for (const list of [[...said, earlier], [earlier, ...said].reverse()])
    assert.deepEqual(
      list.sort(newestFirst).map(e => e.kind + e.night.slice(-2)),
      ['cease30', 'resume30', 'word30', 'cease28'],
    );
  // Of one second, stopped again: the last word is the stop, and the release says that it holds no longer.
  const [release, again] = [free(5, '2026-11-30', 'left', []), stop(6, '2026-11-30', 'left')];
  for (const list of [
    [release, again],
    [again, release],
  ])
    assert.equal(list.sort(newestFirst)[0], again);
  assert.match(linesOf(release, LANGS.en, NONE, '2026-11-30', [release, again]).join(' '), /left eye: [^.]*no longer/i);
});

test('a date of review that has passed with nothing said since asks the family to phone', () => {
  const first = stop(1, '2026-11-28', 'left'); // to be looked at by 6 December
  const says = (/** @type {Entry[]} */ log, /** @type {string} */ today) =>
    linesOf(first, LANGS.en, at(log, today), today).some(line => line.includes('Please phone'));
  assert.equal(says([first], '2026-12-06'), false, 'the day itself');
  assert.equal(says([first], '2026-12-07'), true);
  assert.equal(says([first, stop(2, '2026-12-06', 'left')], '2026-12-07'), false, 'a newer stop has its own date');
  assert.equal(says([first, free(3, '2026-12-09', 'left', [first])], '2026-12-07'), false, 'from when on is known');
  assert.equal(says([first, free(3, '2026-12-06', 'left', [first])], '2026-12-07'), false, 'released');
});

// 22: of a closing that releases one eye and leaves the other, "the eye" is named.
test('a listed word that is about one eye names it in each language', () => {
  const word = entry(9, 'word', '2026-12-01', { text: 'x', phrase: 'no-finding', eyes: 'right' });
  for (const [lang, words] of Object.entries(LANGS)) {
    const [line] = linesOf(word, words, NONE, '2026-12-01');
    assert.ok(line.startsWith(words.t('said.eyes.right')), `${lang}: ${line}`);
  }
  const both = entry(10, 'word', '2026-12-01', { text: 'x', phrase: 'no-finding' });
  assert.match(linesOf(both, LANGS.en, NONE, '2026-12-01')[0], /^The eye was examined/);
});

test('a stop that a release has ended says so, of its eyes, once the night of the release has come', () => {
  const first = stop(1, '2026-11-30', 'both');
  const right = free(2, '2026-12-02', 'right', [first]);
  const both = free(3, '2026-12-04', 'both', [first]);
  /** @param {Entry[]} log @param {string} today @param {keyof typeof LANGS} [lang] */
  const says = (log, today, lang = 'en') => linesOf(first, LANGS[lang], at(log, today), today, log);
  const none = 'Both eyes: no lens until your clinic says so here.';
  assert.doesNotMatch(says([first, right], '2026-12-01').join(' '), /no longer holds/, 'its night is still to come');
  const [head, over, review] = says([first, right], '2026-12-02');
  assert.equal(head, none);
  assert.match(over, /^Right eye: this no longer holds/);
  assert.match(review, /looks at this again by/, 'of the eye that stays');
  for (const lang of /** @type {(keyof typeof LANGS)[]} */ (Object.keys(LANGS)))
    assert.equal(
      says([first, right, both], '2026-12-04', lang).length,
      2,
      `${lang}: no date of review of what is over`,
    );
  assert.match(says([first, right, both], '2026-12-04')[1], /^Both eyes: this no longer holds/);
  // A release that answers another stop ends none of this one.
  assert.equal(says([first, free(4, '2026-12-01', 'both', [stop(5, '2026-11-29', 'both')])], '2026-12-02').length, 2);
});

test('a word of an examination says that it is older than what was reported since, of its eye', () => {
  const word = (/** @type {string} */ phrase) => entry(1, 'word', '2026-11-30', { phrase, eyes: 'left' });
  const pain = (/** @type {string} */ night, /** @type {string} */ eye) =>
    entry(2, 'symptoms', night, { [eye]: { pain: 'persists' }, told: { table: 2, [eye]: 'stop' } });
  /** @param {string} phrase @param {Entry} report @param {keyof typeof LANGS} [lang] */
  const says = (phrase, report, lang = 'en') =>
    linesOf(word(phrase), LANGS[lang], at([report], '2026-12-02'), '2026-12-02', [word(phrase), report]);
  for (const lang of /** @type {(keyof typeof LANGS)[]} */ (Object.keys(LANGS)))
    assert.equal(says('no-finding', pain('2026-12-01', 'left'), lang).length, 2, lang);
  assert.match(says('no-finding', pain('2026-12-01', 'left'))[1], /before what was reported since/);
  assert.equal(says('no-finding', pain('2026-12-01', 'right')).length, 1, 'the other eye');
  assert.equal(says('no-finding', pain('2026-11-29', 'left')).length, 1, 'what it answered');
  assert.equal(says('call-us', pain('2026-12-01', 'left')).length, 1, 'still to be done');
});

test('somebody’s own words under a stop let no lens in, and say so, eye by eye, in every language', () => {
  const left = stop(1, '2026-11-20', 'left');
  const own = entry(2, 'word', '2026-11-29', { text: 'Lenses again tonight.' });
  /** @param {Entry} e @param {Entry[]} log @param {keyof typeof LANGS} [lang] */
  const says = (e, log, lang = 'en') => linesOf(e, LANGS[lang], at(log, '2026-11-29'), '2026-11-29', log);
  assert.deepEqual(says(own, [left]), [
    'Lenses again tonight.',
    'This lets no lens in. Left eye: no lens until your clinic says so here.',
  ]);
  assert.deepEqual(says(own, []), ['Lenses again tonight.'], 'nothing is held back');
  const both = stop(3, '2026-11-20', 'both');
  assert.match(says(own, [both])[1], /no lens in\. Both eyes: no lens until your clinic says so here\.$/);
  const right = free(4, '2026-12-02', 'right', [both]);
  assert.equal(
    says(own, [both, right])[1],
    'This lets no lens in. Right eye: no lens until Wed 2 Dec. Left eye: no lens until your clinic says so here.',
  );
  const checked = entry(5, 'resume', '2026-11-29', { ...free(5, '2026-11-29', 'both', [both]).body, check: true });
  assert.equal(says(own, [both, checked])[1], 'This lets no lens in. Both eyes: only after an eye check.');
  const sore = entry(6, 'symptoms', '2026-11-29', { right: { redness: 'mild' }, told: { table: 2, right: 'rest' } });
  assert.equal(says(own, [sore])[1], 'This lets no lens in. Right eye: no lens tonight.');
  const end = entry(7, 'cease', '2026-11-29', { eyes: 'both', reason: 'ended', text: 'You may put the lenses in.' });
  assert.match(
    says(end, [end]).at(-1) ?? '',
    /^This lets no lens in\. Both eyes: no lens until/,
    'words beside the end of wear',
  );
  const phrase = entry(8, 'word', '2026-11-29', { text: 'Please call us.', phrase: 'call-us' });
  assert.deepEqual(says(phrase, [left]), ['Please call us.'], 'what is chosen from the list is no free word');
  for (const lang of /** @type {(keyof typeof LANGS)[]} */ (Object.keys(LANGS))) {
    const last = says(own, [left], lang)[1];
    assert.ok(last.includes(LANGS[lang].t('said.cease', { eyes: LANGS[lang].t('said.eyes.left') })), lang);
    assert.ok(!last.includes('{'), lang);
  }
});

test('what the clinic said stands as long as it holds, however old it is', () => {
  const spring = '2027-02-10'; // 70 days on and more
  const first = stop(1, '2026-11-30', 'both');
  const word = entry(1, 'word', '2026-11-30', { text: 'Bring the case.' }); // of the same saying
  const other = entry(2, 'word', '2026-11-30', { text: 'The new case has come.' });
  const seen = entry(3, 'visit', '2026-11-30', { on: '2027-02-10', at: '10:00' });
  const gone = entry(3, 'visit', '2026-11-30', { on: '2027-02-09' });
  const said = [first, word, other, seen, gone];
  /** @param {Entry} e @param {Entry[]} log @param {string} [night] */
  const holds = (e, log, night = spring) => inForce(e, at(log, night), night, log);
  assert.deepEqual(
    said.map(e => holds(e, said)),
    [true, true, false, true, false],
  );
  const again = free(4, '2027-02-09', 'both', [first]);
  assert.equal(holds(first, [...said, again]), false, 'lifted');
  assert.equal(holds(word, [...said, again]), false, 'and what went with it');
  assert.equal(holds(again, [...said, again]), false, 'a release that has come');
  assert.equal(holds(again, [first, again], '2027-02-08'), true, 'one that is still to come');
  const checked = entry(5, 'resume', '2027-02-09', { ...again.body, check: true });
  assert.equal(holds(checked, [first, checked]), true, 'one that waits for a check');
  const later = entry(6, 'cease', '2026-11-30', { eyes: 'both', reason: 'ended', from: '2027-02-20' });
  assert.equal(holds(later, [later]), true, 'a stop that is still to come');
  assert.equal(holds(later, [later, free(7, '2027-02-01', 'both', [later])]), false, 'taken back before it came');

  /** @param {Entry} e @param {Entry[]} log */
  const unread = (e, log) => stillSays(e, at(log, spring), spring, log);
  assert.equal(unread(other, said), true, 'a word that nobody has read');
  assert.equal(unread(first, [...said, again]), false, 'a stop that was lifted');
  assert.equal(unread(again, [...said, again]), true, 'a release that nobody has read');
  assert.equal(unread(again, [...said, again, stop(8, '2027-02-10', 'both')]), false, 'and one that was overtaken');
  assert.equal(unread(gone, said), false, 'a visit of a day gone by');
});

// What the clinician ticks in a release (`hours`, `new_lens`, `new_case` of resume in
// server/internal/care/ENTRIES.md), by hand.
test('what a release asks for is said with it, and stands until it is logged', () => {
  const first = stop(1, '2026-11-20', 'both');
  const asks = { ...free(2, '2026-11-24', 'right', [first]) };
  asks.body = { ...asks.body, new_case: true, new_lens: true, hours: 8 };
  const lines = linesOf(asks, LANGS.en, at([first, asks], '2026-11-24'), '2026-11-24', [first, asks]).join(' ');
  assert.match(lines, /new lens case/);
  assert.match(lines, /a new lens\./);
  assert.match(lines, /At most 8 hours/);
  const of = (/** @type {Entry[]} */ ...more) => {
    const log = [first, asks, ...more];
    return conditions(log, at(log, '2026-11-25')).map(c => [c.what, c.eye, c.n ?? ''].join(' ').trim());
  };
  assert.deepEqual(of(), ['new-case right', 'new-lens right', 'hours right 8']);
  const supply = (/** @type {number} */ n, /** @type {string} */ night, /** @type {Record<string, unknown>} */ body) =>
    entry(n, 'supply', night, { action: 'started', on: night, ...body });
  const box = supply(3, '2026-11-25', { item: 'case' });
  assert.deepEqual(of(box), ['new-lens right', 'hours right 8']);
  assert.deepEqual(
    of(supply(3, '2026-11-23', { item: 'case' })),
    ['new-case right', 'new-lens right', 'hours right 8'],
    'before it',
  );
  // Written on a phone whose clock is ten minutes slow, two minutes after the release of 21:00 on the server's.
  const slow = { ...supply(3, '2026-11-24', { item: 'case' }), wall: '2026-11-24T20:52:00' };
  const logged = [first, asks, slow];
  const unmet = (/** @type {Entry[]} */ log, skew = 0) => conditions(log, at(log, '2026-11-25'), skew).map(c => c.what);
  assert.deepEqual(unmet(logged, 600000), ['new-lens', 'hours'], 'while it waits on the phone');
  const stored = { ...slow, recv: '2026-11-24T20:02:01Z', skew_ms: -600000 };
  assert.deepEqual(unmet([first, asks, stored]), ['new-lens', 'hours'], 'once the server has it');
  assert.deepEqual(unmet([first, asks, { ...stored, skew_ms: 0 }]), ['new-case', 'new-lens', 'hours'], 'before it');
  const ahead = { ...slow, wall: '2026-11-24T21:05:00', recv: '2026-11-24T19:55:01Z', skew_ms: 600000 };
  assert.deepEqual(
    unmet([first, asks, ahead]),
    ['new-case', 'new-lens', 'hours'],
    'before it, on a clock that is fast',
  );
  assert.deepEqual(of(box, supply(4, '2026-11-25', { item: 'lens', eye: 'left' })), [
    'new-lens right',
    'hours right 8',
  ]);
  assert.deepEqual(of(box, supply(4, '2026-11-25', { item: 'lens', eye: 'both' })), ['hours right 8']);
  assert.deepEqual(of(stop(5, '2026-11-25', 'both')), [], 'stopped again');
  assert.deepEqual(of(free(5, '2026-11-25', 'right', [first])), [], 'the newest release asks for nothing');
});

test('what the clinic took back is said to count no more, in four languages, without its words', () => {
  const gone = entry(2, 'word', '2026-12-01', {
    text: 'Sent to the wrong family.',
    withdraws: entry(1, 'word', '', {}).id,
  });
  for (const words of Object.values(LANGS)) {
    const lines = linesOf(gone, words, NONE, '2026-12-01');
    assert.deepEqual(lines, [words.t('said.withdrawn')]);
    assert.notEqual(lines[0], 'said.withdrawn');
  }
});
