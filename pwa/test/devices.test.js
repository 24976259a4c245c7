// What a new phone is called. The user agents are those that the browsers' makers
// document: developer.chrome.com, "User-Agent reduction"; webkit.org for Safari,
// whose iPad says that it is a Mac since version 13; MDN, "Firefox user agent".
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { kindOf } from '../app/views/join.js';

test('a phone is called by its kind', () => {
  /** @type {[string, string, number][]} */
  const cases = [
    [
      'iPhone',
      'Mozilla/5.0 (iPhone; CPU iPhone OS 17_4 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.4 Mobile/15E148 Safari/604.1',
      5,
    ],
    [
      'iPad',
      'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.4 Safari/605.1.15',
      5,
    ],
    [
      'Mac',
      'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.4 Safari/605.1.15',
      0,
    ],
    [
      'Android',
      'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/124.0.0.0 Mobile Safari/537.36',
      5,
    ],
    ['Windows', 'Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:125.0) Gecko/20100101 Firefox/125.0', 0],
    [
      'Chromebook',
      'Mozilla/5.0 (X11; CrOS x86_64 14541.0.0) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/124.0.0.0 Safari/537.36',
      1,
    ],
    ['', 'Mozilla/5.0 (Mobile; rv:125.0) Gecko/125.0 Firefox/125.0', 5],
  ];
  for (const [want, userAgent, maxTouchPoints] of cases)
    assert.equal(kindOf({ userAgent, maxTouchPoints }), want, userAgent);
});
