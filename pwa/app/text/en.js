// English: the catalogue every other language is measured against. Words in
// braces are filled in. Medical texts live in alerts/texts.json.

/** @type {Record<string, string>} */
export const en = {
  'app.name': 'Nightkeep',
  'nav.label': 'Screens', 'nav.today': 'Today', 'nav.progress': 'Progress', 'nav.help': 'Help', 'nav.more': 'More', 'nav.back': 'Back',
  'nav.switch': 'Change child',
  'wrong.button': 'Something is wrong',
  'eye.right': 'right eye', 'eye.left': 'left eye', 'eye.both': 'both eyes',
  'eye.Right': 'Right eye', 'eye.Left': 'Left eye', 'eye.Both': 'Both eyes',

  'now.in.title': 'Lenses in', 'now.in.lead': 'Wash and dry your hands first.', 'now.in.button': 'Lenses are in',
  'now.out.title': 'Good morning', 'now.out.lead': 'Lenses out when they move freely.', 'now.out.button': 'Lenses are out',
  'now.out.late.title': 'Are the lenses out?', 'now.out.late.lead': 'Nobody has logged it yet. If they are still in, take them out now, with clean hands.',
  'now.out.urgent.title': 'Take the lenses out',
  'now.care.title': 'Clean and store', 'now.care.lead': 'Rub, rinse, fresh solution, case closed.', 'now.care.button': 'All cleaned and stored',
  'now.evening.title': 'How clear is it?', 'now.evening.lead': 'Look across the room, without spectacles.', 'now.evening.button': 'Rate evening sight',
  'now.missed.title': 'Last night?', 'now.missed.lead': 'Nothing is logged for the night of {night}.', 'now.missed.button': 'Worn as usual',
  'now.asleep.title': 'Sleep well', 'now.asleep.lead': 'Lenses in since {time}.',
  'now.rest.title': 'All done for now', 'now.rest.lead': 'Next: {what}, about {time}.',
  'now.before.title': 'Not started yet', 'now.before.lead': 'The first night is {night}.',
  'now.pause.title': 'No lenses for now', 'now.pause.lead': 'Your plan says no lenses on these nights. Tell the clinic if you are not sure.',
  'now.noplan.title': 'Waiting for the plan', 'now.noplan.lead': 'Your practitioner has not sent a plan yet. You can log already.',
  'now.hold.title': 'No lenses tonight', 'now.hold.lead': 'An eye report is not closed. Wear no lens until the clinic has said you may.', 'now.hold.button': 'Logged: no lenses tonight',
  'now.hold.see': 'Read what to do',
  'now.soak.title': 'Not ready yet', 'now.soak.lead': 'The lenses are still soaking. Ready at {time}. Never shorten the soak.', 'now.soak.skip': 'Leave them out tonight',
  'now.soak.unknown': 'It is not logged when the case was closed. Put the lenses in only if the soak time on the label is over.',
  'now.other': 'Something was different', 'now.also': 'Also today',
  'now.more': 'Log something else', 'what.in': 'lenses in', 'what.out': 'lenses out', 'what.care': 'cleaning', 'what.evening': 'evening sight', 'not.button': 'Not worn',

  'save': 'Save', 'saved': 'Saved on this phone', 'undo': 'Undo', 'undone': 'Taken back', 'next': 'Next', 'yes': 'Yes', 'no': 'No',
  'failed.full': 'Not saved: this phone has no room left. Free some space and try again.', 'failed.other': 'Not saved. Please try again. ({why})',

  'fortnight.title': 'The last fortnight', 'fortnight.worn': 'worn', 'fortnight.half': 'one eye or part', 'fortnight.not': 'not worn', 'fortnight.unknown': 'not logged', 'fortnight.differ': 'two entries differ', 'fortnight.planned': 'no lenses planned', 'log.none': 'Nothing yet.', 'log.you': 'you',
  'kind.insertion': 'Lenses in', 'kind.removal': 'Lenses out', 'kind.not-worn': 'Not worn', 'kind.care': 'Lens care', 'kind.morning': 'Morning check', 'kind.evening-sight': 'Evening sight',
  'kind.acuity-run': 'Sight test', 'kind.symptoms': 'Eye report', 'kind.supply': 'Supplies', 'kind.note': 'Note', 'kind.plan-ack': 'Plan read', 'kind.retraction': 'Taken back', 'night.add': 'Add or change',

  'evening.title': 'Evening sight', 'evening.lead': 'Without spectacles, look across the room or at a sign far away.',
  'rating.1': 'Very blurred', 'rating.2': 'Blurred', 'rating.3': 'A bit blurred', 'rating.4': 'Nearly clear', 'rating.5': 'As clear as this morning',
  'evening.legend': 'How clear is it now?', 'evening.hours': 'Hours since the lenses came out', 'evening.hours.unknown': 'not logged',
  'evening.halos': 'Rings or glare round lights?', 'halos.none': 'No', 'halos.some': 'Some', 'halos.troublesome': 'They bother me', 'evening.spectacles': 'Spectacles needed today?',
  'evening.exact': 'Do a sight test instead',

  'check.title': 'Eye check', 'check.eye': 'Which eye?', 'check.step': 'Question {n} of {of}', 'check.unknown': 'Don’t know', 'check.stop': 'Show advice now',
  'check.began': 'When did it begin?', 'began.now': 'Just now', 'began.hours': 'A few hours ago', 'began.night': 'Last night', 'began.yesterday': 'Yesterday', 'began.days': 'Two days ago or more', 'began.at': 'On a date and time', 'check.note': 'Anything to add for the clinic?',
  'check.caution': 'Lens in, and the eye hurts or is red? Take it out first, with clean hands.',
  'check.feel': 'How does the eye feel?', 'check.look': 'How does the eye look?', 'check.see': 'How does the eye see?', 'check.last': 'Last questions', 'check.apart': 'Different in each eye', 'check.whose': 'Whose eyes?',

  'advice.title': 'What to do', 'advice.began': 'It began {ago} ago.', 'advice.call': 'Call {who}', 'advice.open': 'The clinic answers the phone now.', 'advice.closed': 'The clinic does not answer the phone now. It answers again from {when}.', 'advice.closed-unknown': 'The clinic does not answer the phone now.',
  'advice.after': 'Out of hours: {number}', 'advice.emergency': 'Emergency number: {number}', 'advice.nonumber': 'No phone number is stored here. Use your local emergency service.',
  'advice.found': 'Because of', 'advice.not-checked': 'not checked', 'advice.again': 'Check again', 'advice.answers': 'Your answers', 'advice.done': 'To the start', 'advice.doing': 'Do this, in this order', 'advice.sources': 'Where this comes from',
  'delivery.title': 'Does the clinic have this?', 'delivery.phone': 'The clinic does not have this yet – call.', 'delivery.refused': 'The clinic’s server did not take this report – call.',
  'delivery.sent': 'Sent at {time}. Nobody at the clinic has seen it yet.', 'delivery.open': 'At the clinic since {time}. Nobody has seen it yet.', 'delivery.late': 'Not seen for over an hour. Call now; do not wait for the app.',
  'delivery.seen': 'Seen by {name} at {time}.', 'delivery.closed': 'Closed by the clinic on {time}.', 'delivery.noalert': 'Sent at {time}. It is in the clinic’s record.',
  'delivery.trying': 'This phone keeps trying to send it.', 'delivery.nowatch': 'Outside its hours nobody at the clinic watches this app.',

  'help.title': 'Help',
  'progress.title': 'Progress',

  'supplies.title': 'Supplies',

  'unsent.title': 'Only on this phone', 'unsent.chip': '{n} only on this phone',
  'unsent.fault.offline': 'No connection.', 'unsent.fault.signed-out': 'The server does not know this phone any more. Nothing is lost: ask the clinic for a new invitation.',

  'more.title': 'More', 'more.language': 'Language',

  'devices.title': 'Phones of the family',

  'more.review': 'Awaiting review by a practitioner who speaks this language. In doubt follow your clinic or the English text.',

  'join.title': 'Welcome', 'join.lead': 'Nightkeep keeps your log of lens nights and carries it to your clinic.', 'join.code': 'Code from the clinic', 'join.code.hint': 'Twelve letters and digits, from the letter or the QR code.', 'join.device': 'Name for this phone', 'join.device.default': 'Phone',
  'join.consent.title': 'What you agree to', 'join.consent.1': 'What you log about the wearer’s lenses, sight and eyes is kept on this phone and sent to your clinic, and only there. Everybody of the family who joins, and the clinic, sees the whole log.', 'join.consent.2': 'Your clinic uses it for the wearer’s care. You can ask the clinic for a copy, or to erase it, at any time.', 'join.consent.3': 'The app gives general advice from rules. It does not diagnose, it cannot see an eye, and nobody watches it around the clock. With pain, redness or blur: lenses out, and phone.', 'join.consent.agree': 'I am the wearer’s parent or guardian, or an adult wearer, or a teen whose parent has agreed; and I agree.',
  'join.button': 'Join', 'join.joining': 'Joining…', 'join.need-code': 'Please type the code.', 'join.need-consent': 'Please read and agree first.', 'join.ios': 'On an iPhone or iPad put Nightkeep on the home screen first: tap Share, then “Add to Home Screen”. Open it from there and type the code there. The code works only once, and the browser and the home screen share nothing.', 'join.offline': 'No connection. Joining needs one; afterwards the app works without.',

  'trouble.blocked': 'Nightkeep is open in another tab with an older version. Close that tab.', 'trouble.newer': 'A newer version is open in another tab. Reload this page.', 'trouble.reload': 'Reload',
  'start.loading': 'One moment…', 'start.failed': 'The log on this phone cannot be opened: {why}',
  'acuity.title': 'Sight test',

  'kind.reply': 'Answer to the practice', 'kind.check-open': 'Eye check begun', 'kind.elsewhere': 'Examined elsewhere',
  'kind.pause': 'Reminders paused', 'kind.snooze': 'Reminders put off until', 'now.paused.title': 'Reminders are paused', 'now.paused.lead': 'Until the night of {night}. You can log as always.',
  'pause.open': 'Pause reminders', 'pause.end': 'End the pause', 'pause.ill': 'No lenses while you are unwell. Ask the clinic before starting again if an eye was red or sore.',
  'snooze.button': 'Remind me again at {time}', 'snooze.until': 'Reminders put off until {time}.', 'reminders.title': 'Reminders',

  'record.title': 'From your log', 'record.limits': 'General advice from rules about what is logged on this phone. It is not an examination; your practitioner decides.', 'now.hold.record': 'What is logged may mean a problem with an eye. Wear no lens until the clinic has said you may.',

  'time.whole': '{h} h', 'time.whole-days': '{d} days',
  'error.bad-invitation': 'This code does not work: perhaps it was used, is too old, or has a slip in it. Compare it with the letter, or ask the clinic for a new one.', 'error.too-many-tries': 'Too many tries. Wait a minute, then try again.', 'error.bad-device-name': 'Please give this phone a shorter name.', 'error.bad-consent': 'The words you agreed to have changed. Load the page again and read them.',
  'error.id-taken': 'The clinic already has another entry in its place.', 'error.bad-field': 'The server does not take one of the answers.', 'error.missing-field': 'An answer is missing.', 'error.unknown-kind': 'The clinic’s server does not know this kind of entry.', 'error.foreign-wearer': 'This wearer is not one of your family’s any more.', 'error.foreign-author': 'You cannot write this for somebody else.', 'error.foreign-device': 'Another phone wrote this and must send it.', 'error.bad-reference': 'The entry that this one changes is not there.', 'error.bad-night': 'The night cannot be right: look at the date on this phone.', 'error.other': 'The server did not take it ({code}).',
  'first.title': 'Before you start',
  'time.minutes': '{n} min', 'time.hours': '{h} h {m} min', 'time.days': '{d} days {h} h', 'time.less': 'less than a minute',
  'check.none': 'None of these. Which eye?', 'check.left': 'You left a check ({time}). It is kept.', 'check.go-on': 'Go on with it',
  'check.water': 'In the last {n} days.', 'check.lid': 'The lid and the eye', 'rinse.left': 'Keep rinsing: {time} left',
  'rinse.done': '20 minutes are over. Go now.', 'rinse.again': 'Start the time again', 'advice.go': 'Go here now:',
  'advice.nobody': 'Nobody answers within 10 minutes? Go here:', 'advice.noplace': 'The nearest emergency department.',
  'edit': 'Edit', 'back': 'Brought back',
  'evening.hours.fault': 'Between 0 and 24 hours.',
  'wear.stop': 'No lenses', 'wear.until': 'No lenses until {night}', 'wear.rest': 'No lenses tonight',
  'wear.rest-one': '{eye}: no lens tonight', 'wear.check-due': '{who}: after a check',
  'wear.check.lead': 'Do the eye check first. Until it is done: no lens.', 'wear.see': 'What to do',
  'wear.unknown': 'Known to the clinic, not on this phone', 'wear.by': '{who}, {when}',
  'wear.unsent': 'The clinic does not have this yet: phone.', 'wear.open': 'At the clinic. Nobody has seen it yet.',
  'wear.has': '{who} has it, {when}.', 'wear.eye.none': 'not stopped', 'wear.eye.rest': 'no lens tonight',
  'wear.eye.stop': 'stopped', 'wear.eye.shared': 'shares the case kept for the clinic',
  'wear.stop.lead': 'Until your clinic says here from when. It does not end by itself, nor when the eye looks better.',
  'wear.rest.lead': 'One night off does no harm. Do the eye check again before the next night.',
  'wear.keep': 'Keep the lenses in their case as they are: do not clean them, throw nothing away. Bring lenses, case and bottles.',
  'wear.how-now': 'How is it now?', 'wear.check': 'Check the eye', 'wear.say': 'Are lenses in? Say so',
  'wear.against': 'Not released by your clinic.', 'wear.against.ask': 'Are they in?',
  'wear.against.yes': 'Yes, they are in', 'wear.thanks': 'Thank you for saying so. Take them out now.',
  'undone.told': 'Taken back. The clinic has been told; this releases nothing.', 'now.in.one': 'Lens in: {eye}',
  'now.in.button-right': 'Right lens is in', 'now.in.button-left': 'Left lens is in',
  'now.out.urgent.lead': 'This eye may have no lens. Out now, with clean hands, and none tonight.',
};
