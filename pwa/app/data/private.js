// What a teen writes to the clinicians alone: kept in this phone's own store until
// the server has it, and then gone. It is no entry: it stands in no log, in no
// file of what waits here, and reaches no other phone.
import { uuid7 } from '../model/entry.js';
import { send } from './api.js';

/** @import { App } from '../app.js' */

/** @typedef {{id: string, person: string, text: string, refused?: string}} PrivateWords refused: why, in the server's words */

/** What of the person on this phone waits. @param {App} app @returns {Promise<PrivateWords[]>} */
export async function waiting(app) {
  const all = /** @type {PrivateWords[]} */ (await app.log.get('private', []));
  return all.filter(p => p.person === app.state.me?.person);
}

/** Keeps what waits, and tells the screen, which counts it. @param {App} app @param {PrivateWords[]} alone */
async function keep(app, alone) {
  await app.log.set('private', alone);
  app.state.alone = alone;
  app.tick();
}

/** @param {App} app @param {string} text @returns {Promise<PrivateWords[]>} what still waits */
export async function write(app, text) {
  const id = uuid7(Date.now(), crypto.getRandomValues(new Uint8Array(10)));
  await keep(app, [...(await waiting(app)), { id, person: app.state.me?.person ?? '', text }]);
  return sendAll(app);
}

/** @param {App} app @param {string} id */
export const drop = async (app, id) =>
  keep(
    app,
    (await waiting(app)).filter(p => p.id !== id),
  );

/** @param {App} app @returns {Promise<PrivateWords[]>} what still waits */
export async function sendAll(app) {
  for (const p of await waiting(app)) {
    const a = await send('POST', '/api/private', { id: p.id, text: p.text }).catch(() => null);
    if (!a || a.status === 401 || a.status === 429 || a.status >= 500) break;
    const left = (await waiting(app)).flatMap(x => {
      if (x.id !== p.id) return [x];
      return a.status < 300 ? [] : [{ ...x, refused: a.body?.error?.message ?? String(a.status) }];
    });
    await keep(app, left);
  }
  return waiting(app);
}
