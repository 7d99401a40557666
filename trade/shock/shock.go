// Package shock holds the touch and step voltages that a body bears for the
// time of a fault, and what a layer of surface stone adds.
//
// It computes what the standard says for stated inputs and nothing else. A site
// with high-voltage faults, and every question of step and touch, needs an
// engineer: these figures are for talking with one.
package shock

import (
	_ "embed" // the table beside this file
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/trace"
	"stubup/base/unit"
)

//go:embed tables/figures.csv
var figuresCSV string

var figures = table.Lazy(figuresCSV)

// EngineerOnly stands beside every figure of this package.
const EngineerOnly = "An estimate, not permission: step and touch voltages and sites with high-voltage faults need an engineer."

// Body is the body that a limit is for.
type Body int

// Bodies.
const (
	Kg50 Body = 50
	Kg70 Body = 70
)

func figure(key string) float64 {
	v, ok := figures().Num(key, "value")
	if !ok {
		panic("shock: no figure " + key)
	}
	return v
}

// Current returns the current through a body that 99.5 % bear,
//
//	IB = k/sqrt(t)
//
// in A: k 0.116 for 50 kg and 0.157 for 70 kg, t duration in s. It is NaN for
// another body. Source: IEEE Std 80-2000 eq. 8 and 9 (from memory), for 0.03 to
// 3 s.
func Current(b Body, t unit.Second) unit.Ampere {
	if b != Kg50 && b != Kg70 {
		return unit.Ampere(math.NaN())
	}
	return unit.Ampere(figure(fmt.Sprintf("body.%d", int(b))) / math.Sqrt(float64(t)))
}

// Surface returns the derating of a layer of surface stone,
//
//	Cs = 1 - 0.09 (1 - rho/rhos)/(2 h + 0.09)
//
// rho resistivity of the soil below and rhos of the stone when wet in ohm-m, h
// thickness in m. It is 1 without a layer. Source: IEEE Std 80-2000 eq. 27 (from
// memory).
func Surface(rho, stone unit.OhmMetre, h unit.Metre) float64 {
	d := figure("layer")
	return 1 - d*(1-float64(rho/stone))/(2*float64(h)+d)
}

// Step returns the tolerable voltage between two feet a metre apart,
//
//	E = (RB + 6 Cs rhos) IB
//
// in V: RB 1000 ohm, Cs derating and rhos resistivity in ohm-m of the surface,
// IB tolerable body current in A. Source: IEEE Std 80-2000 eq. 29 and 30 (from
// memory).
func Step(b Body, t unit.Second, cs float64, stone unit.OhmMetre) unit.Volt {
	return unit.Volt((figure("body.ohms") + figure("foot.step")*cs*float64(stone)) * float64(Current(b, t)))
}

// Touch returns the tolerable voltage between a hand and both feet,
//
//	E = (RB + 1.5 Cs rhos) IB
//
// as Step. Source: IEEE Std 80-2000 eq. 32 and 33 (from memory).
func Touch(b Body, t unit.Second, cs float64, stone unit.OhmMetre) unit.Volt {
	return unit.Volt((figure("body.ohms") + figure("foot.touch")*cs*float64(stone)) * float64(Current(b, t)))
}

// Limits is what a body bears on a surface, with what must be said beside it.
type Limits struct {
	Body        Body
	Current     unit.Ampere
	Derating    float64
	Touch, Step unit.Volt
	Outside     string // the stated range that is left, if any
	Cite        cite.Ref
	Caution     string
}

// Error is an input that cannot be used.
type Error struct{ What, Mend string }

func (e *Error) Error() string { return e.What + ": " + e.Mend }

// Tolerable returns the limits for a fault of t seconds on soil of rho, under h
// of stone; h = 0 is bare soil.
func Tolerable(b Body, t unit.Second, rho, stone unit.OhmMetre, h unit.Metre) (Limits, error) {
	if h == 0 {
		stone = rho
	}
	for _, v := range []float64{float64(t), float64(rho), float64(stone)} {
		if !(v > 0) || math.IsInf(v, 0) {
			return Limits{}, &Error{"a duration or a resistivity that is not above 0", "give seconds and ohm-m"}
		}
	}
	if !(h >= 0) || math.IsInf(float64(h), 0) {
		return Limits{}, &Error{"a layer of no thickness", "give the stone's thickness, or 0 for none"}
	}
	if b != Kg50 && b != Kg70 {
		return Limits{}, &Error{fmt.Sprintf("no limit for a body of %d kg", int(b)), "50 or 70 kg"}
	}
	l := Limits{Body: b, Current: Current(b, t), Derating: Surface(rho, stone, h), Cite: std80, Caution: EngineerOnly}
	l.Touch, l.Step = Touch(b, t, l.Derating, stone), Step(b, t, l.Derating, stone)
	if lo, hi := figure("time.least"), figure("time.most"); float64(t) < lo || float64(t) > hi {
		l.Outside = fmt.Sprintf("stated for %g to %g s", lo, hi)
	}
	if stone < rho {
		l.Outside = join(l.Outside, "the surface conducts better than the soil below: no derating is stated for that")
	}
	return l, nil
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

var (
	std80  = cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "clauses 6 to 8", Seen: cite.FromMemory}
	annexB = cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "Annex B.1", Seen: cite.FromMemory}

	symIB   = trace.Symbol{Sym: "IB", Meaning: "current that the body bears", Unit: "A"}
	symE    = trace.Symbol{Sym: "E", Meaning: "tolerable voltage", Unit: "V"}
	symRB   = trace.Symbol{Sym: "RB", Meaning: "resistance of the body", Unit: "ohm"}
	symCs   = trace.Symbol{Sym: "Cs", Meaning: "derating of the surface layer", Unit: "-"}
	symRhoS = trace.Symbol{Sym: "rhos", Meaning: "resistivity of the surface, wet", Unit: "ohm-m"}
)

// Formulas describes the equations of this package.
var Formulas = []trace.Formula{
	{
		ID: "shock.current", Name: "tolerable body current", Equation: "IB = k/sqrt(t)",
		Symbols: []trace.Symbol{symIB, {Sym: "k", Meaning: "constant of the body's weight", Unit: "A s^0.5"}, {Sym: "t", Meaning: "duration", Unit: "s"}},
		Range:   "0.03 to 3 s", Cite: std80,
		Checks: []trace.Check{{
			Name: "70 kg, 0.5 s, as used in the worked example: 2686.6 V over 12,100 ohm", Want: 2686.6 / 12100, Tol: 0.001,
			Got: func() float64 { return float64(Current(Kg70, 0.5)) }, Source: annexB,
		}},
	},
	{
		ID: "shock.surface", Name: "derating of a surface layer", Equation: "Cs = 1 - 0.09 (1 - rho/rhos)/(2 h + 0.09)",
		Symbols: []trace.Symbol{symCs, {Sym: "rho", Meaning: "resistivity of the soil below", Unit: "ohm-m"}, symRhoS, {Sym: "h", Meaning: "thickness of the layer", Unit: "m"}},
		Range:   "surface above the soil in resistivity", Cite: std80,
		Checks: []trace.Check{{
			Name: "0.102 m of 2500 ohm-m stone over 400 ohm-m", Want: 0.74, Tol: 0.006,
			Got: func() float64 { return Surface(400, 2500, 0.102) }, Source: annexB,
		}},
	},
	{
		ID: "shock.step", Name: "tolerable step voltage", Equation: "E = (RB + 6 Cs rhos) IB", Symbols: []trace.Symbol{symE, symRB, symCs, symRhoS, symIB},
		Range: "0.03 to 3 s", Cite: std80,
		Checks: []trace.Check{{
			Name: "70 kg, 0.5 s, Cs 0.74, 2500 ohm-m", Want: 2686.6, Tol: 0.001,
			Got: func() float64 { return float64(Step(Kg70, 0.5, 0.74, 2500)) }, Source: annexB,
		}},
	},
	{
		ID: "shock.touch", Name: "tolerable touch voltage", Equation: "E = (RB + 1.5 Cs rhos) IB", Symbols: []trace.Symbol{symE, symRB, symCs, symRhoS, symIB},
		Range: "0.03 to 3 s", Cite: std80,
		Checks: []trace.Check{{
			Name: "70 kg, 0.5 s, Cs 0.74, 2500 ohm-m", Want: 838.2, Tol: 0.001,
			Got: func() float64 { return float64(Touch(Kg70, 0.5, 0.74, 2500)) }, Source: annexB,
		}},
	},
}
