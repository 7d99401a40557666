package soil

import (
	"fmt"
	"math"
	"sync"

	"stubup/base/unit"
)

// The fast form of the sounding. With u = ln(lambda r) the integral of
// T(lambda) J0(lambda r) d lambda times r is a convolution of T, as a function
// of ln lambda, with e^u J0(e^u). T is smooth on that scale (its spectrum
// falls as exp(-pi w/2), since its nearest poles lie at Im ln lambda = pi/2),
// so it may be sampled at steps of filterStep and the convolution becomes a
// sum with the weights
//
//	W(u) = step/pi  integral over w > 0 of  S(w) cos(w u + theta(w)) d w
//	theta(w) = -w ln 2 - 2 arg Gamma((1 + i w)/2)
//
// where exp(i theta) is the spectrum of e^u J0(e^u) (the Mellin transform of
// J0) and S is a smooth shutter that closes about w = pi/step, before the
// sampled spectrum repeats; S is the normal integral, so that W dies out
// quickly at both ends. Nothing is fitted and nothing is copied: the weights
// follow from these lines.
const (
	filterStep  = 0.2
	filterClose = math.Pi / filterStep // w at which the shutter is half closed
	filterSoft  = 1.7                  // its standard deviation
	filterLeft  = 6.6                  // ln(lambda r) below which nothing is left, for the wider distance
	filterRight = 7.0                  // and above which nothing is left, for the nearer distance
	filterFreq  = 0.25                 // step in w: W repeats after 2 pi/0.25 = 25
	filterCount = 104                  // w up to 26, six standard deviations past half closed
)

// spectrum returns S(w) exp(i theta(w)) at w = k filterFreq, times what the
// sum over w needs.
var spectrum = sync.OnceValue(func() (s [filterCount][2]float64) {
	for k := range s {
		w := float64(k) * filterFreq
		open := phi((filterClose - w) / filterSoft)
		open *= filterStep * filterFreq / math.Pi
		if k == 0 {
			open /= 2
		}
		c, d := gammaTurn(w / 2)
		sl, cl := sincos(-float64(w * math.Ln2))
		s[k] = [2]float64{
			open * (float64(cl*c) - float64(sl*d)),
			open * (float64(sl*c) + float64(cl*d)),
		}
	}
	return
})

// gammaTurn returns exp(-2 i arg Gamma(1/2 + i y)): Gamma is carried up by its
// recurrence and Stirling's series is used there.
func gammaTurn(y float64) (re, im float64) {
	// p = product of (1/2 + k + i y), scaled to modulus 1
	pr, pi := 1.0, 0.0
	const up = 24
	for k := range up {
		a := float64(k) + 0.5
		pr, pi = float64(pr*a)-float64(pi*y), float64(pr*y)+float64(pi*a)
		m := math.Sqrt(float64(pr*pr) + float64(pi*pi))
		pr /= m
		pi /= m
	}
	// Im ln Gamma(z), z = x + i y:
	// (z - 1/2) ln z - z + 1/(12 z) - 1/(360 z^3) + 1/(1260 z^5)
	x := up + 0.5
	n := float64(x*x) + float64(y*y)
	arg := float64((x-0.5)*atan(y/x)) + float64(y*log(n)/2) - y
	vr, vi := x/n, -y/n                                         // 1/z
	v2r, v2i := float64(vr*vr)-float64(vi*vi), 2*float64(vr*vi) // 1/z^2
	v3i := float64(vr*v2i) + float64(vi*v2r)                    // Im 1/z^3
	v3r := float64(vr*v2r) - float64(vi*v2i)                    // Re 1/z^3
	v5i := float64(v3r*v2i) + float64(v3i*v2r)                  // Im 1/z^5
	arg = arg + vi/12 - v3i/360 + v5i/1260
	// arg Gamma(1/2+iy) = arg - arg p; exp(-2i of it) = exp(-2i arg) p^2
	s, c := sincos(-2 * arg)
	qr, qi := float64(pr*pr)-float64(pi*pi), 2*float64(pr*pi)
	return float64(c*qr) - float64(s*qi), float64(c*qi) + float64(s*qr)
}

// weight returns W(u).
func weight(u float64) float64 {
	s := spectrum()
	sin, cos := sincos(float64(filterFreq * u))
	zr, zi := 1.0, 0.0
	sum := 0.0
	for k := range s {
		sum += float64(s[k][0]*zr) - float64(s[k][1]*zi)
		zr, zi = float64(zr*cos)-float64(zi*sin), float64(zr*sin)+float64(zi*cos)
	}
	return sum
}

// Setting is where four pins in line stand about one center: the distance
// from an inner (potential) pin to the outer (current) pin nearer to it, and
// to the one farther away.
type Setting struct {
	Near, Far unit.Metre
}

// WennerSetting returns four pins at equal spacing a.
func WennerSetting(a unit.Metre) Setting { return Setting{a, 2 * a} }

// SchlumbergerSetting returns outer pins at halfAB on either side of the
// center and inner pins mn apart.
func SchlumbergerSetting(halfAB, mn unit.Metre) Setting {
	return Setting{halfAB - mn/2, halfAB + mn/2}
}

// Spacing returns the pin spacing of the equal-spaced setting that is as wide
// over all, a third of the distance between the outer pins.
func (s Setting) Spacing() unit.Metre { return (s.Near + s.Far) / 3 }

// Factor returns the K of rho_a = K R, in m: 2 pi/(2/Near - 2/Far).
func (s Setting) Factor() unit.Metre {
	return math.Pi / (1/s.Near - 1/s.Far)
}

func (s Setting) validate() error {
	if err := spacing(float64(s.Near)); err != nil {
		return err
	}
	if err := spacing(float64(s.Far)); err != nil {
		return err
	}
	if q := s.Far / s.Near; !(q >= 1.001 && q <= 1000) {
		return &Error{BadSpacing, -1, fmt.Sprintf("inner pins %g m apart do not fit between outer pins %g m apart", float64(s.Far-s.Near), float64(s.Far+s.Near)), "make the inner spacing neither nothing nor nearly the whole"}
	}
	return nil
}

// row is the weights of one setting on the ladder lambda = exp(k filterStep),
// k from first.
type row struct {
	first int
	w     []float64
}

// makeRow returns the weights by which T on the ladder, shifted by offset
// (lambda = exp(k step - offset)), adds to rho_a/rho[0] of the setting.
func makeRow(s Setting, offset float64) row {
	n, f := float64(s.Near), float64(s.Far)
	ln, lf := log(n)-offset, log(f)-offset
	lo := int(math.Floor((-filterLeft - lf) / filterStep))
	hi := int(math.Ceil((filterRight - ln) / filterStep))
	r := row{lo, make([]float64, hi-lo+1)}
	sum := 0.0
	for k := range r.w {
		l := float64(float64(lo+k) * filterStep)
		r.w[k] = (float64(f*weight(l+ln)) - float64(n*weight(l+lf))) / (f - n)
		sum += r.w[k]
	}
	// What lies below the ladder sees T at rest; with it a uniform earth comes
	// out exactly.
	r.w[0] += 1 - sum
	return r
}

// Curve evaluates the apparent resistivity of many models at the same
// settings, fast: the kernel is evaluated once on a ladder of wave numbers
// that all settings share. It agrees with Wenner and Schlumberger to 1e-5 of
// the value for contrasts up to 1:1000 (see the tests).
//
// It is not for use from several goroutines at once.
type Curve struct {
	rows   []row
	first  int
	lambda []float64
	t, e   []float64
}

// NewCurve prepares the settings.
func NewCurve(settings []Setting) (*Curve, error) {
	if len(settings) == 0 {
		return nil, &Error{NoReadings, -1, "no readings", "give at least one spacing"}
	}
	c := &Curve{}
	last := math.MinInt
	c.first = math.MaxInt
	seen := map[Setting]row{}
	for i, s := range settings {
		if err := s.validate(); err != nil {
			e := err.(*Error)
			e.Index = i
			e.What = fmt.Sprintf("reading %d: %s", i+1, e.What)
			return nil, e
		}
		r, ok := seen[s]
		if !ok {
			r = makeRow(s, 0)
			seen[s] = r
		}
		c.rows = append(c.rows, r)
		c.first = min(c.first, r.first)
		last = max(last, r.first+len(r.w)-1)
	}
	for k := c.first; k <= last; k++ {
		c.lambda = append(c.lambda, exp(float64(float64(k)*filterStep)))
	}
	c.t, c.e = make([]float64, len(c.lambda)), make([]float64, len(c.lambda))
	return c, nil
}

// Apparent returns the apparent resistivity of the model at every setting.
func (c *Curve) Apparent(m Model) ([]unit.OhmMetre, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	out := make([]float64, len(c.rows))
	rho, h := make([]float64, len(m)), make([]float64, len(m))
	for i, l := range m {
		rho[i], h[i] = float64(l.Resistivity), float64(l.Thickness)
	}
	c.apparent(rho, h, out)
	rs := make([]unit.OhmMetre, len(out))
	for i, v := range out {
		rs[i] = unit.OhmMetre(v)
	}
	return rs, nil
}

func (c *Curve) apparent(rho, h, out []float64) {
	kernel(rho, h, c.lambda, c.e, c.t)
	for i, r := range c.rows {
		t := c.t[r.first-c.first:][:len(r.w)]
		sum := 0.0
		for k, w := range r.w {
			sum += float64(w * t[k])
		}
		out[i] = rho[0] * sum
	}
}

// kernel writes T = (1 + down e)/(1 - down e) of the top layer at every wave
// number (see Model.Reflections). e is room to work in.
//
// From the bottom up, with R the resistivity that each layer's top would show
// to a wave: R = rho (1 + k e)/(1 - k e), k = (R' - rho)/(R' + rho).
func kernel(rho, h, lambda, e, t []float64) {
	n := len(rho)
	for j := range t {
		t[j] = rho[n-1]
	}
	for i := n - 2; i >= 0; i-- {
		for j, l := range lambda {
			e[j] = exp(float64(-2 * l * h[i]))
		}
		p := rho[i]
		for j, r := range t {
			// rho (1+ke)/(1-ke) with k put in, one division
			a, b := r+p, float64((r-p)*e[j])
			t[j] = p * (a + b) / (a - b)
		}
	}
	for j := range t {
		t[j] /= rho[0]
	}
}

// wennerRow is the row of a = 1 m; any other spacing shifts the ladder.
var wennerRow = sync.OnceValue(func() *Curve {
	c, err := NewCurve([]Setting{WennerSetting(1)})
	if err != nil {
		panic(err)
	}
	return c
})

// WennerFast returns what Wenner returns, by the filter: within 1e-5 of it
// for contrasts up to 1:1000, in about a fiftieth of the time.
func (m Model) WennerFast(a unit.Metre) (unit.OhmMetre, error) {
	if err := m.Validate(); err != nil {
		return 0, err
	}
	if err := spacing(float64(a)); err != nil {
		return 0, err
	}
	// Lengths in units of a.
	one := wennerRow()
	var rho, h [MaxLayers]float64
	for i, l := range m {
		rho[i], h[i] = float64(l.Resistivity), float64(l.Thickness/a)
	}
	var e, t [96]float64
	n := len(one.lambda)
	kernel(rho[:len(m)], h[:len(m)], one.lambda, e[:n], t[:n])
	sum := 0.0
	for k, w := range one.rows[0].w {
		sum += float64(w * t[k])
	}
	return m[0].Resistivity * unit.OhmMetre(sum), nil
}
