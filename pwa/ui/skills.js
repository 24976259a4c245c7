// The list of what was taught: what the practice has seen the family do, and what
// the family can do by itself, each with its date. Read by both apps. Pure.

/** The steps of a night: `Skills` of server/internal/care/body.go. */
export const SKILLS = /** @type {const} */ ([
  'hands',
  'which',
  'in',
  'comfort',
  'out',
  'drops',
  'care',
  'dry',
  'wrong',
]);

/** @typedef {{kind: string, hlc?: string, night: string, author?: string, by_name?: string, body: Record<string, any>}} Ticked as much of an entry as is read here */

/**
 * The entry since which a step has been ticked without a gap.
 * @template {Ticked} T
 * @param {T[]} entries of the step, oldest first
 * @param {(e: T) => boolean} on whether an entry has it ticked
 * @returns {T|undefined} undefined for not ticked
 */
const since = (entries, on) =>
  entries.reduce((/** @type {T|undefined} */ a, e) => (on(e) ? (a ?? e) : undefined), undefined);

/**
 * @template {Ticked} T
 * @param {T[]} entries of one wearer, in any order
 * @returns {{skill: typeof SKILLS[number], taught: T|undefined, learnt: T|undefined}[]} of each step the entry that ticked it
 */
export function ticked(entries) {
  const of = (/** @type {string} */ kind) =>
    entries.filter(e => e.kind === kind).sort((a, b) => ((a.hlc ?? '') < (b.hlc ?? '') ? -1 : 1));
  const [taught, learnt] = [of('taught'), of('learnt')];
  return SKILLS.map(skill => ({
    skill,
    taught: since(taught, e => e.body.skills.includes(skill)),
    learnt: since(
      learnt.filter(e => e.body.skill === skill),
      e => e.body.done,
    ),
  }));
}
