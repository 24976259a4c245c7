// Words of the sheets of paper, in English.

/** @type {Record<import('../../../clinic/papers.js').PaperKey, string>} */
export const PAPER = {
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
  rinse: 'At least 20 minutes, with the nearest clean water.',
  nolens: 'No lens in either eye until the clinic says so.',
  unsure: 'Not sure? Take the more serious one.',
  printed: 'Printed on {date}. Ask for a new sheet when a number changes.',
  unread: 'No practitioner who speaks this language has read these words yet.',
  'practice.title': 'When the app or its server is down',
  'practice.lead':
    'Families’ phones go on giving advice. They say that the clinic does not have the report, and to call.',
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
};
