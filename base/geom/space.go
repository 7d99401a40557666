package geom

import "math"

// Point3 is a place, or a direction, in space.
type Point3 struct{ X, Y, Z float64 }

// Plan drops the height.
func (p Point3) Plan() Point { return Point{p.X, p.Y} }

// At returns the plan point at height z.
func (p Point) At(z float64) Point3 { return Point3{p.X, p.Y, z} }

// Add returns p + q.
func (p Point3) Add(q Point3) Point3 { return Point3{p.X + q.X, p.Y + q.Y, p.Z + q.Z} }

// Sub returns p - q.
func (p Point3) Sub(q Point3) Point3 { return Point3{p.X - q.X, p.Y - q.Y, p.Z - q.Z} }

// Scale returns p times k.
func (p Point3) Scale(k float64) Point3 { return Point3{p.X * k, p.Y * k, p.Z * k} }

// Dot returns the scalar product.
func (p Point3) Dot(q Point3) float64 { return p.X*q.X + p.Y*q.Y + p.Z*q.Z }

// Cross returns the vector product.
func (p Point3) Cross(q Point3) Point3 {
	return Point3{p.Y*q.Z - p.Z*q.Y, p.Z*q.X - p.X*q.Z, p.X*q.Y - p.Y*q.X}
}

// Norm returns the length.
func (p Point3) Norm() float64 { return math.Sqrt(p.Dot(p)) }

// Dist returns the distance between two places.
func (p Point3) Dist(q Point3) float64 { return p.Sub(q).Norm() }

// Unit returns p scaled to length 1, or zero for no length.
func (p Point3) Unit() Point3 {
	n := p.Norm()
	if n == 0 {
		return Point3{}
	}
	return p.Scale(1 / n)
}

// Turn returns the direction p turned by a radians toward the direction q,
// both of unit length and square to each other.
func (p Point3) Turn(q Point3, a float64) Point3 {
	s, c := math.Sincos(a)
	return p.Scale(c).Add(q.Scale(s))
}
