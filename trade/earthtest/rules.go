package earthtest

import (
	"math"

	"stubup/base/unit"
)

// HemisphereReading returns what a three-pole test of a hemisphere reads,
//
//	R = rho/(2 pi) (1/r - 1/(p+x) - 1/(C+x) + 1/(C-p))
//
// rho resistivity in ohm-m, r radius, x how far behind the zero its center
// lies, C and p distance of outer and inner stake from the zero, in m. The
// currents are not redistributed: exact for stakes far off. Source:
// MIL-HDBK-419A Vol I eq. 2-41 to 2-46, with the zero moved.
func HemisphereReading(rho unit.OhmMetre, r, x, stake, p unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho) / (2 * math.Pi) * (1/float64(r) - 1/float64(p+x) - 1/float64(stake+x) + 1/float64(stake-p)))
}

// HemisphereError returns by what share a reading of a hemisphere is wrong, the
// zero at its center,
//
//	e = r (1/(C-p) - 1/p - 1/C)
//
// r radius, C and p distance of outer and inner stake in m. Source as
// HemisphereReading.
func HemisphereError(r, stake, p unit.Metre) unit.Ratio {
	return unit.Ratio(float64(r) * (1/float64(stake-p) - 1/float64(p) - 1/float64(stake)))
}

// TrueShare returns where on the line the reading of a hemisphere is true,
//
//	1/(P+X) + 1/(1+X) = 1/(1-P)
//
// P inner stake and X offset of the center behind the zero, both as a share of
// the outer stake's distance; that is P = 0.618 (1+X) - X, the 62 % rule counted
// from the true center. It is NaN for X not above -1. Source: derived from
// HemisphereReading.
func TrueShare(x float64) float64 {
	// With q = P + X and s = 1 + X: 1/q + 1/s = 1/(s-q), that is
	// q^2 + s q - s^2 = 0: the 61.8 % rule counted from the true center.
	if !(x > -1) {
		return math.NaN()
	}
	s := 1 + x
	return s*(math.Sqrt(5)-1)/2 - x
}

// SlopeOf returns the slope coefficient of three readings at 0.2, 0.4 and 0.6
// of the outer stake's distance,
//
//	mu = (R3 - R2)/(R2 - R1)
//
// R1, R2, R3 in ohm. It is NaN where the first two are equal. Source: G. F.
// Tagg, Proc. IEE (1970) (from memory).
func SlopeOf(r1, r2, r3 unit.Ohm) float64 {
	if r2 == r1 {
		return math.NaN()
	}
	return float64((r3 - r2) / (r2 - r1))
}

// offsetSlope returns the slope coefficient of a hemisphere whose center lies
// x (as a share of C) behind the zero,
//
//	mu(x) = (f(.6) - f(.4))/(f(.4) - f(.2)),  f(p) = 1/(1-p) - 1/(p+x)
//
// It rises from 0 at x = -0.2 to 2 far out.
func offsetSlope(x float64) float64 {
	f := func(p float64) float64 { return 1/(1-p) - 1/(p+x) }
	return (f(.6) - f(.4)) / (f(.4) - f(.2))
}

// SlopeShare returns where the slope method reads, as a share of the outer
// stake's distance, and the offset of the center that it found: x solves
// mu(x) = mu for a hemisphere of unknown center,
//
//	mu(x) = (f(.6) - f(.4))/(f(.4) - f(.2)),  f(p) = 1/(1-p) - 1/(p+x)
//
// and the place is TrueShare(x). Both are NaN where no center gives such a mu or
// the place is not ahead of the zero: mu from above 0 to 1.863. Source: derived;
// the printed table is G. F. Tagg, Proc. IEE (1970) (from memory).
func SlopeShare(mu float64) (share, offset float64) {
	// At x = golden ratio the true place reaches the zero.
	lo, hi := -0.2+1e-12, (1+math.Sqrt(5))/2
	if !(mu > 0) || mu >= offsetSlope(hi) {
		return math.NaN(), math.NaN()
	}
	for range 200 {
		m := (lo + hi) / 2
		if offsetSlope(m) < mu {
			lo = m
		} else {
			hi = m
		}
	}
	x := (lo + hi) / 2
	return TrueShare(x), x
}

// Spread returns how far the part of the curve about 62 % is from flat,
//
//	s = (R(0.72 C) - R(0.52 C))/R(0.62 C)
//
// R readings in ohm. Source: common practice, ten percent to either side.
func Spread(r52, r62, r72 unit.Ohm) unit.Ratio { return unit.Ratio((r72 - r52) / r62) }

// Parallel returns the resistance of two grounds that are joined,
//
//	R = R1 R2/(R1 + R2)
//
// in ohm, the two far from each other. Source: circuit theory.
func Parallel(r1, r2 unit.Ohm) unit.Ohm { return r1 * r2 / (r1 + r2) }

// Neighbor returns what must be joined to an electrode of R for it to read r,
//
//	Rn = 1/(1/r - 1/R)
//
// in ohm; +Inf where r is not under R. Source: circuit theory.
func Neighbor(r, own unit.Ohm) unit.Ohm {
	if r >= own {
		return unit.Ohm(math.Inf(1))
	}
	return 1 / (1/r - 1/own)
}

// How says how a value on the curve is known.
type How int

// Ways.
const (
	NotKnown How = iota
	Read
	Between // interpolated between two readings
	Beyond  // a little past the last reading
)

func (h How) String() string {
	return [...]string{"not known", "read", "between readings", "just past the readings"}[h]
}

// How far apart two readings may stand to be read between, how far past the
// last one a value is still given, and how near a reading counts as read, as
// shares of the outer stake's distance. No printed source.
const (
	gapMost    = 0.25
	beyondMost = 0.05
	readNear   = 0.005
)

// curve is the readings of a test, with values between them along a hemisphere
// of the center that fits them best:
//
//	R = A + B u(p),  u(p) = 1/(C-p) - 1/(p+x)
//
// straight in u between neighbors, so that the bend of the curve is kept where
// it is steep. A hemisphere is met exactly.
type curve struct {
	c, x float64
	p, r []float64
}

func newCurve(stake unit.Metre, rs []Reading) *curve {
	k := &curve{c: float64(stake)}
	sorted := sortedReadings(rs)
	for i := 0; i < len(sorted); {
		j, sum := i, 0.0
		for ; j < len(sorted) && sorted[j].At == sorted[i].At; j++ {
			sum += float64(sorted[j].Ohm)
		}
		k.p = append(k.p, float64(sorted[i].At))
		k.r = append(k.r, sum/float64(j-i)) // read twice at one place
		i = j
	}
	if len(k.p) >= 3 {
		k.x = k.center()
	}
	return k
}

func (k *curve) u(p, x float64) float64 { return 1/(k.c-p) - 1/(p+x) }

// center returns the offset of the center with the least squares, within what
// an electrode may have: the zero at most 0.15 C on the near side of it.
func (k *curve) center() float64 {
	rss := func(x float64) float64 {
		n := float64(len(k.p))
		var su, sr, suu, sur, srr float64
		for i, p := range k.p {
			u := k.u(p, x)
			su += u
			sr += k.r[i]
			suu += u * u
			sur += u * k.r[i]
			srr += k.r[i] * k.r[i]
		}
		vu, vr, c := suu-su*su/n, srr-sr*sr/n, sur-su*sr/n
		if vu <= 0 {
			return vr
		}
		return vr - c*c/vu
	}
	lo, hi := math.Max(-0.15*k.c, -0.9*k.p[0]), 2*k.c
	const steps = 120
	best, at := math.Inf(1), 0
	place := func(i int) float64 { f := float64(i) / steps; return lo + (hi-lo)*f*f }
	for i := range steps + 1 {
		if v := rss(place(i)); v < best {
			best, at = v, i
		}
	}
	a, b := place(max(at-1, 0)), place(min(at+1, steps))
	const phi = 0.6180339887498949
	for range 60 {
		x0, x1 := b-phi*(b-a), a+phi*(b-a)
		if rss(x0) < rss(x1) {
			b = x1
		} else {
			a = x0
		}
	}
	return (a + b) / 2
}

// at returns the value of the curve and how it is known.
func (k *curve) at(share float64) (unit.Ohm, How) {
	p := share * k.c
	n := len(k.p)
	if n == 0 {
		return 0, NotKnown
	}
	for i, q := range k.p {
		if math.Abs(q-p) < 1e-9*k.c {
			return unit.Ohm(k.r[i]), Read
		}
	}
	if n == 1 {
		return 0, NotKnown
	}
	i := 1
	for i < n-1 && k.p[i] < p {
		i++
	}
	a, b := k.p[i-1], k.p[i]
	how := Between
	switch {
	case b-a > gapMost*k.c && (p-a > readNear*k.c && b-p > readNear*k.c):
		return 0, NotKnown
	case p < a:
		how = Beyond
		if a-p > beyondMost*k.c {
			return 0, NotKnown
		}
	case p > b:
		how = Beyond
		if p-b > beyondMost*k.c {
			return 0, NotKnown
		}
	}
	if p+k.x <= 0 || p >= k.c {
		return 0, NotKnown
	}
	if math.Min(math.Abs(p-a), math.Abs(p-b)) <= readNear*k.c {
		how = Read
	}
	ua, ub := k.u(a, k.x), k.u(b, k.x)
	return unit.Ohm(k.r[i-1] + (k.r[i]-k.r[i-1])*(k.u(p, k.x)-ua)/(ub-ua)), how
}

// ruled is what the two rules make of a curve.
type ruled struct {
	sixty, slope     unit.Ohm
	howSixty, howAll How // howAll: the worst of the slope's four
	mu, share        float64
	r52, r62, r72    unit.Ohm
	howSpread        How
}

func worst(a, b How) How {
	if a == NotKnown || b == NotKnown {
		return NotKnown
	}
	return max(a, b)
}

func rule(at func(share float64) (unit.Ohm, How)) ruled {
	var r ruled
	r.mu, r.share = math.NaN(), math.NaN()
	r.sixty, r.howSixty = at(figure("rule.share"))
	r1, h1 := at(0.2)
	r2, h2 := at(0.4)
	r3, h3 := at(0.6)
	if h := worst(worst(h1, h2), h3); h != NotKnown {
		r.mu = SlopeOf(r1, r2, r3)
		if r.share, _ = SlopeShare(r.mu); !math.IsNaN(r.share) {
			v, hv := at(r.share)
			r.slope, r.howAll = v, worst(h, hv)
		}
	}
	var a, b, c How
	r.r52, a = at(0.52)
	r.r62, b = at(0.62)
	r.r72, c = at(0.72)
	r.howSpread = worst(worst(a, b), c)
	return r
}
