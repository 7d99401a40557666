package soil

import "math"

// The functions of this file give the same bits on every processor. The
// library's own are partly hand-written per processor, and a compiler may fuse
// a product and a sum into one rounding; both change the last bit. Here every
// product that is added to something is rounded by an explicit conversion,
// which the language forbids to fuse, and only +, -, *, / and the square root
// are used. Accuracy: a few units of the last place.

const (
	ln2Hi = 6.93147180369123816490e-01 // the first 33 bits of ln 2
	ln2Lo = 1.90821492927058770002e-10 // and the rest
)

// expCoef are 1/n!, highest first.
var expCoef = func() (c [14]float64) {
	f := 1.0
	for n := range c {
		if n > 0 {
			f *= float64(n)
		}
		c[len(c)-1-n] = 1 / f
	}
	return
}()

// exp returns e to the x.
func exp(x float64) float64 {
	switch {
	case x < -708:
		return 0
	case x > 709:
		return math.Inf(1)
	case x != x:
		return x
	}
	k := math.Floor(float64(x*(1/math.Ln2)) + 0.5)
	r := (x - float64(k*ln2Hi)) - float64(k*ln2Lo)
	p := expCoef[0]
	for _, c := range expCoef[1:] {
		p = float64(p*r) + c
	}
	return p * math.Float64frombits(uint64(int64(k)+1023)<<52)
}

// log returns the natural logarithm of a positive x.
func log(x float64) float64 {
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m *= 2
		e--
	}
	// ln m = 2 artanh((m-1)/(m+1))
	s := (m - 1) / (m + 1)
	q := float64(s * s)
	p := 0.0
	for k := 23; k >= 1; k -= 2 {
		p = float64(p*q) + 1/float64(k)
	}
	return float64(2*s*p) + (float64(float64(e)*ln2Hi) + float64(float64(e)*ln2Lo))
}

// sincos returns the sine and cosine of x, |x| below a few thousand.
func sincos(x float64) (sin, cos float64) {
	// pi/2 in two parts, the first of 33 bits.
	const hi, lo = 1.57079632673412561417, 6.07710050650619224932e-11
	k := math.Floor(float64(x*(2/math.Pi)) + 0.5)
	r := (x - float64(k*hi)) - float64(k*lo)
	q := float64(r * r)
	s, c := 1.0, 1.0
	for n := 17.0; n >= 3; n -= 2 {
		s = 1 - float64(q*s)/float64(n*(n-1))
		c = 1 - float64(q*c)/float64((n-1)*(n-2))
	}
	s *= r
	switch int64(k) & 3 {
	case 0:
		return s, c
	case 1:
		return c, -s
	case 2:
		return -s, -c
	}
	return -c, s
}

// atan returns the arc tangent of t, |t| up to a few units.
func atan(t float64) float64 {
	for range 2 {
		t /= 1 + math.Sqrt(1+float64(t*t))
	}
	q := float64(t * t)
	p := 0.0
	for k := 27; k >= 1; k -= 2 {
		p = 1/float64(k) - float64(q*p)
	}
	return 4 * t * p
}

// phi returns the share of the normal distribution below x standard
// deviations: the series of erf near the middle, the continued fraction of
// erfc in the tails.
func phi(x float64) float64 {
	a := math.Abs(x)
	if a > 38 {
		if x < 0 {
			return 0
		}
		return 1
	}
	d := exp(-float64(a*a)/2) / 2.506628274631000502416 // sqrt(2 pi)
	if a < 3 {
		// Phi = 1/2 + density (x + x^3/3 + x^5/15 + ...)
		t, sum, q := a, a, float64(a*a)
		for k := 3.0; t > 1e-17*sum; k += 2 {
			t = t * q / k
			sum += t
		}
		if x < 0 {
			return 0.5 - float64(d*sum)
		}
		return 0.5 + float64(d*sum)
	}
	f := a
	for k := 60.0; k >= 1; k-- {
		f = a + k/f
	}
	if x < 0 {
		return d / f
	}
	return 1 - d/f
}
