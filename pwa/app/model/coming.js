// What comes up by date: visits, supplies and what the plan asks for now and
// then. Pure.
import { addDays } from '../../../schedule/civil/civil.js';
import { supplies } from '../../../schedule/due.js';
import schedule from '../../../schedule/rules.json' with { type: 'json' };
import { scheduleLog } from './schedule-log.js';

/** @import { Night } from './fold.js' */
/** @import { Plan, Recall, Rule } from '../../../schedule/due.js' */

/** @typedef {{key: string, rule: string, label: string, eye?: string, due: string, within: number}} Coming eye: of a lens; within: hours of waking, of a first morning; else 0 */

const AHEAD = 7; // days ahead at which a visit is shown on the first screen: the earliest reminder of it
const TOLD = ['case', 'bottle', 'drops', 'lens', 'deposit-removal']; // once overdue, the rules about the record say so

/**
 * By date. Of visits: the first to come, and of those that went by the last.
 * @param {Plan|null} plan
 * @param {Recall[]} recalls
 * @param {Night[]} nights of one wearer
 * @param {{today: string, now: number, zone: string, stopped?: boolean}} at stopped: lens, case and bottles are kept for the clinic as they are
 * @returns {Coming[]}
 */
export function coming(plan, recalls, nights, { today, now, zone, stopped }) {
  const log = scheduleLog(nights, []);
  const items =
    plan && !stopped ? supplies({ plan, zone, now, log, unsent: 0 }, /** @type {Rule[]} */ (schedule.rules)) : [];
  const visits = recalls
    .filter(r => r.state !== 'kept' && r.state !== 'waived' && !r.passed)
    .filter((r, i, all) =>
      r.due < today ? all[i + 1] === undefined || all[i + 1].due >= today : i === all.findIndex(x => x.due >= today),
    );
  return [
    ...visits.map(r => ({
      key: r.kind + r.due,
      rule: 'recall',
      label: '',
      due: r.date || r.due,
      within: r.within_hours,
    })),
    ...items.map(i => ({
      key: i.rule + i.subject,
      rule: i.rule,
      label: i.label,
      eye: i.rule === 'lens' ? log.supplies.find(x => x.id === i.subject)?.eye : '',
      due: i.due,
      within: 0,
    })),
  ]
    .filter(i => i.due)
    .sort((a, b) => (a.due < b.due ? -1 : 1));
}

/**
 * What of it belongs on the first screen: what a reminder may be about, unless
 * the screen says it already.
 * @param {Coming[]} list
 * @param {string} today
 */
export function soon(list, today) {
  return list.filter(i =>
    i.rule === 'recall' ? i.due <= addDays(today, AHEAD) : i.due === today || (i.due < today && !TOLD.includes(i.rule)),
  );
}
