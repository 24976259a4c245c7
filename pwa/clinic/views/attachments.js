// Pictures and documents of visits. A picture is drawn anew here before it is sent,
// upright and small enough; the server draws it once more and keeps nothing else.

import * as api from '../api.js';
import { Field, FormFault, h, Trouble, useAction, useLoad, useState } from '../dom.js';
import { day, eyes, number, title } from '../format.js';
import { confirming } from '../passkeys.js';
import { point, tr } from '../text.js';
import { Download } from './download.js';

/** @import { Visit } from '../types.js' */
/** @typedef {api.AttachmentList['attachments'][number]} Attachment */

const PDF = 'application/pdf';
const LONGEST = 2400; // points of the longer side that are sent: more than any screen shows

/**
 * A file as it is sent: a picture as JPEG, upright by what the camera says, at most
 * LONGEST points long, or as it is when it is a PNG that is small enough.
 * @param {File} file @param {number} most bytes
 * @returns {Promise<{type: string, data: string}>}
 */
export async function prepared(file, most) {
  let blob = /** @type {Blob} */ (file);
  if (file.type !== PDF && !(file.type === 'image/png' && file.size <= most / 2)) blob = await redrawn(file);
  if (blob.size > most)
    throw new Error(
      tr('The file has {size} MiB, and at most {most} are taken.', {
        size: number(blob.size / 2 ** 20, 1),
        most: number(most / 2 ** 20, 1),
      }),
    );
  return { type: blob.type, data: base64(new Uint8Array(await blob.arrayBuffer())) };
}

/** @param {Blob} file @returns {Promise<Blob>} */
async function redrawn(file) {
  const picture = await createImageBitmap(file, { imageOrientation: 'from-image' }).catch(() => null);
  if (!picture) throw new Error(tr('This is no picture that the browser can read, and no PDF.'));
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise(ready => canvas.toBlob(ready, 'image/jpeg', 0.9));
  if (!blob) throw new Error(tr('This is no picture that the browser can read, and no PDF.'));
  return /** @type {Blob} */ (blob);
}

/** @param {Uint8Array} bytes */
function base64(bytes) {
  let text = '';
  for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  return btoa(text);
}

/** @param {{wearer: string, visits: Visit[]}} props visits: newest first */
export function Attachments({ wearer, visits }) {
  const got = useLoad(() => api.attachments(wearer), wearer);
  const kept = visits.filter(v => v.state === 'kept');
  if (!kept.length) return null;
  const list = got.data?.attachments ?? [];
  return h(
    'section',
    { class: 'block', 'data-test': 'attachments' },
    h('h2', null, tr('Pictures and documents')),
    h(Trouble, { error: got.error, busy: got.busy && !got.data, retry: got.reload }),
    got.data && !list.length && h('p', { class: 'quiet' }, tr('Nothing is attached to a visit.')),
    h(
      'ul',
      { class: 'attachments' },
      list.map(a => h(One, { key: a.id, wearer, a, visit: visits.find(v => v.id === a.visit), gone: got.reload })),
    ),
    got.data && h(AttachForm, { wearer, visits: kept, most: got.data.most_bytes, done: got.reload }),
  );
}

/** @param {{wearer: string, a: Attachment, visit: Visit|undefined, gone: () => void}} props */
function One({ wearer, a, visit, gone }) {
  const [open, setOpen] = useState(false);
  const [asked, ask] = useState(false);
  const action = useAction();
  const url = api.attachmentUrl(wearer, a.id);
  const about = [
    a.eye ? eyes(a.eye) : '',
    visit ? `${day(visit.date)}${point(', ')}${title(visit.kind).toLowerCase()}` : '',
  ]
    .filter(Boolean)
    .join(' · ');
  const out = () =>
    action.run(async () => {
      await confirming(() => api.detach(wearer, a.id));
      gone();
    });
  return h(
    'li',
    { 'data-test': 'attachment' },
    h('p', null, h('b', { dir: 'auto' }, a.what), ' ', h('span', { class: 'quiet' }, about)),
    h('p', { class: 'hint' }, tr('{size} KiB, by {by}', { size: number(a.size / 1024, 0), by: a.by })),
    open && h('img', { src: url, alt: `${a.what}. ${about}`, class: 'attached', 'data-test': 'attached-picture' }),
    h(
      'div',
      { class: 'buttons' },
      a.type === PDF
        ? h(Download, { url, file: 'document.pdf', label: tr('Save the PDF') })
        : h(
            'button',
            { type: 'button', 'aria-expanded': open, 'data-test': 'attachment-show', onClick: () => setOpen(!open) },
            open ? tr('Hide') : tr('Show'),
          ),
      asked
        ? h(
            'button',
            { type: 'button', class: 'danger', disabled: action.busy, 'data-test': 'attachment-out', onClick: out },
            tr('Yes, take it out for good'),
          )
        : h('button', { type: 'button', onClick: () => ask(true) }, tr('Take out')),
    ),
    h(Trouble, { error: action.error }),
  );
}

/** @param {{wearer: string, visits: Visit[], most: number, done: () => void}} props */
function AttachForm({ wearer, visits, most, done }) {
  const [visit, setVisit] = useState(visits[0].id);
  const [eye, setEye] = useState('');
  const [what, setWhat] = useState('');
  const [file, setFile] = useState(/** @type {File|null} */ (null));
  const [turn, again] = useState(0);
  const action = useAction();
  const error = action.error;
  /** @param {(v: string) => void} f */
  const take = f => (/** @type {Event} */ e) => f(/** @type {HTMLInputElement} */ (e.target).value);
  const send = (/** @type {Event} */ e) => {
    e.preventDefault();
    if (!file) return;
    action.run(async () => {
      await api.attach(wearer, { visit, eye, what, ...(await prepared(file, most)) });
      setWhat('');
      setFile(null);
      again(turn + 1);
      done();
    });
  };
  return h(
    'form',
    { class: 'card', onSubmit: send, 'data-test': 'attach-form' },
    h(
      'fieldset',
      { class: 'grid' },
      h('legend', null, tr('Attach')),
      h(
        Field,
        {
          label: tr('Picture or PDF'),
          hint: tr('Only the picture itself is kept: neither the place nor the name of the file.'),
          error: error?.field === 'data' || error?.field === 'type' ? error.message : undefined,
        },
        h('input', {
          type: 'file',
          required: true,
          key: turn,
          accept: `image/*,${PDF}`,
          'data-test': 'attach-file',
          onChange: (/** @type {Event} */ e) => setFile(/** @type {HTMLInputElement} */ (e.target).files?.[0] ?? null),
        }),
      ),
      h(
        Field,
        { label: tr('What it shows'), error: error?.field === 'what' ? error.message : undefined },
        h('input', {
          type: 'text',
          required: true,
          maxLength: 120,
          value: what,
          'data-test': 'attach-what',
          onInput: take(setWhat),
        }),
      ),
      h(
        Field,
        { label: tr('Of the visit') },
        h(
          'select',
          { value: visit, onChange: take(setVisit) },
          visits.map(v => h('option', { value: v.id }, `${day(v.date)}${point(', ')}${title(v.kind).toLowerCase()}`)),
        ),
      ),
      h(
        Field,
        { label: tr('Eye') },
        h(
          'select',
          { value: eye, onChange: take(setEye) },
          h('option', { value: '' }, tr('Both, or neither')),
          h('option', { value: 'right' }, tr('Right')),
          h('option', { value: 'left' }, tr('Left')),
        ),
      ),
    ),
    h(FormFault, { error }),
    h('button', { class: 'primary', disabled: action.busy, 'data-test': 'attach-send' }, tr('Attach it')),
  );
}
