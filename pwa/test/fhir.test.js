// The FHIR bundle of the server's tests, read by two independent validators.
// Each misses what the other finds; server/internal/interop/fhir_test.go has
// the rules both miss. The mutations show that the validators look at all.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { test } from 'node:test';

/** @typedef {{[key: string]: unknown}} Obj */
/** @typedef {{resourceType: string} & Obj} Resource */
/** @typedef {{resourceType: string, entry: {fullUrl: string, resource: Resource}[]}} Bundle */
/** @typedef {{valid: boolean, messages: {severity?: string, location?: string, message?: string}[]}} Verdict */

const require = createRequire(import.meta.url); // both are CommonJS
const { Fhir } = /** @type {{Fhir: new () => {validate(r: unknown, o?: {errorOnUnexpected?: boolean}): Verdict}}} */ (
  require('fhir')
);
const Schema = /** @type {new () => {validate(r: unknown): unknown[]}} */ (
  require('@asymmetrik/fhir-json-schema-validator')
);

const structure = new Fhir();
const schema = new Schema();

/** @returns {Bundle} a fresh copy */
function golden() {
  return JSON.parse(readFileSync(new URL('../../testdata/interop/bundle.json', import.meta.url), 'utf8'));
}

/**
 * @param {unknown} resource
 * @returns {string[]} what fhir.js holds against it
 */
function byStructure(resource) {
  const { messages } = structure.validate(resource, { errorOnUnexpected: true });
  return messages.filter(m => m.severity === 'error' || m.severity === 'fatal').map(m => `${m.location}: ${m.message}`);
}

/**
 * @param {unknown} resource
 * @returns {string[]} what the JSON schema of the specification holds against it
 */
function bySchema(resource) {
  return schema.validate(resource).map(e => JSON.stringify(e));
}

test('the whole bundle is valid for both', () => {
  assert.deepEqual(byStructure(golden()), []);
  assert.deepEqual(bySchema(golden()), []);
});

test('every resource is valid alone for both', () => {
  const { entry } = golden();
  assert.ok(entry.length > 30, `${entry.length} resources`);
  for (const { resource } of entry) {
    assert.deepEqual(byStructure(resource), [], resource.resourceType);
    assert.deepEqual(bySchema(resource), [], resource.resourceType);
  }
});

test('every type the practice is promised is in the bundle', () => {
  const types = new Set(golden().entry.map(e => e.resource.resourceType));
  assert.deepEqual([...types].sort(), [
    'CarePlan',
    'Communication',
    'Flag',
    'Observation',
    'Patient',
    'Provenance',
    'Questionnaire',
    'QuestionnaireResponse',
    'Task',
    'VisionPrescription',
  ]);
});

/** @type {{name: string, type: string, spoil: (r: Obj) => void, who: 'structure'|'schema'|'both'}[]} */
const mutations = [
  {
    name: 'no status',
    type: 'Observation',
    who: 'structure',
    spoil: r => {
      delete r.status;
    },
  },
  {
    name: 'unknown status',
    type: 'Observation',
    who: 'both',
    spoil: r => {
      r.status = 'finished';
    },
  },
  {
    name: 'unknown element',
    type: 'CarePlan',
    who: 'both',
    spoil: r => {
      r.colour = 'blue';
    },
  },
  {
    name: 'date in another order',
    type: 'Patient',
    who: 'schema',
    spoil: r => {
      r.birthDate = '01.08.2015';
    },
  },
  {
    name: 'number as text',
    type: 'VisionPrescription',
    who: 'both',
    spoil: r => {
      /** @type {Obj[]} */ (r.lensSpecification)[0].sphere = 'minus two';
    },
  },
  {
    name: 'time without a zone',
    type: 'QuestionnaireResponse',
    who: 'schema',
    spoil: r => {
      r.authored = '2026-05-05T07:00:00';
    },
  },
  {
    name: 'bad characters in an id',
    type: 'Flag',
    who: 'schema',
    spoil: r => {
      r.id = 'a_b c';
    },
  },
];

for (const m of mutations) {
  test(`spoiled, it is noticed: ${m.name}`, () => {
    const found = golden()
      .entry.map(e => e.resource)
      .find(r => r.resourceType === m.type);
    assert.ok(found);
    m.spoil(found);
    const by = { structure: byStructure(found).length > 0, schema: bySchema(found).length > 0 };
    if (m.who !== 'schema') assert.ok(by.structure, 'fhir.js says nothing');
    if (m.who !== 'structure') assert.ok(by.schema, 'the schema says nothing');
  });
}
