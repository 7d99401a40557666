package answer

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/ground"
)

// Textbook returns the textbook values that stand beside the solution, for
// comparison only. They hold in uniform soil and for simpler shapes; in layers
// there are none.
func (b *Book) Textbook() []*trace.Value {
	return memo(b, "ground.textbook", func() []*trace.Value {
		p := b.Plan
		g := b.SoilModel()
		if p.Ring == nil || !g.OK() || !p.Wire().Set() {
			return nil
		}
		rho, uniform := g.Model.Uniform()
		if !uniform {
			return nil
		}
		u := p.Site.Units
		line := geom.Outline(p.Ring.Polyline(arcTol))
		area := math.Abs(line.Area())
		d := unit.Metre(math.Sqrt(4 * area / math.Pi))
		w := p.Wire()
		radius := conductor.Bare{Size: w.Size, Solid: w.Solid, Tinned: w.Tinned}.Radius()
		areaV := trace.Derive("ground.ring.area", "area inside the ring", area, "m2", unit.Figures(area, 4)+" m2", trace.By{ID: "geometry.area", Equation: "A by the corners of the ring", Cite: Geometry}, input("ground.ring.corners", "corners of the ring", p.Ring.Len(), "m", u.Run(p.Ring.Takeoff)+" round"))
		num := func(v float64) string { return unit.Figures(v, 4) }
		var out []*trace.Value
		add := func(id, key, name string, r unit.Ohm, put string, from ...*trace.Value) {
			f := formula(id)
			v := trace.Derive("ground.textbook."+key, name, float64(r), "ohm", unit.Ohms(r), trace.By{ID: id, Equation: f.Equation, Put: put, Cite: f.Cite}, from...)
			if a := b.keep(v); a.OK() {
				out = append(out, a.Value)
			}
		}
		add("ground.ring.circular", "ring", "a circular ring of the same area, no rods", ground.CircularRing(rho, d, radius, p.Ring.Depth),
			fmt.Sprintf("rho = %s ohm-m, D = %s m, w = %s m, s = %s m", num(float64(rho)), num(float64(d)), num(2*float64(radius)), num(2*float64(p.Ring.Depth))), g.Value, areaV)
		for _, r := range p.Rods {
			if !r.Radial {
				add("ground.rod.buried", "rod", "one rod by itself, its top at the ring's depth", ground.RodBuried(rho, r.Length, r.Radius, r.Top),
					fmt.Sprintf("rho = %s ohm-m, L = %s m, a = %s m, t = %s m", num(float64(rho)), num(float64(r.Length)), num(float64(r.Radius)), num(float64(r.Top))), g.Value)
				break
			}
		}
		metal := metalOf(Wires(p, Electrode{}))
		add("ground.mesh.laurent", "area", "the area and all its conductor, simplified", ground.Laurent(rho, area, unit.Metre(metal)),
			fmt.Sprintf("rho = %s ohm-m, A = %s m2, L = %s m", num(float64(rho)), num(area), num(metal)), g.Value, areaV)
		return out
	})
}

func formula(id string) trace.Formula {
	for _, f := range ground.Formulas {
		if f.ID == id {
			f.Name = strings.TrimSuffix(f.Name, " (textbook)")
			return f
		}
	}
	return trace.Formula{ID: id}
}
