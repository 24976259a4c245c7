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
 * @param {() => void} gone the database is being deleted, or the browser has closed it
 * @returns {Promise<IDBDatabase>}
 */
function open(factory, tell, gone) {
  return new Promise((resolve, reject) => {
    const request = factory.open(NAME, VERSION);
    request.onupgradeneeded = e => {
      if (e.oldVersion < 1) build(request.result);
    };
    request.onblocked = () => tell('blocked');
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const db = request.result;
      db.onversionchange = e => {
        db.close();
        if (e.newVersion === null) gone();
        else tell('newer');
      };
      db.onclose = gone;
      tell('');
      resolve(db);
    };
  });
}

/** Errors after which a new connection may work. */
const LOST = new Set(['InvalidStateError', 'UnknownError', 'AbortError']);

/**
 * @template T
 * @typedef {(entries: IDBObjectStore, meta: IDBObjectStore) => Promise<T>} Job works in one transaction, and waits for nothing else
 */

/**
 * @typedef {object} Store
 * @property {<T>(mode: IDBTransactionMode, job: Job<T>) => Promise<T>} run
 *   runs a job in one transaction over both stores and resolves once it is durable
 * @property {() => void} ready opens the database without waiting; a failure is told by the first run
 * @property {() => void} close
 * @property {() => void} leave the page goes: what is not yet committed is given up, and begun anew after back. In WebKit
 *   a page that goes within a transaction holds its lock, and no page after it could read or write
 * @property {() => void} back the page is there again
 */

/**
 * @param {IDBFactory} factory
 * @param {(t: Trouble) => void} tell
 * @param {Job<void>} [refill] puts back what is missing after a connection was lost, before anything else is done
 * @returns {Store}
 */
export function openStore(factory, tell, refill) {
  /** @type {Promise<IDBDatabase>|null} */
  let db = null;
  let lost = false;
  /** @type {Set<IDBTransaction>} not yet committed */
  const live = new Set();
  let back = () => {};
  let here = Promise.resolve();
  const drop = () => {
    db?.then(
      d => d.close(),
      () => {},
    );
    db = null;
  };
  const gone = () => {
    db = null;
    lost = true;
    reopen(100);
  };
  /**
   * What waits is in memory alone until a database holds it again. One that is opened while the browser
   * still clears is closed with the rest (AbortError), so this does not end at the first failure.
   * @param {number} wait ms until the next trial
   */
  const reopen = wait => {
    connect().catch(() => setTimeout(reopen, wait, Math.min(2 * wait, 10_000)));
  };
  const connect = () => {
    db ??= open(factory, tell, gone)
      .then(async d => {
        if (lost && refill) await on(d, 'readwrite', refill);
        lost = false;
        return d;
      })
      .catch(e => {
        db = null;
        throw e;
      });
    return db;
  };
  /** @param {IDBTransaction} tx */
  const abort = tx => {
    try {
      tx.abort();
    } catch {
      /* it has ended by itself */
    }
  };
  /**
   * @template T
   * @param {IDBDatabase} d
   * @param {IDBTransactionMode} mode
   * @param {Job<T>} job
   */
  const on = async (d, mode, job) => {
    await here;
    const tx = d.transaction(['entries', 'meta'], mode, { durability: 'strict' });
    live.add(tx);
    const ended = new Promise((resolve, reject) => {
      tx.oncomplete = () => resolve(undefined);
      tx.onabort = () => reject(tx.error ?? new DOMException('the write was cut off', 'AbortError'));
    });
    ended.catch(() => {});
    const result = await job(tx.objectStore('entries'), tx.objectStore('meta'))
      .catch(e => {
        abort(tx);
        throw tx.error ?? e;
      })
      .finally(() => live.delete(tx));
    try {
      if (mode === 'readwrite') tx.commit();
    } catch {
      /* it has ended by itself */
    }
    await ended;
    return result;
  };
  /** @type {Store['run']} */
  const once = async (mode, job) => on(await connect(), mode, job);
  return {
    run: async (mode, job) => {
      try {
        return await once(mode, job);
      } catch (e) {
        if (!(e instanceof Error || e instanceof DOMException) || !LOST.has(e.name)) throw e;
        drop();
        lost = true;
        return once(mode, job);
      }
    },
    ready: () => {
      connect().catch(() => {});
    },
    close: drop,
    leave: () => {
      here = new Promise(resolve => {
        back = resolve;
      });
      live.forEach(abort);
    },
    back: () => back(),
  };
}
