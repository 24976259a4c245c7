// What the settings page works out. Expected values are worked out by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { DAY_SETS, faultsOf, gapWords, merge, pathWords, toSend, withSlots } from '../clinic/settings.js';

test('a refusal is told apart by field', () => {
  assert.deepEqual(faultsOf('practice.contacts.phone: "": want a number\nrota.slots.3.person: "x" is nobody: ask'), {
    'practice.contacts.phone': '"": want a number',
    'rota.slots.3.person': '"x" is nobody: ask',
  });
  // Name and zone are sent twice and typed once: the fault stands at the one field, once.
  assert.deepEqual(
    faultsOf(
      'practice.name: want 1 to 80 characters\npractice.contacts.clinic: want 1 to 80 characters\nrota.zone: zone "x"',
    ),
    {
      'practice.name': 'want 1 to 80 characters',
      'practice.zone': 'zone "x"',
    },
  );
  assert.deepEqual(faultsOf('The server cannot be reached. What you see may be out of date.'), {});
});

test('a slot for several days lands on each, from Monday, by time', () => {
  const slot = { from: '08:00', to: '08:00', person: 'a', deputy: '' };
  const late = { weekday: 0, from: '20:00', to: '08:00', person: 'b', deputy: '' };
  const all = withSlots([late], DAY_SETS[0][1], slot);
  assert.deepEqual(
    all.map(s => `${s.weekday} ${s.from}`),
    ['1 08:00', '2 08:00', '3 08:00', '4 08:00', '5 08:00', '6 08:00', '0 08:00', '0 20:00'],
  );
});

// 6 April 2026 is a Monday; Lisbon is an hour ahead of UTC in summer.
test('a gap is said on the clock of the practice', () => {
  assert.equal(
    gapWords({ from: '2026-04-06T08:00:00+01:00', to: '2026-04-06T09:00:00+01:00', hours: false }, 'Europe/Lisbon'),
    'Mon 6 Apr, 08:00 to 09:00',
  );
  assert.equal(
    gapWords({ from: '2026-04-06T16:00:00Z', to: '2026-04-07T07:00:00Z', hours: false }, 'Europe/Lisbon'),
    'Mon 6 Apr, 17:00 to Tue 7 Apr, 08:00',
  );
});

test('name and zone are sent for telephone hours and rota too', () => {
  const sent = toSend({
    practice: {
      languages: ['en'],
      name: 'N',
      zone: 'Europe/Oslo',
      contacts: {
        clinic: 'old',
        phone: '1',
        zone: 'UTC',
        hours: [],
        closed: [],
        after_hours_phone: '',
        emergency_number: '112',
        emergency_place: { name: '', address: '', hours: '' },
      },
    },
    rota: { zone: 'UTC', slots: [], off: [], dates: [], holidays: [], swaps: [] },
    policy: {
      unshown_minutes: 5,
      deputy_minutes: 15,
      everyone_minutes: 30,
      lapse_minutes: 60,
      repeat_minutes: 15,
      still_open_minutes: 60,
    },
    rule_settings: {},
    revision: 'r',
  });
  assert.deepEqual(
    [sent.practice.contacts.clinic, sent.practice.contacts.zone, sent.rota.zone],
    ['N', 'Europe/Oslo', 'Europe/Oslo'],
  );
});

test('two administrators at once: each keeps what only they changed', () => {
  const opened = {
    practice: { name: 'A', contacts: { phone: '1', hours: [1] } },
    rota: { slots: ['x'], off: [] },
    rule_settings: { missed: 5 },
  };
  const mine = {
    practice: { name: 'B', contacts: { phone: '2', hours: [1] } },
    rota: { slots: ['x'], off: [] },
    rule_settings: {},
  };
  const theirs = {
    practice: { name: 'A', contacts: { phone: '3', hours: [1, 2] } },
    rota: { slots: ['x', 'y'], off: [] },
    rule_settings: { missed: 5 },
  };
  const { value, taken, both } = merge(opened, mine, theirs);
  assert.deepEqual(value, {
    practice: { name: 'B', contacts: { phone: '2', hours: [1, 2] } },
    rota: { slots: ['x', 'y'], off: [] },
    rule_settings: {},
  });
  assert.deepEqual(taken, ['practice.contacts.hours', 'rota.slots']);
  assert.deepEqual(both, ['practice.contacts.phone']);
  assert.deepEqual(['practice.contacts.hours', 'rota.slots', 'policy.deputy_minutes'].map(pathWords), [
    'hours',
    'the rota',
    'policy, deputy minutes',
  ]);
});
