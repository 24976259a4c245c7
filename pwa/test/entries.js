// Entries of one phone for tests, numbered as they are made.

/** @import { Entry } from '../app/model/entry.js' */

/**
 * @param {number} v schema version
 * @returns {(night: string, kind: string, body: Record<string, unknown>) => Entry} written at 21:00 in Madrid
 */
export function entries(v) {
  let n = 0;
  return (night, kind, body) => ({
    id: `id-${String(++n).padStart(4, '0')}`,
    wearer: 'w1',
    device: 'd1',
    dseq: n,
    author: 'p1',
    kind,
    night,
    wall: `${night}T21:00:00`,
    zone: 'Europe/Madrid',
    offset: 60,
    hlc: `${String(n).padStart(13, '0')}-0000`,
    v,
    body,
  });
}
