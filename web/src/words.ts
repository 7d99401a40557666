// Every word that the screens say, in one place. The words of the trade are
// those of docs/words.md; a test reads this file for words that are not used.
export const stages = ['layout', 'prove', 'order', 'work', 'change', 'handover'] as const;
export type StageName = (typeof stages)[number];
export type Room = StageName | 'sums';
export type Theme = 'day' | 'sun' | 'dusk';
export const themes: Theme[] = ['day', 'sun', 'dusk'];

const plural = (n: number, one: string, many = one + 's') => (n === 1 ? `1 ${one}` : `${n} ${many}`);

export const en = {
  app: 'Stubup',
  skip: 'to the page',
  rooms: { layout: 'layout', prove: 'prove', order: 'order', work: 'work', change: 'change', handover: 'handover', sums: 'sums' } as Record<Room, string>,
  asks: {
    layout: 'Where does it all go?', prove: 'Does it meet code, the owner and the target?', order: 'What exactly is bought?', work: 'What is done today?',
    change: 'They moved it: what does that do?', handover: 'Can it be accepted?', sums: 'Pocket calculations.',
  } as Record<Room, string>,
  themes: { day: 'day', sun: 'sun', dusk: 'dusk' } as Record<Theme, string>,
  themeIs: (t: string) => `light: ${t}`,
  nav: 'six words',
  book: 'book',
  figures: 'figures',
  foot: { today: 'today', plan: 'plan', write: 'write', book: 'book' },
  sketch: 'sketch',
  tables: 'tables',
  headLine: (name: string, rev: string, room: string) => `${name}${rev ? `, revision ${rev}` : ''}: ${room}`,
  back: 'back',
  sites: {
    head: 'Sites on this device',
    none: 'No site yet. Begin with the starter compound, look at the reference compound, or bring a file.',
    starter: 'begin a site',
    example: 'open compound A',
    bring: 'bring a file',
    out: 'take a file out',
    began: 'the site as it was begun here',
    more: 'more',
    less: 'less',
    open: (n: string) => `open ${n}`,
    changed: (t: string) => `changed ${t}`,
    cross: 'take off this device',
    crossAsk: (n: string, out: number) => (out > 0 ? `${n}: ${plural(out, 'change')} not sent. Take a file out first, or hold to take it off this device.` : `Take ${n} off this device? Hold the button.`),
    hold: 'hold to take off',
    server: 'Sites on the server',
    serverNone: 'The server has no other site.',
    fetch: (n: string) => `fetch ${n}`,
    noServer: 'no server here; all of it works on this device',
    notRead: 'The file could not be read as a site. Choose a .yaml file.',
    persist: 'Ask this device to keep it',
    persistYes: 'this device was asked to keep the book, and agreed',
    persistNo: 'this device may clear the book when it is short of room: install the page, send, or take a file out',
  },
  kept: (t: string) => `kept on this device ${t}`,
  notKept: 'not kept: no room on this device. Take a file out now.',
  notSent: (n: number) => (n === 0 ? 'all sent' : `${n} not sent`),
  local: (n: number) => (n === 0 ? 'nothing to send' : `${n} not sent`),
  send: 'send',
  sending: 'sending',
  conflict: 'The server has another revision that this device has not seen. Yours is kept. Send it beside the other; both stay.',
  sendBeside: 'send it beside',
  noSignal: 'no signal; all of today works',
  readOnly: 'Open in another tab, which has the pencil. This one only shows.',
  asOf: (t: string) => `as of ${t}`,
  stale: 'being worked out',
  loading: 'the engine is coming; this is the last result',
  loadingNone: 'the engine is coming',
  broken: (n: number) => `${n} broken`,
  openItems: (n: number) => `${n} open`,
  rowsCount: (n: number) => plural(n, 'row'),
  joints: (n: number) => plural(n, 'joint'),
  welds: (n: number) => plural(n, 'weld'),
  notCompared: 'not compared',
  sums: {
    pick: 'Pick a calculation.',
    given: 'Given',
    figures: 'Figures that went in',
    work: 'work it out',
    example: 'fill in the example',
    needed: 'needed',
    or: (n: string) => `or ${n}`,
    usual: (d: string) => `${d} where nothing is written`,
    holds: 'holds',
    broken: 'broken',
  },
  diags: (n: number) => (n === 1 ? '1 thing to mend in the document' : `${n} things to mend in the document`),
  mend: 'Mend',
  atLine: (n: number) => `line ${n}`,
  download: (n: string) => `take out ${n}`,
  files: 'Take out',
  print: 'print',
  units: 'units',
  unitsUS: 'feet',
  unitsSI: 'metres',
  undo: 'undo',
  redo: 'redo',
  undoOf: (s: string) => `undo: ${s}`,
  nothingToUndo: 'nothing to undo',
  layout: {
    locked: 'locked',
    unlocked: 'pencil out',
    lock: 'lock the sketch',
    unlock: 'unlock to move things',
    whole: 'whole',
    near: 'ring',
    closer: 'closer',
    farther: 'farther',
    snapOn: 'snap on',
    snapOff: 'snap off',
    sheet: 'sheet',
    sketches: 'other sketches',
    list: 'Everything on the sketch',
    kindAll: 'all kinds',
    find: 'find by id or word',
    noneFound: 'nothing is called that',
    picked: 'Picked',
    pickOne: 'Several lie here. Which?',
    pickNone: 'Nothing is picked. Tap a thing on the sketch or in the list.',
    move: 'move',
    east: 'east',
    north: 'north',
    by: 'by',
    moveIt: 'move it',
    takeOut: 'take it out',
    ringAround: 'ring around these',
    addTo: 'pick with others',
    numbers: 'keep these numbers',
    numbersWhy: 'Ids may change while the document does not keep them. Keep them before tags are hung.',
    write: 'Write',
    nouns: { rod: 'rod', rods: 'rods by rule', whip: 'whip', ring: 'ring', pad: 'pad', platform: 'platform', fence: 'fence', post: 'post', gate: 'gate', equipment: 'equipment', generator: 'generator', wall: 'wall', trench: 'trench', tower: 'tower', handhole: 'handhole' } as Record<string, string>,
    other: 'other',
    tapPlaces: (n: number) => (n === 1 ? 'Tap the place on the sketch, or type it.' : `Tap ${n} places on the sketch, or type them.`),
    tapped: (n: number, of: number) => `${n} of ${of} places`,
    placeEast: (n: number) => `place ${n}, east`,
    placeNorth: (n: number) => `place ${n}, north`,
    more: 'another place',
    add: 'add',
    cancel: 'leave it',
    fields: {
      id: 'name', height: 'height', width: 'width', depth: 'depth', distance: 'distance', diameter: 'diameter', length: 'length', od: 'outside diameter', leaves: 'leaves',
      conductor: 'conductor', 'stub-up': 'stub-up', end: 'upper end', to: 'to what', 'corner-radius': 'corner radius', spacing: 'at most apart', steel: 'metal to be bonded',
      'posts.corner': 'corner posts', 'posts.gate': 'gate posts', 'posts.line': 'line posts', 'posts.spacing': 'posts at most apart',
    } as Record<string, string>,
    around: (ids: string[]) => (ids.length === 0 ? 'Pick the fence, or the things it goes around, on the sketch or in the list.' : `around ${ids.join(', ')}`),
    rule: 'where',
    rules: { corners: 'at the corners', mids: 'in the middle of each side', spacing: 'by spacing' } as Record<string, string>,
    like: {
      distance: '2 ft', depth: '30 in', height: '7 ft', width: '12 in', diameter: '5/8 in', length: '8 ft', od: '3-1/2 in', leaves: '2', spacing: '16 ft', conductor: '2 AWG solid tinned copper',
      'stub-up': '18 in', 'corner-radius': '8 in', steel: 'yes', 'posts.corner': '2-7/8 in', 'posts.gate': '4 in', 'posts.line': '2-3/8 in', 'posts.spacing': '10 ft',
    } as Record<string, string>,
    wholeThing: 'the whole of it',
    lessOne: 'one place back',
    whipTo: 'for instance fence corner posts',
    ends: { pipe: 'cable-to-pipe', flat: 'cable-to-flat', lug: 'lug', tap: 'tap' } as Record<string, string>,
    guide: (w: string) => w,
    resistance: 'ring and rods',
    sketchHelp: 'Arrow keys move the picked thing by one step of the grid, or the sketch when nothing is picked. Plus and minus come closer or go farther.',
    empty: 'Nothing is laid out yet. Write a fence, then a ring inside it.',
  },
  prove: {
    counts: (b: number, c: number, h: number, n: number) => `${b} broken, ${c} cannot tell, ${h} hold, ${n} do not apply`,
    filter: 'show',
    all: 'all',
    wanted: 'wanted',
    found: 'found',
    mend: 'mend',
    source: 'source',
    waived: 'waived by',
    why: 'why this number',
    hangs: 'what hangs on this',
    close: 'close',
    numbers: 'Numbers',
    from: 'It comes from',
    uses: 'Hangs on it',
    nothingHangs: 'Nothing printed hangs on it.',
    standing: 'standing',
    figuresAre: 'figures',
    outside: 'outside its stated range',
    show: 'show on the sketch',
    none: 'No rule was looked at: no work is adopted and the owner asks nothing.',
  },
  work: { first: 'First', cautions: 'Cautions', day: 'The day', bends: 'Bends', registers: 'Registers, to be filled in', language: 'language', english: 'English', spanish: 'español', spanishNote: 'Traducción para la cuadrilla, sin revisar por un hablante del oficio. Donde difiera, vale el inglés.' },
  change: {
    old: 'as it was',
    new: 'as it is now',
    pick: 'Compare with an earlier state of this site, or with a file.',
    file: 'compare with a file',
    before: 'before the last changes here',
    other: (n: string) => `compare with ${n}`,
    with: (n: string) => `compared with ${n}`,
    notice: 'Words of a change notice',
    noticeWhy: 'The words may be changed to suit; the numbers stand in the tables.',
    copy: 'copy',
    copied: 'copied',
    same: 'Nothing differs.',
  },
  order: { lit: (n: number) => plural(n, 'point') + ' lit', lights: 'Tap a row: what it is for lights up on the sketch.' },
  takeSite: 'take out the site file',
  fromServer: 'From the server, of the revision it has',
  writing: (n: string) => `writing ${n}`,
  handover: { pages: 'Pages of the package', pdf: 'The bound package comes from the server or the command: stubup handover.', takePdf: 'take out the package (PDF)' },
  decide: 'Local code, the AHJ and a licensed person decide. This gives quantities and citations, not permission.',
  update: 'a newer version is ready',
  updateNow: 'take it',
  updateNot: (why: string) => `Not now: ${why}.`,
  beingWritten: 'something is being written here',
  install: 'keep it on the home screen',
  blankRows: (n: number) => `${plural(n, 'blank row')} on paper`,
  device: { head: 'This device', gloves: 'gloves', language: 'language', english: 'English', spanish: 'español' },
};

export type Words = typeof en;

// The words of the frame, of the work room and of the sums in Spanish, for the
// crew: the type holds them complete. What a site says in its other rooms
// stands in English.
export type Lang = 'en' | 'es';
export const langs: Lang[] = ['en', 'es'];
type Crew = Pick<Words, 'skip' | 'rooms' | 'asks' | 'themes' | 'themeIs' | 'nav' | 'book' | 'figures' | 'foot' | 'sketch' | 'tables' | 'headLine' | 'back' | 'kept' | 'notKept' | 'notSent' | 'local' | 'send' | 'sending'
  | 'conflict' | 'sendBeside' | 'noSignal' | 'readOnly' | 'asOf' | 'stale' | 'loading' | 'loadingNone' | 'broken' | 'openItems' | 'rowsCount' | 'joints' | 'welds' | 'notCompared' | 'sums' | 'diags' | 'mend' | 'atLine'
  | 'files' | 'print' | 'takeSite' | 'writing' | 'work' | 'decide' | 'update' | 'updateNow' | 'updateNot' | 'beingWritten' | 'blankRows' | 'device'>;
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
  stale: 'se está calculando',
  loading: 'el motor viene en camino; este es el último resultado',
  loadingNone: 'el motor viene en camino',
  broken: (n) => some(n, 'no cumple', 'no cumplen'),
  openItems: (n) => some(n, 'pendiente', 'pendientes'),
  rowsCount: (n) => some(n, 'fila', 'filas'),
  joints: (n) => some(n, 'unión', 'uniones'),
  welds: (n) => some(n, 'soldadura', 'soldaduras'),
  notCompared: 'sin comparar',
  sums: {
    pick: 'Elija una cuenta.', given: 'Dado', figures: 'Cifras que entraron', work: 'calcular', example: 'llenar con el ejemplo', needed: 'hace falta', or: (n) => `o ${n}`,
    usual: (d) => `${d} si no se escribe nada`, holds: 'cumple', broken: 'no cumple',
  },
  diags: (n) => some(n, 'cosa por corregir en el documento', 'cosas por corregir en el documento'),
  mend: 'Corregir',
  atLine: (n) => `línea ${n}`,
  files: 'Sacar',
  print: 'imprimir',
  takeSite: 'sacar el archivo del sitio',
  writing: (n) => `escribiendo ${n}`,
  work: {
    first: 'Primero', cautions: 'Precauciones', day: 'El día', bends: 'Curvas', registers: 'Registros para llenar', language: 'idioma', english: 'English', spanish: 'español',
    spanishNote: 'Traducción para la cuadrilla, sin revisar por un hablante del oficio. Donde difiera, vale el inglés.',
  },
  decide: 'Deciden el código local, la autoridad competente (AHJ) y una persona con licencia. Esto da cantidades y citas, no permiso.',
  update: 'hay una versión más nueva lista',
  updateNow: 'tomarla',
  updateNot: (why) => `Ahora no: ${why}.`,
  beingWritten: 'se está escribiendo algo aquí',
  blankRows: (n) => some(n, 'fila en blanco en papel', 'filas en blanco en papel'),
  device: { head: 'Este aparato', gloves: 'guantes', language: 'idioma', english: 'English', spanish: 'español' },
};

const english = { ...en };
// speak puts the words of a language in the place that every screen reads;
// the screens are then drawn anew.
export function speak(lang: Lang): void {
  Object.assign(en, english, lang === 'es' ? crew : {});
}

// lengthen makes every word longer by two fifths and more, as another language
// may be: a test of the room that labels have.
export function lengthen<T>(x: T): T {
  if (typeof x === 'string') return (x + '·' + 'wide '.repeat(Math.ceil(x.length * 0.4 / 5)).slice(0, Math.ceil(x.length * 0.4))) as T;
  if (typeof x === 'function') return ((...a: unknown[]) => lengthen((x as unknown as (...a: unknown[]) => unknown)(...a))) as T;
  if (x && typeof x === 'object') for (const k of Object.keys(x)) (x as Record<string, unknown>)[k] = lengthen((x as Record<string, unknown>)[k]);
  return x;
}

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
  'wanted, to the conductor or the centerline': 'pedida, al conductor o al eje', read: 'leída', piece: 'pieza', cut: 'corte', 'mark: arc from': 'marca: arco desde', 'arc to': 'arco hasta', bend: 'curva', turn: 'giro',
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
const shapes: [RegExp, string][] = [
  [/^(.+) from post (\d+), (.+) from post (\d+), on the (left|right) going from post (\d+) to post (\d+)$/, '$1 del poste $2, $3 del poste $4, a la $5 yendo del poste $6 al poste $7'],
  [/^(.+) from post (\d+), (.+) from post (\d+)$/, '$1 del poste $2, $3 del poste $4'],
  [/^(tap|cable-to-rod|cable-to-pipe|cable-to-flat|inline splice|two-hole lug), (.+) to (.+)$/, '$1, $2 a $3'],
  [/^(\S+) deep$/, '$1 de profundidad'],
  [/^mold (\d+)$/, 'molde $1'],
  [/^ring, side (\d+)$/, 'anillo, lado $1'],
  [/^ring (\S+)$/, 'anillo $1'],
  [/^dry mold (\d+) and its conductor: first shot of the day\. Again after 20 min idle, after rain, on wet ground, and for every other mold before its own first shot; not otherwise$/, 'seque el molde $1 y su conductor: primer disparo del día. Otra vez tras 20 min parado, tras la lluvia, en suelo mojado, y cada otro molde antes de su primer disparo; si no, no'],
  [/^see first: (.+) go on a conductor told only\. Uncover it, measure it, meter it, then pick the mold$/, 'ver primero: $1 van sobre un conductor del que solo se sabe de palabra. Descúbralo, mídalo, pruébelo con medidor y luego elija el molde'],
  [/^(.+): sticks and factory bends are set as the bend sheet lists them$/, '$1: los tramos y las curvas de fábrica se colocan como dice la hoja de curvas'],
  [/^(\d+) joints to fire with (\d+) kinds of mold, (\d+) rods to drive$/, '$1 uniones por disparar con $2 clases de molde, $3 varillas por hincar'],
  [/^(\d+) sticks to set in (\d+) runs, (\d+) of them bent on site$/, '$1 tramos por colocar en $2 corridas, $3 de ellos doblados en sitio'],
  [/^cut longer than the takeoff, out of the spare, because the tap sits beside the nearest place on the ring: (.+)$/, 'corte más largo que lo medido, de la reserva, porque la derivación queda al lado del punto más cercano del anillo: $1'],
  [/^Bend sheet, (.+)$/, 'Hoja de curvas, $1'],
  [/^Pull card: (.+), start to end$/, 'Tarjeta de jalado: $1, de inicio a fin'],
];
const small: Record<string, string> = { left: 'izquierda', right: 'derecha', ring: 'anillo' };

// spanish says a line of the work room in Spanish, or as it stands where it
// has no words for it. Figures and ids are never touched.
export function spanish(s: string): string {
  const whole = es[s];
  if (whole !== undefined) return whole;
  const cut = s.indexOf(': ');
  if (cut > 0) {
    const a = es[s.slice(0, cut)];
    const b = es[s.slice(cut + 2)];
    if (a !== undefined && b !== undefined) return `${a}: ${b}`;
  }
  for (const [shape, to] of shapes) {
    const m = shape.exec(s);
    if (m) return to.replace(/\$(\d)/g, (_, n: string) => { const g = m[Number(n)] ?? ''; return es[g] ?? small[g] ?? g; });
  }
  return s;
}
