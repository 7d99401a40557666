package bond

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/base/unit"
)

// The expected values and their tolerances are in the file, with where each is
// from.
func TestFaultFigures(t *testing.T) {
	raw, err := os.ReadFile("testdata/fault.json")
	if err != nil {
		t.Fatal(err)
	}
	var entries []struct {
		ID       string
		Config   map[string]any
		Expected float64
		Tol      float64
		Source   string
	}
	if err := json.Unmarshal(raw, &entries); err != nil {
		t.Fatal(err)
	}
	num := func(m map[string]any, k string) float64 { v, _ := m[k].(float64); return v }
	text := func(m map[string]any, k string) string { v, _ := m[k].(string); return v }
	names := map[string]string{
		"Cu annealed soft 100%": "copper annealed", "Cu hard drawn 97%": "copper hard drawn", "Cu annealed": "copper annealed", "Cu": "copper annealed",
		"Cu-clad steel wire 40%": "copper-clad steel wire 40 %", "Cu-clad steel wire 30%": "copper-clad steel wire 30 %", "Cu-clad steel rod 20%": "copper-clad steel rod 20 %",
		"Cu-clad steel 40%": "copper-clad steel wire 40 %", "Al EC 61%": "aluminum EC", "Al 5005": "aluminum 5005", "Al 6201": "aluminum 6201",
		"Al-clad steel 20.3%": "aluminum-clad steel", "steel 1020": "steel 1020", "stainless-clad rod": "stainless-clad rod",
		"zinc-coated rod": "zinc-coated rod", "stainless 304": "stainless 304",
	}
	cu := named("copper annealed")
	kinds := map[string]int{}
	for _, e := range entries {
		m := named(names[text(e.Config, "material")])
		var got float64
		switch p, _, _ := strings.Cut(e.ID, "-"); {
		case strings.HasPrefix(e.ID, "I80-KF"):
			p = "KF"
			kinds[p]++
			got = FusingFactor(m, m.Fusing, unit.Celsius(num(e.Config, "Ta_C")))
		case p == "KS":
			kinds[p]++
			got = FusingFactor(m, unit.Celsius(num(e.Config, "Tm_C")), 40)
		case p == "OND":
			kinds[p]++
			got = Onderdonk(unit.Ampere(num(e.Config, "I_A")), unit.Second(num(e.Config, "t_s")), unit.Celsius(num(e.Config, "Tm_C")), unit.Celsius(num(e.Config, "Ta_C")))
		case strings.HasPrefix(e.ID, "I80-DF"):
			kinds["DF"]++
			got = DecrementFactor(unit.Second(num(e.Config, "t_f_s")), num(e.Config, "X/R"), num(e.Config, "f_Hz"))
		case strings.HasPrefix(e.ID, "I80-ULT"):
			kinds["ULT"]++
			w, err := unit.ParseWire(strings.TrimPrefix(text(e.Config, "size"), "#"))
			if err != nil {
				t.Fatal(err)
			}
			area := map[string]float64{"2": 66.36, "1/0": 105.6, "4/0": 211.6}[w.Name()]
			df := DecrementFactor(unit.Second(num(e.Config, "t_s")), num(e.Config, "X/R"), num(e.Config, "f_Hz"))
			got = float64(Withstand(area, FusingFactor(cu, 1083, 40), unit.Second(num(e.Config, "t_s")), df)) / 1000
		case strings.HasPrefix(e.ID, "I80-76"):
			kinds["76"]++
			joint := map[string]string{"cable only": "exothermic", "brazed": "brazed", "bolted": "pressure 250"}[text(e.Config, "joint")]
			tm, _, ok := JointLimit(joint, cu)
			if !ok {
				t.Fatalf("no joint %q", joint)
			}
			// Circular mils for each ampere are kcmil for each kA.
			got = LeastArea(FusingFactor(cu, tm, 40), 1000, unit.Second(num(e.Config, "t_s")))
		default:
			t.Errorf("%s: no mapping", e.ID)
			continue
		}
		if math.Abs(got/e.Expected-1) > e.Tol {
			t.Errorf("%s: %.4g, want %.4g within %g (%s)", e.ID, got, e.Expected, e.Tol, e.Source)
		}
	}
	if want := map[string]int{"KF": 13, "KS": 6, "OND": 3, "DF": 13, "ULT": 14, "76": 6}; len(entries) != 55 {
		t.Errorf("%d entries", len(entries))
	} else {
		for k, n := range want {
			if kinds[k] != n {
				t.Errorf("%s: %d entries, want %d", k, kinds[k], n)
			}
		}
	}
}

func TestHeating(t *testing.T) {
	b := bare(t, "2 AWG solid tinned copper")
	ta, _ := Ambient()
	at, err := Check(b, "exothermic", Event{Current: 12000, Duration: 0.5, XR: 40, Hertz: 60}, ta)
	if err != nil {
		t.Fatal(err)
	}
	// The printed table gives 12 kA for that; the conductor is good for 12.2.
	if !at.Holds || at.Caution == "" || at.Outside != "" {
		t.Errorf("%+v", at)
	}
	near(t, "withstand", float64(at.Withstand), 12000, 0.05)
	// Least and Withstand are two ways to say one thing.
	lim, err := Check(b, "exothermic", Event{Current: at.Withstand, Duration: 0.5, XR: 40, Hertz: 60}, ta)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area at the withstand", lim.Least, lim.Has, 1e-12)
	// Joints that bear less heat need more copper.
	last := 0.0
	for _, j := range []string{"exothermic", "brazed", "pressure 350", "pressure 250"} {
		h, err := Check(b, j, Event{Current: 12000, Duration: 0.5}, ta)
		if err != nil {
			t.Fatal(err)
		}
		if h.Least <= last {
			t.Errorf("%s needs %v after %v", j, h.Least, last)
		}
		last = h.Least
	}
	if h, err := Check(b, "exothermic", Event{Current: 1000, Duration: 60}, ta); err != nil || h.Outside == "" {
		t.Errorf("60 s: %+v %v", h, err)
	}
	for _, e := range []Event{{}, {Current: 1, Duration: -1}, {Current: 1, Duration: 1, XR: 10}} {
		if _, err := Check(b, "exothermic", e, ta); err == nil {
			t.Errorf("%+v taken", e)
		}
	}
	if _, err := Check(b, "soldered", Event{Current: 1, Duration: 1}, ta); err == nil {
		t.Error("a joint that is not in the table")
	}
	if _, err := Check(b, "pressure 250", Event{Current: 1, Duration: 1}, 300); err == nil {
		t.Error("a start above the limit")
	}
}

func TestFormulas(t *testing.T) {
	for _, f := range Formulas {
		for _, c := range f.Checks {
			got := c.Got()
			if !(math.Abs(got-c.Want) <= c.Tol*math.Abs(c.Want)) {
				t.Errorf("%s, %s: %v, want %v", f.ID, c.Name, got, c.Want)
			}
		}
	}
	if ms, c := Materials(); len(ms) != 13 || c.Place == "" {
		t.Errorf("%d materials of %v", len(ms), c)
	}
}
