package ground

import (
	"fmt"
	"math"
)

// Rod returns a straight rod from a place, driven at a slant from the upright
// towards a bearing, both in radians, the bearing from the x axis towards the
// y axis. A slant of 0 is upright, pi/2 lies flat.
func Rod(top [3]float64, length, radius, slant, bearing float64) Wire {
	ss, cs := math.Sincos(slant)
	sb, cb := math.Sincos(bearing)
	if slant == 0 {
		return Wire{Radius: radius, Path: [][3]float64{top, {top[0], top[1], top[2] + length}}}
	}
	return Wire{Radius: radius, Path: [][3]float64{top, {top[0] + length*ss*cb, top[1] + length*ss*sb, top[2] + length*cs}}}
}

// Section is one section of a sectional rod.
type Section struct{ Length, Radius float64 } // m

// SectionalRod returns an upright rod of sections, the uppermost first, each a
// wire of its own; sections of one radius are one rod. A coupling thicker than
// the rod is a section.
func SectionalRod(top [3]float64, sections ...Section) []Wire {
	var out []Wire
	for _, s := range sections {
		next := top
		next[2] += s.Length
		out = append(out, Wire{Radius: s.Radius, Path: [][3]float64{top, next}})
		top = next
	}
	return out
}

// Longer returns a straight rod driven on to another length, along its own
// line. It is given whole: as a candidate it shares what is there already.
func Longer(w Wire, length float64) (Wire, error) {
	if len(w.Path) != 2 {
		return Wire{}, whole(BadPoint, fmt.Sprintf("a wire of %d points is no straight rod", len(w.Path)), "give its two ends")
	}
	a, b := vec(w.Path[0]), vec(w.Path[1])
	l := b.sub(a).norm()
	if !(l > 0 && length > l && length <= maxCoordinate) {
		return Wire{}, whole(BadOption, fmt.Sprintf("a rod of %g m cannot be driven on to %g m", l, length), "give a length above the one it has, in m")
	}
	w.Path = [][3]float64{a, a.along(b, length/l)}
	return w, nil
}

// Radial returns a level wire from a place towards a bearing (radians, from the
// x axis towards the y axis), with an upright rod at its end where end has a
// length.
func Radial(from [3]float64, bearing, length, radius float64, end Section) []Wire {
	s, c := math.Sincos(bearing)
	to := [3]float64{from[0] + length*c, from[1] + length*s, from[2]}
	out := []Wire{{Radius: radius, Path: [][3]float64{from, to}}}
	if end.Length > 0 {
		out = append(out, Rod(to, end.Length, end.Radius, 0, 0))
	}
	return out
}

// Arc returns a level wire along a part of a circle, from one bearing to
// another in radians, as a path of chords whose corners lie on it and whose
// middles leave it by no more than off, in m.
func Arc(center [3]float64, bend, from, to, radius, off float64) (Wire, error) {
	span := math.Abs(to - from)
	if !(bend > 0 && bend <= maxCoordinate) || !(span > 0 && span <= 2*math.Pi+1e-9) || !(off > 0) {
		return Wire{}, whole(BadPoint, fmt.Sprintf("an arc of %g m through %g rad to within %g m is not usable", bend, to-from, off), "give a bend above zero, at most a full turn, and a tolerance in m")
	}
	off = math.Min(off, bend/10)
	n := int(math.Ceil(span / (2 * math.Acos(1-off/bend))))
	if n > 20000 {
		return Wire{}, whole(BadOption, fmt.Sprintf("%d chords are too many", n), "give a larger tolerance")
	}
	w := Wire{Radius: radius}
	for i := range n + 1 {
		s, c := math.Sincos(from + (to-from)*float64(i)/float64(n))
		w.Path = append(w.Path, [3]float64{center[0] + bend*c, center[1] + bend*s, center[2]})
	}
	if span > 2*math.Pi-1e-9 {
		w.Path[n] = w.Path[0]
	}
	return w, nil
}
