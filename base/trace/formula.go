package trace

import "stubup/base/cite"

// Symbol is one letter of an equation.
type Symbol struct {
	_ [0]func() // never compared: no equality is compiled for it

	Sym     string // "L"
	Meaning string // "length of the rod in contact with soil"
	Unit    string // "m"; "-" for none
}

// Check is one known answer of a formula, from a foreign method wherever one
// can be had.
type Check struct {
	Name   string
	Want   float64
	Tol    float64 // relative, unless Abs
	Abs    bool
	Got    func() float64
	Source cite.Ref
	Ours   bool // true when the expected value was only computed here
}

// Formula describes a function of a trade package: what a reader needs to
// check it by hand. The function itself is plain Go; this is its page.
type Formula struct {
	ID       string // "ground.rod.driven"
	Name     string // "one driven rod, top at grade"
	Equation string
	Symbols  []Symbol // the first is the result
	Range    string   // where it holds, in words; flagged outside, not refused
	Cite     cite.Ref
	Checks   []Check
}
