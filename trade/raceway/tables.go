package raceway

import (
	_ "embed" // the tables beside this file
	"strconv"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

//go:embed tables/boxes.csv
var boxesCSV string

//go:embed tables/boxfill.csv
var boxfillCSV string

//go:embed tables/cover.csv
var coverCSV string

//go:embed tables/cover_high.csv
var coverHighCSV string

//go:embed tables/dimensions_memory.csv
var dimensionsMemoryCSV string

//go:embed tables/dimensions_seen.csv
var dimensionsSeenCSV string

//go:embed tables/elbow.csv
var elbowCSV string

//go:embed tables/expansion.csv
var expansionCSV string

//go:embed tables/expansion_pvc.csv
var expansionPvcCSV string

//go:embed tables/expansion_rtrc.csv
var expansionRtrcCSV string

//go:embed tables/figures.csv
var figuresCSV string

//go:embed tables/fill.csv
var fillCSV string

//go:embed tables/radius.csv
var radiusCSV string

//go:embed tables/rooftop.csv
var rooftopCSV string

//go:embed tables/saddle.csv
var saddleCSV string

//go:embed tables/separation.csv
var separationCSV string

//go:embed tables/shop.csv
var shopCSV string

//go:embed tables/support.csv
var supportCSV string

//go:embed tables/support_pvc.csv
var supportPvcCSV string

//go:embed tables/support_rmc.csv
var supportRmcCSV string

//go:embed tables/takeup.csv
var takeupCSV string

//go:embed tables/telecom_box.csv
var telecomBoxCSV string

//go:embed tables/telecom_fill.csv
var telecomFillCSV string

//go:embed tables/weight.csv
var weightCSV string

//go:embed tables/weight_pvc.csv
var weightPvcCSV string

var (
	boxesTable            = table.Lazy(boxesCSV)
	boxfillTable          = table.Lazy(boxfillCSV)
	coverTable            = table.Lazy(coverCSV)
	coverHighTable        = table.Lazy(coverHighCSV)
	dimensionsMemoryTable = table.Lazy(dimensionsMemoryCSV)
	dimensionsSeenTable   = table.Lazy(dimensionsSeenCSV)
	elbowTable            = table.Lazy(elbowCSV)
	expansionTable        = table.Lazy(expansionCSV)
	expansionPvcTable     = table.Lazy(expansionPvcCSV)
	expansionRtrcTable    = table.Lazy(expansionRtrcCSV)
	figuresTable          = table.Lazy(figuresCSV)
	fillTable             = table.Lazy(fillCSV)
	radiusTable           = table.Lazy(radiusCSV)
	rooftopTable          = table.Lazy(rooftopCSV)
	saddleTable           = table.Lazy(saddleCSV)
	separationTable       = table.Lazy(separationCSV)
	shopTable             = table.Lazy(shopCSV)
	supportTable          = table.Lazy(supportCSV)
	supportPvcTable       = table.Lazy(supportPvcCSV)
	supportRmcTable       = table.Lazy(supportRmcCSV)
	takeupTable           = table.Lazy(takeupCSV)
	telecomBoxTable       = table.Lazy(telecomBoxCSV)
	telecomFillTable      = table.Lazy(telecomFillCSV)
	weightTable           = table.Lazy(weightCSV)
	weightPvcTable        = table.Lazy(weightPvcCSV)
)

// figure returns one number of the figures table and where it is from. The
// table is part of the program, so a missing key is a programmer's error.
func figure(key string) (float64, cite.Ref) {
	v, ok := figuresTable().Num(key, "value")
	if !ok {
		panic("raceway: no figure " + key)
	}
	return v, rowCite(figuresTable(), key)
}

// rowCite returns the citation of a row that names its own source.
func rowCite(t *table.Table, key string) cite.Ref {
	work, _ := t.Cell(key, "work")
	place, _ := t.Cell(key, "place")
	seen, _ := t.Cell(key, "seen")
	r := cite.Ref{Work: work, Place: place, Seen: cite.FromMemory}
	if seen == "yes" {
		r.Seen = cite.Read
	}
	return r
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

// upTo returns the number under a head in the first row whose first column is
// a trade size not under t.
func upTo(tb *table.Table, t unit.Trade, col string) (float64, bool) {
	for i, r := range tb.Rows {
		if to, err := unit.ParseTrade(r[0]); err == nil && t != 0 && t <= to {
			return cell(tb, i, col)
		}
	}
	return 0, false
}
