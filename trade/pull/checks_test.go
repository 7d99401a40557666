package pull_test

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"stubup/base/unit"
	. "stubup/trade/pull"
)

const (
	ft  = unit.Foot
	in  = unit.Inch
	lbf = PoundForce
	plf = PoundForcePerFoot
)

// check is one value from outside, as its source says. The tolerance is
// absolute in its unit.
type check struct {
	ID        string
	Topic     string
	Inputs    map[string]any
	Expected  float64
	Unit      string
	Tolerance float64
	Source    string
	Note      string
}

func (c check) num(t *testing.T, k string) float64 {
	t.Helper()
	v, ok := c.Inputs[k].(float64)
	if !ok {
		t.Fatalf("%s: no number %q in %v", c.ID, k, c.Inputs)
	}
	return v
}

func (c check) group(t *testing.T, cmil float64, share unit.Ratio) float64 {
	t.Helper()
	m := Copper
	if c.Inputs["material"] == "AA-8000" {
		m = AluminumAA8000
	}
	if s, _ := Stress(m); math.Abs(s/float64(lbf)-c.num(t, "S")) > 1e-12 {
		t.Fatalf("the stress of %s is %v", m, s/float64(lbf))
	}
	f, _, missing := GroupTension([]Cable{{Name: "conductor", Count: int(c.num(t, "n")), Metal: m, CMil: cmil}}, share)
	if len(missing) > 0 {
		t.Fatal(missing)
	}
	return float64(f / lbf)
}

// path reads "s100 b45": straight feet and bends of degrees. The printed
// chain gives no radius and takes bends as weightless.
func (c check) path(t *testing.T) []Element {
	t.Helper()
	var out []Element
	for _, w := range strings.Fields(c.Inputs["route"].(string)) {
		v, err := strconv.ParseFloat(w[1:], 64)
		if err != nil {
			t.Fatal(err)
		}
		switch w[0] {
		case 's':
			out = append(out, Straight(unit.Metre(v)*ft, 0))
		case 'b':
			out = append(out, LevelBend(unit.Degree(v), in/1000))
		default:
			t.Fatal(w)
		}
	}
	return out
}

var topics = map[string]func(*testing.T, check) float64{
	"max_tension_group": func(t *testing.T, c check) float64 {
		w, err := unit.ParseWire(c.Inputs["size"].(string))
		if err != nil {
			t.Fatal(err)
		}
		return c.group(t, ConductorArea(w), 1)
	},
	"max_tension": func(t *testing.T, c check) float64 {
		share, above, _ := GroupShare()
		if f, ok := c.Inputs["f"].(float64); ok && f != float64(share) || above != 3 {
			t.Fatalf("the share is %v above %d", share, above)
		}
		return c.group(t, c.num(t, "cmil"), share)
	},
	"pull_straight": func(t *testing.T, c check) float64 {
		return float64(StraightTension(0, unit.NewtonPerM(c.num(t, "W"))*plf, c.num(t, "f"), unit.Metre(c.num(t, "L"))*ft, 0) / lbf)
	},
	"pull_bend": func(t *testing.T, c check) float64 {
		return float64(CapstanTension(unit.Newton(c.num(t, "Tin"))*lbf, c.num(t, "f"), unit.Degree(c.num(t, "deg"))) / lbf)
	},
	"bend_multiplier": func(t *testing.T, c check) float64 {
		return BendMultiplier(c.num(t, "f"), unit.Degree(c.num(t, "deg")))
	},
	"pull_run_fwd": func(t *testing.T, c check) float64 {
		s, err := Tensions(c.path(t), Load{Weight: unit.NewtonPerM(c.num(t, "W")) * plf, Friction: c.num(t, "f")}, 0)
		if err != nil {
			t.Fatal(err)
		}
		return float64(s[int(c.num(t, "after_segment"))-1].Out / lbf)
	},
	"sidewall": func(t *testing.T, c check) float64 {
		return float64(Sidewall(unit.Newton(c.num(t, "T"))*lbf, unit.Metre(c.num(t, "R"))*ft, 1) / plf)
	},
	"radius_from_swp": func(t *testing.T, c check) float64 {
		return RadiusForSidewall(unit.Newton(c.num(t, "T"))*lbf, unit.NewtonPerM(c.num(t, "limit"))*plf, 1).Ft()
	},
	"cable_training_radius": func(t *testing.T, c check) float64 {
		r, _, ok := TrainingRadius(unit.Metre(c.num(t, "OD"))*in, unit.Metre(c.num(t, "ins_mil"))*in/1000)
		if !ok {
			t.Fatal("no radius")
		}
		return r.In()
	},
	"grip_limit": func(_ *testing.T, _ check) float64 {
		f, _ := GripLimit()
		return float64(f / lbf)
	},
}

// The values are copied with their sources: published pages, and one worked
// from the stated equation.
func TestChecks(t *testing.T) {
	text, err := os.ReadFile("testdata/pull.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []check
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	if len(all) != 28 {
		t.Errorf("%d checks, 28 were copied", len(all))
	}
	ran := map[string]int{}
	for _, c := range all {
		answer, ok := topics[c.Topic]
		if !ok {
			t.Errorf("%s: nothing answers %q", c.ID, c.Topic)
			continue
		}
		ran[c.Topic]++
		t.Run(c.ID+" "+c.Topic, func(t *testing.T) {
			// 1e-9 relative is the rounding of units, not of the figure.
			if got := answer(t, c); !(math.Abs(got-c.Expected) <= c.Tolerance+1e-9*math.Abs(c.Expected)) {
				t.Errorf("%v %s, want %v within %v (%s)", got, c.Unit, c.Expected, c.Tolerance, c.Source)
			}
		})
	}
	for topic := range topics {
		if ran[topic] == 0 {
			t.Errorf("topic %q has no check left", topic)
		}
	}
}
