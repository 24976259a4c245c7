// Opens the database before anything else of the app is read: the database is
// another process, which works while this one reads the rest of the script.
import { openStore } from './store.js';

/** @import { Job, Trouble } from './store.js' */

/** The trouble told so far, who is told of the next, and what puts back what was cleared. @type {{trouble: Trouble, changed: () => void, refill: Job<void>}} */
export const database = { trouble: '', changed: () => {}, refill: async () => {} };

export const store = openStore(
  indexedDB,
  t => {
    database.trouble = t;
    database.changed();
  },
  (entries, meta) => database.refill(entries, meta),
);
store.ready();
