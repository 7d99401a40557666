// Package cite says where a figure, a formula or a rule comes from.
//
// Nothing is printed without a citation. A citation also says whether the
// text was read or only remembered, because a figure from memory must say so
// beside every result that leans on it.
package cite

import "strings"

// Seen says how well a source is known.
type Seen int

// The order matters: a result is known only as well as the worst of its sources.
const (
	Read       Seen = iota // the printed text, or a faithful copy, was read
	Derived                // follows from stated equations and can be checked here
	FromMemory             // recalled, to be confirmed against print
)

// String returns the words printed beside a figure.
func (s Seen) String() string {
	switch s {
	case Read:
		return "seen"
	case Derived:
		return "derived"
	}
	return "from memory"
}

// Worst returns the less well known of two.
func Worst(a, b Seen) Seen { return max(a, b) }

// Ref is a full citation: the work, its edition, the place in it, and how
// well it is known. Quote nothing here: a place is enough to look it up.
type Ref struct {
	Work    string // "NFPA 70", "IEEE Std 142", "common practice"
	Edition string // "2023"; empty where the work has none
	Place   string // "250.53(F)", "Table 4", "eq. 12"
	Seen    Seen
	Note    string // a doubt or a limit that must travel with it
}

// Practice is the citation of a fact of the trade that no printed source
// backs here.
var Practice = Ref{Work: "common practice, no source", Seen: Derived}

// IsZero reports whether nothing is cited.
func (r Ref) IsZero() bool { return r.Work == "" }

// String returns the citation as it is printed, without its standing:
// "NFPA 70-2023 250.53(F)", "NFPA 70 250.53(F) (2011 to 2023)", "common
// practice, no source: both gate posts bonded".
func (r Ref) String() string {
	s := r.Work
	span := ""
	switch {
	case r.Edition == "":
	case strings.ContainsAny(r.Edition, " -"):
		span = " (" + strings.Replace(r.Edition, "-", " to ", 1) + ")"
	default:
		s += "-" + r.Edition
	}
	if r.Place != "" {
		if r.Work == Practice.Work || strings.HasSuffix(r.Work, "name withheld") {
			s += ":"
		}
		s += " " + r.Place
	}
	return s + span
}

// Full returns the citation with its standing when it is from memory.
func (r Ref) Full() string {
	s := r.String()
	if r.Seen == FromMemory {
		s += " (from memory)"
	}
	return s
}
