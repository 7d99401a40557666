package diag

// Code names a kind of diag. Codes are public: scripts grep for them, so the
// list is append-only and none is ever reused for something else.
type Code string

// The codes, each with an example of what it is about. Append at the end.
const (
	Syntax        Code = "syntax"         // the file is not readable YAML
	TooBig        Code = "too-big"        // over 2 MiB, 2,000 keys in one map, or 64 deep
	Alias         Code = "alias"          // &anchor and *alias are not taken
	KeyUnknown    Code = "key-unknown"    // "dept: 30 in"
	KeyTwice      Code = "key-twice"      // the same key twice in one map
	KeyMissing    Code = "key-missing"    // a ring without a depth
	WrongShape    Code = "wrong-shape"    // a list where one value is wanted
	UnitMissing   Code = "unit-missing"   // "depth: 30"
	UnitWrong     Code = "unit-wrong"     // "depth: 30 ohm"
	NotANumber    Code = "not-a-number"   // "depth: deep in"
	NotFinite     Code = "not-finite"     // NaN, infinity, 1e300
	OutOfRange    Code = "out-of-range"   // a thing no compound has: a 4,000 ft rod
	NotPositive   Code = "not-positive"   // a depth of -30 in, a layer of 0 ohm-m
	WordUnknown   Code = "word-unknown"   // "kind: fense"
	RefUnknown    Code = "ref-unknown"    // a whip to a thing that does not exist
	Twice         Code = "twice"          // two objects with one id
	CrossesItself Code = "crosses-itself" // a ring or an outline that crosses itself
	ZeroLength    Code = "zero-length"    // a side, run or whip of no length
	AboveGrade    Code = "above-grade"    // a rod or ring above finished grade
	DoesNotFit    Code = "does-not-fit"   // bends that need more straight than there is
	Crossing      Code = "crossing"       // two runs through the same place
	Contradiction Code = "contradiction"  // two entries that cannot both be true
	NotEvaluated  Code = "not-evaluated"  // left out because of another diag
	Unit          Code = "unit"           // a bare coordinate without a grid
	Touching      Code = "touching"       // metal that touches without a joint
	FileMissing   Code = "file-missing"   // a file the document names is not there
	TooMany       Code = "too-many"       // over 200 things are wrong; the rest is not listed
	AtBoundary    Code = "at-boundary"    // a ring that lies exactly on the boundary of two layers
	OffLine       Code = "off-line"       // a gate whose post does not stand on the fence line
	FormatNew     Code = "format-new"     // "format: 2": written for a later program
)
