// What a family writes about a sore eye is asked about, in whichever language. The
// sentences are ours; the first two are what two families wrote in a trial.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { maySore } from '../app/model/sore.js';

const SORE = [
  'My eye is very sore and red and I can not open it',
  'Ruben eye hurts and is red since tonight',
  'The left lens is stuck',
  'Sees worse than yesterday',
  'Le duele el ojo derecho',
  'Tiene el ojo rojo y le lagrimea',
  'No puedo abrir el ojo',
  '左眼很痛，睁不开',
  '右眼發紅，怕光',
  '镜片卡住了',
  'عيني تؤلمني',
  'العين اليمنى حمراء',
  'لا أرى جيدًا',
  'العدسة عالقة',
];
const CALM = [
  'Can we come on Friday at four?',
  'Which solution may I buy on holiday?',
  'Thank you, all went well.',
  '¿Podemos ir el viernes por la tarde?',
  '¿Qué líquido compro en vacaciones?',
  '星期五下午可以来吗？',
  '假期可以買哪一種護理液？',
  'هل يمكننا المجيء يوم الجمعة؟',
];

for (const text of SORE) test(`may be about a sore eye: ${text}`, () => assert.ok(maySore(text)));
for (const text of CALM) test(`is about no sore eye: ${text}`, () => assert.ok(!maySore(text)));
