package ground

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"stubup/trade/soil"
)

// same compares two solutions of the same metal to 1e-9: resistances,
// currents by place, potentials and readings.
func same(t interface{ Fatalf(string, ...any) }, got, want *Solution) {
	if got.Elements() != want.Elements() {
		t.Fatalf("%d elements, want %d", got.Elements(), want.Elements())
	}
	a, b := got.Transfer(), want.Transfer()
	for i := range b {
		for j := range b {
			if rel(float64(a[i][j]), float64(b[i][j])) > 1e-9 {
				t.Fatalf("transfer %d %d: %v, want %v", i, j, a[i][j], b[i][j])
			}
		}
		at := map[[2][3]float64]float64{}
		for _, l := range want.Currents(i) {
			at[[2][3]float64{l.From, l.To}] = l.Current
		}
		for _, l := range got.Currents(i) {
			if w, ok := at[[2][3]float64{l.From, l.To}]; !ok || math.Abs(l.Current-w) > 1e-9 {
				t.Fatalf("current at %v: %v, want %v", l.From, l.Current, w)
			}
		}
		x, err := got.FallOfPotential(i, [3]float64{90, 7, 0}, [][3]float64{{50, 5, 0}})
		if err != nil {
			t.Fatalf("%v", err)
		}
		y, _ := want.FallOfPotential(i, [3]float64{90, 7, 0}, [][3]float64{{50, 5, 0}})
		if rel(float64(x[0].Reading), float64(y[0].Reading)) > 1e-8 {
			t.Fatalf("reading %v, want %v", x[0], y[0])
		}
	}
}

func TestWithWires(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genSoil(3).Draw(t, "m")
		o := Options{MaxLength: 1}
		ws := compoundA(8 * ft)
		other := Electrode{"B", []Wire{rod(-9, 1, 0, 3, .008)}}
		s, err := Solve(context.Background(), m, []Electrode{{"A", ws}, other}, o)
		if err != nil {
			t.Fatal(err)
		}
		first, before := s, s.Resistance(0)
		for range rapid.IntRange(1, 3).Draw(t, "edits") { // edits of edits
			gone := rapid.IntRange(1, len(ws)-1).Draw(t, "gone")
			p := ws[gone].Path[0]
			var add []Wire
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0: // another length
				add = []Wire{rod(p[0], p[1], .762, rapid.Float64Range(.3, 7).Draw(t, "l"), half)}
			case 1: // moved off the ring
				add = []Wire{rod(p[0]+rapid.Float64Range(-2, 2).Draw(t, "dx"), p[1]+.4, .762, 2, half)}
			case 2: // slanted
				add = []Wire{{Radius: half, Path: [][3]float64{p, {p[0] + 1, p[1] + .5, 2.1}}}}
			}
			ws = append(append(append([]Wire{}, ws[:gone]...), ws[gone+1:]...), add...)
			next, err := s.WithWires(context.Background(), 0, []int{gone}, add)
			want, errWant := Solve(context.Background(), m, []Electrode{{"A", ws}, other}, o)
			if (err == nil) != (errWant == nil) {
				t.Fatalf("%v, from nothing %v", err, errWant)
			}
			if err != nil {
				return
			}
			same(t, next, want)
			s = next
		}
		if first.Resistance(0) != before {
			t.Fatal("the receiver changed")
		}
	})
}

func TestWithWiresBadInput(t *testing.T) {
	s := solve(t, soil.Single(100), Options{}, Electrode{"A", small(1)})
	r := s.Resistance(0)
	for name, f := range map[string]func() (*Solution, error){
		"electrode":  func() (*Solution, error) { return s.WithWires(context.Background(), 1, nil, nil) },
		"wire":       func() (*Solution, error) { return s.WithWires(context.Background(), 0, []int{9}, nil) },
		"all":        func() (*Solution, error) { return s.WithWires(context.Background(), 0, []int{0, 1, 2}, nil) },
		"coincident": func() (*Solution, error) { return s.WithWires(context.Background(), 0, nil, small(1)[1:]) },
	} {
		_, err := f()
		var e *Error
		if !errors.As(err, &e) || e.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if same, err := s.WithWires(context.Background(), 0, nil, nil); err != nil || rel(float64(same.Resistance(0)), float64(r)) > 1e-12 {
		t.Errorf("no change: %v", err)
	}
}

// The reduced factor is the factor of the reduced matrix.
func TestWithout(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for _, n := range []int{1, 2, 5, 64, 90} {
		for _, k := range []int{0, 1, 2, 7, n - 1} {
			if k >= n || k < 0 {
				continue
			}
			out := map[int]bool{}
			for len(out) < k {
				out[rng.Intn(n)] = true
			}
			src, full := positive(n, int64(n)), positive(n, int64(n))
			var gone []int
			var want cholesky
			for i := range n {
				if out[i] {
					gone = append(gone, i)
					continue
				}
				var r []float64
				for j := range i + 1 {
					if !out[j] {
						r = append(r, src[i][j])
					}
				}
				want = append(want, r)
			}
			if full.factor(context.Background()) != nil || want.factor(context.Background()) != nil {
				t.Fatal("not positive")
			}
			got := full.without(gone)
			for i := range want {
				for j := range want[i] {
					if math.Abs(got[i][j]-want[i][j]) > 1e-12*30 {
						t.Fatalf("%d without %v: [%d][%d] %v, want %v", n, gone, i, j, got[i][j], want[i][j])
					}
				}
			}
		}
	}
}

// An entry from the ladder is that of the plain sum.
func TestLadder(t *testing.T) {
	worst := 0.0
	for _, m := range []soil.Model{soil.Single(100), soil.TwoLayer(100, 900, 1.5), soil.TwoLayer(100, 11, 1.5), soil.TwoLayer(100, 900, .6), layers(300, .8, 60, 1.2, 1500)} {
		s := solve(t, m, Options{}, Electrode{"A", append(compoundA(8*ft), rod(400, 30, .2, 2, .01), Wire{Radius: .004, Path: [][3]float64{{-3, -3, .762}, {-90, -30, .762}}})})
		n := 0
		for i := range s.elements {
			for j := range i {
				e, f := &s.elements[i], &s.elements[j]
				if f.layer > e.layer {
					e, f = f, e
				}
				if e.class < 0 || f.class < 0 {
					continue
				}
				ld := s.fill.tables[e.class*s.fill.n+f.class]
				if ld == nil {
					continue
				}
				if v, ok := ld.mean(e, f); ok {
					n++
					worst = math.Max(worst, rel(v, mean(e, f, s.fill.k.images(f.layer, e.layer))))
				}
			}
		}
		if n < s.Elements()*s.Elements()/4 {
			t.Errorf("%v: only %d of %d pairs by ladder", m, n, s.Elements()*(s.Elements()+1)/2)
		}
	}
	t.Logf("worst %.2g", worst)
	if worst > 3e-9 {
		t.Errorf("worst %.2g", worst)
	}
}

// The bytes of an answer do not depend on how many work at it.
func TestSameBytesInParallel(t *testing.T) {
	for _, n := range []int{130, 257} {
		a, b := positive(n, 3), positive(n, 3)
		if err := a.factor(context.Background()); err != nil {
			t.Fatal(err)
		}
		prev := setProcs(1)
		err := b.factor(context.Background())
		setProcs(prev)
		if err != nil {
			t.Fatal(err)
		}
		for i := range a {
			for j := range a[i] {
				if a[i][j] != b[i][j] {
					t.Fatalf("n %d: [%d][%d] %v and %v", n, i, j, a[i][j], b[i][j])
				}
			}
		}
	}
	m := soil.TwoLayer(300, 100, 2)
	a := solve(t, m, Options{}, Electrode{"A", compoundA(8 * ft)}).Resistance(0)
	prev := setProcs(1)
	b := solve(t, m, Options{}, Electrode{"A", compoundA(8 * ft)}).Resistance(0)
	setProcs(prev)
	if a != b {
		t.Errorf("%v and %v", a, b)
	}
}

func BenchmarkEditOneRod(b *testing.B) {
	for _, c := range []struct {
		name string
		m    soil.Model
	}{{"uniform", soil.Single(100)}, {"two layers", soil.TwoLayer(300, 100, 2)}} {
		b.Run(c.name, func(b *testing.B) {
			s := solve(b, c.m, Options{}, Electrode{"A", compoundA(8 * ft)})
			i := 0
			for b.Loop() {
				i++
				l := (5 + float64(i%5)) * ft
				if _, err := s.WithWires(context.Background(), 0, []int{1}, []Wire{rod(2*ft, 2*ft, .762, l, half)}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The fill alone, in ns for one pair of elements.
func BenchmarkFill(b *testing.B) {
	for _, c := range []struct {
		name string
		m    soil.Model
	}{{"uniform", soil.Single(100)}, {"two layers", soil.TwoLayer(300, 100, 2)}, {"three layers", layers(300, .8, 60, 2, 1500)}} {
		b.Run(c.name, func(b *testing.B) {
			s := solve(b, c.m, Options{}, Electrode{"A", compoundA(8 * ft)})
			prev := setProcs(1)
			defer setProcs(prev)
			for b.Loop() {
				f := newFiller(s.fill.k, s.elements)
				if _, err := f.matrix(context.Background(), s.elements); err != nil {
					b.Fatal(err)
				}
			}
			n := float64(s.Elements())
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(n*(n+1)/2), "ns/pair")
		})
	}
}

// Dense systems up to what memory holds; -benchtime 1x.
func BenchmarkDense(b *testing.B) {
	for _, n := range []int{1000, 2000, 5000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			if testing.Short() {
				b.Skip("large")
			}
			// A mesh of conductors with about n elements.
			k := int(math.Sqrt(float64(n) / 22))
			g := squareGrid(k+1, k+1, 7, nil, 0)
			o := Options{MaxLength: 7.0 / 5}
			for b.Loop() {
				s := solve(b, soil.TwoLayer(300, 100, 2), o, Electrode{"A", g})
				b.ReportMetric(float64(s.Elements()), "elements")
			}
		})
	}
}

// One solution and one set of fixes asked from many sides at once; the race
// detector watches.
func TestConcurrent(t *testing.T) {
	s := solve(t, soil.TwoLayer(300, 100, 2), Options{MaxLength: .5}, Electrode{"A", compoundA(8 * ft)})
	f := fixes(t, soil.Single(150), compoundA(8*ft), sixteen()[:6], Options{MaxLength: .6})
	var wg sync.WaitGroup
	got := make([][3]float64, 8)
	for i := range got {
		wg.Go(func() {
			e, err := s.WithWires(context.Background(), 0, []int{1}, []Wire{rod(2*ft, 2*ft, .762, 3, half)})
			if err != nil {
				t.Error(err)
				return
			}
			g, err := s.SurfaceGrid(context.Background(), 0, Box{-2, -2, 4, 4}, 1)
			if err != nil {
				t.Error(err)
				return
			}
			c, err := f.Exact(context.Background(), f.Base()*.9, ByFeet)
			if err != nil {
				t.Error(err)
				return
			}
			got[i] = [3]float64{float64(e.Resistance(0)), g.V[11], float64(c.Resistance)}
		})
	}
	wg.Wait()
	for _, x := range got {
		if x != got[0] {
			t.Errorf("%v and %v", x, got[0])
		}
	}
}
