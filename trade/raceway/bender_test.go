package raceway

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/geom"
	"stubup/base/unit"
)

func emt1() Bender {
	return Bender{Name: "hand", Kind: EMT, Trade: tradeSize("1"), Radius: 6 * in, TakeUp: 8 * in, Marks: []unit.Degree{10, 22.5, 30, 45, 60, 90}, End: 5 * in, Between: 2 * in}
}

// The arrow from the lead and the arrow from the take-up are one mark: a stub
// of 20 in to the back of the bend has its arrow at 20 - 8 = 12 in, and its
// arc starts at 20 - 6 - 1.163/2 in.
func TestLead(t *testing.T) {
	b := emt1()
	lead, ok := b.Lead()
	if !ok {
		t.Fatal("no lead")
	}
	near(t, "arrow", (20*in - 6*in - 1.163*in/2 - lead).In(), 12, 1e-9)
	b.Arrow, b.Aimed = -0.5*in, true
	if lead, ok := b.Lead(); !ok || lead != -0.5*in {
		t.Errorf("%v %v", lead, ok)
	}
	if _, ok := (Bender{Kind: EMT, Trade: tradeSize("1"), Radius: 6 * in}).Lead(); ok {
		t.Error("a shoe without a take-up has a lead")
	}
}

// Angles by hand, radius 6 in: an offset of h fits at t where
// h >= 12 (1 - cos t) + 2 sin t, 2 in being the least straight: 2.61 in at 30,
// 1.68 in at 22.5, 4.93 in at 45.
func TestMarkedAngles(t *testing.T) {
	b := emt1()
	for _, c := range []struct {
		h    float64
		want unit.Degree
		ok   bool
	}{{12, 30, true}, {2.62, 30, true}, {2.6, 22.5, true}, {1.67, 10, true}, {0.3, 0, false}} {
		if a, ok := b.OffsetAngle(unit.Metre(c.h)*in, 6*in, 30); a != c.want || ok != c.ok {
			t.Errorf("%v in: %v %v, want %v", c.h, a, ok, c.want)
		}
	}
	b.Marks = []unit.Degree{45, 15}
	if a, _ := b.OffsetAngle(12*in, 6*in, 30); a != 15 {
		t.Errorf("15 and 45 are as near to 30: %v, want the smaller", a)
	}
	b = emt1()
	if a, ok := b.SaddleAngle(4*in, 6*in, 45); a != 45 || !ok {
		t.Errorf("%v %v", a, ok)
	}
	b.Marks = []unit.Degree{30, 45, 60}
	if a, ok := b.SaddleAngle(4*in, 6*in, 45); a != 60 || !ok {
		t.Errorf("only 60 has its half on the shoe: %v %v", a, ok)
	}
	if lo, hi := emt1().Beside(37); lo != 30 || hi != 45 {
		t.Errorf("%v %v", lo, hi)
	}
	if lo, hi := emt1().Beside(5); lo != 0 || hi != 10 {
		t.Errorf("%v %v", lo, hi)
	}
}

func TestSnags(t *testing.T) {
	b := emt1()
	arc := DevelopedLength(6*in, 90)
	m, pipe, err := Marks([]Part{{Straight: 5 * in}, {Bend: 90, Radius: 6 * in}, {Straight: 2 * in}, {Bend: 90, Radius: 6 * in}, {Straight: 5 * in}})
	if err != nil || len(b.Snags(m, pipe)) != 0 {
		t.Errorf("exactly the least: %+v", b.Snags(m, pipe))
	}
	m, pipe, _ = Marks([]Part{{Straight: 4.9 * in}, {Bend: 90, Radius: 6 * in}, {Straight: 1.9 * in}, {Bend: 90, Radius: 6.5 * in}, {Straight: 4.8 * in}})
	got := b.Snags(m, pipe)
	want := []SnagKind{NearEnd, NearNext, NearTail, Radius}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, w := range want {
		if got[i].What != w {
			t.Errorf("%+v, want %v", got[i], w)
		}
	}
	near(t, "have", got[1].Have.In(), 1.9, 1e-9)
	b.End = 0
	m, pipe, _ = Marks([]Part{{Straight: 1 * in}, {Bend: 90, Radius: 6 * in}, {Straight: 30 * in}})
	if got := b.Snags(m, pipe); len(got) != 1 || got[0].What != NoArrow {
		t.Errorf("%+v", got)
	}
	near(t, "pipe", float64(pipe), float64(31*in+arc), 1e-12)
}

// 3 in PVC on 24 in, 45 degrees, by hand: OD 3.5 in, outside arc
// 25.75 pi/4 = 20.224 in, centerline 18.850 in; the least radius is Table 2's
// 18 in, above 4.5 x 3.5 = 15.75; 30 s x 6 = 180 s; plugged.
func TestHeatForm(t *testing.T) {
	f, err := HeatFormOf(PVC40, tradeSize("3"), 45, 24*in)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "heated", f.Heated.In(), 20.2240, 1e-3)
	near(t, "from", f.From.In(), (20.2240-18.8496)/2, 1e-3)
	near(t, "least", f.Least.In(), 18, 1e-9)
	near(t, "time", float64(f.Time), 180, 1e-9)
	if !f.Plugs {
		t.Error("3 in is not plugged")
	}
	// 1/2 in, OD 0.84 in: 4.5 OD = 3.78 in is under Table 2's 4 in. 1-1/2 in:
	// 4.5 x 1.9 = 8.55 in under 10 in. 2 in is not above 2 in.
	if f, _ := HeatFormOf(PVC80, tradeSize("2"), 90, 24*in); f.Plugs {
		t.Error("2 in is plugged")
	}
	if _, err := HeatFormOf(EMT, tradeSize("2"), 90, 24*in); err == nil {
		t.Error("EMT is heated")
	}
}

// A rack walked round a turn: the exit tangents of each raceway lie beside the
// innermost one at its offset, and the arcs keep (concentric) or widen
// (parallel) the gap. The innermost comes along +x with its corner at the
// origin and turns left; the others lie on its right.
func TestRack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(rt, "n")
		var od []unit.Metre
		for range n {
			od = append(od, unit.Metre(rapid.Float64Range(0.5, 4).Draw(rt, "od"))*in)
		}
		gap := unit.Metre(rapid.Float64Range(0, 3).Draw(rt, "gap")) * in
		r := unit.Metre(rapid.Float64Range(4, 40).Draw(rt, "r")) * in
		a := unit.Degree(rapid.Float64Range(5, 150).Draw(rt, "a"))
		t1 := float64(a) * math.Pi / 180
		for _, concentric := range []bool{true, false} {
			make := Parallel
			if concentric {
				make = Concentric
			}
			rows, err := make(od, gap, r, a)
			if err != nil {
				rt.Fatal(err)
			}
			first := geom.Point{X: -float64(rows[0].Tangent)}
			centre0 := first.Add(geom.Point{Y: float64(rows[0].Radius)})
			for i, q := range rows {
				start := first.Add(geom.Point{X: float64(q.Start), Y: -float64(q.Offset)})
				centre := start.Add(geom.Point{Y: float64(q.Radius)})
				end := centre.Add(geom.Point{X: float64(q.Radius) * math.Sin(t1), Y: -float64(q.Radius) * math.Cos(t1)})
				// Distance of the exit from the exit line of the innermost.
				out := geom.Point{X: math.Cos(t1), Y: math.Sin(t1)}
				off := end.Sub(geom.Point{}).Cross(out)
				if math.Abs(off-float64(q.Offset)) > 1e-9 {
					rt.Errorf("raceway %d leaves %v from the innermost, want %v", i, off, q.Offset)
				}
				if concentric && centre.Dist(centre0) > 1e-9 {
					rt.Errorf("raceway %d has another center", i)
				}
				if !concentric && i > 0 {
					if d := centre.Dist(centre0); math.Abs(d-float64(q.Offset)/math.Cos(t1/2)) > 1e-9 {
						rt.Errorf("centers %v apart, want offset / cos(t/2)", d)
					}
				}
				if i > 0 {
					least := float64(od[i-1]/2 + gap + od[i]/2)
					if d := float64(q.Offset - rows[i-1].Offset); math.Abs(d-least) > 1e-12 {
						rt.Errorf("spacing %v, want %v", d, least)
					}
				}
			}
		}
	})
	for _, bad := range []func() ([]Racked, error){
		func() ([]Racked, error) { return Concentric(nil, in, 6*in, 90) },
		func() ([]Racked, error) { return Concentric([]unit.Metre{in}, -in, 6*in, 90) },
		func() ([]Racked, error) { return Concentric([]unit.Metre{in}, in, 0.4*in, 90) },
		func() ([]Racked, error) { return Parallel([]unit.Metre{in, 0}, in, 6*in, 90) },
		func() ([]Racked, error) { return Parallel([]unit.Metre{in}, in, 6*in, 180) },
	} {
		if _, err := bad(); err == nil {
			t.Error("a rack that cannot be passes")
		}
	}
}

// walkMarks lays a pipe from its marks alone: it goes straight to each mark, rolls
// about itself and turns on the radius.
func walkMarks(at, dir, normal geom.Point3, marks []Mark, pipe unit.Metre) geom.Point3 {
	x := unit.Metre(0)
	for i, m := range marks {
		at = at.Add(dir.Scale(float64(m.Start - x)))
		if i > 0 {
			s, c := math.Sincos(float64(m.Roll-marks[i-1].Roll) * math.Pi / 180)
			normal = normal.Scale(c).Add(dir.Cross(normal).Scale(s))
		}
		side := normal.Cross(dir)
		s, c := math.Sincos(float64(m.Angle) * math.Pi / 180)
		at = at.Add(dir.Scale(float64(m.Radius) * s)).Add(side.Scale(float64(m.Radius) * (1 - c)))
		dir, x = dir.Scale(c).Add(side.Scale(s)), m.Start+DevelopedLength(m.Radius, m.Angle)
	}
	return at.Add(dir.Scale(float64(pipe - x)))
}

// Rolling offsets and saddles at any roll: the corners are set out by
// trigonometry, turned into parts, marked, and walked back to the far end. The
// mark is 1/16 in; the figures are exact and come far inside it.
func TestRollingOffsetsAndSaddlesWalkBack(t *testing.T) {
	const sixteenth = 0.0254 / 16
	rapid.Check(t, func(rt *rapid.T) {
		f := func(name string, lo, hi float64) unit.Metre {
			return unit.Metre(rapid.Float64Range(lo, hi).Draw(rt, name)) * in
		}
		a := unit.Degree(rapid.Float64Range(8, 60).Draw(rt, "angle"))
		r := f("radius", 4, 12)
		rise, roll := f("rise", 0, 20), f("roll", 0, 20)
		h, plane := Rolling(rise, roll)
		s, c := math.Sincos(float64(plane) * math.Pi / 180)
		// up is z, the roll goes to +y, the run along +x.
		out := geom.Point3{Z: c, Y: s}
		before, after := f("before", 30, 80), f("after", 30, 80)
		p := func(x, off unit.Metre) geom.Point3 { return geom.Point3{X: float64(x)}.Add(out.Scale(float64(off))) }
		tan := unit.Metre(math.Tan(float64(a) * math.Pi / 180))
		var corners []geom.Point3
		var want int
		switch rapid.SampledFrom([]string{"offset", "saddle of three", "saddle of four"}).Draw(rt, "what") {
		case "offset":
			o, err := OffsetOf(h, a, r)
			if err != nil {
				return
			}
			corners = []geom.Point3{p(0, 0), p(before, 0), p(before+h/tan, h), p(before+h/tan+after, h)}
			want = 2
			parts, err := Centerline(corners, []unit.Metre{r, r})
			if err != nil {
				rt.Fatal(err)
			}
			m, _, _ := Marks(parts)
			if d := float64(m[1].Start - m[0].Start - o.Marks); math.Abs(d) > 1e-9 {
				rt.Errorf("marks differ by %v from the offset's", d)
			}
			if math.Abs(float64(m[1].Roll)-180) > 1e-6 {
				rt.Errorf("the second bend of an offset is turned %v", m[1].Roll)
			}
		case "saddle of three":
			if _, err := Saddle3Of(h, a, r); err != nil {
				return
			}
			corners = []geom.Point3{p(0, 0), p(before, 0), p(before+h/tan, h), p(before+2*h/tan, 0), p(before+2*h/tan+after, 0)}
			want = 3
		default:
			top := f("top", 0, 30)
			if _, err := Saddle4Of(h, top, a, r); err != nil {
				return
			}
			top += 2 * Tangent(r, a)
			corners = []geom.Point3{p(0, 0), p(before, 0), p(before+h/tan, h), p(before+h/tan+top, h), p(before+2*h/tan+top, 0), p(before+2*h/tan+top+after, 0)}
			want = 4
		}
		radius := make([]unit.Metre, len(corners)-2)
		for i := range radius {
			radius[i] = r
		}
		parts, err := Centerline(corners, radius)
		if err != nil {
			return // the center bend of a saddle is twice as long
		}
		m, pipe, err := Marks(parts)
		if err != nil || len(m) != want {
			rt.Fatalf("%d marks, %v", len(m), err)
		}
		dir := geom.Point3{X: 1}
		end := walkMarks(corners[0], dir, dir.Cross(out).Unit(), m, pipe)
		if d := end.Dist(corners[len(corners)-1]); d > sixteenth || d > 1e-9 {
			rt.Errorf("the marks end %v m away", d)
		}
	})
}
