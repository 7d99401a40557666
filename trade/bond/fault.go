package bond

import (
	_ "embed" // the tables beside this file
	"fmt"
	"math"
	"strconv"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

//go:embed tables/materials.csv
var materialsCSV string

//go:embed tables/joints.csv
var jointsCSV string

//go:embed tables/figures.csv
var figuresCSV string

var (
	materials = table.Lazy(materialsCSV)
	joints    = table.Lazy(jointsCSV)
	figures   = table.Lazy(figuresCSV)
)

// EngineerOnly stands beside every fault figure.
const EngineerOnly = "The fault current and its duration are the utility's or an engineer's to state; high-voltage fault sites need an engineer."

// Material is the heat and resistance constants of a ground conductor.
type Material struct {
	Name   string
	Alpha  float64 // temperature coefficient of resistivity at 20 C, 1/C
	K0     float64 // 1/alpha at 0 C, C
	Fusing unit.Celsius
	Rho    float64 // resistivity at 20 C, microhm-cm
	TCAP   float64 // heat capacity by volume, J/(cm3 C)
}

// Materials lists those of the table, in its order, and where it is from.
func Materials() ([]Material, cite.Ref) {
	t := materials()
	var out []Material
	for _, row := range t.Rows {
		m, _, _ := MaterialNamed(row[0])
		out = append(out, m)
	}
	return out, t.Cite
}

// MaterialNamed returns a material of the table by its name.
func MaterialNamed(name string) (Material, cite.Ref, bool) {
	t := materials()
	m := Material{Name: name}
	all := true
	num := func(col string) float64 {
		v, ok := t.Num(name, col)
		all = all && ok
		return v
	}
	m.Alpha, m.K0, m.Fusing, m.Rho, m.TCAP = num("alpha"), num("K0"), unit.Celsius(num("fusing")), num("rho"), num("tcap")
	return m, t.Cite, all
}

// JointLimit returns how hot a conductor may get for the sake of its joints:
// "exothermic" (the conductor's own fusing), "brazed", "pressure 350",
// "pressure 250".
func JointLimit(joint string, m Material) (unit.Celsius, cite.Ref, bool) {
	t := joints()
	w, ok := t.Cell(joint, "limit")
	if !ok {
		return 0, t.Cite, false
	}
	if w == "fusing" {
		return m.Fusing, t.Cite, true
	}
	v, err := strconv.ParseFloat(w, 64)
	return unit.Celsius(v), t.Cite, err == nil
}

// Ambient returns the temperature before the fault that the tables assume.
func Ambient() (unit.Celsius, cite.Ref) {
	v, c := figure("ambient")
	return unit.Celsius(v), c
}

func figure(key string) (float64, cite.Ref) {
	t := figures()
	v, ok := t.Num(key, "value")
	if !ok {
		panic("bond: no figure " + key)
	}
	work, _ := t.Cell(key, "work")
	place, _ := t.Cell(key, "place")
	return v, cite.Ref{Work: work, Place: place, Seen: cite.FromMemory}
}

// FusingFactor returns the K of a conductor that heats from ta to tm with no
// heat lost,
//
//	K = 1/(c sqrt(TCAP/(alpha rho) ln((K0 + Tm)/(K0 + Ta)))),  c = 5.07e-3
//
// in kcmil/(kA sqrt(s)): A = K I sqrt(t). TCAP heat capacity in J/(cm3 C),
// alpha in 1/C and rho in microhm-cm at 20 C, K0 in C, Tm and Ta end and start
// temperature in C. It is NaN where tm is not above ta. Source: IEEE Std 80-2000
// eq. 38 and 42 (from memory).
func FusingFactor(m Material, tm, ta unit.Celsius) float64 {
	c, _ := figure("ampacity.coefficient")
	ln := math.Log((m.K0 + float64(tm)) / (m.K0 + float64(ta)))
	if !(ln > 0) {
		return math.NaN()
	}
	return 1 / (c * math.Sqrt(m.TCAP/(m.Alpha*m.Rho)*ln))
}

// LeastArea returns the area that carries a current for a time,
//
//	A = K I sqrt(t)
//
// in kcmil: K in kcmil/(kA sqrt(s)), I in kA with its offset, t in s. No heat is
// lost, so it is on the safe side for long times. Source: as FusingFactor.
func LeastArea(k float64, i unit.Ampere, t unit.Second) (kcmil float64) {
	return k * float64(i) / 1000 * math.Sqrt(float64(t))
}

// Onderdonk returns the area of copper that carries a current for a time by
// the older equation of that name,
//
//	A = I/sqrt(log10((Tm - Ta)/(234 + Ta) + 1)/(33 t))
//
// in kcmil with I in kA: t in s, Tm and Ta end and start temperature in C. It
// lies 0.6 % under LeastArea, whose constants are newer. Source: Onderdonk's
// equation as printed in handbooks (from memory; its worked values were read).
func Onderdonk(i unit.Ampere, t unit.Second, tm, ta unit.Celsius) (kcmil float64) {
	c, _ := figure("onderdonk.coefficient")
	k0, _ := figure("onderdonk.K0")
	return float64(i) / 1000 / math.Sqrt(math.Log10(float64(tm-ta)/(k0+float64(ta))+1)/(c*float64(t)))
}

// Withstand returns the symmetrical current that a conductor of kcmil carries
// for a time,
//
//	I = A/(K sqrt(t) Df)
//
// A in kcmil, K in kcmil/(kA sqrt(s)), t in s, Df decrement factor of the
// offset. Source: as FusingFactor.
func Withstand(kcmil, k float64, t unit.Second, df float64) unit.Ampere {
	return unit.Ampere(1000 * kcmil / (k * math.Sqrt(float64(t)) * df))
}

// DecrementFactor returns the factor from a symmetrical fault current to the
// steady current of the same heat, the current fully offset,
//
//	Df = sqrt(1 + Ta/tf (1 - exp(-2 tf/Ta))),  Ta = (X/R)/(2 pi f)
//
// tf duration in s, Ta time constant in s, X/R of the source, f frequency in
// Hz. Source: IEEE Std 80-2000 eq. 79 (from memory).
func DecrementFactor(tf unit.Second, xr, hertz float64) float64 {
	if xr == 0 {
		return 1
	}
	ta := xr / (2 * math.Pi * hertz)
	return math.Sqrt(1 + ta/float64(tf)*(1-math.Exp(-2*float64(tf)/ta)))
}

// Event is a fault as somebody who may has stated it.
type Event struct {
	Current  unit.Ampere // symmetrical, rms
	Duration unit.Second
	XR       float64 // X/R of the source; 0: no offset
	Hertz    float64
	Source   string // who stated it
}

// Heating is what a fault asks of a conductor and its joints.
type Heating struct {
	Factor    float64     // K, kcmil/(kA sqrt(s))
	Offset    float64     // decrement factor
	Least     float64     // kcmil
	Has       float64     // kcmil
	Withstand unit.Ampere // symmetrical
	Holds     bool
	Outside   string // the range that is left, if any
	Cite      []cite.Ref
	Caution   string
}

// Check returns what an event asks of a bare copper ground conductor whose
// joints are of a kind (see JointLimit), starting from ta.
func Check(b conductor.Bare, joint string, e Event, ta unit.Celsius) (Heating, error) {
	if !(e.Current > 0) || !(e.Duration > 0) || !(e.XR >= 0) || !(e.XR == 0 || e.Hertz > 0) ||
		!finite(float64(e.Current)) || !finite(float64(e.Duration)) || !finite(e.XR) {
		return Heating{}, &Error{BadOhm, "fault", "a current or a time that is not above 0", "give both, and the frequency with X/R"}
	}
	const annealed = "copper annealed"
	m, c1, _ := MaterialNamed(annealed)
	tm, c2, ok := JointLimit(joint, m)
	if !ok {
		return Heating{}, &Error{BadID, joint, "no such kind of joint", "exothermic, brazed, pressure 350 or pressure 250"}
	}
	k := FusingFactor(m, tm, ta)
	if math.IsNaN(k) {
		return Heating{}, &Error{BadOhm, "start", fmt.Sprintf("%g C is not below the limit of the joints", float64(ta)), "give the temperature before the fault"}
	}
	h := Heating{Factor: k, Offset: DecrementFactor(e.Duration, e.XR, e.Hertz), Has: conductor.CircularMils(b.Size) / 1000, Cite: []cite.Ref{c1, c2}, Caution: EngineerOnly}
	h.Least = LeastArea(k, unit.Ampere(float64(e.Current)*h.Offset), e.Duration)
	h.Withstand = Withstand(h.Has, k, e.Duration, h.Offset)
	h.Holds = h.Has >= h.Least
	if most, _ := figure("duration.most"); float64(e.Duration) > most {
		h.Outside = fmt.Sprintf("stated for up to %g s: heat lost is no longer small", most)
	}
	return h, nil
}
