// What a line of the log says of when: its time and that of its writing are by one clock.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadLater, loadWords } from '../app/text/text.js';
import { said } from '../app/views/logged.js';

await loadLater();

/** @param {string} zone of the phone @param {string} lang @param {Record<string, unknown>} e */
async function line(zone, lang, e) {
  const state = {
    words: await loadWords(lang),
    zone,
    now: Date.parse('2026-12-01T12:00:00Z'),
    me: { person: 'p1' },
    family: { people: [] },
  };
  return said(/** @type {any} */ ({ state }), /** @type {any} */ (e));
}

// Berlin is an hour east of London all winter (IANA tz database). Written there at 06:46.
const out = {
  id: 'e1',
  kind: 'removal',
  wearer: 'w1',
  author: 'p1',
  night: '2026-11-30',
  wall: '2026-12-01T06:46:00',
  zone: 'Europe/Berlin',
  offset: 60,
  hlc: `${Date.parse('2026-12-01T05:46:00Z')}-0000`,
  body: { at: '06:45', eyes: 'both' },
};

test('after a journey a line has both its times by the clock of where it was written, and names it', async () => {
  assert.equal(await line('Europe/London', 'en', out), 'Lenses out 06:45 – you, 06:46 (GMT+1)');
  assert.match(await line('Europe/London', 'ar', out), /GMT\+1|غرينتش\+[1١]/);
});

test('at home no zone is named, nor where the clocks are the same', async () => {
  assert.equal(await line('Europe/Berlin', 'en', out), 'Lenses out 06:45 – you, 06:46');
  assert.equal(await line('Europe/Madrid', 'en', out), 'Lenses out 06:45 – you, 06:46');
});
