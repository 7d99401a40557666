package soil

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
	"stubup/base/unit"
)

// Point is one reading of a sounding: what the pins read as apparent
// resistivity, and on which line they stood. Readings about different centers
// or along different directions are different lines.
type Point struct {
	Setting
	Apparent unit.OhmMetre
	Line     string
}

// Point returns the reading as a point of a sounding.
func (r Reading) Point(line string) Point {
	return Point{WennerSetting(r.Spacing), r.Apparent(), line}
}

// MaxFitLayers is the largest number of layers that Fit takes up.
const MaxFitLayers = 4

// What Fit assumes where Options say nothing, and the rules by which it
// decides. None has a printed source: the noise figures are the ones that
// gave honest intervals in simulation (see the tests); the rest are the usual
// limits of the chi-square distribution and of robust fitting.
const (
	// ReadingNoise is the scatter of a reading about its line, one standard
	// deviation.
	ReadingNoise unit.Ratio = 0.05
	// LateralNoise is the scatter of a whole line about the site, one standard
	// deviation of a common factor.
	LateralNoise unit.Ratio = 0.08

	gainLayer  = 9.210     // chi-square gain asked of a layer: 1 % point, two parameters
	gainOthers = 3.0       // of which this much from readings other than the one that gains most
	gain90     = 2.706     // 90 % point, one parameter
	flagSigma  = 4.5       // standard deviations past which a reading is set aside
	contrast   = math.Ln10 // standard deviation of ln(rho/rho of the layer above), see Fit
	flagRatio  = 1.25      // and no reading closer than this factor is
)

// Options of a fit. The zero value serves.
type Options struct {
	Layers  int        // 0: choose
	Noise   unit.Ratio // of a reading; 0: ReadingNoise
	Lateral unit.Ratio // of a line; 0: LateralNoise
}

// Interval is a 90 % interval. An open end is one that the readings do not
// bound: the number there is only how far was looked.
type Interval struct {
	Low, High         float64
	LowOpen, HighOpen bool
}

// Width returns ln(High/Low), infinite where an end is open.
func (v Interval) Width() float64 {
	if v.LowOpen || v.HighOpen {
		return math.Inf(1)
	}
	return math.Log(v.High / v.Low)
}

// Known is what the readings say of one layer. The last layer has a
// resistivity only.
type Known struct {
	Resistivity Interval // ohm-m
	Thickness   Interval // m
	Bottom      Interval // depth of the lower end, m
	Product     Interval // resistivity times thickness, ohm-m2
	Quotient    Interval // thickness over resistivity, siemens
	Words       string   // which of them are known, where it is not the plain two
}

// Flag is a reading that was set aside.
type Flag struct {
	Index    int // of the points
	Read     unit.OhmMetre
	Expected unit.OhmMetre // what the layers fitted to the others read there
	Reason   string
}

// LineFit is one line by itself.
type LineFit struct {
	Name     string
	Readings int        // that were used
	Factor   unit.Ratio // of its readings over the common model, by their mean logarithm
	Model    Model      // fitted to this line alone with the same number of layers; nil where it has too few readings
	Misfit   unit.Ratio // of that, or of the common model with the line's factor
}

// Trial is one number of layers that was tried.
type Trial struct {
	Layers    int
	Misfit    unit.Ratio
	ChiSquare float64
	Flagged   int
}

// Fitted is a fit and everything that must be said beside it.
type Fitted struct {
	Model   Model
	Misfit  unit.Ratio // rms of ln(read/fitted) of the readings used, lines' factors taken out
	Noise   unit.Ratio // of a reading, as used for the intervals
	Lateral unit.Ratio // spread between lines as read: standard deviation of their factors; 0 with one line
	Known   []Known    // by layer
	Flagged []Flag
	Lines   []LineFit // in the order of first appearance
	Tried   []Trial
	Reason  string   // why this many layers
	Doubts  []string // what the numbers alone do not tell
}

// fitting is the state of one fit: logarithms throughout.
type fitting struct {
	curve         *Curve
	pts           []Point
	y             []float64 // ln apparent
	line          []int
	names         []string
	noise, tau    float64
	unpulled      bool // without the pull to little contrast
	site          bool // the site is asked about, not what the one line read
	use           []bool
	lo, hi        float64 // of ln apparent
	nearest, wide float64 // pin spacing, smallest and largest
	out           []float64
	rho, h        []float64
}

// Fit returns the horizontal layers that explain the readings.
//
// The readings' logarithms are fitted by damped least squares from many
// starts, with a common factor for every line (its standard deviation is
// Options.Lateral, so that what differs between lines is not taken for layers
// or for noise). A reading that stands apart from what all others say is set
// aside, by a robust loss first (Student's t with two degrees of freedom) and
// by plain least squares of the others after that, and is named in Flagged.
//
// The number of layers is the smallest from which no further layer lowers the
// chi-square by more than the 1 % point of two parameters, 9.21; of that at
// least 3 must come from readings other than the one that gains most, since
// one reading alone cannot be told from a bad one.
//
// Of layers that explain the readings equally well those of the least
// contrast are returned: a weak pull, one chi-square for a step of ten times
// between neighbors. Where every layer is known well enough that the pull moves
// none of its figures twofold, it is left out; the intervals are always without
// it.
//
// The intervals are those of the profile likelihood: all other parameters are
// fitted again at every tried value, so that layers that can be traded
// against each other show as wide or open intervals.
//
// The result depends on the arguments alone.
func Fit(points []Point, o Options) (Fitted, error) {
	f, err := newFitting(points, o)
	if err != nil {
		return Fitted{}, err
	}
	most := min(MaxFitLayers, (len(points)+1)/2)
	first := 1
	if o.Layers != 0 {
		if o.Layers < 1 || o.Layers > MaxFitLayers {
			return Fitted{}, &Error{TooManyLayers, -1, fmt.Sprintf("%d layers cannot be fitted, 1 to %d can", o.Layers, MaxFitLayers), "give 1 to 4 layers, or let them be chosen"}
		}
		if o.Layers > most {
			return Fitted{}, &Error{NoReadings, -1, fmt.Sprintf("%d layers have %d unknowns, and there are %d readings", o.Layers, 2*o.Layers-1, len(points)), "read more spacings, or fit fewer layers"}
		}
		most = o.Layers
	}
	var ss []*solution
	for n := first; n <= most; n++ {
		var from *solution
		if len(ss) > 0 {
			from = ss[len(ss)-1]
		}
		ss = append(ss, f.solve(n, from))
	}
	// Readings that scatter more than stated, even about the richest model, are
	// noisier than stated.
	noise := f.noise
	if rich := ss[len(ss)-1]; len(points)-rich.flagged() >= 2*len(rich.p)+1 {
		noise = max(noise, 1.4826*medianAbs(rich.res))
	}
	chosen := len(ss) - 1
	reason := fmt.Sprintf("%s as asked for", layers(most))
	if o.Layers == 0 {
		chosen, reason = choose(ss, noise)
	}
	s := ss[chosen]
	return f.report(s, ss, noise, reason), nil
}

func layers(n int) string {
	if n == 1 {
		return "1 layer"
	}
	return fmt.Sprintf("%d layers", n)
}

// choose returns the index of the number of layers by the rule of Fit, and
// the reason.
func choose(ss []*solution, noise float64) (int, string) {
	at := 0
	said := ""
	for next := 1; next < len(ss); next++ {
		gain, most := gains(ss[at], ss[next], noise)
		alone := len(ss[at].res) >= 5 && gain-most < gainOthers
		if gain > gainLayer*float64(next-at) && !alone {
			said = fmt.Sprintf("%s: chi-square falls by %.3g from %s (misfit %s to %s), more than %.3g, the 1 %% point",
				layers(next+1), gain, layers(at+1), percent(ss[at].misfit()), percent(ss[next].misfit()), gainLayer*float64(next-at))
			at = next
		}
	}
	if said == "" {
		said = fmt.Sprintf("1 layer: every reading that was used lies within the noise of one resistivity (misfit %s)", percent(ss[0].misfit()))
	}
	if at+1 < len(ss) {
		gain, most := gains(ss[at], ss[at+1], noise)
		switch {
		case gain > gainLayer:
			said += fmt.Sprintf("; %s more is not taken: the gain of %.3g rests on one reading (%.3g from all others)", layers(1), gain, gain-most)
		default:
			said += fmt.Sprintf("; %s gain %.3g more, less than %.3g", layers(at+2), max(gain, 0), gainLayer)
		}
	} else if at+1 < MaxFitLayers {
		said += fmt.Sprintf("; %d readings carry no more than %s", len(ss[at].res), layers(at+1))
	} else {
		said += fmt.Sprintf("; more than %s are not tried", layers(MaxFitLayers))
	}
	return at, said
}

// gains returns by how much the chi-square of all readings falls from a to b,
// each reading's share of it cut at flagSigma, and the largest part of that
// one reading has.
func gains(a, b *solution, noise float64) (sum, most float64) {
	cut := func(r float64) float64 { return math.Min(r*r/(noise*noise), flagSigma*flagSigma) }
	for i := range a.res {
		d := cut(a.res[i]) - cut(b.res[i])
		sum += d
		most = math.Max(most, d)
	}
	return sum, most
}

func percent(r unit.Ratio) string { return fmt.Sprintf("%.2g %%", 100*float64(r)) }

func newFitting(points []Point, o Options) (*fitting, error) {
	f := &fitting{pts: points, noise: float64(ReadingNoise), tau: float64(LateralNoise), lo: math.Inf(1), hi: math.Inf(-1), nearest: math.Inf(1)}
	for _, v := range []struct {
		r  unit.Ratio
		to *float64
		w  string
	}{{o.Noise, &f.noise, "noise"}, {o.Lateral, &f.tau, "lateral"}} {
		if v.r == 0 {
			continue
		}
		if !(v.r > 0 && v.r <= 1) {
			return nil, &Error{BadReading, -1, fmt.Sprintf("%s %g is not usable", v.w, float64(v.r)), "give a share above 0 and up to 1, such as 0.05"}
		}
		*v.to = float64(v.r)
	}
	set := make([]Setting, len(points))
	for i, p := range points {
		set[i] = p.Setting
	}
	var err error
	if f.curve, err = NewCurve(set); err != nil {
		return nil, err
	}
	for i, p := range points {
		if !(p.Apparent >= minRho && p.Apparent <= maxRho) {
			return nil, &Error{BadReading, i, fmt.Sprintf("reading %d: %g ohm-m is not usable", i+1, float64(p.Apparent)), "give a reading above zero, or leave it out"}
		}
		y := log(float64(p.Apparent))
		f.y = append(f.y, y)
		f.use = append(f.use, true)
		f.lo, f.hi = math.Min(f.lo, y), math.Max(f.hi, y)
		a := float64(p.Spacing())
		f.nearest, f.wide = math.Min(f.nearest, a), math.Max(f.wide, a)
		k := slices.Index(f.names, p.Line)
		if k < 0 {
			k = len(f.names)
			f.names = append(f.names, p.Line)
		}
		f.line = append(f.line, k)
	}
	f.out = make([]float64, len(points))
	f.rho, f.h = make([]float64, MaxFitLayers), make([]float64, MaxFitLayers)
	return f, nil
}

// solution is one fitted number of layers: p are ln rho of each layer, then
// ln h of each but the last; delta the ln factor of each line.
type solution struct {
	f     *fitting
	n     int
	p     []float64
	delta []float64
	res   []float64 // of every reading, ln(read/fitted) less its line's factor
	use   []bool
	cost  float64
}

func (s *solution) flagged() int {
	k := 0
	for _, u := range s.use {
		if !u {
			k++
		}
	}
	return k
}

func (s *solution) misfit() unit.Ratio {
	sum, k := 0.0, 0
	for i, r := range s.res {
		if s.use[i] {
			sum += r * r
			k++
		}
	}
	return unit.Ratio(math.Sqrt(sum / float64(k)))
}

func (s *solution) chiSquare(noise float64) float64 {
	sum := 0.0
	for i, r := range s.res {
		if s.use[i] {
			sum += r * r / (noise * noise)
		}
	}
	return sum
}

func (s *solution) model() Model {
	m := make(Model, s.n)
	for i := range m {
		m[i].Resistivity = unit.OhmMetre(exp(s.p[i]))
		if i < s.n-1 {
			m[i].Thickness = unit.Metre(exp(s.p[s.n+i]))
		}
	}
	return m
}

func medianAbs(v []float64) float64 {
	a := make([]float64, len(v))
	for i, x := range v {
		a[i] = math.Abs(x)
	}
	return median(a)
}

func median(v []float64) float64 {
	a := slices.Clone(v)
	stable.Ascend(a)
	n := len(a)
	if n%2 == 1 {
		return a[n/2]
	}
	return (a[n/2-1] + a[n/2]) / 2
}

// forward writes ln apparent of every setting.
func (f *fitting) forward(n int, p, out []float64) {
	for i := range n {
		f.rho[i] = exp(p[i])
		f.h[i] = 0
		if i < n-1 {
			f.h[i] = exp(p[n+i])
		}
	}
	f.curve.apparent(f.rho[:n], f.h[:n], out)
	for i, v := range out {
		out[i] = log(v)
	}
}

// bounds are how far the fit looks: far past what the readings can tell.
func (f *fitting) bounds(n, k int) (lo, hi float64) {
	if k < n {
		return f.lo - 5.8, f.hi + 5.8 // a factor of 330 past the readings
	}
	return log(f.nearest / 20), log(f.wide * 3)
}

// solve fits n layers: robustly from every start, then by plain least squares
// of the readings that are not set aside.
func (f *fitting) solve(n int, from *solution) *solution {
	var best *solution
	// Of all starts those that are nearest to begin with are followed.
	var ss []*solution
	for _, p := range f.starts(n, from) {
		s := &solution{f: f, n: n, p: p, delta: make([]float64, len(f.names))}
		f.fit(s, nil, true, 0)
		ss = append(ss, s)
	}
	stable.Sort(ss, func(a, b *solution) int {
		switch {
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	for _, s := range ss[:min(len(ss), 16)] {
		f.fit(s, nil, true, 12)
		if best == nil || s.cost < best.cost*(1-1e-9) {
			best = s
		}
	}
	f.fit(best, nil, true, 60)
	s := best
	s.use = slices.Clone(f.use)
	for range 4 {
		use := f.secondOpinion(s, f.flags(s))
		same := slices.Equal(use, s.use)
		s.use = use
		f.fit(s, use, false, 60)
		if same {
			break
		}
	}
	f.unpulled = true
	t := &solution{f: f, n: n, p: s.p, delta: slices.Clone(s.delta)}
	f.fit(t, s.use, false, 60)
	f.unpulled = false
	for k := range t.p {
		if math.Abs(t.p[k]-s.p[k]) > math.Ln2 {
			return s
		}
	}
	return t
}

// flags returns which readings are to be used: all, if those that stand apart
// are too many to be exceptions.
func (f *fitting) flags(s *solution) []bool {
	use := make([]bool, len(s.res))
	var kept []float64
	for i, r := range s.res {
		if s.use[i] {
			kept = append(kept, r)
		}
	}
	scatter := math.Max(f.noise, 1.4826*medianAbs(kept))
	k := 0
	for i, r := range s.res {
		use[i] = math.Abs(r) <= math.Max(flagSigma*scatter, math.Log(flagRatio))
		if !use[i] {
			k++
		}
	}
	if k > len(use)/5 || len(use)-k < len(s.p)+1 {
		for i := range use {
			use[i] = true
		}
	}
	return use
}

// secondOpinion takes back what was set aside wrongly: a reading that agrees
// with its own line is no bad reading, the line stands on other ground. Lines
// too short to say so are left alone.
func (f *fitting) secondOpinion(s *solution, use []bool) []bool {
	if len(f.names) == 1 {
		return use
	}
	out := slices.Clone(use)
	for k := range f.names {
		var own []Point
		var at []int
		asked := false
		for i, l := range f.line {
			if l == k {
				own, at = append(own, f.pts[i]), append(at, i)
				asked = asked || !use[i]
			}
		}
		if !asked || len(own) < len(s.p)+3 {
			continue
		}
		g, err := newFitting(own, Options{Noise: unit.Ratio(f.noise), Lateral: unit.Ratio(f.tau)})
		if err != nil {
			continue // the settings were accepted before
		}
		t := &solution{f: g, n: s.n, p: slices.Clone(s.p), delta: make([]float64, 1)}
		g.fit(t, nil, true, 60)
		for j, u := range g.flags(t) {
			out[at[j]] = use[at[j]] || u
		}
	}
	return out
}

// starts returns the places from which n layers are fitted: boundaries at
// depths spread over the spacings, resistivities as read about there and
// beyond, and the layers that were found last with one of them split.
func (f *fitting) starts(n int, from *solution) [][]float64 {
	type pair struct{ x, y float64 }
	var ps []pair
	for i, p := range f.pts {
		ps = append(ps, pair{log(float64(p.Spacing())), f.y[i]})
	}
	stable.Sort(ps, func(a, b pair) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	// The median of three neighbors keeps one bad reading out of the starts.
	ys := make([]float64, len(ps))
	for i := range ps {
		ys[i] = median([]float64{ps[max(0, i-1)].y, ps[i].y, ps[min(len(ps)-1, i+1)].y})
	}
	read := func(x float64) float64 {
		if x <= ps[0].x {
			return ys[0]
		}
		for i := 1; i < len(ps); i++ {
			if x <= ps[i].x && ps[i].x > ps[i-1].x {
				t := (x - ps[i-1].x) / (ps[i].x - ps[i-1].x)
				return ys[i-1] + t*(ys[i]-ys[i-1])
			}
		}
		return ys[len(ys)-1]
	}
	if n == 1 {
		return [][]float64{{median(f.y)}}
	}
	var out [][]float64
	lo, hi := log(f.nearest/3), log(f.wide)
	cuts := 7
	if n == 2 {
		cuts = 12
	}
	at := func(k int) float64 { return lo + (hi-lo)*(float64(k)+0.5)/float64(cuts) }
	var choose func(first int, depth []float64)
	choose = func(first int, depth []float64) {
		if len(depth) < n-1 {
			for k := first; k < cuts; k++ {
				choose(k+1, append(slices.Clone(depth), at(k)))
			}
			return
		}
		for _, push := range []float64{0, 1} {
			p := make([]float64, 2*n-1)
			for i := range n {
				switch {
				case i == 0:
					p[i] = read(depth[0])
				case i == n-1:
					p[i] = read(depth[i-1] + 1.1)
				default:
					p[i] = read((depth[i-1]+depth[i])/2 + 0.4)
				}
			}
			// What is read is a blur of what is there.
			for i := n - 1; i > 0; i-- {
				p[i] += push * (p[i] - p[i-1])
			}
			up := 0.0
			for i, d := range depth {
				z := exp(d)
				p[n+i] = log(math.Max(z-up, z/10))
				up = z
			}
			out = append(out, p)
		}
	}
	choose(0, nil)
	if from != nil && from.n == n-1 {
		for k := range n {
			// Split layer k in two; the last one below a depth.
			for _, push := range []float64{-0.7, 0.7} {
				p := make([]float64, 2*n-1)
				z := 0.0
				for i := range n - 2 {
					z += exp(from.p[from.n+i])
				}
				j := min(k, n-2)
				for i := range n {
					src := i
					if i > j {
						src = i - 1
					}
					p[i] = from.p[src]
				}
				p[j+1] += push
				for i := range n - 1 {
					src := i
					if i > j {
						src = i - 1
					}
					if src < from.n-1 {
						p[n+i] = from.p[from.n+src]
						if i == j || i == j+1 {
							p[n+i] -= math.Ln2
						}
					} else {
						p[n+i] = log(math.Max(z, f.nearest))
					}
				}
				out = append(out, p)
			}
		}
	}
	for _, p := range out {
		for k := range p {
			lo, hi := f.bounds(n, k)
			p[k] = math.Min(math.Max(p[k], lo), hi)
		}
	}
	return out
}

// fit improves s by damped least squares (Levenberg and Marquardt). With
// robust, readings are weighted by Student's t of two degrees of freedom;
// else those of use count fully and the others not at all.
func (f *fitting) fit(s *solution, use []bool, robust bool, rounds int) {
	n := s.n
	full := func(q []float64) []float64 { return q }
	if !robust {
		s.use = use
	}
	s.p = f.descend(n, s.p, s.delta, use, robust, rounds, full, &s.cost)
	s.res = make([]float64, len(f.y))
	f.forward(n, s.p, f.out)
	for i := range s.res {
		s.res[i] = f.y[i] - f.out[i] - s.delta[f.line[i]]
	}
	if s.use == nil {
		s.use = slices.Clone(f.use)
	}
}

// descend minimizes the cost over q, where full(q) are the parameters of the
// layers, together with the factors of the lines. It changes delta in place.
func (f *fitting) descend(n int, q, delta []float64, use []bool, robust bool, rounds int, full func([]float64) []float64, cost *float64) []float64 {
	const nu = 2.0
	q = slices.Clone(q)
	nq, nl := len(q), len(delta)
	if len(f.names) == 1 && !f.site {
		nl = 0 // one line's factor cannot be told from the scale
	}
	m := len(f.y)
	plain := !f.site && !f.unpulled
	eval := func(q, delta, out []float64) float64 {
		f.forward(n, full(q), out)
		c := 0.0
		for i := range out {
			z := (f.y[i] - out[i] - delta[f.line[i]]) / f.noise
			switch {
			case robust:
				c += (nu + 1) * math.Log1p(z*z/nu)
			case use[i]:
				c += z * z
			}
		}
		for _, d := range delta[:nl] {
			c += d * d / (f.tau * f.tau)
		}
		if plain {
			for k := 1; k < n; k++ {
				d := (q[k] - q[k-1]) / contrast
				c += d * d
			}
		}
		return c
	}
	out, trial := make([]float64, m), make([]float64, m)
	c := eval(q, delta, out)
	damp := 1e-2
	jac := make([][]float64, nq)
	for k := range jac {
		jac[k] = make([]float64, m)
	}
	size := nq + nl
	a := make([][]float64, size)
	for i := range a {
		a[i] = make([]float64, size+1)
	}
	qt, dt := make([]float64, nq), slices.Clone(delta)
	for range rounds {
		for k := range q {
			const step = 1e-5
			copy(qt, q)
			qt[k] += step
			f.forward(n, full(qt), trial)
			for i := range trial {
				jac[k][i] = (trial[i] - out[i]) / step
			}
		}
		for i := range a {
			clear(a[i])
		}
		for i := range m {
			r := f.y[i] - out[i] - delta[f.line[i]]
			w := 1 / (f.noise * f.noise)
			if robust {
				w *= (nu + 1) / (nu + r*r*w)
			} else if !use[i] {
				continue
			}
			for k := range nq {
				jk := jac[k][i] * w
				for l := 0; l <= k; l++ {
					a[k][l] += jk * jac[l][i]
				}
				a[k][size] += jk * r
				if nl > 0 {
					a[nq+f.line[i]][k] += jk
				}
			}
			if nl > 0 {
				a[nq+f.line[i]][nq+f.line[i]] += w
				a[nq+f.line[i]][size] += w * r
			}
		}
		if plain {
			for k := 1; k < n; k++ {
				const w = 1 / (contrast * contrast)
				d := q[k] - q[k-1]
				a[k][k] += w
				a[k-1][k-1] += w
				a[k][k-1] -= w
				a[k][size] -= w * d
				a[k-1][size] += w * d
			}
		}
		for l := range nl {
			w := 1 / (f.tau * f.tau)
			a[nq+l][nq+l] += w
			a[nq+l][size] -= w * delta[l]
		}
		better := false
		for range 8 {
			d := solveDamped(a, damp)
			moved := 0.0
			for k := range q {
				lo, hi := f.bounds(n, k)
				if nq < 2*n-1 { // reduced: only the layers' own bounds are known to full
					lo, hi = math.Inf(-1), math.Inf(1)
				}
				step := math.Min(math.Max(d[k], -1.5), 1.5)
				qt[k] = math.Min(math.Max(q[k]+step, lo), hi)
				moved = math.Max(moved, math.Abs(qt[k]-q[k]))
			}
			for l := range nl {
				dt[l] = delta[l] + d[nq+l]
			}
			ct := eval(qt, dt, trial)
			if ct < c {
				better = c-ct > 1e-9*(1+c)
				c = ct
				copy(q, qt)
				copy(delta, dt)
				out, trial = trial, out
				damp = math.Max(damp/5, 1e-9)
				break
			}
			damp = math.Min(damp*6, 1e9)
			if moved < 1e-9 {
				break
			}
		}
		if !better {
			break
		}
	}
	if cost != nil {
		*cost = c
	}
	return q
}

// solveDamped returns x of (A + damp diag A) x = b by Cholesky; A is the lower
// half, b the last column.
func solveDamped(a [][]float64, damp float64) []float64 {
	n := len(a)
	l := make([][]float64, n)
	x := make([]float64, n)
	for i := range n {
		l[i] = make([]float64, i+1)
		for j := 0; j <= i; j++ {
			s := a[i][j]
			if i == j {
				s += damp*s + 1e-12
			}
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			if i == j {
				l[i][i] = math.Sqrt(math.Max(s, 1e-300))
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	for i := range n {
		s := a[i][n]
		for k := range i {
			s -= l[i][k] * x[k]
		}
		x[i] = s / l[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		s := x[i]
		for k := i + 1; k < n; k++ {
			s -= l[k][i] * x[k]
		}
		x[i] = s / l[i][i]
	}
	return x
}

// quantity is c.p, the logarithm of a product of powers of the parameters.
type quantity struct {
	c     []float64
	depth int // > 0: instead ln of the depth of that many layers together
}

func (v quantity) of(n int, p []float64) float64 {
	if v.depth > 0 {
		z := 0.0
		for i := range v.depth {
			z += exp(p[n+i])
		}
		return log(z)
	}
	s := 0.0
	for k, c := range v.c {
		s += c * p[k]
	}
	return s
}

// interval returns the 90 % interval of a quantity by its profile.
func (f *fitting) interval(s *solution, v quantity) Interval {
	n := s.n
	best := v.of(n, s.p)
	// One parameter follows from the value and the others.
	dep := 0
	if v.depth > 0 {
		dep = n
		for i := range v.depth { // the thickest, so that it stays positive longest
			if s.p[n+i] > s.p[dep] {
				dep = n + i
			}
		}
	} else {
		for k, c := range v.c {
			if c != 0 {
				dep = k // the last: a thickness, where there is one
			}
		}
	}
	var base float64
	f.descend(n, s.p, slices.Clone(s.delta), s.use, false, 40, func(q []float64) []float64 { return q }, &base)
	end := func(sign float64) (float64, bool) {
		free := make([]float64, 0, len(s.p)-1)
		for k, x := range s.p {
			if k != dep {
				free = append(free, x)
			}
		}
		delta := slices.Clone(s.delta)
		rise := func(at float64) float64 {
			full := func(q []float64) []float64 {
				p := make([]float64, len(s.p))
				j := 0
				for k := range p {
					if k != dep {
						lo, hi := f.bounds(n, k)
						p[k] = math.Min(math.Max(q[j], lo), hi)
						j++
					}
				}
				if v.depth > 0 {
					z := exp(at)
					for i := range v.depth {
						if n+i != dep {
							z -= exp(p[n+i])
						}
					}
					p[dep] = log(math.Max(z, exp(at)/50))
				} else {
					x := at
					for k, c := range v.c {
						if k != dep {
							x -= c * p[k]
						}
					}
					p[dep] = x / v.c[dep]
				}
				lo, hi := f.bounds(n, dep)
				p[dep] = math.Min(math.Max(p[dep], lo-1), hi+1)
				return p
			}
			var c float64
			free = f.descend(n, free, delta, s.use, false, 15, full, &c)
			return c - base
		}
		reach := 7.0
		if v.depth == 0 {
			reach = 0
			for k, c := range v.c {
				lo, hi := f.bounds(n, k)
				if c*sign > 0 {
					reach += math.Abs(c) * (hi - s.p[k])
				} else if c != 0 {
					reach += math.Abs(c) * (s.p[k] - lo)
				}
			}
			reach = math.Min(reach, 7)
		}
		prev, prevRise := 0.0, 0.0
		for step := 0.04; ; step *= 1.8 {
			d := math.Min(step, reach)
			r := rise(best + sign*d)
			if r > gain90 {
				// Interpolate on the square root of the rise, nearly straight.
				for range 4 {
					a, b := math.Sqrt(math.Max(prevRise, 0)), math.Sqrt(r)
					t := (math.Sqrt(gain90) - a) / (b - a)
					t = math.Min(math.Max(t, 0.05), 0.95)
					mid := prev + t*(d-prev)
					rm := rise(best + sign*mid)
					if math.Abs(rm-gain90) < 0.02 {
						return best + sign*mid, false
					}
					if rm > gain90 {
						d, r = mid, rm
					} else {
						prev, prevRise = mid, rm
					}
				}
				a, b := math.Sqrt(math.Max(prevRise, 0)), math.Sqrt(r)
				return best + sign*(prev+(math.Sqrt(gain90)-a)/(b-a)*(d-prev)), false
			}
			prev, prevRise = d, r
			if d == reach {
				return best + sign*d, true
			}
		}
	}
	var out Interval
	var x float64
	x, out.LowOpen = end(-1)
	out.Low = exp(x)
	x, out.HighOpen = end(1)
	out.High = exp(x)
	return out
}

func (f *fitting) report(s *solution, ss []*solution, noise float64, reason string) Fitted {
	out := Fitted{Model: s.model(), Misfit: s.misfit(), Reason: reason}
	dof := len(f.y) - s.flagged() - len(s.p)
	if dof > 0 {
		noise = math.Max(noise, float64(s.misfit())*math.Sqrt(float64(len(f.y)-s.flagged())/float64(dof)))
	}
	out.Noise = unit.Ratio(noise)
	for _, t := range ss {
		out.Tried = append(out.Tried, Trial{t.n, t.misfit(), t.chiSquare(noise), t.flagged()})
	}
	for i, u := range s.use {
		if u {
			continue
		}
		want := exp(f.y[i] - s.res[i])
		r := float64(f.pts[i].Apparent) / want
		end := ""
		if a := float64(f.pts[i].Spacing()); a >= f.wide*(1-1e-9) || a <= f.nearest*(1+1e-9) {
			end = "; at the end of the line it may also be the first sign of one more layer"
		}
		out.Flagged = append(out.Flagged, Flag{
			i, f.pts[i].Apparent, unit.OhmMetre(want),
			fmt.Sprintf("reading %d at %.3g m gives %.3g ohm-m, %.2g times the %.3g ohm-m that the others make of it (%.2g times the scatter of the others)%s: set aside, read it again",
				i+1, float64(f.pts[i].Spacing()), float64(f.pts[i].Apparent), r, want, math.Abs(s.res[i])/math.Max(f.noise, float64(s.misfit())), end),
		})
	}
	f.lines(s, &out)
	f.known(s, noise, &out)
	if dof <= 0 && float64(out.Misfit) < f.noise {
		out.Doubts = append(out.Doubts, fmt.Sprintf("%d readings and %d unknowns: the layers pass through every reading, and the misfit says nothing", len(f.y), len(s.p)))
	}
	if float64(out.Misfit) > 2*f.noise {
		out.Doubts = append(out.Doubts, fmt.Sprintf("the readings lie %s from the layers, more than their noise of %s: the ground is not in level layers, or something in it is of metal", percent(out.Misfit), percent(unit.Ratio(f.noise))))
	}
	if len(f.names) == 1 {
		out.Doubts = append(out.Doubts, fmt.Sprintf("one line: how the ground changes across the site was not read, and %s is assumed for it", percent(unit.Ratio(f.tau))))
	}
	for i, k := range out.Known {
		if v := k.Resistivity; v.LowOpen || v.HighOpen {
			out.Doubts = append(out.Doubts, fmt.Sprintf("layer %d: %s; %.3g ohm-m is only what takes the least contrast", i+1, openEnd("resistivity", v, "ohm-m"), float64(out.Model[i].Resistivity)))
		}
	}
	if s.n > 1 {
		z := 0.0
		for _, l := range out.Model[:s.n-1] {
			z += float64(l.Thickness)
		}
		if z > f.wide {
			out.Doubts = append(out.Doubts, fmt.Sprintf("the lowest boundary lies at %.3g m, deeper than the widest spacing of %.3g m: read wider", z, f.wide))
		}
		if t := float64(out.Model[0].Thickness); t < f.nearest/2 {
			out.Doubts = append(out.Doubts, fmt.Sprintf("the top layer is %.2g m thick, less than half the smallest spacing of %.2g m: read closer", t, f.nearest))
		}
	}
	return out
}

func (f *fitting) lines(s *solution, out *Fitted) {
	var factors []float64
	for k, name := range f.names {
		l := LineFit{Name: name}
		var sum, sq float64
		var own []Point
		for i := range f.y {
			if f.line[i] != k || !s.use[i] {
				continue
			}
			l.Readings++
			own = append(own, f.pts[i])
			sum += s.res[i] + s.delta[k]
			sq += s.res[i] * s.res[i]
		}
		if l.Readings == 0 {
			l.Factor = 1
			out.Lines = append(out.Lines, l)
			continue
		}
		mean := sum / float64(l.Readings)
		l.Factor = unit.Ratio(exp(mean))
		l.Misfit = unit.Ratio(math.Sqrt(sq / float64(l.Readings)))
		factors = append(factors, mean)
		switch {
		case len(f.names) == 1:
			l.Model = out.Model
		case l.Readings >= len(s.p)+1:
			g, err := newFitting(own, Options{Noise: unit.Ratio(f.noise), Lateral: unit.Ratio(f.tau)})
			if err == nil {
				t := &solution{f: g, n: s.n, p: slices.Clone(s.p), delta: make([]float64, 1)}
				g.fit(t, g.use, false, 60)
				l.Model, l.Misfit = t.model(), t.misfit()
			}
		}
		out.Lines = append(out.Lines, l)
	}
	if n := float64(len(factors)); n > 1 {
		var mean, sq float64
		for _, x := range factors {
			mean += x / n
		}
		for _, x := range factors {
			sq += (x - mean) * (x - mean)
		}
		out.Lateral = unit.Ratio(math.Sqrt(sq / (n - 1)))
	}
}

// known fills in the intervals, with the noise and the lateral scatter as they
// turned out where those are larger than stated.
func (f *fitting) known(s *solution, noise float64, out *Fitted) {
	n := s.n
	defer func(noise, tau float64) { f.noise, f.tau, f.site = noise, tau, false }(f.noise, f.tau)
	f.noise, f.tau, f.site = noise, math.Max(f.tau, float64(out.Lateral)), true
	q := func(set ...float64) quantity { // pairs of index, power
		c := make([]float64, 2*n-1)
		for i := 0; i < len(set); i += 2 {
			c[int(set[i])] = set[i+1]
		}
		return quantity{c: c}
	}
	for i := range n {
		var k Known
		r := float64(i)
		k.Resistivity = f.interval(s, q(r, 1))
		if i < n-1 {
			h := float64(n + i)
			k.Thickness = f.interval(s, q(h, 1))
			k.Bottom = k.Thickness
			if i > 0 {
				k.Bottom = f.interval(s, quantity{depth: i + 1})
			}
			k.Product = f.interval(s, q(r, 1, h, 1))
			k.Quotient = f.interval(s, q(r, -1, h, 1))
			k.Words = equivalence(k)
		} else if w := k.Resistivity; w.HighOpen || w.LowOpen {
			k.Words = openEnd("resistivity", w, "ohm-m")
		}
		out.Known = append(out.Known, k)
	}
}

func openEnd(name string, w Interval, u string) string {
	switch {
	case w.LowOpen && w.HighOpen:
		return name + " is not bounded by the readings"
	case w.HighOpen:
		return fmt.Sprintf("%s is above %.3g %s, not bounded upwards", name, w.Low, u)
	}
	return fmt.Sprintf("%s is below %.3g %s, not bounded downwards", name, w.High, u)
}

// equivalence returns which combination of resistivity and thickness is known
// where neither alone is as well: within half of the width of both.
func equivalence(k Known) string {
	plain := math.Min(k.Resistivity.Width(), k.Thickness.Width())
	p, c := k.Product.Width(), k.Quotient.Width()
	var out []string
	switch {
	case p <= c && p < plain/2:
		out = append(out, fmt.Sprintf("resistivity times thickness is known better (%.3g to %.3g ohm-m2) than either alone", k.Product.Low, k.Product.High))
	case c < p && c < plain/2:
		out = append(out, fmt.Sprintf("thickness over resistivity is known better (%.3g to %.3g S) than either alone", k.Quotient.Low, k.Quotient.High))
	}
	if k.Resistivity.LowOpen || k.Resistivity.HighOpen {
		out = append(out, openEnd("resistivity", k.Resistivity, "ohm-m"))
	}
	if k.Thickness.LowOpen || k.Thickness.HighOpen {
		out = append(out, openEnd("thickness", k.Thickness, "m"))
	}
	return strings.Join(out, "; ")
}
