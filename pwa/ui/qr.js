// QR codes for invitations (ISO/IEC 18004): byte mode, error correction level
// M, versions 1 to 10, which holds 213 bytes. Pure.

/** By version from 1: error-correction bytes a block, blocks, bytes in all, places of alignment marks. */
const VERSIONS = /** @type {[number, number, number, number[]][]} */ ([
  [10, 1, 26, []],
  [16, 1, 44, [6, 18]],
  [26, 1, 70, [6, 22]],
  [18, 2, 100, [6, 26]],
  [24, 2, 134, [6, 30]],
  [16, 4, 172, [6, 34]],
  [18, 4, 196, [6, 22, 38]],
  [22, 4, 242, [6, 24, 42]],
  [22, 5, 292, [6, 26, 46]],
  [26, 5, 346, [6, 28, 50]],
]);

/** @param {number} a @param {number} b @returns {number} product in GF(256) of the standard */
function times(a, b) {
  let z = 0;
  for (let i = 7; i >= 0; i--) {
    z = (z << 1) ^ ((z >>> 7) * 0x11d);
    z ^= ((b >>> i) & 1) * a;
  }
  return z & 255;
}

/** @param {number[]} data @param {number} n @returns {number[]} n error-correction bytes */
function correction(data, n) {
  let divisor = /** @type {number[]} */ (Array(n).fill(0));
  divisor[n - 1] = 1;
  let root = 1;
  for (let i = 0; i < n; i++) {
    divisor = divisor.map((d, j) => times(d, root) ^ (divisor[j + 1] ?? 0));
    root = times(root, 2);
  }
  let rest = /** @type {number[]} */ (Array(n).fill(0));
  for (const b of data) {
    const factor = b ^ rest[0];
    rest = [...rest.slice(1), 0].map((r, i) => r ^ times(divisor[i], factor));
  }
  return rest;
}

/** @param {Uint8Array} bytes @param {number} version @returns {number[]} data and correction, interleaved */
function codewords(bytes, version) {
  const [ecc, blocks, total] = VERSIONS[version - 1];
  const room = total - ecc * blocks;
  /** @type {number[]} */
  const bits = [];
  /** @param {number} value @param {number} n */
  const push = (value, n) => {
    for (let i = n - 1; i >= 0; i--) bits.push((value >>> i) & 1);
  };
  push(4, 4);
  push(bytes.length, version < 10 ? 8 : 16);
  for (const b of bytes) push(b, 8);
  push(0, Math.min(4, room * 8 - bits.length));
  while (bits.length % 8) bits.push(0);
  const data = [];
  for (let i = 0; i < bits.length; i += 8) data.push(parseInt(bits.slice(i, i + 8).join(''), 2));
  for (let pad = 0xec; data.length < room; pad ^= 0xec ^ 0x11) data.push(pad);
  const short = Math.floor(room / blocks);
  const shortBlocks = blocks - (room % blocks);
  const parts = [];
  for (let i = 0, at = 0; i < blocks; i++) {
    const size = short + (i < shortBlocks ? 0 : 1);
    parts.push(data.slice(at, at + size));
    at += size;
  }
  const checks = parts.map(p => correction(p, ecc));
  const out = [];
  for (let i = 0; i <= short; i++) for (const p of parts) if (i < p.length) out.push(p[i]);
  for (let i = 0; i < ecc; i++) for (const c of checks) out.push(c[i]);
  return out;
}

/** @typedef {{size: number, dark: boolean[][], fixed: boolean[][]}} Grid */

/** @param {number} version @returns {Grid} with everything but data and format */
function frame(version) {
  const size = version * 4 + 17;
  const square = () => Array.from({ length: size }, () => /** @type {boolean[]} */ (Array(size).fill(false)));
  const g = { size, dark: square(), fixed: square() };
  /** @param {number} x @param {number} y @param {boolean} on */
  const set = (x, y, on) => {
    if (g.dark[y]?.[x] !== undefined) {
      g.dark[y][x] = on;
      g.fixed[y][x] = true;
    }
  };
  for (let i = 0; i < size; i++) {
    set(6, i, i % 2 === 0);
    set(i, 6, i % 2 === 0);
  }
  for (const [cx, cy] of [
    [3, 3],
    [size - 4, 3],
    [3, size - 4],
  ]) {
    for (let dy = -4; dy <= 4; dy++)
      for (let dx = -4; dx <= 4; dx++) {
        const d = Math.max(Math.abs(dx), Math.abs(dy));
        set(cx + dx, cy + dy, d !== 2 && d !== 4);
      }
  }
  const places = VERSIONS[version - 1][3];
  for (const x of places)
    for (const y of places) {
      if ((x === 6 && y === 6) || (x === 6 && y === size - 7) || (x === size - 7 && y === 6)) continue;
      for (let dy = -2; dy <= 2; dy++)
        for (let dx = -2; dx <= 2; dx++) set(x + dx, y + dy, Math.max(Math.abs(dx), Math.abs(dy)) !== 1);
    }
  if (version >= 7) {
    let rest = version;
    for (let i = 0; i < 12; i++) rest = (rest << 1) ^ ((rest >>> 11) * 0x1f25);
    const bits = (version << 12) | rest;
    for (let i = 0; i < 18; i++) {
      const on = ((bits >>> i) & 1) === 1;
      set(size - 11 + (i % 3), Math.floor(i / 3), on);
      set(Math.floor(i / 3), size - 11 + (i % 3), on);
    }
  }
  format(g, 0);
  return g;
}

/** @param {Grid} g @param {number} mask */
function format(g, mask) {
  let rest = mask; // level M is 00
  for (let i = 0; i < 10; i++) rest = (rest << 1) ^ ((rest >>> 9) * 0x537);
  const bits = ((mask << 10) | rest) ^ 0x5412;
  const on = (/** @type {number} */ i) => ((bits >>> i) & 1) === 1;
  /** @param {number} x @param {number} y @param {boolean} v */
  const set = (x, y, v) => {
    g.dark[y][x] = v;
    g.fixed[y][x] = true;
  };
  for (let i = 0; i <= 5; i++) set(8, i, on(i));
  set(8, 7, on(6));
  set(8, 8, on(7));
  set(7, 8, on(8));
  for (let i = 9; i < 15; i++) set(14 - i, 8, on(i));
  for (let i = 0; i < 8; i++) set(g.size - 1 - i, 8, on(i));
  for (let i = 8; i < 15; i++) set(8, g.size - 15 + i, on(i));
  set(8, g.size - 8, true);
}

/** @param {Grid} g @param {number[]} words */
function fill(g, words) {
  let i = 0;
  for (let right = g.size - 1; right >= 1; right -= 2) {
    if (right === 6) right = 5;
    for (let step = 0; step < g.size; step++) {
      for (const x of [right, right - 1]) {
        const y = ((right + 1) & 2) === 0 ? g.size - 1 - step : step;
        if (g.fixed[y][x] || i >= words.length * 8) continue;
        g.dark[y][x] = ((words[i >>> 3] >>> (7 - (i & 7))) & 1) === 1;
        i++;
      }
    }
  }
}

const MASKS = /** @type {((x: number, y: number) => boolean)[]} */ ([
  (x, y) => (x + y) % 2 === 0,
  (_x, y) => y % 2 === 0,
  x => x % 3 === 0,
  (x, y) => (x + y) % 3 === 0,
  (x, y) => (Math.floor(x / 3) + Math.floor(y / 2)) % 2 === 0,
  (x, y) => ((x * y) % 2) + ((x * y) % 3) === 0,
  (x, y) => (((x * y) % 2) + ((x * y) % 3)) % 2 === 0,
  (x, y) => (((x + y) % 2) + ((x * y) % 3)) % 2 === 0,
]);

/** @param {Grid} g @param {number} mask @returns {Grid} a copy with the mask laid over the data */
function masked(g, mask) {
  const out = {
    ...g,
    dark: g.dark.map((row, y) => row.map((on, x) => (g.fixed[y][x] ? on : on !== MASKS[mask](x, y)))),
  };
  format(out, mask);
  return out;
}

/** @param {Grid} g @returns {number} the standard's penalty: runs, blocks, look-alikes of finders, imbalance */
function penalty({ dark, size }) {
  let sum = 0;
  const lines = [...dark, ...dark[0].map((_, x) => dark.map(row => row[x]))];
  for (const line of lines) {
    const text = line.map(on => (on ? '1' : '0')).join('');
    for (const run of text.match(/0{5,}|1{5,}/g) ?? []) sum += run.length - 2;
    for (const look of ['10111010000', '00001011101'])
      for (let at = text.indexOf(look); at >= 0; at = text.indexOf(look, at + 1)) sum += 40;
  }
  let black = 0;
  for (let y = 0; y < size; y++)
    for (let x = 0; x < size; x++) {
      if (dark[y][x]) black++;
      if (x && y && dark[y][x] === dark[y][x - 1] && dark[y][x] === dark[y - 1][x] && dark[y][x] === dark[y - 1][x - 1])
        sum += 3;
    }
  return sum + Math.floor(Math.abs((black * 20) / (size * size) - 10)) * 10;
}

/**
 * @param {string} text
 * @returns {{size: number, dark: boolean[][], path: string}|null} modules by row, and the same as an SVG path of unit squares; null when the text is too long
 */
export function qr(text) {
  const bytes = new TextEncoder().encode(text);
  const version =
    VERSIONS.findIndex(([ecc, blocks, total], i) => bytes.length <= total - ecc * blocks - (i < 9 ? 2 : 3)) + 1;
  if (!version) return null;
  const plain = frame(version);
  fill(plain, codewords(bytes, version));
  const best = MASKS.map((_, m) => masked(plain, m)).reduce((a, b) => (penalty(b) < penalty(a) ? b : a));
  let path = '';
  best.dark.forEach((row, y) =>
    row.forEach((on, x) => {
      if (on) path += `M${x} ${y}h1v1h-1z`;
    }),
  );
  return { size: best.size, dark: best.dark, path };
}
