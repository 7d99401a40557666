package ground

import (
	"context"
	"math"
	"slices"

	"stubup/base/stable"
	"stubup/trade/soil"
)

// image is one term of the potential that a point source at depth z' makes:
// w / distance from (x', y', sigma z' + c). w holds rho/(4 pi).
type image struct{ w, sigma, c float64 }

// kernel gives the images of a source in layer src as seen from layer obs,
// for src <= obs; the other way round follows by reciprocity. The first image
// for src == obs is the source itself.
type kernel interface {
	images(src, obs int) []image
}

// uniform is the half space: the source and its mirror in the surface.
type uniform [2]image

func (u uniform) images(_, _ int) []image { return u[:] }

// layered holds the images of layered earth, one list for each pair of layers.
//
// In wave number lambda the potential in the source's own layer is
//
//	rho/(4 pi) (exp(-l|z-z'|) + U exp(-l(u+u')) + D exp(-l(2h-u-u')) + U D e (exp(-l(u-u')) + exp(l(u-u'))) / (1 - U D e)
//
// with the first term outside the fraction; u depth below the layer's upper
// end, h its thickness, U and D its reflections up and down, e = exp(-2lh);
// and in a deeper layer the wave that arrives there times
// exp(-l u) + D exp(-l(2h-u)). What multiplies the exponentials depends on l
// alone. It is fitted by a constant, its exact value at infinite l, and a sum
// of exp(-l b) with fixed b (least squares with a small ridge), so that each
// term is an image in a shifted or mirrored place and every integral along a
// wire keeps its closed form. For two layers the b are multiples of 2h, the
// places of the classical series.
type layered struct {
	n     int
	lists [][]image
	doubt float64 // largest misfit of any multiplier, relative to max(1, |f|)
}

func (k *layered) images(src, obs int) []image { return k.lists[src*k.n+obs] }

// newKernel returns the kernel of a model. The model is merged and valid.
func newKernel(ctx context.Context, m soil.Model) (kernel, error) {
	if rho, ok := m.Uniform(); ok {
		w := float64(rho) / (4 * math.Pi)
		return uniform{{w, 1, 0}, {w, -1, 0}}, nil
	}
	return fitLayered(ctx, m)
}

// exponents returns the fixed shifts b, the shortest first.
func exponents(m soil.Model) []float64 {
	n := len(m)
	hmin, height, across, along := math.Inf(1), 0.0, 0.0, 0.0
	for _, l := range m[:n-1] {
		h, rho := float64(l.Thickness), float64(l.Resistivity)
		hmin = math.Min(hmin, h)
		height += h
		across += rho * h
		along += h / rho
	}
	// The longest distance that the layers know: their height, how far current
	// runs along them before the base has taken it, and how far before a
	// resistive one among them lets it through.
	far := 12 * math.Max(height, math.Max(along*float64(m[n-1].Resistivity), math.Sqrt(across*along)))
	var bs []float64
	if n == 2 {
		for k := 1; float64(k)*2*hmin < far || k < 16; k = max(k+1, int(math.Round(1.3*float64(k)))) {
			bs = append(bs, 2*hmin*float64(k))
		}
		return bs
	}
	// The first echoes at their own places, then a ladder.
	for i := range n - 1 {
		h := 0.0
		for j := i; j < n-1; j++ {
			h += float64(m[j].Thickness)
			bs = append(bs, 2*h)
		}
		bs = append(bs, 4*float64(m[i].Thickness))
	}
	for b := 2 * hmin; b < far*1.5; b *= 1.4 {
		bs = append(bs, b)
	}
	stable.Ascend(bs)
	out := bs[:1]
	for _, b := range bs[1:] {
		if b > 1.12*out[len(out)-1] {
			out = append(out, b)
		}
	}
	return out
}

// multiplier is one family of images before its fit: the function of l, and
// where an image with shift b lies.
type multiplier struct {
	src, obs int
	f        func(lambda float64, up, down []float64) float64
	sigma    float64
	place    func(b float64) float64
}

func multipliers(m soil.Model) []multiplier {
	n := len(m)
	top, bottom := make([]float64, n), make([]float64, n)
	for i := range m {
		if i > 0 {
			top[i] = bottom[i-1]
		}
		bottom[i] = top[i] + float64(m[i].Thickness)
	}
	e := func(i int, l float64) float64 {
		if i == n-1 {
			return 0
		}
		return math.Exp(-2 * l * float64(m[i].Thickness))
	}
	var out []multiplier
	for i := range n {
		gain := func(l float64, up, down []float64) float64 { return 1 / (1 - up[i]*down[i]*e(i, l)) }
		out = append(out, multiplier{
			src: i, obs: i, sigma: -1, place: func(b float64) float64 { return 2*top[i] - b },
			f: func(l float64, up, down []float64) float64 { return up[i] * gain(l, up, down) },
		})
		if i < n-1 {
			h := 2 * float64(m[i].Thickness)
			both := func(l float64, up, down []float64) float64 { return up[i] * down[i] * gain(l, up, down) }
			out = append(out,
				multiplier{
					src: i, obs: i, sigma: -1, place: func(b float64) float64 { return 2*bottom[i] + b },
					f: func(l float64, up, down []float64) float64 { return down[i] * gain(l, up, down) },
				},
				multiplier{src: i, obs: i, sigma: 1, place: func(b float64) float64 { return -h - b }, f: both},
				multiplier{src: i, obs: i, sigma: 1, place: func(b float64) float64 { return h + b }, f: both})
		}
		for j := i + 1; j < n; j++ {
			through := func(l float64, up, down []float64) float64 {
				t := (1 + down[i]) * gain(l, up, down)
				for k := i + 1; k < j; k++ {
					t *= (1 + down[k]) / (1 + down[k]*e(k, l))
				}
				return t / (1 + down[j]*e(j, l))
			}
			out = append(out,
				multiplier{src: i, obs: j, sigma: 1, place: func(b float64) float64 { return -b }, f: through},
				multiplier{
					src: i, obs: j, sigma: -1, place: func(b float64) float64 { return 2*top[i] - b },
					f: func(l float64, up, down []float64) float64 { return up[i] * through(l, up, down) },
				})
			if j < n-1 {
				out = append(out,
					multiplier{
						src: i, obs: j, sigma: -1, place: func(b float64) float64 { return 2*bottom[j] + b },
						f: func(l float64, up, down []float64) float64 { return down[j] * through(l, up, down) },
					},
					multiplier{
						src: i, obs: j, sigma: 1, place: func(b float64) float64 { return 2*bottom[j] - 2*top[i] + b },
						f: func(l float64, up, down []float64) float64 { return up[i] * down[j] * through(l, up, down) },
					})
			}
		}
	}
	return out
}

// ridge keeps the fitted weights of the order of the series they stand for;
// without it neighbors grow large with opposite signs.
const ridge = 1e-9

func fitLayered(ctx context.Context, m soil.Model) (*layered, error) {
	n := len(m)
	bs := exponents(m)
	ms := multipliers(m)
	// Wave numbers: from where the farthest image no longer decays to where
	// the nearest has gone, and zero, which is the field far away.
	ls := []float64{0}
	lo, hi := 0.01/bs[len(bs)-1], 30/bs[0]
	steps := 24 * int(math.Ceil(math.Log10(hi/lo)))
	for i := 0; i <= steps; i++ {
		ls = append(ls, lo*math.Pow(hi/lo, float64(i)/float64(steps)))
	}
	rows := len(ls) + len(bs)
	a, y := make(columns, len(bs)), make(columns, len(ms))
	for k := range a {
		a[k] = make([]float64, rows)
	}
	for k := range y {
		y[k] = make([]float64, rows)
	}
	up, down := make([]float64, n), make([]float64, n)
	m.Reflections(math.Inf(1), up, down)
	end := make([]float64, len(ms))
	for k, t := range ms {
		end[k] = t.f(math.Inf(1), up, down)
	}
	for i, l := range ls {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		m.Reflections(l, up, down)
		for k, t := range ms {
			y[k][i] = t.f(l, up, down) - end[k]
		}
		for k, b := range bs {
			a[k][i] = math.Exp(-l * b)
		}
	}
	for k := range bs {
		a[k][len(ls)+k] = ridge
	}
	want := make(columns, len(y))
	for c := range y {
		want[c] = slices.Clone(y[c])
	}
	x, ok := leastSquares(a, y)
	if !ok {
		return nil, whole(NotSolvable, "the layers could not be fitted by images", "check the soil model")
	}
	k := &layered{n: n, lists: make([][]image, n*n)}
	for i := range n {
		w := float64(m[i].Resistivity) / (4 * math.Pi)
		k.lists[i*n+i] = append(k.lists[i*n+i], image{w, 1, 0})
	}
	for c, t := range ms {
		w := float64(m[t.src].Resistivity) / (4 * math.Pi)
		at := t.src*n + t.obs
		add := func(v, b float64) {
			if math.Abs(v) > 1e-9 {
				k.lists[at] = append(k.lists[at], image{w * v, t.sigma, t.place(b)})
			}
		}
		add(end[c], 0)
		for j, b := range bs {
			add(x[c][j], b)
		}
		for i, l := range ls {
			fit := 0.0
			for j, b := range bs {
				fit += x[c][j] * math.Exp(-l*b)
			}
			k.doubt = math.Max(k.doubt, math.Abs(fit-want[c][i])/math.Max(1, math.Abs(want[c][i])))
		}
	}
	return k, nil
}
