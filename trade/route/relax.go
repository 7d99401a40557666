package route

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
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
	OrLess   bool // the search was broken off: a smaller figure may do
}

// String says it in US customary units.
func (r Relax) String() string {
	say := fmt.Sprintf("%s from %s to %s", r.Limit, r.Limit.figure(r.From), r.Limit.figure(r.To))
	if r.OrLess {
		say += " or less"
	}
	return say
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
	// Unsettled are limits that alone might do: the search for that was broken
	// off as too large.
	Unsettled []Limit
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
	text := b.Why + "; it can be done with " + strings.Join(say, ", or ")
	if len(b.Unsettled) > 0 {
		var names []string
		for _, l := range b.Unsettled {
			names = append(names, string(l))
		}
		text += "; not searched to the end: " + strings.Join(names, ", ")
	}
	return text
}

// relax finds what would have to give. try solves under other limits and
// returns the sections of what it found, or errMany where it broke off; tol is
// the share within which a figure is the smallest.
func relax(lim Limits, radii []float64, tol float64, try func(Limits) ([]Section, bool, error)) ([][]Relax, []Limit, error) {
	radii = slices.Clone(radii)
	stable.Sort(radii, func(a, b float64) int { return cmp.Compare(b, a) })
	radii = slices.Compact(radii)

	var set []Limit
	for _, l := range limitOrder {
		if l.of(lim) > 0 {
			set = append(set, l)
		}
	}
	var ways [][]Relax
	var open []Limit
	for _, l := range set {
		r, ok, err := least(l, lim, radii, tol, try)
		switch {
		case errors.Is(err, errMany):
			open = append(open, l)
		case err != nil:
			return nil, nil, err
		case ok:
			ways = append(ways, []Relax{r})
		}
	}
	if len(ways) > 0 {
		stable.Sort(ways, func(a, b []Relax) int { return cmp.Compare(a[0].share(), b[0].share()) })
		return ways, open, nil
	}

	// No single one: let all go, then draw each back as far as it will.
	free := Limits{Reel: lim.Reel}
	if _, ok, err := try(free); !ok || err != nil {
		return nil, open, unlessMany(err)
	}
	var way []Relax
	for _, l := range set {
		back := l.set(free, l.of(lim))
		_, ok, err := try(back)
		if unlessMany(err) != nil {
			return nil, nil, err
		}
		if !ok {
			r, found, err := least(l, back, radii, tol, try)
			if unlessMany(err) != nil {
				return nil, nil, err
			}
			if !found {
				return nil, append(open, l), nil // it cannot be shown how far
			}
			way = append(way, r)
			back = l.set(free, r.To)
		}
		free = back
	}
	if len(way) == 0 {
		return nil, open, nil
	}
	return [][]Relax{way}, open, nil
}

func unlessMany(err error) error {
	if errors.Is(err, errMany) {
		return nil
	}
	return err
}

// least returns the smallest figure at which one limit, the others as in lim,
// lets a run through; false where none does.
func least(l Limit, lim Limits, radii []float64, tol float64, try func(Limits) ([]Section, bool, error)) (Relax, bool, error) {
	was := l.of(lim)
	if l == CableRadius {
		for _, r := range radii {
			if r <= 0 || r >= was {
				continue
			}
			_, ok, err := try(l.set(lim, r))
			if ok || err != nil {
				return Relax{Limit: l, From: was, To: r}, ok, err
			}
		}
		return Relax{}, false, nil
	}
	secs, ok, err := try(l.set(lim, 0))
	if !ok || err != nil {
		return Relax{}, false, err
	}
	lo, hi := was, l.asked(secs, lim)
	for hi-lo > tol*hi {
		mid := (lo + hi) / 2
		secs, ok, err := try(l.set(lim, mid))
		if errors.Is(err, errMany) {
			return Relax{l, was, hi, true}, true, nil
		}
		if err != nil {
			return Relax{}, false, err
		}
		if !ok {
			lo = mid
			continue
		}
		hi = l.asked(secs, lim)
		if l != BendSum {
			continue
		}
		// Bend sums come in steps: is there anything just below this one?
		secs, ok, err = try(l.set(lim, hi*(1-tol)))
		if errors.Is(err, errMany) {
			return Relax{l, was, hi, true}, true, nil
		}
		if err != nil {
			return Relax{}, false, err
		}
		if !ok {
			break
		}
		hi = l.asked(secs, lim)
	}
	return Relax{Limit: l, From: was, To: hi}, true, nil
}
