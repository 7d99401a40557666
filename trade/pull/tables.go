package pull

import (
	_ "embed" // the tables beside this file

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

//go:embed tables/figures.csv
var figuresCSV string

//go:embed tables/friction.csv
var frictionCSV string

//go:embed tables/sidewall.csv
var sidewallCSV string

//go:embed tables/stress.csv
var stressCSV string

//go:embed tables/telecom.csv
var telecomCSV string

//go:embed tables/training.csv
var trainingCSV string

var (
	figuresTable  = table.Lazy(figuresCSV)
	frictionTable = table.Lazy(frictionCSV)
	sidewallTable = table.Lazy(sidewallCSV)
	stressTable   = table.Lazy(stressCSV)
	telecomTable  = table.Lazy(telecomCSV)
	trainingTable = table.Lazy(trainingCSV)
)

// PoundForce and PoundForcePerFoot are the customary units of tension and of
// sidewall pressure; weight by length in lbf/ft is the number of lb/ft.
const (
	PoundForce        unit.Newton     = 4.4482216152605
	PoundForcePerFoot unit.NewtonPerM = 4.4482216152605 / 0.3048
)

// gravity is the standard acceleration, m/s2, that makes a pound weigh a
// pound-force.
const gravity = 9.80665

// figure returns one number of the figures table and where it is from. The
// table is part of the program, so a missing key is a programmer's error.
func figure(key string) (float64, cite.Ref) {
	v, ok := figuresTable().Num(key, "value")
	if !ok {
		panic("pull: no figure " + key)
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
