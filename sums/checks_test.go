package sums_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/base/trace"
	"stubup/base/unit"
	. "stubup/sums"
)

// check is one value from outside, as its source says; the tolerance is
// absolute in its unit.
type check struct {
	ID        string
	Topic     string
	Inputs    map[string]any
	Expected  any
	Unit      string
	Tolerance float64
	Source    string
}

func (c check) s(k string) string {
	switch v := c.Inputs[k].(type) {
	case string:
		return v
	case float64:
		return unit.Trim(v, 6)
	}
	return ""
}

// ask runs a sum on words: ask(t, "fill", "kind", "EMT", ...).
func ask(t *testing.T, name string, words ...string) *Result {
	t.Helper()
	s, ok := Find(name)
	if !ok {
		t.Fatalf("no sum %q", name)
	}
	var es []Entry
	for i := 0; i < len(words); i += 2 {
		es = append(es, Entry{Name: words[i], Text: words[i+1]})
	}
	r, err := s.Run(es)
	if err != nil {
		t.Fatalf("%s %v: %v", name, words, err)
	}
	return r
}

// value returns a row, a figure or an input of a result.
func value(t *testing.T, r *Result, key string) *trace.Value {
	t.Helper()
	for _, row := range r.Rows {
		if row.Path == r.Sum.Name+"."+key {
			return row.Value
		}
	}
	for _, v := range r.Figures {
		if v.Path == r.Sum.Name+".figure."+key {
			return v
		}
	}
	t.Fatalf("%s has no row %q", r.Sum.Name, key)
	return nil
}

const (
	in2  = 0.0254 * 0.0254
	in3  = in2 * 0.0254
	kft  = 304.8
	feet = 0.3048
)

func counted(s string) string { return strings.ReplaceAll(s, "x", " x ") }

var coverOver = map[string]string{
	"all other": "open", "trench under 2 in concrete": "concrete", "streets, roads, driveways, parking": "street",
	"under >=4 in exterior slab, no vehicles, slab extends >=6 in beyond": "slab", "1-2 family dwelling driveways/parking": "dwelling-drive",
	"airport runways and adjacent no-trespass": "runway",
}

var coverWhat = map[string][2]string{
	"nonmetallic raceway": {"kind", "PVC-40"}, "RMC/IMC": {"kind", "RMC"}, "direct burial": {"cable", "direct"}, "120V 20A GFCI": {"cable", "gfci"},
}

// topics answers each kind of check through the words of a person.
var topics = map[string]func(*testing.T, check) any{
	"annex_c_count": func(t *testing.T, c check) any {
		r := ask(t, "fill", "kind", c.s("raceway"), "trade", c.s("trade"), "wires", "3 x "+c.s("size")+" "+c.s("insulation"))
		return value(t, r, "most").SI
	},
	"table4_id": func(t *testing.T, c check) any {
		return value(t, ask(t, "fill", "kind", c.s("raceway"), "trade", c.s("trade"), "wires", "1 x 14 THHN"), "inside").SI / 0.0254
	},
	"table5_area": func(t *testing.T, c check) any {
		return value(t, ask(t, "fill", "kind", "EMT", "trade", "4", "wires", "1 x "+c.s("size")+" "+c.s("ins")), "wire1").SI / in2
	},
	"table2_radius": func(t *testing.T, c check) any {
		words := []string{"trade", c.s("trade")}
		if c.s("method") == "other" {
			words = append(words, "kind", "PVC-40")
		}
		return value(t, ask(t, "bend", words...), "radius").SI / 0.0254
	},
	"fill_area": func(t *testing.T, c check) any {
		if od := c.s("OD"); od != "" {
			return value(t, ask(t, "fill", "kind", "PVC-40", "cables", c.s("cables")+" x "+od+" in"), "used").SI / in2
		}
		r := ask(t, "fill", "kind", "PVC-40", "wires", strings.ReplaceAll(strings.TrimSuffix(counted(c.s("conductors")), " THHN"), " + ", " THHN + ")+" THHN")
		return value(t, r, "used").SI / in2
	},
	"fill_size": func(t *testing.T, c check) any {
		r := ask(t, "fill", "kind", c.s("raceway"), "wires", strings.ReplaceAll(strings.TrimSuffix(counted(c.s("conductors")), " THHN"), " + ", " THHN + ")+" THHN")
		return strings.TrimSuffix(value(t, r, "trade").Text, " in")
	},
	"ampacity_310_16": func(t *testing.T, c check) any {
		col := c.s("col")
		return value(t, ask(t, "ampacity", "size", c.s("size"), "material", map[string]string{"cu": "copper", "al": "aluminum"}[col[:2]], "column", col[2:]), "table").SI
	},
	"ambient_factor": func(t *testing.T, c check) any {
		return value(t, ask(t, "ampacity", "size", "12", "column", c.s("col"), "ambient", c.s("ambient_C")+" C"), "ambient").SI
	},
	"bundling_factor": func(t *testing.T, c check) any {
		return value(t, ask(t, "ampacity", "size", "12", "column", "90", "count", c.s("n")), "bundling").SI
	},
	"derated_ampacity": func(t *testing.T, c check) any {
		return value(t, ask(t, "ampacity", "size", strings.Fields(c.s("size"))[0], "column", c.s("col"), "ambient", c.s("ambient_C")+" C", "count", c.s("n")), "corrected").SI
	},
	"rooftop_ambient": func(t *testing.T, c check) any {
		return value(t, ask(t, "ampacity", "size", "12", "column", "90", "ambient", c.s("ambient_C")+" C", "roof", c.s("clearance_in")+" in", "edition", c.s("edition")[:4]), "air").SI
	},
	"egc_table": func(t *testing.T, c check) any {
		return strings.Fields(value(t, ask(t, "egc", "device", c.s("ocpd")+" A", "material", map[string]string{"Cu": "copper", "Al": "aluminum"}[c.s("mat")]), "table").Text)[0]
	},
	"egc_upsize_size": func(t *testing.T, c check) any {
		return strings.Fields(value(t, ask(t, "egc", "device", c.s("ocpd"), "needed", c.s("base"), "installed", "#"+c.s("installed")), "size").Text)[0]
	},
	"gec_250_66": func(t *testing.T, c check) any {
		return strings.Fields(value(t, ask(t, "gec", "size", c.s("largest")), "size").Text)[0]
	},
	"cover_300_5": func(t *testing.T, c check) any {
		w := coverWhat[c.s("column")]
		return value(t, ask(t, "cover", w[0], w[1], "over", coverOver[c.s("location")]), "least").SI / 0.0254
	},
	"warning_ribbon": func(t *testing.T, c check) any {
		return value(t, ask(t, "cover", "kind", "RMC", "over", "open"), "ribbon").SI / 0.0254
	},
	"box_fill": func(t *testing.T, c check) any {
		// The three examples in the words of the sum, by their ids.
		words := map[string][]string{
			"RW-A-128": {"wires", "4 x 14", "grounds", "1 x 14", "devices", "1 x 14"},
			"RW-A-129": {"wires", "4 x #12", "grounds", "2 x 12 AWG", "devices", "1 x 12", "clamps", "yes"},
			"RW-A-130": {"wires", "4x14 + 2x12", "grounds", "3 x 12", "devices", "1 x 12 AWG", "clamps", "yes"},
		}[c.ID]
		return value(t, ask(t, "box", words...), "volume").SI / in3
	},
	"pullbox_straight": func(t *testing.T, c check) any {
		var pulls []string
		for _, s := range sizes(c) {
			pulls = append(pulls, s+" west to east")
		}
		return value(t, ask(t, "pullbox", "pulls", strings.Join(pulls, ", ")), "x").SI / 0.0254
	},
	"pullbox_angle": func(t *testing.T, c check) any {
		var pulls []string
		for _, s := range sizes(c) {
			pulls = append(pulls, s+" west to north")
		}
		return value(t, ask(t, "pullbox", "pulls", strings.Join(pulls, ", ")), "x").SI / 0.0254
	},
	"bend_space_312_6A": func(t *testing.T, c check) any {
		if c.s("wires") != "1" {
			return nil // a pull through the back has one wire for each terminal
		}
		return value(t, ask(t, "pullbox", "pulls", "3 back to east", "largest", c.s("size")), "depth").SI / 0.0254
	},
	"pvc_expansion_table": func(t *testing.T, c check) any {
		return value(t, ask(t, "expansion", "kind", "PVC-40", "length", "100 ft", "cold", "0 F", "hot", c.s("dT_F")+" F", "sun", "no"), "change").SI / 0.0254
	},
	"pvc_expansion": func(t *testing.T, c check) any {
		return value(t, ask(t, "expansion", "kind", "PVC-40", "length", c.s("run_ft")+" ft", "cold", c.s("Tmin_F")+" F", "hot", c.s("Tmax_F")+" F", "sun", "no"), "change").SI / 0.0254
	},
	"steel_expansion": func(t *testing.T, c check) any {
		return value(t, ask(t, "expansion", "kind", "RMC", "length", "100 ft", "cold", "0 F", "hot", c.s("dT_F")+" F", "sun", "no"), "change").SI / 0.0254
	},
	"expansion_needed": func(t *testing.T, c check) any {
		// The sun stands for 30 F of the range.
		r := ask(t, "expansion", "kind", "PVC-40", "length", c.s("run_ft")+" ft", "cold", "0 F", "hot", unit.Trim(c.Inputs["dT_F"].(float64)-30, 0)+" F", "sun", "yes", "travel", "4 in")
		if value(t, r, "needed").SI != 1 {
			t.Error("no fitting asked")
		}
		return value(t, r, "change").SI / 0.0254
	},
	"saddle3_shrink": func(t *testing.T, c check) any {
		return value(t, ask(t, "saddle", "height", c.s("depth_in")+" in", "radius", "0 in"), "shop.shift").SI / 0.0254
	},
	"saddle3_outer": func(t *testing.T, c check) any {
		angle := "22.5"
		if v, ok := c.Inputs["center"].(float64); ok {
			angle = unit.Trim(v/2, 1)
		}
		return value(t, ask(t, "saddle", "height", c.s("depth_in")+" in", "radius", "0 in", "angle", angle), "shop.outer").SI / 0.0254
	},
	"saddle3_center_mark": func(t *testing.T, c check) any {
		return value(t, ask(t, "saddle", "height", c.s("depth_in")+" in", "radius", "0 in", "center", c.s("dist_to_center_in")+" in"), "shop.center").SI / 0.0254
	},
	"offset_multiplier": func(t *testing.T, c check) any {
		return value(t, ask(t, "offset", "height", "1 in", "radius", "0 in", "angle", c.s("angle")+" deg"), "multiplier").SI
	},
	"offset_shrink": func(t *testing.T, c check) any {
		return value(t, ask(t, "offset", "height", c.s("H_in")+" in", "radius", "0 in", "angle", c.s("angle")+" deg"), "shrink").SI / 0.0254
	},
	"take_up_mark": func(t *testing.T, c check) any {
		f := strings.Fields(c.s("size"))
		return value(t, ask(t, "bend", "kind", f[1], "trade", f[0], "stub", c.s("stub_in")+" in"), "mark").SI / 0.0254
	},
	"segment_D1": func(t *testing.T, c check) any {
		return value(t, ask(t, "segment", "stub", c.s("stub")+" in", "leg", "48 in", "radius", c.s("R")+" in", "shots", "18", "kind", "RMC", "trade", "2"), "first").SI / 0.0254
	},
	"segment_D2": func(t *testing.T, c check) any {
		return value(t, ask(t, "segment", "stub", "48 in", "leg", c.s("leg")+" in", "radius", c.s("R")+" in", "shots", "18", "kind", "RMC", "trade", "2"), "last").SI / 0.0254
	},
	"segment_spacing": func(t *testing.T, c check) any {
		return value(t, ask(t, "segment", "stub", "48 in", "leg", "48 in", "radius", c.s("R")+" in", "shots", c.s("shots"), "kind", "RMC", "trade", "2"), "spacing").SI / 0.0254
	},
	"developed_length": func(t *testing.T, c check) any {
		return value(t, ask(t, "bend", "radius", c.s("R")+" in", "angle", c.s("deg")+" deg"), "length").SI / 0.0254
	},
	"concentric_radius": func(t *testing.T, c check) any {
		// RMC 2 in has the outside diameter of the check, 2.375 in.
		return value(t, ask(t, "concentric", "radius", c.s("R")+" in", "kind", "RMC", "trades", "2, 2", "gap", c.s("gap")+" in"), "radius2").SI / 0.0254
	},
	"vd_zeff": func(t *testing.T, c check) any {
		return value(t, ask(t, "drop", "size", "250 kcmil", "current", "three", "conduit", "steel", "volts", "480", "amps", "10", "length", "100 ft", "pf", c.s("pf")), "z").SI * kft
	},
	"vd_1ph": func(t *testing.T, c check) any {
		return value(t, ask(t, "drop", "size", "2/0", "current", "single", "conduit", "steel", "volts", "480 V", "amps", c.s("I")+" A", "length", c.s("L")+" ft"), "drop").SI
	},
	"R_temp": func(t *testing.T, c check) any {
		return value(t, ask(t, "drop", "size", "1/0", "current", "dc", "volts", "48 V", "amps", "10 A", "length", "100 ft", "warm", c.s("T")+" C"), "z").SI * kft
	},
	"table8_R": func(t *testing.T, c check) any {
		f := strings.Fields(c.s("size"))
		if len(f) > 2 {
			return nil // coated copper is not a conductor of a feeder here
		}
		r := ask(t, "drop", "size", f[0], "material", map[string]string{"Cu": "copper", "Al": "aluminum"}[f[1]], "current", "dc", "volts", "48 V", "amps", "10 A", "length", "100 ft")
		return value(t, r, "resistance").SI * kft
	},
	"pvc_heat_time": func(t *testing.T, c check) any {
		return value(t, ask(t, "bend", "kind", "PVC-40", "trade", c.s("trade")), "heat").SI / 60
	},
}

func sizes(c check) []string {
	if l := c.s("largest"); l != "" {
		return []string{l}
	}
	var out []string
	for _, v := range c.Inputs["trades"].([]any) {
		out = append(out, unit.Trim(v.(float64), 2))
	}
	return out
}

// advisory checks disagree with the geometry for a stated reason and are
// logged.
var advisory = map[string]string{
	"RW-A-182": "the handbook prints the multiplier of 45 degrees as 1.5, which is 1.414",
	"RW-A-185": "the shop constant of 45 degrees is 3/8 in per in, which is 0.414 without a radius",
}

func TestRacewayChecks(t *testing.T) {
	text, err := os.ReadFile("testdata/raceway.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []check
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	ran := map[string]int{}
	for _, c := range all {
		f, ok := topics[c.Topic]
		if !ok {
			t.Errorf("%s: topic %q is not answered", c.ID, c.Topic)
			continue
		}
		got := f(t, c)
		if got == nil {
			continue
		}
		ran[c.Topic]++
		miss := ""
		switch want := c.Expected.(type) {
		case string:
			if got != want {
				miss = fmt.Sprintf("%v, want %s", got, want)
			}
		case float64:
			// 1e-9 relative is the rounding of units, not of the figure.
			if v, ok := got.(float64); !ok || !(math.Abs(v-want) <= c.Tolerance+1e-9*math.Abs(want)) {
				miss = fmt.Sprintf("%v %s, want %v within %v", got, c.Unit, want, c.Tolerance)
			}
		}
		if why, ok := advisory[c.ID]; ok && miss != "" {
			t.Logf("%s advisory: %s; %s", c.ID, miss, why)
		} else if miss != "" {
			t.Errorf("%s %s: %s (%s)", c.ID, c.Topic, miss, c.Source)
		}
	}
	for topic := range topics {
		if ran[topic] == 0 {
			t.Errorf("topic %q has no check left", topic)
		}
	}
}

// The grounding checks; the tolerance is relative.
func TestGroundingChecks(t *testing.T) {
	text, err := os.ReadFile("testdata/grounding.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		ID       string
		Expected float64
		Tol      float64
		Source   string
	}
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	asked := map[string]func() float64{
		"DW-ROD10-3/4": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "10 ft", "diameter", "3/4 in"), "one").SI
		},
		"MIL-NOMO-32": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "10'", "diameter", "0.75 in"), "one").SI
		},
		"DW-ROD8-5/8": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in"), "one").SI
		},
		"DW-2RODS-FAR": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "2", "spacing", "16 ft"), "two").SI
		},
		"BS-ROD-55": func() float64 {
			return value(t, ask(t, "rod", "soil", "55 ohm-m", "length", "3 m", "diameter", "25 mm"), "one").SI
		},
		"BS-ROD-244": func() float64 {
			return value(t, ask(t, "rod", "soil", "244 ohm-m", "length", "15 m", "diameter", "60.3 mm"), "one").SI
		},
		"DW-RING50FT": func() float64 {
			return value(t, ask(t, "ring", "soil", "100 ohm-m", "diameter", "50 ft", "conductor", "2 AWG solid copper", "depth", "30 in"), "ring").SI
		},
		"LPG-RING": func() float64 {
			return value(t, ask(t, "ring", "soil", "100 ohm-m", "long", "15.24 m", "wide", "15.24 m", "conductor", "2 AWG solid copper", "depth", "30 in"), "thumb").SI
		},
		"G142-F4": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "4", "spacing", "8 ft"), "factor").SI
		},
		"G142-F8": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "8", "spacing", "8 ft"), "factor").SI
		},
		"G142-F16": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "16", "spacing", "8 ft"), "factor").SI
		},
		"G142-F24": func() float64 {
			return value(t, ask(t, "rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "24", "spacing", "8 ft"), "factor").SI
		},
	}
	for _, c := range all {
		f, ok := asked[c.ID]
		if !ok {
			t.Errorf("%s is not answered", c.ID)
			continue
		}
		if got := f(); math.Abs(got-c.Expected) > c.Tol*c.Expected {
			t.Errorf("%s: %v, want %v within %v (%s)", c.ID, got, c.Expected, c.Tol, c.Source)
		}
	}
}

// What geometry and arithmetic say, worked by hand beside each.
func TestByHand(t *testing.T) {
	for _, c := range []struct {
		sum   string
		words []string
		key   string
		want  float64
		tol   float64
	}{
		// The 3-4-5 triangle.
		{"rolling", []string{"rise", "6 in", "roll", "8 in", "radius", "0 in"}, "true", 10 * 0.0254, 1e-12},
		// 1/sin 30 = 2: an offset of 6 in has 12 in between corners without a radius.
		{"rolling", []string{"rise", "6 in", "roll", "8 in", "radius", "0 in"}, "marks", 20 * 0.0254, 1e-12},
		{"offset", []string{"height", "6 in", "radius", "0 in"}, "marks", 12 * 0.0254, 1e-12},
		// 1/sin 30 = 2: a rise of 4 in travels 8 in.
		{"kick", []string{"rise", "4 in", "angle", "30 deg", "radius", "0 in"}, "travel", 8 * 0.0254, 1e-12},
		// A saddle of four bends without a radius, 30 degrees, 3 in, 10 in on top: 6 in up, 10, 6 in down.
		{"saddle", []string{"height", "3 in", "bends", "4", "angle", "30", "radius", "0 in", "top", "10 in"}, "mark.fourth", 22 * 0.0254, 1e-12},
		// 24 joints of 45 g with 10 percent: 3 spares, 27 in three packs of 10.
		{"spares", []string{"items", "24", "pack", "10"}, "spares", 3, 0},
		{"spares", []string{"items", "24", "pack", "10"}, "packs", 3, 0},
		{"spares", []string{"items", "6"}, "spares", 1, 0},
		{"spares", []string{"items", "0"}, "spares", 0, 0},
		// 250.66(A), 250.66(B): rods alone 6 AWG copper, concrete-encased alone 4 AWG copper.
		{"gec", []string{"size", "500", "to", "rod"}, "size", 26240 * math.Pi / 4 * 1e-6 * in2, 1e-3},
		{"gec", []string{"size", "500", "to", "concrete"}, "size", 41740 * math.Pi / 4 * 1e-6 * in2, 1e-3},
		// Two sets carry half each: half of the drop of the worked example of Table 9.
		{"drop", []string{"size", "2/0", "current", "single", "conduit", "steel", "volts", "480 V", "amps", "65 A", "length", "1000 ft", "sets", "2"}, "drop", 14.755 / 2, 0.001},
	} {
		got := value(t, ask(t, c.sum, c.words...), c.key).SI
		if math.Abs(got-c.want) > c.tol*math.Abs(c.want) {
			t.Errorf("%s %v: %s is %v, want %v", c.sum, c.words, c.key, got, c.want)
		}
	}
}
