package surge

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
)

// Known answers, each with its source in testdata/grounding.json; an id
// without a mapping fails.
func TestKnownAnswers(t *testing.T) {
	raw, err := os.ReadFile("testdata/grounding.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		ID            string
		Expected, Tol float64
		Source        string
	}
	if err := json.Unmarshal(raw, &all); err != nil || len(all) != 7 {
		t.Fatalf("%d entries: %v", len(all), err)
	}
	l1 := func(class string, rho unit.OhmMetre) float64 {
		l, _, err := LeastLength(class, rho)
		if err != nil {
			t.Error(err)
		}
		return float64(l)
	}
	got := map[string]float64{
		"IEC-L1-I-500": l1("I", 500), "IEC-L1-I-1000": l1("I", 1000), "IEC-L1-II-3000": l1("II", 3000), "IEC-L1-IIIIV-3000": l1("IV", 3000),
		"IEC-TYPEB-RE": float64(EquivalentRadius(15.24 * 15.24)), "GR-LEFF-100-1": float64(EffectiveLength(100, 1e-6)), "GR-LEFF-1000-10": float64(EffectiveLength(1000, 1e-5)),
	}
	for _, e := range all {
		g, ok := got[e.ID]
		if !ok {
			t.Errorf("%s is not mapped", e.ID)
		} else if math.Abs(g-e.Expected) > e.Tol*e.Expected {
			t.Errorf("%s: %v, want %v within %v (%s)", e.ID, g, e.Expected, e.Tol, e.Source)
		}
	}
}

// Properties of the curves: poorer soil and slower fronts reach further; a
// longer electrode never has a smaller coefficient; up to the effective
// length it is 1.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rho := unit.OhmMetre(rapid.Float64Range(10, 5000).Draw(t, "rho"))
		rise := unit.Second(rapid.Float64Range(0.2e-6, 5e-6).Draw(t, "rise"))
		l := EffectiveLength(rho, rise)
		if l <= 0 || EffectiveLength(2*rho, rise) <= l || EffectiveLength(rho, 2*rise) <= l {
			t.Fatalf("effective length %v does not grow", l)
		}
		if a := ImpulseCoefficient(rho, rise, l*0.999); a != 1 {
			t.Fatalf("coefficient %v within the effective length", a)
		}
		if ImpulseCoefficient(rho, rise, l*2) <= 1 || ImpulseCoefficient(rho, rise, l*3) < ImpulseCoefficient(rho, rise, l*2) {
			t.Fatal("coefficient does not grow with length")
		}
	})
}

// The figure's own check: classes are ordered, and l1 grows with resistivity.
func TestLeastLengths(t *testing.T) {
	last := map[string]unit.Metre{}
	for rho := unit.OhmMetre(0); rho <= 3000; rho += 50 {
		var above unit.Metre = math.MaxFloat64
		for _, class := range []string{"I", "II", "III", "IV"} {
			l, c, err := LeastLength(class, rho)
			if err != nil || c.IsZero() {
				t.Fatal(err)
			}
			if l > above || l < last[class] || l < 5 {
				t.Errorf("class %s at %v: %v", class, rho, l)
			}
			above, last[class] = l, l
		}
	}
	if _, _, err := LeastLength("V", 100); err == nil {
		t.Error("class V was taken")
	}
	if e := TypeB(8, 20); !e.Needed || e.Horizontal != 12 || e.Vertical != 6 {
		t.Errorf("%+v", e)
	}
	if TypeB(20, 8).Needed {
		t.Error("a large ring needs nothing")
	}
}
