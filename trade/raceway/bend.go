package raceway

import (
	"errors"
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

// ErrTooTight says that bends of the radius do not fit: the straight between
// them would be negative.
var ErrTooTight = errors.New("the straight between the bends would be negative")

func rad(a unit.Degree) float64 { return float64(a) * math.Pi / 180 }

// DevelopedLength returns the length of pipe in a bend:
//
//	L = R t
//
// R the centerline radius, m; t the angle, rad.
func DevelopedLength(r unit.Metre, a unit.Degree) unit.Metre { return r * unit.Metre(rad(a)) }

// Tangent returns the distance from the end of a bend to the corner of its
// centerlines:
//
//	T = R tan(t/2)
func Tangent(r unit.Metre, a unit.Degree) unit.Metre { return r * unit.Metre(math.Tan(rad(a)/2)) }

// Gain returns what a bend saves against a square corner of the centerlines:
//
//	G = 2 R tan(t/2) - R t
func Gain(r unit.Metre, a unit.Degree) unit.Metre { return 2*Tangent(r, a) - DevelopedLength(r, a) }

// GainToBacks returns the gain of a 90 degree bend measured to the backs of
// the pipe:
//
//	G = (2 - pi/2) R + OD
func GainToBacks(r, od unit.Metre) unit.Metre { return Gain(r, 90) + od }

// CutLength returns the length of pipe for a stub and a leg joined by a 90
// degree bend, both measured to the back of the bend:
//
//	L = stub + leg - ((2 - pi/2) R + OD)
func CutLength(stub, leg, r, od unit.Metre) unit.Metre { return stub + leg - GainToBacks(r, od) }

// Offset is two equal bends that shift a run sideways.
type Offset struct {
	Height     unit.Metre
	Angle      unit.Degree
	Radius     unit.Metre
	Multiplier float64
	Between    unit.Metre // between the corners of the centerlines: Height x Multiplier
	Straight   unit.Metre // between the bends
	Marks      unit.Metre // along the pipe from the start of one arc to the start of the other
	Shrink     unit.Metre // pipe used less distance gained along the run
	Advance    unit.Metre // along the run, from the start of the first arc to the end of the second
	Cite       cite.Ref
}

var geometryRef = cite.Ref{Work: "geometry", Place: "arcs and tangents", Seen: cite.Derived}

// OffsetOf returns the exact offset:
//
//	between  = H / sin t
//	straight = (H - 2R (1 - cos t)) / sin t, which must not be negative
//	marks    = straight + R t
//	shrink   = H tan(t/2) - 2R (2 tan(t/2) - t)
//
// H the offset between centerlines, m; t the angle of each bend, rad; R the
// centerline radius, m.
func OffsetOf(h unit.Metre, a unit.Degree, r unit.Metre) (Offset, error) {
	if !(h > 0) || !(a > 0) || !(a <= 90) || !(r >= 0) {
		return Offset{}, fmt.Errorf("an offset needs a height, an angle up to 90 degrees and a radius")
	}
	t := rad(a)
	o := Offset{Height: h, Angle: a, Radius: r, Multiplier: 1 / math.Sin(t), Cite: geometryRef}
	o.Between = h * unit.Metre(o.Multiplier)
	o.Straight = (h - 2*r*unit.Metre(1-math.Cos(t))) / unit.Metre(math.Sin(t))
	if o.Straight < -unit.Metre(1e-9) {
		least := 2 * r * unit.Metre(1-math.Cos(t))
		return o, fmt.Errorf("%w: at %s degrees and a radius of %s the least offset is %s", ErrTooTight,
			unit.Trim(float64(a), 1), unit.Inches(r), unit.Inches(least))
	}
	o.Straight = max(o.Straight, 0)
	o.Marks = o.Straight + DevelopedLength(r, a)
	o.Shrink = h*unit.Metre(math.Tan(t/2)) - 2*r*unit.Metre(2*math.Tan(t/2)-t)
	o.Advance = 2*r*unit.Metre(math.Sin(t)) + o.Straight*unit.Metre(math.Cos(t))
	return o, nil
}

// ShopOffset is an offset by the constants that benders are marked with.
type ShopOffset struct {
	Multiplier float64
	Marks      unit.Metre
	Shrink     unit.Metre
	Cite       cite.Ref
}

// ShopOffsetOf returns the offset by shop constants, an option for those who
// bend by them; ok is false for an angle that has none. They leave the radius
// out and differ from the exact offset by up to a few percent.
func ShopOffsetOf(h unit.Metre, a unit.Degree) (ShopOffset, bool) {
	t := shopTable()
	key := unit.Trim(float64(a), 1)
	m, ok := t.Num(key, "multiplier")
	s, _ := t.Num(key, "shrink")
	return ShopOffset{Multiplier: m, Marks: h * unit.Metre(m), Shrink: h * unit.Metre(s), Cite: t.Cite}, ok
}

// Saddle is three or four bends over an obstruction.
type Saddle struct {
	Height   unit.Metre
	Angle    unit.Degree // of an outer bend
	Center   unit.Degree // of the center bend; zero for four bends
	Outer    unit.Metre  // corner of an outer bend to the next corner
	Straight unit.Metre  // between an outer bend and the next
	Shift    unit.Metre  // how far the middle mark moves away from the near end
	Shrink   unit.Metre  // of the whole saddle
	// Marks are the starts of the arcs along the pipe, from the start of the
	// first arc.
	Marks []unit.Metre
	Cite  cite.Ref
}

// Saddle3Of returns the exact three-bend saddle with an outer angle t and a
// center bend of 2 t: each half is an offset of height H whose second bend is
// half of the center bend.
//
//	outer  = H / sin t
//	shift  = H tan(t/2) - 2R (2 tan(t/2) - t)
//	shrink = 2 shift
//
// H is to the centerline at the top of the center bend, m.
func Saddle3Of(h unit.Metre, outer unit.Degree, r unit.Metre) (Saddle, error) {
	o, err := OffsetOf(h, outer, r)
	if err != nil {
		return Saddle{}, err
	}
	arc := DevelopedLength(r, outer)
	return Saddle{
		Height: h, Angle: outer, Center: 2 * outer, Outer: o.Between, Straight: o.Straight,
		Shift: o.Shrink, Shrink: 2 * o.Shrink,
		Marks: []unit.Metre{0, arc + o.Straight, 3*arc + 2*o.Straight}, Cite: geometryRef,
	}, nil
}

// ShopSaddle3 returns the outer mark distance and the shift of the center mark
// by shop constants, for a center bend of 45 or 60 degrees.
func ShopSaddle3(h unit.Metre, center unit.Degree) (outer, shift unit.Metre, c cite.Ref, ok bool) {
	t := saddleTable()
	key := unit.Trim(float64(center), 1)
	o, ok := t.Num(key, "outer")
	s, _ := t.Num(key, "shift")
	return h * unit.Metre(o), h * unit.Metre(s), t.Cite, ok
}

// Saddle4Of returns the exact four-bend saddle: an offset up, a straight of
// length top between the second and third bends, and an offset down.
func Saddle4Of(h, top unit.Metre, a unit.Degree, r unit.Metre) (Saddle, error) {
	o, err := OffsetOf(h, a, r)
	if err != nil {
		return Saddle{}, err
	}
	if !(top >= 0) {
		return Saddle{}, fmt.Errorf("the straight over the obstruction must not be negative")
	}
	arc := DevelopedLength(r, a)
	second := arc + o.Straight
	third := second + arc + top
	return Saddle{
		Height: h, Angle: a, Outer: o.Between, Straight: o.Straight, Shift: o.Shrink, Shrink: 2 * o.Shrink,
		Marks: []unit.Metre{0, second, third, third + arc + o.Straight}, Cite: geometryRef,
	}, nil
}

// Kick is a single bend that lifts the end of a leg.
type Kick struct {
	Rise   unit.Metre
	Angle  unit.Degree
	Travel unit.Metre // corner to the end of the leg
	Mark   unit.Metre // from the end of the leg back to the near end of the arc
}

// KickOf returns the kick that raises the end of a leg by rise:
//
//	travel = H / sin t;  mark = travel - R tan(t/2)
func KickOf(rise unit.Metre, a unit.Degree, r unit.Metre) (Kick, error) {
	if !(rise > 0) || !(a > 0) || !(a < 90) || !(r >= 0) {
		return Kick{}, fmt.Errorf("a kick needs a rise, an angle under 90 degrees and a radius")
	}
	k := Kick{Rise: rise, Angle: a, Travel: rise / unit.Metre(math.Sin(rad(a)))}
	if k.Mark = k.Travel - Tangent(r, a); k.Mark < -1e-9 {
		return k, ErrTooTight
	}
	return k, nil
}

// Rolling returns the true offset of a rise and a roll together, and the angle
// of its plane from the plane of the rise:
//
//	H = sqrt(rise^2 + roll^2);  plane = atan2(roll, rise)
func Rolling(rise, roll unit.Metre) (unit.Metre, unit.Degree) {
	return unit.Metre(math.Hypot(float64(rise), float64(roll))), unit.Degree(math.Atan2(float64(roll), float64(rise)) * 180 / math.Pi)
}

// ParallelShift returns how far each further raceway of a rack moves its bends
// so that the spacing is kept through an offset:
//
//	s = spacing tan(t/2)
func ParallelShift(spacing unit.Metre, a unit.Degree) unit.Metre { return Tangent(spacing, a) }

// Segmented is a bend made of many small ones.
type Segmented struct {
	D1      unit.Metre // from the end of the stub to the start of the arc
	D2      unit.Metre // from the end of the arc to the end of the leg
	Arc     unit.Metre
	Spacing unit.Metre // between shots
	Each    unit.Degree
	Total   unit.Metre // of pipe
}

// SegmentedOf returns a 90 degree bend of n shots, stub and leg being measured
// to the backs of the pipe:
//
//	D1 = stub - (R + OD/2);  D2 = leg - (R + OD/2);  arc = R pi/2
//	spacing = arc / n;  total = D1 + arc + D2
func SegmentedOf(stub, leg, r, od unit.Metre, n int) (Segmented, error) {
	if n < 1 || !(r > 0) {
		return Segmented{}, fmt.Errorf("a segment bend needs shots and a radius")
	}
	s := Segmented{D1: stub - (r + od/2), D2: leg - (r + od/2), Arc: DevelopedLength(r, 90), Each: 90 / unit.Degree(n)}
	if s.D1 < 0 || s.D2 < 0 {
		return s, fmt.Errorf("%w: the bend is larger than the stub or the leg", ErrTooTight)
	}
	s.Spacing = s.Arc / unit.Metre(n)
	s.Total = s.D1 + s.Arc + s.D2
	return s, nil
}

// ConcentricRadius returns the radius of the next bend of a rack that keeps a
// clear gap:
//
//	R2 = R1 + OD1/2 + gap + OD2/2
func ConcentricRadius(r, od, gap, next unit.Metre) unit.Metre { return r + od/2 + gap + next/2 }

// TankAngle returns the bend of each stick of a raceway round a tank:
//
//	t = 360 / (2 pi R / L)
func TankAngle(r, stick unit.Metre) unit.Degree {
	return unit.Degree(360 / (2 * math.Pi * float64(r/stick)))
}

// TakeUpMark returns where the arrow of a hand bender goes for a 90 degree
// stub: the stub less the take-up of the shoe. ok is false for a size without
// one; the shoe in hand decides.
func TakeUpMark(k Kind, t unit.Trade, stub unit.Metre) (unit.Metre, cite.Ref, bool) {
	tb := takeupTable()
	v, ok := tb.Num(string(k)+" "+t.Name(), "takeup")
	if !ok && k == IMC {
		// IMC is bent on the shoe of RMC: the outside diameters are near alike.
		v, ok = tb.Num(string(RMC)+" "+t.Name(), "takeup")
	}
	return stub - unit.Metre(v)*unit.Inch, tb.Cite, ok
}

// shopAngles lists the angles that have shop constants.
func shopAngles(t *table.Table) []unit.Degree {
	var out []unit.Degree
	for i := range t.Rows {
		v, _ := cell(t, i, "angle")
		out = append(out, unit.Degree(v))
	}
	return out
}

// ShopAngles lists the angles that have shop constants, as printed.
func ShopAngles() []unit.Degree { return shopAngles(shopTable()) }
