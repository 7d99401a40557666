package answer

import (
	"errors"
	"fmt"
	"strings"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/ground"
	"stubup/trade/soil"
)

// FieldSolution is the citation of the solver: it is checked against
// published values and an axisymmetric field solution in its own tests.
var FieldSolution = cite.Ref{Work: "field solution", Place: "equipotential thin conductors in layered soil", Seen: cite.Derived}

// Ground is the soil model as it is used, or why there is none.
type Ground struct {
	Answer
	Model soil.Model
	Kind  string       // "layers as entered", "four-pin readings, uniform", "four-pin readings, fitted"
	Fit   *soil.Fitted // where the layers were fitted to readings
}

// SoilModel returns the layers that resistance is computed in. Four-pin
// readings make a uniform model where they agree; otherwise layers are fitted
// to them, never one average, and only where they bear it.
func (b *Book) SoilModel() Ground {
	return memo(b, "soil.model", func() Ground {
		s := b.Plan.Site.Soil
		switch {
		case len(s.Layers) > 0:
			var m soil.Model
			var words []string
			var from []*trace.Value
			for i, l := range s.Layers {
				if !l.Resistivity.Set {
					return Ground{Answer: cannot(fmt.Sprintf("the resistivity of soil layer %d", i+1))}
				}
				m = append(m, soil.Layer{Resistivity: l.Resistivity.SI, Thickness: l.Thickness.Or(0)})
				v := trace.Input(fmt.Sprintf("soil.layers[%d].resistivity", i+1), fmt.Sprintf("resistivity of soil layer %d", i+1), float64(l.Resistivity.SI), "ohm-m", l.Resistivity.Text, s.Standing, source(s.Source))
				from = append(from, v)
				w := l.Resistivity.Text
				if l.Thickness.Set {
					w += " to " + l.Thickness.Text
					from = append(from, trace.Input(fmt.Sprintf("soil.layers[%d].thickness", i+1), fmt.Sprintf("thickness of soil layer %d", i+1), float64(l.Thickness.SI), "m", l.Thickness.Text, s.Standing, source(s.Source)))
				}
				words = append(words, w)
			}
			if err := m.Validate(); err != nil {
				return Ground{Answer: cannot("sound soil layers: " + err.Error())}
			}
			text := strings.Join(words, ", then ")
			if len(m) == 1 {
				text = words[0] + " throughout"
			}
			v := trace.Derive("soil.model", "soil", float64(m[0].Resistivity), "ohm-m", text, trace.By{Cite: source(s.Source)}, from...)
			return Ground{Answer: b.keep(v), Model: m, Kind: "layers as entered"}
		case len(s.Readings) > 0:
			var rs []soil.Reading
			var from []*trace.Value
			for i, r := range s.Readings {
				rs = append(rs, soil.Reading{Spacing: r.Spacing.SI, Resistance: r.Ohms.SI})
				from = append(from, trace.Input(fmt.Sprintf("soil.readings[%d]", i+1), "four-pin reading at "+r.Spacing.Text, float64(r.Ohms.SI), "ohm", r.Ohms.Text, trace.Measured, cite.Ref{}))
			}
			m, sv, err := soil.FromReadings(rs)
			if err != nil {
				var need *soil.NeedsLayers
				if errors.As(err, &need) {
					return b.fitted(from, err)
				}
				return Ground{Answer: cannot("sound four-pin readings: " + err.Error())}
			}
			rho := float64(m[0].Resistivity)
			v := trace.Derive("soil.model", "soil, uniform by four-pin readings", rho, "ohm-m", unit.Figures(rho, 3)+" ohm-m throughout",
				trace.By{ID: "soil.four-pin", Equation: "rho = 2 pi a R, mean of the readings", Put: fmt.Sprintf("%d readings, spread %s %%", len(rs), unit.Fixed(float64(sv.Spread)*100, 1)), Cite: cite.Ref{Work: "IEEE Std 81", Place: "equally spaced four-pin method", Seen: cite.FromMemory}}, from...)
			return Ground{Answer: b.keep(v), Model: m, Kind: "four-pin readings, uniform"}
		}
		return Ground{Answer: cannot("the soil: give layers, or four-pin readings")}
	})
}

func source(s string) cite.Ref {
	if s == "" {
		return cite.Ref{}
	}
	return cite.Ref{Work: s, Seen: cite.Read}
}

// Soil returns the soil as a value.
func (b *Book) Soil() Answer { return b.SoilModel().Answer }

// Design returns the resistance of ring and rods alone, as wanted: the design
// value. Posts, steel, foundations and other electrodes are left out.
func (b *Book) Design() Answer {
	return b.resistance("ground.resistance.design", "resistance of ring and rods alone", Electrode{})
}

// WithWhips returns the resistance with the buried part of every whip.
func (b *Book) WithWhips() Answer {
	return b.resistance("ground.resistance.with-whips", "resistance with the buried whips", Electrode{Whips: true})
}

// RingAlone returns the resistance of the ring without its rods.
func (b *Book) RingAlone() Answer {
	return b.resistance("ground.resistance.ring-alone", "resistance of the ring without rods", Electrode{NoRods: true})
}

// AsDriven returns the resistance with the rods as they were driven.
func (b *Book) AsDriven() Answer {
	return b.resistance("ground.resistance.as-driven", "resistance with the rods as driven", Electrode{Actual: true})
}

// WhatIf returns the resistance with some rods changed.
func (b *Book) WhatIf(key, name string, e Electrode) Answer {
	return b.resistance("ground.resistance.what-if."+key, name, e)
}

// whipElement is the longest element where the whips are in, m. Their many
// joints and ends are graded finely anyhow; longer elements between them move
// R by less than 0.05 % and cost a quarter.
const whipElement = 0.6

func (b *Book) resistance(path, name string, e Electrode) Answer {
	return memo(b, path, func() Answer {
		p := b.Plan
		if p.Ring == nil {
			return cannot("a ring: none is wanted, or it could not be drawn")
		}
		if !p.Wire().Set() {
			return cannot("the ground conductor's size")
		}
		g := b.SoilModel()
		if !g.OK() {
			return g.Answer
		}
		if p.Site.Ground.Rods == nil && !e.NoRods && len(p.Rods) == 0 {
			name = strings.Replace(name, "ring and rods alone", "ring alone, no rods wanted", 1)
		}
		wires := Wires(p, e)
		sol, err := b.solution(path, g.Model, e)
		if err != nil {
			return cannot("a solution of the field: " + err.Error())
		}
		r := float64(sol.Resistance(0))
		metal := metalOf(wires)
		sys := p.Site.Units
		geo := input(path+".metal", "bare metal in the soil", metal, "m", sys.Run(unit.Metre(metal)))
		depth := input("ground.ring.depth", "depth of the ring", float64(p.Ring.Depth), "m", sys.Short(p.Ring.Depth))
		v := trace.Derive(path, name, r, "ohm", unit.Ohms(unit.Ohm(r)),
			trace.By{
				ID: "ground.field", Equation: "R = V / I, from A i = V 1 with A the mutual resistances of all elements",
				Put: fmt.Sprintf("V = 1 V on %d elements of %d wires gives I = %s A", sol.Elements(), len(wires), unit.Figures(1/r, 4)), Cite: FieldSolution,
			},
			g.Value, geo, depth)
		return b.keep(v)
	})
}

// solved is a solution of the field, or why there is none.
type solved struct {
	*ground.Solution
	err error
}

// solution solves the field of an electrode in a soil, once for each key.
func (b *Book) solution(key string, m soil.Model, e Electrode) (*ground.Solution, error) {
	s := memo(b, "field."+key, func() solved {
		opt := ground.Options{}
		if e.Whips {
			opt.MaxLength = whipElement
		}
		s, err := ground.Solve(b.ctx, m, []ground.Electrode{{ID: "ground", Wires: Wires(b.Plan, e)}}, opt)
		return solved{s, err}
	})
	return s.Solution, s.err
}

// BreakEven returns the resistivity at which the design value would just meet
// a limit: in uniform soil the resistivity itself, in layers the factor by
// which every layer may grow.
func (b *Book) BreakEven(limit unit.Ohm) Answer {
	return memo(b, fmt.Sprintf("ground.break-even.%g", float64(limit)), func() Answer {
		d := b.Design()
		if !d.OK() {
			return d
		}
		g := b.SoilModel()
		lim := input("limit.resistance", "resistance limit", float64(limit), "ohm", unit.Ohms(limit))
		k := float64(limit) / d.Value.SI
		if rho, ok := g.Model.Uniform(); ok {
			be := float64(rho) * k
			return b.keep(trace.Derive("ground.break-even", "break-even resistivity", be, "ohm-m", unit.Fixed(be, 1)+" ohm-m",
				trace.By{ID: "ground.break-even", Equation: "rho_b = rho R_limit / R", Put: fmt.Sprintf("rho_b = %s x %s / %s", unit.Figures(float64(rho), 4), unit.Fixed(float64(limit), 2), unit.Figures(d.Value.SI, 4)), Cite: cite.Ref{Work: "R is proportional to resistivity", Seen: cite.Derived}},
				d.Value, g.Value, lim))
		}
		return b.keep(trace.Derive("ground.break-even", "factor by which every layer's resistivity may grow", k, "", unit.Fixed(k, 3)+" x",
			trace.By{ID: "ground.break-even", Equation: "k = R_limit / R", Put: fmt.Sprintf("k = %s / %s", unit.Fixed(float64(limit), 2), unit.Figures(d.Value.SI, 4)), Cite: cite.Ref{Work: "R is proportional to a common factor on all layers", Seen: cite.Derived}},
			d.Value, g.Value, lim))
	})
}

// RodOption is one way on after a rod refused.
type RodOption struct {
	_ [0]func() // never compared: no equality is compiled for it

	Words string
	Needs string // what must be true or asked first
	R     Answer
}

// RefusedRod computes what may be done about a rod that refused, in this
// site's own soil: other soils rank the options differently. The rod is never
// cut off.
func (b *Book) RefusedRod(id string) []RodOption {
	p := b.Plan
	r := p.RodByID(id)
	if r == nil || !r.Refused {
		return nil
	}
	full := float64(r.Length)
	driven := float64(r.Driven)
	what := func(key, words string, c Change) Answer {
		c.Rod = id
		return b.WhatIf(id+"."+key, words, Electrode{Changes: []Change{c}})
	}
	sys := p.Site.Units
	radial := 20 * unit.Foot
	if sys == unit.SI {
		radial = 6
	}
	return []RodOption{
		{Words: "left as it is, " + sys.Length(r.Driven) + " in the ground", Needs: "the rod is not an electrode by itself; the ring stands. A deviation opens", R: what("left", "resistance with rod "+id+" left short", Change{Length: driven})},
		{Words: "move 1 to 2 ft along the ring and drive again", Needs: "not into a located utility's band; expose by hand first", R: b.Design()},
		{Words: "drive at 45 degrees outward", Needs: "try this before laying it flat", R: what("45", "resistance with rod "+id+" at 45 degrees", Change{Length: full, Lies: "45"})},
		{Words: "lay it flat, outward, at the depth of the ring", Needs: "only after the try at 45 degrees is logged; whose land is it outside the fence", R: what("flat", "resistance with rod "+id+" laid flat", Change{Length: full, Lies: "flat"})},
		{Words: "leave it and add a radial of " + sys.Length(radial) + ", outward", Needs: "written acceptance by the owner; whose land is it outside the fence", R: what("radial", "resistance with rod "+id+" short and a radial", Change{Length: driven, Radial: float64(radial)})},
	}
}
