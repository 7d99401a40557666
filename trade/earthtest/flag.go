package earthtest

import (
	"strings"

	"stubup/base/cite"
)

// Kind is what may be wrong with a test.
type Kind int

// Kinds. What an entry does to the verdict is in its Effect.
const (
	// What the reading is of.
	OthersOn      Kind = iota // a neutral, tower or pipe was on: installed, combined
	OthersUnasked             // nobody said whether one was
	SeemsBonded               // reads far under what was predicted
	FarAbove                  // reads far over it
	TrenchOpen
	TrenchUnasked

	// Weather and soil.
	RainRecent
	RainUnasked
	Wetted
	Frozen
	FrostUnasked

	// The meter.
	CalibrationExpired
	CalibrationUnasked
	StrayHigh

	// The line.
	ZeroNotStated
	LeadShort
	DiagonalUnknown
	ClippedAtCorner
	NoPlateau
	PlateauUnknown
	SlopeUnread
	SlopeOutside
	Falls
	ShapeOdd
	LinesDisagree
	OneLineOnly

	// What the rules do here.
	RulesReadLow
	RulesReadHigh
	RulesDisagree
	RecipeKept
	NoValue
	NoLimit

	// Clamp-on.
	ClampWhere
	ClampLoop
	ClampIsolated
	ClampMulti
	ClampNotTaken
)

// Effect is what a flag does.
type Effect int

// Effects, the gravest first.
const (
	Withholds Effect = iota // no verdict while it stands
	Warns
	Notes
)

func (e Effect) String() string { return [...]string{"withholds", "warns", "notes"}[e] }

// kinds holds the effect and the words of every kind, without figures.
var kinds = [...]struct {
	effect Effect
	words  string
	ask    string
	retest bool
}{
	OthersOn:      {Withholds, "other grounds were connected: valid only as installed, combined; an inspector may take it as that, never as the resistance of this electrode", "disconnect them, by leave of who owns them, and read again", true},
	OthersUnasked: {Withholds, "no word on what was connected", "was a neutral, tower, pipe or fence still on? no curve can show it", false},
	SeemsBonded:   {Withholds, "reads far below the prediction", "is a neutral, tower or pipe still on?", true},
	FarAbove:      {Warns, "reads far above the prediction", "is the ring cut, a stake dry, or the soil another than surveyed? read milliohms between whips", false},
	TrenchOpen:    {Withholds, "open trench, reads high: never acceptance", "read again after backfill and tamping", true},
	TrenchUnasked: {Warns, "no word on the trench", "open or backfilled?", false},

	RainRecent:  {Withholds, "too soon after rain: kept as information", "read again at the time shown", true},
	RainUnasked: {Withholds, "the spec asks for time after rain and none is given", "when did the last rain end?", false},
	Wetted:      {Withholds, "the ground was wetted for the test: void", "read again in ground nobody wetted", true},
	Frozen:      {Withholds, "frozen ground: neither a pass nor a failure, and never corrected to a pass", "read again when the ground has thawed", true},
	FrostUnasked: {
		Notes, "no word on frost", "was the ground frozen, and how deep?",
		false,
	},

	CalibrationExpired: {Withholds, "the meter's calibration ended before the first reading", "read again with a meter in calibration", true},
	CalibrationUnasked: {Notes, "no calibration date", "write it from the meter's label", false},
	StrayHigh:          {Warns, "stray voltage over what the meter takes", "find what makes it, or use another frequency", false},

	ZeroNotStated:   {Withholds, "nobody said where the zero of the tape is", "edge, corner or center? it moves a reading by a seventh", false},
	LeadShort:       {Warns, "lead too short for the 62 % rule", "a second line, longer or in another direction", false},
	DiagonalUnknown: {Notes, "the size of the electrode is not given: whether the lead is long enough cannot be told", "give the diagonal", false},
	ClippedAtCorner: {Warns, "clipped at a corner: reads higher than from a side", "clip in the middle of a side where the site allows", false},
	NoPlateau:       {Warns, "no flat part: the 62 % value is not valid", "a longer lead, or the slope method", false},
	PlateauUnknown:  {Warns, "too few readings to see whether there is a flat part", "read at 52, 62 and 72 % of the lead", false},
	SlopeUnread:     {Warns, "too few readings for the slope method", "read at the places shown", false},
	SlopeOutside:    {Warns, "slope outside the printed tables", "a longer lead", false},
	Falls:           {Warns, "the readings fall with distance", "a stake in bad contact, or buried metal along the line?", false},
	ShapeOdd:        {Withholds, "the readings do not run as this electrode in this soil would", "buried metal, a bonded utility, or a stake not where it is written?", false},
	LinesDisagree:   {Withholds, "the lines disagree by more than both bands: never an average", "buried metal or a bonded utility along one of them? a third line", false},
	OneLineOnly:     {Notes, "one line only", "a second line in another direction would show buried metal", false},

	RulesReadLow:  {Warns, "the rules read low here: the risk is a false pass", "", false},
	RulesReadHigh: {Notes, "the rules read high here: the risk is a false failure", "", false},
	RulesDisagree: {Withholds, "a rule's value is on the other side of the limit, outside the fitted band", "a second line, or a longer one", false},
	RecipeKept:    {Notes, "readings kept as the owner's recipe asks", "", false},
	NoValue:       {Withholds, "no value is valid", "read at the places shown", false},
	NoLimit:       {Withholds, "no limit is given", "which limit, and whose?", false},

	ClampWhere:    {Withholds, "no word on what the clamp was around and where that current returns", "around which conductor, and through what does the current come back?", false},
	ClampLoop:     {Withholds, "clamped in a loop of metal: it reads copper, not earth", "a three-pole test", true},
	ClampIsolated: {Withholds, "clamp-on at an isolated electrode: no path back, no reading of it", "a three-pole test", true},
	ClampMulti:    {Warns, "the reading holds the rest of the grounding in series: it lies above the electrode's own", "", false},
	ClampNotTaken: {Withholds, "the spec is not known to take a clamp-on reading", "does it? else a three-pole test", false},
}

// Effect returns what the kind does.
func (k Kind) Effect() Effect { return kinds[k].effect }

// Words returns what the kind says, without figures.
func (k Kind) Words() string { return kinds[k].words }

// Ask returns the question or the next step it asks for; "" for none.
func (k Kind) Ask() string { return kinds[k].ask }

// Retest reports whether a flag of the kind opens a retest.
func (k Kind) Retest() bool { return kinds[k].retest }

// Kinds lists every kind.
func Kinds() []Kind {
	out := make([]Kind, len(kinds))
	for i := range out {
		out[i] = Kind(i)
	}
	return out
}

// Cite returns where the kind's figure or habit is from.
func (k Kind) Cite() cite.Ref {
	switch k {
	case LeadShort, DiagonalUnknown:
		return figureCite("lead.diagonals")
	case NoPlateau, PlateauUnknown:
		return figureCite("plateau.spread")
	case SlopeOutside:
		return figureCite("slope.mu.most")
	case SlopeUnread:
		return tagg
	case RulesReadLow, RulesReadHigh, RulesDisagree, ShapeOdd, SeemsBonded, FarAbove:
		return cite.Ref{Work: "the model of this electrode", Place: "field solution in layered soil", Seen: cite.Derived}
	}
	return cite.Practice
}

// Flag is one kind with its figures.
type Flag struct {
	Kind   Kind
	Effect Effect
	Detail string // figures in words; "" for none
}

// Text returns the whole of it in one line.
func (f Flag) Text() string {
	w := f.Kind.Words()
	if f.Detail != "" {
		w += " (" + f.Detail + ")"
	}
	if a := f.Kind.Ask(); a != "" {
		w += "; " + strings.TrimSuffix(a, ".")
	}
	return w
}
