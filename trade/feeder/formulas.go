package feeder

import (
	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

func sym(s, meaning, u string) trace.Symbol { return trace.Symbol{Sym: s, Meaning: meaning, Unit: u} }

var (
	table9   = cite.Ref{Work: "NFPA 70", Edition: "2011-2023", Place: "Chapter 9 Table 9", Seen: cite.Read}
	worked9  = cite.Ref{Work: "NFPA 70", Place: "Chapter 9 Table 9 worked example", Seen: cite.Read}
	magazine = cite.Ref{Work: "trade magazine", Place: "basics of voltage drop", Seen: cite.Read}
	numeric  = cite.Ref{Work: "independent numeric check", Place: "same inputs", Seen: cite.Derived}
)

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "feeder.effective", Name: "effective impedance", Equation: "Z = R cos(theta) + X sin(theta)",
		Symbols: []trace.Symbol{sym("Z", "effective impedance to neutral", "ohm/1000 ft"), sym("R", "resistance", "ohm/1000 ft"), sym("X", "reactance", "ohm/1000 ft"), sym("theta", "power factor angle, lagging", "rad")},
		Range:   "60 Hz, three single conductors in conduit, 75 C", Cite: cite.Ref{Work: "NFPA 70", Edition: "2011-2023", Place: "Chapter 9 Table 9 note 2", Seen: cite.Read},
		Checks: []trace.Check{{Name: "250 kcmil copper in steel at 0.85", Want: 0.073, Tol: 0.0005, Abs: true, Source: worked9, Got: func() float64 { return Effective(0.054, 0.052, 0.85) }}},
	},
	{
		ID: "feeder.drop.three", Name: "three-phase voltage drop", Equation: "dV = sqrt(3) Z I L",
		Symbols: []trace.Symbol{sym("dV", "drop, line to line", "V"), sym("Z", "effective impedance to neutral", "ohm/ft"), sym("I", "current of one set", "A"), sym("L", "one-way length", "ft")},
		Range:   "balanced load", Cite: table9,
		Checks: []trace.Check{
			{Name: "10 AWG, 200 ft, 20 A", Want: 7.62, Tol: 0.01, Abs: true, Source: magazine, Got: func() float64 { return float64(ThreePhaseDrop(1.1*perKft, 20, 200*unit.Foot)) }},
			{Name: "2/0, 1000 ft, 65 A", Want: 12.778, Tol: 0.01, Abs: true, Source: worked9, Got: func() float64 { return float64(ThreePhaseDrop(0.1135*perKft, 65, 1000*unit.Foot)) }},
		},
	},
	{
		ID: "feeder.drop.single", Name: "single-phase voltage drop", Equation: "dV = 2 Z I L",
		Symbols: []trace.Symbol{sym("dV", "drop, out and back", "V"), sym("Z", "effective impedance of one conductor", "ohm/ft"), sym("I", "current of one set", "A"), sym("L", "one-way length", "ft")},
		Range:   "two conductors", Cite: table9,
		Checks: []trace.Check{{Name: "2/0, 1000 ft, 65 A", Want: 14.755, Tol: 0.01, Abs: true, Source: worked9, Got: func() float64 { return float64(SinglePhaseDrop(0.1135*perKft, 65, 1000*unit.Foot)) }}},
	},
	{
		ID: "feeder.drop.direct", Name: "direct-current voltage drop", Equation: "dV = 2 R I L",
		Symbols: []trace.Symbol{sym("dV", "drop, out and back", "V"), sym("R", "resistance of one conductor at its temperature", "ohm/ft"), sym("I", "current", "A"), sym("L", "one-way length", "ft")},
		Range:   "direct current", Cite: cite.Ref{Work: "NFPA 70", Place: "Chapter 9 Table 8", Seen: cite.FromMemory},
		Checks: []trace.Check{{Name: "1.04 A over 200 ft, loop 1.308 mohm/ft", Want: 0.272, Tol: 0.001, Abs: true, Source: numeric, Got: func() float64 { return float64(DCDrop(0.000654/0.3048, 1.04, 200*unit.Foot)) }}},
	},
	{
		ID: "feeder.longest", Name: "longest three-phase run for a drop", Equation: "L = dV / (sqrt(3) Z I)",
		Symbols: []trace.Symbol{sym("L", "one-way length", "ft"), sym("dV", "drop, line to line", "V"), sym("Z", "effective impedance to neutral", "ohm/ft"), sym("I", "current", "A")},
		Range:   "balanced load", Cite: table9,
		Checks: []trace.Check{{Name: "10 AWG, 20 A, 14.4 V", Want: 377, Tol: 1.5, Abs: true, Source: magazine, Got: func() float64 { return LongestThreePhase(1.1*perKft, 20, 14.4).Ft() }}},
	},
	{
		ID: "feeder.amps.three", Name: "line current of a three-phase power", Equation: "I = S / (sqrt(3) V)",
		Symbols: []trace.Symbol{sym("I", "line current", "A"), sym("S", "apparent power", "VA"), sym("V", "line to line", "V")},
		Range:   "balanced", Cite: cite.Ref{Work: "definition", Place: "apparent power", Seen: cite.Derived},
		Checks: []trace.Check{{Name: "100 kVA at 480 V", Want: 120.3, Tol: 0.05, Abs: true, Source: numeric, Got: func() float64 { return float64(ThreePhaseAmps(100e3, 480)) }}},
	},
	{
		ID: "feeder.amps.single", Name: "current of a single-phase power", Equation: "I = S / V",
		Symbols: []trace.Symbol{sym("I", "current", "A"), sym("S", "apparent power", "VA"), sym("V", "volts", "V")},
		Range:   "single phase", Cite: cite.Ref{Work: "definition", Place: "apparent power", Seen: cite.Derived},
		Checks: []trace.Check{{Name: "24 kVA at 240 V", Want: 100, Tol: 1e-12, Source: cite.Ref{Work: "worked by hand", Place: "24,000 / 240", Seen: cite.Derived}, Got: func() float64 { return float64(SinglePhaseAmps(24e3, 240)) }}},
	},
	{
		ID: "feeder.generator", Name: "conductors of a generator", Equation: "I = 1.15 I_n",
		Symbols: []trace.Symbol{sym("I", "least ampacity to the first overcurrent device", "A"), sym("I_n", "nameplate current", "A")},
		Range:   "1.00 where the set cannot be overloaded", Cite: cite.Ref{Work: "NFPA 70", Place: "445.13(A)", Seen: cite.FromMemory},
		Checks: []trace.Check{{Name: "100 kVA at 480 V", Want: 138.3, Tol: 0.1, Abs: true, Source: numeric, Got: func() float64 { a, _ := GeneratorConductor(ThreePhaseAmps(100e3, 480), false); return float64(a) }}},
	},
	{
		ID: "feeder.conductor", Name: "least ampacity of feeder conductors", Equation: "I = 1.25 Ic + Io + 1.25 Imax + sum of the other motors",
		Symbols: []trace.Symbol{sym("I", "least ampacity before correction", "A"), sym("Ic", "continuous load", "A"), sym("Io", "other load", "A"), sym("Imax", "full-load current of the largest motor", "A")},
		Range:   "feeders up to 1000 V", Cite: cite.Ref{Work: "NFPA 70", Place: "215.2(A)(1) and 430.24", Seen: cite.FromMemory},
		Checks: []trace.Check{
			{Name: "100 A continuous", Want: 125, Tol: 1e-12, Source: cite.Ref{Work: "worked by hand", Place: "1.25 x 100", Seen: cite.Derived}, Got: func() float64 { i, _ := Load{Continuous: 100}.Conductor(); return float64(i) }},
			{Name: "motors of 34, 22 and 14 A", Want: 78.5, Tol: 1e-12, Source: cite.Ref{Work: "worked by hand", Place: "1.25 x 34 + 22 + 14", Seen: cite.Derived}, Got: func() float64 {
				i, _ := Load{Motors: []Motor{{Amps: 34}, {Amps: 22}, {Amps: 14}}}.Conductor()
				return float64(i)
			}},
		},
	},
}
