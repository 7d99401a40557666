package ground

import "math"

// columns is a matrix by columns: one slice for each.
type columns [][]float64

// leastSquares returns for every right side y the x with the least sum of
// squares of a x - y, by Householder reflections; a has at least as many rows
// as columns. It reports false where a column depends on those before it. Both
// arguments are overwritten.
func leastSquares(a, y columns) (x columns, ok bool) {
	n := len(a)
	diag := make([]float64, n)
	for k, v := range a {
		size := 0.0
		for _, c := range v[k:] {
			size = math.Hypot(size, c)
		}
		if size == 0 {
			return nil, false
		}
		if v[k] < 0 {
			size = -size
		}
		// The mirror's normal stays in the column; its diagonal goes aside.
		for i := k; i < len(v); i++ {
			v[i] /= size
		}
		v[k]++
		diag[k] = -size
		mirror := func(w []float64) {
			s := 0.0
			for i := k; i < len(v); i++ {
				s += v[i] * w[i]
			}
			s /= v[k]
			for i := k; i < len(v); i++ {
				w[i] -= s * v[i]
			}
		}
		for _, w := range a[k+1:] {
			mirror(w)
		}
		for _, w := range y {
			mirror(w)
		}
	}
	x = make(columns, len(y))
	for c, w := range y {
		x[c] = make([]float64, n)
		for k := n - 1; k >= 0; k-- {
			s := w[k]
			for j := k + 1; j < n; j++ {
				s -= a[j][k] * x[c][j]
			}
			x[c][k] = s / diag[k]
		}
	}
	return x, true
}
