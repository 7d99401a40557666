package stock

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/unit"
)

// Piece is a length of raceway that lies in the job.
type Piece struct {
	Name   string
	Length unit.Metre
}

// Cut is one piece taken from a stick. A piece longer than a stick is made of
// several cuts joined by couplings; Part counts them from 1.
type Cut struct {
	Name   string
	Part   int
	Length unit.Metre
}

// Stick is one length of raceway and what is cut from it.
type Stick struct {
	Cuts []Cut
	Left unit.Metre
}

// Sticks is a cut list.
type Sticks struct {
	Stick     unit.Metre
	Sticks    []Stick
	Count     int
	Bound     int // no cut list can do with fewer
	Proven    bool
	Couplings int // inside the pieces; those between pieces are the caller's
	Waste     unit.Metre
}

// CutList returns how sticks of one length are cut into pieces. Pieces longer
// than a stick take whole sticks first and their remainder is placed with the
// others, longest first, each in the first stick that has room. kerf is lost
// at every cut. The bound is the greater of
//
//	ceil(sum of lengths / stick)
//	the number of remainders longer than half a stick
//
// plus the whole sticks; it leaves the kerf out and so is never too high.
func CutList(pieces []Piece, stick, kerf unit.Metre) (Sticks, error) {
	if !(stick > 0) || math.IsInf(float64(stick), 0) || !(kerf >= 0) {
		return Sticks{}, fmt.Errorf("the length of a stick is needed")
	}
	const hair = unit.Metre(1e-7)
	s := Sticks{Stick: stick}
	var rest []Cut
	var sum unit.Metre
	for _, p := range pieces {
		if !(p.Length >= 0) || math.IsInf(float64(p.Length), 0) {
			return Sticks{}, fmt.Errorf("%s: no length", p.Name)
		}
		if p.Length/stick > 1e5 {
			return Sticks{}, fmt.Errorf("%s: longer than a site", p.Name)
		}
		left, part := p.Length, 1
		for left > stick+hair {
			s.Sticks = append(s.Sticks, Stick{Cuts: []Cut{{p.Name, part, stick}}})
			s.Couplings++
			left -= stick
			part++
		}
		if left > hair {
			rest = append(rest, Cut{p.Name, part, left})
			sum += left
		}
	}
	whole := len(s.Sticks)
	slices.SortStableFunc(rest, func(a, b Cut) int { return cmpDown(a.Length, b.Length) })
	half := 0
	for _, c := range rest {
		if c.Length > stick/2+hair {
			half++
		}
		i := slices.IndexFunc(s.Sticks[whole:], func(t Stick) bool { return t.Left >= c.Length-hair })
		if i < 0 {
			s.Sticks = append(s.Sticks, Stick{Left: stick})
			i = len(s.Sticks) - 1 - whole
		}
		t := &s.Sticks[whole+i]
		t.Cuts = append(t.Cuts, c)
		t.Left = max(0, t.Left-c.Length-kerf)
	}
	s.Count = len(s.Sticks)
	s.Bound = whole + max(half, int(math.Ceil(float64(sum/stick)-1e-7)))
	s.Proven = s.Count == s.Bound
	for _, t := range s.Sticks {
		s.Waste += t.Left
	}
	return s, nil
}

// CouplingsIn returns the couplings inside a straight made of whole sticks and
// one remainder.
func CouplingsIn(length, stick unit.Metre) int {
	if !(stick > 0) || !(length > 0) {
		return 0
	}
	return max(0, int(math.Ceil(float64(length/stick)-1e-7))-1)
}

// RunCouplings returns the couplings of a run of straights and factory elbows
// laid end to end: those inside the straights and one between neighbours. A
// belled end serves as a coupling; fittings at the ends are not counted.
func RunCouplings(straights []unit.Metre, elbows int, stick unit.Metre) int {
	pieces, n := max(0, elbows), 0
	for _, l := range straights {
		if l > 0 {
			pieces++
			n += CouplingsIn(l, stick)
		}
	}
	return n + max(0, pieces-1)
}

// Supports returns how many supports a straight length takes, one within first
// of each end and no two further apart than spacing:
//
//	n = 1 + ceil((L - 2 first) / spacing), and 1 for L not over 2 first
//
// first is taken as no more than spacing.
func Supports(length, spacing, first unit.Metre) int {
	if !(length > 0) || !(spacing > 0) {
		return 0
	}
	reach := min(first, spacing)
	if length <= 2*reach {
		return 1
	}
	return 1 + int(math.Ceil(float64((length-2*reach)/spacing)-1e-9))
}
