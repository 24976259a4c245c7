// What comes up by date: visits, supplies and what the plan asks for now and
// then. Pure.
import { addDays, instantAt, wallAt, weekday } from '../../../schedule/civil/civil.js';
import { supplies } from '../../../schedule/due.js';
import schedule from '../../../schedule/rules.json' with { type: 'json' };
import { lostLenses } from './lost.js';
import { scheduleLog } from './schedule-log.js';

/** @import { Contacts } from './contacts.js' */
/** @import { Night } from './fold.js' */
/** @import { Plan, Recall, Rule } from '../../../schedule/due.js' */

/** @typedef {Recall & {time?: string}} Visit time: "HH:MM" of one that is booked */

/**
 * @typedef {object} Coming
 * @property {string} key
 * @property {string} rule
 * @property {string} label
 * @property {string} due
 * @property {number} within hours of waking, of a first morning; else 0
 * @property {string} [eye] of a lens; "" for both
 * @property {string} [time] of a visit that is booked
 * @property {boolean} [booked] of a visit; one that is not has a date only where the clinic is open on it
 * @property {boolean} [dated] of a visit that is not booked: whether the clinic is open on the date that the plan asks for
 */

const GONE_MS = 3600000; // after which a visit of today comes up no more; the next day says whether it was kept (our choice)
const NEAR = 14; // days within which a booked visit stands for those that are due before it (our choice)
const AHEAD = 7; // days ahead at which a visit is shown on the first screen: the earliest reminder of it
const TOLD = ['case', 'bottle', 'drops', 'lens', 'deposit-removal']; // once overdue, the rules about the record say so

/**
 * Whether the clinic is open on a date at all, as far as it has said when.
 * @param {Contacts|undefined} c
 * @param {string} date
 */
export const opensOn = (c, date) =>
  !c?.hours?.length || (!(c.closed ?? []).includes(date) && c.hours.some(h => h.weekday === weekday(date)));

/**
 * Supplies with a lens of either eye on one line when both are due at once.
 * @param {import('../../../schedule/due.js').Item[]} items
 * @returns {Coming[]}
 */
function things(items) {
  const lens = items.filter(i => i.rule === 'lens');
  const pair = lens.length === 2 && lens[0].due === lens[1].due;
  return items
    .filter(i => !pair || i !== lens[1])
    .map(i => ({
      key: i.rule + i.subject,
      rule: i.rule,
      label: i.label,
      eye: i.rule === 'lens' && !pair ? i.subject : '',
      due: i.due,
      within: 0,
    }));
}

/**
 * By date. Of visits: the first to come, and of those that went by the last; after that one, the next only if it is booked.
 * @param {Plan|null} plan
 * @param {Visit[]} recalls
 * @param {Night[]} nights of one wearer
 * @param {{today: string, now: number, zone: string, stopped?: boolean, opens?: (date: string) => boolean, said?: {on: string, at?: string}[]}} at said: visits that the clinic told of; stopped: lens, case and bottles are kept for the clinic as they are; opens: whether the clinic is open on a date
 * @returns {Coming[]}
 */
export function coming(plan, recalls, nights, { today, now, zone, stopped, opens = () => true, said = [] }) {
  const log = scheduleLog(nights, []);
  const lost = lostLenses(nights); // which have no date on which they are replaced
  const all =
    plan && !stopped ? supplies({ plan, zone, now, log, unsent: 0 }, /** @type {Rule[]} */ (schedule.rules)) : [];
  const items = all.filter(i => i.rule !== 'lens' || !lost.some(x => x.eye === i.subject));
  const dateOf = (/** @type {Visit} */ r) => r.date || r.due;
  // What the clinic has told of may be here before its list of visits.
  const told = said
    .filter(v => v.on >= today && !recalls.some(r => r.state === 'booked' && dateOf(r) === v.on))
    .map(
      v =>
        /** @type {Visit} */ (
          /** @type {unknown} */ ({ kind: 'told', due: v.on, state: 'booked', within_hours: 0, time: v.at })
        ),
    );
  const listed = [...recalls, ...told].sort((a, b) => (dateOf(a) < dateOf(b) ? -1 : 1));
  const next = listed.find(r => r.state === 'booked' && dateOf(r) >= today && dateOf(r) <= addDays(today, NEAR));
  const visits = listed
    // One that is booked soon is the one to come to: nobody is asked to phone for another before it.
    .filter(r => !next || r.state === 'booked' || r.within_hours > 0 || r.due > dateOf(next))
    .filter(r => r.state !== 'kept' && r.state !== 'waived' && !r.passed)
    .filter((r, i, all) =>
      r.due < today ? all[i + 1] === undefined || all[i + 1].due >= today : i === all.findIndex(x => x.due >= today),
    )
    // While one is overdue, the next that nobody booked is no second thing to phone about.
    .filter((r, i, all) => i === 0 || all[0].due >= today || r.state === 'booked');
  const gone = (/** @type {Visit} */ r) =>
    r.state === 'booked' &&
    r.time &&
    dateOf(r) === wallAt(now, zone).date &&
    instantAt(dateOf(r), r.time, zone) + GONE_MS < now;
  return [
    ...visits
      .filter(r => !gone(r))
      .map(r => ({
        key: r.kind + r.due,
        rule: 'recall',
        label: '',
        due: dateOf(r),
        within: r.within_hours,
        time: r.time,
        booked: r.state === 'booked',
        dated: r.state === 'booked' || opens(r.due),
      })),
    ...things(items),
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
