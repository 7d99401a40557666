package desk

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func runView(t testing.TB, d *Desk, id string) RunView {
	t.Helper()
	v, err := d.Run(id)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The corners of the reference compound's fiber entry by hand: 24 ft east and
// then 36 in of radius at 45 degrees, whose tangent is R tan 22.5.
func TestRunCorners(t *testing.T) {
	d := open(t, "compound-a.yaml")
	v := runView(t, d, "fiber 1")
	if len(v.Nodes) != 4 {
		t.Fatalf("%d corners", len(v.Nodes))
	}
	tan45, tan90 := 3*ft*math.Tan(math.Pi/8), 3*ft
	east := -20*ft + 24*ft + tan45
	leg := tan45 + 5*ft + tan90
	want := [][3]float64{
		{-20 * ft, 4 * ft, -2 * ft},
		{east, 4 * ft, -2 * ft},
		{east + leg/math.Sqrt2, 4*ft + leg/math.Sqrt2, -2 * ft},
		{east + leg/math.Sqrt2, 4*ft + leg/math.Sqrt2, -2*ft + tan90 + 3*ft},
	}
	for k, w := range want {
		for i := range w {
			if math.Abs(v.Nodes[k].At[i]-w[i]) > 2e-5 {
				t.Errorf("corner %d: %v, wanted %v", k, v.Nodes[k].At, w)
				break
			}
		}
	}
	if got := v.Sections[0].Sum; got != "135 of 180 | 360" {
		t.Errorf("the sum is %q", got)
	}
}

// A corner that is moved is where it was moved to, its neighbors stay, and
// undo brings back the same bytes. Slow twin: the run walked afresh by plan.
func TestMoveCorner(t *testing.T) {
	src := open(t, "compound-a.yaml").Text()
	rapid.Check(t, func(rt *rapid.T) {
		d := &Desk{}
		d.Open("compound-a.yaml", src, "")
		id := rapid.SampledFrom([]string{"fiber 1", "generator 1"}).Draw(rt, "run")
		was := runView(t, d, id)
		k := rapid.IntRange(0, len(was.Nodes)-1).Draw(rt, "corner")
		at := was.Nodes[k].At
		by := [2]float64{rapid.Float64Range(-1, 1).Draw(rt, "east"), rapid.Float64Range(-1, 1).Draw(rt, "north")}
		es, err := d.Edits(Gesture{Op: "run-corner", Path: was.Nodes[k].Path, At: [2]float64{at[0] + by[0], at[1] + by[1]}})
		if err != nil {
			var p *Problem
			if !asProblem(err, &p) || p.Mend == "" {
				rt.Fatalf("refused without a mend: %v", err)
			}
			return
		}
		back, err := d.Edit(es)
		if err != nil {
			rt.Fatal(err)
		}
		is := runView(t, d, id)
		if len(is.Nodes) != len(was.Nodes) {
			rt.Fatalf("%d corners, were %d", len(is.Nodes), len(was.Nodes))
		}
		for i := range is.Nodes {
			want := was.Nodes[i].At
			if i == k {
				want = [3]float64{at[0] + by[0], at[1] + by[1], at[2]}
			}
			// A bend is written to a hundredth of a degree, which over 30 ft is
			// 1.6 mm sideways.
			for j := range want {
				if math.Abs(is.Nodes[i].At[j]-want[j]) > 0.004 {
					rt.Errorf("corner %d is at %v, wanted %v", i, is.Nodes[i].At, want)
				}
			}
		}
		if _, err := d.Edit(back); err != nil || string(d.Text()) != string(src) {
			rt.Errorf("undo does not bring back the same bytes: %v", err)
		}
	})
}

func asProblem(err error, p **Problem) bool {
	q, ok := err.(*Problem)
	*p = q
	return ok
}

// A run drawn through places has the sum of its turns (the exterior angles of
// the polyline, by hand) and passes the limit with the words of what costs it.
func TestDrawRun(t *testing.T) {
	d := open(t, "compound-a.yaml")
	src := string(d.Text())
	g := Gesture{Op: "run", Places: [][2]float64{{-6, -6}, {0, -6}, {0, -3}, {6, -3}}, Fields: []Field{
		{"id", "fiber 2"}, {"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"radius", "36 in"}, {"rise-at-end", "3 ft"},
	}}
	v, err := d.RunWith(g)
	if err != nil {
		t.Fatal(err)
	}
	if len(v.Sections) != 1 || v.Sections[0].Sum != "270 of 180 | 360" || v.Sections[0].Outcome != "broken" {
		t.Fatalf("%+v", v.Sections)
	}
	if want := "90 deg over the owner's 180: 90 left costs 90, 90 right costs 90, 90 up costs 90 and passes the owner's 180 at 270"; v.Sections[0].Over != want {
		t.Errorf("%q, wanted %q", v.Sections[0].Over, want)
	}
	if string(d.Text()) != src {
		t.Error("looking changed the document")
	}
	back := make1(t, d, g)
	is := runView(t, d, "fiber 2")
	if is.Sections[0].Sum != v.Sections[0].Sum || is.Nodes[0].At != v.Nodes[0].At {
		t.Errorf("made %+v, seen before %+v", is.Sections, v.Sections)
	}
	for i, p := range g.Places {
		if math.Hypot(is.Nodes[i].At[0]-p[0], is.Nodes[i].At[1]-p[1]) > 1e-4 {
			t.Errorf("corner %d is at %v, was tapped at %v", i, is.Nodes[i].At, p)
		}
	}
	if z := is.Nodes[len(is.Nodes)-1].At[2]; math.Abs(z-0.9144) > 1e-4 {
		t.Errorf("it rises to %v", z)
	}
	// A pull point in a straight leaves two sections whose sums add up.
	spots, err := d.Spots("fiber 2", 0)
	if err != nil || len(spots) == 0 {
		t.Fatal(spots, err)
	}
	for _, s := range spots {
		back := make1(t, d, Gesture{Op: "run-pull", ID: "fiber 2", Text: s.Station})
		cut := runView(t, d, "fiber 2")
		if len(cut.Sections) != 2 || cut.Sections[0].Degrees+cut.Sections[1].Degrees != 270 {
			t.Errorf("%s: %+v", s.Said, cut.Sections)
		}
		if got := degreeText(cut.Sections[0].Degrees) + " | " + degreeText(cut.Sections[1].Degrees); got != s.Sums {
			t.Errorf("%s: told %s, is %s", s.Said, s.Sums, got)
		}
		if cut.Length != is.Length {
			t.Errorf("a pull point made it %s of %s", cut.Length, is.Length)
		}
		if _, err := d.Edit(back); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
		t.Errorf("undo does not bring back the same bytes: %v", err)
	}
}

// Another fitting leaves the corners where they are; what it is told to do to
// the sum is what it does.
func TestSwapFitting(t *testing.T) {
	d := open(t, "compound-a.yaml")
	src := string(d.Text())
	was := runView(t, d, "generator 1")
	for k, st := range was.Steps {
		if !st.Swaps {
			continue
		}
		swaps, err := d.Swaps("generator 1", k)
		if err != nil || len(swaps) < 3 {
			t.Fatalf("step %d: %v %v", k, swaps, err)
		}
		took := 0
		for _, s := range swaps {
			if s.Problem != "" || s.Now {
				continue
			}
			took++
			back := make1(t, d, Gesture{Op: "run-fitting", ID: "generator 1", Path: itoa(k), Text: s.Text})
			is := runView(t, d, "generator 1")
			got, outcome, length := sumsOf(is)
			if got != s.Sums || outcome != s.Outcome || length != s.Length {
				t.Errorf("%s: told %s %s %s, is %s %s %s", s.Said, s.Sums, s.Outcome, s.Length, got, outcome, length)
			}
			if len(is.Nodes) != len(was.Nodes) {
				t.Fatalf("%s: %d corners of %d", s.Said, len(is.Nodes), len(was.Nodes))
			}
			for i := range is.Nodes {
				for j := range 3 {
					if math.Abs(is.Nodes[i].At[j]-was.Nodes[i].At[j]) > 2e-4 {
						t.Errorf("%s moves corner %d from %v to %v", s.Said, i, was.Nodes[i].At, is.Nodes[i].At)
					}
				}
			}
			if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
				t.Errorf("%s: undo: %v", s.Said, err)
			}
		}
		if took == 0 {
			t.Errorf("step %d: no fitting can be taken: %+v", k, swaps)
		}
	}
}

func itoa(k int) string { return degreeText(float64(k)) }

// What cannot be is answered with a mend, and the document stays.
func TestRunRefusals(t *testing.T) {
	d := open(t, "compound-a.yaml")
	src := string(d.Text())
	fields := func(more ...Field) []Field {
		return append([]Field{{"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}}, more...)
	}
	for name, g := range map[string]Gesture{
		"one place":           {Op: "run", Places: [][2]float64{{0, 0}}, Fields: fields()},
		"no depth":            {Op: "run", Places: [][2]float64{{0, 0}, {5, 0}}, Fields: []Field{{"service", "fiber"}, {"raceway", "EMT 1 in"}}},
		"no unit":             {Op: "run", Places: [][2]float64{{0, 0}, {5, 0}}, Fields: []Field{{"service", "fiber"}, {"raceway", "EMT 1 in"}, {"depth", "24"}}},
		"no room for a bend":  {Op: "run", Places: [][2]float64{{0, 0}, {0.5, 0}, {0.5, 0.5}}, Fields: fields(Field{"radius", "36 in"})},
		"a riser askew":       {Op: "run", Places: [][2]float64{{0, 0}, {3, 4}}, Fields: fields(Field{"rise-at-start", "3 ft"})},
		"no raceway known":    {Op: "run", Places: [][2]float64{{0, 0}, {5, 0}}, Fields: []Field{{"service", "fiber"}, {"raceway", "hose"}, {"depth", "24 in"}}},
		"no such run":         {Op: "run-pull", ID: "fiber 9", Text: "3 ft"},
		"in a bend":           {Op: "run-pull", ID: "fiber 1", Text: "25 ft"},
		"beyond its end":      {Op: "run-pull", ID: "fiber 1", Text: "900 ft"},
		"no such corner":      {Op: "run-corner", Path: "runs.fiber 1.corner[9]", At: [2]float64{1, 1}},
		"back on itself":      {Op: "run-corner", Path: "runs.fiber 1.corner[1]", At: [2]float64{40, 4}},
		"not a bend":          {Op: "run-fitting", ID: "fiber 1", Path: "0", Text: "bend: 90 up"},
		"a fitting too large": {Op: "run-fitting", ID: "generator 1", Path: "1", Text: "bend: 90 north\nradius: 30 ft\nmade: sweep"},
	} {
		es, err := d.Edits(g)
		if err == nil {
			_, err = d.Edit(es)
		}
		var p *Problem
		if err == nil || !asProblem(err, &p) || p.What == "" || p.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
		if string(d.Text()) != src {
			t.Fatalf("%s changed the document", name)
		}
	}
}

// A way that is taken leaves the sums that it told.
func TestWays(t *testing.T) {
	d := open(t, "ford-meadow.yaml")
	took := 0
	for i := range d.res.Plan.Runs {
		r := &d.res.Plan.Runs[i]
		ws, err := d.Ways(r.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range ws {
			if w.Stations == "" {
				continue
			}
			took++
			back := make1(t, d, Gesture{Op: "run-pull", ID: r.ID, Text: w.Stations})
			if got, _, _ := sumsOf(runView(t, d, r.ID)); got != strings.ReplaceAll(w.Sums, " deg", "") {
				t.Errorf("%s: told %s, is %s", w.Said, w.Sums, got)
			}
			if _, err := d.Edit(back); err != nil {
				t.Fatal(err)
			}
		}
	}
	if took == 0 {
		t.Error("no way could be taken")
	}
}

// The sum is that of the angles between the straights, taken from where the
// corners stand and not from what the document says of its bends.
func TestRunSums(t *testing.T) {
	for _, file := range []string{"compound-a.yaml", "ford-meadow.yaml"} {
		d := open(t, file)
		seen := 0
		for i := range d.res.Plan.Runs {
			r := &d.res.Plan.Runs[i]
			ns, err := nodesOf(r)
			if err != nil {
				continue
			}
			seen++
			byHand := 0.0
			for k := 1; k < len(ns)-1; k++ {
				if ns[k].bend {
					in, on := ns[k].at.Sub(ns[k-1].at).Unit(), ns[k+1].at.Sub(ns[k].at).Unit()
					byHand += math.Atan2(in.Cross(on).Norm(), in.Dot(on)) * 180 / math.Pi
				}
			}
			v, sum := runView(t, d, r.ID), 0.0
			for _, s := range v.Sections {
				sum += s.Degrees
			}
			if math.Abs(sum-byHand) > 1e-3 || math.Abs(v.Degrees-byHand) > 1e-3 {
				t.Errorf("%s, %s: sections %v, run %v, by its corners %v", file, r.ID, sum, v.Degrees, byHand)
			}
		}
		if seen == 0 {
			t.Errorf("%s: no run was looked at", file)
		}
	}
}

// The places for a pull point stand in straights, the best first: none leaves
// less on its worse side than the one before it.
func TestSpotsInOrder(t *testing.T) {
	d := open(t, "compound-a.yaml")
	make1(t, d, Gesture{Op: "run", Places: [][2]float64{{-6, -6}, {0, -6}, {0, -2}, {6, -2}}, Fields: []Field{
		{"id", "fiber 2"}, {"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"radius", "36 in"}, {"rise-at-end", "3 ft"},
	}})
	spots, err := d.Spots("fiber 2", 0)
	if err != nil || len(spots) < 3 {
		t.Fatal(spots, err)
	}
	if !spots[0].Holds {
		t.Errorf("the first place is %+v", spots[0])
	}
	r, err := runOf(d.res.Plan, "fiber 2")
	if err != nil {
		t.Fatal(err)
	}
	last := 0.0
	for _, s := range spots {
		var a, b float64
		if _, err := fmt.Sscanf(s.Sums, "%g | %g", &a, &b); err != nil {
			t.Fatal(s.Sums, err)
		}
		if max(a, b) < last {
			t.Errorf("%+v after one of %v", s, last)
		}
		last = max(a, b)
		at, err := stations(s.Station)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range r.Pieces {
			if q.Arc && at[0] > float64(q.Station) && at[0] < float64(q.Station+q.Length) {
				t.Errorf("%+v is in a bend", s)
			}
		}
	}
}

// What is typed comes back as it was typed, whatever signs are in it, and undo
// brings back the same bytes.
func TestDrawnWordsStay(t *testing.T) {
	for _, w := range []string{"post #3", "box: 2", `the "old" box`, "[a", "gate, west leaf", "it's there", "yes", `pole \ 4`} {
		d := open(t, "compound-a.yaml")
		src := string(d.Text())
		back := make1(t, d, Gesture{Op: "run", Places: [][2]float64{{-6, -6}, {0, -6}, {0, -3}}, Fields: []Field{
			{"id", "fiber 2"}, {"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"from", w}, {"to", w}, {"radius", `3'-0"`},
		}})
		r, err := runOf(d.res.Plan, "fiber 2")
		if err != nil {
			t.Fatal(w, err)
		}
		if r.From != w || r.To != w || !r.OK {
			t.Errorf("typed %q, reads from %q to %q", w, r.From, r.To)
		}
		if got := r.Bends(); len(got) != 1 || math.Abs(float64(got[0].Radius)-3*ft) > 1e-9 {
			t.Errorf("%q: bends %+v", w, got)
		}
		if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
			t.Errorf("%q: undo: %v", w, err)
		}
	}
}
