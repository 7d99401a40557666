package conductor

import (
	_ "embed" // the tables beside this file
	"strconv"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

//go:embed tables/insulated_seen.csv
var insulatedSeenCSV string

//go:embed tables/insulated_memory.csv
var insulatedMemoryCSV string

//go:embed tables/bare.csv
var bareCSV string

//go:embed tables/ampacity.csv
var ampacityCSV string

//go:embed tables/small.csv
var smallCSV string

//go:embed tables/ambient.csv
var ambientCSV string

//go:embed tables/bundling.csv
var bundlingCSV string

//go:embed tables/egc.csv
var egcCSV string

//go:embed tables/gec.csv
var gecCSV string

//go:embed tables/ocpd.csv
var ocpdCSV string

//go:embed tables/vertical.csv
var verticalCSV string

//go:embed tables/bendspace.csv
var bendspaceCSV string

//go:embed tables/columns.csv
var columnsCSV string

//go:embed tables/figures.csv
var figuresCSV string

var (
	insulatedSeen   = table.Lazy(insulatedSeenCSV)
	insulatedMemory = table.Lazy(insulatedMemoryCSV)
	bare            = table.Lazy(bareCSV)
	ampacity        = table.Lazy(ampacityCSV)
	small           = table.Lazy(smallCSV)
	ambient         = table.Lazy(ambientCSV)
	bundling        = table.Lazy(bundlingCSV)
	egc             = table.Lazy(egcCSV)
	gec             = table.Lazy(gecCSV)
	ocpd            = table.Lazy(ocpdCSV)
	vertical        = table.Lazy(verticalCSV)
	bendspace       = table.Lazy(bendspaceCSV)
	columns         = table.Lazy(columnsCSV)
	figures         = table.Lazy(figuresCSV)
)

// figure returns one number of the figures table and where it is from. The
// table is part of the program, so a missing key is a programmer's error.
func figure(key string) (float64, cite.Ref) {
	v, ok := figures().Num(key, "value")
	if !ok {
		panic("conductor: no figure " + key)
	}
	return v, figureCite(key)
}

func figureCite(key string) cite.Ref {
	t := figures()
	work, _ := t.Cell(key, "work")
	place, _ := t.Cell(key, "place")
	seen, _ := t.Cell(key, "seen")
	r := cite.Ref{Work: work, Place: place, Seen: cite.FromMemory}
	if seen == "yes" {
		r.Seen = cite.Read
	}
	return r
}

// figureWire returns a figure that is a wire size.
func figureWire(key string) (unit.Wire, cite.Ref) {
	s, _ := figures().Cell(key, "value")
	w, err := unit.ParseWire(s)
	if err != nil {
		panic("conductor: figure " + key + " is no wire size")
	}
	return w, figureCite(key)
}

// at returns the cell of row i under a head as a number.
func at(t *table.Table, i int, col string) (float64, bool) {
	for j, c := range t.Cols {
		if c == col {
			v, err := strconv.ParseFloat(t.Rows[i][j], 64)
			return v, err == nil
		}
	}
	return 0, false
}
