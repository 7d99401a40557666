package soil

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// lineRamp is the second integral of 1/sqrt(x^2 + a^2) along a line.
func lineRamp(x, a2 float64) float64 {
	x = math.Abs(x)
	r := math.Sqrt(float64(x*x) + a2)
	return float64(x*log((x+r)/math.Sqrt(a2))) - r
}

// along is the mean of 1/distance between two upright pieces of one axis (le
// and lf long, middles s apart), taken one radius off it.
func along(s, le, lf, a2 float64) float64 {
	s = math.Abs(s)
	u := (le + lf) / 2
	if s > 4*u {
		// Its first two terms; what is left out is under 1e-4 of the first.
		i2 := 1 / (float64(s*s) + a2)
		return math.Sqrt(i2) * (1 + float64((float64(le*le)+float64(lf*lf))*i2)/12)
	}
	v := (le - lf) / 2
	return (lineRamp(s+u, a2) - lineRamp(s+v, a2) - lineRamp(s-v, a2) + lineRamp(s-u, a2)) / (le * lf)
}

// Pieces of a rod in either layer. Four and the ends of six give the same to
// 0.2 %.
var pieceEnds = []float64{0, 0.5, 0.9, 1}

// leastImage is the strength of the first image that is left out. Images
// farther off than farImages times the depth of the tip are taken together, by
// the first three powers of 1/distance: that errs by under 1 % of their part.
const (
	leastImage = 1e-6
	farImages  = 8
)

// LoneRod returns the resistance of one upright rod over the upper resistivity
// of two layers, in 1/m:
//
//	R / rho1 = 1 / sum of i,  P i = 1
//
// P the mean potentials of the pieces of the rod along each other per ampere
// and ohm-m, by the images of two layers (strengths K^n at 2 n h), i what
// leaks from each piece at 1 V: even along a piece, one potential in the mean.
// ratio is lower over upper resistivity, boundary its depth, top that of the
// rod's upper end, length what is in the ground, radius the rod's, all in m.
//
// Assumes that the rod stands alone, that what it stands in is level, and that
// the trench it was driven from counts as filled. Source: images of two layers
// (Sunde, Earth Conduction Effects in Transmission Systems, from memory);
// checked against the field solution.
func LoneRod(ratio float64, boundary, top, length, radius unit.Metre) float64 {
	h, a2 := float64(boundary), float64(float64(radius)*float64(radius))
	k := (ratio - 1) / (ratio + 1)
	type piece struct {
		mid, l float64
		lower  bool
	}
	var ps []piece
	cut := func(lo, hi float64, lower bool) {
		if hi-lo <= 1e-9 {
			return
		}
		for i := 1; i < len(pieceEnds); i++ {
			a, b := lo+float64((hi-lo)*pieceEnds[i-1]), lo+float64((hi-lo)*pieceEnds[i])
			ps = append(ps, piece{(a + b) / 2, b - a, lower})
		}
	}
	from, to := float64(top), float64(top+length)
	cut(from, math.Min(to, h), false)
	cut(math.Max(from, h), to, true)
	n := len(ps)
	// The near images one by one, the far ones by their sums over 1/x, 1/x^2
	// and 1/x^3, x = 2 n h.
	near := int(float64(farImages*to)/(2*h)) + 1
	var s1, s2, s3 float64
	kn := 1.0
	for i := 1; ; i++ {
		kn *= k
		if math.Abs(kn) < leastImage {
			break
		}
		if i > near {
			x := 1 / float64(2*h*float64(i))
			w := float64(kn * x)
			s1 += w
			w *= x
			s2 += w
			s3 += float64(w * x)
		}
	}
	var p [6][6]float64
	for i, e := range ps {
		for j, f := range ps[:i+1] {
			t := func(s float64) float64 { return along(s, e.l, f.l, a2) }
			size := float64(e.l*e.l)/12 + float64(f.l*f.l)/12
			far := func(s float64) float64 { return s1 - float64(s*s2) + float64((float64(s*s)+size)*s3) }
			d, m := e.mid-f.mid, e.mid+f.mid // f is the upper one
			sum, kn := 0.0, 1.0
			switch {
			case !e.lower:
				sum = t(d) + t(m) + far(d) + far(-d) + far(m) + far(-m)
				for i := 1; i <= near; i++ {
					kn *= k
					if math.Abs(kn) < leastImage {
						break
					}
					x := 2 * h * float64(i)
					sum += float64(kn * (t(x+d) + t(x-d) + t(x+m) + t(x-m)))
				}
			case !f.lower:
				for i := 0; i <= near && math.Abs(kn) >= leastImage; i++ {
					x := 2 * h * float64(i)
					sum += float64(kn * (t(x+d) + t(x+m)))
					kn *= k
				}
				sum = float64((sum + far(d) + far(m)) * (1 + k))
			default:
				for i := 0; i <= near && math.Abs(kn) >= leastImage; i++ {
					sum += float64(kn * t(float64(2*h*float64(i))+m))
					kn *= k
				}
				sum = float64(ratio * (t(d) - float64(k*t(m-2*h)) + float64((1-float64(k*k))*(sum+far(m)))))
			}
			p[i][j] = sum / (4 * math.Pi)
		}
	}
	// Cholesky, and the sum of the currents as the square of L^-1 1.
	total := 0.0
	var y [6]float64
	for i := range n {
		for j := range i + 1 {
			s := p[i][j]
			for m := range j {
				s -= float64(p[i][m] * p[j][m])
			}
			if i == j {
				p[i][i] = math.Sqrt(s)
			} else {
				p[i][j] = s / p[j][j]
			}
		}
		y[i] = 1
		for m := range i {
			y[i] -= float64(p[i][m] * y[m])
		}
		y[i] /= p[i][i]
		total += float64(y[i] * y[i])
	}
	return 1 / total
}

// Nodes of the grid on which LoneRod is asked before it is made finer. The table
// is within 0.5 % of it in the mean, and nowhere off by more than the scatter
// of a reading, RodNoise: the most is at a contrast of 1:50 just above the tip
// (see the tests).
const (
	rodRatios = 13
	rodDepths = 25
)

// LoneRod returns the table of LoneRod.
func (g *Grid) LoneRod(top, length, radius unit.Metre) (Table, error) {
	switch {
	case !(radius > 0 && radius <= 0.5) || !(length >= 4*radius && length <= 100):
		return Table{}, &Error{BadReading, -1, fmt.Sprintf("a rod of %g m with a radius of %g m is not usable", float64(length), float64(radius)), "give lengths above zero, the length well above the radius"}
	case !(top >= 0 && top <= 100):
		return Table{}, &Error{BadReading, -1, fmt.Sprintf("the top of a rod %g m below grade is not usable", float64(top)), "give a depth of zero or more"}
	}
	kinks := []unit.Metre{top + length}
	if top > 0 {
		kinks = append(kinks, top)
	}
	c, err := g.within(rodRatios, rodDepths, kinks)
	if err != nil {
		return Table{}, err
	}
	t, err := c.Table(func(ratio float64, h unit.Metre) float64 { return LoneRod(ratio, h, top, length, radius) })
	if err != nil {
		return Table{}, err
	}
	return t.Smooth(g), nil
}

// within returns a grid with the same ends and its own nodes and kinks.
func (g *Grid) within(ratios, depths int, kinks []unit.Metre) (*Grid, error) {
	n, m := len(g.lnRatio), len(g.lnDepth)
	return NewGrid(GridOptions{
		RatioLow: exp(g.lnRatio[0]), RatioHigh: exp(g.lnRatio[n-1]), DepthLow: unit.Metre(exp(g.lnDepth[0])), DepthHigh: unit.Metre(exp(g.lnDepth[m-1])),
		Ratios: ratios, Depths: depths, Kinks: kinks, Graded: 7,
	})
}
