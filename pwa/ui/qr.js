// QR codes for invitations (ISO/IEC 18004): byte mode, error correction level M.
import qrcode from '../vendor/qrcode/qrcode.js';

const MOST = 2331; // bytes that version 40 holds at level M (ISO/IEC 18004, table of capacities)

/**
 * @param {string} text
 * @returns {{size: number, dark: boolean[][], path: string}|null} modules by row, and the same as an SVG path of unit squares; null when the text is too long
 */
export function qr(text) {
  const bytes = new TextEncoder().encode(text);
  if (bytes.length > MOST) return null;
  const code = qrcode(0, 'M');
  code.addData(String.fromCharCode(...bytes), 'Byte'); // the library takes a character for a byte
  code.make();
  const size = code.getModuleCount();
  const dark = Array.from({ length: size }, (_, y) => Array.from({ length: size }, (_, x) => code.isDark(y, x)));
  const path = dark.flatMap((row, y) => row.map((on, x) => (on ? `M${x} ${y}h1v1h-1z` : ''))).join('');
  return { size, dark, path };
}
