package pull_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/geom"
	"stubup/base/unit"
	. "stubup/trade/pull"
)

// near holds two tensions to a share of the tensions and weights at hand. The
// closed forms and the twin differ by rounding and by the step of the twin.
func near(a, b unit.Newton, tol, scale float64) bool {
	return math.Abs(float64(a-b)) <= tol*math.Max(scale, math.Max(math.Abs(float64(a)), math.Abs(float64(b))))
}

// twin integrates the force balance of a cable on a wall along a piece in
// space by the midpoint rule: weight and turning of the tension are vectors,
// what of them is square to the way is borne by the wall, and friction is K
// times that. It knows none of the closed forms and of no kind of bend.
func twin(p Piece, t1, w, k float64, steps int) (out, peak, low float64) {
	out, peak, low = t1, t1, t1
	length := p.A.Dist(p.B)
	radius := 0.0
	normal := geom.Point3{}
	if p.Arc {
		radius = p.A.Dist(p.Center)
		length = radius * float64(p.Angle) * math.Pi / 180
		normal = p.Center.Sub(p.A).Unit()
	}
	grow := func(s, t float64) float64 {
		way, pull := p.B.Sub(p.A).Unit(), geom.Point3{}
		if p.Arc {
			way = p.Dir.Turn(normal, s/radius)
			pull = normal.Turn(p.Dir.Scale(-1), s/radius).Scale(t / radius)
		}
		weight := geom.Point3{Z: -w}
		along := weight.Dot(way)
		wall := weight.Sub(way.Scale(along)).Add(pull)
		return -along + k*wall.Norm()
	}
	d := length / float64(steps)
	for i := range steps {
		s := float64(i) * d
		mid := out + d/2*grow(s, out)
		out += d * grow(s+d/2, mid)
		peak, low = math.Max(peak, out), math.Min(low, out)
	}
	return out, peak, low
}

// aim returns a direction and one square to it.
func aim(yaw, pitch, roll float64) (t, n geom.Point3) {
	t = geom.Point3{X: math.Cos(yaw) * math.Cos(pitch), Y: math.Sin(yaw) * math.Cos(pitch), Z: math.Sin(pitch)}
	side := geom.Point3{X: -math.Sin(yaw), Y: math.Cos(yaw)}
	return t, side.Turn(t.Cross(side), roll)
}

func arcAt(a, t, n geom.Point3, angle unit.Degree, r float64) Piece {
	c := a.Add(n.Scale(r))
	x := float64(angle) * math.Pi / 180
	return Piece{Arc: true, A: a, Dir: t, Center: c, Angle: angle, B: c.Sub(n.Turn(t.Scale(-1), x).Scale(r))}
}

// route draws joined pieces in space.
func route(t *rapid.T, most int) []Piece {
	at := geom.Point3{}
	way, normal := aim(rapid.Float64Range(-3, 3).Draw(t, "yaw"), rapid.SampledFrom([]float64{0, 0, math.Pi / 2, -math.Pi / 2, 0.3, -0.7}).Draw(t, "pitch"), 0)
	var out []Piece
	for range rapid.IntRange(1, most).Draw(t, "pieces") {
		if rapid.Bool().Draw(t, "arc") {
			roll := rapid.SampledFrom([]float64{0, math.Pi / 2, math.Pi, -math.Pi / 2, 0.4, 2.1, math.Pi/2 + 1e-3, 1.5, 1e-5}).Draw(t, "roll")
			n := normal.Turn(way.Cross(normal), roll)
			p := arcAt(at, way, n, unit.Degree(rapid.Float64Range(5, 180).Draw(t, "angle")), rapid.Float64Range(0.2, 4).Draw(t, "radius"))
			x := float64(p.Angle) * math.Pi / 180
			way, normal = way.Turn(n, x), n.Turn(way.Scale(-1), x)
			out = append(out, p)
			at = p.B
			continue
		}
		b := at.Add(way.Scale(rapid.Float64Range(0.1, 30).Draw(t, "length")))
		out = append(out, Piece{A: at, B: b})
		at = b
	}
	return out
}

func elements(t interface{ Fatal(...any) }, p []Piece) []Element {
	e, err := FromPieces(p)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func drawLoad(t *rapid.T) Load {
	return Load{
		Weight:   unit.NewtonPerM(rapid.Float64Range(0.5, 80).Draw(t, "weight")),
		Friction: rapid.Float64Range(0, 0.7).Draw(t, "friction"),
		Factor:   rapid.Float64Range(1, 1.6).Draw(t, "factor"),
	}
}

func run(t interface{ Fatal(...any) }, path []Element, l Load, enter unit.Newton) []Step {
	s, err := Tensions(path, l, enter)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func last(s []Step) unit.Newton { return s[len(s)-1].Out }

// TestAgainstTwin holds every form, in any plane and from any slope, tension
// and friction, to the slow twin: within 1e-5 of the tensions and of the
// weight of the bend, where the midpoint rule with 4000 steps errs by less
// than 1e-6 but where a wall is changed.
func TestAgainstTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pieces := route(t, 1)
		path := elements(t, pieces)
		l := drawLoad(t)
		scale := float64(l.Weight) * float64(path[0].Run())
		enter := rapid.SampledFrom([]float64{0, 0.05, 0.3, 1, 4, 50}).Draw(t, "enter") * scale
		got := run(t, path, l, unit.Newton(enter))[0]
		out, peak, low := twin(pieces[0], enter, float64(l.Weight), l.K(), 4000)
		if !near(got.Out, unit.Newton(out), 1e-5, scale) || !near(got.Peak, unit.Newton(peak), 1e-5, scale) || !near(got.Low, unit.Newton(low), 1e-5, scale) {
			t.Fatalf("%s %+v: %v (%v to %v), twin %v (%v to %v)", got.Form, path[0], got.Out, got.Low, got.Peak, out, low, peak)
		}
	})
}

// The forms as they are published, or derived by others from the force
// balance; each is here as printed, in pounds and feet.
func TestPrintedForms(t *testing.T) {
	const w, r, k = 2.0, 3.0, 0.4
	for _, deg := range []float64{20, 45, 90} {
		for _, t1 := range []float64{20, 200} {
			p := deg * math.Pi / 180
			e, s, c, wr := math.Exp(k*p), math.Sin(p), math.Cos(p), w*r/(1+k*k)
			for name, v := range map[string]struct {
				e    Element
				want float64
			}{
				"level":      {LevelBend(unit.Degree(deg), r), t1*math.Cosh(k*p) + math.Sinh(k*p)*math.Sqrt(t1*t1+w*r*w*r)},
				"level up":   {VerticalBend(0, unit.Degree(deg), r), t1*e - wr*(2*k*s-(1-k*k)*(e-c))},
				"up level":   {VerticalBend(unit.Degree(deg), 0, r), t1*e + wr*(2*k*e*s+(1-k*k)*(1-e*c))},
				"level down": {VerticalBend(0, -unit.Degree(deg), r), t1*e + wr*(2*k*s-(1-k*k)*(e-c))},
				"down level": {VerticalBend(-unit.Degree(deg), 0, r), t1*e - wr*(2*k*e*s+(1-k*k)*(1-e*c))},
			} {
				got := run(t, []Element{v.e}, Load{Weight: w, Friction: k}, unit.Newton(t1))
				if !near(last(got), unit.Newton(v.want), 1e-12, 1) {
					t.Errorf("%s %v degrees from %v: %v, printed %v", name, deg, t1, last(got), v.want)
				}
			}
		}
	}
}

func TestForms(t *testing.T) {
	for _, v := range []struct {
		e    Element
		want Form
	}{
		{Straight(1, 0), Level},
		{Straight(1, 30), Up},
		{Straight(1, -90), Down},
		{LevelBend(90, 1), BendLevel},
		{VerticalBend(0, 45, 1), BendLevelUp},
		{VerticalBend(45, 0, 1), BendUpLevel},
		{VerticalBend(0, -90, 1), BendLevelDown},
		{VerticalBend(-90, 0, 1), BendDownLevel},
		{VerticalBend(10, 45, 1), BendVertical},
		{VerticalBend(45, -45, 1), BendVertical},
		{TiltedBend(90, 1, 0, 0.5), BendTilted},
	} {
		if got := v.e.Form(); got != v.want {
			t.Errorf("%+v is %q, want %q", v.e, got, v.want)
		}
	}
	back := map[Form]Form{BendLevelUp: BendDownLevel, BendUpLevel: BendLevelDown, BendLevelDown: BendUpLevel, BendDownLevel: BendLevelUp, Up: Down, Down: Up, BendLevel: BendLevel}
	for _, e := range []Element{VerticalBend(0, 90, 1), VerticalBend(90, 0, 1), VerticalBend(0, -90, 1), VerticalBend(-90, 0, 1), Straight(2, 20), Straight(2, -20), LevelBend(30, 1)} {
		if got := e.Reversed().Form(); got != back[e.Form()] {
			t.Errorf("%q the other way is %q", e.Form(), got)
		}
	}
}

// In space, a path is classified by where its pieces lie.
func TestFromPieces(t *testing.T) {
	x, z := geom.Point3{X: 1}, geom.Point3{Z: 1}
	up := arcAt(geom.Point3{X: 3}, x, z, 90, 0.5)
	riser := Piece{A: up.B, B: up.B.Add(z.Scale(2))}
	over := arcAt(riser.B, z, geom.Point3{Y: 1}, 90, 0.5)
	side := arcAt(over.B, geom.Point3{Y: 1}, geom.Point3{X: -1}, 45, 0.5)
	path := elements(t, []Piece{{A: geom.Point3{}, B: up.A}, up, riser, over, side})
	want := []Form{Level, BendLevelUp, Up, BendUpLevel, BendLevel}
	for i, e := range path {
		if e.Form() != want[i] {
			t.Errorf("piece %d is %q, want %q", i+1, e.Form(), want[i])
		}
	}
	for words, bad := range map[string][]Piece{
		"starts 12 in from":       {{A: geom.Point3{}, B: x}, {A: geom.Point3{X: 1.3048}, B: geom.Point3{X: 2}}},
		"turns 90 degrees":        {{A: geom.Point3{}, B: x}, {A: x, B: x.Add(z)}},
		"radius of 0 in":          {{Arc: true, Dir: x, Angle: 90}},
		"no length":               {{}},
		"not square":              {{Arc: true, Dir: x, Center: x, Angle: 90}},
		"from its far end":        {{Arc: true, Dir: x, Center: z, Angle: 90}},
		"not finite":              {{A: geom.Point3{X: math.NaN()}, B: x}},
		"bend angle of 0 degrees": {{Arc: true, Dir: x, Center: z}},
	} {
		if _, err := FromPieces(bad); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("want %q, have %v", words, err)
		}
	}
}

// Without friction only gravity is left: the tension grows by the weight of
// the height won, whichever way it is won (to 1e-8: the integration of a
// tilted bend).
func TestFrictionless(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pieces := route(t, 6)
		l := drawLoad(t)
		l.Friction = 0
		rise := pieces[len(pieces)-1].B.Z - pieces[0].A.Z
		got := last(run(t, elements(t, pieces), l, 7))
		if want := 7 + float64(l.Weight)*rise; !near(got, unit.Newton(want), 1e-8, float64(l.Weight)*50) {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

func TestReversedTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path := elements(t, route(t, 6))
		for i, e := range Reverse(Reverse(path)) {
			p := path[i]
			if e.Length != p.Length || e.Angle != p.Angle || e.Radius != p.Radius || math.Abs(e.Rise-p.Rise) > 1e-12 || math.Abs(e.Toward-p.Toward) > 1e-12 {
				t.Fatalf("%+v came back as %+v", p, e)
			}
		}
	})
}

// halves returns the element cut in two, by placing the cut in space.
func halves(p Piece, share float64) []Piece {
	if !p.Arc {
		m := p.A.Add(p.B.Sub(p.A).Scale(share))
		return []Piece{{A: p.A, B: m}, {A: m, B: p.B}}
	}
	n := p.Center.Sub(p.A).Unit()
	r := p.A.Dist(p.Center)
	a := p.Angle * unit.Degree(share)
	one := arcAt(p.A, p.Dir, n, a, r)
	x := float64(a) * math.Pi / 180
	return []Piece{one, arcAt(one.B, p.Dir.Turn(n, x), n.Turn(p.Dir.Scale(-1), x), p.Angle-a, r)}
}

// A cut changes neither the end nor the extremes: to rounding for the closed
// forms, to the step of the integration for a tilted bend. Near the vertical
// that integration passes close by a change of walls, where it errs most.
func TestCutChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pieces := route(t, 1)
		l := drawLoad(t)
		whole := elements(t, pieces)
		scale := float64(l.Weight) * float64(whole[0].Run())
		enter := unit.Newton(rapid.Float64Range(0, 3).Draw(t, "enter") * scale)
		cut := elements(t, halves(pieces[0], rapid.Float64Range(0.1, 0.9).Draw(t, "share")))
		one, two := run(t, whole, l, enter)[0], run(t, cut, l, enter)
		tol := 1e-10
		if one.Form == BendTilted {
			tol = 1e-6
		}
		peak, low := max(two[0].Peak, two[1].Peak), min(two[0].Low, two[1].Low)
		if !near(one.Out, last(two), tol, scale) || !near(one.Peak, peak, tol, scale) || !near(one.Low, low, tol, scale) {
			t.Fatalf("%+v: %+v, cut %+v", whole[0], one, two)
		}
	})
}

// More friction, more length (upward or level) and more entering tension never
// make less; nor does more weight where the path does not go down.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path := elements(t, route(t, 5))
		l := drawLoad(t)
		enter := unit.Newton(rapid.Float64Range(0, 500).Draw(t, "enter"))
		base := run(t, path, l, enter)
		atLeast := func(what string, more []Step) {
			for i := range base {
				if d := base[i].Out - more[i].Out; float64(d) > 1e-9*math.Max(1, math.Abs(float64(base[i].Out)))+1e-6*float64(l.Weight) {
					t.Fatalf("%s lowers the tension after %d: %v to %v", what, i, base[i].Out, more[i].Out)
				}
			}
		}
		rougher := l
		rougher.Friction *= 1.2
		atLeast("friction", run(t, path, rougher, enter))
		atLeast("entering tension", run(t, path, l, enter*1.1))
		atLeast("length", run(t, append([]Element{Straight(3, 10)}, path...), l, enter)[1:])
	})
	rapid.Check(t, func(t *rapid.T) {
		path := []Element{Straight(10, 0), LevelBend(90, 1), Straight(5, 20), VerticalBend(20, 0, 2), LevelBend(45, 1)}
		l := drawLoad(t)
		heavier := l
		heavier.Weight *= 1.3
		if a, b := last(run(t, path, l, 5)), last(run(t, path, heavier, 5)); b < a {
			t.Fatalf("heavier cable pulls %v, lighter %v", b, a)
		}
	})
}

// The weightless law is the limit for high tension, and lies under the level
// bend.
func TestCapstanIsTheLimit(t *testing.T) {
	for _, e := range []Element{LevelBend(90, 1), VerticalBend(0, 90, 1), VerticalBend(0, -90, 1), TiltedBend(90, 1, 0, 0.6)} {
		got := last(run(t, []Element{e}, Load{Weight: 1, Friction: 0.3}, 1e7))
		if want := CapstanTension(1e7, 0.3, 90); !near(got, want, 1e-6, 0) {
			t.Errorf("%q: %v, weightless %v", e.Form(), got, want)
		}
	}
	if low := CapstanTension(5, 0.3, 90); last(run(t, []Element{LevelBend(90, 1)}, Load{Weight: 10, Friction: 0.3}, 5)) <= low {
		t.Errorf("the level bend is not above %v", low)
	}
}

// A pull keeps its limits exactly where the allowance is not under what
// enters: judged by walking forward, which knows nothing of the allowance.
// Entering tensions within 1e-6 of the allowance are left out.
func TestAllowanceIsExact(t *testing.T) {
	yes, no := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		path := elements(t, route(t, 5))
		l := drawLoad(t)
		w := float64(l.Weight)
		m := Limits{Tension: unit.Newton(w * rapid.Float64Range(5, 300).Draw(t, "limit")), Share: rapid.Float64Range(0.4, 1).Draw(t, "share"), Half: 0.03}
		if rapid.Bool().Draw(t, "wall") {
			m.Sidewall = unit.NewtonPerM(w * rapid.Float64Range(2, 200).Draw(t, "sidewall"))
		}
		a, err := AllowableEntering(path, l, m)
		if err != nil {
			t.Fatal(err)
		}
		hold, err := HoldBack(path, l)
		if err != nil || hold != a.Least {
			t.Fatal(hold, a, err)
		}
		back := a.Most * unit.Newton(rapid.SampledFrom([]float64{0, 0.5, 0.99999, 1.00001, 1.5}).Draw(t, "back"))
		enter := max(back, hold, 0)
		if math.Abs(float64(enter-a.Most)) < 1e-6*float64(m.Tension) {
			return
		}
		within := enter <= m.Tension
		for i, s := range run(t, path, l, enter) {
			within = within && s.Peak <= m.Tension*(1+1e-9)
			if s.Low < -unit.Newton(1e-6*w) {
				t.Fatalf("slack at %d with the hold-back: %v", i, s.Low)
			}
			if path[i].Bend() && m.Sidewall > 0 {
				within = within && Sidewall(s.Peak, path[i].Radius-m.Half, m.Share) <= m.Sidewall*(1+1e-9)
			}
		}
		if within != a.Holds(max(back, 0)) {
			t.Fatalf("walked: %v, allowance %+v for %v", within, a, enter)
		}
		if within {
			yes++
		} else {
			no++
		}
	})
	if yes < 10 || no < 10 {
		t.Errorf("%d within, %d not: this shows nothing", yes, no)
	}
}

// The hold-back is the least: a little under it, the cable runs slack.
func TestHoldBackIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path := elements(t, route(t, 5))
		l := drawLoad(t)
		h, err := HoldBack(path, l)
		if err != nil {
			t.Fatal(err)
		}
		if h < unit.Newton(1e-3*float64(l.Weight)) {
			return
		}
		slack := false
		for _, s := range run(t, path, l, h*(1-1e-4)) {
			slack = slack || s.Low < 0
		}
		if !slack {
			t.Fatalf("taut with less than %v", h)
		}
	})
}

// A search that grows a path element by element gets what the whole gives.
func TestBeforeBuildsUp(t *testing.T) {
	path := []Element{Straight(20, 0), LevelBend(90, 0.6), Straight(4, 90), VerticalBend(90, 0, 0.6)}
	l, m := Load{Weight: 15, Friction: 0.35, Factor: 1.2}, Limits{Tension: 3000, Sidewall: 4000, Half: 0.03}
	want, err := AllowableEntering(path, l, m)
	if err != nil {
		t.Fatal(err)
	}
	a := Allowance{Most: m.Tension}
	for i := len(path) - 1; i >= 0; i-- {
		a = path[i].Before(a, l, m)
	}
	if a != want {
		t.Errorf("%+v, whole %+v", a, want)
	}
}

func TestBadInputIsNamed(t *testing.T) {
	good, path := Load{Weight: 5, Friction: 0.3}, []Element{LevelBend(90, 1)}
	nan := math.NaN()
	for words, f := range map[string]func() error{
		"no cable weight":              func() error { _, err := Tensions(path, Load{Friction: 0.3}, 0); return err },
		"friction coefficient of -0.1": func() error { _, err := HoldBack(path, Load{Weight: 5, Friction: -0.1}); return err },
		"weight correction of 0.5":     func() error { _, err := Tensions(path, Load{Weight: 5, Factor: 0.5}, 0); return err },
		"radius of 0 in":               func() error { _, err := Tensions([]Element{LevelBend(90, 0)}, good, 0); return err },
		"entering tension of NaN":      func() error { _, err := Tensions(path, good, unit.Newton(nan)); return err },
		"the length is NaN":            func() error { _, err := Tensions([]Element{Straight(unit.Metre(nan), 0)}, good, 0); return err },
		"element 2: a bend angle": func() error {
			_, err := Tensions([]Element{Straight(1, 0), LevelBend(-10, 1)}, good, 0)
			return err
		},
		"no parts of square":      func() error { return TiltedBend(30, 1, 0.9, 0.9).Check() },
		"negative length":         func() error { return Straight(-1, 0).Check() },
		"a tension limit of 0":    func() error { _, err := AllowableEntering(path, good, Limits{}); return err },
		"inside a raceway of":     func() error { _, err := AllowableEntering(path, good, Limits{Tension: 1, Half: 2}); return err },
		"a sidewall limit of -1":  func() error { _, err := AllowableEntering(path, good, Limits{Tension: 1, Sidewall: -1}); return err },
		"do not go into":          func() error { _, _, err := WeightCorrection(Triangular, 1, 2); return err },
		"no diameter":             func() error { _, _, err := WeightCorrection(Cradled, 0, 2); return err },
		"friction from 0.5 to 0.": func() error { return Friction{Low: 0.5, Nominal: 0.5, High: 0.2}.Check() },
	} {
		if err := f(); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("want %q, have %v", words, err)
		}
	}
}

// Nothing that passes the checks comes out as no number.
func TestAlwaysFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := TiltedBend(unit.Degree(rapid.Float64Range(0.001, 360).Draw(t, "angle")), unit.Metre(rapid.Float64Range(1e-3, 100).Draw(t, "radius")), rapid.Float64Range(-1, 1).Draw(t, "rise"), rapid.Float64Range(-1, 1).Draw(t, "toward"))
		l := drawLoad(t)
		s, err := Tensions([]Element{e}, l, unit.Newton(rapid.Float64Range(-100, 1e6).Draw(t, "enter")))
		if err != nil {
			return
		}
		for _, v := range []unit.Newton{s[0].Out, s[0].Peak, s[0].Low} {
			if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
				t.Fatal(fmt.Sprintf("%+v", e), s[0])
			}
		}
	})
}

// A fall that bends out: the tension first grows, for the cable is pressed
// hard on the inner wall, falls, and grows again. The extremes within are those
// of the twin with 200,000 steps, to 1e-8.
func TestExtremesWithinAFall(t *testing.T) {
	const w, k = 10.0, 0.6
	down, out := geom.Point3{Z: -1}, geom.Point3{X: 1}
	p := arcAt(geom.Point3{}, down, out, 90, 1)
	path := elements(t, []Piece{p})
	for _, enter := range []float64{12, 16.7, 16.9, 17.2, 20} {
		got := run(t, path, Load{Weight: w, Friction: k}, unit.Newton(enter))[0]
		o, peak, low := twin(p, enter, w, k, 200000)
		if !near(got.Out, unit.Newton(o), 1e-8, w) || !near(got.Peak, unit.Newton(peak), 1e-8, w) || !near(got.Low, unit.Newton(low), 1e-8, w) {
			t.Errorf("from %v: %+v, twin %v (%v to %v)", enter, got, o, low, peak)
		}
	}
}
