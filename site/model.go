package site

import (
	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
)

// Site is the typed view of a document: everything a person wrote, parsed
// once to SI, with the place of each entry. What the document does not say is
// left unset; nothing is filled in here. x is east, y is north, z is up from
// finished grade, and a depth is a positive length down.
type Site struct {
	Name     string
	Revision string // "C"; printed in the title block
	By       string // who drew it up, a role rather than a person in the examples
	Units    unit.System
	Governs  Governs
	Adopted  []Work
	Owner    Profile
	Soil     Soil
	Objects  []Object // in document order
	Ground   Grounding
	Runs     []Run // in document order
	Benders  []Bender
	State    State
	// What was measured, in document order. A test without readings is one
	// still to be taken.
	Tests      []EarthTest
	Continuity []Continuity
	Fault      *Fault
	Transfer   *Transfer
	Feeders    []Feeder
	Supplies   Supplies
	Prices     []Price // in document order
	Hours      []Hours // in document order
	Waivers    []Waiver
	Numbers    []Number   // remembered point numbers, in document order
	Pin        geom.Point // south-west corner of everything drawn is not assumed; unused when zero
}

// Governs says under which work each part of the site stands. Without it the
// answer of every code rule is "cannot tell which works apply".
type Governs struct {
	diag.Span
	Work     string       // id of a work: "nfpa-70", "nesc", "other"; empty when not said
	Boundary geom.Outline // ground under the utility's own rules, where drawn
	Note     string
}

// Work is a body of rules that this site has adopted.
type Work struct {
	diag.Span
	ID      string // "nfpa-70", "nfpa-780", "nesc", "iec-62305-3", "mil-hdbk-419a", "tia-569", "good-practice"
	Edition string // "2023"
}

// Profile is what the owner asks beyond the adopted works: each entry with
// its own source.
type Profile struct {
	diag.Span
	Name  string
	Rules []OwnerRule
}

// OwnerRule is one entry of an owner's profile. Which of the value fields is
// set depends on the key.
type OwnerRule struct {
	_ [0]func() // never compared: no equality is compiled for it

	diag.Span
	Key     string // one of OwnerKeys
	Length  unit.Q[unit.Metre]
	Ohms    unit.Q[unit.Ohm]
	Angle   unit.Q[unit.Degree]
	Time    unit.Q[unit.Second]
	Number  float64 // a plain count or multiple, e.g. 10 (x inside diameter)
	Words   string  // "no", "every 5th post", "at handholes": the text as written
	Service string  // limits the rule to one service; empty for all
	Source  string  // "owner's standard, section 3.2": never empty
}

// Soil is what is known of the ground.
type Soil struct {
	diag.Span
	Layers   []Layer // top down; the last has no thickness
	Readings []Reading
	Standing trace.Standing // of the layers: entered unless the document says assumed or measured
	Source   string
	Frost    unit.Q[unit.Metre] // local frost depth
	Rock     unit.Q[unit.Metre] // depth of a rock face that no rod passes, where known
	// What a season does to the top, where it is known; 0 and unset where
	// nobody said.
	FrozenTimes float64 // resistivity of the frozen top over that of the survey
	DryDepth    unit.Q[unit.Metre]
	DryTimes    float64
	Season      string // of the survey: "usual", "wet", "dry", "frozen"; empty when not said
	Surveyed    string // date, as written
}

// Layer is one layer of soil.
type Layer struct {
	diag.Span
	Resistivity unit.Q[unit.OhmMetre]
	Thickness   unit.Q[unit.Metre] // unset for the last
}

// Reading is one four-pin reading.
type Reading struct {
	diag.Span
	Line    string // which survey line; readings of one line belong together
	Spacing unit.Q[unit.Metre]
	Ohms    unit.Q[unit.Ohm]
}

// Kind is what an object is.
type Kind string

// Kinds of object.
const (
	Pad       Kind = "pad"
	Platform  Kind = "platform"
	Shelter   Kind = "shelter"
	Fence     Kind = "fence"
	Generator Kind = "generator"
	Equipment Kind = "equipment"
	Frame     Kind = "frame" // an H-frame, a cable bridge: steel on legs
	Bar       Kind = "bar"
	Service   Kind = "service"
	Tower     Kind = "tower"
	Mast      Kind = "mast"
	Wall      Kind = "wall"
	Handhole  Kind = "handhole"
	Box       Kind = "box"
	Utility   Kind = "utility" // located by others
	OldRing   Kind = "ring"    // an existing ring
	Trench    Kind = "trench"  // a trench already there
	Other     Kind = "other"
)

// Standing of an existing thing; empty means that it is new work.
type Existing string

// States of existing things.
const (
	New       Existing = ""
	SeenToday Existing = "seen today"
	ToldOnly  Existing = "told only"
	Abandoned Existing = "abandoned in place"
	Removed   Existing = "removed"
)

// Object is a thing on the site.
type Object struct {
	diag.Span
	ID       string
	Kind     Kind
	Name     string // for print; the ID's words where the document gives none
	Existing Existing
	Outline  geom.Outline // corners of a thing with an area, or the fence line
	At       geom.Point   // of a thing drawn as a point
	HasAt    bool
	Path     []geom.Point // of a trench, utility or wall: a polyline
	Height   unit.Q[unit.Metre]
	Depth    unit.Q[unit.Metre]    // of an existing ring, a trench or a utility
	Width    unit.Q[unit.Metre]    // of a trench, or thickness of a wall
	Size     [3]unit.Q[unit.Metre] // length, width, depth of a box or handhole
	Steel    bool                  // metal that is to be bonded

	// Fence.
	Posts     Posts
	Gates     []Gate
	Over1000V *bool // encloses exposed parts over 1000 V; nil when not said

	// Places to bond, each named by what it is.
	Legs []geom.Point       // posts of a frame
	Lugs []geom.Point       // bonding lugs of a generator, bar or service
	Taps []geom.Point       // places on an existing ring where it is joined
	OD   unit.Q[unit.Metre] // of the legs

	// Existing conductor.
	Conductor Conductor

	// Equipment with live parts.
	Work *WorkingSpace

	// Walls.
	Openings []Opening
	Rated    bool // fire-rated: cores need a listed firestop

	// Utility.
	Service string             // electric, communication, gas, water, sewer
	Band    unit.Q[unit.Metre] // tolerance each side, by state
}

// WorkingSpace is the room that is kept clear in front of live parts.
type WorkingSpace struct {
	diag.Span
	Faces     string // north, south, east, west
	Volts     unit.Q[unit.Volt]
	Condition int // 1, 2 or 3; 0 where nobody said what is across
}

// Posts are the posts of a fence. A stretch between two terminal posts
// (corner or gate) is divided evenly so that no space is over Spacing; or the
// line posts stand where Line says.
type Posts struct {
	Corner, LinePost, GatePost unit.Q[unit.Metre] // outside diameters
	Spacing                    unit.Q[unit.Metre]
	Line                       []geom.Point
}

// Gate is an opening in a fence between two gate posts.
type Gate struct {
	diag.Span
	From, To geom.Point
	Leaves   int
}

// Opening is a hole in a wall: a door, a window, or a core drilled for a run.
type Opening struct {
	diag.Span
	ID   string
	Core bool
	At   geom.Point
	Z    unit.Q[unit.Metre] // centre above grade
	Size unit.Q[unit.Metre] // core diameter, or width
}

// Conductor is a bare ground conductor as described in words.
type Conductor struct {
	Size   unit.Wire
	Solid  bool
	Tinned bool
	Text   string
}

// Set reports whether a conductor was written.
func (c Conductor) Set() bool { return c.Size != 0 }

// Grounding is what is wanted of the ground.
type Grounding struct {
	diag.Span
	Conductor Conductor
	Stub      unit.Q[unit.Metre] // whip above grade
	Ring      *Ring
	Rods      *Rods
	Whips     []WhipRule // in document order
	Radials   []Radial
	Jumpers   []JumperRule
}

// Ring is the buried loop. One of Around, Inside, Points, Along is set.
type Ring struct {
	diag.Span
	Around    []string     // objects; hull offset by Distance
	Inside    string       // a fence, at Distance inside it
	Points    []geom.Point // its corners
	Along     string       // a trench object
	Distance  unit.Q[unit.Metre]
	Depth     unit.Q[unit.Metre]
	Corner    unit.Q[unit.Metre] // bend radius at the corners
	Conductor Conductor          // overrides the site's
	Pieces    int                // closing splice plus pieces - 1 inline splices; 0 means 1
}

// Rods are the driven rods.
type Rods struct {
	diag.Span
	Diameter unit.Q[unit.Metre]
	Length   unit.Q[unit.Metre]
	Section  unit.Q[unit.Metre] // length of one section; unset means one piece
	Places   []RodPlace         // in document order
}

// RodPlace says where rods stand. One field is set.
type RodPlace struct {
	diag.Span
	Corners bool
	Mids    bool               // the middle of every side
	Spacing unit.Q[unit.Metre] // along the ring, at most this far apart
	At      geom.Point         // a point, taken to the ring if within a foot of it
	HasAt   bool
}

// EndKind is how the upper end of a whip is joined.
type EndKind string

// End kinds.
const (
	ToPipe EndKind = "pipe" // welded cable to vertical pipe
	ToFlat EndKind = "flat" // welded cable to flat steel
	ToLug  EndKind = "lug"  // two-hole lug, bolted
	ToTap  EndKind = "tap"  // tapped onto an existing buried conductor
)

// WhipRule asks for whips. To is a phrase of Whip grammar, parsed into the
// fields below it.
type WhipRule struct {
	_ [0]func() // never compared: no equality is compiled for it

	diag.Span
	To        string // "every fence post", "platform corners", "2 for the generator"
	Object    string // id of the object
	Which     string // corner posts | gate posts | line posts | posts | corners | legs | lugs | taps
	Every     int    // every n-th line post besides; 0 or 1 means each
	Count     int    // at most this many; 0 means all
	End       EndKind
	OD        unit.Q[unit.Metre] // of the item, where the object does not say
	Conductor Conductor
}

// Radial is a bare conductor out from the ring.
type Radial struct {
	diag.Span
	From    geom.Point
	Toward  geom.Point // a point it runs toward, or
	Outward bool       // along the corner's diagonal, away from the ring
	Length  unit.Q[unit.Metre]
	EndRod  bool
}

// JumperRule asks for flexible jumpers.
type JumperRule struct {
	diag.Span
	Object string // a fence: one jumper for each gate leaf
}

// Service of a run.
const (
	Fiber    = "fiber"
	Power    = "power"
	Genset   = "generator"
	Control  = "control"
	Utility1 = "service"
	Comm     = "communication"
)

// Run is a raceway from end to end.
type Run struct {
	diag.Span
	ID          string // "fiber 1"
	Service     string
	Raceway     string // "PVC-40", as the trade package knows it; checked by plan
	RacewayText string
	Trade       unit.Trade
	Stick       unit.Q[unit.Metre] // stock length; unset means the kind's usual one
	Bender      string             // name of the bender that bends it; empty when not said
	Carries     []Cable
	Start       geom.Point3
	From, To    string      // words, or object ids
	Heading     geom.Point3 // unit vector of the first straight
	Steps       []Step
	Cold, Hot   unit.Q[unit.Celsius] // ambient range, for expansion
	Install     unit.Q[unit.Celsius] // pipe temperature when set
	Edition     string
	Pull        Pull
}

// Pull is how the cable of a run is pulled. What nobody said is unset.
type Pull struct {
	diag.Span
	Lubricant  string // "yes", "no"; empty when not said
	Friction   float64
	HeldBy     string // "pulling eye", "basket grip"
	Back       unit.Q[unit.Newton]
	ReelTurn   unit.Q[unit.Degree]
	ReelRadius unit.Q[unit.Metre]
	Gear       unit.Q[unit.Newton]
	GroupShare unit.Q[unit.Ratio]
	Innerduct  unit.Q[unit.Metre] // inside diameter
}

// Bender is one shoe of a person's own bender, by its own figures.
type Bender struct {
	diag.Span
	Name    string
	Raceway string // "EMT", as the trade package knows it
	Trade   unit.Trade
	Radius  unit.Q[unit.Metre]    // to the centerline
	TakeUp  unit.Q[unit.Metre]    // of a 90 degree stub
	Arrow   unit.Q[unit.Metre]    // start of the bend back to the arrow
	Marks   []unit.Q[unit.Degree] // angles on the shoe, as written
	End     unit.Q[unit.Metre]    // least pipe between an end and a bend
	Between unit.Q[unit.Metre]    // least pipe between two bends
}

// Cable is what a run carries: Count like cables or conductors.
type Cable struct {
	diag.Span
	Count      int
	Size       unit.Wire // of a building wire
	Insulation string    // "THWN-2"; "bare" for a bare conductor
	Name       string    // "fiber, 48 strand": of a cable with its own OD
	OD         unit.Q[unit.Metre]
	Weight     unit.Q[unit.KgPerM]
	MinRadius  unit.Q[unit.Metre] // while pulling, by its data sheet
	Tension    unit.Q[unit.Newton]
	Sidewall   unit.Q[unit.NewtonPerM]
	Fiber      bool
	EGC        bool
	Text       string
}

// StepKind is what a step of a run's path is.
type StepKind string

// Steps of a path.
const (
	Straight  StepKind = "straight"
	Bend      StepKind = "bend"
	Offset    StepKind = "offset"
	Saddle    StepKind = "saddle"
	HandholeS StepKind = "handhole"
	BoxS      StepKind = "box"
	Body      StepKind = "body"
	Entry     StepKind = "wall"
	Expansion StepKind = "expansion"
)

// Step is one step of a run's path, taken in order from its start. Straights
// are tangent to tangent.
type Step struct {
	_ [0]func() // never compared: no equality is compiled for it

	diag.Span
	Kind      StepKind
	Length    unit.Q[unit.Metre]  // of a straight; depth of an offset or saddle; travel of an expansion fitting
	Angle     unit.Q[unit.Degree] // of a bend; of each bend of an offset; of the centre bend of a saddle
	Toward    string              // left, right, up, down, north, east, south, west
	Radius    unit.Q[unit.Metre]  // to the centreline; unset means the least that Table 2 allows
	Made      string              // factory, field, sweep, heated; empty when not said
	Bender    string              // name of the bender, where it is not the run's
	Roll      unit.Q[unit.Metre]  // of a rolling offset
	RollTo    string              // the side of the roll
	Bends     int                 // of a saddle: 3 or 4
	Where     string              // of a straight: trench, wall, roof, strut, slab, driveway, air, indoor
	Sun       bool                // in direct sun
	Clear     unit.Q[unit.Metre]  // above a roof
	Ribbon    string              // a warning ribbon above a buried straight: "yes", "no"; empty when not said
	Letter    string              // of a conduit body: LB, LL, LR, T, C
	Object    string              // handhole, box or wall it meets
	Size      [3]unit.Q[unit.Metre]
	Turns     bool // the cable turns in it (handhole or box entered by a side square to the exit)
	Core      unit.Q[unit.Metre]
	SlopesOut bool
	Firestop  string // the listed system of a wall entry, as its label says; "none" where there is none yet
	Jumper    string // across an expansion fitting: "yes", "no", "listed" (without one); empty when not said
	Volume    unit.Q[unit.Metre]
}

// State is how far the work is.
type State struct {
	diag.Span
	AsOf   string    // RFC 3339, as written
	Laid   []Station // runs laid to a station
	Open   []Station // trench open to a station
	Rods   []RodState
	Ticket Ticket
}

// Station is a place along a run, measured from its start.
type Station struct {
	diag.Span
	Run   string
	To    unit.Q[unit.Metre]
	Width unit.Q[unit.Metre] // of the open trench
}

// RodState is what became of a rod.
type RodState struct {
	diag.Span
	Rod     string // "R1"
	Driven  unit.Q[unit.Metre]
	Refused bool
	How     string // "", "45", "flat": how it lies instead
	Tried45 bool
	// Log is what the rod alone read on its way down, in the order of depth.
	Log         []RodReading
	Date        string // as written
	Temperature unit.Q[unit.Celsius]
}

// RodReading is the resistance of a rod, joined to nothing, with so much of it
// in the ground.
type RodReading struct {
	diag.Span
	Driven unit.Q[unit.Metre]
	Ohms   unit.Q[unit.Ohm]
}

// Ticket is the dig ticket.
type Ticket struct {
	diag.Span
	Number string
	Until  string
	Area   geom.Outline
	Days   float64 // business days for a change of area; 0 when not said
}

// TestMethod is how the resistance to earth was measured.
type TestMethod string

// Methods of an earth test.
const (
	FallOfPotential TestMethod = "fall-of-potential" // a current to an outer stake, a voltage to an inner one on the line to it
	ClampOn         TestMethod = "clamp-on"          // around one conductor, through every other path to earth
	TwoPoint        TestMethod = "two-point"         // against another ground
)

// EarthTest is one test of the whole electrode, or of what a clamp is around.
// Where words are empty or quantities unset, nobody said: nothing here has a
// default, since each of them can make a reading worth nothing.
type EarthTest struct {
	diag.Span
	ID           string // "T1"
	Method       TestMethod
	Clip         geom.Point // where the meter is clipped to the electrode
	HasClip      bool
	Toward       geom.Point // a place that the lead runs toward; never the clip
	HasToward    bool
	Outer        unit.Q[unit.Metre] // distance of the outer stake from the zero of the tape
	Zero         string             // of the tape: "clip", "center" (of the electrode)
	Readings     []EarthReading
	Trench       string              // "open", "backfilled"
	Disconnected string              // neutral, tower and pipes off: "yes", "no", "unknown"
	Rain         unit.Q[unit.Second] // since the last rain
	Frozen       unit.Q[unit.Metre]  // depth of the frozen ground; 0 where it was looked for and there was none
	Wetted       string              // the ground was wetted for the test: "yes", "no"
	Date         string              // as written
	Calibrated   string              // the meter's last calibration, as written
	Around       string              // of a clamp: what it was around
	Asked        []unit.Q[unit.Metre]
}

// EarthReading is what the meter showed, with the inner stake At from the
// zero of the tape; unset with a method that has no stakes.
type EarthReading struct {
	diag.Span
	At   unit.Q[unit.Metre]
	Ohms unit.Q[unit.Ohm]
}

// Continuity is a reading of the metal between two numbered points. Whether
// there are such points is the plan's business.
type Continuity struct {
	diag.Span
	From, To    string // "J4", "W9"
	Ohms        unit.Q[unit.Ohm]
	Temperature unit.Q[unit.Celsius] // of the conductor
}

// Fault is the ground fault that the supply can feed.
type Fault struct {
	_ [0]func() // never compared: no equality is compiled for it

	diag.Span
	Current   unit.Q[unit.Ampere] // symmetrical, rms, through a ground conductor
	Duration  unit.Q[unit.Second]
	XR        float64 // X/R of the source; 0 where not said
	Hertz     float64
	Earth     unit.Q[unit.Ampere] // that leaves through this ground into the soil
	Body      int                 // kg; 0 where not said
	Surface   unit.Q[unit.OhmMetre]
	Thickness unit.Q[unit.Metre] // of the surface stone
	Source    string
}

// Transfer is the transfer switch of a generator.
type Transfer struct {
	diag.Span
	OpensNeutral string // "yes", "no"; empty or "unknown": cannot tell
	System       string // "120/240 3-wire", "208Y/120", "480Y/277"
	Poles        int
	BondFound    string // neutral-frame bond at the generator as found
	BondLeft     string // ... as left
	Portable     bool
}

// Feeder is a feeder to be sized.
type Feeder struct {
	diag.Span
	ID       string
	Run      string
	Amps     unit.Q[unit.Ampere]
	OCPD     unit.Q[unit.Ampere]
	Volts    unit.Q[unit.Volt]
	Phases   int
	Length   unit.Q[unit.Metre]
	Size     unit.Wire
	EGC      unit.Wire
	GEC      unit.Wire
	Aluminum bool

	Continuous unit.Q[unit.Ampere] // of Amps, what goes on for three hours or longer
	Motors     []Motor             // of Amps
	Ambient    unit.Q[unit.Celsius]
	Sets       int // in parallel; 0 is one
	Terminals  int // 60, 75 or 90 C as marked; 0 where nobody looked
	DropLimit  unit.Q[unit.Ratio]
	Nameplate  unit.Q[unit.Ampere] // of the generator that feeds it
	NoOverload bool                // that generator cannot be overloaded
}

// Motor is one motor on a feeder.
type Motor struct {
	diag.Span
	Amps unit.Q[unit.Ampere] // full load, by the code's tables
	OCPD unit.Q[unit.Ampere] // its branch-circuit device
}

// Supplies are the facts of the supplier and of the molds at hand. None has a
// default: a mold's charge is read off its own tag.
type Supplies struct {
	diag.Span
	Molds           []MoldTag
	Packs           []Pack             // pieces to a pack, by item
	Spare           unit.Q[unit.Ratio] // of charges
	WireSpare       unit.Q[unit.Ratio]
	PutUps          []unit.Q[unit.Metre] // conductor lengths that can be had
	Redo            unit.Q[unit.Ratio]   // joints expected to be done again
	MoldLife        int                  // shots
	ExpansionTravel unit.Q[unit.Metre]   // of the expansion fitting that can be had
}

// MoldTag is what a mold's own tag says.
type MoldTag struct {
	diag.Span
	Joint  string // tap, splice, rod, pipe, flat, cross
	Charge unit.Q[unit.Kilogram]
	Shots  int // fired so far
}

// Pack is how many of an item come together.
type Pack struct {
	diag.Span
	Item string // "45 g charge", "lug"
	Of   int
}

// Price is what an item costs, as the supplier quoted it.
type Price struct {
	diag.Span
	Item   string
	Amount float64
	Per    string // "each", "ft", "pack"
}

// Hours is what a piece of work takes this crew.
type Hours struct {
	diag.Span
	Work string // "welded joint", "trench"
	Time unit.Second
	Per  string // "each", "ft", "m"
	Text string
}

// Waiver sets a broken rule aside, by name and authority; it is shown at
// handover and never hides the finding.
type Waiver struct {
	diag.Span
	Rule, Who, Why, Authority string
}

// Number remembers that the point with this key has this id.
type Number struct {
	diag.Span
	Key     string // "rod/ring/corner-2"
	ID      string // "R3"
	Retired bool
}
