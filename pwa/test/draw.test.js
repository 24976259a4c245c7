// The app's own drawings say nothing of the sun: they are the same at every hour of the
// year, and are hidden from who listens.
import assert from 'node:assert/strict';
import { mock, test } from 'node:test';
import { art, icons } from '../app/draw.js';
import { cardArt } from '../app/draw-cards.js';

const drawn = () =>
  JSON.stringify(
    [art, icons, cardArt].map(set => Object.values(set).map(draw => draw())),
    (key, value) => (key.startsWith('__') ? undefined : value), // what a drawing is, not which number it has
  );

test('a drawing is the same at noon in June and at midnight in December', () => {
  mock.timers.enable({ apis: ['Date'], now: Date.parse('2026-06-21T12:00:00Z') });
  const noon = drawn();
  assert.ok(noon.length > 5000);
  mock.timers.setTime(Date.parse('2026-12-21T23:59:00Z'));
  assert.equal(drawn(), noon);
  mock.timers.reset();
});

test('every drawing is hidden from a screen reader, for the words beside it say the same', () => {
  for (const draw of [art, icons, cardArt].flatMap(set => Object.values(set)))
    assert.equal(/** @type {any} */ (draw()).props['aria-hidden'], true);
});
