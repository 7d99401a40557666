package soil

import (
	"math"

	"stubup/base/unit"
)

// looked is how far a fit looks, as one standard deviation of the logarithm of
// a parameter that the readings say nothing of: it keeps a direction that they
// do not bound finite.
const looked = 5.8

// z90 is the number of standard deviations that hold 90 % of a normal
// distribution to either side of its middle.
const z90 = 1.6449

// Reach returns, at every setting, the 90 % interval of what the fitted layers
// read there,
//
//	ln rho_a +- z sqrt(g' C g),  C = (J' J/s^2 + P)^-1
//
// rho_a apparent resistivity of the fitted layers in ohm-m, z 1.6449, g the
// slope of ln rho_a at the setting by the logarithms of the layers, J the same
// slopes at the readings that were used, s the scatter of a reading, P what is
// stated of the lines' factors (their scatter) and, weakly, of the layers. It
// is of the site: the scatter between lines is in it, the scatter of a single
// reading is not. Assumes that the curve is straight in the logarithms within
// the interval. The same linear propagation as in any least-squares text;
// checked by simulation in the tests.
//
// points must be those that the fit was made of.
func (f Fitted) Reach(points []Point, at []Setting) ([]Interval, error) {
	n := len(f.Model)
	if n == 0 || len(points) == 0 {
		return nil, &Error{NoReadings, -1, "no layers were fitted", "fit layers to readings first"}
	}
	aside := map[int]bool{}
	for _, x := range f.Flagged {
		aside[x.Index] = true
	}
	var used []Setting
	var line []int
	lines := map[string]int{}
	for i, p := range points {
		if aside[i] {
			continue
		}
		k, ok := lines[p.Line]
		if !ok {
			k = len(lines)
			lines[p.Line] = k
		}
		used, line = append(used, p.Setting), append(line, k)
	}
	tau := math.Max(float64(LateralNoise), float64(f.Lateral))
	m := 2*n - 1
	size := m + len(lines)
	_, jac, err := slopes(f.Model, used)
	if err != nil {
		return nil, err
	}
	a := make([][]float64, size)
	for i := range a {
		a[i] = make([]float64, size+1)
		a[i][i] = 1 / (tau * tau)
		if i < m {
			a[i][i] = 1 / (looked * looked)
		}
	}
	w := 1 / float64(f.Noise*f.Noise)
	for i := range used {
		for k := range m {
			jk := float64(jac[k][i] * w)
			for l := 0; l <= k; l++ {
				a[k][l] += float64(jk * jac[l][i])
			}
			a[m+line[i]][k] += jk
		}
		a[m+line[i]][m+line[i]] += w
	}
	mid, g, err := slopes(f.Model, at)
	if err != nil {
		return nil, err
	}
	out := make([]Interval, len(at))
	for i := range at {
		for k := range size {
			a[k][size] = 0
			if k < m {
				a[k][size] = g[k][i]
			}
		}
		x := solveDamped(a, 0)
		v := 0.0
		for k := range m {
			v += float64(g[k][i] * x[k])
		}
		d := float64(z90 * math.Sqrt(math.Max(v, 0)))
		out[i] = Interval{Low: exp(mid[i] - d), High: exp(mid[i] + d)}
	}
	return out, nil
}

// slopes returns ln apparent of the layers at every setting, and its slopes by
// the logarithm of each resistivity, then of each thickness.
func slopes(m Model, at []Setting) (y []float64, by [][]float64, err error) {
	c, err := NewCurve(at)
	if err != nil {
		return nil, nil, err
	}
	n := len(m)
	rho, h := make([]float64, n), make([]float64, n)
	for i, l := range m {
		rho[i], h[i] = float64(l.Resistivity), float64(l.Thickness)
	}
	read := func() []float64 {
		out := make([]float64, len(at))
		c.apparent(rho, h, out)
		for i, v := range out {
			out[i] = log(v)
		}
		return out
	}
	y = read()
	const step = 1e-4
	for k := range 2*n - 1 {
		p := rho
		if k >= n {
			p = h[:n-1]
		}
		was := p[k%n]
		p[k%n] = float64(was * exp(step))
		up := read()
		p[k%n] = float64(was * exp(-step))
		down := read()
		p[k%n] = was
		d := make([]float64, len(at))
		for i := range d {
			d[i] = (up[i] - down[i]) / (2 * step)
		}
		by = append(by, d)
	}
	return y, by, nil
}

// Reading returns the fitted layers' apparent resistivity at every setting.
func (f Fitted) Reading(at []Setting) ([]unit.OhmMetre, error) {
	c, err := NewCurve(at)
	if err != nil {
		return nil, err
	}
	return c.Apparent(f.Model)
}
