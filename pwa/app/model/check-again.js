// A report that is gone through again. Apart from check.js, which every start
// waits for. Pure.
import { differ, SCREENS } from './check.js';

/** @import { Answers, Draft, Eye } from './check.js' */

/**
 * A report as a check that can be gone through again: what was answered stands in
 * it, and the next report stands beside the first, which nothing takes away.
 * @param {Record<string, any>} body of the report
 * @param {number} now Unix ms
 * @returns {Draft|null} null for a report about no eye
 */
export function draftOf(body, now) {
  const eyes = /** @type {Eye[]} */ (['right', 'left'].filter(eye => body[eye]));
  const { began, began_about, water, ill, other, note } = body;
  const once = { began: began_about ?? began, water, ill, other: other === 'unknown' ? '' : other, note };
  /** @type {Answers} */
  const answers = {
    eyes,
    right: { ...body.right },
    left: { ...body.left },
    report: { now: 'none', ...Object.fromEntries(Object.entries(once).filter(([, v]) => v !== undefined)) },
  };
  const apart = SCREENS.flatMap(x => x.parts).filter(p => differ(answers, p));
  return eyes.length ? { answers, at: 1, apart, since: now } : null;
}
