package answer

import (
	"context"
	"math"
	"os"
	"testing"

	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/ground"
	"stubup/trade/soil"
)

// How far the electrode over the soils of a band may be from a
// solution of its own, on the short elements of the design value.
const (
	within     = 0.01
	withinCold = 0.03
)

func bandBook(t testing.TB, change func(*site.Site)) *Book {
	t.Helper()
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := site.Load("compound-a.yaml", src).Site
	s.Soil = site.Soil{}
	change(s)
	return New(context.Background(), plan.Make(s))
}

func feet(x float64) unit.Q[unit.Metre] {
	return unit.Q[unit.Metre]{SI: unit.Metre(x) * unit.Foot, Set: true, Text: unit.Trim(x, 2) + " ft"}
}

func ohms(x float64) unit.Q[unit.Ohm] {
	return unit.Q[unit.Ohm]{SI: unit.Ohm(x), Set: true, Text: unit.Trim(x, 3) + " ohm"}
}

// surveyOf reads a model at spacings in feet.
func surveyOf(t testing.TB, m soil.Model, line string, by float64, spacings ...float64) (out []site.Reading) {
	t.Helper()
	for _, a := range spacings {
		rho, err := m.Wenner(unit.Metre(a) * unit.Foot)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, site.Reading{Line: line, Spacing: feet(a), Ohms: ohms(by * float64(rho) / (2 * math.Pi * a * float64(unit.Foot)))})
	}
	return out
}

// The electrode over the soils that are believed, against solutions of its own
// at some of them: 1 %; under frost 3 %, as the nodes say.
func TestElectrodeOverSoils(t *testing.T) {
	for _, m := range []soil.Model{soil.Single(100), soil.TwoLayer(120, 480, 2), soil.TwoLayer(300, 60, 1.2)} {
		b := bandBook(t, func(s *site.Site) {
			s.Soil.Readings = surveyOf(t, m, "A", 1, 5, 10, 20, 40)
			s.Soil.Frost = feet(3)
		})
		s := b.sounding()
		st := s.steps[0]
		want := st.belief.Support(bandShare)
		if _, err := b.electrode(s, s.value, want); err != nil {
			t.Fatal(err)
		}
		var nodes []int
		for i, ok := range want {
			if ok {
				nodes = append(nodes, i)
			}
		}
		worst := 0.0
		table := s.value.finer.Table(want)
		const asked = 24
		frost := Season{Top: soil.FrozenTop, Depth: 3 * unit.Foot, Times: 10}
		times, err := b.seasonTimes(s, frost, want)
		if err != nil {
			t.Fatal(err)
		}
		worstCold := 0.0
		for k := range asked {
			i := nodes[k*len(nodes)/asked]
			ratio, h := s.grid.Node(i)
			sol, err := ground.Solve(context.Background(), soil.TwoLayer(1, unit.OhmMetre(ratio), h), []ground.Electrode{{ID: "g", Wires: s.wires}}, ground.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if k%2 == 0 {
				cold, err := frost.changed(soil.TwoLayer(1, unit.OhmMetre(ratio), h))
				if err != nil {
					t.Fatal(err)
				}
				sol, err := ground.Solve(context.Background(), cold, []ground.Electrode{{ID: "g", Wires: s.wires}}, ground.Options{})
				if err != nil {
					t.Fatal(err)
				}
				d := math.Abs(table.Value(i)*times.Value(i)/float64(sol.Resistance(0)) - 1)
				worstCold = max(worstCold, d)
				if d > withinCold {
					t.Errorf("%v, frozen: at ratio %.3g, boundary %.3g m: %.2f %% off", m, ratio, float64(h), 100*d)
				}
			}
			d := math.Abs(table.Value(i)/float64(sol.Resistance(0)) - 1)
			worst = max(worst, d)
			if d > within {
				t.Errorf("%v: at ratio %.3g, boundary %.3g m: %.2f %% off", m, ratio, float64(h), 100*d)
			}
		}
		t.Logf("%v: %d of %d nodes believed, within %.2f %%, frozen %.2f %%", m, len(nodes), s.grid.Len(), 100*worst, 100*worstCold)
	}
}
