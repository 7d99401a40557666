package ground

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
	"stubup/trade/soil"
)

// compoundFixes are the usual fixes of compound A: longer rods at all six
// places, one radial of 20 ft with an 8 ft end rod at each corner, and a rod
// in the middle of each short side.
func compoundFixes() []Candidate {
	var cs []Candidate
	at := [][2]float64{{2, 2}, {38, 2}, {38, 28}, {2, 28}, {20, 2}, {20, 28}}
	for _, l := range []float64{10, 20, 24} {
		c := Candidate{ID: fmt.Sprintf("%v ft rods", l), Cost: Cost{Feet: Known(6 * (l - 8)), Joints: Known(6 * math.Ceil(l/8-1))}}
		for _, p := range at {
			c.Wires = append(c.Wires, rod(p[0]*ft, p[1]*ft, .762, l*ft, half))
		}
		cs = append(cs, c)
	}
	two := append(radial(2, 2, -1, -1, 20, 8), radial(38, 28, 1, 1, 20, 8)...)
	four := append(append(append([]Wire{}, two...), radial(38, 2, 1, -1, 20, 8)...), radial(2, 28, -1, 1, 20, 8)...)
	return append(cs,
		Candidate{ID: "two radials", Wires: two, Cost: Cost{Feet: Known(56), Joints: Known(4)}},
		Candidate{ID: "four radials", Wires: four, Cost: Cost{Feet: Known(112), Joints: Known(8)}},
	)
}

func fixes(t testing.TB, m soil.Model, base []Wire, cs []Candidate, o Options) *Fixes {
	t.Helper()
	f, err := Candidates(context.Background(), m, base, cs, o)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The ohms come from two independent programs that agree within 0.6 %; the
// tolerance of 1 % was set with them.
func TestFixesCompoundA(t *testing.T) {
	for _, c := range []struct {
		m    soil.Model
		base float64
		want map[string]float64
	}{
		{soil.Single(150), 7.0, map[string]float64{"10 ft rods": 6.65, "20 ft rods": 5.3, "24 ft rods": 4.9, "two radials": 5.66, "four radials": 4.84}},
		{soil.TwoLayer(150, 40, 15*ft), 0, map[string]float64{"20 ft rods": 2.34}},
	} {
		f := fixes(t, c.m, compoundA(8*ft), compoundFixes(), Options{})
		if c.base > 0 && rel(float64(f.Base()), c.base) > 0.01 {
			t.Errorf("base %v, want %v", f.Base(), c.base)
		}
		for i, s := range f.Singles() {
			t.Logf("%v: %-12s %.4f (%d elements)", c.m, s.ID, float64(s.Resistance), f.Elements())
			if want, ok := c.want[s.ID]; ok && rel(float64(s.Resistance), want) > 0.01 {
				t.Errorf("%s: %v, want %v", s.ID, s.Resistance, want)
			}
			// The same metal solved by itself, with a mesh of its own.
			ws := append([]Wire{}, compoundA(8 * ft)[:1]...)
			if i < 3 {
				ws = append(ws, compoundFixes()[i].Wires...)
			} else {
				ws = append(compoundA(8*ft), compoundFixes()[i].Wires...)
			}
			if alone := one(t, c.m, ws...); rel(float64(s.Resistance), alone) > 0.001 {
				t.Errorf("%s: %v, by itself %v", s.ID, s.Resistance, alone)
			}
		}
	}
}

// Deep rods win where the lower layer is good, radials where it is not.
func TestFixesRank(t *testing.T) {
	first := func(m soil.Model, b By) (string, By) {
		f := fixes(t, m, compoundA(8*ft), compoundFixes(), Options{MaxLength: .5})
		r, used, ok := f.Rank(b)
		if !ok || len(r) != 5 {
			t.Fatal("no ranking")
		}
		for i := 1; i < len(r); i++ {
			if r[i].Per(used).Value > r[i-1].Per(used).Value {
				t.Errorf("%v: %v after %v", used, r[i], r[i-1])
			}
		}
		return r[0].ID, used
	}
	if id, used := first(soil.TwoLayer(150, 40, 15*ft), ByMoney); used != ByFeet || id == "two radials" || id == "four radials" {
		t.Errorf("good soil below: %s first, by %v", id, used)
	}
	if id, _ := first(soil.TwoLayer(150, 1500, 10*ft), ByFeet); id != "two radials" {
		t.Errorf("rock below: %s first", id)
	}
	cs := compoundFixes()
	for i := range cs {
		cs[i].Cost.Feet = Figure{}
	}
	f := fixes(t, soil.Single(150), compoundA(8*ft), cs, Options{MaxLength: .5})
	if _, used, ok := f.Rank(ByHours); !ok || used != ByJoints {
		t.Errorf("without feet ranked by %v, %v", used, ok)
	}
	cs[0].Cost = Cost{}
	f = fixes(t, soil.Single(150), compoundA(8*ft), cs, Options{MaxLength: .5})
	if _, _, ok := f.Rank(ByMoney); ok {
		t.Error("ranked without figures")
	}
}

// scatter is a small electrode with n candidates about it: rods, longer rods
// and radials that overlap and share metal.
func scatter(rng *rand.Rand, n int) ([]Wire, []Candidate) {
	base := []Wire{rect(0, 0, 6, 4, .6, .004), rod(0, 0, .6, 2.4, .008)}
	var cs []Candidate
	places := [][2]float64{{0, 0}, {6, 0}, {6, 4}, {0, 4}, {3, 0}, {3, 4}, {0, 2}, {6, 2}}
	used := map[string]bool{}
	for len(cs) < n {
		k, p := rng.Intn(3), places[rng.Intn(len(places))]
		c := Candidate{}
		switch k {
		case 0:
			l := []float64{2.4, 4.8, 7.2}[rng.Intn(3)]
			c.ID = fmt.Sprintf("rod %v at %v", l, p)
			c.Wires = []Wire{rod(p[0], p[1], .6, l, .008)}
		case 1:
			l := []float64{3, 6}[rng.Intn(2)]
			x := p[0] + math.Copysign(l, p[0]-3)
			c.ID = fmt.Sprintf("radial %v at %v", l, p)
			c.Wires = []Wire{{Radius: .004, Path: [][3]float64{{p[0], p[1], .6}, {x, p[1] + .3*l, .6}}}}
		case 2:
			x, y := -5+16*rng.Float64(), 6+4*rng.Float64()
			c.ID = fmt.Sprintf("rod at %.2f %.2f", x, y)
			c.Wires = []Wire{rod(x, y, .6, 3, .008)}
		}
		if used[c.ID] {
			continue
		}
		used[c.ID] = true
		c.Cost = Cost{Feet: Known(1 + float64(rng.Intn(40))), Money: Known(10 + 500*rng.Float64())}
		cs = append(cs, c)
	}
	return base, cs
}

// Every subset is solved by bordering from nothing; the exact choice costs
// what the cheapest of those that reach the target costs, the greedy one is
// never cheaper, and the ratio of the two is shown.
func TestExactBruteForce(t *testing.T) {
	worst, optimal, cases := 1.0, 0, 0
	for seed := range 14 {
		rng := rand.New(rand.NewSource(int64(seed)))
		base, cs := scatter(rng, 4+seed%5)
		m := []soil.Model{soil.Single(100), soil.TwoLayer(100, 900, 1.5), soil.TwoLayer(200, 40, 3)}[seed%3]
		f := fixes(t, m, base, cs, Options{MaxLength: .8})
		n := len(cs)
		r := make([]float64, 1<<n)
		for mask := range r {
			var which []int
			for i := range n {
				if mask>>i&1 == 1 {
					which = append(which, i)
				}
			}
			x, err := f.Resistance(which...)
			if err != nil {
				t.Fatal(err)
			}
			r[mask] = float64(x)
			for i := range n { // more metal never raises it
				if mask>>i&1 == 1 && r[mask] > r[mask&^(1<<i)]*(1+1e-12) {
					t.Fatalf("seed %d: %v with %s, %v without", seed, r[mask], cs[i].ID, r[mask&^(1<<i)])
				}
			}
		}
		all := r[len(r)-1]
		for _, share := range []float64{.2, .5, .8, .97} {
			target := r[0] + share*(all-r[0])
			for _, b := range []By{ByFeet, ByMoney} {
				best := math.Inf(1)
				for mask, x := range r {
					cost := 0.0
					for i := range n {
						if mask>>i&1 == 1 {
							cost += b.Of(cs[i].Cost).Value
						}
					}
					if x <= target {
						best = math.Min(best, cost)
					}
				}
				got, err := f.Exact(context.Background(), unit.Ohm(target), b)
				if err != nil {
					t.Fatal(err)
				}
				greedy, err := f.Greedy(context.Background(), unit.Ohm(target), b)
				if err != nil {
					t.Fatal(err)
				}
				if rel(b.Of(got.Cost).Value, best) > 1e-12 || float64(got.Resistance) > target*(1+1e-12) || !got.Optimal {
					t.Errorf("seed %d, %v of the way by %v: %v, brute force %v", seed, share, b, got, best)
				}
				check, _ := f.Resistance(got.Places...)
				if rel(float64(check), float64(got.Resistance)) > 1e-12 {
					t.Errorf("seed %d: %v is %v", seed, got, check)
				}
				ratio := b.Of(greedy.Cost).Value / best
				if ratio < 1-1e-12 || float64(greedy.Resistance) > target*(1+1e-12) {
					t.Errorf("seed %d: greedy %v, best %v", seed, greedy, best)
				}
				cases++
				worst = math.Max(worst, ratio)
				if ratio < 1+1e-12 {
					optimal++
				}
			}
		}
	}
	t.Logf("greedy is the cheapest in %d of %d, at worst %+.1f %%", optimal, cases, 100*(worst-1))
}

// Bordering gives what a solution of the same metal from nothing gives: with
// candidates that stand free of everything the meshes are the same.
func TestFixesAgainstSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genSoil(3).Draw(t, "m")
		base := small(1)
		var cs []Candidate
		for i := range 4 {
			x, y := 6+2*float64(i)+rapid.Float64Range(0, 1).Draw(t, "x"), rapid.Float64Range(-5, 8).Draw(t, "y")
			cs = append(cs, Candidate{ID: fmt.Sprint(i), Wires: []Wire{rod(x, y, .6, rapid.Float64Range(.5, 4).Draw(t, "l"), .008)}})
		}
		o := Options{MaxLength: .5}
		f, err := Candidates(context.Background(), m, base, cs, o)
		if err != nil {
			t.Fatal(err)
		}
		mask := rapid.IntRange(0, 15).Draw(t, "set")
		ws := base
		var which []int
		for i := range cs {
			if mask>>i&1 == 1 {
				ws = append(ws, cs[i].Wires...)
				which = append(which, i)
			}
		}
		got, err := f.Resistance(which...)
		if err != nil {
			t.Fatal(err)
		}
		if want := oneAt(t, m, o, ws...); rel(float64(got), want) > 1e-9 {
			t.Fatalf("%v: %v, want %v", which, got, want)
		}
	})
}

// Order by single gain per cost is no plan. Three rods close together are
// each the best single fix and take the same current; the cheapest set that
// reaches the target has one of them and what lies apart.
func TestSensitivitiesMislead(t *testing.T) {
	base := []Wire{rod(0, 0, 0, 2.4, .008)}
	var cs []Candidate
	for i, p := range [][2]float64{{6, 0}, {6, .3}, {6.3, 0}, {-6, 0}, {0, 7}} {
		cost := 10.0
		if i > 2 {
			cost = 10.5
		}
		cs = append(cs, Candidate{ID: fmt.Sprint("rod ", i), Wires: []Wire{rod(p[0], p[1], 0, 2.4, .008)}, Cost: Cost{Feet: Known(cost)}})
	}
	f := fixes(t, soil.Single(100), base, cs, Options{})
	target, err := f.Resistance(0, 3, 4)
	if err != nil {
		t.Fatal(err)
	}
	target *= 1.0001
	order, _, _ := f.Rank(ByFeet)
	var taken []int
	cost := 0.0
	for _, s := range order {
		for i, c := range cs {
			if c.ID == s.ID {
				taken = append(taken, i)
			}
		}
		cost += s.Cost.Feet.Value
		r, err := f.Resistance(taken...)
		if err != nil {
			t.Fatal(err)
		}
		if r <= target {
			break
		}
	}
	best, err := f.Exact(context.Background(), target, ByFeet)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("by single gain %v for %v ft, cheapest %v for %v ft", taken, cost, best.Places, best.Cost.Feet.Value)
	if best.Cost.Feet.Value >= cost*.8 {
		t.Errorf("by single gain %v for %v ft, cheapest %v for %v ft", taken, cost, best.Places, best.Cost.Feet.Value)
	}
}

// Candidates on a coarse lattice run along the ring, along each other, cross
// and meet: every answer is a number, more metal never raises R, what is all
// there already changes nothing, and the same metal by itself is within the
// mesh's doubt.
func TestFixesOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genSoil(2).Draw(t, "m")
		base := []Wire{rect(0, 0, 4, 3, .6, .004), rod(0, 0, .6, 2.4, .008)}
		var cs []Candidate
		for i := range rapid.IntRange(1, 4).Draw(t, "candidates") {
			c := Candidate{ID: fmt.Sprint(i)}
			at := func(n string, hi int) float64 { return float64(rapid.IntRange(-2, hi).Draw(t, n)) }
			x, y := at("x", 6), at("y", 5)
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				c.Wires = []Wire{rod(x, y, .6, float64(rapid.IntRange(1, 4).Draw(t, "l")), .008)}
			case 1:
				c.Wires = []Wire{{Radius: .004, Path: [][3]float64{{x, y, .6}, {x + 1 + float64(rapid.IntRange(0, 4).Draw(t, "w")), y, .6}}}}
			case 2:
				c.Wires = []Wire{{Radius: .004, Path: [][3]float64{{x, y, .6}, {x + 2, y + 1, .6}}}}
			}
			cs = append(cs, c)
		}
		o := Options{MaxLength: .5}
		f, err := Candidates(context.Background(), m, base, cs, o)
		if err != nil {
			t.Fatal(err)
		}
		last := float64(f.Base())
		var which []int
		for i, c := range cs {
			which = append(which, i)
			r, err := f.Resistance(which...)
			if err != nil || !(float64(r) > 0) || float64(r) > last*(1+1e-12) {
				t.Fatalf("with %s %v after %v (%v)", c.ID, r, last, err)
			}
			last = float64(r)
			s := f.Singles()[i]
			alone, err := Solve(context.Background(), m, []Electrode{{"A", append(base, c.Wires...)}}, o)
			if err != nil { // what overlaps is one error there
				continue
			}
			if rel(float64(s.Resistance), float64(alone.Resistance(0))) > .01 {
				t.Fatalf("%v: %v, by itself %v", c.Wires, s.Resistance, alone.Resistance(0))
			}
		}
	})
}

func TestFixesBadInput(t *testing.T) {
	base := small(1)
	good := Candidate{ID: "a", Wires: []Wire{rod(8, 0, 0, 2, .008)}, Cost: Cost{Feet: Known(8)}}
	with := func(c Cost) Candidate { g := good; g.Cost = c; return g }
	for name, c := range map[string]struct {
		cs    []Candidate
		fault Fault
	}{
		"negative":  {[]Candidate{with(Cost{Feet: Known(-1)})}, BadCost},
		"nan":       {[]Candidate{with(Cost{Money: Known(math.NaN())})}, BadCost},
		"no name":   {[]Candidate{{Wires: good.Wires}}, BadID},
		"twice":     {[]Candidate{good, good}, BadID},
		"no wires":  {[]Candidate{{ID: "x"}}, NoElectrodes},
		"coincides": {[]Candidate{{ID: "x", Wires: []Wire{rod(0, 0, .6, 4, .006)}}}, Coincident},
		"in itself": {[]Candidate{{ID: "x", Wires: []Wire{rod(8, 0, 0, 2, .008), rod(8, 0, 0, 3, .008)}}}, Coincident},
	} {
		_, err := Candidates(context.Background(), soil.Single(100), base, c.cs, Options{})
		var e *Error
		if !errors.As(err, &e) || e.Fault != c.fault || e.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	f := fixes(t, soil.Single(100), base, []Candidate{good}, Options{})
	for name, c := range map[string]struct {
		target unit.Ohm
		by     By
		fault  Fault
	}{
		"no target": {0, ByFeet, BadOption}, "nan": {unit.Ohm(math.NaN()), ByFeet, BadOption}, "no price": {1, ByMoney, BadCost},
		"no figure": {1, By(9), BadOption}, "too low": {.1, ByFeet, OutOfReach},
	} {
		for _, ask := range []func(context.Context, unit.Ohm, By) (Choice, error){f.Greedy, f.Exact} {
			_, err := ask(context.Background(), c.target, c.by)
			var e *Error
			if !errors.As(err, &e) || e.Fault != c.fault || e.Mend == "" {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if got, err := f.Exact(context.Background(), 1000, ByFeet); err != nil || len(got.Places) != 0 || got.Cost.Feet.Value != 0 {
		t.Errorf("a target that is met already: %v, %v", got, err)
	}
	if _, err := f.Resistance(7); err == nil {
		t.Error("no such candidate")
	}
}

// sixteen candidates of compound A: two longer rods at each place, a radial
// at each corner.
func sixteen() []Candidate {
	var cs []Candidate
	for _, p := range [][2]float64{{2, 2}, {38, 2}, {38, 28}, {2, 28}, {20, 2}, {20, 28}} {
		for _, l := range []float64{16, 24} {
			cs = append(cs, Candidate{ID: fmt.Sprint(l, " ft rod at ", p), Wires: []Wire{rod(p[0]*ft, p[1]*ft, .762, l*ft, half)}, Cost: Cost{Feet: Known(l - 8), Money: Known((l-8)*3 + l*l*.1)}})
		}
	}
	for _, p := range [][4]float64{{2, 2, -1, -1}, {38, 2, 1, -1}, {38, 28, 1, 1}, {2, 28, -1, 1}} {
		cs = append(cs, Candidate{ID: fmt.Sprint("radial at ", p[:2]), Wires: radial(p[0], p[1], p[2], p[3], 20, 8), Cost: Cost{Feet: Known(28), Money: Known(120)}})
	}
	return cs
}

func BenchmarkCandidates(b *testing.B) {
	for b.Loop() {
		fixes(b, soil.Single(150), compoundA(8*ft), sixteen(), Options{})
	}
}

func BenchmarkChoice(b *testing.B) {
	f := fixes(b, soil.Single(150), compoundA(8*ft), sixteen(), Options{})
	b.Run("greedy", func(b *testing.B) {
		for b.Loop() {
			if _, err := f.Greedy(context.Background(), 5, ByMoney); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("exact", func(b *testing.B) {
		var c Choice
		for b.Loop() {
			var err error
			if c, err = f.Exact(context.Background(), 5, ByMoney); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(c.Looked), "sets")
	})
}
