// Opens the database before anything else of the app is read: the database is
// another process, which works while this one reads the rest of the script.
import { openStore } from './store.js';

/** @import { Trouble } from './store.js' */

/** The trouble told so far, and who is told of the next. @type {{trouble: Trouble, changed: () => void}} */
export const database = { trouble: '', changed: () => {} };

export const store = openStore(indexedDB, t => {
  database.trouble = t;
  database.changed();
});
store.ready();
