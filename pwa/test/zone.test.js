// The zone of the last start, and clocks without Intl, against Intl itself.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { test } from 'node:test';
import { wordsOf } from '../app/text/text.js';
import { trusted, zoneBefore, zoneNow } from '../app/zone.js';

const NOW = Date.UTC(2026, 2, 24, 21, 20);

/** Storage of a browser, as far as it is used here. */
const storage = () => {
  /** @type {Map<string, string>} */
  const kept = new Map();
  return /** @type {Storage} */ (
    /** @type {unknown} */ ({
      getItem: (/** @type {string} */ k) => kept.get(k) ?? null,
      setItem: (/** @type {string} */ k, /** @type {string} */ v) => {
        kept.set(k, v);
      },
    })
  );
};

test('a start takes the zone of the last one, for a month', () => {
  const s = storage();
  assert.equal(zoneBefore(s, NOW), '');
  const name = zoneNow(s, NOW);
  assert.equal(name, new Intl.DateTimeFormat().resolvedOptions().timeZone);
  assert.equal(zoneBefore(s, NOW + 86400000), name);
  assert.equal(zoneBefore(s, NOW + 31 * 86400000), '');
});

test('what is kept and cannot be read is not taken', () => {
  for (const bad of ['', 'Europe/London', 'Europe/London x', 'Europe/London 20536 0,0']) {
    const s = storage();
    s.setItem('zone', bad);
    assert.equal(zoneBefore(s, NOW), '', bad);
  }
});

// A phone that has flown: the clock runs otherwise, if only in another month.
// Lagos keeps UTC+1 and Reykjavik UTC all year; London and Lisbon change together;
// Jerusalem goes forward on the Friday before Helsinki does (IANA tz database
// 2025b).
const flights = [
  { name: 'two hours east', from: 'Europe/London', to: 'Europe/Helsinki', taken: false },
  { name: 'same clock in summer only', from: 'Europe/London', to: 'Africa/Lagos', taken: false },
  { name: 'same clock in winter only', from: 'Europe/London', to: 'Atlantic/Reykjavik', taken: false },
  { name: 'changes two days earlier', from: 'Europe/Helsinki', to: 'Asia/Jerusalem', taken: false },
  { name: 'same clock all year', from: 'Europe/London', to: 'Europe/Lisbon', taken: true },
  { name: 'stayed', from: 'Asia/Shanghai', to: 'Asia/Shanghai', taken: true },
];
for (const f of flights) {
  test(`flight: ${f.name}`, () => {
    const run = (/** @type {string} */ zone, /** @type {string} */ kept) =>
      spawnSync(
        process.execPath,
        [
          '--input-type=module',
          '-e',
          `
      import { trusted, zoneBefore, zoneNow } from ${JSON.stringify(new URL('../app/zone.js', import.meta.url).href)};
      let kept = ${JSON.stringify(kept)};
      const s = { getItem: () => kept || null, setItem: (_, v) => { kept = v; } };
      console.log(kept ? zoneBefore(s, ${NOW}) : (zoneNow(s, ${NOW}), kept));`,
        ],
        { env: { ...process.env, TZ: zone }, encoding: 'utf8' },
      ).stdout.trim();
    assert.equal(run(f.to, run(f.from, '')), f.taken ? f.from : '');
  });
}

test('a wall clock is shown as Intl shows it', () => {
  for (const [lang, locale] of /** @type {const} */ ([
    ['en', 'en-GB'],
    ['es', 'es'],
    ['zh', 'zh-CN'],
    ['ar', 'ar'],
  ])) {
    const { clock } = wordsOf(lang, {}, true);
    const intl = new Intl.DateTimeFormat(locale, {
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
      timeZone: 'UTC',
    });
    for (let m = 0; m < 1440; m++) {
      const hhmm = `${String(Math.floor(m / 60)).padStart(2, '0')}:${String(m % 60).padStart(2, '0')}`;
      assert.equal(clock(hhmm), intl.format(Date.UTC(2000, 0, 1, 0, m)), `${lang} ${hhmm}`);
    }
  }
});

// In July London is an hour ahead of Reykjavik, in January it is not (IANA tz
// database 2025b).
const JULY = Date.UTC(2026, 6, 1, 20);
const JANUARY = Date.UTC(2026, 0, 1, 20);
const asks = [
  { name: 'a place of its own', of: 'Asia/Tokyo', want: { zone: 'Asia/Tokyo', ask: false } },
  { name: 'what everybody is given', of: 'Atlantic/Reykjavik', want: { zone: 'Europe/London', ask: true } },
  { name: 'UTC', of: 'UTC', want: { zone: 'Europe/London', ask: true } },
  { name: 'the same clock', of: 'UTC', now: JANUARY, want: { zone: 'Europe/London', ask: false } },
  {
    name: 'a family that lives there',
    of: 'Atlantic/Reykjavik',
    home: 'Atlantic/Reykjavik',
    want: { zone: 'Atlantic/Reykjavik', ask: false },
  },
  { name: 'before the family is known', of: 'UTC', home: '', want: { zone: 'UTC', ask: false } },
  { name: 'somebody said yes', of: 'UTC', said: 'UTC UTC', want: { zone: 'UTC', ask: false } },
  { name: 'somebody said no', of: 'UTC', said: 'UTC Europe/Paris', want: { zone: 'Europe/Paris', ask: false } },
  {
    name: 'said of another name',
    of: 'UTC',
    said: 'Atlantic/Reykjavik UTC',
    want: { zone: 'Europe/London', ask: true },
  },
  { name: 'no longer hidden', of: 'Asia/Tokyo', said: 'UTC Europe/Paris', want: { zone: 'Asia/Tokyo', ask: false } },
];
for (const a of asks) {
  test(`a zone that may be pretended: ${a.name}`, () => {
    assert.deepEqual(trusted(a.of, a.home ?? 'Europe/London', a.said ?? '', a.now ?? JULY), a.want);
  });
}
