// The calendar feed of the server's tests, read by an independent reader of
// RFC 5545. The bytes are checked in server/internal/interop/ical_test.go,
// because this reader forgives much.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import ICAL from 'ical.js';

const text = readFileSync(new URL('../../testdata/schedule/feed.ics', import.meta.url), 'utf8');

/** @returns {ICAL.Component} the calendar, with its zone made known */
function calendar() {
  const cal = new ICAL.Component(ICAL.parse(text.replaceAll('\n', '\r\n')));
  const zone = cal.getFirstSubcomponent('vtimezone');
  if (zone) ICAL.TimezoneService.register(zone);
  return cal;
}

/**
 * @param {ICAL.Component} e
 * @param {string} name
 */
const value = (e, name) => String(e.getFirstPropertyValue(name) ?? '');

test('every event starts when it should, as the reader works it out from the zone in the feed', () => {
  const got = calendar()
    .getAllSubcomponents('vevent')
    .map(e => {
      const start = /** @type {ICAL.Time} */ (e.getFirstPropertyValue('dtstart'));
      const at = start.isDate ? start.toString() : start.convertToZone(ICAL.Timezone.utcTimezone).toString();
      return `${at} ${value(e, 'status')} ${value(e, 'sequence')} ${value(e, 'summary')}`;
    });
  // By hand: London is at UTC until 01:00 UTC on 29 March 2026, then one hour ahead.
  assert.deepEqual(got, [
    '2026-03-02T09:15:00Z CANCELLED 1 Appointment',
    '2026-03-29T01:00:00Z CONFIRMED 0 Appointment',
    '2026-04-01T08:15:00Z CONFIRMED 2 Appointment W-0007',
    '2026-07-01 TENTATIVE 0 Appointment to be made',
  ]);
});

test('text comes back whole from escaping and folding', () => {
  const places = calendar()
    .getAllSubcomponents('vevent')
    .map(e => value(e, 'location'))
    .filter(s => s);
  assert.deepEqual(places, [
    `bitte pünktlich, 請準時到達、並帶備所有用品和這張卡、謝謝 ${'🙂'.repeat(20)}`,
    '12 Harbour Lane; first floor, ring twice\nthen wait',
  ]);
});

test('each event has what RFC 5545 asks for, and an identity of its own', () => {
  const cal = calendar();
  assert.equal(cal.getFirstPropertyValue('version'), '2.0');
  assert.ok(cal.getFirstPropertyValue('prodid'));
  const events = cal.getAllSubcomponents('vevent');
  assert.equal(new Set(events.map(e => value(e, 'uid'))).size, events.length);
  for (const e of events) {
    for (const name of ['uid', 'dtstamp', 'dtstart']) assert.equal(e.getAllProperties(name).length, 1, name);
  }
});

test('no clinical word is in the feed', () => {
  assert.doesNotMatch(text, /lens|eye|sight|vision|ortho|cornea|myop|recall|child|patient|clinic/i);
});
