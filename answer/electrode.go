package answer

import (
	"math"

	"stubup/base/geom"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/conductor"
	"stubup/trade/ground"
)

// Electrode says which metal of a plan is taken into a resistance.
type Electrode struct {
	Whips   bool // the buried part of every whip besides the ring and rods
	NoRods  bool // the ring alone
	Actual  bool // rods as they were driven, not as they were wanted
	Changes []Change
}

// Change alters one rod, or adds a wire, for a what-if.
type Change struct {
	Rod    string  // id of the rod that is changed
	Length float64 // its length in the ground; 0 leaves it out
	Lies   string  // "", "45", "flat"
	Radial float64 // length of a radial added at the rod, outward
}

// arcTol is how far a chord may leave a ring's arc: under a hundredth of the
// wire's distance to anything, it moves R by less than 0.01 %.
const arcTol = 0.01

// Wires returns the bare metal in the soil as thin wires, depth down.
func Wires(p *plan.Plan, e Electrode) []ground.Wire {
	if p.Ring == nil {
		return nil
	}
	var out []ground.Wire
	d := float64(p.Ring.Depth)
	down := func(q geom.Point, z float64) [3]float64 { return [3]float64{q.X, q.Y, z} }
	radius := func(c site.Conductor) float64 {
		b := conductor.Bare{Size: c.Size, Solid: c.Solid, Tinned: c.Tinned}
		return float64(b.Radius())
	}
	ringR := radius(p.Wire())
	var path [][3]float64
	line := p.Ring.Polyline(arcTol)
	for _, q := range line {
		path = append(path, down(q, d))
	}
	path = append(path, path[0])
	out = append(out, ground.Wire{Radius: ringR, Path: path})
	changed := map[string]Change{}
	for _, c := range e.Changes {
		changed[c.Rod] = c
	}
	for _, r := range p.Rods {
		if e.NoRods && !r.Radial {
			continue
		}
		length, lies := float64(r.Length), ""
		if e.Actual {
			length, lies = float64(r.Driven), r.Lies
		}
		if c, ok := changed[r.ID]; ok {
			length, lies = c.Length, c.Lies
			if c.Radial > 0 {
				to := r.At.Add(p.Outward(r.At).Scale(c.Radial))
				out = append(out, ground.Wire{Radius: ringR, Path: [][3]float64{down(r.At, d), down(to, d)}})
			}
		}
		if length <= 0 {
			continue
		}
		tip := down(r.At, float64(r.Top)+length)
		if lies != "" {
			dir := p.Outward(r.At)
			switch lies {
			case "45":
				h := length / math.Sqrt2
				tip = down(r.At.Add(dir.Scale(h)), float64(r.Top)+h)
			case "flat":
				tip = down(r.At.Add(dir.Scale(length)), float64(r.Top))
			}
		}
		out = append(out, ground.Wire{Radius: float64(r.Radius), Path: [][3]float64{down(r.At, float64(r.Top)), tip}})
	}
	for _, r := range p.Radials {
		out = append(out, ground.Wire{Radius: radius(r.Wire), Path: [][3]float64{down(r.From, d), down(r.To, d)}})
	}
	if e.Whips {
		for _, w := range p.Whips {
			// From the tap itself: where two whips share a place on the ring
			// their taps are set apart, and so are they.
			path := [][3]float64{down(w.Tap, d)}
			if w.To.Dist(w.Tap) > 0.02 {
				path = append(path, down(w.To, d))
			}
			if w.EndZ >= 0 {
				path = append(path, down(w.To, 0))
			}
			if len(path) > 1 {
				out = append(out, ground.Wire{Radius: radius(w.Wire), Path: path})
			}
		}
	}
	return out
}

// metalOf returns the length of all wires, m.
func metalOf(ws []ground.Wire) float64 {
	sum := 0.0
	for _, w := range ws {
		for i := 1; i < len(w.Path); i++ {
			a, b := w.Path[i-1], w.Path[i]
			sum += geom.Point3{X: a[0], Y: a[1], Z: a[2]}.Dist(geom.Point3{X: b[0], Y: b[1], Z: b[2]})
		}
	}
	return sum
}
