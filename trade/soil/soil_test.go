package soil

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
)

func rel(got, want float64) float64 { return math.Abs(got/want - 1) }

// wennerSeries is the slow twin: the image series of two layers,
// rho_a/rho1 = 1 + 4 sum K^n (1/sqrt(1+(2nh/a)^2) - 1/sqrt(4+(2nh/a)^2)).
func wennerSeries(rho1, rho2, h, a float64) float64 {
	k := (rho2 - rho1) / (rho2 + rho1)
	sum, kn := 0.0, 1.0
	for n := 1; n < 5_000_000; n++ {
		kn *= k
		x := 2 * float64(n) * h / a
		t := kn * (1/math.Sqrt(1+x*x) - 1/math.Sqrt(4+x*x))
		sum += t
		if math.Abs(kn) < 1e-17 || math.Abs(t) < 1e-18 {
			break
		}
	}
	return rho1 * (1 + 4*sum)
}

// The expected values were computed by two methods foreign to this package
// (Hankel quadrature and image series); the tolerance is twice their doubt,
// plus the rounding of the seven printed digits.
func TestWennerLayered(t *testing.T) {
	var cases []struct {
		ID   string
		Soil struct {
			Rho []float64 `json:"rho_ohm_m"`
			H   []float64 `json:"thickness_m"`
		}
		Electrode struct {
			Spacing float64 `json:"spacing_m"`
		}
		Expected float64
	}
	load(t, "testdata/layered-wenner.json", &cases)
	for _, c := range cases {
		m := Model{}
		for i, r := range c.Soil.Rho {
			l := Layer{Resistivity: unit.OhmMetre(r)}
			if i < len(c.Soil.H) {
				l.Thickness = unit.Metre(c.Soil.H[i])
			}
			m = append(m, l)
		}
		got, err := m.Wenner(unit.Metre(c.Electrode.Spacing))
		if err != nil || rel(float64(got), c.Expected) > 3e-7 {
			t.Errorf("%s: %v (%v), want %v", c.ID, got, err, c.Expected)
		}
	}
	if len(cases) != 8 {
		t.Errorf("%d cases", len(cases))
	}
}

func load(t *testing.T, path string, to any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, to); err != nil {
		t.Fatal(err)
	}
}

// Each entry carries its source and its tolerance.
func TestFourPin(t *testing.T) {
	var cases []struct {
		ID       string
		Config   map[string]any
		Expected float64
		Tol      float64
		Source   string
	}
	load(t, "testdata/four-pin.json", &cases)
	num := func(v any) float64 {
		if f, ok := v.(float64); ok {
			return f
		}
		return 1e12 // "inf"
	}
	for _, c := range cases {
		g := c.Config
		var got float64
		switch {
		case g["rho1"] != nil:
			m := Single(unit.OhmMetre(num(g["rho1"])))
			if h := num(g["h_mm"]); h > 0 {
				m = TwoLayer(unit.OhmMetre(num(g["rho1"])), unit.OhmMetre(num(g["rho2"])), unit.Metre(h/1000))
			}
			r, err := m.Resistance(unit.Metre(num(g["s_mm"])/1000), unit.Metre(num(g["L_mm"])/1000))
			if err != nil {
				t.Error(c.ID, err)
			}
			got = float64(r)
		case g["array"] == "Wenner":
			k := num(g["K"])
			r, err := TwoLayer(1, unit.OhmMetre((1+k)/(1-k)), 1).Wenner(unit.Metre(num(g["a/h"])))
			if err != nil {
				t.Error(c.ID, err)
			}
			got = float64(r)
		default:
			t.Errorf("%s: no mapping", c.ID)
			continue
		}
		if rel(got, c.Expected) > c.Tol {
			t.Errorf("%s: %v, want %v within %v (%s)", c.ID, got, c.Expected, c.Tol, c.Source)
		}
	}
}

func TestWennerTwin(t *testing.T) {
	for _, rho2 := range []float64{0.1, 1, 10, 50, 99, 101, 200, 900, 5000, 1e5} {
		for _, a := range []float64{0.05, 0.3, 1, 2, 5, 20, 100, 1000} {
			m := TwoLayer(100, unit.OhmMetre(rho2), 1.5)
			got, err := m.Wenner(unit.Metre(a))
			want := wennerSeries(100, rho2, 1.5, a)
			if err != nil || rel(float64(got), want) > 1e-8 {
				t.Errorf("rho2 %v a %v: %.12g want %.12g (%v)", rho2, a, float64(got), want, err)
			}
			s, err := m.Schlumberger(unit.Metre(1.5*a), unit.Metre(a))
			if err != nil || rel(float64(s), want) > 1e-8 {
				t.Errorf("schlumberger with inner = a is wenner: rho2 %v a %v: %.12g want %.12g (%v)", rho2, a, float64(s), want, err)
			}
		}
	}
}

func genModel(n int) *rapid.Generator[Model] {
	return rapid.Custom(func(t *rapid.T) Model {
		k := rapid.IntRange(1, n).Draw(t, "layers")
		m := make(Model, k)
		for i := range m {
			m[i].Resistivity = unit.OhmMetre(math.Pow(10, rapid.Float64Range(0.7, 3.7).Draw(t, "lg rho")))
			if i < k-1 {
				m[i].Thickness = unit.Metre(math.Pow(10, rapid.Float64Range(-0.7, 1).Draw(t, "lg h")))
			}
		}
		return m
	})
}

// Properties that need no expected number.
func TestSoundingProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genModel(MaxLayers).Draw(t, "m")
		a := unit.Metre(math.Pow(10, rapid.Float64Range(-1, 2).Draw(t, "lg a")))
		got, err := m.Wenner(a)
		if err != nil {
			t.Fatal(err)
		}
		if k, _ := m.Scale(3).Wenner(a); rel(float64(k), 3*float64(got)) > 1e-10 {
			t.Fatalf("does not scale with resistivity: %v %v", k, got)
		}
		long := append(Model(nil), m...)
		for i := range long {
			long[i].Thickness *= 7
		}
		if k, _ := long.Wenner(7 * a); rel(float64(k), float64(got)) > 1e-7 {
			t.Fatalf("does not scale with length: %v %v", k, got)
		}
		// A layer split in two equal ones is the same earth.
		if len(m) > 1 && len(m) < MaxLayers {
			split := append(Model{{m[0].Resistivity, m[0].Thickness / 3}, {m[0].Resistivity, m[0].Thickness * 2 / 3}}, m[1:]...)
			if k, _ := split.Wenner(a); rel(float64(k), float64(got)) > 1e-9 {
				t.Fatalf("splitting a layer changes %v to %v", got, k)
			}
		}
		if float64(got) <= 0 || math.IsNaN(float64(got)) {
			t.Fatalf("rho_a %v", got)
		}
	})
}

func TestSoundingLimits(t *testing.T) {
	m := Model{{300, 0.8}, {60, 3.2}, {1500, 0}}
	near, _ := m.Wenner(0.01)
	far, _ := m.Wenner(50000)
	if rel(float64(near), 300) > 1e-5 || rel(float64(far), 1500) > 2e-2 {
		t.Errorf("near %v far %v", near, far)
	}
	// Three layers whose middle is all but gone are two.
	two, _ := TwoLayer(300, 1500, 0.8).Wenner(2)
	three, _ := Model{{300, 0.8}, {60, 1e-6}, {1500, 0}}.Wenner(2)
	if rel(float64(three), float64(two)) > 1e-4 {
		t.Errorf("%v, %v", three, two)
	}
}

// Four-pin 10.4, 5.2, 2.6 ohm at 5, 10, 20 ft: 2 pi x 1.524 m x 10.4 ohm =
// 99.6 ohm-m, by hand; with 0.65 ohm last, 24.9.
func TestFromReadings(t *testing.T) {
	rs := []Reading{{5 * unit.Foot, 10.4}, {10 * unit.Foot, 5.2}, {20 * unit.Foot, 2.6}}
	m, s, err := FromReadings(rs)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range s.Apparent {
		if math.Abs(float64(a)-99.6) > 0.05 {
			t.Errorf("apparent %v", a)
		}
	}
	if rho, ok := m.Uniform(); !ok || math.Abs(float64(rho)-99.6) > 0.05 {
		t.Errorf("%v", m)
	}
	rs[2].Resistance = 0.65
	_, s, err = FromReadings(rs)
	var need *NeedsLayers
	if !errors.As(err, &need) || need.Worst != 2 || math.Abs(float64(s.Apparent[2])-24.9) > 0.05 {
		t.Errorf("%v %v", s, err)
	}
	// Exactly at the limit: 90 and 110 about 100 hold, 89.9 and 110.1 do not.
	at := func(rho float64) Reading { return Reading{1, unit.Ohm(rho / (2 * math.Pi))} }
	if _, _, err := FromReadings([]Reading{at(90.0001), at(109.9999)}); err != nil {
		t.Error(err)
	}
	if _, _, err := FromReadings([]Reading{at(89.9), at(110.1)}); err == nil {
		t.Error("10.1 % passes")
	}
	for _, bad := range [][]Reading{nil, {{0, 1}}, {{1, 0}}, {{1, -1}}, {{unit.Metre(math.NaN()), 1}}, {{1, unit.Ohm(math.Inf(1))}}} {
		var e *Error
		if _, _, err := FromReadings(bad); !errors.As(err, &e) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

func TestValidate(t *testing.T) {
	nan := unit.OhmMetre(math.NaN())
	for _, c := range []struct {
		m     Model
		fault Fault
		index int
	}{
		{Model{}, NoLayers, -1},
		{make(Model, 7), TooManyLayers, -1},
		{Model{{nan, 0}}, BadResistivity, 0},
		{Model{{100, 1}, {-3, 0}}, BadResistivity, 1},
		{Model{{100, 1}, {0, 0}}, BadResistivity, 1},
		{Model{{100, 0}, {10, 0}}, BadThickness, 0},
		{Model{{100, -1}, {10, 0}}, BadThickness, 0},
		{Model{{100, 1}, {10, 2}}, BadThickness, 1},
		{Model{{100, unit.Metre(math.NaN())}, {10, 0}}, BadThickness, 0},
	} {
		var e *Error
		if err := c.m.Validate(); !errors.As(err, &e) || e.Fault != c.fault || e.Index != c.index || e.Mend == "" {
			t.Errorf("%v: %v", c.m, err)
		}
		if _, err := c.m.Wenner(1); err == nil {
			t.Errorf("%v: sounded", c.m)
		}
	}
	if err := (Model{{100, 1.5}, {900, 0}}).Validate(); err != nil {
		t.Error(err)
	}
}

func TestLayers(t *testing.T) {
	m := Model{{1, 1}, {2, 2}, {3, 0}}
	for z, want := range map[unit.Metre]int{0: 0, 1: 0, 1.0001: 1, 3: 1, 9: 2} {
		if got := m.LayerAt(z); got != want {
			t.Errorf("layer at %v is %v, want %v", z, got, want)
		}
	}
	if b := m.Boundaries(); len(b) != 2 || b[0] != 1 || b[1] != 3 {
		t.Error(b)
	}
	if got := (Model{{5, 1}, {5, 1}, {6, 1}, {6, 0}}).Merged(); len(got) != 2 || got[0].Thickness != 2 || got[1].Thickness != 0 {
		t.Error(got)
	}
}

func BenchmarkWenner(b *testing.B) {
	m := Model{{300, 0.8}, {60, 3.2}, {1500, 0}}
	for b.Loop() {
		m.Wenner(6)
	}
}
