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
  'now.out.urgent.title': 'Take the lenses out', 'now.out.urgent.lead': 'An eye report is open. Lenses out now, with clean hands, and none tonight.',
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
  'now.more': 'Log something else', 'what.in': 'lenses in', 'what.out': 'lenses out', 'what.care': 'cleaning', 'what.evening': 'evening sight',

  'usual.yes': 'Yes, save', 'usual.line.in': 'Both lenses in at {time}', 'usual.line.in-one': 'Lens in at {time}: {eye}',
  'usual.line.out': 'Both lenses out at {time}', 'usual.line.out-one': 'Lens out at {time}: {eye}', 'usual.line.moved': 'Lenses moved freely', 'usual.line.fine': 'Eyes comfortable and white',
  'usual.change': 'Tap a line that is not right.',
  'at.label': 'At what time?', 'eyes.label': 'Which eye?',

  'care.hand_wash': 'Hands washed with soap and dried', 'care.rub': 'Each lens rubbed', 'care.rinse': 'Rinsed with solution, not water',
  'care.case_emptied': 'Old solution poured out, fresh solution in', 'care.case_wiped': 'Case wiped with a clean tissue', 'care.case_dried': 'Case left open, upside down, to dry',
  'care.deposit_removal': 'Deposit removal done', 'care.closed': 'Case closed at {time}', 'care.closed-none': 'Case not closed yet',
  'care.trouble': 'What went differently?', 'care.tap_water': 'Tap water touched a lens or the case', 'care.topping_off': 'Old solution topped up', 'care.water_contact': 'Shower or swim with lenses in',
  'care.rinse.label': 'Rinsed with', 'care.rinse.solution': 'Solution', 'care.rinse.saline': 'Saline', 'care.rinse.tap-water': 'Tap water', 'care.rinse.none': 'Not rinsed',

  'out.moved': 'Did the lenses move freely?', 'moved.freely': 'Yes, freely', 'moved.stuck-came-off': 'Stuck, then came off', 'moved.stuck': 'Stuck, will not move',
  'out.comfort': 'How do the eyes feel?', 'comfort.4': 'Comfortable', 'comfort.3': 'Slightly scratchy', 'comfort.2': 'Scratchy', 'comfort.1': 'Sore', 'comfort.0': 'Very sore',
  'out.redness': 'How red is the white of the eye?', 'redness.0': 'Not red', 'redness.1': 'A little', 'redness.2': 'Clearly red', 'redness.3': 'Very red',
  'out.when': 'When did they come out?', 'out.when.morning': 'In the morning', 'out.when.now': 'Only now', 'out.long': 'The lenses were in longer than planned. Red, sore or blurred: do the eye check now.',
  'out.drops': 'Drops used to loosen the lenses', 'out.check': 'A sore or red eye, or a lens that sticks: do the eye check now.',

  'not.title': 'Not tonight: why?', 'not.button': 'Not worn',
  'reason.forgot': 'Forgot', 'reason.tired': 'Too tired', 'reason.ill': 'Unwell', 'reason.sore-eye': 'Sore eye', 'reason.lens-problem': 'Problem with a lens',
  'reason.soak-not-ready': 'Soak not over', 'reason.away': 'Away from home', 'reason.told-to-stop': 'The clinic said stop', 'reason.other': 'Another reason',

  'save': 'Save', 'saved': 'Saved on this phone', 'undo': 'Undo', 'undone': 'Taken back', 'cancel': 'Cancel', 'next': 'Next', 'change': 'Change', 'remove': 'Take back', 'yes': 'Yes', 'no': 'No',
  'failed.full': 'Not saved: this phone has no room left. Free some space and try again.', 'failed.other': 'Not saved. Please try again. ({why})',

  'fortnight.title': 'The last fortnight', 'fortnight.worn': 'worn', 'fortnight.half': 'one eye or part', 'fortnight.not': 'not worn', 'fortnight.unknown': 'not logged', 'fortnight.differ': 'two entries differ', 'fortnight.planned': 'no lenses planned',
  'log.title': 'Logged', 'log.none': 'Nothing yet.', 'log.by': '{what} – {who}, {time}', 'log.you': 'you',
  'kind.insertion': 'Lenses in', 'kind.removal': 'Lenses out', 'kind.not-worn': 'Not worn', 'kind.care': 'Lens care', 'kind.morning': 'Morning check', 'kind.evening-sight': 'Evening sight',
  'kind.acuity-run': 'Sight test', 'kind.symptoms': 'Eye report', 'kind.supply': 'Supplies', 'kind.note': 'Note', 'kind.plan-ack': 'Plan read', 'kind.retraction': 'Taken back',
  'differ.title': 'Two entries differ',
  'night.title': 'Night of {night}', 'night.add': 'Add or change', 'night.note': 'Note for the clinic', 'night.unsent': 'only on this phone',

  'plan.new': 'There is a new plan from your practitioner.', 'plan.read': 'I have read it', 'plan.title': 'Your plan', 'plan.version': 'Version {n}',
  'plan.wear': 'Lenses in about {from}, out about {to}, at least {hours} hours.', 'plan.soak': 'Soak at least {time} after every cleaning.', 'plan.case': 'New case every {n} months.', 'plan.case.one': 'New case every month.', 'plan.deposit.one': 'Deposit removal every day.', 'plan.deposit': 'Deposit removal every {n} days.',

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
  'reports.open': 'Open eye report', 'reports.see': 'See advice and state',

  'help.title': 'Help',

  'progress.due': 'Coming up', 'progress.due.none': 'Nothing is planned yet.', 'progress.overdue': 'overdue since {date}',
  'due.case': 'New lens case', 'due.bottle': 'New bottle', 'due.drops': 'New drops', 'due.lens': 'New lenses', 'due.holder': 'New suction holder', 'due.deposit-removal': 'Deposit removal', 'due.acuity': 'Sight test', 'due.recall': 'Visit to the clinic',
  'due.waking': 'The first morning: be there within {n} hours of waking.', 'due.sync': 'Connect this phone',
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
  'pause.open': 'Pause reminders', 'pause.end': 'End the pause', 'pause.to': 'until {night}', 'pause.ill': 'No lenses while you are unwell. Ask the clinic before starting again if an eye was red or sore.',
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
  'edit': 'Edit', 'back': 'Brought back', 'usual.still': 'Still in', 'lacks.reason': 'Please choose a reason.',
  'lacks.when': 'Please say when they came out.', 'differ.open': 'Settle it',
  'evening.hours.fault': 'Between 0 and 24 hours.',
  'doubt.future': '{when} has not come yet. What has not happened cannot be logged.', 'doubt.meant': '{when}?',
  'doubt.now': 'Now, {when}', 'doubt.by-day': 'Lenses in at {when}, by day?',
  'doubt.last-night': 'Put in {when}, still in',
  'doubt.after-out': 'They are logged as out at {when} already, before that.',
  'doubt.before-in': 'They went in at {when}; they cannot have come out before that.',
  'doubt.long': 'That would be {when} in lenses. Is the time right?', 'doubt.sure': 'It is right',
  'differ.lead': 'Both are kept, and the more careful one counts until one of you taps the right one.',
};
