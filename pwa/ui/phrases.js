// What a clinician can say to a family in words the app has in every language.
// The English sentence travels with the key, for a phone that does not know it.
// None of them says that an eye is fine.

/** Key of the catalogue under "phrase.", and the English sentence. @type {Readonly<Record<string, string>>} */
export const PHRASES = Object.freeze({
  'wait-visit': 'Come to the visit as booked. Until then no lens.',
  'seen-rest': 'The eye was examined. It needs a rest from lenses.',
  'no-finding':
    'The eye was examined and nothing was found on the day. Keep looking each morning, and tell us at once if anything changes.',
  treated: 'The eye is being treated. Follow the treatment as told.',
  'lens-changed': 'The lens was changed.',
  'solution-changed': 'The solution was changed.',
  referred: 'You were sent on to somebody who looks at the eye further.',
  'call-us': 'Please call us.',
});
