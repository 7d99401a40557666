// Package draw is the display list: what a drawing is, before anything is
// written as SVG, PDF or a screen. All lengths are millimetres on paper, x to
// the right and y down from the upper left corner, so that screen and paper
// show the same thing.
//
// Line says what a thing is; state says how far it is. A state is drawn by
// dash, weight, fill and ticks as well as by colour, so that a grey print
// keeps them apart.
package draw

// Ink is one of the named colours. Text is always InkText.
type Ink int

// Inks.
const (
	InkText   Ink = iota // all text, steel, posts
	InkPencil            // planned
	InkChalk             // trench open
	InkCopper            // in and logged
	InkPatina            // backfilled and released
	InkCrayon            // wrong here: broken rule, reject, change
	InkTape              // hold, as a ground only
	InkPaper
	InkRule   // faint ruling, decoration only
	InkBlue   // located by others: water (public dig colour)
	InkRed    // located by others: electric
	InkOrange // located by others: communication
	InkYellow // located by others: gas
	InkGreen  // located by others: sewer
)

// Hex returns the day-theme colour, which is also the paper colour.
func (i Ink) Hex() string {
	return [...]string{
		"#14202B", "#6B7075", "#FFFFFF", "#7A3206", "#0B3A36", "#DB0014", "#FFC83D",
		"#FBF8F0", "#C9D6D1", "#1F5FBF", "#C81E1E", "#A84A00", "#7A6400", "#2E7D32",
	}[i]
}

// Pen is how a line is drawn.
type Pen struct {
	Ink   Ink
	Width float64   // mm, one of 0.18 0.25 0.35 0.5 0.7
	Dash  []float64 // mm on, off, ...; empty for solid
}

// Pt is a place on paper, mm.
type Pt struct{ X, Y float64 }

// Box is an upright rectangle on paper.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Overlaps reports whether two boxes share more than their edges.
func (b Box) Overlaps(o Box) bool {
	const slack = 1e-6
	return b.X0 < o.X1-slack && o.X0 < b.X1-slack && b.Y0 < o.Y1-slack && o.Y0 < b.Y1-slack
}

// Union returns the box around both.
func (b Box) Union(o Box) Box {
	return Box{min(b.X0, o.X0), min(b.Y0, o.Y0), max(b.X1, o.X1), max(b.Y1, o.Y1)}
}

// Inside reports whether b lies wholly in o.
func (b Box) Inside(o Box) bool {
	return b.X0 >= o.X0-1e-6 && b.Y0 >= o.Y0-1e-6 && b.X1 <= o.X1+1e-6 && b.Y1 <= o.Y1+1e-6
}

// Grow returns the box larger by d on every side.
func (b Box) Grow(d float64) Box { return Box{b.X0 - d, b.Y0 - d, b.X1 + d, b.Y1 + d} }

// Item is one of Line, Arc, Circle, Area, Text.
type Item interface{ item() }

// Line is a polyline; Close joins the last point to the first.
type Line struct {
	Layer string // "ring", "fence", "dimension"
	ID    string // "R3": the point it belongs to, if any
	Pen   Pen
	Pts   []Pt
	Close bool
}

// Arc is part of a circle. Angles are degrees on paper, 0 to the right and
// growing clockwise (y is down); it runs from A0 to A1.
type Arc struct {
	Layer, ID string
	Pen       Pen
	C         Pt
	R         float64
	A0, A1    float64
}

// Circle is a whole circle, filled where Fill is set.
type Circle struct {
	Layer, ID string
	Pen       Pen
	C         Pt
	R         float64
	Fill      bool
	FillInk   Ink
}

// Area is a filled polygon, hatched where Hatch is above 0 (spacing, mm).
type Area struct {
	Layer, ID string
	Pts       []Pt
	FillInk   Ink
	Fill      bool
	Hatch     float64
	HatchPen  Pen
}

// Anchor says which part of a text sits at its place.
type Anchor int

// Anchors, along the reading direction. The place is on the baseline.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text. Size is the letter (capital) height in mm, never
// under 2.5 on paper. Turn is degrees, counter-clockwise as read.
type Text struct {
	Layer, ID string
	At        Pt
	Size      float64
	Anchor    Anchor
	Turn      float64
	Bold      bool
	S         string
	Halo      bool // paper-coloured ground behind it, for text over lines
}

func (Line) item()   {}
func (Arc) item()    {}
func (Circle) item() {}
func (Area) item()   {}
func (Text) item()   {}

// Drawing is a sheet or part of one.
type Drawing struct {
	ID    string // "plan", "run-fiber-1"
	Title string
	Desc  string  // one sentence, spoken by a screen reader
	W, H  float64 // mm
	Items []Item
}

// Add appends items.
func (d *Drawing) Add(items ...Item) { d.Items = append(d.Items, items...) }

// MinText is the smallest letter height on paper, mm.
const MinText = 2.5
