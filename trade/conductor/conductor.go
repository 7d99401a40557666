// Package conductor holds the wires of the trade: bare ground conductors and
// insulated conductors, their sizes, areas, resistances and ampacities, and
// the sizes of grounding and bonding conductors that follow from them.
//
// It gives quantities and citations, not permission: local code, the authority
// having jurisdiction and a licensed person decide.
package conductor

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"stubup/base/cite"
	"stubup/base/unit"
)

// Area is a cross-section in square metres.
type Area float64

// SquareInch, SquareMillimetre and CircularMil are exact areas. A circular mil
// is the area of a circle one mil across.
const (
	SquareInch       Area = Area(unit.Inch * unit.Inch)
	SquareMillimetre Area = 1e-6
	CircularMil      Area = math.Pi / 4 * 1e-6 * SquareInch
)

// In2 returns the area in square inches.
func (a Area) In2() float64 { return float64(a / SquareInch) }

// Mm2 returns the area in square millimetres.
func (a Area) Mm2() float64 { return float64(a / SquareMillimetre) }

// CMil returns the area in circular mils.
func (a Area) CMil() float64 { return float64(a / CircularMil) }

// Circle returns the area of a circle of diameter d:
//
//	A = pi/4 d^2
func Circle(d unit.Metre) Area { return Area(math.Pi / 4 * float64(d) * float64(d)) }

// Material is what a conductor is made of. The zero value is copper.
type Material uint8

// The conductor materials.
const (
	Copper Material = iota
	Aluminum
)

// String returns the word.
func (m Material) String() string {
	if m == Aluminum {
		return "aluminum"
	}
	return "copper"
}

// ParseMaterial reads "copper", "Cu", "aluminum", "Al".
func ParseMaterial(s string) (Material, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "copper", "cu":
		return Copper, nil
	case "aluminum", "aluminium", "al":
		return Aluminum, nil
	}
	return 0, fmt.Errorf("%q is not a conductor material: write copper or aluminum", s)
}

// Properties is a row of the table of bare conductors.
type Properties struct {
	CMil           float64
	Strands        int
	Diameter       unit.Metre
	Area           Area    // of the circle round the conductor
	Copper, Coated float64 // dc resistance at 75 C, ohm/m
	Aluminum       float64
	Cite           cite.Ref
}

const perKft = 1.0 / 304.8 // ohm/1000 ft in ohm/m

// Table8 returns the printed properties of a bare conductor; ok is false where
// the table has no such row (it has solid rows up to 8 AWG only).
func Table8(w unit.Wire, solid bool) (p Properties, ok bool) {
	key := w.Name()
	if solid {
		key += " solid"
	}
	t := bare()
	if p.CMil, ok = t.Num(key, "cmil"); !ok {
		return Properties{}, false
	}
	n := func(col string) float64 { v, _ := t.Num(key, col); return v }
	p.Strands = int(n("strands"))
	p.Diameter = unit.Metre(n("dia")) * unit.Inch
	p.Area = Area(n("area")) * SquareInch
	p.Copper, p.Coated, p.Aluminum = n("r_cu")*perKft, n("r_cu_coated")*perKft, n("r_al")*perKft
	p.Cite = t.Cite
	return p, true
}

// CircularMils returns the metal area of a size in circular mils as the table
// prints it, and zero for no size.
func CircularMils(w unit.Wire) float64 {
	p, _ := Table8(w, false)
	return p.CMil
}

// gauge returns the number of an AWG size, 1/0 being 0 and 4/0 being -3; ok is
// false for kcmil sizes.
func gauge(w unit.Wire) (n int, ok bool) {
	name := w.Name()
	if head, found := strings.CutSuffix(name, "/0"); found {
		n, err := strconv.Atoi(head)
		return 1 - n, err == nil
	}
	n, _, ok = unit.Whole(name)
	return n, ok && n < 250
}

// SolidDiameter returns the diameter of a solid round wire:
//
//	d = d0 (d1/d0)^((36 - n)/39)
//
// with n the gauge number, d0 = 0.005 in the diameter of 36 AWG and d1 =
// 0.46 in that of 4/0. For kcmil sizes it is that of a circle of the named
// area. Source: ASTM B258.
func SolidDiameter(w unit.Wire) unit.Metre {
	n, ok := gauge(w)
	if !ok {
		return unit.Metre(math.Sqrt(CircularMils(w))) * 1e-3 * unit.Inch
	}
	d0, _ := figure("solid.d0")
	d1, _ := figure("solid.d1")
	steps, _ := figure("solid.steps")
	return unit.Metre(d0*math.Pow(d1/d0, float64(36-n)/steps)) * unit.Inch
}

// Resistance20 returns the dc resistance of bare copper at 20 C, ohm/m:
//
//	R = rho / A
//
// with rho the resistivity of standard annealed copper and A the metal area
// of the named circular mils, the wire being solid. Source: IEC 60028.
func Resistance20(w unit.Wire) float64 {
	rho, _ := figure("copper.resistivity20")
	c := CircularMils(w)
	if c == 0 {
		return math.NaN()
	}
	return rho / float64(Area(c)*CircularMil)
}

// AtTemperature returns a resistance r1 known at t1 corrected to t2:
//
//	R2 = R1 (1 + a (t2 - t1))
//
// with a the coefficient referred to t1, 1/C. Source: NFPA 70 Chapter 9
// Table 8 note 2 for t1 = 75 C.
func AtTemperature(r1, a float64, t1, t2 unit.Celsius) float64 {
	return r1 * (1 + a*float64(t2-t1))
}

// DCResistance returns the dc resistance of one conductor at a temperature,
// ohm/m, from the printed value at 75 C. coated is for tinned copper.
func DCResistance(w unit.Wire, m Material, coated bool, t unit.Celsius) (float64, cite.Ref, bool) {
	p, ok := Table8(w, false)
	if !ok {
		return math.NaN(), cite.Ref{}, false
	}
	r, key := p.Copper, "copper.alpha75"
	switch {
	case m == Aluminum:
		r, key = p.Aluminum, "aluminum.alpha75"
	case coated:
		r = p.Coated
	}
	a, _ := figure(key)
	return AtTemperature(r, a, 75, t), p.Cite, true
}

// Bare describes a bare copper ground conductor.
type Bare struct {
	Size   unit.Wire
	Solid  bool
	Tinned bool
}

// ParseBare reads "2 AWG solid tinned copper", "4/0 AWG stranded bare copper".
// Solid or stranded must be said: the mold and the resistance depend on it.
func ParseBare(s string) (Bare, error) {
	var b Bare
	var size []string
	lay, coat := "", ""
	for _, word := range strings.Fields(strings.ReplaceAll(s, ",", " ")) {
		switch strings.ToLower(word) {
		case "solid", "stranded":
			if lay != "" && lay != strings.ToLower(word) {
				return Bare{}, fmt.Errorf("%q is both solid and stranded", s)
			}
			lay = strings.ToLower(word)
		case "tinned", "bare":
			// "bare tinned" is said on drawings: bare means without insulation.
			if coat != "tinned" {
				coat = strings.ToLower(word)
			}
		case "copper", "cu":
		default:
			size = append(size, word)
		}
	}
	w, err := unit.ParseWire(strings.Join(size, " "))
	if err != nil {
		return Bare{}, fmt.Errorf("%q: %q is not a wire size; write it as 2 AWG solid tinned copper", s, strings.Join(size, " "))
	}
	if lay == "" {
		return Bare{}, fmt.Errorf("%q: say solid or stranded", s)
	}
	b.Size, b.Solid, b.Tinned = w, lay == "solid", coat == "tinned"
	return b, nil
}

// String returns "2 AWG solid tinned copper", which ParseBare reads back.
func (b Bare) String() string {
	lay, coat := "stranded", "bare"
	if b.Solid {
		lay = "solid"
	}
	if b.Tinned {
		coat = "tinned"
	}
	return b.Size.String() + " " + lay + " " + coat + " copper"
}

// Diameter returns the outside diameter: by the wire gauge for a solid
// conductor, by the printed table for a stranded one. Tin adds a few
// micrometres and is not counted.
func (b Bare) Diameter() (unit.Metre, cite.Ref) {
	if b.Solid {
		return SolidDiameter(b.Size), figureCite("solid.d0")
	}
	p, _ := Table8(b.Size, false)
	return p.Diameter, p.Cite
}

// Radius returns half the diameter.
func (b Bare) Radius() unit.Metre {
	d, _ := b.Diameter()
	return d / 2
}

// MetalArea returns the area of the copper itself.
func (b Bare) MetalArea() Area { return Area(CircularMils(b.Size)) * CircularMil }

// OhmPerMetre returns the dc resistance as bare copper at a temperature. A
// solid wire is computed from the resistivity of annealed copper at 20 C, a
// stranded one from the printed value at 75 C, whose strands run a little
// longer than the cable. Tin is in TinShare, not here.
func (b Bare) OhmPerMetre(t unit.Celsius) (float64, cite.Ref) {
	if b.Solid {
		a, c := figure("copper.alpha20")
		return AtTemperature(Resistance20(b.Size), a, 20, t), c
	}
	r, c, _ := DCResistance(b.Size, Copper, false, t)
	return r, c
}

// TinShare returns the factor by which tin may raise the resistance, least and
// most; both are 1 for an untinned conductor.
func (b Bare) TinShare() (low, high float64, c cite.Ref) {
	if !b.Tinned {
		return 1, 1, figureCite("tin.low")
	}
	low, c = figure("tin.low")
	high, _ = figure("tin.high")
	return low, high, c
}

// Mass returns the mass by length, strands taken as straight.
func (b Bare) Mass() unit.KgPerM {
	rho, _ := figure("copper.density")
	return unit.KgPerM(rho * float64(b.MetalArea()))
}

// Insulation is a family of insulated conductors that shares one set of
// diameters.
type Insulation string

// The families of Table 5.
const (
	THHN     Insulation = "THHN"      // THHN, THWN, THWN-2
	XHHW     Insulation = "XHHW"      // XHHW, XHHW-2, XHH
	THW      Insulation = "THW"       // THW, THW-2, THHW
	RHWCover Insulation = "RHW cover" // RHH, RHW, RHW-2 with an outer covering
	RHW      Insulation = "RHW"       // RHH, RHW, RHW-2 without an outer covering
)

// Insulations lists the families.
func Insulations() []Insulation { return []Insulation{THHN, XHHW, THW, RHWCover, RHW} }

// ParseInsulation reads a type as it is printed on the wire: "THWN-2",
// "XHHW-2", "RHW-2 no cover", "RHW-2 with cover". An RHW type must say whether
// it has an outer covering, because its diameter depends on it; the starred
// rows of the table are those without.
func ParseInsulation(s string) (Insulation, error) {
	t := strings.ToUpper(strings.TrimSpace(s))
	first := strings.FieldsFunc(t, func(r rune) bool { return r == '/' || r == ' ' || r == '(' })
	if len(first) == 0 {
		return "", fmt.Errorf("no insulation type")
	}
	switch strings.TrimSuffix(strings.TrimSuffix(first[0], "*"), "-2") {
	case "THHN", "THWN":
		return THHN, nil
	case "XHHW", "XHH":
		return XHHW, nil
	case "THW", "THHW":
		return THW, nil
	case "RHH", "RHW":
		switch {
		case strings.Contains(t, "*"), strings.Contains(t, "NO COVER"), strings.Contains(t, "NO OUTER"), strings.Contains(t, "WITHOUT"):
			return RHW, nil
		case strings.Contains(t, "COVER"):
			return RHWCover, nil
		}
		return "", fmt.Errorf("%q: say with cover or no cover", s)
	}
	return "", fmt.Errorf("%q is not an insulation type of Chapter 9 Table 5", s)
}

func (i Insulation) col() string {
	switch i {
	case THHN:
		return "thhn"
	case XHHW:
		return "xhhw"
	case THW:
		return "thw"
	case RHWCover:
		return "rhw_cover"
	case RHW:
		return "rhw"
	}
	return ""
}

// Insulated is one insulated conductor.
type Insulated struct {
	Size       unit.Wire
	Insulation Insulation
}

// String returns "2 AWG THHN".
func (c Insulated) String() string { return c.Size.String() + " " + string(c.Insulation) }

// Dimensions returns the outside diameter and the printed area; ok is false
// where the table has no such conductor.
func (c Insulated) Dimensions() (d unit.Metre, a Area, from cite.Ref, ok bool) {
	t := insulatedSeen()
	if c.Insulation == RHW || c.Insulation == RHWCover {
		t = insulatedMemory()
	}
	col := c.Insulation.col()
	dia, ok1 := t.Num(c.Size.Name(), col+"_dia")
	area, ok2 := t.Num(c.Size.Name(), col+"_area")
	if !ok1 || !ok2 {
		return 0, 0, cite.Ref{}, false
	}
	return unit.Metre(dia) * unit.Inch, Area(area) * SquareInch, t.Cite, true
}

// Mass returns an estimate of the mass by length of an insulated conductor: its
// metal, and what is left of its section as covering,
//
//	m = rho A + rho_c (pi/4 d^2 - A_c)
//
// A metal area and A_c that of the circle round the strands, d outside diameter,
// rho and rho_c densities. Covering is taken as one plastic, strands as straight:
// makers' sheets lie within some 10 %. The sheet replaces it.
func (c Insulated) Mass(m Material) (unit.KgPerM, cite.Ref, bool) {
	d, _, _, ok := c.Dimensions()
	p, ok2 := Table8(c.Size, false)
	if !ok || !ok2 {
		return 0, cite.Ref{}, false
	}
	rho, _ := figure("copper.density")
	if m == Aluminum {
		rho, _ = figure("aluminum.density")
	}
	cover, ref := figure("covering.density")
	metal := Area(CircularMils(c.Size)) * CircularMil
	return unit.KgPerM(rho*float64(metal) + cover*float64(Circle(d)-p.Area)), ref, true
}
