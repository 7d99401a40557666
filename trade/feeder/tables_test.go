package feeder

import (
	"crypto/sha256"
	"fmt"
	"math"
	"os"
	"testing"

	"stubup/base/table"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// pinned holds the hash of every table as it was verified. A changed figure
// needs a new verification and a new hash.
var pinned = map[string]string{
	"figures.csv":     "af28069fd7affbe8418ad6766766535cc8fd403ba509a20273cf0a6d86db97fd",
	"impedance.csv":   "86269b856694e8fc20c33227b7f0229c38d9083180cd21c489dee6b7ec582087",
	"impedance85.csv": "aebc0a5ef4a9fbfbd56c17bd86ddc5893e03b62005190351d82d79a249f0d209",
	"systems.csv":     "41b38796a8148953873ec64fa91e2f3f482a1d5f8a51e1e778f3ad9203dd74fb",
	"workspace.csv":   "9af6271dcfdee4e99843ea6d565dc73a13303ca4d8909cbf4c0c190e45b85550",
}

func TestTablesArePinned(t *testing.T) {
	files, err := os.ReadDir("tables")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		text, err := os.ReadFile("tables/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprintf("%x", sha256.Sum256(text)); got != pinned[f.Name()] {
			t.Errorf("%s: %s is not the verified hash %q", f.Name(), got, pinned[f.Name()])
		}
		if _, err := table.Parse(string(text)); err != nil {
			t.Error(err)
		}
	}
	if len(files) != len(pinned) {
		t.Errorf("%d tables, %d hashes", len(files), len(pinned))
	}
}

// TestImpedanceTable: reactance in steel is 1.2 to 1.3 of that in PVC (the
// third decimal is rounded, so 0.0005 either way), resistance falls with size.
func TestImpedanceTable(t *testing.T) {
	tb := impedance()
	last := map[string]float64{}
	for i, r := range tb.Rows {
		x, _ := cell(tb, i, "x_pvc_al")
		xs, _ := cell(tb, i, "x_steel")
		if xs+0.0005 < 1.2*(x-0.0005) || xs-0.0005 > 1.3*(x+0.0005) {
			t.Errorf("%s: reactance in steel %v, in PVC %v", r[0], xs, x)
		}
		for _, c := range tb.Cols[3:] {
			v, ok := cell(tb, i, c)
			if !ok {
				continue
			}
			if b, has := last[c]; has && v >= b {
				t.Errorf("%s %s: %v does not fall", r[0], c, v)
			}
			last[c] = v
		}
	}
}

// TestEffectiveGivesTheTable: R cos + X sin at 0.85 gives the printed column to
// one unit of its last digit: R and Z are both printed to two figures, so up to
// half a digit of each.
func TestEffectiveGivesTheTable(t *testing.T) {
	n := 0
	for _, r := range impedance85().Rows {
		w, err := unit.ParseWire(r[0])
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range []conductor.Material{conductor.Copper, conductor.Aluminum} {
			for _, c := range []Conduit{InPVC, InAluminum, InSteel} {
				z, _, ok := Effective85(w, m, c)
				if !ok {
					continue
				}
				im, ok := ImpedanceOf(w, m, c)
				if !ok {
					t.Fatal(r[0], m, c)
				}
				n++
				got, want := Effective(im.R, im.X, 0.85)/perKft, z/perKft
				step := math.Pow(10, math.Floor(math.Log10(want))-1)
				if math.Abs(got-want) > step {
					t.Errorf("%s %v in %s: %.4f, printed %v", r[0], m, c, got, want)
				}
			}
		}
	}
	if n != 21*6-3 {
		t.Errorf("%d cells", n)
	}
}

// TestResistanceAgainstTable8: alternating current resistance in PVC is not
// under the direct current one but for rounding of two figures, and within 25
// percent of it at the largest size.
func TestResistanceAgainstTable8(t *testing.T) {
	for _, r := range impedance().Rows {
		w, _ := unit.ParseWire(r[0])
		im, _ := ImpedanceOf(w, conductor.Copper, InPVC)
		dc, _, _ := conductor.DCResistance(w, conductor.Copper, false, 75)
		if k := im.R / dc; k < 0.95 || k > 1.25 {
			t.Errorf("%s: ac over dc %.3f", r[0], k)
		}
	}
}

func TestWorkspaceTable(t *testing.T) {
	tb := workspace()
	for i, r := range tb.Rows {
		for c := 1; c <= 3; c++ {
			v, _ := cell(tb, i, fmt.Sprintf("c%d", c))
			if b, ok := cell(tb, i, fmt.Sprintf("c%d", c-1)); ok && c > 1 && v < b {
				t.Errorf("%s: condition %d asks less", r[0], c)
			}
			if i > 0 {
				if b, _ := cell(tb, i-1, fmt.Sprintf("c%d", c)); v < b {
					t.Errorf("%s: more volts ask less", r[0])
				}
			}
		}
	}
}

func TestSystemsTable(t *testing.T) {
	for _, s := range Systems() {
		a, b := s.Poles()
		if s.Neutral && b != a+1 || !s.Neutral && a != b || s.ToGround > s.Line || s.Hot < 1 {
			t.Errorf("%+v", s)
		}
		for _, word := range []string{s.Name, s.Words} {
			if got, err := ParseSystem(word); err != nil || got != s {
				t.Error(word, err)
			}
		}
	}
	if _, err := ParseSystem("110"); err == nil {
		t.Error("110 is a system")
	}
}
