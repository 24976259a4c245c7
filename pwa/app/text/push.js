// What a notification says. A locked phone shows neutral words, and what is due
// only where the family chose so; never a name.

/** @type {Record<string, Record<string, string>>} */
export const WORDS = {
  en: {
    title: 'Nightkeep',
    word: 'A word from the clinic.',
    taken: 'The clinic has read what you sent. Open to see what holds.',
    silence:
      'Nobody at the clinic has answered. Please phone now. No answer in 10 minutes? Open the app: it says where to go.',
    closed: 'The clinic has decided. Open to see it.',
    reminder: 'There is something to do in the app.',
    alert: 'A family has reported something. Open to see it.',
    test: 'The test message has arrived.',
    other: 'Open the app.',
    drill: 'A drill, nobody is ill.',
  },
  es: {
    title: 'Nightkeep',
    word: 'Un mensaje de la consulta.',
    taken: 'La clínica ha leído lo que envió. Abra para ver qué vale.',
    silence:
      'Nadie ha respondido en la clínica. Llame ahora, por favor. ¿Nadie contesta en 10 minutos? Abra la aplicación: dice adónde ir.',
    closed: 'La clínica ha decidido. Abra para verlo.',
    reminder: 'Hay algo que hacer en la aplicación.',
    alert: 'Una familia ha avisado de algo. Abra para verlo.',
    test: 'Ha llegado el mensaje de prueba.',
    other: 'Abra la aplicación.',
    drill: 'Es un simulacro, nadie está enfermo.',
  },
  zh: {
    title: 'Nightkeep',
    word: '诊所发来了消息。',
    taken: '诊所已阅读您发送的内容。请打开查看。',
    silence: '诊所无人回应。请现在打电话。10 分钟没人接？打开应用，上面写着去哪里。',
    closed: '诊所已作出决定。请打开查看。',
    reminder: '应用里有一件事要做。',
    alert: '有家庭上报了情况，请打开查看。',
    test: '测试消息已送达。',
    other: '请打开应用。',
    drill: '这是演练，没有人生病。',
  },
  ar: {
    title: 'Nightkeep',
    word: 'رسالة من العيادة.',
    taken: 'قرأت العيادة ما أرسلته. افتح لمعرفة ما يسري.',
    silence: 'لم يرد أحد في العيادة. اتصل الآن من فضلك. لا رد خلال 10 دقائق؟ افتح التطبيق، ففيه إلى أين تذهب.',
    closed: 'اتخذت العيادة قرارها. افتح لعرضه.',
    reminder: 'هناك أمر ينتظرك في التطبيق.',
    alert: 'أبلغت عائلة عن أمر ما. افتح لعرضه.',
    test: 'وصلت رسالة الاختبار.',
    other: 'افتح التطبيق.',
    drill: 'هذا تدريب، لا أحد مريض.',
  },
};

/** What is due, by reminder, and putting it off. @type {Record<string, Record<string, string>>} */
export const DUE = {
  en: {
    later: 'In 30 minutes',
    insertion: 'Lenses in',
    'insertion-right': 'Right lens in',
    'insertion-left': 'Left lens in',
    removal: 'Lenses out',
    care: 'Clean and store the lenses',
    spectacles: 'Take spectacles along',
    'deposit-removal': 'Deposit removal',
    'evening-sight': 'Evening sight',
    acuity: 'Sight test',
    case: 'New lens case',
    bottle: 'New bottle',
    drops: 'New drops',
    lens: 'New lenses',
    holder: 'New suction holder',
    recall: 'Visit to the clinic: bring lenses, case and bottles',
    sync: 'Connect this phone',
  },
  es: {
    later: 'En 30 minutos',
    insertion: 'Póngase las lentes de contacto',
    'insertion-right': 'Póngase la lente de contacto derecha',
    'insertion-left': 'Póngase la lente de contacto izquierda',
    removal: 'Quítese las lentes de contacto',
    care: 'Limpie y guarde las lentes de contacto',
    spectacles: 'Lleve las gafas',
    'deposit-removal': 'Eliminar depósitos',
    'evening-sight': 'Visión de la tarde',
    acuity: 'Prueba de visión',
    case: 'Estuche nuevo',
    bottle: 'Frasco nuevo',
    drops: 'Gotas nuevas',
    lens: 'Lentes de contacto nuevas',
    holder: 'Ventosa nueva',
    recall: 'Visita a la clínica: traiga las lentes de contacto, estuche y frascos',
    sync: 'Conecte este teléfono',
  },
  zh: {
    later: '30 分钟后',
    insertion: '戴镜',
    'insertion-right': '戴右眼镜片',
    'insertion-left': '戴左眼镜片',
    removal: '摘镜',
    care: '清洁并存放镜片',
    spectacles: '带上眼镜',
    'deposit-removal': '除沉淀',
    'evening-sight': '傍晚视力',
    acuity: '视力测试',
    case: '换新镜盒',
    bottle: '换新护理液',
    drops: '换新滴眼液',
    lens: '换新镜片',
    holder: '换新吸棒',
    recall: '复诊：请带镜片、镜盒和护理液',
    sync: '连接此手机',
  },
  ar: {
    later: 'بعد 30 دقيقة',
    insertion: 'وضع العدسات',
    'insertion-right': 'وضع العدسة اليمنى',
    'insertion-left': 'وضع العدسة اليسرى',
    removal: 'نزع العدسات',
    care: 'تنظيف العدسات وحفظها',
    spectacles: 'خذ النظارة معك',
    'deposit-removal': 'إزالة الترسبات',
    'evening-sight': 'رؤية المساء',
    acuity: 'اختبار النظر',
    case: 'علبة عدسات جديدة',
    bottle: 'زجاجة جديدة',
    drops: 'قطرة جديدة',
    lens: 'عدسات جديدة',
    holder: 'شفاط عدسات جديد',
    recall: 'زيارة العيادة: أحضر العدسات والعلبة والزجاجات',
    sync: 'وصّل هذا الهاتف',
  },
};

/** @typedef {{tag?: string, kind?: string, level?: string, url?: string, due?: string[], drill?: boolean}} Push as the server sends it */
/** @typedef {{title: string, body: string, later: string}} Said */

/**
 * @param {Push} push
 * @param {string} lang
 * @returns {Said} later: the words for putting off, or ""
 */
export function said(push, lang) {
  const words = WORDS[lang] ?? WORDS.en;
  const due = DUE[lang] ?? DUE.en;
  const plain = (push.due ?? [])
    .filter(id => Object.hasOwn(due, id))
    .map(id => due[id])
    .join(' · ');
  const reminder = push.kind === 'reminder';
  const drill = push.drill ? `${words.drill} ` : '';
  return {
    title: words.title,
    body:
      drill + ((reminder && plain) || (Object.hasOwn(words, push.kind ?? '') ? words[push.kind ?? ''] : words.other)),
    later: reminder ? due.later : '',
  };
}
