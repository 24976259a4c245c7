// What a notification says, in Arabic.

/** @type {Record<string, string>} by kind of message */
export const WORDS = {
  title: 'Nightkeep',
  word: 'رسالة من العيادة.',
  stop: 'تغيّر شيء لهذه الليلة. افتح التطبيق قبل أي شيء.',
  taken: 'قرأت العيادة ما أرسلته. افتح لمعرفة ما يسري.',
  silence: 'لم يرد أحد في العيادة. اتصل الآن من فضلك. لا رد خلال 10 دقائق؟ افتح التطبيق، ففيه إلى أين تذهب.',
  closed: 'اتخذت العيادة قرارها. افتح لعرضه.',
  device: 'هاتف آخر يقرأ سجلكم. افتح لترى أيّها.',
  reminder: 'هناك أمر ينتظرك في التطبيق.',
  alert: 'أبلغت أسرة عن أمر ما. افتح لعرضه.',
  test: 'وصلت رسالة الاختبار.',
  other: 'افتح التطبيق.',
  drill: 'هذا تمرين تجريبي، لا أحد مريض.',
};

/** What is due, by reminder, and putting it off. @type {Record<string, string>} */
export const DUE = {
  later: 'بعد 30 دقيقة',
  'later-all': 'كل الأطفال: بعد 30 دقيقة',
  insertion: 'ضع العدسات',
  'insertion-right': 'ضع العدسة اليمنى',
  'insertion-left': 'ضع العدسة اليسرى',
  removal: 'أخرج العدسات من العين',
  care: 'نظّف العدسات واحفظها',
  'care-right': 'نظّف العدسة اليمنى وحدها واحفظها',
  'care-left': 'نظّف العدسة اليسرى وحدها واحفظها',
  spectacles: 'خذ النظارة معك',
  'deposit-removal': 'إزالة الترسبات',
  'evening-sight': 'نظر المساء',
  acuity: 'اختبار النظر',
  case: 'علبة عدسات جديدة',
  bottle: 'زجاجة جديدة',
  drops: 'قطرات جديدة',
  lens: 'عدسات جديدة',
  holder: 'شفاط عدسات جديد',
  recall: 'زيارة العيادة: أحضر العدسات والعلبة والزجاجات',
  sync: 'وصّل هذا الهاتف',
};
