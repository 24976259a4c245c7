// What a notification says, in English.

/** @type {Record<string, string>} by kind of message */
export const WORDS = {
  title: 'Nightkeep',
  word: 'A word from the clinic.',
  stop: 'Something has changed for tonight. Open the app before anything else.',
  taken: 'The clinic has read what you sent. Open to see what holds.',
  silence:
    'Nobody at the clinic has answered. Please phone now. No answer in 10 minutes? Open the app: it says where to go.',
  closed: 'The clinic has decided. Open to see it.',
  device: 'One more phone reads your log. Open to see which.',
  reminder: 'There is something to do in the app.',
  alert: 'A family has reported something. Open to see it.',
  test: 'The test message has arrived.',
  other: 'Open the app.',
  drill: 'A drill, nobody is ill.',
};

/** What is due, by reminder, and putting it off. @type {Record<string, string>} */
export const DUE = {
  later: 'In 30 minutes',
  'later-all': 'All children: in 30 minutes',
  insertion: 'Lenses in',
  'insertion-right': 'Right lens in',
  'insertion-left': 'Left lens in',
  removal: 'Lenses out',
  care: 'Clean and store the lenses',
  'care-right': 'Right lens only: clean and store',
  'care-left': 'Left lens only: clean and store',
  spectacles: 'Take spectacles along',
  'deposit-removal': 'Deposit removal',
  'evening-sight': 'Evening sight',
  acuity: 'Sight test',
  case: 'New lens case',
  bottle: 'New bottle',
  drops: 'New drops',
  lens: 'New lenses',
  holder: 'New suction holder',
  recall: 'Visit to the clinic: bring lenses, case and bottles',
  sync: 'Connect this phone',
};
