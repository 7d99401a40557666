package pull

import (
	"crypto/sha256"
	"fmt"
	"math"
	"os"
	"testing"

	"stubup/base/table"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/raceway"
)

// pinned holds the hash of every table as it was verified. A changed figure
// needs a new verification and a new hash.
var pinned = map[string]string{
	"figures.csv":  "383b9c0ed5514c801fa5a6af26ae83e87b38af04253d03b9b6a6f967fa1bb82f",
	"friction.csv": "20ef233563768f0939d311bc6c45d2b6430370a33893e3801eb68bfd3fa51818",
	"sidewall.csv": "90dc40088dd7a6b3435d20b4d166a1aeabdad14935ec9eb23b3779d21bec59cf",
	"stress.csv":   "a0a80a8d5deff3beb718a7c0f59ae0b5a9fef256c2398559177f0eabeb9c6268",
	"telecom.csv":  "7d05f897cd30390ce115a66821184954ee9913c593efce61221ffba3fe91c3fc",
	"training.csv": "3b0dd30925e42a4d49bd9ff3a549d4ca394ac2eefc266ca4bed8e789820bc744",
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

func TestFrictionTable(t *testing.T) {
	for _, n := range Frictions() {
		f, ok := FrictionOf(n)
		if !ok || f.Check() != nil || f.Low <= 0 || f.Cite.IsZero() || f.Nominal != (f.Low+f.High)/2 {
			t.Errorf("%+v", f)
		}
	}
	dry, _ := FrictionOf("dry")
	if wet, _ := FrictionOf("lubricated"); wet.High >= dry.Low {
		t.Error("lubricated is not below dry")
	}
	if _, ok := FrictionOf("ice"); ok {
		t.Error("a friction that no row has")
	}
}

func TestStressTable(t *testing.T) {
	metals := []Metal{Copper, AluminumHard, Aluminum3Q, AluminumAA8000, AluminumHalf, AluminumSoft}
	last := math.Inf(1)
	for _, m := range metals {
		s, ok := Stress(m)
		if !ok || s > last || s <= 0 {
			t.Errorf("%s: %v", m, s)
		}
		last = s
	}
	if len(stressTable().Rows) != len(metals) {
		t.Errorf("%d rows", len(stressTable().Rows))
	}
}

// The newtons printed beside the pounds in the cabling standard: 600, 300, 50
// and 25 lbf are 2670, 1335, 222 and 110 N, rounded there to 5 N or so.
func TestTelecomTensions(t *testing.T) {
	for class, want := range map[Class]float64{FiberOutside: 2670, FiberOver12: 2670, FiberTo12: 1335, FiberInside: 222, FourPair: 110} {
		got, _, ok := CableTension(Cable{Name: "x", Class: class})
		if !ok || math.Abs(float64(got)-want) > 5 {
			t.Errorf("%s: %v N, printed %v", class, got, want)
		}
	}
	if outside, _ := raceway.FiberTension(raceway.Pulling); math.Abs(float64(outside/PoundForce)-600) > 1e-9 {
		t.Error("outside plant is not 600 lbf")
	}
}

// Every class has a radius, and a sidewall limit or a caution instead.
func TestClasses(t *testing.T) {
	power := map[Class]float64{General: 300, Wire600: 1000, Wire600XLPE: 1200, MediumVoltage: 500}
	for _, class := range []Class{"", General, Wire600, Wire600XLPE, MediumVoltage, FiberOutside, FiberInside, FiberTo12, FiberOver12, FourPair} {
		c := Cable{Name: "x", Class: class, OD: 0.5 * unit.Inch}
		if _, ref, ok := LeastRadius(c); !ok || ref.IsZero() {
			t.Errorf("%q has no radius", class)
		}
		p, ref, ok := SidewallLimit(c)
		if want, is := power[c.class()]; is != ok || ok && (math.Abs(float64(p/PoundForcePerFoot)-want) > 1e-9 || ref.IsZero()) {
			t.Errorf("%q: %v, want %v", class, p/PoundForcePerFoot, want)
		}
	}
	w, _ := unit.ParseWire("8")
	if small, _ := figure("small.wire"); small != conductor.CircularMils(w) {
		t.Errorf("8 AWG is %v cmil", conductor.CircularMils(w))
	}
	for _, v := range []struct {
		c    Cable
		want float64 // in
	}{
		{Cable{Class: FiberOutside, OD: 0.5 * unit.Inch}, 10},
		{Cable{Class: FiberInside, OD: 0.2 * unit.Inch}, 2},
		{Cable{Class: FourPair, OD: 0.25 * unit.Inch}, 1},
		{Cable{Class: MediumVoltage, OD: unit.Inch}, 12},
		{Cable{Class: Wire600, OD: unit.Inch}, 4},
		{Cable{Class: Wire600, OD: 1.5 * unit.Inch, Insulation: 0.2 * unit.Inch}, 9},
		{Cable{Class: FiberOutside, OD: unit.Inch, Radius: 3 * unit.Inch}, 3},
	} {
		if r, _, ok := LeastRadius(v.c); !ok || math.Abs(r.In()-v.want) > 1e-9 {
			t.Errorf("%+v: %v in, want %v", v.c, r.In(), v.want)
		}
	}
	if r, _, ok := RestRadius(Cable{Class: FiberOutside, OD: 0.5 * unit.Inch}); !ok || math.Abs(r.In()-5) > 1e-9 {
		t.Errorf("at rest %v in", r.In())
	}
	if _, _, ok := TrainingRadius(unit.Inch, 0.4*unit.Inch); ok {
		t.Error("a radius where none is printed")
	}
}

// What the formula pages say is what the functions give.
func TestFormulaChecks(t *testing.T) {
	for _, f := range Formulas {
		for _, c := range f.Checks {
			tol := c.Tol
			if !c.Abs {
				tol *= math.Abs(c.Want)
			}
			if got := c.Got(); !(math.Abs(got-c.Want) <= tol) {
				t.Errorf("%s %s: %v, want %v", f.ID, c.Name, got, c.Want)
			}
		}
	}
}
