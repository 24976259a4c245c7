// What an advice says of water that touched a lens or the case. Pure.
import { levelRank } from '../../../alerts/evaluate.js';
import { outcome, written } from './report.js';

/** @import { Entry } from './entry.js' */

/**
 * The last report that said "yes" to water, this one or one before it within the days
 * of the watch. A later "no" does not end that.
 * @param {Entry[]} reports live ones, of any wearer
 * @param {Entry} e
 * @param {number} days
 * @returns {Entry|undefined}
 */
export const wetOf = (reports, e, days) =>
  [...reports.filter(r => r.id !== e.id), e]
    .filter(r => r.wearer === e.wearer && r.body.water === 'yes')
    .filter(r => written(r) <= written(e) && written(e) - written(r) <= days * 86400000)
    .sort((a, b) => written(a) - written(b))
    .at(-1);

/** Steps by which lens, case and bottles stay as they are. */
const KEPT = ['keep-lenses', 'no-lens'];

/**
 * What stands beside the steps of an advice: how long to watch, that little is enough to
 * phone, and to clean again; under a stop, or with a sign to phone about, only to say that
 * there was water. Null where none was said. A check that says "no" later takes nothing
 * back: the clinic reads both.
 * @param {Entry[]} reports live ones, of any wearer
 * @param {Entry} e whose advice it is
 * @param {number} days of the watch
 * @param {string[]} steps that the page tells
 * @param {boolean} stopped whether an eye of the wearer is
 * @returns {{wet: Entry, steps: string[], tell: boolean}|null} wet: the report that said so; tell: only to say it
 */
export function waterWords(reports, e, days, steps, stopped) {
  const wet = wetOf(reports, e, days);
  if (!wet) return null;
  const { level, actions } = outcome(e);
  const kept = stopped || KEPT.some(a => steps.includes(a) || actions.includes(a));
  const tell = kept || (wet === e && levelRank(level) >= levelRank('urgent'));
  return { wet, tell, steps: tell ? [] : ['disinfect-again'] };
}
