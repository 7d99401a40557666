package ground

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/trade/soil"
)

// Figure is one cost figure that may be absent.
type Figure struct {
	Value float64
	Known bool
}

// Known returns a figure that is there.
func Known(v float64) Figure { return Figure{v, true} }

// Cost is what an addition takes: feet of conductor and rod, joints to make,
// hours of work and money. Figures that nobody has given are absent, not zero.
type Cost struct {
	Feet, Joints, Hours, Money Figure
}

// By names a figure of a cost.
type By int

// Figures of a cost.
const (
	ByFeet By = iota
	ByJoints
	ByHours
	ByMoney
)

var byNames = [...]string{"foot", "joint", "hour", "money"}

// String returns the unit that a drop in ohms is divided by.
func (b By) String() string {
	if b < 0 || int(b) >= len(byNames) {
		return "nothing"
	}
	return byNames[b]
}

// Of returns the figure of a cost.
func (b By) Of(c Cost) Figure {
	switch b {
	case ByFeet:
		return c.Feet
	case ByJoints:
		return c.Joints
	case ByHours:
		return c.Hours
	case ByMoney:
		return c.Money
	}
	return Figure{}
}

func (c Cost) plus(d Cost) Cost {
	add := func(x, y Figure) Figure { return Figure{x.Value + y.Value, x.Known && y.Known} }
	return Cost{add(c.Feet, d.Feet), add(c.Joints, d.Joints), add(c.Hours, d.Hours), add(c.Money, d.Money)}
}

// Candidate is metal that could be bonded to an electrode: longer rods, rods
// in new places, radials. Its wires may run along those of the base or of
// other candidates of the same radius; metal that several share is there once.
// A longer rod is given whole or as what is added.
type Candidate struct {
	ID    string
	Wires []Wire
	Cost  Cost
}

// Fixes is the interaction of an electrode and all candidates, computed once,
// with the electrode itself eliminated: what is left is one row for every
// element of the candidates. It is safe for concurrent use.
type Fixes struct {
	candidates []Candidate
	base       float64 // conductance of the electrode alone, siemens
	g          [][]float64
	r          []float64
	parts      []part
	elements   int
	singles    []Single
}

// part is a run of elements that come and go together: those of one
// candidate, or those that the same candidates share.
type part struct {
	lo, hi int
	in     set // candidates that have it
}

// set is a set of candidates, by place.
type set []uint64

func newSet(n int) set          { return make(set, (n+63)/64) }
func (s set) has(i int) bool    { return s[i/64]>>(i%64)&1 == 1 }
func (s set) with(i int) set    { t := slices.Clone(s); t[i/64] |= 1 << (i % 64); return t }
func (s set) without(i int) set { t := slices.Clone(s); t[i/64] &^= 1 << (i % 64); return t }
func (s set) meets(t set) bool {
	return slices.ContainsFunc(s.and(t), func(x uint64) bool { return x != 0 })
}

func (s set) inside(t set) bool {
	for i := range s {
		if s[i]&^t[i] != 0 {
			return false
		}
	}
	return true
}

func (s set) and(t set) (out set) { // the common part
	for i := range s {
		out = append(out, s[i]&t[i])
	}
	return out
}

// Candidates returns the interaction of a base electrode and candidate
// additions to it.
//
// With A = L L' the matrix of all elements, base first, the conductance of the
// base is |y|^2 with L y = 1, and a set of candidates adds r' G^-1 r, G being
// the part of A that is left when the base is eliminated and r that of the
// right side; so a set costs only the rows of its own elements. More metal
// never lowers the conductance, exactly, whatever the mesh.
func Candidates(ctx context.Context, m soil.Model, base []Wire, cs []Candidate, o Options) (*Fixes, error) {
	m, o, err := check(m, o)
	if err != nil {
		return nil, err
	}
	es := []Electrode{{"the electrode", base}}
	for _, c := range cs {
		es = append(es, Electrode{c.ID, c.Wires})
		for b := ByFeet; b <= ByMoney; b++ {
			if f := b.Of(c.Cost); f.Known && !(f.Value >= 0 && f.Value <= 1e12) {
				return nil, &Error{BadCost, c.ID, -1, fmt.Sprintf("its cost per %s is %g", b, f.Value), "give zero or more, or leave it out"}
			}
		}
	}
	ps, err := pieces(es, o.MaxElements)
	if err != nil {
		return nil, err
	}
	ps, tags, err := overlay(ps, es)
	if err != nil {
		return nil, err
	}
	els, err := mesh(ps, m, o, []Electrode{{ID: "the electrode with its candidates"}})
	if err != nil {
		return nil, err
	}
	stable.Sort(els, func(a, b element) int { return cmp.Compare(a.tag, b.tag) })
	k, err := newKernel(ctx, m)
	if err != nil {
		return nil, err
	}
	a, err := newFiller(k, els).matrix(ctx, els)
	if err != nil {
		return nil, err
	}
	nb := 0
	for nb < len(els) && els[nb].tag == 0 {
		nb++
	}
	f := &Fixes{candidates: slices.Clone(cs), elements: len(els)}
	l := a[:nb]
	if err := l.factor(ctx); err != nil {
		return nil, err
	}
	y := make([]float64, nb)
	for i := range y {
		y[i] = 1
	}
	l.forward(y)
	f.base = dot(y, y)
	rest := a[nb:]
	if err := inParallel(ctx, len(rest), 4, func(i int) { l.forward(rest[i][:nb]) }); err != nil {
		return nil, err
	}
	f.g, f.r = make([][]float64, len(rest)), make([]float64, len(rest))
	if err := inParallel(ctx, len(rest), 4, func(i int) {
		w := rest[i][:nb]
		f.r[i] = 1 - dot(w, y)
		f.g[i] = make([]float64, i+1)
		for j := range f.g[i] {
			f.g[i][j] = rest[i][nb+j] - dot(w, rest[j][:nb])
		}
	}); err != nil {
		return nil, err
	}
	for lo := 0; lo < len(rest); {
		hi, tag := lo, els[nb+lo].tag
		for hi < len(rest) && els[nb+hi].tag == tag {
			hi++
		}
		f.parts = append(f.parts, part{lo, hi, tags[tag]})
		lo = hi
	}
	if !(f.base > 0) || math.IsInf(f.base, 0) {
		return nil, errNotPositive()
	}
	st := f.stack()
	for i, c := range cs {
		if err := st.push(newSet(len(cs)).with(i)); err != nil {
			return nil, err
		}
		f.singles = append(f.singles, Single{ID: c.ID, Resistance: unit.Ohm(1 / st.c), Drop: unit.Ohm(1/f.base - 1/st.c), Cost: c.Cost})
		st.pop()
	}
	return f, nil
}

// overlay cuts pieces that run along each other so that each stretch of metal
// is there once, and tags it by the candidates that have it: 0 for the base,
// else the place of the set in the list returned.
func overlay(ps []piece, es []Electrode) ([]piece, []set, error) {
	n := len(es) - 1
	tags := []set{newSet(n)}
	number := map[string]int{}
	tagOf := func(in set) int {
		k := fmt.Sprint(in)
		if number[k] == 0 {
			number[k] = len(tags)
			tags = append(tags, in)
		}
		return number[k]
	}
	var out []piece
	done := make([]bool, len(ps))
	for i, p := range ps {
		if done[i] {
			continue
		}
		// All that lie on p's line and reach each other along it.
		group := []int{i}
		done[i] = true
		for g := 0; g < len(group); g++ {
			a := ps[group[g]]
			for j, q := range ps {
				if !done[j] && near(a, q, a.r+q.r) && sameLine(a, q) {
					done[j] = true
					group = append(group, j)
				}
			}
		}
		if len(group) == 1 {
			q := p
			if q.electrode > 0 {
				q.tag = tagOf(newSet(n).with(q.electrode - 1))
			}
			q.electrode = 0
			out = append(out, q)
			continue
		}
		u := p.b.sub(p.a)
		u = u.scale(1 / u.norm())
		along := func(v vec) float64 { return v.sub(p.a).dot(u) }
		type cut struct {
			s float64
			v vec
		}
		var cuts []cut
		for _, g := range group {
			for _, v := range [2]vec{ps[g].a, ps[g].b} {
				cuts = append(cuts, cut{along(v), v})
			}
		}
		stable.Sort(cuts, func(a, b cut) int { return cmp.Compare(a.s, b.s) })
		// Ends closer than the shortest element are one.
		kept := cuts[:1]
		for _, c := range cuts[1:] {
			if c.s-kept[len(kept)-1].s >= slender*p.r {
				kept = append(kept, c)
			}
		}
		cuts = kept
		for c := 1; c < len(cuts); c++ {
			mid := (cuts[c-1].s + cuts[c].s) / 2
			in := newSet(n)
			owner := -1
			base := false
			for _, g := range group {
				q := ps[g]
				s0, s1 := along(q.a), along(q.b)
				if mid < math.Min(s0, s1) || mid > math.Max(s0, s1) {
					continue
				}
				if q.electrode == 0 && base || q.electrode > 0 && in.has(q.electrode-1) {
					e := es[q.electrode]
					return nil, nil, &Error{Coincident, e.ID, q.wire, "lies in another of its own wires", "leave out one of the two"}
				}
				if q.electrode == 0 {
					base = true
				} else {
					in = in.with(q.electrode - 1)
				}
				if owner < 0 {
					owner = g
				}
			}
			if owner < 0 {
				continue
			}
			q := ps[owner]
			q.a, q.b, q.electrode, q.tag = cuts[c-1].v, cuts[c].v, 0, 0
			if !base {
				q.tag = tagOf(in)
			}
			out = append(out, q)
		}
	}
	// What lies in each other without being the same metal has no answer.
	for i, p := range ps {
		for _, q := range ps[i+1:] {
			if p.electrode != q.electrode && near(p, q, p.r+q.r) && !sameLine(p, q) {
				if coincident(p, q) {
					return nil, nil, clash(p, q, es)
				}
			}
		}
	}
	return out, tags, nil
}

// sameLine reports whether two pieces are of the same round and lie on one
// line.
func sameLine(p, q piece) bool {
	if p.r != q.r || p.series != q.series {
		return false
	}
	u, v := p.b.sub(p.a), q.b.sub(q.a)
	lu, lv := u.norm(), v.norm()
	off := func(x vec) float64 {
		d := x.sub(p.a)
		return d.sub(u.scale(d.dot(u) / (lu * lu))).norm()
	}
	return math.Abs(u.dot(v)) > (1-1e-9)*lu*lv && off(q.a) < 1e-6 && off(q.b) < 1e-6
}

// Base returns the resistance of the electrode without any candidate.
func (f *Fixes) Base() unit.Ohm { return unit.Ohm(1 / f.base) }

// Elements returns the number of elements of the electrode and all candidates.
func (f *Fixes) Elements() int { return f.elements }

// Resistance returns that of the electrode with some candidates, by their
// places.
func (f *Fixes) Resistance(which ...int) (unit.Ohm, error) {
	s := newSet(len(f.candidates))
	for _, i := range which {
		if i < 0 || i >= len(f.candidates) {
			return 0, whole(BadOption, fmt.Sprintf("there is no candidate %d", i+1), "count from 0, in the order given")
		}
		s = s.with(i)
	}
	st := f.stack()
	if err := st.push(s); err != nil {
		return 0, err
	}
	return unit.Ohm(1 / st.c), nil
}

// Single is one candidate by itself.
type Single struct {
	ID         string
	Resistance unit.Ohm // of the electrode with it alone
	Drop       unit.Ohm // how much lower that is
	Cost       Cost
}

// Per returns the drop in ohms for each unit of a figure; absent where that
// is absent or zero.
func (s Single) Per(b By) Figure {
	c := b.Of(s.Cost)
	if !c.Known || c.Value == 0 {
		return Figure{}
	}
	return Known(float64(s.Drop) / c.Value)
}

// Singles returns every candidate by itself, in the order given.
func (f *Fixes) Singles() []Single { return slices.Clone(f.singles) }

// Rank returns the candidates, the largest drop for each unit of a figure
// first, and the figure used: where a price or a duration is absent for any of
// them they are ranked by feet, and where feet are absent too, by joints.
// What costs nothing comes first. It is false where none of them is known for
// all. A ranking of single fixes is no plan: two that are good alone may take
// the same current.
func (f *Fixes) Rank(b By) ([]Single, By, bool) {
	for _, try := range []By{b, ByFeet, ByJoints} {
		if f.missing(try) >= 0 {
			continue
		}
		out := f.Singles()
		worth := func(s Single) float64 {
			if p := s.Per(try); p.Known {
				return p.Value
			}
			return math.Inf(1)
		}
		stable.Sort(out, func(x, y Single) int {
			return cmp.Or(cmp.Compare(worth(y), worth(x)), cmp.Compare(y.Drop, x.Drop))
		})
		return out, try, true
	}
	return nil, b, false
}

// missing returns the first candidate without the figure, -1 for none.
func (f *Fixes) missing(b By) int {
	return slices.IndexFunc(f.candidates, func(c Candidate) bool { return !b.Of(c.Cost).Known })
}

// Choice is a set of candidates.
type Choice struct {
	Places     []int // of the candidates, rising
	IDs        []string
	Resistance unit.Ohm
	Cost       Cost
	Optimal    bool // no cheaper set reaches the target
	Looked     int  // sets that were solved
}

func (f *Fixes) choice(s set, c float64) Choice {
	out := Choice{Resistance: unit.Ohm(1 / c), Cost: Cost{Known(0), Known(0), Known(0), Known(0)}}
	for i, x := range f.candidates {
		if s.has(i) {
			out.Places = append(out.Places, i)
			out.IDs = append(out.IDs, x.ID)
			out.Cost = out.Cost.plus(x.Cost)
		}
	}
	return out
}

// asked checks a target and a figure and returns the conductance wanted and
// the costs.
func (f *Fixes) asked(target unit.Ohm, b By) (float64, []float64, error) {
	if !(target > 0) || math.IsInf(float64(target), 0) {
		return 0, nil, whole(BadOption, fmt.Sprintf("a target of %g ohm is not usable", float64(target)), "give a resistance above zero")
	}
	if b < ByFeet || b > ByMoney {
		return 0, nil, whole(BadOption, "no such figure of cost", "ask by feet, joints, hours or money")
	}
	if i := f.missing(b); i >= 0 {
		return 0, nil, &Error{BadCost, f.candidates[i].ID, -1, "its cost per " + b.String() + " is absent", "give it for every candidate, or ask by feet or joints"}
	}
	costs := make([]float64, len(f.candidates))
	for i, c := range f.candidates {
		costs[i] = b.Of(c.Cost).Value
	}
	return 1 / float64(target), costs, nil
}

func (f *Fixes) outOfReach(target unit.Ohm, c float64) error {
	var ids []string
	for _, x := range f.candidates {
		ids = append(ids, x.ID)
	}
	return whole(OutOfReach, fmt.Sprintf("all candidates together (%s) give %.3g ohm, not %.3g", strings.Join(ids, ", "), 1/c, float64(target)), "offer more or larger candidates, or treat the target as not reachable here")
}

// Greedy returns a cheap set that reaches a target: the candidate with the
// largest gain in conductance, up to the one wanted, for its cost is added
// until the target is reached; then each, the dearest first, is left out again
// where the rest still reaches it. It need not be the cheapest.
func (f *Fixes) Greedy(ctx context.Context, target unit.Ohm, b By) (Choice, error) {
	want, costs, err := f.asked(target, b)
	if err != nil {
		return Choice{}, err
	}
	n := len(costs)
	st := f.stack()
	s := newSet(n)
	looked := 0
	try := func(t set) (float64, error) {
		looked++
		if err := st.push(t); err != nil {
			return 0, err
		}
		c := st.c
		st.pop()
		return c, nil
	}
	c := f.base
	for c < want {
		if err := ctx.Err(); err != nil {
			return Choice{}, err
		}
		best, bestWorth, bestC := -1, 0.0, 0.0
		for i, cost := range costs {
			if s.has(i) {
				continue
			}
			ci, err := try(s.with(i))
			if err != nil {
				return Choice{}, err
			}
			worth := math.Inf(1)
			if cost > 0 {
				worth = (math.Min(ci, want) - c) / cost
			}
			if best < 0 || worth > bestWorth || worth == bestWorth && ci > bestC {
				best, bestWorth, bestC = i, worth, ci
			}
		}
		if best < 0 {
			return Choice{}, f.outOfReach(target, c)
		}
		s, c = s.with(best), bestC
		if err := st.push(s); err != nil { // what is chosen stays on the stack
			return Choice{}, err
		}
	}
	st = f.stack()
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	stable.Sort(order, func(i, j int) int { return cmp.Compare(costs[j], costs[i]) })
	for _, i := range order {
		if !s.has(i) || costs[i] == 0 {
			continue
		}
		ci, err := try(s.without(i))
		if err != nil {
			return Choice{}, err
		}
		if ci >= want {
			s, c = s.without(i), ci
		}
	}
	out := f.choice(s, c)
	out.Looked = looked
	return out, nil
}

// MaxExact is the most candidates that Exact takes.
const MaxExact = 16

// Exact returns a cheapest set that reaches a target; the first met where
// several cost the same. It goes depth first from the dearest candidate; a
// branch is left where its cost is not below the best, or where the target is
// not reached even with every candidate that is still open, since more metal
// never raises the resistance. At most MaxExact candidates.
func (f *Fixes) Exact(ctx context.Context, target unit.Ohm, b By) (Choice, error) {
	want, costs, err := f.asked(target, b)
	if err != nil {
		return Choice{}, err
	}
	n := len(costs)
	if n > MaxExact {
		return Choice{}, whole(BadOption, fmt.Sprintf("%d candidates are too many to prove a cheapest set", n), fmt.Sprintf("leave out all but %d, or take the greedy set", MaxExact))
	}
	best, err := f.Greedy(ctx, target, b)
	if err != nil {
		return Choice{}, err
	}
	bestCost := b.Of(best.Cost).Value
	bestSet := newSet(n)
	for _, i := range best.Places {
		bestSet = bestSet.with(i)
	}
	bestC := 1 / float64(best.Resistance)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	stable.Sort(order, func(i, j int) int { return cmp.Compare(costs[j], costs[i]) })
	// What is known of metal: what reaches the target, and what does not. More
	// reaches where less does, and a rod that is part of a longer one adds
	// nothing to it.
	metal := make([]set, n)
	for i := range metal {
		metal[i] = newSet(len(f.parts))
		for p, x := range f.parts {
			if x.in.has(i) {
				metal[i] = metal[i].with(p)
			}
		}
	}
	metalOf := func(s set) set {
		all := newSet(len(f.parts))
		for i := range metal {
			if s.has(i) {
				for w := range all {
					all[w] |= metal[i][w]
				}
			}
		}
		return all
	}
	var reach, miss []set
	looked := best.Looked
	st := f.stack()
	reaches := func(s set) (bool, error) {
		m := metalOf(s)
		for _, r := range reach {
			if r.inside(m) {
				return true, nil
			}
		}
		for _, r := range miss {
			if m.inside(r) {
				return false, nil
			}
		}
		looked++
		if err := st.turnTo(s, order); err != nil {
			return false, err
		}
		if st.c >= want {
			reach = append(reach, m)
			return true, nil
		}
		miss = append(miss, m)
		return false, nil
	}
	var down func(k int, s, open set, cost float64) error
	down = func(k int, s, open set, cost float64) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		if cost >= bestCost {
			return nil
		}
		if ok, err := reaches(s); err != nil {
			return err
		} else if ok {
			if err := st.turnTo(s, order); err != nil {
				return err
			}
			bestSet, bestCost, bestC = s, cost, st.c
			return nil
		}
		if k == n {
			return nil
		}
		i := order[k]
		rest := open.without(i)
		if ok, err := reaches(rest); err != nil {
			return err
		} else if ok {
			if err := down(k+1, s, rest, cost); err != nil {
				return err
			}
		}
		if metal[i].inside(metalOf(s)) {
			return nil
		}
		return down(k+1, s.with(i), open, cost+costs[i])
	}
	all := newSet(n)
	for i := range n {
		all = all.with(i)
	}
	if err := down(0, newSet(n), all, 0); err != nil {
		return Choice{}, err
	}
	out := f.choice(bestSet, bestC)
	out.Optimal, out.Looked = true, looked
	return out, nil
}

// stack is a factor of G for the parts that are on it, and the conductance
// with them. Parts are pushed and popped as candidates come and go.
type stack struct {
	f     *Fixes
	c     float64
	at    []int // elements on it
	rows  [][]float64
	y     []float64
	on    []bool // parts
	marks []state
	turns []int // candidates of turnTo, one mark each
}

// state is what a push changed.
type state struct {
	n     int
	c     float64
	parts []int
}

func (f *Fixes) stack() *stack {
	return &stack{f: f, c: f.base, on: make([]bool, len(f.parts))}
}

// push adds what a set has and the stack has not.
func (s *stack) push(in set) error {
	m := state{len(s.at), s.c, nil}
	s.marks = append(s.marks, m)
	top := &s.marks[len(s.marks)-1]
	for p, x := range s.f.parts {
		if s.on[p] || !x.in.meets(in) {
			continue
		}
		s.on[p] = true
		top.parts = append(top.parts, p)
		for e := x.lo; e < x.hi; e += tile {
			if err := s.add(e, min(e+tile, x.hi)); err != nil {
				return err
			}
		}
	}
	return nil
}

// add borders the factor with the rows of some elements, three at once where
// there are three.
func (s *stack) add(lo, hi int) error {
	n := len(s.at)
	for e := lo; e < hi; e++ {
		k := len(s.at)
		if k == len(s.rows) {
			s.rows = append(s.rows, make([]float64, k+1))
			s.y = append(s.y, 0)
		}
		s.at = append(s.at, e)
		row, ge := s.rows[k], s.f.g[e]
		for j, x := range s.at {
			if x <= e {
				row[j] = ge[x]
			} else {
				row[j] = s.f.g[x][e]
			}
		}
	}
	rows := cholesky(s.rows)
	if hi-lo == tile {
		rows.against3(rows[n], rows[n+1], rows[n+2], 0, n)
	} else {
		for i := n; i < len(s.at); i++ {
			rows.against(rows[i], 0, n)
		}
	}
	for i := n; i < len(s.at); i++ {
		row := rows[i]
		for j := n; j < i; j++ {
			row[j] = (row[j] - dot(row[:j], rows[j][:j])) / rows[j][j]
		}
		d := row[i] - dot(row[:i], row[:i])
		if !(d > 0) || math.IsInf(d, 0) {
			return errNotPositive()
		}
		row[i] = math.Sqrt(d)
		s.y[i] = (s.f.r[s.at[i]] - dot(row[:i], s.y[:i])) / row[i]
		s.c += float64(s.y[i] * s.y[i])
	}
	return nil
}

// pop undoes the last push.
func (s *stack) pop() {
	m := s.marks[len(s.marks)-1]
	s.marks = s.marks[:len(s.marks)-1]
	s.at, s.c = s.at[:m.n], m.c
	for _, p := range m.parts {
		s.on[p] = false
	}
}

// turnTo brings a set on, one candidate after the other in an order, and
// keeps what already lies in its place.
func (s *stack) turnTo(in set, order []int) error {
	k := 0
	for _, i := range order {
		if !in.has(i) {
			continue
		}
		if k < len(s.turns) && s.turns[k] == i {
			k++
			continue
		}
		for len(s.turns) > k {
			s.turns = s.turns[:len(s.turns)-1]
			s.pop()
		}
		if err := s.push(newSet(len(s.f.candidates)).with(i)); err != nil {
			return err
		}
		s.turns = append(s.turns, i)
		k++
	}
	for len(s.turns) > k {
		s.turns = s.turns[:len(s.turns)-1]
		s.pop()
	}
	return nil
}
