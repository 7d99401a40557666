package route

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"stubup/base/geom"
	"stubup/base/unit"
)

// choice is a bend or a fitting that may make one turn.
type choice struct {
	bend *bendOf
	b    *Bend
	fit  *Fitting
	cost float64
	on   uint64 // kinds of surface; 0: all
}

// hunt is one search: a net, what is offered on it, and the books.
type hunt struct {
	ask    *Ask
	n      *net
	books  *books
	ways   []way
	turns  [][]choice // by heading before and after
	angles []unit.Degree
	shut   uint64 // kinds of surface forbidden
	from   int32
	to     int32
	toward int32     // heading that the run must arrive with; -1 any
	ahead  int32     // heading that the run leaves with; -1 any
	bound  []float64 // least cost to the end, by node and heading

	// any asks only whether there is a run: cost then keeps no way alive that
	// another beats in all that the limits count.
	any  bool
	most int // labels at which the search stops with errMany; 0 for none
}

// errMany is a search that has outgrown what it was given.
var errMany = errors.New("many")

func (h *hunt) key(node, heading int32) int32 {
	return node*int32(len(h.n.headings)) + heading
}

// begin sets up a search under limits.
func begin(a *Ask, n *net, lim Limits) *hunt {
	h := &hunt{ask: a, n: n, books: open(lim, a.Drag), toward: -1, ahead: -1}
	h.from, _ = n.find(a.From.At)
	h.to, _ = n.find(a.To.At)
	if d := a.From.Heading; d != (geom.Point3{}) {
		h.ahead = n.heading(d)
	}
	if d := a.To.Heading; d != (geom.Point3{}) {
		h.toward = n.heading(d)
	}
	k := len(n.headings)
	h.ways = make([]way, k)
	for i, d := range n.headings {
		h.ways[i] = h.books.way(d)
	}
	mask := func(on []string) uint64 {
		if len(on) == 0 {
			return 0
		}
		m := uint64(1) << 63 // no surface has it: what is made for none here is offered nowhere
		for _, kind := range on {
			if i := slices.Index(n.kinds, kind); i >= 0 {
				m |= 1 << i
			}
		}
		return m
	}
	forbidden := func(kind, name string) bool {
		return slices.Contains(a.Forbid, kind) && kind != "" || slices.Contains(a.Forbid, name)
	}
	for i, kind := range n.kinds {
		if forbidden(kind, kind) {
			h.shut |= 1 << i
		}
	}
	longest := max(float64(a.From.Takes), float64(a.To.Takes), float64(a.From.CutBack))
	h.turns = make([][]choice, k*k)
	h.angles = make([]unit.Degree, k*k)
	for i, u := range n.headings {
		for j, v := range n.headings {
			angle := unit.Degree(0)
			if i != j {
				angle = between(u, v)
			}
			h.angles[i*k+j] = angle
			if angle > 179 {
				continue
			}
			var cs []choice
			if angle > 0 {
				for x := range a.Bends {
					b := &a.Bends[x]
					if !b.makes(angle) || !lim.takesBend(*b) || forbidden(b.Kind, b.Name) {
						continue
					}
					o := bendAt(b, angle, u, v)
					longest = max(longest, o.tangent)
					cs = append(cs, choice{bend: o, b: b, cost: b.Cost + b.PerDegree*float64(angle), on: mask(b.On)})
				}
			}
			for x := range a.Fittings {
				f := &a.Fittings[x]
				if !f.admits(angle) || !lim.takesFitting(*f) || forbidden(f.Kind, f.Name) {
					continue
				}
				longest = max(longest, float64(f.Takes))
				cs = append(cs, choice{fit: f, cost: f.Cost, on: mask(f.On)})
			}
			h.turns[i*k+j] = cs
		}
	}
	h.books.longest = longest
	return h
}

// between returns the turn from one direction to another, whole where it is
// within a hair of a whole degree.
func between(u, v geom.Point3) unit.Degree {
	a := math.Atan2(u.Cross(v).Norm(), u.Dot(v)) * 180 / math.Pi
	if r := math.Round(a); math.Abs(a-r) < 1e-6 {
		a = r
	}
	return unit.Degree(a)
}

// open reports whether a run may use an edge.
func (h *hunt) open(e *edge) bool {
	f := &h.n.faces[e.face]
	return h.shut&f.mask == 0 && !slices.Contains(h.ask.Forbid, f.name)
}

// backward fills the bound: the least cost from each mesh point and heading to
// the end, as if nothing were limited but the turns that are offered.
func (h *hunt) backward(ctx context.Context) error {
	n, k := h.n, len(h.n.headings)
	h.bound = make([]float64, len(n.at)*k)
	for i := range h.bound {
		h.bound[i] = math.Inf(1)
	}
	least := make([]float64, k*k)
	for i := range least {
		least[i] = math.Inf(1)
		if i/k == i%k {
			least[i] = 0
			continue
		}
		for _, c := range h.turns[i] {
			least[i] = min(least[i], c.cost)
		}
	}
	// in[n] are the edges into n: every edge has its twin.
	var q heap
	for d := range int32(k) {
		if h.toward < 0 || h.toward == d {
			s := h.key(h.to, d)
			h.bound[s] = 0
			q.push(item{0, 0, s})
		}
	}
	opposite := make([]int32, k)
	for i, d := range n.headings {
		opposite[i] = -1
		for j, e := range n.headings {
			if d.Add(e).Norm() < 1e-6 {
				opposite[i] = int32(j)
			}
		}
	}
	for count := 0; q.len() > 0; count++ {
		if count&4095 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		it := q.pop()
		if it.f > h.bound[it.id] {
			continue
		}
		node, d := it.id/int32(k), it.id%int32(k)
		// The step into this state came along an edge of heading d.
		for i := range n.out[node] {
			e := &n.out[node][i]
			if opposite[e.heading] != d || !h.open(e) {
				continue
			}
			for g := range int32(k) {
				c := it.f + e.cost + least[int(g)*k+int(d)]
				if s := h.key(e.to, g); c < h.bound[s] {
					h.bound[s] = c
					q.push(item{c, 0, s})
				}
			}
		}
	}
	return nil
}

// label is one way of coming to a mesh point with a heading.
type label struct {
	load
	cost float64
	prev int32 // label before it; -1 at the start
	edge int32 // index of the edge in the net's list of the node before
	pick int32 // choice made at the node before; -1 none
	key  int32 // node and heading
	dead bool
}

// mostLabels is where a search is given up rather than fill the machine.
const mostLabels = 12_000_000

// search returns the labels and the last one of the best run, -1 where there
// is none.
func (h *hunt) search(ctx context.Context) ([]label, int32, error) {
	n, b, k := h.n, h.books, int32(len(h.n.headings))
	labels := make([]label, 0, 1<<14)
	fronts := make([][]int32, len(n.at)*int(k))
	var q heap
	place := func(l label) error {
		bound := h.bound[l.key]
		if math.IsInf(bound, 1) {
			return nil
		}
		front := fronts[l.key]
		for _, i := range front {
			if o := &labels[i]; (h.any || o.cost <= l.cost+sameLoad) && b.asGood(&o.load, &l.load) {
				return nil
			}
		}
		kept := front[:0]
		for _, i := range front {
			if o := &labels[i]; (h.any || l.cost <= o.cost) && b.asGood(&l.load, &o.load) {
				o.dead = true
				continue
			}
			kept = append(kept, i)
		}
		if h.most > 0 && len(labels) >= h.most {
			return errMany
		}
		if len(labels) >= mostLabels {
			return &Fault{"search", "it has grown too large", "give a coarser pitch, fewer places for pull points, or split the run at a known pull point"}
		}
		id := int32(len(labels))
		labels = append(labels, l)
		fronts[l.key] = append(kept, id)
		q.push(item{roundCost(l.cost + bound), roundCost(bound), id})
		return nil
	}
	// step leaves a node along an edge with a load already turned into it.
	step := func(l load, cost float64, prev int32, node int32, i int, pick int) error {
		e := &n.out[node][i]
		w := h.ways[e.heading]
		l = b.run(l, e.length, w)
		if b.lost(l, w) {
			return nil
		}
		return place(label{load: l, cost: cost + e.cost, prev: prev, edge: int32(i), pick: int32(pick), key: h.key(e.to, e.heading)})
	}
	if h.ahead >= 0 {
		l := b.fed(float64(h.ask.From.Takes), h.ways[h.ahead])
		if len(h.ask.From.Laid) > 0 {
			l = h.ask.laid(b)
		}
		if err := place(label{load: l, prev: -1, pick: -1, key: h.key(h.from, h.ahead)}); err != nil {
			return nil, -1, err
		}
	} else {
		for i := range n.out[h.from] {
			e := &n.out[h.from][i]
			if !h.open(e) {
				continue
			}
			if err := step(b.fed(float64(h.ask.From.Takes), h.ways[e.heading]), 0, -1, h.from, i, -1); err != nil {
				return nil, -1, err
			}
		}
	}
	for count := 0; q.len() > 0; count++ {
		if count&1023 == 0 {
			if err := ctx.Err(); err != nil {
				return nil, -1, err
			}
		}
		it := q.pop()
		if labels[it.id].dead {
			continue
		}
		at := labels[it.id]
		node, d := at.key/k, at.key%k
		in := h.ways[d]
		if node == h.to && (h.toward < 0 || h.toward == d) && b.closes(at.load, float64(h.ask.To.Takes), in) {
			return labels, it.id, nil
		}
		came := uint64(0)
		if at.prev >= 0 || h.ahead < 0 {
			from := h.from
			if at.prev >= 0 {
				from = labels[at.prev].key / k
			}
			came = n.faces[n.out[from][at.edge].face].mask
		}
		for i := range n.out[node] {
			e := &n.out[node][i]
			if !h.open(e) {
				continue
			}
			if e.heading == d {
				if err := step(at.load, at.cost, it.id, node, i, -1); err != nil {
					return nil, -1, err
				}
			}
			t := int(d*k + e.heading)
			cs := h.turns[t]
			for c := range cs {
				o := &cs[c]
				if o.on != 0 && o.on&(came|n.faces[e.face].mask) == 0 {
					continue
				}
				var l load
				var ok bool
				if o.fit != nil {
					l, ok = b.fit(at.load, o.fit, h.angles[t], in, h.ways[e.heading])
				} else {
					l, ok = b.bend(at.load, o.bend, in, h.ways[e.heading])
				}
				if ok {
					if err := step(l, at.cost+o.cost, it.id, node, i, c); err != nil {
						return nil, -1, err
					}
				}
			}
		}
	}
	return nil, -1, nil
}

// roundCost takes the last digits off, so that sums in another order tie on
// every machine.
func roundCost(v float64) float64 { return math.Round(v*1e8) / 1e8 }

// item is an entry of a heap: least f first, then least g, then oldest.
type item struct {
	f, g float64
	id   int32
}

func (a item) before(b item) bool {
	if a.f != b.f {
		return a.f < b.f
	}
	if a.g != b.g {
		return a.g < b.g
	}
	return a.id < b.id
}

type heap struct{ v []item }

func (h *heap) len() int { return len(h.v) }

func (h *heap) push(x item) {
	h.v = append(h.v, x)
	i := len(h.v) - 1
	for i > 0 {
		p := (i - 1) / 2
		if !h.v[i].before(h.v[p]) {
			break
		}
		h.v[i], h.v[p] = h.v[p], h.v[i]
		i = p
	}
}

func (h *heap) pop() item {
	top := h.v[0]
	last := len(h.v) - 1
	h.v[0] = h.v[last]
	h.v = h.v[:last]
	for i := 0; ; {
		c := 2*i + 1
		if c >= last {
			break
		}
		if c+1 < last && h.v[c+1].before(h.v[c]) {
			c++
		}
		if !h.v[c].before(h.v[i]) {
			break
		}
		h.v[i], h.v[c] = h.v[c], h.v[i]
		i = c
	}
	return top
}

// apart says which parts of the space the two ends can reach, where they do not
// meet.
func (h *hunt) apart() string {
	reach := func(from int32) ([]bool, []string) {
		seen := make([]bool, len(h.n.at))
		seen[from] = true
		todo := []int32{from}
		used := make([]bool, len(h.n.faces))
		for len(todo) > 0 {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for j := range h.n.out[i] {
				e := &h.n.out[i][j]
				if !h.open(e) {
					continue
				}
				used[e.face] = true
				if !seen[e.to] {
					seen[e.to] = true
					todo = append(todo, e.to)
				}
			}
		}
		var names []string
		for i, u := range used {
			if u {
				names = append(names, fmt.Sprintf("%q", h.n.faces[i].name))
			}
		}
		return seen, names
	}
	a, an := reach(h.from)
	if a[h.to] {
		return ""
	}
	b, bn := reach(h.to)
	best, p, q := math.Inf(1), int32(0), int32(0)
	for i := range h.n.at {
		if !a[i] {
			continue
		}
		for j := range h.n.at {
			if b[j] {
				if d := h.n.at[i].Dist(h.n.at[j]); d < best-1e-9 {
					best, p, q = d, int32(i), int32(j)
				}
			}
		}
	}
	list := func(s []string) string {
		if len(s) == 0 {
			return "nothing"
		}
		out := s[0]
		for _, x := range s[1:] {
			out += ", " + x
		}
		return out
	}
	return fmt.Sprintf("no surface joins %s to %s: from %s one comes to %s, from %s to %s; they are nearest %s apart, at %s and %s",
		h.ask.From.name("the start"), h.ask.To.name("the end"), h.ask.From.name("the start"), list(an), h.ask.To.name("the end"), list(bn),
		unit.US.Length(unit.Metre(best)), place3(h.n.at[p]), place3(h.n.at[q]))
}
