// QR codes, module by module against those the npm package qrcode 1.5.4 makes.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { qr } from '../ui/qr.js';

/** qrcode 1.5.4, byte mode, level M, each row read as a binary number and written in base 36. */
const JOIN = [
  '8tu4cf',
  '4j3ygx',
  '6gi999',
  '6hdye5',
  '6gcvh9',
  '4io6rl',
  '8tz2pr',
  'pog0',
  '6cq157',
  '6jdmup',
  '8nv5i',
  '5z23u9',
  '3uou8c',
  '649v7r',
  'iagdj',
  '4lsoqq',
  '71wpq2',
  '2f0g8e',
  '6bh2dw',
  '1a9pw4',
  '36cs8s',
  'nwnz',
  '8u1vfe',
  '4j7h21',
  '6gmy2f',
  '6gvwe1',
  '6h017p',
  '4il92i',
  '8u2dnm',
];

test('the code of an invitation', () => {
  const code = qr('https://clinic.example/join#7KQ4M2XW9RTD');
  assert.ok(code);
  assert.equal(code.size, 29);
  const rows = code.dark.map(row => parseInt(row.map(on => (on ? '1' : '0')).join(''), 2).toString(36));
  assert.deepEqual(rows, JOIN);
  assert.equal(code.path.match(/M/g)?.length, code.dark.flat().filter(Boolean).length);
});

test('the size grows with the text, up to 2,331 bytes (ISO/IEC 18004, level M, versions 1, 2, 10 and 40)', () => {
  assert.equal(qr('x'.repeat(14))?.size, 21);
  assert.equal(qr('x'.repeat(15))?.size, 25);
  assert.equal(qr('x'.repeat(213))?.size, 57);
  assert.equal(qr('x'.repeat(2331))?.size, 177);
  assert.equal(qr('x'.repeat(2332)), null);
  assert.equal(qr('é'.repeat(8))?.size, 25); // 16 bytes of UTF-8, which version 1 does not hold
});
