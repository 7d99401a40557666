package raceway

import (
	"fmt"

	"stubup/base/cite"
	"stubup/base/unit"
)

// Pathway is what a telecom pathway may have between pull points.
type Pathway struct {
	Bends    unit.Degree
	Quarters int // bends of 90 degrees
	Length   unit.Metre
	Cite     cite.Ref
}

// TelecomPathway returns the limits of the telecom pathway standard. An
// owner's profile may be stricter or looser: it replaces them.
func TelecomPathway() Pathway {
	b, c := figure("telecom.bends")
	q, _ := figure("telecom.quarters")
	l, _ := figure("telecom.length")
	return Pathway{Bends: unit.Degree(b), Quarters: int(q), Length: unit.Metre(l) * unit.Foot, Cite: c}
}

// TelecomRadius returns the least inside radius of a bend of a telecom
// pathway: 6 times the inside diameter up to 2 in, 10 times above, and 10
// times always for a fiber backbone. The diameter is taken as the trade size.
func TelecomRadius(t unit.Trade, fiber bool) (unit.Metre, cite.Ref) {
	limit, c := figure("telecom.radius.limit")
	k, _ := figure("telecom.radius.small")
	if fiber || t.Nominal() > limit {
		k, _ = figure("telecom.radius.large")
	}
	return unit.Metre(k*t.Nominal()) * unit.Inch, c
}

// TelecomBox returns the least width, length and depth of a telecom pull box
// for a number of raceways of one trade size. It is for straight pulls: the
// cable does not turn in it.
func TelecomBox(t unit.Trade, raceways int) (width, length, depth unit.Metre, c cite.Ref, err error) {
	tb := telecomBoxTable()
	w, ok := tb.Num(t.Name(), "width")
	if !ok || raceways < 1 {
		return 0, 0, 0, tb.Cite, fmt.Errorf("no telecom pull box is carried for %d of %v", raceways, t)
	}
	l, _ := tb.Num(t.Name(), "length")
	d, _ := tb.Num(t.Name(), "depth")
	more, _ := tb.Num(t.Name(), "more")
	return unit.Metre(w+more*float64(raceways-1)) * unit.Inch, unit.Metre(l) * unit.Inch, unit.Metre(d) * unit.Inch, tb.Cite, nil
}

// FourPairCount returns how many four-pair cables of 0.24 in a raceway takes
// by the military handbook, which is fuller than 40 percent in some sizes.
func FourPairCount(t unit.Trade) (int, cite.Ref, bool) {
	v, ok := telecomFillTable().Num(t.Name(), "cables")
	return int(v), telecomFillTable().Cite, ok
}

// CableState says whether a fiber cable is under load.
type CableState uint8

// The states.
const (
	Resting CableState = iota
	Pulling
)

// FiberRadius returns the least bend radius of an outside-plant fiber cable of
// diameter od:
//
//	r = 10 od at rest, 20 od while pulled
//
// The cable's own sheet decides. A raceway bend passes when its inside radius
// is not under the pulling figure.
func FiberRadius(od unit.Metre, s CableState) (unit.Metre, cite.Ref) {
	key := "fiber.rest"
	if s == Pulling {
		key = "fiber.pulling"
	}
	k, c := figure(key)
	return od * unit.Metre(k), c
}

// InsideFiberRadius returns the least radius under load of a cable inside a
// building by the older cabling standard (15 od); later ones use that of
// outside plant.
func InsideFiberRadius(od unit.Metre) (unit.Metre, cite.Ref) {
	k, c := figure("fiber.inside.pulling.b3")
	return od * unit.Metre(k), c
}

// FiberTension returns the usual greatest tension of an outside-plant fiber
// cable. The cable's own sheet decides.
func FiberTension(s CableState) (unit.Newton, cite.Ref) {
	const lbf = 4.4482216152605
	key := "fiber.tension.resting"
	if s == Pulling {
		key = "fiber.tension.outside"
	}
	v, c := figure(key)
	return unit.Newton(v * lbf), c
}
