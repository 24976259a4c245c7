// Refusals as the server writes them (schedule/plan.go), told by the labels of a form.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { faultsIn } from '../clinic/faults.js';

const LABELS = { min_hours: 'Fewest hours in lenses', wear_from: 'Insertion not before', wear_to: 'Removal not after' };

test('each fault stands at its own field, by its label', () => {
  const said = {
    field: 'min_hours',
    message:
      'min_hours: want 4 to 12 hours; wear_to: want a wear window from wear_from to wear_to that holds min_hours',
  };
  assert.deepEqual(faultsIn(said, LABELS), {
    at: {
      min_hours: 'Want 4 to 12 hours.',
      wear_to:
        'Want a wear window from “Insertion not before” to “Removal not after” that holds “Fewest hours in lenses”.',
    },
    rest: '',
  });
});

test('a fault without a code goes to the field of the refusal, one of another form to the foot', () => {
  assert.deepEqual(faultsIn({ field: 'wear_to', message: 'want a time as HH:MM, or none' }, LABELS), {
    at: { wear_to: 'Want a time as HH:MM, or none.' },
    rest: '',
  });
  assert.deepEqual(faultsIn({ field: '', message: 'the plan was changed meanwhile' }, LABELS), {
    at: {},
    rest: 'The plan was changed meanwhile.',
  });
  assert.deepEqual(faultsIn(undefined, LABELS), { at: {}, rest: '' });
});

test('two faults of one field: the second is not lost', () => {
  const { at, rest } = faultsIn({ field: 'wear_to', message: 'wear_to: want one\nwear_to: want two' }, LABELS);
  assert.deepEqual([at, rest], [{ wear_to: 'Want one.' }, '“Removal not after”: want two.']);
});
