// Package trace keeps where every printed value comes from.
//
// A Value carries its number in SI, the words a person reads, the formula or
// table that made it, its citation, and the values that went in. Its standing
// is the worst of its inputs, so that a figure computed from an assumed
// resistivity can never pass for a measured one. "Why this number" walks From
// backwards; Ledger.Uses walks forwards.
package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/cite"
)

// Standing says how a value came to be known. Later is worse.
type Standing int

// Standings, best first.
const (
	Measured Standing = iota // read off a tape or a meter on the site
	Entered                  // written by the person in the document
	Default                  // a stated default of this program
	Assumed                  // nobody said so; it must be confirmed
)

var standingWords = []string{"measured", "entered", "default", "assumed"}

// String returns the word that is printed.
func (s Standing) String() string {
	if s < 0 || int(s) >= len(standingWords) {
		return "assumed"
	}
	return standingWords[s]
}

// ParseStanding reads the word that String writes.
func ParseStanding(word string) (Standing, bool) {
	i := slices.Index(standingWords, word)
	return Standing(max(i, 0)), i >= 0
}

// Value is one printed number and its whole descent.
type Value struct {
	Path     string  // "prove.resistance.design": stable, for machines
	Name     string  // "resistance of ring and rods": for people
	SI       float64 // in SI units (degrees for bend angles)
	Unit     string  // "ohm", "m", "ohm-m", "deg"; empty for a count
	Text     string  // as a person reads it: "4.68 ohm"
	Standing Standing
	By       By
	Outside  string // the stated range that the inputs leave, if any
	From     []*Value
}

// By says what made a value: a formula, a table, a solver, or a person.
type By struct {
	ID       string // formula or table id, "ground.rod.driven"
	Equation string // "R = rho/(2 pi L) (ln(4L/a) - 1)"
	Put      string // the same with the numbers put in
	Cite     cite.Ref
}

// Input returns a value that nothing here computed.
func Input(path, name string, si float64, unit, text string, st Standing, c cite.Ref) *Value {
	return &Value{Path: path, Name: name, SI: si, Unit: unit, Text: text, Standing: st, By: By{Cite: c}}
}

// Derive returns a value computed from others: its standing is the worst of
// theirs.
func Derive(path, name string, si float64, unit, text string, by By, from ...*Value) *Value {
	v := &Value{Path: path, Name: name, SI: si, Unit: unit, Text: text, By: by}
	for _, f := range from {
		if f == nil {
			continue
		}
		v.From = append(v.From, f)
		v.Standing = max(v.Standing, f.Standing)
	}
	return v
}

// Seen returns the worst knowledge of any source in the whole descent.
func (v *Value) Seen() cite.Seen {
	worst := cite.Read
	v.walk(map[*Value]bool{}, 0, func(u *Value, _ int) {
		if !u.By.Cite.IsZero() {
			worst = cite.Worst(worst, u.By.Cite.Seen)
		}
	})
	return worst
}

// Finite reports whether the number may be printed at all.
func (v *Value) Finite() bool { return !math.IsNaN(v.SI) && !math.IsInf(v.SI, 0) }

// Why returns the descent as indented lines, each value once.
func (v *Value) Why() string {
	var b strings.Builder
	// Made twice with the same words, it is still one value to the reader.
	type line struct{ path, name, text string }
	said := map[line]bool{}
	v.walk(map[*Value]bool{}, 0, func(u *Value, depth int) {
		key := line{u.Path, u.Name, u.Text}
		if said[key] {
			return
		}
		said[key] = true
		fmt.Fprintf(&b, "%s%s = %s  (%s", strings.Repeat("  ", depth), u.Name, u.Text, u.Standing)
		if !u.By.Cite.IsZero() {
			fmt.Fprintf(&b, "; %s", u.By.Cite.Full())
		}
		b.WriteString(")\n")
		if u.By.Equation != "" {
			fmt.Fprintf(&b, "%s  %s\n", strings.Repeat("  ", depth), u.By.Equation)
		}
		if u.Outside != "" {
			fmt.Fprintf(&b, "%s  outside its stated range: %s\n", strings.Repeat("  ", depth), u.Outside)
		}
	})
	return b.String()
}

func (v *Value) walk(seen map[*Value]bool, depth int, f func(*Value, int)) {
	if seen[v] {
		return
	}
	seen[v] = true
	f(v, depth)
	for _, u := range v.From {
		u.walk(seen, depth+1, f)
	}
}

// Ledger is the set of values of one evaluation, in the order they were made.
type Ledger struct {
	values []*Value
	byPath map[string]*Value
}

// Add keeps a value, and everything it came from, and returns it.
func (l *Ledger) Add(v *Value) *Value {
	if v == nil {
		return nil
	}
	if l.byPath == nil {
		l.byPath = map[string]*Value{}
	}
	if l.byPath[v.Path] == v {
		return v
	}
	for _, f := range v.From {
		l.Add(f)
	}
	if _, ok := l.byPath[v.Path]; !ok {
		l.values = append(l.values, v)
		l.byPath[v.Path] = v
	}
	return v
}

// All returns every value, inputs before what was made of them.
func (l *Ledger) All() []*Value { return l.values }

// Get returns the value at a path, or nil.
func (l *Ledger) Get(path string) *Value { return l.byPath[path] }

// Uses returns everything that was made, directly or not, from the value at
// path: what hangs on it.
func (l *Ledger) Uses(path string) []*Value {
	if l.byPath[path] == nil {
		return nil
	}
	// By path, not by pointer: an input that several formulas each made anew
	// is one input.
	known := map[*Value]bool{}
	var hangs func(v *Value) bool
	hangs = func(v *Value) bool {
		yes, ok := known[v]
		if !ok {
			yes = slices.ContainsFunc(v.From, func(f *Value) bool { return f.Path == path || hangs(f) })
			known[v] = yes
		}
		return yes
	}
	var out []*Value
	for _, v := range l.values {
		if v.Path != path && hangs(v) {
			out = append(out, v)
		}
	}
	return out
}
