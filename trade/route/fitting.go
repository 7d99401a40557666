// Package route decides where a raceway goes and where its pull points stand.
//
// Two questions are answered, both exactly. Place takes a fixed path and
// chooses the bends and the pull points on it. Find looks for the path itself,
// over walls, roofs, floors, struts and trench lines, with the bends and the
// pull points in the same search. Both keep the same books on the way: cost,
// bend sum, length, straight left for a tangent, and the pulling tension from
// either end.
//
// Money is charged on takeoff lengths, corner to corner. Lengths, bend sums and
// tensions are those of the run as built, tangent to tangent. Costs may be in
// any unit as long as all are in the same one: money, feet or a count.
//
// What comes out is an estimate for laying out a run. Local code, the AHJ and
// a licensed person decide.
package route

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/unit"
)

// Bend is a bend that may be made or bought: an elbow, a sweep, a field bend.
type Bend struct {
	Name      string
	Kind      string        // "elbow", "sweep": what Forbid goes by
	Radius    unit.Metre    // of the centerline
	Inside    unit.Metre    // radius that the cable lies on; 0 takes Radius
	Angles    []unit.Degree // the angles it comes in; none: any angle
	Cost      float64       // each
	PerDegree float64       // added for each degree
	On        []string      // kinds of surface it is made for; none: all
}

// cable returns the radius that the cable is bent to.
func (b Bend) cable() unit.Metre {
	if b.Inside > 0 {
		return b.Inside
	}
	return b.Radius
}

// Fitting is a pull point that may be set: a pull box, a conduit body, a
// handhole.
type Fitting struct {
	Name     string
	Kind     string        // "box", "body", "handhole": what Forbid goes by
	Takes    unit.Metre    // straight from its middle to the raceway, on each side
	Radius   unit.Metre    // the least radius it gives the cable; 0 only where the cable goes straight through
	Straight bool          // it may stand in a straight
	Turns    []unit.Degree // turns that the cable may make in it; none: none
	AnyTurn  bool          // any turn under 180 degrees
	Cost     float64       // each
	On       []string      // kinds of surface it may stand on; none: all
	Resets   Resets
}

// Resets says what starts anew at a fitting.
type Resets struct {
	Bends   bool // the bend sum: it is a pull point to the code
	Length  bool // the length between pull points
	Tension bool // the cable is pulled out here and fed again
}

// PullPoint resets everything.
var PullPoint = Resets{Bends: true, Length: true, Tension: true}

// angleSlack is how far an angle on the ground may be from the named one and
// still be made of it: half a degree, under what a crew reads off a protractor.
const angleSlack = 0.5

func comesIn(angles []unit.Degree, a unit.Degree) bool {
	return slices.ContainsFunc(angles, func(b unit.Degree) bool { return math.Abs(float64(a-b)) <= angleSlack })
}

// makes reports whether the bend comes in this angle.
func (b Bend) makes(a unit.Degree) bool { return len(b.Angles) == 0 || comesIn(b.Angles, a) }

// admits reports whether the cable may turn by a in the fitting; 0 is
// straight through.
func (f Fitting) admits(a unit.Degree) bool {
	if a == 0 {
		return f.Straight
	}
	return f.AnyTurn || comesIn(f.Turns, a)
}

// Limits are the figures that a section between two pull points keeps. Zero is
// no limit.
type Limits struct {
	Bends    unit.Degree     // sum of the bends
	Length   unit.Metre      // from pull point to pull point
	Radius   unit.Metre      // least radius of the cable while it is pulled
	Tension  unit.Newton     // greatest on the cable
	Sidewall unit.NewtonPerM // greatest sidewall pressure
	Reel     unit.Newton     // tension with which the cable comes off the reel
}

func (l Limits) tension() bool { return l.Tension > 0 || l.Sidewall > 0 }

// slack is the share by which a figure may pass its limit: the rounding of
// sums of lengths and no more.
const slack = 1e-9

// over reports whether v is over the limit; a limit of nought is none.
func over(v, limit float64) bool { return limit > 0 && v > limit+slack*max(1, limit) }

// Fault is a thing asked that has no answer: it names the place and the mend.
type Fault struct {
	Where string
	What  string
	Mend  string
}

func (f *Fault) Error() string { return fmt.Sprintf("%s: %s; mend: %s", f.Where, f.What, f.Mend) }

func bad(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) || v < 0 }

func (l Limits) check() error {
	for _, c := range []struct {
		name string
		v    float64
	}{{"bend sum", float64(l.Bends)}, {"section length", float64(l.Length)}, {"cable radius", float64(l.Radius)}, {"tension", float64(l.Tension)}, {"sidewall pressure", float64(l.Sidewall)}, {"tension off the reel", float64(l.Reel)}} {
		if bad(c.v) {
			return &Fault{"limit of " + c.name, fmt.Sprintf("%v is not a figure", c.v), "give a figure of nought or more; nought is no limit"}
		}
	}
	return nil
}

func (b Bend) check() error {
	where := fmt.Sprintf("bend %q", b.Name)
	switch {
	case b.Name == "":
		return &Fault{"a bend", "it has no name", "name it as it stands on the bill"}
	case bad(float64(b.Radius)) || b.Radius == 0:
		return &Fault{where, "it has no radius", "give the radius of its centerline"}
	case bad(float64(b.Inside)):
		return &Fault{where, "its inside radius is not a length", "give a length, or leave it out"}
	case bad(b.Cost) || bad(b.PerDegree):
		return &Fault{where, "its cost is not a figure", "give a cost of nought or more"}
	}
	for _, a := range b.Angles {
		if bad(float64(a)) || a == 0 || a >= 180 {
			return &Fault{where, fmt.Sprintf("%v degrees is not a bend", float64(a)), "give angles between 0 and 180 degrees"}
		}
	}
	return nil
}

func (f Fitting) check() error {
	where := fmt.Sprintf("fitting %q", f.Name)
	switch {
	case f.Name == "":
		return &Fault{"a fitting", "it has no name", "name it as it stands on the bill"}
	case bad(float64(f.Takes)):
		return &Fault{where, "the straight that it takes is not a length", "give the length from its middle to the raceway"}
	case bad(float64(f.Radius)):
		return &Fault{where, "the radius that it gives the cable is not a length", "give the least radius that the cable takes in it"}
	case bad(f.Cost):
		return &Fault{where, "its cost is not a figure", "give a cost of nought or more"}
	case !f.Straight && !f.AnyTurn && len(f.Turns) == 0:
		return &Fault{where, "it can stand neither in a straight nor at a corner", "say that it may stand in a straight, or the turns that it makes"}
	case f.Radius == 0 && (f.AnyTurn || len(f.Turns) > 0):
		return &Fault{where, "the cable turns in it and it has no radius", "give the least radius that the cable takes in it"}
	}
	for _, a := range f.Turns {
		if bad(float64(a)) || a == 0 || a >= 180 {
			return &Fault{where, fmt.Sprintf("%v degrees is not a turn", float64(a)), "give turns between 0 and 180 degrees"}
		}
	}
	return nil
}

// bends reports whether the cable may take the bend.
func (l Limits) takesBend(b Bend) bool { return !over(float64(l.Radius), float64(b.cable())) }

// takesFitting reports whether the cable may go through the fitting: a body
// that bends it too sharply is not offered, whatever its name.
func (l Limits) takesFitting(f Fitting) bool {
	return f.Radius == 0 || !over(float64(l.Radius), float64(f.Radius))
}

// Tangent is R tan(a/2), arc is R a.
func tangent(r unit.Metre, a unit.Degree) float64 { return float64(r) * math.Tan(radians(a)/2) }

func arc(r unit.Metre, a unit.Degree) float64 { return float64(r) * radians(a) }

func radians(a unit.Degree) float64 { return float64(a) * math.Pi / 180 }
