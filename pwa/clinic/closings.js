// The closings of a wearer's alerts as rows of a table. Pure.
import { capital, day, eyes, moment, title } from './format.js';
import { point, tr } from './text.js';

/** @import { Alert } from './api.js' */
/** @import { AlertFact, Outcome } from './types.js' */
/** @typedef {import('../api/types.js').components['schemas']['EyeSaid']} EyeSaid */

/** What a closing decided about wear, in words, where it was said of no eye. */
const LENSES = /** @type {Record<string, string>} */ ({
  resume: tr('again, from a date'),
  stays: tr('none until a visit or a review'),
  'sent-on': tr('none, sent on'),
  none: tr('no decision needed'),
});

/** @param {EyeSaid} l what was said of one eye */
const lensSaid = l =>
  l.again
    ? tr('again from the night of {date}{more}', {
        date: day(l.from),
        more: l.check ? tr(', after an eye check that day') : '',
      })
    : [
        l.from ? tr('no lens from the night of {date}', { date: day(l.from) }) : tr('no lens'),
        l.review_by && tr('review by {date}', { date: day(l.review_by) }),
      ]
        .filter(Boolean)
        .join(point(', '));

/**
 * What a closing decided about the lenses, eye by eye, and where the wearer was sent.
 * @param {{decision?: string, where?: string, lenses?: EyeSaid[]}} k
 * @returns {string} "" where nothing was
 */
export function lensesWords({ decision = '', where = '', lenses = [] }) {
  const said = lenses.map(l => ({ eye: l.eye, words: lensSaid(l) }));
  const same = said.length > 1 && said.every(s => s.words === said[0].words);
  const parts = (same ? [{ ...said[0], eye: 'both' }] : said).map(
    s => `${same ? capital(eyes('both')) : capital(eyes(s.eye))}${point(': ')}${s.words}`,
  );
  const named = LENSES[decision] ?? '';
  const sent = decision === 'sent-on' && parts.length > 0 ? tr('sent on') : '';
  const lead = [parts.length ? parts.join(point('; ')) : named, sent].filter(Boolean).join(point('; '));
  return where ? `${lead}${point(': ')}${where}` : lead;
}

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
      lensesWords(k) || '–',
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
      decided: lensesWords(last) || '–',
    },
  );
}

/**
 * What of the same wearer was closed in the days before a live alert.
 * @param {Alert} alert
 * @param {Outcome[]} outcomes
 * @param {string} zone
 * @returns {string} empty for nothing
 */
export function closedLately({ closed_before: last }, outcomes, zone) {
  if (!last) return '';
  return tr('Another alert of this wearer was closed by {name}, {date}: {title}. {outcome}.', {
    name: last.by,
    date: moment(last.at, zone),
    title: `${last.title}${last.eye && ` · ${eyes(last.eye)}`}`,
    outcome: outcomes.find(o => o.key === last.outcome)?.title ?? title(last.outcome),
  });
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
