// Sends what is unsent and reads what is new. Retry is a state with a timer:
// while the queue is not empty and the screen is on, a next try is scheduled.
//
// Symptom reports travel first, in requests of their own. A failure of one
// entry never stops the others.

import { SCHEMA } from '../model/entry.js';

/** @import { Log, LogRecord, Reply, Verdict } from './log.js' */

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

/** @param {World} w */
export function createSync(w) {
  /** @type {SyncState} */
  let state = { phase: 'idle', next: null, fault: '' };
  let batch = MAX_ENTRIES;
  let failures = 0;
  let again = false;
  /** @type {Promise<void>|null} */
  let running = null;
  let cancel = () => {};

  /** @param {SyncState} s */
  const tell = s => w.onState((state = s));

  /** @param {number} ms */
  const schedule = ms => {
    cancel();
    const next = w.now() + ms;
    cancel = w.later(ms, () => void flush());
    return next;
  };

  /** @param {SyncState['fault']} fault @param {number} [least] ms */
  const wait = (fault, least = 0) => {
    const whole = Math.min(LONGEST, FIRST_WAIT * 2 ** Math.min(failures++, 10));
    const ms = Math.max(least, whole * (0.5 + w.chance() / 2));
    tell({ phase: 'waiting', next: schedule(ms), fault });
  };

  const rest = () => {
    failures = 0;
    if (w.visible()) tell({ phase: 'idle', next: schedule(IDLE * (0.8 + 0.4 * w.chance())), fault: '' });
    else {
      cancel();
      tell({ phase: 'idle', next: null, fault: '' });
    }
  };

  const busy = () => tell({ phase: 'busy', next: null, fault: state.fault });

  /** One request; false when this run is over. */
  const step = async () => {
    const list = choose(await w.log.inState('unsent'), batch);
    if (list.length) busy();
    const place = await w.log.place();
    /** @type {Answer} */
    let answer;
    try {
      answer = await w.post({
        epoch: place.epoch,
        cursor: place.cursor,
        entries: list.map(r => r.entry),
        now: new Date(w.now()).toISOString(),
        ...(place.sum && { sum: place.sum }), // by which the server knows that its file was put back by hand
        schema: SCHEMA, // that this app reads what the practice writes
      });
    } catch (e) {
      if (e instanceof Error && /Timeout|Abort/.test(e.name)) batch = halve(list.length);
      wait('offline');
      return false;
    }
    if (answer.body && Array.isArray(answer.body.verdicts)) return taken(answer.body, list);
    if (list.length && (answer.status === 413 || answer.status === 400)) return tooMuch(answer, list);
    const fault =
      answer.status === 401 || answer.status === 403 ? 'signed-out' : answer.status === 429 ? 'limited' : 'server';
    wait(fault, answer.retryAfter);
    return false;
  };

  // A log that does not match is read anew once per run, then believed.
  let reread = false;

  /** @param {Reply} reply @param {LogRecord[]} list */
  const taken = async (reply, list) => {
    const match = await w.log.settle(reply, reread);
    batch = Math.min(MAX_ENTRIES, batch * 2);
    failures = 0;
    if (match !== 'same') w.onNews();
    const silent = list.length > 0 && !list.some(r => reply.verdicts.some(v => v.id === r.id));
    if (silent) wait('server');
    if (silent || (match === 'again' && reread)) return false;
    if (match === 'again') return (reread = true);
    return reply.more || (await w.log.inState('unsent')).length > 0;
  };

  /** @param {Answer} answer @param {LogRecord[]} list */
  const tooMuch = async (answer, list) => {
    if (list.length > 1) {
      batch = halve(list.length);
      return true;
    }
    const said = answer.body?.error;
    if (typeof said?.code !== 'string') {
      // not our server's words: something in between answered
      wait('server', answer.retryAfter);
      return false;
    }
    /** @type {Verdict} */
    const verdict = {
      id: list[0].id,
      verdict: 'refused',
      code: said.code,
      message: said.message ?? '',
      field: said.field ?? '',
    };
    await w.log.refuse(list[0].id, verdict);
    w.onNews();
    return true;
  };

  const run = async () => {
    cancel();
    reread = false;
    if (state.phase === 'waiting') busy(); // a look for news alone is not worth a word
    try {
      await w.prepare?.();
    } catch {
      return wait('offline');
    }
    do {
      again = false;
      while (await step());
    } while (again && state.phase !== 'waiting');
    if (state.phase !== 'waiting') rest();
  };

  /**
   * Sends and reads now, whatever is scheduled. Safe to call at any time.
   * @returns {Promise<void>}
   */
  const flush = () => {
    if (running) {
      again = true;
      return running;
    }
    running = run()
      .catch(() => wait('server'))
      .finally(() => {
        running = null;
      });
    return running;
  };

  return {
    flush,
    /** @returns {SyncState} */
    state: () => state,
    stop: () => cancel(),
  };
}

/** @typedef {ReturnType<typeof createSync>} Sync */

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
