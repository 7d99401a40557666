package desk

import (
	"errors"
	"math"
	"regexp"
	"strings"
	"testing"

	"stubup/base/draw"
	"stubup/rule"
	"stubup/site"
)

const ft = 0.3048

func feet(ps ...[2]float64) [][2]float64 {
	out := make([][2]float64, len(ps))
	for i, p := range ps {
		out[i] = [2]float64{p[0] * ft, p[1] * ft}
	}
	return out
}

// The reference compound drawn on a blank site, act by act, comes to the same
// metal and the same resistance as its file.
func TestDrawCompoundA(t *testing.T) {
	d := &Desk{}
	d.Open("site.yaml", site.Blank(), "")
	empty := string(d.Text())
	var backs [][]site.Edit
	for _, g := range []Gesture{
		{Op: "limit", Text: "5 ohm"},
		{Op: "add", Kind: "fence", Places: feet([2]float64{0, 0}, [2]float64{40, 30}), Fields: []Field{{"posts.corner", "2-7/8 in"}, {"posts.gate", "4 in"}, {"posts.line", "2-3/8 in"}, {"posts.spacing", "10 ft"}}},
		{Op: "add", Kind: "gate", Places: feet([2]float64{0, 21}, [2]float64{0, 9}), Fields: []Field{{"leaves", "2"}}},
		{Op: "add", Kind: "platform", Places: feet([2]float64{10, 10}, [2]float64{30, 20}), Fields: []Field{{"steel", "yes"}}},
		{Op: "add", Kind: "generator", Places: feet([2]float64{33, 4}, [2]float64{36, 8})},
		{Op: "spots", ID: "generator", Kind: "lugs", Places: feet([2]float64{33, 5}, [2]float64{33, 7})},
		{Op: "add", Kind: "frame", Places: feet([2]float64{6, 6}, [2]float64{6, 10}), Fields: []Field{{"id", "H-frame"}, {"od", "3-1/2 in"}}},
		{Op: "add", Kind: "frame", Places: feet([2]float64{14, 24}, [2]float64{18, 24}), Fields: []Field{{"id", "cable bridge"}, {"od", "3-1/2 in"}}},
		{Op: "add", Kind: "bar", Places: feet([2]float64{20, 22}, [2]float64{22, 22})},
		{Op: "add", Kind: "service", Places: feet([2]float64{24, 20})},
		{Op: "add", Kind: "there", Places: feet([2]float64{68, 8}, [2]float64{82, 22}), Fields: []Field{{"id", "tower ring"}, {"conductor", "2 AWG solid tinned copper"}, {"depth", "30 in"}}},
		{Op: "spots", ID: "tower-ring", Kind: "taps", Places: feet([2]float64{68, 12}, [2]float64{68, 18})},
		{Op: "ring", IDs: []string{"fence"}, Fields: []Field{{"distance", "2 ft"}, {"depth", "30 in"}, {"corner-radius", "8 in"}, {"conductor", "2 AWG solid tinned copper"}, {"stub-up", "18 in"}}},
		{Op: "rods", Text: "corners", Fields: []Field{{"diameter", "5/8 in"}, {"length", "8 ft"}}},
		{Op: "rod", At: feet([2]float64{20, 2})[0]},
		{Op: "rod", At: feet([2]float64{20, 28})[0]},
		{Op: "whips"},
	} {
		backs = append(backs, make1(t, d, g))
	}
	if n := d.Head().Counts; n["rod"] != 6 || n["whip"] != 21 {
		t.Errorf("%v", n)
	}
	a := open(t, "compound-a.yaml").Result().Answers.Design()
	got := d.Result().Answers.Design()
	if !got.OK() || math.Abs(got.Value.SI-a.Value.SI) > 1e-4*a.Value.SI {
		t.Errorf("%v ohm drawn, %v ohm in the file", got.Value, a.Value)
	}
	if _, err := d.Edits(Gesture{Op: "whips"}); err == nil {
		t.Error("whips to what has them already")
	}
	for i := len(backs) - 1; i >= 0; i-- {
		if _, err := d.Edit(backs[i]); err != nil {
			t.Fatal(err)
		}
	}
	if string(d.Text()) != empty {
		t.Error("undo does not bring back the blank site")
	}
}

// A site in metres is drawn in metres: no length on the plan, in its list or in
// what a gesture says is in feet or inches.
func TestDrawInMetres(t *testing.T) {
	d := &Desk{}
	d.Open("site.yaml", site.BlankSI(), "")
	if h := d.Head(); h.Units != "si" || h.Grid != "m" || len(h.Diags) > 0 {
		t.Fatalf("%+v", h)
	}
	us := regexp.MustCompile(`\d['"]|\d (ft|in)\b`)
	var said []string
	for _, g := range []Gesture{
		{Op: "limit", Text: "5 ohm"},
		{Op: "add", Kind: "fence", Places: [][2]float64{{0, 0}, {12, 9}}, Fields: []Field{{"posts.corner", "73 mm"}, {"posts.line", "60 mm"}, {"posts.gate", "102 mm"}, {"posts.spacing", "3 m"}}},
		{Op: "add", Kind: "gate", Places: [][2]float64{{0, 3}, {0, 6.5}}, Fields: []Field{{"leaves", "2"}}},
		{Op: "add", Kind: "platform", Places: [][2]float64{{3, 3}, {9, 6}}, Fields: []Field{{"steel", "yes"}}},
		{Op: "ring", IDs: []string{"fence"}, Fields: []Field{{"distance", "0.6 m"}, {"depth", "760 mm"}, {"conductor", "2 AWG solid tinned copper"}, {"stub-up", "450 mm"}, {"corner-radius", "200 mm"}}},
		{Op: "rods", Text: "corners", Fields: []Field{{"diameter", "16 mm"}, {"length", "2.4 m"}}},
		{Op: "rod", At: [2]float64{6, 0.6}},
		{Op: "whips"},
		{Op: "run", Places: [][2]float64{{-3, 4}, {2, 4}, {2, 7.5}}, Fields: []Field{{"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "600 mm"}, {"radius", "0.9 m"}}},
		{Op: "move", ID: "platform", By: [2]float64{0.25, -0.1}},
	} {
		es, err := d.Edits(g)
		if err != nil {
			t.Fatalf("%+v: %v", g, err)
		}
		said = append(said, es[0].Sentence)
		make1(t, d, g)
	}
	for _, x := range d.Head().Diags {
		said = append(said, x.What, x.Mend)
	}
	r := d.Result()
	if a := r.Answers.Design(); !a.OK() || a.Value.SI < 3 || a.Value.SI > 7 { // a compound of the size of the reference has 4.7
		t.Errorf("%+v", a)
	}
	for _, x := range things(r) {
		said = append(said, x.Said)
	}
	l := r.Layout()
	said = append(said, l.Summary...)
	metres := 0
	for _, layer := range l.Plan.Layers() {
		if layer.Name == "scale" { // the folding rule has both sides
			continue
		}
		for _, it := range layer.Items {
			if x, ok := it.(draw.Text); ok {
				said = append(said, x.S)
				if strings.HasSuffix(x.S, " m") {
					metres++
				}
			}
		}
	}
	for _, m := range d.Marks(true) {
		said = append(said, m.Said)
	}
	if metres < 3 {
		t.Errorf("%d lengths in metres on the plan", metres)
	}
	for _, s := range said {
		if us.MatchString(strings.ReplaceAll(s, "PVC-40 2 in", "")) {
			t.Errorf("in metres: %q", s)
		}
	}
}

func TestDrawRefusals(t *testing.T) {
	d := open(t, "compound-a.yaml")
	for name, g := range map[string]Gesture{
		"lugs of nothing":    {Op: "spots", ID: "barn", Kind: "lugs", Places: feet([2]float64{1, 1})},
		"ears":               {Op: "spots", ID: "generator", Kind: "ears", Places: feet([2]float64{1, 1})},
		"lugs nowhere":       {Op: "spots", ID: "generator", Kind: "lugs"},
		"a limit in feet":    {Op: "limit", Text: "5 ft"},
		"a limit of nothing": {Op: "limit", Text: ""},
	} {
		if _, err := d.Edits(g); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

// A hand cannot tie a knot into an outline: what would cross itself is refused
// with its place, by a corner that is moved and by a thing that is drawn, and
// the document stays as it is.
func TestAnOutlineIsNotCrossed(t *testing.T) {
	d := open(t, "compound-a.yaml")
	o := d.object("generator").Outline
	if len(o) != 4 {
		t.Fatalf("%d corners", len(o))
	}
	was := string(d.Text())
	// Corner 0 goes beyond the side from 1 to 2: the side from 3 to 0 then crosses it.
	beyond := o[1].Add(o[1].Sub(o[0])).Add(o[2].Sub(o[1]).Scale(0.3))
	for _, g := range []Gesture{
		{Op: "point", Path: "objects.generator.corners[0]", At: [2]float64{beyond.X, beyond.Y}},
		{Op: "point", Path: "objects.generator.corners[0]", At: [2]float64{o[1].X, o[1].Y}},
		{Op: "add", Kind: "pad", Places: [][2]float64{{50, 50}, {52, 52}, {52, 50}, {50, 52}}},
		{Op: "add", Kind: "pad", Places: [][2]float64{{50, 50}, {52, 52}, {52, 52}, {50, 52}}},
	} {
		_, err := d.Edits(g)
		var p *Problem
		if !errors.As(err, &p) || p.Mend == "" || !(strings.Contains(p.What, "would cross itself at") || strings.Contains(p.What, "in one place")) {
			t.Errorf("%+v: %v", g, err)
		}
	}
	if string(d.Text()) != was {
		t.Error("the document changed")
	}
	// A corner may be pulled far, as long as the sides only meet at corners.
	make1(t, d, Gesture{Op: "point", Path: "objects.generator.corners[0]", At: [2]float64{o[0].X - 0.5, o[0].Y - 0.25}})
	if d.Result().Diags.HasError() {
		t.Error(d.Result().Diags)
	}
}

// A thing keeps its name as it is typed, where its id would say it otherwise;
// a second one of the same name is told from the first.
func TestTypedNames(t *testing.T) {
	for typed, want := range map[string][2]string{ // its id, and what the document names it
		"H-frame":         {"h-frame", "H-frame"},
		"cable bridge":    {"cable-bridge", ""},
		"Rack  B":         {"rack-b", "Rack B"},
		"bridge #2: west": {"bridge-#2:-west", ""},
		"Bridge #2: west": {"bridge-#2:-west", "Bridge #2: west"},
		"":                {"frame", ""},
	} {
		d := open(t, "fiber-entry.yaml")
		src := string(d.Text())
		g := Gesture{Op: "add", Kind: "frame", Places: [][2]float64{{1, 1}, {3, 1}}, Fields: []Field{{"id", typed}, {"od", "3-1/2 in"}}}
		back := make1(t, d, g)
		o := d.object(want[0])
		if got := strings.Trim(d.Get("objects."+step(want[0])+".name"), `"`); o == nil || got != want[1] {
			t.Errorf("%q: %v, named %q", typed, o != nil, got)
			continue
		}
		if typed != "" && rule.Words(o) != strings.Join(strings.Fields(typed), " ") {
			t.Errorf("%q is called %q", typed, rule.Words(o))
		}
		for _, x := range d.res.Diags {
			if strings.Contains(x.Span.Path, want[0]) {
				t.Errorf("%q: %v", typed, x)
			}
		}
		if typed != "" {
			g.Places = [][2]float64{{1, 5}, {3, 5}}
			more := make1(t, d, g)
			two := d.res.Document.Site.Objects[len(d.res.Document.Site.Objects)-1]
			if rule.Words(&two) != strings.Join(strings.Fields(typed), " ")+" 2" {
				t.Errorf("the second %q is called %q", typed, rule.Words(&two))
			}
			if _, err := d.Edit(more); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
			t.Errorf("%q: undo: %v", typed, err)
		}
	}
}

// A bare number is one of the document's grid, and nought is nought anywhere;
// what it is said back as has its unit.
func TestBareNumbersAreOfTheGrid(t *testing.T) {
	for _, c := range []struct {
		text    []byte
		typed   string
		m       float64
		said    string
		refused bool
	}{
		{site.Blank(), "12", 12 * ft, `12'-0"`, false},
		{site.Blank(), "-7.5", -7.5 * ft, `-7'-6"`, false},
		{site.Blank(), "0", 0, `0'-0"`, false},
		{site.BlankSI(), "3.25", 3.25, "3.25 m", false},
		{site.Blank(), "12 in", 12 * 0.0254, `1'-0"`, false},
		{site.Blank(), "twelve", 0, "", true},
		{[]byte(strings.Replace(string(site.Blank()), "grid: ft\n", "", 1)), "12", 0, "", true},
		{[]byte(strings.Replace(string(site.Blank()), "grid: ft\n", "", 1)), "0", 0, `0'-0"`, false},
	} {
		d := &Desk{}
		d.Open("site.yaml", c.text, "")
		m, said, err := d.Length(c.typed)
		if c.refused != (err != nil) || math.Abs(m-c.m) > 1e-9 || !c.refused && said != c.said {
			t.Errorf("%q: %v, %q, %v; wanted %v, %q", c.typed, m, said, err, c.m, c.said)
		}
	}
}

// What the whole job needs can be drawn, changed and taken out without a word of
// the file: whips ask for their stub-up, gates get their jumpers, stand in the
// list and go with what hangs on them, and a ring goes with its rods and whips.
func TestNothingAsksForTheFile(t *testing.T) {
	d := &Desk{}
	d.Open("site.yaml", site.Blank(), "")
	fence := Gesture{Op: "add", Kind: "fence", Places: feet([2]float64{0, 0}, [2]float64{40, 30}), Fields: []Field{{"posts.corner", "2-7/8 in"}, {"posts.gate", "4 in"}, {"posts.line", "2-3/8 in"}, {"posts.spacing", "10 ft"}}}
	gate := Gesture{Op: "add", Kind: "gate", Places: feet([2]float64{0, 21}, [2]float64{0, 9}), Fields: []Field{{"leaves", "2"}}}
	make1(t, d, fence)
	fenced := string(d.Text())
	var backs [][]site.Edit
	backs = append(backs, make1(t, d, gate))
	// The same gate again, from either end and in part, is refused; another is not.
	for _, again := range [][][2]float64{feet([2]float64{0, 21}, [2]float64{0, 9}), feet([2]float64{0, 9}, [2]float64{0, 21}), feet([2]float64{0, 6}, [2]float64{0, 10}), feet([2]float64{0, 12}, [2]float64{0, 16})} {
		if _, err := d.Edits(Gesture{Op: "add", Kind: "gate", Places: again}); err == nil {
			t.Errorf("a second gate at %v", again)
		}
	}
	if _, err := d.Edits(Gesture{Op: "add", Kind: "gate", Places: feet([2]float64{0, 21}, [2]float64{0, 25})}); err != nil {
		t.Errorf("a gate beside the first: %v", err)
	}
	// Without a stub-up the ring stands; whips ask for it in words.
	backs = append(backs, make1(t, d, Gesture{Op: "ring", IDs: []string{"fence"}, Fields: []Field{{"distance", "2 ft"}, {"depth", "30 in"}, {"conductor", "2 AWG solid tinned copper"}}}))
	if d.Result().Diags.HasError() {
		t.Fatal(d.Result().Diags)
	}
	var p *Problem
	for _, g := range []Gesture{{Op: "whips"}, {Op: "whip", Text: "fence corner posts", Fields: []Field{{"end", "pipe"}}}} {
		if _, err := d.Edits(g); !errors.As(err, &p) || !strings.Contains(p.Mend, "stub-up") || strings.Contains(p.Mend, "add \"") {
			t.Errorf("%s without a stub-up: %v", g.Op, err)
		}
	}
	backs = append(backs, make1(t, d, Gesture{Op: "whips", Fields: []Field{{"stub-up", "18 in"}}}))
	r := d.Result()
	if r.Diags.HasError() || len(r.Plan.Whips) != 6 || len(r.Plan.Jumpers) != 2 {
		t.Fatalf("%d whips, %d jumpers: %v", len(r.Plan.Whips), len(r.Plan.Jumpers), r.Diags)
	}
	var listed []string
	for _, x := range things(r) {
		if x.Kind == "gate" {
			listed = append(listed, x.ID+": "+x.Said+" "+x.Path)
		}
	}
	if want := `fence gate 1: gate 1 of fence, 12'-0", 2 leaves objects.fence.gates[0]`; len(listed) != 1 || listed[0] != want {
		t.Errorf("the gates are %q, wanted %q", listed, want)
	}
	backs = append(backs, make1(t, d, Gesture{Op: "set", Path: "objects.fence.gates[0].leaves", Text: "1"}))
	if n := len(d.Result().Plan.Jumpers); n != 1 {
		t.Errorf("%d jumpers of one leaf", n)
	}
	backs = append(backs, make1(t, d, Gesture{Op: "remove", ID: "fence gate 1"}))
	if r := d.Result(); r.Diags.HasError() || len(r.Plan.Whips) != 4 || len(r.Plan.Jumpers) != 0 || len(r.Plan.Gates) != 0 {
		t.Errorf("after the gate is out: %d whips, %d jumpers, %d gates, %v", len(r.Plan.Whips), len(r.Plan.Jumpers), len(r.Plan.Gates), r.Diags)
	}
	if _, err := d.Edits(Gesture{Op: "ring", IDs: []string{"ring"}, Fields: []Field{{"distance", "2 ft"}, {"depth", "30 in"}}}); err == nil {
		t.Error("a ring around itself")
	}
	backs = append(backs, make1(t, d, Gesture{Op: "remove", ID: "ring"}))
	if r := d.Result(); r.Diags.HasError() || r.Plan.Ring != nil {
		t.Errorf("after the ring is out: %v", r.Diags)
	}
	for i := len(backs) - 1; i >= 0; i-- {
		if _, err := d.Edit(backs[i]); err != nil {
			t.Fatal(err)
		}
	}
	if string(d.Text()) != fenced {
		t.Errorf("undo does not bring back the fence alone:\n%s\n%s", d.Text(), fenced)
	}
}

// A run keeps its name with its capitals and signs, and is found by it.
func TestTypedRunNames(t *testing.T) {
	for _, id := range []string{"Fiber #2", "Power: H-frame", "A.1 [east]", "feed's"} {
		d := open(t, "compound-a.yaml")
		src := string(d.Text())
		back := make1(t, d, Gesture{Op: "run", Places: [][2]float64{{-6, -6}, {0, -6}, {0, -3}}, Fields: []Field{{"id", id}, {"service", "fiber"}, {"raceway", "PVC-40 2 in"}, {"depth", "24 in"}, {"radius", "36 in"}}})
		v := runView(t, d, id)
		if v.ID != id || len(v.Nodes) != 3 || d.Result().Diags.HasError() {
			t.Errorf("%s: %+v, %v", id, v, d.Result().Diags)
			continue
		}
		make1(t, d, Gesture{Op: "run-corner", Path: v.Nodes[2].Path, At: [2]float64{0, -2}})
		if got := runView(t, d, id).Nodes[2].At[1]; math.Abs(got+2) > 1e-4 {
			t.Errorf("%s: its end is at %v", id, got)
		}
		if string(d.Text()) == src || back == nil {
			t.Errorf("%s changes nothing", id)
		}
	}
}
