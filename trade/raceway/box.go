package raceway

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// Volume is a volume in cubic metres.
type Volume float64

// CubicInch is an exact volume.
const CubicInch Volume = Volume(unit.Inch * unit.Inch * unit.Inch)

// In3 returns the volume in cubic inches.
func (v Volume) In3() float64 { return float64(v / CubicInch) }

// Wall is a side of a box. West and east face each other, south and north,
// back and cover.
type Wall uint8

// The walls.
const (
	West Wall = iota
	East
	South
	North
	Back
)

// String returns the word.
func (w Wall) String() string {
	return [...]string{"west", "east", "south", "north", "back"}[min(w, Back)]
}

func (w Wall) opposite() (Wall, bool) {
	switch w {
	case West:
		return East, true
	case East:
		return West, true
	case South:
		return North, true
	case North:
		return South, true
	}
	return 0, false
}

// Entry is a raceway that enters a box.
type Entry struct {
	Name  string
	Wall  Wall
	Row   int // entries of one wall and row lie side by side
	Trade unit.Trade
	To    int // index of the entry by which the same conductors leave; -1 where they are spliced
	// Largest is the largest conductor, for an entry in the back, whose
	// distance to the cover depends on it.
	Largest unit.Wire
}

// Spacing is the least distance between two entries that hold the same
// conductors.
type Spacing struct {
	A, B  int
	Least unit.Metre // nearest edges
}

// Reason is one requirement on a box.
type Reason struct {
	Across string // "west to east", "south to north", "back to cover"
	Least  unit.Metre
	Why    string
	Cite   cite.Ref
}

// Box is the least size of a pull box.
type Box struct {
	X, Y    unit.Metre // west to east, south to north
	Depth   unit.Metre // zero where no entry in the back asks for one
	Spacing []Spacing
	Reasons []Reason
}

// StraightPull returns the least length of a box for a straight pull:
//
//	L = 8 x the largest trade size
//
// Source: NFPA 70 314.28(A)(1). It applies to raceways of trade size 3/4 and
// larger that hold 4 AWG and larger.
func StraightPull(trades ...unit.Trade) (unit.Metre, cite.Ref) {
	k, c := figure("box.straight")
	return unit.Metre(k*largest(trades)) * unit.Inch, c
}

// AnglePull returns the least distance from a wall to the opposite one for
// angle and U pulls and splices, for the entries of one row of that wall:
//
//	D = 6 x the largest trade size + the sum of the others
//
// Source: NFPA 70 314.28(A)(2).
func AnglePull(row ...unit.Trade) (unit.Metre, cite.Ref) {
	k, c := figure("box.angle")
	sum := 0.0
	for _, t := range row {
		sum += t.Nominal()
	}
	l := largest(row)
	return unit.Metre(k*l+sum-l) * unit.Inch, c
}

func largest(trades []unit.Trade) float64 {
	m := 0.0
	for _, t := range trades {
		m = max(m, t.Nominal())
	}
	return m
}

// InScope reports whether the pull box rule applies to a raceway.
func InScope(t unit.Trade, w unit.Wire) bool {
	least, _ := figure("box.scope.trade")
	s, _ := figuresTable().Cell("box.scope.wire", "value")
	smallest, err := unit.ParseWire(s)
	return err == nil && t.Nominal() >= least && w >= smallest
}

// PullBox returns the least size of a box for all its entries, each pull being
// straight or angle by the walls it uses, with every reason. An entry in the
// back is not added to the sum of a side wall.
func PullBox(entries []Entry) (Box, error) {
	var b Box
	for i, e := range entries {
		if e.Trade == 0 {
			return Box{}, fmt.Errorf("entry %d has no trade size", i+1)
		}
		if e.To >= len(entries) || e.To < -1 || e.To == i {
			return Box{}, fmt.Errorf("entry %d leaves by an entry that is not there", i+1)
		}
		if e.To >= 0 && entries[e.To].To != i {
			return Box{}, fmt.Errorf("entries %d and %d do not name each other", i+1, e.To+1)
		}
	}
	need := func(w Wall, l unit.Metre, why string, c cite.Ref) {
		r := Reason{Least: l, Why: why, Cite: c}
		switch w {
		case West, East:
			r.Across, b.X = "west to east", max(b.X, l)
		case South, North:
			r.Across, b.Y = "south to north", max(b.Y, l)
		default:
			r.Across, b.Depth = "back to cover", max(b.Depth, l)
		}
		b.Reasons = append(b.Reasons, r)
	}
	type wallRow struct {
		wall Wall
		row  int
	}
	var order []wallRow
	angled := map[wallRow]bool{}
	rows := map[wallRow][]unit.Trade{}
	for i, e := range entries {
		if e.Wall == Back {
			d, c, ok := conductor.BendSpace(e.Largest, 1)
			if !ok {
				return Box{}, fmt.Errorf("entry %d enters the back: its largest conductor decides the depth", i+1)
			}
			c.Place = "314.28(A)(2) exception with " + c.Place
			need(Back, d, fmt.Sprintf("entry %d in the back, one %v wire for each terminal", i+1, e.Largest), c)
			continue
		}
		k := wallRow{e.Wall, e.Row}
		if _, seen := rows[k]; !seen {
			order = append(order, k)
		}
		rows[k] = append(rows[k], e.Trade)
		opp, _ := e.Wall.opposite()
		if e.To >= 0 && entries[e.To].Wall == opp {
			if e.To > i {
				l, c := StraightPull(e.Trade, entries[e.To].Trade)
				need(e.Wall, l, fmt.Sprintf("straight pull, entries %d and %d", i+1, e.To+1), c)
			}
			continue
		}
		angled[k] = true
	}
	for _, k := range order {
		if angled[k] {
			l, c := AnglePull(rows[k]...)
			why := fmt.Sprintf("angle pull, U pull or splice at the %v wall", k.wall)
			if k.row > 0 {
				why += fmt.Sprintf(", row %d", k.row+1)
			}
			need(k.wall, l, why, c)
		}
	}
	for i, e := range entries {
		if e.To <= i || e.Wall == Back || entries[e.To].Wall == Back {
			continue
		}
		if opp, _ := e.Wall.opposite(); entries[e.To].Wall == opp {
			continue
		}
		k, _ := figure("box.spacing")
		b.Spacing = append(b.Spacing, Spacing{A: i, B: e.To, Least: unit.Metre(k*largest([]unit.Trade{e.Trade, entries[e.To].Trade})) * unit.Inch})
	}
	return b, nil
}

// BodyArea returns the least inside cross-section of a conduit body that holds
// conductors of 6 AWG and smaller:
//
//	A = 2 x pi/4 ID^2 of the largest raceway it joins
//
// A body for larger conductors is a pull box, whose size is that of PullBox
// unless it is marked with the conductors it takes. Source: NFPA 70
// 314.16(C)(1).
func BodyArea(k Kind, t unit.Trade) (conductor.Area, cite.Ref, bool) {
	d, ok := Dim(k, t)
	n, c := figure("body.times")
	return conductor.Area(n) * d.Area, c, ok
}

// BoxContent is what takes room in a box, by size.
type BoxContent struct {
	Conductors map[unit.Wire]int // entering and ending or spliced, and passing through; a long loop counts twice
	Grounds    []unit.Wire       // equipment grounding conductors
	Devices    []Device          // yokes
	Clamps     bool              // any internal clamp
	Supports   int               // kinds of support fitting: stud, hickey
	Edition    int
}

// Device is a yoke with its wire size; a yoke wider than 2 in counts two for
// each gang.
type Device struct {
	Size  unit.Wire
	Gangs int // zero and one: a single yoke
}

// BoxItem is one line of a box fill.
type BoxItem struct {
	Name   string
	Count  float64
	Size   unit.Wire
	Volume Volume
}

// BoxFill is the least volume of a box with the lines that make it.
type BoxFill struct {
	Volume Volume
	Items  []BoxItem
	Cite   []cite.Ref
}

// BoxFillOf returns the least volume of a box for conductors of 6 AWG and
// smaller:
//
//	V = sum(n v)
//
// n the count of an allowance, v the volume of its size. Clamps together and
// each kind of support fitting count one of the largest conductor; a yoke
// counts two of its own size; up to four EGCs together count one of the
// largest EGC, each further one a quarter (before 2020 all EGCs count one).
// Source: NFPA 70 314.16(B).
func BoxFillOf(in BoxContent) (BoxFill, error) {
	out := BoxFill{Cite: []cite.Ref{boxfillTable().Cite}}
	volume := func(w unit.Wire) (Volume, error) {
		v, ok := boxfillTable().Num(w.Name(), "volume")
		if !ok {
			return 0, fmt.Errorf("%v has no allowance: 314.16 counts 18 to 6 AWG, larger conductors need a pull box", w)
		}
		return Volume(v) * CubicInch, nil
	}
	add := func(name string, n float64, w unit.Wire) error {
		v, err := volume(w)
		if err != nil {
			return err
		}
		out.Items = append(out.Items, BoxItem{Name: name, Count: n, Size: w, Volume: v * Volume(n)})
		out.Volume += v * Volume(n)
		return nil
	}
	big := unit.Wire(0)
	sizes := make([]unit.Wire, 0, len(in.Conductors))
	for w, n := range in.Conductors {
		if n < 0 {
			return out, fmt.Errorf("a count of %d conductors", n)
		}
		if n > 0 {
			sizes = append(sizes, w)
		}
	}
	stable.Ascend(sizes)
	slices.Reverse(sizes)
	for _, w := range sizes {
		if err := add("conductors", float64(in.Conductors[w]), w); err != nil {
			return out, err
		}
		big = max(big, w)
	}
	if len(in.Grounds) > 0 {
		w := slices.Max(in.Grounds)
		big = max(big, w)
		free, c := figure("boxfill.egc.free")
		share, _ := figure("boxfill.egc.share")
		since, _ := figure("boxfill.egc.since")
		n := 1.0
		if in.Edition >= int(since) {
			n += share * math.Max(0, float64(len(in.Grounds))-free)
			out.Cite = append(out.Cite, c)
		}
		if err := add("equipment grounding conductors", n, w); err != nil {
			return out, err
		}
	}
	two, c := figure("boxfill.device")
	for _, d := range in.Devices {
		if err := add("device", two*math.Max(1, float64(d.Gangs)), d.Size); err != nil {
			return out, err
		}
	}
	if len(in.Devices) > 0 {
		out.Cite = append(out.Cite, c)
	}
	if in.Clamps {
		n, _ := figure("boxfill.clamp")
		if err := add("internal clamps", n, big); err != nil {
			return out, err
		}
	}
	if in.Supports > 0 {
		n, _ := figure("boxfill.support")
		if err := add("support fittings", n*float64(in.Supports), big); err != nil {
			return out, err
		}
	}
	return out, nil
}

// MetalBox is a listed size of metal box and its least volume.
type MetalBox struct {
	Name   string
	Volume Volume
}

// MetalBoxes lists the metal boxes of the table, in its order.
func MetalBoxes() ([]MetalBox, cite.Ref) {
	t := boxesTable()
	var out []MetalBox
	for i, r := range t.Rows {
		v, _ := cell(t, i, "volume")
		out = append(out, MetalBox{Name: r[0], Volume: Volume(v) * CubicInch})
	}
	return out, t.Cite
}
