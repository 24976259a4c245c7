// An eye check that was begun and left, told to the log, so that the clinic hears
// of it when nobody finishes it: what was not finished is not nothing. Fetched
// when it is needed.
import { nightOf } from '../../../schedule/civil/civil.js';
import { readDraft } from '../model/check.js';

/**
 * Writes each check of this phone that was begun and left, once.
 * @param {Pick<import('../app.js').App, 'state'|'write'>} app
 * @param {Storage} [kept]
 */
export async function tellLeft(app, kept = localStorage) {
  for (const { id } of app.state.family?.wearers ?? []) {
    const d = readDraft(kept.getItem(`check-${id}`));
    if (!d || kept.getItem(`left-${id}`) === `${d.since}`) continue;
    kept.setItem(`left-${id}`, `${d.since}`);
    const eyes = d.answers.eyes.length > 1 ? 'both' : d.answers.eyes[0];
    const night = nightOf(d.since, app.state.zone);
    try {
      await app.write([{ wearer: id, night, kind: 'check-open', body: { eyes } }], '');
    } catch {
      kept.removeItem(`left-${id}`); // told at the next start
    }
  }
}
