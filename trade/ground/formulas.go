package ground

import (
	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

var (
	symR   = trace.Symbol{Sym: "R", Meaning: "resistance to earth", Unit: "ohm"}
	symRho = trace.Symbol{Sym: "rho", Meaning: "resistivity of uniform soil", Unit: "ohm-m"}
	symL   = trace.Symbol{Sym: "L", Meaning: "length of the conductor", Unit: "m"}
	symA   = trace.Symbol{Sym: "a", Meaning: "radius of the conductor", Unit: "m"}
	symD   = trace.Symbol{Sym: "d", Meaning: "depth of the axis", Unit: "m"}
	symArm = trace.Symbol{Sym: "L", Meaning: "length of one arm", Unit: "m"}
	symS2  = trace.Symbol{Sym: "s", Meaning: "twice the depth of the axis", Unit: "m"}
	symPA  = trace.Symbol{Sym: "a", Meaning: "radius of the body", Unit: "m"}
)

// num is a check of a formula in ohms.
func num(name string, want, tol float64, src cite.Ref, got func() unit.Ohm) trace.Check {
	return trace.Check{Name: name, Want: want, Tol: tol, Source: src, Got: func() float64 { return float64(got()) }}
}

// foreign is where figures computed by an independent program come from.
var foreign = cite.Ref{Work: "figure of an independent program for the same formula", Seen: cite.Read}

// Formulas are the textbook formulas. Their values are never compared with
// Solve at these tolerances.
var Formulas = []trace.Formula{
	{
		ID: "ground.rod.grade", Name: "one rod driven from grade (textbook)", Equation: "R = rho/(2 pi L) (ln(4L/a) - 1)",
		Symbols: []trace.Symbol{symR, symRho, symL, symA}, Range: "a much less than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{
			num("3 m x 25 mm in 55 ohm-m", 17.12, 0.002, bs7430, func() unit.Ohm { return RodAtGrade(55, 3, 0.0125) }),
			num("15 m x 60.3 mm in 244 ohm-m", 17.076, 0.001, bs7430, func() unit.Ohm { return RodAtGrade(244, 15, 0.03015) }),
			num("10 ft x 3/4 in", 32.0, 0.02, cite.Ref{Work: "MIL-HDBK-419A", Place: "Vol II, nomograph, step a", Seen: cite.Read}, func() unit.Ohm { return RodAtGrade(100, 3.048, 0.009525) }),
			num("8 ft x 5/8 in", 39.905, 0.001, foreign, func() unit.Ohm { return RodAtGrade(100, 2.4384, 0.0079375) }),
		},
	},
	{
		ID: "ground.rod.surface", Name: "surface potential beside one rod driven from grade, per ampere (textbook)", Equation: "V/I = rho/(2 pi L) asinh(L/s)",
		Symbols: []trace.Symbol{{Sym: "V/I", Meaning: "potential of the surface per ampere", Unit: "ohm"}, symRho, symL, {Sym: "s", Meaning: "distance from the rod", Unit: "m"}}, Range: "s more than the radius; uniform soil", Cite: sunde,
		Checks: []trace.Check{
			num("share of R beyond one length, 10 ft x 1 in", 0.85, 0.01, cite.Ref{Work: "MIL-HDBK-419A", Place: "Vol I, eq. 2-20", Seen: cite.Read}, func() unit.Ohm { return 1 - RodSurface(100, 3.048, 3.048)/RodAtGrade(100, 3.048, 0.0127) }),
			num("step of 3 ft at a rod of 5 ft x 1 in", 0.75, 0.016, cite.Ref{Work: "MIL-HDBK-419A", Place: "Vol I, Table 2-7", Seen: cite.Read}, func() unit.Ohm { return 1 - RodSurface(100, 1.524, 0.9144)/RodAtGrade(100, 1.524, 0.0127) }),
		},
	},
	{
		ID: "ground.rod.buried", Name: "one vertical rod below grade (textbook)", Equation: "R = rho/(4 pi L^2) (2 G(L) - 2 G(0) + G(2t+2L) - 2 G(2t+L) + G(2t)), G(x) = x asinh(x/a) - sqrt(x^2 + a^2)",
		Symbols: []trace.Symbol{symR, symRho, symL, symA, {Sym: "t", Meaning: "depth of the rod's top", Unit: "m"}}, Range: "a much less than L; uniform soil", Cite: sunde,
		Checks: []trace.Check{num("top at grade is the rod driven from grade", 39.905, 0.005, dwight, func() unit.Ohm { return RodBuried(100, 2.4384, 0.0079375, 0) })},
	},
	{
		ID: "ground.rods.two", Name: "two joined rods driven from grade (textbook)", Equation: "R = rho/(4 pi L) (ln(4L/a) - 1) + rho/(4 pi s) (1 - L^2/(3 s^2) + 2 L^4/(5 s^4))",
		Symbols: []trace.Symbol{symR, symRho, symL, symA, {Sym: "s", Meaning: "distance between the rods", Unit: "m"}}, Range: "s more than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("8 ft x 5/8 in, 16 ft apart", 21.489, 0.001, foreign, func() unit.Ohm { return TwoRods(100, 2.4384, 0.0079375, 4.8768) })},
	},
	{
		ID: "ground.wire.straight", Name: "straight horizontal wire (textbook)", Equation: "R = rho/(2 pi L) (ln(2L/a) + ln(L/d) - 2 + 2 d/L - (d/L)^2 + (d/L)^4/2)",
		Symbols: []trace.Symbol{symR, symRho, symL, symA, symD}, Range: "d less than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("30 m of 2 AWG at 30 in", 6.1221, 0.001, foreign, func() unit.Ohm { return StraightWire(100, 30, 0.003272, 0.762) })},
	},
	{
		ID: "ground.wire.corner", Name: "right-angle bend of two equal arms (textbook)", Equation: "R = rho/(4 pi L) (ln(2L/a) + ln(2L/s) - 0.2373 + 0.2146 s/L + 0.1035 (s/L)^2 - 0.0424 (s/L)^4)",
		Symbols: []trace.Symbol{symR, symRho, symArm, symA, symS2}, Range: "s less than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("two arms of 10 m", 8.8254, 0.001, foreign, func() unit.Ohm { return CornerWire(100, 10, 0.003272, 0.762) })},
	},
	{
		ID: "ground.wire.star3", Name: "star of three arms (textbook)", Equation: "R = rho/(6 pi L) (ln(2L/a) + ln(2L/s) + 1.071 - 0.209 s/L + 0.238 (s/L)^2 - 0.054 (s/L)^4)",
		Symbols: []trace.Symbol{symR, symRho, symArm, symA, symS2}, Range: "s less than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("three arms of 10 m", 6.545, 0.001, foreign, func() unit.Ohm { return Star3(100, 10, 0.003272, 0.762) })},
	},
	{
		ID: "ground.wire.star4", Name: "star of four arms (textbook)", Equation: "R = rho/(8 pi L) (ln(2L/a) + ln(2L/s) + 2.912 - 1.071 s/L + 0.645 (s/L)^2 - 0.145 (s/L)^4)",
		Symbols: []trace.Symbol{symR, symRho, symArm, symA, symS2}, Range: "s less than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("four arms of 10 m", 5.5928, 0.001, foreign, func() unit.Ohm { return Star4(100, 10, 0.003272, 0.762) })},
	},
	{
		ID: "ground.ring.circular", Name: "circular ring of round wire (textbook)", Equation: "R = rho/(2 pi^2 D) (ln(8D/w) + ln(4D/s))",
		Symbols: []trace.Symbol{symR, symRho, {Sym: "D", Meaning: "diameter of the ring", Unit: "m"}, {Sym: "w", Meaning: "diameter of the wire", Unit: "m"}, symS2}, Range: "s much less than D; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("50 ft of diameter, 2 AWG at 30 in", 4.4948, 0.001, foreign, func() unit.Ohm { return CircularRing(100, 15.24, 0.003272, 0.762) })},
	},
	{
		ID: "ground.strip", Name: "straight horizontal strip (textbook)", Equation: "R = rho/(2 pi L) (ln(2L/w) + (w^2 - pi w t)/(2 (w+t)^2) + ln(L/d) - 1 + 2 d/L - (d/L)^2 + (d/L)^4/2)",
		Symbols: []trace.Symbol{symR, symRho, symL, {Sym: "w", Meaning: "width of the strip", Unit: "m"}, {Sym: "t", Meaning: "thickness of the strip", Unit: "m"}, symD}, Range: "t less than w/8, d less than L; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("30 m of 30 x 3 mm", 5.6274, 0.001, foreign, func() unit.Ohm { return Strip(100, 30, 0.030, 0.003, 0.762) })},
	},
	{
		ID: "ground.plate.round", Name: "round horizontal plate (textbook)", Equation: "R = rho/(8 a) + rho/(4 pi s) (1 - 7 a^2/(12 s^2) + 33 a^4/(40 s^4))",
		Symbols: []trace.Symbol{symR, symRho, symPA, symS2}, Range: "a less than s; uniform soil", Cite: dwight,
		Checks: []trace.Check{num("0.5 m at 1.5 m", 27.611, 0.001, foreign, func() unit.Ohm { return RoundPlate(100, 0.5, 1.5) })},
	},
	{
		ID: "ground.hemisphere", Name: "hemisphere flush with the surface", Equation: "R = rho/(2 pi a)", Symbols: []trace.Symbol{symR, symRho, symPA}, Range: "exact; uniform soil", Cite: fields,
		Checks: []trace.Check{num("0.5 m", 31.831, 1e-4, foreign, func() unit.Ohm { return Hemisphere(100, 0.5) })},
	},
	{
		ID: "ground.disc", Name: "thin disc flush with the surface", Equation: "R = rho/(4 a)", Symbols: []trace.Symbol{symR, symRho, symPA}, Range: "exact; uniform soil", Cite: fields,
		Checks: []trace.Check{num("1 m", 25, 1e-4, foreign, func() unit.Ohm { return Disc(100, 1) })},
	},
	{
		ID: "ground.sphere", Name: "sphere far below the surface", Equation: "R = rho/(4 pi a)", Symbols: []trace.Symbol{symR, symRho, symPA}, Range: "exact far from the surface; uniform soil", Cite: fields,
		Checks: []trace.Check{num("0.5 m", 15.915, 1e-4, foreign, func() unit.Ohm { return Sphere(100, 0.5) })},
	},
	{
		ID: "ground.spheroid", Name: "half a long spheroid flush with the surface", Equation: "R = rho atanh(e)/(2 pi c e), e = sqrt(1 - a^2/c^2)",
		Symbols: []trace.Symbol{symR, symRho, {Sym: "c", Meaning: "depth of the tip", Unit: "m"}, {Sym: "a", Meaning: "radius at the surface", Unit: "m"}, {Sym: "e", Meaning: "eccentricity", Unit: "-"}}, Range: "a less than c; exact; uniform soil", Cite: fields,
		Checks: []trace.Check{num("3 m x 7.9375 mm", 35.162, 1e-4, foreign, func() unit.Ohm { return HalfSpheroid(100, 3, 0.0079375) })},
	},
	{
		ID: "ground.mesh.laurent", Name: "meshed ground, simplified (textbook)", Equation: "R = rho/4 sqrt(pi/A) + rho/L",
		Symbols: []trace.Symbol{symR, symRho, {Sym: "A", Meaning: "area covered", Unit: "m2"}, {Sym: "L", Meaning: "length of all conductor", Unit: "m"}}, Range: "5 to 17 % above the field solution; uniform soil", Cite: std80,
		Checks: []trace.Check{num("4900 m2, 1540 m, 400 ohm-m", 2.7918, 0.001, foreign, func() unit.Ohm { return Laurent(400, 4900, 1540) })},
	},
	{
		ID: "ground.ring.thumb", Name: "ring, rule of thumb", Equation: "R = 2 rho/(3 d), d = 1.13 sqrt(A)",
		Symbols: []trace.Symbol{symR, symRho, {Sym: "d", Meaning: "diameter of the circle of the same area", Unit: "m"}, {Sym: "A", Meaning: "area inside the ring", Unit: "m2"}}, Range: "a first guess; uniform soil", Cite: lpGuide,
		Checks: []trace.Check{num("232.26 m2", 3.8712, 0.001, foreign, func() unit.Ohm { return RingThumb(100, 232.26) })},
	},
	{
		ID: "ground.rod.thumb", Name: "rod, rule of thumb", Equation: "R = rho/L", Symbols: []trace.Symbol{symR, symRho, symL}, Range: "a first guess; uniform soil", Cite: lpGuide,
		Checks: []trace.Check{num("9 m in 200 ohm-m", 22.222, 0.001, lpGuide, func() unit.Ohm { return RodThumb(200, 9) })},
	},
	{
		ID: "ground.radial.thumb", Name: "buried radial, rule of thumb", Equation: "R = 2 rho/L", Symbols: []trace.Symbol{symR, symRho, symL}, Range: "a first guess; uniform soil", Cite: lpGuide,
		Checks: []trace.Check{num("25 m in 200 ohm-m", 16, 0.001, lpGuide, func() unit.Ohm { return RadialThumb(200, 25) })},
	},
}
