package pull

import (
	"math"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

func sym(s, meaning, u string) trace.Symbol { return trace.Symbol{Sym: s, Meaning: meaning, Unit: u} }

var (
	rules   = cite.Ref{Work: "cable maker's published rules, name withheld", Place: "pulling tension; ICEA and IEEE practice", Seen: cite.Read}
	balance = cite.Ref{Work: "force balance of a cable on the wall of a raceway", Place: "derived", Seen: cite.Derived}
	manual  = cite.Ref{Work: "conduit construction manual of a maker, name withheld", Place: "pp. 44, 68-71", Seen: cite.Read}
	steps   = cite.Ref{Work: "independent numeric integration", Place: "vector force balance in 100,000 steps", Seen: cite.Derived}
	worked  = cite.Ref{Work: "geometry", Place: "worked by hand", Seen: cite.Derived}
)

var (
	symT1 = sym("T1", "tension before", "lbf")
	symT2 = sym("T2", "tension after", "lbf")
	symW  = sym("W", "weight of all cables by length", "lbf/ft")
	symK  = sym("K", "friction times weight correction", "-")
	symR  = sym("R", "centerline radius", "ft")
	symD  = sym("D", "inside diameter of the raceway", "in")
	symd  = sym("d", "diameter of one cable", "in")
	symX  = sym("x", "d/(D - d)", "-")
	symWC = sym("wc", "weight correction", "-")
)

// sample is the pull that the numeric checks share: 30 lbf enters a bend of
// 4 ft radius, 2 lbf/ft, K 0.35.
func sample(e Element) func() float64 {
	return func() float64 { return e.pass(30, 2, 0.35).out }
}

const sampleRadius = 4 // ft; the sample is in pounds and feet throughout

func stepCheck(name string, e Element, want float64) trace.Check {
	return trace.Check{Name: name + ": 30 lbf, 2 lbf/ft, 4 ft, K 0.35", Want: want, Tol: 1e-9, Source: steps, Got: sample(e)}
}

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "pull.straight", Name: "tension along a straight", Equation: "T2 = T1 + W L (sin a + K cos a)",
		Symbols: []trace.Symbol{symT2, symT1, symW, sym("L", "length", "ft"), symK, sym("a", "slope, positive upward in the direction of the pull", "rad")},
		Range:   "cable resting on the raceway, pulled steadily", Cite: rules,
		Checks: []trace.Check{
			{Name: "500 ft level, 0.144 lb/ft, friction 0.5", Want: 36, Tol: 0.1, Abs: true, Source: manual, Got: func() float64 {
				return float64(StraightTension(0, 0.144*PoundForcePerFoot, 0.5, 500*unit.Foot, 0) / PoundForce)
			}},
			{Name: "riser of 100 ft, 2 lb/ft, upward from 30 lbf", Want: 230, Tol: 1e-9, Source: worked, Got: func() float64 {
				return float64(StraightTension(30*PoundForce, 2*PoundForcePerFoot, 0.5, 100*unit.Foot, 90) / PoundForce)
			}},
		},
	},
	{
		ID: "pull.bend.level", Name: "tension round a level bend", Equation: "T2 = T1 cosh(K phi) + sinh(K phi) sqrt(T1^2 + (W R)^2)",
		Symbols: []trace.Symbol{symT2, symT1, symK, sym("phi", "angle of the bend", "rad"), symW, symR},
		Range:   "bend in a level plane, any tension", Cite: rules,
		Checks: []trace.Check{stepCheck("90 degrees", LevelBend(90, sampleRadius), 52.59192242147867)},
	},
	{
		ID: "pull.bend.vertical", Name: "tension round a vertical bend", Equation: "T2 = e^(sK(psi2 - psi1)) (T1 - P(psi1)) + P(psi2), P(psi) = -W R/(1 + K^2) (2 s K sin psi + (1 - K^2) cos psi)",
		Symbols: []trace.Symbol{symT2, symT1, symK, sym("psi1, psi2", "angle from straight up to the center, at the ends", "rad"), sym("s", "+1 on the inner wall, -1 on the outer, where T < W R cos psi", "-"), symW, symR},
		Range:   "bend in a vertical plane between any slopes; taken in parts where the cable changes walls", Cite: balance,
		Checks: []trace.Check{
			stepCheck("level to up", VerticalBend(0, 90, sampleRadius), 57.834409770160136),
			stepCheck("up to level", VerticalBend(90, 0, sampleRadius), 66.88503363369006),
			stepCheck("level to down", VerticalBend(0, -90, sampleRadius), 46.137761209573426),
			stepCheck("down to level", VerticalBend(-90, 0, sampleRadius), 37.08713734604377),
			stepCheck("up 30 to up 75", VerticalBend(30, 75, sampleRadius), 43.46726925953888),
		},
	},
	{
		ID: "pull.bend.tilted", Name: "tension round a bend in any plane", Equation: "dT/dphi = W R (z.t) + K sqrt((W R)^2 (1 - (z.t)^2) + T^2 - 2 T W R (z.n))",
		Symbols: []trace.Symbol{sym("T", "tension", "lbf"), sym("phi", "angle along the bend", "rad"), symW, symR, symK, sym("z.t", "upward part of the direction of travel", "-"), sym("z.n", "upward part of the direction to the center", "-")},
		Range:   "any bend; integrated in steps of 1.5 degrees or less, halved where it needs", Cite: balance,
		Checks: []trace.Check{{Name: "90 degrees from level in a plane tilted 45: 30 lbf, 2 lbf/ft, 4 ft, K 0.35", Want: 56.46540516171177, Tol: 1e-8, Source: steps, Got: sample(TiltedBend(90, sampleRadius, 0, math.Sqrt(0.5)))}},
	},
	{
		ID: "pull.bend.capstan", Name: "tension round a bend of weightless cable, an approximation", Equation: "T2 = T1 e^(K phi)",
		Symbols: []trace.Symbol{symT2, symT1, symK, sym("phi", "angle of the bend", "rad")},
		Range:   "only where T1 is far above W R; understates otherwise", Cite: rules,
		Checks: []trace.Check{
			{Name: "36 lbf round 90 degrees at 0.5", Want: 79, Tol: 0.5, Abs: true, Source: manual, Got: func() float64 { return float64(CapstanTension(36, 0.5, 90)) }},
			{Name: "multiplier of 45 degrees at 0.7", Want: 1.73, Tol: 0.006, Abs: true, Source: manual, Got: func() float64 { return BendMultiplier(0.7, 45) }},
		},
	},
	{
		ID: "pull.weight", Name: "weight correction", Equation: "wc = 1; 1/sqrt(1 - x^2) two, triangular; 1 + 4/3 x^2 cradled; 1 + 2 x^2 diamond; 1.4 complex",
		Symbols: []trace.Symbol{symWC, symX, symd, symD},
		Range:   "equal cables; unequal ones by their mean diameter", Cite: rules,
		Checks: []trace.Check{
			{Name: "cradled, d 1 in, D 4 in", Want: 31.0 / 27, Tol: 1e-12, Source: worked, Got: func() float64 { v, _, _ := WeightCorrection(Cradled, unit.Inch, 4*unit.Inch); return v }},
			{Name: "triangular, D = 2 d + d (x = 1/2): 2/sqrt 3", Want: 1.1547005383792515, Tol: 1e-12, Source: worked, Got: func() float64 { v, _, _ := WeightCorrection(Triangular, unit.Inch, 3*unit.Inch); return v }},
			{Name: "diamond, d 1 in, D 4 in", Want: 11.0 / 9, Tol: 1e-12, Source: worked, Got: func() float64 { v, _, _ := WeightCorrection(Diamond, unit.Inch, 4*unit.Inch); return v }},
		},
	},
	{
		ID: "pull.sidewall", Name: "sidewall pressure on one cable", Equation: "p = c T/R; c = 1 single, wc/2 two and triangular, (3 wc - 2)/3 cradled, wc - 1 diamond",
		Symbols: []trace.Symbol{sym("p", "pressure on the worst cable", "lbf/ft"), sym("c", "share", "-"), sym("T", "greatest tension in the bend", "lbf"), sym("R", "inside radius", "ft"), symWC},
		Range:   "up to four cables; for more the whole is taken on one, as a bound", Cite: rules,
		Checks: []trace.Check{
			{Name: "59 lbf, 10 ft", Want: 5.9, Tol: 0.05, Abs: true, Source: manual, Got: func() float64 { return float64(Sidewall(59*PoundForce, 10*unit.Foot, 1) / PoundForcePerFoot) }},
			{Name: "cradled in a wide raceway: a third each", Want: 1.0 / 3, Tol: 1e-12, Source: worked, Got: func() float64 { v, _ := SidewallShare(Cradled, 1); return v }},
		},
	},
	{
		ID: "pull.tension.group", Name: "tension limit of conductors pulled together", Equation: "T = n S A; 0.8 n S A above three",
		Symbols: []trace.Symbol{sym("T", "greatest tension", "lbf"), sym("n", "conductors", "-"), sym("S", "stress of the metal", "lbf/cmil"), sym("A", "metal area of one", "cmil")},
		Range:   "pulling eye on all conductors; cables that do not stretch alike count n times the weakest", Cite: rules,
		Checks: []trace.Check{{Name: "four of 4/0 copper", Want: 5417, Tol: 0.5, Abs: true, Source: rules, Got: func() float64 {
			share, _, _ := GroupShare()
			t, _, _ := GroupTension([]Cable{{Count: 4, Metal: Copper, CMil: 211600}}, share)
			return float64(t / PoundForce)
		}}},
	},
	{
		ID: "pull.jam", Name: "jam ratios", Equation: "J = 1.05 D/d; J = D/d",
		Symbols: []trace.Symbol{sym("J", "jam ratio", "-"), symD, symd},
		Range:   "three cables; the first is the older practice for a raceway grown wide in its bends, the second that of the NFPA 70 note", Cite: cite.Ref{Work: "IEEE and ICEA practice; NFPA 70", Place: "Chapter 9 Table 1 informational note", Seen: cite.FromMemory},
		Checks: []trace.Check{{Name: "1 in in 3 in", Want: 3.15, Tol: 1e-12, Source: worked, Got: func() float64 { return Jam(unit.Inch, 3*unit.Inch).Grown }}},
	},
	{
		ID: "pull.clearance", Name: "clearance over the cables", Equation: "C = D - d; D/2 - 1.366 d + (D-d)/2 sqrt(1-x^2) triangular; the smaller of D/2 - d/2 + (D-d)/2 sqrt(1-(x/2)^2) and D/2 - d/2 + (D-d)/2 (1-2x^2) cradled; D - d - 2 d^2/(D-d) diamond",
		Symbols: []trace.Symbol{sym("C", "clearance", "in"), symD, symd, symX},
		Range:   "one, three or four equal cables; the published cradled form overstates", Cite: rules,
		Checks: []trace.Check{{Name: "diamond, d 1 in, D 4 in", Want: 7.0 / 3, Tol: 1e-12, Source: worked, Got: func() float64 {
			c, _ := Clearance(Diamond, unit.Inch, 4*unit.Inch)
			return c.Least.In()
		}}},
	},
	{
		ID: "pull.allowance", Name: "tension that may still enter", Equation: "H1 = min(T_max, H2 - b) over a straight that adds b; H1 = F^-1(min(H2, S R/c)) at a bend T2 = F(T1)",
		Symbols: []trace.Symbol{sym("H1", "largest tension that may enter", "lbf"), sym("H2", "the same at the far end", "lbf"), sym("T_max", "tension limit", "lbf"), sym("b", "what a straight adds", "lbf"), sym("S", "sidewall limit", "lbf/ft"), sym("R", "inside radius", "ft"), sym("c", "sidewall share", "-")},
		Range:   "any path, worked backward from the pulling end", Cite: balance,
		Checks: []trace.Check{{Name: "what the manual's bend makes 79 lbf of, in a bend with hardly any weight", Want: 36, Tol: 0.5, Abs: true, Source: manual, Got: func() float64 {
			a := LevelBend(90, 1).before(Allowance{Most: 79}, Load{Weight: 1e-9, Friction: 0.5}, Limits{Tension: 1000})
			return float64(a.Most)
		}}},
	},
}
