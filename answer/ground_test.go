package answer_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"testing"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/ground"
)

const ft = 0.3048

func compound(t testing.TB) *site.Site {
	t.Helper()
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := site.Load("compound-a.yaml", src)
	if d.Diags.HasError() {
		t.Fatal(d.Diags)
	}
	return d.Site
}

func soilOf(layers ...float64) site.Soil { // rho, thickness, rho, thickness, .. rho
	var s site.Soil
	for i := 0; i < len(layers); i += 2 {
		l := site.Layer{Resistivity: unit.Q[unit.OhmMetre]{SI: unit.OhmMetre(layers[i]), Set: true, Text: fmt.Sprint(layers[i], " ohm-m")}}
		if i+1 < len(layers) {
			l.Thickness = unit.Q[unit.Metre]{SI: unit.Metre(layers[i+1]), Set: true, Text: fmt.Sprint(layers[i+1], " m")}
		}
		s.Layers = append(s.Layers, l)
	}
	return s
}

func book(s *site.Site) *answer.Book { return answer.New(context.Background(), plan.Make(s)) }

func near(t *testing.T, what string, a answer.Answer, want, tol float64) {
	t.Helper()
	if !a.OK() {
		t.Errorf("%s: cannot tell: %s", what, a.Missing)
		return
	}
	if got := a.Value.SI; math.Abs(got-want) > tol*want {
		t.Errorf("%s: %.4f, want %.4f within %.2g %%", what, got, want, tol*100)
	} else {
		t.Logf("%s: %.4f (%.4f)", what, got, want)
	}
}

// The reference compound's figures were computed by two independent programs
// (a Galerkin thin-wire solution with images, and a second one), which agree
// within 0.3 %: 4.669 and 4.676 ohm. Tolerance 2 % for the printed 4.68,
// stated with the case; 0.6 % is how closely the two agree on the others.
func TestDesignValue(t *testing.T) {
	s := compound(t)
	b := book(s)
	near(t, "design", b.Design(), 4.68, 0.02)
	near(t, "break-even", b.BreakEven(5), 106.9, 0.006)
	if w, d := b.WithWhips(), b.Design(); !w.OK() {
		t.Error("with whips: cannot tell: " + w.Missing)
	} else if w.Value.SI >= d.Value.SI {
		t.Errorf("more metal raised R: %v, %v", w.Value.SI, d.Value.SI)
	}
	// Twin: R follows resistivity exactly, so at the break-even resistivity
	// the same ground gives the limit itself.
	s.Soil = soilOf(b.BreakEven(5).Value.SI)
	near(t, "at break-even", book(s).Design(), 5, 1e-6)
}

// The coarser mesh that is used with whips is as good as the fine one, in
// uniform and in layered soil.
func TestWhipMesh(t *testing.T) {
	for _, s := range []site.Soil{soilOf(100), soilOf(300, 1.2, 60), soilOf(60, 1.2, 900)} {
		c := compound(t)
		c.Soil = s
		b := book(c)
		fine, err := ground.Solve(context.Background(), b.SoilModel().Model, []ground.Electrode{{ID: "g", Wires: answer.Wires(b.Plan, answer.Electrode{Whips: true})}}, ground.Options{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "with whips", b.WithWhips(), float64(fine.Resistance(0)), 0.0005)
	}
}

// Rock 5 ft down everywhere, rods stopping on it with 2.5 ft in the ground.
func TestRockFace(t *testing.T) {
	s := compound(t)
	s.Soil = soilOf(100, 5*ft, 1000)
	s.Ground.Rods.Length.SI = 2.5 * ft
	b := book(s)
	near(t, "over rock", b.Design(), 16.93, 0.006)
	near(t, "over rock without rods", b.RingAlone(), 17.26, 0.006)
	// Twin: both layers alike is uniform soil, whatever the boundary.
	s.Soil = soilOf(100, 5*ft, 100)
	two := book(s).Design().Value.SI
	s.Soil = soilOf(100)
	near(t, "equal layers", book(s).Design(), two, 1e-6)
}

// A rod refuses with 5 ft of 8 driven at the first corner: left so, at 45
// degrees, laid flat, or left with a 20 ft radial.
func TestRefusedRod(t *testing.T) {
	s := compound(t)
	p := plan.Make(s)
	id := ""
	for _, r := range p.Rods {
		if r.At.Dist(geom.Point{X: 2 * ft, Y: 2 * ft}) < 1e-6 {
			id = r.ID
		}
	}
	s.State.Rods = []site.RodState{{Rod: id, Driven: unit.Q[unit.Metre]{SI: 5 * ft, Set: true, Text: "5 ft"}, Refused: true}}
	b := book(s)
	opts := b.RefusedRod(id)
	if len(opts) != 5 {
		t.Fatalf("%d options", len(opts))
	}
	for i, want := range []float64{4.74, 4.68, 4.65, 4.66, 4.38} {
		near(t, opts[i].Words, opts[i].R, want, 0.006)
	}
	near(t, "as driven", b.AsDriven(), opts[0].R.Value.SI, 1e-9)
	// Twin: the compound is symmetric about its middle, so the same refusal
	// at the opposite corner gives the same figures.
	for _, r := range p.Rods {
		if r.At.Dist(geom.Point{X: 38 * ft, Y: 28 * ft}) < 1e-6 {
			s.State.Rods[0].Rod = r.ID
		}
	}
	c := book(s)
	for i, o := range c.RefusedRod(s.State.Rods[0].Rod) {
		near(t, "mirrored: "+o.Words, o.R, opts[i].R.Value.SI, 1e-4)
	}
}

// Over 150 ohm-m the limit is missed; longer rods and radials help, and over
// a good deep layer deep rods win.
func TestLimitNotReached(t *testing.T) {
	s := compound(t)
	s.Soil = soilOf(150)
	near(t, "150 ohm-m", book(s).Design(), 7.0, 0.006)
	for _, c := range []struct{ length, want float64 }{{10, 6.65}, {20, 5.3}, {24, 4.9}} {
		s.Ground.Rods.Length.SI = unit.Metre(c.length * ft)
		near(t, fmt.Sprint(c.length, " ft rods"), book(s).Design(), c.want, 0.01)
	}
	s.Soil = soilOf(150, 15*ft, 40)
	s.Ground.Rods.Length.SI = 20 * ft
	near(t, "20 ft rods into 40 ohm-m", book(s).Design(), 2.34, 0.01)
	s.Soil = soilOf(150)
	s.Ground.Rods.Length.SI = 8 * ft
	radial := func(corners ...geom.Point) float64 {
		s.Ground.Radials = nil
		for _, c := range corners {
			s.Ground.Radials = append(s.Ground.Radials, site.Radial{From: c, Outward: true, Length: unit.Q[unit.Metre]{SI: 20 * ft, Set: true, Text: "20 ft"}, EndRod: true})
		}
		a := book(s).Design()
		return a.Value.SI
	}
	sw, ne := geom.Point{X: 2 * ft, Y: 2 * ft}, geom.Point{X: 38 * ft, Y: 28 * ft}
	se, nw := geom.Point{X: 38 * ft, Y: 2 * ft}, geom.Point{X: 2 * ft, Y: 28 * ft}
	if got := radial(sw, ne); math.Abs(got-5.66) > 0.006*5.66 {
		t.Errorf("two radials: %.3f, want 5.66", got)
	}
	if got := radial(sw, ne, se, nw); math.Abs(got-4.84) > 0.006*4.84 {
		t.Errorf("four radials: %.3f, want 4.84", got)
	}
}

// Four-pin readings that agree make one resistivity; readings that do not are
// never averaged.
func TestSurvey(t *testing.T) {
	q := func(a, r float64) site.Reading {
		return site.Reading{Spacing: unit.Q[unit.Metre]{SI: unit.Metre(a * ft), Set: true, Text: fmt.Sprint(a, " ft")}, Ohms: unit.Q[unit.Ohm]{SI: unit.Ohm(r), Set: true, Text: fmt.Sprint(r, " ohm")}}
	}
	s := compound(t)
	s.Soil = site.Soil{Readings: []site.Reading{q(5, 10.4), q(10, 5.2), q(20, 2.6)}}
	near(t, "uniform", book(s).Soil(), 2*math.Pi*5*ft*10.4, 1e-9)
	s.Soil.Readings[2] = q(20, 0.65)
	if a := book(s).Design(); a.OK() {
		t.Errorf("readings that disagree gave %v", a.Value.Text)
	}
}

// Fixes are ranked and searched in the site's own soil. Every single one, and
// the set, is checked against a fresh solution of the whole electrode; the
// figures for 10, 20 and 24 ft rods in 150 ohm-m are those of the case.
func TestFixes(t *testing.T) {
	s := compound(t)
	if f := book(s).Fixes(5); len(f.Singles) != 0 || len(f.Set) != 0 {
		t.Errorf("fixes are offered where the limit is met: %v", f)
	}
	s.Soil = soilOf(150)
	f := book(s).Fixes(5)
	got := map[string]float64{}
	for i, x := range f.Singles {
		got[x.Words] = float64(x.R)
		if i > 0 && x.OhmPerFt > f.Singles[i-1].OhmPerFt+1e-12 {
			t.Errorf("%s ranks after a poorer one", x.Words)
		}
	}
	for words, want := range map[string]float64{"10'-0\" rods in all 6 places": 6.65, "20'-0\" rods in all 6 places": 5.3, "24'-0\" rods in all 6 places": 4.9} {
		if g, ok := got[words]; !ok || math.Abs(g-want) > 0.01*want {
			t.Errorf("%s: %v, want %v", words, g, want)
		}
	}
	if len(f.Set) == 0 || !f.Reached.OK() || f.Reached.Value.SI > 5 || !f.Exact {
		t.Fatalf("no proven set reaches 5 ohm: %+v", f)
	}
	// Twin: one radial with its rod, solved afresh by the plan's own radial.
	s.Ground.Radials = []site.Radial{{From: geom.Point{X: 2 * ft, Y: 2 * ft}, Outward: true, Length: unit.Q[unit.Metre]{SI: 20 * ft, Set: true, Text: "20 ft"}, EndRod: true}}
	near(t, "one radial", book(s).Design(), got["20'-0\" radial out from corner 1 with a rod at its end"], 0.001)
	// Over a good deep layer the deep rods lead; over rock no rod is offered.
	s.Ground.Radials = nil
	s.Soil = soilOf(150, 15*ft, 40)
	if f := book(s).Fixes(2.5); len(f.Singles) == 0 || f.Singles[0].Words != "20'-0\" rods in all 6 places" && f.Singles[0].Words != "24'-0\" rods in all 6 places" {
		t.Errorf("over a good deep layer %+v leads", f.Singles)
	}
	s.Soil = soilOf(150)
	s.Soil.Rock = unit.Q[unit.Metre]{SI: 4 * ft, Set: true, Text: "4 ft"}
	for _, x := range book(s).Fixes(5).Singles {
		if x.Joints != 1 || x.Feet != 20 {
			t.Errorf("over rock at 4 ft: %s", x.Words)
		}
	}
}

// A survey that does not agree is fitted: the readings are those of 500 over
// 50 ohm-m at 1.5 m, computed by a Hankel quadrature elsewhere (relative doubt
// 1e-7), so the resistance must be that of the layers themselves.
func TestSurveyFitted(t *testing.T) {
	apparent := map[float64]float64{0.5: 490.6382, 1: 443.1818, 1.5: 366.9522, 2: 287.692, 3: 169.3364, 4: 106.9847, 6: 64.30169, 8: 55.00611}
	site1 := compound(t)
	site1.Soil = soilOf(500, 1.5, 50)
	want := book(site1).Design().Value.SI
	readings := func(spoil float64) site.Soil {
		var s site.Soil
		for _, a := range []float64{0.5, 1, 1.5, 2, 3, 4, 6, 8} {
			r := apparent[a] / (2 * math.Pi * a)
			if a == 2 {
				r *= spoil
			}
			s.Readings = append(s.Readings, site.Reading{Spacing: unit.Q[unit.Metre]{SI: unit.Metre(a), Set: true, Text: fmt.Sprint(a, " m")}, Ohms: unit.Q[unit.Ohm]{SI: unit.Ohm(r), Set: true, Text: fmt.Sprint(r, " ohm")}})
		}
		return s
	}
	for _, c := range []struct{ spoil, tol float64 }{{1, 0.01}, {3, 0.05}, {1.0 / 3, 0.05}} {
		s := compound(t)
		s.Soil = readings(c.spoil)
		b := book(s)
		near(t, fmt.Sprint("fitted, one reading x ", c.spoil), b.Design(), want, c.tol)
		f := b.SoilModel().Fit
		if f == nil {
			t.Fatal("no fit")
		}
		if bad := len(f.Flagged); (bad == 1 && f.Flagged[0].Index == 3) != (c.spoil != 1) {
			t.Errorf("x %v: flagged %+v", c.spoil, f.Flagged)
		}
		if b.SoilModel().Value.Standing != trace.Measured {
			t.Error("a fitted survey is measured")
		}
	}
}
