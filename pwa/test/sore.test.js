// What a family writes about a sore eye is asked about, in whichever language. The
// sentences are ours, written as people write, and the same said in each language.
// Each line of one meaning stands once in every language.
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
  // A chemical.
  'bleach in his face',
  'Le ha entrado lejía en la cara',
  '漂白水溅到脸上',
  '漂白水濺到臉上',
  'دخل المبيّض في وجهه',
  // An injury.
  'ball hit him in the face',
  'Le dieron con la pelota en la cara',
  '球打到他的脸',
  '球打到他的臉',
  'ضربته الكرة في وجهه',
  // A lens that stays.
  'the lens will not come out',
  "We can't get the left one out",
  'La lente no sale',
  'No puedo quitarle la lente izquierda',
  '镜片取不下来',
  '鏡片拿不出來',
  'العدسة لا تخرج',
  // Discharge.
  'sticky goo in the corner',
  'Tiene algo pegajoso en el rabillo',
  '眼角有黏黏的东西',
  '眼角有黏黏的東西',
  'شيء لزج في زاوية العين',
  // Light.
  'cries with the light on',
  'Llora con la luz encendida',
  '一开灯就哭',
  '一開燈就哭',
  'يبكي عند تشغيل الضوء',
  // Water.
  'swam with the lenses in',
  'Nadó con las lentes puestas',
  '戴着镜片游泳了',
  '戴著鏡片游泳了',
  'سبح وهو يضع العدسات',
  // Burning.
  'it burns',
  'Le arde mucho',
  '有灼烧感',
  '有灼燒感',
  'تشعر بحرقة',
  // What is red may be an eye, also beside a thing that is.
  'is red since tonight',
  'The red case broke and now it is red',
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
  'We need a new case, the red one broke',
  'Necesitamos un estuche nuevo, el rojo se rompió',
  '需要新的镜盒，红色的那个坏了',
  '需要新的鏡盒，紅色的那個壞了',
  'نحتاج إلى علبة جديدة، العلبة الحمراء تلفت',
  'When is the next eye test?',
  'May she go swimming in the holidays?',
  'The optician gave us a spare bottle.',
  '¿Cuándo es la próxima revisión de la vista?',
  '视光师下次什么时候有空？',
  '視光師下次什麼時候有空？',
  'متى موعد الفحص القادم؟',
];

for (const text of SORE) test(`may be about a sore eye: ${text}`, () => assert.ok(maySore(text)));
for (const text of CALM) test(`is about no sore eye: ${text}`, () => assert.ok(!maySore(text)));
