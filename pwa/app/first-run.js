// Whether this browser has joined and not yet seen the first run, which a page
// that is loaded anew in between must not lose.

const KEY = 'first-run';

export const firstRun = {
  /** @param {Pick<Storage, 'setItem'>} storage */
  begin: storage => storage.setItem(KEY, 'due'),
  /** @param {Pick<Storage, 'getItem'>} storage */
  due: storage => storage.getItem(KEY) === 'due',
  /** Once its first screen stands: the address leads back to it from then on. @param {Pick<Storage, 'removeItem'>} storage */
  seen: storage => storage.removeItem(KEY),
};
