// Every module is there for a page, and every chart can be read without being seen.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..');

/** @param {string} folder @returns {string[]} every script in it, by path under the root */
const scripts = folder =>
  readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
    .filter(name => name.endsWith('.js'))
    .map(name => join(folder, name));

const SOURCES = ['app', 'clinic', 'ui'].flatMap(scripts);

/** @param {string} name @returns {string[]} what a script imports of ours, at once or later */
function imported(name) {
  const text = readFileSync(join(ROOT, name), 'utf8');
  return [...text.matchAll(/(?:\bfrom\s*|\bimport\s*\(?\s*)(['"`])(\.[^'"`]+)\1/g)].flatMap(([, , to]) => {
    const path = relative(ROOT, join(ROOT, dirname(name), to));
    if (!path.includes('${')) return [path];
    const [before, after] = path.split(/\$\{[^}]*\}/); // by language: each that there is
    return SOURCES.filter(s => s.startsWith(before) && s.endsWith(after));
  });
}

test('every module of the app and the console is reached from a page or the service worker', () => {
  const reached = new Set(['app/main.js', 'clinic/start.js', 'sw.js']);
  for (const name of reached) for (const to of imported(name)) if (SOURCES.includes(to)) reached.add(to);
  assert.ok(SOURCES.length > 100, `${SOURCES.length} modules`);
  assert.deepEqual(
    SOURCES.filter(s => !reached.has(s)),
    [],
  );
});

test('a drawing has a name, or is hidden from whoever hears the page: the table beside it says it', () => {
  for (const name of SOURCES) {
    const text = readFileSync(join(ROOT, name), 'utf8');
    for (const m of text.matchAll(/h\(\s*'svg',([\s\S]{0,300})/g)) {
      assert.match(m[1], /aria-hidden|aria-label/, `${name}: ${m[0].slice(0, 120)}`);
    }
  }
});
