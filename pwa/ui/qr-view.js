// A QR code on the screen and on paper: black on white with its quiet zone of
// four modules (ISO/IEC 18004), whatever the theme.
import { h } from './dom.js';
import { qr } from './qr.js';

/** Nothing where the text is too long for a code. @param {{text: string, label: string}} props */
export function Qr({ text, label }) {
  const code = qr(text);
  const box = (code?.size ?? 0) + 8;
  return (
    code &&
    h(
      'svg',
      { viewBox: `-4 -4 ${box} ${box}`, class: 'qr', role: 'img', 'aria-label': label, 'data-test': 'qr' },
      h('rect', { x: -4, y: -4, width: box, height: box, fill: '#fff' }),
      h('path', { d: code.path, fill: '#000' }),
    )
  );
}
