package ground

import (
	"fmt"
	"math"
)

// PlateStrips is the number of strips of a plate that the accuracy of Plate and
// LevelDisc is stated for.
const PlateStrips = 20

// Plate returns a thin flat plate as wires: strips side by side along the
// longer edge, each as a round wire with a quarter of its width for radius,
// which has the same field a few widths away. A and b are the edges from one
// corner, square to each other. With PlateStrips strips the resistance is
// 1 to 2 % below the plate's.
func Plate(corner, a, b [3]float64, strips int) ([]Wire, error) {
	u, v := vec(a), vec(b)
	if u.norm() < v.norm() {
		u, v = v, u
	}
	if !(v.norm() > 0) || !(math.Abs(u.dot(v)) <= 1e-6*u.norm()*v.norm()) || math.IsInf(u.norm(), 0) {
		return nil, whole(BadPoint, "the edges of the plate are not square to each other", "give two edges from one corner at 90 degrees")
	}
	if strips < 2 || strips > 200 {
		return nil, whole(BadOption, fmt.Sprintf("%d strips are not usable for a plate", strips), "take 2 to 200; 20 are enough")
	}
	var out []Wire
	w := v.norm() / float64(strips)
	for i := range strips {
		p := vec(corner).add(v.scale((float64(i) + .5) / float64(strips)))
		out = append(out, Wire{Radius: w / 4, Path: [][3]float64{p, p.add(u)}})
	}
	return out, nil
}

// LevelDisc returns a thin level disc as wires, like Plate.
func LevelDisc(center [3]float64, radius float64, strips int) ([]Wire, error) {
	if !(radius > 0 && radius <= maxCoordinate) || strips < 2 || strips > 200 {
		return nil, whole(BadOption, fmt.Sprintf("a disc of %g m radius in %d strips is not usable", radius, strips), "give a radius above zero and 2 to 200 strips; 20 are enough")
	}
	var out []Wire
	w := 2 * radius / float64(strips)
	for i := range strips {
		y := -radius + w*(float64(i)+.5)
		x := math.Sqrt(radius*radius - y*y)
		c := center
		out = append(out, Wire{Radius: w / 4, Path: [][3]float64{{c[0] - x, c[1] + y, c[2]}, {c[0] + x, c[1] + y, c[2]}}})
	}
	return out, nil
}
