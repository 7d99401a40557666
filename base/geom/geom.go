// Package geom is plane geometry for a compound: points, segments, closed
// outlines, and the few 3D vectors that a raceway needs. All lengths are
// metres; x is east, y is north, z is up from finished grade.
package geom

import (
	"math"
	"slices"

	"stubup/base/stable"
)

// Eps is the length under which two places are the same place: a hundredth of
// a millimetre, far under what any tape reads.
const Eps = 1e-5

// Point is a place in plan.
type Point struct{ X, Y float64 }

// Add, Sub and Scale are the vector operations.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns the vector from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Scale returns p times k.
func (p Point) Scale(k float64) Point { return Point{p.X * k, p.Y * k} }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return p.X*q.X + p.Y*q.Y }

// Cross returns the z part of the vector product; positive when q is to the
// left of p.
func (p Point) Cross(q Point) float64 { return p.X*q.Y - p.Y*q.X }

// Norm returns the length.
func (p Point) Norm() float64 { return math.Hypot(p.X, p.Y) }

// Dist returns the distance between two places.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Norm() }

// Unit returns p scaled to length 1, or the zero vector for no length.
func (p Point) Unit() Point {
	n := p.Norm()
	if n == 0 {
		return Point{}
	}
	return p.Scale(1 / n)
}

// Left returns p turned a quarter to the left.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Rotate returns p turned by a radians about the origin, counter-clockwise.
func (p Point) Rotate(a float64) Point {
	s, c := math.Sincos(a)
	return Point{c*p.X - s*p.Y, s*p.X + c*p.Y}
}

// Near reports whether two places are the same within Eps.
func (p Point) Near(q Point) bool { return p.Dist(q) < Eps }

// Finite reports whether both coordinates are real numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X+p.Y) && !math.IsInf(p.X, 0) && !math.IsInf(p.Y, 0)
}

// Segment is a straight piece from A to B.
type Segment struct{ A, B Point }

// Len returns its length.
func (s Segment) Len() float64 { return s.A.Dist(s.B) }

// Dir returns its unit direction.
func (s Segment) Dir() Point { return s.B.Sub(s.A).Unit() }

// Nearest returns the point of the segment nearest to p and its parameter t
// in [0, 1].
func (s Segment) Nearest(p Point) (Point, float64) {
	d := s.B.Sub(s.A)
	l2 := d.Dot(d)
	if l2 == 0 {
		return s.A, 0
	}
	t := min(1, max(0, p.Sub(s.A).Dot(d)/l2))
	return s.A.Add(d.Scale(t)), t
}

// Crosses reports whether two segments share a point, touching included, and
// one such point.
func (s Segment) Crosses(o Segment) (Point, bool) {
	r, q := s.B.Sub(s.A), o.B.Sub(o.A)
	den := r.Cross(q)
	w := o.A.Sub(s.A)
	scale := max(r.Norm(), q.Norm(), 1)
	if math.Abs(den) < 1e-12*scale*scale {
		// Parallel: they meet only where an end of one lies on the other.
		for _, p := range []Point{o.A, o.B} {
			if n, _ := s.Nearest(p); n.Dist(p) < Eps {
				return p, true
			}
		}
		for _, p := range []Point{s.A, s.B} {
			if n, _ := o.Nearest(p); n.Dist(p) < Eps {
				return p, true
			}
		}
		return Point{}, false
	}
	t, u := w.Cross(q)/den, w.Cross(r)/den
	tolT, tolU := Eps/max(r.Norm(), Eps), Eps/max(q.Norm(), Eps)
	if t < -tolT || t > 1+tolT || u < -tolU || u > 1+tolU {
		return Point{}, false
	}
	return s.A.Add(r.Scale(t)), true
}

// Outline is a closed polygon given by its corners; the last corner joins the
// first.
type Outline []Point

// Sides returns the sides in order.
func (o Outline) Sides() []Segment {
	out := make([]Segment, len(o))
	for i, p := range o {
		out[i] = Segment{p, o[(i+1)%len(o)]}
	}
	return out
}

// Len returns the perimeter, corner to corner.
func (o Outline) Len() float64 {
	sum := 0.0
	for _, s := range o.Sides() {
		sum += s.Len()
	}
	return sum
}

// Area returns the signed area: positive when the corners run
// counter-clockwise.
func (o Outline) Area() float64 {
	sum := 0.0
	for _, s := range o.Sides() {
		sum += s.A.Cross(s.B)
	}
	return sum / 2
}

// Centroid returns the middle of the area of the outline; of one without an
// area, the mean of its corners.
func (o Outline) Centroid() Point {
	var c, mean Point
	if len(o) == 0 {
		return mean
	}
	a := 0.0
	for i, p := range o {
		q := o[(i+1)%len(o)]
		// From the first corner, so that far coordinates lose no digits.
		u, v := p.Sub(o[0]), q.Sub(o[0])
		k := u.X*v.Y - u.Y*v.X
		a += k
		c = c.Add(u.Add(v).Scale(k))
		mean = mean.Add(p)
	}
	if math.Abs(a) < Eps {
		return mean.Scale(1 / float64(len(o)))
	}
	return o[0].Add(c.Scale(1 / (3 * a)))
}

// Contains reports whether p is inside or on the outline.
func (o Outline) Contains(p Point) bool {
	in := false
	for _, s := range o.Sides() {
		if n, _ := s.Nearest(p); n.Dist(p) < Eps {
			return true
		}
		if (s.A.Y > p.Y) != (s.B.Y > p.Y) && p.X < s.A.X+(s.B.X-s.A.X)*(p.Y-s.A.Y)/(s.B.Y-s.A.Y) {
			in = !in
		}
	}
	return in
}

// Without drops corners that lie closer than d to the corner kept before
// them: sides too short to mean anything.
func (o Outline) Without(d float64) Outline {
	var out Outline
	for _, p := range o {
		if len(out) == 0 || out[len(out)-1].Dist(p) > d {
			out = append(out, p)
		}
	}
	for len(out) > 1 && out[0].Dist(out[len(out)-1]) <= d {
		out = out[:len(out)-1]
	}
	return out
}

// CrossesItself returns a point where two sides that are not neighbours meet,
// or where neighbours fold back on each other.
func (o Outline) CrossesItself() (Point, bool) {
	sides := o.Sides()
	n := len(sides)
	for i := range n {
		for j := i + 1; j < n; j++ {
			neighbours := j == i+1 || (i == 0 && j == n-1)
			if neighbours {
				a, b := sides[i], sides[j]
				if i == 0 && j == n-1 && n > 2 {
					a, b = sides[j], sides[i]
				}
				// A spike: the next side runs back over this one.
				if n > 2 && math.Abs(a.Dir().Cross(b.Dir())) < 1e-9 && a.Dir().Dot(b.Dir()) < 0 {
					return a.B, true
				}
				continue
			}
			if p, ok := sides[i].Crosses(sides[j]); ok {
				return p, true
			}
		}
	}
	return Point{}, false
}

// Offset returns the outline moved inward by d (outward for a negative d),
// with sharp corners, and whether the result is a sound outline: no side may
// shrink to nothing or turn round. Corners may run either way.
func (o Outline) Offset(d float64) (Outline, bool) {
	n := len(o)
	if n < 3 {
		return nil, false
	}
	side := 1.0
	if o.Area() < 0 {
		side = -1
	}
	out := make(Outline, n)
	for i := range o {
		prev := Segment{o[(i+n-1)%n], o[i]}
		next := Segment{o[i], o[(i+1)%n]}
		u, v := prev.Dir(), next.Dir()
		nu, nv := u.Left().Scale(side*d), v.Left().Scale(side*d)
		den := u.Cross(v)
		if math.Abs(den) < 1e-9 {
			out[i] = o[i].Add(nu)
			continue
		}
		p, q := prev.A.Add(nu), next.A.Add(nv)
		t := q.Sub(p).Cross(v) / den
		out[i] = p.Add(u.Scale(t))
	}
	for i := range o {
		was := o[(i+1)%n].Sub(o[i])
		is := out[(i+1)%n].Sub(out[i])
		if is.Norm() < Eps || was.Dot(is) <= 0 {
			return out, false
		}
	}
	_, bad := out.CrossesItself()
	return out, !bad
}

// Hull returns the convex hull, counter-clockwise, without points in the
// middle of a side: one that stands a micrometre or less off the line of its
// neighbours is in the middle of a side, and no point lies further than that
// outside. Points all in one line give its two ends.
func Hull(pts []Point) Outline {
	p := slices.Clone(pts)
	stable.Sort(p, func(a, b Point) int {
		if a.X != b.X {
			return cmpFloat(a.X, b.X)
		}
		return cmpFloat(a.Y, b.Y)
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return Outline(p).Without(hair)
	}
	// The turn is held against nought and no more: points in line but for a
	// lean of the last digit run to and fro along a side, and any allowance
	// here would take such a side's end for a point in its middle.
	half := func(pts []Point) Outline {
		var h Outline
		for _, q := range pts {
			for len(h) >= 2 && h[len(h)-1].Sub(h[len(h)-2]).Cross(q.Sub(h[len(h)-1])) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, q)
		}
		return h[:len(h)-1]
	}
	lower := half(p)
	slices.Reverse(p)
	return straighten(append(lower, half(p)...))
}

// hair is the lean that arithmetic, not a person, gives to points in line: a
// micrometre.
const hair = 1e-6

// straighten drops the corners of a convex outline that stand no more than a
// hair off the side that would take their place. Rounding makes such corners
// of points in line on a slanting side.
func straighten(h Outline) Outline {
	n := len(h)
	// idle reports whether every corner between the i-th and the j-th lies on
	// the line between the two.
	idle := func(i, j int) bool {
		s := Segment{h[i%n], h[j%n]}
		for k := i + 1; k < j; k++ {
			if q, _ := s.Nearest(h[k%n]); q.Dist(h[k%n]) > hair {
				return false
			}
		}
		return true
	}
	kept := []int{0}
	for i := 0; ; {
		j := i + 1
		for j < n && idle(i, j+1) {
			j++
		}
		if j >= n {
			break
		}
		kept = append(kept, j)
		i = j
	}
	// The walk began at a corner that may itself be in the middle of a side.
	if len(kept) > 2 && idle(kept[len(kept)-1], kept[1]+n) {
		kept = kept[1:]
	}
	out := make(Outline, len(kept))
	for i, k := range kept {
		out[i] = h[k]
	}
	return out
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
