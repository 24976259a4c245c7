// Whether something that was logged takes part in what a rule about the record
// says: the twin of contribute.go. Pure.
import { compare, limitOf, own } from './evaluate.js';

/** @import { Cond, Input, Signs, Table } from './evaluate.js' */

/**
 * By itself it meets one comparison of the rule, in a night that the rule's
 * window still holds, or it brings a fact that the rule looks at.
 * @param {Table} t
 * @param {string} rule
 * @param {Signs} night signs of that one entry
 * @param {number} ago nights before tonight; negative: to come
 * @param {Signs} facts those it brings by itself
 * @param {Record<string, number>|null|undefined} settings
 * @returns {boolean}
 */
export function contributes(t, rule, night, ago, facts, settings) {
  const r = t.rules.find(x => x.id === rule);
  return !!r && r.about === 'record' && ago >= 0 && takesPart(t, r.when, night, ago, facts, { today: '', settings });
}

/**
 * @param {Table} t
 * @param {Cond} c
 * @param {Signs} night
 * @param {number} ago
 * @param {Signs} facts
 * @param {Input} input
 * @returns {boolean}
 */
function takesPart(t, c, night, ago, facts, input) {
  if (c.nights) return ago < limitOf(t, c.nights.of, input) && takesPart(t, c.nights.where, night, ago, facts, input);
  if (c.not) return takesPart(t, c.not, night, ago, facts, input);
  const terms = c.all ?? c.any;
  if (terms) return terms.some(x => takesPart(t, x, night, ago, facts, input));
  const def = t.record.get(c.sign ?? '');
  if (!def) return false;
  if (def.scope !== 'fact') return compare(t, def, c, input, own(night, def.name)) === 1;
  const v = own(facts, def.name);
  // A count is brought by each of its parts; a limit from above is met or not.
  if (typeof v === 'number' && v > 0 && (c.op === '>=' || c.op === '>')) return true;
  return v !== undefined && compare(t, def, c, input, v) === 1;
}
