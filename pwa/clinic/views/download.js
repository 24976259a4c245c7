// A download that says how far it is, and asks for the passkey when the server
// wants to know that you are there.

import { ApiError } from '../api.js';
import { Fragment, h, useState } from '../dom.js';
import { number } from '../format.js';
import { confirming } from '../passkeys.js';
import { tr } from '../text.js';

/**
 * @param {string} url
 * @param {(bytes: number) => void} received
 * @returns {Promise<Blob>}
 */
async function fetchFile(url, received) {
  const answer = await fetch(url, { credentials: 'same-origin' });
  if (!answer.ok || !answer.body) {
    const { error } = await answer.json().catch(() => ({ error: undefined }));
    throw new ApiError(
      answer.status,
      error?.code ?? 'no-answer',
      error?.message ?? tr('The server answered with status {status}.', { status: answer.status }),
      '',
    );
  }
  /** @type {Uint8Array<ArrayBuffer>[]} */
  const parts = [];
  let bytes = 0;
  const reader = answer.body.getReader();
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    parts.push(/** @type {Uint8Array<ArrayBuffer>} */ (part.value));
    bytes += part.value.length;
    received(bytes);
  }
  return new Blob(parts, { type: answer.headers.get('Content-Type') ?? '' });
}

/** @param {{url: string, file: string, label: string}} props */
export function Download({ url, file, label }) {
  const [state, setState] = useState('');
  const run = async () => {
    setState(tr('Asking…'));
    try {
      const blob = await confirming(() =>
        fetchFile(url, bytes => setState(tr('{bytes} KiB received…', { bytes: number(bytes / 1024, 0) }))),
      );
      const a = document.createElement('a');
      a.href = URL.createObjectURL(blob);
      a.download = file;
      a.click();
      setTimeout(() => URL.revokeObjectURL(a.href), 10000);
      setState(tr('Done, {size} KiB.', { size: number(blob.size / 1024, 0) }));
    } catch (e) {
      setState(e instanceof Error ? e.message : String(e));
    }
  };
  return h(
    Fragment,
    null,
    h('button', { type: 'button', onClick: run }, label),
    h('span', { role: 'status', class: 'quiet' }, state),
  );
}
