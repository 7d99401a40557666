package pull

import (
	"fmt"
	"math"
	"strconv"

	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/trade/raceway"
)

// Class is a family of cable that shares its usual limits. The maker's own
// figures replace them.
type Class string

// The classes. General is any power or control cable without one of its own.
const (
	General       Class = "general"
	Wire600       Class = "600 V"
	Wire600XLPE   Class = "600 V XLPE"
	MediumVoltage Class = "medium voltage"
	FiberOutside  Class = "fiber outside"
	FiberInside   Class = "fiber inside small" // 2 or 4 fibers
	FiberTo12     Class = "fiber to 12"
	FiberOver12   Class = "fiber over 12"
	FourPair      Class = "four-pair"
	MakersCable   Class = "maker's" // nothing is known but what the maker says
)

// Rows of the tables that no one names: small 600 V wire, and insulation above
// the printed limits.
const (
	wire600Small    = "600 V small"
	insulationThick = "any"
)

// Metal is a conductor metal with its temper, as the stress table keys it.
type Metal string

// The metals.
const (
	Copper         Metal = "copper"
	AluminumHard   Metal = "aluminum hard"
	Aluminum3Q     Metal = "aluminum 3/4 hard"
	AluminumAA8000 Metal = "aluminum AA-8000"
	AluminumHalf   Metal = "aluminum 1/2 hard"
	AluminumSoft   Metal = "aluminum soft"
)

// Cable is a number of equal cables or single conductors of a pull.
type Cable struct {
	_ [0]func() // never compared: no equality is compiled for it

	Name       string
	Count      int
	OD         unit.Metre
	Mass       unit.KgPerM // of one
	Class      Class
	Metal      Metal
	Conductors int        // in each; zero counts as one
	CMil       float64    // metal area of one conductor, circular mils
	Insulation unit.Metre // thickness; zero: the thinnest row of the training table
	// The maker's limits of one cable; zero: the usual ones stand in.
	Tension  unit.Newton
	Sidewall unit.NewtonPerM
	Radius   unit.Metre // least inside radius while pulled
}

func (c Cable) conductors() int { return max(1, c.Conductors) }

// class returns the class; a cable of none said is held to the general one.
func (c Cable) class() Class {
	if c.Class == "" {
		return General
	}
	return c.Class
}

// Check returns what is wrong with a cable, naming it; a figure that is not
// given at all is missing, not wrong.
func (c Cable) Check() error {
	if c.Count < 0 || c.Conductors < 0 {
		return fmt.Errorf("%s: a count of %d", c.Name, min(c.Count, c.Conductors))
	}
	for _, v := range []struct {
		name  string
		value float64
	}{{"outside diameter", float64(c.OD)}, {"weight", float64(c.Mass)}, {"metal area", c.CMil}, {"insulation thickness", float64(c.Insulation)}, {"tension limit", float64(c.Tension)}, {"sidewall limit", float64(c.Sidewall)}, {"least radius", float64(c.Radius)}} {
		if !(v.value >= 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("%s: a %s of %v", c.Name, v.name, v.value)
		}
	}
	if c.Metal != "" {
		if _, ok := Stress(c.Metal); !ok {
			return fmt.Errorf("%s: no pulling stress is carried for %q", c.Name, c.Metal)
		}
	}
	return nil
}

// Stress returns the pulling stress of a conductor metal, N per circular mil;
// ok is false where none is carried.
func Stress(m Metal) (newtonPerCMil float64, ok bool) {
	s, ok := stressTable().Num(string(m), "stress")
	return s * float64(PoundForce), ok
}

// Arrangement is how cables lie in the raceway.
type Arrangement string

// The arrangements.
const (
	Single     Arrangement = "single"
	Two        Arrangement = "two"
	Triangular Arrangement = "triangular"
	Cradled    Arrangement = "cradled"
	Diamond    Arrangement = "diamond"
	Complex    Arrangement = "complex"
)

// ArrangementOf returns how n cables of diameter d lie in a raceway of inside
// diameter id. Three lie in a triangle under the lowest jam band and may lie
// cradled from there, which weighs more and is taken.
func ArrangementOf(n int, d, id unit.Metre) Arrangement {
	switch {
	case n <= 1:
		return Single
	case n == 2:
		return Two
	case n == 3:
		if low, _ := figure("jam.low"); Jam(d, id).Grown >= low {
			return Cradled
		}
		return Triangular
	case n == 4:
		return Diamond
	}
	return Complex
}

// takes reports whether n cables can lie so. Any number above one may be called
// complex.
func (a Arrangement) takes(n int) bool {
	switch a {
	case Single:
		return n <= 1
	case Two:
		return n == 2
	case Triangular, Cradled:
		return n == 3
	case Diamond:
		return n == 4
	}
	return a == Complex && n > 1
}

// fits returns the least inside diameter, in cable diameters, that n equal
// cables go into: the circle round touching circles. Above four, fill decides.
func fits(n int) float64 {
	switch n {
	case 0, 1:
		return 1
	case 2:
		return 2
	case 3:
		return 1 + 2/math.Sqrt(3)
	case 4:
		return 1 + math.Sqrt2
	}
	return math.Sqrt(float64(n))
}

// WeightCorrection returns the factor by which cables that wedge against each
// other press harder on the wall than their weight, with x = d/(D - d):
//
//	single      1
//	two         1/sqrt(1 - x^2)
//	triangular  1/sqrt(1 - x^2)
//	cradled     1 + 4/3 x^2
//	diamond     1 + 2 x^2
//	complex     1.4
//
// d is the diameter of one cable, D the inside diameter of the raceway.
func WeightCorrection(a Arrangement, d, id unit.Metre) (float64, cite.Ref, error) {
	v, c := figure("weight.complex")
	switch a {
	case Single:
		return 1, c, nil
	case Complex:
		return v, c, nil
	}
	n := map[Arrangement]int{Two: 2, Triangular: 3, Cradled: 3, Diamond: 4}[a]
	switch {
	case n == 0:
		return 0, c, fmt.Errorf("%q is no arrangement of cables", a)
	case !(d > 0) || !(id > 0) || math.IsInf(float64(id), 0):
		return 0, c, fmt.Errorf("no diameter: cable %s in, raceway %s in", unit.Trim(d.In(), 3), unit.Trim(id.In(), 3))
	case float64(id) <= fits(n)*float64(d):
		return 0, c, fmt.Errorf("%d cables of %s in do not go into an inside diameter of %s in", n, unit.Trim(d.In(), 3), unit.Trim(id.In(), 3))
	}
	x := float64(d / (id - d))
	switch a {
	case Cradled:
		return 1 + 4.0/3*x*x, c, nil
	case Diamond:
		return 1 + 2*x*x, c, nil
	}
	return 1 / math.Sqrt(1-x*x), c, nil
}

// SidewallShare returns the pressure on the worst cable at a bend as a part of
// the tension over the inside radius:
//
//	single      1
//	two         wc/2
//	triangular  wc/2
//	cradled     (3 wc - 2)/3
//	diamond     wc - 1
//	complex     1
//
// For two it follows from the triangle, whose upper cable rests on the lower
// two. For complex it is a bound, the whole on one cable: bound is true.
func SidewallShare(a Arrangement, wc float64) (share float64, bound bool) {
	switch a {
	case Two, Triangular:
		return wc / 2, false
	case Cradled:
		return (3*wc - 2) / 3, false
	case Diamond:
		return wc - 1, false
	case Complex:
		return 1, true
	}
	return 1, false
}

// Sidewall returns the pressure at a bend: p = share T / R, with R the inside
// radius.
func Sidewall(t unit.Newton, inside unit.Metre, share float64) unit.NewtonPerM {
	return unit.NewtonPerM(share * float64(t) / float64(inside))
}

// RadiusForSidewall returns the least inside radius that holds a tension within
// a sidewall limit: R = share T / p.
func RadiusForSidewall(t unit.Newton, limit unit.NewtonPerM, share float64) unit.Metre {
	return unit.Metre(share * float64(t) / float64(limit))
}

// SidewallLimit returns the limit of one cable: the maker's, or the usual one
// of its class; ok is false for classes whose makers alone say.
func SidewallLimit(c Cable) (unit.NewtonPerM, cite.Ref, bool) {
	if c.Sidewall > 0 {
		return c.Sidewall, maker(c), true
	}
	key := string(c.class())
	if small, _ := figure("small.wire"); c.Class == Wire600 && c.CMil > 0 && c.CMil <= small {
		key = wire600Small
	}
	v, ok := sidewallTable().Num(key, "limit")
	return unit.NewtonPerM(v) * PoundForcePerFoot, rowCite(sidewallTable(), key), ok
}

func maker(c Cable) cite.Ref {
	return cite.Ref{Work: "the maker's sheet, as entered", Place: c.Name, Seen: cite.Derived}
}

// CableTension returns the tension that one cable may bear at a pulling eye:
// the maker's, the usual one of a telecom class, or by the metal of its
// conductors
//
//	T = n S A
//
// with n the conductors, S the stress and A the metal area of one; ok is false
// where neither is known.
func CableTension(c Cable) (unit.Newton, cite.Ref, bool) {
	if c.Tension > 0 {
		return c.Tension, maker(c), true
	}
	if c.Class == FiberOutside {
		t, r := raceway.FiberTension(raceway.Pulling)
		return t, r, true
	}
	if v, ok := telecomTable().Num(string(c.Class), "tension"); ok {
		return unit.Newton(v) * PoundForce, rowCite(telecomTable(), string(c.Class)), true
	}
	s, ok := Stress(c.Metal)
	if !ok || c.CMil == 0 {
		return 0, stressTable().Cite, false
	}
	return unit.Newton(float64(c.conductors()) * s * c.CMil), stressTable().Cite, true
}

// GroupShare returns the usual reduction of the sum of limits where more than
// so many conductors are pulled together. Airfield practice takes the whole
// sum.
func GroupShare() (share unit.Ratio, above int, c cite.Ref) {
	s, c := figure("group.share")
	n, _ := figure("group.free")
	return unit.Ratio(s), int(n), c
}

// GroupTension returns the tension that cables pulled together may bear:
//
//	T = sum(T_i)          up to three conductors
//	T = share sum(T_i)    above three
//
// Cables whose limits come from different grounds (a fiber cable among power
// conductors) do not stretch alike: then each is taken to draw an even part,
// and the weakest decides, T = share n min(T_i). share is usually GroupShare.
// missing names the cables whose limit is not known.
func GroupTension(cables []Cable, share unit.Ratio) (t unit.Newton, c cite.Ref, missing []string) {
	_, above, c := GroupShare()
	n, pieces, weakest := 0, 0, math.Inf(1)
	sum := 0.0
	type ground struct {
		metal bool
		what  string
	}
	last, mixed := ground{}, false
	for _, k := range cables {
		if k.Count == 0 {
			continue
		}
		one, r, ok := CableTension(k)
		if !ok {
			missing = append(missing, fmt.Sprintf("the metal area of %s, or its maker's tension", k.Name))
			continue
		}
		g := ground{metal: r == stressTable().Cite, what: string(k.Metal)}
		if !g.metal {
			g.what = k.Name
		}
		mixed = mixed || pieces > 0 && g != last
		last = g
		pieces += k.Count
		if g.metal {
			n += k.Count * k.conductors()
		} else {
			n += k.Count
		}
		sum += float64(k.Count) * float64(one)
		weakest = math.Min(weakest, float64(one))
	}
	if len(missing) > 0 || pieces == 0 {
		return 0, c, missing
	}
	if mixed {
		sum = float64(pieces) * weakest
	}
	if n > above {
		sum *= float64(share)
	}
	return unit.Newton(sum), c, nil
}

// GripLimit returns the usual limit of a basket grip over cable without a lead
// sheath. The limit of the conductors holds as well.
func GripLimit() (unit.Newton, cite.Ref) {
	v, c := figure("grip")
	return unit.Newton(v) * PoundForce, c
}

// DeviceLimit returns the usual limit of a pulling device that shows no rating.
func DeviceLimit() (unit.Newton, cite.Ref) {
	v, c := figure("device")
	return unit.Newton(v) * PoundForce, c
}

// TrainingRadius returns the least radius of a power cable at rest by its
// diameter and insulation thickness; ok is false where none is printed.
func TrainingRadius(od, insulation unit.Metre) (unit.Metre, cite.Ref, bool) {
	tb := trainingTable()
	key := insulationThick
	for _, r := range tb.Rows {
		if mil, err := strconv.ParseFloat(r[0], 64); err == nil && insulation.In()*1000 <= mil*(1+1e-9) {
			key = r[0]
			break
		}
	}
	col := "above"
	switch d := od.In() * (1 - 1e-9); {
	case d <= 1:
		col = "to1"
	case d <= 2:
		col = "to2"
	}
	k, ok := tb.Num(key, col)
	return od * unit.Metre(k), tb.Cite, ok
}

// LeastRadius returns the least inside radius of a bend that a cable is pulled
// round: the maker's; 20 diameters for fiber, 4 for four-pair; the training
// radius for power cable, 12 diameters for medium voltage taken as shielded. ok
// is false where none is known.
func LeastRadius(c Cable) (unit.Metre, cite.Ref, bool) {
	if c.Radius > 0 {
		return c.Radius, maker(c), true
	}
	if c.OD == 0 {
		return 0, cite.Ref{}, false
	}
	switch c.class() {
	case FiberOutside:
		r, ref := raceway.FiberRadius(c.OD, raceway.Pulling)
		return r, ref, true
	case MediumVoltage:
		k, ref := figure("shielded.radius")
		return c.OD * unit.Metre(k), ref, true
	case Wire600, Wire600XLPE, General:
		return TrainingRadius(c.OD, c.Insulation)
	}
	ref := rowCite(telecomTable(), string(c.Class))
	if v, ok := telecomTable().Num(string(c.Class), "inch"); ok {
		return unit.Metre(v) * unit.Inch, ref, true
	}
	k, ok := telecomTable().Num(string(c.Class), "times")
	return c.OD * unit.Metre(k), ref, ok
}

// RestRadius returns the least radius of a fiber cable that lies under no load,
// as in the loop of a handhole; ok is false for other classes.
func RestRadius(c Cable) (unit.Metre, cite.Ref, bool) {
	switch c.Class {
	case FiberOutside, FiberTo12, FiberOver12:
		r, ref := raceway.FiberRadius(c.OD, raceway.Resting)
		return r, ref, c.OD > 0
	}
	return 0, cite.Ref{}, false
}

// JamBand says what a jam ratio means.
type JamBand string

// The bands of the grown ratio, and the two answers of the code note.
const (
	JamTriangular JamBand = "triangular, jam not possible; check clearance"
	JamTransition JamBand = "triangular, or changing"
	JamProbable   JamBand = "jam probable: change the raceway"
	JamCradled    JamBand = "cradled, jam not possible"
	JamInside     JamBand = "inside the band of the code note"
	JamOutside    JamBand = "outside the band of the code note"
)

// JamRatios holds both rules for three equal cables. They disagree, so both
// are shown.
type JamRatios struct {
	Grown     float64 // 1.05 D/d, for the raceway is wider in a bend
	GrownBand JamBand
	Plain     float64 // D/d, of the code note
	PlainBand JamBand
	Risk      bool // by either
	Cite      [2]cite.Ref
}

// Jam returns both jam ratios of three cables of diameter d (for unequal ones
// their mean) in a raceway of inside diameter id:
//
//	J = 1.05 D/d  (IEEE and ICEA practice)
//	J = D/d       (NFPA 70 note)
func Jam(d, id unit.Metre) JamRatios {
	grow, c := figure("jam.grown")
	low, _ := figure("jam.low")
	probable, _ := figure("jam.probable")
	high, _ := figure("jam.high")
	codeLow, cc := figure("jam.code.low")
	codeHigh, _ := figure("jam.code.high")
	j := JamRatios{Plain: float64(id / d), PlainBand: JamOutside, Cite: [2]cite.Ref{c, cc}}
	j.Grown = grow * j.Plain
	switch {
	case j.Grown < low:
		j.GrownBand = JamTriangular
	case j.Grown < probable:
		j.GrownBand = JamTransition
	case j.Grown <= high:
		j.GrownBand = JamProbable
	default:
		j.GrownBand = JamCradled
	}
	if j.Plain >= codeLow && j.Plain <= codeHigh {
		j.PlainBand = JamInside
	}
	j.Risk = j.GrownBand == JamProbable || j.PlainBand == JamInside
	return j
}

// Clearances is the room above the cables.
type Clearances struct {
	Published unit.Metre
	Geometry  unit.Metre // by the plain geometry; the same as Published but for cradled
	Least     unit.Metre // the smaller, which warns
	Target    unit.Metre
	Low       bool // Least is under Target
	Cite      cite.Ref
}

// Clearance returns the room between the cables and the top of the raceway,
// with x = d/(D - d):
//
//	single      D - d
//	triangular  D/2 - 1.366 d + (D - d)/2 sqrt(1 - x^2)
//	cradled     D/2 - d/2 + (D - d)/2 sqrt(1 - (x/2)^2)   as published
//	cradled     D/2 - d/2 + (D - d)/2 (1 - 2 x^2)         by geometry
//	diamond     D - d - 2 d^2/(D - d)
//
// The published form for cradled cables overstates; the smaller warns. ok is
// false where no form is known or the cables do not go in.
func Clearance(a Arrangement, d, id unit.Metre) (Clearances, bool) {
	v, c := figure("clearance.target")
	out := Clearances{Target: unit.Metre(v) * unit.Inch, Cite: c}
	n := map[Arrangement]int{Single: 1, Triangular: 3, Cradled: 3, Diamond: 4}[a]
	if n == 0 || !(d > 0) || !(float64(id) > fits(n)*float64(d)) {
		return Clearances{}, false
	}
	x := float64(d / (id - d))
	half := (id - d) / 2
	switch a {
	case Single:
		out.Published = id - d
	case Triangular:
		// 1.366 = (1 + sqrt 3)/2 is half a diameter and the height of the triangle.
		out.Published = id/2 - d*unit.Metre((1+math.Sqrt(3))/2) + half*unit.Metre(math.Sqrt(1-x*x))
	case Cradled:
		out.Published = id/2 - d/2 + half*unit.Metre(math.Sqrt(1-x*x/4))
	case Diamond:
		out.Published = id - d - 2*d*d/(id-d)
	}
	out.Geometry = out.Published
	if a == Cradled {
		out.Geometry = id/2 - d/2 + half*unit.Metre(1-2*x*x)
	}
	out.Least = min(out.Published, out.Geometry)
	out.Low = out.Least < out.Target
	return out, true
}

// Friction is a coefficient of friction with its doubt.
type Friction struct {
	Name               string
	Low, Nominal, High float64
	Cite               cite.Ref
}

// Check returns what is wrong with a friction.
func (f Friction) Check() error {
	for _, v := range []float64{f.Low, f.Nominal, f.High} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("a friction coefficient of %v", v)
		}
	}
	if f.Low > f.Nominal || f.Nominal > f.High {
		return fmt.Errorf("friction from %v to %v with %v between", f.Low, f.High, f.Nominal)
	}
	return nil
}

// FrictionOf returns a row of the friction table: "dry", "lubricated",
// "airfield single", "airfield multiple", "innerduct", "innerduct dry".
func FrictionOf(name string) (Friction, bool) {
	tb := frictionTable()
	lo, ok := tb.Num(name, "low")
	mid, _ := tb.Num(name, "nominal")
	hi, _ := tb.Num(name, "high")
	return Friction{Name: name, Low: lo, Nominal: mid, High: hi, Cite: rowCite(tb, name)}, ok
}

// Frictions lists the rows of the friction table.
func Frictions() []string {
	var out []string
	for _, r := range frictionTable().Rows {
		out = append(out, r[0])
	}
	return out
}
