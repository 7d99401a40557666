package stock

import (
	"math"
	"slices"

	"stubup/base/stable"
)

// The linear program sees a stick in whole steps. Where the lengths are all
// whole multiples of a step, a stick being no more than mostSteps of them (a
// 10 ft stick in 1/32 in), nothing is lost; else lengths are rounded down to
// fewSteps to a stick, which can only lower the bound.
const (
	mostSteps = 4000
	fewSteps  = 3840
)

// way is one way to cut a stick: how many of which kinds, kinds rising.
type way []struct{ kind, count int }

func (w way) worth(price []float64) float64 {
	v := 0.0
	for _, q := range w {
		v += price[q.kind] * float64(q.count)
	}
	return v
}

// master is the linear program over the ways to cut one stick:
//
//	least sum x over the ways p, with sum p_i x_p >= d_i for every size i
//
// solved by the revised simplex on the ways that are known, new ones being
// made by a knapsack on the prices of the sizes.
type master struct {
	size     []int64 // of each kind of piece, hairs, longest first
	grid     []int   // the same in steps
	demand   []int
	who      [][]int // pieces of each kind
	capacity int64
	steps    int

	ways  []way
	basis []int // a way; or -1-i: the surplus of kind i
	inv   [][]float64
	x     []float64
	price []float64
}

func newMaster(size []int64, capacity int64) *master {
	m := &master{capacity: capacity}
	step := int64(0)
	for i, s := range size {
		n := len(m.size)
		if n == 0 || m.size[n-1] != s {
			m.size, m.demand, m.who = append(m.size, s), append(m.demand, 0), append(m.who, nil)
			step = common(step, s)
			n++
		}
		m.demand[n-1]++
		m.who[n-1] = append(m.who[n-1], i)
	}
	m.grid = make([]int, len(m.size))
	if step > 0 && capacity/step <= mostSteps {
		m.steps = int(capacity / step)
		for i, s := range m.size {
			m.grid[i] = int(s / step)
		}
		return m
	}
	m.steps = fewSteps
	for i, s := range m.size {
		m.grid[i] = int(s * int64(m.steps) / capacity)
	}
	return m
}

// common returns the greatest common divisor.
func common(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// learn adds ways that are known from a packing of the pieces.
func (m *master) learn(bins [][]int) {
	kind := map[int]int{}
	for i, w := range m.who {
		for _, p := range w {
			kind[p] = i
		}
	}
	for _, b := range bins {
		n := make([]int, len(m.size))
		for _, p := range b {
			n[kind[p]]++
		}
		m.add(n)
	}
}

func (m *master) add(n []int) int {
	var w way
	for i, k := range n {
		if k > 0 {
			w = append(w, struct{ kind, count int }{i, k})
		}
	}
	m.ways = append(m.ways, w)
	return len(m.ways) - 1
}

// start sets the basis of sticks that hold one kind of piece each.
func (m *master) start() {
	n := len(m.size)
	m.basis, m.x, m.price = make([]int, n), make([]float64, n), make([]float64, n)
	m.inv = make([][]float64, n)
	for i := range n {
		w := make([]int, n)
		w[i] = max(1, min(int(m.capacity/m.size[i]), m.demand[i]))
		m.basis[i] = m.add(w)
		m.inv[i] = make([]float64, n)
		m.inv[i][i] = 1 / float64(w[i])
		m.x[i] = m.wanted(i) / float64(w[i])
	}
}

// wanted is the demand, a hair off so that no two ratios tie: ties make the
// simplex go in circles.
func (m *master) wanted(i int) float64 {
	return float64(m.demand[i]) + 1e-7*float64(1+(i*37)%101)
}

// solve runs the simplex to its end or to a set number of turns. The prices
// are good for a bound whenever it stops.
func (m *master) solve() {
	if len(m.size) == 0 {
		return
	}
	m.start()
	m.improve()
}

// enter returns the way that is worth most at the prices: one that is known,
// or the best there is.
func (m *master) enter() (int, bool) {
	best, at := 1+1e-9, -1
	for i, w := range m.ways {
		if v := w.worth(m.price); v > best {
			best, at = v, i
		}
	}
	if at >= 0 {
		return at, true
	}
	from := len(m.ways)
	m.knapsack(m.price)
	for i, w := range m.ways[from:] {
		if v := w.worth(m.price); v > best {
			best, at = v, from+i
		}
	}
	return at, at >= 0
}

func (m *master) improve() {
	n := len(m.size)
	for turn := 0; turn < 40*n+200; turn++ {
		for j := range n { // prices: cost of the basis times the inverse
			v := 0.0
			for i := range n {
				if m.basis[i] >= 0 {
					v += m.inv[i][j]
				}
			}
			m.price[j] = v
		}
		enter, col := 0, make([]float64, n)
		if j := least(m.price); m.price[j] < -1e-9 {
			enter = -1 - j
			for i := range n {
				col[i] = -m.inv[i][j]
			}
		} else {
			k, ok := m.enter()
			if !ok {
				return
			}
			enter = k
			for i := range n {
				for _, q := range m.ways[k] {
					col[i] += m.inv[i][q.kind] * float64(q.count)
				}
			}
		}
		out, ratio := -1, math.Inf(1)
		for i := range n {
			if col[i] > 1e-9 {
				if r := m.x[i] / col[i]; r < ratio {
					out, ratio = i, r
				}
			}
		}
		if out < 0 {
			return
		}
		piv := col[out]
		for j := range n {
			m.inv[out][j] /= piv
		}
		m.x[out] = ratio
		for i := range n {
			if i == out || col[i] == 0 {
				continue
			}
			f := col[i]
			for j := range n {
				m.inv[i][j] -= f * m.inv[out][j]
			}
			m.x[i] = max(0, m.x[i]-f*ratio)
		}
		m.basis[out] = enter
	}
}

func least(v []float64) int {
	k := 0
	for i := range v {
		if v[i] < v[k] {
			k = i
		}
	}
	return k
}

// knapsack adds the way of cutting a stick that is worth most at the prices,
// no more of a kind than is wanted, and the best ones of the longer kinds
// alone that are worth more than a stick.
func (m *master) knapsack(price []float64) {
	worth := make([]float64, m.steps+1)
	type lot struct{ kind, count int }
	var lots []lot
	for i, d := range m.demand {
		if price[i] <= 1e-12 {
			continue
		}
		if m.grid[i] > 0 {
			d = min(d, m.steps/m.grid[i])
		}
		for k := 1; d > 0; k *= 2 {
			k = min(k, d)
			lots = append(lots, lot{i, k})
			d -= k
		}
	}
	took := make([][]bool, len(lots))
	read := func(l int) {
		n := make([]int, len(m.size))
		c := m.steps
		for ; l >= 0; l-- {
			if took[l] != nil && took[l][c] {
				n[lots[l].kind] += lots[l].count
				c -= m.grid[lots[l].kind] * lots[l].count
			}
		}
		m.add(n)
	}
	last := 1 + 1e-9
	for l, q := range lots {
		g, p := m.grid[q.kind]*q.count, price[q.kind]*float64(q.count)
		if g > m.steps {
			continue
		}
		t := make([]bool, m.steps+1)
		took[l] = t
		to, from := worth[g:], worth[:m.steps+1-g]
		for c := len(from) - 1; c >= 0; c-- {
			if v := from[c] + p; v > to[c] {
				to[c], t[c+g] = v, true
			}
		}
		if worth[m.steps] > last+1e-6 {
			last = worth[m.steps]
			read(l)
		}
	}
}

// bound returns a number of sticks that no cutting does under. The prices are
// made whole numbers and the stick that is worth most by them is found again
// in whole numbers, so that rounding cannot lift the bound:
//
//	bound = ceil(sum w_i d_i / max over the ways of sum w_i p_i)
func (m *master) bound() int {
	const scale = 1 << 40
	w := make([]int64, len(m.size))
	var need int64
	for i, p := range m.price {
		w[i] = int64(max(0, min(p, 1)) * scale)
		need += w[i] * int64(m.demand[i])
	}
	worth := make([]int64, m.steps+1)
	for i, d := range m.demand {
		if w[i] == 0 {
			continue
		}
		if m.grid[i] > 0 {
			d = min(d, m.steps/m.grid[i])
		}
		for k := 1; d > 0; k *= 2 {
			k = min(k, d)
			g, v := m.grid[i]*k, w[i]*int64(k)
			for c := m.steps; c >= g; c-- {
				worth[c] = max(worth[c], worth[c-g]+v)
			}
			d -= k
		}
	}
	most := worth[m.steps]
	if most <= 0 {
		return 0
	}
	// A hair under a whole number is the rounding of the prices.
	return int((need + most - 1) / most)
}

// dive rounds the fractions: whole parts are cut, then the way with the
// greatest fraction, and the program is solved again for what is left. It
// returns nil where that does not come to the target.
func (m *master) dive(target int) [][]int {
	left := make([][]int, len(m.who))
	for i, w := range m.who {
		left[i] = slices.Clone(w)
	}
	var bins [][]int
	cut := func(way []int) bool {
		var bin []int
		room := m.capacity
		for i, k := range way {
			for ; k > 0 && len(left[i]) > 0 && m.size[i] <= room; k-- {
				last := len(left[i]) - 1
				bin, left[i] = append(bin, left[i][last]), left[i][:last]
				room -= m.size[i]
			}
		}
		if len(bin) == 0 {
			return false
		}
		// What the steps rounded away, or a kind that ran out, leaves room.
		for i := range left {
			for len(left[i]) > 0 && m.size[i] <= room {
				last := len(left[i]) - 1
				bin, left[i] = append(bin, left[i][last]), left[i][:last]
				room -= m.size[i]
			}
		}
		bins = append(bins, bin)
		return true
	}
	sub, kinds := m, indices(len(m.size))
	for {
		type part struct {
			way []int
			x   float64
		}
		var parts []part
		for r, b := range sub.basis {
			if b < 0 || sub.x[r] < 1e-6 {
				continue
			}
			way := make([]int, len(m.size))
			for _, q := range sub.ways[b] {
				way[kinds[q.kind]] = q.count
			}
			parts = append(parts, part{way, sub.x[r]})
		}
		stable.Sort(parts, func(a, b part) int {
			switch {
			case a.x > b.x:
				return -1
			case a.x < b.x:
				return 1
			}
			return 0
		})
		fixed := false
		for _, q := range parts {
			for k := int(q.x + 1e-5); k > 0; k-- {
				fixed = cut(q.way) || fixed
			}
		}
		if !fixed {
			for _, q := range parts {
				if fixed = cut(q.way); fixed {
					break
				}
			}
		}
		// What is left, longest first.
		was := kinds
		var size []int64
		var who []int
		kinds = kinds[:0:0]
		for i := range left {
			if len(left[i]) > 0 {
				kinds = append(kinds, i)
			}
			for _, p := range left[i] {
				size, who = append(size, m.size[i]), append(who, p)
			}
		}
		if len(size) == 0 {
			break
		}
		finish := func(rest [][]int) [][]int {
			for _, b := range rest {
				bin := make([]int, len(b))
				for i, k := range b {
					bin[i] = who[k]
				}
				bins = append(bins, bin)
			}
			return bins
		}
		for _, rest := range [][][]int{firstFit(size, m.capacity), fullFirst(size, m.capacity)} {
			if len(bins)+len(rest) <= target {
				return finish(rest)
			}
		}
		if len(bins)+halfBound(size, m.capacity) > target {
			return finish(fullFirst(size, m.capacity))
		}
		if len(size) <= 40 {
			c := completion{size: size, capacity: m.capacity, best: target - len(bins) + 1, target: target - len(bins), steps: 1000}
			if rest := c.run(); rest != nil {
				return finish(rest)
			}
		}
		if !fixed {
			return finish(fullFirst(size, m.capacity))
		}
		old, at := sub, make([]int, len(m.size)) // what was learned, as far as it is still wanted
		for i := range at {
			at[i] = -1
		}
		for i, k := range kinds {
			at[k] = i
		}
		sub = newMaster(size, m.capacity)
		for _, w := range old.ways {
			n := make([]int, len(sub.size))
			for _, q := range w {
				if i := at[was[q.kind]]; i >= 0 {
					n[i] = min(q.count, sub.demand[i])
				}
			}
			sub.add(n)
		}
		sub.solve()
	}
	return bins
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
