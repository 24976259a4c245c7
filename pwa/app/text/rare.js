// Words of two screens that are fetched after the start, in all languages: kept
// apart from the catalogues, which every start waits for.

/** @import { Lang } from './text.js' */

/** @typedef {'sync.title'|'sync.lead'|'sync.do'|'reminders.later'|'pause.does'|'pause.not'|'reminders.noname'|'reminders.offline'|'reminders.words.neutral'|'reminders.words.plain'} RareKey */

/** {time} stands for a moment. @type {Record<Lang, Record<RareKey, string>>} */
export const RARE = {
  en: {
    'sync.title': 'Connect this phone',
    'sync.lead': 'Entries have waited here since {time}. Until they are sent, neither the clinic nor your other phones have them, and they are lost if this phone is.',
    'sync.do': 'Switch flight mode off, Wi-Fi or mobile data on, and leave the app open until this message is gone.',
    'reminders.later': '“In 30 minutes” on a notification puts off tonight’s reminders of all your children. The app puts off those of one child, and shows until when.',
    'reminders.noname': 'Never a name.',
    'reminders.offline': 'This needs a connection. Nothing was changed.',
    'reminders.words.neutral': '“There is something to do in the app.”',
    'reminders.words.plain': 'What is due, such as “Lenses in”',
    'pause.does': 'For a holiday or an illness: reminders of lenses, cleaning and sight stop on these nights.',
    'pause.not': 'Advice about an eye, messages from the clinic, supplies and visits do not stop. The clinic sees the pause, and may ask after you all the same.',
  },
  es: {
    'sync.title': 'Conecte este teléfono',
    'sync.lead': 'Hay anotaciones que esperan aquí desde {time}. Hasta que se envíen, ni la clínica ni sus otros teléfonos las tienen, y se pierden si se pierde este teléfono.',
    'sync.do': 'Apague el modo avión, encienda el wifi o los datos móviles y deje la aplicación abierta hasta que este aviso desaparezca.',
    'reminders.later': '«En 30 minutos» en una notificación aplaza los recordatorios de esta noche de todos sus hijos. La aplicación aplaza los de uno solo y muestra hasta cuándo.',
    'reminders.noname': 'Nunca un nombre.',
    'reminders.offline': 'Esto necesita conexión. No se ha cambiado nada.',
    'reminders.words.neutral': '«Hay algo que hacer en la aplicación.»',
    'reminders.words.plain': 'Lo que toca, por ejemplo «Lentes puestas»',
    'pause.does': 'Por vacaciones o enfermedad: en estas noches no hay avisos de lentes, limpieza ni visión.',
    'pause.not': 'Los consejos sobre un ojo, los mensajes de la clínica, los repuestos y las visitas no se detienen. La clínica ve la pausa y puede preguntar por usted de todos modos.',
  },
  zh: {
    'sync.title': '请连接本机',
    'sync.lead': '自 {time} 起有记录在这里等待。发送之前，诊所和您的其他手机都没有这些记录；本机丢失，它们也会丢失。',
    'sync.do': '请关闭飞行模式，打开 Wi-Fi 或移动数据，并让应用开着，直到此提示消失。',
    'reminders.later': '通知上的“30 分钟后”会推迟您所有孩子今晚的提醒。在应用里可以只推迟一个孩子的，并会显示推迟到几点。',
    'reminders.noname': '绝不显示姓名。',
    'reminders.offline': '需要网络连接。未作更改。',
    'reminders.words.neutral': '“应用里有一件事要做。”',
    'reminders.words.plain': '要做的事，例如“戴镜”',
    'pause.does': '外出度假或生病时：这些夜晚不再提醒戴镜、清洁和视力。',
    'pause.not': '关于眼睛的建议、诊所的消息、用品和复诊不会停止。诊所会看到暂停，仍可能联系您。',
  },
  ar: {
    'sync.title': 'وصّل هذا الهاتف',
    'sync.lead': 'تنتظر تسجيلات هنا منذ {time}. حتى تُرسل لا تصل إلى العيادة ولا إلى هواتفكم الأخرى، وتضيع إن ضاع هذا الهاتف.',
    'sync.do': 'أوقف وضع الطيران وشغّل الواي فاي أو بيانات الهاتف، واترك التطبيق مفتوحاً حتى تختفي هذه الرسالة.',
    'reminders.later': 'زر «بعد 30 دقيقة» على الإشعار يؤجل تذكيرات الليلة لجميع أطفالك. في التطبيق يمكنك تأجيل تذكيرات طفل واحد، ويظهر حتى متى.',
    'reminders.noname': 'لا اسم أبدًا.',
    'reminders.offline': 'يحتاج هذا إلى اتصال. لم يتغير شيء.',
    'reminders.words.neutral': '«هناك أمر ينتظرك في التطبيق.»',
    'reminders.words.plain': 'ما حان وقته، مثل «وضع العدسات»',
    'pause.does': 'للسفر أو المرض: تتوقف في هذه الليالي تذكيرات العدسات والتنظيف والرؤية.',
    'pause.not': 'لا تتوقف النصائح بشأن العين ولا رسائل العيادة ولا المستلزمات ولا الزيارات. ترى العيادة الإيقاف وقد تسأل عنك رغم ذلك.',
  },
};
