package layout

import (
	"math"

	"stubup/base/draw"
	"stubup/plan"
)

// Progress says how far a thing is. The sign and the line of a thing say what
// it is; its progress is drawn by dash, weight and fill as well as by ink.
type Progress int

// How far a thing is.
const (
	Planned  Progress = iota
	Open              // its trench is open
	In                // in and logged; of a joint: fired
	Tested            // fired and tapped or measured
	Covered           // backfilled and released
	Rejected          // to be done again
)

// Line widths of the sheet, mm: one series, narrow to heavy.
const (
	hair   = 0.18
	narrow = 0.25
	medium = 0.35
	wide   = 0.5
	heavy  = 0.7
)

// Sign sizes on paper, mm.
const (
	signSize = 3.6 // rod and joint
	postSize = 1.8
	eyeSize  = 1.0 // radius of a whip's eye
)

func pen(i draw.Ink, width float64, dash ...float64) draw.Pen {
	return draw.Pen{Ink: i, Width: width, Dash: dash}
}

// ink is the ink of a thing that is buried.
func (p Progress) ink() draw.Ink {
	switch p {
	case In, Tested, Rejected:
		return draw.InkCopper
	case Covered:
		return draw.InkPatina
	}
	return draw.InkPencil
}

func (p Progress) done() bool { return p >= In }

// frame is a place on paper with a direction, in which a sign is drawn.
type frame struct {
	at       draw.Pt
	deg      float64 // clockwise on paper
	sin, cos float64
}

func newFrame(at draw.Pt, deg float64) frame {
	s, c := math.Sincos(deg * math.Pi / 180)
	return frame{at, deg, s, c}
}

func (f frame) pt(x, y float64) draw.Pt {
	return draw.Pt{X: f.at.X + x*f.cos - y*f.sin, Y: f.at.Y + x*f.sin + y*f.cos}
}

func (f frame) pts(xy ...float64) []draw.Pt {
	out := make([]draw.Pt, 0, len(xy)/2)
	for i := 0; i+1 < len(xy); i += 2 {
		out = append(out, f.pt(xy[i], xy[i+1]))
	}
	return out
}

// sign collects the items of one sign on one layer under one id.
type sign struct {
	layer, id string
	items     []draw.Item
}

func (s *sign) line(p draw.Pen, closed bool, pts ...draw.Pt) {
	s.items = append(s.items, draw.Line{Layer: s.layer, ID: s.id, Pen: p, Pts: pts, Close: closed})
}

func (s *sign) area(i draw.Ink, pts ...draw.Pt) {
	s.items = append(s.items, draw.Area{Layer: s.layer, ID: s.id, Pts: pts, Fill: true, FillInk: i})
}

func (s *sign) circle(p draw.Pen, c draw.Pt, r float64) {
	s.items = append(s.items, draw.Circle{Layer: s.layer, ID: s.id, Pen: p, C: c, R: r})
}

func (s *sign) disc(i draw.Ink, c draw.Pt, r float64) {
	s.items = append(s.items, draw.Circle{Layer: s.layer, ID: s.id, Pen: pen(i, hair), C: c, R: r, Fill: true, FillInk: i})
}

func (s *sign) arc(p draw.Pen, c draw.Pt, r, a0, a1 float64) {
	s.items = append(s.items, draw.Arc{Layer: s.layer, ID: s.id, Pen: p, C: c, R: r, A0: a0, A1: a1})
}

// bed is what a buried thing lies in, so that its state is told without its
// ink: the two banks of an open trench over and under the sign with chalk
// between them, earth ticks under it where it is backfilled. A bed is drawn
// before its sign; half is half the height of that.
func (s *sign) bed(f frame, half float64, how Progress) {
	switch how {
	case Open:
		x, y := half+0.5, half+0.55
		s.area(draw.InkChalk, f.pts(-x, -y, x, -y, x, y, -x, y)...)
		s.line(pen(draw.InkText, narrow), false, f.pts(-x, -y, x, -y)...)
		s.line(pen(draw.InkText, narrow), false, f.pts(-x, y, x, y)...)
	case Covered:
		for _, x := range []float64{-1.5, 0, 1.5} {
			s.line(pen(draw.InkPatina, hair), false, f.pts(x-0.15, half+0.5, x-0.6, half+1.5)...)
		}
	}
}

// ground lays paper under a sign so that a line passing behind it does not
// run through its figure.
func (s *sign) ground(pts ...draw.Pt) { s.area(draw.InkPaper, pts...) }

// RodLook says what is to be seen of a rod.
type RodLook struct {
	Extra  int     // sections beyond the first
	Well   bool    // in a test well
	Lies   string  // "", "45", "flat": as plan.Rod
	Toward float64 // direction it lies in, degrees clockwise on paper
}

// RodSign is a rod seen from above: a ring with a centre dot; hollow where it
// is planned, solid where it is in; a tick for every further section, a square
// frame for a test well, a bent foot where it was driven at 45 degrees, and a
// bar with two dots where it was laid flat.
func RodSign(id string, at draw.Pt, size float64, how Progress, o RodLook) []draw.Item {
	s := sign{layer: "rod", id: id}
	i, r := how.ink(), size/2
	f := newFrame(at, 0)
	under := r
	if o.Well {
		under = r * 1.45
	}
	s.bed(f, under, how)
	if o.Well {
		q := r * 1.45
		s.ground(f.pts(-q, -q, q, -q, q, q, -q, q)...)
		s.line(pen(i, narrow), true, f.pts(-q, -q, q, -q, q, q, -q, q)...)
	}
	if o.Lies == "flat" {
		g := newFrame(at, o.Toward)
		body := g.pts(0, -r*0.35, r*2.4, -r*0.35, r*2.4, r*0.35, 0, r*0.35)
		if how.done() {
			s.area(i, body...)
		} else {
			s.ground(body...)
		}
		s.line(pen(i, medium), true, body...)
		dot := draw.InkPaper
		if !how.done() {
			dot = i
		}
		s.disc(dot, g.pt(r*0.45, 0), r*0.16)
		s.disc(dot, g.pt(r*1.95, 0), r*0.16)
		return s.items
	}
	if o.Lies == "45" {
		g := newFrame(at, o.Toward)
		s.line(pen(i, wide), false, g.pts(r, 0, r*1.9, 0, r*2.2, r*0.5)...)
	}
	if how.done() {
		s.items = append(s.items, draw.Circle{Layer: s.layer, ID: id, Pen: pen(i, medium), C: at, R: r - medium/2, Fill: true, FillInk: i})
		s.disc(draw.InkPaper, at, r*0.26)
	} else {
		s.items = append(s.items, draw.Circle{Layer: s.layer, ID: id, Pen: pen(i, medium), C: at, R: r - medium/2, Fill: true, FillInk: draw.InkPaper})
		s.disc(i, at, r*0.26)
	}
	for k := range min(o.Extra, 4) {
		x := r + 0.7 + 0.8*float64(k)
		s.line(pen(i, medium), false, f.pts(x, -r*0.5, x, r*0.5)...)
	}
	return s.items
}

// JointSign is the mold seen from above, a square with the figure of the
// conductors in it: a T for a tap, a cross, two facing butts for an inline
// splice, a line through a dot for cable-to-rod, a line to an eye for
// cable-to-pipe, a line to a bar for cable-to-flat. A two-hole lug is its own
// plate, a clamp its two jaws: neither has a mold. It is hollow where planned,
// solid where fired, has a second frame where tested and a crayon X where
// rejected.
func JointSign(id string, at draw.Pt, size float64, kind plan.JointKind, how Progress) []draw.Item {
	s := sign{layer: "joint", id: id}
	i, h := how.ink(), size/2
	f := newFrame(at, 0)
	s.bed(f, h, how)
	if how == Rejected {
		q := h * 1.35
		s.ground(f.pts(-q, -q, q, -q, q, q, -q, q)...)
	}
	figure := i
	switch kind {
	case plan.Lug:
		plate := f.pts(-h, -h*0.55, h*0.75, -h*0.55, h, 0, h*0.75, h*0.55, -h, h*0.55)
		if how.done() {
			s.area(i, plate...)
		} else {
			s.ground(plate...)
		}
		s.line(pen(i, narrow), true, plate...)
		for _, x := range []float64{-h * 0.5, h * 0.2} {
			if how.done() {
				s.disc(draw.InkPaper, f.pt(x, 0), h*0.2)
			} else {
				s.disc(i, f.pt(x, 0), h*0.1)
			}
		}
	case plan.Clamp:
		if how.done() {
			for _, side := range []float64{-1, 1} {
				s.area(i, f.pts(side*h*0.2, -h*0.7, side*h*0.8, -h*0.7, side*h*0.8, h*0.7, side*h*0.2, h*0.7)...)
			}
		}
		s.line(pen(i, medium), false, f.pts(-h*0.2, -h*0.7, -h*0.8, -h*0.7, -h*0.8, h*0.7, -h*0.2, h*0.7)...)
		s.line(pen(i, medium), false, f.pts(h*0.2, -h*0.7, h*0.8, -h*0.7, h*0.8, h*0.7, h*0.2, h*0.7)...)
		s.line(pen(i, narrow), false, f.pts(-h, 0, h, 0)...)
	default:
		e := h - narrow/2
		square := f.pts(-e, -e, e, -e, e, e, -e, e)
		if how.done() {
			s.area(i, square...)
			figure = draw.InkPaper
		} else {
			s.ground(square...)
		}
		s.line(pen(i, narrow), true, square...)
		p, u := pen(figure, medium), h*0.62
		switch kind {
		case plan.Tap:
			s.line(p, false, f.pts(-u, -u*0.55, u, -u*0.55)...)
			s.line(p, false, f.pts(0, -u*0.55, 0, u*0.9)...)
		case plan.Cross:
			s.line(p, false, f.pts(-u, 0, u, 0)...)
			s.line(p, false, f.pts(0, -u, 0, u)...)
		case plan.Splice:
			s.line(p, false, f.pts(-u, 0, -u*0.28, 0)...)
			s.line(p, false, f.pts(u, 0, u*0.28, 0)...)
			s.line(p, false, f.pts(-u*0.28, -u*0.65, -u*0.28, u*0.65)...)
			s.line(p, false, f.pts(u*0.28, -u*0.65, u*0.28, u*0.65)...)
		case plan.ToRod:
			s.line(p, false, f.pts(-u, 0, u, 0)...)
			s.disc(figure, f.pt(0, 0), u*0.42)
		case plan.ToPipe:
			s.line(p, false, f.pts(-u, 0, -u*0.05, 0)...)
			s.circle(p, f.pt(u*0.45, 0), u*0.5)
		case plan.ToFlat:
			s.line(p, false, f.pts(-u, 0, u*0.75, 0)...)
			s.line(p, false, f.pts(u*0.75, -u*0.85, u*0.75, u*0.85)...)
		}
	}
	switch how {
	case Tested:
		q := h * 1.3
		s.line(pen(i, hair), true, f.pts(-q, -q, q, -q, q, q, -q, q)...)
	case Rejected:
		q := h * 1.2
		s.line(pen(draw.InkPaper, heavy*2), false, f.pts(-q, -q, q, q)...)
		s.line(pen(draw.InkPaper, heavy*2), false, f.pts(-q, q, q, -q)...)
		s.line(pen(draw.InkCrayon, heavy), false, f.pts(-q, -q, q, q)...)
		s.line(pen(draw.InkCrayon, heavy), false, f.pts(-q, q, q, -q)...)
	}
	return s.items
}

// WhipSign is the end of a whip: an open eye with a short curling bare tail.
// toward is the direction in which the whip arrives, degrees clockwise.
func WhipSign(id string, at draw.Pt, r, toward float64, how Progress) []draw.Item {
	s := sign{layer: "whip", id: id}
	w := narrow
	if how.done() {
		w = wide
	}
	p := pen(how.ink(), w)
	s.bed(newFrame(at, 0), r, how)
	// The tail always curls to the side that is up on paper, as a person
	// would draw it.
	f := newFrame(at, toward)
	up := -1.0
	if f.cos < -1e-9 {
		up = 1
	}
	c := f.pt(r*1.9, up*r*0.5)
	if up < 0 {
		s.arc(p, c, r*1.4, toward+180, toward+275)
	} else {
		s.arc(p, c, r*1.4, toward+85, toward+180)
	}
	fill := draw.InkPaper
	if how.done() {
		fill = how.ink()
	}
	s.items = append(s.items, draw.Circle{Layer: "whip", ID: id, Pen: pen(how.ink(), max(w, medium)), C: at, R: r, Fill: true, FillInk: fill})
	if how.done() {
		s.disc(draw.InkPaper, at, r*0.3)
	}
	return s.items
}

// BarSign is a ground bar: a plate with a row of holes, its middle at the
// place given.
func BarSign(id string, at draw.Pt, length, width, toward float64, holes int) []draw.Item {
	s := sign{layer: "bar", id: id}
	f := newFrame(at, toward)
	l, w := length/2, width/2
	s.ground(f.pts(-l, -w, l, -w, l, w, -l, w)...)
	s.line(pen(draw.InkText, medium), true, f.pts(-l, -w, l, -w, l, w, -l, w)...)
	for k := range holes {
		x := -l + length*(float64(k)+0.5)/float64(holes)
		s.circle(pen(draw.InkText, hair), f.pt(x, 0), width*0.22)
	}
	return s.items
}

// PostSign is a post of the fence: a steel square, larger at a corner or a
// gate; the leg of a frame is a pipe, a ring.
func PostSign(id string, at draw.Pt, kind string) []draw.Item {
	s := sign{layer: "post", id: id}
	h := postSize / 2
	f := newFrame(at, 0)
	switch kind {
	case "leg":
		s.items = append(s.items, draw.Circle{Layer: "post", ID: id, Pen: pen(draw.InkText, wide), C: at, R: h, Fill: true, FillInk: draw.InkPaper})
		return s.items
	case "gate", "corner":
		h *= 1.15
	default:
		h *= 0.85
	}
	s.area(draw.InkText, f.pts(-h, -h, h, -h, h, h, -h, h)...)
	return s.items
}

// PullSign is a pull point: a box with a lid line, a handhole with a rounded
// double line, or a conduit body in its own letter shape. size is its lesser
// side, mm; toward the direction of the run through it.
func PullSign(id string, at draw.Pt, size float64, kind plan.PullKind, letter string, toward float64) []draw.Item {
	s := sign{layer: "pull", id: id}
	h := size / 2
	switch kind {
	case plan.PullHandhole:
		f := newFrame(at, 0)
		s.area(draw.InkPaper, rounded(f, 1.5*h, h, h*0.5)...)
		s.line(pen(draw.InkText, wide), true, rounded(f, 1.5*h, h, h*0.5)...)
		s.line(pen(draw.InkText, hair), true, rounded(f, 1.5*h-0.7, h-0.7, h*0.35)...)
	case plan.PullBody:
		f := newFrame(at, toward)
		var pts []draw.Pt
		w := h * 0.42
		l := h * 1.3
		switch letter {
		case "LL":
			pts = f.pts(-l, -w, l-2*w, -w, l-2*w, -h*1.3, l, -h*1.3, l, w, -l, w)
		case "LR":
			pts = f.pts(-l, -w, l, -w, l, h*1.3, l-2*w, h*1.3, l-2*w, w, -l, w)
		case "T":
			pts = f.pts(-l, -w, l, -w, l, w, w, w, w, h*1.3, -w, h*1.3, -w, w, -l, w)
		case "C":
			pts = f.pts(-l, -w, l, -w, l, w, -l, w)
		default: // LB: the opening is at the back, seen end on
			pts = f.pts(-l, -w, l, -w, l, w, -l, w)
		}
		s.area(draw.InkPaper, pts...)
		s.line(pen(draw.InkText, medium), true, pts...)
		switch letter {
		case "LL", "LR", "T", "C":
		default:
			s.circle(pen(draw.InkText, hair), f.pt(l-w*1.3, 0), w*0.6)
		}
	case plan.PullStart, plan.PullEnd:
		f := newFrame(at, toward)
		s.line(pen(draw.InkText, wide), false, f.pts(0, -h*0.6, 0, h*0.6)...)
	default:
		f := newFrame(at, 0)
		s.area(draw.InkPaper, f.pts(-1.4*h, -h, 1.4*h, -h, 1.4*h, h, -1.4*h, h)...)
		s.line(pen(draw.InkText, medium), true, f.pts(-1.4*h, -h, 1.4*h, -h, 1.4*h, h, -1.4*h, h)...)
		s.line(pen(draw.InkText, hair), false, f.pts(-1.4*h, 0, 1.4*h, 0)...)
	}
	return s.items
}

// rounded is a box about a place with its corners cut round in four chords.
func rounded(f frame, hw, hh, r float64) []draw.Pt {
	var out []draw.Pt
	for q, c := range [][2]float64{{hw - r, hh - r}, {-hw + r, hh - r}, {-hw + r, -hh + r}, {hw - r, -hh + r}} {
		for k := range 5 {
			s, cs := math.Sincos((float64(q)*90 + float64(k)*22.5) * math.Pi / 180)
			out = append(out, f.pt(c[0]+r*cs, c[1]+r*s))
		}
	}
	return out
}

// CoreSign is a hole cored through a wall: a circle crossed by the wall,
// filled with a zigzag where it takes a firestop.
func CoreSign(id string, at draw.Pt, r, along float64, firestop bool) []draw.Item {
	s := sign{layer: "entry", id: id}
	f := newFrame(at, along)
	s.items = append(s.items, draw.Circle{Layer: "entry", ID: id, Pen: pen(draw.InkText, medium), C: at, R: r, Fill: true, FillInk: draw.InkPaper})
	s.line(pen(draw.InkText, narrow), false, f.pts(-r*1.7, 0, r*1.7, 0)...)
	if firestop {
		s.line(pen(draw.InkText, hair), false, f.pts(-r*0.8, r*0.45, -r*0.4, -r*0.6, 0, r*0.6, r*0.4, -r*0.6, r*0.8, r*0.45)...)
	}
	return s.items
}

// ExpansionSign is an expansion fitting: two brackets facing, with a gap.
func ExpansionSign(id string, at draw.Pt, size, along float64) []draw.Item {
	s := sign{layer: "expansion", id: id}
	f := newFrame(at, along)
	h := size / 2
	s.ground(f.pts(-h, -h*0.7, h, -h*0.7, h, h*0.7, -h, h*0.7)...)
	p := pen(draw.InkText, medium)
	s.line(p, false, f.pts(-h, -h*0.7, -h*0.25, -h*0.7, -h*0.25, h*0.7, -h, h*0.7)...)
	s.line(p, false, f.pts(h, -h*0.7, h*0.25, -h*0.7, h*0.25, h*0.7, h, h*0.7)...)
	return s.items
}

// NorthSign is a plumb bob whose point shows north; at is its point, deg how
// far north is turned from the top of the sheet, clockwise.
func NorthSign(at draw.Pt, size, deg float64) []draw.Item {
	s := sign{layer: "north"}
	f := newFrame(at, deg)
	k := size / 14
	s.area(draw.InkText, f.pts(0, 0, 1.7*k, 5.2*k, 0, 5.2*k)...)
	s.line(pen(draw.InkText, narrow), true, f.pts(0, 0, 1.7*k, 5.2*k, 1.7*k, 7.2*k, 0.6*k, 8.2*k, -0.6*k, 8.2*k, -1.7*k, 7.2*k, -1.7*k, 5.2*k)...)
	s.line(pen(draw.InkText, narrow), false, f.pts(-1.7*k, 5.2*k, 1.7*k, 5.2*k)...)
	s.line(pen(draw.InkText, hair), false, f.pts(0, 8.2*k, 0, 14*k)...)
	return s.items
}

// JumperSign is a gate jumper: a slack braid from post to leaf with a clamp
// at both ends.
func JumperSign(id string, from, to draw.Pt, how Progress) []draw.Item {
	s := sign{layer: "jumper", id: id}
	d := math.Hypot(to.X-from.X, to.Y-from.Y)
	if d < 1e-9 {
		return nil
	}
	f := newFrame(from, math.Atan2(to.Y-from.Y, to.X-from.X)*180/math.Pi)
	var pts []draw.Pt
	n := 12
	for k := range n + 1 {
		x := d * float64(k) / float64(n)
		pts = append(pts, f.pt(x, 0.9*math.Sin(2*math.Pi*float64(k)/float64(n))))
	}
	if how.done() {
		s.line(pen(how.ink(), wide), false, pts...)
	} else {
		s.line(pen(how.ink(), medium, 1.8, 1.4), false, pts...)
	}
	s.disc(draw.InkText, from, 0.4)
	s.disc(draw.InkText, to, 0.4)
	return s.items
}
