// Nothing newer than the oldest browsers supported, named once in bundle.go, is
// used without a guard: every member of the browser and of the language that the
// sources name, by the types of TypeScript, and every property, selector and rule
// of the styles, is looked up in MDN's browser compatibility data (CC0). What the
// compiler has no type for (values of type any) is not seen.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { test } from 'node:test';
import ts from 'typescript';

const root = fileURLToPath(new URL('..', import.meta.url));
const bcd = JSON.parse(readFileSync(`${root}node_modules/@mdn/browser-compat-data/data.json`, 'utf8'));

/** The floor as the bundler has it, and the browsers that each name stands for. */
const FLOOR = Object.fromEntries(
  [...readFileSync(`${root}bundle.go`, 'utf8').matchAll(/api\.Engine(\w+), Version: "([\d.]+)"/g)].flatMap(m => {
    const names = /** @type {Record<string, string[]>} */ ({
      Safari: ['safari', 'safari_ios'],
      Chrome: ['chrome', 'chrome_android'],
      Firefox: ['firefox', 'firefox_android'],
    })[m[1]];
    return names.map(n => [n, m[2]]);
  }),
);

/**
 * What is newer and used all the same, and what guards it. A row that is not
 * needed any more fails the test.
 * @type {Record<string, string>}
 */
const GUARDED = {
  'data/api.js AbortSignal.timeout':
    'before Chrome 124 it rejects with AbortError instead of TimeoutError: sync.js takes both',
  'views/more.js Notification': '`able` asks first',
  'views/more.js Notification.permission': '`able` asks first',
  'views/more.js Notification.requestPermission': 'its button is there where `able` is',
  'views/push.js Notification': 'the console asks first whether it is there',
  'views/push.js Notification.requestPermission': 'the console asks first whether it is there',
  'ui/headings.js Segmenter.segment': 'without it a heading breaks anywhere, as it did',
  'clinic/sound.js AudioParam.exponentialRampToValueAtTime':
    'the older ramp is a little longer where two follow each other, which changes no tone',
};

/** @param {string} a @param {string} b whether version a is later than b */
const later = (a, b) => {
  const [x, y] = [a, b].map(v => v.replace('≤', '').split('.').map(Number));
  return (x[0] - y[0] || (x[1] ?? 0) - (y[1] ?? 0)) > 0;
};

/**
 * @param {any} compat
 * @returns {string[]} the browsers of the floor that lack it
 */
function lacking(compat) {
  return Object.keys(FLOOR).filter(name => {
    const said = compat.support?.[name];
    const rows = Array.isArray(said) ? said : [said];
    return !rows.some(
      r =>
        r?.version_added &&
        r.version_added !== 'preview' &&
        !r.flags &&
        !r.version_removed &&
        !r.prefix &&
        !r.partial_implementation &&
        !later(r.version_added, FLOOR[name]),
    );
  });
}

/** What TypeScript calls a thing and the data calls otherwise. @type {Record<string, string>} */
const OTHER_NAMES = { Console: 'console', ArrayConstructor: 'Array', ReadonlyArray: 'Array' };

/** @param {string} owner @param {string} name @returns {any} the compatibility of a member, undefined when the data has none */
function compatOf(owner, name) {
  const type = OTHER_NAMES[owner] ?? owner.replace(/Constructor$/, '');
  const inApi = bcd.api[type]?.[name] ?? bcd.api[type]?.[`${name}_static`];
  const built = bcd.javascript.builtins[type] ?? bcd.javascript.builtins.Intl[type];
  return (inApi ?? built?.[name])?.__compat;
}

/** @returns {Map<string, Set<string>>} by member, the files that use it */
function members() {
  const config = ts.getParsedCommandLineOfConfigFile(`${root}tsconfig.json`, {}, /** @type {any} */ (ts.sys));
  assert.ok(config);
  const program = ts.createProgram(config.fileNames, config.options);
  const types = program.getTypeChecker();
  /** @type {Map<string, Set<string>>} */
  const found = new Map();
  for (const file of program.getSourceFiles()) {
    const name = file.fileName;
    if (file.isDeclarationFile || !/\/(app|ui|clinic|alerts|schedule)\/|\/sw\.js$/.test(name) || /\/test\//.test(name))
      continue;
    /** @param {ts.Node} node */
    const walk = node => {
      if (ts.isIdentifier(node) && node.parent) {
        const symbol = types.getSymbolAtLocation(node);
        for (const d of symbol?.declarations ?? []) {
          if (!/\/typescript\/lib\/lib\./.test(d.getSourceFile().fileName)) continue;
          const owner = ownerOf(d);
          const key = owner ? `${owner}.${symbol?.name}` : `${symbol?.name}`;
          const place = name
            .split('/')
            .slice(-2)
            .join('/')
            .replace(/^.*\/(?=sw\.js$)/, '');
          found.set(key, new Set([...(found.get(key) ?? []), place]));
        }
      }
      ts.forEachChild(node, walk);
    };
    walk(file);
  }
  return found;
}

/** @param {ts.Node} d a declaration @returns {string} the interface or variable it is a member of, "" for none */
function ownerOf(d) {
  for (let at = d.parent; at; at = at.parent) {
    if (ts.isInterfaceDeclaration(at) || ts.isVariableDeclaration(at) || ts.isClassDeclaration(at))
      return at.name && ts.isIdentifier(at.name) ? at.name.text : '';
  }
  return '';
}

test('the floor is named for each of the three engines', () => {
  assert.equal(Object.keys(FLOOR).length, 6);
});

test('no newer interface is used without a guard', () => {
  const used = members();
  assert.ok(used.size > 200, `${used.size} members`);
  assert.ok(used.has('AbortSignal.timeout'));
  const needed = new Set();
  const faults = [];
  for (const [key, places] of used) {
    const [owner, name] = key.includes('.') ? key.split('.') : ['', key];
    const compat = owner ? compatOf(owner, name) : (bcd.api[name] ?? bcd.javascript.builtins[name])?.__compat;
    const lack = compat ? lacking(compat) : [];
    if (!lack.length) continue;
    for (const place of places) {
      needed.add(`${place} ${key}`);
      if (!GUARDED[`${place} ${key}`]) faults.push(`${place} ${key}: not in ${lack.join(', ')}`);
    }
  }
  assert.deepEqual(faults, []);
  assert.deepEqual(
    Object.keys(GUARDED).filter(k => !needed.has(k)),
    [],
    'guards that nothing needs',
  );
});

test('a newer interface would be seen', () => {
  const all = ['chrome', 'chrome_android', 'firefox', 'firefox_android', 'safari', 'safari_ios'];
  assert.deepEqual(lacking(compatOf('URL', 'parse')).sort(), all); // Chrome 126, Firefox 126, Safari 18
  assert.deepEqual(lacking(compatOf('URL', 'canParse')).sort(), [...all.slice(0, 2), ...all.slice(4)]); // Chrome 120, Firefox 115, Safari 17
  assert.deepEqual(lacking(compatOf('Array', 'at')), []); // Chrome 92, Firefox 90, Safari 15.4
});

/** Newer parts of the styles: what lacks them looks plainer, and loses nothing. @type {Record<string, string>} */
const PLAINER = {
  'at-rules.page': 'Safari sets margins of paper itself before 18.2',
  'properties.accent-color': 'a slider in the browser’s own colour',
  'properties.forced-color-adjust': 'Safari has no forced colours',
  'properties.hyphens': 'longer words are broken anywhere',
  'properties.text-size-adjust': 'only phones enlarge text by themselves, and those have it',
  'properties.text-wrap': 'lines of a heading are not balanced',
  'properties.zoom': 'on paper in Firefox before 126 a full sheet may become two',
  'selectors.-moz-range-thumb': 'each engine knows its own half of a slider and passes the other over',
  'selectors.-moz-range-track': 'the same',
  'selectors.-webkit-slider-runnable-track': 'the same',
  'selectors.-webkit-slider-thumb': 'the same',
  'selectors.marker': 'numbers of steps in the colour of the text',
};

test('no newer part of the styles is used where it would be missed', () => {
  const parts = new Set();
  for (const file of readdirSync(`${root}styles`)) {
    const css = readFileSync(`${root}styles/${file}`, 'utf8').replace(/\/\*[\s\S]*?\*\//g, '');
    for (const [, name] of css.matchAll(/@([a-z-]+)/g)) parts.add(`at-rules.${name}`);
    for (const [, name] of css.matchAll(/(?<=[;{]\s*)([a-z-]+)\s*:(?=[^;{}]*[;}])/g)) parts.add(`properties.${name}`);
    for (const [selector] of css.matchAll(/(?<=^|[};{]\s*)[^@{};]+(?=\{)/g))
      for (const [, name] of selector.matchAll(/::?([a-z-]+)/g)) parts.add(`selectors.${name}`);
  }
  assert.ok(parts.size > 80, `${parts.size} parts`);
  const lack = [...parts].filter(part => {
    const [kind, name] = part.split('.');
    const compat = bcd.css[kind][name]?.__compat;
    return compat && lacking(compat).length > 0;
  });
  assert.deepEqual(lack.sort(), Object.keys(PLAINER).sort());
});
