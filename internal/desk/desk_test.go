package desk

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"stubup/site"
	"stubup/sums"
)

func open(t testing.TB, file string) *Desk {
	t.Helper()
	b, err := os.ReadFile("../../examples/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var d Desk
	d.Open(file, b, "2026-01-05T07:00:00Z")
	return &d
}

func make1(t testing.TB, d *Desk, g Gesture) []site.Edit {
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

// Every gesture is undone to the byte, one at a time, in whatever order they
// were made.
func TestGesturesAreUndoneToTheByte(t *testing.T) {
	all := []Gesture{
		{Op: "move", ID: "generator", By: [2]float64{-0.6096, 0.3048}},
		{Op: "point", Path: "objects.h-frame.legs[1]", At: [2]float64{2, 3}},
		{Op: "rod", ID: "R2", At: [2]float64{7, 0.6}},
		{Op: "rod", ID: "R1", At: [2]float64{1.5, 0.6}},
		{Op: "rod", At: [2]float64{4, 0.6}},
		{Op: "rods", Text: "mids"},
		{Op: "rods", Text: "spacing", Fields: []Field{{"spacing", "16 ft"}}},
		{Op: "add", Kind: "pad", Places: [][2]float64{{3, 3}, {4, 4}}, Fields: []Field{{"id", "battery pad"}}},
		{Op: "add", Kind: "post", Places: [][2]float64{{5, 5}}, Fields: []Field{{"od", "3-1/2 in"}}},
		{Op: "add", Kind: "wall", Places: [][2]float64{{1, 1}, {3, 1}}, Fields: []Field{{"height", "8 ft"}, {"width", "8 in"}}},
		{Op: "add", Kind: "fence", Places: [][2]float64{{-30, -30}, {-20, -20}}, Fields: []Field{{"posts.corner", "2-7/8 in"}, {"posts.spacing", "10 ft"}}},
		{Op: "add", Kind: "gate", Places: [][2]float64{{4, 0}, {6, 0}}},
		{Op: "whip", Text: "every 5th fence post", Fields: []Field{{"end", "pipe"}}},
		{Op: "ring", IDs: []string{"fence"}, Fields: []Field{{"distance", "3 ft"}, {"depth", "36 in"}}},
		{Op: "ring", IDs: []string{"platform", "generator"}, Fields: []Field{{"distance", "3 ft"}, {"depth", "30 in"}}},
		{Op: "set", Path: "ground.rods.length", Text: "10 ft"},
		{Op: "remove", ID: "cable-bridge"},
		{Op: "remove", ID: "R1"},
	}
	for _, g := range all {
		d := open(t, "compound-a.yaml")
		was := string(d.Text())
		back := make1(t, d, g)
		if string(d.Text()) == was {
			t.Errorf("%+v changed nothing", g)
		}
		// A ring laid anew leaves rods behind that were placed by hand: the
		// document then says so of each.
		if g.Op != "ring" && d.Result().Diags.HasError() {
			t.Errorf("%+v: %v", g, d.Result().Diags)
		}
		if _, err := d.Edit(back); err != nil {
			t.Fatalf("%+v: %v", g, err)
		}
		if string(d.Text()) != was {
			t.Errorf("%+v is not undone to the byte", g)
		}
	}
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 1))
		d := open(t, "compound-a.yaml")
		was := string(d.Text())
		var undo [][]site.Edit
		for range 6 {
			edits, err := d.Edits(all[r.IntN(len(all))])
			if err != nil {
				continue // what was taken out before cannot be moved
			}
			back, err := d.Edit(edits)
			if err != nil {
				continue
			}
			undo = append(undo, back)
		}
		for i := len(undo) - 1; i >= 0; i-- {
			if _, err := d.Edit(undo[i]); err != nil {
				t.Fatalf("seed %d, undo %d: %v", seed, i, err)
			}
		}
		if string(d.Text()) != was {
			t.Fatalf("seed %d: the document is not as it was", seed)
		}
	}
}

// A rule asked for in words places as many rods as the geometry says: a ring
// of four sides has four corners and four middles.
func TestRodsByRule(t *testing.T) {
	d := open(t, "compound-a.yaml")
	n := len(d.Result().Plan.Rods)
	make1(t, d, Gesture{Op: "rods", Text: "mids"})
	// Two of the four middles have a rod already, by hand.
	if got := len(d.Result().Plan.Rods) - n; got < 2 || got > 4 {
		t.Errorf("%d rods more, want 2 to 4", got)
	}
	if _, err := d.Edits(Gesture{Op: "rods", Text: "spacing"}); err == nil {
		t.Error("a spacing that is not typed was taken")
	}
}

// A rod that a rule placed goes out alone: the rest stay where they stand.
func TestRodIsTakenOutOfItsRule(t *testing.T) {
	for _, id := range []string{"R1", "R2", "R3", "R4", "R5", "R6"} {
		d := open(t, "compound-a.yaml")
		left := map[string]bool{}
		for _, r := range d.Result().Plan.Rods {
			if r.ID != id {
				left[d.place(r.At)] = true
			}
		}
		make1(t, d, Gesture{Op: "remove", ID: id})
		if n := len(d.Result().Plan.Rods); n != len(left) {
			t.Errorf("without %s there are %d rods, want %d", id, n, len(left))
		}
		for _, r := range d.Result().Plan.Rods {
			if !left[d.place(r.At)] {
				t.Errorf("without %s a rod stands at %s, where none stood", id, d.place(r.At))
			}
		}
	}
}

// What is tried is what is then made.
func TestTrialIsWhatIsMade(t *testing.T) {
	d := open(t, "compound-a.yaml")
	edits, err := d.Edits(Gesture{Op: "set", Path: "ground.rods.length", Text: "16 ft"})
	if err != nil {
		t.Fatal(err)
	}
	was := d.Now()
	tried, err := d.Try(edits)
	if err != nil {
		t.Fatal(err)
	}
	if d.Now() != was {
		t.Error("trying changed the document")
	}
	if _, err := d.Edit(edits); err != nil {
		t.Fatal(err)
	}
	if d.Now() != tried || tried == was {
		t.Errorf("was %v, tried %v, is %v", was, tried, d.Now())
	}
}

// Parts that are told again and put onto those told before are the parts that
// a fresh telling gives.
func TestPatchesAddUp(t *testing.T) {
	for _, stage := range Stages {
		d := open(t, "compound-a.yaml")
		d.Compare("before", d.Text())
		parts := map[string]string{}
		take := func(p Patch) {
			for k, b := range p.Parts {
				parts[k] = string(b)
			}
		}
		first, err := d.Stage(stage, true)
		if err != nil {
			t.Fatal(err)
		}
		take(first)
		make1(t, d, Gesture{Op: "rod", ID: "R2", At: [2]float64{7, 0.6}})
		second, err := d.Stage(stage, false)
		if err != nil {
			t.Fatal(err)
		}
		take(second)
		whole, err := d.Stage(stage, true)
		if err != nil {
			t.Fatal(err)
		}
		for k, b := range whole.Parts {
			if parts[k] != string(b) {
				t.Errorf("%s: part %s differs", stage, k)
			}
		}
		if stage == "layout" {
			if len(second.Parts) >= len(whole.Parts)/2 {
				t.Errorf("a rod that moves tells %d parts of %d", len(second.Parts), len(whole.Parts))
			}
		}
	}
}

// The marks of a change are the points that the stage lists.
func TestChangedMarks(t *testing.T) {
	d := open(t, "compound-a.yaml")
	d.Compare("before", d.Text())
	make1(t, d, Gesture{Op: "move", ID: "generator", By: [2]float64{-0.762, 0}})
	p, err := d.Stage("change", true)
	if err != nil {
		t.Fatal(err)
	}
	var c struct {
		Marks []struct {
			ID, How string
			At, Was [2]float64
		}
	}
	if err := json.Unmarshal(p.Parts["changed"], &c); err != nil {
		t.Fatal(err)
	}
	if len(c.Marks) == 0 {
		t.Fatal("nothing is marked")
	}
	for _, m := range c.Marks {
		if m.How == "moved" && m.At == m.Was {
			t.Errorf("%s is moved from where it is", m.ID)
		}
	}
}

// Every calculation answers its own example through the border, and names the
// inputs that are missing.
func TestSumsThroughTheBorder(t *testing.T) {
	var d Desk
	for _, s := range sums.All() {
		in := struct {
			Name   string
			Fields []Field
		}{Name: s.Name}
		lines := map[string]string{}
		for _, e := range s.Example() {
			if lines[e.Name] != "" {
				lines[e.Name] += "\n"
			}
			lines[e.Name] += e.Text
		}
		for k, v := range lines {
			in.Fields = append(in.Fields, Field{k, v})
		}
		b, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var out struct {
			Answer  *struct{ Rows []string }
			Faults  []struct{ Input, What, Mend string }
			Problem *Problem
		}
		if err := json.Unmarshal(d.Call("sum", b), &out); err != nil {
			t.Fatal(err)
		}
		if out.Answer == nil || len(out.Answer.Rows) == 0 {
			t.Errorf("%s: %+v", s.Name, out)
		}
		out.Answer = nil
		if err := json.Unmarshal(d.Call("sum", []byte(`{"Name":"`+s.Name+`"}`)), &out); err != nil {
			t.Fatal(err)
		}
		if out.Answer == nil && len(out.Faults) == 0 && out.Problem == nil {
			t.Errorf("%s without inputs: neither answer nor fault", s.Name)
		}
	}
	if got := string(d.Call("now", []byte(`{}`))); !strings.Contains(got, "problem") {
		t.Errorf("without a document: %s", got)
	}
}

func TestRestChangesNothing(t *testing.T) {
	d := open(t, "compound-a.yaml")
	res := d.Result()
	if !d.Rest() || d.Result() != res {
		t.Error("a rest does not come to its end, or leaves another document")
	}
	d.Open("x.yaml", []byte("format: 1\n"), "")
	if d.Rest() {
		t.Error("a document without a name was given one")
	}
}
