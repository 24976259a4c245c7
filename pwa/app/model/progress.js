// The figures of the progress screen. Pure. A night nobody logged is unknown:
// never counted as worn, never as missed, and always said. What a night counts as
// is the clinic's definition (server/internal/review/held.go), on the vectors of
// testdata/care/night_counts.json.
import { addDays, NIGHT_STARTS } from '../../../schedule/civil/civil.js';
import { wearing } from '../../../schedule/due.js';
import { again } from './day.js';
import { glance, minutesIn } from './past.js';
import { fact } from './fold.js';

/** @import { Night } from './fold.js' */
/** @import { Plan } from '../../../schedule/due.js' */
/** @import { Eye } from './wear.js' */

/** Where each eye stood on a night, as history. @typedef {{right: 'none'|'rest'|'stop', left: 'none'|'rest'|'stop'}} States */
/** @typedef {'worn'|'missed'|'unknown'|'stop'|'rest'} Count of a night; stop and rest: without lenses, as the wear state asked */

/**
 * @typedef {object} Progress
 * @property {number} planned nights the plan asked for, and others that were logged
 * @property {number} worn
 * @property {number} unknown not logged
 * @property {number} stopped nights on which no lens was allowed, which count nowhere else
 * @property {number} rested nights without lenses at rest, which stand apart
 * @property {number|null} hours mean hours in lenses over the nights with both times; null for none
 * @property {{night: string, rating: number, hours: number|null}[]} evenings as many as nights, the last one of the evening after the last night; hours since the lenses came out
 * @property {number|null} clear hours: the middle of those at which evening sight was still rated 4 or 5, so sight stayed clear at least so long; null for none
 */

/** The least rating that counts as clear: 4 is "nearly clear". Our own choice. */
export const CLEAR = 4;

/** @param {Night|undefined} n @param {Eye[]} eyes @returns {'worn'|'missed'|'unknown'} of some eyes, the worse */
function ofEyes(n, eyes) {
  const has = (/** @type {string} */ kind) => eyes.some(eye => n?.items.has(`${kind}/${eye}`));
  if (has('not-worn')) return 'missed';
  return has('insertion') || has('removal') ? 'worn' : 'unknown';
}

/**
 * Whether a night is not over: it is tonight, and nobody has said that it goes
 * without lenses, or that those which went in came out.
 * @param {Night|undefined} n @param {string} night @param {string} tonight
 */
export function open(n, night, tonight) {
  const has = (/** @type {string} */ kind, /** @type {Eye} */ eye) => !!n?.items.has(`${kind}/${eye}`);
  /** @type {Eye[]} */
  const both = ['right', 'left'];
  if (night !== tonight || both.every(eye => has('not-worn', eye))) return false;
  // Out in the evening ends no night: it has hardly begun.
  const out = both.filter(eye => has('removal', eye) && fact(n, `removal/${eye}`).at < NIGHT_STARTS);
  return !out.length || again(n) || both.some(eye => has('insertion', eye) && !out.includes(eye));
}

/**
 * What a night counts as. One in lenses counts as it is. One without is no missed
 * night while every planned eye was stopped; of two eyes with one stopped the
 * other alone decides; one that only an eye at rest makes a missed one is a rest.
 * @param {Night|undefined} n
 * @param {Plan|null} plan
 * @param {States} [wear]
 * @returns {Count}
 */
export function counted(n, plan, wear) {
  /** @type {Eye[]} */
  const planned = plan?.eyes === 'right' || plan?.eyes === 'left' ? [plan.eyes] : ['right', 'left'];
  const all = ofEyes(n, planned);
  if (!wear || all === 'worn') return all;
  const free = planned.filter(eye => wear[eye] !== 'stop');
  if (!free.length) return 'stop';
  const other = ofEyes(n, free);
  const awake = free.filter(eye => wear[eye] !== 'rest');
  if (other === 'worn' || awake.length === free.length) return other;
  return !awake.length || ofEyes(n, awake) === 'worn' ? 'rest' : other;
}

/**
 * @param {(night: string) => Night|undefined} nightOf
 * @param {Plan|null} plan
 * @param {string} last the last night counted
 * @param {number} days
 * @param {string} zone
 * @param {(night: string) => States|undefined} [wear] where each eye stood on a night
 * @returns {Progress}
 */
export function progress(nightOf, plan, last, days, zone, wear = () => undefined) {
  /** @type {Progress} */
  const p = { planned: 0, worn: 0, unknown: 0, stopped: 0, rested: 0, hours: null, evenings: [], clear: null };
  const minutes = [];
  for (let back = days - 1; back >= 0; back--) {
    const night = addDays(last, -back);
    const n = nightOf(night);
    const seen = counted(n, plan, wear(night));
    const asked = glance(n, plan, night) !== 'planned';
    if (asked && seen === 'stop') p.stopped++;
    else if (asked && seen === 'rest') p.rested++;
    else if (asked && (seen !== 'unknown' || (plan && wearing(plan, night)))) {
      p.planned++;
      if (seen === 'worn') p.worn++;
      if (seen === 'unknown') p.unknown++;
    }
    const m = minutesIn(n, zone);
    if (m !== null) minutes.push(m);
  }
  // The evening after the last night belongs to the night that comes.
  for (let back = days - 2; back >= -1; back--) {
    const night = addDays(last, -back);
    const said = fact(nightOf(night), 'evening-sight');
    if (said?.rating) p.evenings.push({ night, rating: said.rating, hours: said.hours_since_removal ?? null });
  }
  if (minutes.length) p.hours = minutes.reduce((a, b) => a + b, 0) / minutes.length / 60;
  p.clear = middle(p.evenings.flatMap(e => (e.rating >= CLEAR && e.hours !== null ? [e.hours] : [])));
  return p;
}

/** @param {number[]} list @returns {number|null} the median, of two middle ones the lower; null for none */
function middle(list) {
  return list.sort((a, b) => a - b)[Math.ceil(list.length / 2) - 1] ?? null;
}
