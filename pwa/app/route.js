// Screens by address: "#/evening", "#/advice/ID". Addresses hold ids and dates
// only, never a name or an answer.

/** @typedef {{view: string, arg: string}} Route */

/**
 * @param {string} hash
 * @returns {Route}
 */
export function parse(hash) {
  const [view = '', arg = ''] = hash.replace(/^#\/?/, '').split('/');
  return { view, arg: decodeURIComponent(arg) };
}

/**
 * @param {string} view "" for home
 * @param {string} [arg]
 * @returns {string}
 */
export function link(view, arg) {
  return `#/${view}${arg ? `/${encodeURIComponent(arg)}` : ''}`;
}

/** @param {string} view @param {string} [arg] */
export function go(view, arg) {
  location.hash = link(view, arg);
}

/**
 * The invitation code in an address such as /join#ABCD-EFGH-JKLM, or "".
 * @param {{pathname: string, hash: string}} where
 * @returns {string}
 */
export function codeIn(where) {
  const text = where.hash.slice(1);
  return where.pathname === '/join' && text && !text.startsWith('/')
    ? decodeURIComponent(text.replace(/^code=/, ''))
    : '';
}
