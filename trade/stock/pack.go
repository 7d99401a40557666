package stock

import (
	"math"
	"slices"

	"stubup/base/stable"
)

// hair is the length that cannot be told from none, m. Lengths are packed as
// whole numbers of it, pieces rounded down and sticks up, so that three thirds
// of a stick fit in a stick.
const hair = 1e-7

// mostPieces is how many pieces the exact search is tried for. Beyond it the
// list is first-fit decreasing with the simple bounds.
const mostPieces = 400

// packing is pieces put into sticks: for each stick the numbers of its pieces.
type packing struct {
	bins  [][]int
	bound int // no packing has fewer
}

// pack puts pieces of the sizes, each at most capacity, into as few sticks as
// it finds, and returns with it a number of sticks that none can do under.
// Sizes come longest first. It stops as soon as the two agree:
//
//  1. first-fit decreasing against the bound of the half sizes;
//  2. sticks filled one by one, each as full as can be;
//  3. the bound of the linear program over all ways to cut a stick, by column
//     generation;
//  4. its fractions rounded, one way of cutting at a time;
//  5. bin completion: branch and bound over the ways to complete the stick of
//     the longest piece left, to a set number of steps.
func pack(size []int64, capacity int64) packing {
	if len(size) == 0 {
		return packing{}
	}
	p := packing{bins: firstFit(size, capacity), bound: halfBound(size, capacity)}
	try := func(bins [][]int) {
		if bins != nil && len(bins) < len(p.bins) {
			p.bins = bins
		}
	}
	done := func() bool { return len(p.bins) <= p.bound }
	if done() || len(size) > mostPieces {
		return p
	}
	first := p.bins
	full := fullFirst(size, capacity)
	if try(full); done() {
		return p
	}
	m := newMaster(size, capacity)
	m.learn(first)
	m.learn(full)
	m.solve()
	p.bound = max(p.bound, m.bound())
	if done() {
		return p
	}
	if try(m.dive(p.bound)); done() {
		return p
	}
	c := completion{size: size, capacity: capacity, best: len(p.bins), target: p.bound, steps: 20000}
	try(c.run())
	if c.steps > 0 && !c.partial {
		// The search came to its end: nothing is better than what stands.
		p.bound = len(p.bins)
	}
	return p
}

// firstFit puts each piece in the first stick with room.
func firstFit(size []int64, capacity int64) [][]int {
	var bins [][]int
	var left []int64
	for i, s := range size {
		j := slices.IndexFunc(left, func(l int64) bool { return l >= s })
		if j < 0 {
			bins, left = append(bins, nil), append(left, capacity)
			j = len(bins) - 1
		}
		bins[j], left[j] = append(bins[j], i), left[j]-s
	}
	return bins
}

// halfBound is the greatest, over every k up to half a stick, of
//
//	n1 + n2 + max(0, ceil((sum3 - (n2 C - sum2)) / C))
//
// n1 pieces longer than C - k stand alone; n2 of the others are longer than
// half and share no stick with each other, sum2 their length; sum3 is the
// length of those from k to half. k of none gives the length and the count of
// halves.
func halfBound(size []int64, capacity int64) int {
	best := 0
	try := func(k int64) {
		n1, n2 := 0, 0
		var sum2, sum3 int64
		for _, s := range size {
			switch {
			case s > capacity-k:
				n1++
			case 2*s > capacity:
				n2, sum2 = n2+1, sum2+s
			case s >= k:
				sum3 += s
			}
		}
		n := n1 + n2
		if over := sum3 - (int64(n2)*capacity - sum2); over > 0 {
			n += int((over + capacity - 1) / capacity)
		}
		best = max(best, n)
	}
	try(0)
	for i, s := range size {
		if 2*s <= capacity && (i == 0 || s != size[i-1]) {
			try(s)
		}
	}
	return best
}

// fullFirst fills one stick after the other: the longest piece left, and of
// those that fit beside it the set that leaves least.
func fullFirst(size []int64, capacity int64) [][]int {
	var bins [][]int
	rest := make([]int, len(size))
	for i := range rest {
		rest[i] = i
	}
	for len(rest) > 0 {
		f := fill{size: size, rest: rest, steps: 4000, least: capacity + 1}
		f.search(1, capacity-size[rest[0]], []int{0})
		bin := make([]int, len(f.found))
		for i, k := range f.found {
			bin[i] = rest[k]
		}
		bins = append(bins, bin)
		rest = slices.DeleteFunc(rest, func(i int) bool { return slices.Contains(bin, i) })
	}
	return bins
}

type fill struct {
	size  []int64
	rest  []int
	steps int
	least int64
	found []int
}

func (f *fill) search(from int, left int64, in []int) {
	if left < f.least {
		f.least, f.found = left, slices.Clone(in)
	}
	for k := from; k < len(f.rest) && f.least > 0 && f.steps > 0; k++ {
		if s := f.size[f.rest[k]]; s <= left && (k == from || s != f.size[f.rest[k-1]]) {
			f.steps--
			f.search(k+1, left-s, append(in, k))
		}
	}
}

// completion is bin completion: the longest piece left takes a stick, and the
// search branches over the sets that complete it. A set is left out where a
// piece outside would fit in place of a shorter one inside: that set is tried
// by itself and is never worse.
type completion struct {
	size     []int64
	capacity int64
	best     int // sticks of the best packing known
	target   int // nothing can be better than this
	steps    int
	partial  bool // some sets were not looked at
	found    [][]int
}

func (c *completion) run() [][]int {
	rest := make([]int, len(c.size))
	for i := range rest {
		rest[i] = i
	}
	c.place(rest, nil)
	return c.found
}

func (c *completion) place(rest []int, bins [][]int) {
	if len(rest) == 0 {
		if len(bins) < c.best {
			c.best = len(bins)
			c.found = make([][]int, len(bins))
			for i := range bins {
				c.found[i] = slices.Clone(bins[i])
			}
		}
		return
	}
	left := make([]int64, len(rest))
	for i, k := range rest {
		left[i] = c.size[k]
	}
	if len(bins)+halfBound(left, c.capacity) >= c.best {
		return
	}
	for _, set := range c.sets(rest) {
		if c.steps <= 0 || c.best <= c.target {
			return
		}
		c.steps--
		next := make([]int, 0, len(rest))
		for _, k := range rest {
			if !slices.Contains(set, k) {
				next = append(next, k)
			}
		}
		c.place(next, append(bins[:len(bins):len(bins)], set))
	}
}

// sets lists the ways to complete the stick of the first piece, fullest first.
func (c *completion) sets(rest []int) [][]int {
	type way struct {
		in   []int
		left int64
	}
	const most = 400
	var ways []way
	var walk func(from int, left int64, in []int)
	walk = func(from int, left int64, in []int) {
		if len(ways) >= most {
			return
		}
		grown := false
		for k := from; k < len(rest); k++ {
			s := c.size[rest[k]]
			if s > left || k > from && s == c.size[rest[k-1]] {
				continue
			}
			grown = true
			walk(k+1, left-s, append(in[:len(in):len(in)], rest[k]))
		}
		if !grown && !c.dominated(rest, in, left) {
			ways = append(ways, way{in, left})
		}
	}
	walk(1, c.capacity-c.size[rest[0]], []int{rest[0]})
	c.partial = c.partial || len(ways) >= most
	stable.Sort(ways, func(a, b way) int {
		switch {
		case a.left < b.left:
			return -1
		case a.left > b.left:
			return 1
		}
		return 0
	})
	out := make([][]int, len(ways))
	for i, w := range ways {
		out[i] = w.in
	}
	return out
}

// dominated reports whether a piece outside fits in place of a shorter one
// inside, or in the room left.
func (c *completion) dominated(rest, in []int, left int64) bool {
	for _, k := range rest {
		if slices.Contains(in, k) {
			continue
		}
		s := c.size[k]
		if s <= left {
			return true
		}
		for _, i := range in[1:] {
			if t := c.size[i]; s > t && s-t <= left {
				return true
			}
		}
	}
	return false
}

// ceilWhole and floorWhole return a length as a whole number of hairs.
func ceilWhole(m float64) int64  { return int64(math.Ceil(m/hair - 1e-3)) }
func floorWhole(m float64) int64 { return int64(m/hair + 1e-3) }
