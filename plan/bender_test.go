package plan_test

import (
	"math"
	"strings"
	"testing"

	"stubup/base/diag"
	"stubup/base/geom"
)

const benderHead = `format: 1
name: bent
grid: ft
benders:
  - {name: hand, raceway: EMT 1 in, radius: 5-3/4 in, take-up: 8 in, marks: [10, 22.5, 45], between: 2 in}
  - {name: hand, raceway: EMT 3/4 in, radius: 4-1/2 in}
runs:
  r:
    service: power
    raceway: EMT 1 in
    start: [0, 0, 8]
    heading: east
    path:
      - straight: 10 ft
        in: wall
`

// A bend without a radius takes that of the only bender for its raceway, an
// offset without an angle the mark nearest to 30 degrees: 22.5. What is given
// stays, and a factory bend has nothing to do with a bender.
func TestBenderMakesTheBends(t *testing.T) {
	p := load2(t, benderHead+`
      - offset: 12 in up
      - straight: 4 ft
      - offset: 12 in down
        angle: 30 deg
        radius: 6 in
      - straight: 4 ft
      - saddle: 4 in up
      - straight: 4 ft
      - bend: 90 left
        made: factory
        radius: 5.75 in
      - straight: 2 ft
`)
	for _, d := range p.Diags {
		t.Error(d)
	}
	type arc struct {
		angle, radius float64
		by            bool
	}
	want := []arc{{22.5, 5.75, true}, {22.5, 5.75, true}, {30, 6, true}, {30, 6, true}, {22.5, 5.75, true}, {45, 5.75, true}, {22.5, 5.75, true}, {90, 5.75, false}}
	bends := p.Runs[0].Bends()
	if len(bends) != len(want) {
		t.Fatalf("%d bends", len(bends))
	}
	for i, w := range want {
		q := bends[i]
		if math.Abs(float64(q.Angle)-w.angle) > 1e-9 || math.Abs(q.Radius.In()-w.radius) > 1e-9 || (q.Bender != nil) != w.by {
			t.Errorf("bend %d: %v on %v in, bender %v; want %+v", i+1, q.Angle, q.Radius.In(), q.Bender, w)
		}
	}
}

// Two benders for one raceway: neither is taken until one is named, and then
// it is; one that takes another size is refused.
func TestWhichBender(t *testing.T) {
	two := strings.Replace(benderHead, "benders:\n", "benders:\n  - {name: table, raceway: EMT 1 in, radius: 7 in}\n", 1)
	radius := func(src string) float64 { return load2(t, src).Runs[0].Bends()[0].Radius.In() }
	if r := radius(two + "      - bend: 90 left\n"); math.Abs(r-6) > 1e-9 {
		t.Errorf("nobody says which: %v in, want Table 2's 6", r)
	}
	if r := radius(two + "      - bend: 90 left\n        bender: Table\n"); math.Abs(r-7) > 1e-9 {
		t.Errorf("%v in, want 7", r)
	}
	if r := radius(strings.Replace(two, "    start", "    bender: hand\n    start", 1) + "      - bend: 90 left\n"); math.Abs(r-5.75) > 1e-9 {
		t.Errorf("%v in, want 5.75", r)
	}
	p := load2(t, strings.Replace(benderHead, "EMT 1 in\n    start", "EMT 2 in\n    bender: hand\n    start", 1)+"      - bend: 90 left\n")
	found := false
	for _, d := range p.Diags {
		found = found || d.Code == diag.Contradiction && strings.Contains(d.What, "the bender hand takes EMT 1 in, EMT 3/4 in")
	}
	if !found {
		t.Errorf("%v", p.Diags)
	}
}

// A rolling offset of 12 in up and 5 in left at 30 degrees, by hand: the true
// offset is 13 in; the run goes on east, 12 in higher and 5 in to the north.
func TestRollingOffset(t *testing.T) {
	p := load2(t, benderHead+`
      - offset: 12 in up
        roll: 5 in left
        angle: 30 deg
        radius: 6 in
      - straight: 2 ft
`)
	for _, d := range p.Diags {
		t.Error(d)
	}
	last := p.Runs[0].Pieces[len(p.Runs[0].Pieces)-1]
	if last.Dir.Dist(geom.Point3{X: 1}) > 1e-9 {
		t.Errorf("it goes on %v", last.Dir)
	}
	if dy, dz := last.A.Y/0.0254, last.A.Z/0.0254-96; math.Abs(dy-5) > 1e-6 || math.Abs(dz-12) > 1e-6 {
		t.Errorf("%v in left and %v in up", dy, dz)
	}
	advance := 2*6*0.5 + (13-2*6*(1-math.Cos(math.Pi/6)))/math.Tan(math.Pi/6)
	if dx := last.A.X/0.0254 - 120; math.Abs(dx-advance) > 1e-6 {
		t.Errorf("%v in along, want %v", dx, advance)
	}
	if p := load2(t, benderHead+"      - offset: 12 in up\n        roll: 5 in down\n"); len(p.Diags) != 1 || p.Diags[0].Code != diag.Contradiction {
		t.Errorf("%v", p.Diags)
	}
}
