package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
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
		if len(es) == 0 { // less than what is written shows
			if math.Hypot(by[0], by[1]) > 0.004 {
				rt.Fatalf("a move by %v changes nothing", by)
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

// Behind a riser a leg goes square to the compass or not at all: a corner a
// little off it is taken where that is within 2 mm of the place, and refused
// where it is not. By hand: the riser's foot is 4.35 m off after the move, and
// 4.15 mm east of square from there are 0.055 degrees.
func TestRiserFootAside(t *testing.T) {
	for _, c := range []struct {
		east  float64
		taken bool
	}{{0, true}, {0.0015, true}, {0.0041504, false}, {0.02, false}} {
		d := &Desk{}
		d.Open("compound-a.yaml", open(t, "compound-a.yaml").Text(), "")
		n := runView(t, d, "generator 1").Nodes[2]
		es, err := d.Edits(Gesture{Op: "run-corner", Path: n.Path, At: [2]float64{n.At[0] + c.east, n.At[1] + 1}})
		if taken := err == nil; taken != c.taken {
			t.Errorf("%g m aside: %v", c.east, err)
			continue
		}
		if err != nil {
			continue
		}
		if _, err := d.Edit(es); err != nil {
			t.Fatal(err)
		}
		if got := runView(t, d, "generator 1").Nodes[2].At; math.Hypot(got[0]-n.At[0]-c.east, got[1]-n.At[1]-1) > 0.002+5e-5 {
			t.Errorf("%g m aside: it is at %v, from %v", c.east, got, n.At)
		}
	}
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
	if err != nil || len(spots.Spots) == 0 {
		t.Fatal(spots, err)
	}
	for _, s := range spots.Spots {
		back := make1(t, d, Gesture{Op: "run-pull", ID: "fiber 2", Text: s.Station})
		cut := runView(t, d, "fiber 2")
		if len(cut.Sections) != 2 || cut.Sections[0].Degrees+cut.Sections[1].Degrees != 270 {
			t.Errorf("%s: %+v", s.Said, cut.Sections)
		}
		if got := degreeText(cut.Sections[0].Degrees) + andThen + degreeText(cut.Sections[1].Degrees); got != s.Sums {
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

// drawnLevel is the reference compound with a level run of four places: 12 ft,
// 8 ft and 4 ft between them, square turns of 36 in.
func drawnLevel(t testing.TB) *Desk {
	t.Helper()
	d := open(t, "compound-a.yaml")
	make1(t, d, Gesture{Op: "run", Places: [][2]float64{{-4 * ft, 26 * ft}, {8 * ft, 26 * ft}, {8 * ft, 18 * ft}, {12 * ft, 18 * ft}}, Fields: []Field{
		{"id", "fiber 2"}, {"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"radius", "36 in"}, {"from", "handhole"}, {"to", "cabinet"},
	}})
	return d
}

// What is missing for a larger radius, by hand: a square bend takes its radius
// of each side of its corner. Of the 8 ft before the second corner the first
// bend takes 3 ft, so 5 ft are left; after it there are 4 ft. A radius of 5 ft
// lacks 1 ft after it, one of 7 ft lacks 2 ft before it and 3 ft after it, and
// one of 4 ft uses up what is after it to nothing.
func TestRoomForARadius(t *testing.T) {
	d := drawnLevel(t)
	was := runView(t, d, "fiber 2")
	text := func(r string) Gesture {
		return Gesture{Op: "run-fitting", ID: "fiber 2", Path: "3", Text: "bend: 90 left\nradius: " + r + "\nmade: sweep"}
	}
	for r, want := range map[string]string{
		"60 in": `the straight is too short by 1'-0" after the bend`,
		"84 in": `the straight is too short by 2'-0" before the bend and by 3'-0" after the bend`,
	} {
		_, err := d.Edits(text(r))
		var p *Problem
		if err == nil || !asProblem(err, &p) || p.What != want {
			t.Errorf("%s: %v, wanted %q", r, err, want)
		}
	}
	for _, s := range mustSwaps(t, d, "fiber 2", 3) {
		if strings.Contains(s.Said, "60 in") && !strings.Contains(s.Problem, `1'-0" after`) || strings.Contains(s.Said, "48 in") && s.Problem != "" {
			t.Errorf("offered: %+v", s)
		}
	}
	// 4 ft fit: by hand 9 + pi/2 3 + 1 + pi/2 4 ft of pipe, 5 steps less the last.
	src := string(d.Text())
	back := make1(t, d, text("48 in"))
	is := runView(t, d, "fiber 2")
	if want := (9 + 1 + math.Pi/2*7) * ft; len(is.Steps) != 4 || math.Abs(float64(d.res.Plan.Runs[len(d.res.Plan.Runs)-1].Length)-want) > 1e-3 {
		t.Errorf("%d steps, %s, wanted %v m", len(is.Steps), is.Length, want)
	}
	for i := range was.Nodes {
		for j := range 3 {
			if math.Abs(is.Nodes[i].At[j]-was.Nodes[i].At[j]) > 2e-4 {
				t.Errorf("corner %d went from %v to %v", i, was.Nodes[i].At, is.Nodes[i].At)
			}
		}
	}
	if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
		t.Errorf("undo: %v", err)
	}
	// The straight that went comes again where a smaller radius leaves room, and
	// where the end is drawn out.
	make1(t, d, text("48 in"))
	make1(t, d, text("36 in"))
	if got := string(d.Text()); got != src {
		t.Errorf("36 in again is not what it was:\n%s", d.Get("runs.fiber 2"))
	}
	make1(t, d, text("48 in"))
	make1(t, d, Gesture{Op: "run-corner", Path: "runs.fiber 2.corner[3]", At: [2]float64{14 * ft, 18 * ft}})
	if got := d.Get("runs.fiber 2.path[4]"); got != "straight: 2 ft\nin: trench" {
		t.Errorf("the end drawn out by 2 ft has %q", got)
	}
	if _, err := d.Edits(Gesture{Op: "run-corner", Path: "runs.fiber 2.corner[3]", At: [2]float64{11 * ft, 18 * ft}}); err == nil || !strings.Contains(err.Error(), `too short by 1'-0"`) {
		t.Errorf("the end 3 ft from a bend of 4 ft: %v", err)
	}
}

// From the side the corners stand in their order over all sections. By hand,
// with a handhole in the place of the second bend: the start, 9 ft and half a
// quarter of 3 ft, 9 ft and the whole quarter and 5 ft, and 4 ft more.
func TestSideOverSections(t *testing.T) {
	d := drawnLevel(t)
	for _, s := range mustSwaps(t, d, "fiber 2", 3) {
		if strings.HasPrefix(s.Said, "handhole") {
			make1(t, d, Gesture{Op: "run-fitting", ID: "fiber 2", Path: "3", Text: s.Text})
		}
	}
	v := runView(t, d, "fiber 2")
	quarter := math.Pi / 2 * 3
	want := []float64{0, 9 + quarter/2, 9 + quarter + 5, 9 + quarter + 9}
	if len(v.Nodes) != len(want) || len(v.Sections) != 2 {
		t.Fatalf("%d corners in %d sections", len(v.Nodes), len(v.Sections))
	}
	for k, w := range want {
		if got := v.Nodes[k].Side; math.Abs(got[0]-w*ft) > 2e-3 || math.Abs(got[1]+2*ft) > 1e-4 {
			t.Errorf("corner %d stands at %v, wanted %v", k, got, w*ft)
		}
	}
	// And in every example: none before the one before it.
	for _, file := range []string{"compound-a.yaml", "ford-meadow.yaml", "fiber-entry.yaml", "fiber-entry-moved.yaml", "../internal/desk/testdata/north-basin.yaml"} {
		d := open(t, file)
		for i := range d.res.Plan.Runs {
			v := runView(t, d, d.res.Plan.Runs[i].ID)
			for k := 1; k < len(v.Nodes); k++ {
				if v.Nodes[k].Side[0] < v.Nodes[k-1].Side[0] {
					t.Errorf("%s, %s: corner %d at %v comes before corner %d at %v", file, v.ID, k, v.Nodes[k].Side, k-1, v.Nodes[k-1].Side)
				}
			}
		}
	}
}

// A pull point's step says its inside, and that may be typed: at the step, or
// at the object that it is.
func TestTypedInside(t *testing.T) {
	d := drawnLevel(t)
	for _, s := range mustSwaps(t, d, "fiber 2", 3) {
		if strings.HasPrefix(s.Said, "handhole") {
			if !strings.HasPrefix(s.Said, "handhole 24 x 36 x 24 in, ") {
				t.Errorf("offered as %q", s.Said)
			}
			make1(t, d, Gesture{Op: "run-fitting", ID: "fiber 2", Path: "3", Text: s.Text})
		}
	}
	src := string(d.Text())
	if got := runView(t, d, "fiber 2").Steps[3]; got.Said != "handhole 24 x 36 x 24 in, turns left" || got.Size != "24 x 36 x 24 in" || got.Inner != "runs.fiber 2.path[3].handhole.size" {
		t.Errorf("%+v", got)
	}
	for typed, want := range map[string][3]float64{
		"30 x 48 x 36 in": {30, 48, 36}, "30x48x36 in": {30, 48, 36}, "2'-6\" x 4 ft x 36 in": {30, 48, 36}, "[30 in, 48 in, 36 in]": {30, 48, 36},
		"30 by 48 by 36 in": {30, 48, 36}, `30 x 48 x 36"`: {30, 48, 36}, "508 x 762 x 254 mm": {20, 30, 10},
	} {
		back := make1(t, d, Gesture{Op: "run-size", Path: "runs.fiber 2.path[3].handhole.size", Text: typed})
		r := d.res.Plan.Runs[len(d.res.Plan.Runs)-1]
		for i, in := range want {
			if got := r.Pulls[1].Size[i].SI.In(); math.Abs(got-in) > 1e-6 {
				t.Errorf("%s: side %d is %v in", typed, i, got)
			}
		}
		// What is said of it may be typed again.
		said, text := runView(t, d, "fiber 2").Steps[3].Size, d.Get("runs.fiber 2.path[3].handhole.size")
		if got, err := sizeText(said); err != nil || got != text {
			t.Errorf("%s: is said as %s, which is %s, not %s: %v", typed, said, got, text, err)
		}
		if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
			t.Errorf("%s: undo: %v", typed, err)
		}
	}
	for _, typed := range []string{"", "30 in", "30 x 48 in", "30 x 48 x 36", "30 x 48 x 36 x 2 in", "0 x 48 x 36 in", "a x b x c"} {
		if _, err := d.Edits(Gesture{Op: "run-size", Path: "runs.fiber 2.path[3].handhole.size", Text: typed}); err == nil {
			t.Errorf("%q is taken", typed)
		}
	}
	if _, err := d.Edits(Gesture{Op: "run-size", Path: runView(t, d, "fiber 2").Steps[1].Inner, Text: "30 x 48 x 36 in"}); err == nil {
		t.Error("a bend is given an inside")
	}
	d = open(t, "fiber-entry-moved.yaml")
	k := slices.IndexFunc(runView(t, d, "fiber 1").Steps, func(s RunStep) bool { return s.Kind == "handhole" })
	if got := runView(t, d, "fiber 1").Steps[k]; got.Size != "30 x 24 x 24 in" || got.Said != "handhole hh-1" {
		t.Errorf("%+v", got)
	}
	make1(t, d, Gesture{Op: "run-size", Path: runView(t, d, "fiber 1").Steps[k].Inner, Text: "36 x 24 x 30 in"})
	if got := d.Get("objects.hh-1.size"); got != "[36 in, 24 in, 30 in]" {
		t.Errorf("hh-1 is %s", got)
	}
}

// Whose the limits are is said from the document, and a run that stays in the
// ground at a thing above it says so: 180 degrees as drawn and 90 more.
func TestLimitsAndHints(t *testing.T) {
	d := drawnLevel(t)
	v := runView(t, d, "fiber 2")
	if v.Limits != "180 is the owner's limit, 360 the code's" {
		t.Errorf("limits: %s", v.Limits)
	}
	if want := []string{"ends 24 in deep: no rise at its end is drawn; a 90 up would make 270 of 180 | 360"}; !slices.Equal(v.Hints, want) || v.Sections[0].Outcome != "holds" {
		t.Errorf("%v, %v", v.Hints, v.Sections)
	}
	if got := runView(t, d, "generator 1").Limits; got != "360 is the code's limit" {
		t.Errorf("limits: %s", got)
	}
	for to, hint := range map[string]bool{"the cabinet": true, "the shelter": true, "platform": true, "handhole by the platform": false, "post 3": false} {
		make1(t, d, Gesture{Op: "set", Path: "runs.fiber 2.to", Text: to})
		if to == "post 3" { // and not in the platform's outline
			make1(t, d, Gesture{Op: "set", Path: "runs.fiber 2.path[0].straight", Text: "2 ft"})
		}
		if got := len(runView(t, d, "fiber 2").Hints) == 1; got != hint {
			t.Errorf("to %s: %v", to, runView(t, d, "fiber 2").Hints)
		}
	}
	// Those that rise have none, nor those of the other examples.
	for _, file := range []string{"compound-a.yaml", "ford-meadow.yaml", "fiber-entry.yaml", "fiber-entry-moved.yaml"} {
		d := open(t, file)
		for i := range d.res.Plan.Runs {
			if v := runView(t, d, d.res.Plan.Runs[i].ID); len(v.Hints) > 0 {
				t.Errorf("%s, %s: %v", file, v.ID, v.Hints)
			}
		}
	}
}

func mustSwaps(t testing.TB, d *Desk, id string, k int) []Swap {
	t.Helper()
	s, err := d.Swaps(id, k)
	if err != nil {
		t.Fatal(err)
	}
	return s
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

// overLimit is the fiber entry after the client moved it, drawn without a pull
// point: 45, 90 and 90 degrees against the owner's 180. Its cable has a weight
// and some things have a price.
func overLimit(t testing.TB, change ...string) *Desk {
	t.Helper()
	return changed(t, "fiber-entry-moved.yaml", append([]string{
		"      - straight: 19 ft\n        in: trench\n      - handhole: hh-1\n      - straight: 19 ft\n", "      - straight: 38 ft\n",
		"  hh-1:\n    kind: handhole\n    at: [98, 57.5]\n    size: [30 in, 24 in, 24 in]\n", "",
		"        fiber: yes\n", "        fiber: yes\n        weight: 0.9 lb/ft\n    pull:\n      lubricant: yes\n",
		"state:\n", "prices:\n  handhole: 410 each\n  trench: 12.50 per ft\n  PVC-40 2 in: 1.80 per ft\n\nstate:\n",
	}, change...)...)
}

// changed opens an example with parts of its text replaced.
func changed(t testing.TB, file string, pairs ...string) *Desk {
	t.Helper()
	text := string(open(t, file).Text())
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("%s no longer says %q", file, pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	d := &Desk{}
	d.Open(file, []byte(text), "2026-03-02T14:05:00Z")
	for _, x := range d.res.Diags {
		if x.Level == diag.Error && x.Code != diag.Crossing {
			t.Fatal(x)
		}
	}
	return d
}

// byWalking is a run walked in small chords: its length, and the sum of its
// bends by section from the directions of the chords.
func byWalking(r *plan.Run) (length float64, bends []float64) {
	for _, s := range r.Sections {
		sum := 0.0
		var was geom.Point3
		for _, q := range s.Pieces {
			n := 2000
			for k := range n {
				v := q.At(float64(q.Length) * float64(k+1) / float64(n)).Sub(q.At(float64(q.Length) * float64(k) / float64(n)))
				length += v.Norm()
				if was != (geom.Point3{}) {
					sum += math.Atan2(was.Cross(v).Norm(), was.Dot(v)) * 180 / math.Pi
				}
				was = v
			}
		}
		bends = append(bends, sum)
	}
	return length, bends
}

// marched pulls a cable through pieces in small steps: what each adds is its
// weight along the way and friction on what presses on the wall, which is the
// weight across the way and, in a bend, the tension over the radius toward its
// middle.
//
// The cable is braked so that it never goes slack; the greatest is anywhere.
func marched(ps []plan.Piece, weight, mu float64) float64 {
	run := func(enter float64) (least, most float64) {
		t := enter
		least, most = t, t
		for _, q := range ps {
			const n = 4000
			ds := float64(q.Length) / n
			for k := range n {
				a, c := q.At(float64(k)*ds), q.At(float64(k+1)*ds)
				u := c.Sub(a).Unit()
				press := geom.Point3{Z: -weight}
				press = press.Sub(u.Scale(press.Dot(u)))
				if q.Arc {
					press = press.Add(q.Centre.Sub(a).Unit().Scale(t / float64(q.Radius)))
				}
				t += (weight*u.Z + mu*press.Norm()) * ds
				least, most = min(least, t), max(most, t)
			}
		}
		return least, most
	}
	lo, hi := 0.0, 5000.0
	if least, most := run(0); least >= 0 {
		return most
	}
	for range 40 {
		if least, _ := run((lo + hi) / 2); least >= 0 {
			hi = (lo + hi) / 2
		} else {
			lo = (lo + hi) / 2
		}
	}
	_, most := run(hi)
	return most
}

// backward is the same way from its other end.
func backward(ps []plan.Piece) []plan.Piece {
	var out []plan.Piece
	for _, q := range slices.Backward(ps) {
		q.A, q.B, q.Dir, q.Out = q.B, q.A, q.Out.Scale(-1), q.Dir.Scale(-1)
		out = append(out, q)
	}
	return out
}

func figure(t testing.TB, s string) float64 {
	t.Helper()
	var v float64
	if _, err := fmt.Sscanf(s, "%g", &v); err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return v
}

// What a way tells is what the run shows when it is taken, and both are what
// comes out another way: degrees and length by walking the run in small chords,
// tension by pulling through it in small steps, money by hand.
func TestWayTaken(t *testing.T) {
	for _, file := range []string{"over", "over, no weight", "ford-meadow.yaml"} {
		var d *Desk
		switch file {
		case "over":
			d = overLimit(t)
		case "over, no weight":
			d = overLimit(t, "        weight: 0.9 lb/ft\n", "", "  handhole: 410 each\n", "")
		default:
			d = open(t, file)
		}
		src := string(d.Text())
		kinds := map[string]int{}
		for i := range d.res.Plan.Runs {
			id := d.res.Plan.Runs[i].ID
			before := runView(t, d, id)
			spentBefore := spentOn(d.res)
			ws, err := d.Ways(id)
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range ws {
				g := Gesture{Op: "run-way", ID: id, Text: w.Said}
				if w.Blocked != "" {
					if _, err := d.Edits(g); err == nil {
						t.Errorf("%s is refused and can be taken", w.Said)
					}
					continue
				}
				kinds[strings.Fields(w.Said)[0]]++
				es, err := d.Edits(g)
				if err != nil || len(es) != 1 {
					t.Fatalf("%s: %d edits: %v", w.Said, len(es), err)
				}
				back := make1(t, d, g)
				is := runView(t, d, id)
				sums, outcome, length := sumsOf(is)
				if sums != w.Sums || outcome != w.Outcome || length != w.Length || tensionsOf(is) != w.Tension || is.Money != w.Money {
					t.Errorf("%s: told %s %s %s %s %s, shows %s %s %s %s %s", w.Said, w.Sums, w.Outcome, w.Length, w.Tension, w.Money, sums, outcome, length, tensionsOf(is), is.Money)
				}
				if outcome != "holds" {
					t.Errorf("%s leaves it %s", w.Said, outcome)
				}
				r, _ := runOf(d.res.Plan, id)
				if end := r.Pulls[len(r.Pulls)-1].At; math.Hypot(end.X-before.Nodes[len(before.Nodes)-1].At[0], end.Y-before.Nodes[len(before.Nodes)-1].At[1]) > 0.005 {
					t.Errorf("%s ends at %v, was %v", w.Said, end, before.Nodes[len(before.Nodes)-1].At)
				}
				walked, bends := byWalking(r)
				if math.Abs(walked-float64(r.Length)) > 1e-4 {
					t.Errorf("%s: %v m long, walked %v", w.Said, r.Length, walked)
				}
				if want := d.res.Document.Site.Units.Run(unit.Metre(walked)); want != w.Length {
					t.Errorf("%s: told %s, walked %s", w.Said, w.Length, want)
				}
				for k, told := range strings.Split(w.Sums, andThen) {
					if math.Abs(figure(t, told)-bends[k]) > 0.051 {
						t.Errorf("%s: section %d told %s, walked %v", w.Said, k+1, told, bends[k])
					}
				}
				if w.Tension != "cannot tell" {
					const perFoot = 0.45359237 / 0.3048 * 9.80665 // N/m of a lb/ft
					for k, told := range strings.Split(w.Tension, andThen) {
						c := d.res.Answers.PullCard(r, k).Card
						weight := 0.9 * perFoot
						slow := min(marched(r.Sections[k].Pieces, weight, c.Friction.High), marched(backward(r.Sections[k].Pieces), weight, c.Friction.High)) / 4.4482216152605
						if strings.HasPrefix(told, "under 1 lbf") {
							if slow >= 1 {
								t.Errorf("%s: section %d told %s, marched %.3f lbf", w.Said, k+1, told, slow)
							}
							continue
						}
						// Printed to three figures; the marching is within a thousandth.
						if got := figure(t, told); math.Abs(got-slow) > 0.006*slow+0.05 {
							t.Errorf("%s: section %d told %s, marched %.3f lbf", w.Said, k+1, told, slow)
						}
					}
				}
				if file == "over" {
					// By hand: a handhole is 410, a foot of trench 12.50, pipe by the
					// stick of 10 ft at 1.80 a foot.
					dug := func(r *plan.Run) (ft float64) {
						for _, q := range r.Pieces {
							if (q.Where == "trench") && q.Out.Z < 0.9 && q.Dir.Z < 0.9 {
								ft += max(0, float64(q.Station+q.Length)-90*0.3048) / 0.3048
								ft -= max(0, float64(q.Station)-90*0.3048) / 0.3048
							}
						}
						return ft
					}
					sticks := func() float64 {
						for _, l := range d.res.Order().Lines {
							if l.Group == "raceway" && l.Unit == "stick" {
								return l.Quantity
							}
						}
						return 0
					}
					n := 0.0
					for _, q := range r.Pulls {
						if q.Kind == plan.PullHandhole {
							n++
						}
					}
					hand := 410*n + 12.5*dug(r) + 1.8*10*sticks()
					if math.Abs(hand-figure(t, w.Money)) > 0.011 {
						t.Errorf("%s: told %s, by hand %.2f", w.Said, w.Money, hand)
					}
					if diff := hand - spentBefore.sum(); math.Abs(diff-figure(t, strings.TrimPrefix(w.Cost, "+"))) > 0.011 {
						t.Errorf("%s: told it adds %s, by hand %.2f", w.Said, w.Cost, diff)
					}
				}
				if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
					t.Errorf("%s: undo does not bring back the same bytes: %v", w.Said, err)
				}
			}
		}
		if want := map[string]int{"over": 1, "over, no weight": 2, "ford-meadow.yaml": 1}[file]; kinds["handhole"] < want || kinds["another"] < 1 {
			t.Errorf("%s: took only %v", file, kinds)
		}
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
	all, err := d.Spots("fiber 2", 0)
	spots := all.Spots
	if err != nil || len(spots) < 2 {
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
		if _, err := fmt.Sscanf(s.Sums, "%g; then %g", &a, &b); err != nil {
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

// A run that is laid across the yard stands in the way of another way: a short
// one is gone round, one from end to end of the yard refuses the way, and says
// what stands there. What is not laid yet refuses nothing that it can move for.
func TestLaidInTheWay(t *testing.T) {
	across := func(from, long, laid string) *Desk {
		return overLimit(t,
			"runs:\n", "runs:\n  power 9:\n    service: power\n    raceway: PVC-40 2 in\n    start: ["+from+", 30, -2.5]\n    heading: east\n    path:\n      - straight: "+long+"\n        in: trench\n",
			"  laid:\n", "  laid:\n    - run: power 9\n      to: "+laid+"\n")
	}
	other := func(d *Desk) Way {
		ws, err := d.Ways("fiber 1")
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range ws {
			if strings.HasPrefix(w.Said, "another way") {
				return w
			}
		}
		t.Fatal("no other way is told")
		return Way{}
	}
	straight := other(overLimit(t))
	d := across("72", "20 ft", "20 ft")
	round := other(d)
	if round.Blocked != "" || round.Said == straight.Said || figure(t, round.New) <= figure(t, straight.New) {
		t.Errorf("20 ft laid across it: %+v, without it %+v", round, straight)
	}
	make1(t, d, Gesture{Op: "run-way", ID: "fiber 1", Text: round.Said})
	r, _ := runOf(d.res.Plan, "fiber 1")
	for _, q := range r.Pieces {
		for k := range 400 {
			if p := q.At(float64(q.Length) * float64(k) / 400); math.Abs(p.Y-30*ft) < 0.06 && p.X > 72*ft && p.X < 92*ft {
				t.Fatalf("it goes through power 9 at %v", p)
			}
		}
	}
	d = across("-100", "400 ft", "400 ft")
	w := other(d)
	if !strings.Contains(w.Blocked, "run power 9 is laid there") || !strings.Contains(w.Blocked, "stands in the way") {
		t.Errorf("laid from end to end: %+v", w)
	}
	src := string(d.Text())
	if _, err := d.Edits(Gesture{Op: "run-way", ID: "fiber 1", Text: w.Said}); err == nil || !strings.Contains(err.Error(), "is laid there") {
		t.Errorf("taken: %v", err)
	}
	if string(d.Text()) != src {
		t.Error("the document changed")
	}
	// Deeper by a foot it stands in nobody's way.
	d = overLimit(t, "runs:\n", "runs:\n  power 9:\n    service: power\n    raceway: PVC-40 2 in\n    start: [-100, 30, -3.5]\n    heading: east\n    path:\n      - straight: 400 ft\n        in: trench\n",
		"  laid:\n", "  laid:\n    - run: power 9\n      to: 400 ft\n")
	if w := other(d); w.Said != straight.Said || w.Blocked != "" {
		t.Errorf("under it: %+v", w)
	}
	// A way that was read before the run changed is not taken any more.
	d = overLimit(t)
	make1(t, d, Gesture{Op: "set", Path: "state.laid[0].to", Text: "60 ft"})
	if _, err := d.Edits(Gesture{Op: "run-way", ID: "fiber 1", Text: straight.Said}); err == nil {
		if v, _ := d.RunWith(Gesture{Op: "run-way", ID: "fiber 1", Text: straight.Said}); v.Sections[0].Outcome != "holds" {
			t.Errorf("%+v", v.Sections)
		}
	}
}

// A pull point in the first or the last straight takes no bend off: it is left
// out and that is said; where the section is too long it is offered, with why.
func TestSpotsBetweenBends(t *testing.T) {
	between := func(d *Desk, id string, s Spot) bool {
		r, _ := runOf(d.res.Plan, id)
		at, _ := stations(s.Station)
		arcs := r.Bends()
		return at[0] > float64(arcs[0].Station) && at[0] < float64(arcs[len(arcs)-1].Station)
	}
	d := overLimit(t)
	got, err := d.Spots("fiber 1", 0)
	if err != nil || len(got.Spots) == 0 {
		t.Fatal(got, err)
	}
	for _, s := range got.Spots {
		if !between(d, "fiber 1", s) || strings.HasPrefix(s.Sums, "0 |") || strings.HasSuffix(s.Sums, "| 0") || s.Why != "" {
			t.Errorf("%+v", s)
		}
	}
	if !strings.Contains(strings.Join(got.Notes, "; "), "left out: a pull point there leaves all 225 degrees on one side") {
		t.Errorf("%q", got.Notes)
	}
	d = overLimit(t, "    - bend-sum: 180 deg\n", "    - run-length: 100 ft\n      source: pathway standard, section 5\n    - bend-sum: 180 deg\n", "      to: 70 ft", "      to: 20 ft")
	got, err = d.Spots("fiber 1", 0)
	if err != nil {
		t.Fatal(err)
	}
	ends := 0
	for _, s := range got.Spots {
		if !between(d, "fiber 1", s) {
			ends++
			if !strings.Contains(s.Why, "178.8 ft of 100.0 ft") {
				t.Errorf("%+v", s)
			}
		}
	}
	if ends == 0 {
		t.Error("a section that is too long is not cut in its first straight")
	}
}

// The size of a pull point that nobody gave: the usual one, longer where
// 314.28(A) asks for more, by hand 8 x and 6 x the trade size.
func TestPullPointSize(t *testing.T) {
	d := open(t, "compound-a.yaml")
	for _, c := range []struct {
		trade, carries, kind string
		turn                 unit.Degree
		text, says           string
		along                float64 // in
	}{
		{"PVC-40 3 in", "3 x 250 THWN-2", "box", 0, "[24 in, 12 in, 6 in]", "314.28(A)(1) asks for at least 24 in with 250 kcmil", 24},
		{"PVC-40 3 in", "3 x 250 THWN-2", "box", 90, "[18 in, 18 in, 6 in]", "314.28(A)(2) asks for at least 18 x 18 in with 250 kcmil", 18},
		{"PVC-40 2-1/2 in", "3 x 4/0 THWN-2", "box", 0, "[20 in, 12 in, 6 in]", "20 in with 4/0 AWG", 20},
		{"PVC-40 2-1/2 in", "3 x 4/0 THWN-2", "box", 90, "[15 in, 15 in, 6 in]", "15 x 15 in", 15},
		{"PVC-40 1-1/2 in", "3 x 4 THWN-2", "box", 0, "[12 in, 12 in, 6 in]", "asks for at least 12 in with 4 AWG", 12},
		{"PVC-40 1-1/2 in", "3 x 6 THWN-2", "box", 0, "[12 in, 12 in, 6 in]", "does not size it", 12},
		{"PVC-40 5 in", "3 x 500 THWN-2", "handhole", 0, "[40 in, 36 in, 24 in]", "at least 40 in", 40},
		{"PVC-40 4 in", "3 x 500 THWN-2", "handhole", 0, "[36 in, 24 in, 24 in]", "at least 32 in", 36},
		{"PVC-40 2 in", "", "handhole", 0, "[24 in, 36 in, 24 in]", "what it carries is not said", 24},
	} {
		carries := ""
		if c.carries != "" {
			carries = "    carries:\n      - " + c.carries + "\n"
		}
		d.Open("t", []byte("format: 1\nunits: us\nruns:\n  power 1:\n    service: power\n    raceway: "+c.trade+"\n"+carries+"    start: [0, 0, -2] \n    heading: east\n    path:\n      - straight: 20 ft\n        in: trench\ngrid: ft\n"), "")
		r, err := runOf(d.res.Plan, "power 1")
		if err != nil {
			t.Fatal(err)
		}
		z := d.sizeOf(r, c.kind, c.turn)
		if z.text != c.text || !strings.Contains(z.said, c.says) || math.Abs(z.along.In()-c.along) > 1e-9 {
			t.Errorf("%s, %s, %s %v: %+v, wanted %s", c.trade, c.carries, c.kind, c.turn, z, c.text)
		}
		if !strings.Contains(z.said, "common practice without a source") || !strings.Contains(z.said, "The AHJ decides") {
			t.Errorf("its standing is not said: %s", z.said)
		}
	}
}

// Every limit stands in the tally, the tightest first, and each that is passed
// says where; by hand 90 + 90 + 90 = 270.
func TestTallyOfEveryLimit(t *testing.T) {
	d := changed(t, "fiber-entry-moved.yaml", "    - bend-sum: 180 deg\n      service: fiber\n", "    - bend-sum: 225 deg\n      source: the serving utility, by letter\n    - bend-sum: 90 deg\n      service: power\n      source: another standard\n    - bend-sum: 180 deg\n      service: fiber\n")
	v, err := d.RunWith(Gesture{Op: "run", Places: [][2]float64{{-6, -6}, {0, -6}, {0, -3}, {6, -3}}, Fields: []Field{
		{"id", "fiber 2"}, {"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"radius", "36 in"}, {"rise-at-end", "3 ft"},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if v.Sections[0].Sum != "270 of 180 | 225 | 360" {
		t.Errorf("%s", v.Sections[0].Sum)
	}
	if want := "90 deg over the owner's 180, 45 deg over the owner's 225: 90 left costs 90, 90 right costs 90, 90 up costs 90 and passes the owner's 180 at 270 and passes the owner's 225 at 270"; v.Sections[0].Over != want {
		t.Errorf("%q", v.Sections[0].Over)
	}
}
