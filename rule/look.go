package rule

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
)

// slack is the relative slack of a comparison with a limit: far under what any
// tape or meter shows, far over the rounding of the machine, so that a design
// drawn exactly at a limit holds it.
const slack = 1e-9

// AtLeast judges a value that must not be under a limit and fills in what was
// required and found, and the margin. print writes both alike.
func AtLeast(f Finding, value, limit float64, print func(float64) string) Finding {
	f.Required, f.Found = "at least "+print(limit), print(value)
	f.Outcome = Holds
	if value < limit-slack*math.Abs(limit) {
		f.Outcome = Broken
	}
	f.Found = apart(f, print(limit), "just under ")
	f.Margin = marginWords(f.Outcome, value-limit, limit, "short", print)
	return f
}

// AtMost judges a value that must not be over a limit.
func AtMost(f Finding, value, limit float64, print func(float64) string) Finding {
	f.Required, f.Found = "at most "+print(limit), print(value)
	f.Outcome = Holds
	if value > limit+slack*math.Abs(limit) {
		f.Outcome = Broken
	}
	f.Found = apart(f, print(limit), "just over ")
	f.Margin = marginWords(f.Outcome, limit-value, limit, "over", print)
	return f
}

// apart keeps a broken finding from printing the limit itself as what was
// found, which rounding would do.
func apart(f Finding, limit, just string) string {
	if f.Outcome == Broken && f.Found == limit {
		return just + limit
	}
	return f.Found
}

// Margin returns (limit - value) / limit for a value that must not be over it:
// negative where it is.
func Margin(value, limit float64) float64 { return (limit - value) / limit }

// marginWords prints a margin. It is never rounded up: a margin of 6.4 % is
// "6 %", and one that fails by 41.7 % fails by 42 %.
func marginWords(o Outcome, room, limit float64, lack string, print func(float64) string) string {
	if o == Broken {
		by := print(-room)
		if limit == 0 {
			return by + " " + lack
		}
		return fmt.Sprintf("%s %s, %s %% of the limit", by, lack, unit.Fixed(math.Ceil(-room/math.Abs(limit)*100-1e-6), 0))
	}
	if limit == 0 {
		return "holds"
	}
	p := math.Floor(room/math.Abs(limit)*100 + 1e-6)
	if p <= 0 {
		return "holds with no margin"
	}
	return "holds by " + unit.Fixed(p, 0) + " %"
}

// Lacks returns a finding that cannot tell because an input is missing.
func Lacks(f Finding, what string) Finding {
	f.Outcome = CannotTell
	f.Found = "not told: " + what
	if f.Mend == "" {
		thing, _, _ := strings.Cut(what, ": ") // what follows says why
		f.Mend = "write " + thing + " into the document, or measure it"
	}
	return f
}

// Outside returns a finding that says why a rule does not apply.
func Outside(path, why string) Finding {
	return Finding{Outcome: NotApply, Path: path, Note: why}
}

// YesNo judges what either is so or is not.
func YesNo(f Finding, ok bool, required, found string) Finding {
	f.Required, f.Found, f.Outcome = required, found, Broken
	if ok {
		f.Outcome = Holds
	}
	return f
}

// Short prints a small length of the site, inches or millimeters.
func (v View) Short(m float64) string { return v.Site.Units.Short(unit.Metre(m)) }

// Fine prints a small movement to a hundredth of an inch or a tenth of a
// millimeter: what an expansion fitting is set to.
func (v View) Fine(m float64) string {
	if v.Site.Units == unit.SI {
		return unit.Fixed(m*1000, 1) + " mm"
	}
	return unit.Fixed(unit.Metre(m).In(), 2) + " in"
}

// Long prints a length of the site, feet and inches or meters.
func (v View) Long(m float64) string { return v.Site.Units.Length(unit.Metre(m)) }

// RunLength prints the length of a run.
func (v View) RunLength(m float64) string { return v.Site.Units.Run(unit.Metre(m)) }

// Degrees prints a bend.
func Degrees(d float64) string { return unit.Trim(d, 1) + " deg" }

// Ohms prints a resistance.
func Ohms(r float64) string { return unit.Ohms(unit.Ohm(r)) }

// Percent prints a share to a tenth of a percent.
func Percent(s float64) string { return unit.Fixed(s*100, 1) + " %" }

// OwnerRules returns the entries of the owner's profile under a key.
func (v View) OwnerRules(key string) []site.OwnerRule {
	var out []site.OwnerRule
	for _, r := range v.Site.Owner.Rules {
		if r.Key == key {
			out = append(out, r)
		}
	}
	return out
}

// OwnerCite returns the citation of an entry of the owner's profile: its own
// source.
func (v View) OwnerCite(r site.OwnerRule) cite.Ref {
	c := cite.Ref{Work: r.Source, Seen: cite.Read}
	if c.Work == "" {
		c.Work = v.Site.Owner.Name
	}
	if c.Work == "" {
		c.Work = "the owner's profile"
	}
	return c
}

// OwnerBans reports whether the owner's words under a key say no for a
// service, and by which entry.
func (v View) OwnerBans(key, service string) (site.OwnerRule, bool) {
	for _, r := range v.OwnerRules(key) {
		if (r.Service == "" || r.Service == service) && SaysNo(r.Words) {
			return r, true
		}
	}
	return site.OwnerRule{}, false
}

// SaysNo reads a yes or no of the owner.
func SaysNo(words string) bool {
	w := strings.ToLower(strings.TrimSpace(words))
	return w == "no" || w == "none" || w == "false" || w == "never" || strings.HasPrefix(w, "no ") || strings.HasPrefix(w, "not ")
}

// RunPath names a run as findings do.
func RunPath(r *plan.Run) string { return "run " + r.ID }

// SectionPath names a section of a run.
func SectionPath(r *plan.Run, i int) string { return RunPath(r) + ", " + r.Sections[i].Name() }

// PullIDs returns the ids of the pull points of a section.
func PullIDs(s plan.Section) []string {
	var out []string
	for _, q := range []plan.Pull{s.From, s.To} {
		if q.ID != "" {
			out = append(out, q.ID)
		}
	}
	return out
}

// SectionAt returns the places of a section's ends in plan.
func SectionAt(s plan.Section) []geom.Point {
	return []geom.Point{s.From.At.Plan(), s.To.At.Plan()}
}

// UndrawnRun returns the finding about a run that was not drawn to its end.
func UndrawnRun(r *plan.Run) Finding {
	return Finding{
		Outcome: CannotTell, Path: RunPath(r), Span: r.Run.Span, Found: "the run could not be drawn to its end",
		Mend: "mend what the document says of run " + r.ID + "; its diag says what is wrong",
	}
}

// RingAt returns the corners of the ring, for findings about it.
func (v View) RingAt() []geom.Point {
	if v.Plan.Ring == nil {
		return nil
	}
	return v.Plan.Ring.Corners
}

// RingFinding returns the start of a finding about the ring.
func (v View) RingFinding() Finding {
	f := Finding{Path: "ground.ring", At: v.RingAt()}
	if w := v.Site.Ground.Ring; w != nil {
		f.Span = w.Span
	}
	return f
}

// NoRing returns the finding of a rule about the ring where there is none to
// look at; ok is true where there is one.
func (v View) NoRing() (f Finding, ok bool) {
	if v.Plan.Ring != nil {
		return Finding{}, true
	}
	if v.Site.Ground.Ring == nil {
		return Outside("ground.ring", "no ring is wanted"), false
	}
	f = v.RingFinding()
	f.Outcome, f.Found = CannotTell, "the ring could not be drawn"
	f.Mend = "mend what the document says of the ring; its diag says what is wrong"
	return f, false
}

// Object returns an object of the site by id, or nil.
func (v View) Object(id string) *site.Object {
	for i := range v.Site.Objects {
		if v.Site.Objects[i].ID == id {
			return &v.Site.Objects[i]
		}
	}
	return nil
}

// Words returns the name of an object as a person says it; of one without a name
// or an id its kind.
func Words(o *site.Object) string {
	switch {
	case o.Name != "":
		return o.Name
	case o.ID != "":
		return strings.ReplaceAll(o.ID, "-", " ")
	}
	return string(o.Kind)
}

// Telecom reports whether a run carries signals only: optical fiber or
// communication circuits.
func Telecom(r *plan.Run) bool { return r.Service == site.Fiber || r.Service == site.Comm }

// Input returns something written in the document as a value, for a finding
// that rests on nothing computed.
func (v View) Input(path, name string, si float64, u, text string) *trace.Value {
	return trace.Input(path, name, si, u, text, trace.Entered, cite.Ref{})
}

// Tightest keeps every finding that is broken or cannot tell; where there is
// none it keeps the one with the least room to its limit, so that a run with
// nine good bends is one line.
func Tightest(fs []Finding, room []float64) []Finding {
	var out []Finding
	best := -1
	for i, f := range fs {
		if f.Outcome == Broken || f.Outcome == CannotTell {
			out = append(out, f)
		} else if best < 0 || room[i] < room[best] {
			best = i
		}
	}
	if len(out) == 0 && best >= 0 {
		out = append(out, fs[best])
	}
	return out
}

// ClosestRods judges the two rods that stand closest together.
func ClosestRods(v View, least float64, mend string) Finding {
	if len(v.Plan.Rods) < 2 {
		return Outside("ground.rods", "there is only one rod")
	}
	best := math.Inf(1)
	var a, b *plan.Rod
	for i := range v.Plan.Rods {
		for j := i + 1; j < len(v.Plan.Rods); j++ {
			if d := v.Plan.Rods[i].At.Dist(v.Plan.Rods[j].At); d < best {
				best, a, b = d, &v.Plan.Rods[i], &v.Plan.Rods[j]
			}
		}
	}
	f := Finding{Path: "rods " + a.ID + " and " + b.ID, Span: b.Span, Points: []string{a.ID, b.ID}, At: []geom.Point{a.At, b.At}, Mend: mend}
	return AtLeast(f, best, least, v.Long)
}

// RingTo returns the least distance in plan from the ring to the outline,
// path or place of an object; zero where they cross.
func (v View) RingTo(o *site.Object) float64 {
	loop := geom.Outline(v.Plan.Ring.Polyline(ringTol))
	var sides []geom.Segment
	switch {
	case len(o.Outline) > 1:
		sides = o.Outline.Sides()
	case len(o.Path) > 1:
		for i := 1; i < len(o.Path); i++ {
			sides = append(sides, geom.Segment{A: o.Path[i-1], B: o.Path[i]})
		}
	}
	pts := append(append([]geom.Point{}, o.Legs...), o.Lugs...)
	if o.HasAt {
		pts = append(pts, o.At)
	}
	best := math.Inf(1)
	for _, s := range sides {
		for _, l := range loop.Sides() {
			if _, hit := s.Crosses(l); hit {
				return 0
			}
			for _, p := range []geom.Point{l.A, l.B} {
				q, _ := s.Nearest(p)
				best = min(best, q.Dist(p))
			}
			for _, p := range []geom.Point{s.A, s.B} {
				q, _ := l.Nearest(p)
				best = min(best, q.Dist(p))
			}
		}
	}
	if len(sides) == 0 {
		for _, p := range pts {
			_, _, d := v.Plan.Ring.Nearest(p)
			best = min(best, d)
		}
	}
	return best
}

// ringTol is how far a chord may leave an arc of the ring where distances are
// taken: a millimetre.
const ringTol = 0.001
