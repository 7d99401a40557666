// Package joint holds the joints of a ground system: their kinds, the molds
// that make the welded ones, and the charges that the molds ask for.
//
// A charge is never assumed: it is read from the mold's own tag, and molds and
// charges of different makers are not mixed. A wet or idle mold is the injury:
// mold and conductor are dried before the first shot, after idling, rain or on
// wet ground.
package joint

import (
	_ "embed" // the practice table beside this file
	"fmt"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

//go:embed tables/practice.csv
var practiceCSV string

var practice = table.Lazy(practiceCSV)

// Kind is a kind of joint.
type Kind string

// The kinds. The first eight are welded.
const (
	Tap        Kind = "tap"                  // a whip to the side of a conductor that runs through
	Cross      Kind = "cross"                // two conductors that both run through
	Splice     Kind = "inline splice"        // two ends
	RodThrough Kind = "cable-through-to-rod" // the conductor runs through over the rod
	RodEnd     Kind = "cable-end-to-rod"
	Pipe       Kind = "cable-to-pipe" // to a vertical post or leg
	Flat       Kind = "cable-to-flat" // to steel
	LugWeld    Kind = "cable-to-lug"  // to a bar or tail with holes
	Lug        Kind = "lug"           // pressed or bolted
	Clamp      Kind = "clamp"
)

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{Tap, Cross, Splice, RodThrough, RodEnd, Pipe, Flat, LugWeld, Lug, Clamp}
}

// ParseKind reads the word of a kind.
func ParseKind(s string) (Kind, error) {
	k := Kind(strings.ToLower(strings.TrimSpace(s)))
	if slices.Contains(Kinds(), k) {
		return k, nil
	}
	return "", fmt.Errorf("%q is not a kind of joint", s)
}

// Welded reports whether the joint is made in a mold.
func (k Kind) Welded() bool { return k != Lug && k != Clamp && slices.Contains(Kinds(), k) }

// Irreversible reports whether a joint of this kind serves where the code asks
// a grounding electrode conductor to be joined for good: welds do; a lug does
// only when it is a listed irreversible compression, which is not known from
// its kind.
func (k Kind) Irreversible() bool { return k.Welded() }

// Item is what a joint's conductor is welded to: its kind and its size as the
// mold is ordered by, "2 AWG solid", "5/8 in", "2-7/8 in".
type Item struct {
	What string // "conductor", "rod", "pipe", "flat", "lug"
	Size string // empty: not measured
}

// Item kinds.
const (
	Wire  = "conductor"
	Rod   = "rod"
	Post  = "pipe"
	Steel = "flat"
	Tail  = "lug"
)

// ItemKind returns what kind of item a welded joint takes.
func (k Kind) ItemKind() string {
	switch k {
	case Tap, Cross, Splice:
		return Wire
	case RodThrough, RodEnd:
		return Rod
	case Pipe:
		return Post
	case Flat:
		return Steel
	case LugWeld:
		return Tail
	}
	return ""
}

// sizeMatters reports whether a mold is made for one size of the item. A flat
// of any thickness takes the same mold.
func (k Kind) sizeMatters() bool { return k.Welded() && k != Flat }

// Position is how the mold sits.
type Position string

// Positions.
const (
	Horizontal Position = "horizontal"
	Vertical   Position = "vertical"
	AnyWay     Position = ""
)

// Mold is a mold by what it is made for: conductor x item x item size x shape
// x position. Two joints of one Mold share a mold; it is comparable and serves
// as a key.
type Mold struct {
	Conductor conductor.Bare
	Item      Item
	Shape     Kind
	Position  Position
}

// Key returns the mold in words, stable and sortable.
func (m Mold) Key() string {
	size := m.Item.Size
	if size == "" {
		size = "any size"
	}
	parts := []string{string(m.Shape), m.Conductor.String(), "x", m.Item.What, size}
	if m.Position != AnyWay {
		parts = append(parts, string(m.Position))
	}
	return strings.Join(parts, " ")
}

// MoldFor returns the mold of a welded joint of a conductor to an item. Tin is
// left out of the key: a mold does not know it. An item whose size decides the
// mold and was not measured is an error: measure before ordering.
func MoldFor(k Kind, c conductor.Bare, item Item, p Position) (Mold, error) {
	if !k.Welded() {
		return Mold{}, fmt.Errorf("a %s is not made in a mold", k)
	}
	if c.Size == 0 {
		return Mold{}, fmt.Errorf("a %s needs its conductor", k)
	}
	if item.What == "" {
		item.What = k.ItemKind()
	}
	if item.What != k.ItemKind() {
		return Mold{}, fmt.Errorf("a %s joins to a %s, not to a %s", k, k.ItemKind(), item.What)
	}
	if k == Splice {
		// Both ends are the conductor itself unless another is named.
		if item.Size == "" {
			item.Size = sizeOf(c)
		}
	}
	if k.sizeMatters() && item.Size == "" {
		return Mold{}, fmt.Errorf("cannot tell the mold of a %s: measure the %s before ordering", k, item.What)
	}
	if !k.sizeMatters() {
		item.Size = ""
	}
	c.Tinned = false
	return Mold{Conductor: c, Item: item, Shape: k, Position: p}, nil
}

func sizeOf(c conductor.Bare) string {
	if c.Solid {
		return c.Size.String() + " solid"
	}
	return c.Size.String() + " stranded"
}

// ConductorItem returns a conductor as the item of a tap, cross or splice.
func ConductorItem(c conductor.Bare) Item { return Item{What: Wire, Size: sizeOf(c)} }

// Charge is grams of weld metal as the mold's own tag says.
type Charge struct {
	Grams int
	Tag   string // what the tag reads
}

// String returns "45 g".
func (c Charge) String() string {
	if c.Grams <= 0 {
		return "charge not read from the tag"
	}
	return fmt.Sprintf("%d g", c.Grams)
}

// Tags holds the charges by mold key, as read.
type Tags map[string]Charge

// ChargeOf returns the charge that the mold's tag asks for; ok is false where
// no tag was read. Nothing is assumed in its place.
func (t Tags) ChargeOf(m Mold) (Charge, bool) {
	c, ok := t[m.Key()]
	return c, ok && c.Grams > 0
}

// Hint is a charge as common practice has it, to compare a tag with. It is
// never a substitute for the tag.
type Hint struct {
	Grams int
	Words string
	Cite  cite.Ref
}

// HintFor returns the common-practice charge of a joint of 2 AWG conductor,
// where there is one.
func HintFor(k Kind, c conductor.Bare, item Item) (Hint, bool) {
	two, _ := unit.ParseWire("2")
	if c.Size != two {
		return Hint{}, false
	}
	key := ""
	switch {
	case k == Tap && strings.HasPrefix(item.Size, "2 AWG"):
		key = "charge.tap.2"
	case k == RodThrough && item.Size == "5/8 in":
		key = "charge.rod.2"
	default:
		return Hint{}, false
	}
	v, _ := practice().Num(key, "value")
	w, _ := practice().Cell(key, "words")
	return Hint{Grams: int(v), Words: w, Cite: cite.Practice}, true
}

// Life returns how many shots a mold lasts by common practice and from how
// many the next should be looked for. Its look decides.
func Life() (shots, warn int, c cite.Ref) {
	a, _ := practice().Num("mold.life", "value")
	b, _ := practice().Num("mold.warn", "value")
	return int(a), int(b), cite.Practice
}

// PerDay returns how many joints a pair fires in a day by common practice.
func PerDay() (least, most int, c cite.Ref) {
	a, _ := practice().Num("day.low", "value")
	b, _ := practice().Num("day.high", "value")
	return int(a), int(b), cite.Practice
}

// Caution is a warning that belongs where a weld is planned or shot.
type Caution struct{ When, Words string }

// Cautions lists the warnings of welding, short, in working order.
func Cautions() []Caution {
	return []Caution{
		{"before the day", "Hot-work permit; on a burn-ban day no shot without the fire authority."},
		{"before the day", "Nothing welded on or beside a fuel pipe, tank, vent, gas or battery room."},
		{"before each shot", "Mold and conductor dry; no water in the trench."},
		{"before each shot", "Gloves, sleeves, face; nobody over the mold; combustibles clear; stand upwind of zinc fume."},
		{"while firing", "Phone away."},
		{"misfire", "Wait; one person relights."},
		{"burning pack", "Get away; protect what is near."},
		{"after", "The mold is hot. Fire watch outlasts the last shot."},
		{"always", "Do not alter a mold; do not mix makers' molds and charges."},
	}
}
