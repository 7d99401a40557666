package answer_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/site"
)

// moved is the fiber entry after the client moved it, drawn without a pull
// point, with parts of its text changed.
func moved(t testing.TB, change ...string) *answer.Book {
	t.Helper()
	src, err := os.ReadFile("../examples/fiber-entry-moved.yaml")
	if err != nil {
		t.Fatal(err)
	}
	pairs := append([]string{"      - straight: 19 ft\n        in: trench\n      - handhole: hh-1\n      - straight: 19 ft\n", "      - straight: 38 ft\n"}, change...)
	text := string(src)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("the example no longer says %q", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	d := site.Load("t", []byte(text))
	if d.Diags.HasError() {
		t.Fatal(d.Diags)
	}
	return book(d.Site)
}

func same(t *testing.T, what string, p answer.Proposal, length float64, bends ...unit.Degree) {
	t.Helper()
	if p.Blocked != "" {
		t.Errorf("%s: %s", what, p.Blocked)
		return
	}
	if math.Abs(p.Length.Ft()-length) > 0.05 {
		t.Errorf("%s: %v ft, want %v", what, p.Length.Ft(), length)
	}
	if len(p.Degrees) != len(bends) {
		t.Fatalf("%s: %v, want %v", what, p.Degrees, bends)
	}
	for i := range bends {
		if math.Abs(float64(p.Degrees[i]-bends[i])) > 1e-6 {
			t.Errorf("%s: %v, want %v", what, p.Degrees, bends)
		}
	}
}

// The moved fiber entry, 225 degrees against the owner's 180: the turn kept as a
// sweep and a handhole in the 38 ft straight, 135 | 90 and 178.8 ft; or the
// handhole at the turn, 45 | 90 and 174.1 ft (worked by hand; 0.05 ft, what is
// printed).
func TestMovedEntry(t *testing.T) {
	b := moved(t)
	r := b.Plan.RunByID("fiber 1")
	ps := b.Proposals(r)
	if len(ps) < 2 {
		t.Fatalf("%d ways", len(ps))
	}
	same(t, "in the straight", ps[0], 178.8, 135, 90)
	same(t, "at the turn", ps[1], 174.1, 45, 90)
	if ps[1].Needs == "" || ps[0].Needs != "" {
		t.Errorf("needs %q and %q", ps[0].Needs, ps[1].Needs)
	}
	if s := ps[0].Points[0].Station.Ft(); s < 132.1 || s > 169.4 {
		t.Errorf("the handhole stands at %v ft, outside of the straight", s)
	}
	// Where the owner takes them in straights only the other must be asked for.
	b = moved(t, "    - bend-sum: 180 deg\n", "    - pull-boxes: straights only\n      source: pathway standard, section 6\n    - bend-sum: 180 deg\n")
	if ps = b.Proposals(b.Plan.RunByID("fiber 1")); !strings.Contains(ps[1].Needs, "ask first") {
		t.Errorf("%q", ps[1].Needs)
	}
	// A run within its limits needs nothing.
	b = moved(t, "180 deg", "225 deg")
	if ps = b.Proposals(b.Plan.RunByID("fiber 1")); ps != nil {
		t.Errorf("%v", ps)
	}
}

// Twins by hand. A limit of 100: 45 + 90 does not fit in one section either, so
// two handholes make 45 | 90 | 90. A run length of 100 ft cuts the same run where
// bends would not: nowhere may more than 100 ft lie between points.
func TestMovedEntryOtherLimits(t *testing.T) {
	b := moved(t, "180 deg", "100 deg")
	ps := b.Proposals(b.Plan.RunByID("fiber 1"))
	same(t, "100 degrees", ps[0], 178.8, 45, 90, 90)
	b = moved(t, "    - bend-sum: 180 deg\n", "    - run-length: 100 ft\n      source: pathway standard, section 5\n    - bend-sum: 180 deg\n")
	p := b.Proposals(b.Plan.RunByID("fiber 1"))[0]
	if p.Blocked != "" || len(p.Points) != 1 {
		t.Fatalf("%+v", p)
	}
	if s := p.Points[0].Station.Ft(); s > 100 || 178.85-s > 100 {
		t.Errorf("a handhole at %v ft leaves more than 100 ft", s)
	}
	// What is laid is not dug up: with all but the riser laid nothing fits.
	b = moved(t, "      to: 70 ft", "      to: 172 ft")
	if p := b.Proposals(b.Plan.RunByID("fiber 1"))[0]; p.Blocked == "" || !strings.Contains(p.Blocked, "225") {
		t.Errorf("%+v", p)
	}
}

// Another way from what is laid keeps the limit, is no shorter than the crow
// flies, and keeps clear of what stands in it.
func TestRerouted(t *testing.T) {
	find := func(b *answer.Book) answer.Proposal {
		for _, p := range b.Proposals(b.Plan.RunByID("fiber 1")) {
			if strings.HasPrefix(p.Words, "another way") {
				return p
			}
		}
		t.Fatal("no other way")
		return answer.Proposal{}
	}
	b := moved(t)
	r := b.Plan.RunByID("fiber 1")
	free := find(b)
	if free.Blocked != "" {
		t.Fatal(free.Blocked)
	}
	for _, d := range free.Degrees {
		if d > 180 {
			t.Errorf("%v", free.Degrees)
		}
	}
	end := r.Pieces[len(r.Pieces)-1].B
	if crow := math.Hypot(end.X-70*ft, end.Y); float64(free.New) < crow {
		t.Errorf("%v m new, the end is %v m off", free.New, crow)
	}
	// A generator in that way is gone round, and that is never shorter.
	b = moved(t, "  room-wall:\n", "  generator:\n    kind: generator\n    corners: [[76, 20], [90, 20], [90, 40], [76, 40]]\n  room-wall:\n")
	round := find(b)
	if round.Blocked != "" || round.Cost < free.Cost-1e-9 {
		t.Errorf("round it %v (%s), free %v", round.Cost, round.Blocked, free.Cost)
	}
	keep := geom.Outline{{X: 75 * ft, Y: 19 * ft}, {X: 91 * ft, Y: 19 * ft}, {X: 91 * ft, Y: 41 * ft}, {X: 75 * ft, Y: 41 * ft}}
	for _, q := range round.Points {
		if keep.Contains(q.At.Plan()) {
			t.Errorf("a %s in the generator's way", q.What)
		}
	}
	if round.Words == free.Words {
		t.Errorf("the way did not change: %s", round.Words)
	}
}
