package plan_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
)

// place moves and turns every point of a site.
func place(s *site.Site, f func(geom.Point) geom.Point) {
	all := func(ps []geom.Point) {
		for i := range ps {
			ps[i] = f(ps[i])
		}
	}
	for i := range s.Objects {
		o := &s.Objects[i]
		all(o.Outline)
		all(o.Path)
		all(o.Legs)
		all(o.Lugs)
		all(o.Taps)
		all(o.Posts.Line)
		o.At = f(o.At)
		for k := range o.Gates {
			o.Gates[k].From, o.Gates[k].To = f(o.Gates[k].From), f(o.Gates[k].To)
		}
	}
	if s.Ground.Ring != nil {
		all(s.Ground.Ring.Points)
	}
	if s.Ground.Rods != nil {
		for i := range s.Ground.Rods.Places {
			s.Ground.Rods.Places[i].At = f(s.Ground.Rods.Places[i].At)
		}
	}
	for i := range s.Ground.Radials {
		s.Ground.Radials[i].From = f(s.Ground.Radials[i].From)
	}
}

func fresh(t testing.TB) *site.Site {
	t.Helper()
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return site.Load("compound-a.yaml", src).Site
}

// The same compound moved 1,200 m and turned 37 degrees is the same compound:
// every count, length, id and mold is as before. The round-up to a foot has
// its tie broken by rounding only where a length is a whole foot, so lengths
// are compared before it.
func TestMovedAndTurned(t *testing.T) {
	a := plan.Make(fresh(t))
	s := fresh(t)
	turn := 37 * math.Pi / 180
	move := func(p geom.Point) geom.Point { return p.Rotate(turn).Add(geom.Point{X: 1200, Y: -350}) }
	place(s, move)
	b := plan.Make(s)
	for _, d := range b.Diags {
		t.Error(d)
	}
	if len(a.Joints) != len(b.Joints) || len(a.Whips) != len(b.Whips) || len(a.Rods) != len(b.Rods) || len(a.Posts) != len(b.Posts) {
		t.Fatalf("counts differ: %d %d %d %d and %d %d %d %d", len(a.Joints), len(a.Whips), len(a.Rods), len(a.Posts), len(b.Joints), len(b.Whips), len(b.Rods), len(b.Posts))
	}
	near := func(what string, x, y float64) {
		if math.Abs(x-y) > 1e-6 {
			t.Errorf("%s: %v and %v", what, x, y)
		}
	}
	near("takeoff", float64(a.Ring.Takeoff), float64(b.Ring.Takeoff))
	near("built", float64(a.Ring.Built), float64(b.Ring.Built))
	near("conductor", float64(a.Conductor()), float64(b.Conductor()))
	for i := range a.Whips {
		near("reach of "+a.Whips[i].ID, float64(a.Whips[i].Reach), float64(b.Whips[i].Reach))
		if a.Whips[i].Key != b.Whips[i].Key {
			t.Errorf("whip %s is %s and %s", a.Whips[i].ID, a.Whips[i].Key, b.Whips[i].Key)
		}
	}
	for i := range a.Joints {
		if a.Joints[i].ID != b.Joints[i].ID || a.Joints[i].MoldKey() != b.Joints[i].MoldKey() || a.Joints[i].Place != b.Joints[i].Place {
			t.Errorf("joint %d: %s %q and %s %q", i, a.Joints[i].ID, a.Joints[i].Place, b.Joints[i].ID, b.Joints[i].Place)
		}
		near("joint place", move(a.Joints[i].At).Dist(b.Joints[i].At), 0)
	}
}

// One post more: a line post between the first and second of the south side.
// By hand: "every fence post" then asks for exactly one more whip (2 ft to
// the ring + 30 in + 18 in = 6 ft), one more tap, one more pipe joint.
func TestOnePostMore(t *testing.T) {
	s := fresh(t)
	for i := range s.Ground.Whips {
		if s.Ground.Whips[i].Which == "gate posts" {
			s.Ground.Whips[i].Which = "posts"
		}
	}
	a := plan.Make(s)
	f := s.Objects[slices.IndexFunc(s.Objects, func(o site.Object) bool { return o.Kind == site.Fence })]
	var line []geom.Point
	for _, p := range a.Posts {
		if p.Kind == "line" {
			line = append(line, p.At)
		}
	}
	s2 := *s
	s2.Objects = slices.Clone(s.Objects)
	i := slices.IndexFunc(s2.Objects, func(o site.Object) bool { return o.ID == f.ID })
	s2.Objects[i].Posts.Line = line
	same := plan.Make(&s2)
	if len(same.Posts) != len(a.Posts) {
		t.Fatalf("listing the line posts changes their number: %d, %d", len(same.Posts), len(a.Posts))
	}
	s3 := s2
	s3.Objects = slices.Clone(s2.Objects)
	s3.Objects[i].Posts.Line = append(slices.Clone(line), geom.Point{X: 5 * 0.3048})
	b := plan.Make(&s3)
	ka, kb := kinds(a), kinds(b)
	if len(b.Posts) != len(a.Posts)+1 || len(b.Whips) != len(a.Whips)+1 || kb[plan.Tap] != ka[plan.Tap]+1 || kb[plan.ToPipe] != ka[plan.ToPipe]+1 || kb[plan.ToRod] != ka[plan.ToRod] {
		t.Errorf("posts %d to %d, whips %d to %d, joints %v to %v", len(a.Posts), len(b.Posts), len(a.Whips), len(b.Whips), ka, kb)
	}
	if d := float64(b.Conductor() - a.Conductor()); math.Abs(d-6*0.3048) > 1e-9 {
		t.Errorf("conductor grows by %v m, want 6 ft", d)
	}
}

// Numbers survive edits elsewhere: what is remembered keeps its number when a
// rod is added before it in walking order, when one is moved by a foot, and
// when one is taken out, whose number is then never used again.
func TestNumbersSurvive(t *testing.T) {
	s := fresh(t)
	a := plan.Make(s)
	byKey := map[string]string{}
	for _, p := range a.Points {
		byKey[string(p.Kind)+p.Key] = p.ID
	}
	s.Numbers = a.Numbers
	again := plan.Make(s)
	for i := range a.Points {
		if a.Points[i].ID != again.Points[i].ID {
			t.Fatalf("%s becomes %s without an edit", a.Points[i].ID, again.Points[i].ID)
		}
	}
	// A rod at (5, 2) ft comes second in walking order, and takes R7.
	s2 := *s
	rods := *s.Ground.Rods
	rods.Places = append(slices.Clone(rods.Places), site.RodPlace{HasAt: true, At: geom.Point{X: 5 * 0.3048, Y: 2 * 0.3048}})
	s2.Ground.Rods = &rods
	b := plan.Make(&s2)
	for _, p := range b.Points {
		if was, ok := byKey[string(p.Kind)+p.Key]; ok && was != p.ID {
			t.Errorf("%s was %s and is %s", p.Key, was, p.ID)
		}
	}
	if b.Rods[1].ID != "R7" {
		t.Errorf("the new rod is %s, want R7", b.Rods[1].ID)
	}
	// The rod at (20, 2) moves a foot east and keeps its number; the one at
	// (20, 28) goes, and its number is retired.
	was := map[string]string{}
	for _, r := range a.Rods {
		was[fmt.Sprintf("%.0f,%.0f", r.At.X/0.3048, r.At.Y/0.3048)] = r.ID
	}
	s3 := *s
	rods3 := *s.Ground.Rods
	rods3.Places = nil
	for _, pl := range s.Ground.Rods.Places {
		switch {
		case pl.HasAt && pl.At.Y > 5:
			continue
		case pl.HasAt:
			pl.At.X += 0.3048
		}
		rods3.Places = append(rods3.Places, pl)
	}
	s3.Ground.Rods = &rods3
	c := plan.Make(&s3)
	found := ""
	for _, r := range c.Rods {
		if r.At.Dist(geom.Point{X: 21 * 0.3048, Y: 2 * 0.3048}) < 1e-6 {
			found = r.ID
		}
		if r.ID == was["20,28"] {
			t.Errorf("the number of the rod that went is used again at %v", r.At)
		}
	}
	if found != was["20,2"] {
		t.Errorf("the moved rod was %s and is %s", was["20,2"], found)
	}
	retired := false
	for _, n := range c.Numbers {
		retired = retired || n.ID == was["20,28"] && n.Retired
	}
	if !retired {
		t.Errorf("%s is not kept as retired", was["20,28"])
	}
	// And a rod that comes later does not take it.
	s4 := s3
	s4.Numbers = c.Numbers
	rods4 := rods3
	rods4.Places = append(slices.Clone(rods3.Places), site.RodPlace{HasAt: true, At: geom.Point{X: 30 * 0.3048, Y: 28 * 0.3048}})
	s4.Ground.Rods = &rods4
	for _, r := range plan.Make(&s4).Rods {
		if r.ID == was["20,28"] {
			t.Errorf("%s is used again", r.ID)
		}
	}
}

// A ring round objects is the hull of the objects moved out: its length is the
// hull's perimeter plus 2 pi times the clearance, for any convex set.
func TestRingAround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &site.Site{}
		n := rapid.IntRange(1, 5).Draw(t, "objects")
		var pts []geom.Point
		r := &site.Ring{}
		for i := range n {
			x, y := rapid.Float64Range(-20, 20).Draw(t, "x"), rapid.Float64Range(-20, 20).Draw(t, "y")
			w, h := rapid.Float64Range(0.5, 9).Draw(t, "w"), rapid.Float64Range(0.5, 9).Draw(t, "h")
			o := site.Object{ID: fmt.Sprint("pad-", i), Kind: site.Pad, Outline: geom.Outline{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}}
			s.Objects = append(s.Objects, o)
			pts = append(pts, o.Outline...)
			r.Around = append(r.Around, o.ID)
		}
		c := rapid.Float64Range(0.1, 3).Draw(t, "clearance")
		r.Distance = unit.Q[unit.Metre]{SI: unit.Metre(c), Set: true}
		r.Depth = unit.Q[unit.Metre]{SI: 0.762, Set: true}
		s.Ground.Ring = r
		p := plan.Make(s)
		if p.Ring == nil {
			t.Fatalf("no ring: %v", p.Diags)
		}
		want := geom.Hull(pts).Len() + 2*math.Pi*c
		if got := p.Ring.Len(); math.Abs(got-want) > 1e-6*want {
			t.Fatalf("ring %v m, want %v", got, want)
		}
		for _, q := range pts {
			if _, _, d := p.Ring.Nearest(q); d < c-2e-6 {
				t.Fatalf("%v is %v from the ring, want at least %v", q, d, c)
			}
		}
	})
}

// Random edits of the reference compound, text and all, never panic, and
// always leave a plan: what is broken is a diag.
func TestRandomEdits(t *testing.T) {
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(src), "\n")
	bits := []string{"0", "-1 ft", "1e300 ft", "NaN", "[]", "{}", "fence", "yes", "400 ft", "[[0, 0], [0, 0]]", "every fence post", "", "\"", "- ", "  x: y", "[9e9, 9e9]"}
	rapid.Check(t, func(t *rapid.T) {
		out := slices.Clone(lines)
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			i := rapid.IntRange(0, len(out)-1).Draw(t, "line")
			switch rapid.IntRange(0, 3).Draw(t, "how") {
			case 0:
				out = slices.Delete(out, i, i+1)
			case 1:
				out = slices.Insert(out, i, out[rapid.IntRange(0, len(out)-1).Draw(t, "copy")])
			case 2:
				if k, _, ok := strings.Cut(out[i], ": "); ok {
					out[i] = k + ": " + rapid.SampledFrom(bits).Draw(t, "value")
				}
			default:
				out[i] = rapid.SampledFrom(bits).Draw(t, "text")
			}
			if len(out) == 0 {
				return
			}
		}
		d := site.Load("edited.yaml", []byte(strings.Join(out, "\n")))
		p := plan.Make(d.Site)
		for _, g := range append(d.Diags, p.Diags...) {
			if g.Mend == "" || g.What == "" {
				t.Fatalf("a diag without words: %+v", g)
			}
		}
		seen := map[string]bool{}
		for _, q := range p.Points {
			if seen[string(q.Kind)+q.ID] {
				t.Fatalf("%s stands twice in the point list", q.ID)
			}
			seen[string(q.Kind)+q.ID] = true
		}
	})
}
