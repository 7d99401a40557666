package answer

import (
	"math"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/raceway"
)

// byHand is the citation of a check that a reader can do on paper.
var byHand = cite.Ref{Work: "worked by hand", Place: "sum, difference or exponential", Seen: cite.Derived}

// Formulas describes the equations by which runs are answered and that belong
// to no trade package.
var Formulas = []trace.Formula{
	{
		ID: "run.bends", Name: "sum of the bends of a section", Equation: "sum = a1 + a2 + ..",
		Symbols: []trace.Symbol{{Sym: "sum", Meaning: "bends between two pull points", Unit: "deg"}, {Sym: "a", Meaning: "size of one bend, whichever way it turns", Unit: "deg"}},
		Range:   "offsets and saddles counted by each of their bends", Cite: Geometry,
		Checks: []trace.Check{{
			Name: "90, offset 30/30, kick 15, 90", Want: 255, Tol: 1e-12, Source: byHand,
			Got: func() float64 { return float64(raceway.BendSum([]unit.Degree{90, 30, 30, 15, 90})) },
		}},
	},
	{
		ID: "run.length", Name: "length of a section along its centerline", Equation: "L = straights + arcs",
		Symbols: []trace.Symbol{{Sym: "L", Meaning: "length", Unit: "m"}, {Sym: "straights", Meaning: "tangent to tangent", Unit: "m"}, {Sym: "arcs", Meaning: "R a pi/180 of each bend", Unit: "m"}},
		Range:   "any run", Cite: Geometry,
		Checks: []trace.Check{{
			Name: "144 ft of straight, 135 degrees at 36 in", Want: 151.069, Tol: 0.001, Abs: true, Source: byHand,
			Got: func() float64 { return 144 + raceway.DevelopedLength(36*unit.Inch, 135).Ft() },
		}},
	},
	{
		ID: "run.cover", Name: "cover of a buried raceway", Equation: "cover = depth - OD / 2",
		Symbols: []trace.Symbol{{Sym: "cover", Meaning: "finished grade to the top of the raceway", Unit: "m"}, {Sym: "depth", Meaning: "finished grade to the centerline", Unit: "m"}, {Sym: "OD", Meaning: "outside diameter", Unit: "m"}},
		Range:   "level grade", Cite: Geometry,
		Checks: []trace.Check{{
			Name: "2 in PVC-40 with its centerline 19-3/16 in deep", Want: 18, Tol: 1e-9, Abs: true, Source: byHand,
			Got: func() float64 { return coverOf(19.1875*unit.Inch, 2.375*unit.Inch).In() },
		}},
	},
	{
		ID: "run.inside-radius", Name: "inside radius of a bend", Equation: "r = R - ID / 2",
		Symbols: []trace.Symbol{{Sym: "r", Meaning: "radius that a cable lies on", Unit: "m"}, {Sym: "R", Meaning: "radius to the centerline", Unit: "m"}, {Sym: "ID", Meaning: "inside diameter", Unit: "m"}},
		Range:   "any bend", Cite: Geometry,
		Checks: []trace.Check{{
			Name: "36 in sweep, 2 in inside", Want: 35, Tol: 1e-9, Abs: true, Source: byHand,
			Got: func() float64 { return insideOf(36*unit.Inch, 2*unit.Inch).In() },
		}},
	},
	{
		ID: "run.supports", Name: "least number of supports", Equation: "n = 1 + ceil((L - 2 f) / s), 1 where L <= 2 f",
		Symbols: []trace.Symbol{{Sym: "n", Meaning: "supports", Unit: "-"}, {Sym: "L", Meaning: "stretch in the open between ends", Unit: "m"}, {Sym: "f", Meaning: "greatest distance of a support from an end", Unit: "m"}, {Sym: "s", Meaning: "greatest spacing", Unit: "m"}},
		Range:   "one stretch between boxes or ends", Cite: Geometry,
		Checks: []trace.Check{{
			Name: "60 ft, 3 ft, 10 ft: at 3, 12, 21, 30, 39, 48, 57 ft", Want: 7, Tol: 1e-12, Source: byHand,
			Got: func() float64 { return supportsOf(60*unit.Foot, 3*unit.Foot, 10*unit.Foot) },
		}},
	},
	{
		ID: "run.bend-cost", Name: "what bends cost in pulling tension", Equation: "T2 / T1 = e^(mu a)",
		Symbols: []trace.Symbol{{Sym: "T2 / T1", Meaning: "tension out of the bend over tension in", Unit: "-"}, {Sym: "mu", Meaning: "coefficient of friction", Unit: "-"}, {Sym: "a", Meaning: "angle of the bend", Unit: "rad"}},
		Range:   "the weight of the cable left out: a limit for high tension", Cite: capstan,
		Checks: []trace.Check{
			{Name: "90 degrees at 0.2", Want: 1.3691, Tol: 5e-5, Abs: true, Source: byHand, Got: func() float64 { return BendFactor(0.2, 90) }},
			{Name: "one turn at ln 2 / (2 pi) doubles", Want: 2, Tol: 1e-12, Source: byHand, Got: func() float64 { return BendFactor(math.Ln2/(2*math.Pi), 360) }},
		},
	},
}

// coverOf returns the cover of a raceway:
//
//	cover = depth - OD / 2
func coverOf(depth, od unit.Metre) unit.Metre { return depth - od/2 }

// insideOf returns the inside radius of a bend:
//
//	r = R - ID / 2
func insideOf(r, id unit.Metre) unit.Metre { return r - id/2 }

// supportsOf returns the least number of supports of a stretch:
//
//	n = 1 + ceil((L - 2 f) / s), 1 where L <= 2 f
func supportsOf(l, first, spacing unit.Metre) float64 {
	if l <= 2*first {
		return 1
	}
	return 1 + math.Ceil(float64((l-2*first)/spacing)-1e-9)
}
