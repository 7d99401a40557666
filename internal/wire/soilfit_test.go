package wire

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

type fitOut struct {
	Soil       []struct{ Resistivity, Thickness float64 }
	Misfit     float64
	Interval90 []struct {
		Resistivity struct{ Low, High *float64 }
		Thickness   *struct{ Low, High *float64 }
	}
	Flagged []int
	Flags   []struct{ Reason string }
	Reason  string
}

func soilFit(t *testing.T, in string) fitOut {
	t.Helper()
	b, err := CalcSoilFit([]byte(in))
	if err != nil {
		t.Fatal(err)
	}
	again, err := CalcSoilFit([]byte(in))
	if err != nil || !bytes.Equal(b, again) {
		t.Error("a second answer differs")
	}
	var out fitOut
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// 500 ohm-m over 50 at 1.5 m: apparent resistivities from two methods foreign
// to this program (Hankel quadrature and image series, agreeing to 1e-7). The
// model must come back within 1 %, and lie in its intervals.
const figures = `"apparent":[490.6382,443.1818,366.9522,287.692,169.3364,106.9847,64.30169,55.00611]`

func TestCalcSoilFit(t *testing.T) {
	for _, layers := range []string{`2`, `"auto"`} {
		out := soilFit(t, `{"array":"wenner","spacings":[0.5,1,1.5,2,3,4,6,8],`+figures+`,"layers":`+layers+`}`)
		if len(out.Soil) != 2 || math.Abs(out.Soil[0].Resistivity/500-1) > 0.01 || math.Abs(out.Soil[1].Resistivity/50-1) > 0.01 || math.Abs(out.Soil[0].Thickness/1.5-1) > 0.01 {
			t.Errorf("layers %s: %+v", layers, out)
		}
		if out.Misfit > 1e-3 || len(out.Flagged) != 0 || len(out.Interval90) != 2 || !strings.Contains(out.Reason, "2 layers") {
			t.Errorf("layers %s: %+v", layers, out)
		}
		for i, want := range []float64{500, 50} {
			k := out.Interval90[i].Resistivity
			if k.Low == nil || k.High == nil || *k.Low >= want || *k.High <= want {
				t.Errorf("layer %d: %v", i, k)
			}
		}
		if out.Interval90[1].Thickness != nil || out.Interval90[0].Thickness == nil {
			t.Error("the last layer alone has no thickness")
		}
	}
}

// A reading off by three is named.
func TestCalcSoilFitFlags(t *testing.T) {
	out := soilFit(t, `{"array":"wenner","spacings":[0.5,1,1.5,2,3,4,6,8],"layers":"auto",`+strings.Replace(figures, "287.692", "863", 1)+`}`)
	if !slices.Equal(out.Flagged, []int{3}) || len(out.Flags) != 1 || !strings.Contains(out.Flags[0].Reason, "reading 4 at 2 m") || len(out.Soil) != 2 || math.Abs(out.Soil[0].Thickness/1.5-1) > 0.02 {
		t.Errorf("%+v", out)
	}
}

// Outer pins 1.5 a from the center and inner pins a apart are equal spacing.
func TestCalcSoilFitSchlumberger(t *testing.T) {
	out := soilFit(t, `{"array":"schlumberger","spacings":[0.75,1.5,2.25,3,4.5,6,9,12],"mn":[0.5,1,1.5,2,3,4,6,8],"layers":2,`+figures+`}`)
	if len(out.Soil) != 2 || math.Abs(out.Soil[0].Resistivity/500-1) > 0.01 || math.Abs(out.Soil[0].Thickness/1.5-1) > 0.01 {
		t.Errorf("%+v", out)
	}
	out = soilFit(t, `{"array":"schlumberger","spacings":[1,2,4],"layers":1,"apparent":[99,100,101]}`)
	if len(out.Soil) != 1 || math.Abs(out.Soil[0].Resistivity-100) > 0.1 {
		t.Errorf("%+v", out)
	}
}

func TestCalcSoilFitRefuses(t *testing.T) {
	for in, path := range map[string]string{
		`{"spacings":[1,2],"apparent":[5,5],"layers":1}`:                                               "array",
		`{"array":"dipole","spacings":[1,2],"apparent":[5,5],"layers":1}`:                              "array",
		`{"array":"wenner","apparent":[5,5],"layers":1}`:                                               "spacings",
		`{"array":"wenner","spacings":[1,2],"layers":1}`:                                               "apparent",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5]}`:                                         "layers",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5],"layers":1.5}`:                            "layers",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5],"layers":9}`:                              "layers",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5],"layers":"many"}`:                         "layers",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5],"layers":2}`:                              "layers",
		`{"array":"wenner","spacings":[1,2],"apparent":[5],"layers":1}`:                                "apparent",
		`{"array":"wenner","spacings":[1,0],"apparent":[5,5],"layers":1}`:                              "spacings[1]",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,-5],"layers":1}`:                             "apparent[1]",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,"x"],"layers":1}`:                            "apparent[1]",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5],"layers":1,"mn":1}`:                       "mn",
		`{"array":"wenner","spacings":[1,2],"apparent":[5,5],"layers":1,"depth":1}`:                    "depth",
		`{"array":"schlumberger","spacings":[1,2],"apparent":[5,5],"layers":1,"mn":[1]}`:               "mn",
		`{"array":"schlumberger","spacings":[1,2],"apparent":[5,5],"layers":1,"mn":3}`:                 "mn",
		`{"array":"schlumberger","spacings":[-1,2],"apparent":[5,5],"layers":1,"mn":1}`:                "spacings[0]",
		`{"array":"wenner","spacings":[1,2],"spacings":[1,2],"apparent":[5,5],"layers":1}`:             "spacings",
		`{"array":"wenner","spacings":[1` + strings.Repeat(",1", 400) + `],"apparent":[5],"layers":1}`: "apparent",
	} {
		var e *InputError
		if b, err := CalcSoilFit([]byte(in)); !errors.As(err, &e) || e.Path != path {
			t.Errorf("%.90s: %s %v, want a fault at %s", in, b, err, path)
		}
	}
}
