package ground

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/base/unit"
	"stubup/trade/soil"
)

func load(t testing.TB, path string, to any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, to); err != nil {
		t.Fatal(err)
	}
}

func rel(got, want float64) float64 { return math.Abs(got/want - 1) }

func solve(t testing.TB, m soil.Model, o Options, es ...Electrode) *Solution {
	t.Helper()
	s, err := Solve(context.Background(), m, es, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func one(t testing.TB, m soil.Model, ws ...Wire) float64 {
	t.Helper()
	return float64(solve(t, m, Options{}, Electrode{"A", ws}).Resistance(0))
}

func rod(x, y, top, length, r float64) Wire {
	return Wire{r, [][3]float64{{x, y, top}, {x, y, top + length}}}
}

func circle(n int, radius, depth, r float64) Wire {
	w := Wire{Radius: r}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		w.Path = append(w.Path, [3]float64{radius * math.Cos(a), radius * math.Sin(a), depth})
	}
	w.Path = append(w.Path, w.Path[0])
	return w
}

func rect(x0, y0, x1, y1, depth, r float64) Wire {
	return Wire{r, [][3]float64{{x0, y0, depth}, {x1, y0, depth}, {x1, y1, depth}, {x0, y1, depth}, {x0, y0, depth}}}
}

// The expected values were computed by methods foreign to this one (each
// entry names them), the tolerance set before the comparison is 0.5 %.
func TestLayeredField(t *testing.T) {
	var cases []struct {
		ID   string
		Soil struct {
			Rho []float64 `json:"rho_ohm_m"`
			H   []float64 `json:"thickness_m"`
		}
		Electrode struct {
			Kind   string
			Radius float64 `json:"radius_m"`
			Top    float64 `json:"top_depth_m"`
			Length float64 `json:"length_m"`
			Ring   float64 `json:"ring_radius_m"`
			Wire   float64 `json:"wire_radius_m"`
			Depth  float64 `json:"depth_m"`
		}
		Expected float64
	}
	load(t, "testdata/layered.json", &cases)
	for _, c := range cases {
		m := soil.Model{}
		for i, r := range c.Soil.Rho {
			l := soil.Layer{Resistivity: unit.OhmMetre(r)}
			if i < len(c.Soil.H) {
				l.Thickness = unit.Metre(c.Soil.H[i])
			}
			m = append(m, l)
		}
		var w Wire
		switch c.Electrode.Kind {
		case "vertical_rod":
			w = rod(0, 0, c.Electrode.Top, c.Electrode.Length, c.Electrode.Radius)
		case "circular_ring":
			w = circle(120, c.Electrode.Ring, c.Electrode.Depth, c.Electrode.Wire)
		default:
			t.Errorf("%s: no mapping", c.ID)
			continue
		}
		s := solve(t, m, Options{}, Electrode{"A", []Wire{w}})
		got := float64(s.Resistance(0))
		t.Logf("%-45s %9.5f want %9.5f  %+.3f %%  (%d elements, kernel %.1g)", c.ID, got, c.Expected, 100*(got/c.Expected-1), s.Elements(), s.KernelDoubt())
		if rel(got, c.Expected) > 0.005 {
			t.Errorf("%s: %v want %v", c.ID, got, c.Expected)
		}
	}
	if len(cases) != 11 {
		t.Errorf("%d cases", len(cases))
	}
}

const (
	ft   = 0.3048
	awg2 = 0.003272
	half = 0.0079375 // 5/8 in rod
)

// compoundA is a ring (2,2)-(38,28) ft, 30 in deep, 2 AWG solid, with rods of
// 5/8 in x 8 ft from ring depth at the corners and the middles of the long
// sides.
func compoundA(rodLength float64) []Wire {
	ws := []Wire{rect(2*ft, 2*ft, 38*ft, 28*ft, 0.762, awg2)}
	for _, p := range [][2]float64{{2, 2}, {38, 2}, {38, 28}, {2, 28}, {20, 2}, {20, 28}} {
		ws = append(ws, rod(p[0]*ft, p[1]*ft, 0.762, rodLength, half))
	}
	return ws
}

var _ = strings.HasPrefix

func TestCompoundA(t *testing.T) {
	s := solve(t, soil.Single(100), Options{}, Electrode{"A", compoundA(8 * ft)})
	t.Logf("compound A %v ohm, %d elements", s.Resistance(0), s.Elements())
	if rel(float64(s.Resistance(0)), 4.68) > 0.02 {
		t.Error(s.Resistance(0))
	}
}

func BenchmarkCompoundAUniform(b *testing.B) {
	for b.Loop() {
		solve(b, soil.Single(100), Options{}, Electrode{"A", compoundA(8 * ft)})
	}
}

func BenchmarkCompoundATwoLayer(b *testing.B) {
	for b.Loop() {
		solve(b, soil.TwoLayer(100, 1000, 5*ft), Options{}, Electrode{"A", compoundA(2.5 * ft)})
	}
}

func BenchmarkCompoundACrossing(b *testing.B) {
	for b.Loop() {
		solve(b, soil.TwoLayer(300, 100, 2), Options{}, Electrode{"A", compoundA(8 * ft)})
	}
}

func BenchmarkCompoundAThreeLayer(b *testing.B) {
	for b.Loop() {
		solve(b, soil.Model{{Resistivity: 300, Thickness: .8}, {Resistivity: 60, Thickness: 2}, {Resistivity: 1500}}, Options{}, Electrode{"A", compoundA(8 * ft)})
	}
}
