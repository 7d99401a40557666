package plan_test

import (
	"math"
	"os"
	"testing"

	"stubup/plan"
	"stubup/site"
)

func load(t *testing.T, path string) *plan.Plan {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	d := site.Load(path, src)
	for _, g := range d.Diags {
		t.Log(g.Show(src))
	}
	if d.Diags.HasError() {
		t.Fatal("the document has errors")
	}
	return plan.Make(d.Site)
}

func kinds(p *plan.Plan) map[plan.JointKind]int {
	n := map[plan.JointKind]int{}
	for _, j := range p.Joints {
		n[j.Kind]++
	}
	return n
}

// The counts and lengths of the reference compound were taken off its sketch
// by hand: ring 36 x 26 ft, six rods, 21 whips.
func TestCompoundA(t *testing.T) {
	p := load(t, "../examples/compound-a.yaml")
	for _, d := range p.Diags {
		t.Error(d)
	}
	if got := len(p.Posts) - 4; got != 14 {
		t.Errorf("%d fence posts, want 14", got)
	}
	if ft := p.Ring.Takeoff.Ft(); math.Abs(ft-124) > 1e-9 {
		t.Errorf("ring %v ft, want 124", ft)
	}
	// Four corners of 8 in: each saves (2 - pi/2) R.
	if ft := p.Ring.Built.Ft(); math.Abs(ft-(124-4*(2-math.Pi/2)*8/12)) > 1e-9 {
		t.Errorf("built %v ft", ft)
	}
	if len(p.Rods) != 6 || len(p.Whips) != 21 || len(p.Jumpers) != 2 {
		t.Errorf("%d rods, %d whips, %d jumpers; want 6, 21, 2", len(p.Rods), len(p.Whips), len(p.Jumpers))
	}
	if ft := p.Conductor().Ft(); math.Abs(ft-352) > 1e-6 {
		t.Errorf("conductor %v ft, want 352", ft)
	}
	n := kinds(p)
	want := map[plan.JointKind]int{plan.Tap: 23, plan.ToRod: 6, plan.Splice: 1, plan.ToPipe: 10, plan.ToFlat: 4, plan.Lug: 5}
	for k, v := range want {
		if n[k] != v {
			t.Errorf("%d %s joints, want %d", n[k], k, v)
		}
	}
	if len(p.Welded()) != 44 {
		t.Errorf("%d welded joints, want 44", len(p.Welded()))
	}
	molds := map[string]bool{}
	for _, j := range p.Welded() {
		molds[j.MoldKey()] = true
	}
	if len(molds) != 7 {
		t.Errorf("%d kinds of mold, want 7: %v", len(molds), molds)
	}
	for _, w := range p.Whips {
		t.Logf("%s %-22s %s", w.ID, w.Item, p.Site.Units.Length(w.Length))
	}
	for _, j := range p.Joints {
		t.Logf("%s %s %v %s", j.ID, j.Kind, j.Ties, j.Place)
	}
}
