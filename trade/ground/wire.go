// Package ground computes the resistance to earth of buried bare conductors
// in horizontally layered soil, what they do to each other and to the surface
// about them, what a fall-of-potential test of them reads, and which additions
// bring the resistance to a target at least cost.
//
// Two kinds of answer are here and are never to be compared at each other's
// tolerance: Solve is a field solution of the whole electrode; the textbook
// functions (RodAtGrade, CircularRing ...) are the classical formulas with
// their authors' simplifications.
//
// Coordinates are x, y and depth z, positive DOWN, in metres, z = 0 at
// finished grade.
//
// An answer is an estimate from a layered model of the soil, not a
// measurement. Step and touch voltage (Touch, Walk) are shares of the rise, and
// what a body bears is not here: at a high-voltage site they need an engineer.
// Local code and the authority having jurisdiction decide what is accepted.
package ground

import (
	"fmt"
	"math"
)

// Wire is a round conductor, a rod or a wire, along a path of straight pieces;
// bare in the soil unless it says otherwise.
type Wire struct {
	Radius float64      // m
	Path   [][3]float64 // x, y, depth, in m; at least two points
	// Insulated is a stretch that bonds but does not leak: in a conduit, or
	// with a jacket of plastic. It may cross other metal.
	Insulated bool
	// Jacket is what lies close about the conductor, nil for the soil itself.
	Jacket *Jacket
}

// Jacket is a cylinder of concrete or backfill about a conductor and over its
// ends. Its ends are taken as not leaking, which reads up to 1.5 % high for a
// rod of 8 ft.
type Jacket struct {
	Radius      float64 // m, more than the conductor's
	Resistivity float64 // ohm-m
}

// series returns the resistance of a jacket from the conductor's surface to
// its own, times length,
//
//	rho/(2 pi) ln(b/a)
//
// rho resistivity in ohm-m, b radius of the jacket, a of the conductor, in m;
// in ohm-m. Current straight out; the two ends of the jacket are left out.
// Exact for a long cylinder.
func (j *Jacket) series(a float64) float64 {
	if j == nil {
		return 0
	}
	return j.Resistivity / (2 * math.Pi) * math.Log(j.Radius/a)
}

// Electrode is a set of wires that are joined, by touching or above grade, and
// so have one potential.
type Electrode struct {
	ID    string
	Wires []Wire
}

// Fault says what is wrong with an input.
type Fault int

// Faults.
const (
	BadSoil         Fault = iota
	NoElectrodes          // or an electrode without wires
	BadID                 // empty or twice
	BadRadius             // zero, negative, not a number, or thicker than 1 m
	BadPoint              // not a number or beyond 100 km
	AboveGrade            // depth below zero
	ZeroLength            // fewer than two points, or two that coincide
	TooShort              // shorter than four radii: not a thin wire
	Coincident            // two conductors lie in each other
	TouchingOther         // conductors of two electrodes touch
	TooManyElements       // the mesh would be larger than Options.MaxElements
	BadOption             // an option that is not usable
	BadPlace              // a point, stake or probe that cannot be asked about
	NotSolvable           // the matrix could not be factored
	BadJacket             // thinner than its conductor, or of no usable resistivity
	BadCost               // a cost that is negative, not a number, or missing where it is asked for
	OutOfReach            // a target that all candidates together do not reach
)

// Error is an input that cannot be solved. Electrode and Wire (from 0, -1 for
// none) name the conductor.
type Error struct {
	Fault     Fault
	Electrode string
	Wire      int
	What      string
	Mend      string
}

func (e *Error) Error() string {
	s := "ground: "
	if e.Electrode != "" {
		s += fmt.Sprintf("electrode %s: ", e.Electrode)
	}
	if e.Wire >= 0 {
		s += fmt.Sprintf("wire %d: ", e.Wire+1)
	}
	return s + e.What
}

func whole(f Fault, what, mend string) *Error { return &Error{f, "", -1, what, mend} }

// maxCoordinate bounds a coordinate: beyond it horizontal layers mean nothing.
const maxCoordinate = 1e5

// piece is one straight run of conductor.
type piece struct {
	a, b      vec
	r         float64
	electrode int
	wire      int
	tag       int     // pieces of different tags are never taken for one
	series    float64 // ohm-m of its jacket
}

// pieces checks the input and returns its straight runs.
func pieces(es []Electrode, limit int) ([]piece, error) {
	if len(es) == 0 {
		return nil, whole(NoElectrodes, "no electrodes", "give at least one")
	}
	var out []piece
	seen := map[string]bool{}
	for k, e := range es {
		if e.ID == "" || seen[e.ID] {
			return nil, &Error{BadID, e.ID, -1, fmt.Sprintf("electrode %d has no name of its own", k+1), "give every electrode a different id"}
		}
		seen[e.ID] = true
		if len(e.Wires) == 0 {
			return nil, &Error{NoElectrodes, e.ID, -1, "no wires", "give at least one wire"}
		}
		bare := 0
		for w, wire := range e.Wires {
			fail := func(f Fault, mend, format string, args ...any) error {
				return &Error{f, e.ID, w, fmt.Sprintf(format, args...), mend}
			}
			if !(wire.Radius > 1e-6 && wire.Radius <= 1) {
				return nil, fail(BadRadius, "give the radius in m: a 5/8 in rod has 0.0079", "radius %g m is not usable", wire.Radius)
			}
			if len(wire.Path) < 2 {
				return nil, fail(ZeroLength, "give at least two points", "%d points are no wire", len(wire.Path))
			}
			r := wire.Radius
			if j := wire.Jacket; j != nil {
				if !(j.Radius > r*(1+1e-9) && j.Radius <= 1) {
					return nil, fail(BadJacket, "give the outer radius in m, more than the conductor's and at most 1 m", "a jacket of radius %g m about a radius of %g m is not usable", j.Radius, r)
				}
				if !(j.Resistivity > 1e-6 && j.Resistivity <= 1e9) {
					return nil, fail(BadJacket, "give its resistivity in ohm-m: damp concrete has some tens", "a jacket of %g ohm-m is not usable", j.Resistivity)
				}
				r = j.Radius
			}
			var length float64
			var kept []vec
			for i, p := range wire.Path {
				for _, c := range p {
					if !(math.Abs(c) <= maxCoordinate) {
						return nil, fail(BadPoint, "give finite coordinates in m", "point %d has coordinate %g", i+1, c)
					}
				}
				if p[2] < 0 {
					return nil, fail(AboveGrade, "depth is positive down; leave out what is above grade", "point %d is %g m above grade", i+1, -p[2])
				}
				v := vec{p[0], p[1], p[2]}
				if i > 0 {
					d := v.sub(vec(wire.Path[i-1])).norm()
					if d < 1e-9 {
						return nil, fail(ZeroLength, "leave out the second", "points %d and %d are the same", i, i+1)
					}
					length += d
				}
				kept = keep(kept, v, 3*r, i == len(wire.Path)-1)
			}
			if wire.Insulated {
				continue
			}
			if length < 4*r || len(kept) < 2 {
				return nil, fail(TooShort, "leave it out, or give its whole length", "%.3g m long with a radius of %.3g m is not a thin wire", length, r)
			}
			bare++
			for i := 1; i < len(kept); i++ {
				out = append(out, piece{a: kept[i-1], b: kept[i], r: r, electrode: k, wire: w, series: wire.Jacket.series(wire.Radius)})
			}
			if len(out) > limit {
				return nil, fail(TooManyElements, "leave out points, or raise the limit", "more than %d straight pieces", limit)
			}
		}
		if bare == 0 {
			return nil, &Error{NoElectrodes, e.ID, -1, "all its wires are insulated", "give at least one bare wire"}
		}
	}
	return out, nil
}

// keep appends v unless it lies within d of the last point kept: a bend is
// not resolved finer than three radii, and a piece shorter than that is no
// thin wire. The last point of a path is always kept.
func keep(kept []vec, v vec, d float64, last bool) []vec {
	for len(kept) > 0 && v.sub(kept[len(kept)-1]).norm() < d {
		if !last || len(kept) == 1 {
			if last {
				return append(kept, v)
			}
			return kept
		}
		kept = kept[:len(kept)-1]
	}
	return append(kept, v)
}

type vec [3]float64

func (p vec) add(q vec) vec              { return vec{p[0] + q[0], p[1] + q[1], p[2] + q[2]} }
func (p vec) sub(q vec) vec              { return vec{p[0] - q[0], p[1] - q[1], p[2] - q[2]} }
func (p vec) scale(k float64) vec        { return vec{p[0] * k, p[1] * k, p[2] * k} }
func (p vec) dot(q vec) float64          { return p[0]*q[0] + p[1]*q[1] + p[2]*q[2] }
func (p vec) norm() float64              { return math.Sqrt(p.dot(p)) }
func (p vec) along(q vec, t float64) vec { return p.add(q.sub(p).scale(t)) }
func (p vec) less(q vec) bool {
	for i := range p {
		if p[i] != q[i] {
			return p[i] < q[i]
		}
	}
	return false
}
