package answer

import (
	"fmt"

	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/ground"
)

// RodsAlone returns the resistance of the rods of a plan that has no ring,
// joined above grade: what the code asks of one rod alone.
func (b *Book) RodsAlone() Answer {
	const path = "ground.resistance.rods-alone"
	return memo(b, path, func() Answer {
		p := b.Plan
		switch {
		case p.Ring != nil:
			return cannot("rods alone: here they stand on a ring")
		case len(p.Rods) == 0:
			return cannot("a rod")
		}
		g := b.SoilModel()
		if !g.OK() {
			return g.Answer
		}
		var wires []ground.Wire
		var metal float64
		for _, r := range p.Rods {
			top := float64(r.Top)
			wires = append(wires, ground.Wire{Radius: float64(r.Radius), Path: [][3]float64{{r.At.X, r.At.Y, top}, {r.At.X, r.At.Y, top + float64(r.Driven)}}})
			metal += float64(r.Driven)
		}
		sol, err := ground.Solve(b.ctx, g.Model, []ground.Electrode{{ID: "rods", Wires: wires}}, ground.Options{})
		if err != nil {
			return cannot("a solution of the field: " + err.Error())
		}
		r := float64(sol.Resistance(0))
		in := input(path+".metal", "rod in the soil", metal, "m", p.Site.Units.Length(unit.Metre(metal)))
		return b.keep(trace.Derive(path, "resistance of the rods alone", r, "ohm", unit.Ohms(unit.Ohm(r)),
			trace.By{
				ID: "ground.field", Equation: "R = V / I, from A i = V 1 with A the mutual resistances of all elements",
				Put: fmt.Sprintf("V = 1 V on %d elements gives I = %s A", sol.Elements(), unit.Figures(1/r, 4)), Cite: FieldSolution,
			}, g.Value, in))
	})
}
