// Mending what is logged: an edit, taking back, and settling what two people say
// differently. Nothing is changed in place: each is more entries. Pure.
import { instantInNight, wallAt } from '../../../schedule/civil/civil.js';
import { forms } from './entry.js';

/** @import { Draft, Entry } from './entry.js' */
/** @import { Night } from './fold.js' */

/** Kinds that are items of their own: two of them never speak of the same thing. */
const APART = ['supply', 'note'];

/** Kinds whose words stand for each eye. */
const PER_EYE = ['insertion', 'removal', 'not-worn'];

/**
 * What an edit supersedes. Of one's own it is a correction; what somebody else
 * said stands beside it until one of the two settles it.
 * @param {Entry} e
 * @param {string} me
 * @returns {string[]}
 */
export const corrects = (e, me) => (e.author === me || APART.includes(e.kind) ? [e.id] : []);

/** @param {Record<string, any>} body */
const inOrder = body => JSON.stringify(Object.entries(body).sort(([a], [b]) => (a < b ? -1 : 1)));

/**
 * Whether a form was saved as it was opened: then nothing is corrected. What a morning
 * says of an eye is written all the same, for it leads to the check.
 * @param {Entry} e
 * @param {Draft[]} drafts that would take its place
 * @param {string} zone of this phone
 */
export const unchanged = (e, drafts, zone) =>
  drafts.length === 1 &&
  e.kind !== 'morning' &&
  e.zone === zone &&
  !!drafts[0].supersedes?.includes(e.id) &&
  drafts[0].night === e.night &&
  drafts[0].kind === e.kind &&
  inOrder(drafts[0].body) === inOrder(e.body);

/**
 * Whether a night has a word of its own that an entry moved there would replace.
 * @param {Night|undefined} night where it would go
 * @param {Pick<Entry, 'id'|'kind'>} e the entry that is moved
 */
export const taken = (night, e) =>
  !APART.includes(e.kind) && !!night?.entries.some(x => x.kind === e.kind && x.id !== e.id);

/**
 * Drafts of an entry that belongs to another night or another child: there it is
 * written, as it was mended, and here it is taken back with every earlier form.
 * @param {Entry} e
 * @param {{wearer: string, night: string}} to
 * @param {{kind: string, body: Record<string, any>}} mended
 * @param {(id: string) => Entry|undefined} find
 * @returns {Draft[]}
 */
export function moves(e, to, { kind, body }, find) {
  if (to.wearer === e.wearer) return [{ ...to, kind, body, supersedes: [e.id] }];
  const gone = { wearer: e.wearer, night: e.night, kind: 'retraction', body: {} };
  return [{ ...to, kind, body }, ...forms(e, find).map(id => ({ ...gone, retracts: id }))];
}

/**
 * A clock of an entry on the clock of this phone.
 * @param {Entry} e
 * @param {string} at
 * @param {string} zone of this phone
 * @returns {string}
 */
export const clockHere = (e, at, zone) =>
  e.zone === zone ? at : wallAt(instantInNight(e.night, at, e.zone), zone).clock;

/**
 * The body of an entry as somebody here would write it.
 * @param {Entry} e
 * @param {string} zone of this phone
 * @returns {Record<string, any>}
 */
export function bodyHere(e, zone) {
  const body = { ...e.body };
  for (const f of ['at', 'closed_at']) if (body[f] && !body.on) body[f] = clockHere(e, body[f], zone);
  return body;
}

/**
 * Drafts that settle an item: what the chosen entry says of it counts, everything
 * else that the entries concerned say stays.
 * @param {Night} night
 * @param {string} key of the item, or kind/both
 * @param {string} chosen id of the entry that is right
 * @param {string} zone of this phone
 * @returns {Draft[]}
 */
export function settle(night, key, chosen, zone) {
  const [kind, part] = key.split('/');
  const entries = night.entries.filter(e => e.kind === kind && says(e, key)); // newest first
  const right = entries.find(e => e.id === chosen);
  if (!right) return [];
  const about = { wearer: night.wearer, night: night.night, kind, supersedes: entries.map(e => e.id) };
  if (!PER_EYE.includes(kind)) {
    const merged = Object.assign({}, ...[...entries].reverse().map(e => bodyHere(e, zone)));
    const body = bodyHere(right, zone);
    return [{ ...about, body: kind === 'evening-sight' ? body : { ...merged, [part]: body[part] } }];
  }
  const other = part === 'left' ? 'right' : 'left';
  const rest =
    entries.find(e => e.id === chosen && says(e, `${kind}/${other}`)) ?? entries.find(e => says(e, `${kind}/${other}`));
  const one = { ...bodyHere(right, zone), eyes: part };
  if (!rest) return [{ ...about, body: one }];
  if (rest === right) return [{ ...about, body: { ...one, eyes: 'both' } }];
  return [
    { ...about, body: one },
    { ...about, body: { ...bodyHere(rest, zone), eyes: other } },
  ];
}

/**
 * What two people say differently, each thing once: what the same entries say of either
 * eye is one question, and one answer settles both.
 * @param {Night} night
 * @returns {[string, import('./fold.js').Item][]} key of an item, or kind/both; its facts
 */
export function differing(night) {
  const open = [...night.items].filter(([, item]) => item.differ);
  const told = (/** @type {string} */ kind, /** @type {string} */ eye) =>
    inOrder({ ...open.find(([key]) => key === `${kind}/${eye}`)?.[1].facts });
  return open.flatMap(([key, item]) => {
    const [kind, eye] = key.split('/');
    const one = PER_EYE.includes(kind) && told(kind, 'left') === told(kind, 'right');
    if (one && eye === 'left') return [];
    return [[one ? `${kind}/both` : key, item]];
  });
}

/** @param {Entry} e @param {string} key of an item */
function says(e, key) {
  const [kind, part] = key.split('/');
  if (PER_EYE.includes(kind)) return e.body.eyes === 'both' || e.body.eyes === part;
  return kind === 'evening-sight' || part in e.body;
}
