package bond

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
	"stubup/base/unit"
)

// Pair is one measured pair. Open is a meter that shows no metal path at all:
// over range, or ohms where thousandths are due.
type Pair struct {
	A, B string
	Ohm  unit.Ohm
	Open bool
}

// Noise is the scatter of one reading, one standard deviation: a share of the
// reading and a floor beside it. Low and High bound one common factor of all
// readings that is not known: temperature, tin, lengths a little off. Both 0 is
// a factor of 1.
type Noise struct {
	Share     unit.Ratio
	Floor     unit.Ohm
	Low, High unit.Ratio
}

// Explanation is one state of the metal and how well the readings fit it.
type Explanation struct {
	Break     string // the piece that is cut or dead; "" for none
	ChiSquare float64
	Share     float64    // of belief, all states alike likely before the readings
	Factor    unit.Ratio // common factor that fits best
}

// Finding is what a set of pairs says about a single break.
type Finding struct {
	Ranked []Explanation // the best first
	// Alike are the states that the readings cannot tell from the best, it
	// included; one alone is an answer.
	Alike []Explanation
	// Fits is false where even the best leaves more than noise: two breaks, a
	// piece that is not on the plan, or a wrong pair.
	Fits bool
	// Next is the pair among those that can be reached that would best tell the
	// Alike apart; empty where none would.
	Next  [2]string
	Words string
}

// Settings of the decision; no printed source. Odds of 20 to 1 between two
// states are a difference of 2 ln 20 in chi-square.
const (
	oddsApart   = 20.0
	fitQuantile = 2.3263 // standard normal, 99 %
	apartSigma  = 3.0    // a pair tells two states apart where they differ by this many sigma
)

// FindBreak ranks which single piece, or none, explains a set of measured
// pairs. For every state the readings' chi-square is
//
//	X2 = sum ((R - k P)/s)^2,  s^2 = (share k P)^2 + floor^2
//
// R measured, P predicted resistance in ohm, k the common factor within its
// bounds that fits best. A state that predicts metal where the meter shows none,
// or none where it reads, is left out. States are alike likely before the
// readings. reach lists the points where a pair can still be read (nil for all
// points); it serves Next alone.
func (n *Network) FindBreak(pairs []Pair, noise Noise, reach []string) (Finding, error) {
	if len(pairs) == 0 {
		return Finding{}, &Error{TooFew, "", "no readings", "read at least one pair"}
	}
	if noise.Low == 0 && noise.High == 0 {
		noise.Low, noise.High = 1, 1
	}
	if !(noise.Share >= 0) || !(noise.Floor >= 0) || !(noise.Share > 0 || noise.Floor > 0) || !(noise.Low > 0) || !(noise.High >= noise.Low) ||
		!finite(float64(noise.Share)) || !finite(float64(noise.Floor)) || !finite(float64(noise.High)) {
		return Finding{}, &Error{BadNoise, "", "a noise that cannot be used", "give a share or a floor above 0, and bounds of the common factor"}
	}
	at := make([][2]int, len(pairs))
	for k, p := range pairs {
		i, j, err := n.pair(p.A, p.B)
		if err != nil {
			return Finding{}, err
		}
		if !p.Open && (!finite(float64(p.Ohm)) || p.Ohm < 0) {
			return Finding{}, &Error{BadOhm, p.A + "-" + p.B, "a reading that is not a resistance", "give ohms, or Open"}
		}
		at[k] = [2]int{i, j}
	}
	if reach == nil {
		reach = n.names
	}
	for _, v := range reach {
		if _, ok := n.at[v]; !ok {
			return Finding{}, &Error{UnknownNode, v, "no such point", "one of " + some(n.names)}
		}
	}

	states := n.states()
	var f Finding
	solvedOf := map[string]*solved{}
	for _, st := range states {
		solvedOf[st.broken] = st.s
		e := Explanation{Break: st.broken, Factor: 1, ChiSquare: math.Inf(1)}
		if ok := possible(st.s, at, pairs); ok {
			e.Factor, e.ChiSquare = fitFactor(st.s, at, pairs, noise)
		}
		f.Ranked = append(f.Ranked, e)
	}
	stable.Sort(f.Ranked, func(a, b Explanation) int { return cmp.Compare(a.ChiSquare, b.ChiSquare) })
	best := f.Ranked[0].ChiSquare
	if math.IsInf(best, 1) {
		f.Words = "no single break explains where metal was found and where not: more than one break, or a piece that is not on the plan"
		return f, nil
	}
	sum := 0.0
	for i := range f.Ranked {
		f.Ranked[i].Share = math.Exp(-(f.Ranked[i].ChiSquare - best) / 2)
		sum += f.Ranked[i].Share
	}
	for i := range f.Ranked {
		f.Ranked[i].Share /= sum
		if f.Ranked[i].ChiSquare-best <= 2*math.Log(oddsApart) {
			f.Alike = append(f.Alike, f.Ranked[i])
		}
	}
	f.Fits = best <= chi99(len(pairs))
	f.Next = n.next(f.Alike, solvedOf, reach, noise)
	f.Words = f.say()
	return f, nil
}

type state struct {
	broken string
	s      *solved
}

// states returns the whole network and every network with one piece gone.
func (n *Network) states() []state {
	out := []state{{"", n.nominal}}
	for k, e := range n.edges {
		out = append(out, state{e.ID, n.without(k)})
	}
	return out
}

// without returns the solution without edge k from the whole one, by the
// rank-one change of an inverse. A bridge or an ideal joint is solved afresh,
// and so is a piece that carries nearly all between its ends: the change
// divides by the share of the others, and what is lost in that difference
// comes back squared.
func (n *Network) without(k int) *solved {
	e, s := n.edges[k], n.nominal
	a, b := s.row[n.at[e.From]], s.row[n.at[e.To]]
	left := &Network{edges: slices.Delete(slices.Clone(n.edges), k, k+1), at: n.at, names: n.names}
	if e.Ohm == 0 {
		if n.at[e.From] == n.at[e.To] {
			return s
		}
		return left.solve(func(e Edge) float64 { return float64(e.Ohm) })
	}
	if a == b { // closed up by ideal joints beside it
		return s
	}
	parts := newSets(s.size)
	for _, o := range left.edges {
		parts.merge(s.row[n.at[o.From]], s.row[n.at[o.To]])
	}
	if parts.find(a) != parts.find(b) {
		return left.solve(func(e Edge) float64 { return float64(e.Ohm) })
	}
	g := 1 / float64(e.Ohm)
	u := make([]float64, s.size)
	for i := range u {
		u[i] = s.z[i*s.size+a] - s.z[i*s.size+b]
	}
	// Z' = Z + g u u' / (1 - g R(a,b))
	others := 1 - g*(u[a]-u[b])
	if others < 1e-3 {
		return left.solve(func(e Edge) float64 { return float64(e.Ohm) })
	}
	f := g / others
	t := &solved{row: s.row, part: s.part, size: s.size, z: slices.Clone(s.z)}
	for i := range u {
		if u[i] == 0 {
			continue
		}
		for j := range u {
			t.z[i*s.size+j] += f * u[i] * u[j]
		}
	}
	return t
}

func possible(s *solved, at [][2]int, pairs []Pair) bool {
	for k, p := range pairs {
		if p.Open != math.IsInf(s.between(at[k][0], at[k][1]), 1) {
			return false
		}
	}
	return true
}

// fitFactor returns the common factor within its bounds with the least
// chi-square. The sum is smooth and nearly a parabola; 41 places and a golden
// section between the neighbors of the best find its least.
func fitFactor(s *solved, at [][2]int, pairs []Pair, noise Noise) (unit.Ratio, float64) {
	chi := func(k float64) float64 {
		sum := 0.0
		for i, p := range pairs {
			if p.Open {
				continue
			}
			want := k * s.between(at[i][0], at[i][1])
			sd := math.Hypot(float64(noise.Share)*want, float64(noise.Floor))
			d := float64(p.Ohm) - want
			if sd == 0 {
				if d != 0 {
					return math.Inf(1)
				}
				continue
			}
			sum += d * d / sd / sd
		}
		return sum
	}
	lo, hi := float64(noise.Low), float64(noise.High)
	bestK, best := lo, chi(lo)
	const steps = 40
	if hi > lo {
		for i := 1; i <= steps; i++ {
			k := lo + (hi-lo)*float64(i)/steps
			if c := chi(k); c < best {
				bestK, best = k, c
			}
		}
		w := (hi - lo) / steps
		x0, x1 := math.Max(lo, bestK-w), math.Min(hi, bestK+w)
		const phi = 0.6180339887498949
		for range 40 {
			a, b := x1-phi*(x1-x0), x0+phi*(x1-x0)
			if chi(a) < chi(b) {
				x1 = b
			} else {
				x0 = a
			}
		}
		if c := chi((x0 + x1) / 2); c < best {
			bestK, best = (x0+x1)/2, c
		}
	}
	return unit.Ratio(bestK), best
}

// chi99 returns the 99 % point of chi-square with n degrees of freedom by the
// cube-root rule of Wilson and Hilferty (1931), within 1 % but for n = 1, where
// it is 2 % low.
func chi99(n int) float64 {
	v := 2.0 / (9 * float64(n))
	return float64(n) * math.Pow(1-v+fitQuantile*math.Sqrt(v), 3)
}

// next returns the pair that parts the alike states best: the one with the
// most pairs of states apartSigma apart, and of those the largest sum of
// differences, capped so that one huge difference does not hide the rest.
func (n *Network) next(alike []Explanation, of map[string]*solved, reach []string, noise Noise) [2]string {
	var best [2]string
	bestScore := 0.0
	type group struct{ r, n float64 }
	var read []float64
	var groups []group
	if len(alike) < 2 {
		return best
	}
	for k, a := range reach {
		for _, b := range reach[k+1:] {
			if a == b {
				continue
			}
			i, j := n.at[a], n.at[b]
			read = read[:0]
			for _, e := range alike {
				read = append(read, of[e.Break].between(i, j))
			}
			// Most states read the same here: each reading is held against the
			// others once, with how many read it.
			stable.Ascend(read)
			groups = groups[:0]
			for _, r := range read {
				if k := len(groups) - 1; k >= 0 && (r == groups[k].r || r-groups[k].r <= 1e-9*r) {
					groups[k].n++
					continue
				}
				groups = append(groups, group{r, 1})
			}
			score := 0.0
			for x, p := range groups {
				for _, q := range groups[x+1:] {
					if d := apart(p.r, q.r, noise); d >= apartSigma {
						score += p.n * q.n * (1 + math.Min(d, 100)/1000)
					}
				}
			}
			if score > bestScore {
				bestScore, best = score, [2]string{a, b}
			}
		}
	}
	return best
}

func apart(p, q float64, noise Noise) float64 {
	if math.IsInf(p, 1) || math.IsInf(q, 1) {
		if p == q {
			return 0
		}
		return math.Inf(1)
	}
	d := math.Abs(p - q)
	if d == 0 {
		return 0
	}
	// The common factor may hide a difference that it can make up for.
	d = math.Max(0, d-float64(noise.High-noise.Low)*math.Min(p, q))
	return d / math.Hypot(float64(noise.Share)*math.Max(p, q), float64(noise.Floor))
}

func (f Finding) say() string {
	name := func(e Explanation) string {
		if e.Break == "" {
			return "no break"
		}
		return e.Break
	}
	var w string
	switch {
	case len(f.Alike) == 1 && f.Alike[0].Break == "":
		w = "the readings fit the metal as laid; no single break would read so"
	case len(f.Alike) == 1:
		w = "the readings fit one break: " + f.Alike[0].Break
	default:
		var names []string
		for _, e := range f.Alike {
			names = append(names, name(e))
		}
		w = fmt.Sprintf("cannot be told apart by these readings: %s", strings.Join(names, "; "))
		if f.Next[0] != "" {
			w += fmt.Sprintf("; read %s to %s next", f.Next[0], f.Next[1])
		} else {
			w += "; no pair within reach would part them"
		}
	}
	if !f.Fits {
		w += "; it leaves more than the noise: look for a second break, a wrong pair, or metal that is not on the plan"
	}
	return w
}
