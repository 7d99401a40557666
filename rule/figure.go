package rule

import (
	"fmt"
	"strings"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

// Figures are the figures of one work that its rules lean on: a table beside
// the rules with the columns key, value, unit, place, seen and note.
type Figures struct {
	load func() *table.Table
}

// FiguresOf returns the figures in the text of a table, parsed on first use.
func FiguresOf(csv string) Figures { return Figures{load: table.Lazy(csv)} }

// Table returns the table itself.
func (f Figures) Table() *table.Table { return f.load() }

func (f Figures) cell(key, col string) string {
	s, ok := f.load().Cell(key, col)
	if !ok {
		panic(fmt.Sprintf("rule: no %s of figure %q in the table of %s", col, key, f.load().Cite.Work))
	}
	return s
}

// dims are the units that a figure may be printed in.
var dims = map[string]unit.Dim{"in": unit.Length, "ft": unit.Length, "m": unit.Length, "ohm": unit.Resistance, "deg": unit.Angle, "%": unit.Share, "V": unit.Voltage, "A": unit.Current, "h": unit.Time}

// Num returns a figure in SI: meters for a length, a plain number for "-", a
// share for "%". A missing key is a programmer's error and panics.
func (f Figures) Num(key string) float64 {
	v, u := f.cell(key, "value"), f.cell(key, "unit")
	if u == "-" {
		n, ok := f.load().Num(key, "value")
		if !ok {
			panic("rule: figure " + key + " is no number")
		}
		return n
	}
	d, ok := dims[u]
	if !ok {
		panic("rule: figure " + key + " has the unit " + u)
	}
	n, err := unit.Parse(v+" "+u, d)
	if err != nil {
		panic("rule: figure " + key + ": " + err.Error())
	}
	return n
}

// Len returns a figure that is a length.
func (f Figures) Len(key string) unit.Metre { return unit.Metre(f.Num(key)) }

// Wire returns a figure that is a conductor size.
func (f Figures) Wire(key string) unit.Wire {
	w, err := unit.ParseWire(f.cell(key, "value"))
	if err != nil {
		panic("rule: figure " + key + ": " + err.Error())
	}
	return w
}

// Text returns a figure as the work prints it, "30 in".
func (f Figures) Text(key string) string {
	u := f.cell(key, "unit")
	if u == "-" {
		return f.cell(key, "value")
	}
	return f.cell(key, "value") + " " + u
}

// Cite returns where a figure stands, and whether it was read there.
func (f Figures) Cite(key string) cite.Ref {
	c := f.load().Cite
	c.Place = f.cell(key, "place")
	c.Seen = cite.FromMemory
	switch f.cell(key, "seen") {
	case "yes":
		c.Seen = cite.Read
	case "derived":
		c.Seen = cite.Derived
	}
	c.Note, _ = f.load().Cell(key, "note")
	if w, ok := f.load().Cell(key, "work"); ok {
		c.Work = w
	}
	c.Note = strings.TrimSpace(c.Note)
	return c
}
