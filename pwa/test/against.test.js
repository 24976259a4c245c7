// What is said when lenses are said to be in while something stops them. The reason is what
// stands worst and the clinic has not released, not what it has decided about; which is
// which follows from the entries below by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { fold } from '../app/model/fold.js';
import { loadWords } from '../app/text/text.js';
import { Against } from '../app/views/against.js';

const words = await loadWords('en');

/** The reason among what is on the screen. @param {any} node @returns {string[]} */
const reasons = node =>
  node?.props?.['data-test'] === 'against-why'
    ? [node.props.children].flat()
    : [node?.props?.children ?? node].flat().flatMap(x => (x && typeof x === 'object' ? reasons(x) : []));

test('lenses in under a stop: what is not released is named, not what was decided about before', () => {
  const stop = { right: 'stop', left: 'stop', table: 7 };
  const entry = (
    /** @type {string} */ n,
    /** @type {string} */ kind,
    /** @type {string} */ at,
    /** @type {any} */ b,
  ) => {
    const id = `01900000-0000-7000-8000-00000000000${n}`;
    const e = { id, kind, wearer: 'w1', night: at.slice(0, 10), wall: at, zone: 'UTC', offset: 0, hlc: at, body: b };
    return { id, entry: /** @type {any} */ ({ ...e, author: 'p1', device: 'd1', dseq: 1, v: 3 }), state: 'stored' };
  };
  const log = entry('2', 'morning', '2026-11-30T20:33:00', { redness: 1, comfort: 0, told: stop });
  const all = [
    log,
    entry('3', 'resume', '2026-11-30T20:36:00', {
      eyes: 'both',
      answers: [log.id],
      from: '2026-12-01',
      basis: 'by-telephone',
    }),
    entry('1', 'symptoms', '2026-11-30T20:32:00', { now: 'pain', told: stop }), // of another phone, and of before
  ];
  /** @type {any} */
  const state = {
    words,
    wearer: 'w1',
    zone: 'UTC',
    now: Date.parse('2026-11-30T20:38:00Z'),
    skew: 0,
    sync: {},
    alerts: [],
    nights: fold(all.map(r => r.entry)),
    records: new Map(all.map(r => [r.id, r])),
    family: { contacts: {}, wearers: [{ id: 'w1', name: 'Child', plan: null }] },
  };
  const nothing = () => {};
  const page = Against({
    app: /** @type {any} */ ({ state }),
    eyes: 'both',
    night: '2026-11-30',
    onYes: nothing,
    onNo: nothing,
    busy: false,
  });
  const [said] = reasons(page);
  assert.ok(said?.startsWith(words.med('answer.now.pain')), said);
});
