package soil

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// Wenner returns the apparent resistivity that four pins in line at equal
// spacing a read over the model:
//
//	rho_a = 4 pi a (V(a) - V(2a)),  V(r) = rho[0]/(2 pi) integral of T(lambda) J0(lambda r) d lambda
//
// V potential in volts at distance r (m) on the surface per ampere into a
// point on the surface; T = (1 + down e)/(1 - down e), e = exp(-2 lambda h),
// of the top layer (see Model.Reflections). Pins are points. For a uniform
// model the answer is its resistivity. Accuracy: see the tests, 1e-8 of the
// value for contrasts up to 1:1000.
func (m Model) Wenner(a unit.Metre) (unit.OhmMetre, error) {
	if err := m.Validate(); err != nil {
		return 0, err
	}
	if err := spacing(float64(a)); err != nil {
		return 0, err
	}
	x := float64(a)
	d := m.excess(x, 2*x)
	return m[0].Resistivity * unit.OhmMetre(1+2*x*d), nil
}

// Schlumberger returns the apparent resistivity read by outer pins at halfAB
// on either side of the center and inner pins mn apart about the center:
//
//	rho_a = 2 pi (s^2 - b^2)/(2 b) (V(s-b) - V(s+b)),  s = halfAB, b = mn/2
//
// V as for Wenner; lengths in m. mn must be less than 2 halfAB.
func (m Model) Schlumberger(halfAB, mn unit.Metre) (unit.OhmMetre, error) {
	if err := m.Validate(); err != nil {
		return 0, err
	}
	s, b := float64(halfAB), float64(mn)/2
	if err := spacing(s); err != nil {
		return 0, err
	}
	if err := spacing(b); err != nil {
		return 0, err
	}
	if b >= s {
		return 0, &Error{BadSpacing, -1, fmt.Sprintf("inner pins %g m apart do not fit between outer pins %g m from the center", 2*b, s), "make the inner spacing smaller"}
	}
	d := m.excess(s-b, s+b)
	return m[0].Resistivity * unit.OhmMetre(1+(s*s-b*b)/(2*b)*d), nil
}

// Resistance returns the reading in ohms of four collinear pins: the inner
// potential pair inner apart, the outer current pair outer apart, about one
// center.
func (m Model) Resistance(inner, outer unit.Metre) (unit.Ohm, error) {
	r, err := m.Schlumberger(outer/2, inner)
	if err != nil {
		return 0, err
	}
	s, b := float64(outer)/2, float64(inner)/2
	return unit.Ohm(float64(r) * 2 * b / (math.Pi * (s*s - b*b))), nil
}

func spacing(a float64) error {
	if !(a >= 1e-6 && a <= 1e6) {
		return &Error{BadSpacing, -1, fmt.Sprintf("spacing %g m is not usable", a), "give a spacing above zero"}
	}
	return nil
}

// excess returns the difference between r1 and r2 of the part of the surface
// potential that the layers add, divided by rho[0]/(2 pi):
//
//	integral of 2 down e/(1 - down e) (J0(lambda r1) - J0(lambda r2)) d lambda
func (m Model) excess(r1, r2 float64) float64 {
	if _, ok := m.Uniform(); ok {
		return 0
	}
	w := m.Merged()
	// Up to the first zero for the larger distance the two are taken together:
	// over an all but insulating base each alone grows without end as lambda
	// falls, and their difference does not.
	first := 2.404825557695773 / math.Max(r1, r2)
	f := w.surface()
	near := func(l float64) float64 { return f(l) * (math.J0(l*r1) - math.J0(l*r2)) }
	end := 20 / float64(w[0].Thickness) // exp(-40) is below the last bit of what is left
	// The kernel can bend at a wave number decades under that zero; nodes on a
	// geometric ladder let the adaptive rule see it.
	var total float64
	lo := 0.0
	for k := -30; k <= 0; k++ {
		hi := math.Min(first*math.Exp2(0.75*float64(k)), end)
		if hi > lo {
			total += integrate(near, lo, hi, 1e-11/r1)
			lo = hi
		}
	}
	return total + w.beyond(r1, lo, end) - w.beyond(r2, lo, end)
}

// surface returns 2 down e/(1 - down e) of the top layer as a function of the
// wave number.
func (m Model) surface() func(float64) float64 {
	n := len(m)
	up, down := make([]float64, n), make([]float64, n)
	h := float64(m[0].Thickness)
	return func(l float64) float64 {
		m.Reflections(l, up, down)
		t := down[0] * math.Exp(-2*l*h)
		return 2 * t / (1 - t)
	}
}

// beyond integrates the surface kernel times J0(lambda r) from lo to end. The
// integrand is cut at the zeros of J0, each piece done by adaptive
// Gauss-Kronrod; where the exponential does not end the sum soon, the
// alternating partial sums are accelerated by the epsilon algorithm of Wynn.
func (m Model) beyond(r, lo, end float64) float64 {
	if lo >= end {
		return 0
	}
	t := m.surface()
	f := func(l float64) float64 { return t(l) * math.J0(l*r) }
	var total float64
	sums := []float64{total}
	last, same := math.NaN(), 0
	for k := 1; ; k++ {
		hi := zeroJ0(k) / r
		if hi <= lo {
			continue
		}
		stop := hi >= end
		hi = math.Min(hi, end)
		total += integrate(f, lo, hi, 1e-11/r)
		lo = hi
		if stop {
			return total
		}
		sums = append(sums, total)
		if len(sums) < 8 {
			continue
		}
		if len(sums) > 24 {
			sums = sums[1:]
		}
		est := wynn(sums)
		if math.Abs(est-last) <= 1e-13*(math.Abs(est)+1e-3/r) {
			if same++; same == 3 {
				return est
			}
		} else {
			same = 0
		}
		last = est
		if k > 4000 { // has settled long before, or to rounding
			return est
		}
	}
}

// zeroJ0 returns the k-th positive zero of J0 (k from 1) by the expansion of
// McMahon; its error is irrelevant, since any cut near a zero serves.
func zeroJ0(k int) float64 {
	b := (float64(k) - 0.25) * math.Pi
	return b + 1/(8*b) - 124/(3*512*b*b*b)
}

// wynn returns the epsilon-algorithm estimate of the limit of partial sums.
func wynn(s []float64) float64 {
	n := len(s)
	prev := make([]float64, n+1) // column k-1
	cur := append([]float64(nil), s...)
	best := s[n-1]
	for k := 1; k < n; k++ {
		next := make([]float64, n-k)
		for i := range next {
			d := cur[i+1] - cur[i]
			if d == 0 {
				if k%2 == 1 { // an even column has settled
					return cur[i+1]
				}
				return best
			}
			next[i] = prev[i+1] + 1/d
		}
		prev, cur = cur, next
		if k%2 == 0 {
			best = cur[len(cur)-1]
		}
	}
	return best
}
