// Package plan resolves a site document into the design that is built: the
// ring and its corners, every rod, whip, joint and jumper, every run as
// straights and arcs in space with its pull points and sections, and the one
// point list whose numbers drive drawing, log, photos and report.
//
// A plan is a pure function of the document. What cannot be resolved is left
// out with a diag that says why; everything else is still there.
package plan

import (
	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/site"
)

// Plan is the resolved design.
type Plan struct {
	Site    *site.Site
	Posts   []Post
	Gates   []Gate
	Ring    *Ring // nil where none is wanted or none can be built
	Rods    []Rod
	Whips   []Whip
	Radials []Radial
	Joints  []Joint
	Jumpers []Jumper
	Runs    []Run
	Points  []Point       // the point list, in walking order within each kind
	Numbers []site.Number // what the document is to remember, retired ones kept
	Diags   diag.List
}

// Post is a fence post or the leg of a frame.
type Post struct {
	Key   string // "fence/corner-1"
	ID    string // "post 3"
	Kind  string // corner, gate, line
	At    geom.Point
	OD    unit.Q[unit.Metre]
	Fence string // object id
}

// Gate is an opening between two gate posts.
type Gate struct {
	Fence    string
	From, To geom.Point
	Leaves   int
	Inward   geom.Point // unit vector into the fence
}

// Rod is a driven rod.
type Rod struct {
	_ [0]func() // never compared: no equality is compiled for it

	Key      string
	ID       string
	Span     diag.Span
	At       geom.Point
	Station  unit.Metre // along the ring
	Top      unit.Metre // depth of its top
	Length   unit.Metre // as wanted
	Driven   unit.Metre // in the ground: less than Length where it refused
	Refused  bool
	Lies     string     // "", "45", "flat"
	Dir      geom.Point // outward, of a rod at 45 or flat
	Sections int
	Radius   unit.Metre
	Corner   bool
	Radial   bool // stands at the end of a radial, not on the ring
}

// Whip is a bare tail from the ring up, or across to an existing conductor.
type Whip struct {
	_ [0]func() // never compared: no equality is compiled for it

	Key     string
	ID      string
	Span    diag.Span
	To      geom.Point
	Item    string // "post 3", "platform corner 1": what it bonds, in words
	Object  string
	Which   string
	End     site.EndKind
	OD      unit.Q[unit.Metre] // of a pipe
	From    geom.Point         // nearest point of the ring: what the length is taken to
	Tap     geom.Point         // where the tap joint sits
	Station unit.Metre         // of the nearest point
	Reach   unit.Metre         // plan distance
	Rise    unit.Metre         // from ring depth up to grade, and the stub above it
	Length  unit.Metre         // reach + rise, rounded up to a foot (or 0.3 m in SI)
	Cut     unit.Metre         // what it must be cut to from its own tap, which may sit beside the nearest point
	EndZ    unit.Metre         // height of the upper end; negative where it ends below grade
	Wire    site.Conductor
}

// Radial is a bare conductor out from the ring.
type Radial struct {
	Span     diag.Span
	Key      string
	ID       string
	From, To geom.Point
	Station  unit.Metre
	Length   unit.Metre
	Wire     site.Conductor
}

// JointKind is the kind of a joint, one of the words of the trade.
type JointKind string

// Joint kinds. All but Lug and Clamp are welded.
const (
	Tap    JointKind = "tap"
	Cross  JointKind = "cross"
	Splice JointKind = "splice"
	ToRod  JointKind = "rod"
	ToPipe JointKind = "pipe"
	ToFlat JointKind = "flat"
	Lug    JointKind = "lug"
	Clamp  JointKind = "clamp"
)

// Words returns the kind as it is printed.
func (k JointKind) Words() string {
	switch k {
	case Splice:
		return "inline splice"
	case ToRod:
		return "cable-to-rod"
	case ToPipe:
		return "cable-to-pipe"
	case ToFlat:
		return "cable-to-flat"
	case Lug:
		return "two-hole lug"
	}
	return string(k)
}

// Welded reports whether the joint is exothermic.
func (k JointKind) Welded() bool { return k != Lug && k != Clamp }

// Joint ties conductors to each other or to an item.
type Joint struct {
	Key      string
	ID       string
	Kind     JointKind
	Wire     site.Conductor // the conductor that runs into the mold
	Item     string         // "2 AWG solid tinned copper", "rod", "vertical pipe", "flat steel"
	ItemSize string         // "5/8 in", "2-7/8 in"; "cannot tell" words where nobody measured
	Unknown  bool           // the item's size is not known: measure before ordering
	ToldOnly bool           // the item is an existing thing nobody has seen
	Shape    string         // "run and tap", "through", "inline", "end"
	Position string         // "horizontal", "vertical"
	At       geom.Point
	Z        unit.Metre // height; negative below grade
	Station  unit.Metre // along the ring, for walking order
	Ties     []string   // "ring", "W9", "R3", "post 3"
	Place    string     // two tapes from named posts
}

// MoldKey names the mold that makes the joint: conductor, item, item size,
// shape and position.
func (j Joint) MoldKey() string {
	return string(j.Kind) + " | " + j.Wire.Text + " | " + j.Item + " | " + j.ItemSize + " | " + j.Shape + " | " + j.Position
}

// Jumper is a flexible bond across the hinge of a gate leaf, clamped at both
// ends.
type Jumper struct {
	Key  string
	ID   string
	From string // post
	At   geom.Point
	Leaf geom.Point
}

// Kind of a point in the point list.
type PointKind string

// Point kinds, in the order in which they are listed.
const (
	KindRod   PointKind = "rod"
	KindJoint PointKind = "joint"
	KindWhip  PointKind = "whip"
	KindPull  PointKind = "pull point"
	KindPost  PointKind = "post"
)

// Point is one row of the point list.
type Point struct {
	ID    string
	Key   string
	Kind  PointKind
	At    geom.Point3
	What  string // "tap, ring to W9"
	Place string // "14'-2" from post 3, 9'-6" from post 4, inside the fence"
	Span  diag.Span
}

// Welded returns the welded joints.
func (p *Plan) Welded() []Joint {
	var out []Joint
	for _, j := range p.Joints {
		if j.Kind.Welded() {
			out = append(out, j)
		}
	}
	return out
}

// Conductor returns the bare conductor wanted: ring, whips and radials.
func (p *Plan) Conductor() unit.Metre {
	var sum unit.Metre
	if p.Ring != nil {
		sum = p.Ring.Takeoff
	}
	for _, w := range p.Whips {
		sum += w.Length
	}
	for _, r := range p.Radials {
		sum += r.Length
	}
	return sum
}

// JointByID returns a joint, or nil.
func (p *Plan) JointByID(id string) *Joint {
	for i := range p.Joints {
		if p.Joints[i].ID == id {
			return &p.Joints[i]
		}
	}
	return nil
}

// RodByID returns a rod, or nil.
func (p *Plan) RodByID(id string) *Rod {
	for i := range p.Rods {
		if p.Rods[i].ID == id {
			return &p.Rods[i]
		}
	}
	return nil
}

// RunByID returns a run, or nil.
func (p *Plan) RunByID(id string) *Run {
	for i := range p.Runs {
		if p.Runs[i].ID == id {
			return &p.Runs[i]
		}
	}
	return nil
}

// Make resolves a site. It never fails: what cannot be built is a diag.
func Make(s *site.Site) *Plan {
	p := &Plan{Site: s}
	n := newNumbering(s)
	p.posts(n)
	p.ring()
	p.rods(n)
	p.whips(n)
	p.radials(n)
	p.joints(n)
	p.touching()
	p.jumpers(n)
	p.runs(n)
	p.points()
	p.Numbers = n.remember()
	p.Diags.Sort()
	return p
}

func (p *Plan) bad(level diag.Level, code diag.Code, at diag.Span, what, mend string) {
	p.Diags.Add(diag.Diag{Code: code, Level: level, Span: at, What: what, Mend: mend})
}

// object returns an object by id, or nil.
func (p *Plan) object(id string) *site.Object {
	for i := range p.Site.Objects {
		if p.Site.Objects[i].ID == id {
			return &p.Site.Objects[i]
		}
	}
	return nil
}
