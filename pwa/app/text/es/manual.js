// Words of the family's and the staff's manual, in Spanish.

/** @type {Record<import('../../../clinic/manuals.js').ManualKey, string>} */
export const MANUAL = {
  'family.title': 'Su libro de las lentes de contacto de noche',
  'family.lead': 'Guárdelo con las lentes de contacto. La aplicación dice lo mismo, también sin red.',
  'h.wrong': 'Cuando un ojo no está bien',
  'f.wrong':
    'Dolor, un ojo rojo, vista peor, luz que molesta, una lente pegada o algo en el ojo: pulse el botón rojo de la aplicación y conteste. Dice enseguida qué hacer, también de noche.',
  'f.phone':
    '¿No tiene la aplicación a mano? Llame. No espere a la mañana. Ninguna lente en ningún ojo hasta que la clínica lo diga.',
  'h.day': 'Noche y mañana',
  'f.evening': 'Por la noche: lávese y séquese las manos, ponga las lentes de contacto y pulse que están puestas.',
  'f.morning': 'Por la mañana: quite las lentes de contacto, límpielas, mire los dos ojos y pulse que están fuera.',
  'f.true':
    'Anote lo que pasó de verdad, también una noche sin lentes de contacto. Nadie culpa a nadie. La clínica solo puede ayudar con lo que sabe.',
  'h.app': 'La aplicación',
  'f.offline': 'Funciona sin red. Un número en la pantalla dice qué está solo en este teléfono y aún no en la clínica.',
  'f.remind': 'Active las notificaciones y elija sus horas en Recordatorios.',
  'f.phones': 'Cada persona tiene su invitación. ¿Se perdió un teléfono? Dígalo a la clínica, y ella lo cierra.',
  'f.stop':
    'Si la aplicación dice que esta noche sin lentes de contacto, no se las ponga. Solo la clínica puede acabar con eso, no un ojo que mejora.',
  'f.reads': 'La clínica lee su registro en su horario. A otras horas nadie vigila: llame.',
  'f.data': 'El registro también es suyo. Pida a la clínica una copia, o que lo borre.',
  'h.cards': 'Paso a paso',
  dont: 'No haga esto',
  peroxide: 'con un limpiador de peróxido',
  'staff.title': 'El día con Nightkeep',
  'staff.lead': 'Para todos los que trabajan aquí. Se dice lo que solo hace un especialista.',
  'h.alert': 'Una alerta',
  's.take': 'Abra «Hoy»: lo más grave está primero. Pulse «Yo me encargo». La familia lee su nombre.',
  's.call':
    'Llame a la familia enseguida y anote cada llamada. ¿Nadie contesta? El segundo contacto está en la tarjeta. Una llamada no termina nada.',
  's.say': 'Diga lo que está en la tarjeta. En caso de duda, lo más grave. Nunca diga que un ojo está bien.',
  's.close':
    'La cierra un especialista: qué se encontró y si se pueden llevar lentes de contacto. «No localizada» no es un final.',
  's.desk': 'La recepción dice que ha llamado. Solo un especialista para la alarma de una señal roja.',
  's.stop': 'Las lentes de contacto suspendidas siguen suspendidas hasta que un especialista las reanuda.',
  'h.ladder': 'A quién se avisa, y cuándo',
  's.first': 'Enseguida: quien está de guardia, en cada aparato con notificaciones.',
  's.unshown': 'Sin verse en ningún aparato en {unshown} min: también el suplente.',
  's.deputy': 'Nadie la tiene en {deputy} min: un correo, y el suplente.',
  's.everyone': 'Todavía nadie en {everyone} min: todos los de la guardia, y otra vez cada {repeat} min.',
  's.lapse': 'En {lapse} min: se avisa al dueño, y se dice a la familia que llame.',
  'h.own': 'Su propio aparato',
  's.sign':
    'Un administrador le da un enlace en persona. Cree una clave de acceso, active «Recibir alertas en este dispositivo» y haga que lo prueben.',
  's.away': 'De guardia quiere decir: el aparato con usted, cargado y con sonido. ¿Se va? Cambie antes la guardia.',
  's.lost':
    '¿Perdió un aparato o deja la clínica? Dígalo el mismo día a un administrador. El enlace para uno nuevo se hace en «Personal».',
  's.window': 'Bloquee la ventana cuando se vaya. Ni fotos de la pantalla, ni nombres en correos o chats.',
  'h.families': 'Familias',
  's.new':
    'Una familia nueva: anote al niño y todos los números, haga el plan, enseñe con la guía y entregue la invitación en persona.',
  's.fortnight': 'En la primera quincena mire «Hoy» cada día. El silencio es motivo para llamar.',
  's.morning': 'Cada mañana: quién está de guardia, el hueco que viene, a quién llamar y por qué, las visitas del día.',
  's.recall': 'Antes de una revisión: el especialista lee el resumen en una página, y cuánto fiarse del registro.',
  'h.down': 'Cuando no funciona',
  's.down':
    'Use la hoja «Para la clínica, sin servidor». Imprímala ahora. Los teléfonos de las familias siguen dando consejo, y dicen que llamen.',
};
