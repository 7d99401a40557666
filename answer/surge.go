package answer

import (
	"fmt"
	"math"

	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/surge"
)

// Front times of the two currents that estimates are given for: a slow first
// stroke and a fast subsequent one.
const (
	slowFront = unit.Second(10e-6)
	fastFront = unit.Second(1e-6)
)

// Lightning returns plain estimates of how the ground answers to a lightning
// current, for uniform soil; in layers there are none. They are no design.
func (b *Book) Lightning() []*trace.Value {
	return memo(b, "ground.lightning", func() []*trace.Value {
		p := b.Plan
		g := b.SoilModel()
		if p.Ring == nil || !g.OK() {
			return nil
		}
		rho, uniform := g.Model.Uniform()
		if !uniform {
			return nil
		}
		u := p.Site.Units
		var out []*trace.Value
		add := func(v *trace.Value) {
			if a := b.keep(v); a.OK() {
				out = append(out, a.Value)
			}
		}
		f := func(id string) trace.Formula {
			for _, f := range surge.Formulas {
				if f.ID == id {
					return f
				}
			}
			return trace.Formula{ID: id}
		}
		for _, c := range []struct {
			key, words string
			rise       unit.Second
		}{{"slow", "10 us front", slowFront}, {"fast", "1 us front", fastFront}} {
			fl := f("surge.effective-length")
			l := surge.EffectiveLength(rho, c.rise)
			v := trace.Derive("ground.lightning.reach-"+c.key, "how far from its feed a conductor takes part, "+c.words, float64(l), "m", u.Run(l),
				trace.By{ID: fl.ID, Equation: fl.Equation, Put: fmt.Sprintf("rho = %s ohm-m, T = %s us", unit.Figures(float64(rho), 4), unit.Trim(float64(c.rise)*1e6, 2)), Cite: fl.Cite}, g.Value)
			v.Outside = surge.Outside(rho, c.rise)
			add(v)
			for _, r := range p.Rods {
				fa := f("surge.impulse-coefficient")
				a := surge.ImpulseCoefficient(rho, c.rise, r.Length)
				w := trace.Derive("ground.lightning.rod-"+c.key, "impulse coefficient of one rod, "+c.words, a, "", unit.Fixed(a, 2),
					trace.By{ID: fa.ID, Equation: fa.Equation, Put: fmt.Sprintf("l = %s m", unit.Figures(float64(r.Length), 4)), Cite: fa.Cite}, g.Value)
				w.Outside = surge.Outside(rho, c.rise)
				add(w)
				break
			}
		}
		ft := f("surge.type-b")
		re := surge.EquivalentRadius(math.Abs(geom.Outline(p.Ring.Polyline(arcTol)).Area()))
		rv := trace.Derive("ground.lightning.radius", "equivalent radius of the ring", float64(re), "m", u.Run(re), trace.By{ID: ft.ID, Equation: ft.Equation, Put: "by the corners of the ring", Cite: ft.Cite},
			input("ground.ring.corners", "corners of the ring", p.Ring.Len(), "m", u.Run(p.Ring.Takeoff)+" round"))
		add(rv)
		for _, class := range []string{"I", "II", "III"} {
			l1, c, err := surge.LeastLength(class, rho)
			if err != nil {
				continue
			}
			words := u.Run(l1) + ", the ring has it"
			if e := surge.TypeB(re, l1); e.Needed {
				words = fmt.Sprintf("%s: add %s horizontal or %s vertical at each down conductor", u.Run(l1), u.Run(e.Horizontal), u.Run(e.Vertical))
			}
			add(trace.Derive("ground.lightning.l1-"+class, "least length, protection class "+class, float64(l1), "m", words, trace.By{ID: "surge.l1", Equation: "l1 by class and resistivity", Put: fmt.Sprintf("rho = %s ohm-m", unit.Figures(float64(rho), 4)), Cite: c}, g.Value, rv))
		}
		return out
	})
}
