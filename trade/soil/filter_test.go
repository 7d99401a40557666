package soil

import (
	"math"
	"math/rand/v2"
	"testing"

	"stubup/base/unit"
)

func TestExactFunctions(t *testing.T) {
	// Against the language's own library, within a few units of the last place.
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		x := (r.Float64() - 0.5) * 200
		if rel(exp(x), math.Exp(x)) > 4e-16 {
			t.Fatalf("exp %v: %v %v", x, exp(x), math.Exp(x))
		}
		y := math.Exp(x)
		if d := math.Abs(log(y) - math.Log(y)); d > 4e-16*math.Max(1, math.Abs(math.Log(y))) {
			t.Fatalf("log %v: %v %v", y, log(y), math.Log(y))
		}
		s, c := sincos(x)
		if math.Abs(s-math.Sin(x)) > 1e-14 || math.Abs(c-math.Cos(x)) > 1e-14 {
			t.Fatalf("sincos %v: %v %v", x, s, c)
		}
		if a := math.Abs(x) / 50; math.Abs(atan(a)-math.Atan(a)) > 1e-15 {
			t.Fatalf("atan %v", a)
		}
		if z := x / 15; math.Abs(phi(z)-math.Erfc(-z/math.Sqrt2)/2) > 1e-15 || rel(phi(-math.Abs(z)), math.Erfc(math.Abs(z)/math.Sqrt2)/2) > 1e-12 {
			t.Fatalf("phi %v: %v %v", z, phi(z), math.Erfc(-z/math.Sqrt2)/2)
		}
	}
	if exp(-1000) != 0 || !math.IsInf(exp(1000), 1) || !math.IsNaN(exp(math.NaN())) || phi(50) != 1 || phi(-50) != 0 {
		t.Error("ends")
	}
}

// fastTol is the accuracy that WennerFast and Curve promise.
const fastTol = 1e-5

func randomModel(r *rand.Rand) Model {
	m := make(Model, 1+r.IntN(MaxLayers))
	for i := range m {
		m[i].Resistivity = unit.OhmMetre(math.Pow(10, 3*r.Float64()))
		if i < len(m)-1 {
			m[i].Thickness = unit.Metre(math.Pow(10, -1+2*r.Float64()))
		}
	}
	return m
}

// The slow twin is the adaptive quadrature, which has a twin of its own in the
// image series. Resistivities within 1:1000 of each other, 1 to 6 layers.
func TestFastAgainstQuadrature(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	worst := 0.0
	for range 800 {
		m := randomModel(r)
		var set []Setting
		var want []float64
		for range 3 {
			a := unit.Metre(math.Pow(10, -1.5+4*r.Float64()))
			w, err := m.Wenner(a)
			if err != nil {
				t.Fatal(err)
			}
			fast, err := m.WennerFast(a)
			if d := rel(float64(fast), float64(w)); err != nil || d > fastTol {
				t.Errorf("%v a %v: %v want %v (%v)", m, a, fast, w, err)
			} else {
				worst = math.Max(worst, d)
			}
			set, want = append(set, WennerSetting(a)), append(want, float64(w))
			mn := a * unit.Metre(0.02+1.9*r.Float64())
			s, err := m.Schlumberger(a, mn)
			if err != nil {
				t.Fatal(err)
			}
			set, want = append(set, SchlumbergerSetting(a, mn)), append(want, float64(s))
		}
		c, err := NewCurve(set)
		if err != nil {
			t.Fatal(err)
		}
		got, err := c.Apparent(m)
		if err != nil {
			t.Fatal(err)
		}
		for i := range got {
			if d := rel(float64(got[i]), want[i]); d > fastTol {
				t.Errorf("%v %v: %v want %v, off %.2g", m, set[i], got[i], want[i], d)
			} else {
				worst = math.Max(worst, d)
			}
		}
	}
	for _, rho2 := range []float64{0.1, 1, 10, 100, 1000, 1e4, 1e5} {
		for x := -1.5; x < 4; x += 0.1 {
			m, a := TwoLayer(100, unit.OhmMetre(rho2), 1), unit.Metre(math.Pow(10, x))
			want, _ := m.Wenner(a)
			got, err := m.WennerFast(a)
			if d := rel(float64(got), float64(want)); err != nil || d > fastTol {
				t.Errorf("%v a %v: off %.2g (%v)", m, a, d, err)
			}
		}
	}
	t.Logf("worst %.2g", worst)
}

// Where the weights come from is checked by what they must do: the transform
// of exp(-c lambda) is 1/sqrt(c^2 + r^2) (Lipschitz's integral), of 1 it is 1.
func TestWeights(t *testing.T) {
	for _, c := range []float64{0.01, 0.1, 1, 3, 10} {
		sum := 1.0
		for k := -80; k <= 33; k++ { // from where nothing is left of the difference
			u := float64(k) * filterStep
			sum += weight(u) * math.Expm1(-c*math.Exp(u))
		}
		if want := 1 / math.Sqrt(c*c+1); math.Abs(sum-want) > 1e-8 {
			t.Errorf("c %v: %v want %v", c, sum, want)
		}
	}
}

func TestCurveRefuses(t *testing.T) {
	for _, s := range [][]Setting{nil, {{0, 1}}, {{1, 1}}, {{2, 1}}, {{1, unit.Metre(math.NaN())}}, {{1, 1e5}}} {
		if _, err := NewCurve(s); err == nil {
			t.Errorf("%v accepted", s)
		}
	}
	c, err := NewCurve([]Setting{WennerSetting(1)})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Apparent(Model{{-1, 0}}); err == nil {
		t.Error("bad model accepted")
	}
	if _, err := (Model{{-1, 0}}).WennerFast(1); err == nil {
		t.Error("bad model accepted")
	}
	if _, err := Single(1).WennerFast(0); err == nil {
		t.Error("no spacing accepted")
	}
	// 2 pi a is the factor of equal spacing.
	if f := WennerSetting(3).Factor(); rel(float64(f), 6*math.Pi) > 1e-15 {
		t.Error(f)
	}
}

func BenchmarkWennerFast(b *testing.B) {
	m := Model{{300, 0.8}, {60, 3.2}, {1500, 0}}
	for b.Loop() {
		m.WennerFast(6)
	}
}
