package stock

import (
	"fmt"
	"math"

	"stubup/base/stable"
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

// CutList returns how sticks of one length are cut into pieces, with as few
// sticks as it finds. Pieces longer than a stick take whole sticks first, which
// makes the fewest couplings, and their remainder is placed with the others.
// kerf is lost at every cut: n pieces come out of a stick where
//
//	sum of lengths + (n - 1) kerf <= stick
//
// Bound is the number of sticks that no list of these pieces does under: the
// greater of the bound of the half sizes and that of the linear program over
// all ways to cut a stick. Where Count is Bound the list is Proven.
func CutList(pieces []Piece, stick, kerf unit.Metre) (Sticks, error) {
	if !(stick > 0) || math.IsInf(float64(stick), 0) || !(kerf >= 0) || math.IsInf(float64(kerf), 0) {
		return Sticks{}, fmt.Errorf("the length of a stick is needed")
	}
	s := Sticks{Stick: stick}
	var rest []Cut
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
		}
	}
	whole := len(s.Sticks)
	stable.Sort(rest, func(a, b Cut) int { return cmpDown(a.Length, b.Length) })
	// With the kerf on every piece and once on the stick, the last piece of a
	// stick needs none.
	size := make([]int64, len(rest))
	capacity := ceilWhole(float64(stick + kerf))
	for i, c := range rest {
		size[i] = min(floorWhole(float64(c.Length+kerf)), capacity)
	}
	stable.Sort(size, func(a, b int64) int { return int(max(-1, min(1, b-a))) })
	p := pack(size, capacity)
	for _, bin := range p.bins {
		t := Stick{Left: stick}
		stable.Ascend(bin)
		for _, i := range bin {
			t.Cuts = append(t.Cuts, rest[i])
			t.Left = max(0, t.Left-rest[i].Length-kerf)
		}
		s.Sticks = append(s.Sticks, t)
	}
	s.Count = len(s.Sticks)
	s.Bound = whole + p.bound
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
