package ground

import (
	"cmp"
	"fmt"
	"math"

	"stubup/base/stable"
	"stubup/trade/soil"
)

// element is a straight piece of conductor that leaks evenly along its
// length.
type element struct {
	mid, t    vec // middle, unit direction
	l, r      float64
	layer     int
	electrode int
	wire      int
	tag       int
	series    float64 // ohm from the conductor to the soil, of its jacket
	class     int     // see filler
}

// Mesh constants. growth is how fast element length may grow with distance
// from an end, a corner or a joint; fine is the share of the largest length
// with which it starts; slender is the shortest element in radii, below which
// the thin-wire kernel no longer holds and R drifts low.
const (
	growth  = 0.45
	fine    = 1.0 / 8
	slender = 3.0
	bend    = 25 * math.Pi / 180 // a turn below this is part of an arc
)

// mesh cuts the pieces at joints and layer boundaries and divides them.
func mesh(ps []piece, m soil.Model, o Options, ids []Electrode) ([]element, error) {
	// One order and one direction, whatever the input's: the same metal gives
	// the same mesh.
	for i, p := range ps {
		if p.b.less(p.a) {
			ps[i].a, ps[i].b = p.b, p.a
		}
	}
	stable.Sort(ps, comparePieces)
	ps, err := join(ps, ids)
	if err != nil {
		return nil, err
	}
	total := 0.0
	for _, p := range ps {
		total += p.b.sub(p.a).norm()
	}
	h := o.MaxLength
	if h == 0 {
		h = math.Max(0.22, total/600)
	}
	marks, err := joints(ps, h, ids)
	if err != nil {
		return nil, err
	}
	var out []element
	for i, p := range ps {
		out = divide(out, p, marks[i], m, h)
		if len(out) > o.MaxElements {
			return nil, whole(TooManyElements, fmt.Sprintf("more than %d elements", o.MaxElements), "leave out conductors, or let elements be longer")
		}
	}
	return out, nil
}

func comparePieces(p, q piece) int {
	if p.electrode != q.electrode {
		return cmp.Compare(p.electrode, q.electrode)
	}
	if p.a != q.a {
		if p.a.less(q.a) {
			return -1
		}
		return 1
	}
	if p.b != q.b {
		if p.b.less(q.b) {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(p.r, q.r), cmp.Compare(p.series, q.series), cmp.Compare(p.wire, q.wire))
}

// near reports whether the boxes about two pieces, widened by d, meet.
func near(p, q piece, d float64) bool {
	for k := range 3 {
		if math.Min(p.a[k], p.b[k])-d > math.Max(q.a[k], q.b[k]) || math.Min(q.a[k], q.b[k])-d > math.Max(p.a[k], p.b[k]) {
			return false
		}
	}
	return true
}

// closest returns the parameters (0 to 1) of the nearest points of two pieces
// and their distance.
func closest(p, q piece) (s, t, d float64) {
	u, v, w := p.b.sub(p.a), q.b.sub(q.a), p.a.sub(q.a)
	a, b, c, e, f := u.dot(u), u.dot(v), v.dot(v), u.dot(w), v.dot(w)
	den := a*c - b*b
	if den > 1e-12*a*c {
		s = clamp((b*f - c*e) / den)
	}
	t = (b*s + f) / c
	if t < 0 || t > 1 {
		t = clamp(t)
		s = clamp((b*t - e) / a)
	}
	return s, t, p.a.along(p.b, s).sub(q.a.along(q.b, t)).norm()
}

func clamp(x float64) float64 { return math.Max(0, math.Min(1, x)) }

// foot returns the parameter and distance of the point of p nearest to x.
func foot(p piece, x vec) (s, d float64) {
	u := p.b.sub(p.a)
	s = clamp(x.sub(p.a).dot(u) / u.dot(u))
	return s, x.sub(p.a.along(p.b, s)).norm()
}

// coincident reports whether two pieces lie in each other over more than a
// joint's length.
func coincident(p, q piece) bool {
	u, v := p.b.sub(p.a), q.b.sub(q.a)
	lu, lv := u.norm(), v.norm()
	cos := math.Abs(u.dot(v)) / (lu * lv)
	if cos < 0.9995 {
		return false
	}
	// The part of q beside p.
	s0, s1 := q.a.sub(p.a).dot(u)/(lu*lu), q.b.sub(p.a).dot(u)/(lu*lu)
	lo, hi := math.Max(0, math.Min(s0, s1)), math.Min(1, math.Max(s0, s1))
	if (hi-lo)*lu <= slender*(p.r+q.r) {
		return false
	}
	mid := p.a.along(p.b, (lo+hi)/2)
	_, d := foot(q, mid)
	return d < math.Max(p.r, q.r)
}

// clash returns the error of two pieces that lie in each other or touch
// though they belong to two electrodes.
func clash(p, q piece, ids []Electrode) error {
	if coincident(p, q) {
		return &Error{
			Coincident, ids[q.electrode].ID, q.wire,
			fmt.Sprintf("lies in wire %d of electrode %s near (%.3g, %.3g, %.3g)", p.wire+1, ids[p.electrode].ID, q.a[0], q.a[1], q.a[2]),
			"leave out one of the two, or move it at least its diameter aside",
		}
	}
	if p.electrode != q.electrode {
		if _, _, d := closest(p, q); d < p.r+q.r {
			return &Error{
				TouchingOther, ids[q.electrode].ID, q.wire,
				fmt.Sprintf("touches wire %d of electrode %s", p.wire+1, ids[p.electrode].ID),
				"put both into one electrode, or move one aside",
			}
		}
	}
	return nil
}

// join replaces pieces that run on straight into each other, with nothing
// else at their meeting point, by one: where a wire was cut on paper must
// change nothing.
func join(ps []piece, ids []Electrode) ([]piece, error) {
	type end struct{ piece, at int }
	touch := make(map[end][]end) // what touches each end; at -1 is mid-run
	for i, p := range ps {
		for j := i + 1; j < len(ps); j++ {
			q := ps[j]
			if !near(p, q, p.r+q.r) {
				continue
			}
			if err := clash(p, q, ids); err != nil {
				return nil, err
			}
			if p.electrode != q.electrode {
				continue
			}
			for k, x := range [2]vec{p.a, p.b} {
				if s, d := foot(q, x); d <= p.r+q.r {
					touch[end{i, k}] = append(touch[end{i, k}], end{j, endOf(q, s)})
				}
			}
			for k, x := range [2]vec{q.a, q.b} {
				if s, d := foot(p, x); d <= p.r+q.r {
					touch[end{j, k}] = append(touch[end{j, k}], end{i, endOf(p, s)})
				}
			}
		}
	}
	gone := make([]bool, len(ps))
	// where[i] is the piece that holds the i-th now.
	where := make([]int, len(ps))
	for i := range where {
		where[i] = i
	}
	find := func(i int) int {
		for where[i] != i {
			i = where[i]
		}
		return i
	}
	for i := range ps {
		for k := range 2 {
			ts := touch[end{i, k}]
			if len(ts) != 1 || ts[0].at < 0 || len(touch[ts[0]]) != 1 || touch[ts[0]][0] != (end{i, k}) || ts[0].piece < i {
				continue
			}
			a, b := find(i), find(ts[0].piece)
			p, q := ps[a], ps[b]
			if a == b || p.r != q.r || p.tag != q.tag || p.series != q.series {
				continue
			}
			u, v := p.b.sub(p.a), q.b.sub(q.a)
			u, v = u.scale(1/u.norm()), v.scale(1/v.norm())
			if u.sub(v).norm() > 1e-6 || p.b.sub(q.a).norm() > 1e-6 && q.b.sub(p.a).norm() > 1e-6 {
				continue
			}
			if q.a.less(p.a) {
				p.a = q.a
			} else {
				p.b = q.b
			}
			p.wire = min(p.wire, q.wire)
			ps[a] = p
			gone[b], where[b] = true, a
		}
	}
	var out []piece
	for i, p := range ps {
		if !gone[i] {
			out = append(out, p)
		}
	}
	stable.Sort(out, comparePieces)
	return out, nil
}

// endOf returns 0 or 1 where the parameter is at an end of the piece, to
// within its thickness, and -1 between.
func endOf(p piece, s float64) int {
	l := p.b.sub(p.a).norm()
	switch {
	case s*l <= slender*p.r:
		return 0
	case (1-s)*l <= slender*p.r:
		return 1
	}
	return -1
}

// mark is a place along a piece, in m from its start, about which elements
// are no longer than h.
type mark struct {
	s, h float64
	cut  bool
}

// joints returns the marks of every piece: free ends, sharp corners, joints,
// and places where another conductor passes close by.
func joints(ps []piece, hmax float64, ids []Electrode) ([][]mark, error) {
	out := make([][]mark, len(ps))
	ends := make([][2]int, len(ps)) // how many pieces run on smoothly from each end
	sharp := make([][2]bool, len(ps))
	start := func(r float64) float64 { return math.Max(slender*1.05*r, fine*hmax) }
	for i, p := range ps {
		lp := p.b.sub(p.a).norm()
		for j := i + 1; j < len(ps); j++ {
			q := ps[j]
			if !near(p, q, hmax/2+p.r+q.r) {
				continue
			}
			s, t, d := closest(p, q)
			lq := q.b.sub(q.a).norm()
			if d > p.r+q.r {
				if d < hmax/2 {
					out[i] = append(out[i], mark{s * lp, math.Max(d, start(p.r)), false})
					out[j] = append(out[j], mark{t * lq, math.Max(d, start(q.r)), false})
				}
				continue
			}
			ep, eq := endOf(p, s), endOf(q, t)
			// A turn is measured between the two directions away from the joint.
			u, v := p.b.sub(p.a).scale(1/lp), q.b.sub(q.a).scale(1/lq)
			if ep == 1 {
				u = u.scale(-1)
			}
			if eq == 1 {
				v = v.scale(-1)
			}
			smooth := ep >= 0 && eq >= 0 && p.r == q.r && p.tag == q.tag && math.Acos(math.Max(-1, math.Min(1, -u.dot(v)))) < bend
			for _, x := range [2]struct {
				i, e int
				s, l float64
			}{{i, ep, s, lp}, {j, eq, t, lq}} {
				if x.e < 0 {
					out[x.i] = append(out[x.i], mark{x.s * x.l, start(ps[x.i].r), true})
					continue
				}
				if smooth {
					ends[x.i][x.e]++
				} else {
					sharp[x.i][x.e] = true
				}
			}
		}
	}
	for i, p := range ps {
		l := p.b.sub(p.a).norm()
		for e, x := range [2]vec{p.a, p.b} {
			// A rod whose end is flush with the surface runs on into its image.
			flush := x[2] <= p.r && math.Abs(p.b[2]-p.a[2]) > 0.99*l
			if sharp[i][e] || ends[i][e] != 1 && !flush {
				out[i] = append(out[i], mark{float64(e) * l, start(p.r), false})
			}
		}
	}
	return out, nil
}

// divide appends the elements of one piece.
func divide(out []element, p piece, marks []mark, m soil.Model, hmax float64) []element {
	u := p.b.sub(p.a)
	l := u.norm()
	u = u.scale(1 / l)
	if u[0] == 0 && u[1] == 0 {
		u[2] = math.Copysign(1, u[2])
	}
	short := slender * p.r
	cuts := []float64{0, l}
	for _, k := range marks {
		if k.cut {
			cuts = append(cuts, k.s)
		}
	}
	for _, d := range m.Boundaries() {
		if u[2] == 0 {
			break
		}
		if s := (float64(d) - p.a[2]) / u[2]; s > short && s < l-short {
			cuts = append(cuts, s)
			marks = append(marks, mark{s, math.Max(short, hmax/4), true})
		}
	}
	stable.Ascend(cuts)
	// A cut closer than the shortest element to the last one is dropped, but
	// never the ends.
	kept := cuts[:1]
	for _, c := range cuts[1:] {
		for len(kept) > 1 && c-kept[len(kept)-1] < short && c == l {
			kept = kept[:len(kept)-1]
		}
		if c-kept[len(kept)-1] >= short || c == l {
			kept = append(kept, c)
		}
	}
	for i := 1; i < len(kept); i++ {
		lo, hi := kept[i-1], kept[i]
		longest := hmax
		for _, k := range marks { // a side of an arc has none, and may be one element
			if k.s >= lo-short && k.s <= hi+short {
				longest = math.Min(hmax, math.Max(short, (hi-lo)/4))
			}
		}
		nodes := grade(lo, hi, longest, short, marks)
		for k := 1; k < len(nodes); k++ {
			a, b := nodes[k-1], nodes[k]
			mid := p.a.add(u.scale((a + b) / 2))
			out = append(out, element{mid: mid, t: u, l: b - a, r: p.r, layer: layerAt(m, mid[2]), electrode: p.electrode, wire: p.wire, tag: p.tag, series: p.series / (b - a), class: -1})
		}
	}
	return out
}

// grade returns nodes from lo to hi whose distances follow the length wanted
// at each place: the same share of the integral of 1/length in each.
func grade(lo, hi, hmax, short float64, marks []mark) []float64 {
	const steps = 256
	want := func(s float64) float64 {
		h := hmax
		for _, k := range marks {
			h = math.Min(h, k.h+growth*math.Abs(s-k.s))
		}
		return h
	}
	var sum [steps + 1]float64
	d := (hi - lo) / steps
	for i := range steps {
		a := lo + float64(i)*d
		sum[i+1] = sum[i] + d/6*(1/want(a)+4/want(a+d/2)+1/want(a+d))
	}
	n := max(1, int(math.Ceil(sum[steps]-0.01)))
	for ; ; n-- {
		nodes := make([]float64, n+1)
		nodes[0], nodes[n] = lo, hi
		k := 0
		ok := true
		for j := 1; j < n; j++ {
			v := sum[steps] * float64(j) / float64(n)
			for sum[k+1] < v {
				k++
			}
			nodes[j] = lo + d*(float64(k)+(v-sum[k])/(sum[k+1]-sum[k]))
		}
		for j := 1; j <= n; j++ {
			ok = ok && nodes[j]-nodes[j-1] >= short*0.999
		}
		if ok || n == 1 {
			return nodes
		}
	}
}

func layerAt(m soil.Model, z float64) int {
	d := 0.0
	for i, l := range m[:len(m)-1] {
		d += float64(l.Thickness)
		if z <= d {
			return i
		}
	}
	return len(m) - 1
}
