package ground

import (
	"context"
	"errors"
	"math"
	"math/rand"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
	"stubup/trade/soil"
)

// layers is a model from rho, thickness, rho, thickness ... rho.
func layers(v ...float64) soil.Model {
	var m soil.Model
	for i := 0; i < len(v); i += 2 {
		l := soil.Layer{Resistivity: unit.OhmMetre(v[i])}
		if i+1 < len(v) {
			l.Thickness = unit.Metre(v[i+1])
		}
		m = append(m, l)
	}
	return m
}

func genSoil(n int) *rapid.Generator[soil.Model] {
	return rapid.Custom(func(t *rapid.T) soil.Model {
		k := rapid.IntRange(1, n).Draw(t, "layers")
		m := make(soil.Model, k)
		for i := range m {
			m[i].Resistivity = unit.OhmMetre(math.Pow(10, rapid.Float64Range(1, 3.5).Draw(t, "lg rho")))
			if i < k-1 {
				m[i].Thickness = unit.Metre(rapid.Float64Range(0.3, 6).Draw(t, "h"))
			}
		}
		return m
	})
}

// small is a ring with two rods, small enough to be solved many times.
func small(scale float64) []Wire {
	s := scale
	return []Wire{rect(0, 0, 4*s, 3*s, .6*s, .004*s), rod(0, 0, .6*s, 2.4*s, .008*s), rod(4*s, 3*s, .6*s, 2.4*s, .008*s)}
}

func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genSoil(3).Draw(t, "m")
		k := rapid.Float64Range(0.5, 3).Draw(t, "k")
		r := oneAt(t, m, Options{MaxLength: .5}, small(1)...)
		if got := oneAt(t, m.Scale(k), Options{MaxLength: .5}, small(1)...); rel(got, k*r) > 1e-9 {
			t.Fatalf("R does not scale with resistivity: %v, %v", got, k*r)
		}
		long := append(soil.Model(nil), m...)
		for i := range long {
			long[i].Thickness *= unit.Metre(k)
		}
		if got := oneAt(t, long, Options{MaxLength: .5 * k}, small(k)...); rel(got, r/k) > 1e-6 {
			t.Fatalf("R does not scale with 1/size: %v, %v", got, r/k)
		}
	})
}

func oneAt(t interface{ Fatal(...any) }, m soil.Model, o Options, ws ...Wire) float64 {
	s, err := Solve(context.Background(), m, []Electrode{{"A", ws}}, o)
	if err != nil {
		t.Fatal(err)
	}
	return float64(s.Resistance(0))
}

func TestLayerLimits(t *testing.T) {
	ws := compoundA(8 * ft)
	u1, u2 := one(t, soil.Single(100), ws...), one(t, soil.Single(700), ws...)
	for _, c := range []struct {
		name string
		m    soil.Model
		want float64
		tol  float64
	}{
		{"equal layers", layers(100, 1, 100, 2, 100), u1, 1e-12},
		// The mesh is cut at the boundaries, so the two differ by the mesh too.
		{"nearly equal layers", layers(100, 1, 100.0001, 2, 100), u1, 1e-4},
		{"boundary far down", soil.TwoLayer(100, 700, 3000), u1, 2e-3},
		{"boundary at grade", soil.TwoLayer(100, 700, 0.0005), u2, 2e-3},
		{"three layers with an equal pair", layers(100, 1, 700, 1, 700), one(t, soil.TwoLayer(100, 700, 1), ws...), 1e-12},
		{"three layers with a nearly equal pair", layers(100, 1, 700, 1, 700.001), one(t, soil.TwoLayer(100, 700, 1), ws...), 1e-5},
	} {
		if got := one(t, c.m, ws...); rel(got, c.want) > c.tol {
			t.Errorf("%s: %v, want %v within %v", c.name, got, c.want, c.tol)
		}
	}
	// The value goes continuously over a boundary that meets the ring or a tip.
	for _, z := range []float64{.762, .762 + 8*ft} {
		a, at, b := one(t, soil.TwoLayer(100, 700, unit.Metre(z-2e-4)), ws...), one(t, soil.TwoLayer(100, 700, unit.Metre(z)), ws...), one(t, soil.TwoLayer(100, 700, unit.Metre(z+2e-4)), ws...)
		if rel(a, at) > 0.004 || rel(b, at) > 0.004 {
			t.Errorf("jump at %v: %v %v %v", z, a, at, b)
		}
	}
}

func TestMoreMetalNeverRaises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genSoil(2).Draw(t, "m")
		o := Options{MaxLength: .5}
		r := oneAt(t, m, o, small(1)...)
		x, y := rapid.Float64Range(-5, 9).Draw(t, "x"), rapid.Float64Range(-5, 8).Draw(t, "y")
		l := rapid.Float64Range(.5, 5).Draw(t, "l")
		var clash *Error
		added, err := Solve(context.Background(), m, []Electrode{{"A", append(small(1), rod(x, y, .6, l, .008))}}, o)
		if errors.As(err, &clash) && clash.Fault == Coincident {
			t.Skip("drawn into the other rod")
		}
		if err != nil {
			t.Fatal(err)
		}
		more := float64(added.Resistance(0))
		// The mesh of what was there may change by a close passage: 0.1 %.
		if more > r*1.001 {
			t.Fatalf("%v with a rod more, %v without", more, r)
		}
		for i := range m { // monotone in each layer
			up := append(soil.Model(nil), m...)
			up[i].Resistivity *= 1.3
			if got := oneAt(t, up, o, small(1)...); got < r*(1-1e-6) {
				t.Fatalf("layer %d up, R down: %v, %v", i, got, r)
			}
		}
	})
}

func TestTransferAndCurrents(t *testing.T) {
	for _, m := range []soil.Model{soil.Single(100), soil.TwoLayer(100, 900, 1.5), layers(300, .8, 60, 1.2, 1500)} {
		s := solve(t, m, Options{}, Electrode{"A", small(1)}, Electrode{"B", []Wire{rod(8, 1, 0, 3, .008)}}, Electrode{"C", []Wire{rod(-3, 1, .5, 2, .008), rod(-3, 3, .5, 2, .008)}})
		z := s.Transfer()
		for i := range z {
			for j := range z {
				if z[i][j] != z[j][i] || z[i][j] <= 0 || z[i][j] > z[i][i] {
					t.Errorf("transfer %v", z)
				}
			}
			sum := make([]float64, 3)
			for _, l := range s.Currents(i) {
				sum[l.Electrode] += l.Current
			}
			for g, v := range sum {
				want := 0.0
				if g == i {
					want = 1
				}
				if math.Abs(v-want) > 1e-9 {
					t.Errorf("electrode %d carries %v for 1 A into %d", g, v, i)
				}
			}
			// A floating electrode's potential is that of the field in its place.
			for _, p := range [][3]float64{{2, 1.5, 0}, {5, 1, 1}, {8.3, 1, 2}, {-3.2, 1, 4}} {
				v, err := s.Potential(i, p)
				if err != nil || !(v > 0) || v >= float64(s.Resistance(i)) {
					t.Errorf("potential %v of %v at %v (%v)", v, s.Resistance(i), p, err)
				}
			}
			far := 3000.0
			v, _ := s.Potential(i, [3]float64{far, 0, 0})
			if want := float64(m[len(m)-1].Resistivity) / (2 * math.Pi * far); rel(v, want) > 0.02 {
				t.Errorf("far off %v, want %v", v, want)
			}
		}
		// On the metal the potential is that of the electrode.
		v, _ := s.Potential(0, [3]float64{2, 0, .6 - .004})
		if rel(v, float64(s.Resistance(0))) > 0.02 {
			t.Errorf("on the metal %v, electrode %v", v, s.Resistance(0))
		}
	}
}

func TestSymmetries(t *testing.T) {
	for _, m := range []soil.Model{soil.Single(100), soil.TwoLayer(100, 900, 1.5)} {
		r := one(t, m, small(1)...)
		// Mirrored in x and turned by a quarter.
		mirror, turned, moved := small(1), small(1), small(1)
		for i := range mirror {
			for j, p := range mirror[i].Path {
				mirror[i].Path[j] = [3]float64{-p[0], p[1], p[2]}
				turned[i].Path[j] = [3]float64{-p[1], p[0], p[2]}
				moved[i].Path[j] = [3]float64{p[0] + 1234, p[1] - 77, p[2]}
			}
		}
		for name, ws := range map[string][]Wire{"mirror": mirror, "turn": turned, "move": moved} {
			if got := one(t, m, ws...); rel(got, r) > 1e-9 {
				t.Errorf("%s: %v, want %v", name, got, r)
			}
		}
		// Order, direction and cutting of wires.
		rng := rand.New(rand.NewSource(1))
		for range 8 {
			var ws []Wire
			for _, w := range small(1) {
				for i := 1; i < len(w.Path); i++ {
					a, b := vec(w.Path[i-1]), vec(w.Path[i])
					cut := []vec{a, a.along(b, .2+.2*rng.Float64()), a.along(b, .5+.3*rng.Float64()), b}
					if rng.Intn(2) == 0 { // one wire with more points
						path := [][3]float64{cut[0], cut[1], cut[2], cut[3]}
						ws = append(ws, Wire{Radius: w.Radius, Path: path})
						continue
					}
					for k := 1; k < len(cut); k++ { // several wires
						p := [][3]float64{cut[k-1], cut[k]}
						if rng.Intn(2) == 0 {
							p[0], p[1] = p[1], p[0]
						}
						ws = append(ws, Wire{Radius: w.Radius, Path: p})
					}
				}
			}
			rng.Shuffle(len(ws), func(i, j int) { ws[i], ws[j] = ws[j], ws[i] })
			if got := one(t, m, ws...); rel(got, r) > 1e-9 {
				t.Errorf("cut up: %.12v, want %.12v", got, r)
			}
		}
	}
}

func TestMeshConvergence(t *testing.T) {
	for _, m := range []soil.Model{soil.Single(100), soil.TwoLayer(100, 1000, 5*ft), soil.TwoLayer(300, 50, 1), layers(300, .8, 60, 1.2, 1500)} {
		fine := float64(solve(t, m, Options{MaxLength: .1}, Electrode{"A", compoundA(8 * ft)}).Resistance(0))
		if got := one(t, m, compoundA(8*ft)...); rel(got, fine) > 0.002 {
			t.Errorf("%v: %v, with elements of 0.1 m %v", m, got, fine)
		}
	}
}

// twin is the slow obvious referee: potential at p per ampere from a point at
// q, by straight numerical integration over wave numbers of the recurrence,
// without images and without a fit.
func twin(m soil.Model, p, q vec) float64 {
	i, j := layerAt(m, q[2]), layerAt(m, p[2])
	if i > j {
		return twin(m, q, p)
	}
	n := len(m)
	top := make([]float64, n)
	for k := 1; k < n; k++ {
		top[k] = top[k-1] + float64(m[k-1].Thickness)
	}
	r := math.Hypot(p[0]-q[0], p[1]-q[1])
	up, down := make([]float64, n), make([]float64, n)
	e := func(k int, l, d float64) float64 {
		if k == n-1 {
			return 0
		}
		return math.Exp(-l * d)
	}
	h := func(k int) float64 { return float64(m[k].Thickness) }
	u0, u := q[2]-top[i], p[2]-top[j]
	f := func(l float64) float64 {
		m.Reflections(l, up, down)
		if i == j {
			s := up[i]*math.Exp(-l*(u+u0)) + down[i]*e(i, l, 2*h(i)-u-u0) + up[i]*down[i]*(e(i, l, 2*h(i)-u+u0)+e(i, l, 2*h(i)+u-u0))
			return s / (1 - up[i]*down[i]*e(i, l, 2*h(i)))
		}
		v := (math.Exp(-l*(h(i)-u0)) + up[i]*math.Exp(-l*(h(i)+u0))) * (1 + down[i]) / (1 - up[i]*down[i]*e(i, l, 2*h(i)))
		for k := i + 1; k < j; k++ {
			v *= (1 + down[k]) * math.Exp(-l*h(k)) / (1 + down[k]*e(k, l, 2*h(k)))
		}
		return v * (math.Exp(-l*u) + down[j]*e(j, l, 2*h(j)-u)) / (1 + down[j]*e(j, l, 2*h(j)))
	}
	near := math.Abs(p[2] - q[2])
	if i == j {
		near = p[2] + q[2]
		if i < n-1 {
			near = math.Min(near, 2*(top[i]+h(i))-p[2]-q[2])
		}
		if i > 0 {
			near = math.Min(near, u+u0)
		}
	}
	// Simpson's rule on a mesh that follows both the exponential and J0.
	end := 40 / near
	sum, lo := 0.0, 0.0
	for lo < end {
		d := math.Min(math.Max(lo*0.02, 1e-7), math.Min(0.1/math.Max(r, near), end))
		sum += d / 6 * (f(lo+1e-300)*math.J0(lo*r) + 4*f(lo+d/2)*math.J0((lo+d/2)*r) + f(lo+d)*math.J0((lo+d)*r))
		lo += d
	}
	if i == j {
		sum += 1 / p.sub(q).norm()
	}
	return sum * float64(m[i].Resistivity) / (4 * math.Pi)
}

func TestKernelTwin(t *testing.T) {
	models := []soil.Model{
		soil.TwoLayer(100, 900, 1.5), soil.TwoLayer(100, 11, 1.5), soil.TwoLayer(100, 1e5, 2), soil.TwoLayer(1000, 1, 2),
		layers(300, .8, 60, 3.2, 1500), layers(50, 1, 2000, 1, 20),
		layers(100, .5, 1000, .7, 10, 1.3, 500, 1, 50, 2, 2000),
	}
	rng := rand.New(rand.NewSource(3))
	for _, m := range models {
		k, err := fitLayered(context.Background(), m)
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for range 25 {
			p := vec{0, 0, .2 + 5*rng.Float64()}
			q := vec{.3 + 10*rng.Float64(), 0, .2 + 5*rng.Float64()}
			i, j := layerAt(m, q[2]), layerAt(m, p[2])
			var got float64
			if i <= j {
				got = point(p, q, k.images(i, j))
			} else {
				got = point(q, p, k.images(j, i))
			}
			worst = math.Max(worst, rel(got, twin(m, p, q)))
		}
		t.Logf("%v: worst of 25 pairs %.2g, fit %.2g", m, worst, k.doubt)
		if worst > 1e-4 {
			t.Errorf("%v: images and integral differ by %.2g", m, worst)
		}
	}
}

// The matrix entry of two elements against a plain double sum of the point
// kernel over many points of each.
func TestEntryTwin(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	m := soil.TwoLayer(100, 900, 1.5)
	k, _ := fitLayered(context.Background(), m)
	random := func(layer int) element {
		for {
			e := element{l: .1 + .4*rng.Float64(), r: .005, layer: layer}
			d := vec{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
			switch rng.Intn(3) {
			case 0:
				d = vec{0, 0, 1}
			case 1:
				d[2] = 0
			}
			e.t = d.scale(1 / d.norm())
			e.mid = vec{rng.Float64(), rng.Float64(), .3 + 2*rng.Float64()}
			za, zb := e.mid[2]-e.t[2]*e.l/2, e.mid[2]+e.t[2]*e.l/2
			if layerAt(m, za) == layer && layerAt(m, zb) == layer && za > 0 && zb > 0 {
				return e
			}
		}
	}
	for c := range 60 {
		f := random(c % 2)
		e := random(c%2 | c/2%2)
		if e.layer < f.layer {
			e, f = f, e
		}
		images := k.images(f.layer, e.layer)
		got := mean(&e, &f, images)
		const n = 120
		var want float64
		nearest := math.Inf(1)
		for i := range n {
			for j := range n {
				p := e.mid.add(e.t.scale(e.l * ((float64(i)+.5)/n - .5)))
				q := f.mid.add(f.t.scale(f.l * ((float64(j)+.5)/n - .5)))
				nearest = math.Min(nearest, p.sub(q).norm())
				for _, g := range images {
					dx, dy, dz := p[0]-q[0], p[1]-q[1], p[2]-g.sigma*q[2]-g.c
					want += g.w / math.Sqrt(dx*dx+dy*dy+dz*dz+(e.r*e.r+f.r*f.r)/2)
				}
			}
		}
		want /= n * n
		if nearest > .02 && rel(got, want) > 3e-4 {
			t.Errorf("case %d: %v, want %v (nearest %.3g m)", c, got, want, nearest)
		}
	}
}

// Two wires from one point at a small angle, and two that pass close by,
// are as good as one until they part.
func TestNarrow(t *testing.T) {
	m := soil.TwoLayer(100, 900, 1.5)
	single := one(t, m, Wire{Radius: .004, Path: [][3]float64{{0, 0, .6}, {10, 0, .6}}})
	last := single * 1.001
	for _, deg := range []float64{2, 3, 5, 10, 20, 45} {
		a := deg * math.Pi / 180
		got := one(t, m, Wire{Radius: .004, Path: [][3]float64{{0, 0, .6}, {10, 0, .6}}}, Wire{Radius: .004, Path: [][3]float64{{0, 0, .6}, {10 * math.Cos(a), 10 * math.Sin(a), .6}}})
		if got > last {
			t.Errorf("%v degrees: %v after %v", deg, got, last)
		}
		last = got
	}
	for _, gap := range []float64{.0081, .01, .02, .05} {
		got := one(t, m, Wire{Radius: .004, Path: [][3]float64{{0, 0, .6}, {10, 0, .6}}}, Wire{Radius: .004, Path: [][3]float64{{0, gap, .6}, {10, gap, .6}}})
		cross := one(t, m, Wire{Radius: .004, Path: [][3]float64{{0, 0, .6}, {10, 0, .6}}}, Wire{Radius: .004, Path: [][3]float64{{5, -5, .6 + gap}, {5, 5, .6 + gap}}})
		if got > single || got < .9*single || cross > single || cross < .5*single {
			t.Errorf("gap %v: %v beside, %v across, %v alone", gap, got, cross, single)
		}
	}
}

func TestBadInput(t *testing.T) {
	nan := math.NaN()
	good := []Wire{rod(0, 0, 0, 3, .008)}
	line := func(p ...[3]float64) []Wire { return []Wire{{Radius: .004, Path: p}} }
	for name, c := range map[string]struct {
		m     soil.Model
		es    []Electrode
		o     Options
		fault Fault
		wire  int
	}{
		"soil":               {soil.Single(-1), []Electrode{{"A", good}}, Options{}, BadSoil, -1},
		"no soil":            {nil, []Electrode{{"A", good}}, Options{}, BadSoil, -1},
		"contrast":           {layers(1e-3, 1, 1e5), []Electrode{{"A", good}}, Options{}, BadSoil, -1},
		"no electrodes":      {soil.Single(1), nil, Options{}, NoElectrodes, -1},
		"no wires":           {soil.Single(1), []Electrode{{"A", nil}}, Options{}, NoElectrodes, -1},
		"no name":            {soil.Single(1), []Electrode{{"", good}}, Options{}, BadID, -1},
		"same name":          {soil.Single(1), []Electrode{{"A", good}, {"A", []Wire{rod(9, 0, 0, 3, .008)}}}, Options{}, BadID, -1},
		"zero radius":        {soil.Single(1), []Electrode{{"A", []Wire{rod(0, 0, 0, 3, 0)}}}, Options{}, BadRadius, 0},
		"nan radius":         {soil.Single(1), []Electrode{{"A", []Wire{rod(0, 0, 0, 3, nan)}}}, Options{}, BadRadius, 0},
		"one point":          {soil.Single(1), []Electrode{{"A", line([3]float64{0, 0, 1})}}, Options{}, ZeroLength, 0},
		"no length":          {soil.Single(1), []Electrode{{"A", line([3]float64{0, 0, 1}, [3]float64{0, 0, 1})}}, Options{}, ZeroLength, 0},
		"nan":                {soil.Single(1), []Electrode{{"A", line([3]float64{0, nan, 1}, [3]float64{0, 0, 1})}}, Options{}, BadPoint, 0},
		"infinite":           {soil.Single(1), []Electrode{{"A", line([3]float64{0, 0, math.Inf(1)}, [3]float64{0, 0, 1})}}, Options{}, BadPoint, 0},
		"above grade":        {soil.Single(1), []Electrode{{"A", append(good, line([3]float64{5, 0, 1}, [3]float64{5, 0, -.1})...)}}, Options{}, AboveGrade, 1},
		"stub":               {soil.Single(1), []Electrode{{"A", line([3]float64{0, 0, 1}, [3]float64{0, 0.01, 1})}}, Options{}, TooShort, 0},
		"twice":              {soil.Single(1), []Electrode{{"A", append(good, good...)}}, Options{}, Coincident, 1},
		"overlap":            {soil.Single(1), []Electrode{{"A", append(line([3]float64{0, 0, 1}, [3]float64{5, 0, 1}), line([3]float64{4, 0, 1}, [3]float64{9, 0, 1})...)}}, Options{}, Coincident, 1},
		"back on itself":     {soil.Single(1), []Electrode{{"A", line([3]float64{0, 0, 1}, [3]float64{5, 0, 1}, [3]float64{2, 0, 1})}}, Options{}, Coincident, 0},
		"in another":         {soil.Single(1), []Electrode{{"A", good}, {"B", good}}, Options{}, Coincident, 0},
		"touching another":   {soil.Single(1), []Electrode{{"A", good}, {"B", line([3]float64{0, 0, 1}, [3]float64{5, 0, 1})}}, Options{}, TouchingOther, 0},
		"too many elements":  {soil.Single(1), []Electrode{{"A", compoundA(2)}}, Options{MaxElements: 50}, TooManyElements, -1},
		"negative element":   {soil.Single(1), []Electrode{{"A", good}}, Options{MaxLength: -1}, BadOption, -1},
		"element not number": {soil.Single(1), []Electrode{{"A", good}}, Options{MaxLength: nan}, BadOption, -1},
	} {
		_, err := Solve(context.Background(), c.m, c.es, c.o)
		var e *Error
		if !errors.As(err, &e) || e.Fault != c.fault || e.Wire != c.wire || e.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	s := solve(t, soil.Single(100), Options{}, Electrode{"A", good})
	for _, p := range [][3]float64{{nan, 0, 0}, {0, 0, -1}, {1e9, 0, 0}} {
		if _, err := s.Potential(0, p); err == nil {
			t.Errorf("potential at %v", p)
		}
		if _, err := s.FallOfPotential(0, p, nil); err == nil {
			t.Errorf("stake at %v", p)
		}
		if _, err := s.FallOfPotential(0, [3]float64{40, 0, 0}, [][3]float64{p}); err == nil {
			t.Errorf("probe at %v", p)
		}
	}
	if _, err := s.FallOfPotential(0, [3]float64{0, 0, 1}, nil); err == nil {
		t.Error("a stake on the electrode")
	}
	// A point inside the metal has the potential of its surface.
	if v, err := s.Potential(0, [3]float64{0, 0, 1}); err != nil || rel(v, float64(s.Resistance(0))) > .03 {
		t.Error(v, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Solve(ctx, soil.TwoLayer(100, 900, 1.5), []Electrode{{"A", compoundA(2)}}, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// Whatever is accepted gives finite positive numbers.
func TestNeverNaN(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genSoil(6).Draw(t, "m")
		var ws []Wire
		for range rapid.IntRange(1, 4).Draw(t, "wires") {
			w := Wire{Radius: math.Pow(10, rapid.Float64Range(-3, -1.5).Draw(t, "lg r"))}
			for range rapid.IntRange(2, 4).Draw(t, "points") {
				// A coarse lattice makes joints, crossings and boundaries hit.
				c := func(n string, hi int) float64 { return float64(rapid.IntRange(0, hi).Draw(t, n)) / 2 }
				w.Path = append(w.Path, [3]float64{c("x", 6), c("y", 6), c("z", 5)})
			}
			ws = append(ws, w)
		}
		s, err := Solve(context.Background(), m, []Electrode{{"A", ws}}, Options{MaxLength: .5})
		if err != nil {
			var e *Error
			if !errors.As(err, &e) {
				t.Fatal(err)
			}
			if e.Fault == NotSolvable {
				t.Fatalf("%v: %v", ws, err)
			}
			return
		}
		if r := float64(s.Resistance(0)); !(r > 0) || math.IsInf(r, 0) {
			t.Fatalf("R %v", r)
		}
		v, err := s.Potential(0, [3]float64{20, 0, 0})
		if err != nil || !(v > 0) || v >= float64(s.Resistance(0)) {
			t.Fatalf("potential %v of %v, %v", v, s.Resistance(0), err)
		}
	})
}
