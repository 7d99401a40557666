package raceway

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/unit"
)

// Bender is one shoe of a person's own bender, by its own figures. What is
// not told is zero.
type Bender struct {
	Name    string
	Kind    Kind
	Trade   unit.Trade
	Radius  unit.Metre    // that it bends to, at the centerline
	TakeUp  unit.Metre    // of a 90 degree stub: back of the bend to the arrow
	Arrow   unit.Metre    // start of the arc back to the arrow, where it is told instead
	Aimed   bool          // Arrow is told
	Marks   []unit.Degree // angles that the shoe has a mark for
	End     unit.Metre    // least pipe between an end and the nearest arc
	Between unit.Metre    // least pipe between two arcs
}

// Lead returns how far the arrow lies before the start of the arc, toward the
// measuring end; negative where it lies in the arc. Of a take-up it is
//
//	lead = takeup - (R + OD/2)
//
// since the back of a 90 degree bend is R + OD/2 beyond the start of its arc.
// The shoe grips the pipe in the same place whatever the angle, so the lead
// serves every bend that is made with the hook toward the measuring end. ok is
// false where the bender's figures do not give it.
func (b Bender) Lead() (unit.Metre, bool) {
	if b.Aimed {
		return b.Arrow, true
	}
	if d, ok := Dim(b.Kind, b.Trade); ok && b.TakeUp > 0 && b.Radius > 0 {
		return b.TakeUp - (b.Radius + d.OD/2), true
	}
	return 0, false
}

// Marked reports whether the shoe has a mark for an angle.
func (b Bender) Marked(a unit.Degree) bool {
	return slices.ContainsFunc(b.Marks, func(m unit.Degree) bool { return math.Abs(float64(m-a)) < 1e-6 })
}

// Beside returns the marks next below and above an angle; zero where there is
// none.
func (b Bender) Beside(a unit.Degree) (below, above unit.Degree) {
	for _, m := range b.Marks {
		if m < a && m > below {
			below = m
		}
		if m > a && (above == 0 || m < above) {
			above = m
		}
	}
	return below, above
}

// OffsetAngle returns the angle of an offset of height h that nobody gave: of
// the angles that the shoe has a mark for, the one nearest to the usual one at
// which the straight between the bends is no less than the bender needs. ok is
// false where there is none.
func (b Bender) OffsetAngle(h, r unit.Metre, usual unit.Degree) (unit.Degree, bool) {
	return b.nearest(usual, func(a unit.Degree) bool {
		o, err := OffsetOf(h, a, r)
		return a < 90 && err == nil && o.Straight >= b.Between-hair
	})
}

// SaddleAngle returns the center angle of a three-bend saddle that nobody
// gave: the shoe has a mark for it and for its half.
func (b Bender) SaddleAngle(h, r unit.Metre, usual unit.Degree) (unit.Degree, bool) {
	return b.nearest(usual, func(a unit.Degree) bool {
		if !b.Marked(a / 2) {
			return false
		}
		s, err := Saddle3Of(h, a/2, r)
		return err == nil && s.Straight >= b.Between-hair
	})
}

// nearest returns the mark nearest to an angle that serves, the smaller of two
// as near.
func (b Bender) nearest(usual unit.Degree, serves func(unit.Degree) bool) (best unit.Degree, ok bool) {
	marks := slices.Clone(b.Marks)
	stable.Ascend(marks)
	for _, a := range marks {
		if serves(a) && (!ok || math.Abs(float64(a-usual)) < math.Abs(float64(best-usual))-1e-9) {
			best, ok = a, true
		}
	}
	return best, ok
}

// hair is a length that cannot be told from none, m.
const hair = unit.Metre(1e-7)

// Snag is a bend that a bender does not make as it is marked.
type Snag struct {
	Bend int // of the marks, from 0
	What SnagKind
	Have unit.Metre
	Need unit.Metre
}

// SnagKind is what hinders a bend.
type SnagKind int

// What hinders.
const (
	NearEnd  SnagKind = iota // too little pipe before its arc
	NearTail                 // too little pipe behind its arc
	NearNext                 // too little pipe to the bend before it
	Radius                   // drawn to another radius than the shoe's
	NoArrow                  // the arrow would lie off the pipe
)

// Snags returns what hinders the bender on one pipe of the length.
func (b Bender) Snags(marks []Mark, pipe unit.Metre) []Snag {
	var out []Snag
	lead, aimed := b.Lead()
	for i, m := range marks {
		switch {
		case i == 0 && m.Start < b.End-hair:
			out = append(out, Snag{i, NearEnd, m.Start, b.End})
		case i == 0 && aimed && m.Start < lead-hair:
			out = append(out, Snag{i, NoArrow, m.Start, lead})
		}
		if i > 0 {
			if gap := m.Start - marks[i-1].End; gap < b.Between-hair {
				out = append(out, Snag{i, NearNext, gap, b.Between})
			}
		}
		if i == len(marks)-1 {
			if tail := pipe - m.End; tail < b.End-hair {
				out = append(out, Snag{i, NearTail, tail, b.End})
			}
		}
		if b.Radius > 0 && math.Abs(float64(m.Radius-b.Radius)) > float64(unit.Inch)/64 {
			out = append(out, Snag{i, Radius, m.Radius, b.Radius})
		}
	}
	return out
}

// HeatTemperature returns about how hot PVC is when it bends.
func HeatTemperature() (unit.Celsius, cite.Ref) {
	v, c := figure("pvc.heat.temp")
	return unit.FromFahrenheit(v), c
}

// HeatForm is a bend of PVC that is made with heat.
type HeatForm struct {
	Heated unit.Metre  // pipe to be heated: the arc along the outside of the bend
	From   unit.Metre  // of it before the start of the arc, and as much behind
	Least  unit.Metre  // least radius to the centerline
	Time   unit.Second // at least
	Plugs  bool        // the ends are plugged so that it does not flatten
}

// HeatFormOf returns how PVC is heated for a bend:
//
//	heated = (R + OD/2) t, half of what that is over R t on each side
//	least R = the greater of Table 2 and 4 OD + OD/2
//	time = 30 s for each half inch of trade size
//
// R the radius to the centerline and OD the outside diameter, m; t the angle,
// rad. The outside of the bend is the part that stretches most. Plugs go in
// above the size of common practice. Heated PVC burns the skin and gives off
// fume: gloves and moving air, no torch; the bender's own sheet decides.
func HeatFormOf(k Kind, t unit.Trade, a unit.Degree, r unit.Metre) (HeatForm, error) {
	if m, ok := MaterialOf(k, false); !ok || m != PVC {
		return HeatForm{}, fmt.Errorf("%s is not bent with heat", k)
	}
	d, ok := Dim(k, t)
	if !ok || !(a > 0) || !(r > 0) {
		return HeatForm{}, fmt.Errorf("a bend needs a known size, an angle and a radius")
	}
	f := HeatForm{Heated: DevelopedLength(r+d.OD/2, a)}
	f.From = (f.Heated - DevelopedLength(r, a)) / 2
	inside, _ := HeatRadius(d.OD)
	f.Least = inside + d.OD/2
	if m, _, ok := MinBendRadius(t, OtherBend); ok {
		f.Least = max(f.Least, m)
	}
	f.Time, _ = MinHeatTime(t)
	plug, _ := figure("pvc.heat.plug")
	f.Plugs = t.Nominal() > plug+1e-9
	return f, nil
}

// Racked is one raceway of a rack through one turn.
type Racked struct {
	Radius  unit.Metre // to its centerline
	Offset  unit.Metre // its centerline from that of the innermost
	Corner  unit.Metre // its corner, further along the run than that of the innermost
	Start   unit.Metre // the start of its arc, further along than that of the innermost
	Tangent unit.Metre // corner to either end of its arc
	Arc     unit.Metre
}

// rack returns the raceways of a rack through a turn, innermost first.
func rack(od []unit.Metre, gap unit.Metre, a unit.Degree, radius func(offset unit.Metre) unit.Metre) ([]Racked, error) {
	if len(od) == 0 || !(gap >= 0) || !(a > 0) || !(a < 180) {
		return nil, fmt.Errorf("a rack needs raceways, a gap and an angle under 180 degrees")
	}
	var out []Racked
	offset := unit.Metre(0)
	for i, d := range od {
		if !(d > 0) {
			return nil, fmt.Errorf("raceway %d has no outside diameter", i+1)
		}
		if i > 0 {
			offset += od[i-1]/2 + gap + d/2
		}
		r := radius(offset)
		if !(r > d/2) || math.IsInf(float64(r), 0) {
			return nil, fmt.Errorf("%w: a radius of %s is within the pipe", ErrTooTight, unit.Inches(r))
		}
		q := Racked{Radius: r, Offset: offset, Corner: ParallelShift(offset, a), Tangent: Tangent(r, a), Arc: DevelopedLength(r, a)}
		q.Start = q.Corner - q.Tangent
		if i > 0 {
			q.Start += out[0].Tangent
		} else {
			q.Start = 0
		}
		out = append(out, q)
	}
	return out, nil
}

// Concentric returns the bends of several parallel raceways about one center,
// innermost first, with the same clear gap all the way round:
//
//	R_n = R_1 + offset;  offset = sum of OD/2 + gap + OD/2;  corner shift = offset tan(t/2);  start shift = 0
//
// All arcs begin on one line square to the run.
func Concentric(od []unit.Metre, gap, inner unit.Metre, a unit.Degree) ([]Racked, error) {
	return rack(od, gap, a, func(offset unit.Metre) unit.Metre { return inner + offset })
}

// Parallel returns the bends of several parallel raceways all bent to one
// radius, as one shoe makes them. Each starts its arc later than the innermost
// one so that the spacing is kept on both sides of the turn:
//
//	start shift = offset tan(t/2)
//
// Within the turn the gap widens to offset / cos(t/2) less the pipes.
func Parallel(od []unit.Metre, gap, r unit.Metre, a unit.Degree) ([]Racked, error) {
	return rack(od, gap, a, func(unit.Metre) unit.Metre { return r })
}
