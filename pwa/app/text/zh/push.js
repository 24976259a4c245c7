// What a notification says, in Chinese in simplified characters.

/** @type {Record<string, string>} by kind of message */
export const WORDS = {
  title: 'Nightkeep',
  word: '诊所发来了消息。',
  stop: '今晚的安排有变。请先打开应用。',
  taken: '诊所已阅读您发送的内容。请打开查看。',
  silence: '诊所无人回应。请现在打电话。10 分钟没人接？打开应用，上面写着去哪里。',
  closed: '诊所已作出决定。请打开查看。',
  device: '又有一部手机在读取您家的记录。打开查看。',
  reminder: '应用里有一件事要做。',
  alert: '有家庭上报了情况，请打开查看。',
  test: '测试消息已送达。',
  other: '请打开应用。',
  drill: '这是演练，没有人生病。',
};

/** What is due, by reminder, and putting it off. @type {Record<string, string>} */
export const DUE = {
  later: '30 分钟后',
  'later-all': '所有孩子：30 分钟后',
  insertion: '戴上镜片',
  'insertion-right': '戴右眼的镜片',
  'insertion-left': '戴左眼的镜片',
  removal: '取下镜片',
  care: '清洁并存放镜片',
  'care-right': '只清洁并存放右眼的镜片',
  'care-left': '只清洁并存放左眼的镜片',
  spectacles: '带上框架眼镜',
  'deposit-removal': '去除沉淀物',
  'evening-sight': '傍晚视力',
  acuity: '视力测试',
  case: '换新镜盒',
  bottle: '换新护理液',
  drops: '换新滴眼液',
  lens: '换新镜片',
  holder: '换新吸棒',
  recall: '复查：请带镜片、镜盒和护理液',
  sync: '连接此手机',
};
