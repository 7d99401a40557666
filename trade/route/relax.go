package route

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/unit"
)

// Limit names one of the limits.
type Limit string

// The limits, in the order in which they are named.
const (
	BendSum       Limit = "bend sum"
	SectionLength Limit = "section length"
	CableRadius   Limit = "cable radius"
	Tension       Limit = "tension"
	Sidewall      Limit = "sidewall pressure"
)

var limitOrder = []Limit{BendSum, SectionLength, CableRadius, Tension, Sidewall}

// Relax is one limit that gives way: to the smallest figure that makes the run
// possible, the other limits standing. Figures are in degrees, metres, newtons
// and newtons per metre.
type Relax struct {
	Limit    Limit
	From, To float64
}

// String says it in US customary units.
func (r Relax) String() string {
	return fmt.Sprintf("%s from %s to %s", r.Limit, r.Limit.figure(r.From), r.Limit.figure(r.To))
}

func (l Limit) figure(v float64) string {
	const lbf = 4.4482216152605
	switch l {
	case BendSum:
		return unit.Trim(v, 1) + " degrees"
	case SectionLength:
		return unit.US.Run(unit.Metre(v))
	case CableRadius:
		return unit.US.Short(unit.Metre(v))
	case Tension:
		return unit.Trim(v/lbf, 1) + " lbf"
	}
	return unit.Trim(v/lbf*0.3048, 1) + " lbf/ft"
}

// share is by how much of itself the limit gives way.
func (r Relax) share() float64 { return math.Abs(r.To-r.From) / r.From }

func (l Limit) of(lim Limits) float64 {
	switch l {
	case BendSum:
		return float64(lim.Bends)
	case SectionLength:
		return float64(lim.Length)
	case CableRadius:
		return float64(lim.Radius)
	case Tension:
		return float64(lim.Tension)
	}
	return float64(lim.Sidewall)
}

func (l Limit) set(lim Limits, v float64) Limits {
	switch l {
	case BendSum:
		lim.Bends = unit.Degree(v)
	case SectionLength:
		lim.Length = unit.Metre(v)
	case CableRadius:
		lim.Radius = unit.Metre(v)
	case Tension:
		lim.Tension = unit.Newton(v)
	case Sidewall:
		lim.Sidewall = unit.NewtonPerM(v)
	}
	return lim
}

// asked is what a run that was found asks of the limit.
func (l Limit) asked(secs []Section, lim Limits) float64 {
	n := need(secs)
	switch l {
	case BendSum:
		return n.bends
	case SectionLength:
		return n.length
	}
	t, s := needTension(secs, lim)
	if l == Tension {
		return t
	}
	return s
}

// Blocked is a run that cannot be had. Ways lists what would have to give: each
// way is one limit, or several together where no single one does, and the
// first gives way by the least share. Without a way, Why and Mend say what
// stands against it.
type Blocked struct {
	Why  string
	Mend string
	Ways [][]Relax
}

func (b *Blocked) Error() string {
	if len(b.Ways) == 0 {
		return b.Why + "; mend: " + b.Mend
	}
	var say []string
	for _, w := range b.Ways {
		var both []string
		for _, r := range w {
			both = append(both, r.String())
		}
		say = append(say, strings.Join(both, " and "))
	}
	return b.Why + "; it can be done with " + strings.Join(say, ", or ")
}

// relax finds what would have to give. try solves under other limits and
// returns the sections of what it found; tol is the share within which a figure
// is the smallest.
func relax(lim Limits, radii []float64, tol float64, try func(Limits) ([]Section, bool, error)) ([][]Relax, error) {
	radii = slices.Clone(radii)
	slices.SortFunc(radii, func(a, b float64) int { return cmp.Compare(b, a) })
	radii = slices.Compact(radii)

	// least returns the smallest figure for one limit, the others as in lim.
	least := func(l Limit, lim Limits, was float64) (float64, bool, error) {
		if l == CableRadius {
			for _, r := range radii {
				if r <= 0 || r >= was {
					continue
				}
				_, ok, err := try(l.set(lim, r))
				if ok || err != nil {
					return r, ok, err
				}
			}
			return 0, false, nil
		}
		secs, ok, err := try(l.set(lim, 0))
		if !ok || err != nil {
			return 0, false, err
		}
		lo, hi := was, l.asked(secs, lim)
		for hi-lo > tol*hi {
			mid := (lo + hi) / 2
			secs, ok, err := try(l.set(lim, mid))
			if err != nil {
				return 0, false, err
			}
			if !ok {
				lo = mid
				continue
			}
			hi = l.asked(secs, lim)
			// Figures come in steps: is there anything just below this one?
			secs, ok, err = try(l.set(lim, hi*(1-tol)))
			if err != nil {
				return 0, false, err
			}
			if !ok {
				break
			}
			hi = l.asked(secs, lim)
		}
		return hi, true, nil
	}

	var set []Limit
	for _, l := range limitOrder {
		if l.of(lim) > 0 {
			set = append(set, l)
		}
	}
	var ways [][]Relax
	for _, l := range set {
		v, ok, err := least(l, lim, l.of(lim))
		if err != nil {
			return nil, err
		}
		if ok {
			ways = append(ways, []Relax{{l, l.of(lim), v}})
		}
	}
	if len(ways) > 0 {
		slices.SortStableFunc(ways, func(a, b []Relax) int { return cmp.Compare(a[0].share(), b[0].share()) })
		return ways, nil
	}

	// No single one: let all go, then draw each back as far as it will.
	free := Limits{Reel: lim.Reel}
	if _, ok, err := try(free); !ok || err != nil {
		return nil, err
	}
	var way []Relax
	for _, l := range set {
		back := l.set(free, l.of(lim))
		_, ok, err := try(back)
		if err != nil {
			return nil, err
		}
		if !ok {
			v, found, err := least(l, free, l.of(lim))
			if err != nil {
				return nil, err
			}
			if !found {
				continue
			}
			way = append(way, Relax{l, l.of(lim), v})
			back = l.set(free, v)
		}
		free = back
	}
	return [][]Relax{way}, nil
}
