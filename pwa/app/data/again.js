// When the browser has cleared what was kept here: by its rule for sites that
// are not visited, by "clear site data", or for want of room. The cookie of the
// device is the server's and survives all of these but the second.
//
// A page that is open has the whole log in its memory and puts it back; without
// one the server's is read anew. Either way as a new device: numbers of the old
// one may have been given away that nobody here knows of.
import { call } from './api.js';
import { database } from './early.js';
import { done } from './store.js';

/** @import { Family, State } from '../app.js' */
/** @import { Log, Me } from './log.js' */

/**
 * Puts back what is missing whenever the database was lost, from what the page
 * shows: all of it into an empty one; into one that another page has filled
 * again, only what the server does not have.
 * @param {State} s
 */
export function keepCopy(s) {
  database.refill = async (entries, meta) => {
    const { me, family } = s;
    const there = /** @type {Me|undefined} */ (await done(meta.get('me')));
    if (!me || !family || (there && there.person !== me.person)) return;
    const ids = await done(entries.getAllKeys());
    const mine = [...s.records.values()];
    for (const r of mine)
      if (!ids.includes(r.id) && (!there || (r.state !== 'stored' && r.state !== 'sent'))) entries.put(r);
    if (there) return;
    const dseq = mine.reduce((n, r) => (r.entry.device === me.device ? Math.max(n, r.entry.dseq) : n), 0);
    const hlc = mine.reduce((a, r) => (r.entry.hlc > a ? r.entry.hlc : a), '');
    const { wearer, alerts, heard, skew, cleared } = s;
    const kept = { me, family, wearer, alerts, heard, skew, cleared, dseq, hlc, lang: s.words.lang, again: true };
    for (const [key, value] of Object.entries(kept)) meta.put(value, key);
  };
}

/**
 * Makes this browser a new device of the same person. Where the server does not
 * make one, it stays the old one.
 * @param {Log} log
 * @param {Family} family
 * @returns {Promise<Family>} as the new device sees it
 */
export async function comeBack(log, family) {
  // Before the device is made: a page that is loaded anew in between says it all the same.
  if (!(await log.get('me', null))) await log.set('cleared', Date.now());
  try {
    await call('POST', '/api/devices/again', {});
  } catch (e) {
    if (e instanceof Error && 'code' in e && e.code === 'offline') throw e;
    return family;
  }
  const anew = await call('GET', '/api/family');
  await log.become({ device: anew.device, person: anew.person.id, family: anew.family.id });
  await log.set('again', false);
  return anew;
}
