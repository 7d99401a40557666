package feeder

import (
	_ "embed" // the tables beside this file
	"strconv"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

//go:embed tables/impedance.csv
var impedanceCSV string

//go:embed tables/impedance85.csv
var impedance85CSV string

//go:embed tables/workspace.csv
var workspaceCSV string

//go:embed tables/figures.csv
var figuresCSV string

//go:embed tables/systems.csv
var systemsCSV string

var (
	impedance   = table.Lazy(impedanceCSV)
	impedance85 = table.Lazy(impedance85CSV)
	workspace   = table.Lazy(workspaceCSV)
	figures     = table.Lazy(figuresCSV)
	systems     = table.Lazy(systemsCSV)
)

// figure returns one number of the figures table and where it is from. The
// table is part of the program, so a missing key is a programmer's error.
func figure(key string) (float64, cite.Ref) {
	t := figures()
	v, ok := t.Num(key, "value")
	if !ok {
		panic("feeder: no figure " + key)
	}
	work, _ := t.Cell(key, "work")
	place, _ := t.Cell(key, "place")
	seen, _ := t.Cell(key, "seen")
	r := cite.Ref{Work: work, Place: place, Seen: cite.FromMemory}
	if seen == "yes" {
		r.Seen = cite.Read
	}
	return v, r
}

// cell returns the number under a head in row i.
func cell(t *table.Table, i int, col string) (float64, bool) {
	for j, c := range t.Cols {
		if c == col {
			v, err := strconv.ParseFloat(t.Rows[i][j], 64)
			return v, err == nil
		}
	}
	return 0, false
}

// figureWire returns a figure that is a wire size.
func figureWire(key string) (unit.Wire, cite.Ref) {
	t := figures()
	s, _ := t.Cell(key, "value")
	w, err := unit.ParseWire(s)
	if err != nil {
		panic("feeder: figure " + key + " is no wire size")
	}
	work, _ := t.Cell(key, "work")
	place, _ := t.Cell(key, "place")
	return w, cite.Ref{Work: work, Place: place, Seen: cite.FromMemory}
}
