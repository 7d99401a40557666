package desk

import (
	"encoding/json"
	"fmt"
	"math/rand"
	"os"
	"strings"
	"testing"

	"stubup/site"
)

const now = "2026-05-04T07:30:00-05:00"

func compoundA(t *testing.T) (*Desk, string) {
	t.Helper()
	text, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := &Desk{}
	d.Open("compound-a.yaml", text, now)
	return d, string(text)
}

func gesture(t *testing.T, d *Desk, g Gesture) []site.Edit {
	t.Helper()
	edits, err := d.Edits(g)
	if err != nil {
		t.Fatalf("%+v: %v", g, err)
	}
	for _, e := range edits {
		if strings.TrimSpace(e.Sentence) == "" {
			t.Fatalf("%+v: an edit says nothing", g)
		}
	}
	back, err := d.Edit(edits)
	if err != nil {
		t.Fatalf("%+v: %v", g, err)
	}
	return back
}

// The reference compound's figures, from the story of the takeoff: 44 welded
// joints, 21 whips, 6 rods, and 4.68 ohm within 2 % by two independent
// programs.
func TestReferenceCompoundOnTheDesk(t *testing.T) {
	d, _ := compoundA(t)
	h := d.Head()
	if h.Counts["welded"] != 44 || h.Counts["whip"] != 21 || h.Counts["rod"] != 6 || h.Name != "Compound A" || h.Grid != "ft" {
		t.Errorf("%+v", h)
	}
	if v := d.Result().Answers.Design().Value.SI; v < 4.68*0.98 || v > 4.68*1.02 {
		t.Errorf("%g ohm", v)
	}
	if n := d.Now(); n.Text != "4.67 ohm" || n.Verdict != "limit 5: holds by 6 %" {
		t.Errorf("%+v", n)
	}
}

// Any gesture, taken back, leaves the same bytes; a hundred of them too.
func TestUndoBringsTheBytesBack(t *testing.T) {
	d, text := compoundA(t)
	r := rand.New(rand.NewSource(7))
	kinds := []func(i int) Gesture{
		func(int) Gesture {
			return Gesture{Op: "move", ID: "generator", By: [2]float64{r.Float64() - 0.5, r.Float64() - 0.5}}
		},
		func(int) Gesture {
			return Gesture{Op: "rod", ID: fmt.Sprintf("R%d", 1+r.Intn(6)), At: [2]float64{r.Float64() * 12, r.Float64() * 9}}
		},
		func(i int) Gesture {
			return Gesture{Op: "add", Kind: "pad", Places: [][2]float64{{float64(i), 1}, {float64(i) + 2, 3}}, Fields: []Field{{"height", "6 in"}}}
		},
		func(int) Gesture {
			return Gesture{Op: "point", Path: "objects.fence.corners[2]", At: [2]float64{12 + r.Float64(), 9 + r.Float64()}}
		},
		func(int) Gesture { return Gesture{Op: "rod", At: [2]float64{r.Float64() * 12, 0.6}} },
		func(int) Gesture {
			return Gesture{Op: "whip", Text: "every fence post", Fields: []Field{{"end", "pipe"}}}
		},
		func(int) Gesture {
			return Gesture{Op: "ring", IDs: []string{"fence"}, Fields: []Field{{"distance", fmt.Sprintf("%d in", 20+r.Intn(20))}, {"depth", fmt.Sprintf("%d in", 30+r.Intn(9))}}}
		},
	}
	var backs [][]site.Edit
	for i := range 100 {
		g := kinds[r.Intn(len(kinds))](i)
		edits, err := d.Edits(g)
		if err != nil {
			continue
		}
		doc, back, err := apply(d.res.Document, edits)
		if err != nil {
			t.Fatalf("%+v: %v", g, err)
		}
		// Only the document is needed here; a whole evaluation of each would
		// take long.
		if i%5 == 0 {
			d.Open("a", doc.Src, now)
		} else {
			d.res.Document = doc
		}
		backs = append(backs, back)
	}
	if len(backs) < 90 {
		t.Fatalf("%d gestures", len(backs))
	}
	for i := len(backs) - 1; i >= 0; i-- {
		doc, _, err := apply(d.res.Document, backs[i])
		if err != nil {
			t.Fatalf("undo %d: %v", i, err)
		}
		d.res.Document = doc
	}
	if string(d.res.Document.Src) != text {
		t.Error("the document is not as it was")
	}
}

func TestMoveSaysWhatItDoes(t *testing.T) {
	d, _ := compoundA(t)
	edits, err := d.Edits(Gesture{Op: "move", ID: "generator", By: [2]float64{0.6096, -0.4572}, Say: "clear of the gate"})
	if err != nil {
		t.Fatal(err)
	}
	if want := `move generator 2'-0" east, 1'-6" south: clear of the gate`; edits[0].Sentence != want {
		t.Errorf("%q", edits[0].Sentence)
	}
	if len(edits) != 6 || edits[0].New != "[35, 2.5]" || edits[4].Path != "objects.generator.lugs[0]" {
		t.Errorf("%+v", edits)
	}
}

// A rod that a rule placed is written out with the others of its rule when it
// is moved, and only it moves.
func TestMovedCornerRodLeavesTheOthers(t *testing.T) {
	d, _ := compoundA(t)
	was := map[[2]float64]bool{}
	for _, r := range d.Result().Plan.Rods {
		was[xy(r.At)] = true
	}
	at := d.Result().Plan.RodByID("R1").At
	gesture(t, d, Gesture{Op: "rod", ID: "R1", At: [2]float64{at.X + 1, at.Y}})
	kept := 0
	for _, r := range d.Result().Plan.Rods {
		if was[xy(r.At)] {
			kept++
		}
	}
	if n := len(d.Result().Plan.Rods); n != 6 || kept != 5 {
		t.Errorf("%d rods, %d where they were", n, kept)
	}
}

// What a gesture cannot do it says, with what to do instead.
func TestGesturesRefuse(t *testing.T) {
	d, text := compoundA(t)
	for _, g := range []Gesture{
		{Op: "move", ID: "nothing", By: [2]float64{1, 0}},
		{Op: "move", ID: "generator"},
		{Op: "rod", ID: "R99"},
		{Op: "add", Kind: "cloud", Places: [][2]float64{{0, 0}}},
		{Op: "add", Kind: "pad", Places: [][2]float64{{0, 0}}},
		{Op: "add", Kind: "pad", Places: [][2]float64{{0, 0}, {0, 3}}},
		{Op: "ring", IDs: []string{"fence"}},
		{Op: "ring"},
		{Op: "whip", Text: "fence posts"},
		{Op: "remove", ID: "R1"},
		{Op: "point", Path: "objects.nothing.corners[0]"},
		{Op: "fly"},
	} {
		_, err := d.Edits(g)
		p, ok := err.(*Problem)
		if !ok || p.Mend == "" || p.What == "" {
			t.Errorf("%+v: %v", g, err)
		}
	}
	if string(d.Text()) != text {
		t.Error("a refusal changed the document")
	}
}

// An object taken out takes its whips along, and comes back with them.
func TestRemoveTakesTheWhips(t *testing.T) {
	d, text := compoundA(t)
	back := gesture(t, d, Gesture{Op: "remove", ID: "generator"})
	if n := len(d.Result().Plan.Whips); n != 19 {
		t.Errorf("%d whips, not 21 less the 2 of the generator", n)
	}
	if _, err := d.Edit(back); err != nil || string(d.Text()) != text {
		t.Errorf("it did not come back: %v", err)
	}
}

// A ring around two things on a site without a ground asks for the conductor.
func TestRingFromNothing(t *testing.T) {
	d := &Desk{}
	d.Open("a", []byte("format: 1\nname: a\nunits: us\ngrid: ft\nsoil:\n  layers:\n    - resistivity: 100 ohm-m\nobjects:\n  pad:\n    kind: pad\n    corners: [[0, 0], [10, 0], [10, 8], [0, 8]]\n"), now)
	g := Gesture{Op: "ring", IDs: []string{"pad"}, Fields: []Field{{"distance", "2 ft"}, {"depth", "30 in"}}}
	if _, err := d.Edits(g); err == nil {
		t.Error("a conductor was made up")
	}
	g.Fields = append(g.Fields, Field{"conductor", "2 AWG solid tinned copper"}, Field{"stub-up", "18 in"})
	gesture(t, d, g)
	// By hand, 2 ft around a pad of 10 by 8 ft, the corners turned at 2 ft:
	// 36 ft + 2 pi 2 ft = 48.57 ft.
	if r := d.Result().Plan.Ring; r == nil || r.Takeoff.Ft() < 48.56 || r.Takeoff.Ft() > 48.58 {
		t.Fatalf("%+v %v", r, d.Head().Diags)
	}
	gesture(t, d, Gesture{Op: "rod", At: [2]float64{-0.6, -0.6}, Fields: []Field{{"diameter", "5/8 in"}, {"length", "8 ft"}}})
	if len(d.Result().Plan.Rods) != 1 || d.Result().Diags.HasError() {
		t.Errorf("%v", d.Head().Diags)
	}
	gesture(t, d, Gesture{Op: "whip", Text: "pad corners", Fields: []Field{{"end", "lug"}}})
	if len(d.Result().Plan.Whips) != 4 {
		t.Errorf("%d whips", len(d.Result().Plan.Whips))
	}
}

// A patch laid on what was told before is what would be told afresh.
func TestPatchesAddUp(t *testing.T) {
	d, _ := compoundA(t)
	for _, stage := range []string{"layout", "prove", "order", "work", "handover"} {
		first, err := d.Stage(stage, true)
		if err != nil {
			t.Fatal(err)
		}
		again, _ := d.Stage(stage, false)
		if len(again.Parts) != 0 {
			t.Errorf("%s: %d parts told twice", stage, len(again.Parts))
		}
		back := gesture(t, d, Gesture{Op: "move", ID: "generator", By: [2]float64{0, 0.3048}})
		patch, _ := d.Stage(stage, false)
		fresh, _ := d.Stage(stage, true)
		all := map[string]json.RawMessage{}
		for k, v := range first.Parts {
			all[k] = v
		}
		for k, v := range patch.Parts {
			all[k] = v
		}
		for k, v := range fresh.Parts {
			if string(all[k]) != string(v) {
				t.Errorf("%s: part %s is not as told", stage, k)
			}
		}
		if stage == "layout" && (len(patch.Parts) == 0 || len(patch.Parts) >= len(first.Parts)) {
			t.Errorf("layout: %d parts of %d for one move", len(patch.Parts), len(first.Parts))
		}
		if _, err := d.Edit(back); err != nil {
			t.Fatal(err)
		}
	}
}

// A trial leaves the document alone and gives what the edit would give.
func TestTrialIsWhatTheEditGives(t *testing.T) {
	d, text := compoundA(t)
	edits, err := d.Edits(Gesture{Op: "rod", ID: "R5", At: [2]float64{3, 8.53}})
	if err != nil {
		t.Fatal(err)
	}
	try, err := d.Try(edits)
	if err != nil || string(d.Text()) != text {
		t.Fatal("the trial changed the document", err)
	}
	if _, err := d.Edit(edits); err != nil {
		t.Fatal(err)
	}
	if now := d.Now(); now != try {
		t.Errorf("tried %+v, made %+v", try, now)
	}
}

func TestNumbersAreKept(t *testing.T) {
	d, _ := compoundA(t)
	edits, err := d.Number()
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]string{}
	for _, p := range d.Result().Plan.Points {
		ids[p.Key] = p.ID
	}
	if _, err := d.Edit(edits); err != nil {
		t.Fatal(err)
	}
	gesture(t, d, Gesture{Op: "rod", At: [2]float64{3.5, 0.6}})
	if !d.Head().Numbered || len(d.Result().Plan.Rods) != 7 {
		t.Fatal("not numbered")
	}
	for _, p := range d.Result().Plan.Points {
		if was, ok := ids[p.Key]; ok && was != p.ID {
			t.Errorf("%s was %s and is %s", p.Key, was, p.ID)
		}
	}
}

// Lengths as people type them, both ways: feet-inches by hand.
func TestLengthTyped(t *testing.T) {
	d, _ := compoundA(t)
	for text, m := range map[string]float64{`2'-6 1/2"`: 0.7747, "30 in": 0.762, "0.76 m": 0.76, "2 ft": 0.6096} {
		v, said, err := d.Length(text)
		if err != nil || v < m-1e-9 || v > m+1e-9 {
			t.Errorf("%s: %g %v", text, v, err)
		}
		if w, _, err := d.Length(said); err != nil || w < v-0.0008 || w > v+0.0008 {
			t.Errorf("%s is said as %s, which is %g", text, said, w)
		}
	}
	if _, _, err := d.Length("30"); err == nil {
		t.Error("a number without a unit was taken")
	}
}

// Every file named by a stage can be had, and nothing else.
func TestFilesOfEveryStage(t *testing.T) {
	d, _ := compoundA(t)
	for _, stage := range []string{"layout", "prove", "order", "work", "handover"} {
		p, _ := d.Stage(stage, true)
		for _, f := range p.Files {
			if got, err := d.File(f); err != nil || got["text"] == "" {
				t.Errorf("%s: %s: %v", stage, f, err)
			}
		}
	}
	if _, err := d.File("../secret"); err == nil {
		t.Error("a file of another place was given")
	}
}

func TestCallsAnswerInJSON(t *testing.T) {
	d := &Desk{}
	for _, c := range [][2]string{{"stage", `{"Stage":"layout"}`}, {"open", `{`}, {"starter", `{}`}, {"open", `{"Name":"x","Text":"{","AsOf":""}`}, {"stage", `{"Stage":"layout"}`}, {"stage", `{"Stage":"x"}`}, {"why", `{"Path":"x"}`}, {"jump", `{}`}} {
		out := d.Call(c[0], []byte(c[1]))
		var j map[string]any
		if err := json.Unmarshal(out, &j); err != nil {
			t.Errorf("%s: %s", c[0], out)
		}
	}
}
