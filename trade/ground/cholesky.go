package ground

import (
	"context"
	"math"
)

// cholesky holds the lower half of a symmetric matrix by rows, and after
// factor its factor. It is written out here, not taken from a library with
// assembly, so that every platform gives the same bytes.
type cholesky [][]float64

// Rows are taken three at a time and columns two: six sums and what they need
// stay in registers, where eight would not. Panel is the number of columns that
// are taken from all later rows at once, so that what is read again lies in
// the nearest cache; block is the number of rows of which two sets lie there at
// once.
const (
	tile  = 3
	panel = 64
	block = 16 * tile
)

// factor replaces the matrix by its lower factor, L with A = L L'.
//
// It goes by panels of columns: each panel is first factored by itself, then
// every later row is solved against it, then the products of those rows are
// taken from what is right of the panel, tile by tile.
func (c cholesky) factor(ctx context.Context) error {
	n := len(c)
	var pack [][panel]float64
	if n > panel {
		pack = make([][panel]float64, n-panel)
	}
	for k0 := 0; k0 < n; k0 += panel {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		k1 := min(k0+panel, n)
		for i := k0; i < k1; i++ {
			ri := c[i]
			c.against(ri, k0, i)
			d := ri[i] - dot(ri[k0:i], ri[k0:i])
			if !(d > 0) || math.IsInf(d, 0) {
				return errNotPositive()
			}
			ri[i] = math.Sqrt(d)
		}
		// Rows and tiles stand on their own: who does them changes nothing.
		if err := inParallel(ctx, (n-k1+tile-1)/tile, 8, func(b int) {
			i := k1 + b*tile
			if i+tile <= n {
				c.against3(c[i], c[i+1], c[i+2], k0, k1)
				return
			}
			for ; i < n; i++ {
				c.against(c[i], k0, k1)
			}
		}); err != nil {
			return err
		}
		// A copy of the panel without the gaps between rows, which would each
		// take a page of their own.
		p := pack[:n-k1]
		for i := range p {
			copy(p[i][:], c[k1+i][k0:k1])
		}
		if err := inParallel(ctx, (n-k1+block-1)/block, 1, func(b int) {
			for j := 0; j <= b; j++ {
				c.update(p, k1, b*block, j*block)
			}
		}); err != nil {
			return err
		}
	}
	return nil
}

func errNotPositive() error {
	return whole(NotSolvable, "conductors lie too close for a thin-wire solution", "check for conductors that lie in each other")
}

// against solves a row's columns k0 to k1 against the factored ones of the
// panel that begins at k0.
func (c cholesky) against(r []float64, k0, k1 int) {
	for j := k0; j < k1; j++ {
		rj := c[j]
		r[j] = (r[j] - dot(r[k0:j], rj[k0:j])) / rj[j]
	}
}

// against3 is against for three rows at once.
func (c cholesky) against3(r0, r1, r2 []float64, k0, k1 int) {
	j := k0
	for ; j+2 <= k1; j += 2 {
		l0, l1 := c[j], c[j+1]
		s00, s01, s10, s11, s20, s21 := dots(r0[k0:j], r1[k0:j], r2[k0:j], l0[k0:j], l1[k0:j])
		d0, m, d1 := l0[j], l1[j], l1[j+1]
		r0[j] = (r0[j] - s00) / d0
		r1[j] = (r1[j] - s10) / d0
		r2[j] = (r2[j] - s20) / d0
		r0[j+1] = (r0[j+1] - s01 - float64(r0[j]*m)) / d1
		r1[j+1] = (r1[j+1] - s11 - float64(r1[j]*m)) / d1
		r2[j+1] = (r2[j+1] - s21 - float64(r2[j]*m)) / d1
	}
	for ; j < k1; j++ {
		l := c[j]
		r0[j] = (r0[j] - dot(r0[k0:j], l[k0:j])) / l[j]
		r1[j] = (r1[j] - dot(r1[k0:j], l[k0:j])) / l[j]
		r2[j] = (r2[j] - dot(r2[k0:j], l[k0:j])) / l[j]
	}
}

// update takes the products of a block of packed rows with another at or above
// it from the matrix right of a panel that ends at k1. A panel that has rows
// below it is a whole one.
func (c cholesky) update(p [][panel]float64, k1, lo, left int) {
	n := len(p)
	right := left + block
	for i := lo; i < min(lo+block, n); i += tile {
		if i+tile > n {
			for ; i < n; i++ {
				for j := left; j < min(right, i+1); j++ {
					c[k1+i][k1+j] -= dot(p[i][:], p[j][:])
				}
			}
			return
		}
		o0, o1, o2 := c[k1+i][k1:], c[k1+i+1][k1:], c[k1+i+2][k1:]
		r0, r1, r2 := p[i][:], p[i+1][:], p[i+2][:]
		j := left
		for ; j+2 <= min(right, i); j += 2 {
			s00, s01, s10, s11, s20, s21 := dots(r0, r1, r2, p[j][:], p[j+1][:])
			o0[j] -= s00
			o0[j+1] -= s01
			o1[j] -= s10
			o1[j+1] -= s11
			o2[j] -= s20
			o2[j+1] -= s21
		}
		for ; j < min(right, i+tile); j++ {
			for a := max(i, j); a < i+tile; a++ {
				c[k1+a][k1+j] -= dot(p[a][:], p[j][:])
			}
		}
	}
}

// dots returns the products of three rows with two. The conversions keep a
// platform from rounding a product and a sum at once.
func dots(a0, a1, a2, b0, b1 []float64) (s00, s01, s10, s11, s20, s21 float64) {
	n := len(a0)
	a1, a2, b0, b1 = a1[:n], a2[:n], b0[:n], b1[:n]
	for k, x0 := range a0 {
		y0, y1 := b0[k], b1[k]
		s00 += float64(x0 * y0)
		s01 += float64(x0 * y1)
		x1 := a1[k]
		s10 += float64(x1 * y0)
		s11 += float64(x1 * y1)
		x2 := a2[k]
		s20 += float64(x2 * y0)
		s21 += float64(x2 * y1)
	}
	return
}

// forward replaces b by L^-1 b.
func (c cholesky) forward(b []float64) {
	for i, r := range c {
		b[i] = (b[i] - dot(r[:i], b[:i])) / r[i]
	}
}

// border returns the factor with a row more: a are the matrix's entries of
// the new row, the diagonal last. It takes a over.
func (c cholesky) border(a []float64) (cholesky, error) {
	n := len(c)
	c.forward(a[:n])
	d := a[n] - dot(a[:n], a[:n])
	if !(d > 0) || math.IsInf(d, 0) {
		return nil, errNotPositive()
	}
	a[n] = math.Sqrt(d)
	return append(c, a), nil
}

// without returns the factor of the matrix without some rows and columns,
// given in rising order. The factor itself is not changed.
//
// The rows that stay, with all their columns, are a factor M with A = M M'
// that is not square. Reflections of each column with the surplus ones make it
// lower again; they take about 2 n^2 operations for each row that goes.
func (c cholesky) without(gone []int) cholesky {
	n := len(c)
	out := make(cholesky, 0, n-len(gone))
	k := len(gone)
	// The reflection of a column: its first part and the one for each surplus
	// column, and what scales them.
	w := k + 2
	vs := make([]float64, 0, (n-k)*w)
	x := make([]float64, k)
	g := 0 // surplus columns left of the row
	first := n
	if k > 0 {
		first = gone[0]
	}
	for i, old := range c {
		if g < k && gone[g] == i {
			g++
			continue
		}
		old = old[:i+1]
		r := make([]float64, len(out)+1)
		copy(r, old[:min(first, len(old))])
		at := min(first, len(old))
		clear(x)
		for j, q := at, 0; j < len(old); j++ {
			if q < g && gone[q] == j {
				x[q] = old[j]
				q++
				continue
			}
			r[at] = old[j]
			at++
		}
		if i > first {
			xs := x[:g]
			for j := first; j < len(out); j++ {
				v := vs[(j-first)*w : (j-first)*w+w]
				vx := v[2 : 2+len(xs)]
				b := (float64(v[1]*r[j]) + dot(vx, xs)) * v[0]
				r[j] = float64(b*v[1]) - r[j]
				for q, y := range vx {
					xs[q] -= float64(b * y)
				}
			}
			d := r[len(out)]
			norm := math.Sqrt(float64(d*d) + dot(xs, xs))
			v := vs[len(vs) : len(vs)+w]
			vs = vs[:len(vs)+w]
			v[1] = d + norm
			copy(v[2:], xs)
			v[0] = 2 / (float64(v[1]*v[1]) + dot(xs, xs))
			r[len(out)] = norm
		}
		out = append(out, r)
	}
	return out
}

// solve replaces b by the solution.
func (c cholesky) solve(b []float64) {
	c.forward(b)
	for i := len(c) - 1; i >= 0; i-- {
		b[i] /= c[i][i]
		x := b[i]
		for j, v := range c[i][:i] {
			b[j] -= float64(v * x)
		}
	}
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+3 < len(a); i += 4 {
		s0 += float64(a[i] * b[i])
		s1 += float64(a[i+1] * b[i+1])
		s2 += float64(a[i+2] * b[i+2])
		s3 += float64(a[i+3] * b[i+3])
	}
	for ; i < len(a); i++ {
		s0 += float64(a[i] * b[i])
	}
	return s0 + s1 + s2 + s3
}
