package shock

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/base/unit"
)

// The expected values and their tolerances are in the file, with where each is
// from: the worked example of IEEE Std 80-2000 Annex B and its equations 8, 9.
func TestFigures(t *testing.T) {
	raw, err := os.ReadFile("testdata/shock.json")
	if err != nil {
		t.Fatal(err)
	}
	var entries []struct {
		ID     string
		Config struct {
			Cs, T   float64
			BodyKg  float64 `json:"body_kg"`
			TS      float64 `json:"t_s"`
			Rho     float64
			RhoS    float64 `json:"rho_s"`
			HS      float64 `json:"h_s_m"`
			BodyTxt string  `json:"body"`
		}
		Expected, Tol float64
	}
	if err := json.Unmarshal(raw, &entries); err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		var got float64
		c := e.Config
		switch {
		case strings.HasPrefix(e.ID, "I80-IB-"):
			got = float64(Current(Body(c.BodyKg), unit.Second(c.TS)))
		case e.ID == "I80-B1-CS":
			got = Surface(unit.OhmMetre(c.Rho), unit.OhmMetre(c.RhoS), unit.Metre(c.HS))
		case e.ID == "I80-B1-ESTEP70":
			got = float64(Step(Kg70, unit.Second(c.TS), c.Cs, unit.OhmMetre(c.RhoS)))
		case e.ID == "I80-B1-ETOUCH70":
			got = float64(Touch(Kg70, unit.Second(c.TS), c.Cs, unit.OhmMetre(c.RhoS)))
		default:
			t.Errorf("%s: no mapping", e.ID)
			continue
		}
		if !(math.Abs(got/e.Expected-1) <= e.Tol) {
			t.Errorf("%s: %v, want %v within %v", e.ID, got, e.Expected, e.Tol)
		}
	}
	if len(entries) != 7 {
		t.Errorf("%d entries", len(entries))
	}
}

func TestTolerable(t *testing.T) {
	// The worked example again, whole, with the derating as it comes out: the
	// example rounds it to 0.74 (tolerance 0.5 %).
	l, err := Tolerable(Kg70, 0.5, 400, 2500, 0.102)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(l.Step)/2686.6-1) > 0.005 || math.Abs(float64(l.Touch)/838.2-1) > 0.005 || l.Outside != "" || l.Caution == "" {
		t.Errorf("%+v", l)
	}
	// Bare soil: no derating; thicker stone bears more, and longer faults less.
	bare, err := Tolerable(Kg50, 0.5, 100, 0, 0)
	if err != nil || bare.Derating != 1 {
		t.Errorf("%+v %v", bare, err)
	}
	last := 0.0
	for _, h := range []unit.Metre{0.05, 0.1, 0.2, 0.5, 100} {
		l, err := Tolerable(Kg50, 0.5, 100, 3000, h)
		if err != nil || float64(l.Touch) <= last || l.Derating > 1 {
			t.Errorf("%v: %+v %v", h, l, err)
		}
		last = float64(l.Touch)
	}
	slow, err := Tolerable(Kg50, 2, 100, 0, 0)
	if err != nil || math.Abs(float64(bare.Touch/slow.Touch)-2) > 1e-12 {
		t.Errorf("four times as long bears half: %v %v", bare.Touch/slow.Touch, err)
	}
	if l, err := Tolerable(Kg50, 10, 100, 0, 0); err != nil || l.Outside == "" {
		t.Errorf("10 s: %+v %v", l, err)
	}
	if l, err := Tolerable(Kg50, 1, 1000, 100, 0.1); err != nil || l.Outside == "" {
		t.Errorf("wet surface: %+v %v", l, err)
	}
	for _, bad := range []func() (Limits, error){
		func() (Limits, error) { return Tolerable(60, 1, 100, 0, 0) },
		func() (Limits, error) { return Tolerable(Kg50, 0, 100, 0, 0) },
		func() (Limits, error) { return Tolerable(Kg50, 1, unit.OhmMetre(math.NaN()), 0, 0) },
		func() (Limits, error) { return Tolerable(Kg50, 1, 100, 0, 0.1) },
		func() (Limits, error) { return Tolerable(Kg50, 1, 100, 1000, -1) },
	} {
		if l, err := bad(); err == nil {
			t.Errorf("taken: %+v", l)
		}
	}
	if !math.IsNaN(float64(Current(60, 1))) {
		t.Error("a body of 60 kg")
	}
}

func TestFormulas(t *testing.T) {
	for _, f := range Formulas {
		for _, c := range f.Checks {
			if got := c.Got(); !(math.Abs(got-c.Want) <= c.Tol*math.Abs(c.Want)) {
				t.Errorf("%s, %s: %v, want %v", f.ID, c.Name, got, c.Want)
			}
		}
	}
}
