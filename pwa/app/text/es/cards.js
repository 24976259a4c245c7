// Spanish help cards, line for line after ../cards.js and alerts/texts.json. They
// await review with the other medical texts: see REVIEWER in words.js.

/** @type {Record<string, import('../cards.js').CardText>} */
export const cards = {
  peroxide: {
    title: 'Peróxido, limpiador u otro producto químico en el ojo',
    do: [
      'Enjuague el ojo enseguida con el agua limpia o el suero fisiológico (solución salina) más cercano: grifo, ducha o botella, no caliente. Mantenga los párpados abiertos. Siga al menos 20 minutos.',
      'Si hay una lente puesta, quítela mientras enjuaga, si sale.',
      'Después vaya a urgencias de oftalmología o llame al número local de emergencias. No espere a mañana.',
      'Lleve el frasco, las lentes de contacto, el estuche y las gafas.',
    ],
    dont: [
      'No espere a tener suero fisiológico (solución salina) si solo hay agua cerca.',
      'No vuelva a poner la lente.',
    ],
  },
  'stuck-lens': {
    title: 'Una lente pegada',
    do: [
      'Si el ojo está rojo, duele, recibió un golpe o ve mal: no lo apriete. Haga la revisión del ojo y llame ya.',
      'Lávese y séquese las manos.',
      'Ponga las gotas humectantes que le dio su clínica, cierre el ojo, espere y parpadee hasta que la lente se mueva.',
      'Si no se mueve, mire hacia otro lado y apriete suavemente el párpado contra el blanco del ojo, en el borde de la lente.',
      'Quite la lente solo cuando se mueva.',
      'Si sigue pegada pasado el tiempo que dicen las instrucciones de su clínica, llame hoy a la clínica.',
    ],
    dont: ['No tire de una lente que no se mueve.', 'No use una ventosa en ella.', 'No use agua del grifo.'],
  },
  'dropped-lens': {
    title: 'Una lente que se ha caído',
    do: [
      'Quédese quieto y búsquela en una superficie limpia y bien iluminada. Si cayó en el lavabo, cierre el tapón.',
      'Levántela con la yema del dedo húmeda, o deslícela hasta un borde; no la raspe.',
      'Mírela a contraluz por si tiene una mella, una grieta o un arañazo.',
      'Límpiela, frótela y desinféctela por completo antes de llevarla, como tras quitarla cualquier día. Si no da tiempo antes de acostarse, déjela fuera esta noche.',
      'Si parece dañada, o no está seguro, no la lleve y pregunte a la clínica.',
    ],
    dont: ['No la enjuague con agua del grifo.', 'No la ponga directamente en el ojo.'],
  },
  'broken-lens': {
    title: 'Una lente rota o mellada',
    do: [
      'Si está en el ojo, quítela con suavidad. Mire si están todos los trozos.',
      'Guarde los trozos en el estuche y enséñelos a la clínica.',
      'Si puede quedar un trozo en el ojo, o el ojo duele, está rojo o ve borroso, haga la revisión del ojo y llame ya.',
      'No lleve ninguna lente en este ojo hasta que la clínica la haya cambiado; pregunte por el otro ojo.',
    ],
    dont: ['No lleve una lente mellada.', 'No se frote el ojo.'],
  },
  'swapped-lenses': {
    title: 'Lentes de contacto derecha e izquierda cambiadas',
    do: [
      'Quite las dos lentes de contacto.',
      'Si un ojo duele, está rojo o sigue viendo borroso con las lentes de contacto fuera, haga la revisión del ojo.',
      'Limpie y desinfecte las dos lentes de contacto por completo; ponga cada una en su lado del estuche.',
      'Déjelas fuera hasta que la clínica le diga cómo seguir. Puede ver menos claro unos días: lleve consigo unas gafas.',
    ],
    dont: [
      'No las vuelva a cambiar la misma noche sin limpiarlas.',
      'No conduzca ni vaya en moto o en bicicleta si ve borroso.',
    ],
  },
  'red-eye': {
    title: 'Un ojo rojo',
    do: [
      'Quite las lentes de contacto de los dos ojos y déjelas fuera.',
      'Haga ahora la revisión del ojo.',
      'Llame: hoy si el ojo solo está rojo; ya si además duele, ve borroso, le molesta la luz, o hay una mancha o secreción espesa.',
      'Conserve las lentes de contacto, el estuche y los frascos, y llévelos con las gafas.',
    ],
    dont: [
      'No vuelva a poner una lente porque el ojo esté mejor.',
      'No se frote.',
      'No se acueste esperando que se pase: llame antes.',
    ],
  },
  insertion: {
    title: 'Poner las lentes de contacto',
    do: [
      'Lávese las manos con jabón, enjuáguelas y séquelas con un paño limpio que no suelte pelusa.',
      'Cierre el tapón o ponga una toalla limpia. Empiece siempre por el mismo ojo.',
      'Enjuague la lente con solución nueva, como le enseñó su clínica. Mire si hay mellas, grietas o suciedad.',
      'Llene la lente como le enseñó su clínica, mire hacia abajo a un espejo, sujete los dos párpados y póngala en el centro del ojo.',
      'Parpadee con suavidad. Si hay una burbuja o pincha, quítela, enjuáguela con solución y pruebe otra vez.',
      'Vacíe el estuche, séquelo con un pañuelo de papel limpio y déjelo abierto para que se seque.',
    ],
    dont: [
      'No enjuague nunca una lente con agua del grifo.',
      'No ponga nunca una lente en un ojo que duele o está rojo.',
      'No ponga nunca una lente cuyo remojo no ha terminado.',
    ],
  },
  removal: {
    title: 'Quitar las lentes de contacto',
    do: [
      'Lávese y séquese las manos.',
      'Ponga las gotas humectantes que le dio su clínica y espere unos minutos.',
      'Mire al frente y parpadee: la lente debe moverse antes de quitarla.',
      'Quítela con los párpados o con la ventosa, como le enseñó su clínica.',
      'Límpiela y guárdela enseguida.',
    ],
    dont: ['No tire nunca de una lente que no se mueve: vea «Una lente pegada».', 'No use nunca agua del grifo.'],
  },
  'cleaning-multipurpose': {
    title: 'Limpiar con solución única (multipropósito)',
    do: [
      'Ponga la lente en la palma, añada solución y frote cada cara con suavidad el tiempo que dice la etiqueta.',
      'Enjuáguela con solución nueva.',
      'Póngala en su lado del estuche, R derecha y L izquierda. Llénelo con solución nueva.',
      'Cierre el estuche y anote la hora: el remojo empieza ahora.',
    ],
    dont: [
      'No rellene nunca la solución vieja.',
      'No use nunca agua del grifo ni suero fisiológico (solución salina) para desinfectar.',
      'No acorte nunca el remojo de la etiqueta.',
    ],
  },
  'cleaning-peroxide': {
    title: 'Limpieza con peróxido de hidrógeno',
    do: [
      'Ponga las lentes de contacto en el soporte del estuche especial.',
      'Enjuáguelas con la solución, llene el estuche hasta la línea y ciérrelo con el neutralizador en su sitio.',
      'Déjelo al menos 6 horas, o más si lo dice la etiqueta.',
      'Anote cuándo se cerró el estuche. La aplicación cuenta.',
      'Con cada frasco nuevo use el estuche nuevo que trae: el disco o anillo viejo está gastado.',
    ],
    dont: [
      'Nunca ponga la solución de peróxido en el ojo ni en una lente que se va a poner.',
      'Nunca use un estuche plano ni deje fuera el neutralizador.',
      'Nunca use el estuche viejo con un frasco nuevo.',
      'Nunca comparta el frasco con alguien que no lo conoce.',
    ],
  },
  'case-care': {
    title: 'El estuche',
    do: [
      'Vacíelo cada día, en cuanto las lentes de contacto estén puestas.',
      'Enjuáguelo con solución y seque cada parte con un pañuelo de papel limpio.',
      'Déjelo abierto, boca abajo, sobre un pañuelo de papel limpio.',
      'Use uno nuevo tan a menudo como diga su plan, y al menos cada tres meses.',
    ],
    dont: [
      'No enjuague nunca el estuche con agua del grifo.',
      'No lo deje nunca solo escurrir: séquelo con un pañuelo de papel.',
    ],
  },
  spectacles: {
    title: 'Gafas de repuesto',
    do: [
      'Tenga gafas a mano para los días tras una noche sin lentes de contacto o por si un ojo duele.',
      'Pregunte a su clínica qué gafas usar: unas antiguas pueden ser demasiado fuertes mientras dura el efecto.',
    ],
    dont: ['No conduzca ni vaya en moto o en bicicleta si ve borroso.'],
  },
  travel: {
    title: 'De viaje',
    do: [
      'Lleve las lentes de contacto, el estuche, un frasco lleno de su solución, las gotas, la ventosa y las gafas. En el equipaje de mano.',
      'Lleve el teléfono de su clínica y esta aplicación.',
      'Guíese por la hora del lugar donde duerme.',
      'Use solo solución de frasco. Si se acaba, deje las lentes de contacto fuera.',
    ],
    dont: [
      'No duerma con lentes de contacto en un viaje en el que no pueda lavarse las manos.',
      'No use nunca agua del grifo, de botella o del baño del hotel.',
    ],
  },
  illness: {
    title: 'Cuando está enfermo',
    do: [
      'Con fiebre, resfriado o malestar: deje las lentes de contacto fuera y anote por qué.',
      'Desinfecte otra vez las lentes de contacto antes de la primera noche de vuelta.',
      'Pregunte a su clínica cuándo volver. Mientras tanto puede ver borroso: gafas.',
    ],
    dont: ['No lleve lentes de contacto mientras esté mal.'],
  },
  water: {
    title: 'Nadar y ducharse',
    do: [
      'Dúchese y nade sin las lentes de contacto.',
      'Si entró agua en una lente puesta: quítela, límpiela y remójela por completo, y anótelo.',
      'En los meses siguientes tome como urgente cualquier ojo rojo, dolorido o borroso, también si duele poco.',
    ],
    dont: ['Sin lentes de contacto en la piscina, el mar, el jacuzzi, la bañera o la ducha.'],
  },
  'wrong-bottle': {
    title: 'Frasco equivocado: peróxido o limpiador en la lente',
    do: [
      'Si está en el ojo: enjuague ya, como en la ficha del producto químico en el ojo. Después vaya a urgencias de oftalmología.',
      'Si solo está en la lente: no se la ponga. Límpiela y déjela en remojo completo, según su plan.',
      'Guarde los frascos separados: el peróxido tiene la punta o el tapón rojo. Lejos de las gotas y del suero fisiológico (solución salina).',
      'Mire la etiqueta cada vez, con la luz encendida.',
    ],
    dont: [
      'Nunca ponga peróxido ni limpiador directamente en el ojo.',
      'Nunca enjuague una lente con peróxido para ponérsela.',
    ],
  },
  'eye-injury': {
    title: 'Un golpe, un corte o algo en el ojo',
    do: [
      'Un corte, o algo clavado: no toque nada y no quite la lente de ese ojo. Ponga un vaso de papel limpio sobre el ojo, apoyado en el hueso. Vaya ya a urgencias de oftalmología.',
      'Un golpe: no apriete. Quite la lente solo si sale con facilidad. Llame ya.',
      'Un arañazo de la lente o de un dedo: lente fuera, y llame hoy.',
      'Polvo suelto: quite la lente, parpadee y enjuague con suero fisiológico (solución salina) o agua limpia. Sin lente esta noche.',
    ],
    dont: ['No frote ni apriete.', 'No saque ni enjuague lo que esté clavado.', 'No tape el ojo con un parche.'],
  },
  'pain-on-insertion': {
    title: 'Dolor nuevo justo al poner la lente',
    do: [
      'Quite la lente enseguida.',
      'Si quema: puede ser peróxido. Enjuague el ojo ya y vea la ficha del producto químico.',
      'Mire si tiene una mella, suciedad o un pelo. Compruebe que es la lente correcta, R o L.',
      'Enjuáguela según su plan y pruebe una vez más.',
      'Si vuelve a doler, pare. Déjela fuera esta noche y haga la revisión del ojo.',
    ],
    dont: ['No pruebe una tercera vez.', 'No duerma con una lente que duele.'],
  },
  'lost-lens': {
    title: 'Una lente perdida',
    do: [
      'Mire en el estuche, en la cara, en la almohada y en la cama. Use una luz.',
      'Puede seguir en el ojo, bajo el párpado. No la busque ahí con un dedo.',
      'Si el ojo duele, está rojo o ve mal, haga la revisión del ojo y llame ya.',
      'Si no aparece: no lleve ninguna. Haga la revisión del ojo y llame hoy a la clínica.',
      'Use gafas hasta tener una lente nueva.',
    ],
    dont: ['No se ponga una lente vieja de un cajón.', 'No se ponga la lente del otro ojo.'],
  },
  fever: {
    title: 'Fiebre',
    do: [
      'Deje las lentes de contacto fuera, en los dos ojos, y anote por qué.',
      'Si además hay un párpado hinchado o molesta la luz, vaya ya a urgencias.',
      'Si un ojo está rojo o duele, haga la revisión del ojo.',
      'Cuando lleve un día sin fiebre, limpie y remoje las lentes de contacto por completo, y haga la revisión del ojo antes de la primera noche.',
    ],
    dont: ['No lleve lentes de contacto con fiebre.', 'No comparta toallas ni gotas.'],
  },
  'water-on-lens': {
    title: 'Agua en una lente o en el estuche',
    do: [
      'En una lente puesta: quítela con las manos limpias y secas.',
      'Limpie, frote y remoje la lente por completo antes de volver a llevarla. Si no da tiempo, déjela fuera esta noche.',
      'Agua en el estuche: use un estuche nuevo.',
      'Anótelo. En los meses siguientes tome como urgente cualquier ojo rojo, dolorido o borroso, también si duele poco.',
    ],
    dont: ['No seque el estuche con una toalla para seguir usándolo.', 'No se ponga directamente una lente mojada.'],
  },
  'holder-deposits': {
    title: 'Cuidado de la ventosa y de los depósitos',
    do: [
      'Limpie la ventosa con solución después de cada uso y séquela con un pañuelo de papel limpio.',
      'Guárdela en su propia caja limpia y seca. Use una nueva tan a menudo como diga su plan.',
      'Haga la eliminación de depósitos el día de su plan, como dice la etiqueta.',
      'Después frote y enjuague la lente como los demás días.',
    ],
    dont: ['Nunca enjuague la ventosa con agua del grifo.', 'Nunca use la ventosa en una lente que no se mueve.'],
  },
  'days-off': {
    title: 'Tras unos días sin lentes de contacto',
    do: [
      'Mire si las lentes de contacto tienen mellas o suciedad.',
      'Límpielas, frótelas y remójelas otra vez por completo, con solución nueva, antes de la primera noche. Una lente en solución vieja no está limpia.',
      'Con peróxido: cierre el estuche de nuevo y espere todo el tiempo.',
      'Haga la revisión del ojo si un ojo estuvo dolorido. Pregunte antes a la clínica si estuvo más de una semana sin ellas.',
      'La vista vuelve en unas noches. Lleve consigo unas gafas.',
    ],
    dont: [
      'No se ponga una lente sacada de un remojo viejo.',
      'No conduzca ni vaya en moto o en bicicleta con la vista borrosa.',
    ],
  },
  'drops-patch': {
    title: 'Ni gotas sobrantes ni parche',
    do: [
      'Use solo las gotas humectantes de su plan, y mire su fecha.',
      'Con un ojo dolorido o rojo: lente fuera, revisión del ojo, llamar. La clínica dice qué gotas.',
      'Tire las gotas que fueron para otra enfermedad.',
    ],
    dont: [
      'Nunca use gotas viejas de corticoides: pueden empeorar mucho una infección y ocultarla.',
      'Nunca use gotas viejas de antibiótico, ni las de otra persona.',
      'Nunca tape el ojo de quien usa lentes de contacto: los gérmenes crecen con el calor.',
    ],
  },
  'sleeping-elsewhere': {
    title: 'Dormir en otra casa',
    do: [
      'Lleve lentes de contacto, estuche, un frasco lleno de su propia solución, gotas, ventosa y gafas.',
      'Dígaselo al adulto de allí: las lentes de contacto se ponen limpias, se quitan por la mañana y nunca tocan el agua.',
      'Dele el número de su clínica y enséñele la revisión del ojo.',
      '¿No hay dónde lavarse bien las manos, o hay dudas? Deje las lentes de contacto fuera. Una noche sin ellas no hace daño.',
    ],
    dont: ['No pida solución prestada.', 'No deje las lentes de contacto en un vaso de agua.'],
  },
  'blurry-morning': {
    title: 'Vista borrosa por la mañana antes del colegio o de la bicicleta',
    do: [
      'Parpadee, use gotas humectantes y espere unos minutos con las lentes de contacto fuera.',
      'Pregúntese: ¿se llevaron las lentes de contacto, bastante tiempo y cada una en su ojo?',
      'Si sigue borroso, use gafas. Vaya a pie o que le lleven: ni bicicleta, ni moto, ni conducir.',
      'Si el ojo está rojo o duele, o lo borroso es nuevo y fuerte, haga ya la revisión del ojo.',
      'Anótelo. Si vuelve a pasar, dígaselo a la clínica.',
    ],
    dont: [
      'No se vuelva a poner las lentes de contacto para el colegio.',
      'No lo esconda: el maestro puede darle un sitio delante.',
    ],
  },
  'insertion-peroxide': {
    title: 'Poner las lentes de contacto',
    do: [
      'Lávese las manos con jabón, enjuáguelas y séquelas con un paño limpio sin pelusa.',
      'Mire la aplicación o el reloj: el remojo tiene que haber acabado, con el neutralizador en su sitio. Si no, deje las lentes de contacto fuera.',
      'Empiece siempre por el mismo ojo. Enjuague la lente con suero fisiológico (solución salina), o según su plan, nunca con peróxido. Busque mellas, grietas y suciedad.',
      'Llene la lente con suero fisiológico (solución salina) o como le enseñó su clínica, mire hacia abajo a un espejo, sujete los dos párpados y póngala en el centro del ojo.',
      'Parpadee con suavidad. Si quema, quite la lente y enjuague el ojo enseguida: puede ser peróxido.',
      'Vacíe el estuche, sacúdalo y déjelo abierto.',
    ],
    dont: [
      'Nunca enjuague una lente con peróxido antes de ponérsela.',
      'Nunca se ponga una lente de un estuche que aún burbujea.',
      'Nunca enjuague una lente con agua del grifo.',
      'Nunca ponga una lente en un ojo dolorido o rojo.',
    ],
  },
};
