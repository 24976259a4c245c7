// The requests to the server, all with a time limit and none cached.

/** @import { Answer } from './sync.js' */

const LIMIT_MS = 15000;

/** A refusal of the server, in its own words. */
export class ApiError extends Error {
  /** @param {number} status 0 when there was no answer @param {string} code @param {string} message @param {string} [field] */
  constructor(status, code, message, field = '') {
    super(message);
    this.status = status;
    this.code = code;
    this.field = field;
  }
}

/**
 * @param {string} method
 * @param {string} path
 * @param {unknown} [body]
 * @returns {Promise<Answer>} rejects when there was no answer
 */
export async function send(method, path, body) {
  const init =
    body === undefined
      ? { method }
      : { method, body: JSON.stringify(body), headers: { 'Content-Type': 'application/json' } };
  const res = await fetch(path, {
    ...init,
    cache: 'no-store',
    credentials: 'same-origin',
    signal: AbortSignal.timeout(LIMIT_MS),
  });
  const seconds = Number(res.headers.get('Retry-After'));
  return {
    status: res.status,
    body: await res.json().catch(() => null),
    retryAfter: seconds > 0 ? seconds * 1000 : undefined,
  };
}

/**
 * @param {string} method
 * @param {string} path
 * @param {unknown} [body]
 * @returns {Promise<any>} rejects with an ApiError
 */
export async function call(method, path, body) {
  /** @type {Answer} */
  let a;
  try {
    a = await send(method, path, body);
  } catch {
    throw new ApiError(0, 'offline', '');
  }
  if (a.status >= 200 && a.status < 300) return a.body;
  const e = a.body?.error ?? {};
  throw new ApiError(a.status, e.code ?? 'no-answer', e.message ?? '', e.field ?? '');
}
