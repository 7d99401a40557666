package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/cite"
)

// What is expected here follows from the package's own promises (the worst of
// the inputs, each value once, all and only what hangs on a value), worked out
// a second way: by the closure of a table of who uses whom.

// net is a random descent: values made in order, each from earlier ones, and
// the table of which is made directly from which.
type net struct {
	v    []*Value
	from [][]bool
}

func nets() *rapid.Generator[net] {
	return rapid.Custom(func(t *rapid.T) net {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		g := net{from: make([][]bool, n)}
		for i := range n {
			g.from[i] = make([]bool, n)
			var in []*Value
			for j := range i {
				if rapid.IntRange(0, 2).Draw(t, "edge") == 0 {
					g.from[i][j] = true
					in = append(in, g.v[j])
				}
			}
			ref := cite.Ref{}
			if rapid.Bool().Draw(t, "cited") {
				ref = cite.Ref{Work: "W", Seen: cite.Seen(rapid.IntRange(0, 2).Draw(t, "seen"))}
			}
			path, name := fmt.Sprintf("p%d", i), fmt.Sprintf("value-%d", i)
			if len(in) == 0 {
				st := Standing(rapid.IntRange(0, 3).Draw(t, "standing"))
				g.v = append(g.v, Input(path, name, float64(i), "m", "x", st, ref))
			} else {
				g.v = append(g.v, Derive(path, name, float64(i), "m", "x", By{ID: "f", Cite: ref}, in...))
			}
		}
		return g
	})
}

// closure returns which value hangs on which, directly or not (Warshall).
func (g net) closure() [][]bool {
	r := make([][]bool, len(g.v))
	for i := range r {
		r[i] = slices.Clone(g.from[i])
	}
	for k := range r {
		for i := range r {
			for j := range r {
				r[i][j] = r[i][j] || r[i][k] && r[k][j]
			}
		}
	}
	return r
}

func TestStandingIsWorstOfInputs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := nets().Draw(t, "net")
		reach := g.closure()
		for i, v := range g.v {
			if len(v.From) == 0 {
				continue
			}
			worst := Measured
			for j, u := range g.v {
				if reach[i][j] && len(u.From) == 0 && u.Standing > worst {
					worst = u.Standing
				}
			}
			if v.Standing != worst {
				t.Fatalf("value %d stands as %v, the worst input below it as %v", i, v.Standing, worst)
			}
		}
	})
	// An input that is missing counts for nothing.
	if v := Derive("a", "a", 1, "", "1", By{}, nil, Input("b", "b", 1, "", "1", Default, cite.Ref{}), nil); len(v.From) != 1 || v.Standing != Default {
		t.Errorf("with nil inputs: %d inputs, %v", len(v.From), v.Standing)
	}
}

func TestSeenIsWorstOfDescent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := nets().Draw(t, "net")
		reach := g.closure()
		for i, v := range g.v {
			worst := cite.Read
			for j, u := range g.v {
				if (i == j || reach[i][j]) && u.By.Cite.Work != "" && u.By.Cite.Seen > worst {
					worst = u.By.Cite.Seen
				}
			}
			if v.Seen() != worst {
				t.Fatalf("value %d is known as %v, worst source %v", i, v.Seen(), worst)
			}
		}
	})
}

func TestWhyPrintsEachValueOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := nets().Draw(t, "net")
		reach := g.closure()
		for i, v := range g.v {
			text := v.Why()
			if !strings.HasPrefix(text, v.Name+" = ") {
				t.Fatalf("does not begin with the value asked about:\n%s", text)
			}
			for j, u := range g.v {
				want := 0
				if i == j || reach[i][j] {
					want = 1
				}
				if got := strings.Count(text, u.Name+" = "); got != want {
					t.Fatalf("value %d in the descent of %d: printed %d times, want %d\n%s", j, i, got, want, text)
				}
			}
		}
	})
}

func TestWhyText(t *testing.T) {
	soil := Input("soil", "resistivity", 100, "ohm-m", "100 ohm-m", Assumed, cite.Ref{Work: "W", Place: "Table 1", Seen: cite.FromMemory})
	rod := Input("rod", "length of the rod", 3, "m", "10 ft", Entered, cite.Ref{})
	r := Derive("r", "resistance", 30, "ohm", "30 ohm", By{Equation: "R = k rho/L"}, soil, rod)
	r.Outside = "L under 2 m"
	want := `resistance = 30 ohm  (assumed)
  R = k rho/L
  outside its stated range: L under 2 m
  resistivity = 100 ohm-m  (assumed; W Table 1 (from memory))
  length of the rod = 10 ft  (entered)
`
	if got := r.Why(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestUses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := nets().Draw(t, "net")
		reach := g.closure()
		var l Ledger
		for _, i := range rapid.Permutation(rng(len(g.v))).Draw(t, "order of adding") {
			if got := l.Add(g.v[i]); got != g.v[i] {
				t.Fatalf("adding value %d returned %v", i, got)
			}
		}
		all := l.All()
		if len(all) != len(g.v) {
			t.Fatalf("%d values kept of %d", len(all), len(g.v))
		}
		for i, v := range g.v {
			if l.Get(v.Path) != v {
				t.Fatalf("value %d is not at its path", i)
			}
			for _, f := range v.From {
				if slices.Index(all, f) > slices.Index(all, v) {
					t.Fatalf("value %d comes before its input %s", i, f.Path)
				}
			}
			uses := l.Uses(v.Path)
			for j, u := range g.v {
				if slices.Contains(uses, u) != reach[j][i] {
					t.Fatalf("value %d hangs on %d: %v, want %v", j, i, !reach[j][i], reach[j][i])
				}
			}
			if want := count(reach, i); len(uses) != want {
				t.Fatalf("%d uses of value %d, want %d", len(uses), i, want)
			}
		}
	})
}

func rng(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func count(reach [][]bool, i int) int {
	n := 0
	for j := range reach {
		if reach[j][i] {
			n++
		}
	}
	return n
}

// Two formulas that each make the input value anew still lean on one input.
func TestUsesOfAnInputMadeTwice(t *testing.T) {
	soil := func() *Value { return Input("soil", "resistivity", 100, "ohm-m", "100 ohm-m", Assumed, cite.Ref{}) }
	a := Derive("a", "a", 1, "", "1", By{}, soil())
	b := Derive("b", "b", 1, "", "1", By{}, soil())
	// mid is made twice as well, and only the second time from the soil.
	mid := Derive("mid", "mid", 1, "", "1", By{}, Input("x", "x", 1, "", "1", Entered, cite.Ref{}))
	again := Derive("mid", "mid", 1, "", "1", By{}, soil())
	c := Derive("c", "c", 1, "", "1", By{}, again)
	var l Ledger
	for _, v := range []*Value{a, b, mid, c} {
		l.Add(v)
	}
	var paths []string
	for _, u := range l.Uses("soil") {
		paths = append(paths, u.Path)
	}
	if want := []string{"a", "b", "c"}; !slices.Equal(paths, want) {
		t.Errorf("on the soil hang %v, want %v", paths, want)
	}
	sum := Derive("sum", "sum", 2, "", "2", By{}, a, b)
	if n := strings.Count(sum.Why(), "resistivity = "); n != 1 {
		t.Errorf("the resistivity is printed %d times:\n%s", n, sum.Why())
	}
}

func TestLedgerEdges(t *testing.T) {
	var l Ledger
	if l.Add(nil) != nil || l.Get("x") != nil || l.Uses("x") != nil || len(l.All()) != 0 {
		t.Error("an empty ledger holds something")
	}
	v := l.Add(Input("x", "x", 1, "", "1", Entered, cite.Ref{}))
	l.Add(v)
	if len(l.All()) != 1 || len(l.Uses("x")) != 0 {
		t.Errorf("one value added twice: %d kept, %d uses", len(l.All()), len(l.Uses("x")))
	}
}

func TestFinite(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want bool
	}{{0, true}, {-1e300, true}, {math.SmallestNonzeroFloat64, true}, {math.NaN(), false}, {math.Inf(1), false}, {math.Inf(-1), false}} {
		if got := (&Value{SI: c.v}).Finite(); got != c.want {
			t.Errorf("%v: %v", c.v, got)
		}
	}
}

func TestStandingWords(t *testing.T) {
	for s, word := range map[Standing]string{Measured: "measured", Entered: "entered", Default: "default", Assumed: "assumed"} {
		if got, ok := ParseStanding(word); s.String() != word || !ok || got != s {
			t.Errorf("%q: printed %q, read back %v, %v", word, s, got, ok)
		}
	}
	// What is not known is never taken for better than assumed.
	if Standing(9).String() != "assumed" || Standing(-1).String() != "assumed" {
		t.Error("an unknown standing passes for a better one")
	}
	if _, ok := ParseStanding("Measured"); ok {
		t.Error("a word that String never writes was read")
	}
}
