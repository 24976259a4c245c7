// The console’s pages about privacy in Chinese, by the English text. Ours: nobody who speaks the language has read it yet.

/** @type {Record<string, import('../text.js').Text>} */
export const privacy = {
  'one more phone reads the log: “{device}” of {person}, since {at}':
    '又有一部手机在读取记录：{person}的“{device}”，自{at}起',
  '{person} took their consent back on {at}: nothing they log is taken any more but reports of a sore eye. Agree with the family what holds for the nights.':
    '{person}于{at}撤回了同意：除眼睛不适的报告外，不再收下其记录。请与家庭商定夜间如何安排。',
  '{person} agreed again on {at}': '{person}于{at}再次同意',
  'New about who reads families’ logs: {n}': '关于谁在读取家庭记录的新消息：{n}',
  'A parent with parental authority': '有监护权的父母',
  'A guardian with parental authority': '有监护权的监护人',
  'The wearer, of full age': '已成年的配戴者本人',
  'A teen, for whom somebody with parental authority has agreed': '青少年，已由有监护权者代为同意',
  '{at}: took consent back, on {device}': '{at}：在{device}上撤回同意',
  '{at}: agreed to version {version} for {wearers}, on {device}': '{at}：在{device}上为{wearers}同意第{version}版',
  '{basis}, stated by {name} on {at}.': '{basis}，由{name}于{at}声明。',
  'Nobody has stated whether this person may decide for the wearers.': '尚无人声明此人是否可以为配戴者作决定。',
  'Took their consent back: nothing they log is taken but reports of a sore eye.':
    '已撤回同意：除眼睛不适的报告外，不再收下其记录。',
  'Consent: {n} on record': '同意：记录在案 {n} 条',
  'Nobody agrees before they join.': '加入之前没有人同意。',
  'State authority': '声明监护权',
  'I state for the record that this person is': '我声明并记录在案，此人是',
  'State it in my name': '以我的名义声明',
  Privacy: '隐私',
  'A text for whoever keeps the server': '给维护服务器者的文本',
  'In English, after article 28 of the General Data Protection Regulation. Have a lawyer read it before anybody signs.':
    '英文，依据《通用数据保护条例》第28条。签署前请律师阅读。',
  'Show the text': '显示文本',
  'What families read and agree to': '家庭阅读并同意的内容',
  'Version {version}. Kept for {years} after the last entry or visit, as the practice has set.':
    '第{version}版。最后一次记录或就诊之后保存{years}，由诊所设定。',
  '{n} years': '{n} 年',
  'as long as health records must be kept': '健康档案须保存的期限',
  'Who answers for the data': '谁对数据负责',
  'Name and address. Empty: {name}.': '名称和地址。留空：{name}。',
  'Whom to ask about it': '向谁询问',
  'Mail or telephone. Empty: the practice’s telephone.': '邮箱或电话。留空：诊所电话。',
  'Whom to complain to': '向谁投诉',
  'The authority for data protection. Empty: it is not named.': '数据保护机构。留空：不写明。',
  'The practice’s own words': '诊所自己的文字',
  'They take the place of the first two paragraphs of the app’s words, in each language. What the app is and is not, who answers for the data, how long it is kept and the rights stand below them in any case.':
    '它们在每种语言中取代应用文字的前两段。应用是什么和不是什么、谁对数据负责、保存多久以及权利，无论如何都列在下面。',
  'Every family is asked to agree again. Until they do, everything goes on for them.':
    '会请每个家庭再次同意。在此之前对他们一切照旧。',
  'Yes, ask everybody again': '是，再次询问所有人',
  'When the practice became aware of it': '诊所何时得知',
  'Date and time. The authority is told within 72 hours of it, unless nobody is put at risk.':
    '日期和时间。除非无人受到风险，须在72小时内告知主管机构。',
  'What happened': '发生了什么',
  'Whose data, and about how much': '谁的数据，大约多少',
  'Kinds and numbers; no names.': '种类和数量；不写姓名。',
  'What it may bring about': '可能造成什么后果',
  'What was done, and will be': '已做和将做什么',
  'Who was told, and when; or why nobody': '告知了谁、何时；或为何未告知',
  'The authority, and the people themselves where the risk is high.': '主管机构；风险高时还有当事人本人。',
  'Register of breaches': '数据泄露登记',
  'Every loss, theft or wrong reader of personal data is noted here, small ones too. Nothing is ever taken out. Write no names of families.':
    '个人数据的每次丢失、被盗或误读都记在这里，小事也记。从不删除任何内容。不要写家庭的姓名。',
  'None is noted.': '没有记录。',
  'Note a breach': '记录一次泄露',
  '{found}: {what}': '{found}：{what}',
  'Noted by {name} on {at}.': '由{name}于{at}记录。',
  'What was learnt or done since': '此后得知或所做的',
  'Which of these devices does {name} have with them? The others are shut out.':
    '{name}随身带着其中哪些设备？其余的将被停用。',
  '{device}, last heard {date}': '{device}，最近一次 {date}',
};
