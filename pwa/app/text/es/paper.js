// Words of the sheets of paper, in Spanish.

/** @type {Record<import('../../../clinic/papers.js').PaperKey, string>} */
export const PAPER = {
  'fridge.title': '¿Algo va mal en un ojo?',
  'fridge.lead': 'Para cuando no se tiene la aplicación a mano. No la espere: llame.',
  signs: 'Qué se ve o se siente, y qué hacer',
  numbers: 'A quién llamar',
  answers: 'Se contesta al teléfono',
  practice: 'Clínica',
  after: 'Fuera de horario',
  emergency: 'Número de emergencias',
  place: '¿Nadie contesta en 10 minutos? Vaya aquí',
  missing: 'sin indicar: pregunte a la clínica',
  rinse: 'Al menos 20 minutos, con el agua limpia más cercana.',
  nolens: 'Ninguna lente de contacto en ningún ojo hasta que la clínica lo diga.',
  unsure: '¿Tiene dudas? Tome lo más grave.',
  printed: 'Impreso el {date}. Pida una hoja nueva cuando cambie un número.',
  unread: 'Ningún especialista que hable este idioma ha leído aún estas palabras.',
  'practice.title': 'Cuando la aplicación o su servidor no funcionan',
  'practice.lead':
    'Los teléfonos de las familias siguen dando consejo. Dicen que la clínica no tiene el informe, y que llamen.',
  'do.phone': 'Conteste todas las llamadas, también las del contestador. Deje una línea libre.',
  'do.ask':
    'Pregunte y anote: nombre y fecha de nacimiento, qué ojo, qué se ve y se siente, desde cuándo, si hay una lente puesta, un número para devolver la llamada.',
  'do.tell': 'Diga lo que está en la lista de abajo. En caso de duda, lo más grave.',
  'do.clinician': 'Un especialista se entera de cada caso enseguida, y llama a la familia.',
  'do.stop': 'A quien no debe llevar lentes de contacto se le dice por teléfono, y se anota aquí.',
  'do.back':
    'Cuando el servidor vuelva: mire la cola, anote cada llamada y cada «sin lentes de contacto», y guarde esta hoja.',
  'do.server': 'Quién cuida del servidor',
  who: 'De guardia',
  'note.name': 'Nombre, nacimiento',
  'note.phone': 'Teléfono',
  'note.signs': 'Ojo, signos, desde cuándo',
  'note.told': 'Qué se dijo, quién, cuándo',
};
