// Package unit holds quantities as people write them and as the engine uses
// them. A quantity in a document keeps its words ("2'-6 1/2\"") and is parsed
// once to a typed SI number. Wire sizes and trade sizes are designators, not
// lengths: small ordered values with an invalid zero.
package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// The SI types. A bend angle is in degrees, as the trade speaks of it.
type (
	Metre      float64
	Ohm        float64
	OhmMetre   float64
	Degree     float64
	Celsius    float64
	Kilogram   float64
	Newton     float64
	Ampere     float64
	Volt       float64
	Second     float64
	Ratio      float64 // 10 % is 0.10
	KgPerM     float64 // mass of cable by length
	NewtonPerM float64
)

// Exact lengths.
const (
	Inch Metre = 0.0254
	Foot Metre = 0.3048
)

// In returns the length in inches, Ft in feet.
func (m Metre) In() float64 { return float64(m / Inch) }

// Ft returns the length in feet.
func (m Metre) Ft() float64 { return float64(m / Foot) }

// Fahrenheit returns the temperature in degrees Fahrenheit.
func (c Celsius) Fahrenheit() float64 { return float64(c)*1.8 + 32 }

// FromFahrenheit returns a temperature given in degrees Fahrenheit.
func FromFahrenheit(f float64) Celsius { return Celsius((f - 32) / 1.8) }

// Q is a quantity as a person wrote it: SI is what is computed with, Text is
// what is printed. Set is false where the document has none.
type Q[T ~float64] struct {
	SI   T
	Text string
	Set  bool
}

// Or returns the value, or d where none was written.
func (q Q[T]) Or(d T) T {
	if q.Set {
		return q.SI
	}
	return d
}

// Dim is a dimension that a quantity in a document may have.
type Dim int

// Dimensions.
const (
	Length Dim = iota
	Resistance
	Resistivity
	Angle
	Temperature
	Mass
	Force
	Current
	Voltage
	Time
	Share
	MassPerLength
	ForcePerLength
	TemperatureDifference
)

var dimWords = []string{
	"length", "resistance", "resistivity", "angle", "temperature", "mass", "force",
	"current", "voltage", "time", "share", "mass by length", "force by length", "temperature difference",
}

// String returns the dimension in words.
func (d Dim) String() string { return dimWords[d] }

// Example returns a quantity of this dimension in words, for a mend.
func (d Dim) Example() string {
	return [...]string{
		`"30 in", "2'-6 1/2\"" or "762 mm"`, `"5 ohm"`, `"100 ohm-m"`, `"90 deg"`, `"70 F" or "21 C"`,
		`"45 g"`, `"600 lbf"`, `"200 A"`, `"240 V"`, `"48 h"`, `"10 %"`, `"0.5 lb/ft"`, `"300 lbf/ft"`, `"30 F"`,
	}[d]
}

type scale struct {
	dim Dim
	k   float64
}

// units maps what may follow a number. "F" and "C" are handled apart, since
// they have a zero of their own.
var units = map[string]scale{
	"m": {Length, 1}, "mm": {Length, 1e-3}, "cm": {Length, 1e-2}, "km": {Length, 1e3},
	"in": {Length, 0.0254}, "inch": {Length, 0.0254}, "inches": {Length, 0.0254}, `"`: {Length, 0.0254},
	"ft": {Length, 0.3048}, "feet": {Length, 0.3048}, "foot": {Length, 0.3048}, "'": {Length, 0.3048},
	"yd":  {Length, 0.9144},
	"ohm": {Resistance, 1}, "ohms": {Resistance, 1}, "mohm": {Resistance, 1e-3}, "kohm": {Resistance, 1e3}, "Ω": {Resistance, 1},
	"ohm-m": {Resistivity, 1}, "ohm-cm": {Resistivity, 1e-2}, "ohm-ft": {Resistivity, 0.3048}, "ohm m": {Resistivity, 1}, "Ω·m": {Resistivity, 1},
	"deg": {Angle, 1}, "degrees": {Angle, 1}, "degree": {Angle, 1}, "°": {Angle, 1},
	"g": {Mass, 1e-3}, "kg": {Mass, 1}, "lb": {Mass, 0.45359237}, "oz": {Mass, 0.45359237 / 16},
	"lbf": {Force, 4.4482216152605}, "N": {Force, 1}, "kN": {Force, 1e3},
	"A": {Current, 1}, "kA": {Current, 1e3}, "amp": {Current, 1}, "amps": {Current, 1},
	"V": {Voltage, 1}, "kV": {Voltage, 1e3}, "volt": {Voltage, 1}, "volts": {Voltage, 1},
	"s": {Time, 1}, "min": {Time, 60}, "h": {Time, 3600}, "hour": {Time, 3600}, "hours": {Time, 3600}, "day": {Time, 86400}, "days": {Time, 86400},
	"%": {Share, 1e-2}, "percent": {Share, 1e-2},
	"lb/ft": {MassPerLength, 0.45359237 / 0.3048}, "kg/m": {MassPerLength, 1}, "kg/km": {MassPerLength, 1e-3}, "lb/1000 ft": {MassPerLength, 0.45359237 / 304.8},
	"lbf/ft": {ForcePerLength, 4.4482216152605 / 0.3048}, "N/m": {ForcePerLength, 1},
}

// Fault says why a quantity could not be read.
type Fault int

// Faults.
const (
	NoUnit Fault = iota
	UnknownUnit
	WrongUnit
	NoNumber
	Unbounded // NaN, infinite, or beyond 1e12
)

// Error is a quantity that could not be read. It quotes the input and says
// what to write.
type Error struct {
	Fault Fault
	Text  string
	Want  Dim
	Mend  string
}

func (e *Error) Error() string {
	switch e.Fault {
	case NoUnit:
		return fmt.Sprintf("%q has no unit", e.Text)
	case UnknownUnit:
		return fmt.Sprintf("%q has a unit that is not known", e.Text)
	case WrongUnit:
		return fmt.Sprintf("%q is not a %s", e.Text, e.Want)
	case Unbounded:
		return fmt.Sprintf("%q is not a number that a compound can have", e.Text)
	}
	return fmt.Sprintf("%q is not a number with a unit", e.Text)
}

// Parse reads one quantity of dimension want and returns it in SI.
func Parse(text string, want Dim) (float64, error) {
	s := strings.TrimSpace(text)
	fail := func(f Fault, mend string) (float64, error) {
		if mend == "" {
			mend = "write it like " + want.Example()
		}
		return 0, &Error{Fault: f, Text: text, Want: want, Mend: mend}
	}
	if s == "" {
		return fail(NoNumber, "")
	}
	if want == Length {
		if v, ok := parseFeetInches(s); ok {
			return bounded(v, text, want)
		}
	}
	num, rest, ok := leadingNumber(s)
	if !ok {
		return fail(NoNumber, "")
	}
	rest = strings.TrimSpace(rest)
	if math.IsNaN(num) || math.IsInf(num, 0) {
		return fail(Unbounded, "")
	}
	if rest == "" {
		return fail(NoUnit, suggest(s, want))
	}
	if want == Temperature || want == TemperatureDifference {
		switch strings.TrimPrefix(strings.TrimPrefix(rest, "°"), "deg ") {
		case "F":
			if want == TemperatureDifference {
				return bounded(num/1.8, text, want)
			}
			return bounded(float64(FromFahrenheit(num)), text, want)
		case "C", "K":
			return bounded(num, text, want)
		}
	}
	u, ok := units[rest]
	if !ok {
		return fail(UnknownUnit, "")
	}
	if u.dim != want {
		return fail(WrongUnit, "")
	}
	return bounded(num*u.k, text, want)
}

func bounded(v float64, text string, want Dim) (float64, error) {
	if math.IsNaN(v) || math.Abs(v) > 1e12 {
		return 0, &Error{Fault: Unbounded, Text: text, Want: want, Mend: "write it like " + want.Example()}
	}
	return v, nil
}

func suggest(num string, want Dim) string {
	switch want {
	case Length:
		if v, err := strconv.ParseFloat(num, 64); err == nil && !math.IsInf(v, 0) {
			return fmt.Sprintf("write %q or %q", num+" in", trim(v*25.4, 1)+" mm")
		}
		return fmt.Sprintf("write %q or %q", num+" in", num+" ft")
	case Resistivity:
		return fmt.Sprintf("write %q", num+" ohm-m")
	case Resistance:
		return fmt.Sprintf("write %q", num+" ohm")
	case Angle:
		return fmt.Sprintf("write %q", num+" deg")
	case Share:
		return fmt.Sprintf("write %q", num+" %")
	case Mass:
		return fmt.Sprintf("write %q", num+" g")
	}
	return "write it like " + want.Example()
}

// leadingNumber reads "30", "-10", "2-7/8", "2 7/8", "7/8", "1e-3" from the
// front of s.
func leadingNumber(s string) (float64, string, bool) {
	i := 0
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.' || s[i] == '+' && i == 0 || s[i] == '-' && i == 0) {
		i++
	}
	// An exponent only where digits follow it, so that "3 e" is not one.
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if j < len(s) && s[j] >= '0' && s[j] <= '9' {
			for j < len(s) && s[j] >= '0' && s[j] <= '9' {
				j++
			}
			i = j
		}
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	if err != nil {
		if ne, ok := err.(*strconv.NumError); ok && ne.Err == strconv.ErrRange {
			return math.Inf(1), s[i:], true
		}
		return 0, s, false
	}
	rest := s[i:]
	if d, after, ok := strings.Cut(rest, "/"); ok && isDigits(d) { // "7/8"
		den, tail, ok2 := digits(after)
		if ok2 && den != 0 && d == "" {
			return v / den, tail, true
		}
	}
	sep := strings.TrimLeft(rest, " -")
	if sep != rest && len(rest)-len(sep) == 1 { // "2-7/8", "2 7/8"
		n, t1, ok1 := digits(sep)
		if ok1 && strings.HasPrefix(t1, "/") {
			d, t2, ok2 := digits(t1[1:])
			if ok2 && d != 0 && n < d {
				if s[0] == '-' {
					return v - n/d, t2, true
				}
				return v + n/d, t2, true
			}
		}
	}
	return v, rest, true
}

func isDigits(s string) bool {
	for _, c := range s {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

func digits(s string) (float64, string, bool) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	if i == 0 || i > 9 {
		return 0, s, false
	}
	n, _ := strconv.Atoi(s[:i])
	return float64(n), s[i:], true
}

// parseFeetInches reads 2'-6 1/2", 2' 6", 14', 2 ft 6 in, 2 ft 6-1/2 in.
func parseFeetInches(s string) (float64, bool) {
	neg := strings.HasPrefix(s, "-")
	t := strings.TrimPrefix(s, "-")
	ft, rest, ok := leadingNumber(t)
	if !ok {
		return 0, false
	}
	rest = strings.TrimLeft(rest, " ")
	switch {
	case strings.HasPrefix(rest, "'"):
		rest = rest[1:]
	case strings.HasPrefix(rest, "ft ") || strings.HasPrefix(rest, "feet "):
		_, rest, _ = strings.Cut(rest, " ")
	default:
		return 0, false
	}
	rest = strings.TrimLeft(rest, " -")
	v := ft * 0.3048
	if rest != "" {
		in, tail, ok := leadingNumber(rest)
		tail = strings.TrimSpace(tail)
		if !ok || in < 0 || (tail != `"` && tail != "in" && tail != "inches" && tail != "inch") {
			return 0, false
		}
		v += in * 0.0254
	}
	if neg {
		v = -v
	}
	return v, true
}

// Whole reads the whole number that a text begins with, and gives the rest.
func Whole(s string) (n int, rest string, ok bool) {
	end := 0
	for end < len(s) && s[end] >= '0' && s[end] <= '9' {
		end++
	}
	n, err := strconv.Atoi(s[:end])
	return n, s[end:], err == nil
}
