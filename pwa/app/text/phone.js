// Words about the phone, its browser and what they ask, in all languages: apart
// from the catalogues, because most of them are seldom needed.

/** @import { Lang } from './text.js' */

/** @typedef {'acuity.scaled'|'notify.asking'|'notify.unanswered'|'notify.unsubscribed'|'notify.offline'|'keep.ask'|'keep.no'|'keep.yes'|'keep.webkit'|'keep.private'|'cleared.title'|'cleared.back'|'cleared.lost'|'cleared.wear'|'cleared.check'} PhoneKey */

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
  },
};
