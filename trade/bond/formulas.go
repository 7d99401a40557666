package bond

import (
	"math"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

var (
	std80    = cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "11.3 and 15.10", Seen: cite.FromMemory}
	handbook = cite.Ref{Work: "printed handbook table of conductor sizing constants, after IEEE Std 80-2000", Place: "copper, 40 C before the fault", Seen: cite.Read}
	byHand   = cite.Ref{Work: "series and parallel, worked by hand", Seen: cite.Derived}
)

// ring2 is a ring of 2 AWG solid copper of 124 ft with two points 6 ft apart.
func ring2() []Edge {
	w, err := unit.ParseWire("2")
	if err != nil {
		panic(err)
	}
	es, err := Run("ring", []Station{{"a", 0}, {"b", 6 * unit.Foot}}, 124*unit.Foot, conductor.Bare{Size: w, Solid: true}, 20)
	if err != nil {
		panic(err)
	}
	return es
}

func read(es []Edge, a, b string) float64 {
	n, err := New(es)
	if err != nil {
		return math.NaN()
	}
	r, err := n.Between(a, b)
	if err != nil {
		return math.NaN()
	}
	return float64(r)
}

func named(name string) Material {
	m, _, _ := MaterialNamed(name)
	return m
}

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "bond.between", Name: "resistance of the metal between two points", Equation: "G v = e(a) - e(b), R = v(a) - v(b)",
		Symbols: []trace.Symbol{
			{Sym: "R", Meaning: "resistance between points a and b", Unit: "ohm"},
			{Sym: "G", Meaning: "matrix of the conductances between all points", Unit: "S"},
			{Sym: "v", Meaning: "potential of every point for one ampere", Unit: "V"},
			{Sym: "e", Meaning: "one at a point, zero elsewhere", Unit: "A"},
		},
		Range: "metal alone: the soil is ohms beside thousandths", Cite: kirchhoff,
		Checks: []trace.Check{
			{
				Name: "two points 6 ft apart on a ring of 124 ft of 2 AWG solid: 6 ft beside 118 ft at 0.1563 mohm/ft", Want: 0.1563e-3 * 6 * 118 / 124, Tol: 0.001,
				Got: func() float64 { return read(ring2(), "a", "b") }, Source: byHand,
			},
			{
				Name: "balanced bridge of five pieces of 1 ohm", Want: 1, Tol: 1e-12,
				Got: func() float64 {
					return read([]Edge{Joint("1", "a", "c", 1), Joint("2", "a", "d", 1), Joint("3", "c", "b", 1), Joint("4", "d", "b", 1), Joint("5", "c", "d", 1)}, "a", "b")
				}, Source: byHand,
			},
		},
	},
	{
		ID: "bond.fusing.factor", Name: "sizing constant of a conductor in a fault", Equation: "K = 1/(c sqrt(TCAP/(alpha rho) ln((K0 + Tm)/(K0 + Ta))))",
		Symbols: []trace.Symbol{
			{Sym: "K", Meaning: "area for each kA and root second", Unit: "kcmil/(kA s^0.5)"},
			{Sym: "c", Meaning: "coefficient of the units", Unit: "kA/kcmil"},
			{Sym: "TCAP", Meaning: "heat capacity by volume", Unit: "J/(cm3 C)"},
			{Sym: "alpha", Meaning: "temperature coefficient of resistivity at 20 C", Unit: "1/C"},
			{Sym: "rho", Meaning: "resistivity at 20 C", Unit: "microhm-cm"},
			{Sym: "K0", Meaning: "inverse of the coefficient at 0 C", Unit: "C"},
			{Sym: "Tm", Meaning: "temperature that the metal or its joints bear", Unit: "C"},
			{Sym: "Ta", Meaning: "temperature before the fault", Unit: "C"},
		},
		Range: "no heat lost", Cite: std80,
		Checks: []trace.Check{
			{Name: "annealed copper to fusing", Want: 7.00, Tol: 0.006, Got: func() float64 { return FusingFactor(named("copper annealed"), 1083, 40) }, Source: std80},
			{Name: "annealed copper, 450 C", Want: 9.18, Tol: 0.004, Got: func() float64 { return FusingFactor(named("copper annealed"), 450, 40) }, Source: handbook},
		},
	},
	{
		ID: "bond.fusing.area", Name: "least area of a conductor in a fault", Equation: "A = K I sqrt(t)",
		Symbols: []trace.Symbol{
			{Sym: "A", Meaning: "least metal area", Unit: "kcmil"},
			{Sym: "K", Meaning: "sizing constant", Unit: "kcmil/(kA s^0.5)"},
			{Sym: "I", Meaning: "fault current with its offset, rms", Unit: "kA"},
			{Sym: "t", Meaning: "duration", Unit: "s"},
		},
		Range: "no heat lost", Cite: std80,
		Checks: []trace.Check{{
			Name: "30 s, brazed joints, for each ampere", Want: 50, Tol: 0.1,
			Got:    func() float64 { return LeastArea(FusingFactor(named("copper annealed"), 450, 40), 1000, 30) },
			Source: cite.Ref{Work: "IEEE Std 80", Edition: "1976", Place: "table of copper sizes, circular mils for each ampere", Seen: cite.FromMemory},
		}},
	},
	{
		ID: "bond.onderdonk", Name: "least area of copper in a fault, older equation", Equation: "A = I/sqrt(log10((Tm - Ta)/(234 + Ta) + 1)/(33 t))",
		Symbols: []trace.Symbol{
			{Sym: "A", Meaning: "least metal area", Unit: "kcmil"},
			{Sym: "I", Meaning: "fault current, rms", Unit: "kA"},
			{Sym: "t", Meaning: "duration", Unit: "s"},
			{Sym: "Tm", Meaning: "temperature that the metal or its joints bear", Unit: "C"},
			{Sym: "Ta", Meaning: "temperature before the fault", Unit: "C"},
		},
		Range: "copper; no heat lost", Cite: cite.Ref{Work: "Onderdonk's equation", Place: "as printed in handbooks", Seen: cite.FromMemory},
		Checks: []trace.Check{
			{Name: "25 kA for 2 s to fusing", Want: 246, Tol: 0.003, Got: func() float64 { return Onderdonk(25000, 2, 1083, 40) }, Source: handbook},
			{Name: "25 kA for 2 s, brazed joints", Want: 322, Tol: 0.003, Got: func() float64 { return Onderdonk(25000, 2, 450, 40) }, Source: handbook},
		},
	},
	{
		ID: "bond.withstand", Name: "fault current that a conductor carries", Equation: "I = A/(K sqrt(t) Df)",
		Symbols: []trace.Symbol{
			{Sym: "I", Meaning: "symmetrical fault current, rms", Unit: "kA"},
			{Sym: "A", Meaning: "metal area", Unit: "kcmil"},
			{Sym: "K", Meaning: "sizing constant", Unit: "kcmil/(kA s^0.5)"},
			{Sym: "t", Meaning: "duration", Unit: "s"},
			{Sym: "Df", Meaning: "decrement factor", Unit: "-"},
		},
		Range: "no heat lost", Cite: std80,
		Checks: []trace.Check{{
			Name: "2 AWG copper, 0.5 s, X/R 40", Want: 12000, Tol: 0.05,
			Got: func() float64 {
				return float64(Withstand(66.36, FusingFactor(named("copper annealed"), 1083, 40), 0.5, DecrementFactor(0.5, 40, 60)))
			},
			Source: cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "Table 3, p 46", Seen: cite.Read},
		}},
	},
	{
		ID: "bond.decrement", Name: "decrement factor of an offset fault current", Equation: "Df = sqrt(1 + Ta/tf (1 - exp(-2 tf/Ta))), Ta = (X/R)/(2 pi f)",
		Symbols: []trace.Symbol{
			{Sym: "Df", Meaning: "factor on the symmetrical current", Unit: "-"},
			{Sym: "tf", Meaning: "duration", Unit: "s"},
			{Sym: "Ta", Meaning: "time constant of the offset", Unit: "s"},
			{Sym: "X/R", Meaning: "reactance over resistance of the source", Unit: "-"},
			{Sym: "f", Meaning: "frequency", Unit: "Hz"},
		},
		Range: "current fully offset at the start", Cite: std80,
		Checks: []trace.Check{{
			Name: "0.1 s, X/R 20, 60 Hz", Want: 1.232, Tol: 0.0015, Got: func() float64 { return DecrementFactor(0.1, 20, 60) },
			Source: cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "Table 10", Seen: cite.FromMemory},
		}},
	},
}
