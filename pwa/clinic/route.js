// The address of a page inside the console: #view/argument?filter. Names and
// search text never stand in it. Pure.

/**
 * @typedef {object} Route
 * @property {string} view
 * @property {string} arg an id, or empty
 * @property {Record<string, string>} params filters
 */

const VIEWS = [
  'today',
  'archive',
  'duties',
  'wearers',
  'wearer',
  'suitability',
  'plan',
  'visits',
  'course',
  'practice',
  'rules',
  'safety',
  'privacy',
  'paper',
  'readers',
  'family',
  'recalls',
  'account',
  'setup',
  'check',
  'staff',
  'audit',
  'settings',
];

/**
 * @param {string} hash with or without the leading #
 * @returns {Route} today for anything unknown
 */
export function parse(hash) {
  const [path, query] = hash.replace(/^#/, '').split('?');
  const [view, arg] = path.split('/');
  /** @type {Record<string, string>} */
  const params = {};
  for (const [k, v] of new URLSearchParams(query ?? '')) params[k] = v;
  if (!VIEWS.includes(view)) return { view: 'today', arg: '', params: {} };
  return { view, arg: decodeURIComponent(arg ?? ''), params };
}

/**
 * The code of a sign-in link: /staff#CODE. A page that was opened from there and
 * loaded again has its own name at that place.
 * @param {{pathname: string, hash: string}} at
 * @returns {string} empty without one
 */
export function codeIn({ pathname, hash }) {
  const said = decodeURIComponent(hash.slice(1));
  return pathname === '/staff' && !VIEWS.includes(said.split(/[/?]/)[0]) ? said : '';
}

/**
 * @param {string} view
 * @param {string} [arg]
 * @param {Record<string, string|number|undefined>} [params] empty ones are left out
 * @returns {string} with the leading #
 */
export function link(view, arg, params) {
  const q = new URLSearchParams();
  for (const [k, v] of Object.entries(params ?? {})) if (v !== undefined && v !== '') q.set(k, String(v));
  const text = q.toString();
  return `#${view}${arg ? `/${encodeURIComponent(arg)}` : ''}${text ? `?${text}` : ''}`;
}

/**
 * The page a wearer's name leads to: the desk has no review, it has visits.
 * @param {{person: {role: string}}} me
 */
export const wearerPage = me => (me.person.role === 'desk' ? 'visits' : 'wearer');
