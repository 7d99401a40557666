// Package stock turns what a job needs into what is bought: packs and spares,
// put-ups of conductor, sticks of raceway with their couplings, supports, and
// what is left in a mold.
package stock

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/stable"
	"stubup/base/unit"
)

// Need is an amount of a thing that the job uses up, counted.
type Need struct {
	Item  string // "45 g": things of one item share their spares
	For   string // "tap", "inline splice"
	Count int
}

// Line is one item as bought.
type Line struct {
	Item  string
	Count int // used by the job
	Spare int
	Buy   int // Count + Spare
	Pack  int // in one pack; zero: not told
	Packs int // zero where the pack is not told
	Over  int // in the packs beyond Buy
	For   []Need
}

// spareSlack keeps a product such as 10 x 0.1 from being rounded up because
// the machine holds it a hair high.
const spareSlack = 1e-9

// Spares returns the spare count of n things:
//
//	spare = max(1, ceil(share n)), and none for none
func Spares(n int, share unit.Ratio) int {
	if n <= 0 {
		return 0
	}
	return max(1, int(math.Ceil(float64(n)*float64(share)-spareSlack)))
}

// Packs returns how many packs of size hold n things.
func Packs(n, size int) int {
	if n <= 0 || size <= 0 {
		return 0
	}
	return (n + size - 1) / size
}

// Takeoff pools needs by item, adds the spares to each item and rounds each up
// to whole packs. Nothing is rounded across items. pack tells the size of a
// pack by item, the supplier's data; an item without one has no Packs. Items
// come in the order in which they were first named.
func Takeoff(needs []Need, share unit.Ratio, pack map[string]int) []Line {
	var out []Line
	at := map[string]int{}
	for _, n := range needs {
		i, ok := at[n.Item]
		if !ok {
			i = len(out)
			at[n.Item] = i
			out = append(out, Line{Item: n.Item, Pack: pack[n.Item]})
		}
		out[i].Count += n.Count
		out[i].For = append(out[i].For, n)
	}
	for i := range out {
		l := &out[i]
		l.Spare = Spares(l.Count, share)
		l.Buy = l.Count + l.Spare
		if l.Pack > 0 {
			l.Packs = Packs(l.Buy, l.Pack)
			l.Over = l.Packs*l.Pack - l.Buy
		}
	}
	return out
}

// Short returns how many of an item will be missing: what is left to do less
// what is left in stock. Stock may be negative; losses were already taken from
// it. A negative return is a surplus.
func Short(left, stock int) int { return left - stock }

// ShortBy returns by how many an item will fall short, known at the first
// reject:
//
//	short = rejects + lost misfires - spares
//
// A misfire that relit lost nothing. A negative return is what is left of the
// spares.
func ShortBy(rejects, lostMisfires, spares int) int { return rejects + lostMisfires - spares }

// PutUps is conductor as ordered.
type PutUps struct {
	Length  unit.Metre // used by the job
	Spare   unit.Metre
	Exact   unit.Metre // Length + Spare
	Asked   unit.Metre // Exact rounded up to a foot
	Lengths []unit.Metre
	Total   unit.Metre
	Over    unit.Metre // Total - Asked
}

// Conductor returns the put-ups for a length of conductor:
//
//	asked = ceil(length (1 + share)) in feet
//
// and from the put-ups on offer, given in whole feet, the set with the least
// length that is not under it, among those the one with the fewest pieces.
// pieces are the longest lengths that must be whole; a put-up shorter than the
// longest piece is not offered. With nothing on offer only Asked is set.
func Conductor(length unit.Metre, share unit.Ratio, offer []unit.Metre, longestPiece unit.Metre) (PutUps, error) {
	if !(length >= 0) || math.IsInf(float64(length), 0) || !(share >= 0) {
		return PutUps{}, fmt.Errorf("a length and a share of spare are needed")
	}
	p := PutUps{Length: length, Spare: length * unit.Metre(share)}
	p.Exact = p.Length + p.Spare
	feet := int(math.Ceil(p.Exact.Ft() - 1e-6))
	p.Asked = unit.Metre(feet) * unit.Foot
	var sizes []int
	for _, o := range offer {
		if n := int(math.Floor(o.Ft() + 1e-6)); n > 0 && o >= longestPiece*(1-1e-9) {
			sizes = append(sizes, n)
		}
	}
	if feet == 0 {
		return p, nil
	}
	if len(offer) == 0 {
		return p, nil
	}
	if len(sizes) == 0 {
		return p, fmt.Errorf("no put-up on offer is as long as the longest piece")
	}
	if feet > 200000 {
		return p, fmt.Errorf("%d ft is more than a site takes", feet)
	}
	stable.Ascend(sizes)
	sizes = slices.Compact(sizes)
	// Fewest pieces that make exactly n feet, n up to one put-up beyond.
	top := feet + sizes[len(sizes)-1]
	const none = math.MaxInt32
	count := make([]int, top+1)
	last := make([]int, top+1)
	for n := 1; n <= top; n++ {
		count[n] = none
		for _, s := range sizes {
			if s <= n && count[n-s] != none && count[n-s]+1 <= count[n] {
				count[n], last[n] = count[n-s]+1, s
			}
		}
	}
	for n := feet; n <= top; n++ {
		if count[n] == none {
			continue
		}
		for m := n; m > 0; m -= last[m] {
			p.Lengths = append(p.Lengths, unit.Metre(last[m])*unit.Foot)
		}
		stable.Sort(p.Lengths, func(a, b unit.Metre) int { return cmpDown(a, b) })
		p.Total = unit.Metre(n) * unit.Foot
		p.Over = p.Total - p.Asked
		return p, nil
	}
	return p, fmt.Errorf("the put-ups on offer do not reach %d ft", feet)
}

func cmpDown(a, b unit.Metre) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}

// Mold is the life of one mold.
type Mold struct {
	Shots   int // fired
	Joints  int // still to fire in it
	Redos   int // expected
	Life    int // about; its look decides
	Warn    int
	Expect  int // Shots + Joints + Redos
	Second  bool
	Warning bool // the shots fired have reached Warn: ask for a look, never block
}

// MoldLife says whether a second mold should be on site before the start:
//
//	expect = shots + joints + ceil(joints redo), second when expect > life
//
// redo is the user's own share of joints done again.
func MoldLife(shots, joints int, redo unit.Ratio, life, warn int) Mold {
	m := Mold{Shots: shots, Joints: joints, Life: life, Warn: warn}
	m.Redos = int(math.Ceil(float64(joints)*float64(redo) - spareSlack))
	m.Expect = shots + joints + m.Redos
	m.Second = m.Expect > life
	m.Warning = warn > 0 && shots >= warn
	return m
}
