// The two sheets for when the app is no help: one for the family's fridge, one
// for the practice while the server is down. Red flags are those of the rule
// table, with its words in each language; everything else is said here. Pure.
import { levelRank } from '../../alerts/evaluate.js';
import { headline, RULES } from '../app/model/report.js';

/** @import { Lang } from '../app/text/text.js' */
/** @import { Settings } from './api.js' */

/** The sheets. */
export const SHEETS = /** @type {const} */ (['fridge', 'practice']);

/**
 * What to do, and the signs that ask for it.
 * @typedef {{heads: string[], signs: string[]}} Flags keys of medical texts
 */

/**
 * The red flags of the table, the most pressing first: signs that ask for the
 * same stand together, and a sign that two rules name stands once.
 * @returns {Flags[]}
 */
export function redFlags() {
  /** @type {Map<string, Flags>} */
  const groups = new Map();
  // Rules of the check's first question say of "right now" what others say of an eye.
  const urgent = RULES.rules.filter(
    r => r.about === 'symptoms' && levelRank(r.level) >= levelRank('urgent') && !r.id.startsWith('now-'),
  );
  for (const r of urgent) {
    const heads = headline(r);
    const group = groups.get(heads.join()) ?? { heads, signs: [] };
    groups.set(heads.join(), group);
    if (!group.signs.includes(r.family)) group.signs.push(r.family);
  }
  return [...groups.values()];
}

/**
 * Days on which the telephone is answered at the same hours, from Monday.
 * @param {Settings['practice']['contacts']['hours']} hours
 * @returns {{days: number[], times: string[]}[]} days 0 Sunday to 6 Saturday
 */
export function openings(hours) {
  /** @type {{days: number[], times: string[]}[]} */
  const out = [];
  for (const day of [1, 2, 3, 4, 5, 6, 0]) {
    const times = hours
      .filter(h => h.weekday === day)
      .map(h => `${h.from}–${h.to}`)
      .sort();
    const last = out.at(-1);
    if (!times.length) continue;
    if (last && last.days.at(-1) === (day + 6) % 7 && last.times.join() === times.join()) last.days.push(day);
    else out.push({ days: [day], times });
  }
  return out;
}

/** @typedef {'fridge.title'|'fridge.lead'|'signs'|'numbers'|'answers'|'practice'|'after'|'emergency'|'place'|'missing'|'nolens'|'unsure'|'printed'|'unread'|'practice.title'|'practice.lead'|'do.phone'|'do.ask'|'do.tell'|'do.clinician'|'do.stop'|'do.back'|'do.server'|'who'|'note.name'|'note.phone'|'note.signs'|'note.told'} PaperKey */

/** Words of the sheets. Those that are not English await a reader who speaks the language. @type {Record<Lang, Record<PaperKey, string>>} */
export const PAPER = {
  en: {
    'fridge.title': 'Something wrong with an eye?',
    'fridge.lead': 'For when the app is not at hand. Do not wait for it: phone.',
    signs: 'What you see or feel, and what to do',
    numbers: 'Whom to call',
    answers: 'The phone is answered',
    practice: 'Clinic',
    after: 'Out of hours',
    emergency: 'Emergency number',
    place: 'Nobody answers within 10 minutes? Go here',
    missing: 'not set: ask the clinic',
    nolens: 'No lens in either eye until the clinic says so.',
    unsure: 'Not sure? Take the more serious one.',
    printed: 'Printed on {date}. Ask for a new sheet when a number changes.',
    unread: 'No practitioner who speaks this language has read these words yet.',
    'practice.title': 'When the app or its server is down',
    'practice.lead':
      'Families’ phones go on giving advice. They say that the practice does not have the report, and to call.',
    'do.phone': 'Answer every call, also from the answering machine. Keep one line free.',
    'do.ask':
      'Ask and write down: name and date of birth, which eye, what is seen and felt, since when, whether a lens is in, a number to call back.',
    'do.tell': 'Tell them what stands in the list below. In doubt, the more serious one.',
    'do.clinician': 'A clinician hears of each at once, and calls the family.',
    'do.stop': 'Whoever may wear no lens is told so by phone, and it is written here.',
    'do.back': 'When the server is back: look at the queue, enter every call and every stop, and keep this sheet.',
    'do.server': 'Who looks after the server',
    who: 'On duty',
    'note.name': 'Name, born',
    'note.phone': 'Phone',
    'note.signs': 'Eye, signs, since when',
    'note.told': 'Told what, by whom, when',
  },
  es: {
    'fridge.title': '¿Algo va mal en un ojo?',
    'fridge.lead': 'Para cuando no se tiene la aplicación a mano. No la espere: llame.',
    signs: 'Qué se ve o se siente, y qué hacer',
    numbers: 'A quién llamar',
    answers: 'Se contesta al teléfono',
    practice: 'Clínica',
    after: 'Fuera de horario',
    emergency: 'Número de emergencias',
    place: '¿Nadie contesta en 10 minutos? Vaya aquí',
    missing: 'sin indicar: pregunte a la clínica',
    nolens: 'Ninguna lente en ningún ojo hasta que la clínica lo diga.',
    unsure: '¿Tiene dudas? Tome lo más grave.',
    printed: 'Impreso el {date}. Pida una hoja nueva cuando cambie un número.',
    unread: 'Ningún especialista que hable este idioma ha leído aún estas palabras.',
    'practice.title': 'Cuando la aplicación o su servidor no funcionan',
    'practice.lead':
      'Los teléfonos de las familias siguen dando consejo. Dicen que la clínica no tiene el aviso, y que llamen.',
    'do.phone': 'Conteste todas las llamadas, también las del contestador. Deje una línea libre.',
    'do.ask':
      'Pregunte y anote: nombre y fecha de nacimiento, qué ojo, qué se ve y se siente, desde cuándo, si hay una lente puesta, un número para devolver la llamada.',
    'do.tell': 'Diga lo que está en la lista de abajo. En caso de duda, lo más grave.',
    'do.clinician': 'Un clínico se entera de cada caso enseguida, y llama a la familia.',
    'do.stop': 'A quien no debe llevar lentes se le dice por teléfono, y se anota aquí.',
    'do.back': 'Cuando el servidor vuelva: mire la cola, anote cada llamada y cada «sin lentes», y guarde esta hoja.',
    'do.server': 'Quién cuida del servidor',
    who: 'De guardia',
    'note.name': 'Nombre, nacimiento',
    'note.phone': 'Teléfono',
    'note.signs': 'Ojo, signos, desde cuándo',
    'note.told': 'Qué se dijo, quién, cuándo',
  },
  zh: {
    'fridge.title': '眼睛不对劲？',
    'fridge.lead': '应用不在手边时用。不要等应用：打电话。',
    signs: '看到或感到什么，该做什么',
    numbers: '打给谁',
    answers: '电话有人接',
    practice: '诊所',
    after: '非工作时间',
    emergency: '急救号码',
    place: '10 分钟内无人接听？去这里',
    missing: '未设置：请问诊所',
    nolens: '在诊所说可以之前，两只眼睛都不要戴镜片。',
    unsure: '不确定？按更严重的做。',
    printed: '打印于 {date}。号码有变时请要一张新的。',
    unread: '还没有说这种语言的专业人员读过这些话。',
    'practice.title': '应用或服务器停了的时候',
    'practice.lead': '家庭的手机照样给出建议。手机会说诊所还没收到报告，请打电话。',
    'do.phone': '每个电话都接，留言也要听。留一条线空着。',
    'do.ask': '问清并写下：姓名和出生日期，哪只眼，看到和感到什么，从何时起，镜片是否戴着，回拨号码。',
    'do.tell': '照下面的清单告诉对方。拿不准时，按更严重的。',
    'do.clinician': '每一例都马上告诉医生，由医生打给家庭。',
    'do.stop': '不能戴镜片的人，打电话告知，并写在这里。',
    'do.back': '服务器恢复后：看队列，补记每个电话和每个“不戴镜片”，并保存此页。',
    'do.server': '谁管服务器',
    who: '值班',
    'note.name': '姓名，出生日期',
    'note.phone': '电话',
    'note.signs': '哪只眼，症状，从何时起',
    'note.told': '告知内容，何人，何时',
  },
  ar: {
    'fridge.title': 'هل في العين شيء غير طبيعي؟',
    'fridge.lead': 'لِما إذا لم يكن التطبيق في متناول اليد. لا تنتظره: اتصل.',
    signs: 'ما تراه أو تحس به، وما تفعله',
    numbers: 'بمن تتصل',
    answers: 'يُرد على الهاتف',
    practice: 'العيادة',
    after: 'خارج أوقات العمل',
    emergency: 'رقم الطوارئ',
    place: 'لا أحد يرد خلال 10 دقائق؟ اذهب إلى هنا',
    missing: 'غير محدد: اسأل العيادة',
    nolens: 'لا عدسة في أي عين حتى تقول العيادة ذلك.',
    unsure: 'لست متأكدًا؟ خذ الأخطر.',
    printed: 'طُبعت في {date}. اطلب ورقة جديدة إذا تغيّر رقم.',
    unread: 'لم يقرأ هذه الكلمات بعد مختص يتكلم هذه اللغة.',
    'practice.title': 'إذا توقف التطبيق أو خادمه',
    'practice.lead': 'هواتف العائلات تستمر في إعطاء النصيحة. وتقول إن البلاغ لم يصل إلى العيادة، وإن عليهم الاتصال.',
    'do.phone': 'ردوا على كل مكالمة، وعلى المجيب الآلي أيضًا. اتركوا خطًا فارغًا.',
    'do.ask': 'اسألوا واكتبوا: الاسم وتاريخ الميلاد، أي عين، ما يُرى ويُحس، منذ متى، هل العدسة في العين، رقم للاتصال.',
    'do.tell': 'قولوا لهم ما في القائمة أدناه. عند الشك، الأخطر.',
    'do.clinician': 'يعلم الطبيب بكل حالة فورًا، ويتصل بالعائلة.',
    'do.stop': 'من لا يجوز له لبس العدسة يُخبر بالهاتف، ويُكتب ذلك هنا.',
    'do.back': 'عند عودة الخادم: انظروا إلى قائمة التنبيهات، وسجّلوا كل مكالمة وكل منع، واحفظوا هذه الورقة.',
    'do.server': 'من يعتني بالخادم',
    who: 'المناوب',
    'note.name': 'الاسم، الميلاد',
    'note.phone': 'الهاتف',
    'note.signs': 'العين، العلامات، منذ متى',
    'note.told': 'ما قيل، ومن قاله، ومتى',
  },
};
