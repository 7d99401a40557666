package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System says which units are printed first.
type System int

// Systems.
const (
	US System = iota
	SI
)

// Length prints a length as the trade reads it: feet, inches and sixteenths,
// or metres to the millimetre. What is printed parses back to the same place
// within half of the last unit shown.
func (s System) Length(m Metre) string {
	if s == SI {
		return trim(float64(m), 3) + " m"
	}
	return FeetInches(m)
}

// Short prints a small length: inches and sixteenths, or millimetres.
func (s System) Short(m Metre) string {
	if s == SI {
		return trim(float64(m)*1000, 0) + " mm"
	}
	return Inches(m)
}

// Run prints the length of a run: feet to a tenth, or metres to a centimetre.
func (s System) Run(m Metre) string {
	if s == SI {
		return Fixed(float64(m), 2) + " m"
	}
	return Fixed(m.Ft(), 1) + " ft"
}

// Force prints a pull as it is read off a gauge: pounds, or newtons.
func (s System) Force(f Newton) string { return s.gauge(float64(f), poundForce, " lbf", " N") }

// Side prints a push on a length: pounds to the foot, or newtons to the metre.
func (s System) Side(p NewtonPerM) string {
	return s.gauge(float64(p), poundForce/float64(Foot), " lbf/ft", " N/m")
}

// Weight prints what a length weighs, of its pull on the earth.
func (s System) Weight(w NewtonPerM) string {
	if s == SI {
		return Figures(float64(w)/9.80665, 3) + " kg/m"
	}
	return Figures(float64(w)/(poundForce/float64(Foot)), 3) + " lb/ft"
}

const poundForce = 4.4482216152605 // N

func (s System) gauge(v, pound float64, us, si string) string {
	if s == SI {
		pound, us = 1, si
	}
	if v /= pound; v < 1 && v >= 0 {
		return "under 1" + us
	}
	return Figures(v, 3) + us
}

// Between prints what lies from one printed value to another of its unit.
func Between(a, b string) string {
	if a == b {
		return a
	}
	return a[:strings.LastIndexByte(a, ' ')] + " to " + b
}

// FeetInches prints 2'-6 1/2". It rounds to a sixteenth.
func FeetInches(m Metre) string {
	neg := m < 0
	n := int64(math.Round(math.Abs(m.In()) * 16))
	ft := n / (12 * 16)
	n %= 12 * 16
	in := sixteenths(n)
	if n > 0 && n < 16 {
		in = "0 " + in // 2'-0 3/4", so that nobody reads three quarters of a foot
	}
	s := fmt.Sprintf("%d'-%s\"", ft, in)
	if neg && (ft != 0 || n != 0) {
		s = "-" + s
	}
	return s
}

// Inches prints 6 1/2 in, rounded to a sixteenth.
func Inches(m Metre) string {
	n := int64(math.Round(math.Abs(m.In()) * 16))
	s := sixteenths(n) + " in"
	if m < 0 && n != 0 {
		s = "-" + s
	}
	return s
}

func sixteenths(n int64) string {
	whole, part, den := n/16, n%16, int64(16)
	for part != 0 && part%2 == 0 {
		part, den = part/2, den/2
	}
	switch {
	case part == 0:
		return strconv.FormatInt(whole, 10)
	case whole == 0:
		return fmt.Sprintf("%d/%d", part, den)
	}
	return fmt.Sprintf("%d %d/%d", whole, part, den)
}

// Fixed prints v with exactly d decimals and never "-0".
func Fixed(v float64, d int) string {
	s := strconv.FormatFloat(v, 'f', d, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// Figures prints v to n significant figures, without an exponent.
func Figures(v float64, n int) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return Fixed(v, 0)
	}
	d := n - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	if d < 0 {
		k := math.Pow(10, float64(-d))
		return Fixed(math.Round(v/k)*k, 0)
	}
	return Fixed(v, d)
}

// Ohms prints a resistance: three figures, as an earth tester shows it.
func Ohms(r Ohm) string {
	switch a := math.Abs(float64(r)); {
	case a == 0:
		return "0 ohm"
	case a < 0.1:
		return Figures(float64(r)*1000, 3) + " mohm"
	case a < 1:
		return Fixed(float64(r), 2) + " ohm"
	case a < 20:
		return Fixed(float64(r), 2) + " ohm"
	default:
		return Figures(float64(r), 3) + " ohm"
	}
}

func trim(v float64, d int) string {
	s := Fixed(v, d)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Trim prints v with at most d decimals and no trailing zeros.
func Trim(v float64, d int) string { return trim(v, d) }
