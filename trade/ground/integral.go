package ground

import "math"

// Gauss-Legendre nodes and weights on (-1, 1), positive half (Abramowitz and
// Stegun, Table 25.4).
var (
	gauss4 = [2][2]float64{{0.339981043584856, 0.652145154862546}, {0.861136311594053, 0.347854845137454}}
	gauss8 = [4][2]float64{{0.183434642495650, 0.362683783378362}, {0.525532409916329, 0.313706645877887}, {0.796666477413627, 0.222381034453374}, {0.960289856497536, 0.101228536290376}}
)

// apart is the distance, in sums of the two lengths, beyond which the mean of
// 1/R over both elements is taken from its first two terms; what is left out
// is below 1e-4 of that one term.
const apart = 2.0

// mean returns the potential of element e, averaged along it, per ampere that
// leaks evenly from element f, with all images of f:
//
//	sum of w / (Le Lf) double integral of dl dl' / sqrt(|r - r'|^2 + a^2)
//
// w image weights in ohm, Le and Lf lengths in m, a^2 the mean of the squares
// of the two radii in m2: the potential is taken one radius off the axis.
// f lies in the same layer as e or above it.
func mean(e, f *element, images []image) float64 {
	dx, dy := e.mid[0]-f.mid[0], e.mid[1]-f.mid[1]
	a2 := (e.r*e.r + f.r*f.r) / 2
	flat := dx*dx + dy*dy + a2
	limit := apart * (e.l + f.l)
	limit *= limit
	te := dx*e.t[0] + dy*e.t[1]
	tf := dx*f.t[0] + dy*f.t[1]
	ez, fz, tez, tfz := e.mid[2], f.mid[2], e.t[2], f.t[2]
	le2, lf2 := e.l*e.l/24, f.l*f.l/24
	var sum float64
	for i := range images {
		g := &images[i]
		dz := ez - g.sigma*fz - g.c
		r2 := flat + dz*dz
		if r2 > limit {
			i2 := 1 / r2
			pe := te + dz*tez
			pf := tf + dz*tfz*g.sigma
			sum += g.w * math.Sqrt(i2) * (1 + i2*(le2*(3*pe*pe*i2-1)+lf2*(3*pf*pf*i2-1)))
			continue
		}
		sum += g.w * close(e, f, g, dx, dy, dz, a2)
	}
	return sum
}

// close is one term of mean for elements near each other.
func close(e, f *element, g *image, dx, dy, dz, a2 float64) float64 {
	t := vec{f.t[0], f.t[1], f.t[2] * g.sigma}
	d := vec{dx, dy, dz}
	c := e.t.dot(t)
	if math.Abs(c) > 1-1e-13 {
		s := d.dot(t)
		p2 := math.Max(0, d.dot(d)-s*s) + a2
		u, v := (e.l+f.l)/2, (e.l-f.l)/2
		return (ramp(s+u, p2) - ramp(s+v, p2) - ramp(s-v, p2) + ramp(s-u, p2)) / (e.l * f.l)
	}
	// The outer rule runs along the shorter element.
	o, in := e.t, t
	lo, li := e.l, f.l
	if lo > li {
		o, in, lo, li = in, o, li, lo
	}
	at := func(x float64) float64 {
		p := vec{d[0] + x*o[0], d[1] + x*o[1], d[2] + x*o[2]}
		s := p.dot(in)
		return line(s, p.dot(p)-s*s+a2, li)
	}
	var sum float64
	if d.dot(d) < li*li {
		for _, n := range gauss8 {
			sum += n[1] * (at(lo/2*n[0]) + at(-lo/2*n[0]))
		}
	} else {
		for _, n := range gauss4 {
			sum += n[1] * (at(lo/2*n[0]) + at(-lo/2*n[0]))
		}
	}
	return sum / (2 * li)
}

// ramp is the second integral of 1/sqrt(x^2 + p^2).
func ramp(x, p2 float64) float64 {
	r := math.Sqrt(x*x + p2)
	a := math.Abs(x)
	return a*math.Log((a+r)/math.Sqrt(p2)) - r
}

// line returns the integral of 1/R along a piece of length l from a point at
// s along it from its middle and p off it (p2 its square).
func line(s, p2, l float64) float64 {
	r1, r2 := math.Sqrt((s+l/2)*(s+l/2)+p2), math.Sqrt((s-l/2)*(s-l/2)+p2)
	// The cancellation in r1+r2-l is avoided by its product with r1+r2+l.
	if m := math.Abs(s); m < l/2 {
		return math.Log((r1 + s + l/2) * (r2 + l/2 - s) / p2)
	}
	return math.Log((r1 + r2 + l) / (r1 + r2 - l))
}

// at returns the potential at a point per ampere that leaks evenly from the
// element, with all images. The point lies in a layer at or below the
// element's; down is false where it lies above, and then the point, not the
// element, is imaged.
func at(p vec, f *element, images []image, down bool) float64 {
	var sum float64
	for i := range images {
		g := &images[i]
		var d, t vec
		if down {
			d = vec{p[0] - f.mid[0], p[1] - f.mid[1], p[2] - g.sigma*f.mid[2] - g.c}
			t = vec{f.t[0], f.t[1], g.sigma * f.t[2]}
		} else {
			d = vec{p[0] - f.mid[0], p[1] - f.mid[1], g.sigma*p[2] + g.c - f.mid[2]}
			t = f.t
		}
		s := d.dot(t)
		// Inside the metal the potential is that of its surface.
		p2 := math.Max(d.dot(d)-s*s, f.r*f.r)
		sum += g.w * line(s, p2, f.l) / f.l
	}
	return sum
}

// point returns the potential at p per ampere from a point source at q, with
// q in a layer at or above that of p.
func point(p, q vec, images []image) float64 {
	var sum float64
	dx, dy := p[0]-q[0], p[1]-q[1]
	for i := range images {
		g := &images[i]
		dz := p[2] - g.sigma*q[2] - g.c
		sum += g.w / math.Sqrt(dx*dx+dy*dy+dz*dz)
	}
	return sum
}
