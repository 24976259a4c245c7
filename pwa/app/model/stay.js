// When lenses came out, and how long they were in: the twin of Removed and Worn
// in server/internal/care/signs.go, on the vectors of testdata/care/signs.json.
import { addDays, instantAt, instantInNight, NIGHT_STARTS } from '../../../schedule/civil/civil.js';

/** @typedef {{at: string, zone?: string, on?: string}} Clocked on: of a removal after its night had ended */

/** Minutes; above, two clocks are taken not to belong together (common practice). */
export const LONGEST = 18 * 60;
const LONGEST_SAID = 72 * 60; // the same when the removal names its date; our own limit against a slip of the finger

/**
 * The instant of a removal. A night's clocks run from 12:00 to 11:59, so lenses
 * that stayed in past noon are out at a clock that the night also has in its
 * own afternoon: a removal written then says its date. Without one, a clock of
 * the afternoon before the insertion is that of the next day.
 * @param {string} night
 * @param {Clocked} out
 * @param {number|undefined} inserted Unix ms
 * @param {string} zone where the entry names none
 * @returns {number} Unix ms
 */
export function removed(night, out, inserted, zone) {
  if (out.on) return instantAt(out.on, out.at, out.zone ?? zone);
  const at = instantInNight(night, out.at, out.zone ?? zone);
  const next = out.at >= NIGHT_STARTS && inserted !== undefined && at < inserted;
  return next ? instantAt(addDays(night, 1), out.at, out.zone ?? zone) : at;
}

/**
 * Minutes in lenses; undefined when the two do not belong together.
 * @param {string} night
 * @param {Clocked} into
 * @param {Clocked} out
 * @param {string} zone where an entry names none
 * @returns {number|undefined}
 */
export function worn(night, into, out, zone) {
  const from = instantInNight(night, into.at, into.zone ?? zone);
  const minutes = (removed(night, out, from, zone) - from) / 60000;
  return minutes >= 0 && minutes <= (out.on ? LONGEST_SAID : LONGEST) ? minutes : undefined;
}
