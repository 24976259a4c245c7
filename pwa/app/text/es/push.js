// What a notification says, in Spanish.

/** @type {Record<string, string>} by kind of message */
export const WORDS = {
  title: 'Nightkeep',
  word: 'Un mensaje de la clínica.',
  stop: 'Algo ha cambiado para esta noche. Abra la aplicación antes de nada.',
  taken: 'La clínica ha leído lo que envió. Abra para ver qué vale.',
  silence:
    'Nadie ha respondido en la clínica. Llame ahora, por favor. ¿Nadie contesta en 10 minutos? Abra la aplicación: dice adónde ir.',
  closed: 'La clínica ha decidido. Abra para verlo.',
  device: 'Un teléfono más lee su registro. Ábralo para ver cuál.',
  reminder: 'Hay algo que hacer en la aplicación.',
  alert: 'Una familia ha avisado de algo. Abra para verlo.',
  test: 'Ha llegado el mensaje de prueba.',
  other: 'Abra la aplicación.',
  drill: 'Es un simulacro, nadie está enfermo.',
};

/** What is due, by reminder, and putting it off. @type {Record<string, string>} */
export const DUE = {
  later: 'En 30 minutos',
  'later-all': 'Todos: en 30 minutos',
  insertion: 'Póngase las lentes de contacto',
  'insertion-right': 'Póngase la lente de contacto derecha',
  'insertion-left': 'Póngase la lente de contacto izquierda',
  removal: 'Quítese las lentes de contacto',
  care: 'Limpie y guarde las lentes de contacto',
  'care-right': 'Limpie y guarde solo la lente de contacto derecha',
  'care-left': 'Limpie y guarde solo la lente de contacto izquierda',
  spectacles: 'Lleve consigo las gafas',
  'deposit-removal': 'Eliminar depósitos',
  'evening-sight': 'Vista de la tarde',
  acuity: 'Prueba de vista',
  case: 'Estuche nuevo',
  bottle: 'Frasco nuevo',
  drops: 'Gotas nuevas',
  lens: 'Lentes de contacto nuevas',
  holder: 'Ventosa nueva',
  recall: 'Visita a la clínica: traiga las lentes de contacto, estuche y frascos',
  sync: 'Conecte este teléfono',
};
