// The end of wear that the clinic wrote into the plan, ahead or past.

/** @import { Plan } from '../../../schedule/due.js' */

/**
 * When wear ends, or that it has; null while the plan names no end. On the day of the
 * first night without lenses it has: no lens goes in any more.
 * @param {Plan|null|undefined} plan
 * @param {string} today calendar date
 * @returns {{night: string, over: boolean}|null} night: the first one without lenses
 */
export function endOf(plan, today) {
  return plan?.stopped ? { night: plan.stopped, over: today >= plan.stopped } : null;
}
