package route

import (
	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
)

const (
	poundForce = 4.4482216152605 // newtons, exact by definition
	perFootLbf = poundForce / 0.3048
)

var (
	manual = cite.Ref{Work: "a conduit maker's printed construction manual", Place: "pp. 44, 68-71", Seen: cite.Read}
	byHand = cite.Ref{Work: "worked by hand", Seen: cite.Derived}
)

func sym(s, meaning, u string) trace.Symbol { return trace.Symbol{Sym: s, Meaning: meaning, Unit: u} }

// Formulas are the plain forms that the search may be run with, and the one it
// rests on.
var Formulas = []trace.Formula{
	{
		ID: "route.pull.straight", Name: "tension that a straight adds, plain form", Equation: "b = w L (sin a + mu cos a), and not under 0",
		Symbols: []trace.Symbol{sym("b", "tension added", "N"), sym("w", "weight of the cables by length", "N/m"), sym("L", "length", "m"), sym("a", "rise of the straight, positive upward in the direction of the pull", "rad"), sym("mu", "coefficient of friction", "-")},
		Range:   "cables of one pull; a fall earns no credit", Cite: cite.Ref{Work: "common pulling practice", Place: "straight form", Seen: cite.Derived},
		Checks: []trace.Check{
			{Name: "500 ft of 0.144 lb/ft at 0.5, in lbf", Want: 36, Tol: 0.1, Abs: true, Source: manual, Got: func() float64 {
				return 500 * float64(unit.Foot) * float64(StraightPull(0.144*perFootLbf, 0.5, geom.Point3{X: 1})) / poundForce
			}},
			{Name: "straight up friction adds nothing: the weight", Want: 2, Tol: 1e-12, Source: byHand, Got: func() float64 {
				return float64(StraightPull(2, 0.5, geom.Point3{Z: 1}))
			}},
		},
	},
	{
		ID: "route.pull.bend", Name: "tension out of a bend, capstan form", Equation: "T2 = T1 e^(mu a)",
		Symbols: []trace.Symbol{sym("T2", "tension out", "N"), sym("T1", "tension in", "N"), sym("mu", "coefficient of friction", "-"), sym("a", "angle of the bend", "rad")},
		Range:   "T1 well above weight times radius; the cable's weight in the bend is left out", Cite: cite.Ref{Work: "common pulling practice", Place: "capstan form", Seen: cite.Derived},
		Checks: []trace.Check{
			{Name: "36 lbf into 90 degrees at 0.5", Want: 79, Tol: 0.5, Abs: true, Source: manual, Got: func() float64 { return float64(Capstan(36, 0.5, 90)) }},
			{Name: "multiplier of 30 degrees at 0.3", Want: 1.17, Tol: 0.006, Abs: true, Source: manual, Got: func() float64 { return float64(Capstan(1, 0.3, 30)) }},
			{Name: "multiplier of 90 degrees at 0.7", Want: 3.0, Tol: 0.006, Abs: true, Source: manual, Got: func() float64 { return float64(Capstan(1, 0.7, 90)) }},
		},
	},
	{
		ID: "route.pull.allowance", Name: "largest tension that may enter a bend from the far end", Equation: "H' = min(H, S R) / e^(mu a)",
		Symbols: []trace.Symbol{sym("H'", "largest tension in", "N"), sym("H", "largest tension out", "N"), sym("S", "limit of sidewall pressure", "N/m"), sym("R", "radius that the cable lies on", "m"), sym("mu", "coefficient of friction", "-"), sym("a", "angle of the bend", "rad")},
		Range:   "as the capstan form", Cite: cite.Ref{Work: "capstan form", Place: "solved for the tension in", Seen: cite.Derived},
		Checks: []trace.Check{
			// The manual's 36 lbf in and 79 out, the other way round.
			{Name: "79 lbf may leave, no sidewall limit, 90 degrees at 0.5", Want: 36, Tol: 0.25, Abs: true, Source: manual, Got: func() float64 { return float64(Allowance(79, 0, 0.5, 1, 90)) }},
			{Name: "sidewall governs: 20 N/m on 2 m", Want: 40 / 2.19328, Tol: 1e-5, Source: byHand, Got: func() float64 { return float64(Allowance(79, 20, 0.5, 2, 90)) }},
		},
	},
}
