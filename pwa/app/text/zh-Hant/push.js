// What a notification says, in Traditional Chinese: a draft.

/** @type {Record<string, string>} by kind of message */
export const WORDS = {
  title: 'Nightkeep',
  word: '診所發來了訊息。',
  stop: '今晚的安排有變。請先開啟應用。',
  taken: '診所已閱讀您傳送的內容。請開啟檢視。',
  silence: '診所無人回應。請現在打電話。10 分鐘沒人接？開啟應用，上面寫著去哪裡。',
  closed: '診所已作出決定。請開啟檢視。',
  device: '又有一部手機在讀取您家的記錄。打開查看。',
  reminder: '應用裡有一件事要做。',
  alert: '有家庭上報了情況，請開啟檢視。',
  test: '測試訊息已送達。',
  other: '請開啟應用。',
  drill: '這是演練，沒有人生病。',
};

/** What is due, by reminder, and putting it off. @type {Record<string, string>} */
export const DUE = {
  later: '30 分鐘後',
  'later-all': '所有孩子：30 分鐘後',
  insertion: '戴上鏡片',
  'insertion-right': '戴右眼的鏡片',
  'insertion-left': '戴左眼的鏡片',
  removal: '取下鏡片',
  care: '清潔並存放鏡片',
  'care-right': '只清潔並存放右眼的鏡片',
  'care-left': '只清潔並存放左眼的鏡片',
  spectacles: '帶上框架眼鏡',
  'deposit-removal': '去除沉澱物',
  'evening-sight': '傍晚視力',
  acuity: '視力測試',
  case: '換新鏡盒',
  bottle: '換新護理液',
  drops: '換新滴眼液',
  lens: '換新鏡片',
  holder: '換新吸棒',
  recall: '複查：請帶鏡片、鏡盒和護理液',
  sync: '連線此手機',
};
