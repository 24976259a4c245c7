// What a locked phone shows, and putting reminders off from it. The words of
// the fourteen reminders are held against the server's table of them.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { IDBFactory } from 'fake-indexeddb';
import rules from '../../schedule/rules.json' with { type: 'json' };
import { openLog } from '../app/data/log.js';
import { covered, putOff } from '../app/data/put-off.js';
import { openStore } from '../app/data/store.js';
import { said } from '../app/text/push.js';
import { LANGUAGES } from '../app/text/text.js';

for (const [lang] of LANGUAGES) {
  test(`${lang}: neutral words say the same whatever is due; plain ones name it`, async () => {
    const body = async (/** @type {string[]} */ due, kind = 'reminder') => (await said({ kind, due }, lang)).body;
    const neutral = await said({ kind: 'reminder', tag: 't' }, lang);
    assert.ok(neutral.body && neutral.later);
    const plain = await Promise.all(rules.rules.map(r => body([r.id])));
    assert.equal(new Set([neutral.body, ...plain]).size, rules.rules.length + 1, 'every reminder has words of its own');
    const one = await Promise.all(
      ['insertion-right', 'insertion-left', 'care-right', 'care-left'].map(id => body([id])),
    );
    assert.equal(new Set([neutral.body, ...plain, ...one]).size, rules.rules.length + 5, 'of one eye the eye is named');
    assert.equal(await body(['of a later server']), neutral.body);
    const all = (await said({ kind: 'reminder' }, lang, 2)).later;
    assert.ok(all !== neutral.later && all.includes('30'), 'putting off more than one child is said on the button');
    assert.equal((await said({ kind: 'alert', due: ['insertion'] }, lang)).later, '');
    assert.ok(!(await body(['insertion'], 'alert')).includes(plain.at(-1) ?? ''), 'an alert never says what is due');
  });
}

for (const [lang] of LANGUAGES) {
  test(`${lang}: a drill says before anything else that it is one, and is else said as the real thing`, async () => {
    for (const kind of ['alert', 'taken', 'silence']) {
      const real = (await said({ kind }, lang)).body;
      const drill = (await said({ kind, drill: true }, lang)).body;
      assert.ok(drill.endsWith(real) && drill.length > real.length + 5, drill);
      assert.ok(!real.includes(drill.slice(0, drill.length - real.length).trim()), real);
    }
  });
}

test('a language nobody has words for is told in English', async () => {
  assert.equal((await said({ kind: 'test' }, 'xx')).body, (await said({ kind: 'test' }, 'en')).body);
});

let seed = 0;

/** @param {object} family */
async function phone(family) {
  const log = openLog(
    openStore(new IDBFactory(), () => {}),
    { now: () => NOW, random: n => new Uint8Array(n).fill(++seed) },
  );
  await log.become({ device: 'd1', person: 'p1', family: 'f1' });
  await log.set('family', family);
  return log;
}

const NOW = Date.parse('2026-03-28T21:05:40Z'); // 21:05 in Lisbon
const wearers = [
  { id: 'w1', plan: {} },
  { id: 'w2', plan: {} },
  { id: 'w3', plan: null },
];

test('a parent puts off the evening of every child with a plan, for half an hour', async () => {
  const log = await phone({ person: { role: 'parent' }, wearers });
  assert.equal((await covered(log)).length, 2, 'by which the button says that it is for all');
  assert.equal(await putOff(log, NOW, 'Europe/Lisbon'), 2);
  const made = (await log.inState('unsent')).map(r => [
    r.entry.wearer,
    r.entry.kind,
    r.entry.v,
    r.entry.night,
    r.entry.body.until,
  ]);
  assert.deepEqual(made, [
    ['w1', 'snooze', 2, '2026-03-28', '21:35'],
    ['w2', 'snooze', 2, '2026-03-28', '21:35'],
  ]);
});

test('a teen puts off their own only, and a phone that has not joined nothing', async () => {
  const teen = await phone({ person: { role: 'teen', wearer: 'w2' }, wearers });
  assert.equal(await putOff(teen, NOW, 'Europe/Lisbon'), 1);
  assert.equal((await teen.inState('unsent'))[0].entry.wearer, 'w2');
  const fresh = openLog(
    openStore(new IDBFactory(), () => {}),
    { now: () => NOW, random: n => new Uint8Array(n).fill(++seed) },
  );
  assert.equal(await putOff(fresh, NOW, 'Europe/Lisbon'), 0);
});
