package ground

import (
	"context"
	"math"
)

// cholesky holds the lower half of a symmetric matrix by rows, and after
// factor its factor. It is written out here, not taken from a library with
// assembly, so that every platform gives the same bytes.
type cholesky [][]float64

// Tile is the edge of the small square that is kept in registers, and panel
// the number of columns that are taken from all later rows at once, so that
// what is read again lies in the nearest cache.
const (
	tile  = 4
	panel = 64
)

// factor replaces the matrix by its lower factor, L with A = L L'.
//
// It goes by panels of columns: each panel is first factored by itself, then
// every later row is solved against it, then the products of those rows are
// taken from what is right of the panel, tile by tile.
func (c cholesky) factor(ctx context.Context) error {
	n := len(c)
	for k0 := 0; k0 < n; k0 += panel {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		k1 := min(k0+panel, n)
		for i := k0; i < n; i++ {
			ri := c[i]
			for j := k0; j < min(i, k1); j++ {
				rj := c[j]
				ri[j] = (ri[j] - dot(ri[k0:j], rj[k0:j])) / rj[j]
			}
			if i < k1 {
				d := ri[i] - dot(ri[k0:i], ri[k0:i])
				if !(d > 0) || math.IsInf(d, 0) {
					return whole(NotSolvable, "conductors lie too close for a thin-wire solution", "check for conductors that lie in each other")
				}
				ri[i] = math.Sqrt(d)
			}
		}
		c.update(k0, k1)
	}
	return nil
}

// update takes the products of the rows below a panel from the matrix right
// of it.
func (c cholesky) update(k0, k1 int) {
	n := len(c)
	i := k1
	for ; i+tile <= n; i += tile {
		r0, r1, r2, r3 := c[i][k0:k1], c[i+1][k0:k1], c[i+2][k0:k1], c[i+3][k0:k1]
		j := k1
		for ; j+2 <= i; j += 2 {
			take4x2(c[i], c[i+1], c[i+2], c[i+3], j, r0, r1, r2, r3, c[j][k0:k1], c[j+1][k0:k1])
		}
		for ; j < i+tile; j++ {
			rj := c[j][k0:k1]
			for a := max(i, j); a < i+tile; a++ {
				c[a][j] -= dot(c[a][k0:k1], rj)
			}
		}
	}
	for ; i < n; i++ {
		for j := k1; j <= i; j++ {
			c[i][j] -= dot(c[i][k0:k1], c[j][k0:k1])
		}
	}
}

// take4x2 takes the products of four rows with two from their eight places.
func take4x2(o0, o1, o2, o3 []float64, j int, a0, a1, a2, a3, b0, b1 []float64) {
	n := len(a0)
	a1, a2, a3, b0, b1 = a1[:n], a2[:n], a3[:n], b0[:n], b1[:n]
	var s00, s01, s10, s11, s20, s21, s30, s31 float64
	for k, x0 := range a0 {
		y0, y1 := b0[k], b1[k]
		s00 += x0 * y0
		s01 += x0 * y1
		x1 := a1[k]
		s10 += x1 * y0
		s11 += x1 * y1
		x2 := a2[k]
		s20 += x2 * y0
		s21 += x2 * y1
		x3 := a3[k]
		s30 += x3 * y0
		s31 += x3 * y1
	}
	o0[j] -= s00
	o0[j+1] -= s01
	o1[j] -= s10
	o1[j+1] -= s11
	o2[j] -= s20
	o2[j+1] -= s21
	o3[j] -= s30
	o3[j+1] -= s31
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
