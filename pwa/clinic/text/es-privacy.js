// The console’s pages about privacy in Spanish, by the English text. Ours: nobody who speaks the language has read it yet.

/** @type {Record<string, import('../text.js').Text>} */
export const privacy = {
  'one more phone reads the log: “{device}” of {person}, since {at}':
    'un teléfono más lee el registro: «{device}» de {person}, desde {at}',
  '{person} took their consent back on {at}: nothing they log is taken any more but reports of a sore eye. Agree with the family what holds for the nights.':
    '{person} retiró su consentimiento el {at}: de lo que anota ya solo se reciben los informes de un ojo irritado. Acuerde con la familia qué vale para las noches.',
  '{person} agreed again on {at}': '{person} aceptó de nuevo el {at}',
  'New about who reads families’ logs: {n}': 'Novedades sobre quién lee los registros de las familias: {n}',
  'A parent with parental authority': 'Madre o padre con patria potestad',
  'A guardian with parental authority': 'Tutor con patria potestad',
  'The wearer, of full age': 'Quien lleva las lentes de contacto, mayor de edad',
  'A teen, for whom somebody with parental authority has agreed':
    'Un joven por quien aceptó alguien con patria potestad',
  '{at}: took consent back, on {device}': '{at}: retiró el consentimiento, en {device}',
  '{at}: agreed to version {version} for {wearers}, on {device}':
    '{at}: aceptó la versión {version} para {wearers}, en {device}',
  '{basis}, stated by {name} on {at}.': '{basis}, según declaró {name} el {at}.',
  'Nobody has stated whether this person may decide for the wearers.':
    'Nadie ha declarado si esta persona puede decidir por quienes llevan las lentes de contacto.',
  'Took their consent back: nothing they log is taken but reports of a sore eye.':
    'Retiró su consentimiento: de lo que anota solo se reciben los informes de un ojo irritado.',
  'Consent: {n} on record': 'Consentimiento: {n} en el expediente',
  'Nobody agrees before they join.': 'Nadie acepta antes de unirse.',
  'State authority': 'Declarar la patria potestad',
  'I state for the record that this person is': 'Declaro para el expediente que esta persona es',
  'State it in my name': 'Declararlo en mi nombre',
  Privacy: 'Privacidad',
  'A text for whoever keeps the server': 'Un texto para quien mantiene el servidor',
  'In English, after article 28 of the General Data Protection Regulation. Have a lawyer read it before anybody signs.':
    'En inglés, según el artículo 28 del Reglamento General de Protección de Datos. Que lo lea un abogado antes de que nadie firme.',
  'Show the text': 'Mostrar el texto',
  'What families read and agree to': 'Lo que las familias leen y aceptan',
  'Version {version}. Kept for {years} after the last entry or visit, as the practice has set.':
    'Versión {version}. Se guarda {years} tras la última anotación o visita, según ha fijado la consulta.',
  '{n} years': '{n} años',
  'as long as health records must be kept': 'mientras deban guardarse los historiales de salud',
  'Who answers for the data': 'Quién responde de los datos',
  'Name and address. Empty: {name}.': 'Nombre y dirección. Vacío: {name}.',
  'Whom to ask about it': 'A quién preguntar por ellos',
  'Mail or telephone. Empty: the practice’s telephone.': 'Correo o teléfono. Vacío: el teléfono de la clínica.',
  'Whom to complain to': 'A quién reclamar',
  'The authority for data protection. Empty: it is not named.':
    'La autoridad de protección de datos. Vacío: no se nombra.',
  'The practice’s own words': 'Las palabras propias de la clínica',
  'They take the place of the first two paragraphs of the app’s words, in each language. What the app is and is not, who answers for the data, how long it is kept and the rights stand below them in any case.':
    'Sustituyen los dos primeros párrafos del texto de la aplicación, en cada idioma. Qué es y qué no es la aplicación, quién responde de los datos, cuánto se guardan y los derechos siguen debajo en todo caso.',
  'Every family is asked to agree again. Until they do, everything goes on for them.':
    'Se pide a cada familia que acepte de nuevo. Hasta entonces todo sigue igual para ella.',
  'Yes, ask everybody again': 'Sí, preguntar de nuevo a todos',
  'When the practice became aware of it': 'Cuándo lo supo la clínica',
  'Date and time. The authority is told within 72 hours of it, unless nobody is put at risk.':
    'Fecha y hora. Se avisa a la autoridad en 72 horas, salvo que nadie corra riesgo.',
  'What happened': 'Qué ocurrió',
  'Whose data, and about how much': 'De quién son los datos y aproximadamente cuántos',
  'Kinds and numbers; no names.': 'Tipos y cantidades; sin nombres.',
  'What it may bring about': 'Qué puede causar',
  'What was done, and will be': 'Qué se hizo y qué se hará',
  'Who was told, and when; or why nobody': 'A quién se avisó y cuándo; o por qué a nadie',
  'The authority, and the people themselves where the risk is high.':
    'La autoridad, y las propias personas si el riesgo es alto.',
  'Register of breaches': 'Registro de violaciones de datos',
  'Every loss, theft or wrong reader of personal data is noted here, small ones too. Nothing is ever taken out. Write no names of families.':
    'Aquí se anota toda pérdida, robo o lectura indebida de datos personales, también las pequeñas. Nunca se quita nada. No escriba nombres de familias.',
  'None is noted.': 'No hay ninguna anotada.',
  'Note a breach': 'Anotar una violación de datos',
  '{found}: {what}': '{found}: {what}',
  'Noted by {name} on {at}.': 'Anotado por {name} el {at}.',
  'What was learnt or done since': 'Qué se supo o se hizo después',
  'Which of these devices does {name} have with them? The others are shut out.':
    '¿Cuáles de estos dispositivos tiene {name} consigo? Los demás quedan excluidos.',
  '{device}, last heard {date}': '{device}, visto por última vez {date}',
};
