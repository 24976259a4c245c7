// The console’s pages about privacy in Arabic, by the English text. Ours: nobody who speaks the language has read it yet.

/** @type {Record<string, import('../text.js').Text>} */
export const privacy = {
  'one more phone reads the log: “{device}” of {person}, since {at}':
    'هاتف آخر يقرأ السجل: «{device}» لصاحبه {person}، منذ {at}',
  '{person} took their consent back on {at}: nothing they log is taken any more but reports of a sore eye. Agree with the family what holds for the nights.':
    'سحب {person} موافقته في {at}: لا يُستقبل مما يسجله إلا بلاغات العين المؤلمة. اتفق مع العائلة على ما يسري لليالي.',
  '{person} agreed again on {at}': 'وافق {person} من جديد في {at}',
  'New about who reads families’ logs: {n}': 'جديد عمّن يقرأ سجلات العائلات: {n}',
  'A parent with parental authority': 'أحد الوالدين له الولاية',
  'A guardian with parental authority': 'وصي له الولاية',
  'The wearer, of full age': 'مستخدم العدسات نفسه، بالغ',
  'A teen, for whom somebody with parental authority has agreed': 'يافع وافق عنه من له الولاية',
  '{at}: took consent back, on {device}': '{at}: سحب الموافقة على {device}',
  '{at}: agreed to version {version} for {wearers}, on {device}':
    '{at}: وافق على النسخة {version} عن {wearers} على {device}',
  '{basis}, stated by {name} on {at}.': '{basis}، بإقرار {name} في {at}.',
  'Nobody has stated whether this person may decide for the wearers.':
    'لم يُقرّ أحد بأن لهذا الشخص أن يقرر عن مستخدمي العدسات.',
  'Took their consent back: nothing they log is taken but reports of a sore eye.':
    'سحب موافقته: لا يُستقبل مما يسجله إلا بلاغات العين المؤلمة.',
  'Consent: {n} on record': 'الموافقة: {n} في السجل',
  'Nobody agrees before they join.': 'لا أحد يوافق قبل أن ينضم.',
  'State authority': 'إقرار بالولاية',
  'I state for the record that this person is': 'أقرّ في السجل بأن هذا الشخص هو',
  'State it in my name': 'الإقرار باسمي',
  Privacy: 'الخصوصية',
  'A text for whoever keeps the server': 'نص لمن يدير الخادم',
  'In English, after article 28 of the General Data Protection Regulation. Have a lawyer read it before anybody signs.':
    'بالإنجليزية، وفق المادة 28 من اللائحة العامة لحماية البيانات. ليقرأه محامٍ قبل أن يوقّع أحد.',
  'Show the text': 'عرض النص',
  'What families read and agree to': 'ما تقرؤه العائلات وتوافق عليه',
  'Version {version}. Kept for {years} after the last entry or visit, as the practice has set.':
    'النسخة {version}. يُحفظ {years} بعد آخر تسجيل أو زيارة، كما حددته العيادة.',
  '{n} years': '{n} سنوات',
  'as long as health records must be kept': 'ما دام حفظ السجلات الصحية واجباً',
  'Who answers for the data': 'من المسؤول عن البيانات',
  'Name and address. Empty: {name}.': 'الاسم والعنوان. فارغ: {name}.',
  'Whom to ask about it': 'من يُسأل عنها',
  'Mail or telephone. Empty: the practice’s telephone.': 'بريد أو هاتف. فارغ: هاتف العيادة.',
  'Whom to complain to': 'إلى من تُقدَّم الشكوى',
  'The authority for data protection. Empty: it is not named.': 'هيئة حماية البيانات. فارغ: لا تُسمّى.',
  'The practice’s own words': 'كلمات العيادة نفسها',
  'They take the place of the first two paragraphs of the app’s words, in each language. What the app is and is not, who answers for the data, how long it is kept and the rights stand below them in any case.':
    'تحل محل الفقرتين الأوليين من كلمات التطبيق في كل لغة. أما ما هو التطبيق وما ليس هو، ومن المسؤول عن البيانات، ومدة حفظها، والحقوق، فتبقى تحتها في كل حال.',
  'Every family is asked to agree again. Until they do, everything goes on for them.':
    'يُطلب من كل عائلة أن توافق من جديد. وحتى ذلك الحين يستمر لها كل شيء.',
  'Yes, ask everybody again': 'نعم، اسأل الجميع من جديد',
  'When the practice became aware of it': 'متى علمت العيادة بذلك',
  'Date and time. The authority is told within 72 hours of it, unless nobody is put at risk.':
    'التاريخ والوقت. تُبلَّغ الهيئة خلال 72 ساعة إلا إذا لم يتعرض أحد لخطر.',
  'What happened': 'ما الذي حدث',
  'Whose data, and about how much': 'بيانات من، وكم تقريباً',
  'Kinds and numbers; no names.': 'الأنواع والأعداد؛ بلا أسماء.',
  'What it may bring about': 'ما قد يترتب عليه',
  'What was done, and will be': 'ما فُعل وما سيُفعل',
  'Who was told, and when; or why nobody': 'من أُبلغ ومتى؛ أو لماذا لم يُبلَّغ أحد',
  'The authority, and the people themselves where the risk is high.': 'الهيئة، والأشخاص أنفسهم حين يكون الخطر كبيراً.',
  'Register of breaches': 'سجل خروقات البيانات',
  'Every loss, theft or wrong reader of personal data is noted here, small ones too. Nothing is ever taken out. Write no names of families.':
    'يُدوَّن هنا كل فقد أو سرقة أو اطلاع خاطئ على بيانات شخصية، ولو صغيراً. ولا يُحذف منه شيء أبداً. لا تكتب أسماء عائلات.',
  'None is noted.': 'لا شيء مدوَّن.',
  'Note a breach': 'تدوين خرق',
  '{found}: {what}': '{found}: {what}',
  'Noted by {name} on {at}.': 'دوّنه {name} في {at}.',
  'What was learnt or done since': 'ما عُلم أو فُعل بعد ذلك',
  'Which of these devices does {name} have with them? The others are shut out.':
    'أيّ هذه الأجهزة مع {name}؟ تُوقف البقية.',
  '{device}, last heard {date}': '{device}، آخر ظهور {date}',
};
