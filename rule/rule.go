// Package rule holds what a design is held to: each rule with its stable id,
// its force, its citation, and a pure look at the plan. A rule answers in one
// of four ways, all of them printed: holds, broken, does not apply, cannot
// tell. A rule cited outside its scope is worse than silence, so every rule
// says when it does not apply, and one without its input names the input.
package rule

import (
	"stubup/answer"
	"stubup/base/cite"
	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/plan"
	"stubup/site"
)

// Force is how strongly a rule binds.
type Force string

// Forces.
const (
	Shall  Force = "shall"  // the work says so
	Should Force = "should" // advice of the work
	Custom Force = "custom" // the owner's own, or good practice
)

// Outcome of one look.
type Outcome int

// Outcomes, the most urgent first.
const (
	Broken Outcome = iota
	CannotTell
	Holds
	NotApply
)

// String returns the words that are printed.
func (o Outcome) String() string {
	return [...]string{"broken", "cannot tell", "holds", "does not apply"}[o]
}

// Rule is one rule of one work.
type Rule struct {
	ID      string // "nfpa70.250.53.ring-depth": stable, never reused
	Work    string // id of the work it belongs to: "nfpa-70", "owner", "good-practice"
	Title   string // "ring at least 30 in deep"
	Force   Force
	Cite    cite.Ref
	Figure  string // key of the figure it leans on, where it has one
	Example string // one line that breaks it
	Look    func(View) []Finding
}

// View is what a rule may look at.
type View struct {
	Site   *site.Site
	Plan   *plan.Plan
	Answer *answer.Book
	AsOf   string // the moment reported on, RFC 3339; empty where nobody says
}

// Finding is what a rule saw at one place.
type Finding struct {
	Rule     *Rule
	Outcome  Outcome
	Path     string    // "ground.ring", "run fiber 1, P1 to end"
	Span     diag.Span // where the document says it
	Required string    // "at least 30 in"
	Found    string    // "24 in"
	Margin   string    // "6 in short", "holds by 6 %"; never rounded up
	Mend     string    // what to do, or the missing input; never empty when broken or cannot tell
	Note     string    // "too thin for the season"
	Value    *trace.Value
	Points   []string // ids of the points it is about, lit on the drawing
	Waived   *site.Waiver
	Cite     cite.Ref     // the rule's, or the owner's own source; known only as well as what it leans on
	At       []geom.Point // where it is, for a site that two works share
}
