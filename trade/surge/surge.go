// Package surge estimates how a ground electrode answers to a lightning
// current, which is another thing than its resistance to a slow test current:
// the far end of a long conductor takes no part in a fast rise. It also holds
// the least lengths that IEC 62305-3 asks of earth electrodes.
//
// These are plain estimates and are labelled so wherever they are printed.
// Lightning protection is designed by those who are licensed for it.
package surge

import (
	_ "embed" // the table beside this file
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/trace"
	"stubup/base/unit"
)

//go:embed tables/l1.csv
var l1CSV string

var l1Table = table.Lazy(l1CSV)

// impulse is the source of the fitted curves.
var impulse = cite.Ref{Work: "L. Grcev, Impulse Efficiency of Ground Electrodes, IEEE Trans. Power Delivery 24(1)", Edition: "2009", Place: "pp 441-451", Seen: cite.FromMemory}

// curve returns the two parameters of the fitted curve:
//
//	alpha = 0.025 + exp(-0.82 (rho T)^0.257)
//	beta  = 0.17 + exp(-0.22 (rho T)^0.555)
//
// with rho in ohm-m and T, the rise time, in microseconds.
func curve(rho unit.OhmMetre, rise unit.Second) (alpha, beta float64) {
	x := float64(rho) * float64(rise) * 1e6
	return 0.025 + math.Exp(-0.82*math.Pow(x, 0.257)), 0.17 + math.Exp(-0.22*math.Pow(x, 0.555))
}

// EffectiveLength returns the length of a single rod or horizontal conductor
// beyond which more of it does not lower the peak potential of a lightning
// current fed at its end:
//
//	l_eff = (1 - beta) / alpha
//
// rho is the resistivity of uniform soil and rise the front time of the
// current. Source: Grcev 2009, from memory. Range: 10 to 10,000 ohm-m, 0.2 to
// 10 us.
func EffectiveLength(rho unit.OhmMetre, rise unit.Second) unit.Metre {
	a, b := curve(rho, rise)
	return unit.Metre((1 - b) / a)
}

// ImpulseCoefficient returns by how much the peak potential of a lightning
// current at the feed exceeds what the low-frequency resistance would give:
//
//	A = alpha l + beta, and not under 1
//
// l is the length of the electrode from the feed. Source as EffectiveLength.
func ImpulseCoefficient(rho unit.OhmMetre, rise unit.Second, l unit.Metre) float64 {
	a, b := curve(rho, rise)
	return math.Max(1, a*float64(l)+b)
}

// Outside says which part of the stated range an input leaves, if any.
func Outside(rho unit.OhmMetre, rise unit.Second) string {
	switch {
	case rho < 10 || rho > 10000:
		return "resistivity outside 10 to 10,000 ohm-m"
	case rise < 0.2e-6 || rise > 10e-6:
		return "front time outside 0.2 to 10 us"
	}
	return ""
}

// LeastLength returns l1, the least length of an earth electrode by the class
// of lightning protection ("I" to "IV") and the resistivity of the soil.
func LeastLength(class string, rho unit.OhmMetre) (unit.Metre, cite.Ref, error) {
	slope, ok := l1Table().Num(class, "slope")
	if !ok {
		return 0, cite.Ref{}, fmt.Errorf("%q is not a class of lightning protection: I, II, III or IV", class)
	}
	offset, _ := l1Table().Num(class, "offset")
	floor, _ := l1Table().Num(class, "floor")
	return unit.Metre(math.Max(floor, slope*float64(rho)+offset)), l1Table().Cite, nil
}

// EquivalentRadius returns the radius of the circle that covers the area
// inside a ring (type B):
//
//	r_e = sqrt(A / pi)
func EquivalentRadius(area float64) unit.Metre { return unit.Metre(math.Sqrt(area / math.Pi)) }

// Extra says what a ring lacks where its equivalent radius is under l1.
type Extra struct {
	Needed     bool
	Horizontal unit.Metre // each added horizontal electrode: l1 - r_e
	Vertical   unit.Metre // each added vertical electrode: half of that
}

// TypeB returns what has to be added to a ring at every down conductor.
// Source: IEC 62305-3 5.4.2.2, from memory.
func TypeB(re, l1 unit.Metre) Extra {
	if re >= l1 {
		return Extra{}
	}
	return Extra{true, l1 - re, (l1 - re) / 2}
}

var (
	symRho  = trace.Symbol{Sym: "rho", Meaning: "resistivity of the soil", Unit: "ohm-m"}
	symT    = trace.Symbol{Sym: "T", Meaning: "front time of the current", Unit: "us"}
	foreign = cite.Ref{Work: "figure of an independent program for the same formula", Seen: cite.Read}
)

// Formulas are the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "surge.effective-length", Name: "effective length of an electrode fed at its end", Equation: "l_eff = (1 - beta)/alpha, alpha = 0.025 + exp(-0.82 (rho T)^0.257), beta = 0.17 + exp(-0.22 (rho T)^0.555)",
		Symbols: []trace.Symbol{{Sym: "l_eff", Meaning: "effective length", Unit: "m"}, symRho, symT}, Range: "10 to 10,000 ohm-m, 0.2 to 10 us; uniform soil", Cite: impulse,
		Checks: []trace.Check{
			{Name: "100 ohm-m, 1 us", Want: 8.2309, Tol: 0.001, Got: func() float64 { return float64(EffectiveLength(100, 1e-6)) }, Source: foreign},
			{Name: "1000 ohm-m, 10 us", Want: 32.99, Tol: 0.001, Got: func() float64 { return float64(EffectiveLength(1000, 10e-6)) }, Source: foreign},
		},
	},
	{
		ID: "surge.impulse-coefficient", Name: "impulse coefficient", Equation: "A = max(1, alpha l + beta)",
		Symbols: []trace.Symbol{{Sym: "A", Meaning: "peak potential over current, as a multiple of the low-frequency resistance", Unit: "-"}, symRho, symT, {Sym: "l", Meaning: "length from the feed", Unit: "m"}},
		Range:   "as the effective length", Cite: impulse,
		Checks: []trace.Check{{Name: "it is 1 at the effective length", Want: 1, Tol: 1e-3, Got: func() float64 { return ImpulseCoefficient(100, 1e-6, 8.2309) }, Source: foreign}},
	},
	{
		ID: "surge.type-b", Name: "equivalent radius of a ring", Equation: "r_e = sqrt(A/pi)",
		Symbols: []trace.Symbol{{Sym: "r_e", Meaning: "equivalent radius", Unit: "m"}, {Sym: "A", Meaning: "area inside the ring", Unit: "m2"}}, Range: "any ring", Cite: cite.Ref{Work: "IEC 62305-3", Edition: "2010", Place: "5.4.2.2", Seen: cite.FromMemory},
		Checks: []trace.Check{{Name: "a square of 50 ft", Want: 8.5982, Tol: 0.001, Got: func() float64 { return float64(EquivalentRadius(15.24 * 15.24)) }, Source: foreign}},
	},
}
