package plan

import (
	"math"

	"stubup/base/geom"
	"stubup/base/unit"
)

// leg is one piece of a ring: a straight, or an arc about a centre.
type leg struct {
	a, b   geom.Point
	arc    bool
	centre geom.Point
	radius float64
	a0     float64 // angle of a seen from the centre
	sweep  float64 // radians, positive counter-clockwise
	s0     float64 // station of a
	length float64
}

func straightLeg(a, b geom.Point) leg { return leg{a: a, b: b, length: a.Dist(b)} }

func arcLeg(c geom.Point, r, a0, sweep float64) leg {
	at := func(a float64) geom.Point { return c.Add(geom.Point{X: r}.Rotate(a)) }
	return leg{a: at(a0), b: at(a0 + sweep), arc: true, centre: c, radius: r, a0: a0, sweep: sweep, length: r * math.Abs(sweep)}
}

// at returns the place s metres along the leg.
func (l leg) at(s float64) geom.Point {
	if l.length == 0 {
		return l.a
	}
	if l.arc {
		return l.centre.Add(geom.Point{X: l.radius}.Rotate(l.a0 + l.sweep*s/l.length))
	}
	return l.a.Add(l.b.Sub(l.a).Scale(s / l.length))
}

// dir returns the direction of walking s metres along the leg.
func (l leg) dir(s float64) geom.Point {
	if l.arc {
		r := l.at(s).Sub(l.centre).Unit().Left()
		if l.sweep < 0 {
			r = r.Scale(-1)
		}
		return r
	}
	return l.b.Sub(l.a).Unit()
}

// nearest returns the point of the leg nearest to p and how far along it lies.
func (l leg) nearest(p geom.Point) (geom.Point, float64) {
	if !l.arc {
		q, t := geom.Segment{A: l.a, B: l.b}.Nearest(p)
		return q, t * l.length
	}
	v := p.Sub(l.centre)
	ang := math.Atan2(v.Y, v.X)
	d := math.Mod(ang-l.a0, 2*math.Pi)
	if l.sweep > 0 && d < 0 {
		d += 2 * math.Pi
	}
	if l.sweep < 0 && d > 0 {
		d -= 2 * math.Pi
	}
	if math.Abs(d) <= math.Abs(l.sweep) {
		return l.at(l.radius * math.Abs(d)), l.radius * math.Abs(d)
	}
	if p.Dist(l.a) <= p.Dist(l.b) {
		return l.a, 0
	}
	return l.b, l.length
}

// Ring is the buried loop as it is built.
type Ring struct {
	legs        []leg
	Corners     []geom.Point // sharp corners, or the middle of each corner arc
	Depth       unit.Metre
	Radius      unit.Metre // least bend radius at the corners
	Takeoff     unit.Metre // point to point, sharp; arcs where the ring is drawn round objects
	Built       unit.Metre // with the corners bent
	Pieces      int
	Name        string    // how it was asked for, in words
	CornerAngle []float64 // turn at each corner, degrees, unsigned
}

func newRing(legs []leg) *Ring {
	r := &Ring{}
	s := 0.0
	for _, l := range legs {
		if l.length < geom.Eps {
			continue
		}
		l.s0 = s
		s += l.length
		r.legs = append(r.legs, l)
	}
	r.Takeoff = unit.Metre(s)
	return r
}

// Len returns the length along the ring, which is its takeoff length.
func (r *Ring) Len() float64 { return float64(r.Takeoff) }

// At returns the place at a station along the ring, which may run over the
// closing point either way.
func (r *Ring) At(s float64) geom.Point {
	s = math.Mod(s, r.Len())
	if s < 0 {
		s += r.Len()
	}
	for _, l := range r.legs {
		if s <= l.s0+l.length {
			return l.at(s - l.s0)
		}
	}
	return r.legs[0].a
}

// Nearest returns the point of the ring nearest to p, its station, and its
// distance. A tie goes to the leg that comes first in ring order.
func (r *Ring) Nearest(p geom.Point) (q geom.Point, station, dist float64) {
	dist = math.Inf(1)
	for _, l := range r.legs {
		n, s := l.nearest(p)
		if d := n.Dist(p); d < dist-geom.Eps {
			q, station, dist = n, l.s0+s, d
		}
	}
	return q, station, dist
}

// Polyline returns the ring as points, closed by the first one: sharp
// corners as drawn for takeoff, arcs cut so that no chord leaves its arc by
// more than tol metres.
func (r *Ring) Polyline(tol float64) []geom.Point {
	var out []geom.Point
	for _, l := range r.legs {
		out = append(out, l.a)
		if l.arc {
			n := arcCuts(l.radius, math.Abs(l.sweep), tol)
			for i := 1; i < n; i++ {
				out = append(out, l.at(l.length*float64(i)/float64(n)))
			}
		}
	}
	return out
}

func arcCuts(r, sweep, tol float64) int {
	if r <= tol {
		return 1
	}
	step := 2 * math.Acos(1-tol/r)
	return max(2, int(math.Ceil(sweep/step)))
}

// Straights returns the straight sides in ring order.
func (r *Ring) Straights() []geom.Segment {
	var out []geom.Segment
	for _, l := range r.legs {
		if !l.arc {
			out = append(out, geom.Segment{A: l.a, B: l.b})
		}
	}
	return out
}

// Bends returns, for every sharp corner, the tangent points and centre of the
// bend that is drawn there.
func (r *Ring) Bends() []CornerBend {
	var out []CornerBend
	n := len(r.legs)
	for i, l := range r.legs {
		m := r.legs[(i+1)%n]
		if l.arc || m.arc {
			continue
		}
		u, v := l.dir(0), m.dir(0)
		turn := math.Atan2(u.Cross(v), u.Dot(v))
		if math.Abs(turn) < 1e-6 {
			continue
		}
		t := float64(r.Radius) * math.Tan(math.Abs(turn)/2)
		if t > l.length/2 || t > m.length/2 {
			t = min(l.length, m.length) / 2
		}
		radius := t / math.Tan(math.Abs(turn)/2)
		in := l.b.Sub(u.Scale(t))
		side := u.Left()
		if turn < 0 {
			side = side.Scale(-1)
		}
		out = append(out, CornerBend{Corner: l.b, In: in, Out: l.b.Add(v.Scale(t)), Centre: in.Add(side.Scale(radius)), Radius: radius, Turn: turn})
	}
	return out
}

// CornerBend is a ring corner as it is bent.
type CornerBend struct {
	Corner, In, Out, Centre geom.Point
	Radius                  float64
	Turn                    float64 // radians, positive to the left
}

// Inside reports whether a point lies inside the ring.
func (r *Ring) Inside(p geom.Point) bool { return geom.Outline(r.Polyline(0.01)).Contains(p) }
