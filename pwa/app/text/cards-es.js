// Spanish help cards, line for line after cards.js and alerts/texts.json. They
// await review with the other medical texts: see REVIEWER in es.js.

/** @type {Record<string, import('./cards.js').CardText>} */
export const cards = {
  peroxide: {
    title: 'Peróxido u otro producto químico en el ojo',
    do: ['Enjuague el ojo enseguida con mucho suero fisiológico limpio o, si no hay, con agua corriente limpia, con los párpados abiertos, durante al menos 15 minutos.', 'Si hay una lente puesta y sale con facilidad, quítela mientras enjuaga.', 'Después llame ya: a la clínica o al número de emergencias de su zona.', 'Lleve el frasco, las lentes, el estuche y las gafas.'],
    dont: ['No espere a tener suero si solo hay agua a mano.', 'No vuelva a poner la lente.'],
  },
  'stuck-lens': {
    title: 'Una lente pegada',
    do: ['Lávese y séquese las manos.', 'Ponga las gotas humectantes que le dio su clínica, cierre el ojo, espere y parpadee hasta que la lente se mueva.', 'Si no se mueve, mire hacia otro lado y apriete suavemente el párpado contra el blanco del ojo, en el borde de la lente.', 'Quite la lente solo cuando se mueva.', 'Si sigue pegada pasado el tiempo que dicen las instrucciones de su clínica, o si el ojo duele o está rojo, llame.'],
    dont: ['No tire de una lente que no se mueve.', 'No use una ventosa en ella.', 'No use agua del grifo.'],
  },
  'dropped-lens': {
    title: 'Una lente que se ha caído',
    do: ['Quédese quieto y búsquela en una superficie limpia y bien iluminada. Si cayó en el lavabo, cierre el tapón.', 'Levántela con la yema del dedo húmeda, o deslícela hasta un borde; no la raspe.', 'Mírela a contraluz por si tiene una mella, una grieta o un arañazo.', 'Límpiela, frótela y desinféctela por completo antes de llevarla, como tras quitarla cualquier día. Si no da tiempo antes de acostarse, déjela fuera esta noche.', 'Si parece dañada, o no está seguro, no la lleve y pregunte a la clínica.'],
    dont: ['No la enjuague con agua del grifo.', 'No la ponga directamente en el ojo.'],
  },
  'broken-lens': {
    title: 'Una lente rota o mellada',
    do: ['Si está en el ojo, quítela con suavidad. Mire si están todos los trozos.', 'Guarde los trozos en el estuche y enséñelos a la clínica.', 'Si puede quedar un trozo en el ojo, o el ojo duele, está rojo o ve borroso, haga la revisión del ojo y llame ya.', 'No lleve ninguna lente en este ojo hasta que la clínica la haya cambiado; pregunte por el otro ojo.'],
    dont: ['No lleve una lente mellada.', 'No se frote el ojo.'],
  },
  'swapped-lenses': {
    title: 'Lentes derecha e izquierda cambiadas',
    do: ['Quite las dos lentes.', 'Si un ojo duele, está rojo o sigue viendo borroso con las lentes fuera, haga la revisión del ojo.', 'Limpie y desinfecte las dos lentes por completo; ponga cada una en su lado del estuche.', 'Déjelas fuera hasta que la clínica le diga cómo seguir. Puede ver menos claro unos días: lleve gafas.'],
    dont: ['No las vuelva a cambiar la misma noche sin limpiarlas.', 'No conduzca ni vaya en moto o en bicicleta si ve borroso.'],
  },
  'red-eye': {
    title: 'Un ojo rojo',
    do: ['Quite las lentes de los dos ojos y déjelas fuera.', 'Haga ahora la revisión del ojo.', 'Llame: hoy si el ojo solo está rojo; ya si además duele, ve borroso, le molesta la luz, o hay una mancha o secreción espesa.', 'Conserve las lentes, el estuche y los frascos, y llévelos con las gafas.'],
    dont: ['No vuelva a poner una lente porque el ojo esté mejor.', 'No se frote.', 'No se acueste esperando que se pase: llame antes.'],
  },
  insertion: {
    title: 'Poner las lentes',
    do: ['Lávese las manos con jabón, enjuáguelas y séquelas con un paño limpio que no suelte pelusa.', 'Cierre el tapón o ponga una toalla limpia. Empiece siempre por el mismo ojo.', 'Enjuague la lente con solución nueva, como le enseñó su clínica. Mire si hay mellas, grietas o suciedad.', 'Llene la lente como le enseñó su clínica, mire hacia abajo a un espejo, sujete los dos párpados y póngala en el centro del ojo.', 'Parpadee con suavidad. Si hay una burbuja o pincha, quítela, enjuáguela con solución y pruebe otra vez.', 'Vacíe el estuche, séquelo con un pañuelo limpio y déjelo abierto para que se seque.'],
    dont: ['No enjuague nunca una lente con agua del grifo.', 'No ponga nunca una lente en un ojo que duele o está rojo.', 'No ponga nunca una lente cuyo remojo no ha terminado.'],
  },
  removal: {
    title: 'Quitar las lentes',
    do: ['Lávese y séquese las manos.', 'Ponga las gotas humectantes que le dio su clínica y espere unos minutos.', 'Mire al frente y parpadee: la lente debe moverse antes de quitarla.', 'Quítela con los párpados o con la ventosa, como le enseñó su clínica.', 'Límpiela y guárdela enseguida.'],
    dont: ['No tire nunca de una lente que no se mueve: vea «Una lente pegada».', 'No use nunca agua del grifo.'],
  },
  'cleaning-multipurpose': {
    title: 'Limpiar con solución única (multipropósito)',
    do: ['Ponga la lente en la palma, añada solución y frote cada cara con suavidad el tiempo que dice la etiqueta.', 'Enjuáguela con solución nueva.', 'Póngala en su lado del estuche, R derecha y L izquierda. Llénelo con solución nueva.', 'Cierre el estuche y anote la hora: el remojo empieza ahora.'],
    dont: ['No rellene nunca la solución vieja.', 'No use nunca agua del grifo ni suero para desinfectar.', 'No acorte nunca el remojo de la etiqueta.'],
  },
  'cleaning-peroxide': {
    title: 'Limpiar con peróxido de hidrógeno',
    do: ['Ponga las lentes en el soporte del estuche especial.', 'Enjuáguelas con la solución, llene el estuche hasta la línea y ciérrelo con el neutralizador puesto.', 'Déjelo al menos 6 horas, o más si lo dice la etiqueta.', 'Anote cuándo se cerró el estuche. La aplicación cuenta el tiempo.'],
    dont: ['No ponga nunca solución de peróxido en el ojo ni en una lente que va directa al ojo.', 'No use nunca un estuche plano ni deje fuera el neutralizador.', 'No comparta nunca el frasco con quien no lo conoce.'],
  },
  'case-care': {
    title: 'El estuche',
    do: ['Vacíelo cada día, en cuanto las lentes estén puestas.', 'Enjuáguelo con solución y seque cada parte con un pañuelo limpio.', 'Déjelo abierto, boca abajo, sobre un pañuelo limpio.', 'Use uno nuevo tan a menudo como diga su plan, y al menos cada tres meses.'],
    dont: ['No enjuague nunca el estuche con agua del grifo.', 'No lo deje nunca solo escurrir: séquelo con un pañuelo.'],
  },
  spectacles: {
    title: 'Gafas de repuesto',
    do: ['Tenga gafas a mano para los días tras una noche sin lentes o por si un ojo duele.', 'Pregunte a su clínica qué gafas usar: unas antiguas pueden ser demasiado fuertes mientras dura el efecto.'],
    dont: ['No conduzca ni vaya en moto o en bicicleta si ve borroso.'],
  },
  travel: {
    title: 'De viaje',
    do: ['Lleve las lentes, el estuche, un frasco lleno de su solución, las gotas, la ventosa y las gafas. En el equipaje de mano.', 'Lleve el teléfono de su clínica y esta aplicación.', 'Guíese por la hora del lugar donde duerme.', 'Use solo solución de frasco. Si se acaba, deje las lentes fuera.'],
    dont: ['No duerma con lentes en un viaje en el que no pueda lavarse las manos.', 'No use nunca agua del grifo, de botella o del baño del hotel.'],
  },
  illness: {
    title: 'Cuando está enfermo',
    do: ['Con fiebre, resfriado o malestar: deje las lentes fuera y anote por qué.', 'Desinfecte otra vez las lentes antes de la primera noche de vuelta.', 'Pregunte a su clínica cuándo volver. Mientras tanto puede ver borroso: gafas.'],
    dont: ['No lleve lentes mientras esté mal.'],
  },
  water: {
    title: 'Nadar y ducharse',
    do: ['Dúchese y nade con las lentes fuera.', 'Si el agua tocó una lente puesta: quítela, límpiela y desinféctela por completo, y anótelo.', 'Durante dos semanas tras el contacto con agua, tome en serio cualquier rojez o molestia.'],
    dont: ['Sin lentes en la piscina, el mar, el jacuzzi, la bañera y la ducha.'],
  },
};
