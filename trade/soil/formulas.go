package soil

import (
	"math"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
)

// TwoLayerWenner returns the apparent resistivity that equal spacing a reads
// over two layers, by the sum over images:
//
//	rho_a = rho1 (1 + 4 sum over n from 1 of K^n (1/sqrt(1 + (2nh/a)^2) - 1/sqrt(4 + (2nh/a)^2)))
//	K = (rho2 - rho1)/(rho2 + rho1)
//
// rho1 upper and rho2 lower resistivity in ohm-m, h depth of the boundary and
// a in m. It is the form that is worked by hand; Wenner holds for any number
// of layers and does not slow down as K nears 1.
func TwoLayerWenner(rho1, rho2 unit.OhmMetre, h, a unit.Metre) unit.OhmMetre {
	k := float64((rho2 - rho1) / (rho2 + rho1))
	sum, kn := 0.0, 1.0
	for n := 1; n < 10_000_000; n++ {
		kn *= k
		x := 2 * float64(n) * float64(h/a)
		t := kn * (1/math.Sqrt(1+x*x) - 1/math.Sqrt(4+x*x))
		sum += t
		if math.Abs(kn) < 1e-16 || math.Abs(t) < 1e-17 {
			break
		}
	}
	return rho1 * unit.OhmMetre(1+4*sum)
}

var (
	symApparent   = trace.Symbol{Sym: "rho_a", Meaning: "apparent resistivity", Unit: "ohm-m"}
	symReading    = trace.Symbol{Sym: "R", Meaning: "reading: potential between the inner pins over current through the outer", Unit: "ohm"}
	symSpacing    = trace.Symbol{Sym: "a", Meaning: "distance between neighboring pins", Unit: "m"}
	fourElectrode = cite.Ref{Work: "unit test of an open-source four-electrode two-layer program", Place: "accepted there to 0.001 ohm", Seen: cite.Read}
	byImages      = cite.Ref{Work: "two-layer series of Tagg and Sunde", Place: "computed by an independent program", Seen: cite.Derived}
	byTwo         = cite.Ref{Work: "independent program", Place: "two layers by Hankel quadrature and by images, agreeing to 1e-7", Seen: cite.Derived}
)

// series is a check of TwoLayerWenner.
func series(name string, want, tol float64, src cite.Ref, rho1, rho2 unit.OhmMetre, h, a unit.Metre) trace.Check {
	return trace.Check{Name: name, Want: want, Tol: tol, Source: src, Got: func() float64 { return float64(TwoLayerWenner(rho1, rho2, h, a)) }}
}

// fourPin is a check of Model.Resistance in ohms.
func fourPin(name string, want, tol float64, src cite.Ref, m Model, inner, outer unit.Metre) trace.Check {
	return trace.Check{Name: name, Want: want, Tol: tol, Source: src, Got: func() float64 {
		r, err := m.Resistance(inner, outer)
		if err != nil {
			return math.NaN()
		}
		return float64(r)
	}}
}

// Formulas are the equations of this package.
var Formulas = append([]trace.Formula{
	{
		ID: "soil.wenner", Name: "apparent resistivity, four pins at equal spacing", Equation: "rho_a = 2 pi a R",
		Symbols: []trace.Symbol{symApparent, symSpacing, symReading},
		Range:   "pins driven less than a/20 deep", Cite: cite.Ref{Work: "IEEE Std 81", Place: "equally spaced four-pin method", Seen: cite.FromMemory},
		Checks: []trace.Check{
			{
				Name: "10.4 ohm at 5 ft", Want: 99.6, Tol: 0.0005, Source: cite.Ref{Work: "by hand", Place: "2 pi x 1.524 m x 10.4 ohm", Seen: cite.Derived},
				Got: func() float64 { return float64(Reading{5 * unit.Foot, 10.4}.Apparent()) },
			},
			{
				Name: "8 over 1 ohm-m at 10 mm, pins 30 mm apart: 2 pi a R of the printed 8.815 ohm", Want: 2 * math.Pi * 0.03 * 8.815, Tol: 0.0002, Source: fourElectrode,
				Got: func() float64 {
					v, err := TwoLayer(8, 1, 0.010).Wenner(0.030)
					if err != nil {
						return math.NaN()
					}
					return float64(v)
				},
			},
		},
	},
	{
		ID: "soil.schlumberger", Name: "apparent resistivity, four pins in line about one center", Equation: "rho_a = pi (s^2 - b^2)/(2 b) R",
		Symbols: []trace.Symbol{symApparent, {Sym: "s", Meaning: "half the distance between the outer pins", Unit: "m"}, {Sym: "b", Meaning: "half the distance between the inner pins", Unit: "m"}, symReading},
		Range:   "b less than s; pins driven little", Cite: cite.Ref{Work: "IEEE Std 81", Place: "unequally spaced four-pin method", Seen: cite.FromMemory},
		Checks: []trace.Check{
			fourPin("1 ohm-m, 20 mm between 40 mm", 21.221, 0.0002, fourElectrode, Single(1), 0.020, 0.040),
			fourPin("8 over 1 ohm-m at 10 mm, 10 mm between 20 mm", 309.342, 0.0002, fourElectrode, TwoLayer(8, 1, 0.010), 0.010, 0.020),
			fourPin("3.5 over 1.35 ohm-m at 10 mm, 20 mm between 40 mm", 59.108, 0.0002, fourElectrode, TwoLayer(3.5, 1.35, 0.010), 0.020, 0.040),
			fourPin("0.7 ohm-m over an insulator at 5 mm, 30 mm between 50 mm", 61.86, 0.0002, fourElectrode, TwoLayer(0.7, 1e12, 0.005), 0.030, 0.050),
		},
	},
	{
		ID: "soil.wenner.two", Name: "apparent resistivity of two layers, four pins at equal spacing",
		Equation: "rho_a = rho1 (1 + 4 sum K^n (1/sqrt(1 + (2nh/a)^2) - 1/sqrt(4 + (2nh/a)^2))), K = (rho2 - rho1)/(rho2 + rho1)",
		Symbols: []trace.Symbol{
			symApparent,
			{Sym: "rho1", Meaning: "resistivity of the upper layer", Unit: "ohm-m"},
			{Sym: "rho2", Meaning: "resistivity of the lower layer", Unit: "ohm-m"},
			{Sym: "h", Meaning: "depth of the boundary", Unit: "m"},
			symSpacing,
			{Sym: "K", Meaning: "reflection factor", Unit: "-"},
			{Sym: "n", Meaning: "number of the image, from 1", Unit: "-"},
		},
		Range: "two level layers, pins as points", Cite: cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "two-layer soil, eq. for the four-pin method", Seen: cite.FromMemory},
		Checks: []trace.Check{
			series("K = 0.5, a = h, rho1 = 1", 1.2103, 0.0001, byImages, 1, 3, 1, 1),
			series("K = -0.5, a = h, rho1 = 1", 0.82902, 0.0001, byImages, 1, 1.0/3, 1, 1),
			series("500 over 50 ohm-m at 1.5 m, a = 0.5 m", 490.6382, 3e-7, byTwo, 500, 50, 1.5, 0.5),
			series("500 over 50 ohm-m at 1.5 m, a = 2 m", 287.692, 3e-7, byTwo, 500, 50, 1.5, 2),
			series("500 over 50 ohm-m at 1.5 m, a = 8 m", 55.00611, 3e-7, byTwo, 500, 50, 1.5, 8),
		},
	},
}, beliefFormulas...)
