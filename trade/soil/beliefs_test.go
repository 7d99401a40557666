package soil

import (
	"math"
	"math/rand/v2"
	"testing"

	"stubup/base/unit"
)

// Where what is asked for is what was read, the nodes fall out and the answer
// is one line of algebra: the reading, times exp(+-1.645 sqrt(0.03^2 + 0.10^2 +
// 0.05^2)). Tolerance 1e-6, the rounding of 1.645.
func TestValueOfWhatWasRead(t *testing.T) {
	g, err := NewGrid(GridOptions{Ratios: 31, Depths: 21})
	if err != nil {
		t.Fatal(err)
	}
	rod, err := g.LoneRod(0.762, 2.4, 0.008)
	if err != nil {
		t.Fatal(err)
	}
	for _, ohms := range []float64{40, 3.7} {
		b, err := NewBeliefs(g).Rod([]RodReading{{unit.Ohm(ohms), rod}})
		if err != nil {
			t.Fatal(err)
		}
		x, err := b.Value(rod, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		sd := math.Sqrt(0.03*0.03 + 0.10*0.10 + 0.05*0.05)
		v := x.Interval(0.9)
		for _, c := range [][2]float64{{v.Low, ohms * math.Exp(-1.6448536*sd)}, {x.Median(), ohms}, {v.High, ohms * math.Exp(1.6448536*sd)}} {
			if math.Abs(c[0]/c[1]-1) > 1e-6 {
				t.Errorf("%v, by hand %v", c[0], c[1])
			}
		}
	}
}

// Two lines that agree speak for the lesser scatter, two that do not for the
// greater. By hand: the difference of two lines of one reading each is normal
// with variance 2 (s^2 + c^2), whatever the earth; Bayes over the two c.
// Tolerance 1e-9.
func TestLinesTellTheirScatter(t *testing.T) {
	g, err := NewGrid(GridOptions{Ratios: 11, Depths: 11})
	if err != nil {
		t.Fatal(err)
	}
	for _, apart := range []float64{1, 1.1, 1.6} {
		b, err := NewBeliefs(g).Survey([]Point{{WennerSetting(3), 100, "a"}, {WennerSetting(3), unit.OhmMetre(100 * apart), "b"}})
		if err != nil {
			t.Fatal(err)
		}
		likely := func(c float64) float64 {
			v := 2 * (0.05*0.05 + c*c)
			return math.Exp(-math.Pow(math.Log(apart), 2)/2/v) / math.Sqrt(v)
		}
		want := likely(0.15) / (likely(0.08) + likely(0.15))
		if got := b.Lateral(); math.Abs(got-want) > 1e-9 {
			t.Errorf("apart %v: %v on the greater scatter, by hand %v", apart, got, want)
		}
	}
}

// What is foreseen against drawing: a node, its resistivity and the noise of
// every reading are drawn from the belief, the readings put in, and the widths
// averaged. Tolerance 8 % of the width: 150 draws know it to 3 %, and few nodes
// stand for all.
func TestForeseeAgainstDrawing(t *testing.T) {
	w := newWorld(t, GridOptions{Ratios: 41, Depths: 31})
	more, err := w.grid.Soundings([]Setting{WennerSetting(40)})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(3, 4))
	for _, c := range []struct {
		m    Model
		next Next
	}{
		{TwoLayer(100, 500, 6), Next{Line: "a", Tables: more}},
		{TwoLayer(300, 60, 2), Next{Line: "z", Tables: w.four}},
		{TwoLayer(80, 400, 1.5), Next{Rod: true, Tables: w.rods}},
	} {
		b := NewBeliefs(w.grid).with(w.read(t, c.m, r, 0.08, 1, 0))
		want := b.Support(0.999)
		got, err := b.Foresee(c.next, w.ring, want, 0, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		now, err := b.Value(w.ring, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		today := now.Interval(0.9)
		var weights [][]float64
		for _, x := range b.each {
			weights = append(weights, x.weights())
		}
		pick := func(ws []float64) int {
			u := r.Float64()
			for i, v := range ws {
				if u -= v; u < 0 {
					return i
				}
			}
			return len(ws) - 1
		}
		const n = 150
		mean := 0.0
		for range n {
			j := pick(b.share)
			node := pick(weights[j])
			x := b.each[j]
			// ln rho and, of a line known already, its factor: the precision of
			// the two, and a draw by its Cholesky factor.
			groups := append([]group{}, b.groups...)
			g := group{line: c.next.Line, rod: c.next.Rod}
			s, f := g.noise(laterals[j].sd)
			var rho, factor float64
			if !c.next.Rod && c.next.Line == "a" {
				old := groups[0]
				groups = nil
				k, sum := float64(len(old.y)), 0.0
				for i, y := range old.y {
					sum += y - old.tables[i].ln[node]
				}
				// The line is all there is: ln rho + factor is known from it, and
				// the factor alone is what it was before.
				factor = f * r.NormFloat64()
				rho = sum/k + s/math.Sqrt(k)*r.NormFloat64() - factor
				g = old
				g.y, g.tables = append([]float64{}, old.y...), append([]Table{}, old.tables...)
			} else {
				rho = x.b[node]/x.a + r.NormFloat64()/math.Sqrt(x.a)
				factor = f * r.NormFloat64()
			}
			for _, tb := range c.next.Tables {
				g.y = append(g.y, rho+factor+tb.ln[node]+s*r.NormFloat64())
				g.tables = append(g.tables, tb)
			}
			v, err := NewBeliefs(w.grid).with(append(groups, g)).Value(w.ring, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			i := v.Binned().Interval(0.9)
			mean += math.Log(i.High/i.Low) / n
		}
		have := math.Log(got.High / got.Low)
		t.Logf("%v: %.3f now, %.3f foreseen, %.3f drawn", c.m, math.Log(today.High/today.Low), have, mean)
		if math.Abs(have/mean-1) > 0.08 {
			t.Errorf("%v: width %v foreseen, %v drawn", c.m, have, mean)
		}
	}
}

// Few readings at a time are as all at once, and what cannot be is refused.
func TestBeliefsInParts(t *testing.T) {
	g, err := NewGrid(GridOptions{Ratios: 21, Depths: 21})
	if err != nil {
		t.Fatal(err)
	}
	ps := append(fourPoints(TwoLayer(100, 400, 2), "a", 1.1, 1, 3, 9), fourPoints(TwoLayer(100, 400, 2), "b", 0.9, 2, 6)...)
	ring, _ := g.Table(func(r float64, h unit.Metre) float64 { return ringLike(TwoLayer(1, unit.OhmMetre(r), h), 6) })
	all, err := NewBeliefs(g).Survey(ps)
	if err != nil {
		t.Fatal(err)
	}
	part, _ := NewBeliefs(g).Survey(ps[:2])
	part, _ = part.Survey(ps[2:4])
	part, _ = part.Survey(ps[4:])
	x, _ := all.Value(ring, nil, 0)
	y, _ := part.Value(ring, nil, 0)
	if a, b := x.Interval(0.9), y.Interval(0.9); math.Abs(a.Low/b.Low-1) > 1e-9 || math.Abs(a.High/b.High-1) > 1e-9 {
		t.Errorf("%v, in parts %v", a, b)
	}
	z, _ := all.Value(ring, all.Support(0.998), 0)
	if a, b := x.Interval(0.9), z.Interval(0.9); math.Abs(a.Low/b.Low-1) > 0.01 || math.Abs(a.High/b.High-1) > 0.01 {
		t.Errorf("%v, on the support %v", a, b)
	}
	if _, err := NewBeliefs(g).Value(ring, nil, 0); err == nil {
		t.Error("nothing was read and something is known")
	}
	if _, err := NewBeliefs(g).Survey([]Point{{WennerSetting(1), -1, ""}}); err == nil {
		t.Error("a negative reading accepted")
	}
	if _, err := all.Foresee(Next{Line: "a"}, ring, nil, 0, 0.9); err == nil {
		t.Error("nothing to be read is foreseen")
	}
}

// What stands in where nobody said how a season changes the soil is there, and
// makes it worse or better as its name says.
func TestSeasonFigures(t *testing.T) {
	if FrozenTop.Times() <= DryTop.Times() || DryTop.Times() <= 1 || WetTop.Times() >= 1 || WetTop.Times() <= 0 || AsSurveyed.Times() != 1 {
		t.Error(FrozenTop.Times(), DryTop.Times(), WetTop.Times(), AsSurveyed.Times())
	}
	if d := DryReach(); d < 0.1 || d > 3 {
		t.Error(d)
	}
	if SeasonCite().Work == "" {
		t.Error("no source is named")
	}
}
