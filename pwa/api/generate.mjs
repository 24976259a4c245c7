// Makes types.d.ts, the JavaScript's types of the interface, from openapi.json,
// the server's own description of it (npm run api). The first line names the
// description and the text they were made of and as, so that a test finds both
// stale ones and edited ones.

import { createHash } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import openapi, { astToString } from 'openapi-typescript';

/** @param {string} text */
const digest = text => createHash('sha256').update(text).digest('hex').slice(0, 16);

const here = new URL('.', import.meta.url);
const description = await readFile(new URL('openapi.json', here), 'utf8');
const { paths: _, ...shapes } = JSON.parse(description); // a route is a line in the server's table; its shapes are what matters here
const types = astToString(await openapi({ ...shapes, paths: {} }));
await writeFile(
  new URL('types.d.ts', here),
  `// Made by npm run api; not to be edited. ${digest(description)} ${digest(types)}\n${types}`,
);
