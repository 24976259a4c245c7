// Sends what is unsent and reads what is new. Retry is a state with a timer:
// while the queue is not empty and the screen is on, a next try is scheduled.
//
// Symptom reports travel first, in requests of their own. A failure of one
// entry never stops the others.

import { SCHEMA } from '../model/entry.js';

/** @import { Log, LogRecord, Place, Reply, Verdict } from './log.js' */

/** Limits of one request, as the server sets them. */
const MAX_ENTRIES = 50;
const MAX_BYTES = 64 * 1024;

const FIRST_WAIT = 2000; // ms before the first retry; doubles up to LONGEST
const LONGEST = 5 * 60 * 1000;
const IDLE = 5000; // between looks for news while the screen is on, give or take a fifth

/**
 * @typedef {object} SyncState
 * @property {'idle'|'busy'|'waiting'} phase waiting: after a failure, until `next`
 * @property {number|null} next Unix ms of the next try; null when none is scheduled
 * @property {''|'offline'|'signed-out'|'server'|'limited'} fault of the last try
 */

/** @typedef {{status: number, body: any, retryAfter?: number}} Answer retryAfter in ms */

/**
 * @typedef {object} World
 * @property {Log} log
 * @property {() => Promise<void>} [prepare] what must be done before anything is sent; rejects when there was no answer
 * @property {(body: object) => Promise<Answer>} post to /api/sync; rejects when there was no answer; with name "TimeoutError", or in older browsers "AbortError", when it took too long
 * @property {() => number} now
 * @property {() => number} chance from 0 to 1
 * @property {(ms: number, job: () => void) => () => void} later returns a way to cancel
 * @property {() => boolean} visible
 * @property {(s: SyncState) => void} onState
 * @property {() => void} onNews the log has changed
 */

/**
 * What goes on between looks.
 * @typedef {object} Course
 * @property {SyncState} state
 * @property {number} batch most entries of the next request
 * @property {number} failures in a row
 * @property {boolean} again somebody asked while a run was going on
 * @property {boolean} reread a log that does not match is read anew once per run, then believed
 * @property {Promise<void>|null} running
 * @property {() => void} cancel the next look
 */

/** @param {World} w @param {Course} c @param {SyncState} state */
const tell = (w, c, state) => w.onState((c.state = state));

/** @param {World} w @param {Course} c */
const busy = (w, c) => tell(w, c, { phase: 'busy', next: null, fault: c.state.fault });

/** @param {World} w @param {Course} c @param {number} ms @returns {number} when it will be, Unix ms */
function schedule(w, c, ms) {
  c.cancel();
  const next = w.now() + ms;
  c.cancel = w.later(ms, () => void flush(w, c));
  return next;
}

/** @param {World} w @param {Course} c @param {SyncState['fault']} fault @param {number} [least] ms */
function wait(w, c, fault, least = 0) {
  const ms = Math.max(least, backoff(c.failures++, w.chance()));
  tell(w, c, { phase: 'waiting', next: schedule(w, c, ms), fault });
}

/** @param {World} w @param {Course} c */
function rest(w, c) {
  c.failures = 0;
  c.cancel();
  const next = w.visible() ? schedule(w, c, IDLE * (0.8 + 0.4 * w.chance())) : null;
  tell(w, c, { phase: 'idle', next, fault: '' });
}

/** One request. @param {World} w @param {Course} c @returns {Promise<boolean>} whether another one is to follow */
async function step(w, c) {
  const list = choose(await w.log.inState('unsent'), c.batch);
  if (list.length) busy(w, c);
  /** @type {Answer} */
  let answer;
  try {
    answer = await w.post(request(await w.log.place(), list, w.now()));
  } catch (e) {
    if (e instanceof Error && /Timeout|Abort/.test(e.name)) c.batch = halve(list.length);
    wait(w, c, 'offline');
    return false;
  }
  if (answer.body && Array.isArray(answer.body.verdicts)) return taken(w, c, answer.body, list);
  if (answer.body?.error?.code === 'bad-cursor' && (await w.log.startAnew())) return true;
  if (list.length && (answer.status === 413 || answer.status === 400)) return tooMuch(w, c, answer, list);
  wait(w, c, faultOf(answer.status), answer.retryAfter);
  return false;
}

/** @param {World} w @param {Course} c @param {Reply} reply @param {LogRecord[]} list @returns {Promise<boolean>} as of step */
async function taken(w, c, reply, list) {
  const match = await w.log.settle(reply, c.reread);
  c.batch = Math.min(MAX_ENTRIES, c.batch * 2);
  c.failures = 0;
  if (match !== 'same') w.onNews();
  const silent = list.length > 0 && !list.some(r => reply.verdicts.some(v => v.id === r.id));
  if (silent) wait(w, c, 'server');
  if (silent || (match === 'again' && c.reread)) return false;
  if (match === 'again') return (c.reread = true);
  return reply.more || (await w.log.inState('unsent')).length > 0;
}

/** @param {World} w @param {Course} c @param {Answer} answer @param {LogRecord[]} list @returns {Promise<boolean>} as of step */
async function tooMuch(w, c, answer, list) {
  if (list.length > 1) {
    c.batch = halve(list.length);
    return true;
  }
  const verdict = refusalOf(answer, list[0].id);
  if (!verdict) {
    wait(w, c, 'server', answer.retryAfter);
    return false;
  }
  await w.log.refuse(list[0].id, verdict);
  w.onNews();
  return true;
}

/** @param {World} w @param {Course} c */
async function run(w, c) {
  c.cancel();
  c.reread = false;
  if (c.state.phase === 'waiting') busy(w, c); // a look for news alone is not worth a word
  try {
    await w.prepare?.();
  } catch {
    return wait(w, c, 'offline');
  }
  do {
    c.again = false;
    while (await step(w, c));
  } while (c.again && c.state.phase !== 'waiting');
  if (c.state.phase !== 'waiting') rest(w, c);
}

/** @param {World} w @param {Course} c @returns {Promise<void>} */
function flush(w, c) {
  if (c.running) {
    c.again = true;
    return c.running;
  }
  c.running = run(w, c)
    .catch(() => wait(w, c, 'server'))
    .finally(() => {
      c.running = null;
    });
  return c.running;
}

/** @param {World} w */
export function createSync(w) {
  /** @type {Course} */
  const c = {
    state: { phase: 'idle', next: null, fault: '' },
    batch: MAX_ENTRIES,
    failures: 0,
    again: false,
    reread: false,
    running: null,
    cancel: () => {},
  };
  return {
    /** Sends and reads now, whatever is scheduled. Safe to call at any time. @returns {Promise<void>} */
    flush: () => flush(w, c),
    /** @returns {SyncState} */
    state: () => c.state,
    stop: () => c.cancel(),
  };
}

/** @typedef {ReturnType<typeof createSync>} Sync */

/** @param {number} failures so far, in a row @param {number} chance from 0 to 1 @returns {number} ms to the next try */
const backoff = (failures, chance) => Math.min(LONGEST, FIRST_WAIT * 2 ** Math.min(failures, 10)) * (0.5 + chance / 2);

/** @param {number} status of an answer that is no reply @returns {SyncState['fault']} */
const faultOf = status => (status === 401 || status === 403 ? 'signed-out' : status === 429 ? 'limited' : 'server');

/** @param {Place} place @param {LogRecord[]} list @param {number} now Unix ms */
const request = (place, list, now) => ({
  epoch: place.epoch,
  cursor: place.cursor,
  entries: list.map(r => r.entry),
  now: new Date(now).toISOString(),
  ...(place.sum && { sum: place.sum }), // by which the server knows that its file was put back by hand
  schema: SCHEMA, // that this app reads what the practice writes
});

/**
 * What is kept of an entry that no request can carry.
 * @param {Answer} answer
 * @param {string} id
 * @returns {Verdict|null} null: not our server's words, something in between answered
 */
function refusalOf({ body }, id) {
  const said = body?.error;
  if (typeof said?.code !== 'string') return null;
  return { id, verdict: 'refused', code: said.code, message: said.message ?? '', field: said.field ?? '' };
}

/** @param {number} n */
const halve = n => Math.max(1, Math.floor(n / 2));

/**
 * The next entries to send: what may stop wear alone and first, then the rest in
 * the order of writing, within the limits of one request.
 * @param {LogRecord[]} unsent by dseq
 * @param {number} most
 * @returns {LogRecord[]}
 */
export function choose(unsent, most) {
  const urgent = unsent.filter(r => r.entry.kind === 'symptoms' || r.entry.body?.told);
  const lane = urgent.length ? urgent : unsent;
  const out = [];
  let bytes = 0;
  for (const r of lane) {
    bytes += new TextEncoder().encode(JSON.stringify(r.entry)).length + 1;
    if (out.length && (out.length >= most || bytes > MAX_BYTES)) break;
    out.push(r);
  }
  return out;
}
