// The database on the phone, and the ways it can fail. One connection per tab;
// strict durability, so "saved" means it survives a dead battery. A lost
// connection is reopened once; a full disk is said, never swallowed.

const NAME = 'nightkeep';
const VERSION = 1;

/**
 * What can be wrong with the database apart from a failed write.
 * @typedef {'blocked'|'newer'|''} Trouble blocked: another tab holds an old version; newer: another tab has a newer version
 */

/**
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
export function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** @param {IDBDatabase} db */
function build(db) {
  const entries = db.createObjectStore('entries', { keyPath: 'id' });
  entries.createIndex('state', 'state');
  db.createObjectStore('meta');
}

/**
 * @param {IDBFactory} factory
 * @param {(t: Trouble) => void} tell
 * @returns {Promise<IDBDatabase>}
 */
function open(factory, tell) {
  return new Promise((resolve, reject) => {
    const request = factory.open(NAME, VERSION);
    request.onupgradeneeded = e => {
      if (e.oldVersion < 1) build(request.result);
    };
    request.onblocked = () => tell('blocked');
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const db = request.result;
      db.onversionchange = () => {
        db.close();
        tell('newer');
      };
      tell('');
      resolve(db);
    };
  });
}

/** Errors after which a new connection may work. */
const LOST = new Set(['InvalidStateError', 'UnknownError', 'AbortError']);

/**
 * @typedef {object} Store
 * @property {<T>(mode: IDBTransactionMode, job: (entries: IDBObjectStore, meta: IDBObjectStore) => Promise<T>) => Promise<T>} run
 *   runs a job in one transaction over both stores and resolves once it is durable
 * @property {() => void} ready opens the database without waiting; a failure is told by the first run
 * @property {() => void} close
 */

/**
 * @param {IDBFactory} factory
 * @param {(t: Trouble) => void} tell
 * @returns {Store}
 */
export function openStore(factory, tell) {
  /** @type {Promise<IDBDatabase>|null} */
  let db = null;
  const connect = () => {
    db ??= open(factory, tell).catch(e => {
      db = null;
      throw e;
    });
    return db;
  };
  /** @type {Store['run']} */
  const once = async (mode, job) => {
    const tx = (await connect()).transaction(['entries', 'meta'], mode, { durability: 'strict' });
    const ended = new Promise((resolve, reject) => {
      tx.oncomplete = () => resolve(undefined);
      tx.onabort = () => reject(tx.error ?? new DOMException('the write was cut off', 'AbortError'));
    });
    ended.catch(() => {});
    const result = await job(tx.objectStore('entries'), tx.objectStore('meta')).catch(e => {
      try {
        tx.abort();
      } catch {
        /* it has ended by itself */
      }
      throw tx.error ?? e;
    });
    try {
      if (mode === 'readwrite') tx.commit();
    } catch {
      /* it has ended by itself */
    }
    await ended;
    return result;
  };
  return {
    run: async (mode, job) => {
      try {
        return await once(mode, job);
      } catch (e) {
        if (!(e instanceof Error || e instanceof DOMException) || !LOST.has(e.name)) throw e;
        db?.then(
          d => d.close(),
          () => {},
        );
        db = null;
        return once(mode, job);
      }
    },
    ready: () => {
      connect().catch(() => {});
    },
    close: () => {
      db?.then(
        d => d.close(),
        () => {},
      );
      db = null;
    },
  };
}
