package bond

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"stubup/base/unit"
)

var two = Noise{Share: 0.02, Floor: 20e-6, Low: 1, High: 1.04}

func read3(t *testing.T, n *Network, pairs ...[2]string) []Pair {
	t.Helper()
	var out []Pair
	for _, p := range pairs {
		r := between(t, n, p[0], p[1])
		if math.IsInf(r, 1) {
			out = append(out, Pair{A: p[0], B: p[1], Open: true})
		} else {
			out = append(out, Pair{A: p[0], B: p[1], Ohm: unit.Ohm(r * 1.02)})
		}
	}
	return out
}

// Two points 6 ft apart on a ring of 124 ft, read as 18.4 mohm: the piece
// between them is open, whichever state the others are in. As 0.89: it is
// not.
func TestFindCutRing(t *testing.T) {
	b := bare(t, "2 AWG solid bare copper")
	es, err := Run("ring", []Station{{"a", 0}, {"b", 6 * unit.Foot}, {"c", 60 * unit.Foot}}, 124*unit.Foot, b, 20)
	if err != nil {
		t.Fatal(err)
	}
	n := network(t, es)
	f, err := n.FindBreak([]Pair{{A: "a", B: "b", Ohm: 18.4e-3}}, two, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Alike) != 1 || f.Alike[0].Break != "ring a-b" || !f.Fits {
		t.Errorf("%+v", f)
	}
	f, err = n.FindBreak([]Pair{{A: "a", B: "b", Ohm: 0.89e-3}}, two, nil)
	if err != nil {
		t.Fatal(err)
	}
	// 0.94 would be a cut on the far side: too near to 0.89 for one reading of
	// this noise. That the near side is whole is certain.
	if f.Ranked[0].Break != "" || len(f.Alike) != 3 || slices.ContainsFunc(f.Alike, func(e Explanation) bool { return e.Break == "ring a-b" }) {
		t.Errorf("%+v", f)
	}
	f, err = n.FindBreak([]Pair{{A: "a", B: "b", Ohm: 0.89e-3}, {A: "b", B: "c", Ohm: 4.76e-3}}, two, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Alike) != 1 || f.Alike[0].Break != "" || !strings.Contains(f.Words, "no single break") {
		t.Errorf("%+v", f)
	}
	// Cut anywhere else the pair reads 6 ft alone: 0.938 mohm. The other two
	// pieces give the very same figure, and one more pair parts them.
	f, err = n.FindBreak([]Pair{{A: "a", B: "b", Ohm: 0.938e-3 * 1.02}}, Noise{Share: 0.005, Low: 1.02, High: 1.02}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Alike) != 2 || f.Next[0] == "" || !strings.Contains(f.Words, "cannot be told apart") {
		t.Errorf("%+v", f)
	}
	more := read3(t, without(t, n, f.Alike[1].Break), [2]string{"a", "b"}, f.Next)
	if g, err := n.FindBreak(more, Noise{Share: 0.005, Low: 1.02, High: 1.02}, nil); err != nil || len(g.Alike) != 1 || g.Alike[0].Break != f.Alike[1].Break {
		t.Errorf("%+v %v", g, err)
	}
}

// A value no single state gives is said not to fit.
func TestFindNothingFits(t *testing.T) {
	n := network(t, ring(t, 40, 2.5, 6, bare(t, "2 AWG solid tinned copper"), 15))
	f, err := n.FindBreak([]Pair{{A: "W1 end", B: "W2 end", Ohm: 9e-3}}, two, nil)
	if err != nil {
		t.Fatal(err)
	}
	if f.Fits || !strings.Contains(f.Words, "more than the noise") {
		t.Errorf("%+v", f)
	}
	f, err = n.FindBreak([]Pair{{A: "W1 end", B: "W2 end", Open: true}, {A: "W3 end", B: "W4 end", Open: true}}, two, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Alike) != 0 || f.Fits || !strings.Contains(f.Words, "more than one break") {
		t.Errorf("%+v", f)
	}
	for _, bad := range []Noise{{}, {Share: -1}, {Share: 0.02, Low: 2, High: 1}} {
		if _, err := n.FindBreak([]Pair{{A: "J1", B: "J2", Ohm: 1}}, bad, nil); err == nil {
			t.Errorf("%v taken", bad)
		}
	}
	if _, err := n.FindBreak(nil, two, nil); err == nil {
		t.Error("no readings taken")
	}
}

// A dead tap joint leaves its whip alone: every pair with it is open.
func TestFindDeadJoint(t *testing.T) {
	n := network(t, ring(t, 40, 2.5, 8, bare(t, "2 AWG solid tinned copper"), 15))
	dead := without(t, n, "joint J5")
	pairs := read3(t, dead, [2]string{"W1 end", "W5 end"}, [2]string{"W1 end", "W4 end"})
	f, err := n.FindBreak(pairs, two, []string{"W1 end", "W4 end", "W5 end", "W6 end"})
	if err != nil {
		t.Fatal(err)
	}
	// The joint and the whip are in series: no reading at the ends parts them.
	var names []string
	for _, e := range f.Alike {
		names = append(names, e.Break)
	}
	slices.Sort(names)
	if !slices.Equal(names, []string{"W5", "joint J5"}) || f.Next[0] != "" {
		t.Errorf("%v next %v", names, f.Next)
	}
}

// The simulation is the second way: breaks drawn, readings made by solving the
// broken network afresh and spoiled by the noise that is stated; the true state
// is among those that cannot be told apart at least 95 times of 100 (odds of 20
// to 1 leave out 1 in 20 at the very worst).
func TestFindIsHonest(t *testing.T) {
	n := network(t, ring(t, 40, 2.5, 12, bare(t, "2 AWG solid tinned copper"), 15))
	r := rand.New(rand.NewPCG(7, 11))
	es := n.Edges()
	const rounds = 200
	hit, alone := 0, 0
	for range rounds {
		k := r.IntN(12) // a stretch of the ring
		broken := without(t, n, es[k].ID)
		factor := 1 + 0.03*r.Float64()
		var pairs []Pair
		for i := range 6 {
			a, b := n.names[2*i%12], n.names[(2*i+2)%12]
			v := between(t, broken, a, b) * factor
			pairs = append(pairs, Pair{A: a, B: b, Ohm: unit.Ohm(v*(1+0.02*r.NormFloat64()) + 20e-6*r.NormFloat64())})
		}
		f, err := n.FindBreak(pairs, two, nil)
		if err != nil {
			t.Fatal(err)
		}
		if slices.ContainsFunc(f.Alike, func(e Explanation) bool { return e.Break == es[k].ID }) {
			hit++
		}
		if len(f.Alike) <= 2 {
			alone++
		}
	}
	t.Logf("true state among the alike %d of %d; two or fewer alike %d", hit, rounds, alone)
	if hit < rounds*95/100 {
		t.Errorf("true state left out too often: %d of %d", hit, rounds)
	}
	if alone < rounds*9/10 {
		t.Errorf("tells too little apart: %d of %d", alone, rounds)
	}
}

// A compound of 23 taps is looked through in well under a second.
func TestFindIsQuick(t *testing.T) {
	n := network(t, ring(t, 124*unit.Foot, 8*unit.Foot, 44, bare(t, "2 AWG solid tinned copper"), 20))
	start := time.Now()
	if _, err := n.FindBreak([]Pair{{A: "W1 end", B: "W2 end", Ohm: 18e-3}}, two, nil); err != nil {
		t.Fatal(err)
	}
	d := time.Since(start)
	t.Logf("%v for %d pieces", d, len(n.Edges()))
	if d > 2*time.Second {
		t.Errorf("%v", d)
	}
}

// Points of the chi-square distribution, printed tables, 99 %.
func TestChi99(t *testing.T) {
	for _, c := range []struct {
		n    int
		want float64
	}{{1, 6.635}, {2, 9.210}, {3, 11.345}, {5, 15.086}, {10, 23.209}, {30, 50.892}} {
		near(t, "chi-square", chi99(c.n), c.want, 0.025)
	}
}
