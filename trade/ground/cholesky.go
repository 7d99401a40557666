package ground

import (
	"context"
	"math"
)

// cholesky holds the lower half of a symmetric matrix by rows, and after
// factor its factor. It is written out here, not taken from a library with
// assembly, so that every platform gives the same bytes.
type cholesky [][]float64

func (c cholesky) factor(ctx context.Context) error {
	for i, ri := range c {
		if i%32 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		for j, rj := range c[:i] {
			ri[j] = (ri[j] - dot(ri[:j], rj[:j])) / rj[j]
		}
		d := ri[i] - dot(ri[:i], ri[:i])
		if !(d > 0) || math.IsInf(d, 0) {
			return whole(NotSolvable, "conductors lie too close for a thin-wire solution", "check for conductors that lie in each other")
		}
		ri[i] = math.Sqrt(d)
	}
	return nil
}

// solve replaces b by the solution.
func (c cholesky) solve(b []float64) {
	for i, r := range c {
		b[i] = (b[i] - dot(r[:i], b[:i])) / r[i]
	}
	for i := len(c) - 1; i >= 0; i-- {
		b[i] /= c[i][i]
		x := b[i]
		for j, v := range c[i][:i] {
			b[j] -= v * x
		}
	}
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+3 < len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
}
