package route

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/geom"
	"stubup/base/unit"
)

// Path is a fixed run: legs from corner to corner.
type Path struct {
	From, To string     // what stands at its ends
	Takes    unit.Metre // straight that what stands at the start takes
	TakesTo  unit.Metre // the same at the end
	Legs     []Leg
}

// Leg is a straight, corner to corner, and the corner at its end.
type Leg struct {
	Length   unit.Metre  // corner to corner
	Heading  geom.Point3 // of unit length; zero where not known: taken as level
	Spots    []Spot      // places in the straight where a fitting may stand
	Turn     unit.Degree // at its end; 0: the straight goes on, or the path ends
	Bends    []Bend      // that may make the turn
	Fittings []Fitting   // that may stand at the corner
}

// Spot is a place in a straight where a fitting may stand.
type Spot struct {
	At       unit.Metre // from the start of the leg
	Fittings []Fitting
}

// Corners returns the corner-to-corner legs of a path that is given tangent to
// tangent, as it was built: straights and the bends between them. The radius of
// each bend fixes its corners.
func Corners(straights []unit.Metre, turns []unit.Degree, radius []unit.Metre) ([]Leg, error) {
	if len(straights) != len(turns)+1 || len(radius) != len(turns) {
		return nil, &Fault{"path", fmt.Sprintf("%d straights, %d bends and %d radii do not make one", len(straights), len(turns), len(radius)), "give one straight more than bends, and a radius for each bend"}
	}
	legs := make([]Leg, len(straights))
	for i, s := range straights {
		legs[i].Length = s
		if i > 0 {
			legs[i].Length += unit.Metre(tangent(radius[i-1], turns[i-1]))
		}
		if i < len(turns) {
			legs[i].Length += unit.Metre(tangent(radius[i], turns[i]))
			legs[i].Turn = turns[i]
		}
	}
	return legs, nil
}

// Reverse returns the same path from its other end.
func (p Path) Reverse() Path {
	n := len(p.Legs)
	r := Path{From: p.To, To: p.From, Takes: p.TakesTo, TakesTo: p.Takes, Legs: make([]Leg, n)}
	for i := range p.Legs {
		src := p.Legs[n-1-i]
		leg := Leg{Length: src.Length, Heading: src.Heading.Scale(-1)}
		if src.Heading == (geom.Point3{}) {
			leg.Heading = geom.Point3{}
		}
		for _, s := range slices.Backward(src.Spots) {
			leg.Spots = append(leg.Spots, Spot{src.Length - s.At, s.Fittings})
		}
		if i < n-1 {
			c := p.Legs[n-2-i]
			leg.Turn, leg.Bends, leg.Fittings = c.Turn, c.Bends, c.Fittings
		}
		r.Legs[i] = leg
	}
	return r
}

func (p Path) check() error {
	if len(p.Legs) == 0 {
		return &Fault{"path", "it has no leg", "give at least one straight"}
	}
	if bad(float64(p.Takes)) || bad(float64(p.TakesTo)) {
		return &Fault{"path", "the straight taken at an end is not a length", "give a length of nought or more"}
	}
	for i, l := range p.Legs {
		where := fmt.Sprintf("leg %d", i+1)
		if bad(float64(l.Length)) || l.Length == 0 {
			return &Fault{where, "it has no length", "give its length from corner to corner, or leave the leg out"}
		}
		if bad(float64(l.Turn)) || l.Turn >= 180 {
			return &Fault{where, fmt.Sprintf("a turn of %v degrees at its end is not a turn", float64(l.Turn)), "give an angle from 0 to under 180 degrees"}
		}
		if h := l.Heading; h != (geom.Point3{}) && !(math.Abs(h.Norm()-1) < 1e-6) {
			return &Fault{where, "its heading is not of unit length", "scale it to length 1, or leave it out"}
		}
		if i == len(p.Legs)-1 && l.Turn > 0 {
			return &Fault{where, "the path ends in a turn", "give the leg after the turn"}
		}
		at := unit.Metre(-1)
		for _, s := range l.Spots {
			if bad(float64(s.At)) || s.At > l.Length {
				return &Fault{where, fmt.Sprintf("the spot at %v ft is off it", s.At.Ft()), "give places from the start of the leg to its end"}
			}
			if s.At <= at {
				return &Fault{where, "its spots are not in order", "list them from the start of the leg, each once"}
			}
			at = s.At
			for _, f := range s.Fittings {
				if err := f.check(); err != nil {
					return err
				}
			}
		}
		for _, b := range l.Bends {
			if err := b.check(); err != nil {
				return err
			}
		}
		for _, f := range l.Fittings {
			if err := f.check(); err != nil {
				return err
			}
		}
	}
	return nil
}

// site is a place on the path where something is chosen.
type site struct {
	run      float64 // straight since the last site
	in, out  geom.Point3
	angle    unit.Degree
	bends    []Bend
	fittings []Fitting
	where    string
	end      bool
}

// sites lists the choices along the path in order; the last is its end. A leg
// that goes on straight is one with the next.
func (p Path) sites() []site {
	var out []site
	run := 0.0
	for i, l := range p.Legs {
		at := 0.0
		for _, s := range l.Spots {
			run += float64(s.At) - at
			at = float64(s.At)
			out = append(out, site{run: run, in: l.Heading, out: l.Heading, fittings: s.Fittings, where: fmt.Sprintf("leg %d, %s from its start", i+1, unit.US.Length(s.At))})
			run = 0
		}
		run += float64(l.Length) - at
		last := i == len(p.Legs)-1
		if !last && l.Turn == 0 && len(l.Fittings) == 0 && l.Heading == p.Legs[i+1].Heading {
			continue
		}
		s := site{run: run, in: l.Heading, angle: l.Turn, bends: l.Bends, fittings: l.Fittings, end: last, where: fmt.Sprintf("corner %d", i+1)}
		if last {
			s.where = "end of the path"
		} else {
			s.out = p.Legs[i+1].Heading
		}
		out = append(out, s)
		run = 0
	}
	return out
}
