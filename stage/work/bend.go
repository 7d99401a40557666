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
	Pairs []Pair // offsets and saddles that lie on it whole

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
	Gain  unit.Metre // pipe saved against a square corner

	Bender   *raceway.Bender // that makes it; nil where none is known
	Snags    []raceway.Snag  // what hinders the bender
	Unsaid   bool            // factory or field is not said
	ShoeCite cite.Ref
}

// Pair is an offset, or the half of a saddle: two bends of one angle with the
// straight between them.
type Pair struct {
	First   int // bend of the stick, from 0
	Offset  raceway.Offset
	Shop    raceway.ShopOffset // by shop constants
	HasShop bool
}

// mark prints a mark on the pipe: to an eighth of an inch, which is as fine as
// it is drawn with a marker and holds it to a sixteenth; in SI to the
// millimetre.
func mark(sys unit.System, m unit.Metre) string {
	if sys == unit.SI {
		return sys.Short(m)
	}
	return unit.FeetInches(unit.Metre(math.Round(m.In()*8)) * unit.Inch / 8)
}

// cutTo prints what a piece of pipe is cut to: all in millimetres, where the
// marks on it are.
func cutTo(sys unit.System, m unit.Metre) string {
	if sys == unit.SI {
		return sys.Short(m)
	}
	return sys.Length(m)
}

// TurnWords returns which way the bend goes and how the pipe is turned in the
// bender before it. A bender always bends to the same side: for a bend that
// goes off clockwise from the one before, the pipe is turned counterclockwise.
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
	case math.Abs(t-90) < 0.05:
		return "pipe turned 90 deg counterclockwise, the bend before to the left"
	case math.Abs(t-270) < 0.05:
		return "pipe turned 90 deg clockwise, the bend before to the right"
	case t < 180:
		return "pipe turned " + unit.Trim(t, 1) + " deg counterclockwise"
	}
	return "pipe turned " + unit.Trim(360-t, 1) + " deg clockwise"
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
			s.bend(st, bit, sys)
			out = append(out, s)
		}
	}
	return out
}

// bend takes the part of a stretch that lies on the stick and marks it.
func (s *Stick) bend(st order.Stretch, bit order.Bit, sys unit.System) {
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
		b := Bend{Mark: m, Where: arcs[i].What, Made: arcs[i].Made, Unsaid: arcs[i].Made == "", Bender: arcs[i].Bender, Gain: raceway.Gain(m.Radius, m.Angle)}
		if b.Bender != nil {
			if lead, ok := b.Bender.Lead(); ok && m.Start-lead >= 0 {
				b.Arrow, b.Shoe = m.Start-lead, "arrow "+sys.Short(lead)+" before the bend"
				if !b.Bender.Aimed {
					b.Shoe = "take-up " + sys.Short(b.Bender.TakeUp)
				}
			}
			for _, n := range b.Bender.Snags(marks, s.Cut) {
				if n.Bend == i {
					b.Snags = append(b.Snags, n)
				}
			}
			s.Bends = append(s.Bends, b)
			continue
		}
		// A stub: the first bend of the stick, a quarter, by a hand bender.
		if i == 0 && math.Abs(float64(m.Angle)-90) < 1e-6 && od > 0 {
			stub := m.Start + m.Radius + od/2 // end of the pipe to the back of the bend
			if at, c, ok := raceway.TakeUpMark(s.Kind, s.Trade, stub); ok && at > 0 {
				b.Arrow = at
				b.Shoe, b.ShoeCite = "take-up "+sys.Short(stub-at), c
			}
		}
		s.Bends = append(s.Bends, b)
	}
	for i := 0; i+1 < len(marks); i++ {
		m, n := marks[i], marks[i+1]
		// Turned right over, by one angle or by twice it at the top of a
		// saddle of three, and back on the old heading or at the top.
		if arcs[i].Part == "" || arcs[i+1].Part == "" || math.Abs(float64(n.Turn)-180) > 0.01 && math.Abs(float64(n.Turn)+180) > 0.01 {
			continue
		}
		if math.Abs(float64(n.Angle-m.Angle)) > 1e-6 && math.Abs(float64(n.Angle-2*m.Angle)) > 1e-6 || math.Abs(float64(n.Radius-m.Radius)) > 1e-9 || arcs[i].Span != arcs[i+1].Span {
			continue
		}
		t := float64(m.Angle) * math.Pi / 180
		h := unit.Metre(float64(n.Start-m.End)*math.Sin(t)) + 2*m.Radius*unit.Metre(1-math.Cos(t))
		o, err := raceway.OffsetOf(h, m.Angle, m.Radius)
		if err != nil {
			continue
		}
		p := Pair{First: i, Offset: o}
		p.Shop, p.HasShop = raceway.ShopOffsetOf(h, m.Angle)
		s.Pairs = append(s.Pairs, p)
	}
}

// hints says what the bender's own figures make of the bend.
func (b Bend) hints(sys unit.System) []string {
	var out []string
	if b.Bender == nil {
		return nil
	}
	if len(b.Bender.Marks) > 0 {
		deg := func(a unit.Degree) string { return unit.Trim(float64(a), 1) }
		switch lo, hi := b.Bender.Beside(b.Angle); {
		case b.Bender.Marked(b.Angle):
			out = append(out, "to the "+deg(b.Angle)+" mark")
		case lo > 0 && hi > 0:
			out = append(out, fmt.Sprintf("no %s mark on the shoe: between %s and %s, by a level", deg(b.Angle), deg(lo), deg(hi)))
		default:
			out = append(out, fmt.Sprintf("no %s mark on the shoe: by a level", deg(b.Angle)))
		}
	}
	for _, n := range b.Snags {
		have, need := sys.Short(n.Have), sys.Short(n.Need)
		switch n.What {
		case raceway.NearEnd:
			out = append(out, fmt.Sprintf("%s of pipe before the bend, the bender needs %s: leave it longer by %s, bend, then cut", have, need, sys.Short(n.Need-n.Have)))
		case raceway.NearTail:
			out = append(out, fmt.Sprintf("%s of pipe behind the bend, the bender needs %s: leave it longer by %s, bend, then cut", have, need, sys.Short(n.Need-n.Have)))
		case raceway.NearNext:
			out = append(out, fmt.Sprintf("%s from the bend before, the bender needs %s: change the drawing, or use a fitting between them", have, need))
		case raceway.Radius:
			out = append(out, fmt.Sprintf("drawn to a radius of %s, this bender makes %s: the marks are for the drawn one", have, need))
		case raceway.NoArrow:
			out = append(out, fmt.Sprintf("the arrow would lie %s off the pipe: measure from the other end", sys.Short(n.Need-n.Have)))
		}
	}
	return out
}

// heat says how a bend of PVC is heated.
func (b Bend) heat(k raceway.Kind, t unit.Trade, sys unit.System) []string {
	f, err := raceway.HeatFormOf(k, t, b.Angle, b.Radius)
	_, c := raceway.MinHeatTime(t)
	if err != nil {
		return []string{err.Error()}
	}
	degree, _ := raceway.HeatTemperature()
	at := unit.Trim(degree.Fahrenheit(), 0) + " F"
	if sys == unit.SI {
		at = unit.Trim(float64(degree), 0) + " C"
	}
	out := []string{
		fmt.Sprintf("heat evenly at least %s s, to about %s, %s; no torch", unit.Trim(float64(f.Time), 0), at, c.Full()),
		fmt.Sprintf("heat %s of pipe, from %s before the mark", sys.Short(f.Heated), sys.Short(f.From)),
	}
	if b.Radius < f.Least-1e-6 {
		out = append(out, fmt.Sprintf("radius %s is under the least for heat, %s: draw a wider one or order an elbow", sys.Short(b.Radius), sys.Short(f.Least)))
	}
	if f.Plugs {
		out = append(out, "plug both ends before it is heated ("+cite.Practice.Work+")")
	}
	return out
}

// shoeWords says what is known of a bender.
func shoeWords(b raceway.Bender, sys unit.System) string {
	s := "bender: " + b.Name
	if b.Radius > 0 {
		s += ", radius " + sys.Short(b.Radius)
	}
	lead, ok := b.Lead()
	switch {
	case b.Aimed:
		s += ", arrow " + sys.Short(lead) + " before the bend"
	case ok:
		s += ", take-up " + sys.Short(b.TakeUp) + ": arrow " + sys.Short(lead) + " before the bend, hook toward the end that is measured from"
	default:
		s += "; its take-up is not told, so no arrow is given"
	}
	if len(b.Marks) > 0 {
		s += ", marks for"
		for i, m := range b.Marks {
			if i > 0 {
				s += ","
			}
			s += " " + unit.Trim(float64(m), 1)
		}
		s += " deg"
	}
	return s
}

// words says what an offset is, exact and by shop constants.
func (p Pair) words(sys unit.System) string {
	o := p.Offset
	s := fmt.Sprintf("bends %d and %d, offset %s at %s deg: marks %s apart, shrink %s", p.First+1, p.First+2, sys.Short(o.Height), unit.Trim(float64(o.Angle), 2), sys.Short(o.Marks), sys.Short(o.Shrink))
	if p.HasShop {
		s += fmt.Sprintf("; by shop constants %s and %s", sys.Short(p.Shop.Marks), sys.Short(p.Shop.Shrink))
	}
	return s
}

// Name returns the stick in words.
func (s Stick) Name() string { return fmt.Sprintf("%s, length %d", s.Run, s.No) }

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
