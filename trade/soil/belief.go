package soil

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/stable"
	"stubup/base/unit"
)

// What Belief assumes of readings where a Noise says nothing: one standard
// deviation each. No printed source: these gave honest intervals in simulation
// (see the tests). The readings of one rod share a factor; taken as
// independent, intervals said to hold nine times in ten held four.
const (
	RodCommon  unit.Ratio = 0.10 // one factor for all readings of a driven rod
	RodNoise   unit.Ratio = 0.03 // and each reading about it
	ValueFloor unit.Ratio = 0.05 // what a forward function does not know of a real electrode
)

// Noise is the scatter of a group of readings: of one about the others, and of
// all together. Zero takes the default of the kind of reading.
type Noise struct {
	Reading, Common unit.Ratio
}

func (n Noise) or(reading, common unit.Ratio) (r, c float64, err error) {
	if n.Reading == 0 {
		n.Reading = reading
	}
	if n.Common == 0 {
		n.Common = common
	}
	if !(n.Reading > 0 && n.Reading <= 1 && n.Common > 0 && n.Common <= 1) {
		return 0, 0, &Error{BadReading, -1, fmt.Sprintf("noise %g and %g are not usable", float64(n.Reading), float64(n.Common)), "give shares above 0 and up to 1, such as 0.05"}
	}
	return float64(n.Reading), float64(n.Common), nil
}

// GridOptions say where two-layer earth is looked at. Zero takes the default.
type GridOptions struct {
	RatioLow, RatioHigh float64    // lower over upper resistivity; 1/50 to 50
	DepthLow, DepthHigh unit.Metre // of the boundary; 0.3 m to 30 m
	Ratios, Depths      int        // nodes; 81 and 73
	// Kinks are depths at which a forward function bends as the boundary
	// crosses them: that of the ring, of a rod's tip. Nodes go on both sides.
	Kinks []unit.Metre
	// Graded puts so many more nodes on either side of a kink, the farthest at
	// gradeFrom, each nearer than the one before by gradeBy: a coarse grid needs
	// them, since a rod whose tip just reaches better soil changes steeply.
	Graded int
}

// kinkGap is ln of how far from a kink its two nodes are.
const kinkGap = 0.004

// In ln of the depth; see GridOptions.Graded.
const (
	gradeFrom = 0.4
	gradeBy   = 2
)

// Grid is the nodes (ratio of lower to upper resistivity, depth of the
// boundary) on which a two-layer earth is looked at, evenly in their
// logarithms but for the kinks, with what is believed before any reading:
// every ln ratio and every ln depth alike within the ends (no source; wide
// enough to leave the say to the readings).
type Grid struct {
	lnRatio, lnDepth []float64
	ratioW, depthW   []float64 // share of each node, by the trapezoid
	reach            [][2]int  // of each depth, the first and last depth between the same two kinks
}

// NewGrid returns the grid of the options.
func NewGrid(o GridOptions) (*Grid, error) {
	if o.RatioLow == 0 {
		o.RatioLow = 1.0 / 50
	}
	if o.RatioHigh == 0 {
		o.RatioHigh = 50
	}
	if o.DepthLow == 0 {
		o.DepthLow = 0.3
	}
	if o.DepthHigh == 0 {
		o.DepthHigh = 30
	}
	if o.Ratios == 0 {
		o.Ratios = 81
	}
	if o.Depths == 0 {
		o.Depths = 73
	}
	bad := func(what, mend string) (*Grid, error) { return nil, &Error{BadThickness, -1, what, mend} }
	switch {
	case !(o.RatioLow >= 1e-4 && o.RatioHigh <= 1e4 && o.RatioLow < o.RatioHigh):
		return bad(fmt.Sprintf("ratios from %g to %g are not usable", o.RatioLow, o.RatioHigh), "give ratios within 1e-4 and 1e4, the lower first")
	case !(o.DepthLow >= 1e-3 && o.DepthHigh <= 1e4 && o.DepthLow < o.DepthHigh):
		return bad(fmt.Sprintf("depths from %g to %g m are not usable", float64(o.DepthLow), float64(o.DepthHigh)), "give depths within 1 mm and 10 km, the lower first")
	case o.Ratios < 3 || o.Depths < 3 || o.Ratios > 1000 || o.Depths > 1000:
		return bad(fmt.Sprintf("%d by %d nodes are not usable", o.Ratios, o.Depths), "give 3 to 1000 each way")
	}
	even := func(lo, hi float64, n int) []float64 {
		lo, hi = log(lo), log(hi)
		out := make([]float64, n)
		for i := range out {
			out[i] = lo + float64((hi-lo)*float64(i))/float64(n-1)
		}
		return out
	}
	g := &Grid{lnRatio: even(o.RatioLow, o.RatioHigh, o.Ratios), lnDepth: even(float64(o.DepthLow), float64(o.DepthHigh), o.Depths)}
	lo, hi := g.lnDepth[0], g.lnDepth[o.Depths-1]
	var upper []float64 // the upper node of every kink
	for _, k := range o.Kinks {
		if !(k > 0) {
			return bad(fmt.Sprintf("a kink at %g m is not usable", float64(k)), "give depths above zero")
		}
		x := log(float64(k))
		if x-kinkGap <= lo || x+kinkGap >= hi {
			continue
		}
		g.lnDepth = slices.DeleteFunc(g.lnDepth, func(d float64) bool { return math.Abs(d-x) < 2*kinkGap && d != lo && d != hi })
		g.lnDepth = append(g.lnDepth, x-kinkGap, x+kinkGap)
		upper = append(upper, x-kinkGap)
	}
	for _, u := range upper {
		d := gradeFrom
		for range o.Graded {
			for _, x := range [2]float64{u + kinkGap - d, u + kinkGap + d} {
				near := func(y float64) bool { return math.Abs(y-x) < d/3 }
				if x > lo && x < hi && !slices.ContainsFunc(g.lnDepth, near) {
					g.lnDepth = append(g.lnDepth, x)
				}
			}
			d /= gradeBy
		}
	}
	stable.Ascend(g.lnDepth)
	g.lnDepth = slices.Compact(g.lnDepth)
	from := 0
	for i, x := range g.lnDepth {
		if i == len(g.lnDepth)-1 || slices.Contains(upper, x) {
			for j := from; j <= i; j++ {
				g.reach = append(g.reach, [2]int{from, i})
			}
			from = i + 1
		}
	}
	g.ratioW, g.depthW = trapezoid(g.lnRatio), trapezoid(g.lnDepth)
	return g, nil
}

// trapezoid returns the share of the whole that each node stands for.
func trapezoid(x []float64) []float64 {
	n := len(x)
	w := make([]float64, n)
	all := x[n-1] - x[0]
	for i := range w {
		w[i] = (x[min(n-1, i+1)] - x[max(0, i-1)]) / (2 * all)
	}
	return w
}

// Len returns the number of nodes.
func (g *Grid) Len() int { return len(g.lnRatio) * len(g.lnDepth) }

// Node returns node i: all ratios of the first depth come first.
func (g *Grid) Node(i int) (ratio float64, depth unit.Metre) {
	n := len(g.lnRatio)
	return exp(g.lnRatio[i%n]), unit.Metre(exp(g.lnDepth[i/n]))
}

// Depths returns how many depths there are: more than asked for where there
// are kinks.
func (g *Grid) Depths() int { return len(g.lnDepth) }

// Table is a forward function at every node of a grid. With two layers
// anything that is measured is the upper resistivity times a function of the
// ratio and the depth alone; that function, in 1/m for a resistance, in 1 for
// an apparent resistivity.
type Table struct {
	grid *Grid
	ln   []float64
}

// Table returns f at every node, asked for in the order of Node.
func (g *Grid) Table(f func(ratio float64, depth unit.Metre) float64) (Table, error) {
	t := Table{g, make([]float64, g.Len())}
	for i := range t.ln {
		r, h := g.Node(i)
		v := f(r, h)
		if !(v > 0 && v < math.Inf(1)) {
			return Table{}, &Error{BadReading, i, fmt.Sprintf("a forward function is %g at ratio %.3g and depth %.3g m", v, r, float64(h)), "it must be above zero everywhere"}
		}
		t.ln[i] = log(v)
	}
	return t, nil
}

// On returns the table on a finer grid within the same ends, straight between
// the nodes in ln of the ratio, the depth and the value: for functions too dear
// to ask at every node. Both grids need the same kinks.
func (t Table) On(fine *Grid) Table {
	place := func(xs []float64, x float64) (int, float64) {
		i, _ := slices.BinarySearch(xs, x)
		i = min(max(i, 1), len(xs)-1)
		return i - 1, math.Min(math.Max((x-xs[i-1])/(xs[i]-xs[i-1]), 0), 1)
	}
	n := len(t.grid.lnRatio)
	out := Table{fine, make([]float64, 0, fine.Len())}
	for _, y := range fine.lnDepth {
		j, v := place(t.grid.lnDepth, y)
		for _, x := range fine.lnRatio {
			i, u := place(t.grid.lnRatio, x)
			a := t.ln[j*n+i] + float64(u*(t.ln[j*n+i+1]-t.ln[j*n+i]))
			b := t.ln[(j+1)*n+i] + float64(u*(t.ln[(j+1)*n+i+1]-t.ln[(j+1)*n+i]))
			out.ln = append(out.ln, a+float64(v*(b-a)))
		}
	}
	return out
}

// stencil returns the nodes of x among xs[lo..hi] and their weights: the cubic
// through four of them about x, a lower power where there are fewer.
func stencil(xs []float64, lo, hi int, x float64) (first int, w []float64) {
	n := min(4, hi-lo+1)
	i, _ := slices.BinarySearch(xs[lo:hi+1], x)
	first = lo + min(max(i-2, 0), hi-lo+1-n)
	w = make([]float64, n)
	for j := range w {
		w[j] = 1
		for k := range w {
			if k != j {
				w[j] *= (x - xs[first+k]) / (xs[first+j] - xs[first+k])
			}
		}
	}
	return first, w
}

// Finer fills a fine grid from a coarse one, for a function too dear to ask at
// every node: the cubic in ln of the ratio and of the depth through the ln of
// the value, never across a kink. Only what the wanted nodes lean on is asked
// for.
type Finer struct {
	coarse, fine *Grid
	ln           []float64 // of the coarse nodes
	known        []bool
	row, col     []lean // of the depths and ratios of the fine grid
}

type lean struct {
	first int
	w     []float64
}

// NewFiner returns an empty table between the grids. The coarse one has the
// kinks of the function to come; where the fine one has more, nothing is lost.
func NewFiner(coarse, fine *Grid) *Finer {
	f := &Finer{coarse: coarse, fine: fine, ln: make([]float64, coarse.Len()), known: make([]bool, coarse.Len())}
	last := len(coarse.lnRatio) - 1
	for _, x := range fine.lnRatio {
		i, w := stencil(coarse.lnRatio, 0, last, x)
		f.col = append(f.col, lean{i, w})
	}
	for _, y := range fine.lnDepth {
		j, _ := slices.BinarySearch(coarse.lnDepth, y)
		j = min(j, len(coarse.lnDepth)-1)
		r := coarse.reach[j]
		if j > 0 && y < coarse.lnDepth[r[0]] {
			// Between the two nodes of a kink: the nearer side's.
			if b := coarse.reach[j-1]; y-coarse.lnDepth[j-1] <= coarse.lnDepth[j]-y {
				r = b
			}
		}
		i, w := stencil(coarse.lnDepth, r[0], r[1], y)
		f.row = append(f.row, lean{i, w})
	}
	return f
}

// Missing returns the coarse nodes, in their order, that must still be put
// before the wanted nodes of the fine grid can be told; nil wants all.
func (f *Finer) Missing(want []bool) []int {
	need := make([]bool, len(f.ln))
	n, m := len(f.fine.lnRatio), len(f.coarse.lnRatio)
	for i := range f.fine.Len() {
		if want != nil && !want[i] {
			continue
		}
		r, c := f.row[i/n], f.col[i%n]
		for j := range r.w {
			for k := range c.w {
				need[(r.first+j)*m+c.first+k] = true
			}
		}
	}
	var out []int
	for i, x := range need {
		if x && !f.known[i] {
			out = append(out, i)
		}
	}
	return out
}

// Put sets a coarse node to a value above zero.
func (f *Finer) Put(i int, v float64) error {
	if !(v > 0 && v < math.Inf(1)) {
		r, h := f.coarse.Node(i)
		return &Error{BadReading, i, fmt.Sprintf("a forward function is %g at ratio %.3g and depth %.3g m", v, r, float64(h)), "it must be above zero everywhere"}
	}
	f.ln[i], f.known[i] = log(v), true
	return nil
}

// Table returns the fine table. Nodes that were not wanted are 1.
func (f *Finer) Table(want []bool) Table {
	t := Table{f.fine, make([]float64, f.fine.Len())}
	n, m := len(f.fine.lnRatio), len(f.coarse.lnRatio)
	for i := range t.ln {
		if want != nil && !want[i] {
			continue
		}
		r, c := f.row[i/n], f.col[i%n]
		sum := 0.0
		for j, u := range r.w {
			for k, v := range c.w {
				sum += float64(float64(u*v) * f.ln[(r.first+j)*m+c.first+k])
			}
		}
		t.ln[i] = sum
	}
	return t
}

// Smooth returns the table on a finer grid, as Finer fills it.
func (t Table) Smooth(fine *Grid) Table {
	f := NewFiner(t.grid, fine)
	copy(f.ln, t.ln)
	return f.Table(nil)
}

// Value returns the function at node i.
func (t Table) Value(i int) float64 { return exp(t.ln[i]) }

// Off returns how far a table is from another of its grid in logarithms, at
// most and in the mean.
func (t Table) Off(u Table) (most, mean float64) {
	for i, x := range t.ln {
		d := math.Abs(x - u.ln[i])
		most = math.Max(most, d)
		mean += d / float64(len(t.ln))
	}
	return most, mean
}

// Times returns the product of two tables of one grid.
func (t Table) Times(u Table) Table {
	out := Table{t.grid, make([]float64, len(t.ln))}
	for i, x := range t.ln {
		out.ln[i] = x + u.ln[i]
	}
	return out
}

// Soundings returns the tables of settings: apparent over upper resistivity.
func (g *Grid) Soundings(settings []Setting) ([]Table, error) {
	c, err := NewCurve(settings)
	if err != nil {
		return nil, err
	}
	out := make([]Table, len(settings))
	for k := range out {
		out[k] = Table{g, make([]float64, g.Len())}
	}
	ratio := make([]float64, len(g.lnRatio))
	for i, x := range g.lnRatio {
		ratio[i] = exp(x)
	}
	e := make([]float64, len(c.lambda))
	at := 0
	for _, y := range g.lnDepth {
		h := exp(y)
		for j, l := range c.lambda {
			e[j] = exp(float64(-2 * l * h))
		}
		for _, r := range ratio {
			for j := range e {
				a, b := r+1, float64((r-1)*e[j])
				c.t[j] = (a + b) / (a - b)
			}
			for k, w := range c.rows {
				t := c.t[w.first-c.first:][:len(w.w)]
				sum := 0.0
				for j, v := range w.w {
					sum += float64(v * t[j])
				}
				out[k].ln[at] = log(sum)
			}
			at++
		}
	}
	return out, nil
}

// Belief is what is known of a two-layer site: at every node of the grid a
// weight and a normal distribution of ln of the upper resistivity, all of one
// width. It is a finite mixture, exact but for the spacing of the nodes; no
// random number is drawn, and its bits are the same on every processor.
//
// For readings y (logarithms) in a group of n with noise s and a common factor
// of c, and r = y - ln g at a node, the precision of ln rho grows by
// n/(s^2 + n c^2), and the quadratic form by
//
//	(sum r^2 - c^2 (sum r)^2/(s^2 + n c^2))/s^2
//
// from which ln rho, believed to be anything before, is integrated out in
// closed form.
type Belief struct {
	grid *Grid
	a    float64   // precision of ln rho, the same at every node
	b    []float64 // precision times mean
	q    []float64 // quadratic form at ln rho = 0
	n    int       // readings
	v    float64   // sum over them of the variance stated for each
	det  float64   // ln of the determinant of their noise
}

// NewBelief returns what is known before any reading.
func NewBelief(g *Grid) *Belief {
	return &Belief{grid: g, b: make([]float64, g.Len()), q: make([]float64, g.Len())}
}

// add returns the belief after a group of readings.
func (b *Belief) add(y []float64, tables []Table, s, c float64) *Belief {
	n := float64(len(y))
	den := float64(s*s) + float64(n*float64(c*c))
	out := &Belief{b.grid, b.a + n/den, slices.Clone(b.b), slices.Clone(b.q), b.n + len(y), b.v + float64(n*(float64(s*s)+float64(c*c))), b.det + float64(2*(n-1)*log(s)) + log(den)}
	for i := range out.b {
		sum, sq := 0.0, 0.0
		for k, v := range y {
			r := v - tables[k].ln[i]
			sum += r
			sq += float64(r * r)
		}
		out.b[i] += sum / den
		out.q[i] += (sq - float64(c*c)*float64(sum*sum)/den) / float64(s*s)
	}
	return out
}

// Survey returns the belief after four-pin readings: every line is a group
// with its own common factor, since the lines do not stand on the electrode.
// Leave out what Fit set aside. Noise defaults to ReadingNoise and
// LateralNoise.
func (b *Belief) Survey(points []Point, noise Noise) (*Belief, error) {
	s, c, err := noise.or(ReadingNoise, LateralNoise)
	if err != nil {
		return nil, err
	}
	set := make([]Setting, len(points))
	for i, p := range points {
		if !(p.Apparent >= minRho && p.Apparent <= maxRho) {
			return nil, &Error{BadReading, i, fmt.Sprintf("reading %d: %g ohm-m is not usable", i+1, float64(p.Apparent)), "give a reading above zero, or leave it out"}
		}
		set[i] = p.Setting
	}
	tables, err := b.grid.Soundings(set)
	if err != nil {
		return nil, err
	}
	var done []string
	for _, p := range points {
		if slices.Contains(done, p.Line) {
			continue
		}
		done = append(done, p.Line)
		var y []float64
		var t []Table
		for i, o := range points {
			if o.Line == p.Line {
				y, t = append(y, log(float64(o.Apparent))), append(t, tables[i])
			}
		}
		b = b.add(y, t, s, c)
	}
	return b, nil
}

// RodReading is the resistance of a rod at one length driven, and the forward
// function of that length.
type RodReading struct {
	Resistance unit.Ohm
	Forward    Table
}

// Rod returns the belief after the log of one driven rod, resistance against
// depth: a sounding of its own. Noise defaults to RodNoise and RodCommon.
func (b *Belief) Rod(readings []RodReading, noise Noise) (*Belief, error) {
	s, c, err := noise.or(RodNoise, RodCommon)
	if err != nil {
		return nil, err
	}
	if len(readings) == 0 {
		return nil, &Error{NoReadings, -1, "no readings", "give at least one depth with its ohms"}
	}
	var y []float64
	var t []Table
	for i, r := range readings {
		if !(r.Resistance > 0 && r.Resistance < 1e9) {
			return nil, &Error{BadReading, i, fmt.Sprintf("reading %d: %g ohm is not usable", i+1, float64(r.Resistance)), "give a reading above zero, or leave it out"}
		}
		if r.Forward.grid != b.grid {
			return nil, &Error{BadReading, i, fmt.Sprintf("reading %d: its forward function is on another grid", i+1), "make the table on the grid of the belief"}
		}
		y, t = append(y, log(float64(r.Resistance))), append(t, r.Forward)
	}
	return b.add(y, t, s, c), nil
}

// weights returns the share of every node.
func (b *Belief) weights() []float64 {
	w, _ := b.weighed()
	return w
}

// weighed returns the share of every node, and ln of how likely the readings
// were, but for what all beliefs in the same readings share.
func (b *Belief) weighed() ([]float64, float64) {
	w := make([]float64, len(b.q))
	least := math.Inf(1)
	for i := range w {
		w[i] = b.q[i]
		if b.a > 0 {
			w[i] -= float64(b.b[i]*b.b[i]) / b.a
		}
		least = math.Min(least, w[i])
	}
	n := len(b.grid.lnRatio)
	all := 0.0
	loose := b.looseness()
	for i := range w {
		w[i] = float64(exp((least-w[i])/(2*loose)) * b.grid.ratioW[i%n] * b.grid.depthW[i/n])
		all += w[i]
	}
	for i := range w {
		w[i] /= all
	}
	if b.n == 0 {
		return w, 0
	}
	return w, log(all) - (least/loose+b.det+log(b.a)+float64(float64(b.n-1)*log(loose)))/2
}

// unknowns is how many parameters the readings of a two-layer site settle.
const unknowns = 3

// chiSquare returns that of the best node.
func (b *Belief) chiSquare() float64 {
	if b.n == 0 {
		return 0
	}
	least := math.Inf(1)
	for i, q := range b.q {
		least = math.Min(least, q-float64(b.b[i]*b.b[i])/b.a)
	}
	return math.Max(least, 0)
}

// looseness returns by how much every variance is widened because the best
// two layers do not explain n readings as well as their noise says: the
// chi-square over what chance alone brings it to once in twenty, its mean and
// two standard deviations, where that is above 1 (after the ratio of Birge).
// With one deviation it was above 1 on one site in five by chance alone, and
// intervals were wider than they said.
func looseness(n int, chi float64) float64 {
	if n <= unknowns {
		return 1
	}
	dof := float64(n - unknowns)
	return math.Max(1, chi/(dof+2*math.Sqrt(2*dof)))
}

func (b *Belief) looseness() float64 { return looseness(b.n, b.chiSquare()) }

// Misfit returns the rms distance of the readings from the best node in
// standard deviations of their noise: about 1 where two layers do. Well above
// it the ground is not two layers, or a reading is bad.
func (b *Belief) Misfit() float64 {
	if b.n == 0 {
		return 0
	}
	return math.Sqrt(b.chiSquare() / float64(b.n))
}

// Value returns what is believed of rho1 g(ratio, depth): the resistance of an
// electrode, for its forward function. floor is the scatter of the real thing
// about the function; 0 takes ValueFloor, below 0 none.
func (b *Belief) Value(g Table, floor unit.Ratio) (Mixture, error) {
	if g.grid != b.grid {
		return nil, &Error{BadReading, -1, "the forward function is on another grid", "make the table on the grid of the belief"}
	}
	if b.n == 0 {
		return nil, &Error{NoReadings, -1, "nothing was read", "add a survey or the log of a rod first"}
	}
	if floor == 0 {
		floor = ValueFloor
	}
	floor = max(floor, 0)
	loose := b.looseness()
	// Where two layers miss the readings by more than their noise, they miss
	// the electrode by as much, however many readings there are.
	missed := float64((loose - 1) * b.v / float64(b.n))
	m := normals{sd: math.Sqrt(loose/b.a + missed + float64(floor*floor))}
	w := b.weights()
	top := slices.Max(w)
	all := 0.0
	for i, v := range w {
		if v < 1e-10*top {
			continue
		}
		m.w, m.mean = append(m.w, v), append(m.mean, b.b[i]/b.a+g.ln[i])
		all += v
	}
	for i := range m.w {
		m.w[i] /= all
	}
	return Mixture{m}, nil
}

// Upper returns what is believed of the upper resistivity, Lower of the lower.
func (b *Belief) Upper() (Mixture, error) {
	return b.Value(Table{b.grid, make([]float64, b.grid.Len())}, -1)
}

// Lower returns what is believed of the lower resistivity.
func (b *Belief) Lower() (Mixture, error) {
	t := Table{b.grid, make([]float64, b.grid.Len())}
	for i := range t.ln {
		t.ln[i] = b.grid.lnRatio[i%len(b.grid.lnRatio)]
	}
	return b.Value(t, -1)
}

// Depth returns the central interval of the depth of the boundary that holds
// the share. Ends at the ends of the grid are open.
func (b *Belief) Depth(share float64) Interval {
	n := len(b.grid.lnRatio)
	x := b.grid.lnDepth
	mass := make([]float64, len(x))
	for i, w := range b.weights() {
		mass[i/n] += w
	}
	edge := func(k int) float64 { // lower edge of cell k
		switch k {
		case 0:
			return x[0]
		case len(x):
			return x[len(x)-1]
		}
		return (x[k-1] + x[k]) / 2
	}
	at := func(p float64) float64 {
		sum := 0.0
		for k, m := range mass {
			if sum+m >= p {
				return exp(edge(k) + float64((edge(k+1)-edge(k))*((p-sum)/m)))
			}
			sum += m
		}
		return exp(x[len(x)-1])
	}
	lo, hi := at((1-share)/2), at((1+share)/2)
	return Interval{lo, hi, lo <= exp(edge(1)), hi >= exp(edge(len(x)-1))}
}

// Mixture is the distribution of a positive quantity: its logarithm is normal
// about one of several means.
type Mixture []normals

// normals are means with one standard deviation. The weights of all of a
// Mixture sum to 1.
type normals struct {
	w, mean []float64
	sd      float64
}

// Below returns the probability that the quantity is under the limit.
func (m Mixture) Below(limit float64) float64 {
	if !(limit > 0) {
		return 0
	}
	return m.cdf(log(limit))
}

func (m Mixture) cdf(x float64) float64 {
	sum := 0.0
	for _, g := range m {
		for i, w := range g.w {
			// Beyond nine deviations there is nothing, or all, to the last bit.
			switch z := (x - g.mean[i]) / g.sd; {
			case z > 9:
				sum += w
			case z > -9:
				sum += float64(w * phi(z))
			}
		}
	}
	return sum
}

func (m Mixture) density(x float64) float64 {
	all := 0.0
	for _, g := range m {
		sum := 0.0
		for i, w := range g.w {
			z := (x - g.mean[i]) / g.sd
			sum += float64(w * exp(-float64(z*z)/2))
		}
		all += sum / (g.sd * 2.506628274631000502416)
	}
	return all
}

// Bins of a standard deviation: for what is printed, and for what is only
// ranked. Splitting a weight between two means adds at most a quarter of the
// square of their distance to the variance: one part in 1600, and in 140.
const (
	finely = 20
	rankly = 6
)

// Binned returns the same distribution with its means moved to evenly spaced
// ones, every weight split between the two about it so that the mean stays:
// thousands of nodes become a hundred or two, and quantiles are found as much
// sooner. Quantiles move by less than a thousandth of their distance from the
// median.
func (m Mixture) Binned() Mixture { return m.binned(finely) }

func (m Mixture) binned(perSD float64) Mixture {
	out := make(Mixture, 0, len(m))
	for _, g := range m {
		if len(g.mean) == 0 {
			continue
		}
		lo, hi := slices.Min(g.mean), slices.Max(g.mean)
		d := g.sd / perSD
		n := int((hi-lo)/d) + 2
		if n >= len(g.mean) {
			out = append(out, g)
			continue
		}
		b := normals{make([]float64, n), make([]float64, n), g.sd}
		for i := range b.mean {
			b.mean[i] = lo + float64(d*float64(i))
		}
		for i, w := range g.w {
			at := (g.mean[i] - lo) / d
			k := min(int(at), n-2)
			u := float64(w * (at - float64(k)))
			b.w[k] += w - u
			b.w[k+1] += u
		}
		out = append(out, b)
	}
	return out
}

// Quantile returns the value that the quantity stays under with probability p,
// 0 < p < 1.
func (m Mixture) Quantile(p float64) float64 {
	lo, hi := m[0].mean[0], m[0].mean[0]
	sd, mean := 0.0, 0.0
	for _, g := range m {
		sd = math.Max(sd, g.sd)
		for i, x := range g.mean {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
			mean += float64(g.w[i] * x)
		}
	}
	lo, hi = lo-float64(9*sd), hi+float64(9*sd)
	// Newton's step where it stays inside, halving where it does not.
	x := mean
	for range 100 {
		d := m.cdf(x) - p
		if d > 0 {
			hi = x
		} else {
			lo = x
		}
		next := x
		if f := m.density(x); f > 0 {
			next = x - d/f
		}
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) < 1e-10 {
			return exp(next)
		}
		x = next
	}
	return exp(x)
}

// Median returns the value that is as likely too high as too low.
func (m Mixture) Median() float64 { return m.Quantile(0.5) }

// Interval returns the central interval that holds the share.
func (m Mixture) Interval(share float64) Interval {
	return Interval{Low: m.Quantile((1 - share) / 2), High: m.Quantile((1 + share) / 2)}
}
