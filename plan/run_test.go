package plan_test

import (
	"math"
	"testing"

	"stubup/base/diag"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
)

// Two revisions of one fiber run, worked by hand: straights are tangent to
// tangent, arcs are pi/180 R a with R = 3 ft.
func TestFiberEntry(t *testing.T) {
	old, moved := load(t, "../examples/fiber-entry.yaml"), load(t, "../examples/fiber-entry-moved.yaml")
	for _, p := range []*plan.Plan{old, moved} {
		for _, d := range p.Diags {
			t.Error(d)
		}
	}
	arc := func(deg float64) float64 { return math.Pi / 180 * 3 * deg }
	check := func(p *plan.Plan, ft float64, sums ...float64) {
		r := p.Runs[0]
		if got := r.Length.Ft(); math.Abs(got-ft) > 1e-9 {
			t.Errorf("length %v ft, want %v", got, ft)
		}
		if len(r.Sections) != len(sums) {
			t.Fatalf("%d sections, want %d", len(r.Sections), len(sums))
		}
		for i, s := range r.Sections {
			if float64(s.Degrees) != sums[i] {
				t.Errorf("section %d turns %v, want %v", i+1, s.Degrees, sums[i])
			}
		}
	}
	check(old, 80+60+4+arc(135), 135)
	check(moved, 70+55+38+4+arc(225), 135, 90)
	if s := unit.US.Run(old.Runs[0].Length); s != "151.1 ft" {
		t.Errorf("old run prints %s", s)
	}
	if s := unit.US.Run(moved.Runs[0].Length); s != "178.8 ft" {
		t.Errorf("new run prints %s", s)
	}
	// The old run ends straight up, 3 + 4 ft above where its sweep began.
	end := old.Runs[0].Pulls[1].At
	if dz := end.Z - old.Runs[0].Start.Z; math.Abs(dz-7*0.3048) > 1e-9 {
		t.Errorf("the riser ends %v m up", dz)
	}
}

// An offset comes back to its heading, moved sideways by exactly its depth,
// and its two bends with their straight close the triangle.
func TestOffsetAndSaddleComeBack(t *testing.T) {
	p := load(t, "testdata/offsets.yaml")
	for _, d := range p.Diags {
		t.Error(d)
	}
	want := map[string][3]float64{ // last heading and sideways or upward shift, m
		"offset": {1, 0, 0.3048}, "saddle 3": {1, 0, 0}, "saddle 4": {1, 0, 0},
	}
	for _, r := range p.Runs {
		w, ok := want[r.ID]
		if !ok {
			t.Fatalf("no expectation for %q", r.ID)
		}
		last := r.Pieces[len(r.Pieces)-1]
		if math.Abs(last.Out.X-w[0]) > 1e-9 || math.Abs(last.Out.Z-w[1]) > 1e-9 {
			t.Errorf("%s leaves toward %v", r.ID, last.Out)
		}
		if dz := last.B.Z - r.Start.Z; math.Abs(dz-w[2]) > 1e-9 {
			t.Errorf("%s ends %v m higher, want %v", r.ID, dz, w[2])
		}
		top := 0.0
		for _, q := range r.Pieces {
			for k := range 21 {
				top = max(top, q.At(float64(q.Length)*float64(k)/20).Z-r.Start.Z)
			}
			if q.Arc && q.A.Dist(q.Centre)-float64(q.Radius) > 1e-9 {
				t.Errorf("%s: an arc does not lie on its circle", r.ID)
			}
		}
		if r.ID != "offset" && math.Abs(top-0.1016) > 1e-9 {
			t.Errorf("%s rises %v m, want 4 in", r.ID, top)
		}
	}
}

// Reversing a run keeps its bend sum and its length; splitting a straight
// keeps both.
func TestSplitStraight(t *testing.T) {
	p := load(t, "../examples/fiber-entry.yaml")
	whole := p.Runs[0]
	s := *p.Site
	run := s.Runs[0]
	steps := append(run.Steps[:0:0], run.Steps...)
	half := steps[0]
	half.Length.SI /= 2
	run.Steps = append(append(steps[:0:0], half, half), steps[1:]...)
	s.Runs = append(s.Runs[:0:0], run)
	q := plan.Make(&s).Runs[0]
	if math.Abs(float64(q.Length-whole.Length)) > 1e-9 || q.Degrees() != whole.Degrees() || math.Abs(float64(q.Trench-whole.Trench)) > 1e-9 {
		t.Errorf("split: %v %v %v, whole: %v %v %v", q.Length, q.Degrees(), q.Trench, whole.Length, whole.Degrees(), whole.Trench)
	}
}

// Two runs through one place are a diag at the second; one set deeper is not.
func TestCrossing(t *testing.T) {
	doc := func(depth string) *plan.Plan {
		return load2(t, `
format: 1
name: Crossing
units: us
grid: ft
runs:
  power 1:
    service: power
    raceway: PVC-40 2 in
    carries: [3 x 3/0 THWN-2]
    start: [0, 0, -2]
    heading: east
    path: [{straight: 20 ft, in: trench}]
  fiber 1:
    service: fiber
    raceway: PVC-40 2 in
    carries: [{cable: fiber, od: 0.5 in, fiber: yes}]
    start: [10, -10, `+depth+`]
    heading: north
    path: [{straight: 20 ft, in: trench}]
`)
	}
	if p := doc("-2"); len(p.Diags) != 1 || p.Diags[0].Code != diag.Crossing {
		t.Errorf("crossing runs gave %v", p.Diags)
	}
	// 2-3/8 in outside: 2.3 in between centers still touches, 2.4 does not.
	if p := doc("-2.19166"); len(p.Diags) != 1 {
		t.Errorf("runs that touch gave %v", p.Diags)
	}
	if p := doc("-2.2"); len(p.Diags) != 0 {
		t.Errorf("runs 2.4 in apart gave %v", p.Diags)
	}
}

func load2(t *testing.T, src string) *plan.Plan {
	t.Helper()
	d := site.Load("case.yaml", []byte(src))
	if d.Diags.HasError() {
		t.Fatal(d.Diags)
	}
	return plan.Make(d.Site)
}

// Two bodies on one riser stand at one place in plan and are two points: each
// keeps its own number, and the numbers read back from the document.
func TestTwoBodiesOnOneRiser(t *testing.T) {
	const src = `
format: 1
name: Riser
units: us
grid: ft
runs:
  power 1:
    service: power
    raceway: EMT 1 in
    carries: [3 x 8 THWN-2]
    start: [0, 0, 4]
    heading: east
    path:
      - {straight: 5 ft, in: wall}
      - {body: LB, turns: up}
      - {straight: 6 ft, in: wall}
      - {body: LB, turns: east}
      - {straight: 5 ft, in: roof}
`
	d := site.Load("riser.yaml", []byte(src))
	p := plan.Make(d.Site)
	if len(p.Diags) > 0 || d.Diags.HasError() {
		t.Fatal(d.Diags, p.Diags)
	}
	kept, err := d.WithNumbers(p.Numbers)
	if err != nil {
		t.Fatal(err)
	}
	q := plan.Make(kept.Site)
	for i := range p.Points {
		if p.Points[i].ID != q.Points[i].ID || p.Points[i].At != q.Points[i].At {
			t.Errorf("%s at %v reads back as %s at %v", p.Points[i].ID, p.Points[i].At, q.Points[i].ID, q.Points[i].At)
		}
	}
	if len(p.Points) != 2 {
		t.Errorf("%d pull points, want 2", len(p.Points))
	}
}

// A whip is never cut shorter than the way from its own tap.
func TestWhipCut(t *testing.T) {
	p := load(t, "../examples/compound-a.yaml")
	longer := 0
	for _, w := range p.Whips {
		way := w.Tap.Dist(w.To) + float64(w.Rise)
		if float64(w.Cut) < way-1e-6 {
			t.Errorf("%s is cut to %v m and has %v m to go", w.ID, w.Cut, way)
		}
		if w.Cut > w.Length+1e-6 {
			longer++
		}
	}
	// By hand: at the four corners the tap stands 6 in off the rod, and
	// sqrt(2.5^2 + 2^2) + 4 = 7.2 ft; two more share a place with another joint.
	if longer != 6 {
		t.Errorf("%d whips are cut longer than their takeoff, want 6", longer)
	}
}
