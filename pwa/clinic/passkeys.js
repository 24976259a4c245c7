// Passkeys of the staff: to sign in, to confirm what cannot be undone or
// leaves the building, and to make one.

import * as api from './api.js';
import { asApiError } from './dom.js';
import { tr } from './text.js';

/** @param {string} text base64url @returns {Uint8Array<ArrayBuffer>} */
export function bytesOf(text) {
  const plain = atob(text.replace(/-/g, '+').replace(/_/g, '/'));
  return Uint8Array.from(plain, c => c.charCodeAt(0));
}

/** @param {ArrayBuffer|null} bytes @returns {string} base64url without padding */
export function textOf(bytes) {
  if (!bytes) return '';
  return btoa(String.fromCharCode(...new Uint8Array(bytes)))
    .replace(/\+/g, '-')
    .replace(/\//g, '_')
    .replace(/=+$/, '');
}

/** @returns {boolean} whether this browser knows passkeys */
export const canUsePasskeys = () => typeof PublicKeyCredential !== 'undefined';

/** @param {unknown} e @returns {never} */
function fault(e) {
  if (e instanceof DOMException)
    throw new api.ApiError(0, 'no-passkey', tr('The passkey was not used. Try again when you are ready.'), '');
  throw e;
}

/** @param {{id: string}[]} [list] @returns {PublicKeyCredentialDescriptor[]} */
const descriptors = list => (list ?? []).map(c => ({ type: 'public-key', id: bytesOf(c.id) }));

/** Asks for a passkey against a fresh challenge. @returns {Promise<object>} the assertion as the server reads it */
async function assertion() {
  const { publicKey } = await api.challenge();
  const got = await navigator.credentials
    .get({
      publicKey: {
        ...publicKey,
        challenge: bytesOf(publicKey.challenge),
        allowCredentials: descriptors(publicKey.allowCredentials),
      },
    })
    .catch(fault);
  const key = /** @type {PublicKeyCredential} */ (got);
  const r = /** @type {AuthenticatorAssertionResponse} */ (key.response);
  return {
    id: key.id,
    rawId: textOf(key.rawId),
    type: key.type,
    clientExtensionResults: {},
    response: {
      clientDataJSON: textOf(r.clientDataJSON),
      authenticatorData: textOf(r.authenticatorData),
      signature: textOf(r.signature),
      userHandle: textOf(r.userHandle),
    },
  };
}

/** Signs in on this browser. */
export const signIn = async () => api.passkeySignIn(await assertion());

/**
 * Runs a job, and when the server wants a fresh proof that you are there, asks
 * for the passkey and runs it again.
 * @template T
 * @param {() => Promise<T>} job
 * @returns {Promise<T>}
 */
export async function confirming(job) {
  try {
    return await job();
  } catch (e) {
    if (asApiError(e).code !== 'recheck-needed') throw e;
  }
  await api.passkeyConfirm(await assertion());
  return job();
}

/**
 * Makes a passkey on this device and stores its public half.
 * @param {string} name empty for the browser's own name
 */
export async function addPasskey(name) {
  const { publicKey } = await api.newPasskey();
  const made = await navigator.credentials
    .create({
      publicKey: {
        ...publicKey,
        challenge: bytesOf(publicKey.challenge),
        user: { ...publicKey.user, id: bytesOf(publicKey.user.id) },
        excludeCredentials: descriptors(publicKey.excludeCredentials),
      },
    })
    .catch(fault);
  const key = /** @type {PublicKeyCredential} */ (made);
  const r = /** @type {AuthenticatorAttestationResponse} */ (key.response);
  await api.storePasskey(name, {
    id: key.id,
    rawId: textOf(key.rawId),
    type: key.type,
    clientExtensionResults: {},
    response: {
      clientDataJSON: textOf(r.clientDataJSON),
      attestationObject: textOf(r.attestationObject),
      transports: r.getTransports?.() ?? [],
    },
  });
}
