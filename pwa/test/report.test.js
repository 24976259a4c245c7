// Eye reports on the phone: what the family is told of the clinic, which reports
// still mean "no lens", and whom to call. The delivery words must never be more
// hopeful than what the server has said.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { answers, unbroken } from '../app/model/contacts.js';
import { tel } from '../ui/tel.js';
import { decided, eyeSteps, guarded, foremost, gravest, headline, openReports, outcome } from '../app/model/report.js';
import { delivery } from '../app/model/delivery.js';
import { leftToRinse } from '../app/model/rinsing.js';
import { waterWords, wetOf } from '../app/model/water.js';

/** @import { Entry } from '../app/model/entry.js' */
/** @import { Alert } from '../app/model/report.js' */
/** @import { LogRecord, RecordState } from '../app/data/log.js' */

const NOW = Date.UTC(2026, 10, 25, 20, 0, 0);
/** @param {Record<string, unknown>} body @param {number} [hoursAgo] @returns {Entry} */
const report = (body, hoursAgo = 0) => ({
  id: 'r1',
  wearer: 'w1',
  device: 'd1',
  dseq: 1,
  author: 'p1',
  kind: 'symptoms',
  night: '2026-11-25',
  zone: 'Europe/Madrid',
  offset: 60,
  hlc: '1',
  v: 1,
  wall: new Date(NOW - hoursAgo * 3600000 + 3600000).toISOString().slice(0, 19),
  body,
});
const RED = { right: { pain: 'persists', redness: 'marked' } };
/** @param {RecordState} state @param {Entry} [entry] @returns {LogRecord} */
const record = (state, entry = report(RED)) => ({ id: entry.id, entry, state, own: true, at: NOW });
/** @param {Partial<Alert>} a @returns {Alert} */
const alert = a => ({
  id: 'a1',
  wearer: 'w1',
  level: 'emergency',
  state: 'open',
  opened: new Date(NOW).toISOString(),
  lapsed: false,
  entries: [],
  entry: 'r1',
  ...a,
});

const seen = {
  state: /** @type {const} */ ('acknowledged'),
  seen_by: 'Dr Okafor',
  seen_at: new Date(NOW + 60000).toISOString(),
};
const LAPSE = new Date(NOW + 1800000).toISOString(); // a practice that set 30 minutes

/** @type {[string, LogRecord, Alert[], number, string][]} */
const cases = [
  ['on this phone only', record('unsent'), [], NOW, 'delivery.phone'],
  ['an old alert does not hide that this report is unsent', record('unsent'), [alert(seen)], NOW, 'delivery.phone'],
  ['the server did not take it', record('refused'), [], NOW, 'delivery.refused'],
  ['kept unread by the server is not delivered', record('held'), [], NOW, 'delivery.refused'],
  ['sent', record('sent'), [], NOW, 'delivery.sent'],
  ['at the clinic', record('stored'), [alert({})], NOW + 60000, 'delivery.open'],
  [
    'unseen past the practice’s minutes: call',
    record('stored'),
    [alert({ lapses_at: LAPSE })],
    NOW + 1801000,
    'delivery.late',
  ],
  [
    'unseen, and the practice’s minutes not over',
    record('stored'),
    [alert({ lapses_at: LAPSE })],
    NOW + 1799000,
    'delivery.open',
  ],
  [
    'the server says nobody answered',
    record('stored'),
    [alert({ lapsed: true, lapses_at: LAPSE })],
    NOW,
    'delivery.late',
  ],
  [
    'the desk has phoned, no clinician has it',
    record('stored'),
    [alert({ desk_at: new Date(NOW + 60000).toISOString() })],
    NOW + 120000,
    'delivery.desk',
  ],
  ['seen', record('stored'), [alert(seen)], NOW + 7200000, 'delivery.seen'],
  [
    'one of two alerts unseen counts',
    record('stored'),
    [alert(seen), alert({ id: 'a2' })],
    NOW + 60000,
    'delivery.open',
  ],
  [
    'written offline, then followed by a worse one: still known by the alert it raised',
    record('stored'),
    [alert({ ...seen, entry: 'r2', entries: ['r1', 'r2'], opened: new Date(NOW + 3600000).toISOString() })],
    NOW + 7200000,
    'delivery.seen',
  ],
  [
    'closed',
    record('stored'),
    [alert({ state: 'closed', closed_at: new Date(NOW + 60000).toISOString() })],
    NOW + 7200000,
    'delivery.closed',
  ],
];
for (const [name, r, alerts, now, key] of cases)
  test(`delivery: ${name}`, () => assert.equal(delivery(r, alerts, now).key, key));

test('a report that joined an alert of before is at the clinic since its own receipt', () => {
  const [raised, recv] = ['2026-03-29T09:00:00Z', '2026-03-29T11:30:00Z'];
  const r = record('stored');
  const joined = { ...r, entry: { ...r.entry, recv } };
  assert.equal(delivery(joined, [alert({ opened: raised })], Date.parse(recv)).at, Date.parse(recv));
});

// Kinds are what the page colours: alarm red, urgent amber, good green.
test('read is not calm before somebody has spoken to the family, and a lapse is an alarm', () => {
  const kind = (/** @type {Partial<Alert>} */ a) => delivery(record('stored'), [alert(a)], NOW + 120000).kind;
  assert.equal(kind({}), 'urgent');
  assert.equal(kind(seen), 'urgent');
  const spoken = { ...seen, spoken_at: new Date(NOW + 90000).toISOString() };
  assert.equal(kind(spoken), 'good');
  assert.equal(delivery(record('stored'), [alert(spoken), alert({ ...seen, id: 'a2' })], NOW).kind, 'urgent');
  assert.equal(kind({ lapsed: true }), 'alarm');
});

test('of several reports the gravest leads, the last of those as grave', () => {
  const [first, mild] = [report(RED, 5), { ...report({ right: { pain: 'none' } }), id: 'r2' }];
  const later = { ...report({ left: { sight: 'lost' } }), id: 'r3' };
  assert.equal(gravest([first, mild]).id, 'r1');
  assert.equal(gravest([first, later, mild]).id, 'r3');
});

// A file put back may lack what was sent, and tells a phone that it does not know nothing.
test('a phone that the server does not know any more promises nothing of what nobody has read', () => {
  assert.equal(delivery(record('stored'), [alert({})], NOW, true).key, 'delivery.cut');
  assert.equal(delivery(record('stored'), [], NOW, true).key, 'delivery.cut');
  assert.equal(delivery(record('unsent'), [], NOW, true).key, 'delivery.shut');
  assert.equal(delivery(record('stored'), [alert(seen)], NOW, true).key, 'delivery.seen');
});

test('who saw it is named', () => assert.equal(delivery(record('stored'), [alert(seen)], NOW).name, 'Dr Okafor'));

test('an order to do something at once holds until the clinic has decided on every alert of it', () => {
  const e = record('stored').entry;
  const closed = alert({ state: 'closed', closed_at: new Date(NOW).toISOString() });
  assert.equal(decided(e, []), false, 'nothing has come back yet');
  assert.equal(decided(e, [alert({})]), false);
  assert.equal(decided(e, [alert(seen)]), false, 'read is not decided');
  assert.equal(decided(e, [closed]), true);
  assert.equal(decided(e, [closed, alert({})]), false);
  // A later report opened the alert again: what was decided about stays so, the later report is open.
  const again = alert({ entries: ['r1', 'late'], decided: ['r1'] });
  assert.equal(decided(e, [again]), true);
  assert.equal(decided({ ...e, id: 'late' }, [again]), false);
  // Its alert is listed no more: what a clinician has released since counts, and never against one that is open.
  assert.equal(decided(e, [], true), true);
  assert.equal(decided(e, [alert(seen)], true), false);
});

test('a report that says no lens stays open until the clinic closes it', () => {
  const e = report(RED, 5);
  assert.equal(openReports([e], 'w1', [], NOW).length, 1);
  assert.equal(openReports([e], 'w1', [alert(seen)], NOW).length, 1, 'seen is not closed');
  assert.equal(
    openReports([e], 'w1', [alert({ state: 'closed', closed_at: new Date(NOW).toISOString() })], NOW).length,
    0,
  );
  assert.ok(
    openReports([e, { ...report({ right: { pain: 'none' } }), id: 'r2' }], 'w1', [], NOW).includes(e),
    '"it got better" closes nothing',
  );
  assert.equal(openReports([e], 'w2', [], NOW).length, 0);
  const later = { entry: undefined, state: /** @type {const} */ ('closed'), closed_at: new Date(NOW).toISOString() };
  assert.equal(
    openReports([e], 'w1', [alert({ ...later, level: 'routine' })], NOW).length,
    1,
    'a closed word about supplies frees nothing',
  );
  assert.equal(openReports([e], 'w1', [alert({ ...later, level: 'urgent' })], NOW).length, 0);
});

test('every emergency starts with what to do about the lens', () => {
  for (const [sign, answer] of [
    ['pain', 'persists'],
    ['light', 'yes'],
    ['sight', 'blurred'],
    ['spot', 'yes'],
    ['discharge', 'pus'],
    ['injury', 'knock'],
    ['injury', 'chemical'],
  ]) {
    const o = outcome(report({ left: { [sign]: answer } }));
    assert.equal(o.level, 'emergency', sign);
    assert.equal(o.actions[0], { knock: 'lens-if-loose', chemical: 'rinse-eye' }[answer] ?? 'lenses-out', sign);
    assert.ok(o.actions.includes('bring') && o.actions.includes('no-lens'), sign);
  }
});

/** @type {import('../app/model/contacts.js').Contacts} */
const clinic = {
  clinic: 'C',
  phone: '+34 600 000 000',
  zone: 'Europe/Madrid',
  after_hours_phone: '',
  emergency_number: '112',
  emergency_place: { name: '', address: '', hours: '' },
  closed: ['2026-12-25'],
  hours: [
    { weekday: 3, from: '09:00', to: '17:30' },
    { weekday: 5, from: '09:00', to: '13:00' },
  ],
};
test('a number stays in one piece', () => {
  assert.equal(unbroken('+34 600 000 000'), '+34\u00a0600\u00a0000\u00a0000');
});

// 25 November 2026 is a Wednesday; Madrid is one hour east of UTC in winter.
test('whether the clinic answers, by its own clock', () => {
  assert.equal(answers(clinic, Date.UTC(2026, 10, 25, 8, 0)).open, true);
  assert.equal(answers(clinic, Date.UTC(2026, 10, 25, 7, 59)).open, false);
  assert.deepEqual(answers(clinic, Date.UTC(2026, 10, 25, 16, 30)), {
    open: false,
    next: Date.UTC(2026, 10, 27, 8, 0),
  });
  assert.deepEqual(
    answers(clinic, Date.UTC(2026, 11, 25, 9, 0)),
    { open: false, next: Date.UTC(2026, 11, 30, 8, 0) },
    'closed on a holiday',
  );
  assert.deepEqual(answers({ ...clinic, hours: /** @type {any} */ (null) }, NOW), { open: false, next: null });
});
test('hours that end at midnight, and holidays of three weeks', () => {
  const late = { ...clinic, hours: [{ weekday: 3, from: '18:00', to: '00:00' }] };
  assert.equal(answers(late, Date.UTC(2026, 10, 25, 22, 59)).open, true, 'one minute to midnight in Madrid');
  assert.deepEqual(
    answers(late, Date.UTC(2026, 10, 25, 23, 0)),
    { open: false, next: Date.UTC(2026, 11, 2, 17, 0) },
    'Thursday',
  );
  const away = {
    ...clinic,
    closed: ['2026-11-27', '2026-12-02', '2026-12-04', '2026-12-09', '2026-12-11', '2026-12-16'],
  };
  assert.deepEqual(
    answers(away, Date.UTC(2026, 10, 26, 9, 0)),
    { open: false, next: Date.UTC(2026, 11, 18, 8, 0) },
    'Friday 18 December, 22 days ahead',
  );
});
test('a number as a link', () => assert.equal(tel('+44 (20) 7946-0123'), 'tel:+442079460123'));

test('the headline says the lens first, then whom to see and how soon', () => {
  const head = (/** @type {Record<string, unknown>} */ body) => headline(outcome(report(body)));
  assert.deepEqual(
    head({ right: { injury: 'chemical' } }),
    ['told.rinse-eye'],
    'nothing beside it says to go before the rinse',
  );
  assert.deepEqual(head({ right: { injury: 'cut', lens: 'in' } }), ['told.leave-lens', 'told.go-now']);
  assert.deepEqual(head({ right: { injury: 'knock', lens: 'stuck' } }), ['told.lens-if-loose', 'told.call-now']);
  assert.deepEqual(head({ right: { pain: 'persists' } }), ['told.lenses-out', 'told.call-now']);
  // A lens that does not come out is not headed with "out now", and nobody pulls at it.
  assert.deepEqual(head({ right: { lens: 'stuck' } }), ['told.stuck-lens', 'told.call-today']);
  assert.deepEqual(head({ right: { lens: 'stuck', sight: 'lost' } }), ['told.stuck-lens', 'told.go-now']);
  assert.deepEqual(head({ right: { redness: 'mild' } }), ['told.lenses-out', 'told.call-today']);
  assert.deepEqual(head({ right: { redness: 'none' } }), ['level.unsure.told'], 'half answered is not calm');
  assert.deepEqual(head({ now: 'sight' }), ['told.lenses-out', 'told.go-now']);
  assert.deepEqual(head({ now: 'shut' }), ['told.lens-if-loose', 'told.go-now']);
});

test('an eye is rinsed for 20 minutes (NHS, Eye injuries), counted from when it was said, whatever the clock does', () => {
  assert.equal(leftToRinse(NOW, NOW), 1200);
  assert.equal(leftToRinse(NOW, NOW + 60500), 1140);
  assert.equal(leftToRinse(NOW, NOW + 1200000), 0);
  assert.equal(leftToRinse(NOW, NOW - 3600000), 1200, 'a clock that was put back does not lengthen it');
});

// What must never be told beside what: the pairs of alerts/space_test.go, from the sources named there; and
// which situation must say what: testdata/alerts/situations.json, from the sources beside each.
const { situations } = JSON.parse(
  readFileSync(new URL('../../testdata/alerts/situations.json', import.meta.url), 'utf8'),
);
const LENS = ['rinse-eye', 'leave-lens', 'lens-if-loose', 'stuck-lens', 'lenses-out'];
const SPACE = readFileSync(new URL('../../alerts/space_test.go', import.meta.url), 'utf8');
const NEVER = SPACE.slice(SPACE.indexOf('var never ='));
const PAIRS = [...NEVER.slice(0, NEVER.indexOf('\n}')).matchAll(/\{"([a-z-]+)", "([a-z-]+)", "/g)].map(m => [
  m[1],
  m[2],
]);
const forbidden = (/** @type {string} */ a, /** @type {string} */ b) =>
  PAIRS.some(p => p.includes(a) && p.includes(b) && a !== b);
/** @type {any[]} */
const emergencies = situations.filter((/** @type {any} */ x) => x.report && x.level === 'emergency');
const writtenAs = (/** @type {any} */ x, hoursAgo = 0) => report({ ...x.report, told: { table: 2 } }, hoursAgo);
const heads = (/** @type {Entry[]} */ list) => headline(foremost(list)).map(k => k.replace('told.', ''));

test('the first screen of an emergency is headed with no step that its advice forbids, and says how soon', () => {
  assert.ok(PAIRS.length > 20 && emergencies.length > 20);
  for (const x of emergencies) {
    const keys = heads([writtenAs(x)]);
    assert.equal(keys.filter(k => LENS.includes(k)).length, 1, x.name);
    for (const k of keys) for (const a of x.actions) assert.ok(!forbidden(k, a), `${x.name}: ${k} beside ${a}`);
    for (const k of keys) assert.ok(!x.never.includes(k), `${x.name}: ${k}`);
    // Rinsing comes first, and its own words end with "Then go".
    if (keys[0] !== 'rinse-eye' && x.actions.includes('go-now')) assert.ok(keys.includes('go-now'), x.name);
  }
});

test('a stuck lens leads a red eye and an open question, whichever was written last', () => {
  const [stuck, red, open] = [{ lens: 'stuck' }, { redness: 'mild' }, { pain: 'none' }].map((right, i) => ({
    ...report({ right, told: { table: 2 } }, i),
    id: `r${i}`,
  }));
  for (const list of [
    [stuck, red, open],
    [open, red, stuck],
    [red, stuck],
    [stuck, open],
    [open, stuck],
  ])
    assert.equal(heads(list)[0], 'stuck-lens');
});

test('what to do about the lens is said of each eye where it is not the same, and a stuck lens is not forgotten', () => {
  const knock = report({ right: { injury: 'knock', lens: 'stuck' }, other: 'unknown', told: { table: 2 } }, 1);
  const red = {
    ...report({ left: { redness: 'marked', lens: 'in' }, other: 'unknown', told: { table: 2 } }),
    id: 'r2',
  };
  assert.deepEqual(eyeSteps([knock, red]), { right: 'lens-if-loose', left: 'lenses-out' });
  assert.equal(eyeSteps([red]), null);
  const both = report({ right: { injury: 'chemical' }, left: { injury: 'cut' }, told: { table: 2 } });
  assert.deepEqual(eyeSteps([both]), { right: 'rinse-eye', left: 'leave-lens' });
  // Said first, then which eye: a chemical in the right, something stuck in the left. NHS, Eye injuries: a
  // chemical is rinsed; AAO: what is stuck is not, and nothing presses on that eye.
  const said = (/** @type {Record<string, unknown>} */ body, id = 'r1') => ({
    ...report({ ...body, told: { table: 2 } }),
    id,
  });
  const chemical = said({ now: 'chemical', right: {}, other: 'unknown' });
  const unnamed = said({ now: 'chemical' });
  const held = said({ now: 'cut', left: {}, other: 'unknown' }, 'r2');
  assert.deepEqual(eyeSteps([chemical, held]), { right: 'rinse-eye', left: 'leave-lens' });
  assert.deepEqual(eyeSteps([unnamed, held]), { right: '', left: 'leave-lens' });
  assert.equal(eyeSteps([chemical]), null);
  // All within one second: the order is the phone's own count, however the log hands them over.
  const quick = [unnamed, chemical, held].map((e, i) => ({ ...e, id: `q${i}`, hlc: `0000000000000-000${i}` }));
  for (const list of [quick, [...quick].reverse(), [quick[1], quick[2], quick[0]]]) {
    assert.deepEqual(eyeSteps(list), { right: 'rinse-eye', left: 'leave-lens' }, list.map(e => e.id).join());
    assert.equal(gravest(list).id, 'q2', 'the last of the gravest');
    assert.equal(foremost(list).eye, 'left', 'and of it the page says the eye');
  }
  const [before, after] = [1, -1].map(h => ({ ...report({ now: 'chemical', told: { table: 2 } }, h), id: `r${h}` }));
  assert.deepEqual(
    eyeSteps([before, chemical, held]),
    { right: 'rinse-eye', left: 'leave-lens' },
    'which eye was said after it',
  );
  assert.deepEqual(
    eyeSteps([after, chemical, held]),
    { right: '', left: 'leave-lens' },
    'once more, of which eye is not known',
  );
  for (const list of [
    [chemical, held],
    [held, chemical],
    [unnamed, held],
  ]) {
    assert.deepEqual(guarded(list, [], 'left'), ['leave-lens', 'shield', 'no-rinse']);
    assert.deepEqual(guarded(list, [], 'right'), []);
  }
  // Stuck this morning, then sight suddenly gone, said first: go, and nobody pulls at the lens.
  const stuck = report({ right: { lens: 'stuck' }, told: { table: 2 } }, 5);
  const gone = { ...report({ now: 'sight', told: { table: 2 } }), id: 'r3' };
  assert.deepEqual(heads([stuck, gone]), ['stuck-lens', 'go-now']);
});

test('two open emergencies are headed with the more careful step of both, whichever was written last', () => {
  for (const x of emergencies)
    for (const y of emergencies) {
      const keys = heads([writtenAs(x, 1), { ...writtenAs(y), id: 'r2' }]);
      const said = [...x.actions, ...y.actions];
      const careful = LENS.find(a => said.includes(a));
      if (careful) assert.ok(LENS.indexOf(keys[0]) <= LENS.indexOf(careful), `${x.name}, ${y.name}: ${keys}`);
      if (keys[0] !== 'rinse-eye' && said.includes('go-now'))
        assert.ok(keys.includes('go-now'), `${x.name}, ${y.name}`);
    }
});

// A "no" after a "yes" to water ends no watch: a rule may raise a concern, never lower
// one; CDC: an amoebic infection can begin weeks after the water.
test('water that was said stays said for as long as it is watched', () => {
  const yes = { ...report({ now: 'none', water: 'yes' }, 48), id: 'yes' };
  const no = { ...report({ now: 'none', water: 'no' }), id: 'no' };
  assert.equal(wetOf([yes, no], no, 90)?.id, 'yes');
  assert.equal(wetOf([yes, no], yes, 90)?.id, 'yes');
  assert.equal(wetOf([no], no, 90), undefined);
  assert.equal(wetOf([yes, no], no, 1), undefined, 'the watch is over');
  assert.equal(wetOf([{ ...yes, wearer: 'w2' }, no], no, 90), undefined, 'of another child');
});

/** The table as it is written. @type {{signs: {name: string, scope: string, answers?: string[]}[], rules: {id: string, about: string, level: any, actions: string[]}[]}} */
const TABLE = JSON.parse(readFileSync(new URL('../../alerts/rules.json', import.meta.url), 'utf8'));

/** Reports with each answer of each sign of an eye, and each two of them, wherever its lens is. @returns {Record<string, any>[]} */
function bodies() {
  const signs = TABLE.signs.filter(x => x.scope === 'eye' && x.name !== 'lens');
  const lens = [undefined, ...(TABLE.signs.find(x => x.name === 'lens')?.answers ?? [])];
  const one = signs.flatMap(x => (x.answers ?? []).map(a => ({ [x.name]: a })));
  const eyes = [...one, ...one.flatMap((a, i) => one.slice(i + 1).map(b => ({ ...a, ...b })))];
  const now = TABLE.signs.find(x => x.name === 'now')?.answers ?? [];
  return [
    ...eyes.flatMap(eye => lens.map(x => ({ now: 'none', right: { ...eye, ...(x ? { lens: x } : {}) } }))),
    ...now.map(x => ({ now: x })),
  ];
}

// The page has the steps and, below them, the words about water: no two of them may
// contradict each other, whatever was answered, and whatever the log of the nights says too.
test('no two steps anywhere on the page of an advice contradict each other, with water and without', () => {
  const logs = TABLE.rules.filter(r => r.about === 'record' && r.actions.includes('no-lens'));
  const heard = new Set();
  const earlier = { ...report({ now: 'none', water: 'yes' }, 48), id: 'earlier' };
  for (const body of bodies()) {
    for (const water of ['no', 'yes']) {
      const e = report({ ...body, water, told: { table: 2 } });
      const alone = outcome(e);
      for (const f of alone.findings) if (f.state === 'fired') heard.add(f.rule);
      for (const log of water === 'no' ? [undefined] : [undefined, ...logs]) {
        const steps = log ? foremost([e], [{ ...alone, ...log, unsure: false, findings: [] }]).actions : alone.actions;
        for (const reports of [[e], [earlier, e]]) {
          const w = waterWords(reports, e, 90, steps, false);
          const page = [...new Set([...steps, ...(w?.steps ?? [])])];
          const bad = PAIRS.find(([a, b]) => page.includes(a) && page.includes(b));
          assert.equal(bad, undefined, `${JSON.stringify(e.body)} ${log?.id ?? ''}`);
          if (w && steps.includes('keep-lenses')) assert.equal(w.tell, true, JSON.stringify(e.body));
        }
      }
    }
  }
  const asked = TABLE.rules.filter(r => r.about === 'symptoms' && !['ill', 'lid-and-ill'].includes(r.id));
  assert.deepEqual(
    asked.map(r => r.id).filter(id => !heard.has(id)),
    [],
    'rules that no report here reaches',
  );
});

// Issue 21: with a stop the words about water say only that there was some; 22: they stand
// on the advice of the very check that said so.
test('under a stop the words about water are to say that there was some, and nothing about cleaning', () => {
  const steps = (/** @type {Entry} */ e) => outcome(e).actions;
  const pain = report({ now: 'none', right: { pain: 'persists', lens: 'out' }, water: 'yes', told: { table: 2 } });
  assert.deepEqual(waterWords([pain], pain, 90, steps(pain), false), { wet: pain, tell: true, steps: [] });
  const right = {
    pain: 'none',
    redness: 'none',
    light: 'no',
    sight: 'same',
    discharge: 'none',
    spot: 'no',
    gritty: 'no',
  };
  const rest = { lens: 'out', injury: 'no', lid: 'no', pupil: 'no' };
  const calm = report({
    now: 'none',
    right: { ...right, ...rest },
    other: 'usual',
    ill: 'no',
    water: 'yes',
    told: { table: 2 },
  });
  assert.deepEqual(waterWords([calm], calm, 90, [], false), { wet: calm, tell: false, steps: ['disinfect-again'] });
  assert.equal(waterWords([calm], calm, 90, [], true)?.tell, true, 'stopped for another reason');
  assert.equal(waterWords([], report({ now: 'none', water: 'no' }), 90, [], false), null);
});

test('what an advice tells to do comes from nowhere else', () => {
  for (const f of ['advice', 'answers']) {
    const text = readFileSync(new URL(`../app/views/${f}.js`, import.meta.url), 'utf8');
    assert.deepEqual(text.match(/'action\.[a-z-]+/g), null, f);
  }
});
