package ground

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// filler gives entries of the interaction matrix.
//
// An entry of two elements that lie well apart is a sum over the images of
// 1/R and its first correction. Where both are level or upright that sum
// depends, for their two depths, on the square of their horizontal distance
// alone, and compounds have few depths and many pairs: so for such pairs it is
// taken from its Taylor series about places on a fixed ladder of that square,
// whose rungs are an eighth of an octave. The nearest singularity lies at least
// 17 half rungs from a rung's middle, so that nine terms are true to 1e-11, and with the correction to 1e-9.
type filler struct {
	k       kernel
	classes map[depth]int
	tables  []*ladder // by class of e and of f, nil where pairs are few
	n       int       // classes

	once sync.Once
	top  []*ladder // by class, to the surface
}

// depth is what elements of a class share.
type depth struct {
	z     float64
	layer int
}

// ladder holds the Taylor series of one pair of depths.
type ladder struct {
	z, zf  float64
	images []image
	first  int // its lowest rung, as the upper bits of a number
	rungs  []atomic.Pointer[rung]
}

// newLadder returns a ladder, without rungs yet, for squares of the distance
// from two to the power lo to two to the power hi, in m2.
func newLadder(z, zf float64, images []image, lo, hi int) *ladder {
	return &ladder{z: z, zf: zf, images: images, first: (1023 + lo) * eighths, rungs: make([]atomic.Pointer[rung], (hi-lo)*eighths)}
}

// rung is a series in the distance from mid.
type rung struct {
	mid float64
	c   [terms]float64
}

const (
	terms   = 9
	eighths = 8       // rungs in an octave
	shift   = 52 - 3  // what is left of a number's bits is its rung
	nearest = -12     // exponent of two of the smallest square, m2
	fewest  = 200     // pairs that pay for a ladder
	ladders = 1 << 13 // the most that are kept: some 10 MB
)

func newFiller(k kernel, els []element) *filler {
	f := &filler{k: k, classes: map[depth]int{}}
	var count []int
	for i := range els {
		c := f.class(&els[i], true)
		if c < 0 {
			continue
		}
		if c == len(count) {
			count = append(count, 0)
		}
		count[c]++
	}
	f.n = len(count)
	if f.n > 1000 { // depths without end pay nowhere
		f.n = 0
		for i := range els {
			els[i].class = -1
		}
		return f
	}
	lo, hi := els[0].mid, els[0].mid
	for i := range els {
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], els[i].mid[k]), math.Max(hi[k], els[i].mid[k])
		}
	}
	_, top := math.Frexp(math.Pow(hi[0]-lo[0]+10, 2) + math.Pow(hi[1]-lo[1]+10, 2))
	f.tables = make([]*ladder, f.n*f.n)
	at := make([]depth, f.n)
	for d, c := range f.classes {
		at[c] = d
	}
	made := 0
	for i, e := range at {
		for j, s := range at {
			if s.layer > e.layer || count[i]*count[j] < fewest || made == ladders {
				continue
			}
			made++
			f.tables[i*f.n+j] = newLadder(e.z, s.z, k.images(s.layer, e.layer), nearest, top)
		}
	}
	return f
}

// class sets and returns the class of an element, -1 for a slanted one or,
// unless it may grow, for a depth that is new.
func (f *filler) class(e *element, grow bool) int {
	e.class = -1
	level, upright := e.t[2] == 0, e.t[0] == 0 && e.t[1] == 0
	if !level && !upright {
		return -1
	}
	d := depth{e.mid[2], e.layer}
	c, ok := f.classes[d]
	if !ok {
		if !grow {
			return -1
		}
		c = len(f.classes)
		f.classes[d] = c
	}
	e.class = c
	return c
}

// entry returns the mean potential of one element per ampere from another, in
// either order.
func (f *filler) entry(e, s *element) float64 {
	if s.layer > e.layer {
		e, s = s, e
	}
	if e.class >= 0 && s.class >= 0 {
		if t := f.tables[e.class*f.n+s.class]; t != nil {
			if v, ok := t.mean(e, s); ok {
				return v
			}
		}
	}
	v := mean(e, s, f.k.images(s.layer, e.layer))
	if e == s {
		v += e.series
	}
	return v
}

// mean is mean by the ladder; false where the elements are not well apart.
func (t *ladder) mean(e, s *element) (float64, bool) {
	dx, dy := e.mid[0]-s.mid[0], e.mid[1]-s.mid[1]
	flat := dx*dx + dy*dy + (e.r*e.r+s.r*s.r)/2
	limit := apart * (e.l + s.l)
	if flat <= limit*limit {
		return 0, false
	}
	at := int(math.Float64bits(flat)>>shift) - t.first
	if at < 0 || at >= len(t.rungs) {
		return 0, false
	}
	r := t.rungs[at].Load()
	if r == nil {
		r = t.rung(at)
	}
	// u is the sum of w/R, u1 and u2 its derivatives: the sums of w/R^3 and
	// w/R^5 but for the factors -1/2 and 3/4.
	h := flat - r.mid
	c := &r.c
	u := c[0] + h*(c[1]+h*(c[2]+h*(c[3]+h*(c[4]+h*(c[5]+h*(c[6]+h*(c[7]+h*c[8])))))))
	u1 := c[1] + h*(2*c[2]+h*(3*c[3]+h*(4*c[4]+h*(5*c[5]+h*(6*c[6]+h*(7*c[7]+h*8*c[8]))))))
	u2 := 2*c[2] + h*(6*c[3]+h*(12*c[4]+h*(20*c[5]+h*(30*c[6]+h*(42*c[7]+h*56*c[8])))))
	s3, s5 := -2*u1, u2*4/3
	return u + e.l*e.l/24*along(e, dx, dy, flat, s3, s5) + s.l*s.l/24*along(s, dx, dy, flat, s3, s5), true
}

// along is the second derivative of the sum of w/R along an element; the
// square of the upright distance is that of R less the level one.
func along(e *element, dx, dy, flat, s3, s5 float64) float64 {
	if e.t[2] == 0 {
		p := dx*e.t[0] + dy*e.t[1]
		return 3*p*p*s5 - s3
	}
	return 2*s3 - 3*flat*s5
}

// rung computes a rung; two that compute it at once find the same.
func (t *ladder) rung(at int) *rung {
	lo := math.Float64frombits(uint64(at+t.first) << shift)
	hi := math.Float64frombits(uint64(at+t.first+1) << shift)
	r := &rung{mid: (lo + hi) / 2}
	for i := range t.images {
		g := &t.images[i]
		dz := t.z - g.sigma*t.zf - g.c
		i2 := 1 / (r.mid + dz*dz)
		v := g.w * math.Sqrt(i2)
		for k := range r.c {
			r.c[k] += v
			v *= i2 * -(0.5 + float64(k)) / float64(k+1)
		}
	}
	t.rungs[at].Store(r)
	return r
}

// matrix returns the lower half of the interaction matrix.
func (f *filler) matrix(ctx context.Context, els []element) (cholesky, error) {
	n := len(els)
	a := make(cholesky, n)
	for i := range a {
		a[i] = make([]float64, i+1)
	}
	err := inParallel(ctx, n, 8, func(i int) {
		f.row(a[i], &els[i], els)
	})
	return a, err
}

// row fills the entries of an element with the first of the others.
func (f *filler) row(to []float64, e *element, els []element) {
	for j := range to {
		to[j] = f.entry(e, &els[j])
	}
}

// inParallel does 0 to n-1, some at a time, on as many processors as there
// are. What each does must not depend on what another does.
func inParallel(ctx context.Context, n, some int, do func(i int)) error {
	workers := min(runtime.GOMAXPROCS(0), (n+some-1)/some)
	var next atomic.Int64
	work := func() {
		for ctx.Err() == nil {
			lo := int(next.Add(int64(some))) - some
			if lo >= n {
				return
			}
			for i := lo; i < min(lo+some, n); i++ {
				do(i)
			}
		}
	}
	if workers > 1 {
		var wg sync.WaitGroup
		for range workers - 1 {
			wg.Go(work)
		}
		work()
		wg.Wait()
	} else {
		work()
	}
	return ctx.Err()
}
