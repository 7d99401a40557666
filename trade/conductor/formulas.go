package conductor

import (
	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

func wire(s string) unit.Wire {
	w, err := unit.ParseWire(s)
	if err != nil {
		panic(err)
	}
	return w
}

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "conductor.circle", Name: "area of a round conductor", Equation: "A = pi/4 d^2",
		Symbols: []trace.Symbol{{Sym: "A", Meaning: "area of the circle round the conductor", Unit: "in2"}, {Sym: "d", Meaning: "diameter", Unit: "in"}},
		Range:   "round conductors", Cite: cite.Ref{Work: "geometry", Place: "circle", Seen: cite.Derived},
		Checks: []trace.Check{{
			Name: "2 AWG THHN, 0.384 in", Want: 0.1158, Tol: 0.00005, Abs: true,
			Got:    func() float64 { return Circle(0.384 * unit.Inch).In2() },
			Source: cite.Ref{Work: "NFPA 70", Edition: "2008", Place: "Chapter 9 Table 5"},
		}},
	},
	{
		ID: "conductor.solid", Name: "diameter of a solid wire by its gauge", Equation: "d = d0 (d1/d0)^((36 - n)/39)",
		Symbols: []trace.Symbol{
			{Sym: "d", Meaning: "diameter", Unit: "in"},
			{Sym: "d0", Meaning: "diameter of 36 AWG", Unit: "in"},
			{Sym: "d1", Meaning: "diameter of 4/0 AWG", Unit: "in"},
			{Sym: "n", Meaning: "gauge number, 0 for 1/0, -3 for 4/0", Unit: "-"},
		},
		Range: "18 to 4/0 AWG; above, a circle of the named area", Cite: cite.Ref{Work: "ASTM B258", Place: "gauge progression", Seen: cite.FromMemory},
		Checks: []trace.Check{
			{
				Name: "8 AWG solid", Want: 0.128, Tol: 0.0005, Abs: true, Got: func() float64 { return SolidDiameter(wire("8")).In() },
				Source: cite.Ref{Work: "NFPA 70", Place: "Chapter 9 Table 8", Seen: cite.FromMemory},
			},
			{
				Name: "2 AWG solid", Want: 0.2576, Tol: 0.00005, Abs: true, Got: func() float64 { return SolidDiameter(wire("2")).In() },
				Source: cite.Ref{Work: "NBS Handbook 100", Place: "copper wire tables", Seen: cite.FromMemory},
			},
		},
	},
	{
		ID: "conductor.resistance", Name: "dc resistance of a solid copper wire at 20 C", Equation: "R = rho / A",
		Symbols: []trace.Symbol{
			{Sym: "R", Meaning: "resistance by length", Unit: "mohm/ft"},
			{Sym: "rho", Meaning: "resistivity of annealed copper at 20 C", Unit: "ohm-m"},
			{Sym: "A", Meaning: "metal area of the named circular mils", Unit: "m2"},
		},
		Range: "solid bare copper", Cite: cite.Ref{Work: "IEC 60028", Place: "standard annealed copper", Seen: cite.FromMemory},
		Checks: []trace.Check{{
			Name: "2 AWG solid at 20 C", Want: 0.1563, Tol: 0.00005, Abs: true,
			Got:    func() float64 { return Resistance20(wire("2")) * 0.3048 * 1000 },
			Source: cite.Ref{Work: "NBS Handbook 100", Place: "copper wire tables, 20 C", Seen: cite.FromMemory},
		}},
	},
	{
		ID: "conductor.temperature", Name: "resistance at another temperature", Equation: "R2 = R1 (1 + a (t2 - t1))",
		Symbols: []trace.Symbol{
			{Sym: "R2", Meaning: "resistance at t2", Unit: "ohm/1000 ft"},
			{Sym: "R1", Meaning: "resistance at t1", Unit: "ohm/1000 ft"},
			{Sym: "a", Meaning: "temperature coefficient referred to t1", Unit: "1/C"},
			{Sym: "t1", Meaning: "temperature of R1", Unit: "C"},
			{Sym: "t2", Meaning: "temperature wanted", Unit: "C"},
		},
		Range: "-50 to 150 C", Cite: cite.Ref{Work: "NFPA 70", Place: "Chapter 9 Table 8 note 2", Seen: cite.FromMemory},
		Checks: []trace.Check{
			{
				Name: "1/0 copper, 75 to 50 C", Want: 0.1121, Tol: 0.0001, Abs: true,
				Got:    func() float64 { a, _ := figure("copper.alpha75"); return AtTemperature(0.122, a, 75, 50) },
				Source: cite.Ref{Work: "independent numeric check", Place: "1/0 copper at 50 C", Seen: cite.Derived},
			},
			{
				Name: "8 AWG solid, 20 to 75 C, against the printed value", Want: 0.764, Tol: 0.0005, Abs: true,
				Got: func() float64 {
					a, _ := figure("copper.alpha20")
					return AtTemperature(Resistance20(wire("8")), a, 20, 75) / perKft
				},
				Source: cite.Ref{Work: "NFPA 70", Place: "Chapter 9 Table 8", Seen: cite.FromMemory},
			},
		},
	},
	{
		ID: "conductor.ambient", Name: "ambient correction", Equation: "f = sqrt((Tc - Ta)/(Tc - 30))",
		Symbols: []trace.Symbol{{Sym: "f", Meaning: "factor on the ampacity at 30 C", Unit: "-"}, {Sym: "Tc", Meaning: "temperature column", Unit: "C"}, {Sym: "Ta", Meaning: "ambient temperature", Unit: "C"}},
		Range:   "Ta not above Tc", Cite: cite.Ref{Work: "NFPA 70", Edition: "2023", Place: "310.15(B)", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "40 C, 90 C column", Want: 0.91, Tol: 0.005, Abs: true, Got: func() float64 { return AmbientLaw(40, 90) },
			Source: cite.Ref{Work: "NFPA 70", Edition: "2023", Place: "Table 310.15(B)(1)"},
		}},
	},
	{
		ID: "conductor.derate", Name: "ampacity with its corrections", Equation: "I = I30 f_ambient f_bundling",
		Symbols: []trace.Symbol{
			{Sym: "I", Meaning: "ampacity", Unit: "A"},
			{Sym: "I30", Meaning: "printed ampacity at 30 C", Unit: "A"},
			{Sym: "f_ambient", Meaning: "ambient correction", Unit: "-"},
			{Sym: "f_bundling", Meaning: "adjustment for conductors together", Unit: "-"},
		},
		Range: "up to 2000 V, raceway, cable or earth", Cite: cite.Ref{Work: "NFPA 70", Edition: "2011-2023", Place: "310.15", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "12 AWG THHN, nine conductors, 45 C", Want: 18.27, Tol: 0.01, Abs: true,
			Got:    func() float64 { d, _ := Derate(wire("12"), Copper, 90, 45, 9); return float64(d.Ampacity) },
			Source: cite.Ref{Work: "independent numeric check", Place: "30 A x 0.87 x 0.70", Seen: cite.Derived},
		}},
	},
	{
		ID: "conductor.egc.upsize", Name: "EGC grown with its circuit", Equation: "cmil = cmil_table x cmil_installed / cmil_needed",
		Symbols: []trace.Symbol{
			{Sym: "cmil", Meaning: "metal area needed", Unit: "cmil"},
			{Sym: "cmil_table", Meaning: "EGC by Table 250.122", Unit: "cmil"},
			{Sym: "cmil_installed", Meaning: "ungrounded conductors as run", Unit: "cmil"},
			{Sym: "cmil_needed", Meaning: "ungrounded conductors with sufficient ampacity", Unit: "cmil"},
		},
		Range: "ungrounded conductors larger than needed", Cite: cite.Ref{Work: "NFPA 70", Edition: "2014-2023", Place: "250.122(B)", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "300 A, 250 kcmil needed, 350 run: 2 AWG", Want: 66360, Tol: 0, Abs: true,
			Got: func() float64 {
				u, _ := UpsizeEGC(300, Copper, wire("250"), wire("350"))
				return CircularMils(u.Size)
			},
			Source: cite.Ref{Work: "NFPA 70 handbook", Place: "250.122(B) example", Seen: cite.Read},
		}},
	},
	{
		ID: "conductor.jumper", Name: "bonding jumper above the table", Equation: "A = 0.125 A_set",
		Symbols: []trace.Symbol{{Sym: "A", Meaning: "least metal area of the jumper", Unit: "cmil"}, {Sym: "A_set", Meaning: "metal area of the ungrounded conductors of one phase", Unit: "cmil"}},
		Range:   "above 1100 kcmil copper or 1750 kcmil aluminum", Cite: cite.Ref{Work: "NFPA 70", Place: "Table 250.102(C)(1) note 1", Seen: cite.Read},
		Checks: []trace.Check{{
			Name: "three sets of 500 kcmil copper: 187.5 kcmil, so 4/0", Want: 211600, Tol: 0, Abs: true,
			Got:    func() float64 { w, _, _ := BondingJumper(1500e3, Copper); return CircularMils(w) },
			Source: cite.Ref{Work: "NFPA 70", Place: "Table 250.102(C)(1) note 1, worked by hand", Seen: cite.FromMemory},
		}},
	},
}
