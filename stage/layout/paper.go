package layout

import (
	_ "embed" // the tables beside this file
	"strconv"

	"stubup/base/table"
	"stubup/base/unit"
)

//go:embed tables/paper.csv
var paperCSV string

//go:embed tables/scale.csv
var scaleCSV string

var (
	paperTable = table.Lazy(paperCSV)
	scaleTable = table.Lazy(scaleCSV)
)

// paper is a sheet size, landscape: w and h are its drawing area, mm.
type paper struct {
	name string
	w, h float64
}

func papers(s unit.System) []paper {
	var out []paper
	for _, r := range paperTable().Rows {
		if r[1] != systemKey(s) {
			continue
		}
		n := func(i int) float64 {
			v, _ := strconv.ParseFloat(r[i], 64)
			return v
		}
		out = append(out, paper{r[0], n(2) - n(4), n(3) - n(5)})
	}
	return out
}

func systemKey(s unit.System) string {
	if s == unit.SI {
		return "si"
	}
	return "us"
}

// Scale is a drawing scale: Ratio 48 is 1:48.
type Scale struct {
	Ratio float64
	Words string // "1/4 in = 1 ft"
}

// mm returns what a length in metres is on paper.
func (s Scale) mm(m float64) float64 { return m * 1000 / s.Ratio }

// Text returns the scale as it is printed.
func (s Scale) Text() string {
	if s.Words == "" {
		return "1:" + unit.Trim(s.Ratio, 0)
	}
	return s.Words + " (1:" + unit.Trim(s.Ratio, 0) + ")"
}

// scales lists the round scales, the finest first. It goes on by tens past
// the coarsest of the table, so that any ground fits some scale.
func scales(u unit.System) []Scale {
	var out []Scale
	for _, r := range scaleTable().Rows {
		if r[1] == systemKey(u) {
			v, _ := strconv.ParseFloat(r[0], 64)
			out = append(out, Scale{v, r[2]})
		}
	}
	last := out[len(out)-1].Ratio
	for range 12 {
		last *= 10
		out = append(out, Scale{Ratio: last})
	}
	return out
}

// fit returns the finest scale at which w by h metres go on a by b mm.
func fit(u unit.System, w, h, a, b float64) Scale {
	all := scales(u)
	for _, s := range all {
		if s.mm(w) <= a && s.mm(h) <= b {
			return s
		}
	}
	return all[len(all)-1]
}
