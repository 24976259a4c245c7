// Copies the pinned browser modules out of node_modules into vendor/, rewrites
// their bare imports to relative ones and records name, version, licence and
// SHA-512 of each file. Run after changing a version in package.json:
//   npm install && npm run vendor
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';

const FILES = [
  ['preact', 'dist/preact.mjs', 'preact.js'],
  ['preact', 'hooks/dist/hooks.mjs', 'preact-hooks.js'],
  ['preact', 'src/index.d.ts', 'preact.d.ts'],
  ['preact', 'src/jsx.d.ts', 'jsx.d.ts'],
  ['preact', 'src/dom.d.ts', 'dom.d.ts'],
  ['preact', 'hooks/src/index.d.ts', 'preact-hooks.d.ts'],
  ['qrcode-generator', 'dist/qrcode.mjs', 'qrcode/qrcode.js'],
  ['qrcode-generator', 'dist/qrcode.d.ts', 'qrcode/qrcode.d.ts'],
];

/** @param {string} text */
const relative = text =>
  `${text
    .replace(/from\s*["'](?:preact|\.\/index|\.\.\/\.\.(?:\/src\/index)?)["']/g, 'from "./preact.js"')
    .replace(/from\s*["']\.\/(jsx|dom)["']/g, 'from "./$1.js"')
    .replace(/\/\/# sourceMappingURL=.*/g, '')
    .replace(/declare module 'qrcode-generator' \{\s*export = qrcode;\s*\}/, 'export default qrcode;')
    .replace(/[ \t]+$/gm, '')
    .trimEnd()}\n`;

mkdirSync('vendor/qrcode', { recursive: true });
const list = FILES.map(([name, from, to]) => {
  const about = JSON.parse(readFileSync(`node_modules/${name}/package.json`, 'utf8'));
  const text = relative(readFileSync(`node_modules/${name}/${from}`, 'utf8'));
  writeFileSync(`vendor/${to}`, text);
  return {
    file: to,
    name,
    version: about.version,
    licence: about.license,
    from,
    sha512: createHash('sha512').update(text).digest('base64'),
  };
});
const preact = readFileSync('node_modules/preact/LICENSE', 'utf8');
writeFileSync('vendor/LICENSE', preact);
// qrcode-generator brings no file of its licence: its source names the MIT licence
// (the text of preact's) and its author.
writeFileSync('vendor/qrcode/LICENSE', preact.replace(/Copyright.*/, 'Copyright (c) 2009 Kazuhiko Arase'));
writeFileSync('vendor/vendor.json', `${JSON.stringify(list, null, 2)}\n`);
