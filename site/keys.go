package site

// Key is one key that a map of the document may have.
type Key struct {
	Name  string
	Value string // what is written after the colon, in words
	Note  string // what it is for
	Need  bool   // a diag where it is missing
}

// Shape is one kind of map in the document. The decoder takes no key that is
// not listed here, and docs/format.md prints the list.
type Shape struct {
	Name string // where it stands: "ground.ring"
	Note string
	Keys []Key
}

// Shapes lists every map of the document, in the order of the document. The
// maps whose keys are the person's own (objects, runs, feeders, prices, hours,
// numbers) are described by what stands under one such key.
func Shapes() []Shape { return shapes }

var shapes = []Shape{
	{"document", "The top of the file.", []Key{
		{"format", "1", "the version of this document language", true},
		{"name", "text", "what the site is called", true},
		{"revision", "text", "printed in the title block: \"C\"", false},
		{"by", "text", "who drew it up", false},
		{"units", "us | si", "which units are printed first", false},
		{"grid", "ft | m", "the unit of coordinates written without one", false},
		{"governs", "map", "which work the site stands under", false},
		{"adopted", "list of \"id edition\"", "the works that the site adopts: nfpa-70, nfpa-780, nesc, iec-62305-3, mil-hdbk-419a, tia-569, good-practice", false},
		{"owner", "map", "what the owner asks beyond them", false},
		{"soil", "map", "what is known of the ground", false},
		{"objects", "map of id: map", "the things on the site", false},
		{"ground", "map", "the grounding that is wanted", false},
		{"runs", "map of id: map", "the raceways, each from end to end", false},
		{"benders", "list of maps", "the benders at hand, one entry for each shoe", false},
		{"state", "map", "how far the work is", false},
		{"tests", "list of maps", "earth tests, taken or to be taken", false},
		{"continuity", "list of maps", "readings of the metal between two points", false},
		{"fault", "map", "the ground fault that the supply can feed, as somebody who may has stated it", false},
		{"transfer", "map", "the transfer switch of a generator", false},
		{"feeders", "map of id: map", "feeders to be sized", false},
		{"supplies", "map", "what the supplier and the molds at hand say", false},
		{"prices", "map of item: price", "what the supplier quoted: \"12.50 each\", \"1.10 per ft\", \"40 per pack\"", false},
		{"hours", "map of work: time", "what a piece of work takes this crew: \"welded joint: 25 min each\", \"trench: 3 min per ft\", \"driven rod: 4 min per ft\"", false},
		{"waivers", "list of maps", "broken rules that were set aside, by whom and why", false},
		{"numbers", "map of key: id", "the numbers given to points; written by the program, \"R3\" or \"retired R3\"", false},
	}},
	{"governs", "Which work each part of the site stands under.", []Key{
		{"work", "nfpa-70 | nesc | other", "the work that governs", false},
		{"boundary", "list of points", "outline of the ground under the utility's own rules", false},
		{"note", "text", "who said so", false},
	}},
	{"owner", "The owner's own rules.", []Key{
		{"name", "text", "the owner's standard", false},
		{"rules", "list of maps", "one rule each", false},
	}},
	{"owner.rules[]", "One rule of the owner: exactly one of the rule keys, and its source.", []Key{
		{"resistance-limit", "resistance", "the most that the whole may read: \"5 ohm\"", false},
		{"ring-depth", "length", "the least depth of the ring", false},
		{"bend-sum", "angle", "the most degrees of bend between pull points", false},
		{"run-length", "length", "the longest run between pull points", false},
		{"bend-radius", "number or length", "the least radius: times the inside diameter, or a length", false},
		{"conduit-bodies", "yes | no", "whether conduit bodies are allowed", false},
		{"fence-bond", "\"every post\" | \"every 5th post\" | length", "how often the fence is bonded", false},
		{"ring-clearance", "length", "the least distance of the ring from other things", false},
		{"splices", "yes | no", "whether inline splices are allowed", false},
		{"dry-before-test", "time", "how long after rain a test counts: \"48 h\"", false},
		{"pull-boxes", "words", "where they may be: \"straights only\"", false},
		{"rod-spacing", "length", "the least distance between rods", false},
		{"trench-along", "words", "what the trench keeps to", false},
		{"margin", "share", "how far under the limit the design is to be: \"10 %\"", false},
		{"source", "text", "where the owner says so", true},
		{"service", "fiber | power | generator | control | service | communication", "limits the rule to one service", false},
	}},
	{"soil", "What is known of the ground.", []Key{
		{"layers", "list of maps", "layers from the top down", false},
		{"readings", "list of maps", "four-pin readings", false},
		{"standing", "measured | entered | assumed", "how the layers came to be known", false},
		{"source", "text", "where the figures are from", false},
		{"frost", "length", "local frost depth", false},
		{"frozen-times", "number", "how many times the resistivity rises as the soil freezes, where it is known: 10", false},
		{"dry-depth", "length", "how deep the dry season dries the soil, where it is known", false},
		{"dry-times", "number", "how many times the resistivity rises as that dries: 3", false},
		{"season", "usual | wet | dry | frozen", "how the ground was at the survey", false},
		{"surveyed", "date", "of the survey", false},
		{"rock", "length", "depth of a rock face that no rod passes", false},
	}},
	{"soil.layers[]", "One layer of soil. The last has no thickness.", []Key{
		{"resistivity", "resistivity", "\"100 ohm-m\"", true},
		{"thickness", "length", "of every layer but the last", false},
	}},
	{"soil.readings[]", "One four-pin reading.", []Key{
		{"line", "text", "readings of one survey line belong together", false},
		{"spacing", "length", "between neighboring pins", true},
		{"ohms", "resistance", "what the meter showed", true},
	}},
	{"objects.*", "A thing on the site. Its place is given by corners, at, path, legs or lugs.", []Key{
		{"kind", "pad | platform | shelter | fence | generator | equipment | frame | bar | service | tower | mast | wall | handhole | box | utility | ring | trench | other", "what it is", true},
		{"name", "text", "for print; the id's words where left out", false},
		{"existing", "seen today | told only | abandoned in place | removed", "of a thing that is there already; left out, it is new", false},
		{"corners", "list of points", "its outline, or the line of a fence", false},
		{"at", "point", "of a thing drawn as a point", false},
		{"path", "list of points", "of a trench, a utility or a wall", false},
		{"height", "length", "above grade", false},
		{"depth", "length", "of an existing ring, a trench or a utility, below grade", false},
		{"width", "length", "of a trench, or the thickness of a wall", false},
		{"size", "[length, width, depth]", "inside, of a box or handhole", false},
		{"steel", "yes | no", "metal that is to be bonded", false},
		{"posts", "map", "of a fence", false},
		{"gates", "list of maps", "of a fence", false},
		{"over-1000-v", "yes | no", "whether the fence encloses exposed parts over 1000 V", false},
		{"legs", "list of points", "posts of a frame", false},
		{"lugs", "list of points", "bonding lugs", false},
		{"taps", "list of points", "places on an existing ring where it is joined", false},
		{"od", "length", "outside diameter of the legs", false},
		{"conductor", "conductor", "of an existing ring", false},
		{"working-space", "map", "of equipment with live parts", false},
		{"openings", "list of maps", "doors, windows and cores of a wall", false},
		{"rated", "yes | no", "a fire-rated wall", false},
		{"service", "text", "of a utility: electric, communication, gas, water, sewer", false},
		{"band", "length", "tolerance on each side of a located utility, by state", false},
	}},
	{"objects.*.working-space", "The room that is kept clear in front of live parts.", []Key{
		{"faces", "north | south | east | west", "to which side it is opened and worked on", true},
		{"volts-to-ground", "voltage", "the highest in it", true},
		{"condition", "1 | 2 | 3", "what is across: 1 nothing live or grounded, 2 grounded (concrete, brick and tile are), 3 live", false},
	}},
	{"objects.*.posts", "The posts of a fence.", []Key{
		{"corner", "length", "outside diameter of a corner post", false},
		{"gate", "length", "outside diameter of a gate post", false},
		{"line", "length", "outside diameter of a line post", false},
		{"spacing", "length", "the most between two posts", false},
		{"at", "list of points", "where the line posts stand, instead of spacing", false},
	}},
	{"objects.*.gates[]", "An opening in a fence.", []Key{
		{"from", "point", "one gate post, on the fence line", true},
		{"to", "point", "the other", true},
		{"leaves", "1 | 2", "leaves of the gate", false},
	}},
	{"objects.*.openings[]", "A hole in a wall.", []Key{
		{"id", "text", "its name", true},
		{"core", "yes | no", "drilled for a run", false},
		{"at", "point", "its middle in plan", true},
		{"z", "length", "its middle above grade", false},
		{"size", "length", "core diameter, or width", false},
	}},
	{"ground", "The grounding that is wanted.", []Key{
		{"conductor", "conductor", "\"2 AWG solid tinned copper\"", false},
		{"stub-up", "length", "how much of a whip stands above grade", false},
		{"ring", "map", "the buried loop", false},
		{"rods", "map", "the driven rods", false},
		{"whips", "list of maps", "tails from the ring to things above grade", false},
		{"radials", "list of maps", "bare conductors out from the ring", false},
		{"jumpers", "list of maps", "flexible jumpers", false},
	}},
	{"ground.ring", "The buried loop: exactly one of inside, around, points, along.", []Key{
		{"inside", "id of a fence", "at distance inside it", false},
		{"around", "id, or list of ids", "at distance around all of them", false},
		{"points", "list of points", "its corners", false},
		{"along", "id of a trench", "in its middle", false},
		{"distance", "length", "with inside or around", false},
		{"depth", "length", "below finished grade", true},
		{"corner-radius", "length", "how the conductor is bent at a corner", false},
		{"conductor", "conductor", "where it differs from the rest", false},
		{"pieces", "number", "pieces that the ring is laid in", false},
	}},
	{"ground.rods", "The driven rods; their tops are at ring depth.", []Key{
		{"diameter", "length", "\"5/8 in\"", true},
		{"length", "length", "of the whole rod", true},
		{"section", "length", "of one section of a sectional rod", false},
		{"places", "list of corners | mids | {spacing: 16 ft} | point", "where they stand on the ring", true},
	}},
	{"ground.rods.places[]", "Rods along the ring.", []Key{
		{"spacing", "length", "at most this far apart", true},
	}},
	{"ground.whips[]", "One kind of whip.", []Key{
		{"to", "whip phrase", "\"fence corner posts\", \"2 for the generator\"", true},
		{"end", "pipe | flat | lug | tap", "how its upper end is joined", true},
		{"od", "length", "outside diameter of what it is joined to, where the object does not say", false},
		{"conductor", "conductor", "where it differs from the rest", false},
	}},
	{"ground.radials[]", "A bare conductor out from the ring: toward a point, or outward.", []Key{
		{"from", "point", "on the ring", true},
		{"toward", "point, or outward", "where it runs to", false},
		{"outward", "yes | no", "away from the ring along the corner's diagonal", false},
		{"length", "length", "of the radial", true},
		{"end-rod", "yes | no", "a rod at its far end", false},
	}},
	{"ground.jumpers[]", "Flexible jumpers.", []Key{
		{"gates of", "id of a fence", "one for each gate leaf", true},
	}},
	{"runs.*", "A raceway from end to end.", []Key{
		{"service", "fiber | power | generator | control | service | communication", "what it is for", true},
		{"raceway", "kind and trade size", "\"PVC-40 2 in\"", true},
		{"stick", "length", "stock length, where it is not the usual one", false},
		{"bender", "name of a bender", "that bends it, where more than one could", false},
		{"carries", "list", "\"3 x 3/0 THWN-2\", \"1 x 6 THWN-2 egc\", \"1 x 8 bare egc\", or maps", false},
		{"from", "text or id", "where it begins", false},
		{"to", "text or id", "where it ends", false},
		{"start", "[x, y, z]", "the place where it begins; z is up", false},
		{"heading", "north | east | south | west | up | down | \"N 45 E\" | \"toward [x, y]\"", "of the first straight", false},
		{"temperatures", "\"-10..110 F\"", "coldest and hottest air, for expansion", false},
		{"install", "temperature", "of the pipe when it is set", false},
		{"pull", "map", "how its cable is pulled", false},
		{"path", "list of steps", "what it does, in order from its start", false},
	}},
	{"runs.*.carries[]", "A cable with an outside diameter of its own, by its data sheet.", []Key{
		{"cable", "text", "its name", true},
		{"count", "number", "how many; 1 where left out", false},
		{"od", "length", "outside diameter", true},
		{"weight", "mass by length", "\"0.12 lb/ft\"", false},
		{"min-radius", "length", "least bend radius while it is pulled", false},
		{"fiber", "yes | no", "an optical fiber cable", false},
		{"tension", "force", "the most that it may be pulled with, by its data sheet: \"600 lbf\"", false},
		{"sidewall", "force by length", "the most that a bend may press on it: \"300 lbf/ft\"", false},
	}},
	{"runs.*.pull", "How the cable of a run is pulled. What is left out is not taken for granted: the card then says what is missing.", []Key{
		{"lubricant", "yes | no", "the friction is then a range, or that of dry cable", false},
		{"friction", "number", "where it is known better: 0.25", false},
		{"held-by", "pulling eye | basket grip", "how the line holds the cable", false},
		{"back", "force", "tension off the reel", false},
		{"reel-turn", "angle", "between the reel and the mouth of the raceway", false},
		{"reel-radius", "length", "of the sheave or tube that turns it", false},
		{"gear", "force", "rating of the weakest of puller, line and swivel", false},
		{"group-share", "share", "of the summed limits where more than three conductors are pulled: \"80 %\"", false},
		{"innerduct", "length", "inside diameter of the innerduct that it is pulled into", false},
	}},
	{"runs.*.path[] straight", "A straight, tangent to tangent.", []Key{
		{"straight", "length", "", true},
		{"in", "trench | wall | roof | strut | slab | driveway | indoor | air", "where it runs", false},
		{"sun", "yes | no", "in direct sun", false},
		{"clear", "length", "height above a roof", false},
		{"ribbon", "yes | no", "a warning ribbon lies above it, where it is buried", false},
	}},
	{"runs.*.path[] bend", "A bend.", []Key{
		{"bend", "angle and side", "\"45 left\"; sides: left, right, up, down, north, east, south, west", true},
		{"radius", "length", "to the centerline", false},
		{"made", "factory | field | sweep | heated", "how it is made", false},
		{"bender", "name of a bender", "where it is not the run's", false},
	}},
	{"runs.*.path[] offset", "Two equal and opposite bends.", []Key{
		{"offset", "depth and side", "\"12 in up\"", true},
		{"roll", "depth and side", "with a roll too, square to the depth: \"6 in left\"", false},
		{"angle", "angle", "of each bend", false},
		{"radius", "length", "to the centerline", false},
		{"made", "factory | field | sweep | heated", "how it is made", false},
		{"bender", "name of a bender", "where it is not the run's", false},
	}},
	{"runs.*.path[] saddle", "Over an obstacle and back.", []Key{
		{"saddle", "depth and side", "\"4 in up\"", true},
		{"angle", "angle", "of the middle bend of three, or of each of four", false},
		{"bends", "3 | 4", "bends in it", false},
		{"radius", "length", "to the centerline", false},
		{"made", "factory | field | sweep | heated", "how it is made", false},
		{"bender", "name of a bender", "where it is not the run's", false},
	}},
	{"runs.*.path[] handhole", "A handhole: the id of an object, or {size: [..]}.", []Key{
		{"handhole", "id, or map", "", true},
		{"turns", "side", "the cable turns in it, to this side", false},
	}},
	{"runs.*.path[] box", "A pull box: the id of an object, or {size: [..]}.", []Key{
		{"box", "id, or map", "", true},
		{"turns", "side", "the run leaves it to this side", false},
	}},
	{"runs.*.path[] size", "A box or handhole without an object of its own.", []Key{
		{"size", "[length, width, depth]", "inside", true},
	}},
	{"runs.*.path[] body", "A conduit body.", []Key{
		{"body", "LB | LL | LR | T | C", "its letters", true},
		{"turns", "side", "which way the run goes on", false},
	}},
	{"runs.*.path[] wall", "An entry through a wall.", []Key{
		{"wall", "id of a wall", "", true},
		{"core", "length", "diameter of the hole", false},
		{"slopes-out", "yes | no", "it drains to the outside", false},
		{"firestop", "words", "the listed system, as its label says; \"none\" where there is none yet", false},
	}},
	{"runs.*.path[] expansion", "An expansion fitting.", []Key{
		{"expansion", "length", "its travel", true},
		{"jumper", "yes | no | listed", "a bonding jumper across it, in metal; \"listed\" where its listing asks for none", false},
	}},
	{"benders[]", "One shoe of a bender, by its own figures. Nothing here has a default.", []Key{
		{"name", "text", "\"hand bender\"", true},
		{"raceway", "kind and trade size", "\"EMT 1 in\"", true},
		{"radius", "length", "that it bends to, at the centerline", false},
		{"take-up", "length", "of a 90 degree stub: back of the bend to the arrow", false},
		{"arrow", "length", "start of the bend back to the arrow, instead of a take-up; below zero where it lies in the bend", false},
		{"marks", "list of angles", "that the shoe has a mark for: [10, 22.5, 30, 45, 60, 90]", false},
		{"end", "length", "the least pipe between an end and a bend", false},
		{"between", "length", "the least pipe between two bends", false},
	}},
	{"state", "How far the work is.", []Key{
		{"as-of", "time", "\"2026-05-04T07:30:00-05:00\"", false},
		{"laid", "list of maps", "runs that are laid, to a station", false},
		{"open", "list of maps", "trench that is open, to a station", false},
		{"rods", "list of maps", "what became of a rod", false},
		{"ticket", "map", "the dig ticket", false},
	}},
	{"state.laid[]", "A run laid to a station.", []Key{
		{"run", "id of a run", "", true},
		{"to", "length", "from the run's start", true},
	}},
	{"state.open[]", "Trench open to a station.", []Key{
		{"run", "id of a run", "", true},
		{"to", "length", "from the run's start", true},
		{"width", "length", "of the trench", false},
	}},
	{"state.rods[]", "What became of a rod.", []Key{
		{"rod", "rod number", "\"R1\"", true},
		{"driven", "length", "how much of it went in", false},
		{"refused", "yes | no", "it goes no deeper", false},
		{"lies", "45 | flat", "how it lies instead", false},
		{"tried-45", "yes | no", "45 degrees was tried and logged", false},
		{"log", "list of maps", "what the rod alone read on its way down, joined to nothing", false},
		{"date", "date", "of the driving", false},
		{"temperature", "temperature", "of the ground, where it was taken", false},
	}},
	{"state.rods[].log[]", "One reading of a rod alone while it was driven.", []Key{
		{"driven", "length", "how much of the rod was in the ground", true},
		{"ohms", "resistance", "what the meter showed", true},
	}},
	{"state.ticket", "The dig ticket.", []Key{
		{"number", "text", "", false},
		{"until", "date", "last day that it holds", false},
		{"area", "list of points", "ground that it covers", false},
		{"days", "number", "business days that a change of area takes", false},
	}},
	{"tests[]", "One earth test. Nothing here has a default.", []Key{
		{"id", "text", "its name: \"T1\"", true},
		{"method", "fall-of-potential | clamp-on | two-point", "how it is measured", true},
		{"clip", "point", "where the meter is clipped to the electrode", false},
		{"toward", "point", "a place that the lead runs toward; fall-of-potential only", false},
		{"outer", "length", "the outer stake, from the zero of the tape; fall-of-potential only", false},
		{"zero", "clip | center", "where the zero of the tape is; fall-of-potential only", false},
		{"readings", "list of maps", "what the meter showed", false},
		{"trench", "open | backfilled", "how the trench was", false},
		{"disconnected", "yes | no | unknown", "neutral, tower and pipes were off", false},
		{"rain", "time", "since the last rain: \"20 h\"", false},
		{"frozen", "length", "how deep the ground was frozen; \"0 in\" where it was not", false},
		{"wetted", "yes | no", "the ground was wetted for the test", false},
		{"date", "date", "of the test", false},
		{"calibrated", "date", "the meter's last calibration", false},
		{"around", "words", "which conductor the clamp is around; clamp-on only", false},
		{"asked", "list of lengths", "places of the inner stake that the owner asks for; fall-of-potential only", false},
	}},
	{"tests[].readings[]", "One reading.", []Key{
		{"at", "length", "the inner stake, from the zero of the tape; fall-of-potential only", false},
		{"ohms", "resistance", "what the meter showed", true},
	}},
	{"continuity[]", "One reading of the metal between two numbered points.", []Key{
		{"from", "point number", "\"J4\"", true},
		{"to", "point number", "\"W9\"", true},
		{"ohms", "resistance", "\"3.4 mohm\"", true},
		{"temperature", "temperature", "of the conductor", false},
	}},
	{"transfer", "The transfer switch.", []Key{
		{"opens-neutral", "yes | no | unknown", "whether it opens the neutral", false},
		{"system", "120/240 3-wire | 208Y/120 | 480Y/277", "of the generator and the service", false},
		{"poles", "2 | 3 | 4", "of the switch", false},
		{"bond-found", "text", "neutral-frame bond at the generator as found", false},
		{"bond-left", "text", "the same as left", false},
		{"portable", "yes | no", "a portable set at an inlet", false},
	}},
	{"feeders.*", "A feeder to be sized.", []Key{
		{"run", "id of a run", "that it goes through", false},
		{"amps", "current", "load", false},
		{"ocpd", "current", "rating of its overcurrent device", false},
		{"volts", "voltage", "line to line", true},
		{"phases", "1 | 3", "", true},
		{"length", "length", "one way, where it is not the run's", false},
		{"size", "wire size", "\"3/0 AWG\"", false},
		{"egc", "wire size", "equipment grounding conductor", false},
		{"gec", "wire size", "grounding electrode conductor", false},
		{"aluminum", "yes | no", "aluminum conductors", false},
		{"continuous", "current", "what of the load goes on for three hours or longer", false},
		{"motors", "list of maps", "what of the load are motors", false},
		{"ambient", "temperature", "of the hottest air or soil about the raceway; without it the run's hottest, or the table's 86 F", false},
		{"sets", "number", "sets of conductors in parallel", false},
		{"terminals", "60 C | 75 C | 90 C", "as marked on both ends", false},
		{"drop-limit", "share", "the most voltage drop that is wanted: \"3 %\"", false},
		{"nameplate", "current", "of the generator that feeds it", false},
		{"no-overload", "yes | no", "that generator is built so that it cannot be overloaded", false},
	}},
	{"feeders.*.motors[]", "One motor of the load.", []Key{
		{"amps", "current", "full load, by the code's tables rather than the nameplate", true},
		{"ocpd", "current", "rating of its own branch-circuit device", false},
	}},
	{"fault", "The ground fault at this site. Nothing here has a default; a site with faults from high voltage needs an engineer.", []Key{
		{"current", "current", "symmetrical, through a ground conductor: \"5 kA\"", false},
		{"duration", "time", "until it is cleared: \"0.5 s\"", true},
		{"x-over-r", "number", "of the source; left out, the current has no offset", false},
		{"hertz", "50 | 60", "with x-over-r", false},
		{"earth-current", "current", "what part of it leaves through this ground into the soil", false},
		{"body", "50 kg | 70 kg", "whose tolerable voltages are asked", false},
		{"surface", "resistivity", "of a layer of surface stone, wet", false},
		{"surface-thickness", "length", "of that layer", false},
		{"source", "text", "who stated it", true},
	}},
	{"supplies", "What the supplier and the molds at hand say. Nothing here has a default.", []Key{
		{"molds", "list of maps", "what the molds' own tags say", false},
		{"packs", "list of maps", "pieces to a pack", false},
		{"spare", "share", "spare charges: \"10 %\"", false},
		{"wire-spare", "share", "spare conductor", false},
		{"put-ups", "list of lengths", "conductor lengths that can be had", false},
		{"redo", "share", "joints expected to be done again", false},
		{"mold-life", "number", "shots", false},
		{"expansion-travel", "length", "of the expansion fitting that can be had", false},
	}},
	{"supplies.molds[]", "One mold, by its tag.", []Key{
		{"joint", "tap | splice | rod | pipe | flat | cross", "what it makes", true},
		{"charge", "mass", "\"45 g\", read off the tag", true},
		{"shots", "number", "fired with it so far", false},
	}},
	{"supplies.packs[]", "How many of an item come together.", []Key{
		{"item", "text", "\"charge\", \"45 g charge\", \"lug\"", true},
		{"of", "number", "pieces", true},
	}},
	{"waivers[]", "A broken rule set aside. It is shown at handover and never hides the finding.", []Key{
		{"rule", "rule id", "", true},
		{"who", "text", "who set it aside", true},
		{"why", "text", "", true},
		{"authority", "text", "by what right", true},
	}},
}

// OwnerKeys lists the keys of which a rule of the owner has exactly one.
var OwnerKeys = []string{
	"resistance-limit", "ring-depth", "bend-sum", "run-length", "bend-radius", "conduit-bodies", "fence-bond",
	"ring-clearance", "splices", "dry-before-test", "pull-boxes", "rod-spacing", "trench-along", "margin",
}

// Works lists the ids of the works that a site may adopt.
var Works = []string{"nfpa-70", "nfpa-780", "nesc", "iec-62305-3", "mil-hdbk-419a", "tia-569", "good-practice"}

// Kinds lists the kinds of object.
var Kinds = []Kind{Pad, Platform, Shelter, Fence, Generator, Equipment, Frame, Bar, Service, Tower, Mast, Wall, Handhole, Box, Utility, OldRing, Trench, Other}

// Services lists the services of a run.
var Services = []string{Fiber, Power, Genset, Control, Utility1, Comm}

// RacewayKinds lists the words for a kind of raceway in a document. What each
// of them measures is the trade's business.
var RacewayKinds = []string{"EMT", "RMC", "IMC", "PVC-40", "PVC-80", "PVC-A", "PVC-EB", "ENT", "FMC", "LFMC", "LFNC", "LFNC-A", "LFNC-B", "HDPE", "RTRC"}

// Insulations lists the insulation letters that a conductor in a run may
// have.
var Insulations = []string{"THHN", "THWN", "THWN-2", "THW", "THW-2", "THHW", "TW", "XHHW", "XHHW-2", "XHH", "RHH", "RHW", "RHW-2", "USE-2", "bare"}

var shapeIndex = func() map[string]*Shape {
	m := map[string]*Shape{}
	for i := range shapes {
		m[shapes[i].Name] = &shapes[i]
	}
	return m
}()

func (s *Shape) names() []string {
	out := make([]string, len(s.Keys))
	for i, k := range s.Keys {
		out[i] = k.Name
	}
	return out
}

func (s *Shape) has(key string) bool {
	for _, k := range s.Keys {
		if k.Name == key {
			return true
		}
	}
	return false
}
