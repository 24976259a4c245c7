// The sheets of paper say what the rule table says, in every language.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import table from '../../alerts/rules.json' with { type: 'json' };
import { LANGUAGES } from '../app/text/text.js';
import { loadPaper, openings, redFlags } from '../clinic/papers.js';

// The table itself is the outside source: what a rule tells somebody to do first
// about the lens and whom to see must head it on paper.
test('every red flag of the table stands once on paper, under what its own rule says to do', () => {
  const flags = redFlags();
  const red = table.rules.filter(r => r.about === 'symptoms' && ['emergency', 'urgent'].includes(r.level));
  const asked = red.filter(r => !r.id.startsWith('now-'));
  assert.ok(asked.length > 20);
  for (const r of asked) {
    const found = flags.filter(g => g.signs.includes(r.family));
    assert.equal(found.length, 1, r.id);
    // A lens that may still be stuck is not pulled at (common practice), which the app says once it knows that it is.
    if (r.actions.includes('stuck-again')) assert.equal(found[0].heads[0], 'told.stuck-lens', r.id);
    const own = r.actions.includes('stuck-again') ? found[0].heads.slice(1) : found[0].heads;
    for (const head of own) assert.ok(r.actions.includes(head.replace('told.', '')), `${r.id}: ${head}`);
  }
  assert.equal(flags.flatMap(g => g.signs).length, new Set(asked.map(r => r.family)).size);
  assert.deepEqual(flags[0].heads, ['told.rinse-eye'], 'a chemical first: rinsing cannot wait');
  assert.ok(flags.at(-1)?.heads.includes('told.call-today'), 'the least pressing last');
});

// By hand: Monday to Wednesday and Friday alike, Thursday longer, Saturday twice.
test('days with the same hours stand together', () => {
  const at = (/** @type {number} */ weekday, from = '09:00', to = '17:30') => ({ weekday, from, to });
  assert.deepEqual(
    openings([at(6, '14:00', '16:00'), at(1), at(2), at(3), at(4, '09:00', '19:00'), at(5), at(6, '09:00', '12:00')]),
    [
      { days: [1, 2, 3], times: ['09:00–17:30'] },
      { days: [4], times: ['09:00–19:00'] },
      { days: [5], times: ['09:00–17:30'] },
      { days: [6], times: ['09:00–12:00', '14:00–16:00'] },
    ],
  );
  assert.deepEqual(openings([]), []);
});

test('the sheets have the same words in every language, with the same figures', async () => {
  const figures = (/** @type {string} */ s) => s.match(/\d+|\{\w+\}/g) ?? [];
  const english = await loadPaper('en');
  for (const [lang] of LANGUAGES.slice(1)) {
    const words = await loadPaper(lang);
    assert.deepEqual(Object.keys(words), Object.keys(english), lang);
    for (const key of /** @type {import('../clinic/papers.js').PaperKey[]} */ (Object.keys(english))) {
      assert.deepEqual(figures(words[key]), figures(english[key]), `${lang} ${key}`);
      assert.notEqual(words[key], english[key], `${lang} ${key}`);
    }
  }
});
