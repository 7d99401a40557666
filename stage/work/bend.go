package work

import (
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/stage/order"
	"stubup/trade/raceway"
)

// Stick is one length of pipe as it is cut, marked and bent. Every distance
// on it is measured from the end that comes first along the run.
type Stick struct {
	Run   string
	No    int // along the run, from 1
	Kind  raceway.Kind
	Trade unit.Trade
	From  unit.Metre // station along the run of the measuring end
	Cut   unit.Metre
	Whole bool // a stick as it comes
	Bends []Bend

	// Where the stick lies, to walk its marks back into place.
	At     geom.Point3
	Dir    geom.Point3 // at the measuring end
	Normal geom.Point3 // of the plane of its first bend: direction x side
}

// Bend is one bend of a stick with its mark.
type Bend struct {
	raceway.Mark
	Where string     // "90 left", "offset 30 up": toward what, in the run's words
	Made  string     // field, heated; "" when not said
	Arrow unit.Metre // where the arrow of a hand bender goes, by its take-up
	Shoe  string     // what the arrow leans on; empty where no figure is carried

	ShoeCite cite.Ref
}

// TurnWords returns which way the bend goes and how the pipe is turned in the
// bender before it.
func (b Bend) TurnWords(first bool) string {
	return b.Where + ": " + b.turn(first)
}

func (b Bend) turn(first bool) string {
	if first {
		return "pipe as clamped"
	}
	t := math.Mod(float64(b.Turn)+360, 360)
	switch {
	case t < 0.05 || t > 359.95:
		return "same way, pipe not turned"
	case math.Abs(t-180) < 0.05:
		return "pipe turned over, 180 deg"
	case t < 180:
		return "pipe turned " + unit.Trim(t, 1) + " deg clockwise"
	}
	return "pipe turned " + unit.Trim(360-t, 1) + " deg counterclockwise"
}

// Sticks returns the lengths of pipe of a run in order, with the marks of the
// bends that are made on them. A raceway that comes in a coil has none.
func Sticks(r plan.Run, sys unit.System) []Stick {
	if r.Kind.Flexible() {
		return nil
	}
	full, _ := order.StickOf(r)
	var out []Stick
	for _, st := range order.Stretches(r, sys) {
		for _, bit := range st.Sticks {
			s := Stick{Run: r.ID, No: len(out) + 1, Kind: r.Kind, Trade: r.Trade, From: st.From + bit.From, Cut: bit.Length()}
			s.Whole = math.Abs(float64(s.Cut-full)) < 1e-6
			s.bend(st, bit)
			out = append(out, s)
		}
	}
	return out
}

// bend takes the part of a stretch that lies on the stick and marks it.
func (s *Stick) bend(st order.Stretch, bit order.Bit) {
	const hair = unit.Metre(1e-7)
	var parts []raceway.Part
	var arcs []plan.Piece
	var normal geom.Point3
	x := unit.Metre(0)
	placed := false
	for _, q := range st.Pieces {
		from, to := max(x, bit.From), min(x+q.Length, bit.To)
		if to > from+hair {
			if !placed {
				s.At, s.Dir, placed = q.At(float64(from-x)), q.Dir, true
			}
			if !q.Arc {
				parts = append(parts, raceway.Part{Straight: to - from})
			} else {
				n := q.Dir.Cross(q.Centre.Sub(q.A).Unit()).Unit()
				roll := 0.0
				if len(arcs) == 0 {
					s.Normal = n
				} else {
					roll = math.Atan2(q.Dir.Dot(normal.Cross(n)), normal.Dot(n)) * 180 / math.Pi
				}
				normal = n
				parts = append(parts, raceway.Part{Name: q.What, Bend: q.Angle, Radius: q.Radius, Roll: unit.Degree(roll)})
				arcs = append(arcs, q)
			}
		}
		x += q.Length
	}
	marks, _, err := raceway.Marks(parts)
	if err != nil {
		return
	}
	od := unit.Metre(0)
	if d, ok := raceway.Dim(s.Kind, s.Trade); ok {
		od = d.OD
	}
	for i, m := range marks {
		b := Bend{Mark: m, Where: arcs[i].What, Made: arcs[i].Made}
		// A stub: the first bend of the stick, a quarter, by a hand bender.
		if i == 0 && math.Abs(float64(m.Angle)-90) < 1e-6 && od > 0 {
			stub := m.Start + m.Radius + od/2 // end of the pipe to the back of the bend
			if at, c, ok := raceway.TakeUpMark(s.Kind, s.Trade, stub); ok && at > 0 {
				b.Arrow = at
				b.Shoe, b.ShoeCite = "take-up "+unit.Inches(stub-at), c
			}
		}
		s.Bends = append(s.Bends, b)
	}
}

// Name returns the stick in words.
func (s Stick) Name() string { return fmt.Sprintf("%s, stick %d", s.Run, s.No) }

// Walk returns where the end of the stick comes to lie when its marks are
// bent as given, and the direction there: the marks read back into space.
// Straights run between marks; each bend turns by its angle on its radius in
// a plane rolled from the first by its roll.
func (s Stick) Walk(marks []raceway.Mark, cut unit.Metre) (at, dir geom.Point3) {
	at, dir = s.At, s.Dir
	normal := s.Normal
	x := unit.Metre(0)
	roll := 0.0
	for i, m := range marks {
		at = at.Add(dir.Scale(float64(m.Start - x)))
		// Turn the plane about the pipe.
		d := (float64(m.Roll) - roll) * math.Pi / 180
		if i == 0 {
			d = 0
		}
		normal = normal.Scale(math.Cos(d)).Add(dir.Cross(normal).Scale(math.Sin(d)))
		roll = float64(m.Roll)
		side := normal.Cross(dir)
		a := float64(m.Angle) * math.Pi / 180
		r := float64(m.Radius)
		at = at.Add(dir.Scale(r * math.Sin(a))).Add(side.Scale(r * (1 - math.Cos(a))))
		dir = dir.Turn(side, a).Unit()
		x = m.Start + raceway.DevelopedLength(m.Radius, m.Angle)
	}
	return at.Add(dir.Scale(float64(cut - x))), dir
}
