package route

import (
	"math"

	"stubup/base/geom"
	"stubup/base/unit"
)

// Turn is one bend as the cable meets it.
type Turn struct {
	Angle  unit.Degree
	Radius unit.Metre  // that the cable lies on
	From   geom.Point3 // heading before it, of unit length; zero where not known
	To     geom.Point3 // heading after it
}

func (t Turn) reversed() Turn {
	t.From, t.To = t.To.Scale(-1), t.From.Scale(-1)
	return t
}

// Drag is how tension grows along a run. The search asks nothing else of the
// mechanics, so that a finer form may be handed in: both functions must not
// fall as their inputs grow.
type Drag struct {
	// Straight returns the tension that a straight adds for each metre, pulled
	// along the heading; a zero heading is level. Less than nothing counts as
	// nothing: a fall that would carry the cable earns no credit.
	Straight func(heading geom.Point3) unit.NewtonPerM
	// Bend returns the tension out of a bend.
	Bend func(in unit.Newton, t Turn) unit.Newton
	// Enter returns the largest tension into a bend that leaves at most out,
	// negative where there is none. Nil finds it by halving.
	Enter func(out unit.Newton, t Turn) unit.Newton
}

func (d Drag) zero() bool { return d.Straight == nil || d.Bend == nil }

// StraightPull returns the tension that a metre of straight adds:
//
//	b = w (sin a + mu cos a), and not under nothing
//
// w is the weight of all cables by length, mu the coefficient of friction, a
// the rise of the heading. Common pulling practice.
func StraightPull(w unit.NewtonPerM, mu float64, heading geom.Point3) unit.NewtonPerM {
	sin := heading.Z
	cos := math.Hypot(heading.X, heading.Y)
	if heading == (geom.Point3{}) {
		cos = 1
	}
	return max(0, w*unit.NewtonPerM(sin+mu*cos))
}

// Capstan returns the tension out of a bend:
//
//	T2 = T1 e^(mu a)
//
// T1 is the tension in, mu the coefficient of friction, a the angle in radians.
// It leaves out the weight of the cable in the bend and holds where T1 is well
// above weight times radius.
func Capstan(in unit.Newton, mu float64, angle unit.Degree) unit.Newton {
	return in * unit.Newton(math.Exp(mu*radians(angle)))
}

// Allowance returns the largest tension that may enter a bend from the far end
// when at most h may leave it at the near end, and the sidewall pressure may
// not pass s:
//
//	h' = min(h, s R) / e^(mu a)
//
// R is the radius that the cable lies on. Zero s is no limit.
func Allowance(h unit.Newton, s unit.NewtonPerM, mu float64, radius unit.Metre, angle unit.Degree) unit.Newton {
	if s > 0 {
		h = min(h, unit.Newton(float64(s)*float64(radius)))
	}
	return h / Capstan(1, mu, angle)
}

// Plain returns the straight and capstan forms for cables of weight w by length
// and a coefficient of friction mu.
func Plain(w unit.NewtonPerM, mu float64) Drag {
	return Drag{
		Straight: func(h geom.Point3) unit.NewtonPerM { return StraightPull(w, mu, h) },
		Bend:     func(in unit.Newton, t Turn) unit.Newton { return Capstan(in, mu, t.Angle) },
		Enter:    func(out unit.Newton, t Turn) unit.Newton { return Allowance(out, 0, mu, t.Radius, t.Angle) },
	}
}

func (d Drag) straight(h geom.Point3) float64 {
	if d.Straight == nil {
		return 0
	}
	return max(0, float64(d.Straight(h)))
}

func (d Drag) bend(in float64, t Turn) float64 { return float64(d.Bend(unit.Newton(in), t)) }

// enter is the inverse of bend.
func (d Drag) enter(out float64, t Turn) float64 {
	if math.IsInf(out, 0) || out < 0 {
		return out
	}
	if d.Enter != nil {
		return float64(d.Enter(unit.Newton(out), t))
	}
	if d.bend(0, t) > out {
		return -1
	}
	lo, hi := 0.0, max(out, 1)
	for range 64 { // a bend down a fall may let more in than comes out
		if d.bend(hi, t) > out {
			break
		}
		lo, hi = hi, hi*2
	}
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if d.bend(mid, t) <= out {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// What says what a piece of a run is.
type What uint8

// The pieces.
const (
	Straight What = iota
	Bent
	Fitted
)

func (w What) String() string { return [...]string{"straight", "bend", "fitting"}[w] }

// Piece is one straight, bend or fitting of a run, in order from its start.
type Piece struct {
	_ [0]func() // never compared: no equality is compiled for it

	What     What
	Name     string // of the bend or the fitting; of the surface for a straight
	Kind     string // of the bend, the fitting or the surface
	On       string // the surface it is on; empty on a fixed path
	Where    string // words for the place on a fixed path
	From, To geom.Point3
	Length   unit.Metre  // along the centerline as built; nothing for a fitting
	Angle    unit.Degree // of a bend; of the cable in a fitting
	Radius   unit.Metre  // of the centerline
	Cable    unit.Metre  // the radius that the cable lies on
	Heading  geom.Point3 // going in; zero on a path without headings
	Out      geom.Point3 // going out
	Cost     float64     // of the bend or fitting; straights are charged on takeoff
	Resets   Resets

	takes float64 // straight that it takes on each side
}

func (p Piece) turn() Turn { return Turn{p.Angle, p.Cable, p.Heading, p.Out} }

// Pull is what a section asks of the cable in one direction.
type Pull struct {
	Tension  unit.Newton     // the greatest
	Sidewall unit.NewtonPerM // the greatest, tension over radius
	Holds    bool            // both are within their limits; true where nothing says how tension grows
}

// Section is what lies between two pull points.
type Section struct {
	From, To string
	Bends    unit.Degree // sum, from where the sum last started anew
	Length   unit.Metre  // of raceway, from where the length last started anew
	Forward  Pull        // fed at From, pulled at To; of the whole stretch where the tension does not start anew
	Reverse  Pull        // fed at To, pulled at From
	Pieces   []Piece     // without the pull points
}

// built returns the pieces with their straights cut back to the tangents of
// the bends and to the fittings, and those of one surface and heading in one.
func built(ps []Piece, start, end float64) []Piece {
	cut := func(i, step int, takes float64) {
		for ; takes > 0 && i >= 0 && i < len(ps) && ps[i].What == Straight; i += step {
			q := &ps[i]
			c := min(takes, float64(q.Length))
			if step > 0 {
				q.From = q.From.Add(q.Heading.Scale(c))
			} else {
				q.To = q.To.Sub(q.Heading.Scale(c))
			}
			q.Length -= unit.Metre(c)
			takes -= c
		}
	}
	cut(0, 1, start)
	cut(len(ps)-1, -1, end)
	for i, p := range ps {
		cut(i-1, -1, p.takes)
		cut(i+1, 1, p.takes)
	}
	var out []Piece
	for _, p := range ps {
		if p.What == Straight {
			if p.Length < slack {
				continue
			}
			if n := len(out); n > 0 && out[n-1].What == Straight && out[n-1].Name == p.Name && out[n-1].Heading == p.Heading {
				out[n-1].Length += p.Length
				out[n-1].To = p.To
				continue
			}
		}
		out = append(out, p)
	}
	return out
}

// pulled returns the tension and sidewall of pieces taken in order.
func pulled(pieces []Piece, lim Limits, d Drag, reverse bool) Pull {
	t := float64(lim.Reel)
	worst, side := t, 0.0
	for i := range pieces {
		p := pieces[i]
		if reverse {
			p = pieces[len(pieces)-1-i]
		}
		h, turn := p.Heading, p.turn()
		if reverse {
			h, turn = h.Scale(-1), turn.reversed()
		}
		if p.What == Straight {
			t += float64(p.Length) * d.straight(h)
		} else if p.Angle > 0 {
			t = d.bend(t, turn)
			side = max(side, t/float64(p.Cable))
		}
		worst = max(worst, t)
	}
	return Pull{unit.Newton(worst), unit.NewtonPerM(side), !over(worst, float64(lim.Tension)) && !over(side, float64(lim.Sidewall))}
}

// sections cuts a run at its pull points and measures each section.
func sections(from, to string, pieces []Piece, lim Limits, d Drag) []Section {
	var out []Section
	var stretch []Piece // since the cable was last fed
	first := 0          // section at which the stretch began
	var bends unit.Degree
	var length unit.Metre
	at := from
	start := 0
	pull := func() {
		f, r := Pull{Holds: true}, Pull{Holds: true}
		if !d.zero() {
			f, r = pulled(stretch, lim, d, false), pulled(stretch, lim, d, true)
		}
		for i := first; i < len(out); i++ {
			out[i].Forward, out[i].Reverse = f, r
		}
	}
	end := func(name string, upto int) {
		out = append(out, Section{From: at, To: name, Bends: bends, Length: length, Pieces: pieces[start:upto:upto]})
	}
	for i, p := range pieces {
		switch {
		case p.What == Straight:
			length += p.Length
			stretch = append(stretch, p)
		case p.What == Bent:
			length += p.Length
			bends += p.Angle
			stretch = append(stretch, p)
		default:
			if p.Resets == (Resets{}) {
				bends += p.Angle
				stretch = append(stretch, p)
				continue
			}
			if !p.Resets.Bends {
				bends += p.Angle // it turns on this side of the section's end
			}
			end(p.Name, i)
			if p.Resets.Bends {
				bends = 0
			}
			if p.Resets.Length {
				length = 0
			}
			if p.Resets.Tension {
				pull()
				stretch, first = nil, len(out)
			} else {
				stretch = append(stretch, p)
			}
			at, start = p.Name, i+1
		}
	}
	end(to, len(pieces))
	pull()
	return out
}

// needs is what a run asks of the limits that do not hang on the way of the pull.
type needs struct{ bends, length float64 }

func need(secs []Section) needs {
	var n needs
	for _, s := range secs {
		n.bends = max(n.bends, float64(s.Bends))
		n.length = max(n.length, float64(s.Length))
	}
	return n
}

// needTension returns the least tension limit under which every section holds
// in one direction or the other, the sidewall limit standing; and the other
// way round.
func needTension(secs []Section, lim Limits) (tension, sidewall float64) {
	for _, s := range secs {
		t, p := math.Inf(1), math.Inf(1)
		for _, q := range []Pull{s.Forward, s.Reverse} {
			if !over(float64(q.Sidewall), float64(lim.Sidewall)) {
				t = min(t, float64(q.Tension))
			}
			if !over(float64(q.Tension), float64(lim.Tension)) {
				p = min(p, float64(q.Sidewall))
			}
		}
		tension, sidewall = max(tension, t), max(sidewall, p)
	}
	return tension, sidewall
}
