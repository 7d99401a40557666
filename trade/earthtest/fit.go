package earthtest

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// FitOptions say what the fit believes before the readings. Zero takes the
// default. None has a printed source: they are figures that gave honest bands
// in simulation (see the tests).
type FitOptions struct {
	Noise       unit.Ratio // of a reading, one standard deviation; 0.02
	Discrepancy unit.Ratio // between soil as it is and as layers, correlated along the line; 0.045
	Length      unit.Ratio // of that correlation, as a share of the outer stake's distance; 0.4
	Stake       unit.Ratio // of the outer stake's distance; 0.02
	Zero        unit.Metre // of the place of the zero; 0.3 m
}

func (o FitOptions) filled() (FitOptions, error) {
	set := func(v *unit.Ratio, d unit.Ratio) bool {
		if *v == 0 {
			*v = d
		}
		return *v > 0 && !math.IsInf(float64(*v), 0)
	}
	ok := set(&o.Noise, 0.02)
	ok = set(&o.Discrepancy, 0.045) && ok
	ok = set(&o.Length, 0.4) && ok
	ok = set(&o.Stake, 0.02) && ok && o.Stake < 0.2
	if o.Zero == 0 {
		o.Zero = 0.3
	}
	if !ok || !good(float64(o.Zero)) {
		return o, &Error{BadOption, -1, "a setting of the fit that cannot be used", "leave it out, or give it above 0"}
	}
	return o, nil
}

// bandMost is the ratio of the ends of a band past which there is no value: the
// only stakes stood where their place is everything. No source.
const bandMost = 100

// Fit is the resistance that the curve says, its 90 % band, and what the
// readings made of the shapes.
type Fit struct {
	Known     bool
	Median    unit.Ohm
	Low, High unit.Ohm   // central 90 %
	Scale     unit.Ratio // of the readings over the shapes
	ChiSquare float64    // of the best shape
	Readings  int
	Shapes    []Belief // as given
	// Odd is set where even the best shape leaves more than the discrepancy and
	// the noise (99 %): the fitted value then stands on a curve that is not there.
	Odd bool
	mix []normal
}

// Belief is a shape with its weight after the readings.
type Belief struct {
	Name   string
	Weight float64
	Scale  unit.Ratio // of the readings over this shape
}

type normal struct{ w, mean, sd float64 }

// Below returns the probability that the resistance is under a limit.
func (f Fit) Below(limit unit.Ohm) float64 {
	if !f.Known || !(limit > 0) {
		return math.NaN()
	}
	return f.below(math.Log(float64(limit)))
}

func (f Fit) below(x float64) float64 {
	sum := 0.0
	for _, m := range f.mix {
		sum += m.w * 0.5 * math.Erfc((m.mean-x)/(m.sd*math.Sqrt2))
	}
	return sum
}

func (f Fit) quantile(p float64) unit.Ohm {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, m := range f.mix {
		lo, hi = math.Min(lo, m.mean-8*m.sd), math.Max(hi, m.mean+8*m.sd)
	}
	for range 80 {
		m := (lo + hi) / 2
		if f.below(m) < p {
			lo = m
		} else {
			hi = m
		}
	}
	return unit.Ohm(math.Exp((lo + hi) / 2))
}

// FitCurve returns the resistance that readings say, given the shapes of the
// curve that are believed.
//
// The readings' logarithms are those of a shape, plus a scale that is left
// free, so that the test alone says how much; plus what a wrong place of the
// zero and of the outer stake do, to first order; plus a discrepancy between
// soil as it is and as layers, whose correlation falls by e over a length along
// the line, since no soil is layers and a buried pipe bends the curve smoothly;
// plus noise:
//
//	ln R(p) = ln k + ln S(p) + z dlnS/dz + e dlnS/de + d(p) + n,  R_true = k S_true
//
// R reading and S shape in ohm, z error of the zero in m, e that of the outer
// stake as a share of its distance. All of it but k is normal and is integrated
// out in closed form in every shape; the answer is a mixture of log-normals
// over the grid of shapes, the same bytes everywhere. Source: generalized least
// squares with a discrepancy term, Kennedy and O'Hagan, J. R. Stat. Soc. B 63
// (2001) (from memory).
func FitCurve(stake unit.Metre, rs []Reading, shapes []Shape, o FitOptions) (Fit, error) {
	o, err := o.filled()
	if err != nil {
		return Fit{}, err
	}
	if err := checkReadings(stake, rs); err != nil {
		return Fit{}, err
	}
	if err := checkShapes(shapes); err != nil {
		return Fit{}, err
	}
	if len(rs) == 0 || len(shapes) == 0 {
		return Fit{}, nil
	}
	rs = sortedReadings(rs)
	n := len(rs)
	type node struct {
		shape                 int
		weight, chi, mean, sd float64 // weight: before the readings' chi-square
	}
	var nodes []node
	best := math.Inf(1)
	f := Fit{Known: true, Readings: n, Shapes: make([]Belief, len(shapes))}
	weights := shapeWeights(shapes)
	for s, sh := range shapes {
		f.Shapes[s].Name = sh.Name
		if weights[s] == 0 {
			continue
		}
		at, jz, je, err := around(stake, rs, sh, o)
		if err != nil {
			return Fit{}, err
		}
		if at == nil {
			continue // a stake stands in the electrode's own field there
		}
		cov := make([]float64, n*n)
		ones, y := make([]float64, n), make([]float64, n)
		for i, a := range rs {
			ones[i] = 1
			y[i] = math.Log(float64(a.Ohm)) - at[i]
			for j, b := range rs {
				d := math.Abs(float64(a.At-b.At)) / (float64(o.Length) * float64(stake))
				cov[i*n+j] = float64(o.Discrepancy*o.Discrepancy)*math.Exp(-d) + jz[i]*jz[j] + je[i]*je[j]
			}
			cov[i*n+i] += float64(o.Noise * o.Noise)
		}
		l := lower(cov, n)
		w1, wy := forward(l, ones), forward(l, y)
		info := dot(w1, w1)
		k := dot(w1, wy) / info
		nd := node{s, weights[s] / math.Sqrt(info), dot(wy, wy) - k*k*info, k, 1 / math.Sqrt(info)}
		for i := range n {
			nd.weight /= l[i*n+i] * 100 // the determinant; 100 keeps it in range
		}
		nodes = append(nodes, nd)
		best = math.Min(best, nd.chi)
	}
	if len(nodes) == 0 {
		return Fit{}, nil
	}
	f.ChiSquare = best
	sum := 0.0
	for i := range nodes {
		nodes[i].weight *= math.Exp(-(nodes[i].chi - best) / 2)
		sum += nodes[i].weight
	}
	mean := 0.0
	for _, nd := range nodes {
		w := nd.weight / sum
		f.Shapes[nd.shape].Weight, f.Shapes[nd.shape].Scale = w, unit.Ratio(math.Exp(nd.mean))
		mean += w * nd.mean
		f.mix = append(f.mix, normal{w, nd.mean + math.Log(float64(shapes[nd.shape].Resistance)), nd.sd})
	}
	f.Scale = unit.Ratio(math.Exp(mean))
	f.Median, f.Low, f.High = f.quantile(0.5), f.quantile(0.05), f.quantile(0.95)
	if !(f.High < bandMost*f.Low) {
		return Fit{}, nil
	}
	f.Odd = n > 1 && f.ChiSquare > chi99(n-1)
	return f, nil
}

// around returns the logarithms of what a shape reads at the stakes as written,
// and what one standard deviation of the zero's and the outer stake's place do
// to them; nil where it reads nothing there.
func around(stake unit.Metre, rs []Reading, s Shape, o FitOptions) (at, jz, je []float64, err error) {
	ask := func(c, shift unit.Metre) ([]float64, error) {
		ps := make([]unit.Metre, len(rs))
		for i, r := range rs {
			ps[i] = r.At + shift
			if ps[i] >= c {
				return nil, nil
			}
		}
		v, err := s.Predict(c, ps)
		if err != nil || len(v) != len(ps) {
			return nil, err
		}
		out := make([]float64, len(v))
		for i := range v {
			if !good(float64(v[i])) {
				return nil, nil
			}
			out[i] = math.Log(float64(v[i]))
		}
		return out, nil
	}
	// The steps stay between the zero, the readings and the outer stake.
	first, last := rs[0].At, rs[len(rs)-1].At
	dz := min(o.Zero, first/2)
	dc := min(unit.Metre(o.Stake)*stake, (stake-last)/2)
	at, err = ask(stake, 0)
	if at == nil || err != nil {
		return nil, nil, nil, err
	}
	slope := func(up, down []float64, scale float64) []float64 {
		out := make([]float64, len(at))
		for i := range at {
			switch {
			case up != nil && down != nil:
				out[i] = scale * (up[i] - down[i]) / 2
			case up != nil:
				out[i] = scale * (up[i] - at[i])
			case down != nil:
				out[i] = scale * (at[i] - down[i])
			}
		}
		return out
	}
	var up, down []float64
	if up, err = ask(stake+dz, dz); err == nil {
		down, err = ask(stake-dz, -dz)
	}
	if err != nil {
		return nil, nil, nil, err
	}
	jz = slope(up, down, float64(o.Zero/dz))
	if up, err = ask(stake+dc, 0); err == nil {
		down, err = ask(stake-dc, 0)
	}
	if err != nil {
		return nil, nil, nil, err
	}
	return at, jz, slope(up, down, float64(o.Stake)*float64(stake/dc)), nil
}

func checkShapes(shapes []Shape) error {
	for i, s := range shapes {
		if s.Predict == nil || !good(float64(s.Resistance)) || !(s.Weight >= 0) || math.IsInf(s.Weight, 0) {
			return &Error{BadShape, i, fmt.Sprintf("the shape %q has no resistance, no curve or no weight", s.Name), "give all three"}
		}
	}
	return nil
}

// shapeWeights returns weights that sum to 1.
func shapeWeights(shapes []Shape) []float64 {
	out := make([]float64, len(shapes))
	sum := 0.0
	for i, s := range shapes {
		out[i] = s.Weight
		sum += s.Weight
	}
	for i := range out {
		if sum == 0 {
			out[i] = 1 / float64(len(out))
		} else {
			out[i] /= sum
		}
	}
	return out
}

// chi99 returns the 99 % point of chi-square with n degrees of freedom, by the
// cube-root rule of Wilson and Hilferty (1931).
func chi99(n int) float64 {
	v := 2.0 / (9 * float64(n))
	return float64(n) * math.Pow(1-v+2.3263*math.Sqrt(v), 3)
}

// lower returns Cholesky's factor of a symmetric positive matrix.
func lower(a []float64, n int) []float64 {
	l := make([]float64, n*n)
	for j := range n {
		for i := j; i < n; i++ {
			v := a[i*n+j]
			for k := range j {
				v -= l[i*n+k] * l[j*n+k]
			}
			if i == j {
				l[j*n+j] = math.Sqrt(v)
			} else {
				l[i*n+j] = v / l[j*n+j]
			}
		}
	}
	return l
}

func forward(l, b []float64) []float64 {
	n := len(b)
	y := make([]float64, n)
	for i := range n {
		v := b[i]
		for k := range i {
			v -= l[i*n+k] * y[k]
		}
		y[i] = v / l[i*n+i]
	}
	return y
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}
