package ground

import (
	"context"
	"fmt"
	"math"

	"stubup/base/unit"
	"stubup/trade/soil"
)

// Options are the settings of a solution. The zero value is right for a
// compound.
type Options struct {
	// MaxLength is the longest element in m; 0 chooses 0.22 m, or 1/600 of all
	// conductor where that is more.
	MaxLength float64
	// MaxElements refuses larger meshes; 0 is DefaultMaxElements.
	MaxElements int
}

// DefaultMaxElements is the mesh that still fits in memory: 6000 elements are
// 144 MB and a minute or so.
const DefaultMaxElements = 6000

// maxContrast is the largest ratio of resistivities that the images are fitted
// for; more is an insulator or a metal, not soil.
const maxContrast = 1e7

// Solution is the solved field of a set of electrodes. It is safe for
// concurrent use.
type Solution struct {
	model     soil.Model
	options   Options
	given     []Electrode
	fill      *filler
	elements  []element
	chol      solver
	electrode []string
	unit      [][]float64 // currents for 1 V on one electrode and 0 on the others
	transfer  [][]float64
	doubt     float64
}

// solver is a factored interaction matrix. The dense factor is one; a matrix
// kept by blocks of low rank would be another.
type solver interface {
	solve(b []float64) // replaces b by the solution
}

// Solve returns the field of the electrodes in the model.
//
// Conductors are thin and of one potential each electrode; the leakage of
// every element is even along it; potentials are matched in the mean along
// each element (Galerkin); the soil enters by images (see layered). The matrix
// is symmetric and positive and factored once; everything else is
// substitution. Rods and wires are cut at layer boundaries; one that lies
// along a boundary needs no shift, since the potential goes continuously from
// one side to the other: its axis counts as in the upper layer. An electrode's
// wires are bonded whether or not they touch.
//
// Source: method of moments for grounding, as in Heppe, Computation of
// potential at surface above an energized grid, IEEE Trans. PAS-98 (1979)
// (from memory); checked against field solutions by other methods in the
// tests.
func Solve(ctx context.Context, m soil.Model, es []Electrode, o Options) (*Solution, error) {
	m, o, err := check(m, o)
	if err != nil {
		return nil, err
	}
	ps, err := pieces(es, o.MaxElements)
	if err != nil {
		return nil, err
	}
	els, err := mesh(ps, m, o, es)
	if err != nil {
		return nil, err
	}
	k, err := newKernel(ctx, m)
	if err != nil {
		return nil, err
	}
	s := &Solution{model: m, options: o, given: keepOf(es), elements: els, fill: newFiller(k, els)}
	a, err := s.fill.matrix(ctx, els)
	if err != nil {
		return nil, err
	}
	if err := a.factor(ctx); err != nil {
		return nil, err
	}
	s.chol = a
	return s, s.finish(ctx)
}

// check returns the merged model and the options with what zero stands for.
func check(m soil.Model, o Options) (soil.Model, Options, error) {
	if err := m.Validate(); err != nil {
		return nil, o, whole(BadSoil, err.Error(), "check the soil model")
	}
	lo, hi := m[0].Resistivity, m[0].Resistivity
	for _, l := range m {
		lo, hi = min(lo, l.Resistivity), max(hi, l.Resistivity)
	}
	if hi > maxContrast*lo {
		return nil, o, whole(BadSoil, fmt.Sprintf("resistivities from %g to %g ohm-m lie too far apart", float64(lo), float64(hi)), "keep the layers within 1 to 10 million of each other")
	}
	if o.MaxElements == 0 {
		o.MaxElements = DefaultMaxElements
	}
	if o.MaxElements < 0 || !(o.MaxLength >= 0 && o.MaxLength <= maxCoordinate) {
		return nil, o, whole(BadOption, fmt.Sprintf("longest element %g m, at most %d elements: not usable", o.MaxLength, o.MaxElements), "leave both at zero")
	}
	return m.Merged(), o, nil
}

// finish solves for one volt on each electrode in turn.
func (s *Solution) finish(ctx context.Context) error {
	for _, e := range s.given {
		s.electrode = append(s.electrode, e.ID)
	}
	if l, ok := s.fill.k.(*layered); ok {
		s.doubt = l.doubt
	}
	els, ne := s.elements, len(s.given)
	y := make(cholesky, ne)
	for k := range ne {
		b := make([]float64, len(els))
		for i := range els {
			if els[i].electrode == k {
				b[i] = 1
			}
		}
		s.chol.solve(b)
		s.unit = append(s.unit, b)
		y[k] = make([]float64, k+1)
		for i := range els {
			if g := els[i].electrode; g <= k {
				y[k][g] += b[i]
			}
		}
	}
	if err := y.factor(ctx); err != nil {
		return err
	}
	s.transfer = make([][]float64, ne)
	for k := range ne {
		s.transfer[k] = make([]float64, ne)
		s.transfer[k][k] = 1
		y.solve(s.transfer[k])
		for _, v := range s.transfer[k] {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return whole(NotSolvable, "the resistance is not a number", "check for conductors that lie in each other")
			}
		}
	}
	for i := range ne { // symmetric to the last bit
		for j := range i {
			v := (s.transfer[i][j] + s.transfer[j][i]) / 2
			s.transfer[i][j], s.transfer[j][i] = v, v
		}
	}
	return nil
}

// keepOf returns a copy that the caller cannot change.
func keepOf(es []Electrode) []Electrode {
	out := make([]Electrode, len(es))
	for i, e := range es {
		out[i] = Electrode{ID: e.ID, Wires: make([]Wire, len(e.Wires))}
		for j, w := range e.Wires {
			w.Path = append([][3]float64(nil), w.Path...)
			if w.Jacket != nil {
				x := *w.Jacket
				w.Jacket = &x
			}
			out[i].Wires[j] = w
		}
	}
	return out
}

// Elements returns the number of elements.
func (s *Solution) Elements() int { return len(s.elements) }

// KernelDoubt returns the largest relative misfit of the soil's images; 0 in
// uniform soil, where they are exact.
func (s *Solution) KernelDoubt() float64 { return s.doubt }

// IDs returns the names of the electrodes, in the order given.
func (s *Solution) IDs() []string { return append([]string(nil), s.electrode...) }

// Index returns the place of an electrode, -1 for none of that name.
func (s *Solution) Index(id string) int {
	for i, x := range s.electrode {
		if x == id {
			return i
		}
	}
	return -1
}

// Resistance returns V/I of electrode i with all others floating.
func (s *Solution) Resistance(i int) unit.Ohm { return unit.Ohm(s.transfer[i][i]) }

// Transfer returns, at [i][j], the potential of electrode i per ampere into
// electrode j, the others floating.
func (s *Solution) Transfer() [][]unit.Ohm {
	out := make([][]unit.Ohm, len(s.transfer))
	for i, r := range s.transfer {
		for _, v := range r {
			out[i] = append(out[i], unit.Ohm(v))
		}
	}
	return out
}

// Leak is the current that leaves one element.
type Leak struct {
	Electrode int
	Wire      int // the first of the wires that run on straight into each other
	From, To  [3]float64
	Current   float64 // A per ampere into the energised electrode
}

// Currents returns the leakage of every element for one ampere into an
// electrode, the others floating.
func (s *Solution) Currents(energised int) []Leak {
	c := s.floating(energised)
	out := make([]Leak, len(c))
	for i, e := range s.elements {
		out[i] = Leak{e.electrode, e.wire, e.mid.sub(e.t.scale(e.l / 2)), e.mid.add(e.t.scale(e.l / 2)), c[i]}
	}
	return out
}

// floating returns element currents for one ampere into electrode k.
func (s *Solution) floating(k int) []float64 {
	c := make([]float64, len(s.elements))
	for g, u := range s.unit {
		v := s.transfer[g][k]
		for i := range c {
			c[i] += v * u[i]
		}
	}
	return c
}

// place checks a point that is asked about.
func place(what string, p [3]float64) error {
	for _, c := range p {
		if !(math.Abs(c) <= maxCoordinate) {
			return whole(BadPlace, fmt.Sprintf("%s (%g, %g, %g) is not a place", what, p[0], p[1], p[2]), "give finite coordinates in m")
		}
	}
	if p[2] < 0 {
		return whole(BadPlace, fmt.Sprintf("%s (%g, %g, %g) is above grade", what, p[0], p[1], p[2]), "depth is positive down")
	}
	return nil
}

// Potential returns the potential in volts at a point for one ampere into an
// electrode, the others floating. Inside the metal it is that of the surface.
func (s *Solution) Potential(energised int, p [3]float64) (float64, error) {
	if err := place("point", p); err != nil {
		return 0, err
	}
	return s.potential(s.floating(energised), p), nil
}

// Potentials returns Potential at many points.
func (s *Solution) Potentials(energised int, ps [][3]float64) ([]float64, error) {
	c := s.floating(energised)
	out := make([]float64, len(ps))
	for i, p := range ps {
		if err := place(fmt.Sprintf("point %d", i+1), p); err != nil {
			return nil, err
		}
		out[i] = s.potential(c, p)
	}
	return out, nil
}

func (s *Solution) potential(c []float64, p [3]float64) float64 {
	l := layerAt(s.model, p[2])
	var v float64
	for i := range s.elements {
		v += c[i] * s.from(&s.elements[i], p, l)
	}
	return v
}

func (s *Solution) from(e *element, p vec, layer int) float64 {
	if e.layer <= layer {
		return at(p, e, s.fill.k.images(e.layer, layer), true)
	}
	return at(p, e, s.fill.k.images(layer, e.layer), false)
}

// Reading is one fall-of-potential reading.
type Reading struct {
	Reading    unit.Ohm // with the currents of every electrode redistributed by the stake
	Superposed unit.Ohm // with the electrode's currents as if the stake were far off
}

// FallOfPotential returns what a three-pole test of an electrode reads: one
// ampere from the electrode to the outer stake, the voltage between the
// electrode and each probe (inner stake). All other electrodes float. Stake
// and probes are points.
//
// The stake's own field drives currents between the parts of the electrode;
// Reading has them, Superposed leaves them out:
//
//	superposed = R - V(stake) - V(probe) + G(probe, stake)
//
// R resistance, V potential at a place per ampere into the electrode, G
// potential at the probe per ampere from the stake, all in ohm.
func (s *Solution) FallOfPotential(energised int, stake [3]float64, probes [][3]float64) ([]Reading, error) {
	if err := place("stake", stake); err != nil {
		return nil, err
	}
	ls := layerAt(s.model, stake[2])
	for i := range s.elements {
		e := &s.elements[i]
		d := vec(stake).sub(e.mid)
		t := d.dot(e.t)
		t -= math.Max(-e.l/2, math.Min(e.l/2, t))
		off := d.dot(d) - d.dot(e.t)*d.dot(e.t)
		if math.Max(0, off)+t*t <= e.r*e.r {
			return nil, whole(BadPlace, "the stake stands on electrode "+s.electrode[e.electrode], "move the stake off the metal")
		}
	}
	x := make([]float64, len(s.elements))
	for i := range x {
		x[i] = s.from(&s.elements[i], stake, ls)
	}
	// The potential of electrode g for one ampere from the stake alone, by
	// reciprocity that of the stake for one ampere into g.
	net := make([]float64, len(s.electrode))
	for g, u := range s.unit {
		for i := range x {
			net[g] += u[i] * x[i]
		}
	}
	s.chol.solve(x)
	// The currents that the stake (minus one ampere) drives with every
	// electrode held at zero are +x; potentials v bring the net currents to
	// one in the energised electrode and zero in the others.
	v := make([]float64, len(s.electrode))
	for g := range v {
		for h := range v {
			want := 0.0
			if h == energised {
				want = 1
			}
			v[g] += s.transfer[g][h] * (want - net[h])
		}
	}
	c := x
	for g, u := range s.unit {
		for i := range c {
			c[i] += v[g] * u[i]
		}
	}
	plain := s.floating(energised)
	r := s.transfer[energised][energised]
	top := s.fill.surface()
	// What both sets of currents make at a place.
	two := func(p vec) (a, b float64) {
		if p[2] == 0 {
			q := element{mid: p}
			for i := range s.elements {
				u := s.over(top, &s.elements[i], &q)
				a, b = a+c[i]*u, b+plain[i]*u
			}
			return a, b
		}
		l := layerAt(s.model, p[2])
		for i := range s.elements {
			u := s.from(&s.elements[i], p, l)
			a, b = a+c[i]*u, b+plain[i]*u
		}
		return a, b
	}
	_, atStake := two(stake)
	out := make([]Reading, len(probes))
	for i, p := range probes {
		if err := place(fmt.Sprintf("probe %d", i+1), p); err != nil {
			return nil, err
		}
		if vec(p).sub(stake).norm() < 1e-3 {
			return nil, whole(BadPlace, fmt.Sprintf("probe %d stands on the stake", i+1), "move the probe off the stake")
		}
		lp := layerAt(s.model, p[2])
		g := 0.0
		if ls <= lp {
			g = point(p, stake, s.fill.k.images(ls, lp))
		} else {
			g = point(stake, p, s.fill.k.images(lp, ls))
		}
		driven, alone := two(p)
		out[i].Reading = unit.Ohm(v[energised] - driven + g)
		out[i].Superposed = unit.Ohm(r - atStake - alone + g)
	}
	return out, nil
}
