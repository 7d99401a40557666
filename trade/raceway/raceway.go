// Package raceway holds conduit as the trade uses it: dimensions, fill, boxes,
// supports, cover, thermal movement, and the geometry of bends with the marks
// that go on a stick.
//
// It gives quantities and citations, not permission: local code, the authority
// having jurisdiction and a licensed person decide.
package raceway

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// Kind is a kind of raceway.
type Kind string

// The kinds that have dimensions here, and two that have rules only.
const (
	EMT   Kind = "EMT"
	RMC   Kind = "RMC"
	IMC   Kind = "IMC"
	PVC40 Kind = "PVC-40"
	PVC80 Kind = "PVC-80"
	PVCA  Kind = "PVC-A"
	PVCEB Kind = "PVC-EB"
	ENT   Kind = "ENT"
	FMC   Kind = "FMC"
	LFMC  Kind = "LFMC"
	LFNCA Kind = "LFNC-A"
	LFNCB Kind = "LFNC-B"
	RTRC  Kind = "RTRC"
	HDPE  Kind = "HDPE"
)

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{EMT, RMC, IMC, PVC40, PVC80, PVCA, PVCEB, ENT, FMC, LFMC, LFNCA, LFNCB, RTRC, HDPE}
}

// ParseKind reads "EMT", "PVC-40", "PVC schedule 40", "sch 80 PVC", "rigid".
func ParseKind(s string) (Kind, error) {
	t := strings.ToUpper(strings.TrimSpace(s))
	t = strings.NewReplacer("SCHEDULE", "", "SCH.", "", "SCH", "", "CONDUIT", "", "-", " ").Replace(t)
	words := strings.Fields(t)
	key := strings.Join(words, " ")
	switch key {
	case "PVC 40", "40 PVC", "PVC40":
		return PVC40, nil
	case "PVC 80", "80 PVC", "PVC80":
		return PVC80, nil
	case "RIGID", "GRC":
		return RMC, nil
	case "LFNC":
		return LFNCB, nil
	}
	for _, k := range Kinds() {
		if key == strings.ReplaceAll(string(k), "-", " ") {
			return k, nil
		}
	}
	if key == "PVC" {
		return "", fmt.Errorf("%q: say PVC-40 or PVC-80", s)
	}
	return "", fmt.Errorf("%q is not a kind of raceway", s)
}

// Metal reports whether the raceway is metal.
func (k Kind) Metal() bool {
	switch k {
	case EMT, RMC, IMC, FMC, LFMC:
		return true
	}
	return false
}

// Flexible reports whether the raceway bends by hand without a bender.
func (k Kind) Flexible() bool {
	switch k {
	case ENT, FMC, LFMC, LFNCA, LFNCB, HDPE:
		return true
	}
	return false
}

// Dimensions of a raceway of one kind and trade size.
type Dimensions struct {
	ID   unit.Metre
	OD   unit.Metre // zero where no source is carried
	Wall unit.Metre // least wall, zero where no source is carried
	Area conductor.Area
	Cite cite.Ref
}

// Dim returns the dimensions; ok is false where none are carried. The area is
// pi/4 ID^2, unrounded, because the printed percentages are taken from it.
func Dim(k Kind, t unit.Trade) (d Dimensions, ok bool) {
	tb := dimensionsMemoryTable()
	if k == EMT || k == RMC {
		tb = dimensionsSeenTable()
	}
	key := string(k) + " " + t.Name()
	id, ok := tb.Num(key, "id")
	if !ok {
		return Dimensions{}, false
	}
	od, _ := tb.Num(key, "od")
	wall, _ := tb.Num(key, "wall")
	d = Dimensions{ID: unit.Metre(id) * unit.Inch, OD: unit.Metre(od) * unit.Inch, Wall: unit.Metre(wall) * unit.Inch, Cite: tb.Cite}
	d.Area = conductor.Circle(d.ID)
	return d, true
}

// PrintedArea returns the area of the table, 100 percent or one of its printed
// shares (60, 53, 31, 40).
func PrintedArea(k Kind, t unit.Trade, percent int) (conductor.Area, cite.Ref, bool) {
	tb := dimensionsMemoryTable()
	if k == EMT || k == RMC {
		tb = dimensionsSeenTable()
	}
	col := fmt.Sprintf("p%d", percent)
	if percent == 100 {
		col = "area"
	}
	v, ok := tb.Num(string(k)+" "+t.Name(), col)
	return conductor.Area(v) * conductor.SquareInch, tb.Cite, ok
}

// Sizes lists the trade sizes of a kind, smallest first.
func Sizes(k Kind) []unit.Trade {
	var out []unit.Trade
	for _, t := range unit.Trades() {
		if _, ok := Dim(k, t); ok {
			out = append(out, t)
		}
	}
	return out
}

// BendMethod says how a bend is made.
type BendMethod uint8

// The columns of Table 2.
const (
	OtherBend BendMethod = iota // the larger radius, always on the safe side
	OneShot                     // one-shot and full-shoe benders
)

// MinBendRadius returns the least radius of a field bend, to the centerline of
// the raceway.
func MinBendRadius(t unit.Trade, m BendMethod) (unit.Metre, cite.Ref, bool) {
	col := "other"
	if m == OneShot {
		col = "one_shot"
	}
	v, ok := radiusTable().Num(t.Name(), col)
	return unit.Metre(v) * unit.Inch, radiusTable().Cite, ok
}

// ElbowRadius returns the centerline radius of a standard factory elbow, from
// memory: the supplier's figure decides. Sweeps are ordered by their radius
// and have no standard one.
func ElbowRadius(t unit.Trade) (unit.Metre, cite.Ref, bool) {
	v, ok := elbowTable().Num(t.Name(), "radius")
	return unit.Metre(v) * unit.Inch, elbowTable().Cite, ok
}

// Weight returns the mass of a raceway by length. aluminum asks for aluminum
// RMC. PVC is computed from its dimensions.
func Weight(k Kind, t unit.Trade, aluminum bool) (unit.KgPerM, cite.Ref, bool) {
	const lbPer100ft = 0.45359237 / 30.48
	key := string(k) + " " + t.Name()
	if aluminum {
		key = string(k) + " aluminum " + t.Name()
	}
	tb := weightTable()
	if k == PVC40 || k == PVC80 {
		tb = weightPvcTable()
	}
	v, ok := tb.Num(key, "weight")
	return unit.KgPerM(v * lbPer100ft), tb.Cite, ok
}

// BendLimit returns the most bend between pull points of any raceway of the
// code, offsets, kicks, saddles and elbows counted.
func BendLimit() (unit.Degree, cite.Ref) {
	v, c := figure("bends.max")
	return unit.Degree(v), c
}

// BendSum returns the sum of the bends, each counted by its size whichever way
// it turns.
func BendSum(bends []unit.Degree) unit.Degree {
	var s unit.Degree
	for _, b := range bends {
		s += unit.Degree(math.Abs(float64(b)))
	}
	return s
}

// MinHeatTime returns how long PVC is heated evenly before it is bent:
//
//	t = 30 s for each half inch of trade size
//
// Heated PVC burns the skin and gives off fumes: gloves, air, and no torch.
func MinHeatTime(t unit.Trade) (unit.Second, cite.Ref) {
	v, c := figure("pvc.heat.per.inch")
	return unit.Second(v * t.Nominal()), c
}

// HeatRadius returns the least inside radius of a PVC bend made with heat in
// the field:
//
//	r = 4 OD
//
// Table 2 holds beside it.
func HeatRadius(od unit.Metre) (unit.Metre, cite.Ref) {
	k, c := figure("pvc.heat.radius")
	return od * unit.Metre(k), c
}

// StickLength returns the stock length of conduit by common practice; the
// supplier's figure decides.
func StickLength() (unit.Metre, cite.Ref) {
	v, c := figure("stick.length")
	return unit.Metre(v) * unit.Foot, c
}
