// The closings of a wearer's alerts as rows of a table. Pure.
import { day, moment, title } from './format.js';
import { point, tr } from './text.js';

/** @import { Alert } from './api.js' */
/** @import { AlertFact, Outcome } from './types.js' */

/** What a closing decided about wear, in words. */
export const LENSES = /** @type {Record<string, string>} */ ({
  resume: tr('again, from a date'),
  stays: tr('none until a visit or a review'),
  'sent-on': tr('none, sent on'),
  none: tr('no decision needed'),
});

/**
 * @param {AlertFact[]} alerts
 * @param {Outcome[]} outcomes
 * @returns {string[][]} newest first: date, what was reported, how soon it was taken, outcome, lenses, note and who wrote it
 */
export function closingRows(alerts, outcomes) {
  return alerts
    .flatMap(a => (a.closings ?? []).map(k => ({ a, k })))
    .sort((x, y) => (x.k.at < y.k.at ? 1 : -1))
    .map(({ a, k }) => [
      day(k.at.slice(0, 10)),
      (a.found ?? [a.title]).join(point('; ')),
      minutesWords(k.minutes),
      outcomes.find(o => o.key === k.outcome)?.title ?? title(k.outcome),
      (LENSES[k.decision ?? ''] ?? '–') + (k.where ? `${point(': ')}${k.where}` : ''),
      [k.note, k.by].filter(Boolean).join(' – '),
    ]);
}

/**
 * How a live alert was closed last, and that what came since may have ended that; ""
 * where it never was.
 * @param {Pick<Alert, 'state'|'closings'>} alert
 * @param {Outcome[]} outcomes
 * @param {string} zone of the practice
 */
export function closedBefore({ state, closings }, outcomes, zone) {
  const last = closings?.at(-1);
  if (state === 'closed' || !last) return '';
  return tr(
    'Closed before by {name}, {date}: {outcome}. Lenses: {decided}. Open again since: where something newer holds a lens back, that decision no longer holds.',
    {
      name: last.name,
      date: moment(last.at, zone),
      outcome: outcomes.find(o => o.key === last.outcome)?.title ?? title(last.outcome),
      decided: LENSES[last.decision ?? ''] ?? '–',
    },
  );
}

/** @param {number|null} m */
function minutesWords(m) {
  if (m === null) return '–';
  return m < 120 ? tr('{m} min', { m: Math.round(m) }) : tr('{hours} h', { hours: Math.round(m / 60) });
}

/**
 * What came of an alert: how soon it was taken, and every closing, the oldest
 * first, also of one that was opened again.
 * @param {AlertFact} a
 * @param {Outcome[]} outcomes
 */
export function alertCourse(a, outcomes) {
  const named = (/** @type {string} */ key) =>
    outcomes.find(o => o.key === key)?.title.toLowerCase() ?? key.replace(/-/g, ' ');
  if (a.state === 'closed' && (a.closings ?? []).length < 2)
    return tr('{a}; closed: {outcome}', { a: seenIn(a), outcome: named(a.outcome) });
  if (!a.closings?.length) return seenIn(a);
  const said = a.closings.map(k =>
    tr('{more}closed {date}: {outcome}', {
      more: k.minutes === null ? '' : tr('taken after {minutes}, ', { minutes: minutesWords(k.minutes) }),
      date: day(k.at.slice(0, 10)),
      outcome: named(k.outcome),
    }),
  );
  return said.join(tr('; opened again; '));
}

/** Time from opening to "I have this". @param {AlertFact} a */
function seenIn(a) {
  const ms = Date.parse(a.ack_at ?? '') - Date.parse(a.opened);
  return ms >= 0 ? tr('taken after {ms}', { ms: minutesWords(ms / 60000) }) : tr('nobody took it');
}
