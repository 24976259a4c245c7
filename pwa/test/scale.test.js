// How large the page stands on the glass. Expected values by hand: a window 390
// px wide that is zoomed to 150 % shows 260 CSS px; two fingers to 1.5 leave the
// layout as it was and say so in the visual viewport.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { rescaled, scaleOf } from '../app/scale.js';

const phone = { outerWidth: 390, innerWidth: 390, devicePixelRatio: 3, visualViewport: { scale: 1 } };

test('zoom and two fingers change the scale, whatever the browser tells of it', () => {
  const before = scaleOf(phone);
  assert.ok(rescaled(before, scaleOf({ ...phone, innerWidth: 260 })), 'zoom of a page, as WebKit shows it');
  assert.ok(
    rescaled(before, scaleOf({ ...phone, innerWidth: 260, devicePixelRatio: 4.5 })),
    'the same, as Chromium and Firefox show it',
  );
  assert.ok(rescaled(before, scaleOf({ ...phone, visualViewport: { scale: 1.5 } })), 'two fingers');
  assert.ok(rescaled(before, scaleOf({ ...phone, visualViewport: { scale: 1.03 } })), 'a little');
});

test('turning the phone, a keyboard and a scroll bar do not', () => {
  const before = scaleOf(phone);
  assert.ok(!rescaled(before, scaleOf({ ...phone, outerWidth: 844, innerWidth: 844 })));
  assert.ok(!rescaled(before, scaleOf({ ...phone, innerWidth: 385 })), '5 px of 390 are 1.3 %');
  assert.ok(!rescaled(before, scaleOf({ ...phone, visualViewport: null })), 'a browser without the interface');
  assert.equal(scaleOf({ ...phone, outerWidth: 0 }), 3, 'a browser that tells no outer width');
});
