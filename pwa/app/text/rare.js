// Words of screens that are fetched after the start, in all languages: kept
// apart from the catalogues, which every start waits for.

/** @import { Lang } from './text.js' */

/** @typedef {'sync.title'|'sync.lead'|'sync.do'|'reminders.later'|'pause.does'|'pause.not'|'calendar.lead'|'acuity.means'|'acuity.step.1'|'acuity.step.2'|'acuity.step.3'|'acuity.step.4'|'reminders.noname'|'reminders.offline'|'reminders.words.neutral'|'reminders.words.plain'} RareKey */

/** {time} stands for a moment. @type {Record<Lang, Record<RareKey, string>>} */
export const RARE = {
  en: {
    'sync.title': 'Connect this phone',
    'sync.lead':
      'Entries have waited here since {time}. Until they are sent, neither the clinic nor your other phones have them, and they are lost if this phone is.',
    'sync.do': 'Switch flight mode off. Switch Wi-Fi or mobile data on. Leave the app open until this message is gone.',
    'reminders.later':
      '“In 30 minutes” on a notification puts off tonight’s reminders of all your children. The app puts off those of one child, and shows until when.',
    'reminders.noname': 'Never a name.',
    'reminders.offline': 'This needs a connection. Nothing was changed.',
    'reminders.words.neutral': '“There is something to do in the app.”',
    'reminders.words.plain': 'What is due, such as “Lenses in”',
    'pause.does': 'For a holiday or an illness: reminders of lenses, cleaning and sight stop on these nights.',
    'pause.not':
      'Advice about an eye, messages from the clinic, supplies and visits do not stop. The clinic sees the pause, and may ask after you all the same.',
    'calendar.lead':
      'Gives a secret address that a calendar program can follow. It shows visit dates and no names. Whoever has the address can read it.',
    'acuity.means':
      'This shows how fine the eye sees at this moment. It does not show whether the eye is healthy, and it is not an examination.',
    'acuity.step.1': 'Turn the brightness of the screen right up, and light the room well.',
    'acuity.step.2': 'Measure the distance from the eye to the screen with a tape. Not by a mirror.',
    'acuity.step.3': 'No spectacles, no lenses. Cover the other eye with the palm, without pressing.',
    'acuity.step.4':
      'A helper holds the phone and taps where the gap in the ring is. Guess when it gets hard: that is part of it.',
  },
  es: {
    'sync.title': 'Conecte este teléfono',
    'sync.lead':
      'Hay anotaciones que esperan aquí desde {time}. Hasta que se envíen, ni la clínica ni sus otros teléfonos las tienen, y se pierden si se pierde este teléfono.',
    'sync.do':
      'Apague el modo avión, encienda el wifi o los datos móviles y deje la aplicación abierta hasta que este aviso desaparezca.',
    'reminders.later':
      '«En 30 minutos» en una notificación aplaza los recordatorios de esta noche de todos sus hijos. La aplicación aplaza los de uno solo y muestra hasta cuándo.',
    'reminders.noname': 'Nunca un nombre.',
    'reminders.offline': 'Esto necesita conexión. No se ha cambiado nada.',
    'reminders.words.neutral': '«Hay algo que hacer en la aplicación.»',
    'reminders.words.plain': 'Lo que toca, por ejemplo «Póngase las lentes de contacto»',
    'pause.does': 'Por vacaciones o enfermedad: en estas noches no hay recordatorios de lentes, limpieza ni visión.',
    'pause.not':
      'Los consejos sobre un ojo, los mensajes de la clínica, los repuestos y las visitas no se detienen. La clínica ve la pausa y puede preguntar por usted de todos modos.',
    'calendar.lead':
      'Da una dirección secreta que un programa de calendario puede seguir. Muestra fechas de visitas y ningún nombre. Quien tenga la dirección puede leerla.',
    'acuity.means': 'Muestra lo fino que ve el ojo en este momento. No dice si el ojo está sano y no es una revisión.',
    'acuity.step.1': 'Suba el brillo al máximo e ilumine bien la habitación.',
    'acuity.step.2': 'Mida con cinta la distancia del ojo a la pantalla. No con un espejo.',
    'acuity.step.3': 'Sin gafas ni lentes. Tape el otro ojo con la palma, sin apretar.',
    'acuity.step.4':
      'Otra persona sujeta el teléfono y toca hacia dónde se abre el anillo. Si es difícil, adivine: es parte de la prueba.',
  },
  zh: {
    'sync.title': '请连接本机',
    'sync.lead': '自 {time} 起有记录在这里等待。发送之前，诊所和您的其他手机都没有这些记录；本机丢失，它们也会丢失。',
    'sync.do': '请关闭飞行模式，打开 Wi-Fi 或移动数据，并让应用开着，直到此提示消失。',
    'reminders.later':
      '通知上的“30 分钟后”会推迟您所有孩子今晚的提醒。在应用里可以只推迟一个孩子的，并会显示推迟到几点。',
    'reminders.noname': '绝不显示姓名。',
    'reminders.offline': '需要网络连接。未作更改。',
    'reminders.words.neutral': '“应用里有一件事要做。”',
    'reminders.words.plain': '要做的事，例如“戴镜”',
    'pause.does': '外出度假或生病时：这些夜晚不再提醒戴镜、清洁和视力。',
    'pause.not': '关于眼睛的建议、诊所的消息、用品和复诊不会停止。诊所会看到暂停，仍可能联系您。',
    'calendar.lead': '给出一个日历程序可以订阅的秘密地址。只显示复诊日期，不含姓名。拿到地址的人都能看到。',
    'acuity.means': '它显示此刻眼睛看得多精细，不说明眼睛是否健康，也不是检查。',
    'acuity.step.1': '屏幕亮度调到最高，房间照明充足。',
    'acuity.step.2': '用卷尺量眼睛到屏幕的距离。不要用镜子。',
    'acuity.step.3': '不戴眼镜和镜片。用手掌遮住另一只眼，不要压。',
    'acuity.step.4': '由帮手拿手机，点圆环缺口的方向。看不清就猜，这也是测试的一部分。',
  },
  ar: {
    'sync.title': 'وصّل هذا الهاتف',
    'sync.lead':
      'تنتظر تسجيلات هنا منذ {time}. حتى تُرسل لا تصل إلى العيادة ولا إلى هواتفكم الأخرى، وتضيع إن ضاع هذا الهاتف.',
    'sync.do': 'أوقف وضع الطيران وشغّل الواي فاي أو بيانات الهاتف، واترك التطبيق مفتوحاً حتى تختفي هذه الرسالة.',
    'reminders.later':
      'زر «بعد 30 دقيقة» على الإشعار يؤجل تذكيرات الليلة لجميع أطفالك. في التطبيق يمكنك تأجيل تذكيرات طفل واحد، ويظهر حتى متى.',
    'reminders.noname': 'لا اسم أبدًا.',
    'reminders.offline': 'يحتاج هذا إلى اتصال. لم يتغير شيء.',
    'reminders.words.neutral': '«هناك أمر ينتظرك في التطبيق.»',
    'reminders.words.plain': 'ما حان وقته، مثل «وضع العدسات»',
    'pause.does': 'للسفر أو المرض: تتوقف في هذه الليالي تذكيرات العدسات والتنظيف والرؤية.',
    'pause.not':
      'لا تتوقف النصائح بشأن العين ولا رسائل العيادة ولا المستلزمات ولا الزيارات. ترى العيادة الإيقاف وقد تسأل عنك رغم ذلك.',
    'calendar.lead':
      'يعطي عنواناً سرياً يمكن لبرنامج تقويم متابعته. يعرض تواريخ الزيارات دون أسماء. كل من لديه العنوان يستطيع قراءته.',
    'acuity.means': 'يبين مدى دقة نظر العين الآن. لا يبين هل العين سليمة وليس فحصاً.',
    'acuity.step.1': 'ارفع سطوع الشاشة إلى أقصاه وأضئ الغرفة جيداً.',
    'acuity.step.2': 'قس المسافة من العين إلى الشاشة بشريط. لا بمرآة.',
    'acuity.step.3': 'بلا نظارة ولا عدسات. غط العين الأخرى براحة اليد دون ضغط.',
    'acuity.step.4': 'يمسك مساعد الهاتف ويلمس جهة فتحة الحلقة. خمّن عندما يصعب: هذا جزء من الاختبار.',
  },
};
