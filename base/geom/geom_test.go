package geom

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Every expected value here is plane geometry: a textbook closed form, or a
// slower method that shares no code with the one under test. Lengths are
// metres. Where both sides are computed in floating point the tolerance is
// 1e-9 relative unless a line says otherwise.

const rel = 1e-9

func near(got, want, tol float64) bool {
	return math.Abs(got-want) <= tol*max(1, math.Abs(want))
}

func reversed(o Outline) Outline {
	r := slices.Clone(o)
	slices.Reverse(r)
	return r
}

func regular(n int, r float64) Outline {
	o := make(Outline, n)
	for i := range o {
		o[i] = Point{r, 0}.Rotate(2 * math.Pi * float64(i) / float64(n))
	}
	return o
}

func coord(lim float64) *rapid.Generator[float64] { return rapid.Float64Range(-lim, lim) }

func points(lim float64) *rapid.Generator[Point] {
	return rapid.Custom(func(t *rapid.T) Point {
		return Point{coord(lim).Draw(t, "x"), coord(lim).Draw(t, "y")}
	})
}

func lattice(lim int) *rapid.Generator[Point] {
	return rapid.Custom(func(t *rapid.T) Point {
		return Point{float64(rapid.IntRange(-lim, lim).Draw(t, "x")), float64(rapid.IntRange(-lim, lim).Draw(t, "y"))}
	})
}

// stars draws outlines that a point inside sees whole, counter-clockwise: one
// corner in each of n equal sectors, never more than half a turn apart.
func stars(r0, r1 float64) *rapid.Generator[Outline] {
	return rapid.Custom(func(t *rapid.T) Outline {
		n := rapid.IntRange(4, 12).Draw(t, "n")
		o := make(Outline, n)
		for i := range o {
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.8).Draw(t, "a")) / float64(n)
			o[i] = Point{rapid.Float64Range(r0, r1).Draw(t, "r"), 0}.Rotate(a)
		}
		return o
	})
}

// convex draws convex outlines, counter-clockwise: corners on an ellipse,
// turned and moved.
func convex() *rapid.Generator[Outline] {
	return rapid.Custom(func(t *rapid.T) Outline {
		n := rapid.IntRange(3, 9).Draw(t, "n")
		a, b := rapid.Float64Range(5, 60).Draw(t, "a"), rapid.Float64Range(5, 60).Draw(t, "b")
		turn, at := coord(math.Pi).Draw(t, "turn"), points(200).Draw(t, "at")
		o := make(Outline, n)
		for i := range o {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.7).Draw(t, "k")) / float64(n))
			o[i] = Point{a * c, b * s}.Rotate(turn).Add(at)
		}
		return o
	})
}

// turns returns the turn of a convex outline at each corner, from the law of
// cosines in the triangle of three corners running.
func turns(o Outline) []float64 {
	out := make([]float64, len(o))
	for i := range o {
		p, q := o[(i+len(o)-1)%len(o)], o[(i+1)%len(o)]
		a, b, c := p.Dist(o[i]), q.Dist(o[i]), p.Dist(q)
		out[i] = math.Pi - math.Acos((a*a+b*b-c*c)/(2*a*b))
	}
	return out
}

// side returns the sign of the turn a, b, c; exact for whole numbers.
func side(a, b, c Point) int {
	v := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// share is the textbook orientation test of whether two closed segments share
// a point; exact for whole numbers.
func share(a, b, c, d Point) bool {
	in := func(p, q, r Point) bool { // r, in line with p and q, lies between them
		return min(p.X, q.X) <= r.X && r.X <= max(p.X, q.X) && min(p.Y, q.Y) <= r.Y && r.Y <= max(p.Y, q.Y)
	}
	o1, o2, o3, o4 := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	if o1*o2 < 0 && o3*o4 < 0 {
		return true
	}
	return o1 == 0 && in(a, b, c) || o2 == 0 && in(a, b, d) || o3 == 0 && in(c, d, a) || o4 == 0 && in(c, d, b)
}

// tangled is the definition of a crossing outline, pair by pair.
func tangled(o Outline) bool {
	n := len(o)
	for i := range n {
		a, b, c := o[i], o[(i+1)%n], o[(i+2)%n]
		if side(a, b, c) == 0 && b.Sub(a).Dot(c.Sub(b)) < 0 {
			return true
		}
		for j := range n {
			if j != i && j != (i+1)%n && (j+1)%n != i && share(o[i], o[(i+1)%n], o[j], o[(j+1)%n]) {
				return true
			}
		}
	}
	return false
}

// winding is the number of times the outline goes round p, by the sum of the
// angles under which its sides are seen.
func winding(o Outline, p Point) int {
	sum := 0.0
	for i := range o {
		a, b := o[i].Sub(p), o[(i+1)%len(o)].Sub(p)
		sum += math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
	}
	return int(math.Round(sum / (2 * math.Pi)))
}

func TestPointOperations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := points(1e3).Draw(t, "p"), points(1e3).Draw(t, "q")
		a := coord(10).Draw(t, "a")
		// A turn about the origin keeps lengths and products.
		if r := p.Rotate(a); !near(r.Norm(), p.Norm(), rel) {
			t.Fatalf("length %v became %v", p.Norm(), r.Norm())
		}
		size := p.Norm() * q.Norm()
		if got := p.Rotate(a).Dot(q.Rotate(a)); math.Abs(got-p.Dot(q)) > rel*max(1, size) {
			t.Fatalf("dot %v became %v", p.Dot(q), got)
		}
		if got := p.Rotate(a).Cross(q.Rotate(a)); math.Abs(got-p.Cross(q)) > rel*max(1, size) {
			t.Fatalf("cross %v became %v", p.Cross(q), got)
		}
		// Left is a turn of a quarter; Lagrange: dot^2 + cross^2 = |p|^2 |q|^2.
		if l := p.Rotate(math.Pi / 2); l.Dist(p.Left()) > rel*max(1, p.Norm()) {
			t.Fatalf("left of %v is %v, a quarter turn gives %v", p, p.Left(), l)
		}
		if got := math.Hypot(p.Dot(q), p.Cross(q)); math.Abs(got-size) > rel*max(1, size) {
			t.Fatalf("Lagrange: %v, want %v", got, size)
		}
		if n := p.Unit().Norm(); p != (Point{}) && !near(n, 1, rel) {
			t.Fatalf("unit of %v has length %v", p, n)
		}
	})
	if (Point{}).Unit() != (Point{}) {
		t.Error("the zero vector has a direction")
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if (Point{v, 0}).Finite() || (Point{0, v}).Finite() || (Point{v, -v}).Finite() {
			t.Errorf("%v passes as finite", v)
		}
	}
	if !(Point{1, -2}).Finite() {
		t.Error("1, -2 is not finite")
	}
}

func TestNearestAgainstSampling(t *testing.T) {
	const steps = 500
	rapid.Check(t, func(t *rapid.T) {
		s := Segment{points(50).Draw(t, "a"), points(50).Draw(t, "b")}
		p := points(80).Draw(t, "p")
		got, par := s.Nearest(p)
		if par < 0 || par > 1 || got.Dist(s.A.Add(s.B.Sub(s.A).Scale(par))) > rel {
			t.Fatalf("nearest %v does not lie at its parameter %v", got, par)
		}
		best := math.Inf(1)
		for i := range steps + 1 {
			k := float64(i) / steps
			best = min(best, math.Hypot(s.A.X*(1-k)+s.B.X*k-p.X, s.A.Y*(1-k)+s.B.Y*k-p.Y))
		}
		// A sample lies within half a step of the true foot.
		if d := got.Dist(p); d > best+rel || d < best-s.Len()/steps/2-rel {
			t.Fatalf("nearest at %v, sampled %v", d, best)
		}
	})
	if q, k := (Segment{Point{1, 2}, Point{1, 2}}).Nearest(Point{5, 5}); q != (Point{1, 2}) || k != 0 {
		t.Errorf("a segment of no length: %v at %v", q, k)
	}
}

func TestCrossesFindsThePoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Two segments laid through one known place must cross there.
		p := points(100).Draw(t, "p")
		a := coord(math.Pi).Draw(t, "direction")
		b := a + rapid.Float64Range(0.02, math.Pi-0.02).Draw(t, "angle between")
		arm := rapid.Float64Range(0.01, 80)
		u, v := Point{1, 0}.Rotate(a), Point{1, 0}.Rotate(b)
		s := Segment{p.Sub(u.Scale(arm.Draw(t, "s1"))), p.Add(u.Scale(arm.Draw(t, "s2")))}
		o := Segment{p.Sub(v.Scale(arm.Draw(t, "o1"))), p.Add(v.Scale(arm.Draw(t, "o2")))}
		if got, ok := s.Crosses(o); !ok || !got.Near(p) {
			t.Fatalf("met at %v, %v; laid through %v", got, ok, p)
		}
		// Cut back to stop a millimetre short of the place, they miss.
		short := Segment{s.A, p.Sub(u.Scale(min(0.001, 0.5*p.Dist(s.A))))}
		if got, ok := short.Crosses(o); ok {
			t.Fatalf("a piece that stops short meets at %v", got)
		}
	})
}

func TestCrossesAgainstOrientation(t *testing.T) {
	hit, miss := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		g := lattice(6)
		a, b, c, d := g.Draw(t, "a"), g.Draw(t, "b"), g.Draw(t, "c"), g.Draw(t, "d")
		want := share(a, b, c, d)
		for _, pair := range [][2]Segment{{{a, b}, {c, d}}, {{c, d}, {a, b}}, {{b, a}, {c, d}}, {{a, b}, {d, c}}} {
			p, ok := pair[0].Crosses(pair[1])
			if ok != want {
				t.Fatalf("%v: %v, want %v", pair, ok, want)
			}
			if !ok {
				continue
			}
			for _, s := range pair {
				if n, _ := s.Nearest(p); !n.Near(p) {
					t.Fatalf("%v: shared point %v is off %v", pair, p, s)
				}
			}
		}
		if want {
			hit++
		} else {
			miss++
		}
	})
	if hit == 0 || miss == 0 {
		t.Errorf("%d crossings and %d misses drawn: one kind was never tried", hit, miss)
	}
}

func TestRegularPolygon(t *testing.T) {
	// Area n r^2 sin(2 pi/n)/2, perimeter 2 n r sin(pi/n), apothem r cos(pi/n).
	for n := 3; n < 40; n++ {
		const r = 7.3
		a := math.Pi / float64(n)
		o := regular(n, r)
		if want := float64(n) * r * r * math.Sin(2*a) / 2; !near(o.Area(), want, rel) || !near(reversed(o).Area(), -want, rel) {
			t.Errorf("%d corners: area %v and %v, want %v", n, o.Area(), reversed(o).Area(), want)
		}
		if want := 2 * float64(n) * r * math.Sin(a); !near(o.Len(), want, rel) {
			t.Errorf("%d corners: perimeter %v, want %v", n, o.Len(), want)
		}
		mid := Point{r * math.Cos(a), 0}.Rotate(a)
		if !o.Contains(mid) || !o.Contains(mid.Scale(0.999)) || o.Contains(mid.Scale(1.001)) {
			t.Errorf("%d corners: the middle of a side is not the edge", n)
		}
	}
}

func TestKnownShapes(t *testing.T) {
	for _, c := range []struct {
		name      string
		o         Outline
		area, len float64
	}{
		{"3-4-5 triangle", Outline{{0, 0}, {4, 0}, {0, 3}}, 6, 12},
		{"rectangle 12 by 5", Outline{{0, 0}, {12, 0}, {12, 5}, {0, 5}}, 60, 34},
		{"rectangle with a corner in mid-side", Outline{{0, 0}, {6, 0}, {12, 0}, {12, 5}, {0, 5}}, 60, 34},
		{"ell: 10 by 10 less 6 by 6", Outline{{0, 0}, {10, 0}, {10, 4}, {4, 4}, {4, 10}, {0, 10}}, 64, 40},
		{"rhombus, diagonals 6 and 8", Outline{{3, 0}, {0, 4}, {-3, 0}, {0, -4}}, 24, 20},
		{"one point", Outline{{3, 3}}, 0, 0},
		{"nothing", nil, 0, 0},
	} {
		far := Point{3e3, -5e3}
		moved := make(Outline, len(c.o))
		for i, p := range c.o {
			moved[i] = p.Rotate(0.7).Add(far)
		}
		for _, o := range []Outline{c.o, moved} {
			if !near(o.Area(), c.area, 1e-7) || !near(o.Len(), c.len, rel) { // shoelace terms near 3e7
				t.Errorf("%s: area %v, perimeter %v; want %v, %v", c.name, o.Area(), o.Len(), c.area, c.len)
			}
		}
	}
}

func TestContainsAgainstWinding(t *testing.T) {
	in, out := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		o := stars(2, 40).Draw(t, "outline")
		if rapid.Bool().Draw(t, "clockwise") {
			o = reversed(o)
		}
		for range 10 {
			p := points(30).Draw(t, "p")
			if slices.ContainsFunc(o.Sides(), func(s Segment) bool { n, _ := s.Nearest(p); return n.Dist(p) < 1e-4 }) {
				continue // on the edge: asked below
			}
			want := winding(o, p) != 0
			if o.Contains(p) != want {
				t.Fatalf("contains %v: %v, angle sum says %v", p, !want, want)
			}
			if want {
				in++
			} else {
				out++
			}
		}
		for i, s := range o.Sides() {
			k := rapid.Float64Range(0, 1).Draw(t, "k")
			if p := s.A.Add(s.B.Sub(s.A).Scale(k)); !o.Contains(p) {
				t.Fatalf("side %d: a point on it is outside", i)
			}
		}
	})
	if in == 0 || out == 0 {
		t.Errorf("%d inside and %d outside drawn: one kind was never tried", in, out)
	}
}

// Pick: a simple outline with whole-number corners has area I + B/2 - 1, with
// I whole-number points inside and B on the edge.
func TestPick(t *testing.T) {
	ran := 0
	rapid.Check(t, func(t *rapid.T) {
		o := stars(2, 12).Draw(t, "outline")
		for i, p := range o {
			o[i] = Point{math.Round(p.X), math.Round(p.Y)}
		}
		if o = o.Without(0.5); len(o) < 3 || tangled(o) {
			t.Skip("rounding tangled it")
		}
		ran++
		edge, all := 0, 0
		for i, p := range o {
			q := o[(i+1)%len(o)]
			a, b := int(math.Abs(q.X-p.X)), int(math.Abs(q.Y-p.Y))
			for b != 0 {
				a, b = b, a%b
			}
			edge += a
		}
		for x := -13.0; x <= 13; x++ {
			for y := -13.0; y <= 13; y++ {
				if o.Contains(Point{x, y}) {
					all++
				}
			}
		}
		if want := float64(all-edge) + float64(edge)/2 - 1; math.Abs(o.Area()) != want {
			t.Fatalf("area %v; %d points inside or on, %d on: Pick gives %v", o.Area(), all, edge, want)
		}
	})
	if ran == 0 {
		t.Error("every outline drawn was tangled")
	}
}

// A convex outline moved inward by d loses 2 d tan(turn/2) of perimeter at
// each corner and P d - d^2 sum tan(turn/2) of area; moved outward it gains
// the like. A side of length L between turns s and t is gone at
// d = L/(tan(s/2) + tan(t/2)).
func TestOffsetConvex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := convex().Draw(t, "outline")
		n := len(o)
		sum, gone := 0.0, math.Inf(1)
		tan := make([]float64, n)
		for i, a := range turns(o) {
			tan[i] = math.Tan(a / 2)
			sum += tan[i]
		}
		for i := range o {
			gone = min(gone, o[i].Dist(o[(i+1)%n])/(tan[i]+tan[(i+1)%n]))
		}
		k := rapid.Float64Range(-3, 0.98).Draw(t, "share of what it bears")
		d, area, sign := k*gone, o.Area(), 1.0
		if rapid.Bool().Draw(t, "clockwise") {
			o, sign = reversed(o), -1
		}
		got, ok := o.Offset(d)
		if !ok {
			t.Fatalf("moved by %v of %v: refused", d, gone)
		}
		// The law of cosines loses digits at a flat corner: 1e-6 relative.
		if want := o.Len() - 2*d*sum; !near(got.Len(), want, 1e-6) {
			t.Errorf("perimeter %v, want %v", got.Len(), want)
		}
		if want := sign * (area - o.Len()*d + d*d*sum); !near(got.Area(), want, 1e-6) {
			t.Errorf("area %v, want %v", got.Area(), want)
		}
		for i, s := range got.Sides() {
			was := o.Sides()[i]
			if dist := s.A.Sub(was.A).Dot(was.Dir().Left()) * sign; !near(dist, d, 1e-7) {
				t.Errorf("side %d moved by %v, want %v", i, dist, d)
			}
		}
		back, ok := got.Offset(-d)
		if !ok {
			t.Fatal("moved back: refused")
		}
		for i := range o {
			if back[i].Dist(o[i]) > 1e-6 {
				t.Errorf("corner %d came back %v away", i, back[i].Dist(o[i]))
			}
		}
		if _, ok := o.Offset(gone * rapid.Float64Range(1.02, 20).Draw(t, "too much")); ok {
			t.Error("a side vanished and the outline passed as sound")
		}
	})
}

func TestOffsetKnownShapes(t *testing.T) {
	// Two rooms 10 by 10 joined by a neck 2 wide and 10 long.
	neck := Outline{{0, 0}, {10, 0}, {10, 4}, {20, 4}, {20, 0}, {30, 0}, {30, 10}, {20, 10}, {20, 6}, {10, 6}, {10, 10}, {0, 10}}
	ell := Outline{{0, 0}, {10, 0}, {10, 4}, {4, 4}, {4, 10}, {0, 10}}
	flat := Outline{{0, 0}, {6, 0}, {12, 0}, {12, 5}, {0, 5}}
	for _, c := range []struct {
		name string
		o    Outline
		d    float64
		ok   bool
		len  float64 // only where sound
	}{
		{"neck, half its width less 0.1", neck, 0.9, true, neck.Len() - 8*0.9},
		{"neck, just half its width", neck, 1, false, 0},
		{"neck, more than half its width", neck, 1.1, false, 0},
		{"neck outward, gap of 8 not closed", neck, -4.9, true, neck.Len() + 8*4.9},
		{"ell inward 1", ell, 1, true, 40 - 8},   // five right turns, one left
		{"ell outward 1", ell, -1, true, 40 + 8}, // five right turns, one left
		{"ell inward 2", ell, 2, false, 0},
		{"corner in mid-side stays in line", flat, 1, true, 34 - 8},
		{"two corners", Outline{{0, 0}, {1, 0}}, 0.1, false, 0},
		{"a corner twice", Outline{{0, 0}, {9, 0}, {9, 0}, {0, 9}}, 0.1, false, 0},
		{"bow-tie", Outline{{0, 0}, {10, 10}, {10, 0}, {0, 10}}, 0.1, false, 0},
	} {
		for _, o := range []Outline{c.o, reversed(c.o)} {
			got, ok := o.Offset(c.d)
			if ok != c.ok {
				t.Errorf("%s: sound is %v, want %v (%v)", c.name, ok, c.ok, got)
			}
			if c.ok && !near(got.Len(), c.len, rel) {
				t.Errorf("%s: perimeter %v, want %v", c.name, got.Len(), c.len)
			}
		}
	}
}

func TestCrossesItselfKnownShapes(t *testing.T) {
	for _, c := range []struct {
		name string
		o    Outline
		at   Point
		bad  bool
	}{
		{"square", Outline{{0, 0}, {4, 0}, {4, 4}, {0, 4}}, Point{}, false},
		{"triangle", Outline{{0, 0}, {4, 0}, {0, 4}}, Point{}, false},
		{"corner in mid-side", Outline{{0, 0}, {2, 0}, {4, 0}, {4, 4}, {0, 4}}, Point{}, false},
		{"bow-tie", Outline{{0, 0}, {4, 4}, {4, 0}, {0, 4}}, Point{2, 2}, true},
		{"spike at the end of a side", Outline{{0, 0}, {4, 0}, {6, 0}, {4, 0}, {4, 4}, {0, 4}}, Point{4, 0}, true}, // the foot, where three sides meet
		{"spike of two sides", Outline{{6, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}, Point{6, 0}, true},
		{"flat triangle", Outline{{0, 0}, {10, 0}, {5, 0}}, Point{10, 0}, true},
		{"a corner on a far side", Outline{{0, 0}, {8, 0}, {8, 4}, {4, 0}, {0, 4}}, Point{4, 0}, true},
		{"two squares through one corner", Outline{{0, 0}, {2, 0}, {2, 2}, {4, 2}, {4, 4}, {2, 4}, {2, 2}, {0, 2}}, Point{2, 2}, true},
	} {
		// The same outline begun at any corner, either way round.
		for k := range c.o {
			o := append(slices.Clone(c.o[k:]), c.o[:k]...)
			for _, o := range []Outline{o, reversed(o)} {
				p, bad := o.CrossesItself()
				if bad != c.bad {
					t.Errorf("%s from corner %d: %v, want %v", c.name, k, bad, c.bad)
				}
				onTwo := 0
				for _, s := range o.Sides() {
					if n, _ := s.Nearest(p); n.Near(p) {
						onTwo++
					}
				}
				if bad && onTwo < 2 {
					t.Errorf("%s from corner %d: %v lies on %d sides", c.name, k, p, onTwo)
				}
			}
		}
		if p, _ := c.o.CrossesItself(); c.bad && !p.Near(c.at) {
			t.Errorf("%s: found at %v, want %v", c.name, p, c.at)
		}
	}
}

func TestCrossesItselfStars(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := stars(1, 100).Draw(t, "outline")
		if p, bad := o.CrossesItself(); bad {
			t.Fatalf("a star-shaped outline crosses itself at %v", p)
		}
	})
}

func TestCrossesItselfSwaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := stars(20, 400).Draw(t, "outline")
		for i, p := range o { // whole metres, where the slow way is exact
			o[i] = Point{math.Round(p.X), math.Round(p.Y)}
		}
		for range rapid.IntRange(0, 2).Draw(t, "swaps") {
			i, j := rapid.IntRange(0, len(o)-1).Draw(t, "i"), rapid.IntRange(0, len(o)-1).Draw(t, "j")
			o[i], o[j] = o[j], o[i]
		}
		if _, bad := o.CrossesItself(); bad != tangled(o) {
			t.Fatalf("crosses itself: %v, pair by pair: %v", bad, !bad)
		}
	})
	// A small lattice brings corners on sides, spikes and shared corners.
	bad, sound := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		o := Outline(rapid.SliceOfN(lattice(4), 3, 7).Draw(t, "outline"))
		_, got := o.CrossesItself()
		if got != tangled(o) {
			t.Fatalf("crosses itself: %v, pair by pair: %v", got, !got)
		}
		if got {
			bad++
		} else {
			sound++
		}
	})
	if bad == 0 || sound == 0 {
		t.Errorf("%d crossing and %d sound drawn: one kind was never tried", bad, sound)
	}
}

// Points in convex position have one simple outline only: their hull. Any two
// corners swapped make it cross, unless three are all there are.
func TestCrossesItselfConvexSwap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := convex().Filter(func(o Outline) bool { return len(o) > 4 }).Draw(t, "outline")
		i := rapid.IntRange(0, len(o)-1).Draw(t, "i")
		j := (i + rapid.IntRange(1, len(o)-1).Draw(t, "gap")) % len(o)
		o[i], o[j] = o[j], o[i]
		if _, bad := o.CrossesItself(); !bad {
			t.Fatal("two corners of a convex outline swapped, and no crossing seen")
		}
	})
}

func TestHullDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pts []Point
		if rapid.Bool().Draw(t, "lattice") {
			pts = rapid.SliceOfN(lattice(5), 0, 30).Draw(t, "points")
		} else {
			pts = rapid.SliceOfN(points(60), 0, 30).Draw(t, "points")
		}
		before := slices.Clone(pts)
		checkHull(t, pts)
		if !slices.Equal(pts, before) {
			t.Fatal("the points given were changed")
		}
	})
}

// checkHull holds a hull against its definition: its corners are points
// given, every point lies on the left of every side within the micrometre
// allowed, and no corner is idle.
func checkHull(t interface {
	Helper()
	Fatalf(string, ...any)
}, pts []Point,
) {
	t.Helper()
	h := Hull(pts)
	for _, c := range h {
		if !slices.Contains(pts, c) {
			t.Fatalf("corner %v is none of the points", c)
		}
	}
	if len(pts) > 0 && len(h) == 0 {
		t.Fatalf("no hull of %d points", len(pts))
	}
	if len(h) < 3 {
		// All in one place or in one line: the hull is its two ends.
		for _, p := range pts {
			s := Segment{h[0], h[len(h)-1]}
			if n, _ := s.Nearest(p); n.Dist(p) > 1.01e-6 {
				t.Fatalf("hull %v misses %v", h, p)
			}
		}
		return
	}
	for i, s := range h.Sides() {
		if s.Len() == 0 {
			t.Fatalf("side %d of %v has no length", i, h)
		}
		for _, p := range pts {
			if off := s.Dir().Cross(p.Sub(s.A)); off < -1.01e-6 {
				t.Fatalf("%v lies %v m outside side %d of %v", p, -off, i, h)
			}
		}
		// Strictly convex: the next corner is off this side's line.
		if next := h[(i+2)%len(h)]; s.Dir().Cross(next.Sub(s.B)) <= 0 {
			t.Fatalf("corner %v is idle", s.B)
		}
	}
	if h.Area() <= 0 {
		t.Fatalf("area %v: not counter-clockwise", h.Area())
	}
}

// Points in line but for a hair, as a survey in feet turned into metres or an
// outline turned through an angle makes them.
func TestHullNearlyInLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn, at := coord(math.Pi).Draw(t, "turn"), points(100).Draw(t, "at")
		hair := rapid.SampledFrom([]float64{0, 1e-12, 1e-9, 1e-7, 1e-6, 4e-6}).Draw(t, "hair")
		lean := func() float64 { return coord(1).Draw(t, "lean") * hair }
		var pts []Point
		for i := range rapid.IntRange(0, 8).Draw(t, "on the sides") {
			k := float64(i+1) / 9
			pts = append(pts, Point{30 * k, lean()}, Point{30 + lean(), 20 * k}, Point{30 * k, 20 + lean()}, Point{lean(), 20 * k})
		}
		for _, c := range []Point{{0, 0}, {30, 0}, {30, 20}, {0, 20}} {
			pts = append(pts, c, c.Add(Point{lean(), lean()}))
		}
		if !rapid.Bool().Draw(t, "square to the axes") {
			for i, p := range pts {
				pts[i] = p.Rotate(turn).Add(at)
			}
		}
		checkHull(t, pts)
		h := Hull(pts)
		if hair < 1e-6 && len(h) != 4 {
			t.Fatalf("hull %v of a rectangle has %d corners", h, len(h))
		}
		if !near(h.Area(), 600, 1e-5) || !near(h.Len(), 100, 1e-5) {
			t.Fatalf("hull %v: area %v, perimeter %v; want 600, 100", h, h.Area(), h.Len())
		}
		// A ring is laid round the hull: it must bear to be moved outward. Two
		// corners some micrometres apart stay two, and share the turn between
		// them: they may cut the sharp corner, by 2 - 4 tan(45 deg/2) = 0.343
		// at the most.
		least := 108.0
		if hair >= 1e-6 {
			least -= 4 * (2 - 4*math.Tan(math.Pi/8))
		}
		if out, ok := h.Offset(-1); !ok || out.Len() < least-1e-3 || out.Len() > 108+1e-3 {
			t.Fatalf("hull %v moved out 1 m: %v, perimeter %v, want 108", h, ok, out.Len())
		}
	})
}

// A line of points closer than any tape reads is still as long as it is.
func TestHullFineChain(t *testing.T) {
	var pts []Point
	for i := range 2001 {
		pts = append(pts, Point{float64(i) * 5e-6, 0})
	}
	pts = append(pts, Point{0, 1}, Point{0.01, 1})
	if h := Hull(pts); !near(h.Len(), 2.02, 3*Eps) {
		t.Errorf("hull of a fine chain %v: perimeter %v, want 2.02", h, h.Len())
	}
}

func TestWithout(t *testing.T) {
	o := Outline{{0, 0}, {0.1, 0}, {0.2, 0}, {0.3, 0}, {5, 0}, {5, 5}, {5, 5.05}, {0, 5}, {0, 0.2}, {0.1, 0.1}}
	want := Outline{{0, 0}, {0.3, 0}, {5, 0}, {5, 5}, {0, 5}}
	// 0.3 from the corner kept before it, 0, 0, though 0.1 from the one dropped.
	if got := o.Without(0.25); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if got := (Outline{{1, 1}, {1, 1}, {1, 1}}).Without(Eps); len(got) != 1 {
		t.Errorf("one place thrice leaves %v", got)
	}
	if got := Outline(nil).Without(1); len(got) != 0 {
		t.Errorf("nothing leaves %v", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		o := Outline(rapid.SliceOfN(points(3), 0, 20).Draw(t, "outline"))
		before := slices.Clone(o)
		d := rapid.Float64Range(0, 3).Draw(t, "d")
		got := o.Without(d)
		for _, s := range got.Sides() {
			if len(got) > 1 && s.Len() <= d {
				t.Fatalf("a side of %v is left, limit %v", s.Len(), d)
			}
		}
		if !slices.Equal(o, before) || !slices.Equal(got.Without(d), got) {
			t.Fatal("the outline given was changed, or a second pass drops more")
		}
	})
}

// Turning p toward q, square to it, in their plane: the length stays 1, the
// angle from p is a, and turns add up (Rodrigues' rotation formula about p x q).
func TestTurn(t *testing.T) {
	vec := rapid.Custom(func(t *rapid.T) Point3 {
		return Point3{coord(1).Draw(t, "x"), coord(1).Draw(t, "y"), coord(1).Draw(t, "z")}
	})
	rapid.Check(t, func(t *rapid.T) {
		p := vec.Filter(func(v Point3) bool { return v.Norm() > 0.1 }).Draw(t, "p").Unit()
		w := vec.Filter(func(v Point3) bool { return v.Norm() > 0.1 && p.Cross(v.Unit()).Norm() > 0.1 }).Draw(t, "w")
		axis := p.Cross(w).Unit()
		q := axis.Cross(p)
		a := coord(math.Pi).Draw(t, "a")
		got := p.Turn(q, a)
		if !near(got.Norm(), 1, rel) {
			t.Fatalf("length %v", got.Norm())
		}
		if ang := math.Atan2(p.Cross(got).Dot(axis), p.Dot(got)); math.Abs(math.Remainder(ang-a, 2*math.Pi)) > rel {
			t.Fatalf("angle %v, want %v", ang, a)
		}
		s, c := math.Sincos(a)
		rod := p.Scale(c).Add(axis.Cross(p).Scale(s)).Add(axis.Scale(axis.Dot(p) * (1 - c)))
		if got.Dist(rod) > rel {
			t.Fatalf("got %v, Rodrigues %v", got, rod)
		}
		if back := got.Turn(axis.Cross(got), -a); back.Dist(p) > rel {
			t.Fatalf("turned back to %v, want %v", back, p)
		}
	})
	east, up := Point3{1, 0, 0}, Point3{0, 0, 1}
	if got := east.Turn(up, math.Pi/2); got.Dist(up) > rel {
		t.Errorf("a quarter turn from east to up gives %v", got)
	}
	if got := (Point{3, 4}).At(12); got.Norm() != 13 || got.Plan() != (Point{3, 4}) { // 3-4-12-13
		t.Errorf("3, 4 at height 12: %v, length %v", got, got.Norm())
	}
}

// An L of three unit squares: the mean of their middles, and the same about any
// first corner and either way round. A line has only its mean.
func TestCentroid(t *testing.T) {
	l := Outline{{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2}}
	want := Point{5. / 6, 5. / 6}
	for i := range l {
		turned := append(append(Outline{}, l[i:]...), l[:i]...)
		back := append(Outline{}, turned...)
		slices.Reverse(back)
		for _, o := range []Outline{turned, back} {
			if c := o.Centroid(); c.Dist(want) > 1e-12 {
				t.Errorf("%v: %v", o, c)
			}
		}
	}
	if c := (Outline{{0, 0}, {4, 2}}).Centroid(); c != (Point{2, 1}) {
		t.Error(c)
	}
}
