package wire

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"stubup/trade/ground"
)

const asked = `{"soil": [{"resistivity": 100, "thickness": 1.5}, {"resistivity": 900}], "electrodes": [{"id": "A", "wires": [{"radius": 0.00327, "path": [[0,0,0.762],[12,0,0.762]]}]}], "points": [[0,0,0]], "energised": "A", "stake": [40,0,0], "probes": [[20,0,0]]}`

// A request that would be a mesh without end is refused by name.
func TestCalcElectrodesTooMany(t *testing.T) {
	var b strings.Builder
	b.WriteString(`{"soil":[{"resistivity":100}],"electrodes":[{"id":"A","wires":[{"radius":0.003,"path":[`)
	for i := range 7000 {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "[%d,%d,1]", i, i%2)
	}
	b.WriteString(`]}]}]}`)
	var e *ground.Error
	if _, err := CalcElectrodes([]byte(b.String())); !errors.As(err, &e) || e.Fault != ground.TooManyElements || e.Electrode != "A" {
		t.Error(err)
	}
}

// The figures of the published interface, true to three figures for its own
// example.
func TestCalcElectrodes(t *testing.T) {
	b, err := CalcElectrodes([]byte(asked))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%s", b)
	var out struct {
		Electrodes []struct {
			ID         string
			Resistance float64
		}
		Transfer [][]float64
		Points   []struct{ Fraction float64 }
		Probes   []struct{ Reading, Superposed float64 }
		Elements int
	}
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name             string
		got, want, half_ float64
	}{
		{"resistance", out.Electrodes[0].Resistance, 26.3, 0.05},
		{"transfer", out.Transfer[0][0], 26.3, 0.05},
		{"fraction", out.Points[0].Fraction, 0.636, 0.0005},
		{"reading", out.Probes[0].Reading, 20.2, 0.05},
		{"superposed", out.Probes[0].Superposed, 20.3, 0.05},
	} {
		if math.Abs(c.got-c.want) > c.half_ {
			t.Errorf("%s %v, want %v", c.name, c.got, c.want)
		}
	}
	if out.Elements < 40 || out.Elements > 90 {
		t.Errorf("%d elements", out.Elements)
	}
	// Without the optional members, their answers are absent.
	plain := `{"soil":[{"resistivity":100}],"electrodes":[{"id":"A","wires":[{"radius":0.008,"path":[[0,0,0],[0,0,3]]}]}]}`
	b, err = CalcElectrodes([]byte(plain))
	if err != nil || strings.Contains(string(b), "points") || strings.Contains(string(b), "probes") {
		t.Errorf("%s %v", b, err)
	}
}

// Every fault names its member.
func TestCalcElectrodesFaults(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{`"soil"`, `"soul"`, "soil"},
		{`"resistivity": 900`, `"resistivity": 900, "colour": 1`, "soil[1].colour"},
		{`"resistivity": 900`, `"resistivity": -900`, "soil[1]"},
		{`"resistivity": 900`, `"resistivity": "900"`, "soil[1].resistivity"},
		{`"resistivity": 900`, `"resistivity": 1e999`, "soil[1].resistivity"},
		{`"resistivity": 900`, `"resistivity": NaN`, "not JSON"},
		{`, "thickness": 1.5`, ``, "soil[0].thickness"},
		{`"radius": 0.00327, `, ``, "electrodes[0].wires[0].radius"},
		{`"radius": 0.00327`, `"radius": 0.00327, "radius": 1`, "electrodes[0].wires[0].radius: comes twice"},
		{`"radius": 0.00327`, `"radius": 0`, "electrode A: wire 1: radius"},
		{`[12,0,0.762]`, `[12,0]`, "electrodes[0].wires[0].path[1]"},
		{`[12,0,0.762]`, `[12,0,-0.762]`, "above grade"},
		{`[12,0,0.762]`, `[0,0,0.762]`, "same"},
		{`"id": "A"`, `"id": ""`, "electrodes[0].id"},
		{`"id": "A", `, ``, "electrodes[0].id"},
		{`"energised": "A"`, `"energised": "B"`, "energised"},
		{`"energised": "A", `, ``, "energised"},
		{`"stake": [40,0,0], `, ``, "stake"},
		{`, "probes": [[20,0,0]]`, ``, "probes"},
		{`"probes": [[20,0,0]]`, `"probes": [[20,0]]`, "probes[0]"},
		{`"probes": [[20,0,0]]`, `"probes": [[40,0,0]]`, "stake"},
		{`"points": [[0,0,0]]`, `"points": [[0,0,-1]]`, "above grade"},
		{`"points": [[0,0,0]]`, `"points": [[0,0,1e9]]`, "point 1"},
		{`[20,0,0]]}`, `[20,0,0]]} x`, "follows"},
		{`[20,0,0]]}`, `[20,0,0]]`, "ends too early"},
		{`[12,0,0.762]`, `[90000,90000,0.762],[-90000,0,0.762]`, ""},
	} {
		in := strings.Replace(asked, c.from, c.to, 1)
		if in == asked {
			t.Fatalf("%s not found", c.from)
		}
		out, err := CalcElectrodes([]byte(in))
		if c.want == "" {
			if err == nil && strings.Contains(string(out), "NaN") {
				t.Error("NaN")
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s -> %s: %v, want %s", c.from, c.to, err, c.want)
		}
	}
}

// 500 over 50 ohm-m at 1.5 m: 366.9522 at a = 1.5 m, by Hankel quadrature and
// image series of an independent program.
func TestCalcSounding(t *testing.T) {
	b, err := CalcSounding([]byte(`{"soil":[{"resistivity":500,"thickness":1.5},{"resistivity":50}],"array":"wenner","spacings":[1.5,8]}`))
	var out struct{ Apparent []float64 }
	if err != nil || json.Unmarshal(b, &out) != nil || math.Abs(out.Apparent[0]-366.9522) > 1e-4 || math.Abs(out.Apparent[1]-55.00611) > 1e-5 {
		t.Errorf("%s %v", b, err)
	}
	// A Schlumberger array with mn = a and AB/2 = 1.5 a is a Wenner array.
	for _, mn := range []string{"1.5", "[1.5]"} {
		b, err = CalcSounding([]byte(`{"soil":[{"resistivity":500,"thickness":1.5},{"resistivity":50}],"array":"schlumberger","spacings":[2.25],"mn":` + mn + `}`))
		if err != nil || json.Unmarshal(b, &out) != nil || math.Abs(out.Apparent[0]-366.9522) > 1e-4 {
			t.Errorf("%s %v", b, err)
		}
	}
	for in, want := range map[string]string{
		`{"soil":[{"resistivity":500}],"array":"dipole","spacings":[1]}`:               "array",
		`{"soil":[{"resistivity":500}],"array":"schlumberger","spacings":[1]}`:         "mn",
		`{"soil":[{"resistivity":500}],"array":"wenner","spacings":[1],"mn":1}`:        "mn",
		`{"soil":[{"resistivity":500}],"array":"wenner","spacings":[1,0]}`:             "spacings[1]",
		`{"soil":[{"resistivity":500}],"array":"wenner","spacings":[]}`:                "spacings",
		`{"soil":[],"array":"wenner","spacings":[1]}`:                                  "soil",
		`{"soil":[{"resistivity":5,"thickness":1}],"array":"wenner","spacings":[1]}`:   "soil[0]",
		`{"soil":[{"resistivity":500}],"array":"schlumberger","spacings":[1],"mn":2}`:  "mn",
		`{"soil":[{"resistivity":500}],"array":"schlumberger","spacings":[1],"mn":0}`:  "mn",
		`{"soil":[{"resistivity":500}],"array":"schlumberger","spacings":[1],"mn":[]}`: "mn",
		`[]`:   "object",
		`null`: "object",
		``:     "early",
	} {
		if _, err := CalcSounding([]byte(in)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", in, err)
		}
	}
}

func FuzzCalcElectrodes(f *testing.F) {
	f.Add([]byte(asked))
	f.Add([]byte(`{"soil":[{"resistivity":1}]}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		if len(in) > 2000 {
			return
		}
		out, err := CalcElectrodes(in)
		if err == nil && !json.Valid(out) {
			t.Errorf("%s", out)
		}
	})
}
