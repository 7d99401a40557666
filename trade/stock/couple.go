package stock

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/stable"
	"stubup/base/unit"
)

// Zone is a part of a length in which no coupling may sit: a bend and the
// straight beside it. Its ends are allowed.
type Zone struct{ From, To unit.Metre }

// Lengths is a length of raceway made up of sticks and cuts of sticks.
type Lengths struct {
	Ends      []unit.Metre // of each piece, from the start; the last is the whole length
	Couplings int
	Cuts      int // pieces that are not whole sticks
	Over      int // pieces longer than a stick: no coupling is allowed within them
	Short     int // pieces under the shortest that is wanted
}

// figure of one make-up, the first that differs decides.
type figure struct {
	over, pieces, short, cuts int
	spread                    float64 // sum of the squares of what is cut off
	at                        int     // candidate before
}

func (f figure) better(g figure) bool {
	switch {
	case f.over != g.over:
		return f.over < g.over
	case f.pieces != g.pieces:
		return f.pieces < g.pieces
	case f.short != g.short:
		return f.short < g.short
	case f.cuts != g.cuts:
		return f.cuts < g.cuts
	case math.Abs(f.spread-g.spread) > 1e-9:
		return f.spread > g.spread
	}
	return f.at > g.at // the coupling further along: whole sticks first
}

// Couple returns where the couplings of a length sit: outside every zone, as
// few as can be, then with the fewest pieces under shortest, the fewest cut
// sticks, and the offcuts in as few and as long pieces as can be, by the sum
// of their squares. That last figure is convex, so that the best is found with
// every coupling a whole number of sticks, or that and one shortest piece,
// from an end of the length or of a zone; over those places the search is
// exact:
//
//	best(x) = best over y of best(y) + piece(x - y)
//
// A zone longer than a stick is one piece, counted in Over.
func Couple(length, stick, shortest unit.Metre, zones []Zone) (Lengths, error) {
	if !(length > 0) || math.IsInf(float64(length), 0) || !(stick > 0) || math.IsInf(float64(stick), 0) || !(shortest >= 0) {
		return Lengths{}, fmt.Errorf("a length and the length of a stick are needed")
	}
	if length/stick > 1e4 {
		return Lengths{}, fmt.Errorf("longer than a site")
	}
	shortest = min(shortest, stick/2)
	zones = joined(zones, length)
	at := places(length, stick, shortest, zones)
	wide := map[int]int{} // end of a zone longer than a stick: its start
	for _, z := range zones {
		if z.To-z.From > stick+hair {
			wide[nearest(at, z.To)] = nearest(at, z.From)
		}
	}
	best := make([]figure, len(at))
	for i := 1; i < len(at); i++ {
		best[i] = figure{over: math.MaxInt32, at: -1}
		step := func(j int, over int) {
			f := best[j]
			if f.over >= math.MaxInt32 {
				return
			}
			l := at[i] - at[j]
			f.at, f.over, f.pieces = j, f.over+over, f.pieces+1
			if l < stick-hair {
				f.cuts++
				f.spread += float64((stick - l) * (stick - l))
			}
			if l < shortest-hair {
				f.short++
			}
			if f.better(best[i]) {
				best[i] = f
			}
		}
		for j := i - 1; j >= 0 && at[i]-at[j] <= stick+hair; j-- {
			step(j, 0)
		}
		if j, ok := wide[i]; ok {
			step(j, 1)
		}
	}
	end := best[len(at)-1]
	if end.over >= math.MaxInt32 {
		return Lengths{}, fmt.Errorf("no coupling can be placed")
	}
	out := Lengths{Couplings: end.pieces - 1, Cuts: end.cuts, Over: end.over, Short: end.short}
	for i := len(at) - 1; i > 0; i = best[i].at {
		out.Ends = append(out.Ends, at[i])
	}
	slices.Reverse(out.Ends)
	return out, nil
}

// joined returns the zones within a length, in order, those that overlap as
// one.
func joined(zones []Zone, length unit.Metre) []Zone {
	zones = slices.Clone(zones)
	stable.Sort(zones, func(a, b Zone) int { return -cmpDown(a.From, b.From) })
	var out []Zone
	for _, z := range zones {
		z.From, z.To = max(0, z.From), min(length, z.To)
		switch n := len(out); {
		case !(z.To > z.From+hair):
		case n > 0 && z.From < out[n-1].To-hair:
			out[n-1].To = max(out[n-1].To, z.To)
		default:
			out = append(out, z)
		}
	}
	return out
}

// places lists where a coupling may have to sit, in order, with both ends of
// the length.
func places(length, stick, shortest unit.Metre, zones []Zone) []unit.Metre {
	anchors := []unit.Metre{0, length}
	for _, z := range zones {
		anchors = append(anchors, z.From, z.To)
	}
	if shortest > hair {
		for _, a := range anchors[:len(anchors):len(anchors)] {
			anchors = append(anchors, a-shortest, a+shortest)
		}
	}
	var out []unit.Metre
	for _, a := range anchors {
		for x := a - stick*unit.Metre(math.Ceil(float64(a/stick))); x < length+hair; x += stick {
			if x < -hair {
				continue
			}
			x := max(0, min(x, length))
			if !slices.ContainsFunc(zones, func(z Zone) bool { return x > z.From+hair && x < z.To-hair }) {
				out = append(out, x)
			}
		}
	}
	out = append(out, 0, length)
	stable.Ascend(out)
	return slices.CompactFunc(out, func(a, b unit.Metre) bool { return math.Abs(float64(a-b)) < hair })
}

func nearest(at []unit.Metre, x unit.Metre) int {
	i, _ := slices.BinarySearch(at, x-hair)
	return min(i, len(at)-1)
}
