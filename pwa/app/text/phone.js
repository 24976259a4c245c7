// Words about the phone, its browser and what they ask, in all languages: apart
// from the catalogues, because most of them are seldom needed.

/** @import { Lang } from './text.js' */

/** @typedef {'acuity.scaled'|'notify.asking'|'notify.unanswered'|'notify.unsubscribed'|'notify.offline'|'keep.ask'|'keep.no'|'keep.yes'|'keep.webkit'|'keep.private'|'cleared.title'|'cleared.back'|'cleared.lost'|'cleared.wear'|'cleared.check'|'zone.ask'|'zone.why'|'zone.yes'|'zone.home'|'zone.other'|'zone.pick'|'ios.title'|'ios.why.clear'|'ios.why.push'|'ios.step.share'|'ios.step.add'|'ios.step.open'|'ios.log'|'ios.make'|'ios.code.is'|'ios.copy'|'ios.copied'|'ios.uncopied'|'ios.unsent'|'ios.again'|'fragile'|'due.title'|'due.open'|'due.until'} PhoneKey */

/** @type {Record<Lang, Record<PhoneKey, string>>} */
export const PHONE = {
  en: {
    'acuity.scaled':
      'The page became larger or smaller, so the rings no longer have the size that was measured. The test ended there. Measure the screen with a card again before the next one.',
    'notify.asking': 'The browser is asking: please answer there.',
    'notify.unanswered':
      'The browser’s question was left without an answer. Nothing is blocked: tap the button to be asked again.',
    'notify.unsubscribed':
      'The browser gave the permission, but could not reach its message service. Notifications are not on yet: try again later. Until then, reminders stand in the app only.',
    'notify.offline': 'No connection. Notifications are not on yet: try again when the phone is online.',
    'keep.ask': 'Ask the phone to keep the log',
    'keep.no':
      'The phone has not promised to keep the log: it may clear it when it runs out of room. What was sent is at the clinic’s server in any case.',
    'keep.yes': 'The phone will not clear the log to make room.',
    'keep.private': 'In a private window the log is gone when the window is closed: use an ordinary one.',
    'keep.webkit':
      'On Apple’s devices Safari may clear the log of a page that nobody opened for seven days, whatever it has promised. The app on the home screen counts its own days. Each time you open it, they start anew.',
    'cleared.title': 'The log on this phone was cleared',
    'cleared.back':
      'The browser has emptied its storage: because the page was not opened for some days, because somebody cleared it, or because the phone was full. All that the clinic’s server had is back.',
    'cleared.lost':
      'What was written here and not yet sent is lost. Look through the last nights and add what is missing.',
    'cleared.wear':
      'If the app or the clinic had told you to leave the lenses out, leave them out and phone the clinic: this phone may not know of it any more.',
    'cleared.check': 'Check the eyes now',
    'zone.ask': 'Is it {time} where you are?',
    'zone.why':
      'This browser hides its time zone. Until you answer, nights and reminders go by the clock at home: {time}.',
    'zone.yes': 'Yes, it is {time}',
    'zone.home': 'No, it is {time}',
    'zone.other': 'It is another time',
    'zone.pick': 'What time is it?',
    'ios.title': 'Put the app on the home screen',
    'ios.why.clear':
      'Safari may clear the log of a page that was not opened for seven days. From the home screen, the app counts its own days, and each opening begins them anew.',
    'ios.why.push': 'Reminders and news from the clinic come only to an app on the home screen.',
    'ios.step.share': 'Tap “Share”: the square with the arrow.',
    'ios.step.add': 'Tap “Add to Home Screen”, then “Add”. Not in the list? Open this page in Safari.',
    'ios.step.open': 'Open Nightkeep from the home screen. It asks for a code, as it has a memory of its own.',
    'ios.log': 'Your log comes along: the clinic’s server has all of it. Make a code here and type it there.',
    'ios.make': 'Make the code',
    'ios.code.is': 'Type this code there, by {time}:',
    'ios.copy': 'Copy the code',
    'ios.copied': 'Copied. Hold a finger on the field there, then tap “Paste”.',
    'ios.uncopied': 'This browser did not let us copy it: please write it down.',
    'ios.unsent': 'Not yet sent, and only on this page: {n}. Send this first, then make the code.',
    'ios.again':
      'You joined in the browser on this phone before? Open Nightkeep there once more, tap “More”, then “Make the code”. Type that code here: the log comes along.',
    fragile: 'Not yet sent: {n}. Safari may clear this if the page is not opened again by {date}.',
    'due.title': 'There is something to do',
    'due.open': 'Show me',
    'due.until': 'Reminders put off until {time}.',
  },
  es: {
    'acuity.scaled':
      'La página se hizo más grande o más pequeña y los anillos ya no tienen el tamaño medido. La prueba terminó ahí. Antes de la próxima, mida otra vez la pantalla con una tarjeta.',
    'notify.asking': 'El navegador está preguntando: responda allí.',
    'notify.unanswered':
      'La pregunta del navegador quedó sin respuesta. No hay nada bloqueado: toque el botón y se preguntará otra vez.',
    'notify.unsubscribed':
      'El navegador dio el permiso, pero no alcanzó su servicio de mensajes. Las notificaciones aún no están activas: inténtelo más tarde. Hasta entonces los avisos solo están en la aplicación.',
    'notify.offline': 'Sin conexión. Las notificaciones aún no están activas: inténtelo cuando el teléfono tenga red.',
    'keep.ask': 'Pedir al teléfono que conserve el registro',
    'keep.no':
      'El teléfono no ha prometido conservar el registro: puede borrarlo si le falta espacio. Lo enviado está en todo caso en el servidor de la clínica.',
    'keep.yes': 'El teléfono no borrará el registro para hacer sitio.',
    'keep.private': 'En una ventana privada el registro se pierde al cerrarla: use una ventana normal.',
    'keep.webkit':
      'En los dispositivos de Apple, Safari puede borrar el registro de una página que no se abrió en siete días, aunque haya prometido conservarlo. Abierta desde la pantalla de inicio, la aplicación cuenta sus propios días, y cada vez que se abre empiezan de nuevo.',
    'cleared.title': 'Se borró el registro de este teléfono',
    'cleared.back':
      'El navegador vació lo guardado: porque la página no se abrió en varios días, porque alguien lo borró o porque el teléfono estaba lleno. Todo lo que tenía el servidor de la clínica ha vuelto.',
    'cleared.lost':
      'Lo que se anotó aquí y aún no se había enviado se ha perdido. Repase las últimas noches y añada lo que falte.',
    'cleared.wear':
      'Si la aplicación o la clínica le habían dicho que no se pusiera las lentes de contacto, no se las ponga y llame a la clínica: puede que este teléfono ya no lo sepa.',
    'cleared.check': 'Revisar los ojos ahora',
    'zone.ask': '¿Son las {time} donde usted está?',
    'zone.why':
      'Este navegador oculta su zona horaria. Hasta que responda, las noches y los recordatorios siguen el reloj de casa: {time}.',
    'zone.yes': 'Sí, son las {time}',
    'zone.home': 'No, son las {time}',
    'zone.other': 'Es otra hora',
    'zone.pick': '¿Qué hora es?',
    'ios.title': 'Ponga la aplicación en la pantalla de inicio',
    'ios.why.clear':
      'Safari puede borrar el registro de una página que no se abrió en siete días. Desde la pantalla de inicio, la aplicación cuenta sus propios días, y cada vez que se abre empiezan de nuevo.',
    'ios.why.push':
      'Los recordatorios y las noticias de la clínica solo llegan a una aplicación en la pantalla de inicio.',
    'ios.step.share': 'Toque «Compartir»: el cuadrado con la flecha.',
    'ios.step.add':
      'Toque «Añadir a pantalla de inicio» y después «Añadir». ¿No está en la lista? Abra esta página en Safari.',
    'ios.step.open': 'Abra Nightkeep desde la pantalla de inicio. Pide un código, porque tiene su propia memoria.',
    'ios.log':
      'Su registro va con usted: el servidor de la clínica lo tiene todo. Cree un código aquí y escríbalo allí.',
    'ios.make': 'Crear el código',
    'ios.code.is': 'Escriba allí este código, antes de {time}:',
    'ios.copy': 'Copiar el código',
    'ios.copied': 'Copiado. Mantenga el dedo sobre el campo y toque «Pegar».',
    'ios.uncopied': 'Este navegador no dejó copiarlo: anótelo, por favor.',
    'ios.unsent': 'Sin enviar y solo en esta página: {n}. Envíelo primero y después cree el código.',
    'ios.again':
      '¿Ya se unió en el navegador de este teléfono? Abra allí Nightkeep otra vez, toque «Más» y después «Crear el código». Escriba aquí ese código: el registro va con usted.',
    fragile: 'Sin enviar: {n}. Safari puede borrarlo si la página no se abre otra vez antes del {date}.',
    'due.title': 'Hay algo que hacer',
    'due.open': 'Mostrar',
    'due.until': 'Recordatorios aplazados hasta las {time}.',
  },
  zh: {
    'acuity.scaled': '页面被放大或缩小了，圆环不再是量好的大小，测试就此结束。下次测试前请用卡片重新量屏幕。',
    'notify.asking': '浏览器正在询问：请在那里回答。',
    'notify.unanswered': '浏览器的询问没有得到回答。没有被阻止：再点一次按钮就会重新询问。',
    'notify.unsubscribed':
      '浏览器已允许，但连不上它的消息服务。通知还没有开启：请稍后再试。在此之前，提醒只出现在应用里。',
    'notify.offline': '没有网络。通知还没有开启：请在手机联网后再试。',
    'keep.ask': '请手机保留记录',
    'keep.no': '手机没有承诺保留记录：空间不足时可能清除。已发送的记录无论如何都在诊所的服务器上。',
    'keep.yes': '手机不会为腾出空间而清除记录。',
    'keep.private': '在无痕（隐私）窗口里，关闭窗口后记录就会丢失：请用普通窗口。',
    'keep.webkit':
      '在苹果设备上，即使已承诺保留，Safari 仍可能清除连续七天没有打开的网页的记录。从主屏幕打开的应用单独计算天数，每次打开都重新开始。',
    'cleared.title': '本机上的记录被清除了',
    'cleared.back':
      '浏览器清空了存储：可能因为网页多日没有打开，有人清除了数据，或手机空间已满。诊所服务器上有的记录都已恢复。',
    'cleared.lost': '在这里写下而尚未发送的内容已丢失。请查看最近几晚并补上缺少的内容。',
    'cleared.wear': '如果应用或诊所曾让您停戴镜片，请继续停戴并致电诊所：本机可能已不知道这件事。',
    'cleared.check': '现在自查眼睛',
    'zone.ask': '您那里现在是 {time} 吗？',
    'zone.why': '此浏览器隐藏了时区。在您回答之前，夜晚和提醒按家里的时间：{time}。',
    'zone.yes': '是，现在是 {time}',
    'zone.home': '不是，现在是 {time}',
    'zone.other': '是别的时间',
    'zone.pick': '现在几点？',
    'ios.title': '把应用放到主屏幕',
    'ios.why.clear':
      'Safari 可能清除连续七天没有打开的网页的记录。从主屏幕打开的应用单独计算天数，每次打开都重新开始。',
    'ios.why.push': '提醒和诊所的消息只会送到主屏幕上的应用。',
    'ios.step.share': '点“共享”：带箭头的方框。',
    'ios.step.add': '点“添加到主屏幕”，再点“添加”。列表里没有？请用 Safari 打开此页面。',
    'ios.step.open': '从主屏幕打开 Nightkeep。它会再要一个代码，因为它有自己的存储。',
    'ios.log': '记录会一起过来：诊所的服务器上都有。请在这里生成代码，在那里输入。',
    'ios.make': '生成代码',
    'ios.code.is': '请在 {time} 前在那里输入此代码：',
    'ios.copy': '复制代码',
    'ios.copied': '已复制。在那里按住输入框，再点“粘贴”。',
    'ios.uncopied': '此浏览器不允许复制：请写下来。',
    'ios.unsent': '尚未发送、只在此页面上的有 {n} 条。请先发送，再生成代码。',
    'ios.again':
      '以前在这部手机的浏览器里加入过？请在那里再打开 Nightkeep，点“更多”，再点“生成代码”。在这里输入该代码：记录会一起过来。',
    fragile: '尚未发送：{n} 条。如果在 {date} 之前不再打开此页面，Safari 可能会清除它们。',
    'due.title': '有一件事要做',
    'due.open': '打开查看',
    'due.until': '提醒已推迟到 {time}。',
  },
  ar: {
    'acuity.scaled':
      'كبرت الصفحة أو صغرت فلم تعد الحلقات بالحجم الذي قيس. انتهى الاختبار هنا. قبل الاختبار التالي قس الشاشة ببطاقة مرة أخرى.',
    'notify.asking': 'المتصفح يسأل: أجب هناك من فضلك.',
    'notify.unanswered': 'بقي سؤال المتصفح دون جواب. لا شيء محظور: المس الزر ليُطرح السؤال مرة أخرى.',
    'notify.unsubscribed':
      'أعطى المتصفح الإذن لكنه لم يصل إلى خدمة رسائله. الإشعارات لم تعمل بعد: حاول لاحقاً. حتى ذلك الحين تظهر التذكيرات في التطبيق فقط.',
    'notify.offline': 'لا اتصال. الإشعارات لم تعمل بعد: حاول عندما يتصل الهاتف.',
    'keep.ask': 'اطلب من الهاتف الاحتفاظ بالسجل',
    'keep.no': 'لم يعد الهاتف بالاحتفاظ بالسجل: قد يمحوه إذا قلت المساحة. ما أُرسل موجود على خادم العيادة على أي حال.',
    'keep.yes': 'لن يمحو الهاتف السجل ليوفر مساحة.',
    'keep.private': 'في نافذة خاصة يضيع السجل عند إغلاقها: استعمل نافذة عادية.',
    'keep.webkit':
      'على أجهزة أبل قد يمحو متصفح سفاري سجل صفحة لم تُفتح سبعة أيام، مهما وُعد به. والتطبيق المفتوح من الشاشة الرئيسية يعد أيامه وحده، وكل فتح له يبدأ العد من جديد.',
    'cleared.title': 'مُحي السجل من هذا الهاتف',
    'cleared.back':
      'أفرغ المتصفح ما حفظه: لأن الصفحة لم تُفتح أياماً، أو لأن أحداً محاه، أو لأن الهاتف امتلأ. عاد كل ما كان على خادم العيادة.',
    'cleared.lost': 'ما كُتب هنا ولم يُرسل بعد ضاع. راجع الليالي الأخيرة وأضف ما ينقص.',
    'cleared.wear':
      'إذا كان التطبيق أو العيادة قد طلبا منك عدم وضع العدسات فلا تضعها واتصل بالعيادة: ربما لم يعد هذا الهاتف يعلم بذلك.',
    'cleared.check': 'أجب الآن عن أسئلة العين',
    'zone.ask': 'هل الساعة عندك الآن {time}؟',
    'zone.why': 'يخفي هذا المتصفح منطقته الزمنية. حتى تجيب تتبع الليالي والتذكيرات ساعة البيت: {time}.',
    'zone.yes': 'نعم، الساعة {time}',
    'zone.home': 'لا، الساعة {time}',
    'zone.other': 'الساعة غير ذلك',
    'zone.pick': 'كم الساعة؟',
    'ios.title': 'ضع التطبيق على الشاشة الرئيسية',
    'ios.why.clear':
      'قد يمحو متصفح سفاري سجل صفحة لم تُفتح سبعة أيام. والتطبيق المفتوح من الشاشة الرئيسية يعد أيامه وحده، وكل فتح له يبدأ العد من جديد.',
    'ios.why.push': 'لا تصل التذكيرات وأخبار العيادة إلا إلى تطبيق على الشاشة الرئيسية.',
    'ios.step.share': 'المس «مشاركة»: المربع ذو السهم.',
    'ios.step.add': 'المس «إضافة إلى الشاشة الرئيسية» ثم «إضافة». ليست في القائمة؟ افتح هذه الصفحة في سفاري.',
    'ios.step.open': 'افتح Nightkeep من الشاشة الرئيسية. سيطلب رمزاً لأن له ذاكرة خاصة به.',
    'ios.log': 'يأتي سجلك معك: كله على خادم العيادة. أنشئ رمزاً هنا واكتبه هناك.',
    'ios.make': 'أنشئ الرمز',
    'ios.code.is': 'اكتب هذا الرمز هناك قبل {time}:',
    'ios.copy': 'انسخ الرمز',
    'ios.copied': 'نُسخ. اضغط مطولاً على الحقل هناك ثم المس «لصق».',
    'ios.uncopied': 'لم يسمح هذا المتصفح بالنسخ: اكتبه من فضلك.',
    'ios.unsent': 'لم يُرسل بعد، وهو في هذه الصفحة وحدها: {n}. أرسله أولاً ثم أنشئ الرمز.',
    'ios.again':
      'هل انضممت من قبل في متصفح هذا الهاتف؟ افتح Nightkeep هناك مرة أخرى والمس «المزيد» ثم «أنشئ الرمز». اكتب ذلك الرمز هنا فيأتي السجل معك.',
    fragile: 'لم يُرسل بعد: {n}. قد يمحوه سفاري إذا لم تُفتح الصفحة مرة أخرى قبل {date}.',
    'due.title': 'هناك أمر ينتظرك',
    'due.open': 'أظهره',
    'due.until': 'أُجلت التذكيرات حتى {time}.',
  },
};

/**
 * A text of this file, filled in.
 * @param {import('./text.js').Words} words
 * @param {PhoneKey} key
 * @param {Record<string, string|number>} [args]
 */
export const phone = (words, key, args) => words.t(PHONE[words.lang][key], args); // what is no key is filled in as it is
