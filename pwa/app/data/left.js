// An eye check that was begun and left, told to the log, so that the clinic hears
// of it when nobody finishes it: what was not finished is not nothing. Fetched
// when it is needed.
import { nightOf } from '../../../schedule/civil/civil.js';
import { levelRank, triage } from '../../../alerts/evaluate.js';
import { reportsOf } from '../app.js';
import { bodyOf, readDraft } from '../model/check.js';
import { RULES } from '../model/report.js';

/** @param {any} body of a report @returns {string} the answers alone, in one order */
const signsOf = body =>
  JSON.stringify([
    ...[body.right, body.left].map(eye => Object.entries(eye ?? {}).sort()),
    ...[body.now, body.ill, body.water].map(said => said ?? ''),
  ]);

/** What is heard without being finished. */
const HEARD = levelRank('routine');

/**
 * Writes each check of this phone that was begun and left, once, and again when
 * what was answered has become worse. What a rule heeds goes as a report, at its
 * own level; else it is noted that a check is open, which is offered again first.
 * @param {Pick<import('../app.js').App, 'state'|'write'>} app
 * @param {{kept?: Storage, least?: number}} [how] least: the rank of a level below which nothing is written yet
 */
export async function tellLeft(app, { kept = localStorage, least = 0 } = {}) {
  for (const { id } of app.state.family?.wearers ?? []) {
    const d = readDraft(kept.getItem(`check-${id}`));
    if (!d) continue;
    const body = bodyOf(d.answers, Date.now());
    const rank = levelRank(triage(RULES, body).level);
    const [since, told] = (kept.getItem(`left-${id}`) ?? '').split('/');
    if (rank < least || (since === `${d.since}` && rank <= Math.max(HEARD - 1, Number(told ?? 0)))) continue;
    // A report that was opened to be answered again, and left as it was, is known already.
    if (reportsOf(app.state).some(e => e.wearer === id && signsOf(e.body) === signsOf(body))) continue;
    const before = kept.getItem(`left-${id}`);
    kept.setItem(`left-${id}`, `${d.since}/${rank}`);
    const eyes = d.answers.eyes.length > 1 ? 'both' : d.answers.eyes[0];
    const night = nightOf(d.since, app.state.zone);
    const draft =
      rank < HEARD
        ? { wearer: id, night, kind: 'check-open', body: { eyes, left: true } }
        : { wearer: id, kind: 'symptoms', body: { ...body, unfinished: true } };
    try {
      await app.write([draft], '');
    } catch {
      if (before === null)
        kept.removeItem(`left-${id}`); // told at the next start
      else kept.setItem(`left-${id}`, before);
    }
  }
}
