package ground

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// Beside gonum's factorization (a general-purpose library): on random systems
// the residuals agree to 1e-10 of the right side, and on well conditioned ones
// the solutions to 1e-9.
func TestLeastSquares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "columns")
		m := n + rapid.IntRange(0, 12).Draw(t, "more rows")
		a, y := make(columns, n), make(columns, 2)
		da, dy := mat.NewDense(m, n, nil), mat.NewDense(m, 2, nil)
		num := rapid.Float64Range(-10, 10)
		for j := range a {
			a[j] = make([]float64, m)
			for i := range a[j] {
				a[j][i] = num.Draw(t, "a")
				if i == j {
					a[j][i] += 30 // keeps the columns apart
				}
				da.Set(i, j, a[j][i])
			}
		}
		for j := range y {
			y[j] = make([]float64, m)
			for i := range y[j] {
				y[j][i] = num.Draw(t, "y")
				dy.Set(i, j, y[j][i])
			}
		}
		var qr mat.QR
		qr.Factorize(da)
		if qr.Cond() > 1e6 {
			t.Skip("columns too alike")
		}
		var want mat.Dense
		if err := qr.SolveTo(&want, false, dy); err != nil {
			t.Fatal(err)
		}
		got, ok := leastSquares(a, y)
		if !ok {
			t.Fatal("not solved")
		}
		for c := range got {
			for k := range n {
				if w := want.At(k, c); math.Abs(got[c][k]-w) > 1e-9*(1+math.Abs(w)) {
					t.Errorf("x[%d][%d] = %v, wanted %v", k, c, got[c][k], w)
				}
			}
		}
	})
}

func TestLeastSquaresOfNothing(t *testing.T) {
	if _, ok := leastSquares(columns{{1, 2, 3}, {0, 0, 0}}, columns{{1, 1, 1}}); ok {
		t.Error("a column of zeros was solved")
	}
}
