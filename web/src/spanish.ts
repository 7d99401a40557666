// The words of the frame, of the work room and of the sums in Spanish, for the
// crew: the type holds them complete. What a site says in its other rooms
// stands in English. They are fetched when they are first asked for.
import { en, type Words } from './words';

type Crew = Pick<Words, 'skip' | 'rooms' | 'asks' | 'themes' | 'themeIs' | 'nav' | 'book' | 'figures' | 'foot' | 'sketch' | 'tables' | 'named' | 'headLine' | 'back' | 'kept' | 'notKept' | 'notSent' | 'local' | 'send' | 'sending'
  | 'conflict' | 'sendBeside' | 'noSignal' | 'readOnly' | 'asOf' | 'printed' | 'stale' | 'loading' | 'loadingNone' | 'loadingBuilt' | 'loadingPart' | 'broken' | 'openItems' | 'rowsCount' | 'joints' | 'welds' | 'notCompared' | 'sums' | 'diags' | 'mend' | 'atLine'
  | 'files' | 'tablesOut' | 'print' | 'takeSite' | 'writing' | 'work' | 'decide' | 'update' | 'updateNow' | 'updateNot' | 'beingWritten' | 'blankRows' | 'device' | 'act' | 'trust'>;
const some = (n: number, one: string, many: string) => (n === 1 ? `1 ${one}` : `${n} ${many}`);
export const crew: Crew = {
  skip: 'a la página',
  rooms: { layout: 'trazado', prove: 'comprobar', order: 'pedido', work: 'trabajo', change: 'cambio', handover: 'entrega', sums: 'cuentas' },
  asks: {
    layout: '¿Dónde va todo?', prove: '¿Cumple con el código, el dueño y la meta?', order: '¿Qué se compra exactamente?', work: '¿Qué se hace hoy?',
    change: 'Lo movieron: ¿qué cambia?', handover: '¿Se puede aceptar?', sums: 'Cuentas de bolsillo.',
  },
  themes: { day: 'día', sun: 'sol', dusk: 'anochecer' },
  themeIs: (t) => `luz: ${t}`,
  nav: 'seis palabras',
  book: 'libro',
  figures: 'cifras',
  foot: { today: 'hoy', plan: 'plano', write: 'anotar', book: 'libro' },
  sketch: 'croquis',
  tables: 'tablas',
  named: (name, rev) => `${name}${rev ? `, revisión ${rev}` : ''}`,
  headLine: (name, rev, room) => `${name}${rev ? `, revisión ${rev}` : ''}: ${room}`,
  back: 'atrás',
  kept: (t) => `guardado en este aparato ${t}`,
  notKept: 'no quedó guardado: no hay lugar en este aparato. Saque un archivo ahora.',
  notSent: (n) => (n === 0 ? 'todo enviado' : `${n} sin enviar`),
  local: (n) => (n === 0 ? 'nada por enviar' : `${n} sin enviar`),
  send: 'enviar',
  sending: 'enviando',
  conflict: 'El servidor tiene otra revisión que este aparato no ha visto. La suya queda guardada. Envíela junto a la otra; quedan las dos.',
  sendBeside: 'enviarla junto a la otra',
  noSignal: 'sin señal; todo lo de hoy funciona',
  readOnly: 'Abierto en otra pestaña, que tiene el lápiz. Esta solo muestra.',
  asOf: (t) => `de las ${t}`,
  printed: (t) => `Como quedó guardado: ${t}`,
  stale: 'se está calculando',
  loading: 'este es el último resultado',
  loadingNone: 'el motor viene en camino',
  loadingBuilt: 'esto se calculó al hacer estas páginas',
  loadingPart: (n) => `ya llegó el ${n} %`,
  broken: (n) => some(n, 'no cumple', 'no cumplen'),
  openItems: (n) => some(n, 'pendiente', 'pendientes'),
  rowsCount: (n) => some(n, 'fila', 'filas'),
  joints: (n) => some(n, 'unión', 'uniones'),
  welds: (n) => some(n, 'soldadura', 'soldaduras'),
  notCompared: 'sin comparar',
  sums: {
    pick: 'Elija una cuenta.', given: 'Dado', figures: 'Cifras que entraron', work: 'calcular', example: 'llenar con el ejemplo', needed: 'hace falta', or: (n) => `o ${n}`,
    usual: (d) => `${d} si no se escribe nada`, holds: 'cumple', broken: 'no cumple', open: 'cuentas', from: (id) => `valores de ${id}, como dice el documento`,
  },
  diags: (n) => some(n, 'cosa por corregir en el documento', 'cosas por corregir en el documento'),
  mend: 'Corregir',
  atLine: (n) => `línea ${n}`,
  files: 'Sacar',
  tablesOut: (n) => `${some(n, 'tabla', 'tablas')}, cada una en un archivo`,
  print: 'imprimir',
  takeSite: 'sacar el archivo del sitio',
  writing: (n) => `escribiendo ${n}`,
  work: {
    first: 'Primero', cautions: 'Precauciones', day: 'El día', bends: 'Curvas', registers: 'Registros para llenar', language: 'idioma', english: 'English', spanish: 'español',
    spanishNote: 'Traducción para la cuadrilla, sin revisar por un hablante del oficio. Donde difiera, vale el inglés.',
    noEntry: (id) => `${id}: sin anotar todavía.`, place: 'Aquí se anota cuando la bitácora esté en este libro; mientras tanto, en el registro en papel, que pide:', onPlan: (id) => `${id} en el plano`,
  },
  decide: 'Deciden el código local, la autoridad competente (AHJ) y una persona con licencia. Esto da cantidades y citas, no permiso.',
  update: 'hay una versión más nueva lista',
  updateNow: 'tomarla',
  updateNot: (why) => `Ahora no: ${why}.`,
  beingWritten: 'se está escribiendo algo aquí',
  blankRows: (n) => some(n, 'fila en blanco en papel', 'filas en blanco en papel'),
  act: { next: 'siguiente por corregir', compare: 'comparar con lo anterior', printNotice: 'imprimir el aviso', order: 'imprimir el pedido', work: 'imprimir el día', handover: 'imprimir la lista', sum: 'calcular', again: (n) => `otra vez: ${n}` },
  device: { head: 'Este aparato', gloves: 'guantes', language: 'idioma', english: 'English', spanish: 'español', noWords: 'Las palabras de ese idioma no están aquí y no llegaron. Pulse otra vez con señal.' },
  trust: {
    fault: (why) => `no quedó guardado: este aparato no aceptó la escritura (${why}). Se intenta otra vez; saque un archivo ahora.`,
    unheard: (n) => `${n} salieron y no llegó respuesta`,
    nothingSaid: 'un cambio',
    otherText: 'el servidor respondió con otro documento que el enviado; lo de aquí se queda y no cuenta como enviado',
    recovered: (t, what) => `La página se cortó. Todo lo guardado está aquí, hasta las ${t}${what ? `: ${what}` : ''}.`,
    halfWritten: (t, what) => `A medio escribir a las ${t}: ${what}.`,
    halfDrawn: (noun, n) => `${noun} con ${n === 1 ? '1 lugar' : `${n} lugares`}`,
    takeUp: 'retomarlo',
    leaveIt: 'dejarlo',
    again: 'guardado otra vez tras vaciarse este aparato',
    cleared: 'el navegador vació lo que había guardado en este aparato',
    clearedMend: 'este sitio estaba abierto aquí y queda guardado otra vez; traiga los demás de un archivo o del servidor',
    skipped: (n) => `${n === 1 ? '1 cambio guardado' : `${n} cambios guardados`} aquí no se pueden leer y no salieron`,
    noRoom: 'no se envió: no hay lugar en este aparato para anotar lo que sale',
    noRoomMend: 'Todo queda guardado aquí. Saque un archivo, haga lugar y envíe después.',
    skippedMend: 'el documento está entero y salió con el último cambio; en la lista de sitios se puede sacar el registro tal como está',
    ahead: (t) => `El reloj de este aparato va ${t} adelante del reloj del servidor.`,
    behind: (t) => `El reloj de este aparato va ${t} atrás del reloj del servidor.`,
    clockMend: 'El orden de lo hecho se conserva; las horas son las de este aparato.',
    span: (days, hours, minutes) => (days > 0 ? `${some(days, 'día', 'días')} y ${hours} h` : hours > 0 ? `${hours} h con ${minutes} min` : `${minutes} minutos`),
    close: 'cerrar',
  },
};

// Of the layout the crew has the sketch, with what stands under it.
export const plano: Partial<Words['layout']> = {
  whole: 'todo', near: 'al anillo', closer: 'más cerca', farther: 'más lejos', snapOn: 'imán puesto', snapOff: 'imán quitado', locked: 'con seguro', unlocked: 'con lápiz', resistance: 'anillo y varillas',
  sketchHelp: 'Las flechas mueven la cosa elegida un paso, que se dice a su lado, con mayúsculas un paso fino, o el croquis cuando no hay nada elegido. Más y menos acercan o alejan.',
};

// The work room in Spanish, for the crew. What is not here stands in English;
// where the two differ, the English holds.
const es: Record<string, string> = {
  'What is done today?': '¿Qué se hace hoy?',
  First: 'Primero',
  Cautions: 'Precauciones',
  'Registers, to be filled in': 'Registros para llenar',
  [en.decide]: 'Deciden el código local, la autoridad competente (AHJ) y una persona con licencia. Esto da cantidades y citas, no permiso.',
  // topics
  weld: 'soldadura', 'dig and drive': 'excavar e hincar', core: 'perforación', vault: 'registro subterráneo', roof: 'azotea', antennas: 'antenas', batteries: 'baterías', grounds: 'tierras',
  'earth test': 'prueba de tierra', 'service and generator': 'acometida y generador', 'stripped site': 'sitio saqueado', weather: 'clima', 'heated PVC': 'PVC caliente', reels: 'carretes', result: 'resultado', design: 'diseño', everywhere: 'en todas partes',
  // when
  'before the day': 'antes del día', 'burn-ban day': 'día de prohibición de fuego', 'before each shot': 'antes de cada disparo', 'on galvanized steel': 'sobre acero galvanizado', 'while firing': 'durante el disparo', misfire: 'disparo fallido',
  'burning pack': 'carga ardiendo', 'after the shot': 'después del disparo', 'before the first bucket': 'antes de la primera palada', 'before the boom goes up': 'antes de levantar la pluma', 'inside a tolerance band': 'dentro de una franja de tolerancia',
  'every day': 'cada día', '4 ft deep and more': 'a 4 pies de profundidad y más', '5 ft deep, or sooner in poor ground': 'a 5 pies de profundidad, o antes en mal suelo', 'at once': 'de inmediato', 'before drilling': 'antes de perforar', 'while drilling': 'al perforar',
  'before the lid is off for good': 'antes de quitar la tapa del todo', 'at the edge': 'en el borde', 'on the membrane': 'sobre la membrana', 'before going up or near': 'antes de subir o acercarse', 'near the strings': 'cerca de las baterías',
  'before one is opened or joined': 'antes de abrir o unir una', 'before one is opened': 'antes de abrir una', generator: 'generador', 'first thunder or flash': 'primer trueno o relámpago', 'high-voltage fault sites': 'sitios con falla de alta tensión', 'copper near anchors or coated steel': 'cobre cerca de anclas o acero recubierto',
  // cautions
  'Hot-work permit in hand, and a fire watch that stays after the last shot.': 'Permiso de trabajo en caliente en mano, y un vigía de fuego que se queda después del último disparo.',
  "No shot without the fire authority's word.": 'Ningún disparo sin la palabra de la autoridad de bomberos.',
  'Nothing is welded on or beside a fuel pipe, a tank, a vent, gas or a battery room.': 'No se suelda nada sobre ni junto a un tubo de combustible, un tanque, un respiradero, gas o un cuarto de baterías.',
  'Mold and conductor dry, no water in the trench: moisture throws hot metal out.': 'Molde y conductor secos, sin agua en la zanja: la humedad lanza metal caliente.',
  'Gloves, sleeves and face cover on; nobody leans over the mold; what burns is moved away.': 'Guantes, mangas y careta puestos; nadie se inclina sobre el molde; se retira lo que arde.',
  'Zinc fume makes you ill: stand upwind.': 'El humo de zinc enferma: colóquese con el viento a la espalda.',
  'The phone stays in the pocket.': 'El teléfono se queda en el bolsillo.',
  'Wait, then one person relights and the rest stay back.': 'Espere; luego una persona vuelve a encender y las demás se quedan atrás.',
  'Get away from it and keep it off what is near; do not fight it.': 'Aléjese y manténgala lejos de lo que hay cerca; no la combata.',
  'The mold is hot for longer than it looks.': 'El molde está caliente más tiempo del que parece.',
  "A mold is not altered, and one maker's mold does not take another's charge.": 'Un molde no se altera, y el molde de un fabricante no lleva la carga de otro.',
  'The dig ticket is valid today and covers this ground; private lines are asked for apart.': 'El aviso de excavación vale hoy y cubre este terreno; las líneas privadas se preguntan aparte.',
  'Overhead lines are looked for and kept clear of.': 'Se buscan las líneas aéreas y se guarda distancia.',
  'Expose by hand before anything is driven or dug by machine.': 'Descubra a mano antes de hincar o excavar con máquina.',
  'The competent person looks at the trench before anyone goes in, whatever its depth, and again after rain.': 'La persona competente revisa la zanja antes de que alguien entre, cualquiera que sea su profundidad, y otra vez después de la lluvia.',
  'A ladder or ramp stands in the trench.': 'Hay una escalera o rampa en la zanja.',
  'Slope, shore or shield it before anyone goes in.': 'Haga talud, apuntale o proteja con caja antes de que alguien entre.',
  'A cap goes on every rod and every tail that stands up.': 'Se pone un tapón en cada varilla y en cada punta que sobresale.',
  'Scan both faces. Post-tensioned means stop and ask the engineer.': 'Escanee ambas caras. Si es postensado, pare y pregunte al ingeniero.',
  'Wet, or with a vacuum: the dust is silica.': 'Con agua o con aspiradora: el polvo es sílice.',
  'The floor below is guarded until the core is out.': 'El piso de abajo se resguarda hasta que salga el núcleo.',
  'Test the air, then ventilate, then test again.': 'Pruebe el aire, luego ventile, luego pruebe otra vez.',
  'Nobody goes in alone, and nobody goes in without someone at the top.': 'Nadie entra solo, y nadie entra sin alguien arriba.',
  'Fall protection is on before the first step.': 'La protección contra caídas está puesta antes del primer paso.',
  "No flame and no hot mold; the landlord's own roofer opens and closes the roof.": 'Sin llama y sin molde caliente; el techador del dueño abre y cierra el techo.',
  "The owner's radio-frequency plan comes first: what is off, for how long, and who says so.": 'Primero va el plan de radiofrecuencia del dueño: qué está apagado, por cuánto tiempo y quién lo dice.',
  'Insulated tools, no rings or watches, and air moving before anyone works.': 'Herramienta aislada, sin anillos ni relojes, y aire en movimiento antes de trabajar.',
  'Meter the current in it and the voltage across the gap. Either there: stop.': 'Mida la corriente en ella y la tensión entre los extremos. Si hay cualquiera de las dos: pare.',
  'A jumper goes across first, and comes off last.': 'El puente se pone primero y se quita al último.',
  'Lifting the ground of a live service can kill.': 'Levantar la tierra de una acometida energizada puede matar.',
  'Stakes and leads are live during a test: two people, and one watches the far stake.': 'Las estacas y los cables tienen tensión durante la prueba: dos personas, y una vigila la estaca lejana.',
  "The utility's side stays live with the main off.": 'El lado de la compañía sigue energizado con el principal apagado.',
  'Auto-start is locked out before a hand goes in.': 'El arranque automático se bloquea antes de meter la mano.',
  'One neutral bond, in one place, for all that share a neutral: at the generator only where the switch opens it. Not known: stop.': 'Una sola unión del neutro, en un solo lugar, para todos los que comparten neutro: en el generador solo si la transferencia lo abre. Si no se sabe: pare.',
  'Metal on a stripped site counts as live until it has been metered.': 'El metal de un sitio saqueado se toma por energizado hasta que se mida.',
  'Nobody talks to strangers on it: leave, then call.': 'Nadie habla con extraños en el sitio: salga y luego llame.',
  'Stop, and get away from wire, rods and stakes. Start again 30 min after the last one.': 'Pare y aléjese de cables, varillas y estacas. Vuelva a empezar 30 min después del último.',
  'Hot pipe burns skin and gives off fume: gloves, moving air, and no torch on it.': 'El tubo caliente quema la piel y suelta humo: guantes, aire en movimiento y nada de soplete.',
  'A reel takes two people, one of them on the brake.': 'Un carrete pide dos personas, una de ellas en el freno.',
  'A reading goes out with everything that makes it doubtful printed beside it.': 'Una lectura sale con todo lo que la hace dudosa impreso al lado.',
  'A figure for the whole ground is an estimate from a model of soil in layers.': 'La cifra de toda la tierra es una estimación con un modelo de suelo en capas.',
  "Step and touch voltages are an engineer's work.": 'Las tensiones de paso y de contacto son trabajo de un ingeniero.',
  'Ask about corrosion before it is buried.': 'Pregunte por la corrosión antes de enterrarlo.',
  'Photos carry the place where they were taken.': 'Las fotos llevan el lugar donde se tomaron.',
  // sheets
  'Weld list, in walking order': 'Lista de soldaduras, en orden de recorrido', Molds: 'Moldes', 'Rods, in walking order': 'Varillas, en orden de recorrido', Trench: 'Zanja', 'Depths to read before backfill': 'Profundidades por leer antes de rellenar',
  'Welds, before the shot': 'Soldaduras, antes del disparo', 'Welds, after the shot': 'Soldaduras, después del disparo', Rods: 'Varillas', Depths: 'Profundidades', 'Whips, bars, lugs and jumpers': 'Colas, barras, zapatas y puentes', 'Earth tests': 'Pruebas de tierra',
  Continuity: 'Continuidad', 'Four-pin survey': 'Medición de suelo con cuatro estacas', Raceway: 'Canalización', 'Hold points': 'Puntos de espera', 'Deviations, RFIs and changes': 'Desviaciones, consultas y cambios', Daily: 'Diario', Safety: 'Seguridad',
  'Material lots': 'Lotes de material', 'Existing things found': 'Cosas existentes halladas', 'Closeout index': 'Índice de cierre',
  'Nothing on the layout asks for this yet; the empty rows are for what comes.': 'El trazado aún no pide nada de esto; las filas vacías son para lo que venga.',
  'no.': 'n.º', joint: 'unión', what: 'qué', place: 'lugar', 'mold, shot, charge by its tag': 'molde, disparo, carga según su etiqueta', notes: 'notas', mold: 'molde', makes: 'hace', 'charge by its tag': 'carga según su etiqueta', 'fired before': 'disparos previos',
  joints: 'uniones', 'shots at the end': 'disparos al final', life: 'vida', rod: 'varilla', length: 'largo', 'top at': 'punta a', state: 'estado', trench: 'zanja', from: 'desde', to: 'hasta', depth: 'profundidad', station: 'estación',
  'wanted, to the conductor or the centerline': 'pedida, al conductor o al eje', read: 'leída', piece: 'pieza', cut: 'corte', 'arrow at': 'flecha a', 'arc from': 'arco desde', 'arc to': 'arco hasta', bend: 'curva', turn: 'giro',
  kind: 'clase', ties: 'une', 'conductor lot': 'lote del conductor', 'mold and shot': 'molde y disparo', 'charge by the tag, lot': 'carga según etiqueta, lote', 'dried and cleaned, when due': 'secado y limpio, cuando toca', 'ends in the mold (photo)': 'puntas en el molde (foto)',
  by: 'por', 'phone or sheet': 'teléfono u hoja', time: 'hora', 'clock off by, last contact': 'reloj errado por, último contacto', 'place: two tapes and side': 'lugar: dos cintas y lado', 'position, within': 'posición, dentro de', signed: 'firmado',
  fired: 'disparado', 'misfires: relit or lost': 'fallidos: reencendido o perdido', 'slag off, tag in view (photo)': 'sin escoria, etiqueta a la vista (foto)', 'eye checks': 'revisión a ojo', 'tap check': 'golpe de prueba', 'mohm expected': 'mohm esperados', 'mohm measured': 'mohm medidos',
  'paint back': 'pintura repuesta', welder: 'soldador', inspector: 'inspector', 'redo of': 'rehecho de', type: 'tipo', 'length driven': 'largo hincado', 'couplings tight': 'coples apretados', angle: 'ángulo', refusal: 'rechazo', alternate: 'alternativa',
  'depth of top by tape': 'profundidad de la punta con cinta', 'soil wet or dry': 'suelo mojado o seco', 'time driven': 'hora de hincado', photo: 'foto', 'depth as dug': 'profundidad excavada', width: 'ancho', 'other utilities': 'otros servicios', 'photo with tape': 'foto con cinta', soil: 'suelo', water: 'agua', rock: 'roca',
  radius: 'radio', tag: 'etiqueta', 'paint removed': 'pintura quitada', pair: 'par', measured: 'medido', current: 'corriente', temperature: 'temperatura', date: 'fecha', crew: 'cuadrilla', done: 'hecho', next: 'sigue', item: 'artículo', lot: 'lote', section: 'tramo', degrees: 'grados',
  tap: 'derivación', 'cable-to-rod': 'cable a varilla', 'cable-to-pipe': 'cable a tubo', 'cable-to-flat': 'cable a superficie plana', 'inline splice': 'empalme en línea', 'two-hole lug': 'zapata de dos barrenos',
  'a porous reject: think of moisture before anything else': 'un rechazo poroso: piense en la humedad antes que nada',
  'dig ticket: not in the document. See it before the first bucket': 'aviso de excavación: no está en el documento. Véalo antes de la primera palada',
  'cover is to the top of the raceway, from finished grade': 'la cubierta se mide a la parte alta del tubo, desde el nivel terminado',
  'expose by hand before driving or digging inside a tolerance band': 'descubra a mano antes de hincar o excavar dentro de una franja de tolerancia',
  "a mold is not altered, and one maker's mold does not take another's charge": 'un molde no se altera, y el molde de un fabricante no lleva la carga de otro',
  "a mold's look ends its life, not its count; the count asks for a look and never stops a shot": 'al molde lo retira su aspecto, no su cuenta; la cuenta pide mirarlo y nunca detiene un disparo',
};
// A shape turns a whole line; what it has caught is turned in its turn.
const shapes: [RegExp, string][] = [
  [/^dry mold (\d+) and its conductor: first shot of the day\. Again after 20 min idle, after rain, on wet ground, and for every other mold before its own first shot; not otherwise$/, 'seque el molde $1 y su conductor: primer disparo del día. Otra vez tras 20 min parado, tras la lluvia, en suelo mojado, y cada otro molde antes de su primer disparo; si no, no'],
  [/^see first: (.+) go on a conductor told only\. Uncover it, measure it, meter it, then pick the mold$/, 'ver primero: $1 van sobre un conductor del que solo se sabe de palabra. Descúbralo, mídalo, pruébelo con medidor y luego elija el molde'],
  [/^(.+): lengths and factory bends are set as the bend sheet lists them$/, '$1: los tramos y las curvas de fábrica se colocan como dice la hoja de curvas'],
  [/^(\d+) joints to fire with (\d+) kinds of mold, (\d+) rods to drive$/, '$1 uniones por disparar con $2 clases de molde, $3 varillas por hincar'],
  [/^(\d+) lengths to set in (\d+) runs, (\d+) of them bent on site$/, '$1 tramos por colocar en $2 corridas, $3 de ellos doblados en sitio'],
  [/^cut longer than the takeoff, out of the spare, because the tap sits beside the nearest place on the ring: (.+)$/, 'corte más largo que lo medido, de la reserva, porque la derivación queda al lado del punto más cercano del anillo: $1'],
  [/^Bend sheet, (.+)$/, 'Hoja de curvas, $1'],
  [/^Pull card: (.+)$/, 'Tarjeta de jalado: $1'],
  [/^Plan of (.+): a ring (.+) long, (\d+) rods, (\d+) whips, (\d+) joints, (\d+) runs?\.$/, 'Plano de $1: un anillo de $2, $3 varillas, $4 colas, $5 uniones, $6 corridas.'],
  [/^(\d+), shot (\d+), (.+)$/, '$1, disparo $2, $3'],
  [/^dry mold (\d+) first$/, 'primero seque el molde $1'],
  [/^a pair fires (\d+) to (\d+) a day \(common practice, no source\): (\d+) joints? is (\d+) to (\d+) days?$/, 'una pareja dispara de $1 a $2 al día (práctica común, sin fuente): $3 uniones son de $4 a $5 días'],
  [/^a pair fires (\d+) to (\d+) a day \(common practice, no source\): (\d+) joints? is (\d+) days?$/, 'una pareja dispara de $1 a $2 al día (práctica común, sin fuente): $3 uniones son $4 días'],
  [/^(\d+) joints? \+ (\d+) redos? = (\d+) of (\d+) shots$/, '$1 uniones + $2 por rehacer = $3 de $4 disparos'],
  [/^(J.+) on a conductor told only$/, '$1 sobre un conductor del que solo se sabe de palabra'],
  [/^(tap|cable-to-rod|cable-to-pipe|cable-to-flat|inline splice) mold, (.+)$/, 'molde de $1, $2'],
  [/^(\d+ AWG|\d+\/0 AWG|\d+ kcmil)( solid| stranded)? tinned copper (to|through to) (.+)$/, '$1 cobre estañado$2 $3 $4'],
  [/^(\d+ AWG|\d+\/0 AWG|\d+ kcmil) solid tinned copper$/, '$1 cobre estañado macizo'],
  [/^(\d+ AWG|\d+\/0 AWG|\d+ kcmil) stranded tinned copper$/, '$1 cobre estañado trenzado'],
  [/^vertical pipe (.+)$/, 'tubo vertical $1'],
  [/^rod (.+)$/, 'varilla $1'],
  [/^(\S+.*) deep$/, '$1 de profundidad'],
  [/^(\S+.*) to the conductor$/, '$1 al conductor'],
  [/^(\S+.*) along the run$/, '$1 a lo largo de la corrida'],
  [/^cover (.+)$/, 'cubierta $1'],
  [/^read at least every (.+) and at every change \(common practice, no source\); photo with the tape in it$/, 'lea al menos cada $1 y en cada cambio (práctica común, sin fuente); foto con la cinta a la vista'],
  [/^lengths (\d+) to (\d+)$/, 'tramos $1 a $2'], [/^length (\d+)$/, 'tramo $1'], [/^(\d+) lengths coupled$/, '$1 tramos acoplados'],
  [/^(.+) \(whole\)$/, '$1 (entero)'],
  [/^(\d+) deg, radius (.+)$/, '$1 grados, radio $2'],
  [/^(\d+) (left|right|up|down|north|south|east|west)$/, '$1 $2'],
  [/^arc (.+)$/, 'arco $1'],
  [/^start to end: (\d+) deg, (.+)$/, 'de inicio a fin: $1 grados, $2'],
  [/^sticks of (.+): the usual length, not said$/, 'tramos de $1: el largo usual, no dicho'],
  [/^(\d+) deg$/, '$1 grados'],
  [/^under ([\d.]+)$/, 'menos de $1'], [/^under ([\d.]+) (lbf|lbf\/ft|N|kN|N\/m)$/, 'menos de $1 $2'],
  [/^(under [\d.]+|[\d.]+) to ([\d.]+) (.+)$/, '$1 a $2 $3'],
  [/^Feed at (.+), pull from (.+): at most (.+)\. The other way: at most (.+)\.$/, 'Meta en $1, jale desde $2: a lo más $3. Al revés: a lo más $4.'],
  [/^Holds: (\d+) % of the tightest limit\.$/, 'Cumple: $1 % del límite más estrecho.'],
  [/^Pull: (.+) in all, (\d+) deg of bends over (.+)\.$/, 'Jalado: $1 en total, $2 grados de curvas en $3.'],
  [/^Limits: (.+)\.$/, 'Límites: $1.'],
  [/^(.+\)); ((?:basket grip|pulling gear) \S+ \S+ \(.+\))$/, '$1; $2'],
  [/^cables (\S+ \S+) (\(.+)$/, 'cables $1 $2'], [/^basket grip (\S+ \S+) (\(.+)$/, 'malla de jalado $1 $2'], [/^pulling gear (\S+ \S+) (\(.+)$/, 'equipo de jalado $1 $2'],
  [/^\(([^()]+?):? share of the sum above three conductors\)$/, '($1, parte de la suma con más de tres conductores)'], [/^\(([^()]+?):? pulling device without a rating of its own\)$/, '($1, dispositivo sin valor propio)'],
  [/^\(([^()]+?):? basket grip on a cable without lead sheath\)$/, '($1, malla sobre cable sin cubierta de plomo)'],
  [/^On a bend at most (\S+ \S+) (\(.+\))\.$/, 'En una curva a lo más $1 $2.'],
  [/^\((cable maker's published rules, name withheld):? (.+), (\d+) AWG and smaller \(from memory\)\)$/, '($1: $2, $3 AWG y menores, de memoria)'],
  [/^Friction (.+) to (.+), lubricated \((.+?):? lubricated, typical\)\.$/, 'Fricción $1 a $2, con lubricante ($3, con lubricante, típica).'],
  [/^Inside of the tightest bend \((.+)\) (.+), (.+) asks (.+): holds\.$/, 'Interior de la curva más cerrada ($1) $2, $3 pide $4: cumple.'],
  [/^Inside of the tightest bend \((.+)\) (.+), (.+) asks (.+): broken\.$/, 'Interior de la curva más cerrada ($1) $2, $3 pide $4: no cumple.'],
  [/^Clearance over the cables (.+)\.$/, 'Espacio libre sobre los cables $1.'],
  [/^The weight of (.+) is estimated, (.+): its sheet replaces it\.$/, 'El peso de $1 es estimado, $2: su hoja lo reemplaza.'],
  [/^No sidewall limit of (.+) is given: its bend radius and its tension are checked, the pressure is only printed\.$/, 'No hay límite de presión lateral de $1: se revisan su radio y su tensión; la presión solo se imprime.'],
  [/^The cable runs ahead by its own weight: brake the reel at (.+) with (under .+|\S+ \S+) or more\.$/, 'El cable se adelanta por su propio peso: frene el carrete en $1 con $2 o más.'],
  [/^(.+) trench before backfill$/, 'zanja de $1 antes de rellenar'],
  [/^(\d+) buried joints, (\d+) rods$/, '$1 uniones enterradas, $2 varillas'],
  [/^(.+), start to end$/, '$1, de inicio a fin'],
  [/^earth test of ring and rods alone, trench backfilled and tamped$/, 'prueba de tierra solo del anillo y las varillas, zanja rellenada y apisonada'],
  [/^rod (R\d+) stopped with (.+) driven: move it and try again, then 45 degrees, then flat\. It is not cut off$/, 'varilla $1 se detuvo con $2 hincados: muévala e intente otra vez, luego a 45 grados, luego plana. No se corta'],
  [/^a tag says a (.+) mold has fired (\d+), not which of the (\d+): count its shots by hand, no warning is given here$/, 'una etiqueta dice que un molde de $1 lleva $2 disparos, no cuál de los $3: cuente sus disparos a mano, aquí no se avisa'],
  [/^(start|P\d+) to (P\d+|end): (\d+) deg, (.+)$/, 'de $1 a $2: $3 grados, $4'], [/^(.+), (start|P\d+) to (P\d+|end)$/, '$1, de $2 a $3'],
  [/^(.+): (\S+ \S+) is laid already\. Its sheets, cuts and the order show the whole run; begin at that station$/, '$1: $2 ya están colocados. Sus hojas, cortes y el pedido muestran toda la corrida; empiece en esa estación'],
  [/^measure first: (.+) have no size, so no mold$/, 'mida primero: $1 no tienen tamaño, así que no hay molde'], [/^measure first: (.+) has no size, so no mold$/, 'mida primero: $1 no tiene tamaño, así que no hay molde'],
  [/^(\d+) lengths? to set in (\d+) runs?, (\d+) of them bent on site$/, '$1 tramos por colocar en $2 corrida, $3 de ellos doblados en sitio'],
  [/^(\d+) sections?$/, '$1 secciones'], [/^(\d+) couplings?$/, '$1 cople'], [/^stopped at (.+)$/, 'se detuvo a $1'], [/^offset (\d+) (left|right|back|up|down)$/, 'desvío $1 $2'], [/^pull box (\S+)$/, 'caja de jalado $1'], [/^conduit body (\w+)$/, 'cuerpo de conduit $1'],
  [/^(P\d+) (pull box .+|conduit body .+)$/, '$1 $2'], [/^travel (.+); set by the pipe temperature, see prove$/, 'recorrido $1; se ajusta según la temperatura del tubo, vea comprobar'], [/^core (.+), rated wall: firestop not told, slopes out$/, 'perforación $1, muro clasificado: cortafuego no dicho, pendiente hacia afuera'],
  // places
  [/^(.+?) from (.+?), (.+?) from (.+?), on the (left|right) going from (.+) to (.+)$/, '$1 ~$2, $3 ~$4, a la $5 yendo ~$6 ^$7'],
  [/^(.+?) from (.+?), (.+?) from (.+)$/, '$1 ~$2, $3 ~$4'],
  [/^at (.+)$/, 'en =$1'],
  [/^(tap|cable-to-rod|cable-to-pipe|cable-to-flat|inline splice|two-hole lug), (.+) to (.+)$/, '$1, $2 a $3'],
  [/^ring, side (\d+)$/, 'anillo, lado $1'],
  [/^ring, joint (J\d+)$/, 'anillo, unión $1'],
  [/^ring (\d.*)$/, 'anillo $1'],
  [/^(J\d+) to (J\d+)$/, '$1 a $2'],   [/^mold (\d+)$/, 'molde $1'], [/^whip (W\d+)$/, 'cola $1'], [/^(J\d+) lug$/, 'zapata $1'], [/^gate jumper (\d+)$/, 'puente de portón $1'],
  [/^post (\d+)$/, 'poste $1'], [/^corner post (\d+)$/, 'poste de esquina $1'], [/^gate post (\d+)$/, 'poste de portón $1'], [/^line post (\d+)$/, 'poste de línea $1'],
  [/^(.+) leg (\d+)$/, 'pata $2 de $1'], [/^(.+) corner (\d+)$/, 'esquina $2 de $1'], [/^(.+) lug (\d+)$/, 'zapata $2 de $1'], [/^(.+) tap (\d+)$/, 'derivación $2 de $1'],
  [/^(.+) - (.+)$/, '$1 - $2'],
];
Object.assign(es, {
  'see it and measure it first': 'véalo y mídalo primero', 'measure first, then pick the mold': 'mida primero, luego elija el molde', 'a conductor nobody has measured': 'un conductor que nadie ha medido', 'cannot tell, measure before ordering': 'no se puede saber, mida antes de pedir', 'size and make-up of the existing conductor': 'tamaño y tipo del conductor existente',
  'outside diameter of the pipe': 'diámetro exterior del tubo', 'of unknown size': 'de tamaño desconocido', 'how it is made is not said: taken as a factory bend': 'no se dice cómo se hace: se toma como curva de fábrica', ' solid': ' macizo', ' stranded': ' trenzado', back: 'atrás', 'factory elbow': 'codo de fábrica', 'expansion fitting': 'junta de expansión', wall: 'muro',
  'dig ticket card in the truck: see until when it is valid before the first bucket': 'aviso de excavación: tarjeta en la camioneta; vea hasta cuándo vale antes de la primera palada', 'dig ticket told by phone, card not seen: see until when it is valid before the first bucket': 'aviso de excavación dado por teléfono, tarjeta no vista: vea hasta cuándo vale antes de la primera palada',
  'cannot tell': 'no se puede saber', 'cannot tell: its mold is not known yet': 'no se puede saber: su molde aún no se conoce', 'no two posts cross well here: set a stake and tape to it': 'aquí no se cruzan bien dos postes: ponga una estaca y mida a ella',
  hold: 'espera', 'before steel, fence, tower and the utility neutral are joined: once they are, that reading cannot be had again': 'antes de unir acero, cerca, torre y el neutro de la compañía: una vez unidos, esa lectura ya no se puede tomar', 'then the bonds below': 'luego las uniones de abajo',
  'zinc: upwind, paint back': 'zinc: con el viento a la espalda, pintura repuesta', 'told only: see the conductor first': 'solo de palabra: vea primero el conductor', 'to drive': 'por hincar',
  'before: mold and conductor dry when due, ends in the mold, photo; after: slag off, tag in view, photo, eye, tap check': 'antes: molde y conductor secos cuando toca, puntas en el molde, foto; después: sin escoria, etiqueta a la vista, foto, ojo, golpe de prueba',
  'a bad tap joint looks good: the photo before the shot and the tap check carry the proof': 'una mala derivación se ve bien: la foto antes del disparo y el golpe de prueba son la prueba',
  'flat steel, vertical face': 'acero plano, cara vertical', 'the same': 'lo mismo', to: 'a', 'through to': 'pasante a',
  'when a rod stops:': 'cuando una varilla se detiene:', '1. move 1 to 2 ft along the ring, not into a located band, and drive again': '1. muévala de 1 a 2 pies a lo largo del anillo, no hacia una franja localizada, y vuelva a hincar',
  "2. drive at 45 degrees outward, along the corner's diagonal or square to the side": '2. hinque a 45 grados hacia afuera, por la diagonal de la esquina o a escuadra con el lado',
  '3. only after that try is logged: lay it flat, outward, at the depth of the ring. Whose land is it outside the fence?': '3. solo después de anotar ese intento: tiéndala plana, hacia afuera, a la profundidad del anillo. ¿De quién es el terreno fuera de la cerca?',
  'or leave it and ask for a radial: that needs written acceptance': 'o déjela y pida un radial: eso necesita aceptación por escrito', 'a rod is never cut off; a stopped rod opens a deviation': 'una varilla nunca se corta; una varilla detenida abre una desviación',
  'cap it at once; read it alone before wire is on it': 'póngale tapa de inmediato; léala sola antes de que tenga cable', sweep: 'curva amplia', 'nothing is bent on site: pipe is cut, bends come made': 'nada se dobla en sitio: el tubo se corta, las curvas vienen hechas',
  'turns of the pipe are seen along it from that end, the bender bending up; bends that are not made on site come as they are, and their straight ends are not taken off': 'los giros del tubo se ven a lo largo desde ese extremo, con la dobladora doblando hacia arriba; las curvas que no se hacen en sitio vienen como son y no se les quitan sus puntas rectas',
  At: 'En', 'Length or bend': 'Largo o curva', 'Tension after it, best way': 'Tensión después, mejor sentido', 'On the bend': 'En la curva', 'Tension, the other way': 'Tensión, al revés', straight: 'recto', start: 'inicio', end: 'fin',
  "The makers' figures for cable, grip, line, swivel and lubricant replace those here; the weakest of them is the limit.": 'Las cifras de los fabricantes de cable, malla, cuerda, destorcedor y lubricante reemplazan estas; la más débil es el límite.',
  'Keep clear of the line and of its reach while it is under tension; agree on a stop signal; pull with a tension gauge in sight.': 'Manténgase lejos de la cuerda y de su alcance mientras tiene tensión; acuerden una señal de alto; jale con un medidor de tensión a la vista.',
  'Reels: two people. Nobody in line with the line; hands off cable and sheave while it moves.': 'Carretes: dos personas. Nadie en la línea de la cuerda; manos fuera del cable y la polea mientras se mueve.',
  'The cables are not equal: jam, clearance and weight correction take their mean diameter.': 'Los cables no son iguales: atasco, espacio y corrección de peso toman su diámetro medio.',
  "cable maker's published rules, name withheld": 'reglas publicadas de un fabricante de cable, sin nombre', 'cable bending radii and tensions sheet of a maker, name withheld': 'hoja de radios y tensiones de un fabricante, sin nombre',
  'gate leaf': 'hoja de portón', 'ohms alone, and by depth': 'ohms sola, y por profundidad', 'to finished grade, benchmark': 'al nivel terminado, banco de nivel', id: 'id.', 'sleeve: nonmetallic, or bonded both ends': 'manga: no metálica, o unida en ambos extremos',
  'joint compound': 'compuesto de unión', 'die or torque': 'dado o par', 'expected; ring open': 'esperado; anillo abierto', boxes: 'cajas', 'tape reading': 'lectura de cinta', mandrel: 'mandril', 'locate wire': 'hilo localizador', cover: 'cubierta', separation: 'separación',
  'penetrations: scan, core, slope out, seal, firestop': 'pasos: escaneo, perforación, pendiente afuera, sello, cortafuego', 'expansion set, at pipe temperature': 'expansión ajustada, a la temperatura del tubo', 'bonding jumpers on metal expansion fittings': 'puentes en juntas de expansión metálicas',
  'pull line left': 'cuerda de jalado dejada', 'hold point': 'punto de espera', 'still missing': 'falta', 'inspector: signed, card, waived by whom, or not required': 'inspector: firmado, tarjeta, dispensado por quién, o no requerido', 'released at': 'liberado a las', 'card or tag (photo)': 'tarjeta o etiqueta (foto)',
  'the usual length, not said': 'el largo usual, no dicho', left: 'izquierda', right: 'derecha', up: 'arriba', down: 'abajo', north: 'norte', south: 'sur', east: 'este', west: 'oeste', ring: 'anillo',
  // registers that the layout does not fill
  'what is disconnected, by whose hands': 'qué está desconectado, por manos de quién', inspector: 'inspector', meter: 'medidor', weather: 'clima', witness: 'testigo',
});
const feminine = /^(pata|esquina|zapata|derivación|cola|varilla|unión)/;

// turned is a line of the work room in Spanish, or nothing where it has no
// words for it. Figures, ids and the names that a site gives are its own.
function turned(s: string): string | undefined {
  const whole = es[s];
  if (whole !== undefined) return whole;
  const piece = (g: string) => turned(g) ?? g;
  for (const [shape, to] of shapes) {
    const m = shape.exec(s);
    if (!m) continue;
    // ~ de, ^ a and = nothing but the article go before a thing.
    return to.replace(/([~^=]?)\$(\d)/g, (_, how: string, n: string) => {
      const g = piece(m[Number(n)] ?? '');
      if (!how) return g;
      const named = g === m[Number(n)];
      const the = named ? '' : feminine.test(g) ? 'la ' : 'el ';
      if (how === '=') return the + g;
      return the === 'el ' ? `${how === '~' ? 'del' : 'al'} ${g}` : `${how === '~' ? 'de' : 'a'} ${the}${g}`;
    });
  }
  // A cut before a sentence comes before the cuts in it.
  const cut = s.indexOf(': ');
  if (cut > 0) {
    const [a, b] = [turned(s.slice(0, cut)), turned(s.slice(cut + 2))];
    if (a !== undefined || b !== undefined) return `${a ?? s.slice(0, cut)}: ${b ?? s.slice(cut + 2)}`;
  }
  // What is listed is turned one by one, where there are words for any.
  for (const by of ['; ', ', ', ' + ']) {
    const parts = s.split(by);
    if (parts.length < 2) continue;
    const got = parts.map(turned);
    if (got.some((x) => x !== undefined)) return got.map((x, i) => x ?? parts[i]).join(by);
  }
  return undefined;
}
// spanish says a line of the work room in Spanish, or as it stands where it
// has no words for it.
export const spanish = (s: string): string => turned(s) ?? s;
