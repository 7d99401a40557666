package pull

import (
	"fmt"
	"math"

	"stubup/base/geom"
	"stubup/base/unit"
)

// Form says which law an element follows.
type Form string

// The forms. A vertical bend with one end level has a name of its own; one
// between two slopes follows the same law.
const (
	Level         Form = "level straight"
	Up            Form = "straight up a slope"
	Down          Form = "straight down a slope"
	BendLevel     Form = "level bend"
	BendLevelUp   Form = "bend from level to up"
	BendUpLevel   Form = "bend from up to level"
	BendLevelDown Form = "bend from level to down"
	BendDownLevel Form = "bend from down to level"
	BendVertical  Form = "bend in a vertical plane"
	BendTilted    Form = "bend in a tilted plane"
)

// flat is the part of a unit vector under which a direction counts as level,
// or a plane as vertical: a thousandth of an inch in a hundred feet.
const flat = 1e-6

// Element is one straight or one circular bend of a path, in the direction of
// the pull. A bend may lie in any plane: two numbers place it against the
// vertical.
type Element struct {
	Name   string
	Length unit.Metre  // of a straight; zero for a bend
	Angle  unit.Degree // turned by a bend; zero for a straight
	Radius unit.Metre  // of a bend, to the centerline
	// Rise is the sine of the slope: of a straight, or at the start of a bend.
	Rise float64
	// Toward is the upward part of the unit vector from the start of a bend to
	// its center: 1 for a bend from level to up, -1 for one from level to down.
	Toward float64
	// Open marks a bend outside the raceway, as over a sheave: its inside
	// radius is Radius.
	Open bool
}

// Straight returns a straight of a length and a slope, positive upward in the
// direction of the pull.
func Straight(length unit.Metre, slope unit.Degree) Element {
	return Element{Length: length, Rise: math.Sin(rad(slope))}
}

// LevelBend returns a bend in a level plane.
func LevelBend(angle unit.Degree, radius unit.Metre) Element {
	return Element{Angle: angle, Radius: radius}
}

// VerticalBend returns a bend in a vertical plane from one slope to another,
// both positive upward in the direction of the pull: from 0 to 90 turns up,
// from 90 to 0 comes over the top, from 0 to -90 turns down, from -90 to 0
// comes out at the foot.
func VerticalBend(from, to unit.Degree, radius unit.Metre) Element {
	e := Element{Angle: to - from, Radius: radius, Rise: math.Sin(rad(from)), Toward: math.Cos(rad(from))}
	if to < from {
		e.Angle, e.Toward = -e.Angle, -e.Toward
	}
	return e
}

// TiltedBend returns a bend in any plane: rise is the sine of the slope at its
// start, toward the upward part of the unit vector from there to its center.
func TiltedBend(angle unit.Degree, radius unit.Metre, rise, toward float64) Element {
	return Element{Angle: angle, Radius: radius, Rise: rise, Toward: toward}
}

// Bend reports whether the element is a bend.
func (e Element) Bend() bool { return e.Angle != 0 || e.Radius != 0 }

// Run returns the length along the centerline.
func (e Element) Run() unit.Metre {
	if e.Bend() {
		return e.Radius * unit.Metre(rad(e.Angle))
	}
	return e.Length
}

// Form returns the law that the element follows.
func (e Element) Form() Form {
	if !e.Bend() {
		switch {
		case e.Rise > flat:
			return Up
		case e.Rise < -flat:
			return Down
		}
		return Level
	}
	switch {
	case math.Abs(e.Rise) < flat && math.Abs(e.Toward) < flat:
		return BendLevel
	case !e.vertical():
		return BendTilted
	}
	end := e.end()
	switch {
	case math.Abs(e.Rise) < flat && end.Rise > flat && e.Toward > 0 && e.Angle <= 90:
		return BendLevelUp
	case math.Abs(e.Rise) < flat && end.Rise < -flat && e.Toward < 0 && e.Angle <= 90:
		return BendLevelDown
	case math.Abs(end.Rise) < flat && e.Rise > flat && end.Toward < 0 && e.Angle <= 90:
		return BendUpLevel
	case math.Abs(end.Rise) < flat && e.Rise < -flat && end.Toward > 0 && e.Angle <= 90:
		return BendDownLevel
	}
	return BendVertical
}

// vertical reports whether the plane of a bend is vertical: then the start and
// the center hold all of the upward direction between them.
func (e Element) vertical() bool {
	return math.Abs(1-e.Rise*e.Rise-e.Toward*e.Toward) < flat*flat
}

// end returns the rise and the toward of the far end of a bend.
func (e Element) end() Element {
	s, c := math.Sincos(rad(e.Angle))
	e.Rise, e.Toward = e.Rise*c+e.Toward*s, e.Toward*c-e.Rise*s
	return e
}

// Reversed returns the element as met by a pull the other way.
func (e Element) Reversed() Element {
	if e.Bend() {
		e = e.end()
	}
	e.Rise = -e.Rise
	return e
}

// Reverse returns the path as met by a pull the other way.
func Reverse(path []Element) []Element {
	out := make([]Element, 0, len(path))
	for i := len(path) - 1; i >= 0; i-- {
		out = append(out, path[i].Reversed())
	}
	return out
}

// Check returns what is wrong with an element, naming it.
func (e Element) Check() error {
	for _, v := range []struct {
		name  string
		value float64
	}{{"length", float64(e.Length)}, {"bend angle", float64(e.Angle)}, {"bend radius", float64(e.Radius)}, {"rise", e.Rise}, {"upward part toward the center", e.Toward}} {
		if math.IsNaN(v.value) || math.IsInf(v.value, 0) {
			return fmt.Errorf("the %s is %v", v.name, v.value)
		}
	}
	if !e.Bend() {
		switch {
		case e.Length < 0:
			return fmt.Errorf("a straight of negative length %s ft", unit.Trim(e.Length.Ft(), 3))
		case math.Abs(e.Rise) > 1:
			return fmt.Errorf("a slope whose sine is %v", e.Rise)
		}
		return nil
	}
	switch {
	case e.Length != 0:
		return fmt.Errorf("a bend has no straight length; %s ft is given", unit.Trim(e.Length.Ft(), 3))
	case e.Radius <= 0:
		return fmt.Errorf("a bend of %s degrees with a radius of %s in", unit.Trim(float64(e.Angle), 2), unit.Trim(e.Radius.In(), 3))
	case e.Angle <= 0 || e.Angle > 360:
		return fmt.Errorf("a bend angle of %s degrees; it must be over 0 and up to 360", unit.Trim(float64(e.Angle), 2))
	case e.Rise*e.Rise+e.Toward*e.Toward > 1+1e-9:
		return fmt.Errorf("a bend whose rise %v and upward part toward the center %v are no parts of square directions", e.Rise, e.Toward)
	}
	return nil
}

// CheckPath returns what is wrong with a path, naming the first bad element.
func CheckPath(path []Element) error {
	for i, e := range path {
		if err := e.Check(); err != nil {
			return fmt.Errorf("%s: %w", e.label(i), err)
		}
	}
	return nil
}

func (e Element) label(i int) string {
	if e.Name != "" {
		return e.Name
	}
	return fmt.Sprintf("element %d", i+1)
}

// Piece is a straight or a circular arc of a raceway in space, z upward.
type Piece struct {
	Name   string
	Arc    bool
	A, B   geom.Point3
	Dir    geom.Point3 // of an arc: direction of travel at A
	Center geom.Point3 // of an arc
	Angle  unit.Degree // of an arc
}

// loose is how far two pieces may stand apart, or their directions turn, and
// still join: a sixteenth of an inch, and about half a degree.
const (
	loose unit.Metre = unit.Inch / 16
	kink             = 0.01
)

// FromPieces returns the path of joined pieces. It refuses a gap and a kink: a
// cable cannot turn without a radius, and a box or a conduit body where it
// turns in the open is a pull point, at which a section ends.
func FromPieces(pieces []Piece) ([]Element, error) {
	out := make([]Element, 0, len(pieces))
	var at, way geom.Point3
	for i, p := range pieces {
		name := p.Name
		if name == "" {
			name = fmt.Sprintf("piece %d", i+1)
		}
		e, in, leave, err := p.element()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if i > 0 {
			if d := at.Dist(p.A); !(d <= float64(loose)) {
				return nil, fmt.Errorf("%s: it starts %s in from the end of the piece before", name, unit.Trim(unit.Metre(d).In(), 2))
			}
			if d := way.Dist(in); !(d <= kink) {
				return nil, fmt.Errorf("%s: it turns %s degrees from the piece before without a radius", name, unit.Trim(2*math.Asin(math.Min(1, d/2))*180/math.Pi, 1))
			}
		}
		at, way = p.B, leave
		out = append(out, e)
	}
	return out, nil
}

// element returns the piece against the vertical and its directions at both
// ends.
func (p Piece) element() (e Element, in, out geom.Point3, err error) {
	for _, v := range []geom.Point3{p.A, p.B, p.Dir, p.Center} {
		if n := v.Norm(); math.IsNaN(n) || math.IsInf(n, 0) {
			return e, in, out, fmt.Errorf("a place or direction is not finite")
		}
	}
	e.Name = p.Name
	if !p.Arc {
		d := p.B.Sub(p.A)
		if d.Norm() == 0 {
			return e, in, out, fmt.Errorf("a straight of no length")
		}
		in = d.Unit()
		e.Length, e.Rise = unit.Metre(d.Norm()), in.Z
		return e, in, in, nil
	}
	r := p.Center.Sub(p.A)
	if r.Norm() == 0 {
		return e, in, out, fmt.Errorf("a bend with a radius of 0 in")
	}
	in = p.Dir.Unit()
	n := r.Unit()
	if in.Norm() == 0 || math.Abs(in.Dot(n)) > kink {
		return e, in, out, fmt.Errorf("the direction at its start is not square to the radius")
	}
	in = in.Sub(n.Scale(in.Dot(n))).Unit()
	e.Angle, e.Radius, e.Rise, e.Toward = p.Angle, unit.Metre(r.Norm()), in.Z, n.Z
	if err := e.Check(); err != nil {
		return e, in, out, err
	}
	a := rad(p.Angle)
	end := p.Center.Sub(n.Turn(in.Scale(-1), a).Scale(r.Norm()))
	if d := end.Dist(p.B); !(d <= float64(loose)) {
		return e, in, out, fmt.Errorf("its arc ends %s in from its far end", unit.Trim(unit.Metre(d).In(), 2))
	}
	return e, in, in.Turn(n, a), nil
}

func rad(d unit.Degree) float64 { return float64(d) * math.Pi / 180 }
