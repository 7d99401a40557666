// Package pull computes the tension of pulling cable through a raceway: along
// straights and bends in any plane, from either end, with the pressure on
// bends, the limits of the cables and of what holds them, and how much tension
// may still enter a path.
//
// A pull is quasi-static: at every place the cable lies on the wall that its
// weight and the turning of its tension press it to, with T the tension, s the
// way, W the weight by length, K the friction coefficient times the weight
// correction, t the unit tangent, n the unit vector to the center of the bend,
// R its radius and z upward:
//
//	dT/ds = W (z.t) + K |N|,  N = W (z - (z.t) t) - (T/R) n
//
// All closed forms here are solutions of it.
//
// It gives quantities and citations, not permission: the makers of the cable,
// the raceway, the lubricant and the pulling gear decide, and so do local code
// and a licensed person.
package pull

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// Load is what is pulled, at one friction.
type Load struct {
	Weight   unit.NewtonPerM // of all cables together
	Friction float64         // coefficient of friction f
	Factor   float64         // weight correction wc, 1 and up; zero counts as 1
}

// K returns the effective friction f wc.
func (l Load) K() float64 {
	if l.Factor == 0 {
		return l.Friction
	}
	return l.Friction * l.Factor
}

// Check returns what is wrong with a load.
func (l Load) Check() error {
	switch {
	case !(l.Weight > 0) || math.IsInf(float64(l.Weight), 0):
		return fmt.Errorf("no cable weight: %v N/m", float64(l.Weight))
	case !(l.Friction >= 0) || math.IsInf(l.Friction, 0):
		return fmt.Errorf("a friction coefficient of %v", l.Friction)
	case !(l.Factor == 0 || l.Factor >= 1) || math.IsInf(l.Factor, 0):
		return fmt.Errorf("a weight correction of %v; it is 1 or more", l.Factor)
	}
	return nil
}

// Step is the tension along one element of a path.
type Step struct {
	Name      string
	Form      Form
	In, Out   unit.Newton
	Peak, Low unit.Newton // greatest and least within the element, ends included
}

// Tensions returns the tension along a path, element by element, for the
// tension that enters it. Tension may come out negative where the cable would
// run ahead by its own weight; HoldBack tells what prevents that.
func Tensions(path []Element, l Load, entering unit.Newton) ([]Step, error) {
	if err := l.Check(); err != nil {
		return nil, err
	}
	if err := CheckPath(path); err != nil {
		return nil, err
	}
	if math.IsNaN(float64(entering)) || math.IsInf(float64(entering), 0) {
		return nil, fmt.Errorf("an entering tension of %v", float64(entering))
	}
	return tensions(path, l, entering), nil
}

func tensions(path []Element, l Load, entering unit.Newton) []Step {
	out := make([]Step, 0, len(path))
	t, w, k := float64(entering), float64(l.Weight), l.K()
	for i, e := range path {
		p := e.pass(t, w, k)
		out = append(out, Step{Name: e.label(i), Form: e.Form(), In: unit.Newton(t), Out: unit.Newton(p.out), Peak: unit.Newton(p.peak), Low: unit.Newton(p.low)})
		t = p.out
	}
	return out
}

// StraightTension returns the tension at the end of a straight:
//
//	T2 = T1 + W L (sin a + K cos a)
//
// with a the slope, positive upward in the direction of the pull. It is
// T1 + W L K on the level and T1 +/- W L in a riser.
func StraightTension(t1 unit.Newton, w unit.NewtonPerM, k float64, length unit.Metre, slope unit.Degree) unit.Newton {
	return unit.Newton(Straight(length, slope).pass(float64(t1), float64(w), k).out)
}

// LevelBendTension returns the tension at the end of a bend in a level plane:
//
//	T2 = T1 cosh(K phi) + sinh(K phi) sqrt(T1^2 + (W R)^2)
func LevelBendTension(t1 unit.Newton, w unit.NewtonPerM, k float64, angle unit.Degree, radius unit.Metre) unit.Newton {
	return unit.Newton(levelBend(float64(t1), float64(w)*float64(radius), k*rad(angle)))
}

// VerticalBendTension returns the tension at the end of a bend in a vertical
// plane between two slopes, positive upward in the direction of the pull. With
// psi the angle from straight up to the direction of the center, turning with
// the bend, and s = +1 on the inner wall, -1 on the outer (where the weight
// outdoes the tension, T < W R cos psi):
//
//	T2 = e^(sK(psi2 - psi1)) (T1 - P(psi1)) + P(psi2)
//	P(psi) = -W R/(1 + K^2) (2 s K sin psi + (1 - K^2) cos psi)
//
// Where the cable leaves one wall for the other, the law is taken in two parts.
func VerticalBendTension(t1 unit.Newton, w unit.NewtonPerM, k float64, from, to unit.Degree, radius unit.Metre) unit.Newton {
	return unit.Newton(VerticalBend(from, to, radius).pass(float64(t1), float64(w), k).out)
}

// CapstanTension returns the tension at the end of a bend by the law of a
// weightless cable. It is an approximation, near only where T1 is far above
// W R, and it is never above the level bend:
//
//	T2 = T1 e^(K phi)
func CapstanTension(t1 unit.Newton, k float64, angle unit.Degree) unit.Newton {
	return t1 * unit.Newton(BendMultiplier(k, angle))
}

// BendMultiplier returns e^(K phi), by which a bend multiplies the tension of a
// weightless cable.
func BendMultiplier(k float64, angle unit.Degree) float64 { return math.Exp(k * rad(angle)) }

// passage is what an element makes of the tension that enters it.
type passage struct{ out, peak, low float64 }

func (p *passage) take(t float64) { p.peak, p.low = math.Max(p.peak, t), math.Min(p.low, t) }

// pass returns the tension after the element and its extremes within. Every
// part of the answer grows with the tension that enters.
func (e Element) pass(t, w, k float64) passage {
	p := passage{t, t, t}
	switch {
	case !e.Bend():
		p.out += w * float64(e.Length) * (e.Rise + k*e.flatness())
		p.take(p.out)
	case math.Abs(e.Rise) < flat && math.Abs(e.Toward) < flat:
		p.out = levelBend(t, w*float64(e.Radius), k*rad(e.Angle))
		p.take(p.out)
	case e.vertical():
		e.vertically(&p, w*float64(e.Radius), k)
	default:
		e.tilted(&p, w*float64(e.Radius), k)
	}
	return p
}

// flatness returns the cosine of the slope of a straight. Near plumb it is the
// root of a small difference: what is under the grain of flat is plumb.
func (e Element) flatness() float64 {
	if c := math.Sqrt(math.Max(0, 1-e.Rise*e.Rise)); c > flat {
		return c
	}
	return 0
}

// levelBend solves dT/dphi = K sqrt(T^2 + (W R)^2); the sign of K phi is that
// of the way along the bend.
func levelBend(t, wr, kphi float64) float64 {
	return t*math.Cosh(kphi) + math.Sinh(kphi)*math.Hypot(t, wr)
}

// vertically takes a bend in a vertical plane by its closed form. The angle psi
// has sin psi = rise and cos psi = toward; it grows along every such bend.
//
// With the cable on one wall, T has no more than one extreme in each part
// between the angles 0, a and pi - a of every half turn, tan a = 1/K: where
// dT/dpsi = 0 its own slope is W R (cos psi + s K sin psi), which keeps its
// sign there. And in each half turn the cable changes walls no more than once,
// for where T = W R cos psi the slope of their difference is 2 W R sin psi.
func (e Element) vertically(p *passage, wr, k float64) {
	psi, left := math.Atan2(e.Rise, e.Toward), rad(e.Angle)
	a := math.Atan2(1, k)
	wall, crossed := 1.0, false
	if off := p.out - wr*math.Cos(psi); off < 0 || off == 0 && math.Sin(psi+left*1e-9) < 0 {
		wall = -1
	}
	for left > 0 {
		d, turned := left, false
		half := math.Pi * math.Floor(psi/math.Pi+1e-12)
		for _, b := range []float64{half + a, half + math.Pi - a, half + math.Pi} {
			if b-psi > 1e-12 && b-psi < d {
				d, turned = b-psi, b == half+math.Pi
				break
			}
		}
		t, s := p.out, wall
		form := func(x float64) float64 { return verticalForm(psi, t, x, wr, s*k) }
		off := func(x float64) float64 { return form(x) - wr*math.Cos(psi+x) }
		if !crossed && off(d)*s < 0 {
			d, turned = cross(0, d, off), false
			wall, crossed = -s, true
		}
		slope := func(x float64) float64 { return wr*math.Sin(psi+x) + s*k*off(x) }
		if slope(0)*slope(d) < 0 {
			p.take(form(cross(0, d, slope)))
		}
		p.out = form(d)
		p.take(p.out)
		psi += d
		left -= d
		crossed = crossed && !turned
	}
}

// verticalForm solves dT/dpsi = W R sin psi + k (T - W R cos psi).
func verticalForm(psi, t, d, wr, k float64) float64 {
	part := func(psi float64) float64 {
		s, c := math.Sincos(psi)
		return -wr / (1 + k*k) * (2*k*s + (1-k*k)*c)
	}
	return math.Exp(k*d)*(t-part(psi)) + part(psi+d)
}

// grain is the greatest step of the integration of a tilted bend, and coarse
// the share of the tension and weight by which a step may miss two half steps.
const (
	grain  = math.Pi / 120
	coarse = 1e-10
)

// tilted integrates the law along a bend in any other plane, by the classical
// Runge-Kutta rule of fourth order, in steps halved where the law bends
// sharply: where a nearly vertical bend nearly leaves one wall for the other.
func (e Element) tilted(p *passage, wr, k float64) {
	all := rad(e.Angle)
	n := math.Ceil(all / grain)
	for i := range int(n) {
		e.step(p, float64(i)*all/n, all/n, wr, k, 24)
	}
}

func (e Element) step(p *passage, x, d, wr, k float64, depth int) {
	slope := func(x, t float64) float64 { return e.slope(x, t, wr, k) }
	t := p.out
	end := rungeKutta(slope, x, t, d)
	fine := rungeKutta(slope, x+d/2, rungeKutta(slope, x, t, d/2), d/2)
	if depth > 0 && math.Abs(end-fine) > coarse*(math.Abs(t)+wr) {
		e.step(p, x, d/2, wr, k, depth-1)
		e.step(p, x+d/2, d/2, wr, k, depth-1)
		return
	}
	if slope(x, t)*slope(x+d, fine) < 0 {
		u := cross(0, d, func(u float64) float64 { return slope(x+u, rungeKutta(slope, x, t, u)) })
		p.take(rungeKutta(slope, x, t, u))
	}
	p.out = fine
	p.take(fine)
}

// slope returns dT/dphi at the angle x along a bend in any plane:
//
//	dT/dphi = W R (z.t) + K sqrt((W R)^2 (1 - (z.t)^2) + T^2 - 2 T W R (z.n))
func (e Element) slope(x, t, wr, k float64) float64 {
	s, c := math.Sincos(x)
	rise, toward := e.Rise*c+e.Toward*s, e.Toward*c-e.Rise*s
	return wr*rise + k*math.Sqrt(math.Max(0, wr*wr*(1-rise*rise)+t*t-2*t*wr*toward))
}

func rungeKutta(f func(x, y float64) float64, x, y, d float64) float64 {
	a := f(x, y)
	b := f(x+d/2, y+d/2*a)
	c := f(x+d/2, y+d/2*b)
	return y + d/6*(a+2*b+2*c+f(x+d, y+d*c))
}

// cross returns where a function that has other signs at a and b is zero, by
// halving.
func cross(a, b float64, f func(float64) float64) float64 {
	up := f(b) > 0
	for range 60 {
		m := (a + b) / 2
		if m == a || m == b {
			break
		}
		if (f(m) > 0) == up {
			b = m
		} else {
			a = m
		}
	}
	return (a + b) / 2
}

// Limits is what a path may bear.
type Limits struct {
	Tension  unit.Newton     // anywhere along it
	Sidewall unit.NewtonPerM // of the worst cable at a bend; zero: none
	// Share is the sidewall pressure of the worst cable as a part of the
	// tension over the radius; zero counts as 1.
	Share float64
	// Half is half the inside diameter of the raceway: the inside radius of a
	// bend is its radius less this.
	Half unit.Metre
}

// most returns the tension that an element may bear.
func (m Limits) most(e Element) float64 {
	if !e.Bend() || m.Sidewall == 0 {
		return float64(m.Tension)
	}
	share := m.Share
	if share == 0 {
		share = 1
	}
	return math.Min(float64(m.Tension), float64(m.Sidewall)*float64(m.inside(e))/share)
}

// inside returns the inside radius of a bend.
func (m Limits) inside(e Element) unit.Metre {
	if e.Open {
		return e.Radius
	}
	return e.Radius - m.Half
}

func (m Limits) check(path []Element) error {
	switch {
	case !(m.Tension > 0) || math.IsInf(float64(m.Tension), 0):
		return fmt.Errorf("a tension limit of %v N", float64(m.Tension))
	case !(m.Sidewall >= 0) || math.IsInf(float64(m.Sidewall), 0):
		return fmt.Errorf("a sidewall limit of %v N/m", float64(m.Sidewall))
	case !(m.Share >= 0) || math.IsInf(m.Share, 0):
		return fmt.Errorf("a sidewall share of %v", m.Share)
	case !(m.Half >= 0) || math.IsInf(float64(m.Half), 0):
		return fmt.Errorf("half an inside diameter of %s in", unit.Trim(m.Half.In(), 3))
	}
	for i, e := range path {
		if e.Bend() && m.inside(e) <= 0 {
			return fmt.Errorf("%s: a bend radius of %s in inside a raceway of %s in", e.label(i), unit.Trim(e.Radius.In(), 3), unit.Trim(2*m.Half.In(), 3))
		}
	}
	return nil
}

// Allowance is the span of tension that may enter a path.
type Allowance struct {
	Most unit.Newton // the largest that keeps the limits; negative where none does
	// Least is the smallest that keeps the cable taut all the way: above zero
	// the reel has to be braked.
	Least unit.Newton
}

// Holds reports whether a pull with a back tension keeps the limits: the
// tension that enters is the larger of it and Least.
func (a Allowance) Holds(back unit.Newton) bool { return max(back, a.Least) <= a.Most }

// AllowableEntering returns how much tension may enter a path so that its
// limits hold to the far end, worked backward from there: over a straight the
// allowance falls by what the straight adds; at a bend it is what the bend
// makes grow to its own limit. A pull within limits and a tension not above
// the allowance are the same thing.
func AllowableEntering(path []Element, l Load, m Limits) (Allowance, error) {
	if err := l.Check(); err != nil {
		return Allowance{}, err
	}
	if err := CheckPath(path); err != nil {
		return Allowance{}, err
	}
	if err := m.check(path); err != nil {
		return Allowance{}, err
	}
	a := Allowance{Most: m.Tension}
	for i := len(path) - 1; i >= 0; i-- {
		a = path[i].before(a, l, m)
	}
	return a, nil
}

// Before returns the allowance at the start of an element for the one at its
// end, for a search that grows a path element by element from the pulling end.
// Start from Allowance{Most: m.Tension}. The element, load and limits must be
// sound, as AllowableEntering checks them.
func (e Element) Before(a Allowance, l Load, m Limits) Allowance { return e.before(a, l, m) }

func (e Element) before(a Allowance, l Load, m Limits) Allowance {
	w, k := float64(l.Weight), l.K()
	ceiling, out := m.most(e), float64(a.Most)
	high := e.greatest(math.Min(out, ceiling), ceiling, w, k)
	if out < 0 {
		high = math.Min(high, out)
	}
	return Allowance{Most: unit.Newton(high), Least: unit.Newton(e.least(float64(a.Least), w, k))}
}

// greatest returns the largest tension that may enter so that out is not
// passed at the end nor ceiling within; below zero where not even zero may.
func (e Element) greatest(out, ceiling, w, k float64) float64 {
	switch {
	case out < 0:
		return -1
	case !e.Bend():
		return math.Min(ceiling, out-e.pass(0, w, k).out)
	case e.Form() == BendLevel:
		return levelBend(out, w*float64(e.Radius), -k*rad(e.Angle))
	}
	over := func(t float64) float64 {
		p := e.pass(t, w, k)
		return math.Max(p.out-out, p.peak-ceiling)
	}
	if over(0) > 0 {
		return -1
	}
	lo, _ := bracket(0, ceiling, over)
	return lo
}

// least returns the smallest tension, not below zero, that leaves at least out
// at the end and none below zero within.
func (e Element) least(out, w, k float64) float64 {
	if !e.Bend() {
		return math.Max(0, out-e.pass(0, w, k).out)
	}
	under := func(t float64) float64 {
		p := e.pass(t, w, k)
		return math.Min(p.out-out, p.low)
	}
	if under(0) >= 0 {
		return 0
	}
	// Gravity alone takes no more than the weight of the bend.
	_, hi := bracket(0, (out+w*float64(e.Run()))*(1+1e-9), under)
	return hi
}

// bracket narrows the place where a rising function passes zero between a and
// b, by false position kept moving at both ends. It returns the last place on
// either side; b itself on both where f(b) is not above zero.
func bracket(a, b float64, f func(float64) float64) (lo, hi float64) {
	fa, fb := f(a), f(b)
	if fb <= 0 {
		return b, b
	}
	side := 0
	for i := range 200 {
		if b-a <= 1e-13*math.Max(math.Abs(a), math.Abs(b)) {
			break
		}
		m := (a*fb - b*fa) / (fb - fa)
		if !(m > a && m < b) || i%4 == 3 {
			m = (a + b) / 2
		}
		if m == a || m == b {
			break
		}
		fm := f(m)
		if fm <= 0 {
			a, fa = m, fm
			if side == -1 {
				fb /= 2
			}
			side = -1
		} else {
			b, fb = m, fm
			if side == 1 {
				fa /= 2
			}
			side = 1
		}
	}
	return a, b
}

// HoldBack returns the smallest entering tension that keeps the cable taut all
// the way: above zero it would run ahead on a downward part by its own weight,
// and the reel has to be braked with at least that.
func HoldBack(path []Element, l Load) (unit.Newton, error) {
	if err := l.Check(); err != nil {
		return 0, err
	}
	if err := CheckPath(path); err != nil {
		return 0, err
	}
	return holdBack(path, l), nil
}

func holdBack(path []Element, l Load) unit.Newton {
	g := 0.0
	for i := len(path) - 1; i >= 0; i-- {
		g = path[i].least(g, float64(l.Weight), l.K())
	}
	return unit.Newton(g)
}
