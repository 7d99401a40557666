package soil

import (
	"math"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

// beliefFormulas are the equations by which a resistance gets its band.
var beliefFormulas = []trace.Formula{
	{
		ID: "soil.rod.lone", Name: "one upright rod alone over two layers", Equation: "R = rho1 / sum i, P i = 1",
		Symbols: []trace.Symbol{
			{Sym: "R", Meaning: "resistance of the rod", Unit: "ohm"},
			{Sym: "rho1", Meaning: "resistivity of the upper layer", Unit: "ohm-m"},
			{Sym: "i", Meaning: "what leaks from each piece of the rod at one volt, over rho1", Unit: "m"},
			{Sym: "P", Meaning: "mean potentials of the pieces along each other, by the images of two layers", Unit: "1/m"},
		},
		Range: "level layers; the rod by itself, its trench counted as filled; within 3 % of the field solution",
		Cite:  cite.Ref{Work: "images of two layers", Place: "after Sunde", Seen: cite.FromMemory},
		Checks: []trace.Check{{
			// (ln(4 x 2.44/0.00794) - 1)/(2 pi 2.44) x 100
			Name: "8 ft of 5/8 in rod from the surface, 100 ohm-m: Dwight's rod", Want: 39.89, Tol: 0.01,
			Source: cite.Ref{Work: "Dwight, Calculation of resistances to ground", Edition: "1936", Place: "(rho/(2 pi L)) (ln(4L/a) - 1)", Seen: cite.FromMemory},
			Got:    func() float64 { return 100 * LoneRod(1, 5, 0, 2.44, 0.00794) },
		}},
	},
	{
		ID: "soil.belief", Name: "belief in two layers and in a resistance over them",
		Equation: "share of (ratio, h) ~ exp(-(q - b^2/a)/2); ln rho1 ~ normal(b/a, 1/a); R = rho1 g(ratio, h)",
		Symbols: []trace.Symbol{
			{Sym: "R", Meaning: "resistance of the electrode", Unit: "ohm"},
			{Sym: "ratio", Meaning: "lower over upper resistivity, every ln alike before any reading", Unit: "-"},
			{Sym: "h", Meaning: "depth of the boundary, every ln alike before any reading", Unit: "m"},
			{Sym: "rho1", Meaning: "resistivity of the upper layer", Unit: "ohm-m"},
			{Sym: "a", Meaning: "precision: sum over groups of n/(s^2 + n c^2), n readings of scatter s with a common factor of scatter c", Unit: "-"},
			{Sym: "b", Meaning: "sum over groups of (sum r)/(s^2 + n c^2), r = ln(read / computed at rho1 = 1)", Unit: "-"},
			{Sym: "q", Meaning: "sum over groups of (sum r^2 - c^2 (sum r)^2/(s^2 + n c^2))/s^2", Unit: "-"},
			{Sym: "g", Meaning: "resistance over rho1, by the field solution", Unit: "1/m"},
		},
		Range: "two level layers within 1:50, a boundary from 0.3 to 30 m; widened where they do not explain the readings",
		Cite:  cite.Ref{Work: "Bayes' theorem for a normal ln rho", Place: "integrated over ln rho1 in closed form", Seen: cite.Derived},
		Checks: []trace.Check{{
			// exp(1.64485 sqrt(0.03^2 + 0.10^2 + 0.05^2))
			Name: "upper end of the 90 % band of a rod that read 1 ohm once", Want: math.Exp(1.6448536 * math.Sqrt(0.0134)), Tol: 1e-6,
			Source: cite.Ref{Work: "by hand", Place: "exp(1.645 sqrt(0.03^2 + 0.10^2 + 0.05^2))", Seen: cite.Derived},
			Got: func() float64 {
				g, err := NewGrid(GridOptions{Ratios: 9, Depths: 9})
				if err != nil {
					return math.NaN()
				}
				t, err := g.LoneRod(0, 8*unit.Foot, 0.00794)
				if err != nil {
					return math.NaN()
				}
				b, err := NewBeliefs(g).Rod([]RodReading{{1, t}})
				if err != nil {
					return math.NaN()
				}
				m, err := b.Value(t, nil, 0)
				if err != nil {
					return math.NaN()
				}
				return m.Interval(0.9).High
			},
		}},
	},
}
