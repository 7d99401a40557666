// Package sums holds the named pocket calculations: what is asked on a phone
// or at a prompt, away from any site. Each says what it takes, with units and
// stated defaults, and answers with rows that carry their figures and sources.
//
// It gives quantities and citations, not permission: local code, the
// authority having jurisdiction and a licensed person decide.
package sums

import (
	"fmt"
	"slices"
	"strings"

	"stubup/base/diag"
	"stubup/base/sheet"
	"stubup/base/trace"
	"stubup/base/unit"
)

// Kind says what an input is.
type Kind uint8

// The kinds of input.
const (
	Quantity    Kind = iota // a number with a unit of Dim
	Volume                  // a volume of a box
	Count                   // a whole number
	Number                  // a plain number
	Year                    // the edition of a code
	Choice                  // one of Choices
	YesNo                   // yes or no
	RacewayKind             // a kind of raceway
	TradeSize               // the trade size of a raceway
	TradeSizes              // several of them
	WireSize                // AWG or kcmil
	BareWire                // a bare ground conductor
	Wires                   // counts of wire sizes
	Conductors              // counts of insulated conductors
	Cables                  // counts of cables by their diameter
	Pulls                   // pulls through a box, wall to wall
	Route                   // straights and bends of a raceway, in order
)

// Word is one choice with its meaning.
type Word struct {
	Name  string
	Means string
}

// Input is one thing that a sum is told.
type Input struct {
	Name     string
	Meaning  string
	Kind     Kind
	Dim      unit.Dim // of a Quantity
	Choices  []Word   // of a Choice
	Required bool
	Or       string  // an input that serves in its place: one of the two must be given
	Default  string  // as it would be written; empty: none
	Zero     bool    // zero is allowed
	Many     bool    // may be given several times
	Most     float64 // greatest value, in SI; zero: that of its kind
	Example  string  // empty: not part of the example
}

// Unit says in words what is to be written.
func (in Input) Unit() string {
	switch in.Kind {
	case Quantity:
		return in.Dim.String()
	case Volume:
		return "volume"
	case Count:
		return "whole number"
	case Number:
		return "number without a unit"
	case Year:
		return "year of an edition"
	case Choice:
		return "one of " + in.words()
	case YesNo:
		return "yes or no"
	case RacewayKind:
		return "kind of raceway"
	case TradeSize:
		return "trade size in inches"
	case TradeSizes:
		return "trade sizes in inches"
	case WireSize:
		return "wire size, AWG or kcmil"
	case BareWire:
		return "bare conductor, AWG or kcmil"
	case Wires:
		return "count x wire size, AWG or kcmil"
	case Conductors:
		return "count x wire size and insulation"
	case Cables:
		return "count x diameter"
	case Route:
		return "straights, and bends with their side and radius"
	}
	return "trade size, wall to wall"
}

// Write shows how the input is written.
func (in Input) Write() string {
	switch in.Kind {
	case Quantity:
		return in.Dim.Example()
	case Volume:
		return `"21 in3" or "344 cm3"`
	case Count:
		return `"3"`
	case Number:
		return `"0.85"`
	case Year:
		return `"2023"`
	case Choice:
		return in.words()
	case YesNo:
		return `"yes" or "no"`
	case RacewayKind:
		return `"EMT", "RMC" or "PVC-40"`
	case TradeSize:
		return `"3/4", "2-1/2" or "2.5"`
	case TradeSizes:
		return `"2, 2, 2-1/2"`
	case WireSize:
		return `"2", "#2", "1/0" or "250 kcmil"`
	case BareWire:
		return `"2 AWG solid tinned copper"`
	case Wires:
		return `"4 x 14" or "4 x 14 + 2 x 12"`
	case Conductors:
		return `"3 x 500 THHN + 1 x 3 THHN" or "1 x 8 bare"`
	case Cables:
		return `"2 x 0.44 in"`
	case Route:
		return `"100 ft, 90 left 36 in, 50 ft, 90 up 36 in, 4 ft"`
	}
	return `"3 west to east", "2 west to north" or "2 south spliced"`
}

func (in Input) words() string {
	var w []string
	for _, c := range in.Choices {
		w = append(w, c.Name)
	}
	return strings.Join(w, ", ")
}

// Sum is one named calculation.
type Sum struct {
	Name     string
	What     string // one line
	Inputs   []Input
	Cautions []string // always shown; a result may add its own

	run func(*call)
}

// Entry is one input as it was given: words with their unit, or, from a
// machine, a number in SI.
type Entry struct {
	Name string
	Text string
	SI   float64
	IsSI bool // SI is what was given
}

// Row is one row of a result. Mark says whether a limit holds.
type Row struct {
	*trace.Value
	Mark sheet.Mark
}

// Result is what a sum answers.
type Result struct {
	Sum      *Sum
	Given    []*trace.Value // what was given and what stood in as a default
	Figures  []*trace.Value // table figures that went in
	Rows     []Row
	Notes    []string
	Outside  []string // where the inputs leave the range in which a row holds
	Cautions []string
}

// Fault is one input that cannot be used, and how to mend it.
type Fault struct {
	Input string // empty: all of them together
	What  string
	Mend  string
}

func (f Fault) Error() string {
	s := f.What
	if f.Input != "" {
		s = f.Input + ": " + s
	}
	return s
}

// Faults is everything that is wrong with what was given.
type Faults []Fault

func (fs Faults) Error() string {
	var lines []string
	for _, f := range fs {
		s := f.Error()
		if f.Mend != "" {
			s += "\n  mend: " + f.Mend
		}
		lines = append(lines, s)
	}
	return strings.Join(lines, "\n")
}

// All lists the sums in the order in which they are read: raceways, bends,
// power, grounds, stock.
func All() []*Sum {
	return []*Sum{
		&fillSum, &boxSum, &pullboxSum, &coverSum, &expansionSum,
		&bendSum, &offsetSum, &saddleSum, &kickSum, &rollingSum, &segmentSum, &concentricSum, &pullSum,
		&dropSum, &ampacitySum, &egcSum, &gecSum,
		&rodSum, &ringSum, &sparesSum,
	}
}

// Find returns the sum of a name.
func Find(name string) (*Sum, bool) {
	all := All()
	i := slices.IndexFunc(all, func(s *Sum) bool { return s.Name == name })
	if i < 0 {
		return nil, false
	}
	return all[i], true
}

// Input returns one input by its name.
func (s *Sum) Input(name string) (Input, bool) {
	i := slices.IndexFunc(s.Inputs, func(in Input) bool { return in.Name == name })
	if i < 0 {
		return Input{}, false
	}
	return s.Inputs[i], true
}

// Example returns the example of a sum.
func (s *Sum) Example() []Entry {
	var out []Entry
	for _, in := range s.Inputs {
		if in.Example != "" {
			out = append(out, Entry{Name: in.Name, Text: in.Example})
		}
	}
	return out
}

// Line returns entries as flags of a command line.
func Line(entries []Entry) string {
	var parts []string
	for _, e := range entries {
		t := e.Text
		if strings.ContainsAny(t, "'\"`$&;|<>()#*?\\!") {
			t = `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "`", "\\`", "$", `\$`).Replace(t) + `"`
		}
		parts = append(parts, "--"+e.Name+" "+t)
	}
	return strings.Join(parts, " ")
}

// Run answers a sum. What is wrong with the inputs comes back as Faults.
func (s *Sum) Run(entries []Entry) (*Result, error) {
	c := &call{sum: s, data: map[string]datum{}, vals: map[string]*trace.Value{}, res: &Result{Sum: s, Cautions: slices.Clone(s.Cautions)}}
	c.read(entries)
	if len(c.faults) == 0 {
		s.run(c)
	}
	if len(c.faults) == 0 {
		for _, r := range c.res.Rows {
			if !r.Finite() {
				c.fail("", fmt.Sprintf("%s comes to no finite number", r.Name), "the numbers given are too large or too small for this sum")
				break
			}
		}
	}
	if len(c.faults) > 0 {
		return nil, c.faults
	}
	return c.res, nil
}

// read turns entries into data, in the order of the inputs, and collects what
// is wrong.
func (c *call) read(entries []Entry) {
	given := map[string][]Entry{}
	for _, e := range entries {
		if _, ok := c.sum.Input(e.Name); !ok {
			var names []string
			for _, in := range c.sum.Inputs {
				names = append(names, in.Name)
			}
			mend := "the inputs are " + strings.Join(names, ", ")
			if n, ok := diag.Nearest(e.Name, names); ok {
				mend = fmt.Sprintf("is it %s? %s", n, mend)
			}
			c.fail(e.Name, "is no input of "+c.sum.Name, mend)
			continue
		}
		given[e.Name] = append(given[e.Name], e)
	}
	for _, in := range c.sum.Inputs {
		es := given[in.Name]
		standing := trace.Entered
		switch {
		case len(es) > 1 && !in.Many:
			c.fail(in.Name, "is given twice", "give it once")
			continue
		case len(es) == 0 && in.Default != "":
			es, standing = []Entry{{Name: in.Name, Text: in.Default}}, trace.Default
		case len(es) == 0 && in.Or != "":
			if len(given[in.Or]) == 0 && orderOf(c.sum, in.Name) < orderOf(c.sum, in.Or) {
				c.fail(in.Name, "is missing, and so is "+in.Or, fmt.Sprintf("give one of the two; %s like %s", in.Name, in.Write()))
			}
			continue
		case len(es) == 0:
			if in.Required {
				c.fail(in.Name, "is missing", "write it like "+in.Write())
			}
			continue
		}
		var d datum
		ok := true
		for _, e := range es {
			one, f := in.parse(e)
			if f != nil {
				c.faults = append(c.faults, *f)
				ok = false
				continue
			}
			if d.text != "" {
				one.text = d.text + ", " + one.text
			}
			one.items = append(d.items, one.items...)
			d = one
		}
		if !ok {
			continue
		}
		if len(d.items) > maxItems {
			c.fail(in.Name, fmt.Sprintf("has more than %d members", maxItems), "split it")
			continue
		}
		c.data[in.Name] = d
		v := trace.Input(c.sum.Name+".in."+in.Name, in.Name, d.si, d.unit, d.text, standing, d.cite)
		c.vals[in.Name] = v
		c.res.Given = append(c.res.Given, v)
	}
}

func orderOf(s *Sum, name string) int {
	return slices.IndexFunc(s.Inputs, func(in Input) bool { return in.Name == name })
}
