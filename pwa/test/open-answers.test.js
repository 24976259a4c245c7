// Open answers after an emergency that nobody has examined, as the family's phone says
// them. The clinic has released both eyes by telephone, after an eye check; that check was
// left with open answers. The design of the wear state: an urgent or emergency finding
// stops, what is unknown and could be urgent rests, and a rule raises concern and never
// lowers it. The words are those of text/en.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { judgedDraft } from '../app/app.js';
import { fold } from '../app/model/fold.js';
import { loadWords } from '../app/text/text.js';
import { causes, checkDue, soonest, standing, told, whys } from '../app/views/wear.js';

const words = await loadWords('en');
const HALF = { injury: 'no', lens: 'out', pain: 'none' };
const FULL = {
  ...HALF,
  redness: 'none',
  light: 'no',
  sight: 'same',
  discharge: 'none',
  spot: 'no',
  gritty: 'no',
  lid: 'no',
  pupil: 'no',
};

/** @param {string} basis of the release @returns {{s: any, write: (when: string, kind: string, body: Record<string, unknown>) => string}} a phone on 1 December, UTC */
function phone(basis) {
  /** @type {any} */
  const s = {
    words,
    wearer: 'w1',
    zone: 'UTC',
    skew: 0,
    sync: {},
    alerts: [],
    records: new Map(),
    family: { contacts: { clinic: 'The clinic' }, wearers: [{ id: 'w1', name: 'Child', plan: null }] },
  };
  const write = (/** @type {string} */ when, /** @type {string} */ kind, /** @type {any} */ body) => {
    s.now = Date.parse(`${when}Z`);
    s.nights = fold([...s.records.values()].map(r => r.entry)); // a new one: what is kept of before is worked out anew
    const n = s.records.size + 1;
    const id = `01900000-0000-7000-8000-${String(n).padStart(12, '0')}`;
    const draft = judgedDraft(s, { wearer: 'w1', kind, body });
    const entry = {
      ...draft,
      id,
      night: when.slice(0, 10),
      wall: when,
      zone: 'UTC',
      offset: 0,
      hlc: when,
      v: 3,
      device: 'd1',
      dseq: n,
      author: 'p1',
    };
    s.records.set(id, { id, entry, state: 'stored' });
    s.nights = fold([...s.records.values()].map(r => r.entry));
    return id;
  };
  const pain = write('2026-11-30T20:33:00', 'symptoms', { now: 'pain' });
  s.alerts = [{ id: 'a1', wearer: 'w1', level: 'emergency', state: 'open', entries: [pain], decided: [pain] }];
  write('2026-11-30T20:40:00', 'resume', { eyes: 'both', answers: [pain], from: '2026-12-01', basis, check: true });
  return { s, write };
}

test('open answers after an emergency that was released by telephone: phone now, and no check ends it', () => {
  const { s, write } = phone('by-telephone');
  write('2026-12-01T20:01:00', 'symptoms', { now: 'none', right: HALF, left: HALF });
  for (const when of ['', '2026-12-01T20:02:00', '2026-12-02T20:02:00']) {
    if (when) write(when, 'symptoms', { now: 'none', water: 'no', ill: 'no', right: FULL, left: FULL });
    assert.equal(standing(s), words.t('wear.stop'), when);
    assert.equal(checkDue(s), undefined, 'no check is asked for, as if it ended that');
    assert.deepEqual(told(s)?.words, [words.med('told.lenses-out'), words.med('told.call-now')].slice(-1), when);
    assert.equal(soonest(s, causes(s)), 'emergency', when);
  }
});

test('the same once somebody has examined it: it rests, and a full check of a later night ends that', () => {
  const { s, write } = phone('examined');
  write('2026-12-01T20:01:00', 'symptoms', { now: 'none', right: HALF, left: HALF });
  assert.equal(standing(s), words.t('wear.check-due', { who: '' }));
  write('2026-12-01T20:02:00', 'symptoms', { now: 'none', water: 'no', ill: 'no', right: FULL, left: FULL });
  assert.equal(
    standing(s),
    words.t('wear.rest'),
    'the check is done; open answers of the same evening hold for tonight',
  );
  write('2026-12-02T20:02:00', 'symptoms', { now: 'none', water: 'no', ill: 'no', right: FULL, left: FULL });
  assert.equal(standing(s), '');
});

// Of the rule table: redness with poor comfort in the log is an emergency, open answers are less.
test('a log that is the worst of what holds stands first among the reasons', () => {
  const { s, write } = phone('examined');
  write('2026-12-01T20:01:00', 'symptoms', { now: 'none', right: HALF, left: HALF });
  write('2026-12-01T20:02:00', 'morning', { moved: 'freely', comfort: 0, redness: 1 });
  write('2026-12-01T20:03:00', 'symptoms', { now: 'none', right: HALF, left: HALF });
  const [first] = whys(s, causes(s), 2);
  assert.ok(first.startsWith(words.med('rule.morning-red-and-sore.family')), first);
  assert.match(first, /night of Tue 1 Dec, logged 20:02$/);
});
