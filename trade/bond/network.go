// Package bond predicts what a milliohmmeter reads between two points of bonded
// ground conductors, and what a fault current does to them.
//
// Copper is ohms in a thousand, soil is ohms: between two points of a ring the
// reading is that of the metal alone, so the geometry as laid gives the
// expected figure of any pair, and a cut wire or a dead joint shows where a
// resistance to earth would not move. It must be read before the upper ends are
// bonded together, since every further path lowers it.
//
// It gives quantities and citations, not permission: local code, the authority
// having jurisdiction and a licensed person decide. Never open or join a ground
// before the current in it and the voltage across the gap are metered.
package bond

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// Cautions are shown wherever a pair is to be read or a conductor to be opened.
var Cautions = []string{
	"Meter the current in the conductor and the voltage across the gap before opening or joining any ground; stop if either is there.",
	"Jumper first, then open. Lifting a live service ground can kill.",
	"Read pairs before the upper ends and the tower ties are bonded.",
}

// kirchhoff is the source of the whole network.
var kirchhoff = cite.Ref{Work: "circuit theory", Place: "Ohm's and Kirchhoff's laws, nodal analysis", Seen: cite.Derived}

// Edge is one piece of metal between two named points: a stretch of conductor
// or a joint. A joint of 0 ohm is ideal; it can still be the one that is dead.
type Edge struct {
	ID       string
	From, To string
	Ohm      unit.Ohm
	// Most is the resistance where all that is uncertain about the piece goes
	// against it (the tin); 0 is Ohm itself.
	Most unit.Ohm
}

// Wire returns the edge of a bare conductor of a length at a temperature,
//
//	R = r(t) L
//
// r resistance by length in ohm/m, L length in m. Most is with the largest
// share that tin may add. Source: see conductor.Bare.OhmPerMetre and TinShare.
func Wire(id, from, to string, b conductor.Bare, l unit.Metre, t unit.Celsius) Edge {
	r, _ := b.OhmPerMetre(t)
	low, high, _ := b.TinShare()
	return Edge{id, from, to, unit.Ohm(r * low * float64(l)), unit.Ohm(r * high * float64(l))}
}

// Joint returns the edge of a joint of a stated resistance; 0 is ideal.
func Joint(id, from, to string, r unit.Ohm) Edge { return Edge{id, from, to, r, r} }

// Station is a named point of a conductor, at a distance along it.
type Station struct {
	Name string
	At   unit.Metre
}

// Run returns the edges of one conductor between the stations along it, in
// their order along it. With round > 0 it is a ring of that length: the last
// station joins the first through what is left. Edges are named
// "<id> <from>-<to>".
func Run(id string, at []Station, round unit.Metre, b conductor.Bare, t unit.Celsius) ([]Edge, error) {
	s := slices.Clone(at)
	stable.Sort(s, func(a, b Station) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	if len(s) < 2 {
		return nil, &Error{TooFew, id, "fewer than two stations", "name at least two points of the conductor"}
	}
	if !finite(float64(round)) || round < 0 || !finite(float64(s[0].At)) || !finite(float64(s[len(s)-1].At)) {
		return nil, &Error{BadOhm, id, "a length is not a number", "give the stations and the length in m"}
	}
	if round > 0 && s[len(s)-1].At-s[0].At > round {
		return nil, &Error{BadOhm, id, "the stations span more than the ring is long", "measure stations once round from one point"}
	}
	var es []Edge
	add := func(a, b2 Station, l unit.Metre) {
		if a.Name != b2.Name {
			es = append(es, Wire(fmt.Sprintf("%s %s-%s", id, a.Name, b2.Name), a.Name, b2.Name, b, l, t))
		}
	}
	for i := 1; i < len(s); i++ {
		add(s[i-1], s[i], s[i].At-s[i-1].At)
	}
	if last := s[len(s)-1]; round > 0 {
		add(last, s[0], round-(last.At-s[0].At))
	}
	return es, nil
}

// Fault says what is wrong with a network or a question about it.
type Fault int

// Faults.
const (
	NoEdges     Fault = iota
	BadID             // empty or twice
	BadOhm            // negative, infinite or not a number
	UnknownNode       // no piece of metal ends there
	UnknownEdge
	TooFew // stations or readings
	BadNoise
	TooManyNodes
)

// Error is an input that cannot be used.
type Error struct {
	Fault Fault
	ID    string
	What  string
	Mend  string
}

func (e *Error) Error() string { return fmt.Sprintf("%q: %s: %s", e.ID, e.What, e.Mend) }

// MaxNodes is the largest network that is taken: the solution is dense.
const MaxNodes = 2000

// Network is a set of joined pieces, solved. It does not change and is safe for
// concurrent use.
type Network struct {
	edges []Edge
	at    map[string]int // node name to index
	names []string       // in the order of first mention

	nominal, most *solved
}

// New returns the network of the edges. Points of the same name are one point.
func New(edges []Edge) (*Network, error) {
	if len(edges) == 0 {
		return nil, &Error{NoEdges, "", "no pieces of metal", "give at least one"}
	}
	n := &Network{edges: slices.Clone(edges), at: map[string]int{}}
	seen := map[string]bool{}
	for i, e := range n.edges {
		if e.ID == "" || seen[e.ID] {
			return nil, &Error{BadID, e.ID, "a piece without a name, or a name twice", "name every piece once"}
		}
		seen[e.ID] = true
		if e.From == "" || e.To == "" {
			return nil, &Error{BadID, e.ID, "an end without a name", "name both ends"}
		}
		if e.Most == 0 {
			n.edges[i].Most = e.Ohm
		}
		for _, r := range []unit.Ohm{e.Ohm, n.edges[i].Most} {
			// A resistance under a picoohm is a joint taken as ideal, or a slip.
			if !finite(float64(r)) || r < 0 || (r > 0 && r < 1e-12) || r > 1e9 {
				return nil, &Error{BadOhm, e.ID, fmt.Sprintf("a resistance of %g ohm", float64(r)), "give 0 for an ideal joint, or ohms"}
			}
		}
		if n.edges[i].Most < e.Ohm {
			return nil, &Error{BadOhm, e.ID, "the most is under the resistance", "leave Most out or give it larger"}
		}
		for _, v := range []string{e.From, e.To} {
			if _, ok := n.at[v]; !ok {
				n.at[v] = len(n.names)
				n.names = append(n.names, v)
			}
		}
	}
	if len(n.names) > MaxNodes {
		return nil, &Error{TooManyNodes, "", fmt.Sprintf("%d points", len(n.names)), fmt.Sprintf("at most %d", MaxNodes)}
	}
	n.nominal = n.solve(func(e Edge) float64 { return float64(e.Ohm) })
	n.most = n.nominal
	if slices.ContainsFunc(n.edges, func(e Edge) bool { return e.Most != e.Ohm }) {
		n.most = n.solve(func(e Edge) float64 { return float64(e.Most) })
	}
	return n, nil
}

// Nodes lists the points, in the order of first mention.
func (n *Network) Nodes() []string { return slices.Clone(n.names) }

// Edges lists the pieces, in the order given.
func (n *Network) Edges() []Edge { return slices.Clone(n.edges) }

// Between returns the resistance of the metal between two points: nodal
// analysis,
//
//	G v = e(a) - e(b),  R(a, b) = v(a) - v(b)
//
// G conductances between the points in siemens, v potentials in volts for one
// ampere. Joints are as stated, the soil is left out: its ohms stand beside
// thousandths. It is +Inf where no metal joins the two; a meter then reads
// through the soil, in ohms. Source: circuit theory.
func (n *Network) Between(a, b string) (unit.Ohm, error) {
	i, j, err := n.pair(a, b)
	if err != nil {
		return 0, err
	}
	return unit.Ohm(n.nominal.between(i, j)), nil
}

// Range returns Between for every piece at its Ohm and for every piece at its
// Most: what tin and the like leave open. No resistance in between gives a
// value outside, since no path gets worse where a piece gets better.
func (n *Network) Range(a, b string) (low, high unit.Ohm, err error) {
	i, j, err := n.pair(a, b)
	if err != nil {
		return 0, 0, err
	}
	return unit.Ohm(n.nominal.between(i, j)), unit.Ohm(n.most.between(i, j)), nil
}

func (n *Network) pair(a, b string) (i, j int, err error) {
	for k, name := range []string{a, b} {
		v, ok := n.at[name]
		if !ok {
			return 0, 0, &Error{UnknownNode, name, "no such point", "one of " + some(n.names)}
		}
		if k == 0 {
			i = v
		} else {
			j = v
		}
	}
	return i, j, nil
}

// WithBreak returns the network without one piece: the wire cut, or the joint
// dead. Its points stay, even where nothing else reaches them.
func (n *Network) WithBreak(edge string) (*Network, error) {
	k := slices.IndexFunc(n.edges, func(e Edge) bool { return e.ID == edge })
	if k < 0 {
		return nil, &Error{UnknownEdge, edge, "no such piece", "one of the pieces given"}
	}
	m := &Network{edges: slices.Delete(slices.Clone(n.edges), k, k+1), at: n.at, names: n.names}
	m.nominal = m.solve(func(e Edge) float64 { return float64(e.Ohm) })
	m.most = m.solve(func(e Edge) float64 { return float64(e.Most) })
	return m, nil
}

// BetweenWithout returns Between of the network without one piece, by a change
// of rank one where that is possible.
func (n *Network) BetweenWithout(edge, a, b string) (unit.Ohm, error) {
	k := slices.IndexFunc(n.edges, func(e Edge) bool { return e.ID == edge })
	if k < 0 {
		return 0, &Error{UnknownEdge, edge, "no such piece", "one of the pieces given"}
	}
	i, j, err := n.pair(a, b)
	if err != nil {
		return 0, err
	}
	return unit.Ohm(n.without(k).between(i, j)), nil
}

// Parts returns the points in groups that metal joins, each in the order of
// first mention: one group where everything is bonded.
func (n *Network) Parts() [][]string {
	var out [][]string
	at := map[int]int{}
	for i, name := range n.names {
		p := n.nominal.part[n.nominal.row[i]]
		k, ok := at[p]
		if !ok {
			k = len(out)
			at[p] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], name)
	}
	return out
}

// solved is the inverse of the reduced conductance matrix of every part, in
// one square: rows are points with ideal joints closed up, the first point of
// each part is its reference and has zeros.
type solved struct {
	row  []int // node to row
	part []int // row to part
	size int
	z    []float64
}

func (s *solved) between(i, j int) float64 {
	a, b := s.row[i], s.row[j]
	if a == b {
		return 0
	}
	if s.part[a] != s.part[b] {
		return math.Inf(1)
	}
	return s.z[a*s.size+a] + s.z[b*s.size+b] - 2*s.z[a*s.size+b]
}

func (n *Network) solve(ohm func(Edge) float64) *solved {
	join := newSets(len(n.names))
	for _, e := range n.edges {
		if ohm(e) == 0 {
			join.merge(n.at[e.From], n.at[e.To])
		}
	}
	s := &solved{row: make([]int, len(n.names))}
	first := map[int]int{}
	for i := range n.names {
		r := join.find(i)
		k, ok := first[r]
		if !ok {
			k = s.size
			first[r] = k
			s.size++
		}
		s.row[i] = k
	}
	parts := newSets(s.size)
	g := make([]float64, s.size*s.size)
	for _, e := range n.edges {
		a, b := s.row[n.at[e.From]], s.row[n.at[e.To]]
		r := ohm(e)
		if a == b || r == 0 {
			continue
		}
		parts.merge(a, b)
		g[a*s.size+b] += 1 / r
		g[b*s.size+a] += 1 / r
	}
	s.part = make([]int, s.size)
	s.z = make([]float64, s.size*s.size)
	members := map[int][]int{}
	var order []int
	for i := range s.size {
		p := parts.find(i)
		s.part[i] = p
		if members[p] == nil {
			order = append(order, p)
		}
		members[p] = append(members[p], i)
	}
	for _, p := range order {
		rest := members[p][1:] // the first is the reference
		m := len(rest)
		if m == 0 {
			continue
		}
		c, leak := make([]float64, m*m), make([]float64, m)
		for i, ri := range rest {
			leak[i] = g[ri*s.size+members[p][0]]
			for j, rj := range rest {
				c[i*m+j] = g[ri*s.size+rj]
			}
		}
		inv := grounded(c, leak, m)
		for i, ri := range rest {
			for j, rj := range rest {
				s.z[ri*s.size+rj] = inv[i*m+j]
			}
		}
	}
	return s
}

// grounded returns the inverse of the conductance matrix of n points that are
// joined to each other by c (n x n, symmetric, no diagonal) and to the
// reference by leak, siemens. Points are eliminated one by one, star to mesh;
// the diagonal is taken as the sum of what leaves a point, so that nothing is
// ever subtracted and every entry keeps its digits however far apart the
// conductances lie (Grassmann, Taksar and Heyman 1985, from memory). Both
// arguments are overwritten.
func grounded(c, leak []float64, n int) []float64 {
	pivot := make([]float64, n)
	for k := range n {
		p := leak[k]
		for j := k + 1; j < n; j++ {
			p += c[k*n+j]
		}
		pivot[k] = p
		for i := k + 1; i < n; i++ {
			share := c[i*n+k] / p
			if share == 0 {
				continue
			}
			leak[i] += share * leak[k]
			for j := k + 1; j < n; j++ {
				if j != i {
					c[i*n+j] += share * c[k*n+j]
				}
			}
		}
		for i := k + 1; i < n; i++ {
			c[i*n+k] /= p // what of k's current goes on to i
		}
	}
	inv := make([]float64, n*n)
	y := make([]float64, n)
	for col := range n {
		clear(y)
		y[col] = 1
		for i := col + 1; i < n; i++ {
			for k := col; k < i; k++ {
				y[i] += c[i*n+k] * y[k]
			}
		}
		for i := n - 1; i >= col; i-- {
			v := y[i] / pivot[i]
			for k := i + 1; k < n; k++ {
				v += c[k*n+i] * inv[k*n+col]
			}
			inv[i*n+col], inv[col*n+i] = v, v
		}
	}
	return inv
}

// sets is a union-find.
type sets []int

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = i
	}
	return s
}

func (s sets) find(i int) int {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

func (s sets) merge(a, b int) { s[s.find(a)] = s.find(b) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func some(names []string) string {
	if len(names) > 6 {
		return strings.Join(names[:6], ", ") + " .."
	}
	return strings.Join(names, ", ")
}
