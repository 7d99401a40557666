package desk

import (
	"context"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"stubup"
	"stubup/answer"
	"stubup/plan"
	"stubup/trade/pull"
)

// basin is a site in metres: a fiber run with a bend too many, a run over a
// roof, a run through a cored wall.
func basin(t testing.TB) *Desk {
	t.Helper()
	b, err := os.ReadFile("testdata/north-basin.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var d Desk
	d.Open("north-basin.yaml", b, "2026-03-02T14:05:00Z")
	return &d
}

// By hand. Fiber 1: 15 + 12 + 4 + 1.2 m and three quarters of 900 mm, 0.9 pi/2
// each: 32.2 + 4.241 = 36.44 m; its corners lie 900 mm on from the straights.
// Power 1: 1.95 + 8 + 1 m and two quarters of 150 mm, 10.95 + 0.471 = 11.42 m.
// Control 1: 0.6 + 1 + 0.5 m and an offset of 150 mm at 30 degrees on 115 mm:
// the slant is (150 - 230 (1 - cos 30)) / sin 30 = 238.4 mm and the arcs
// 115 pi/3 = 120.4 mm together, 2.459 m.
func TestRunsInMetres(t *testing.T) {
	d := basin(t)
	for _, x := range []struct {
		id, sum, outcome, length string
		nodes                    [][3]float64
	}{
		{"fiber 1", "270 of 180 | 360", "broken", "36.44 m", [][3]float64{{0, 0, -0.75}, {15.9, 0, -0.75}, {15.9, 13.8, -0.75}, {21.7, 13.8, -0.75}, {21.7, 13.8, 1.35}}},
		{"power 1", "180 of 360", "holds", "11.42 m", [][3]float64{{20, 13, 1}, {20, 13, 3.1}, {28.3, 13, 3.1}, {28.3, 13, 1.95}}},
		{"control 1", "60 of 360", "holds", "2.46 m", nil},
	} {
		v := runView(t, d, x.id)
		s := v.Sections[0]
		if len(v.Sections) != 1 || s.Sum != x.sum || s.Outcome != x.outcome || s.Length != x.length {
			t.Errorf("%s: %d sections, %s %s %s", x.id, len(v.Sections), s.Sum, s.Outcome, s.Length)
		}
		for k, n := range x.nodes {
			for i := range n {
				if len(v.Nodes) != len(x.nodes) || math.Abs(v.Nodes[k].At[i]-n[i]) > 1e-4 {
					t.Fatalf("%s, corner %d: %v, by hand %v", x.id, k, v.Nodes, n)
				}
			}
		}
		for _, said := range []string{s.Length, s.Tension, v.Nodes[1].Said, v.Steps[0].Said, v.Steps[1].Said} {
			if strings.ContainsAny(said, `'"`) || strings.Contains(said, " ft") || strings.Contains(said, "lb") {
				t.Errorf("%s: said in feet: %s", x.id, said)
			}
		}
	}
	if got := d.res.Work().Sticks; len(got) == 0 {
		t.Error("no stick")
	}
	// The bend sheet of the run over the roof: the first quarter starts 1950 mm
	// from panel A; its arrow stands the take-up of 8 in off the back of the
	// bend, 1950 + 150 + 29.54/2 - 203.2 = 1911.6 mm, and its arc is 235.6 mm.
	// The second begins 10185.6 mm along, three sticks of 3048 less: 1041.6 mm.
	// That of the cored wall: bends start 600 mm and 600 + 60.2 + 238.4 mm along.
	for id, want := range map[string][][3]string{
		"power-1":   {{"1912 mm", "1950 mm", "2186 mm"}, {"1003 mm", "1042 mm", "1277 mm"}},
		"control-1": {{"", "600 mm", "660 mm"}, {"", "899 mm", "959 mm"}},
	} {
		var got [][3]string
		for _, tb := range d.res.Work().Tables {
			if tb.ID != "work.bends."+id {
				continue
			}
			at := func(head string) int {
				for i, c := range tb.Columns {
					if c.Head == head {
						return i
					}
				}
				t.Fatalf("no column %q", head)
				return 0
			}
			for _, r := range tb.Rows {
				if r[at("arc from")].Text != "" {
					got = append(got, [3]string{r[at("arrow at")].Text, r[at("arc from")].Text, r[at("arc to")].Text})
				}
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: marks %q, by hand %q", id, got, want)
		}
	}
}

// On every other kind of run too, what is told before a change is what the run
// shows after it, the figures are those of walking it and pulling through it in
// small steps, and what else its steps say (roof, sun, core, fitting) stays.
func TestRunTwins(t *testing.T) {
	took := map[string]int{}
	for _, x := range []struct {
		file, id string
		keeps    []string // of the written steps, whatever is done to it
	}{
		{"basin", "fiber 1", []string{"in: trench", "in: wall"}},
		{"basin", "power 1", []string{"in: roof", "sun: yes", "clear: 100 mm"}},
		{"basin", "control 1", []string{"wall: north-wall", "core: 40 mm", "firestop: none", "offset: 150 mm up"}},
		{"ford-meadow.yaml", "power 1", []string{"in: roof", "clear: 4 in", "expansion: 4 in", "body: LB", "box: box-1"}},
		{"ford-meadow.yaml", "fiber 1", []string{"offset: 12 in left"}},
		{"fiber-entry.yaml", "fiber 1", []string{"wall: room-wall", "core: 3 in", "slopes-out: yes"}},
	} {
		var d *Desk
		if x.file == "basin" {
			d = basin(t)
		} else {
			d = open(t, x.file)
		}
		src := string(d.Text())
		check := func(what string) RunView {
			t.Helper()
			v := runView(t, d, x.id)
			r, _ := runOf(d.res.Plan, x.id)
			length, bends := byWalking(r)
			if want := d.res.Document.Site.Units.Run(r.Length); v.Length != want || math.Abs(length-float64(r.Length)) > 1e-4 {
				t.Errorf("%s %s, %s: %s long, walked %v", x.file, x.id, what, v.Length, length)
			}
			for k, s := range v.Sections {
				if math.Abs(figure(t, s.Sum)-bends[k]) > 0.051 {
					t.Errorf("%s %s, %s: section %d is %s, walked %v", x.file, x.id, what, k, s.Sum, bends[k])
				}
				if s.Tension == "" {
					continue
				}
				c := d.res.Answers.PullCard(r, k).Card
				one := map[bool]float64{true: 1, false: float64(pull.PoundForce)}[x.file == "basin"]
				mu := c.Friction.High * c.Factor // cables that lie beside others press harder
				slow := min(marched(r.Sections[k].Pieces, float64(c.Weight), mu), marched(backward(r.Sections[k].Pieces), float64(c.Weight), mu)) / one
				switch {
				case strings.HasPrefix(s.Tension, "under 1"):
					if slow >= 1.01 {
						t.Errorf("%s %s, %s: %s, marched %.3f", x.file, x.id, what, s.Tension, slow)
					}
				case math.Abs(figure(t, s.Tension)-slow) > 0.006*slow+0.05:
					t.Errorf("%s %s, %s: section %d pulls %s, marched %.3f", x.file, x.id, what, k, s.Tension, slow)
				}
				took["tension"]++
			}
			text := string(d.Text())
			for _, keep := range x.keeps {
				if strings.HasPrefix(what, "way another") { // it leaves out what it goes round
					break
				}
				if strings.Count(text, keep) < strings.Count(src, keep) {
					t.Errorf("%s %s, %s: %q is lost", x.file, x.id, what, keep)
				}
			}
			return v
		}
		try := func(what string, g Gesture, told string) {
			t.Helper()
			back := make1(t, d, g)
			v := check(what)
			if sums, _, _ := sumsOf(v); sums != told {
				t.Errorf("%s %s, %s: told %s, shows %s", x.file, x.id, what, told, sums)
			}
			took[g.Op]++
			if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
				t.Errorf("%s %s, %s: undo does not bring back the same bytes: %v", x.file, x.id, what, err)
			}
		}
		v := check("as it is")
		for k := range v.Sections {
			ss, err := d.Spots(x.id, k)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range ss.Spots {
				back := make1(t, d, Gesture{Op: "run-pull", ID: x.id, Text: s.Station})
				is := check("a pull point at " + s.Station)
				var got []string
				for _, q := range is.Sections[k : k+2] {
					got = append(got, strings.Fields(q.Sum)[0])
				}
				if len(is.Sections) != len(v.Sections)+1 || strings.Join(got, andThen) != s.Sums {
					t.Errorf("%s %s: a pull point at %s told %s, shows %v", x.file, x.id, s.Station, s.Sums, got)
				}
				r, _ := runOf(d.res.Plan, x.id)
				for _, q := range r.Pulls[1 : len(r.Pulls)-1] {
					if q.Kind == plan.PullHandhole && q.At.Z >= 0 || q.Kind == plan.PullBox && q.At.Z < 0 {
						t.Errorf("%s %s: a %s at %v m", x.file, x.id, q.Kind, q.At.Z)
					}
				}
				took["run-pull"]++
				if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
					t.Errorf("%s %s: undo does not bring back the same bytes: %v", x.file, x.id, err)
				}
			}
		}
		for k, s := range v.Steps {
			if !s.Swaps {
				continue
			}
			ws, err := d.Swaps(x.id, k)
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range ws {
				if w.Problem == "" && !w.Now {
					try("swap "+w.Said, Gesture{Op: "run-fitting", ID: x.id, Path: fmt.Sprint(k), Text: w.Text}, w.Sums)
				}
			}
		}
		ws, err := d.Ways(x.id)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range ws {
			if w.Blocked == "" {
				try("way "+w.Said, Gesture{Op: "run-way", ID: x.id, Text: w.Said}, w.Sums)
			}
		}
	}
	for op, least := range map[string]int{"run-pull": 6, "run-fitting": 40, "run-way": 3, "tension": 50} {
		if took[op] < least {
			t.Errorf("%d of %s were looked at, wanted %d: %v", took[op], op, least, took)
		}
	}
}

// What is told while a corner is moved, for which the document is thinned, is
// what the whole document says of it.
func TestRunWithThinned(t *testing.T) {
	seen := 0
	for _, file := range []string{"compound-a.yaml", "ford-meadow.yaml", "fiber-entry.yaml", "fiber-entry-moved.yaml", "basin"} {
		var d *Desk
		if file == "basin" {
			d = basin(t)
		} else {
			d = open(t, file)
		}
		var gs []Gesture
		for i := range d.res.Plan.Runs {
			id := d.res.Plan.Runs[i].ID
			v := runView(t, d, id)
			for _, n := range v.Nodes {
				for _, by := range [][2]float64{{0.1, 0}, {0, -0.3}, {1, 1}} {
					gs = append(gs, Gesture{Op: "run-corner", Path: n.Path, At: [2]float64{n.At[0] + by[0], n.At[1] + by[1]}})
				}
			}
			ws, err := d.Ways(id)
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range ws {
				gs = append(gs, Gesture{Op: "run-way", ID: id, Text: w.Said})
			}
		}
		gs = append(gs, Gesture{Op: "run", Places: [][2]float64{{-60, -60}, {-40, -60}, {-40, -50}}, Fields: []Field{{"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"radius", "36 in"}}})
		for _, g := range gs {
			got, err := d.RunWith(g)
			edits, whole := d.Edits(g)
			if err != nil || whole != nil {
				if whole == nil || err == nil || err.Error() != whole.Error() {
					t.Errorf("%s %+v: %v, of the whole %v", file, g, err, whole)
				}
				continue
			}
			doc, _, err := apply(d.res.Document, edits)
			if err != nil {
				t.Fatal(err)
			}
			p := plan.Make(doc.Site)
			r, err := runOf(p, got.ID)
			if err != nil {
				t.Fatal(err)
			}
			want := viewOf(&stubup.Result{Document: doc, Plan: p, Answers: answer.New(context.Background(), p)}, r, false)
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s %+v: %+v, of the whole %+v", file, g, got, want)
			}
			seen++
		}
	}
	if seen < 40 {
		t.Errorf("%d gestures were looked at", seen)
	}
}

// BenchmarkRunWith is one place of a finger while a corner is dragged.
func BenchmarkRunWith(b *testing.B) {
	for _, file := range []string{"compound-a.yaml", "fiber-entry-moved.yaml"} {
		d := open(b, file)
		v := runView(b, d, "fiber 1")
		n := v.Nodes[1]
		b.Run(file, func(b *testing.B) {
			for i := range b.N {
				if _, err := d.RunWith(Gesture{Op: "run-corner", Path: n.Path, At: [2]float64{n.At[0] + 0.01*float64(i%7+1), n.At[1]}}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
