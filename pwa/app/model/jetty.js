// What a child's own log has grown to since the first night: full nights and
// clear evenings. It only grows: a night off, a stop or a report takes nothing
// away, and a night in lenses that might not be worn adds nothing. Pure.
import { addDays, daysBetween } from '../../../schedule/civil/civil.js';
import { glance, minutesIn } from './past.js';
import { fact } from './fold.js';
import { CLEAR } from './progress.js';

/** @import { Night } from './fold.js' */
/** @import { Plan } from '../../../schedule/due.js' */

/**
 * @param {(night: string) => Night|undefined} nightOf of one wearer
 * @param {Plan|null} plan
 * @param {string} last the last night that is over
 * @param {string} zone
 * @returns {{full: number, clear: number}} nights of at least the plan's hours in every planned lens; evenings rated nearly clear or better
 */
export function grown(nightOf, plan, last, zone) {
  let full = 0;
  let clear = 0;
  if (!plan?.first_night) return { full, clear };
  for (let back = daysBetween(plan.first_night, last); back >= 0; back--) {
    const n = nightOf(addDays(last, -back));
    if (!n) continue;
    const against = n.entries.some(e => e.kind === 'insertion' && e.body.despite?.length);
    const planned = plan.eyes === 'right' || plan.eyes === 'left' ? n.items.has(`insertion/${plan.eyes}`) : null;
    const in_ = planned ?? glance(n, plan, n.night) === 'worn';
    if (in_ && !against && (minutesIn(n, zone) ?? 0) >= plan.min_hours * 60) full++;
    if ((fact(n, 'evening-sight')?.rating ?? 0) >= CLEAR) clear++;
  }
  return { full, clear };
}
