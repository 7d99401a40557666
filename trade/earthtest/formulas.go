package earthtest

import (
	"math"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

var (
	milHandbook = cite.Ref{Work: "MIL-HDBK-419A", Place: "Vol I eq. 2-41 to 2-46", Seen: cite.Read, Note: "the zero moved off the center here"}
	tagg        = cite.Ref{Work: "G. F. Tagg, Proc. IEE", Edition: "1970", Place: "slope method, table of P/C by mu", Seen: cite.FromMemory}
	golden      = cite.Ref{Work: "published tests of grounding", Place: "61.8 % rule", Seen: cite.Read}
	circuits    = cite.Ref{Work: "circuit theory", Place: "resistances in parallel", Seen: cite.Derived}
	handWorked  = cite.Ref{Work: "worked by hand", Seen: cite.Derived}

	symR   = trace.Symbol{Sym: "R", Meaning: "resistance or reading", Unit: "ohm"}
	symRad = trace.Symbol{Sym: "r", Meaning: "radius of the hemisphere", Unit: "m"}
	symC   = trace.Symbol{Sym: "C", Meaning: "distance of the outer stake from the zero", Unit: "m"}
	symP   = trace.Symbol{Sym: "p", Meaning: "distance of the inner stake from the zero", Unit: "m"}
)

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "earthtest.hemisphere", Name: "three-pole reading of a hemisphere", Equation: "R = rho/(2 pi) (1/r - 1/(p+x) - 1/(C+x) + 1/(C-p))",
		Symbols: []trace.Symbol{symR, {Sym: "rho", Meaning: "resistivity of the soil", Unit: "ohm-m"}, symRad, {Sym: "x", Meaning: "how far behind the zero the center lies", Unit: "m"}, symC, symP},
		Range:   "uniform soil, stakes far off", Cite: milHandbook,
		Checks: []trace.Check{{
			Name: "1 m in 100 ohm-m, stakes at 5 and 10 m: 10 % under 15.915 ohm", Want: 0.9 * 15.9155, Tol: 1e-4,
			Got: func() float64 { return float64(HemisphereReading(100, 1, 0, 10, 5)) }, Source: handWorked,
		}},
	},
	{
		ID: "earthtest.hemisphere.error", Name: "error of a three-pole reading of a hemisphere", Equation: "e = r (1/(C-p) - 1/p - 1/C)",
		Symbols: []trace.Symbol{{Sym: "e", Meaning: "share by which the reading is over the truth", Unit: "-"}, symRad, symC, symP},
		Range:   "zero at the center; uniform soil, stakes far off", Cite: milHandbook,
		Checks: []trace.Check{
			{Name: "inner stake at half of ten radii", Want: -0.1, Tol: 1e-9, Got: func() float64 { return float64(HemisphereError(1, 10, 5)) }, Source: handWorked},
			{Name: "at 61.8 % there is none", Want: 0, Tol: 1e-4, Abs: true, Got: func() float64 { return float64(HemisphereError(1, 10, 6.1803)) }, Source: golden},
		},
	},
	{
		ID: "earthtest.share", Name: "where a hemisphere reads true", Equation: "P = 0.618 (1 + X) - X",
		Symbols: []trace.Symbol{{Sym: "P", Meaning: "inner stake, share of the outer one's distance", Unit: "-"}, {Sym: "X", Meaning: "offset of the center behind the zero, share of it", Unit: "-"}},
		Range:   "uniform soil, stakes far off; 0.618 is (sqrt(5)-1)/2", Cite: milHandbook,
		Checks: []trace.Check{{Name: "zero at the center", Want: 0.618, Tol: 0.0005, Abs: true, Got: func() float64 { return TrueShare(0) }, Source: golden}},
	},
	{
		ID: "earthtest.slope.mu", Name: "slope coefficient", Equation: "mu = (R3 - R2)/(R2 - R1)",
		Symbols: []trace.Symbol{{Sym: "mu", Meaning: "slope coefficient", Unit: "-"}, {Sym: "R1, R2, R3", Meaning: "readings at 0.2, 0.4 and 0.6 of the outer stake's distance", Unit: "ohm"}},
		Range:   "printed tables run from 0.40 to 1.59", Cite: tagg,
		Checks: []trace.Check{{Name: "2.95, 3.98 and 5.06 ohm", Want: 108. / 103, Tol: 1e-9, Got: func() float64 { return SlopeOf(2.95, 3.98, 5.06) }, Source: handWorked}},
	},
	{
		ID: "earthtest.slope.share", Name: "place of the slope method's reading", Equation: "mu(X) = (f(.6) - f(.4))/(f(.4) - f(.2)), f(p) = 1/(1-p) - 1/(p+X); P = 0.618 (1 + X) - X",
		Symbols: []trace.Symbol{{Sym: "P", Meaning: "inner stake, share of the outer one's distance", Unit: "-"}, {Sym: "mu", Meaning: "slope coefficient", Unit: "-"}, {Sym: "X", Meaning: "offset of the center, share of it", Unit: "-"}, {Sym: "f", Meaning: "what changes along the line, times C", Unit: "-"}, {Sym: "p", Meaning: "place on the line, share of it", Unit: "-"}},
		Range:   "mu above 0 and under 1.863", Cite: tagg,
		Checks: []trace.Check{
			{Name: "mu 0.40", Want: 0.643, Tol: 0.001, Got: func() float64 { s, _ := SlopeShare(0.40); return s }, Source: tagg},
			{Name: "the 62 % rule's own slope, 4/7", Want: 0.618, Tol: 0.0005, Abs: true, Got: func() float64 { s, _ := SlopeShare(4. / 7); return s }, Source: golden},
		},
	},
	{
		ID: "earthtest.spread", Name: "flatness of the curve", Equation: "s = (R(0.72 C) - R(0.52 C))/R(0.62 C)",
		Symbols: []trace.Symbol{{Sym: "s", Meaning: "spread about 62 %", Unit: "-"}, {Sym: "R(p)", Meaning: "reading with the inner stake at p", Unit: "ohm"}, symC},
		Range:   "any electrode", Cite: cite.Ref{Work: cite.Practice.Work, Place: "ten percent of the lead to either side of 62 %", Seen: cite.Derived},
		Checks: []trace.Check{{Name: "4.5, 5, 6 ohm", Want: 0.3, Tol: 1e-9, Got: func() float64 { return float64(Spread(4.5, 5, 6)) }, Source: handWorked}},
	},
	{
		ID: "earthtest.fit", Name: "resistance by the fitted curve", Equation: "ln R(p) = ln k + ln S(p) + z dlnS/dz + e dlnS/de + d(p) + n, R_true = k S_true",
		Symbols: []trace.Symbol{
			{Sym: "R(p)", Meaning: "reading with the inner stake at p", Unit: "ohm"},
			{Sym: "R_true", Meaning: "resistance", Unit: "ohm"},
			{Sym: "S(p), S_true", Meaning: "the same of a shape: the electrode as built in a soil that is believed", Unit: "ohm"},
			{Sym: "k", Meaning: "scale, free", Unit: "-"},
			{Sym: "z", Meaning: "error of the place of the zero", Unit: "m"},
			{Sym: "e", Meaning: "error of the outer stake's distance, share of it", Unit: "-"},
			{Sym: "d", Meaning: "discrepancy between soil as it is and as layers, correlated along the line", Unit: "-"},
			{Sym: "n", Meaning: "noise of a reading", Unit: "-"},
		},
		Range: "shapes that lie no farther apart than a fifth to a quarter in ratio and depth",
		Cite:  cite.Ref{Work: "Kennedy and O'Hagan, J. R. Stat. Soc. B 63", Edition: "2001", Place: "discrepancy term; generalized least squares", Seen: cite.FromMemory},
		Checks: []trace.Check{{
			Name: "readings of a hemisphere of 4 m in 80 ohm-m from 15 m, believed in 130 ohm-m: rho/(2 pi r)", Want: 3.1831, Tol: 1e-4,
			Got: func() float64 { return fittedHemisphere(80, 130, 4, 15) }, Source: handWorked,
		}},
	},
	{
		ID: "earthtest.parallel", Name: "two grounds joined", Equation: "R = R1 R2/(R1 + R2)",
		Symbols: []trace.Symbol{symR, {Sym: "R1, R2", Meaning: "the two resistances", Unit: "ohm"}}, Range: "far from each other", Cite: circuits,
		Checks: []trace.Check{{Name: "4.68 beside 0.8 ohm", Want: 0.68, Tol: 0.01, Got: func() float64 { return float64(Parallel(4.68, 0.8)) }, Source: handWorked}},
	},
	{
		ID: "earthtest.neighbor", Name: "what would have to be joined", Equation: "Rn = 1/(1/r - 1/R)",
		Symbols: []trace.Symbol{{Sym: "Rn", Meaning: "resistance of the other ground", Unit: "ohm"}, {Sym: "r", Meaning: "reading", Unit: "ohm"}, {Sym: "R", Meaning: "the electrode's own", Unit: "ohm"}}, Range: "r under R; far from each other", Cite: circuits,
		Checks: []trace.Check{{Name: "10 ohm that reads 5: another of 10", Want: 10, Tol: 1e-12, Got: func() float64 { return float64(Neighbor(5, 10)) }, Source: handWorked}},
	},
}

// fittedHemisphere returns the fitted resistance of a hemisphere that was
// believed to be in another soil, its zero at its edge.
func fittedHemisphere(rho, believed unit.OhmMetre, r, stake unit.Metre) float64 {
	var rs []Reading
	for _, share := range []unit.Metre{0.2, 0.3, 0.4, 0.5, 0.6, 0.7} {
		rs = append(rs, Reading{At: share * stake, Ohm: HemisphereReading(rho, r, r, stake, share*stake)})
	}
	shape := Shape{Name: "hemisphere", Resistance: unit.Ohm(float64(believed) / (2 * math.Pi * float64(r))), Predict: func(c unit.Metre, ps []unit.Metre) ([]unit.Ohm, error) {
		var out []unit.Ohm
		for _, p := range ps {
			out = append(out, HemisphereReading(believed, r, r, c, p))
		}
		return out, nil
	}}
	f, err := FitCurve(stake, rs, []Shape{shape}, FitOptions{})
	if err != nil {
		return math.NaN()
	}
	return float64(f.Median)
}
