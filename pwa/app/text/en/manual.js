// Words of the family's and the staff's manual, in English.

export const MANUAL = {
  'family.title': 'Your book for lenses at night',
  'family.lead': 'Keep it with the lenses. The app says the same, also without a network.',
  'h.wrong': 'When an eye is not right',
  'f.wrong':
    'Pain, a red eye, worse sight, light that hurts, a lens that is stuck, or anything in the eye: press the red button in the app and answer. It says at once what to do, also at night.',
  'f.phone': 'No app at hand? Phone. Do not wait for the morning. No lens in either eye until the clinic says so.',
  'h.day': 'Evening and morning',
  'f.evening': 'In the evening: wash and dry your hands, put the lenses in, and tap “Lenses are in”.',
  'f.morning': 'In the morning: take the lenses out, clean them, look at both eyes, and tap “Lenses are out”.',
  'f.true':
    'Log what really happened, a missed night too. Nobody is blamed. The clinic can only help with what it knows.',
  'h.app': 'The app',
  'f.offline':
    'It works without a network. A count on the screen says what is only on this phone and not yet with the clinic.',
  'f.remind': 'Turn on notifications, so that the app can tell you what is due. Set your own times under Reminders.',
  'f.phones': 'Each person has their own invitation. Is a phone lost? Tell the clinic, and it shuts that phone out.',
  'f.stop': 'When the app says no lens tonight, wear none. Only the clinic can end that, not a better eye.',
  'f.reads': 'The clinic reads your log in its hours. At other times nobody watches: phone.',
  'f.data': 'The log is yours too. Ask the clinic for a copy, or to have it erased.',
  'h.cards': 'Step by step',
  dont: 'Do not',
  peroxide: 'with a peroxide cleaner',
  'staff.title': 'The day with Nightkeep',
  'staff.lead': 'For everybody who works here. What only a clinician does is said.',
  'h.alert': 'An alert',
  's.take': 'Open Today: the most serious stands first. Press “I have this”. The family reads your name.',
  's.call':
    'Phone the family at once, and log each call. Nobody answers? The second contact stands on the card. A call ends nothing.',
  's.say': 'Say what stands on the card. In doubt, the more serious one. Never say that an eye is fine.',
  's.close': 'A clinician closes it: what was found, and whether lenses may be worn. “Not reached” is no end.',
  's.desk': 'The desk says that it has phoned. Only a clinician stops the alarm of a red flag.',
  's.stop': 'Lenses that were stopped stay stopped until a clinician resumes them.',
  'h.ladder': 'Who is told, and when',
  's.first': 'At once: who is on duty, on every device with notifications on.',
  's.unshown': 'Shown on no device after {unshown} min: the deputy too.',
  's.deputy': 'Nobody has it after {deputy} min: a mail, and the deputy.',
  's.everyone': 'Still nobody after {everyone} min: everybody on the rota, and again every {repeat} min.',
  's.lapse': 'After {lapse} min: the owner is told, and the family is told to phone.',
  'h.own': 'Your own device',
  's.sign':
    'An administrator hands you a link in person. Make a passkey, turn on “Receive alerts on this device”, and have it tested.',
  's.away': 'On duty means: the device is with you, charged and loud. Away? Change the rota before.',
  's.lost':
    'Lost a device, or leaving? Tell an administrator the same day. The link for a new one is made under Staff.',
  's.window': 'Lock your window when you leave it. No pictures of the screen, no names in mails or chats.',
  'h.families': 'Families',
  's.new':
    'A new family: enter the child and every number to call, make the plan, teach with the guide, and hand the invitation over in person.',
  's.fortnight': 'In the first fortnight look at Today each day. Silence is a reason to phone.',
  's.morning': 'Every morning: who is on duty, the gap ahead, whom to call and why, visits of the day.',
  's.recall': 'Before a recall: the clinician reads the review on one page, and how far to trust the log.',
  'h.down': 'When it does not work',
  's.down':
    'Use the sheet “For the practice, server down”. Print it now. Families’ phones go on giving advice, and say to phone.',
};
