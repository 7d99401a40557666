package soil_test

import (
	"context"
	"math"
	"testing"

	"stubup/base/unit"
	"stubup/trade/ground"
	"stubup/trade/soil"
)

// A rod from the surface in uniform soil against R = rho/(2 pi L) (ln(4L/a) - 1)
// (Dwight, Calculation of resistances to ground, 1936, from memory). The
// formula takes the leakage for even, which makes it up to 1 % too high for
// rods of 200 radii and more; the tolerance is that. Shorter ones are held to
// the field solution below.
func TestLoneRodInUniformSoil(t *testing.T) {
	for _, c := range [][2]float64{{2.44, 0.00794}, {3.05, 0.00635}, {1.83, 0.00794}, {12, 0.01}} {
		want := (math.Log(4*c[0]/c[1]) - 1) / (2 * math.Pi * c[0])
		for _, h := range []float64{0.3, c[0] / 2, 30} {
			if got := soil.LoneRod(1, unit.Metre(h), 0, unit.Metre(c[0]), unit.Metre(c[1])); got > want*1.0001 || got < want*0.99 {
				t.Errorf("%v: %v, want %v", c, got, want)
			}
		}
	}
}

// Over two layers against the field solution of finer elements: 3 %, a third
// of the factor by which a whole rod is taken to be off.
func TestLoneRodAgainstField(t *testing.T) {
	for _, l := range []float64{0.6, 2.4, 6} {
		worst := 0.0
		for _, r := range []float64{.02, .2, 3, 50} {
			for _, h := range []float64{.3, .8, 1.2, 2, 3.3, 8, 30} {
				s, err := ground.Solve(context.Background(), soil.TwoLayer(1, unit.OhmMetre(r), unit.Metre(h)), []ground.Electrode{{ID: "r", Wires: []ground.Wire{ground.Rod([3]float64{0, 0, .762}, l, 0.0079375, 0, 0)}}}, ground.Options{MaxLength: .1})
				if err != nil {
					t.Fatal(err)
				}
				e := soil.LoneRod(r, unit.Metre(h), .762, unit.Metre(l), .0079375)/float64(s.Resistance(0)) - 1
				worst = max(worst, math.Abs(e))
				if math.Abs(e) > 0.03 {
					t.Errorf("%v m, ratio %v, boundary %v m: %+.2f %%", l, r, h, 100*e)
				}
			}
		}
		t.Logf("%v m: within %.2f %%", l, 100*worst)
	}
}

// What needs no expected number: a boundary far below is the upper soil, one
// just under grade the lower; deeper is never more; all scales with size.
func TestLoneRodProperties(t *testing.T) {
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if math.Abs(got/want-1) > tol {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	for _, r := range []float64{0.05, 20} {
		one := soil.LoneRod(1, 5, 0.5, 2, 0.008)
		near("deep boundary", soil.LoneRod(r, 3000, 0.5, 2, 0.008), one, 0.01)
		near("shallow boundary", soil.LoneRod(r, 0.002, 0.5, 2, 0.008), r*one, 0.03)
		near("twice the size", 2*soil.LoneRod(r, 3, 1, 4, 0.016), soil.LoneRod(r, 1.5, 0.5, 2, 0.008), 1e-9)
		last := math.Inf(1)
		for l := 0.3; l < 4; l += 0.05 {
			x := soil.LoneRod(r, 1.7, 0.5, unit.Metre(l), 0.008)
			if x >= last*(1+1e-3) {
				t.Errorf("ratio %v: %v m reads %v after %v", r, l, x, last)
			}
			last = x
		}
	}
}

// The table on a grid, filled from few nodes, against the function itself at
// every node: 0.5 % in the mean and a reading's scatter at most, as it says;
// nodes and kinks of other rods do not spoil it.
func TestLoneRodTable(t *testing.T) {
	g, err := soil.NewGrid(soil.GridOptions{Kinks: []unit.Metre{.762, 1.372, 1.98, 2.59, 3.2}})
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range []unit.Metre{0.61, 1.22, 2.438} {
		got, err := g.LoneRod(.762, l, .0079375)
		if err != nil {
			t.Fatal(err)
		}
		want, err := g.Table(func(r float64, h unit.Metre) float64 { return soil.LoneRod(r, h, .762, l, .0079375) })
		if err != nil {
			t.Fatal(err)
		}
		most, mean := got.Off(want)
		t.Logf("%v m: %.2f %% off at most, %.3f %% in the mean", l, 100*most, 100*mean)
		if most > float64(soil.RodNoise) || mean > 0.005 {
			t.Errorf("%v m: %.2f %% off at most, %.2f %% in the mean", l, 100*most, 100*mean)
		}
	}
	for _, c := range [][3]unit.Metre{{-1, 2, .008}, {0, .01, .008}, {0, 2, 0}, {0, 200, .008}} {
		if _, err := g.LoneRod(c[0], c[1], c[2]); err == nil {
			t.Errorf("%v accepted", c)
		}
	}
}
