package ground

import (
	"context"
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/rand"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func positive(n int, seed int64) cholesky {
	r := rand.New(rand.NewSource(seed))
	c := make(cholesky, n)
	p := make([][3]float64, n)
	for i := range p {
		p[i] = [3]float64{r.Float64() * 10, r.Float64() * 10, r.Float64()}
	}
	for i := range c {
		c[i] = make([]float64, n)
		for j := range i {
			d := math.Sqrt(math.Pow(p[i][0]-p[j][0], 2) + math.Pow(p[i][1]-p[j][1], 2) + math.Pow(p[i][2]-p[j][2], 2))
			c[i][j] = 1 / (d + 0.3)
		}
		c[i][i] = 30
	}
	return c
}

// The referee is gonum's factorization of the same matrix; sizes stand on both
// sides of every tile and panel edge.
func TestCholesky(t *testing.T) {
	for _, n := range []int{1, 2, 3, 4, 5, 7, 63, 64, 65, 66, 67, 68, 127, 130, 201} {
		c := positive(n, int64(n))
		s := mat.NewSymDense(n, nil)
		for i := range n {
			for j := range i + 1 {
				s.SetSym(i, j, c[i][j])
			}
		}
		var ref mat.Cholesky
		if !ref.Factorize(s) {
			t.Fatal("the referee cannot factor it")
		}
		var l mat.TriDense
		ref.LTo(&l)
		if err := c.factor(context.Background()); err != nil {
			t.Fatal(err)
		}
		for i := range n {
			for j := range i + 1 {
				if d := math.Abs(c[i][j] - l.At(i, j)); d > 1e-12*30 {
					t.Fatalf("n %d: L[%d][%d] = %v, want %v", n, i, j, c[i][j], l.At(i, j))
				}
			}
		}
	}
	c := positive(70, 1)
	c[66][66] = -1
	if c.factor(context.Background()) == nil {
		t.Error("a matrix that is not positive was factored")
	}
}

// plain is the slow obvious twin.
func (c cholesky) plain() {
	for i, ri := range c {
		for j, rj := range c[:i] {
			ri[j] = (ri[j] - dot(ri[:j], rj[:j])) / rj[j]
		}
		ri[i] = math.Sqrt(ri[i] - dot(ri[:i], ri[:i]))
	}
}

// Side by side with gonum, whose kernels are assembly on this platform.
func BenchmarkCholesky(b *testing.B) {
	const n = 900
	flops := float64(n) * n * n / 3
	b.Run("ours", func(b *testing.B) {
		src := positive(n, 1)
		c := make(cholesky, n)
		for i := range c {
			c[i] = make([]float64, n)
		}
		for b.Loop() {
			for i := range c {
				copy(c[i], src[i])
			}
			if err := c.factor(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(flops*float64(b.N)/b.Elapsed().Seconds()/1e9, "GF/s")
	})
	b.Run("row by row", func(b *testing.B) {
		src := positive(n, 1)
		c := make(cholesky, n)
		for i := range c {
			c[i] = make([]float64, n)
		}
		for b.Loop() {
			for i := range c {
				copy(c[i], src[i])
			}
			c.plain()
		}
		b.ReportMetric(flops*float64(b.N)/b.Elapsed().Seconds()/1e9, "GF/s")
	})
	b.Run("gonum", func(b *testing.B) {
		src := positive(n, 1)
		s := mat.NewSymDense(n, nil)
		for i := range n {
			for j := range i + 1 {
				s.SetSym(i, j, src[i][j])
			}
		}
		for b.Loop() {
			var ref mat.Cholesky
			ref.Factorize(s)
		}
		b.ReportMetric(flops*float64(b.N)/b.Elapsed().Seconds()/1e9, "GF/s")
	})
}

// setProcs sets how many processors are used and returns how many were.
func setProcs(n int) int { return runtime.GOMAXPROCS(n) }

// The factor's bytes are the same on every platform: no product and sum are
// rounded at once, no assembly, no transcendental function. The figure was
// written on amd64; the test runs wherever the others do.
func TestSameBytesEverywhere(t *testing.T) {
	const n = 200
	c := make(cholesky, n)
	for i := range c {
		c[i] = make([]float64, i+1)
		for j := range i {
			c[i][j] = 1 / (1 + float64(i-j) + float64(i*j%7)/8)
		}
		c[i][i] = 20
	}
	if err := c.factor(context.Background()); err != nil {
		t.Fatal(err)
	}
	b := make([]float64, n)
	b[3], b[n-1] = 1, -2
	c.solve(b)
	c = append(c.without([]int{5, 6, 80}), b)
	h := fnv.New64a()
	for _, r := range c {
		for _, v := range r {
			var x [8]byte
			binary.LittleEndian.PutUint64(x[:], math.Float64bits(v))
			h.Write(x[:])
		}
	}
	if got := h.Sum64(); got != sameBytes {
		t.Errorf("%#x, want %#x", got, uint64(sameBytes))
	}
}

const sameBytes = 0x367c312a7ee76336
