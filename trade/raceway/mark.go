package raceway

import (
	"fmt"
	"math"

	"stubup/base/geom"
	"stubup/base/unit"
)

// Part is a straight or a bend of a raceway, in the order in which it runs. A
// part with a Bend is a bend; its Roll is the turn of its plane from that of
// the bend before, seen along the pipe from the measuring end, clockwise
// positive: 0 goes on the same way, 180 turns back as an offset does. The Roll
// of the first bend is from wherever the pipe was clamped.
type Part struct {
	Name     string
	Straight unit.Metre
	Bend     unit.Degree
	Radius   unit.Metre // to the centerline
	Roll     unit.Degree
}

// Length returns the length of pipe in the part.
func (p Part) Length() unit.Metre {
	if p.Bend != 0 {
		return DevelopedLength(p.Radius, p.Bend)
	}
	return p.Straight
}

// Mark is where one bend goes on the pipe. All distances are along the pipe
// from the measuring end.
type Mark struct {
	Name    string
	Start   unit.Metre // of the arc
	Middle  unit.Metre
	End     unit.Metre
	FromEnd unit.Metre // start of the arc as seen from the far end: pipe less End
	Angle   unit.Degree
	Radius  unit.Metre
	Turn    unit.Degree // from the bend before
	Roll    unit.Degree // from the first bend, 0 to under 360
}

// Marks returns the marks of the bends of one pipe and its whole length. Arc
// starts are on the developed length; a bender whose mark sits elsewhere on
// the shoe moves them all by its own amount.
func Marks(parts []Part) (marks []Mark, pipe unit.Metre, err error) {
	roll := 0.0
	for i, p := range parts {
		if p.Bend == 0 {
			if !(p.Straight >= 0) || math.IsInf(float64(p.Straight), 0) {
				return nil, 0, fmt.Errorf("part %d: %w", i+1, ErrTooTight)
			}
			pipe += p.Straight
			continue
		}
		if !(p.Bend > 0 && p.Bend <= 180) || !(p.Radius > 0) || math.IsInf(float64(p.Radius), 0) {
			return nil, 0, fmt.Errorf("part %d: a bend needs an angle up to 180 degrees and a radius", i+1)
		}
		turn := p.Roll
		if len(marks) == 0 {
			turn = 0
		}
		roll = math.Mod(math.Mod(roll+float64(turn), 360)+360, 360)
		if 360-roll < 1e-9 {
			roll = 0
		}
		arc := p.Length()
		marks = append(marks, Mark{
			Name: p.Name, Start: pipe, Middle: pipe + arc/2, End: pipe + arc,
			Angle: p.Bend, Radius: p.Radius, Turn: turn, Roll: unit.Degree(roll),
		})
		pipe += arc
	}
	for i := range marks {
		marks[i].FromEnd = pipe - marks[i].End
	}
	return marks, pipe, nil
}

// Centerline returns the parts of a pipe whose centerlines meet at the given
// corners: straights from tangent to tangent and a bend at every inner corner.
// radius has one entry for each inner corner. Corners that do not turn are
// passed straight through.
func Centerline(corners []geom.Point3, radius []unit.Metre) ([]Part, error) {
	if len(corners) < 2 {
		return nil, fmt.Errorf("a pipe has two ends")
	}
	if len(radius) != len(corners)-2 {
		return nil, fmt.Errorf("%d corners between the ends need as many radii, not %d", len(corners)-2, len(radius))
	}
	var parts []Part
	straight := unit.Metre(0)
	var normal geom.Point3 // of the plane of the bend before
	for i := 1; i < len(corners); i++ {
		leg := corners[i].Sub(corners[i-1])
		if !(leg.Norm() > geom.Eps) {
			return nil, fmt.Errorf("corners %d and %d are the same place", i, i+1)
		}
		straight += unit.Metre(leg.Norm())
		if i == len(corners)-1 {
			break
		}
		in, out := leg.Unit(), corners[i+1].Sub(corners[i]).Unit()
		turn := math.Atan2(in.Cross(out).Norm(), in.Dot(out))
		if turn < 1e-9 {
			continue
		}
		a := unit.Degree(turn * 180 / math.Pi)
		if turn > math.Pi-1e-6 {
			return nil, fmt.Errorf("corner %d folds back on itself", i+1)
		}
		r := radius[i-1]
		t := Tangent(r, a)
		if straight -= t; straight < -1e-9 {
			return nil, fmt.Errorf("corner %d: %w by %s", i+1, ErrTooTight, unit.Inches(-straight))
		}
		n := in.Cross(out).Unit()
		roll := 0.0
		if normal.Norm() > 0 {
			roll = math.Atan2(in.Dot(normal.Cross(n)), normal.Dot(n)) * 180 / math.Pi
		}
		normal = n
		parts = append(parts, Part{Straight: max(straight, 0)}, Part{Bend: a, Radius: r, Roll: unit.Degree(roll)})
		straight = -t
	}
	if straight < -1e-9 {
		return nil, fmt.Errorf("the last leg: %w by %s", ErrTooTight, unit.Inches(-straight))
	}
	return append(parts, Part{Straight: max(straight, 0)}), nil
}
