package change

import (
	"context"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/stage/order"
)

func sideOf(t *testing.T, name string, src []byte) Side {
	t.Helper()
	d := site.Load(name, src)
	if d.Diags.HasError() {
		t.Fatal(d.Diags)
	}
	p := plan.Make(d.Site)
	if p.Diags.HasError() {
		t.Fatal(p.Diags)
	}
	v := rule.View{Site: d.Site, Plan: p, Answer: answer.New(context.Background(), p)}
	o := order.Make(v)
	return Side{View: v, Order: &o, AsOf: "2026-01-05T14:05:00Z"}
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func ft(t *testing.T, what string, got unit.Metre, want float64, digits int) {
	t.Helper()
	if g := unit.Fixed(got.Ft(), digits); g != unit.Fixed(want, digits) {
		t.Errorf("%s: %s ft, want %s", what, g, unit.Fixed(want, digits))
	}
}

// The fiber entry moves with 70 ft laid and 90 ft of trench open.
//
// By hand: arcs of 3 ft radius are 2.356 ft (45) and 4.712 ft (90). The new
// 45 swings 3 (1 - cos 45) = 0.879 ft aside, so with a 2-3/8 in pipe it still
// lies in the 2 ft trench that is open past the turn; from there the line
// leaves it at once. New trench is then 55 + 4.71 + 38 ft but for an inch.
func TestFiberEntryMoves(t *testing.T) {
	r := Of(sideOf(t, "old", read(t, "fiber-entry.yaml")), sideOf(t, "new", read(t, "fiber-entry-moved.yaml")))
	if len(r.Runs) != 1 {
		t.Fatalf("%d runs differ", len(r.Runs))
	}
	d := r.Runs[0]
	ft(t, "longer by", d.Length, 27.7, 1)
	ft(t, "one path to", d.Same, 70, 1)
	ft(t, "laid and kept", d.Kept, 70, 1)
	ft(t, "to take up", d.TakeUp, 0, 1)
	ft(t, "new trench", d.Dig, 97.7, 1)
	ft(t, "to refill", d.Refill, 20, 1)
	// Along straights and arcs: 80 + 2.356 + 60 less the 90 that are open.
	ft(t, "not dug and not needed", d.NotDug, 80+math.Pi/4*3+60-90, 3)
	if sums(d.OldSums) != "135" || sums(d.NewSums) != "135 | 90" {
		t.Errorf("bends %s become %s", sums(d.OldSums), sums(d.NewSums))
	}
	if len(d.Cores) != 1 || len(d.Patched) != 1 || !d.Patched[0].Rated || !d.Beyond {
		t.Errorf("cores %d, patched %v, beyond the ticket %v", len(d.Cores), d.Patched, d.Beyond)
	}
	all := strings.Join(r.Summary, "\n")
	for _, want := range []string{"+27.7 ft", "135 become 135 | 90", "97.7 ft of new trench", "20.0 ft open past the turn", "a new core", "listed firestop", "2 business days"} {
		if !strings.Contains(all, want) {
			t.Errorf("the summary does not say %q:\n%s", want, all)
		}
	}
	if notice := strings.Join(r.Notice, "\n"); !strings.Contains(notice, "70.0 ft laid, trench open to 90.0 ft") || !strings.Contains(notice, "14:05") {
		t.Errorf("the notice does not give the state at that minute:\n%s", notice)
	}
	if len(r.Lines) == 0 {
		t.Error("no quantity changes, and yet there is a handhole more")
	}
}

// The other way on, where the owner lets a cable turn in a handhole sized for
// it: the handhole stands at the turn and saves the sweep's arc.
func TestHandholeAtTheTurn(t *testing.T) {
	s := string(read(t, "fiber-entry-moved.yaml"))
	a, b := strings.Index(s, "      - bend: 90 left"), strings.Index(s, "      - bend: 90 up")
	s = s[:a] + "      - handhole:\n          size: [48 in, 36 in, 36 in]\n        turns: left\n      - straight: 38 ft\n        in: trench\n" + s[b:]
	r := Of(sideOf(t, "old", read(t, "fiber-entry.yaml")), sideOf(t, "new", []byte(s)))
	d := r.Runs[0]
	ft(t, "longer by", d.Length, 23.0, 1)
	ft(t, "new length", d.New.Length, 174.1, 1)
	ft(t, "new trench", d.Dig, 93.0, 1)
	if sums(d.NewSums) != "45 | 90" {
		t.Errorf("bends become %s", sums(d.NewSums))
	}
}

// A twin of other numbers: 30 ft laid of a straight 100 ft run with 50 ft
// open, then a square turn north at 30 ft on a 2 ft radius and 40 ft more.
// Hand algebra: length 30 + pi + 40 = 73.1416; the line leaves the open
// trench where 2 (1 - cos a) passes half its width less half the pipe; 70 ft
// of old trench past the turn, 50 of it never dug; 20 ft to refill.
func TestTwin(t *testing.T) {
	const doc = `
format: 1
name: Twin
units: us
grid: ft
runs:
  fiber 1:
    service: fiber
    raceway: PVC-40 2 in
    carries: [{cable: fiber, od: 0.5 in, fiber: yes}]
    start: [0, 0, -3]
    heading: east
    path:
`
	old := doc + "      - {straight: 100 ft, in: trench}\nstate:\n  laid: [{run: fiber 1, to: 30 ft}]\n  open: [{run: fiber 1, to: 50 ft, width: 18 in}]\n"
	moved := doc + "      - {straight: 30 ft, in: trench}\n      - {bend: 90 left, radius: 24 in}\n      - {straight: 40 ft, in: trench}\n"
	r := Of(sideOf(t, "old", []byte(old)), sideOf(t, "new", []byte(moved)))
	d := r.Runs[0]
	ft(t, "length", d.New.Length, 70+math.Pi, 3)
	half := (18.0 - 2.375) / 2 / 12
	a := math.Acos(1 - half/2)
	ft(t, "new trench", d.Dig, math.Pi-2*a+40, 3)
	ft(t, "not dug and not needed", d.NotDug, 50, 3)
	ft(t, "to refill", d.Refill, 20, 3)
	ft(t, "kept", d.Kept, 30, 3)
	// And with 42 ft laid, 12 ft must come out.
	late := strings.Replace(old, "to: 30 ft", "to: 42 ft", 1)
	d = Of(sideOf(t, "old", []byte(late)), sideOf(t, "new", []byte(moved))).Runs[0]
	ft(t, "kept", d.Kept, 30, 3)
	ft(t, "to take up", d.TakeUp, 12, 3)
}

// No change, no news; and the way back is the way there with the signs turned.
func TestThereAndBack(t *testing.T) {
	a, b := sideOf(t, "old", read(t, "fiber-entry.yaml")), sideOf(t, "new", read(t, "fiber-entry-moved.yaml"))
	if r := Of(a, a); len(r.Points)+len(r.Runs)+len(r.Lines)+len(r.Findings) != 0 {
		t.Errorf("a revision differs from itself: %v", r.Summary)
	}
	there, back := Of(a, b), Of(b, a)
	if there.Runs[0].Length != -back.Runs[0].Length || len(there.Points) != len(back.Points) || len(there.Lines) != len(back.Lines) {
		t.Errorf("there %v, back %v", there.Summary, back.Summary)
	}
}

// One more line post bonded: one whip, one tap, one pipe joint are added, and
// nothing else moves.
func TestOnePointMore(t *testing.T) {
	src := string(read(t, "compound-a.yaml"))
	more := strings.Replace(src, "    - to: platform corners", "    - to: 1 for the fence line posts\n      end: pipe\n    - to: platform corners", 1)
	if more == src {
		t.Fatal("the edit did not take")
	}
	r := Of(sideOf(t, "a", []byte(src)), sideOf(t, "b", []byte(more)))
	n := map[string]int{}
	for _, p := range r.Points {
		n[p.How+" "+string(p.Kind)]++
	}
	if n["added whip"] != 1 || n["added joint"] != 2 || n["removed whip"]+n["removed joint"]+n["moved rod"] != 0 {
		t.Errorf("%v", n)
	}
}

// A pad moves 2 ft along the line that nobody has dug yet: the new line lies
// in the old one, so there is no new trench, and 2 ft less of it.
func TestShorterAlongTheSameLine(t *testing.T) {
	const doc = `
format: 1
name: Shorter
units: us
grid: ft
runs:
  power 1:
    service: power
    raceway: PVC-40 2 in
    carries: [3 x 3/0 THWN-2]
    start: [0, 0, -2]
    heading: east
    path:
      - {straight: 40 ft, in: trench}
      - {bend: 90 up, radius: 24 in}
      - {straight: 2 ft, in: air}
`
	r := Of(sideOf(t, "old", []byte(doc)), sideOf(t, "new", []byte(strings.Replace(doc, "40 ft", "38 ft", 1))))
	d := r.Runs[0]
	ft(t, "new trench", d.Dig, 0, 2)
	ft(t, "not dug and not needed", d.NotDug, 2, 2)
}

// What is only named anew by its station is no news; what comes is.
func TestFindingsByPlace(t *testing.T) {
	ru := &rule.Rule{ID: "x", Title: "x"}
	f := func(path string, o rule.Outcome) rule.Finding { return rule.Finding{Rule: ru, Path: path, Outcome: o} }
	var r Result
	r.findings([]rule.Finding{f("run power 1, straight at 38.8 ft", rule.Broken), f("run power 1, straight at 59.8 ft", rule.Holds)},
		[]rule.Finding{f("run power 1, straight at 36.8 ft", rule.Broken), f("run power 1, straight at 57.8 ft", rule.Holds)})
	if len(r.Findings) != 0 {
		t.Errorf("a station that moved is news: %+v", r.Findings)
	}
	r.findings([]rule.Finding{f("run power 1, straight at 38.8 ft", rule.Broken)},
		[]rule.Finding{f("run power 1, straight at 36.8 ft", rule.Broken), f("run power 1, straight at 57.8 ft", rule.Broken)})
	if len(r.Findings) != 1 || r.Findings[0].Old != "not there" || r.Findings[0].New != "broken" {
		t.Errorf("one more broken straight gives %+v", r.Findings)
	}
}

func TestUnplaced(t *testing.T) {
	for path, want := range map[string]string{
		"runs.fiber 1, 90 up at 12.5 ft":    "runs.fiber 1, 90 up",
		"run at 12'-6 1/2\", offset at 3 m": "run, offset",
		"a box at the gate":                 "a box at the gate",
		"ring":                              "ring",
	} {
		if got := unplaced(path); got != want {
			t.Errorf("%q: %q, want %q", path, got, want)
		}
	}
}
