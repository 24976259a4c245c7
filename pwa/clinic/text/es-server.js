// What the server says in English, in Spanish: without the full stop at its end; {a} to {n} stand for numbers,
// other braces for words. Ours: nobody who speaks the language has read it yet.

/** @type {Record<string, import('../text.js').Text>} */
export const said = {
  'want no more than {a}: the scale that is named ends there':
    'se admite como máximo {a}: ahí termina la escala nombrada',
  '{x} eye: {y}. Choose whether its lens stays out': 'Ojo {x}: {y}. Elija si su lente se queda fuera',
  '{x} eye, {d}: {y}': 'ojo {x}, {d}: {y}',
  'stop decided': 'suspensión decidida',
  'no decision on wear': 'sin decisión sobre el uso',
  'staining {x}': 'tinción {x}',
  'best acuity {a} logMAR after {b}': 'mejor agudeza {a} logMAR después de {b}',
  'pressure {a} mmHg': 'presión {a} mmHg',
  'Found at a visit': 'Visto en una visita',
  'At a visit we saw something in an eye that we want to look at again. How has the eye been since?':
    'En una visita vimos algo en un ojo que queremos volver a mirar. ¿Cómo ha estado el ojo desde entonces?',
  '{x}: said first': '{x}: dicho lo primero',
  '{x}: said first; the eye was not named, a later report is about the right eye':
    '{x}: dicho lo primero; no se nombró el ojo, un aviso posterior es del ojo derecho',
  '{x}: said first; the eye was not named, a later report is about the left eye':
    '{x}: dicho lo primero; no se nombró el ojo, un aviso posterior es del ojo izquierdo',
  '{x}: said first; the eye was not named': '{x}: dicho lo primero; no se nombró el ojo',
  'none of these': 'nada de esto',
  'right eye: {x}': 'ojo derecho: {x}',
  'left eye: {x}': 'ojo izquierdo: {x}',
  'Morning: {x}': 'Mañana: {x}',
  'does not move': 'no se mueve',
  'came off': 'se soltó',
  'redness {a} of {b} ({x})': 'enrojecimiento {a} de {b} ({x})',
  'comfort {a} of {b} ({x})': 'comodidad {a} de {b} ({x})',
  'very sore': 'duelen mucho',
  sore: 'duelen',
  scratchy: 'rascan',
  'slightly scratchy': 'rascan un poco',
  comfortable: 'cómodos',
  'not red': 'no',
  'a little': 'un poco',
  'clearly red': 'claramente',
  'very red': 'mucho',
  'Not worn: {x}': 'Sin llevar: {x}',
  'Logged: {x}': 'Anotado: {x}',
  'Chemical (possibly peroxide) in the eye': 'Producto químico (quizá peróxido) en el ojo',
  'Chemical (possibly peroxide) in an eye, said first; the eye was not named':
    'Producto químico (quizá peróxido) en un ojo, dicho lo primero; no se nombró el ojo',
  'Cut, embedded or fast-flying fragment: possible open globe':
    'Corte, o fragmento clavado o a gran velocidad: posible globo abierto',
  'Cut, hard knock or something stuck in an eye, said first: possible open globe; the eye was not named':
    'Corte, golpe fuerte o algo clavado en un ojo, dicho lo primero: posible globo abierto; no se nombró el ojo',
  'Worst answers to the first question of the check; the eye was not named':
    'Las peores respuestas a la primera pregunta de la revisión del ojo; no se nombró el ojo',
  'Eye that cannot be opened, said first; the eye was not named':
    'Ojo que no se puede abrir, dicho lo primero; no se nombró el ojo',
  'Sudden loss of sight, diplopia, flashes or a curtain': 'Pérdida súbita de vista, diplopía, destellos o cortina',
  'Blood in or from the eye: exclude hyphaema': 'Sangre en el ojo o del ojo: descartar hipema',
  'Pupil irregular or unequal': 'Pupila irregular o desigual',
  'Eye cannot be opened': 'El ojo no se puede abrir',
  'Swollen lid or photophobia, with illness: exclude orbital cellulitis and meningitis':
    'Párpado hinchado o fotofobia, con enfermedad: descartar celulitis orbitaria y meningitis',
  'Broken lens with pain: possible abrasion or a piece in the eye':
    'Lente rota con dolor: posible abrasión o un fragmento en el ojo',
  'Injury to a lens-wearing eye': 'Lesión en un ojo que lleva lente',
  'Severe pain, or pain out of proportion to the signs: consider Acanthamoeba':
    'Dolor intenso o desproporcionado a los signos: pensar en Acanthamoeba',
  'Pain persisting after removal': 'Dolor que sigue tras quitar la lente',
  Photophobia: 'Fotofobia',
  'New blur not clearing on blinking or after removal':
    'Vista borrosa nueva que no cede al parpadear ni al quitar la lente',
  'Visible spot on the cornea reported': 'Se informó de una mancha visible en la córnea',
  'Pus-like discharge': 'Secreción purulenta',
  'Red eye with pain': 'Ojo rojo con dolor',
  'Red eye with blur, also blur that clears': 'Ojo rojo con vista borrosa, también si se aclara',
  'Lens bound or not found, with redness': 'Lente pegada o no encontrada, con enrojecimiento',
  'Morning log: redness with poor comfort': 'Anotación de la mañana: enrojecimiento y molestias',
  'Marked halo or fog in the same night as redness or soreness':
    'Halo o niebla marcados la misma noche que enrojecimiento o dolor',
  'Morning log: lens bound, with redness': 'Anotación de la mañana: lente pegada, con enrojecimiento',
  'Redness reported': 'Se informó de enrojecimiento',
  'Persistent foreign-body sensation after removal': 'Sensación de cuerpo extraño que sigue tras quitar la lente',
  'Watering or discharge': 'Lagrimeo o secreción',
  'Swollen lid': 'Párpado hinchado',
  'Scratch by lens or finger: abrasion in a lens wearer':
    'Arañazo con lente o dedo: erosión en quien lleva lentes de contacto',
  'Sign with water contact within the watch period, in the same report: consider Acanthamoeba':
    'Signo y contacto con agua dentro del periodo de vigilancia, en el mismo informe: pensar en Acanthamoeba',
  'Lens bound or not found, with soreness': 'Lente pegada o no encontrada, con dolor',
  'Lens still bound, or not found and perhaps still in the eye':
    'Lente aún pegada, o no encontrada y quizá aún en el ojo',
  'Morning log: redness': 'Anotación de la mañana: enrojecimiento',
  'Morning log: lens bound, with poor comfort': 'Anotación de la mañana: lente pegada, con molestias',
  'Signs on two or more nights of the last 14': 'Signos en dos o más de las últimas 14 noches',
  'Sign within the watch period after water contact: consider Acanthamoeba':
    'Signo en el periodo de vigilancia tras contacto con agua: pensar en Acanthamoeba',
  'Morning log: sore within the watch period after a red flag':
    'Registro de la mañana: dolor dentro del periodo de vigilancia tras una señal de alarma',
  'Worn after a short peroxide soak, with a sign the same night: chemical exposure':
    'Llevada tras un remojo corto en peróxido, con un signo la misma noche: exposición química',
  'Pain with the lens in, gone after removal': 'Dolor con la lente puesta, desaparecido al quitarla',
  'Loose grit in the eye': 'Arenilla suelta en el ojo',
  'Broken or chipped lens': 'Lente rota o mellada',
  'Lens bound on waking, came off': 'Lente pegada al despertar, se soltó',
  'Morning log: poor comfort': 'Anotación de la mañana: molestias',
  'Lens bound on two or more of the last 7 nights: check fit':
    'Lente pegada en dos o más de las últimas 7 noches: mirar la adaptación',
  'Tap water on lens or case: look at this the same day; watch for signs':
    'Agua del grifo en lente o estuche: mírelo el mismo día; vigile signos',
  'Water contact with lenses in: watch for signs':
    'Contacto con agua con las lentes de contacto puestas: vigile signos',
  'Worn after a short peroxide soak: possible chemical exposure':
    'Llevada tras un remojo corto en peróxido: posible exposición química',
  'Soak shorter than labelled (peroxide needs 6 h to neutralise)':
    'Remojo más corto que lo indicado (el peróxido necesita 6 h para neutralizarse)',
  'Worn during illness': 'Llevadas durante una enfermedad',
  'Lenses past their replacement date': 'Lentes de contacto pasadas de su fecha de cambio',
  "Missed nights in the last 14 at or over the practice's limit":
    'Noches sin llevar de las últimas 14 en el límite de la clínica o por encima',
  "Evening rating below the child's own baseline: look for short or missed nights, then fit or progression":
    'Valoración de la tarde por debajo de lo propio del niño: buscar noches cortas o sin llevar, después adaptación o progresión',
  "Evening rating two or more grades below the child's own baseline":
    'Valoración de la tarde dos o más grados por debajo de lo propio del niño',
  'Behind expected effect at two weeks or later': 'Por detrás del efecto esperado a las dos semanas o después',
  'Peroxide: a new bottle with the old case, which may no longer neutralise':
    'Peróxido: frasco nuevo con el estuche viejo, que quizá ya no neutralice',
  'Eye check begun at home and not finished by the next day: ask':
    'Revisión del ojo empezada en casa y sin terminar al día siguiente: pregunte',
  "No entry for the practice's number of nights": 'Sin anotaciones durante las noches fijadas por la clínica',
  'Recall overdue': 'Control vencido',
  'Halos on three or more of the last 7 nights after week 5':
    'Halos en tres o más de las últimas 7 noches después de la semana 5',
  'Blur clearing on blinking or after removal': 'Vista borrosa que se aclara al parpadear o al quitar la lente',
  'Lens awareness on insertion': 'Se nota la lente al ponerla',
  'Reports illness at the same time': 'Informa de enfermedad al mismo tiempo',
  'Solution topped off': 'Solución rellenada',
  'Missed night': 'Noche sin llevar',
  'Two of the last 3 nights missed': 'Dos de las últimas 3 noches sin llevar',
  'Three or more of the last 7 nights shorter than the limit':
    'Tres o más de las últimas 7 noches más cortas que el límite',
  'Halos in the first five weeks': 'Halos en las primeras cinco semanas',
  'Case past its date': 'Estuche pasado de fecha',
  'Opened bottle past its discard date': 'Frasco abierto pasado de su fecha de desecho',
  'Deposit removal overdue by the plan': 'Eliminación de depósitos vencida según el plan',
  'Record that cannot be read': 'Registro que no se puede leer',
  'Part of this record cannot be read here: ask the family':
    'Parte de este registro no se puede leer aquí: pregunte a la familia',
  'A symptom report could not be read here: phone the family now, it may be an emergency':
    'No se pudo leer aquí un informe de síntomas: llame ahora a la familia, puede ser una emergencia',
  'Symptom report with unanswered questions: could not be assessed, may be an emergency':
    'Informe de síntomas con preguntas sin contestar: no se pudo valorar, puede ser una emergencia',
  'A lens is in since an earlier night, in an eye that may have none, and is not logged out':
    'Hay una lente puesta desde una noche anterior, en un ojo que no puede llevarla, y no consta que se quitara',
  '1 report': '1 informe',
  '{n} reports': '{n} informes',
  '{n} of {m} reports with a sign': '{n} de {m} informes con algún signo',
  'gravest {d}': 'el más grave {d}',
  'last {d}': 'el último {d}',
  'Decision that only a phone holds': 'Decisión que solo tiene un teléfono',
  'a phone goes by a decision of the practice that this data file does not know: it is written anew, or put away':
    'un teléfono se guía por una decisión de la clínica que este archivo de datos no conoce: se escribe de nuevo o se aparta',
  'Your phone shows a decision of ours that we no longer have. What does it say, and is a lens worn?':
    'Su teléfono muestra una decisión nuestra que ya no tenemos. ¿Qué dice, y se lleva alguna lente?',
  'held by a phone and not in this data file': 'la tiene un teléfono y no está en este archivo de datos',
  'written {d}': 'escrita el {d}',
  'lenses again from {d}': 'lentes de contacto de nuevo desde el {d}',
  'Lens in where none may be': 'Lente puesta donde no puede haberla',
  'a lens keeps its oxygen from an eye that is to be without one, and no alert may be open that says so':
    'una lente quita oxígeno a un ojo que debe estar sin ella, y puede no haber ninguna alerta abierta que lo diga',
  'Is a lens still in? Please take it out now, with clean hands, and log that it is out. How is the eye?':
    '¿Sigue puesta una lente? Quítenla ahora, con las manos limpias, y anoten que está fuera. ¿Cómo está el ojo?',
  'both eyes: lenses went in on {d} {x} and are not logged out':
    'ambos ojos: se puso una lente en cada uno el {d} {x} y no consta que se quitaran',
  'right eye: a lens went in on {d} {x} and is not logged out':
    'ojo derecho: se puso una lente el {d} {x} y no consta que se quitara',
  'left eye: a lens went in on {d} {x} and is not logged out':
    'ojo izquierdo: se puso una lente el {d} {x} y no consta que se quitara',
  "The family's phone said that no lens may be worn, and it cannot be read here why: ask the family":
    'El teléfono de la familia dijo que no se puede llevar ninguna lente de contacto, y aquí no se puede leer por qué: pregunte a la familia',
  'A lens went in, and the new case or lens that its release asks for is not logged':
    'Se puso una lente de contacto y no consta el estuche o la lente nuevos que pide su autorización',
  'A lens went in, in an eye for which the plan has none':
    'Se puso una lente en un ojo para el que el plan no tiene ninguna',
  'A lens went in although nobody has said that lenses may be worn again':
    'Se puso una lente aunque nadie ha dicho que se puedan llevar de nuevo',
  'Lenses are stopped, and nobody has decided for how long, or the date of review has passed':
    'Las lentes de contacto están suspendidas y nadie ha decidido hasta cuándo, o pasó la fecha de valoración',
  'A sore eye, or an eye check that was begun, and no report since: the check was not finished':
    'Un ojo que duele, o una revisión del ojo que se empezó, y ningún informe desde entonces: la revisión no se terminó',
  'An eye was said to be sore, or a check was begun: it was done since, see what was answered':
    'Se dijo que un ojo dolía, o se empezó una revisión del ojo: ya se hizo, vea lo contestado',
  'Family reached': 'Familia localizada',
  'Family not reached': 'Familia no localizada',
  'Left word': 'Se dejó recado',
  'closed by {x}': 'cerrada por {x}',
  'nobody has answered: {x}': 'nadie ha respondido: {x}',
  'shown on a device, not yet acknowledged': 'mostrada en un dispositivo, aún sin asumir',
  'handed over to the mail server, nobody has answered': 'entregada al servidor de correo, nadie ha respondido',
  'handed over to a device, not yet shown': 'entregada a un dispositivo, aún sin mostrar',
  'no device or mail address could be reached: phone whoever is on duty':
    'no se alcanzó ningún dispositivo ni correo: llame a quien esté de guardia',
  'waiting to be told': 'esperando a comunicarse',
  'a message that they phone is on its way to the family': 'va de camino a la familia un mensaje para que llamen',
  'a phone of the family has shown that they are to phone': 'un teléfono de la familia ha mostrado que deben llamar',
  "a message went to the family's phones and was not shown yet: phone them":
    'se envió un mensaje a los teléfonos de la familia y aún no se mostró: llámelos',
  'the family could not be told: phone them': 'no se pudo comunicar a la familia: llámelos',
  'handed over': 'traspasada',
  'told who is on duty': 'comunicada a quien está de guardia',
  'told who is on duty and the deputy': 'comunicada a quien está de guardia y al suplente',
  'told everybody on the rota': 'comunicada a todos los del cuadro',
  'nobody is on duty: told everybody who gets alerts, and the owner':
    'nadie está de guardia: comunicada a todos los que reciben alertas y al titular',
  '{x}: no device with notifications': '{x}: ningún dispositivo con notificaciones',
  'no device with notifications': 'ningún dispositivo con notificaciones',
  taken: 'asumida',
  raised: 'planteada',
  'still open: reminded {x}': 'aún abierta: recordada {x}',
  '{x}; nobody answered for {n} minutes': '{x}; nadie respondió durante {n} minutos',
  'the duty of {x} has ended': 'la guardia de {x} terminó',
  'taken by {x}': 'asumida por {x}',
  '{x}, and the family was not reached in 30 minutes': '{x}, y no se localizó a la familia en 30 minutos',
  'just before the report': 'justo antes del informe',
  'a few hours before the report': 'unas horas antes del informe',
  'the night before the report': 'la noche antes del informe',
  'the day before the report': 'el día antes del informe',
  'two days or more before the report': 'dos días o más antes del informe',
  'not said': 'no se dijo',
  'not checked': 'sin mirar',
  'said to be not as usual': 'se dice que no está como siempre',
  'right eye: said to be as usual, not checked': 'ojo derecho: se dice que está como siempre, sin mirar',
  'left eye: said to be as usual, not checked': 'ojo izquierdo: se dice que está como siempre, sin mirar',
  'right eye: not checked, nobody knows whether it is as usual':
    'ojo derecho: sin mirar, nadie sabe si está como siempre',
  'left eye: not checked, nobody knows whether it is as usual':
    'ojo izquierdo: sin mirar, nadie sabe si está como siempre',
  'nothing asked': 'no se preguntó nada',
  'by the morning log': 'según el registro de la mañana',
  'which eye was not said': 'no se dijo qué ojo',
  'with the lens still in the eye': 'con la lente aún en el ojo',
  'lens stuck, does not move': 'lente pegada, no se mueve',
  'lens stuck, came off': 'lente pegada, se soltó',
  'redness {a} of 3': 'enrojecimiento {a} de 3',
  'comfort {a} of 4': 'comodidad {a} de 4',
  'A check was begun, and finished later': 'Se empezó una revisión del ojo y se terminó después',
  'The check was begun and not finished': 'Se empezó la revisión del ojo y no se terminó',
  'A check was left before its end, and finished later':
    'Se dejó una revisión del ojo antes del final y se terminó después',
  'The check was left before its end: what was answered by then stands here':
    'La revisión del ojo se dejó antes del final: aquí está lo contestado hasta entonces',
  'A check was begun and not finished; somebody else did one later':
    'Se empezó una revisión del ojo y no se terminó; otra persona hizo una después',
  'A check was left before its end; somebody else did one later':
    'Se dejó una revisión del ojo antes del final; otra persona hizo una después',
  'Lens stuck or not found, and not known to be out':
    'Lente de contacto pegada o no encontrada, sin constancia de que haya salido',
  'a lens that was stuck or not found is not known to be out, and its eye is released: say first that it is out':
    'no consta que haya salido una lente de contacto que estaba pegada o no se encontraba, y se libera ese ojo: indique antes que ha salido',
  'a lens that was stuck or not found is not known to be out: say whether it is':
    'no consta que haya salido una lente de contacto que estaba pegada o no se encontraba: indique si ha salido',
  'A lens may still be on the eye, and no visit is booked for today, so the phones go on saying not to pull at it and how soon to be seen':
    'Puede que la lente de contacto siga en el ojo y no hay visita reservada para hoy, así que los teléfonos siguen diciendo que no se tire de ella y en qué plazo hay que ir',
  'Lenses in since {x} and not logged out': 'Lentes de contacto puestas desde las {x}, sin anotar que salieron',
  'Lenses in at {x}': 'Lentes de contacto puestas a las {x}',
  pain: 'dolor',
  'redness of the eye': 'enrojecimiento del ojo',
  'sensitivity to light': 'molestia con la luz',
  sight: 'vista',
  'discharge or watering': 'secreción o lagrimeo',
  'white or yellow spot on the eye': 'mancha blanca o amarilla en el ojo',
  'feeling of something in the eye': 'sensación de algo en el ojo',
  'where the lens is': 'dónde está la lente',
  injury: 'lesión',
  eyelid: 'párpado',
  'odd pupil': 'pupila rara',
  'general illness': 'enfermedad general',
  'worst of it right now': 'lo peor en este momento',
  'water on a lens, the case or a worn lens within the watch period':
    'agua en una lente, el estuche o una lente puesta dentro del periodo de vigilancia',
  parent: 'madre o padre',
  teen: 'adolescente',
  'Spoken to, advice given': 'Se habló y se aconsejó',
  'Examined, nothing found on the day': 'Examinado, nada encontrado ese día',
  'Examined and treated here': 'Examinado y tratado aquí',
  'Referred on': 'Derivado',
  'Infiltrate without infection, as diagnosed': 'Infiltrado sin infección, según el diagnóstico',
  'Infection of the cornea, as diagnosed': 'Infección de la córnea, según el diagnóstico',
  'Family could not be reached': 'No se localizó a la familia',
  'Reported by mistake': 'Informado por error',
  'Other, see note': 'Otro, ver nota',
  'Nothing found': 'Nada encontrado',
  'Record cannot be read': 'No se puede leer el registro',
  'whatever this record would say of the eye, nobody sees it': 'diga lo que diga este registro del ojo, nadie lo ve',
  'Wrote to the clinic': 'Escribió a la clínica',
  "a family's own words, which no rule can weigh, wait for somebody to read them":
    'las palabras de una familia, que ninguna regla puede sopesar, esperan a que alguien las lea',
  'Closed before wear was decided on': 'Cerrada antes de decidir sobre el uso',
  'an alert was closed when closing alone let lenses in again: a clinician says once that they may be worn':
    'se cerró una alerta cuando bastaba cerrar para permitir las lentes de contacto de nuevo: un especialista dice una vez que se pueden llevar',
  'Water on lenses or case': 'Agua en las lentes de contacto o el estuche',
  'water can carry germs that solution does not deal with; ask about signs within the day':
    'el agua puede llevar gérmenes que la solución no elimina; pregunte por signos en el día',
  'Silent in the first four weeks': 'Sin noticias en las primeras cuatro semanas',
  'most problems of fit and handling show in the first weeks':
    'la mayoría de los problemas de adaptación y manejo se ven en las primeras semanas',
  'Effect behind in adaptation': 'Efecto retrasado en la adaptación',
  'full effect is usual by 1 to 2 weeks; the fit may need a look':
    'lo habitual es el efecto completo en 1 a 2 semanas; quizá haya que mirar la adaptación',
  Silent: 'Sin noticias',
  'nothing is known of this wearer at present': 'ahora no se sabe nada de este usuario',
  'Not started': 'Sin empezar',
  'a family may have given up before it began': 'una familia puede haberlo dejado antes de empezar',
  'a missed visit stays missed until it is kept, booked or waived':
    'una visita perdida sigue perdida hasta que se cumple, se reserva o se dispensa',
  'In the log': 'En el registro',
  'a rule about the log holds that the practice hears of by the next working day':
    'se cumple una regla sobre el registro que la clínica debe saber el próximo día laborable',
  'Wear or logging slipping': 'El uso o las anotaciones decaen',
  'a word now is easier than after three months': 'hablarlo ahora es más fácil que a los tres meses',
  'Deposit removal slipping': 'La eliminación de depósitos decae',
  'care slips before visits are missed; a word now is easier':
    'el cuidado decae antes de que se pierdan visitas; hablarlo ahora es más fácil',
  'Fast growth': 'Crecimiento rápido',
  "to plan a measurement and a talk, not for today's haste": 'para planear una medición y una charla, sin prisa hoy',
  'Supplies overdue': 'Material vencido',
  'a reminder at the next contact will do': 'basta recordarlo en el próximo contacto',
  'Part of your record cannot be read here just now. How are the eyes, and what did you log in the last days?':
    'Parte de su registro no se puede leer aquí ahora mismo. ¿Cómo están los ojos y qué anotó en los últimos días?',
  'a part of the data file is damaged; the administrator sees which':
    'una parte del archivo de datos está dañada; el administrador ve cuál',
  'You wrote that water got to the lenses or the case. Is either eye red, sore or sensitive to light? Please change to a fresh case and disinfect the lenses again':
    'Escribieron que llegó agua a las lentes de contacto o al estuche. ¿Algún ojo está rojo, duele o le molesta la luz? Cambien a un estuche nuevo y desinfecten otra vez las lentes de contacto',
  'You wrote that water got to the lenses or the case. Is either eye red, sore or sensitive to light?':
    'Escribieron que llegó agua a las lentes de contacto o al estuche. ¿Algún ojo está rojo, duele o le molesta la luz?',
  'Please change to a fresh case and disinfect the lenses again':
    'Cambien a un estuche nuevo y desinfecten otra vez las lentes de contacto',
  'tap water on {x} of the last {n} days, last {y}': 'agua del grifo en {x} de los últimos {n} días, la última el {y}',
  'shower or swim with lenses in on {x} of the last {n} days, last {y}':
    'ducha o baño con las lentes de contacto puestas en {x} de los últimos {n} días, la última el {y}',
  'water said in the eye check on {x} of the last {n} days, last {y}':
    'agua dicha en la revisión del ojo en {x} de los últimos {n} días, la última el {y}',
  '{d} water said in the eye check': '{d} agua dicha en la revisión del ojo',
  '{d} tap water': '{d} agua del grifo',
  'and {n} more': 'y {n} más',
  '{n} nights': { one: '{n} noche', other: '{n} noches' },
  '{n} night': '{n} noche',
  '{n} days': { one: '{n} día', other: '{n} días' },
  '{n} day': '{n} día',
  'last entry received {d}': 'última anotación recibida el {d}',
  '{x} without an entry since': '{x} sin anotaciones desde entonces',
  'no phone of the family has joined yet': 'aún no se ha unido ningún teléfono de la familia',
  'first night {d}': 'primera noche {d}',
  'joined {d}, nothing written yet': 'se unió el {d}, aún nada escrito',
  'the family paused its reminders until {d} ({x})': 'la familia pausó sus recordatorios hasta el {d} ({x})',
  'away from home': 'fuera de casa',
  'We have not heard from you for a few days. Are both eyes comfortable, how are the nights going, and does the app work for you?':
    'Hace unos días que no sabemos de ustedes. ¿Están cómodos los dos ojos, cómo van las noches y les funciona la aplicación?',
  'enrolled {d}, {x} ago': 'inscrito el {d}, hace {x}',
  'no first night agreed': 'sin primera noche acordada',
  'We have not agreed on a first night yet. Would you still like to start, and what do you need for it?':
    'Aún no hemos acordado la primera noche. ¿Quieren empezar todavía, y qué necesitan?',
  'By now we would expect clearer days. We would like to look at how the lenses sit':
    'A estas alturas esperaríamos días más claros. Querríamos mirar cómo se asientan las lentes de contacto',
  '{a} nights worn; the last {b} evenings rated {c} or less of 5':
    '{a} noches llevadas; las últimas {b} tardes valoradas con {c} o menos de 5',
  '{x} was due {d}, {y} ago, {z}': '{x}: prevista el {d}, hace {y}, {z}',
  '{x} was due {d}': '{x}: tocaba el {d}',
  case: 'estuche',
  lens: 'lente',
  solution: 'solución',
  holder: 'ventosa',
  spectacles: 'gafas',
  missed: 'perdida',
  cancelled: 'anulada',
  'not booked': 'sin reservar',
  recall: 'control',
  'A check of the eyes is due. When would suit you?': 'Toca una visita de control de los ojos. ¿Cuándo les viene bien?',
  'Your entries say this: {x}. How is it now?': 'Sus anotaciones dicen esto: {x}. ¿Cómo está ahora?',
  'Your entries say this: {x}': 'Sus anotaciones dicen esto: {x}',
  'How is it now?': '¿Cómo está ahora?',
  'We saw a few nights without lenses or without an entry. Is something making it harder lately?':
    'Vimos algunas noches sin lentes de contacto o sin anotar. ¿Algo lo hace más difícil últimamente?',
  'of the last {a} nights {b} missed, {c} not logged': 'de las últimas {a} noches {b} sin llevar, {c} sin anotar',
  'of the {a} before, {b} missed, {c} not logged': 'de las {a} anteriores, {b} sin llevar, {c} sin anotar',
  'The deeper clean that removes deposits seems to be due. Shall we go through it together?':
    'Parece que toca la limpieza a fondo que elimina depósitos. ¿La repasamos juntos?',
  'none logged since {d}': 'ninguna anotada desde el {d}',
  'none logged': 'ninguna anotada',
  '{d}: “{x}” (nobody has read it)': '{d}: “{x}” (nadie lo ha leído)',
  'Born {x}: age {a}; usually {b} to {c}': 'Nacido el {x}, es decir, {a} años; lo usual es de {b} a {c}',
  'last logged {d}': 'anotada por última vez el {d}',
  'the plan asks for one every {x}': 'el plan pide una cada {x}',
  'Something is in use longer than planned. Do you have a new one at home?':
    'Algo lleva en uso más de lo previsto. ¿Tienen uno nuevo en casa?',
  'Does the app work for you, and is somebody writing?': '¿Les funciona la aplicación, y escribe alguien?',
  'Adverse event': 'Evento adverso',
  'Something happened to an eye in wear, and we wrote it down. How has it gone since, and is any of it still there?':
    'Algo le pasó a un ojo durante el uso y lo anotamos. ¿Cómo ha ido desde entonces, y queda algo de ello?',
  'written down by the practice; it is looked at before every decision about lenses (common practice)':
    'anotado por la clínica; se mira antes de toda decisión sobre las lentes de contacto (práctica común)',
  'No adverse event of this wearer is written down: write it down under “Lenses”, so that it is counted and stands in the review':
    'No hay anotado ningún evento adverso de esta persona: anótelo en «Lentes de contacto», para que cuente y conste en la revisión',
  'A name of the family stands in the words of the event. Its file leaves the practice: write “the child” or “a parent” instead':
    'En las palabras del evento hay un nombre de la familia. Su archivo sale de la clínica: escriba «el niño» o «un progenitor» en su lugar',
  'Open report': 'Informe abierto',
  Water: 'Agua',
  Symptoms: 'Síntomas',
  Growth: 'Crecimiento',
  Care: 'Cuidado',
  Wear: 'Uso',
  Sight: 'Vista',
  Supplies: 'Material',
  Visits: 'Visitas',
  'The log': 'El registro',
  'tap water on {a} of {b} nights': 'agua del grifo en {a} de {b} noches',
  'shower or swim with lenses in on {a} of {b}': 'ducha o baño con las lentes de contacto puestas en {a} de {b}',
  'no lens for a sore eye on {x}': 'ninguna lente por un ojo dolorido en {x}',
  'a lens stuck on {x}': 'una lente pegada en {x}',
  '{a} of {b} nights missed, at most {c} in a row': '{a} de {b} noches sin llevar, como mucho {c} seguidas',
  '{a} of {b} shorter than planned': '{a} de {b} más cortas de lo previsto',
  'deposit removal: {x}': 'eliminación de depósitos: {x}',
  '{a} of {b} nights without an entry': '{a} de {b} noches sin anotar',
  '{a} of {b} first written more than a day late': '{a} de {b} escritas con más de un día de retraso',
  'two entries disagree on {x}': 'dos anotaciones no coinciden en {x}',
  '{n} more items': '{n} cosas más',
  '{x} on {a} of {b}': '{x} en {a} de {b}',
  'hands were not washed before handling': 'no se lavaron las manos antes',
  'lenses were not rubbed': 'las lentes de contacto no se frotaron',
  'lenses were not rinsed with solution': 'las lentes de contacto no se enjuagaron con solución',
  'the case was not emptied': 'el estuche no se vació',
  'the case was not wiped': 'el estuche no se limpió',
  'the case was not left to dry': 'el estuche no se dejó secar',
  'old solution was topped up': 'se rellenó la solución vieja',
  'tap water touched a lens or the case': 'agua del grifo tocó una lente o el estuche',
  'lenses were in during a shower or swim': 'las lentes de contacto estaban puestas en la ducha o el baño',
  'On some nights {x}. Shall we go through the steps together and see where it gets lost?':
    'Algunas noches {x}. ¿Repasamos juntos los pasos para ver dónde se pierde?',
  'Hands washed and dried': 'Manos lavadas y secas',
  'Lenses rubbed': 'Lentes de contacto frotadas',
  'Lenses rinsed with solution': 'Lentes de contacto enjuagadas con solución',
  'Case emptied': 'Estuche vaciado',
  'Case wiped': 'Estuche limpiado',
  'Case dried upside down': 'Estuche secado boca abajo',
  'No topping up of old solution': 'Sin rellenar solución vieja',
  'No tap water on lens or case': 'Sin agua del grifo en lente ni estuche',
  'No shower or swim with lenses in': 'Sin ducha ni baño con ellas puestas',
  'Tap water': 'Agua del grifo',
  'Shower or swim with lenses in': 'Ducha o baño con las lentes de contacto puestas',
  'Old solution topped up': 'Solución vieja rellenada',
  'Filled in from memory: {a} of {b} nights, up to {c} at once':
    'Escrito de memoria: {a} de {b} noches, hasta {c} de una vez',
  'Filled in from memory: {a} of {b} nights, up to {c} at once, the same clock every night':
    'Escrito de memoria: {a} de {b} noches, hasta {c} de una vez, siempre a la misma hora',
  'The same clock every night: in at {x}': 'La misma hora todas las noches: puestas a las {x}',
  '{a} of {b} nights have no entry': '{a} de {b} noches no tienen anotación',
  'Two entries disagree on {x}': 'Dos anotaciones no coinciden en {x}',
  'Two entries disagree on {x}; the worse one is counted': 'Dos anotaciones no coinciden en {x}; cuenta la peor',
  '{n} night was written more than a day late': '{n} noche se escribió con más de un día de retraso',
  '{n} nights were written more than a day late': '{n} noches se escribieron con más de un día de retraso',
  'Nothing was logged in this period': 'No se anotó nada en este periodo',
  'Written night by night: {a} of {b} nights': 'Escrito noche a noche: {a} de {b} noches',
  'none on Friday or Saturday evenings': 'ninguna viernes ni sábado por la noche',
  'only on Friday and Saturday evenings': 'solo viernes y sábado por la noche',
  'by the practice': 'por la clínica',
  'after a report about the other eye, with which it shares the case kept for the clinic':
    'tras un informe sobre el otro ojo, con el que comparte el estuche guardado para la clínica',
  'after a report': 'tras un informe',
  'after a sore eye': 'tras un ojo dolorido',
  'after an entry of the log': 'tras una anotación',
  'There is no night to judge the log by': 'No hay ninguna noche para valorar el registro',
  '{x} without an entry of {b} ({c} %)': '{x} sin anotar de {b} ({c} %)',
  "{n} night was first written more than a day after the night ended, by the phone's own clock":
    '{n} noche se escribió más de un día después de acabar, según el reloj del teléfono',
  "{n} nights were first written more than a day after the night ended, by the phone's own clock":
    '{n} noches se escribieron más de un día después de acabar, según el reloj del teléfono',
  '{n} night was received more than a day late, though written on time: the phone had no connection':
    '{n} noche llegó con más de un día de retraso, aunque se escribió a tiempo: el teléfono no tenía conexión',
  '{n} nights were received more than a day late, though written on time: the phone had no connection':
    '{n} noches llegaron con más de un día de retraso, aunque se escribieron a tiempo: el teléfono no tenía conexión',
  'On {x}, {n} past nights were written in one day': 'El {x} se escribieron {n} noches pasadas en un día',
  "A phone's clock was off by {x} on {y}": 'El reloj de un teléfono iba mal en {x} el {y}',
  'the effect follows the published courses for the nights worn':
    'el efecto sigue los cursos publicados para las noches llevadas',
  '{n} nights not logged taken as worn for the usual hours':
    '{n} noches sin anotar tomadas como llevadas las horas habituales',
  '{n} night not logged taken as worn for the usual hours':
    '{n} noche sin anotar tomada como llevada las horas habituales',
  '{a} of {b} nights are not logged, too many to follow the course':
    '{a} de {b} noches sin anotar, demasiadas para seguir el curso',
  'there is no reading, and two are needed': 'no hay ninguna medición y hacen falta dos',
  'there is one reading, and two are needed': 'hay una medición y hacen falta dos',
  'there is one reading of this stretch, and two are needed; those before it do not count':
    'hay una medición de esta etapa y hacen falta dos; las anteriores no cuentan',
  'on lenses': 'con lentes de contacto',
  'before lenses': 'antes de las lentes de contacto',
  '{x} fell from {a} % to {b} %': '{x} bajó del {a} % al {b} %',
  '{x} rose from {a} % to {b} %': '{x} subió del {a} % al {b} %',
  '{x} fell from {a} to {b}': '{x} bajó de {a} a {b}',
  '{x} rose from {a} to {b}': '{x} subió de {a} a {b}',
  '{x} fell from {a} to {b} of 5': '{x} bajó de {a} a {b} de 5',
  '{x} rose from {a} to {b} of 5': '{x} subió de {a} a {b} de 5',
  'Nights with lenses': 'Noches con lentes de contacto',
  'Nights with every care item done': 'Noches con todo el cuidado hecho',
  'Hours in lenses': 'Horas con lentes de contacto',
  'Evening sight': 'Vista de la tarde',
  '{a} of {b}': '{a} de {b}',
  '{n} not answered': '{n} sin contestar',
  '{a} of {b} nights answered': '{a} de {b} noches contestadas',
  '{a} of {b} nights answered were missed, at most {c} in a row':
    '{a} de {b} noches contestadas sin llevar, como mucho {c} seguidas',
  'reasons: {x}': 'motivos: {x}',
  '{n} not logged': '{n} sin anotar',
  'no reason given': 'sin motivo',
  '{x} missed {a} of {b}': '{x}: {a} de {b} sin llevar',
  'other days missed {a} of {b}': 'otros días: {a} de {b} sin llevar',
  '{a} short of {b} nights with known hours': '{a} cortas de {b} noches con horas conocidas',
  'middle {a} h': 'mediana {a} h',
  'middle of the last {a} evenings {b} of 5, before that {c}': 'mediana de las últimas {a} tardes {b} de 5, antes {c}',
  'missed or short nights in the range: {n}': 'noches sin llevar o cortas en el periodo: {n}',
  '{a} of {b} nights logged were first written more than a day late':
    '{a} de {b} noches anotadas se escribieron con más de un día de retraso',
  '{n} times three or more in one day': '{n} veces tres o más en un día',
  'night of {d}': 'noche del {d}',
  'right eye {a} mm a year ({b} to {c})': 'ojo derecho {a} mm al año ({b} a {c})',
  'left eye {a} mm a year ({b} to {c})': 'ojo izquierdo {a} mm al año ({b} a {c})',
  'A report from home is still open with us. May we go through it first?':
    'Un informe de casa sigue abierto con nosotros. ¿Podemos verlo primero?',
  'You told us about something with an eye. How did it go on, is any of it still there, and has it come back?':
    'Nos contaron algo de un ojo. ¿Cómo siguió, queda algo, ha vuelto?',
  'Lenses stayed out because of a sore eye, which was right. What was it like, how long did it last, and has anybody looked at it?':
    'No se llevaron las lentes de contacto por un ojo dolorido, y fue lo correcto. ¿Cómo era, cuánto duró, lo ha mirado alguien?',
  'A lens was stuck in the morning more than once within a week. Let us look at how it sits, and go through loosening it with drops':
    'Una lente estuvo pegada por la mañana más de una vez en una semana. Miremos cómo se asienta y repasemos cómo soltarla con gotas',
  'Water got to the lenses or the case. It is an easy slip, and the one we most want to help with: water can carry germs that solution does not deal with':
    'Llegó agua a las lentes de contacto o al estuche. Es un descuido fácil y el que más queremos ayudar a evitar: el agua puede llevar gérmenes que la solución no elimina',
  'Sight in the evening has been less clear lately than it used to be. Let us look at the eyes, the lenses and the nights behind it':
    'La vista de la tarde ha sido menos clara últimamente. Miremos los ojos, las lentes de contacto y las noches anteriores',
  'The effect is building more slowly than we would expect by now. We would like to check how the lenses sit':
    'El efecto se construye más despacio de lo que esperaríamos. Querríamos mirar cómo se asientan las lentes de contacto',
  'Rings or glare round lights are still a bother. They usually settle over the first month, so we would like to look into it':
    'Los anillos o el deslumbramiento alrededor de las luces aún molestan. Suelen pasar en el primer mes, así que querríamos mirarlo',
  'At least one eye is growing faster than we would hope for. Two measurements are not the whole story; let us measure again and talk about what else can be done':
    'Al menos un ojo crece más rápido de lo que querríamos. Dos mediciones no lo son todo; midamos otra vez y hablemos de qué más se puede hacer',
  'Some nights went without lenses. What got in the way, and can we make it easier?':
    'Algunas noches pasaron sin lentes de contacto. ¿Qué lo impidió, y podemos hacerlo más fácil?',
  'Several nights were shorter than planned. Would an earlier bedtime work on some of them?':
    'Varias noches fueron más cortas de lo previsto. ¿Podría acostarse antes alguna de ellas?',
  'On some days the lenses stayed in past noon, or were only logged then. How are mornings going?':
    'Algunos días las lentes de contacto siguieron puestas pasado el mediodía, o solo se anotaron entonces. ¿Cómo van las mañanas?',
  'We did not get to see you at a planned visit. What would make the next one easier to keep?':
    'No pudimos verles en una visita prevista. ¿Qué haría más fácil cumplir la próxima?',
  'Most missed nights fall on the same evenings: {x}. Is there something about them we can plan for?':
    'La mayoría de las noches sin llevar caen en los mismos días: {x}. ¿Hay algo en ellos que podamos prever?',
  'Many nights have no entry, so we cannot see how they went. Can we make logging quicker for you?':
    'Muchas noches no tienen anotación y no podemos ver cómo fueron. ¿Podemos hacer más rápido anotar?',
  'Some nights were written down several at a time. A tap each morning would tell us more than a good memory':
    'Algunas noches se escribieron varias a la vez. Un toque cada mañana nos diría más que una buena memoria',
  'Two entries say different things about the same night. Which one is right?':
    'Dos anotaciones dicen cosas distintas de la misma noche. ¿Cuál es la correcta?',
  'You wrote to us. How is it now?': 'Nos escribieron. ¿Cómo está ahora?',
  'Before you last had trouble with an eye we stopped the lenses. Who told you that they may be worn again?':
    'Antes del último problema con un ojo suspendimos las lentes de contacto. ¿Quién les dijo que se pueden llevar de nuevo?',
  'There is no plan for this range: the usual minimum of 6 hours and the usual care items are used':
    'No hay plan para este periodo: se usan el mínimo habitual de 6 horas y el cuidado habitual',
  'Nothing about wear was logged in this range, so nothing can be said about it':
    'No se anotó nada del uso en este periodo, así que no se puede decir nada',
  '{n} night has no usable insertion and removal time: worn, but for how long is not known':
    '{n} noche sin hora útil de poner y quitar: llevada, pero no se sabe cuánto',
  '{n} nights have no usable insertion and removal time: worn, but for how long is not known':
    '{n} noches sin hora útil de poner y quitar: llevadas, pero no se sabe cuánto',
  'Never answered in this range, so left out of “every item done”: {x}':
    'Nunca contestado en este periodo, por eso no entra en «todo hecho»: {x}',
  'There are fewer than 4 evening sight reports: no trend is drawn':
    'Hay menos de 4 valoraciones de la vista de la tarde: no se traza tendencia',
  '{x} started': '{x}: empezado',
  'Axial length, mm': 'Longitud axial, mm',
  'Unaided, logMAR': 'Sin corrección, logMAR',
  'Best corrected, logMAR': 'Mejor corrección, logMAR',
  'Left over, D': 'Resto, D',
  Staining: 'Tinción',
  'Other grades': 'Otros grados',
  Fluorescein: 'Fluoresceína',
  Centration: 'Centrado',
  'central {a}': 'central {a}',
  'inferior {a}': 'inferior {a}',
  'superior {a}': 'superior {a}',
  'nasal {a}': 'nasal {a}',
  'temporal {a}': 'temporal {a}',
  'bulbar redness {a}': 'enrojecimiento bulbar {a}',
  'limbal redness {a}': 'enrojecimiento limbar {a}',
  'lid roughness {a}': 'rugosidad del párpado {a}',
  'infiltrates {a}': 'infiltrados {a}',
  'no sign reported as present': 'ningún signo informado como presente',
  'right: {x}': 'derecho: {x}',
  'left: {x}': 'izquierdo: {x}',
  'pain that went after removal': 'dolor que se fue al quitarla',
  'pain that persists': 'dolor que sigue',
  'severe pain': 'dolor intenso',
  'mild redness': 'enrojecimiento leve',
  'marked redness': 'enrojecimiento marcado',
  'sensitive to light': 'le molesta la luz',
  'blur that clears': 'vista borrosa que se aclara',
  'blur that stays': 'vista borrosa que sigue',
  watering: 'lagrimeo',
  'discharge on waking': 'secreción al despertar',
  pus: 'pus',
  'a visible spot': 'una mancha visible',
  'gritty on insertion': 'arenilla al ponerla',
  'grittiness that stays': 'arenilla que sigue',
  'lens still in': 'lente aún puesta',
  'lens broken': 'lente rota',
  'lens was stuck, came off': 'lente pegada, se soltó',
  'lens stuck': 'lente pegada',
  'lens cannot be found': 'la lente no se encuentra',
  'a knock': 'un golpe',
  'a chemical in the eye': 'un producto químico en el ojo',
  'grit in the eye': 'arenilla en el ojo',
  'a scratch': 'un arañazo',
  'a cut': 'un corte',
  'a cut or a hard knock or something stuck in the eye': 'un corte, un golpe fuerte o algo clavado en el ojo',
  'something stuck or flown in': 'algo clavado o que entró volando',
  'blood in the eye': 'sangre en el ojo',
  'double sight': 'vista doble',
  'flashes or a curtain': 'destellos o una cortina',
  'sight suddenly lost': 'pérdida súbita de vista',
  'swollen lid': 'párpado hinchado',
  'eye cannot be opened': 'el ojo no se puede abrir',
  'very bad pain': 'dolor muy fuerte',
  'Zone, country and languages': 'Zona, país e idiomas',
  "Nights, hours and reminders are counted by the zone, telephone numbers are read as the country's, and paper is printed in the languages. Nothing that depends on them is saved before":
    'Noches, horario y recordatorios se cuentan por la zona, los números de teléfono se leen como los del país y el papel se imprime en los idiomas. Antes no se guarda nada que dependa de ello',
  'Name and telephone numbers': 'Nombre y números de teléfono',
  'They are what a family with a sore eye has, without a network too':
    'Es lo que tiene una familia con un ojo dolorido, también sin red',
  Hours: 'Horario',
  'A family must know when somebody answers, and that nobody watches at other times':
    'Una familia debe saber cuándo contesta alguien, y que en otros momentos nadie vigila',
  Rota: 'Cuadro de guardias',
  'The rota names people, and an alert needs a clinician who takes it. Whoever is added in the console is let in when somebody else of the practice has confirmed it there, or after 24 hours. Where Nightkeep runs, staff add -role clinician lets them in at once':
    'El cuadro de guardias nombra a personas, y una alerta necesita un especialista que la atienda. A quien se añade en la consola se le deja entrar cuando otra persona de la clínica lo ha confirmado en ella, o pasadas 24 horas. Donde funciona Nightkeep, staff add -role clinician le deja entrar al momento',
  'It says who hears of an alert first, and who next': 'Dice quién se entera primero de una alerta, y quién después',
  'No clinician: nobody can prescribe a plan, or stop the alarm of a red flag. Add one under Staff, or at once with staff add -role clinician':
    'Sin especialista: nadie puede prescribir un plan ni detener la alarma de una alerta grave. Añada uno en Personal, o al momento con staff add -role clinician',
  'Devices that ring': 'Dispositivos que suenan',
  'An alert that no device shows is found late. Each member of staff signs in at their own device, makes a passkey there and turns notifications on':
    'Una alerta que ningún dispositivo muestra se descubre tarde. Cada miembro del personal inicia sesión en su dispositivo, crea allí una clave de acceso y activa las notificaciones',
  Mail: 'Correo',
  'Mail reaches people whose devices are silent. Only a mail that was read shows that it arrives: everybody on the rota, and the owner, reads one. The server is set where Nightkeep is started: serve -smtp':
    'El correo llega a quienes tienen los dispositivos en silencio. Solo un correo leído muestra que llega: lo lee cada persona del cuadro de guardias, y el titular. El servidor se fija donde se arranca Nightkeep: serve -smtp',
  'No test mail has arrived yet at: {x}. The ladder of an alert mails them. Send one to each under Staff, to the owner under Settings, and enter the code in it':
    'Aún no ha llegado ningún correo de prueba a: {x}. Una alerta sin respuesta les llega por correo. Envíe uno a cada persona en Personal, al titular en Ajustes, e introduzca el código que contiene',
  'Alerts were open when a backup was put back on {x}, and were carried into it (alerts: {y}): deal with them in the list of alerts':
    'Había alertas abiertas cuando el {x} se repuso una copia de seguridad, y se pasaron a ella (alertas: {y}): atiéndalas en la lista de alertas',
  'Alerts were open when a backup was put back on {x}, and could not be carried into it (alerts: {y}): phone the families that reported of late now. Who they are stands in the file that was kept: restore -rehearsal shows it':
    'Había alertas abiertas cuando el {x} se repuso una copia de seguridad, y no se pudieron pasar a ella (alertas: {y}): llame ahora a las familias que avisaron últimamente. Quiénes son consta en el archivo que se guardó: restore -rehearsal lo muestra',
  'Which alerts were open in the data file before {x} is not known: phone the families that reported of late':
    'No se sabe qué alertas estaban abiertas en el archivo de datos antes del {x}: llame a las familias que avisaron últimamente',
  'A backup was put back on {x}. What was done after it had been made is not in it: {y}. Each stands in the audit log as “not in the backup”: look at it, do it again, and say there when all is seen to':
    'El {x} se repuso una copia de seguridad. Lo que se hizo después de crearla no está en ella: {y}. Cada cosa consta en el registro de auditoría como “not in the backup”: mírela, vuelva a hacerla y diga allí cuándo está todo atendido',
  'Since {x} phones say that the data file is older than what they were told (families: {y}; entries that were not in it: {z} or more). The phones send them again by themselves; what the practice did meanwhile is not known: look through staff, families, plans, closings, bookings and settings of the days before':
    'Desde el {x} hay teléfonos que dicen que el archivo de datos es más antiguo que lo que se les dijo (familias: {y}; registros que faltaban en él: {z} o más). Los teléfonos los envían de nuevo por sí solos; no se sabe lo que hizo entretanto la clínica: revise personal, familias, planes, cierres, citas y ajustes de los días anteriores',
  'A backup, a repaired or an older file was put back on {x}, and what it lacks is not known: look through staff, families, plans, closings, bookings and settings of the days before':
    'El {x} se repuso una copia de seguridad, un archivo reparado o uno más antiguo, y no se sabe lo que le falta: revise personal, familias, planes, cierres, citas y ajustes de los días anteriores',
  'A backup, read back': 'Una copia de seguridad, leída de vuelta',
  'A backup that nobody has tried may be none. Copies are made where Nightkeep is started: serve -backup-dir; they are tried with restore -rehearsal':
    'Una copia que nadie ha probado puede no ser nada. Se hacen donde se arranca Nightkeep: serve -backup-dir; se prueban con restore -rehearsal',
  'A second administrator': 'Un segundo administrador',
  'One lets the other in who has lost their device': 'Uno deja entrar al otro que perdió su dispositivo',
  'A drill': 'Un simulacro',
  'A test alert that somebody answers shows that the whole way works':
    'Una alerta de prueba que alguien responde muestra que funciona todo el camino',
  'Alert rules, approved': 'Reglas de alerta, aprobadas',
  'They act from the first start; local law and emergency ways may differ from them. A clinician reads and approves them':
    'Actúan desde el primer arranque; la ley local y las urgencias pueden ser distintas. Un especialista las lee y aprueba',
  'Reminders and the ladder of alerts run by its clock, and phones trust its certificate':
    'Los recordatorios y la escala de alertas van por su reloj, y los teléfonos confían en su certificado',
  'No hours: families cannot be told when the practice answers':
    'Sin horario: no se puede decir a las familias cuándo contesta la clínica',
  'No backups are scheduled: set backup-dir': 'No hay copias programadas: fije backup-dir',
  'No backup was read back yet, so nobody knows whether one can be: restore one into another folder with restore -rehearsal, and note under Settings that it worked':
    'Aún no se leyó de vuelta ninguna copia, así que nadie sabe si se puede: restaure una en otra carpeta con restore -rehearsal y anote en Ajustes que funcionó',
  'No administrator: nobody can set anything in the console. Make one with staff add -role administrator':
    'Sin administrador: nadie puede fijar nada en la consola. Cree uno con staff add -role administrator',
  'Only one administrator: when they lose their device, nobody in the console can let anybody in':
    'Un solo administrador: si pierde su dispositivo, nadie en la consola puede dejar entrar a nadie',
  'Of the administrators at most one has a passkey or is signed in: when they lose their device, nobody in the console can let anybody in':
    'De los administradores, a lo sumo uno tiene clave de acceso o sesión abierta: si pierde su dispositivo, nadie en la consola puede dejar entrar a nadie',
  'The practice has no name of its own yet': 'La clínica aún no tiene nombre propio',
  'No emergency number: a family told to seek help at once is shown none':
    'Sin número de emergencias: a una familia a la que se dice que pida ayuda al momento no se le muestra ninguno',
  'No telephone number of the practice: families have nothing to call':
    'Sin número de teléfono de la clínica: las familias no tienen adónde llamar',
  'No telephone for after hours: at night and at weekends a family with a sore eye is shown a number that nobody answers':
    'Sin teléfono fuera de horario: por la noche y en fin de semana, a una familia con un ojo dolorido se le muestra un número que nadie contesta',
  'No emergency eye department: a family told to go at once is not told where':
    'Sin servicio de urgencias de oftalmología: a una familia a la que se dice que vaya al momento no se le dice adónde',
  'No time zone: no family can be added yet': 'Sin zona horaria: aún no se puede añadir ninguna familia',
  "No country: no family can be added yet, since telephone numbers are read as the country's":
    'Sin país: aún no se puede añadir ninguna familia, pues los teléfonos se leen como los del país',
  'No languages: no family can be added yet, since nobody knows which words they read':
    'Sin idiomas: aún no se puede añadir ninguna familia, pues nadie sabe qué textos leen',
  'No rota: nobody is on duty, so an alert goes at once to everybody of the practice who has notifications on, and to the owner by mail when that is set':
    'Sin cuadro de guardias: nadie está de guardia, así que una alerta va al momento a todos los de la clínica con notificaciones, y al titular por correo si está fijado',
  "Nobody is on duty for {x} of the clinic's own hours over the next {n} days":
    'Nadie está de guardia durante {x} del horario de la clínica en los próximos {n} días',
  'Outside hours nobody is on duty for {x} over the next {n} days: fill the rota, or say under Settings that nobody watches at night':
    'Fuera de horario nadie está de guardia durante {x} en los próximos {n} días: complete el cuadro, o diga en Ajustes que de noche nadie vigila',
  'No test mail has arrived yet, so nobody knows whether alerts do: send one under Staff, and enter the code in it':
    'Aún no ha llegado ningún correo de prueba, así que nadie sabe si llegan las alertas: envíe uno en Personal y escriba el código que contiene',
  'No mail server: an alert that no device shows is not sent by mail. It is set where the server is started':
    'Sin servidor de correo: una alerta que ningún dispositivo muestra no se envía por correo. Se fija donde se arranca el servidor',
  'No mail address of the owner: when nobody answers an alert, nobody above the rota is told':
    'Sin correo del titular: cuando nadie responde a una alerta, no se comunica a nadie por encima del cuadro',
  'No drill was answered yet, so nobody knows whether an alert reaches anybody: start one under Daily check':
    'Aún no se respondió a ningún simulacro, así que nadie sabe si una alerta llega a alguien: inicie uno en Verificación diaria',
  'Nobody answered the last drill, of {x}: find out why, and start another under Daily check':
    'Nadie respondió al último simulacro, del {x}: averigüe por qué e inicie otro en Verificación diaria',
  'The last drill, of {x}, rang nowhere: no device and no mailbox had its message before it was taken on an open page. Start another while nobody looks at the list':
    'El último simulacro, del {x}, no sonó en ningún sitio: ningún dispositivo ni buzón tenía su mensaje antes de que se tomara en una página abierta. Inicie otro mientras nadie mira la lista',
  'The last drill was on {x}, and one is due each month: start one under Daily check':
    'El último simulacro fue el {x}, y toca uno cada mes: inicie uno en Verificación diaria',
  'No clinician has approved table {n} of the alert rules: local law and emergency ways may differ from it. Read it under Alert rules':
    'Ningún especialista ha aprobado la tabla {n} de las reglas de alerta: la ley local y las urgencias pueden ser distintas. Léala en Reglas de alerta',
  'On the rota but not among those who answer alerts: {x}':
    'En el cuadro pero no entre quienes responden a las alertas: {x}',
  'On the rota without a device that receives alerts: {x}. Each turns it on at their own device':
    'En el cuadro sin dispositivo que reciba alertas: {x}. Cada uno lo activa en su propio dispositivo',
  'No device of the practice receives alerts. Each member of staff turns it on at their own device':
    'Ningún dispositivo de la clínica recibe alertas. Cada miembro del personal lo activa en su propio dispositivo',
  'On the rota, signed in nowhere and without a passkey: {x}. An alert can be opened by them nowhere: an administrator makes them a link under Staff':
    'En el cuadro, sin sesión en ninguna parte y sin clave de acceso: {x}. No pueden abrir una alerta en ningún sitio: un administrador les crea un enlace en Personal',
  'On the rota without a passkey: {x}. When their window locks they cannot open an alert until an administrator makes them a link':
    'En el cuadro sin clave de acceso: {x}. Cuando se bloquee su ventana no podrán abrir una alerta hasta que un administrador les cree un enlace',
  'The desk alone is on duty for {x} over the next {n} days: only a clinician stops the alarm of a red flag. Add a clinician as deputy':
    'Solo recepción está de guardia durante {x} en los próximos {n} días: solo un especialista detiene la alarma de una alerta grave. Añada un especialista como suplente',
  '{n} h': '{n} h',
  '{n} min': '{n} min',
  'days to watch for a sign after water or a red flag':
    'días de vigilancia de signos tras contacto con agua o señal de alarma',
  'missed nights in 14 that reach the clinic': 'noches sin llevar de 14 que llegan a la clínica',
  'evenings below baseline in the last 5': 'tardes por debajo de lo propio en las últimas 5',
  'shortest useful night': 'noche útil más corta',
  'nights of silence that reach the clinic': 'noches sin noticias que llegan a la clínica',
  'days a recall may be late': 'días que puede retrasarse un control',
  'weeks to months pass before an amoebic infection shows; no exact length is published':
    'pasan semanas o meses hasta que se ve una infección por amebas; no hay plazo exacto publicado',
  'no published limit': 'sin límite publicado',
  'no published limit of abnormal evening blur': 'sin límite publicado de vista borrosa anormal por la tarde',
  'reviews say 6 to 9 hours, a trial still worked above 4; no agreed limit':
    'las revisiones dicen 6 a 9 horas, un ensayo aún funcionó por encima de 4; sin límite acordado',
  days: 'días',
  nights: 'noches',
  minutes: 'minutos',
  'Wear and care are self-reported; a night nobody wrote about is unknown, not missed':
    'El uso y el cuidado son según declaran; una noche de la que nadie escribió es desconocida, no sin llevar',
  'something still stops a lens: say whether lenses may be worn again, or that it stays, or where the wearer was sent':
    'algo aún impide una lente: diga si se pueden llevar de nuevo, si sigue así o adónde se derivó',
  'want a note: what was done': 'falta una nota: qué se hizo',
  'want where the wearer was sent': 'falta adónde se derivó',
  'this alert is open already': 'esta alerta ya está abierta',
  'there is no such alert': 'no existe esa alerta',
  'already acknowledged by {x} at {y}': 'ya la asumió {x} a las {y}',
  'already closed by {x} at {y}': 'ya la cerró {x} a las {y}',
  'want a date of birth as YYYY-MM-DD': 'falta la fecha de nacimiento, AAAA-MM-DD',
  'born on {x} is in the future; want a date up to today':
    'el nacimiento {x} está en el futuro; se espera una fecha hasta hoy',
  'want the date of the visit as YYYY-MM-DD': 'falta la fecha de la visita, AAAA-MM-DD',
  'The practice is closed on {x}': 'La clínica está cerrada el {x}',
  "{x} lies outside the practice's hours of that day": '{x} está fuera del horario de la clínica ese día',
  'This wearer already has a visit booked on {x}': 'Este usuario ya tiene una visita reservada el {x}',
  'Another wearer is booked on {x} at {y}': 'Otro usuario tiene reserva el {x} a las {y}',
  'outside the usual range': 'fuera del rango habitual',
  'plano sphere: no short sight to treat': 'esfera plana: no hay miopía que tratar',
  'long sight: not the usual treatment, less predictable':
    'hipermetropía: no es el tratamiento habitual, menos predecible',
  'most predictable': 'lo más predecible',
  'usual range': 'rango habitual',
  'Acute or subacute inflammation or infection of the front of the eye?':
    '¿Inflamación o infección aguda o subaguda de la parte delantera del ojo?',
  'Any disease, injury or abnormality of cornea, conjunctiva or lids?':
    '¿Alguna enfermedad, lesión o anomalía de córnea, conjuntiva o párpados?',
  'Severe lack of tears?': '¿Falta grave de lágrima?',
  'Reduced corneal sensation?': '¿Sensibilidad corneal reducida?',
  'A general illness or medicine that affects the eye or is made worse by lens wear?':
    '¿Una enfermedad general o un medicamento que afecte al ojo o empeore con el uso de lentes de contacto?',
  'Allergy to lens material or care solutions, or eyes red or irritated now?':
    '¿Alergia al material o a las soluciones, o los ojos rojos o irritados ahora?',
  'Unwilling or unable to follow the care and the recalls?':
    '¿No quieren o no pueden seguir el cuidado y los controles?',
  'Will an adult supervise insertion, removal and care every day?':
    '¿Supervisará un adulto cada día el poner, el quitar y el cuidado?',
  'Does the child want it, and tolerate lids and eyes being touched?':
    '¿Lo quiere el niño y tolera que le toquen párpados y ojos?',
  'Is there a place to wash hands and clean the lenses without tap water touching them?':
    '¿Hay un sitio donde lavarse las manos y limpiar las lentes de contacto sin que las toque el agua del grifo?',
  'Does the family know whom to call, day and night, and that pain or redness means lens out and a call?':
    '¿Sabe la familia a quién llamar, de día y de noche, y que dolor o enrojecimiento significa quitar la lente y llamar?',
  'Are spectacles at hand for nights without lenses and the mornings after?':
    '¿Hay gafas a mano para las noches sin lentes de contacto y las mañanas siguientes?',
  'no refractive error to correct': 'no hay error refractivo que corregir',
  'sphere {a} D is beyond {b} D; a partial reduction with spectacles by day is another plan':
    'esfera {a} D, más allá de {b} D; una reducción parcial con gafas de día es otro plan',
  'sphere {a} D is beyond {b} D; long sight is corrected less predictably':
    'esfera {a} D, más allá de {b} D; la hipermetropía se corrige de forma menos predecible',
  'sphere {a} D is long sight, usual to {b} D and less predictable than short sight':
    'esfera {a} D es hipermetropía, habitual hasta {b} D y menos predecible que la miopía',
  'sphere is plano: there is no short sight to treat, and astigmatism alone was not studied':
    'esfera plana: no hay miopía que tratar, y el astigmatismo solo no se estudió',
  'sphere {a} D lies where the result is most predictable ({b} to {c} D)':
    'esfera {a} D, donde el resultado es más predecible ({b} a {c} D)',
  'sphere {a} D lies in the usual range to {b} D, outside the most predictable {c} to {e} D':
    'esfera {a} D, en el rango habitual hasta {b} D, fuera de lo más predecible {c} a {e} D',
  'cylinder {a} D is beyond {b} D, the usual end of designs made for astigmatism':
    'cilindro {a} D, más allá de {b} D, el final habitual de los diseños para astigmatismo',
  'cylinder {a} D is beyond {b} D and needs a design made for astigmatism':
    'cilindro {a} D, más allá de {b} D, necesita un diseño para astigmatismo',
  'cylinder {a} D is within the {b} D of standard designs':
    'cilindro {a} D, dentro de los {b} D de los diseños estándar',
  'age {a} is below 6 years, the youngest in the randomised trial of 2012':
    '{a} años, por debajo de 6, el menor del ensayo aleatorizado de 2012',
  'age {a}: the approvals carry no age limit, though few adolescents took part in their trials':
    '{a} años: las autorizaciones no fijan edad, aunque pocos adolescentes participaron en sus ensayos',
  Emergency: 'Emergencia',
  Urgent: 'Urgente',
  Routine: 'De rutina',
  Note: 'Nota',
  Clinician: 'Especialista',
  Desk: 'Recepción',
  Administrator: 'Administrador',
  Parent: 'Madre o padre',
  Teen: 'Adolescente',
  Both: 'Ambos',
  Right: 'Derecho',
  Left: 'Izquierdo',
  Recall: 'Control',
  'First morning': 'Primera mañana',
  'One week': 'Una semana',
  'Two week': 'Dos semanas',
  'One month': 'Un mes',
  'Three month': 'Tres meses',
  'Six month': 'Seis meses',
  Unscheduled: 'No programada',
  Suitability: 'Idoneidad',
  Booked: 'Reservada',
  Kept: 'Cumplida',
  Missed: 'Perdida',
  Cancelled: 'Anulada',
  Waived: 'Dispensada',
  Overdue: 'Vencida',
  Due: 'Prevista',
  Visit: 'Visita',
  Call: 'Llamada',
  Symptom: 'Síntoma',
  Alert: 'Alerta',
  Supply: 'Material',
  Lens: 'Lente',
  Plan: 'Plan',
  Pause: 'Pausa',
  'On course': 'En curso',
  Behind: 'Retrasado',
  Ahead: 'Adelantado',
  'Not enough data': 'Datos insuficientes',
  'No rate': 'Sin tasa',
  Rapid: 'Rápido',
  Moderate: 'Moderado',
  Slow: 'Lento',
  None: 'Ninguno',
  Some: 'Algo',
  Troublesome: 'Molestos',
  'Fewer than 5': 'Menos de 5',
  'Spoken to': 'Se habló',
  'Message left': 'Se dejó recado',
  'Not reached': 'No localizada',
  'No call needed': 'No hace falta llamar',
  Forgot: 'Se olvidó',
  Tired: 'Cansancio',
  Away: 'Fuera de casa',
  Ill: 'Enfermedad',
  'Sore eye': 'Ojo dolorido',
  Raised: 'Planteada',
  Escalated: 'Escalada',
  Acknowledged: 'Asumida',
  'Family told': 'Familia informada',
  Closed: 'Cerrada',
  Reopened: 'Abierta de nuevo',
  Comment: 'Comentario',
  'Handed over': 'Traspasada',
  Called: 'Llamada',
  'Desk phoned': 'Recepción llamó',
  Shown: 'Mostrada',
  Opened: 'Abierta',
  Changed: 'Cambiada',
  Multipurpose: 'Multiuso',
  Peroxide: 'Peróxido',
  'Untreated myopes': 'Miopes sin tratar',
  'Treated myopes': 'Miopes tratados',
  Emmetropes: 'Emétropes',
  Yes: 'Sí',
  No: 'No',
  'For the practitioner to decide': 'Decide el especialista',
  Controlled: 'Controlado',
  Partly: 'En parte',
  Accepted: 'Aceptado',
  Examined: 'Examinado',
  Open: 'Abierta',
  Friday: 'Viernes',
  'right eye': 'ojo derecho',
  'left eye': 'ojo izquierdo',
  'common practice': 'práctica habitual',
  'the table of rules, with the source of each': 'la tabla de reglas, con la fuente de cada una',
  '{x}, opened {d}': '{x}, abierta el {d}',
  min: 'min',
  months: 'meses',
  years: 'años',
  h: 'h',
  mm: 'mm',
  Failed: 'No entregada',
  Sent: 'Enviada',
  Worsened: 'Empeoró',
  Improved: 'Mejoró',
  'Passed on': 'Pasada a otro',
  Gone: 'Ya no está',
  'Family shown': 'Mostrada a la familia',
  Cleared: 'Liberado',
  'Not called': 'Sin llamar',
  'mail: no mail address or no mail server set': 'correo: sin dirección o sin servidor de correo',
  'push: no device with notifications': 'notificación: ningún dispositivo con notificaciones',
  'Lens lost': 'Lente de contacto perdida',
  'without a lens the effect goes back night by night, and a borrowed or old lens may be tried':
    'sin lente de contacto el efecto se pierde noche a noche, y puede probarse una prestada o vieja',
  'You logged a lens as lost. Is there another one, and what is worn until then?':
    'Anotó que se perdió una lente de contacto. ¿Hay otra, y qué se lleva hasta entonces?',
  'right lens logged as lost on {d}, none taken into use since':
    'lente de contacto derecha anotada como perdida el {d}, ninguna puesta en uso desde entonces',
  'left lens logged as lost on {d}, none taken into use since':
    'lente de contacto izquierda anotada como perdida el {d}, ninguna puesta en uso desde entonces',
  'the effect fades within days without lenses (common practice)':
    'el efecto se pierde en pocos días sin lentes de contacto (práctica común)',
  'Stop decided, not written': 'Suspensión decidida, sin escribir',
  "at a visit a lens was to stay out, and until that is written the family's phones still ask for it":
    'en una visita se decidió no usar una lente de contacto; hasta que se escriba, los teléfonos de la familia aún la piden',
  'At the visit we decided that a lens stays out for now. Please wear none in that eye until we tell you.':
    'En la visita decidimos que una lente de contacto se queda fuera por ahora. No use ninguna en ese ojo hasta que le avisemos.',
  'right lens: a stop was decided on {d} and is not written':
    'lente de contacto derecha: suspensión decidida el {d} y sin escribir',
  'left lens: a stop was decided on {d} and is not written':
    'lente de contacto izquierda: suspensión decidida el {d} y sin escribir',
  "the family's phones still ask for lenses until the stop is written, or the visit is changed":
    'los teléfonos de la familia aún piden lentes de contacto hasta que se escriba la suspensión o se cambie la visita',
  'Lenses rested again': 'Las lentes de contacto descansaron otra vez',
  'what keeps lenses out night after night is looked at, though each night is a small thing by itself':
    'lo que deja las lentes de contacto fuera noche tras noche se mira, aunque cada noche sea poca cosa por sí sola',
  'a third rest in 14 nights: ours, no published figure':
    'un tercer descanso en 14 noches: nuestro, sin cifra publicada',
  'Lenses stayed out on some nights because of the eyes. How are they now? We would like to look at them.':
    'Las lentes de contacto se quedaron fuera algunas noches por los ojos. ¿Cómo están ahora? Nos gustaría verlos.',
  'at rest on {a} of the last {b} nights': 'en descanso {a} de las últimas {b} noches',
  'Lenses worn after the end': 'Lentes de contacto usadas tras el fin',
  'nobody follows an eye that is worn on after wear ended':
    'nadie vigila un ojo que sigue con lente de contacto después del fin del uso',
  'Wear of the lenses has ended, and your log has nights with lenses since. Please wear none. How are the eyes?':
    'El uso de las lentes de contacto ha terminado y su registro tiene noches con ellas después. No use ninguna. ¿Cómo están los ojos?',
  'nights logged with lenses since: {n}, last {d}':
    'noches anotadas con lentes de contacto desde entonces: {n}, la última el {d}',
  'Lenses worn before a plan asks': 'Lentes de contacto usadas antes de que un plan las pida',
  'no plan asks for a lens, so nobody follows the eye that has one':
    'ningún plan pide una lente de contacto, así que nadie vigila el ojo que la lleva',
  'Your log has nights with lenses, and no plan asks for them yet. Please wear none. How are the eyes?':
    'Su registro tiene noches con lentes de contacto y ningún plan las pide todavía. No use ninguna. ¿Cómo están los ojos?',
  'no plan is written': 'no hay ningún plan escrito',
  'the first night of the plan is {d}': 'la primera noche del plan es el {d}',
  'nights logged with lenses all the same: {n}, last {d}':
    'noches anotadas con lentes de contacto a pesar de ello: {n}, la última el {d}',
  'Lens not logged out': 'Lentes de contacto sin anotar como quitadas',
  'a lens that is still in takes the eye its oxygen and can stick; the reminders brought no word':
    'una lente de contacto que sigue puesta priva al ojo de oxígeno y puede pegarse; los recordatorios no trajeron respuesta',
  'Lenses were logged in and not out. Are they out of both eyes, and are the eyes comfortable?':
    'Se anotó que se pusieron las lentes de contacto y no que se quitaron. ¿Están fuera de los dos ojos, y están cómodos los ojos?',
  'logged in on the night of {d}, no word since that they came out':
    'anotadas como puestas la noche del {d}; desde entonces nada dice que se quitaran',
  'Lens still in': 'Lente de contacto aún puesta',
  'Sight fell in the test at home': 'La vista bajó en la prueba en casa',
  'a fall that is more than the spread of the test can be an eye that is not well, or a lens that sits badly':
    'una bajada mayor que la dispersión de la prueba puede ser un ojo que no está bien o una lente mal asentada',
  'Infection of the cornea': 'Infección de la córnea',
  'Infiltrate without infection': 'Infiltrado sin infección',
  'Abrasion or erosion of the cornea': 'Abrasión o erosión de la córnea',
  'Staining that needed a stop': 'Tinción que exigió suspender',
  'Lens bound to the eye with damage': 'Lente pegada al ojo con daño',
  'Inflammation of conjunctiva or lids': 'Inflamación de conjuntiva o párpados',
  'Allergic or toxic reaction': 'Reacción alérgica o tóxica',
  'Chemical burn': 'Quemadura química',
  'Swelling or vessels from lack of oxygen': 'Edema o vasos por falta de oxígeno',
  'Loss of best-corrected sight': 'Pérdida de la mejor agudeza corregida',
  'Fault of a lens, or wrong lens': 'Fallo de una lente, o lente equivocada',
  'Something else': 'Otra cosa',
  'Wear was stopped': 'Se suspendió el uso',
  'Examined here': 'Examinado aquí',
  'Treated here': 'Tratado aquí',
  'Lens, case or cornea cultured': 'Cultivo de lente, estuche o córnea',
  'Admitted to hospital': 'Ingreso hospitalario',
  'Lens or design changed': 'Se cambió la lente o el diseño',
  'Care changed, or taught again': 'Se cambió el cuidado o se enseñó de nuevo',
  'Treatment ended for good': 'El tratamiento terminó para siempre',
  Death: 'Muerte',
  'Danger to life': 'Peligro para la vida',
  'Hospital stay, or a longer one': 'Hospitalización, o prolongada',
  'Lasting damage, or loss of a function': 'Daño permanente o pérdida de una función',
  'Treatment was needed to prevent lasting damage': 'Hizo falta tratamiento para evitar un daño permanente',
  'Serious for another medical reason': 'Grave por otro motivo médico',
  'Not known': 'No se sabe',
  'Not settled yet': 'Aún sin resolver',
  'Settled without a trace': 'Resuelto sin secuelas',
  'Settled, with a scar or another trace': 'Resuelto, con cicatriz u otra secuela',
  'Settled, with loss of sight': 'Resuelto, con pérdida de vista',
  'All events': 'Todos los eventos',
  'Finished as planned': 'Terminado según lo previsto',
  'An adverse event': 'Un evento adverso',
  'Sight was not good enough': 'La vista no era suficiente',
  'The eye grew all the same': 'El ojo creció igualmente',
  Discomfort: 'Molestias',
  'Handling or care did not succeed': 'No se logró el manejo o el cuidado',
  'The child does not want to': 'El niño no quiere',
  'The family decided': 'Lo decidió la familia',
  Cost: 'Coste',
  'Another treatment instead': 'Otro tratamiento en su lugar',
  'Moved away, or changed practice': 'Se mudó o cambió de clínica',
  'Health, or another treatment forbids lenses': 'La salud u otro tratamiento impide las lentes de contacto',
  'Another reason, see note': 'Otro motivo, ver nota',
  'The refraction may not be back yet': 'La refracción quizá no ha vuelto aún',
  'The refraction is probably partly or fully back; a reading now settles nothing yet':
    'La refracción probablemente ha vuelto en parte o del todo; una medición ahora aún no decide nada',
  'The refraction can be measured again; a second reading a week apart confirms it':
    'Se puede medir de nuevo la refracción; una segunda medición una semana después la confirma',
  'The refraction is expected to be back; two readings a week apart confirm it':
    'Se espera que la refracción haya vuelto; dos mediciones con una semana de diferencia lo confirman',
  'one more reading is needed, at least {n} days after one that is {m} days or more after the end':
    'falta una medición más, al menos {n} días después de otra hecha {m} días o más tras el final',
  'still changing: {a} D on {x}, {b} D on {y}': 'sigue cambiando: {a} D el {x}, {b} D el {y}',
  'steady: {a} D on {x}, {b} D on {y}': 'estable: {a} D el {x}, {b} D el {y}',
  'not measured since the end': 'sin medir desde el final',
  'The sight test at home came out worse than it used to. Is either eye red or sore, and is sight blurred by day? We would like to look at it':
    'La prueba de la vista en casa salió peor que antes. ¿Tiene algún ojo rojo o dolorido, y ve borroso de día? Nos gustaría examinarlo',
  'Refraction after the end of wear': 'Refracción tras el final del uso',
  'without it nobody knows which spectacles fit, or from which refraction a new start would begin':
    'sin ella nadie sabe qué gafas sirven ni desde qué refracción empezaría un nuevo comienzo',
  'Lenses have been out for some weeks now. May we measure your eyes again, and see whether the spectacles fit?':
    'Lleva ya unas semanas sin lentes de contacto. ¿Podemos medir sus ojos de nuevo y ver si las gafas le sirven?',
  'Sight fell': 'La visión bajó',
  'right eye {a} logMAR on {d}, {b} before ({c} runs)': 'ojo derecho {a} logMAR el {d}, {b} antes ({c} pruebas)',
  'left eye {a} logMAR on {d}, {b} before ({c} runs)': 'ojo izquierdo {a} logMAR el {d}, {b} antes ({c} pruebas)',
  'right eye {a} logMAR on {d}, {b} before ({c} run)': 'ojo derecho {a} logMAR el {d}, {b} antes ({c} prueba)',
  'left eye {a} logMAR on {d}, {b} before ({c} run)': 'ojo izquierdo {a} logMAR el {d}, {b} antes ({c} prueba)',
  'wear ended {d}': 'el uso terminó el {d}',
  'no refraction on or after {dates}': 'sin refracción desde el {dates}',
  'On the rota without a telephone number: {x}. When their device is silent, nobody of the practice can phone them: an administrator enters it under Staff':
    'En el turno sin número de teléfono: {x}. Cuando su dispositivo calla, nadie de la clínica puede llamarles: un administrador lo anota en Personal',
  '{x} of today is in the past, and the visit is booked': 'Las {x} de hoy ya han pasado, y la visita se reserva',
  'The visit is at {x}, and it is {y} now: was it kept before its time?':
    'La visita es a las {x} y ahora son las {y}: ¿se hizo antes de su hora?',
  'the word to the family says that the eye was examined, and the decision rests on no examination: choose another word':
    'lo que se dice a la familia es que se examinó el ojo, y la decisión no se basa en ningún examen: elija otra frase',
  'Wear has ended, so this lets no lens in until a new course begins, and the family reads “lenses again”':
    'El uso ha terminado, así que esto no permite ninguna lente hasta que empiece un nuevo periodo, y la familia lee que puede volver a usarlas',
  'Your own words call an eye fine, and no one can promise that':
    'Sus propias palabras dicen que un ojo está bien, y eso nadie lo puede prometer',
  'the word to the family says no lens, or that the eye is being treated, and lenses are allowed again: choose another word, or leave the stop':
    'lo que se dice a la familia es que no lleve lente de contacto, o que el ojo está en tratamiento, y se permiten de nuevo los lentes de contacto: elija otra frase o mantenga la prohibición',
  'lenses are in by the log: see what is named here, and say that you know it, before lenses are worn again':
    'según el registro hay lentes de contacto puestas: vea lo que aquí se nombra, y diga que lo sabe, antes de que se vuelvan a usar las lentes de contacto',
  'the family has written and nobody has read it: read what is named here, or say that you know it, before lenses are worn again':
    'la familia ha escrito y nadie lo ha leído: lea lo que aquí se nombra, o diga que lo sabe, antes de que se vuelvan a usar las lentes de contacto',
  'the word to the family and the outcome contradict each other about what was found: put one of the two right':
    'las palabras a la familia y el resultado se contradicen sobre lo que se halló: corrija una de las dos cosas',
  'this is a red flag, and neither an examination nor a call that reached the family is logged: log the call first':
    'esto es una señal de alarma, y no consta ni un examen ni una llamada que llegara a la familia: registre primero la llamada',
  'The family reads both: what their phones say of each eye, and your own words beside it':
    'La familia lee ambas cosas: lo que dicen sus móviles de cada ojo y, al lado, sus propias palabras',
  'Read both before you send them': 'Lea ambas antes de enviarlas',
  "The {x} eye is stopped, and this plan does not lift that: the family's phones go on saying no lens":
    'El ojo {x} está suspendido y este plan no lo levanta: los móviles de la familia siguen diciendo sin lente',
  "The {x} eye is stopped until {d}, and this plan does not lift that: the family's phones say no lens until then":
    'El ojo {x} está suspendido hasta el {d} y este plan no lo levanta: los móviles de la familia dicen sin lente hasta entonces',
  'The plan is for the {x} eye alone: the other is released here, and the plan asks for no lens in it':
    'El plan es solo para el ojo {x}: el otro se libera aquí, y el plan no pide lente en él',
  'The words to the family speak of a visit, and none is booked here':
    'Las palabras a la familia hablan de una visita, y aquí no hay ninguna reservada',
  'This closing names a disease of the cornea and lets lenses in again, and the phones say so at once':
    'Este cierre nombra una enfermedad de la córnea y permite otra vez las lentes de contacto, y los teléfonos lo dicen enseguida',
  'If the disease is not over, choose no lens and a date of review':
    'Si la enfermedad no ha terminado, elija sin lente de contacto y una fecha de revisión',
  'Nobody would be the deputy in the duty of {x}: the step of the ladder to the deputy would reach nobody':
    'Nadie sería suplente en el turno del {x}: el paso del escalado al suplente no llegaría a nadie',
  '{x} is no clinician and cannot take a red flag: in that duty the ladder goes on until a clinician answers':
    '{x} no es especialista y no puede asumir una señal de alarma: en ese turno el escalado sigue hasta que responda un especialista',
  'Mail, tested': 'Correo, probado',
  'The machine: clock, certificate, disk': 'La máquina: reloj, certificado, disco',
  'a real alert waits to be taken: no drill now': 'una alerta real espera a que la asuman: ningún simulacro ahora',
  'fewer than 5': 'menos de 5',
  none: 'ninguno',
  'Nothing is written down of this visit, and it counts as kept':
    'No hay nada anotado de esta visita, y cuenta como hecha',
  'A visit of this kind was kept on {x} already': 'Ya se hizo una visita de este tipo el {x}',
  'a second contact with a telephone needs a name': 'un segundo contacto con teléfono necesita un nombre',
  'Best-corrected acuity of the {x} eye is worse than unaided. Are they swapped?':
    'Mejor agudeza del ojo {x}: es peor que sin corrección. ¿Están intercambiadas?',
  'Keratometry of the {x} eye: flat has more power than steep. Are they swapped?':
    'Queratometría del ojo {x}: el plano tiene más potencia que el curvo. ¿Están cambiados?',
  'The review is on {x}, more than three months away': 'La revisión es el {x}, dentro de más de tres meses',
  'the outcome says that the wearer was sent on or not reached, and lenses are allowed again: put one of the two right':
    'el desenlace dice que se derivó al usuario o que no se le localizó, y se permiten lentes de contacto de nuevo: corrija una de las dos cosas',
  'lenses again: want a resume that says which eyes and from when':
    'lentes de contacto de nuevo: diga en qué ojos y desde cuándo',
  'no lens: want a cease with the date of the visit or of review':
    'sin lente de contacto: falta la fecha de la visita o de la revisión',
  'this is a drill: it ends when a clinician takes it, or by itself':
    'esto es un simulacro: acaba cuando lo asume un especialista, o solo',
  'want a clinician or somebody of the desk who is let in':
    'elija un especialista o alguien de recepción a quien ya se deja entrar',
  "this is the practice's own family for drills: nothing of it is kept as a child's":
    'esta es la familia de la propia clínica para simulacros: nada de ella se guarda como de un niño',
  'want a teen of this family who has an account of their own':
    'elija un adolescente de esta familia con cuenta propia',
  'want people of this family, other than the one who came of age':
    'elija personas de esta familia que no sean quien cumplió la mayoría de edad',
  'want devices in use of the one who came of age': 'elija dispositivos en uso de quien cumplió la mayoría de edad',
  'born on {x} is more than 120 years ago': 'el nacimiento {x} fue hace más de 120 años',
  'a visit on {x} has not been yet: it can be booked, not kept':
    'una visita del {x} aún no ha sido: se puede reservar, no dar por realizada',
  'a visit on {x} can still be kept: it can be booked or cancelled, not missed':
    'aún se puede acudir a la visita del {x}: se puede reservar o anular, no dar por perdida',
  '{x} is before the date of birth, {y}': '{x} es anterior a la fecha de nacimiento, {y}',
  '{x}: want at most {a} characters': '{x}: como máximo {a} caracteres',
  'want the axis of the cylinder, {a} to {b} degrees': 'falta el eje del cilindro, de {a} a {b} grados',
  'an axis stands here without a cylinder: want both or neither': 'hay un eje sin cilindro: ambos o ninguno',
  '{x} is in the past, and the visit is booked': '{x} ya pasó y la visita está reservada',
  'The practice has no hours on a {x}': 'La clínica no atiende en {x}',
  '{x} to {y} on {z} holds {a} visits, and has {b}': 'De {x} a {y} el {z} caben {a} visitas, y ya hay {b}',
  'First night: want the date of the first night in lenses; without one nothing of the plan is ever due':
    'Primera noche: falta la fecha de la primera noche con lentes de contacto; sin ella nada del plan llega a tocar',
  'first night {x} is before the date of birth, {y}': 'la primera noche {x} es anterior a la fecha de nacimiento, {y}',
  'The plan asks for no visit later than {x} months after the first night':
    'El plan no pide ninguna visita después de {x} meses desde la primera noche',
  'The plan leaves {x} months without a visit, from month {y} on; at most {z} are usual, and less in the first three':
    'El plan deja {x} meses sin visita, desde el mes {y}; lo habitual son {z} como mucho, y menos en los tres primeros',
  'The first night, {x}, is more than a year away': 'La primera noche, {x}, queda a más de un año',
  'The first night, {x}, is more than 15 years ago': 'La primera noche, {x}, fue hace más de 15 años',
  'The version applies from {x}, more than a month ago: reminders and figures of those nights will follow it':
    'La versión vale desde el {x}, hace más de un mes: los recordatorios y las cifras de esas noches la seguirán',
  '{x}, born {y}, is already a wearer of the practice, with the code {w}':
    '{x}, con nacimiento {y}, ya es usuario de la clínica, con el código {w}',
  'want {a} to {b} people': 'de {a} a {b} personas',
  'want at least one telephone number: without one nobody can be called about a sore eye':
    'falta al menos un teléfono: sin él no se puede llamar a nadie por un ojo dolorido',
  "the practice's time zone, country and languages come first: nights, telephone numbers and words depend on them; an administrator sets them under Settings":
    'primero van la zona horaria, el país y los idiomas de la clínica: de ellos dependen las noches, los teléfonos y los textos; un administrador los pone en Ajustes',
  'want a last date that is not before the first': 'la última fecha no puede ser anterior a la primera',
  'want a person of this family': 'elija una persona de esta familia',
  "a colleague's browser is signed out by the colleague, or ends when an administrator lets them go":
    'el navegador de un colega lo cierra el propio colega, o acaba cuando un administrador le da de baja',
  'want an IANA zone name such as Europe/Lisbon': 'falta un nombre de zona de IANA, como Europe/Lisbon',
  'want at most {a} characters': 'como máximo {a} caracteres',
  'each person needs a name of {a} to {b} characters and the role parent or teen':
    'cada persona necesita un nombre de {a} a {b} caracteres y el papel de padre, madre o adolescente',
  'want the telephone number of {x}': 'falta el teléfono de {x}',
  'another wearer of the practice has this code; want one that is free':
    'otro usuario de la clínica tiene este código; elija uno libre',
  'a family has at most {a} wearers': 'una familia tiene como máximo {a} usuarios',
  "this is the family's only wearer; correct the name, or let an administrator erase the family":
    'es el único usuario de la familia; corrija el nombre o pida a un administrador que borre la familia',
  'a family has at most {a} people': 'una familia tiene como máximo {a} personas',
  'want a wearer of this family who does not write entries yet':
    'elija un usuario de esta familia que aún no escriba anotaciones',
  "this person is a wearer too; change the wearer's name":
    'esta persona también es usuario; cambie el nombre del usuario',
  'this is the only telephone number of the family; want another one first':
    'es el único teléfono de la familia; ponga antes otro',
  'nobody else of this family writes entries; add somebody first':
    'nadie más de esta familia escribe anotaciones; añada antes a alguien',
  'this plan has version {a} by now and you began from version {b}; nothing of yours was saved':
    'este plan ya va por la versión {a} y usted partió de la {b}; no se guardó nada suyo',
  'want a date within {a} days: a reason of this kind is looked at again by then':
    'elija una fecha dentro de {a} días: un motivo de este tipo se vuelve a mirar entonces',
  'want a time as HH:MM, or none': 'hora como HH:MM, o ninguna',
  'this visit is not there any more; nothing of yours was saved': 'esta visita ya no existe; no se guardó nada suyo',
  '{x} saved this visit since you began: it is {y} on {z} now; nothing of yours was saved':
    '{x} guardó esta visita desde que usted empezó: ahora está {y} el {z}; no se guardó nada suyo',
  'the visit of {x} is moved: choose why': 'la visita del {x} se mueve: elija por qué',
  'a clinician records that a visit was kept or is left out; the desk books, moves and cancels, and notes who did not come':
    'que una visita se hizo o se omite lo anota un especialista; recepción reserva, mueve y anula, y anota quién no vino',
  'Wear was ended {a} days ago. If no lens was worn since, this is a new start: begin a new course with a new baseline':
    'El uso terminó hace {a} días. Si desde entonces no se llevó ninguna lente de contacto, esto es un comienzo nuevo: empiece un curso con una línea base nueva',
  'wear was not ended: there is nothing to start over from': 'el uso no se terminó: no hay nada que empezar de nuevo',
  'something else holds a lens back, since {x}: a clinician lifts that first, under “Write to the family” or with its alert':
    'otra cosa impide una lente de contacto desde {x}: un especialista la levanta antes, en “Escribir a la familia” o con su alerta',
  'want a first night from {x} on, the first one without lenses':
    'la primera noche debe ser desde el {x}, la primera sin lentes de contacto',
  'want a first night within {a} days': 'la primera noche debe ser dentro de {a} días',
  'want a first night within the last {a} days': 'la primera noche debe estar en los últimos {a} días',
  'An adverse event is not settled: {x}, {y}, since {d}': 'Un evento adverso no está resuelto: {x}, {y}, desde el {d}',
  'Was the eye examined, and may it have a lens again?':
    '¿Se examinó el ojo, y puede llevar de nuevo una lente de contacto?',
  'The refraction of the {x} eye is not known to be steady after the end: {z}':
    'No se sabe si la refracción del ojo {x} es estable tras el final: {z}',
  'No new baseline is given for the {x} eye: what the lenses do cannot be followed without one':
    'No hay línea base nueva del ojo {x}: sin ella no se puede seguir lo que hacen las lentes de contacto',
  'the file has {a} bytes; a file takes at most {b}': 'el archivo tiene {a} bytes; como máximo {b}',
  'this visit has {a} attachments, and takes {b}': 'esta visita tiene {a} adjuntos y admite {b}',
  'the attachments of one wearer take at most {a} MiB; {b} are taken and this one needs {c}: take one out first':
    'los adjuntos de un usuario ocupan como máximo {a} MiB; hay {b} ocupados y este necesita {c}: quite antes uno',
  'this attachment cannot be read whole; the administrator sees which part of the data file is damaged':
    'este adjunto no se puede leer entero; el administrador ve qué parte del archivo de datos está dañada',
  'this attachment is of no kind that this program shows': 'este adjunto no es de un tipo que este programa muestre',
  'the answers of one wearer are kept at most {a} times':
    'las respuestas de un usuario se guardan como máximo {a} veces',
  'want at most {a} questions, and no more answers than questions':
    'como máximo {a} preguntas, y no más respuestas que preguntas',
  'want yes or no to a question; leave out what is not known': 'responda sí o no; deje en blanco lo que no se sabe',
  '{x} is not taken; want a JPEG or PNG picture or a PDF':
    'no se admite {x}; se espera una imagen JPEG o PNG, o un PDF',
  'the bytes are no JPEG, PNG or PDF': 'el contenido no es JPEG, PNG ni PDF',
  'the file is called {x} and its bytes are {y}': 'el archivo dice ser {x} y su contenido es {y}',
  'the PDF has no end: it was cut off': 'el PDF no tiene final: se cortó',
  'the PDF holds a program or another file ({x}); print it to a plain PDF and attach that':
    'el PDF contiene un programa u otro archivo ({x}); imprímalo como PDF simple y adjunte ese',
  'the picture has {a} by {b} points; want at most {c} million':
    'la imagen tiene {a} por {b} puntos; como máximo {c} millones',
  'written anew the picture has {a} bytes; a file takes at most {b}: make it smaller, or a JPEG':
    'reescrita, la imagen tiene {a} bytes; como máximo {b}: redúzcala o hágala JPEG',
  'the picture cannot be read: it is cut off or damaged': 'no se puede leer la imagen: está cortada o dañada',
  'want at most {a} characters, this has {b}': 'como máximo {a} caracteres; este texto tiene {b}',
  'want a few words on what it shows': 'faltan unas palabras sobre lo que muestra',
  'want what happened, in words': 'falta qué pasó, en palabras',
  'want who tells of it': 'falta quién lo comunica',
  '{x} is in the future; want a date up to today': '{x} está en el futuro; se espera una fecha hasta hoy',
  'this {x} has version {a} by now and you began from version {b}; nothing of yours was saved':
    'esto ({x}) ya va por la versión {a} y usted partió de la {b}; no se guardó nada suyo',
  'there is no such visit of this wearer; save the visit first':
    'este usuario no tiene esa visita; guarde antes la visita',
  'want one of {z}': 'se espera una de estas: {z}',
  'wear has not begun: there is nothing to end': 'el uso no ha empezado: no hay nada que terminar',
  'wear was ended already, from the night of {x}': 'el uso ya terminó, desde la noche del {x}',
  'want a night after the first one in lenses, {x}':
    'elija una noche posterior a la primera con lentes de contacto, {x}',
  'The first night without lenses, {x}, is more than {a} days away':
    'La primera noche sin lentes de contacto, {x}, queda a más de {a} días de hoy',
  'Nights logged with lenses from {x} on: {n}, the last {y}':
    'Noches anotadas con lentes de contacto desde el {x}: {n}, la última el {y}',
  'an event takes at most {a} versions': 'un evento admite como máximo {a} versiones',
  'one wearer has at most {a} events': 'un usuario tiene como máximo {a} eventos',
  'there is no such alert of this wearer': 'este usuario no tiene esa alerta',
  'there is no such lens of this wearer': 'este usuario no tiene esa lente de contacto',
  'it cannot be serious and not known to be: want one of the two':
    'no puede ser grave y a la vez no saberse: elija una de las dos',
  'want the date on which it began, as near as it is known':
    'falta la fecha en que empezó, lo más aproximada que se sepa',
  'want the date on which the practice heard of it': 'falta la fecha en que lo supo la clínica',
  '{x} is before it began, {y}': '{x} es anterior a su comienzo, {y}',
  'an event that has settled has an outcome that says so': 'un evento resuelto tiene un desenlace que lo dice',
  'want whom it was reported to on {x}': 'falta a quién se comunicó el {x}',
  '{x} is before the practice heard of it, {y}': '{x} es anterior a cuando lo supo la clínica, {y}',
  'one wearer has at most {a} lenses in this list': 'un usuario tiene como máximo {a} lentes de contacto en esta lista',
  'choose the eye of the lens': 'elija el ojo de la lente de contacto',
  'choose the design of the lens': 'elija el diseño de la lente de contacto',
  'a cylinder has an axis, and an axis a cylinder: want both or neither':
    'un cilindro tiene eje, y un eje cilindro: ambos o ninguno',
  '{w} on {x} is before {y}, the date of the step before it': '{w} el {x} es anterior a {y}, la fecha del paso previo',
  ordered: 'pedida',
  received: 'recibida',
  'given out': 'entregada',
  ended: 'terminada',
  'a lens that is no longer in use has a date and a reason: want both or neither':
    'una lente de contacto que ya no se usa tiene fecha y motivo: ambos o ninguno',
  'Nothing of this lens is written but its eye and its design':
    'De esta lente de contacto solo constan el ojo y el diseño',
  'Another lens of this wearer has the serial number {x}':
    'Otra lente de contacto de este usuario tiene el número de serie {x}',
  'The family already has a {x} lens in use, given out on {y}: is that one replaced, or this one the spare?':
    'La familia ya tiene una lente de contacto en uso ({x}), entregada el {y}: ¿se sustituye aquella, o esta es la de repuesto?',
  'want {a} to {b} characters; "not known yet" will do, and a line later':
    'de {a} a {b} caracteres; basta con "aún no se sabe", y una línea después',
  'the register has no such breach': 'el registro no tiene esa violación de datos',
  'only whoever was asked can confirm a swap': 'solo quien recibió la petición puede confirmar un cambio',
  'only the two people of a swap can end it': 'solo las dos personas de un cambio pueden anularlo',
  'nobody asks for this swap any more': 'ya nadie pide este cambio',
  'want a colleague who answers alerts': 'elija un colega que responda a alertas',
  'you have no duty that begins on {x} in the next {a} days':
    'usted no tiene ninguna guardia que empiece el {x} en los próximos {a} días',
  '{w} has no duty that begins on {x} in the next {a} days':
    '{w} no tiene ninguna guardia que empiece el {x} en los próximos {a} días',
  '{x} is away on {y}': '{x} está ausente el {y}',
  'there is no such member of staff': 'no existe esa persona del personal',
  'want a name for the passkey of at most {a} characters that can be seen':
    'falta un nombre para la clave de acceso, de como máximo {a} caracteres visibles',
  'somebody else has saved the settings since you opened them; nothing of yours was saved':
    'otra persona guardó los ajustes desde que usted los abrió; no se guardó nada suyo',
  'choose the country': 'elija el país',
  'choose the country: two capital letters of ISO 3166-1, such as GB':
    'elija el país: dos letras mayúsculas de ISO 3166-1, como GB',
  'want at least one of {z}': 'se espera al menos una de estas: {z}',
  '{x}: want each of {z} once at most': '{x}: cada una de {z} como máximo una vez',
  'want at most {a} characters, and what went wrong when it did not work':
    'como máximo {a} caracteres, y qué falló si no funcionó',
  'want the day of the backup that was tried: today at the latest, and of the last year, since an older one shows nothing of those made now':
    'falta el día de la copia probada: como tarde hoy y del último año, pues una más antigua no dice nada de las de ahora',
  'want {a} to {b} years, or {c} for nobody': 'de {a} a {b} años, o {c} para nadie',
  '{a}: want {b} to {c} minutes, or {e}': '{a}: de {b} a {c} minutos, o {e}',
  '{a}: want {b} to {c} appointments, or {e}': '{a}: de {b} a {c} citas, o {e}',
  '{x}: want a plain mail address, or nothing': '{x}: una dirección de correo simple, o nada',
  'want {a} to {b} characters, this has {c}': 'de {a} a {b} caracteres; aquí hay {c}',
  'zone {x}: want an IANA name such as Europe/Berlin': 'zona {x}: un nombre de IANA, como Europe/Berlin',
  '{x}: want a telephone number of {a} to {b} digits': '{x}: un teléfono de {a} a {b} cifras',
  '{a} characters: want at most {b}': '{a} caracteres: como máximo {b}',
  'want the name of the department beside its address or hours':
    'falta el nombre del servicio junto a su dirección u horario',
  'weekday {a}: want {b} (Sunday) to {c} (Saturday)': 'día {a}: de {b} (domingo) a {c} (sábado)',
  '{x} to {y}: want an end after the start, or 00:00 for midnight':
    '{x} a {y}: el final debe ser posterior al comienzo, o 00:00 para medianoche',
  '{x} to {y} begins before {w}, when the hours before it end':
    '{x} a {y} empieza antes de {w}, cuando acaba el horario anterior',
  'want dates such as 2026-12-25': 'fechas como 2026-12-25',
  '{a}: want {b} at most': '{a}: como máximo {b}',
  'whoever was chosen is no clinician or desk of this practice, has left, or is not let in yet':
    'la persona elegida no es especialista ni de recepción de esta clínica, se fue o aún no se le deja entrar',
  '{d}: {x} to {y} overlaps {w} to {v}': '{d}: {x} a {y} se solapa con {w} a {v}',
  '{x} to {y} overlaps {w} to {v}; want one person on duty at a time, and a deputy':
    '{x} a {y} se solapa con {w} a {v}; una sola persona de guardia a la vez, y un suplente',
  'want a plain mail address, or nothing': 'una dirección de correo simple, o nada',
  'nobody changes their own role; ask another administrator':
    'nadie cambia su propio papel; pídalo a otro administrador',
  "{x} has this mail address; alerts need one of each person's own":
    '{x} tiene esta dirección de correo; las alertas necesitan una propia de cada persona',
  'nobody can remove themselves; ask another administrator': 'nadie puede darse de baja; pídalo a otro administrador',
  'no mail server is set: it is set where the server is started, with smtp':
    'no hay servidor de correo: se pone donde se arranca el servidor, con smtp',
  '{x} has no mail address yet': '{x} aún no tiene dirección de correo',
  'this is not the code in the newest test mail': 'este no es el código del último correo de prueba',
  '{x} has no device with notifications on; it is turned on at that device':
    '{x} no tiene ningún dispositivo con notificaciones; se activan en ese dispositivo',
  'want letters, digits and signs only: it holds a control character, or one that cannot be seen':
    'solo letras, cifras y signos: contiene un carácter de control o uno que no se ve',
  'want {a} to {b} characters': 'de {a} a {b} caracteres',
  'no new family is invited until somebody watches. Still open:':
    'no se invita a ninguna familia nueva hasta que alguien vigile. Aún pendiente:',
  'this device has not allowed notifications yet': 'este dispositivo aún no ha permitido las notificaciones',
  'who uses this phone cannot be read just now; please phone about anything that cannot wait':
    'ahora no se puede leer quién usa este teléfono; llame si algo no puede esperar',
  'your role may not do this': 'su papel no permite hacer esto',
  'a request body takes at most {a} bytes, this one has {b}':
    'una petición admite como máximo {a} bytes; esta tiene {b}',
  'a request body takes at most {a} bytes, this one is longer':
    'una petición admite como máximo {a} bytes; esta es más larga',
  'want a date as YYYY-MM-DD': 'falta una fecha, AAAA-MM-DD',
  "writes are accepted from this site's own pages only":
    'solo se aceptan cambios desde las páginas de este mismo sitio',
  'too many tries from here; wait a minute and try again':
    'demasiados intentos desde aquí; espere un minuto e inténtelo de nuevo',
  'this is a rehearsal of the practice: please use its own address':
    'esto es un ensayo de la clínica: use su dirección propia',
  'nobody has used this window for {a} minutes; sign in again with your passkey':
    'nadie ha usado esta ventana en {a} minutos; entre de nuevo con su clave de acceso',
  'an alert of this family is open, so it cannot be erased: a clinician deals with it and closes it first':
    'una alerta de esta familia está abierta, así que no se puede borrar: antes un especialista la atiende y la cierra',
  'confirm with your passkey first; it counts for {a} minutes':
    'confirme antes con su clave de acceso; vale {a} minutos',
  'want the person to hand over to': 'falta la persona a quien se pasa',
  'want another person: {x} has it already': 'elija a otra persona: {x} ya la tiene',
  'want a comment of {a} to {b} characters': 'un comentario de {a} a {b} caracteres',
  'a family that could not be reached is a call to be tried again: log the call, and the ladder goes on':
    'una familia no localizada es una llamada por repetir: anote la llamada y la escalada sigue',
  'want a note of at most {a} characters': 'una nota de como máximo {a} caracteres',
  'only a person of the practice may do this': 'solo una persona de la clínica puede hacer esto',
  'want why it is opened again, in {a} to {b} characters': 'falta por qué se reabre, de {a} a {b} caracteres',
  '{a} minutes: want {b} to {c}': '{a} minutos: de {b} a {c}',
  '{a} days: want {b} to {c}': '{a} días: de {b} a {c}',
  'want times between 00:00 and 23:59': 'horas entre 00:00 y 23:59',
  'a slot needs a person': 'un turno necesita una persona',
  'the deputy must be somebody else': 'el suplente debe ser otra persona',
  'want a date': 'falta una fecha',
  'a duty needs a person': 'una guardia necesita una persona',
  'want a person and two dates in order': 'falta una persona y dos fechas en orden',
  '{x}: want a number with its country, such as +44 20 7946 0202': '{x}: un número con su país, como +44 20 7946 0202',
  '{x} is no telephone number{y}: want one such as +44 20 7946 0202':
    '{x} no es un teléfono{y}: uno como +44 20 7946 0202',
  'want {a} to {b} hours': 'de {a} a {b} horas',
  'want a wear window from wear_from to wear_to that holds min_hours':
    'la franja de uso de wear_from a wear_to debe dar cabida a min_hours',
  'want a time that leaves min_hours before wear_to': 'una hora que deje min_hours antes de wear_to',
  'want {a} to {b} minutes for this care system': 'de {a} a {b} minutos para este sistema de cuidado',
  'want {a} to {b} months; no case is kept longer than three': 'de {a} a {b} meses; ningún estuche se usa más de tres',
  'want {a} for none, or {b} to {c} days': '{a} para ninguno, o de {b} a {c} días',
  'want {a} for none, or {b} to {c} months': '{a} para ninguno, o de {b} a {c} meses',
  'want {a} to {b} minutes': 'de {a} a {b} minutos',
  'want {a} to {b} days': 'de {a} a {b} días',
  'want HH:MM between 00:00 and 23:59': 'HH:MM entre 00:00 y 23:59',
  '{x} lies in the quiet hours {y} to {w}; want a time outside them':
    '{x} cae en las horas de silencio, {y} a {w}; elija una hora fuera',
  'want a time from 12:00 on': 'una hora desde las 12:00',
  'want a first and a last night, in this order': 'falta una primera y una última noche, en este orden',
  '{x} is not possible; want {y} to {w}': '{x} no es posible; de {y} a {w}',
  '{x}: want a whole number, {y} to {w}': '{x}: un número entero, de {y} a {w}',
  '{x}: want a whole or a half, {y} to {w}': '{x}: un entero o medio, de {y} a {w}',
  'lens condition': 'estado de la lente de contacto',
  '{x}, want {a} to {b}': '{x}; de {a} a {b}',
  'No clinician is on duty on {x}, {y} to {w}: a red flag then climbs on until one answers':
    'Ningún especialista está de guardia: {x}, {y} a {w}. Una señal de alarma sigue subiendo entonces hasta que responda uno',
  'No clinician is on duty on {x}, {y} to {w}, and in {a} more duties: a red flag then climbs on until one answers':
    'Ningún especialista está de guardia: {x}, {y} a {w}, ni en {a} guardias más. Una señal de alarma sigue subiendo entonces hasta que responda uno',
  'choose why wear ends': 'elija por qué termina el uso',
  'choose one of the list': 'elija una de la lista',
  'the body is not what this route takes: {z}': 'los datos no son los que se esperan aquí: {z}',
  'time {x}: want HH:MM between 00:00 and 23:59': 'hora {x}: HH:MM entre 00:00 y 23:59',
  'there is no such entry in {x}': 'no existe ({x})',
  families: 'familias',
  wearers: 'usuarios',
  'The version applies from {x}, more than a year away: until then the one before it holds':
    'La versión vale desde el {x}, dentro de más de un año: hasta entonces vale la anterior',
  'The first night without lenses, {x}, is more than a year away':
    'La primera noche sin lentes de contacto, {x}, queda a más de un año',
  'Followed here from {x}, which has not been yet': 'Seguido aquí desde el {x}, que aún no ha llegado',
  'A lens was supplied on {x}, which has not been yet':
    'Una lente de contacto se entregó el {x}, que aún no ha llegado',
  'The visit is booked for {x}, more than 13 months away':
    'La visita está reservada para el {x}, dentro de más de 13 meses',
  '{a} more item': '{a} más',
  'recall on {d}': 'revisión el {d}',
  'wear has ended, or ends before that night: begin a new course first, or take the end back, under “Lenses”':
    'el uso ha terminado, o termina antes de esa noche: empiece primero un nuevo curso, o anule el final, en «Lentes de contacto»',
  'wear has ended: close this with no lens, and begin a new course under “Lenses” before lenses are worn again':
    'el uso ha terminado: cierre esto sin lentes de contacto, y empiece un nuevo curso en «Lentes de contacto» antes de que se vuelvan a usar',
  'Alerts closed as an event, not written down': 'Alertas cerradas como evento, sin anotar',
  'closed {d} as “{x}”, {y}, and no adverse event is written down':
    'cerrada el {d} como «{x}», {y}, y no hay ningún evento adverso anotado',
  'No night of this period is over yet': 'Aún no ha terminado ninguna noche de este periodo',
  'wear ended from the night of {d}': 'el uso terminó desde la noche del {d}',
  'this lens is given to the family on {d}': 'esta lente de contacto se entrega a la familia el {d}',
  'no course asks for it': 'ningún curso la pide',
  'partly written: {a} of {b} nights have no entry': 'anotado en parte: faltan {a} de {b} noches',
  'Adverse event, and no stop': 'Evento adverso, y sin suspensión',
  "an eye to which something happened and that is not settled may still be given a lens: the family's phones ask for it":
    'un ojo al que le pasó algo que no está resuelto podría recibir aún una lente de contacto: los teléfonos de la familia la piden',
  'Please wear no lens in that eye until we tell you.':
    'No use ninguna lente de contacto en ese ojo hasta que le avisemos.',
  "no stop is written, and the family's phones may ask for lenses":
    'no hay suspensión escrita, y los teléfonos de la familia pueden pedir lentes de contacto',
  'No stop written': 'Sin suspensión escrita',
  'Lenses out now. Or, where that phone knew that they were out: Leave the lenses out':
    'Quítese ya las lentes de contacto. O, si ese teléfono sabía que estaban fuera: No se ponga las lentes de contacto',
};
